"""The plan in words: why a load is on its day, and what would meet a want that is not met."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from firmripe.kitchen.days import Sitting
from firmripe.kitchen.fitted import Binds, Lack, PutUp, Remedy
from firmripe.kitchen.plan import Ware
from firmripe.units import KILOGRAMS_PER_POUND
from firmripe.words import week_day

_BINDS = {
    Binds.NOT_MADE_THERE: "it can't be made in that kitchen then",
    Binds.POT_AWAY: "the pot is away",
    Binds.POTS_FULL: "the pots are full",
    Binds.HANDS_FULL: "the hands are full",
    Binds.NO_SPACE: "there is no room to ripen the fruit for it",
    Binds.FARTHER_FROM_PEAK: "the fruit is farther from its best",
    Binds.ANOTHER_SESSION: "it would take one more session",
    Binds.SAME: "it would do as well, only later",
    Binds.WHOLE_PLAN: "the plan as a whole would be worse",
}
MOST_OTHERS = 3
"""So many other days are told of for each load."""


def why_words(one: PutUp) -> tuple[str, ...]:
    """Say why a product is made on its day and not on another."""
    best = "at its best" if one.worth > 0.95 else "near its best" if one.worth > 0.7 else "past its best, still good"
    others = sorted(one.otherwise, key=lambda other: (abs((other.day - one.day).days), other.session))
    lines = [f"On {week_day(one.day)} the fruit is {best}."]
    if not others:
        lines.append("No other kitchen day falls while it is good.")
    said: dict[str, list[date]] = {}
    for other in others[:MOST_OTHERS]:
        said.setdefault(_BINDS[other.binds], []).append(other.day)
    for words, days in said.items():
        lines.append(f"Not on {' or '.join(week_day(day) for day in dict.fromkeys(days))}: {words}.")
    return tuple(lines)


def remedy_words(remedy: Remedy, want: str, ware: Ware, sittings: Mapping[str, Sitting]) -> str:
    """Say one thing that would bring a want nearer, and by how much."""
    more = f"{ware.several(remedy.gains[want])} more"
    session = sittings.get(remedy.name)
    where = f" on {week_day(session.day)} in the {session.kitchen.name}" if session else ""
    on = f" on {week_day(remedy.day)}" if remedy.day and not where else ""
    amount = round(remedy.amount + 0.049, 1)
    number = round(amount)
    words = {
        Lack.POT_AWAY: f"with {remedy.name} here{on}",
        Lack.POT: f"with one more pot like {remedy.name}{on}",
        Lack.HANDS: f"with {_hands(number)}{where or on}",
        Lack.HOURS: f"with {amount:g} hours more{where or on}",
        Lack.STOCK: f"with {amount:g} more of {remedy.name}",
        Lack.SESSION: f"with one more day in the {remedy.name}{on}",
        Lack.SPACE: f"with room for {amount:g} kg more in the {remedy.name}",
        Lack.FRUIT: f"with {_pounds(remedy.amount)} more fruit",
    }
    return f"{words[remedy.lack]}: {more}"


def _hands(number: int) -> str:
    return "one more pair of hands" if number <= 1 else f"{number} more pairs of hands"


def _pounds(kg: float) -> str:
    return f"{max(1, round(kg / KILOGRAMS_PER_POUND))} lb ({kg:.1f} kg)"
