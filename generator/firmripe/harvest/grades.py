"""Grades: how sorted fruit is parted, how long each grade lasts, and what it must never become."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Final

from firmripe.days import DayCount
from firmripe.harvest.because import NotForIt
from firmripe.harvest.crop import records_of
from firmripe.harvest.passes import Picking
from firmripe.harvest.weighing import containers_of, weigh
from firmripe.holding.fruit import Cultivar
from firmripe.holding.preserve import Preserve, PutUp
from firmripe.holding.record import PICKINGS
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import Grade, Weight
from firmripe.season.season import Season

USE_NOW = DayCount(low=1, high=3)
"""Days within which bruised, pecked or stemless fruit is used. J, as growers ask for it."""

STORED = frozenset({Grade.KEEPERS, Grade.UNSORTED, Grade.SOON, Grade.SECONDS})
"""Grades that may lie in store. Windfalls give off ethylene and never lie with picked fruit (USDA AIB 410, R)."""

KEPT_LONG = frozenset({Grade.KEEPERS, Grade.UNSORTED})
"""Grades that may stay in the cold beyond the days they need there."""

SHARED = frozenset(Grade) - {Grade.CULLS, Grade.WINDFALLS}
"""Grades that are divided: fallen fruit is not given away (UMN 2022, R), culls are not worth dividing."""


_JUICE: Final = re.compile(
    r"juice|cider|perry|saft|(?:apfel|birnen|obst|trauben|süss)most|^most\b|zumo|jugo|sidra|\bmosto\b|cidre|\bjus\b"
)
"""What juice is called, fresh or fermented, in the languages of pages and in French; a household names its own."""


def sorted_kg(season: Season, limb: Cultivar, bearing: Bearing) -> dict[int, dict[Grade, Fraction]]:
    """Return what was sorted of own pickings, by season and grade, in kilograms; pickings not weighed are left out."""
    containers = containers_of(limb.traits, season.holding.place)
    found: dict[int, dict[Grade, Fraction]] = {}
    for record in records_of(season, bearing):
        if record.what not in PICKINGS or not any(part.grade for part in record.parts):
            continue
        if weigh(record.parts, containers) is None:
            continue
        of_season = found.setdefault(record.season, {})
        for part in record.parts:
            weight = part.weight(containers)
            if weight is not None:
                grade = part.grade or Grade.UNSORTED
                of_season[grade] = of_season.get(grade, Fraction(0)) + weight.middle
    return found


def pack_out(season: Season, limb: Cultivar, bearing: Bearing) -> dict[Grade, Fraction]:
    """Return the share of each grade in all own pickings that were sorted, adding up to 1; empty where none was."""
    by_season = sorted_kg(season, limb, bearing).values()
    found = {grade: sum((kgs.get(grade, Fraction(0)) for kgs in by_season), Fraction(0)) for grade in Grade}
    whole = sum(found.values(), Fraction(0))
    return {grade: kg / whole for grade, kg in found.items() if any(grade in kgs for kgs in by_season)} if whole else {}


def percents(kgs: Mapping[Grade, Fraction]) -> dict[Grade, int]:
    """Return the grades in their order with whole percents that add up to 100; empty where they weigh nothing.

    What is over after rounding down goes to the grades that lost most by it.
    """
    whole = sum(kgs.values(), Fraction(0))
    if not whole:
        return {}
    exact = {grade: 100 * kgs[grade] / whole for grade in Grade if kgs.get(grade)}
    found = {grade: int(share) for grade, share in exact.items()}
    lost = sorted(exact, key=lambda grade: (found[grade] - exact[grade], list(Grade).index(grade)))
    for grade in lost[: 100 - sum(found.values())]:
        found[grade] += 1
    return found


def graded(picking: Picking, shares: dict[Grade, Fraction]) -> tuple[tuple[Grade, Weight | None], ...]:
    """Return the grades of a picking with their weights, which add up to the picking's.

    What was sorted counts as sorted; what is still planned is parted as own pickings were; the rest is unsorted.
    """
    if picking.graded:
        known = dict(picking.graded)
        return tuple((grade, known[grade]) for grade in Grade if grade in known)
    if picking.noted or not shares:
        return ((Grade.UNSORTED, picking.weight),)
    return tuple(
        (grade, None if picking.weight is None else picking.weight.times(share)) for grade, share in shares.items()
    )


def why_not(grade: Grade, preserve: Preserve) -> NotForIt | None:
    """Return why fruit of a grade must not become a preserve; None where it may.

    The careful rule of the extension services: windfalls never go into jars, nor into juice or cider that is drunk
    fresh (UMN 2022, R), and fruit for jars is free of bruises (AIB 539, Guide 1, R).
    """
    if grade is Grade.CULLS:
        return NotForIt.CULLS
    if grade is Grade.WINDFALLS and preserve.method is PutUp.CANNER:
        return NotForIt.WINDFALLS_IN_JARS
    if grade is Grade.USE_NOW and preserve.method is PutUp.CANNER:
        return NotForIt.BRUISED_IN_JARS
    names = (preserve.name, preserve.key.replace("-", " "))
    if grade is Grade.WINDFALLS and any(_JUICE.search(name.casefold()) for name in names):
        return NotForIt.WINDFALLS_IN_JUICE
    return None
