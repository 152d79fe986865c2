"""Work: how long one pair of hands is at a jar, by the household's own lines, the preserve, or a start value."""

from __future__ import annotations

from datetime import date

from msgspec import Struct

from firmripe.holding.figures import Figure
from firmripe.holding.filling import jar_lines
from firmripe.holding.holding import Holding
from firmripe.holding.jar import HandsRate, Jar, JarSize, parse_made
from firmripe.holding.preserve import Preserve
from firmripe.problems import Unreadable

START_RATE = HandsRate(low=20, high=20, jar=Jar.of(JarSize.QUART))
"""Work where no rate is known: that of hand-peeled pears, a third of an hour a quart. J, rather long than short."""


class OwnLines(Struct, frozen=True, kw_only=True):
    """So many lines of the household's own that tell of the work in a jar."""

    jar: Jar
    count: int


class Rate(Struct, frozen=True, kw_only=True):
    """Minutes of one pair of hands for one jar (or pound dried), and where that comes from.

    `by` is the household's own lines, the preserve's figure, or None for the start value.
    """

    hand_minutes: float
    by: OwnLines | Figure[HandsRate] | None


def rate_for(preserve: Preserve, jar: Jar | None, own: Rate | None = None) -> Rate:
    """Return the work in one jar: the household's own rate, else the preserve's, else a start value."""
    if own is not None:
        return own
    figure = preserve.hands
    rate = figure.value if figure else START_RATE
    if jar is None or rate.jar is None:
        return Rate(hand_minutes=rate.middle, by=figure)
    return Rate(hand_minutes=rate.middle * jar.millilitres / rate.jar.millilitres, by=figure)


def own_rate(holding: Holding, preserve: Preserve, jar: Jar, as_of: date) -> Rate | None:
    """Return the household's own work for a jar, from lines that say how many jars were made by how many, how long.

    `9 pints by 2 in 1.5 hours` as the amount of `jars`, with the preserve's name in the note.
    """
    hand_minutes, litres, lines = 0.0, 0.0, 0
    for record in jar_lines(holding, preserve, as_of):
        worked = worked_in(record.amount)
        if worked is not None:
            hand_minutes, litres, lines = hand_minutes + worked[0], litres + worked[1], lines + 1
    if not litres:
        return None
    each = hand_minutes / litres * jar.millilitres / 1000
    return Rate(hand_minutes=each, by=OwnLines(jar=jar, count=lines))


def worked_in(amount: str) -> tuple[float, float] | None:
    """Return the minutes of all hands together and the litres made, as a line about jars tells them, if it does."""
    try:
        made = parse_made(amount)
    except Unreadable:
        return None
    litres = made.jars.count * made.jars.jar.millilitres / 1000
    return (made.hand_minutes, litres) if made.hand_minutes else None
