"""From the dates of a season to the life of each lot: picked, cold, out, ready, used up.

A lot is the fruit of one crop of one cultivar on one tree. Each of its pickings is sorted into batches, one a grade,
and each batch lies in a space of its own until it is taken out. The lot's own days are those of the first picking.
The published range of each step is added at both ends, so a late day is late in every step.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from fractions import Fraction

from firmripe.days import DayCount
from firmripe.harvest.conditioning import (
    Room,
    cold_for,
    conditioning_for,
    ripens_after_picking,
    room_verdict,
    treatments_for,
)
from firmripe.harvest.crop import Crop, Unweighed, expect, records_of
from firmripe.harvest.grades import KEPT_LONG, STORED, USE_NOW, graded, pack_out
from firmripe.harvest.nights import alert
from firmripe.harvest.own import LONGEST_IN_STORE_D, own_cold, own_counter
from firmripe.harvest.passes import Picking, pickings
from firmripe.harvest.spaces import COLD_C, Load, fits, is_cold, ripening_room
from firmripe.harvest.weighing import containers_of, weigh
from firmripe.holding.figures import Cited, Figure
from firmripe.holding.fruit import Cultivar, Event, Ripens, Traits
from firmripe.holding.place import Space
from firmripe.holding.record import Happening, Record
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing, Tree
from firmripe.holding.weight import NOTHING, Grade, Weight
from firmripe.season.estimate import Estimate, Happens, Reach, Reason
from firmripe.season.season import Season

SPREAD_FROM_D = 42
"""Fruit that can lie so many days beyond the cold it needs is taken out week by week, other fruit all at once. J."""
WINTER_COLD_D = 14
"""Fruit that needs so much cold is winter fruit; what needs less ripens in a rush and is not spread. J."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Out:
    """What leaves the cold on a day: `weight` None where nobody knows it, `ready` when that part is, if known."""

    day: date
    weight: Weight | None
    noted: bool
    ready: Reach | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """One grade of one picking: it lies in `space` from the pick until its `outs`, and ripens in `room`.

    `space` and `room` are empty where no space is told of. `stored_noted` says that a
    record names the space, `ready_noted` that one says when it was ready.
    """

    bearing: Bearing
    limb: Cultivar
    picking: int
    grade: Grade
    weight: Weight | None
    picked: Reach
    picked_noted: bool
    days: Mapping[Stage, Reach]
    reasons: tuple[Reason, ...]
    undated: Mapping[Stage, str]
    needs_cold: bool
    space: str = ""
    stored_noted: bool = False
    room: str = ""
    outs: tuple[Out, ...] = ()
    ready_noted: bool = False

    @property
    def last_out(self) -> date:
        """The day the last of it leaves the cold."""
        return max((out.day for out in self.outs), default=self.picked.likely)

    def left(self, day: date) -> Weight | None:
        """Return what still lies in the cold at the end of a day; None where that is not known."""
        gone = [out.weight for out in self.outs if out.day <= day]
        if self.weight is None or None in gone:
            return None if day < self.last_out else NOTHING
        staying = [out.weight for out in self.outs if out.day > day and out.weight is not None]
        whole = NOTHING
        for weight in staying:
            whole = whole + weight
        return whole


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """Another way to have the fruit ready: what is done, when it would be ready, and where that is published."""

    what: str
    ready: Reach
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class Lot:
    """The fruit of one bearing after the pick. `days` holds the stages that can be dated, `reasons` the steps.

    `crop` is what the bearing gives, or why that is not known; `alert` what is to be looked at now, or empty.
    """

    bearing: Bearing
    days: Mapping[Stage, Reach]
    reasons: tuple[Reason, ...]
    needs_cold: bool
    undated: Mapping[Stage, str]
    crop: Crop | Unweighed
    batches: tuple[Batch, ...]
    alternatives: tuple[Alternative, ...]
    alert: str = ""


def follow(season: Season) -> dict[Bearing, Lot]:
    """Return the lot of every bearing that is going to be picked, or was."""
    drafts = [
        _Draft.of(season, tree, limb, Bearing(tree.tag, limb.key, crop), pick)
        for tree in season.holding.trees
        for limb in tree.limbs
        for crop in limb.crops
        if isinstance(pick := season.dates.get(Happens.of(Bearing(tree.tag, limb.key, crop), Event.PICK)), Estimate)
    ]
    _put_away(season, drafts)
    return {draft.bearing: draft.lot() for draft in drafts}


