"""The whole method of a preserve, step by step in the order of work, as facts: what is done, with which figures.

Steps come from three places: the printed row that was looked up (minutes, acid, headspace, water, pack), the preserve's
own note (how its fruit is cut and heated), and the way of putting up (rims, lids, cooling, testing).
What is printed nowhere is no step.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Final

from msgspec import Struct

from firmripe.holding.figures import Cited, Figure
from firmripe.holding.jar import Jar, JarSize
from firmripe.holding.kitchen import PotKind
from firmripe.holding.method import Act, WrittenStep
from firmripe.holding.preserve import Preserve, PutUp
from firmripe.holding.process import Pack, ProcessTable, Syrup
from firmripe.kitchen.tables.amounts import load_beside
from firmripe.kitchen.tables.processes import Minutes

_NO_BUBBLES: Final = re.compile(r"\b(?:jam|jelly)\b|(?<!in )\bjuice\b")
"""Jams, jellies and juices, in which no bubbles are freed (AIB 539, Guide 1, R)."""
_IN_LIQUID: Final = re.compile(r"\b(?:in water|in juice|spiced)\b")
"""Products that are covered with a liquid without a syrup being named for them, by the names of their processes."""


_OWN_INSTEAD: Final = frozenset({Act.FILL, Act.DONE, Act.CONDITION, Act.KEEP})
"""Steps of a way of putting up whose place a preserve's own take: a sheet of leather lies in no jars to be shaken."""


class Step(Struct, frozen=True, kw_only=True):
    """One step. Either `words` are the shelf's own, or the figures say it; `cited` is where it comes from.

    `pot` is the kind of pot that it is for, None where it is for any. `found` is set for the minutes, the acid, the
    headspace, the water and the boiling of empty jars; `above` says that its figures differ from jar to jar or from
    kitchen to kitchen and stand elsewhere on the page. `syrup` (for one load of `load` jars) for the liquid.
    """

    act: Act
    cited: Cited
    words: Figure[str] | None = None
    pot: PotKind | None = None
    published: Minutes | None = None
    above: bool = False
    syrup: Syrup | None = None
    load: JarSize | None = None


class Method(Struct, frozen=True, kw_only=True):
    """How a preserve is made: its steps. `pots` are the kinds of pots they hold for, empty where nothing is canned."""

    steps: tuple[Step, ...] = ()
    pots: tuple[PotKind, ...] = ()


def method_of(table: ProcessTable, preserve: Preserve, jar: Jar | None, founds: Sequence[Minutes]) -> Method:
    """Return the method of a preserve in a jar, by what was looked up for its pots.

    Something that goes into a canner has no steps without minutes: no advice is better than half of it.
    """
    if preserve.method is PutUp.CANNER and not founds:
        return Method()
    by_pot = {found.kind: found for found in founds}
    facts = _facts(preserve, founds)
    written = [*preserve.steps, *table.steps]
    own_acts = {step.act for step in preserve.steps}
    steps = []
    for act in Act:
        for step in written:
            is_replaced = act in _OWN_INSTEAD and act in own_acts and step not in preserve.steps
            if step.act is act and not is_replaced:
                steps += list(_written(step, facts, by_pot))
        steps += list(_looked_up(act, table, preserve, jar, by_pot))
    return Method(steps=tuple(steps), pots=tuple(by_pot))


def _facts(preserve: Preserve, founds: Sequence[Minutes]) -> frozenset[str]:
    if preserve.method is not PutUp.CANNER:
        return frozenset({preserve.method.value})
    process = preserve.process.value if preserve.process else ""
    pack = Pack.RAW if process.endswith(f"{Pack.RAW.value} pack") else Pack.HOT
    is_covered = bool(preserve.liquid) or _IN_LIQUID.search(process) is not None
    facts = {"jars", f"{pack.value} pack", "packed in liquid" if is_covered else "filled as it is"}
    if not _NO_BUBBLES.search(process):
        facts.add("with bubbles")
    if any(found.recipe_only for found in founds):
        facts.add("printed recipe")
    return frozenset(facts)


def _written(step: WrittenStep, facts: frozenset[str], by_pot: dict[PotKind, Minutes]) -> Iterator[Step]:
    """Yield a step of the shelf if it holds: once, or once for each kind of pot that it needs."""
    cited = step.words.cited
    if step.needs <= facts:
        yield Step(act=step.act, words=step.words, cited=cited)
        return
    for pot in by_pot:
        if step.needs <= facts | {pot.value}:
            yield Step(act=step.act, words=step.words, cited=cited, pot=pot if len(by_pot) > 1 else None)


def _looked_up(
    act: Act, table: ProcessTable, preserve: Preserve, jar: Jar | None, by_pot: dict[PotKind, Minutes]
) -> Iterator[Step]:
    """Yield the steps whose figures were looked up."""
    founds = list(by_pot.values())
    if not founds:
        return
    first = founds[0]
    longest = max(founds, key=lambda found: found.sterilise_min)
    if act is Act.STERILISE and longest.sterilise_min:
        yield Step(act=act, cited=_cited(table.sterilise_below, longest), published=longest)
    elif act is Act.ACID and first.acid:
        yield Step(act=act, cited=first.acid_cited or first.cited, published=first)
    elif act is Act.HEADSPACE and first.headspace:
        yield Step(act=act, cited=first.cited, published=first)
    elif act is Act.LIQUID and preserve.liquid in table.syrups and jar is not None:
        syrup = table.syrups[preserve.liquid]
        yield Step(act=act, cited=syrup.cited, syrup=syrup, load=load_beside(jar))
    elif act in {Act.WATER, Act.COUNT}:
        for pot, found in by_pot.items():
            if act is Act.COUNT or found.water_in:
                cited = found.cited if act is Act.COUNT else _cited(table.deep_water_above, found)
                yield Step(act=act, cited=cited, published=found, pot=pot if len(by_pot) > 1 else None)


def _cited(rule: Figure[int] | None, found: Minutes) -> Cited:
    """Return where a rule about minutes stands, or the row where the shelf has no such rule."""
    return rule.cited if rule else found.cited
