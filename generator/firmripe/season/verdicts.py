"""Verdicts on fruit of former seasons: the days it had, the causes that these leave, what they teach of the pick.

A fault has several causes. Those that the fruit's own days can't have brought about fall away; only where one is left,
or where the household names it, does the plan take something from it. Striking the note takes it back.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from functools import lru_cache
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from firmripe.holding.fruit import Event, Traits
from firmripe.holding.place import Place
from firmripe.holding.record import PICKINGS, Happening, Record
from firmripe.holding.tree import Bearing
from firmripe.holding.verdict import CAUSES, Cause, Fault, Verdict, heard
from firmripe.season import spreads
from firmripe.season.knowledge import Knowledge, Subject
from firmripe.season.model import Observation, Occurrence, condition
from firmripe.season.observing import day_of, of_records

LONGEST_IN_STORE_D: Final = 300
"""Days after the pick within which a line of the records can be about a lot; later ones are about the next. J."""

PICK_OFF_D, PICK_OFF_SPREAD_D = 7.0, 3.5
"""How far a pick was off that a verdict calls late or early, before the tree's own years say more (days).

Picking is right for 4 to 10 days: 4-7 for Bartlett, 7-10 for d'Anjou, about 7 for Bosc (WSU Postharvest Information
Network 1988, R). What failed lay past one end, half of that from its middle and as far again as nobody knows: a whole
width of 7, give or take half of it (J). Each year with a good verdict speaks against it at the full weight of a noted
day."""

COLD_STEP_D: Final = 10
"""So many days more are tried after too little cold: the step of trying fruit at 20 days and again at 30 (R)."""

LONG_COLD: Final = 2 / 3
"""Fruit can fail from long cold after this part of its limit: Bartlett's is 3 months, and its core breaks down after 2
(USDA Farmers' Bulletins, R)."""

BAG_D: Final = 7
"""Fruit in the cold for less than this is not harmed by a closed bag (J)."""
READING_D: Final = 5
"""A firmness read so many days before the pick still speaks for the fruit that was picked. J."""
PASSES_D: Final = 7
"""Pickings within so many days are one to a verdict that names none: a width of the days on which picking is right."""
ROOM_C: Final = 15.0
"""A space from here on is a room to ripen in (°C): 59-72 °F is the published best (UC Davis, R)."""


class Judged(Struct, frozen=True, kw_only=True):
    """A verdict on fruit of a season, and the days that fruit had.

    `picking` is the picking it speaks of, `is_first` whether that is the season's first; `cold_d` are the days from
    there to the last box taken out before the verdict, `counter_d` those from then to the verdict, None where nobody
    noted it, `ready_d` those to when it was noted as ready. `looked_for` is when the pick was to be looked for by all
    but itself, `sure_d` give or take how many days (a standard deviation). `causes` are those that are left of a
    fault's; `told` says that the household named them.
    """

    bearing: Bearing
    season: int
    record: Record
    good: bool
    faults: tuple[Fault, ...]
    causes: tuple[Cause, ...]
    is_cause_told: bool
    picking: Record
    is_first: bool
    cold_d: int | None
    counter_d: int | None
    ready_d: int | None
    looked_for: date | None
    sure_d: float

    @property
    def cause(self) -> Cause | None:
        """The one cause that is left; None where several are, or none."""
        return self.causes[0] if len(self.causes) == 1 else None

    @property
    def asks(self) -> bool:
        """Whether something was wrong and its own days don't say why."""
        return bool(self.faults) and self.cause is None

    @property
    def pick_off_d(self) -> float:
        """By how many days its first pick should have been another (negative: sooner); 0 where it was right."""
        if not self.is_first:
            return 0.0
        return {Cause.PICKED_LATE: -PICK_OFF_D, Cause.PICKED_EARLY: PICK_OFF_D}.get(self.cause or Cause.HEAT, 0.0)


Verdicts = Mapping[Bearing, tuple[Judged, ...]]
"""What was understood of the verdicts on a bearing's fruit, oldest first."""


def judge(known: Knowledge, former: Verdicts | None = None) -> Verdicts:
    """Return every verdict on the fruit of each subject as understood, oldest first.

    Mere words are left out, and faults of a season of which another line names the cause. `former` are those of the day
    that this one is known beside: they stand for what is not known anew.
    """
    found: dict[Bearing, tuple[Judged, ...]] = {}
    tasted = known.that_note(Happening.VERDICT)
    anew = {subject.bearing for subject in known.anew} if tasted else frozenset()
    for subject in tasted:
        if former is not None and subject.bearing not in anew:
            kept = former.get(subject.bearing, ())
        else:
            kept = _without_repeats(list(_of(known, subject)))
        if kept:
            found[subject.bearing] = kept
    return found


def _without_repeats(judged: Sequence[Judged]) -> tuple[Judged, ...]:
    """Return verdicts without faults of a season of which another one names the cause."""
    told = {(one.season, fault) for one in judged if one.is_cause_told for fault in one.faults}
    return tuple(
        one for one in judged if one.is_cause_told or not any((one.season, fault) in told for fault in one.faults)
    )


def _of(known: Knowledge, subject: Subject) -> Iterator[Judged]:
    lines = [record for record in known.about(subject) if record.tree]
    starts = known.seen_in_each_season(subject, Event.PICK)
    ends = [start.day for start in starts[1:]] + [date.max] * bool(starts)  # a verdict without a pick tells no days
    for start, end in zip(starts, ends, strict=True):
        last = min(end - timedelta(days=1), start.day + timedelta(days=LONGEST_IN_STORE_D))
        since = start.day - timedelta(days=READING_D)
        after = [r for r in lines if (start.day if r.firmness_n is None else since) <= r.day <= last]
        for record in after:
            if record.what is not Happening.VERDICT:
                continue
            verdict = heard(f"{record.amount} {record.note}", known.holding.place.tongue)
            if verdict.good or verdict.faults or verdict.told_causes:
                yield _judged(known, subject, after, record, verdict)


def _judged(known: Knowledge, subject: Subject, after: Sequence[Record], record: Record, verdict: Verdict) -> Judged:
    pickings = [one for one in after if one.what in PICKINGS and one.day <= record.day]
    picking, is_sure = _picking(pickings, verdict)
    before = [one for one in after if picking.day <= one.day <= record.day]
    out = next((one for one in reversed(before) if one.what is Happening.TAKEN_OUT), None)
    since = out.day if out else picking.day
    looked_for, sure_d = _looked_for(known, subject, pickings[0]) if verdict.faults else (None, 0.0)
    ready = next((one for one in before if one.what is Happening.READY and one.day >= since), None)
    one = Judged(
        bearing=subject.bearing,
        season=pickings[0].season,
        record=record,
        good=verdict.good,
        faults=verdict.faults,
        causes=(),
        is_cause_told=bool(verdict.told_causes),
        picking=picking,
        is_first=(is_sure or bool(verdict.told_causes)) and picking == pickings[0],
        cold_d=(out.day - picking.day).days if out else None,
        counter_d=(record.day - out.day).days if out else None,
        ready_d=(ready.day - since).days if ready else None,
        looked_for=looked_for,
        sure_d=sure_d,
    )
    if verdict.told_causes:
        return replace(one, causes=verdict.told_causes)
    days = _Days(one, subject.limb.traits, known.holding.place, after, is_sure)
    causes = dict.fromkeys(cause for fault in verdict.faults for cause in CAUSES[fault])
    left = (cause for cause in causes if cause not in verdict.ruled_out and days.may_be(cause))
    return replace(one, causes=tuple(left))


def _picking(pickings: Sequence[Record], verdict: Verdict) -> tuple[Record, bool]:
    """Return the picking that a verdict speaks of, and whether that is sure."""
    if verdict.of_last:
        return pickings[-1], True
    is_one = (pickings[-1].day - pickings[0].day).days <= PASSES_D
    return pickings[0], verdict.of_first or is_one


def _looked_for(known: Knowledge, subject: Subject, pick: Record) -> tuple[date | None, float]:
    """Return when a pick was to be looked for, and give or take how many days; None where nothing says.

    It goes by what was to be expected and by what is on record of the very limb, but for that pick itself.
    """
    usual = known.occurrence(subject, Event.PICK)
    if usual is None:
        return None, 0.0
    _, season = day_of(known, pick, usual)
    target = replace(usual, year=season)
    own = [seen for seen in of_records(known, subject) if seen.later != target]
    day, sure_d = _said(target, tuple(own))
    return known.year.named(season).date_of(day), sure_d


@lru_cache(maxsize=4096)
def _said(target: Occurrence, own: tuple[Observation, ...]) -> tuple[float, float]:
    """Return the day of an event by some observations, and its spread; past seasons are played again day by day."""
    said = condition([target], own)
    return float(said.mean[0]), float(said.spread_d[0])


class _Days(Struct, frozen=True):
    """The days of one lot, and which causes they can't have brought about. What nobody noted rules nothing out."""

    judged: Judged
    traits: Traits
    place: Place
    lines: Sequence[Record]
    is_sure: bool

    def may_be(self, cause: Cause) -> bool:
        """Say whether a cause may lie behind a fault of this lot."""
        return {
            Cause.PICKED_LATE: self._picked_late,
            Cause.PICKED_EARLY: self._picked_early,
            Cause.SHORT_COLD: self._short_cold,
            Cause.LONG_COLD: self._long_cold,
            Cause.CHILLED: lambda: bool(self.traits.chilling) and self._lay_cold(1),
            Cause.CLOSED_BAG: lambda: self._lay_cold(BAG_D),
            Cause.HEAT: self._heat,
            Cause.LONG_COUNTER: self._long_counter,
        }[cause]()

    def _picked_late(self) -> bool:
        firmness, at_pick = self._firmness(), self.traits.firmness_at_pick
        if firmness is not None and at_pick is not None:
            return firmness < at_pick.value.low
        return self._may_be_off(1)

    def _picked_early(self) -> bool:
        firmness, at_pick = self._firmness(), self.traits.firmness_at_pick
        if firmness is not None and at_pick is not None:
            return firmness > at_pick.value.high
        return self._may_be_off(-1)

    def _may_be_off(self, sign: int) -> bool:
        """Say whether the pick may have been late (1) or early (-1): by half the days on which picking is right.

        That is ruled out where it has less than one chance in ten, as sure as the day was on which to look for it.
        """
        one = self.judged
        if one.looked_for is None or not self.is_sure:
            return True
        off = sign * (one.picking.day - one.looked_for).days - PICK_OFF_D / 2
        return off > -spreads.EIGHTY_PERCENT * one.sure_d

    def _firmness(self) -> float | None:
        """Return the firmness last read at the picking (N); None where none was."""
        day = self.judged.picking.day
        read = [r for r in self.lines if r.firmness_n is not None and r.day <= day]
        return read[-1].firmness_n if read and (day - read[-1].day).days <= READING_D else None

    def _lay_cold(self, least_d: int) -> bool:
        """Say whether it may have lain in the cold for so long, and where it lies is told to be cold if it is."""
        if self.judged.cold_d is not None:
            return self.judged.cold_d >= least_d
        is_stored = any(r.what is Happening.STORED for r in self.lines)
        return is_stored or bool(self.traits.conditioning)

    def _short_cold(self) -> bool:
        need = [figure.value.high for figure in self.traits.conditioning]
        cold_d = self.judged.cold_d
        return bool(need) and max(need) > 0 and (cold_d is None or cold_d < max(need) + COLD_STEP_D)

    def _long_cold(self) -> bool:
        if self.judged.cold_d is None or self.traits.keeps is None:
            return self._lay_cold(BAG_D)
        return self.judged.cold_d >= LONG_COLD * self.traits.keeps.value.low

    def _heat(self) -> bool:
        """Say whether a room it may have ripened in was too warm; a kind without a limit fears none."""
        limits = [f.value.low for f in (self.traits.ripens_poorly_above, self.traits.too_warm) if f is not None]
        day = self.judged.record.day
        rooms = [at for space in self.place.spaces if (at := space.at(day)) is not None and at >= ROOM_C]
        return bool(limits) and (not rooms or max(rooms) >= min(limits))

    def _long_counter(self) -> bool:
        since, most = self.judged.counter_d, _ripe_by(self.traits)
        if since is None or most is None:
            return True
        ready = self.judged.ready_d
        ripe = self.traits.keeps_ripe.value.high if self.traits.keeps_ripe else 0.0
        return since > (ready + ripe if ready is not None else most)


def _ripe_by(traits: Traits) -> float | None:
    """Return after how many days in the room fruit is past its best at the latest; None where that is not known."""
    if traits.counter is None:
        return None
    return traits.counter.value.high + (traits.keeps_ripe.value.high if traits.keeps_ripe else 0.0)