@dataclass(slots=True)
class _Draft:
    """A lot being worked out: its pickings are known, its batches are still to be put into spaces."""

    season: Season
    limb: Cultivar
    bearing: Bearing
    pick: Estimate
    crop: Crop | Unweighed
    pickings: tuple[Picking, ...]
    shares: dict[Grade, Fraction]
    batches: list[Batch] = field(default_factory=list)
    traits: Traits = field(default_factory=Traits)
    gone: list[tuple[Record, Weight | None]] = field(default_factory=list)

    @classmethod
    def of(cls, season: Season, tree: Tree, limb: Cultivar, bearing: Bearing, pick: Estimate) -> _Draft:
        crop = expect(season, tree, limb, bearing)
        draft = cls(
            season=season,
            limb=limb,
            bearing=bearing,
            pick=pick,
            crop=crop,
            pickings=pickings(season, limb, bearing, pick, crop),
            shares=pack_out(season, limb, bearing),
            traits=_with_own(season, bearing, limb.traits),
        )
        containers = containers_of(limb.traits, season.holding.place)
        draft.gone = [(r, weigh(r.parts, containers)) for r in draft.noted(Happening.TAKEN_OUT)]
        return draft

    def noted(self, what: Happening) -> list[Record]:
        """Return the lines of one kind about this lot.

        Last season's fruit is still leaving the store in winter, so a line counts for this lot only from its pick on.
        """
        last = min(self.season.as_of, self.pick.earliest + timedelta(days=LONGEST_IN_STORE_D))
        return [
            record
            for record in records_of(self.season, self.bearing)
            if record.what is what and self.pick.earliest <= record.day <= last
        ]

    def space_noted(self, day: date) -> Space | None:
        """Return the space that a line about storing names, for fruit picked on a day."""
        for record in self.noted(Happening.STORED):
            if record.day < day:
                continue
            said = record.note.casefold()
            named = [space for space in self.season.holding.place.spaces if space.name.casefold() in said]
            if named:
                return max(named, key=lambda space: len(space.name))
        return None

    def lot(self) -> Lot:
        main = next((b for b in self.batches if b.picking == 1 and b.grade in STORED), self.batches[0])
        weather = self.season.holding.weather.until(self.season.as_of)
        return Lot(
            bearing=self.bearing,
            days=main.days,
            reasons=main.reasons,
            needs_cold=main.needs_cold,
            undated=main.undated,
            crop=self.crop,
            batches=tuple(sorted(self.batches, key=lambda b: (b.picking, list(Grade).index(b.grade)))),
            alternatives=_alternatives(self.traits, main),
            alert="" if self.pick.is_past else alert(self.traits, weather, self.pick.likely),
        )


def _with_own(season: Season, bearing: Bearing, traits: Traits) -> Traits:
    """Return the traits with the household's own days in the place of printed ones, where it has some."""
    counter = own_counter(season, bearing) or traits.counter
    cold = own_cold(season, bearing) if conditioning_for(traits, None) else None
    if cold is None:
        return replace(traits, counter=counter)
    return replace(traits, counter=counter, conditioning=(cold,), conditioning_late=())


def _put_away(season: Season, drafts: list[_Draft]) -> None:
    """Give each batch its space, in the order of picking, winter fruit first; what is noted stands as noted."""
    loads: list[Load] = []
    waiting = [(draft, picking) for draft in drafts for picking in draft.pickings]
    waiting.sort(
        key=lambda pair: (
            pair[1].day.likely,
            conditioning_for(pair[0].traits, None) is None,
            pair[0].bearing,
            pair[1].number,
        )
    )
    for draft, picking in waiting:
        for grade, weight in graded(picking, draft.shares):
            batch = _placed(season, draft, picking, (grade, weight), loads)
            draft.batches.append(batch)
            loads += loads_of(batch)


def loads_of(batch: Batch) -> list[Load]:
    """Return what a batch puts into its space: one load for each part that is taken out on a day of its own."""
    ripe = not ripens_after_picking(batch.limb.traits)
    return [
        Load(
            space=batch.space,
            first=batch.picked.likely,
            last=max(batch.picked.likely, out.day - timedelta(days=1)),
            weight=out.weight,
            limb=batch.limb,
            name=f"{batch.limb.name} ({batch.bearing.tree})",
            ripe=ripe,
        )
        for out in batch.outs
        if batch.space and out.day > batch.picked.likely
    ]


