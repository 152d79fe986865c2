"""The days of one picking in one space: cold, out, ready, used up, each with what it rests on.

The published range of each step is added at both ends, so a late day is late in every step. What is ripe is to be used
by the low end of the days it stays good.
"""

from __future__ import annotations

from datetime import date

from firmripe.days import DayCount
from firmripe.harvest.because import (
    CutShort,
    KeepingNotTold,
    LimitTooShort,
    LookOver,
    MayNotRipen,
    NotKnown,
    RipeningStep,
    RoomUnlike,
    StepTakes,
    ToBeUsedSoon,
)
from firmripe.harvest.conditioning import Cold, Room, cold_for, counter_for, ripens_after_picking, room_verdict
from firmripe.harvest.drafts import Draft
from firmripe.harvest.keeping import Kept, NotPrintedForSpace, kept_until
from firmripe.harvest.passes import Picking
from firmripe.harvest.spaces import ripening_rooms
from firmripe.holding.figures import Figure
from firmripe.holding.fruit import Ripens
from firmripe.holding.place import Space
from firmripe.holding.record import Happening
from firmripe.holding.task import Stage
from firmripe.remark import Remark
from firmripe.season.estimate import Reach, Reason

ROOM_C = 1.0
"""So much (°C) outside the temperatures that counter days are told for a room is still like them. J."""
WINTER_COLD_D = 14
"""Fruit that needs so much cold is winter fruit; what needs less ripens in a rush and is not spread. J."""


