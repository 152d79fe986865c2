"""What fills jars: the fruit that one of them takes, as printed for a load."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from firmripe.holding.figures import Cited, Figure
from firmripe.holding.jar import Jar, Takes
from firmripe.holding.preserve import Preserve


@dataclass(frozen=True, slots=True, kw_only=True)
class Makes:
    """Fruit for one jar (or one pound dried) as printed for a load: from `low` to `high` kilograms, and its source."""

    low_kg: Fraction
    high_kg: Fraction
    cited: Cited

    @property
    def middle_kg(self) -> Fraction:
        """The middle of the range."""
        return (self.low_kg + self.high_kg) / 2


def makes(preserve: Preserve, jar: Jar | None) -> Makes | None:
    """Return the fruit that one jar takes, by the load printed for jars of its kind; None where nothing is printed.

    A jar that no load is printed for is reckoned by what it holds beside the printed jar nearest to it.
    """
    figure = _load_for(preserve, jar)
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
    )


def _load_for(preserve: Preserve, jar: Jar | None) -> Figure[Takes] | None:
    told = [figure for figure in preserve.takes if (figure.value.jar is None) == (jar is None)]
    if jar is None:
        return told[0] if told else None
    exact = [figure for figure in told if not figure.value.is_range] or told

    def off(figure: Figure[Takes]) -> float:
        of = figure.value.jar
        return abs(math.log(of.millilitres / jar.millilitres)) if of else 0.0

    return min(exact, key=off, default=None)