def _placed(
    season: Season, draft: _Draft, picking: Picking, sorted_out: tuple[Grade, Weight | None], loads: list[Load]
) -> Batch:
    grade, weight = sorted_out
    if grade not in STORED:
        return _used_at_once(draft, picking, grade, weight)
    day = picking.day.likely
    noted = draft.space_noted(day) if picking.noted else None
    if noted is not None:
        return replace(_in(season, draft, picking, sorted_out, noted), stored_noted=True)
    tried = [_in(season, draft, picking, sorted_out, space) for space in _candidates(season, draft, day)]
    spaces = {space.name: space for space in season.holding.place.spaces}
    for batch in tried:
        new = loads_of(batch)
        if not new or fits(new, loads, spaces[batch.space], season.holding.place):
            return batch
    return tried[0] if tried else _in(season, draft, picking, sorted_out, None)


def _candidates(season: Season, draft: _Draft, day: date) -> list[Space]:
    """Return the spaces to try: the coldest first for what needs cold, the least cold first for what only keeps."""
    told = [(at, space) for space in season.holding.place.spaces if (at := space.at(day)) is not None]
    cold = [pair for pair in told if is_cold(pair[1], day)]
    if not cold:
        return [space for _, space in sorted(told, key=lambda pair: (pair[0], pair[1].name))][:1]
    needs_cold = conditioning_for(draft.traits, None) is not None
    cold.sort(key=lambda pair: (pair[0] if needs_cold else -pair[0], pair[1].name))
    return [space for _, space in cold]


def _used_at_once(draft: _Draft, picking: Picking, grade: Grade, weight: Weight | None) -> Batch:
    days = {Stage.PICK: picking.day}
    reasons: tuple[Reason, ...] = ()
    if grade is Grade.USE_NOW:
        days[Stage.USE_BY] = picking.day.after(USE_NOW.low, USE_NOW.middle, USE_NOW.high)
        reasons = (Reason(text="Bruised, pecked or stemless fruit lasts 1-3 days (our judgement)"),)
    return Batch(
        bearing=draft.bearing,
        limb=draft.limb,
        picking=picking.number,
        grade=grade,
        weight=weight,
        picked=picking.day,
        picked_noted=picking.noted,
        days=days,
        reasons=reasons,
        undated={},
        needs_cold=False,
        outs=(Out(day=picking.day.likely, weight=weight, noted=picking.noted),),
    )


def _in(
    season: Season,
    draft: _Draft,
    picking: Picking,
    sorted_out: tuple[Grade, Weight | None],
    space: Space | None,
) -> Batch:
    """Return a batch as it would be in a space."""
    grade, weight = sorted_out
    taken, rest = _taken_from(draft, picking, grade, weight)
    life = _Life(season, draft, picking, space, [out.day for out in taken])
    life.work_out()
    outs = [*taken, *_planned_outs(season, life, grade, rest, [out.day for out in taken])]
    lies = any(out.day > picking.day.likely for out in outs)
    return Batch(
        bearing=draft.bearing,
        limb=draft.limb,
        picking=picking.number,
        grade=grade,
        weight=weight,
        picked=picking.day,
        picked_noted=picking.noted,
        days=life.days,
        reasons=tuple(life.reasons),
        undated=life.undated,
        needs_cold=life.needs_cold,
        space=space.name if space and lies else "",
        room=life.room.name if life.room else "",
        outs=tuple(replace(out, ready=life.ready_after(out.day)) for out in outs),
        ready_noted=life.ready_noted,
    )


