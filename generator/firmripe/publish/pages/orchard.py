"""The orchard part by part, in walking order: how far each tree is, as a mark, in two words and in a sentence."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from datetime import date, timedelta
from itertools import groupby
from typing import Final

from msgspec.structs import replace

from firmripe.calendar.states import State, standing_of
from firmripe.holding.fruit import Event
from firmripe.holding.place import PlanRow
from firmripe.holding.tree import Bearing, Tree
from firmripe.plan import Plan
from firmripe.publish.pages.plain_reasons import next_date
from firmripe.publish.pages.season_drawing import CHECK
from firmripe.publish.views import Link, View
from firmripe.season.estimate import Estimate, NoDate
from firmripe.tongue import mark
from firmripe.wording import words_of
from firmripe.wording.clashes import clash_words
from firmripe.words import of_crop, short_day


class TreeMark(View, frozen=True, kw_only=True):
    """A tree in its part of the orchard.

    `state` is now, look, later, picked or none; `short` says it in two words, `words` in a sentence.
    """

    tree: Link
    kinds: str
    where: str
    state: str
    short: str
    words: str
    clashes: tuple[str, ...]


class TreePart(View, frozen=True, kw_only=True):
    """A part of the orchard, its trees in walking order."""

    name: str
    trees: tuple[TreeMark, ...]


class TreeRow(View, frozen=True, kw_only=True):
    """A row of the plan as one sees it from the gate: what stands at each place from left to right, if anything."""

    name: str
    places: tuple[TreeMark | None, ...]


SOON_D = 7
"""What is to be picked within so many days is picked now, as the store has it. J."""
STATES: Final = ("now", "look", "later", "picked", "none")
"""How far a crop is, the most pressing first: a tree with several shows that of its most pressing one."""

_AFTER: Final = {
    State.STORED: mark("in store"),
    State.OUT: mark("taken out"),
    State.READY: mark("ripe"),
    State.USED_UP: mark("used up"),
}


def parts_of(plan: Plan, link: Callable[[str], Link]) -> tuple[TreePart, ...]:
    """Return the parts of the orchard with their trees; `link` leads to a tree by its tag."""
    looked = {
        bearing: entry.span.first
        for entry in reversed(plan.calendar.entries)
        if entry.task.key == CHECK
        for bearing in entry.bearings
    }
    grown, standing = set(plan.season.bearings), {tree.tag for tree in plan.season.standing}
    marks = [
        (
            tree.part,
            mark
            if tree.tag in standing
            else replace(mark, state="none", short=plan.holding.place.tongue.say("stands no more"), clashes=()),
        )
        for tree in plan.holding.trees
        for mark in [_mark(plan, tree, [b for b in tree.bearings if b in grown], looked, link(tree.tag))]
    ]
    return tuple(
        TreePart(name=name, trees=tuple(tree for _part, tree in group))
        for name, group in groupby(marks, key=lambda pair: pair[0])
    )


def only_of(parts: Iterable[TreePart], tags: AbstractSet[str]) -> tuple[TreePart, ...]:
    """Return parts with some of their trees alone, without those that have none of them."""
    found = (replace(part, trees=tuple(mark for mark in part.trees if mark.tree.text in tags)) for part in parts)
    return tuple(part for part in found if part.trees)


def rows_of(plan: Plan, parts: Sequence[TreePart]) -> tuple[tuple[TreeRow, ...], tuple[TreePart, ...]]:
    """Return the household's plan of its ground, and the parts with the trees that stand in no row of it.

    Of a row that is told on several pages there are the places from the first of these trees to the last. Both are
    empty where no plan is told.
    """
    marks = {mark.tree.text: mark for part in parts for mark in part.trees}
    told = [(row, places) for row in plan.holding.place.plan if (places := _places_of(row, marks))]
    wide = max((len(places) for _row, places in told), default=0)  # so that places lie above each other in every row
    rows = tuple(
        TreeRow(name=row.name, places=tuple(marks.get(tag) for tag in (*places, *[""] * (wide - len(places)))))
        for row, places in told
    )
    planned = {tag for row in plan.holding.place.plan for tag in row.tags}
    beside = (replace(part, trees=tuple(m for m in part.trees if m.tree.text not in planned)) for part in parts)
    return rows, tuple(part for part in beside if part.trees) if rows else ()


def _places_of(row: PlanRow, marks: Mapping[str, TreeMark]) -> tuple[str, ...]:
    """Return the places of a row that hold these trees, and what lies between them; all where it holds no other."""
    own = [at for at, tag in enumerate(row.tags) if tag in marks]
    if not own or len(own) == sum(map(bool, row.tags)):
        return row.tags if own else ()
    return row.tags[own[0] : own[-1] + 1]


def _mark(plan: Plan, tree: Tree, bearings: Sequence[Bearing], looked: Mapping[Bearing, date], link: Link) -> TreeMark:
    tongue = plan.holding.place.tongue
    told = [_state(plan, bearing, looked.get(bearing)) for bearing in bearings]
    state, short = min(told, key=lambda one: STATES.index(one[0]), default=("none", tongue.say("stands no more")))
    picks = [plan.season.of(bearing, Event.PICK) for bearing in bearings]
    clashes = [clash_words(tongue, pick) for pick in picks if isinstance(pick, Estimate)]
    return TreeMark(
        tree=link,
        kinds=", ".join(limb.name for limb in tree.limbs),
        where=tree.place,
        state=state,
        short=short,
        words="; ".join(words for bearing in bearings if (words := _words(plan, bearing, several=len(bearings) > 1))),
        clashes=tuple(dict.fromkeys(clash for clash in clashes if clash)),
    )


def _state(plan: Plan, bearing: Bearing, looked_from: date | None) -> tuple[str, str]:
    """Return how far a crop is, and that in two words."""
    tongue = plan.holding.place.tongue
    pick, as_of = plan.season.of(bearing, Event.PICK), plan.season.as_of
    standing = standing_of(plan.season, plan.lots.get(bearing), bearing, looked_from)
    if standing.state is State.LOST or not isinstance(pick, Estimate):
        lost = standing.state is State.LOST
        return "none", tongue.say("lost") if lost else tongue.say(
            "no crop"
        ) if bearing not in plan.lots else tongue.say("no date")
    if standing.state is State.PICKING:
        if not standing.of:
            return "now", tongue.say("more hangs")
        return "now", tongue.say("{n} of {of} picked", n=standing.picked, of=standing.of)
    if standing.state in _AFTER:
        return "picked", tongue.term(_AFTER[standing.state])
    if pick.likely <= as_of + timedelta(days=SOON_D):
        return "now", tongue.say("pick now") if pick.likely <= as_of else tongue.say(
            "pick {day}", day=short_day(tongue, pick.likely)
        )
    is_looked_at = standing.state in {State.LOOK, State.OPEN}
    return ("look", tongue.say("look now")) if is_looked_at else ("later", short_day(tongue, pick.likely))


def _words(plan: Plan, bearing: Bearing, *, several: bool) -> str:
    tongue = plan.holding.place.tongue
    lot, pick = plan.lots.get(bearing), plan.season.of(bearing, Event.PICK)
    coming = next_date(plan.season, bearing, lot)
    said = coming.text if coming else words_of(pick.reason, tongue) if isinstance(pick, NoDate) else ""
    name = plan.holding.limb(bearing).name + of_crop(tongue, bearing.crop)
    return f"{name}: {said}" if several and said else said
