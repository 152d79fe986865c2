"""Pack-out: what share of what came in was of which grade, by the household's own sorting."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction

from firmripe.harvest.grades import percents, sorted_kg
from firmripe.holding.weight import Grade, Weight
from firmripe.plan import Plan
from firmripe.problems import in_order
from firmripe.tongue import Tongue
from firmripe.wording.holding import weight_words


def pack_outs(plan: Plan, year: int) -> tuple[tuple[str, str], ...]:
    """Return the cultivars that were sorted in a season, with their pack-out beside that of the seasons before."""
    tongue = plan.holding.place.tongue
    found = []
    for name, by_season in _sorted(plan):
        now = by_season.get(year)
        if not now:
            continue
        whole = Weight.of(sum(now.values(), Fraction(0)))
        text = tongue.say(
            "{grades}, of {weight} sorted", grades=_grades(tongue, now), weight=weight_words(tongue, whole)
        )
        before = _together(of for season, of in by_season.items() if season < year)
        if before:
            text = tongue.say("{now}; in seasons before {grades}", now=text, grades=_grades(tongue, before))
        found.append((name, text))
    return tuple(sorted(found, key=lambda pair: in_order(pair[0])))


def _sorted(plan: Plan) -> Iterator[tuple[str, dict[int, dict[Grade, Fraction]]]]:
    """Yield each cultivar with what was sorted of all its trees, by season and grade (kg)."""
    by_name: dict[str, dict[int, dict[Grade, Fraction]]] = {}
    for tree in plan.holding.trees:
        for bearing in tree.bearings:
            limb = plan.holding.limb(bearing)
            seasons = by_name.setdefault(limb.name, {})
            for season, kgs in sorted_kg(plan.season, limb, bearing).items():
                seasons[season] = _together([seasons.get(season, {}), kgs])
    yield from by_name.items()


def _together(parts: Iterator[dict[Grade, Fraction]] | list[dict[Grade, Fraction]]) -> dict[Grade, Fraction]:
    found: dict[Grade, Fraction] = {}
    for part in parts:
        for grade, kg in part.items():
            found[grade] = found.get(grade, Fraction(0)) + kg
    return found


def _grades(tongue: Tongue, kgs: Mapping[Grade, Fraction]) -> str:
    """Say the grades with their whole percents, the best first; one that is less than half of one as under 1 %."""
    return ", ".join(
        f"{percent} % {tongue.term(grade.value)}"
        if percent
        else tongue.say("under 1 % {grade}", grade=tongue.term(grade.value))
        for grade, percent in percents(kgs).items()
    )