def _taken_from(
    draft: _Draft, picking: Picking, grade: Grade, weight: Weight | None
) -> tuple[list[Out], Weight | None]:
    """Return what was noted as taken out of this batch, and what is left of it.

    What leaves is taken from the earliest picking first. Without a weight the line stands for all of the batch.
    """
    stored = [
        (earlier.number, of, kg)
        for earlier in draft.pickings
        for of, kg in graded(earlier, draft.shares)
        if of in STORED
    ]
    at = next(i for i, (number, of, _) in enumerate(stored) if (number, of) == (picking.number, grade))
    lefts = [kg for _, _, kg in stored]
    mine: list[Out] = []
    for record, out in draft.gone:
        here = next((i for i, left in enumerate(lefts) if left != NOTHING), None)
        asked = None if out is None else Weight.of(out.middle)
        while here is not None:
            left = lefts[here]
            takes_all = left is None or asked is None or asked.low >= left.low
            part = left if takes_all and left is not None else asked
            if here == at:
                mine.append(Out(day=record.day, weight=part, noted=True))
            if left is not None:
                lefts[here] = NOTHING if takes_all else left.less(asked or NOTHING)
            if left is None or asked is None or asked.low <= left.low:
                break
            asked = Weight.of(max(Fraction(0), asked.low - left.middle))
            here = next((i for i, still in enumerate(lefts) if still != NOTHING), None)
    if weight is not None:
        return mine, lefts[at]
    whole = any(out.weight is None for out in mine)
    return mine, NOTHING if whole else None


def _planned_outs(season: Season, life: _Life, grade: Grade, rest: Weight | None, taken: list[date]) -> list[Out]:
    """Return when the rest of a batch leaves the cold: week by week over its keeping life, or all at once."""
    if rest == NOTHING and (taken or life.weighed):
        return []
    out, keep = life.days[Stage.TAKE_OUT].likely, life.days.get(Stage.KEEP_UNTIL)
    first = out
    if taken:
        last = keep.likely if keep else season.as_of
        first = max(out, max(taken) + timedelta(days=1), min(season.as_of, last))
    if keep is None or keep.likely <= first:
        return [Out(day=first, weight=rest, noted=False)]
    spread = (keep.likely - out).days >= SPREAD_FROM_D and grade in KEPT_LONG and life.is_winter_fruit
    if not spread:
        return [Out(day=first, weight=rest, noted=False)]
    many = (keep.likely - first).days // 7 + 1
    share = rest.times(Fraction(1, many)) if rest is not None else None
    return [Out(day=first + timedelta(days=7 * week), weight=share, noted=False) for week in range(many)]


