"""What fills jars: the fruit that one of them takes, as printed for a load and as the household's own lines tell."""

from __future__ import annotations

import math
from collections.abc import Iterator
from collections.abc import Set as AbstractSet
from datetime import date
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from firmripe.holding.figures import Cited, Figure, is_meant
from firmripe.holding.holding import Holding
from firmripe.holding.jar import Jar, Takes, parse_made
from firmripe.holding.preserve import Preserve
from firmripe.holding.record import Happening, Record
from firmripe.problems import Unreadable


class Makes(Struct, frozen=True, kw_only=True):
    """Fruit for one jar (or one pound dried) as printed for a load: from `low` to `high` kilograms, and its source.

    `own` are the lines of the household that speak in it too. `of` are the keys of the fruits that are weighed in it,
    where a recipe has more than these; empty for all that it is made of.
    """

    low_kg: Fraction
    high_kg: Fraction
    cited: Cited
    own: int = 0
    of: frozenset[str] = frozenset()

    @property
    def middle_kg(self) -> Fraction:
        """The middle of the range."""
        return (self.low_kg + self.high_kg) / 2


def makes(preserve: Preserve, jar: Jar | None, keys: AbstractSet[str] = frozenset()) -> Makes | None:
    """Return the fruit that one jar takes, by the load printed for jars of its kind; None where nothing is printed.

    A jar that no load is printed for is reckoned by what it holds beside the printed jar nearest to it. Of a recipe
    with several fruits it is the one with these `keys` (fruit, cultivar, tree); the first without them.
    """
    figure = _load_for(preserve, jar, keys)
    if figure is None:
        return None
    takes = figure.value
    size = Fraction(1)
    if jar is not None and takes.jar is not None and jar.name != takes.jar.name:
        size = Fraction(round(jar.millilitres * 1000), round(takes.jar.millilitres * 1000))
    return Makes(
        low_kg=takes.fruit.low / takes.high * size,
        high_kg=takes.fruit.high / takes.low * size,
        cited=figure.cited,
        of=figure.subjects,
    )


def makes_here(holding: Holding, preserve: Preserve, jar: Jar | None, as_of: date) -> Makes | None:
    """Return the same with the household's own jars: what is printed counts as one line beside each of its own.

    `14 quarts from 35 lb` as the amount of `jars`, with the preserve's name in the note. Where nothing is printed its
    own lines don't speak alone: the fruit may be another's.
    """
    printed = makes(preserve, jar)
    if printed is None or jar is None:
        return printed
    own = [kg for record in jar_lines(holding, preserve, as_of) if (kg := _own_kg(record, jar)) is not None]
    count = len(own) + 1
    middle = (printed.middle_kg + sum(own)) / count
    apart = [printed.low_kg - middle, printed.high_kg - middle, *(kg - middle for kg in own)]
    wide = max(map(abs, apart)) / count if own else (printed.high_kg - printed.low_kg) / 2
    return replace(printed, low_kg=middle - wide, high_kg=middle + wide, own=len(own))


def jar_lines(holding: Holding, preserve: Preserve, as_of: date) -> Iterator[Record]:
    """Yield the lines of the records about jars of a preserve, until a day: those whose note names it."""
    for record in holding.records:
        if record.what is Happening.JARS and record.day <= as_of and is_meant_in(holding, preserve, record.note):
            yield record


def is_meant_in(holding: Holding, preserve: Preserve, note: str) -> bool:
    """Say whether a note means a preserve: it names it, and no other by a longer name that this one is a part of."""
    name = preserve.named_in(note)
    if not name:
        return False
    others = (other.named_in(note) for other in holding.preserves)
    return not any(name in other and name != other for other in others)


def _own_kg(record: Record, jar: Jar) -> Fraction | None:
    """Return the fruit that one jar took by a line about jars; None where that tells nothing of it."""
    try:
        made = parse_made(record.amount)
    except Unreadable:
        return None
    if made.fruit is None:
        return None
    litres = made.jars.count * Fraction(round(made.jars.jar.millilitres * 1000))
    return made.fruit.middle / litres * Fraction(round(jar.millilitres * 1000))


def _load_for(preserve: Preserve, jar: Jar | None, keys: AbstractSet[str]) -> Figure[Takes] | None:
    told = [figure for figure in preserve.takes if (figure.value.jar is None) == (jar is None)]
    if keys:
        told = [figure for figure in told if is_meant(figure, keys)]
    if jar is None:
        return told[0] if told else None
    exact = [figure for figure in told if not figure.value.is_range] or told

    def off(figure: Figure[Takes]) -> float:
        of = figure.value.jar
        return abs(math.log(of.millilitres / jar.millilitres)) if of else 0.0

    return min(exact, key=off, default=None)
