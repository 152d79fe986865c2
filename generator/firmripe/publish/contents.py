"""Which of the main pages there are: those that have something on them, and no others."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from firmripe.holding.matter import Matter
from firmripe.holding.place import Place
from firmripe.holding.preserve import Preserve, PutUp
from firmripe.holding.record import PICKINGS
from firmripe.plan import Plan
from firmripe.reading.fields import SHELF
from firmripe.tongue import mark

_TITLES: Final = {
    "index.html": mark("Today"),
    "year.html": mark("The year"),
    "trees.html": mark("Trees"),
    "tests.html": mark("Is it time?"),
    "jobs.html": mark("Jobs"),
    "note.html": mark("Note what happened"),
    "store.html": mark("Store"),
    "rooms.html": mark("Rooms"),
    "kitchen.html": mark("Kitchen"),
    "harvest.html": mark("The harvest"),
    "since.html": mark("Since last year"),
    "sheets/index.html": mark("On paper"),
    "subscribe.html": mark("In your calendar"),
    "people.html": mark("People"),
    "safety.html": mark("Take care"),
    "dates.html": mark("How these dates are made"),
    "review.html": mark("The year in review"),
    "hindcast.html": mark("How past dates held"),
    "sources.html": mark("Sources"),
}
ABOUT: Final = frozenset(
    {
        *("since.html", "review.html", "subscribe.html", "people.html", "safety.html"),
        *("dates.html", "hindcast.html", "sources.html"),
    }
)
"""Pages that one turns to now and then: they are named below each page, so that the work comes first on a phone."""
OFF_THE_WAY: Final = ABOUT | {"note.html"}
"""Pages that the way through the site does not name: they have a place of their own on every page."""


def main_pages(plan: Plan) -> dict[str, str]:
    """Return the main pages with their English titles, in the order of the way through the site."""
    return {path: title for path, title in _TITLES.items() if _HAS.get(path, _always)(plan)}


def _always(_plan: Plan) -> bool:
    return True


def _has_several_trees(plan: Plan) -> bool:
    """Say whether there is a list of trees to show; one tree stands whole on the first page."""
    return len(plan.holding.trees) > 1


def _has_tests(plan: Plan) -> bool:
    """Say whether a fruit here has a test; those of a single tree stand with it on the first page."""
    limbs = (limb for tree in plan.holding.trees for limb in tree.limbs)
    return _has_several_trees(plan) and any(limb.fruit and limb.fruit.traits.signs for limb in limbs)


def _is_stored(plan: Plan) -> bool:
    return bool(plan.store.carried or plan.store.batches or plan.store.lapsed)


def _has_store(plan: Plan) -> bool:
    """Say whether the store tells more than the first page of a single tree does, whose rooms are a part of it."""
    store = plan.store
    if store.carried or store.take_outs or store.divisions or store.account.seasons:
        return True
    return _is_stored(plan) if _has_several_trees(plan) else _has_spaces(plan)


def _has_spaces(plan: Plan) -> bool:
    """Say whether there is a space, and something to tell of what lies in one."""
    return bool(plan.holding.place.spaces) and (_is_stored(plan) or bool(plan.store.warnings))


def _has_review(plan: Plan) -> bool:
    """Say whether there is a season to look back on; of a single tree all of it stands on this page."""
    if _has_several_trees(plan):
        return has_history(plan)
    return has_history(plan) or has_former_season(plan) or bool(plan.replays)


def _has_harvest(plan: Plan) -> bool:
    """Say whether there is more to tell than the one picking of a single tree that is still planned."""
    batches = [batch for lot in plan.lots.values() for batch in lot.batches]
    return (
        _was_picked(plan)
        or any(batch.picked_noted for batch in batches)
        or (_has_several_trees(plan) and bool(batches))
    )


def _was_picked(plan: Plan) -> bool:
    return any(batch.picked_noted for lot in plan.store.former.values() for batch in lot.batches)


def has_former_season(plan: Plan) -> bool:
    """Say whether anything was noted of the season before."""
    before, as_of = plan.season.year.year - 1, plan.season.as_of
    return any(record.season == before and record.day <= as_of for record in plan.holding.records)


def has_history(plan: Plan) -> bool:
    """Say whether anything was picked in a season that is over."""
    year, as_of = plan.season.year.year, plan.season.as_of
    return any(r.what in PICKINGS and r.season < year and r.day <= as_of for r in plan.holding.records)


def has_contacts(place: Place) -> bool:
    """Say whether anybody can be reached by what the notes tell."""
    return any(person.phone or person.email for person in place.people)


def offered(plan: Plan) -> tuple[Preserve, ...]:
    """Return the preserves that pages speak of: no jars where a household does not can."""
    cans = Matter.CANNING not in plan.holding.place.without
    return tuple(one for one in plan.holding.preserves if cans or one.method is not PutUp.CANNER)


def preserves_with_page(plan: Plan) -> tuple[Preserve, ...]:
    """Return the preserves that have a page: those that the wants name, and those a household wrote of its fruit."""
    wanted = {met.want.preserve for met in plan.kitchen.wants} if plan.kitchen else set()
    limbs = [limb for tree in plan.holding.trees for limb in tree.limbs]
    grown = {limb.key for limb in limbs} | {limb.fruit.key for limb in limbs if limb.fruit}
    return tuple(
        preserve
        for preserve in offered(plan)
        if preserve.key in wanted or (preserve.subjects & grown and not preserve.where.file.startswith(SHELF))
    )


def has_cautions(plan: Plan) -> bool:
    """Say whether anything in the plan can hurt."""
    limbs = (limb for tree in plan.holding.trees for limb in tree.limbs)
    return (
        plan.kitchen is not None
        or any(plan.holding.needed_for(entry.task.cautions, entry.bearings) for entry in plan.calendar.entries)
        or any(limb.traits.cautions for limb in limbs)
    )


_HAS: Final[Mapping[str, Callable[[Plan], bool]]] = {
    "year.html": lambda plan: bool(plan.calendar.entries or plan.lots),
    "trees.html": _has_several_trees,
    "tests.html": _has_tests,
    "jobs.html": lambda plan: bool(plan.calendar.entries),
    "note.html": lambda plan: not plan.reader.is_everybody,
    "store.html": _has_store,
    "rooms.html": lambda plan: _has_several_trees(plan) and _has_spaces(plan),
    "kitchen.html": lambda plan: plan.kitchen is not None,
    "harvest.html": _has_harvest,
    "since.html": lambda plan: _has_several_trees(plan) and has_former_season(plan),
    "people.html": lambda plan: has_contacts(plan.holding.place),
    "safety.html": has_cautions,
    "review.html": _has_review,
    "hindcast.html": lambda plan: _has_several_trees(plan) and bool(plan.replays),
}
"""What each page needs; one that is not named here is always there."""