class _Life:
    """The days of one picking in one space."""

    def __init__(self, season: Season, draft: _Draft, picking: Picking, space: Space | None, taken: list[date]) -> None:
        self._season = season
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
        self._cold_d = DayCount(low=0, high=0)

    @property
    def is_winter_fruit(self) -> bool:
        """Whether it is taken out little by little: it needs long cold, or is fit to eat as it lies."""
        return self._cold_d.low >= WINTER_COLD_D or not ripens_after_picking(self._draft.traits)

    def work_out(self) -> None:
        """Date every stage that can be dated, and say why the others can't."""
        traits, picked = self._draft.traits, self._picking.day
        place = self._season.holding.place
        at = self._space.at(picked.likely) if self._space else place.coldest_c
        out = picked
        first = self._draft.pickings[0].day.likely
        ripens = traits.ripens_off_the_tree
        past = max(0, (picked.likely - first).days)
        cold = None if ripens is not None and ripens.value is Ripens.NO else cold_for(traits, at, past)
        if cold is not None:
            self.needs_cold, self._cold_d = True, cold.days
            out = picked.after(cold.days.low, cold.days.middle, cold.days.high)
            self.days[Stage.CONDITIONED] = out
            self.reasons.append(_step("In the cold", cold.figure))
            if cold.late is not None:
                late = _step(f"picked {cold.days_past} days after the first, so less; 28 days after", cold.late)
                self.reasons.append(late)
        noted_ready = self._noted_ready()
        self.ready_noted = noted_ready is not None
        out = _on(self._taken[0]) if self._taken else out
        if noted_ready is not None and noted_ready.likely < out.likely:
            out = noted_ready  # what is ready lies in the cold no longer, even if nobody noted when it came out
        self.days[Stage.TAKE_OUT] = out
        if ripens_after_picking(traits):
            self.room = ripening_room(place, self._draft.limb, out.likely)
        ready = noted_ready or self._ready(out)
        if ready is None:
            self.undated[Stage.USE_BY] = self.undated[Stage.READY]
        else:
            self.days[Stage.READY] = ready
            self._use_by(ready)
        self._keep_until(at)

    def _noted_ready(self) -> Reach | None:
        if self._picking.number > 1:
            return None
        noted = self._draft.noted(Happening.READY)
        return _on(noted[0].day) if noted else None

    def _ready(self, out: Reach) -> Reach | None:
        traits = self._draft.traits
        if self.room is not None:
            at = self.room.at(out.likely)
            if at is not None and room_verdict(traits, at) is Room.FAILS:
                warm = f"{round(at * 1.8 + 32)} °F ({round(at)} °C)"
                self.undated[Stage.READY] = (
                    f"the {self.room.name} is {warm}, where it may not ripen: no day is promised"
                )
                return None
        if traits.counter is not None:
            self.reasons.append(_step("On the counter", traits.counter))
            return self.ready_after(out)
        ripens = traits.ripens_off_the_tree
        if ripens is not None and ripens.value is Ripens.NO:
            return out
        self.undated[Stage.READY] = "how many days it takes to ripen indoors is not known"
        return None

    def ready_after(self, out: Reach | date) -> Reach | None:
        """Return when fruit taken out on a day is ready; None where that is not known.

        After longer cold than it needs it may be ready sooner: the published least counts for the earliest day.
        """
        traits = self._draft.traits
        if Stage.READY in self.undated or traits.counter is None:
            return None
        day = _on(out) if isinstance(out, date) else out
        days = traits.counter.value
        longer = self.days.get(Stage.CONDITIONED)
        stored = traits.counter_after_storage
        if stored is not None and longer is not None and day.likely > longer.likely:
            days = DayCount(low=min(days.low, stored.value.low), high=days.high)
            return day.after(days.low, min(traits.counter.value.middle, days.high), days.high)
        return day.after(days.low, days.middle, days.high)

    def _use_by(self, ready: Reach) -> None:
        traits = self._draft.traits
        ripe_at_once = traits.counter is None or traits.counter.value.high == 0
        good = traits.keeps_ripe or (traits.keeps if ripe_at_once and not self.needs_cold else None)
        if good is not None:
            self.days[Stage.USE_BY] = ready.after(good.value.low, good.value.middle, good.value.high)
            self.reasons.append(_step("Stays good once ready", good))
        else:
            self.undated[Stage.USE_BY] = "how long it stays good once ready is not known"

    def _keep_until(self, at: float | None) -> None:
        keeps = self._draft.traits.keeps
        if keeps is None:
            self.undated[Stage.KEEP_UNTIL] = "no published limit of keeping is on the shelf"
            return
        limit = keeps.value
        until = self._picking.day.after(limit.low, limit.middle, limit.high)
        out = self.days.get(Stage.CONDITIONED)
        if out is not None and until.likely < out.likely:
            self.undated[Stage.KEEP_UNTIL] = (
                f"the published limit, {keeps.text}, is shorter than the cold it needs: that limit is for other kinds"
            )
            return
        self.days[Stage.KEEP_UNTIL] = until
        self.reasons.append(_step("Keeps in the cold at most", keeps))
        if at is not None and keeps.at_c is not None and COLD_C + 6 > at > keeps.at_c.high + 1:
            text = "The space is warmer than that limit was printed for: it keeps less long there, so look often"
            self.reasons.append(Reason(text=text))


def _on(day: date) -> Reach:
    return Reach(earliest=day, likely=day, latest=day)


def _step(what: str, figure: Figure[DayCount]) -> Reason:
    at = f", {figure.note}" if figure.note else ""
    return Reason(text=f"{what}: {figure.text}{at}", days=None, cited=(figure.cited,))


def _alternatives(traits: Traits, batch: Batch) -> tuple[Alternative, ...]:
    """Return the other ways to have a batch ready, counted from its pick."""
    found = []
    apple, counter = traits.ripe_apple, traits.counter
    if apple is not None and counter is not None and batch.needs_cold:
        days = (apple.value.low + counter.value.low, apple.value.high + counter.value.high)
        found.append(
            Alternative(
                what=f"ripe apples beside it for {apple.text}, instead of the cold",
                ready=batch.picked.after(days[0], sum(days) / 2, days[1]),
                cited=apple.cited,
            )
        )
    for treatment in treatments_for(traits, 0):
        days = (treatment.days.low, treatment.days.high)
        then = f", then {treatment.then_text}" if treatment.then_text else ""
        found.append(
            Alternative(
                what=f"{treatment.what}, {treatment.takes.text}{then}",
                ready=batch.picked.after(days[0], sum(days) / 2, days[1]),
                cited=treatment.takes.cited,
            )
        )
    return tuple(found)
