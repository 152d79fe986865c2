"""How far a crop is: one state, entered by a record or, before there is one, by the plan."""

from __future__ import annotations

from datetime import date
from enum import Enum

from msgspec import Struct

from firmripe.calendar.pickings import due
from firmripe.harvest.lots import Batch, Lot
from firmripe.harvest.passes import has_no_next_day
from firmripe.harvest.store import is_finished
from firmripe.holding.record import Happening
from firmripe.holding.tree import Bearing
from firmripe.season.season import Season


class State(Enum):
    """The states of a crop, in their order."""

    NONE = "no crop"
    NOT_YET = "not yet"
    LOOK = "look"
    OPEN = "pick open"
    PICKING = "being picked"
    STORED = "in store"
    OUT = "out"
    READY = "ready"
    USED_UP = "used up"
    LOST = "lost"


class Standing(Struct, frozen=True, kw_only=True):
    """The state of a crop: `noted` says that a record entered it; `picked` of `of` pickings are noted.

    `of` is 0 where nobody knows how many there will be; `following` is the day on which the next picking is due, None
    where none is planned.
    """

    state: State
    noted: bool
    picked: int = 0
    of: int = 0
    following: date | None = None


def standing_of(season: Season, lot: Lot | None, bearing: Bearing, looked_from: date | None = None) -> Standing:
    """Return how far a crop is as known on the season's day; `looked_from` is the day from which it is looked at."""
    pick, today = season.picks.get(bearing), season.as_of
    if lot is None or pick is None:
        if _is_noted(season, bearing, Happening.LOST):
            return Standing(state=State.LOST, noted=True)
        return Standing(state=State.NONE, noted=_is_noted(season, bearing, Happening.NO_CROP))
    noted = [picking for picking in lot.pickings if picking.noted]
    to_come = [picking for picking in lot.pickings if not picking.noted]
    following = to_come[0].due if to_come else None
    if has_no_next_day(season, bearing, lot.pickings):
        return Standing(state=State.PICKING, noted=True, picked=len(noted))
    if not to_come:
        state, is_noted = _after(lot, today)
        return Standing(state=state, noted=is_noted, picked=len(noted), of=len(lot.pickings))
    if noted:
        state, is_noted = State.PICKING, True
    elif due(to_come[0], pick).earliest <= today:
        state, is_noted = State.OPEN, False
    else:
        looked = looked_from is not None and looked_from <= today
        state, is_noted = (State.LOOK if looked else State.NOT_YET), False
    return Standing(state=state, noted=is_noted, picked=len(noted), of=len(lot.pickings), following=following)


def _after(lot: Lot, today: date) -> tuple[State, bool]:
    """Return the state of a crop that is picked, that of its batch which is least far, and whether it was noted."""
    left = [batch for batch in lot.batches if not is_finished(batch, today)]
    if not left:
        return State.USED_UP, all(out.noted for batch in lot.batches for out in batch.outs)
    order = list(State)
    return min((_of_batch(batch, today) for batch in left), key=lambda one: order.index(one[0]))


def _of_batch(batch: Batch, today: date) -> tuple[State, bool]:
    gone = [out for out in batch.outs if out.day <= today]
    if today < batch.last_out:
        return State.STORED, batch.stored_noted or batch.picked_noted
    ready = [out for out in gone if out.ready is not None and out.ready.likely <= today]
    if ready or not gone:
        return State.READY, batch.ready_noted
    return State.OUT, all(out.noted for out in gone)


def _is_noted(season: Season, bearing: Bearing, what: Happening) -> bool:
    names = (bearing.tree, bearing.cultivar, bearing.crop)
    return any(
        record.what is what and record.season == season.year.year and record.day <= season.as_of
        for record in season.holding.noted(bearing.tree)
        if record.is_about(*names)
    )
