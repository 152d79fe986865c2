"""Amounts: how many jars some fruit makes, and what has to be in the cupboard for them.

A load is reckoned from the figure that is printed for a load, never from one printed for a single jar: the two don't
agree. What is printed as a range stays one.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Mapping
from fractions import Fraction

from msgspec import Struct

from firmripe.holding.figures import Cited
from firmripe.holding.filling import makes
from firmripe.holding.jar import Jar, JarSize
from firmripe.holding.kitchen import Stock
from firmripe.holding.preserve import Preserve
from firmripe.holding.process import ProcessTable
from firmripe.holding.weight import Weight

LIDS = "lids"
SPARE_JARS = Fraction(1, 10)
"""So much more than is planned is laid in, as some jars crack and some lids bend. J."""
SPARE_FILL_L = 1.1
"""A box in the freezer takes so much more room than what is in it. J."""


class JarRange(Struct, frozen=True, kw_only=True):
    """Jars that some fruit makes: `likely` by the printed load, from `low` to `high` by all that is printed."""

    low: Fraction
    likely: Fraction
    high: Fraction


def jars_from(preserve: Preserve, weight: Weight, jar: Jar | None) -> JarRange | None:
    """Return how many jars a weight of fruit makes; None where nothing is printed for the preserve."""
    each = makes(preserve, jar)
    if each is None:
        return None
    ends = [weight.low / each.high_kg, weight.high / each.low_kg]
    for takes in (figure.value for figure in preserve.takes if figure.subjects == each.of):
        if jar is not None and takes.jar is not None and takes.is_range and takes.jar.size is jar.size:
            ends += [weight.low / takes.fruit.high * takes.low, weight.high / takes.fruit.low * takes.high]
    return JarRange(low=min(ends), likely=weight.middle / each.middle_kg, high=max(ends))


def loads(jars: int, holds: int) -> tuple[int, ...]:
    """Part jars into loads of what a pot holds, the last perhaps smaller: 20 in sevens are 7, 7 and 6."""
    full, rest = divmod(jars, holds)
    return (*([holds] * full), *([rest] if rest else []))


# Acid and syrup

SPOONS = {"cup": 48, "tablespoon": 3, "teaspoon": 1}
"""Teaspoons in each; a cup has 16 tablespoons."""
_DOSE = re.compile(r"(?:(\d+)\s+)?(?:(\d+)/(\d+)\s+)?(teaspoon|tablespoon|cup)s?\s+(?:of\s+)?(.+)")


class Dose(Struct, frozen=True, kw_only=True):
    """So many teaspoons of something: of bottled lemon juice, or of citric acid."""

    what: str
    teaspoons: Fraction


def acid_for(dose: str, jars: int) -> tuple[Dose, ...]:
    """Return the acid for so many jars, each way in which it is printed; empty where the dose can't be understood."""
    found = []
    for way in re.split(r"\s+or\s+", dose):
        match = _DOSE.fullmatch(way.strip())
        if match is None or not (match[1] or match[2]):
            return ()
        size = Fraction(int(match[1] or 0)) + (Fraction(int(match[2]), int(match[3])) if match[2] else 0)
        found.append(Dose(what=match[5], teaspoons=size * SPOONS[match[4]] * jars))
    return tuple(found)


class Cups(Struct, frozen=True, kw_only=True):
    """Cups of water and of sugar."""

    water: Fraction
    sugar: Fraction
    cited: Cited


def syrup_for(table: ProcessTable, liquid: str, jar: Jar, jars: int) -> Cups | None:
    """Return the syrup for so many jars, in the measure printed for a load; None where the liquid is no syrup.

    Pints and smaller are reckoned from the load of pints, larger jars from that of quarts, each by what it holds.
    """
    syrup, size = table.syrups.get(liquid.casefold()), load_beside(jar)
    load = syrup.loads.get(size) if syrup else None
    if syrup is None or load is None:
        return None
    count, water, sugar = load
    part = Fraction(jars, count) * Fraction(round(jar.millilitres * 1000), round(size.millilitres * 1000))
    return Cups(water=Fraction(water) * part, sugar=Fraction(sugar) * part, cited=syrup.cited)


def load_beside(jar: Jar) -> JarSize:
    """Return the jar of the printed load that one is reckoned from: pints for itself and smaller ones, else quarts."""
    return JarSize.QUART if jar.millilitres > JarSize.PINT.millilitres + 1 else JarSize.PINT


# What has to be bought


class Short(Struct, frozen=True, kw_only=True):
    """A thing that is needed: how many with spares, how many there are (None where not told), how many to buy."""

    thing: str
    needed: int
    spare: int
    there: int | None

    @property
    def to_buy(self) -> int:
        """What is missing; all of it where nobody has said what there is."""
        return max(0, self.needed + self.spare - (self.there or 0))


def spare(number: int) -> int:
    """Return how many more than a number are laid in: a tenth, one at least, none for none."""
    return math.ceil(number * SPARE_JARS) if number else 0


def lids_for(mouth: str) -> str:
    """Return what the stock calls the lids for mouths of a width; empty for jars whose width nobody has told."""
    return f"{mouth}-mouth {LIDS}" if mouth else LIDS


def shorts(jars: Mapping[Jar, int], stock: Stock) -> tuple[Short, ...]:
    """Return the jars and the lids that are needed, by name: each jar takes a new lid (AIB 539, Guide 1, R).

    Jars and lids whose width is not told go to whoever is short; a jar whose width is not told takes what is left over.
    """
    needed = {jar: number for jar, number in jars.items() if number}
    there: dict[Jar, int] = {}
    for plain in dict.fromkeys(jar.of_any_mouth for jar in needed):
        alike = {jar.mouth: jar for jar in needed if jar.of_any_mouth == plain}
        held = Counter[str]()
        for jar, number in stock.jars_told:
            held[jar.mouth] += number if jar.may_be(plain) else 0
        parted = _parted({mouth: needed[jar] for mouth, jar in alike.items()}, held, held.pop("", 0))
        there |= {alike[mouth]: number for mouth, number in parted.items()}
    found = [
        Short(thing=jar.name, needed=number, spare=0, there=None if stock.jars is None else there[jar])
        for jar, number in sorted(needed.items(), key=lambda one: one[0].name)
    ]
    by_mouth: Counter[str] = Counter()
    for jar, number in needed.items():
        by_mouth[jar.mouth] += number
    untold = (stock.lids or 0) - sum(stock.lids_of.values())
    lids = _parted({mouth: number + spare(number) for mouth, number in by_mouth.items()}, stock.lids_of, untold)
    for mouth, number in lids.items():
        held_lids = None if stock.lids is None else number
        found.append(
            Short(thing=lids_for(mouth), needed=by_mouth[mouth], spare=spare(by_mouth[mouth]), there=held_lids)
        )
    return tuple(found)


def _parted(needed: Mapping[str, int], told: Mapping[str, int], untold: int) -> dict[str, int]:
    """Part what there is by width among what is needed, the widest first, and nothing to two.

    What is of no told width goes to each that is short; what needs no width takes all that is left over.
    """
    left, found = untold, {}
    over = sum(number for mouth, number in told.items() if mouth not in needed)
    for mouth in sorted(needed, reverse=True):
        own = told.get(mouth, 0)
        taken = left + over if not mouth else min(left, max(0, needed[mouth] - own))
        left -= min(left, taken)
        over += max(0, own - needed[mouth])
        found[mouth] = own + taken
    return found