class Life:
    """The days of one picking in one space."""

    def __init__(self, draft: Draft, picking: Picking, space: Space | None, taken: list[date]) -> None:
        self._season = draft.season
        self._draft = draft
        self._picking = picking
        self._space = space
        self._taken = taken
        self.weighed = picking.weight is not None
        self.days: dict[Stage, Reach] = {Stage.PICK: picking.day}
        self.reasons: list[Reason] = []
        self.undated: dict[Stage, Remark] = {}
        self.needs_cold = False
        self.ready_noted = False
        self.room: Space | None = None
        self.alerts: list[Remark] = []
        self._cold_d = DayCount(low=0, high=0)
        self._counter: Figure[DayCount] | None = None

    @property
    def is_winter_fruit(self) -> bool:
        """Whether it is taken out little by little: it needs long cold, or is fit to eat as it lies."""
        return self._cold_d.low >= WINTER_COLD_D or not ripens_after_picking(self._draft.traits)

    def work_out(self, room: Space | None = None) -> None:
        """Date every stage that can be dated, and say why the others can't. `room` is where it ripens, if told."""
        traits, picked = self._draft.traits, self._picking.day
        place = self._season.holding.place
        at = self._space.at(picked.likely) if self._space else place.coldest_c
        out = picked
        early = self._draft.early
        first = early.mature_from if early else self._draft.pickings[0].day.likely
        ripens = traits.ripens_off_the_tree
        past = max(0, (picked.likely - first).days)
        cold = None if ripens is not None and ripens.value is Ripens.NO else self._cold(at, past)
        if cold is not None:
            self.needs_cold, self._cold_d = True, cold.days
            out = picked.after(cold.days.low, cold.days.middle, cold.days.high)
            self.days[Stage.CONDITIONED] = out
            self._rests_on(StepTakes(step=RipeningStep.COLD, figure=cold.figure))
            if cold.late is not None:
                self._rests_on(StepTakes(step=RipeningStep.COLD_WHEN_LATE, figure=cold.late, days_past=cold.days_past))
        noted_ready = self._noted_ready()
        self.ready_noted = noted_ready is not None
        if cold is not None and self._taken and not self._draft.tasted:
            self._cut_short(cold, self._taken[0])
        out = Reach.on(self._taken[0]) if self._taken else out
        if noted_ready is not None and noted_ready.likely < out.likely:
            out = noted_ready  # what is ready lies in the cold no longer, even if nobody noted when it came out
        self.days[Stage.TAKE_OUT] = out
        if ripens_after_picking(traits):
            self.room = room or next(iter(ripening_rooms(place, self._draft.limb, out.likely)), None)
        room_c = self.room.at(out.likely) if self.room else None
        self._counter = counter_for(traits, room_c)
        ready = noted_ready or self._ready(out)
        if ready is None:
            self.undated[Stage.USE_BY] = self.undated[Stage.READY]
        else:
            self.days[Stage.READY] = ready
            self._use_by(ready)
        self._keep_until()

    def leave_the_cold_soon(self) -> None:
        """Let it have no last day in the cold, since it is not kept beyond the days it needs there.

        Where nobody knows when it is ready that day stays: it is the only one by which it is looked for.
        """
        if Stage.READY in self.days and self.days.pop(Stage.KEEP_UNTIL, None) is not None:
            self.undated[Stage.KEEP_UNTIL] = ToBeUsedSoon()

    def _cold(self, at: float | None, days_past: int) -> Cold | None:
        early = self._draft.early
        is_early = early is not None and self._picking.day.likely < early.mature_from
        return cold_for(self._draft.traits, at, days_past, early=is_early)

    def _cut_short(self, cold: Cold, out: date) -> None:
        """Warn of what came out before it had the cold it needs."""
        lain = (out - self._picking.day.likely).days
        if lain < cold.days.low:
            apple = self._draft.traits.ripe_apple
            self.alerts.append(CutShort(day=out, lain_d=lain, cold=cold.figure, apple=apple))

    def _rests_on(self, told: StepTakes) -> None:
        """Tell of the figure that a step rests on, with its source."""
        self.reasons.append(Reason(why=told, cited=(told.figure.cited,)))

    def _noted_ready(self) -> Reach | None:
        """Return when it was noted as ready; what hung by then was other fruit, or its picking was not noted."""
        if self._picking.number > 1:
            return None
        noted = (record.day for record in self._draft.noted(Happening.READY))
        day = next((day for day in noted if day >= self._picking.day.likely), None)
        return Reach.on(day) if day is not None else None

    def _ready(self, out: Reach) -> Reach | None:
        traits = self._draft.traits
        if self.room is not None:
            at = self.room.at(out.likely)
            if at is not None and room_verdict(traits, at) is Room.FAILS:
                self.undated[Stage.READY] = MayNotRipen(room=self.room, at_c=at)
                return None
        if self._counter is not None:
            self._rests_on(StepTakes(step=RipeningStep.COUNTER, figure=self._counter))
            self._mind_the_room(self._counter, out.likely)
            return self.ready_after(out)
        ripens = traits.ripens_off_the_tree
        if ripens is not None and ripens.value is Ripens.NO:
            return out
        self.undated[Stage.READY] = NotKnown.RIPENING
        return None

    def _mind_the_room(self, counter: Figure[DayCount], day: date) -> None:
        """Say that a room is cooler or warmer than its days were told for; no number is made up for it."""
        at = self.room.at(day) if self.room else None
        if self.room is None or at is None or counter.at_c is None:
            return
        is_cooler = at < counter.at_c.low - ROOM_C
        if is_cooler or at > counter.at_c.high + ROOM_C:
            self.reasons.append(Reason(why=RoomUnlike(room=self.room, is_cooler=is_cooler)))

    def ready_after(self, out: Reach | date) -> Reach | None:
        """Return when fruit taken out on a day is ready; None where that is not known.

        After longer cold than it needs it may be ready sooner: the published least counts for the earliest day.
        """
        traits = self._draft.traits
        if Stage.READY in self.undated or self._counter is None:
            return None
        day = Reach.on(out) if isinstance(out, date) else out
        days = self._counter.value
        longer = self.days.get(Stage.CONDITIONED)
        stored = traits.counter_after_storage
        if stored is not None and longer is not None and day.likely > longer.likely:
            days = DayCount(low=min(days.low, stored.value.low), high=days.high)
            return day.after(days.low, min(self._counter.value.middle, days.high), days.high)
        return day.after(days.low, days.middle, days.high)

    def _use_by(self, ready: Reach) -> None:
        traits = self._draft.traits
        ripe_at_once = traits.counter is None or traits.counter.value.high == 0
        good = traits.keeps_ripe
        if good is not None:
            self.days[Stage.USE_BY] = ready.after(good.value.low, good.value.low, good.value.high)
            self._rests_on(StepTakes(step=RipeningStep.STAYS_GOOD, figure=good))
        elif ripe_at_once and not self.needs_cold and traits.keeps is not None:
            self._use_by_its_keeping(ready, traits.keeps)
        else:
            self.undated[Stage.USE_BY] = NotKnown.STAYS_GOOD

    def _use_by_its_keeping(self, ready: Reach, keeps: Figure[DayCount]) -> None:
        """Fruit that is picked ready is good as long as it keeps where it lies."""
        kept = self._kept()
        unsaid = self._unsaid(kept)
        if unsaid is not None:
            self.undated[Stage.USE_BY] = unsaid
            return
        if isinstance(kept, Kept):
            self.days[Stage.USE_BY], keeps = kept.until, kept.figure
        else:
            self.days[Stage.USE_BY] = ready.after(keeps.value.low, keeps.value.middle, keeps.value.high)
        self._rests_on(StepTakes(step=RipeningStep.STAYS_GOOD, figure=keeps))

    def _kept(self) -> Kept | NotPrintedForSpace | None:
        """Return how long it keeps in its space; None where none is told, or no limit is known."""
        return kept_until(self._draft.kept_limb, self._picking.day, self._space) if self._space else None

    def _unsaid(self, kept: Kept | NotPrintedForSpace | None) -> Remark | None:
        """Return why nobody can say how long it keeps where it lies; None where somebody can."""
        if self._space is None:
            return NotKnown.WARMTH_OF_SPACES if self._season.holding.place.spaces else None
        if not isinstance(kept, NotPrintedForSpace):
            return None
        return KeepingNotTold(space=self._space, at_c=kept.space_c, limit=kept.figure)

    def _keep_until(self) -> None:
        keeps = self._draft.traits.keeps
        if keeps is None:
            self.undated[Stage.KEEP_UNTIL] = NotKnown.KEEPING
            return
        kept = self._kept()
        unsaid = self._unsaid(kept)
        if unsaid is not None:
            self.undated[Stage.KEEP_UNTIL] = unsaid
            self.alerts.append(LookOver(why=unsaid))
            return
        limit = keeps.value
        until = kept.until if isinstance(kept, Kept) else self._picking.day.after(limit.low, limit.middle, limit.high)
        out = self.days.get(Stage.CONDITIONED)
        if out is not None and until.likely < out.likely:
            self.undated[Stage.KEEP_UNTIL] = LimitTooShort(limit=keeps)
            return
        self.days[Stage.KEEP_UNTIL] = until
        self._rests_on(StepTakes(step=RipeningStep.KEEPS, figure=kept.figure if isinstance(kept, Kept) else keeps))
        rule = self._draft.limb.traits.warmer_storage
        if isinstance(kept, Kept) and kept.warmer and rule is not None:
            self._rests_on(StepTakes(step=RipeningStep.WARMER_STORAGE, figure=rule))
