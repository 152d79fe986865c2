"""From the dates of a season to the life of each lot: picked, cold, out, ready, used up.

A lot is the fruit of one crop of one cultivar on one tree. This is the first form: one lot for each, with the days of
its cultivar. The published range of each step is added at both ends, so a late day is late in every step.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta

from firmripe.days import DayCount
from firmripe.holding.figures import Figure
from firmripe.holding.fruit import Event, Ripens, Traits
from firmripe.holding.record import Happening
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.season.estimate import Estimate, Happens, Reach, Reason
from firmripe.season.season import Season

LONGEST_IN_STORE_D = 300
"""Days after the pick within which a line of the records can be about a lot; later ones are about the next. J."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lot:
    """The fruit of one bearing after the pick. `days` holds the stages that can be dated, `reasons` the steps."""

    bearing: Bearing
    days: Mapping[Stage, Reach]
    reasons: tuple[Reason, ...]
    needs_cold: bool
    undated: Mapping[Stage, str]


def follow(season: Season) -> dict[Bearing, Lot]:
    """Return the lot of every bearing that is going to be picked, or was."""
    found = {}
    for tree in season.holding.trees:
        for limb in tree.limbs:
            for crop in limb.crops:
                bearing = Bearing(tree.tag, limb.key, crop)
                pick = season.dates.get(Happens.of(bearing, Event.PICK))
                if isinstance(pick, Estimate):
                    found[bearing] = _lot(season, bearing, limb.traits, pick)
    return found


def conditioning_for(traits: Traits, space_c: float | None) -> Figure[DayCount] | None:
    """Return the cold days that hold for a space of this temperature (°C); None where none are known or needed.

    Fruit in a colder place needs longer, so of the published temperatures the nearest one at or below the space's
    is taken, never a shorter one from above; for a space colder than all, or unknown, the coldest.
    """
    known = [figure for figure in traits.conditioning if figure.value.high > 0]
    if not known:
        return None
    at = {figure.at_c.middle: figure for figure in known if figure.at_c}
    if not at:
        return known[0]
    if space_c is None:
        return at[min(at)]
    return at[max((t for t in at if t <= space_c + 0.05), default=min(at))]


def _lot(season: Season, bearing: Bearing, traits: Traits, pick: Estimate) -> Lot:
    days: dict[Stage, Reach] = {Stage.PICK: pick.reach}
    reasons: list[Reason] = []
    undated: dict[Stage, str] = {}
    ripens = traits.ripens_off_the_tree
    cold = None
    if ripens is None or ripens.value is not Ripens.NO:
        cold = conditioning_for(traits, season.holding.place.coldest_c)
    out = pick.reach
    if cold is not None:
        out = pick.reach.after(cold.value.low, cold.value.middle, cold.value.high)
        days[Stage.CONDITIONED] = out
        reasons.append(_step("In the cold", cold))
    noted_ready = _noted(season, bearing, Happening.READY, pick)
    out = _noted(season, bearing, Happening.TAKEN_OUT, pick) or out
    if noted_ready is not None and noted_ready.likely < out.likely:
        out = noted_ready  # what is ready lies in the cold no longer, even if nobody noted when it came out
    days[Stage.TAKE_OUT] = out
    ready = noted_ready or _ready(traits, out, undated, reasons)
    if ready is None:
        undated[Stage.USE_BY] = undated[Stage.READY]
    else:
        days[Stage.READY] = ready
        ripe_at_once = traits.counter is None or traits.counter.value.high == 0
        good = traits.keeps_ripe or (traits.keeps if ripe_at_once and cold is None else None)
        if good is not None:
            days[Stage.USE_BY] = ready.after(good.value.low, good.value.middle, good.value.high)
            reasons.append(_step("Stays good once ready", good))
        else:
            undated[Stage.USE_BY] = "how long it stays good once ready is not known"
    if traits.keeps is not None:
        limit = traits.keeps.value
        days[Stage.KEEP_UNTIL] = pick.reach.after(limit.low, limit.middle, limit.high)
        reasons.append(_step("Keeps in the cold at most", traits.keeps))
    else:
        undated[Stage.KEEP_UNTIL] = "no published limit of keeping is on the shelf"
    return Lot(bearing=bearing, days=days, reasons=tuple(reasons), needs_cold=cold is not None, undated=undated)


def _ready(traits: Traits, out: Reach, undated: dict[Stage, str], reasons: list[Reason]) -> Reach | None:
    if traits.counter is not None:
        reasons.append(_step("On the counter", traits.counter))
        days = traits.counter.value
        return out.after(days.low, days.middle, days.high)
    ripens = traits.ripens_off_the_tree
    if ripens is not None and ripens.value is Ripens.NO:
        return out
    undated[Stage.READY] = "how many days it takes to ripen indoors is not known"
    return None


def _step(what: str, figure: Figure[DayCount]) -> Reason:
    at = f", {figure.note}" if figure.note else ""
    return Reason(text=f"{what}: {figure.text}{at}", days=None, cited=(figure.cited,))


def _noted(season: Season, bearing: Bearing, what: Happening, pick: Estimate) -> Reach | None:
    """Return the recorded day of a step; None where the records don't have it.

    Last season's fruit is still leaving the store in winter, so a line counts for this lot only from its pick on.
    """
    last = min(season.as_of, pick.earliest + timedelta(days=LONGEST_IN_STORE_D))
    for record in season.holding.records:
        if (
            record.what is what
            and pick.earliest <= record.day <= last
            and record.tree == bearing.tree
            and record.is_about(bearing.tree, bearing.cultivar, bearing.crop)
        ):
            return Reach(earliest=record.day, likely=record.day, latest=record.day)
    return None
