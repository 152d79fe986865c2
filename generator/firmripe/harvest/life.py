"""The days of one picking in one space: cold, out, ready, used up, each with what it rests on.

The published range of each step is added at both ends, so a late day is late in every step. What is ripe is to be used
by the low end of the days it stays good.
"""

from __future__ import annotations

from datetime import date

from firmripe.days import DayCount
from firmripe.harvest.conditioning import Cold, Room, cold_for, counter_for, ripens_after_picking, room_verdict
from firmripe.harvest.drafts import Draft
from firmripe.harvest.keeping import Kept, NotTold, kept_until
from firmripe.harvest.passes import Picking
from firmripe.harvest.spaces import ripening_rooms
from firmripe.holding.figures import Figure
from firmripe.holding.fruit import Ripens
from firmripe.holding.place import Space
from firmripe.holding.record import Happening
from firmripe.holding.task import Stage
from firmripe.saying import _, term
from firmripe.season.estimate import Reach, Reason
from firmripe.units import Interval
from firmripe.words import amount, days_words, degrees, week_day

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
        self.undated: dict[Stage, str] = {}
        self.needs_cold = False
        self.ready_noted = False
        self.room: Space | None = None
        self.alert = ""
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
            self.reasons.append(_step(_("In the cold"), cold.figure))
            if cold.late is not None:
                late = _step(
                    _("picked {days_past} days after the first, so less; 28 days after", days_past=cold.days_past),
                    cold.late,
                )
                self.reasons.append(late)
        noted_ready = self._noted_ready()
        self.ready_noted = noted_ready is not None
        if cold is not None and self._taken and not self._draft.tasted:
            self.alert = self._cut_short(cold)
        out = on(self._taken[0]) if self._taken else out
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

    def _cold(self, at: float | None, days_past: int) -> Cold | None:
        early = self._draft.early
        is_early = early is not None and self._picking.day.likely < early.mature_from
        return cold_for(self._draft.traits, at, days_past, early=is_early)

    def _cut_short(self, cold: Cold) -> str:
        """Say that it came out before it had the cold it needs; empty where it had."""
        lain, day = (self._taken[0] - self._picking.day.likely).days, self._taken[0]
        if lain >= cold.days.low:
            return ""
        apple = self._draft.traits.ripe_apple
        beside = _(", or ripe apples lie beside it for {apple}", apple=amount(apple.text)) if apple else ""
        return _(
            "Taken out on {day} after {days} in the cold, where {figure} are told: it may "
            "stay hard or shrivel. What stays hard can go back into the cold{beside}",
            day=week_day(day),
            days=days_words(lain),
            figure=amount(cold.figure.text),
            beside=beside,
        )

    def _noted_ready(self) -> Reach | None:
        if self._picking.number > 1:
            return None
        noted = self._draft.noted(Happening.READY)
        return on(noted[0].day) if noted else None

    def _ready(self, out: Reach) -> Reach | None:
        traits = self._draft.traits
        if self.room is not None:
            at = self.room.at(out.likely)
            if at is not None and room_verdict(traits, at) is Room.FAILS:
                warm = degrees(at)
                self.undated[Stage.READY] = _(
                    "the {room} is {warm}, where it may not ripen: no day is promised", room=self.room.name, warm=warm
                )
                return None
        if self._counter is not None:
            self.reasons.append(_step(_("On the counter"), self._counter))
            self._mind_the_room(self._counter, out.likely)
            return self.ready_after(out)
        ripens = traits.ripens_off_the_tree
        if ripens is not None and ripens.value is Ripens.NO:
            return out
        self.undated[Stage.READY] = _("how many days it takes to ripen indoors is not known")
        return None

    def _mind_the_room(self, counter: Figure[DayCount], day: date) -> None:
        """Say that a room is cooler or warmer than its days were told for; no number is made up for it."""
        at = self.room.at(day) if self.room else None
        if self.room is None or at is None or counter.at_c is None:
            return
        if at < counter.at_c.low - ROOM_C:
            text = _("The {room} is cooler than that was told for: it takes longer there", room=self.room.name)
        elif at > counter.at_c.high + ROOM_C:
            text = _(
                "The {room} is warmer than that was told for: it may be ready sooner, so look early",
                room=self.room.name,
            )
        else:
            return
        self.reasons.append(Reason(why=text))

    def ready_after(self, out: Reach | date) -> Reach | None:
        """Return when fruit taken out on a day is ready; None where that is not known.

        After longer cold than it needs it may be ready sooner: the published least counts for the earliest day.
        """
        traits = self._draft.traits
        if Stage.READY in self.undated or self._counter is None:
            return None
        day = on(out) if isinstance(out, date) else out
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
            self.reasons.append(_step(_("Stays good once ready"), good))
        elif ripe_at_once and not self.needs_cold and traits.keeps is not None:
            self._use_by_its_keeping(ready, traits.keeps)
        else:
            self.undated[Stage.USE_BY] = _("how long it stays good once ready is not known")

    def _use_by_its_keeping(self, ready: Reach, keeps: Figure[DayCount]) -> None:
        """Fruit that is picked ready is good as long as it keeps where it lies."""
        kept, unsaid = self._kept(), self._unsaid()
        if unsaid:
            self.undated[Stage.USE_BY] = unsaid
            return
        if isinstance(kept, Kept):
            self.days[Stage.USE_BY], keeps = kept.until, kept.figure
        elif isinstance(kept, NotTold):
            self.undated[Stage.USE_BY] = self._not_told(kept)
            return
        else:
            self.days[Stage.USE_BY] = ready.after(keeps.value.low, keeps.value.middle, keeps.value.high)
        self.reasons.append(_step(_("Stays good once ready"), keeps))

    def _kept(self) -> Kept | NotTold | None:
        """Return how long it keeps in its space; None where none is told, or no limit is known."""
        return kept_until(self._draft.kept_limb, self._picking.day, self._space) if self._space else None

    def _unsaid(self) -> str:
        """Say that spaces are told of, and of none how warm it is; empty otherwise."""
        if self._space is not None or not self._season.holding.place.spaces:
            return ""
        return _("no space told of says how warm it is, and how long fruit keeps hangs on it")

    def _not_told(self, told: NotTold) -> str:
        space = self._space.name if self._space else ""
        limit, at = amount(told.figure.text), told.figure.at_c
        if told.space_c is None:
            return _("how warm the {space} is has not been said, and how long it keeps hangs on it", space=space)
        if at is None:
            warm = degrees(told.space_c)
            return _("the {space} is {warm}, and nothing is printed for so warm a place", space=space, warm=warm)
        if told.figure.cited.is_own:
            return _(
                "the {space} is {warm}; your {limit} is for {at}, and nothing for so warm a place",
                space=space,
                warm=degrees(told.space_c),
                limit=limit,
                at=degrees(at.low, at.high),
            )
        return _(
            "the {space} is {warm}; {limit} is printed for {at}, and nothing for so warm a place",
            space=space,
            warm=degrees(told.space_c),
            limit=limit,
            at=degrees(at.low, at.high),
        )

    def _warn(self, why: str) -> None:
        """Add to what is to be minded of it."""
        said = why[:1].upper() + why[1:]
        self.alert = f"{self.alert}. {said}" if self.alert else said

    def _keep_until(self) -> None:
        keeps = self._draft.traits.keeps
        if keeps is None:
            self.undated[Stage.KEEP_UNTIL] = _("no published limit of keeping is on the shelf")
            return
        kept = self._kept()
        unsaid = self._unsaid() or (self._not_told(kept) if isinstance(kept, NotTold) else "")
        if unsaid or isinstance(kept, NotTold):
            self.undated[Stage.KEEP_UNTIL] = unsaid
            self._warn(_("{why}: look it over every week", why=unsaid))
            return
        limit = keeps.value
        until = kept.until if kept else self._picking.day.after(limit.low, limit.middle, limit.high)
        out = self.days.get(Stage.CONDITIONED)
        if out is not None and until.likely < out.likely:
            words = amount(keeps.text)
            self.undated[Stage.KEEP_UNTIL] = (
                _("your own limit, {keeps}, is shorter than the cold it needs", keeps=words)
                if keeps.cited.is_own
                else _(
                    "the published limit, {keeps}, is shorter than the cold it needs: that limit is for other kinds",
                    keeps=words,
                )
            )
            return
        self.days[Stage.KEEP_UNTIL] = until
        self.reasons.append(_step(_("Keeps in the cold at most"), kept.figure if kept else keeps))
        rule = self._draft.limb.traits.keeps_warmer
        if kept is not None and kept.warmer and rule is not None:
            self.reasons.append(_step(_("The space is warmer than that was printed for, so less"), rule))


def on(day: date) -> Reach:
    """Return a day that is certain."""
    return Reach(earliest=day, likely=day, latest=day)


def _step(what: str, figure: Figure[DayCount] | Figure[Interval]) -> Reason:
    note = f", {term(figure.note)}" if figure.note else ""
    at = _(" at {warm}", warm=degrees(figure.at_c.low, figure.at_c.high)) if figure.at_c else ""
    return Reason(why=f"{what}: {amount(figure.text)}{at}{note}", days=None, cited=(figure.cited,))
