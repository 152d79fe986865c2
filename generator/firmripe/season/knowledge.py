"""What is known of each bearing on a day: its records, what to expect of it, and what was seen this season."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from functools import cached_property
from itertools import chain
from statistics import median_low

from msgspec import Struct, field
from msgspec.structs import replace

from firmripe.days import WorkingYear
from firmripe.holding.fruit import Cultivar, Event
from firmripe.holding.holding import Holding
from firmripe.holding.record import Happening, Record, last_word
from firmripe.holding.standing import removed_on
from firmripe.holding.tree import Bearing, Tree
from firmripe.season import spreads
from firmripe.season.because import EventOf, OwnInterval, OwnRecordsAlone
from firmripe.season.estimate import Happens, NoDate, Reason
from firmripe.season.forecast import Blooms
from firmripe.season.lines import Lines, lines_of
from firmripe.season.model import Occurrence
from firmripe.season.printed import YEAR_D, beside_turn, interval_spread, middle_of
from firmripe.season.prior import Expectations, Prior, beside, in_order, of_interval
from firmripe.season.usual import usual_of

_CROPS = (Happening.NO_CROP, Happening.PART_CROP, Happening.LIGHT_CROP, Happening.HEAVY_CROP)


class Subject(Struct, frozen=True):
    """A bearing with the tree and the limb it belongs to."""

    tree: Tree
    limb: Cultivar
    bearing: Bearing

    def event_of(self, event: Event) -> EventOf:
        """Name an event of it; the crop of a pick alone."""
        crop = self.bearing.crop if event is Event.PICK else ""
        return EventOf(event, self.limb.name, self.tree.tag, crop)


class _LookedUp(Struct):
    """What was looked up in the lines of one tree: it holds for as long as these lines are the same.

    `lines` are those about the tree that stands, `noted` is what they say.
    """

    lines: Sequence[Record]
    noted: frozenset[Happening]
    subjects: tuple[Subject, ...]
    blooms: tuple[Blooms, ...] | None = None
    seen: dict[Bearing, Mapping[Event, tuple[Record, ...]]] = field(default_factory=dict)
    days: dict[tuple[Bearing, Event], list[float]] = field(default_factory=dict)
    about: dict[Bearing, list[Record]] = field(default_factory=dict)
    this_season: dict[Bearing, dict[Happening, list[Record]]] = field(default_factory=dict)


_OfLimb = tuple[int, str, Event, str]
"""An event of a limb's crop, the limb by identity and key: the holding keeps it for as long as that is asked for."""


class Knowledge:
    """Everything that bears on one season of one holding, as known on a day.

    Records from after `as_of` are not looked at, so that a past season can be played again. What is `expected` before
    any record is the same on every day of a season, and what was looked up of a tree is as long as its lines are: both
    are taken from what was known of the same holding and season on another day, where that is given (`alike`).
    `priors` are what was expected so far of the events of each limb, by its identity: trees of a kind share the limb.
    A cultivar whose pick is `counted_from` others is expected anew where these are.
    """

    def __init__(self, holding: Holding, year: WorkingYear, as_of: date, alike: Knowledge | None = None) -> None:
        self.holding = holding
        self.year = year
        self.as_of = as_of
        self.lines: Lines = lines_of(holding)
        self._anew = self.lines.told_between(alike.as_of, as_of) if alike else self.lines.tags
        self.looked_up: dict[str, _LookedUp] = dict(alike.looked_up) if alike else {}
        self.looked_up.update({tag: self._look_up(holding.tree(tag)) for tag in self._anew})
        self.expected: Expectations = (
            alike.expected if alike else Expectations(holding.place, year, holding.cultivars, usual_of(holding, year))
        )
        self.counted_from: Mapping[str, frozenset[str]] = alike.counted_from if alike else _bases_of(holding)
        changed = {limb.key for tag in self._anew for limb in holding.tree(tag).limbs}
        changed |= {key for key, bases in self.counted_from.items() if not bases.isdisjoint(changed)}
        self._changed = changed
        self.own_days: dict[tuple[str, Event, str], list[float]] = (
            {key: days for key, days in alike.own_days.items() if key[0] not in changed} if alike else {}
        )
        self._former: Mapping[_OfLimb, Prior | NoDate] = alike.priors if alike else {}
        self.priors: dict[_OfLimb, Prior | NoDate] = {k: p for k, p in self._former.items() if k[1] not in changed}
        self._same: dict[tuple[int, str], bool] = {}

    def _look_up(self, tree: Tree) -> _LookedUp:
        lines = self.lines.about(tree.tag, self.as_of, self.year.year)
        standing = (limb for limb in tree.limbs if removed_on(lines, limb.key) is None)
        return _LookedUp(
            lines=lines,
            noted=frozenset(record.what for record in lines),
            subjects=tuple(
                Subject(tree, limb, Bearing(tree.tag, limb.key, crop)) for limb in standing for crop in limb.crops
            ),
        )

    @cached_property
    def subjects(self) -> tuple[Subject, ...]:
        """The bearings that stand, in walking order."""
        return tuple(chain.from_iterable(found.subjects for found in self.looked_up.values()))

    @cached_property
    def anew(self) -> tuple[Subject, ...]:
        """Those of them that have other lines than on the other day, or of which something else is to be expected."""
        of_changed = (subject for subject in self.subjects if subject.limb.key in self._changed)
        return tuple(subject for subject in of_changed if not self._is_as_before(subject))

    @cached_property
    def blooms(self) -> list[Blooms]:
        """The full blooms noted of each limb that stands, in walking order."""
        found: list[Blooms] = []
        for of_tree in self.looked_up.values():
            if of_tree.blooms is None:
                of_tree.blooms = tuple(self._blooms(of_tree.subjects))
            found += of_tree.blooms
        return found

    @cached_property
    def _of_kind(self) -> Mapping[str, list[Subject]]:
        found: dict[str, list[Subject]] = {}
        for subject in self.subjects:
            found.setdefault(subject.limb.key, []).append(subject)
        return found

    def _blooms(self, subjects: Iterable[Subject]) -> Iterable[Blooms]:
        for subject in subjects:
            if subject.bearing.crop == subject.limb.crops[0]:
                noted = self.seen_in_each_season(subject, Event.FULL_BLOOM)
                yield Blooms.of(subject.tree, subject.limb, noted, self.year, self.holding.weather)

    def notes(self, subject: Subject, *what: Happening) -> bool:
        """Say whether a line of some of these kinds is known about a subject's tree, of any season."""
        return not self.looked_up[subject.tree.tag].noted.isdisjoint(what)

    def that_note(self, *what: Happening) -> list[Subject]:
        """Return the subjects about whose tree a line of some of these kinds is known, of any season."""
        said = (found for found in self.looked_up.values() if not found.noted.isdisjoint(what))
        return [subject for found in said for subject in found.subjects]

    def occurrence(self, subject: Subject, event: Event) -> Occurrence | None:
        """Return an event of a subject in this season as the model knows it; None where it has no date."""
        prior = self.prior(subject, event)
        if isinstance(prior, NoDate):
            return None
        happens = Happens.of(subject.bearing, event)
        return Occurrence(
            day=prior.day,
            kin=prior.kin,
            tree=subject.tree.tag,
            name=f"{happens.event_name}/{happens.bearing.cultivar}/{happens.bearing.crop}",
            year=self.year.year,
            is_autumn=event is Event.LEAF_FALL,
        )

    def prior(self, subject: Subject, event: Event) -> Prior | NoDate:
        """Return what to expect of an event before anything is noted this season: the same for all trees of a limb."""
        key = id(subject.limb), subject.limb.key, event, subject.bearing.crop
        if key not in self.priors:
            self.priors[key] = self._prior(subject, event)
        return self.priors[key]

    def _is_as_before(self, subject: Subject) -> bool:
        if subject.tree.tag in self._anew:
            return False
        key = id(subject.limb), subject.bearing.crop
        if key not in self._same:
            former = self._former.get
            self._same[key] = all(
                self.prior(subject, e) == former((key[0], subject.limb.key, e, key[1])) for e in Event
            )
        return self._same[key]

    def _prior(self, subject: Subject, event: Event) -> Prior | NoDate:
        prior = self.expected.of(subject.limb, event, subject.bearing.crop)
        if isinstance(prior, Prior) and not self._is_near_the_turn(prior.day):
            return prior
        crop = Happens.of(subject.bearing, event).bearing.crop
        days = self._days_of_kind(subject.limb.key, event, crop)
        if isinstance(prior, Prior):  # of which season it is, its own records say
            return replace(prior, day=beside_turn(prior.day, median_low(days))) if days else prior
        if days:
            return _from_own_days(subject.limb, event, crop, days)
        return self._from_the_other(subject, event) or self._from_the_order(subject.limb, event, crop) or prior

    def _is_near_the_turn(self, day: float) -> bool:
        """Say whether a season day is less than a quarter of a year from where one season ends and the next begins."""
        first, last = self.year.day_number(self.year.first), self.year.day_number(self.year.last)
        return not first + YEAR_D / 4 <= day <= last - YEAR_D / 4

    def _from_the_other(self, subject: Subject, event: Event) -> Prior | None:
        """Count a pick from what is known of its bloom, or a bloom back from its pick, where nothing else dates it."""
        crop = subject.bearing.crop
        own, printed = subject.limb.own_interval(crop), subject.limb.interval(crop)
        interval = own or printed
        if interval is None or event is Event.LEAF_FALL:
            return None
        from_event = Event.FULL_BLOOM if event is Event.PICK else Event.PICK
        other = self.expected.of(subject.limb, from_event, crop)
        if isinstance(other, NoDate):
            days = self._days_of_kind(subject.limb.key, from_event, crop)
            other = _from_own_days(subject.limb, from_event, crop, days) if days else other
        if isinstance(other, NoDate):
            return None
        reason, sign = of_interval(interval, event), 1 if event is Event.PICK else -1
        by = f"interval: {subject.limb.key}/{crop}", interval_spread(interval.value, interval.cited)
        if own is not None:  # how sure that is, the observation says that is made of it
            by = f"interval: {subject.tree.tag}/{subject.limb.key}/{crop}", spreads.CULTIVAR_UNKNOWN_D
            if event is Event.PICK:
                reason = Reason(why=OwnInterval(own.text), cited=(own.cited,))
        return beside(other, sign * interval.value.middle, (by[0], sign * by[1]), reason)

    def _from_the_order(self, cultivar: Cultivar, event: Event, crop: str) -> Prior | None:
        """Count a pick from that of another cultivar here, of which the household's own records alone tell."""
        offset = cultivar.own.offset
        base = self.holding.cultivars.get(offset.base) if offset else None
        if event is not Event.PICK or crop != cultivar.crops[0] or offset is None or base is None:
            return None
        trees = (s for s in self._of_kind.get(base.key, ()) if s.bearing.crop == base.crops[0])
        priors = (self.prior(subject, event) for subject in trees)
        found = next((prior for prior in priors if isinstance(prior, Prior)), None)
        found = found or self._from_the_order(base, event, base.crops[0])
        by = f"order: {cultivar.key}", spreads.ORDER_D
        return None if found is None else beside(found, offset.days, by, in_order(offset, base))

    def is_rough(self, subject: Subject, event: Event) -> bool:
        """Say whether what is expected of an event is rough (see `Prior`)."""
        prior = self.prior(subject, event)
        return not isinstance(prior, NoDate) and prior.rough

    def subject_of(self, happens: Happens) -> Subject | None:
        """Return the first subject that an event belongs to; None where it stands no more."""
        event = happens.event
        for subject in self.looked_up[happens.bearing.tree].subjects:
            if Happens.of(subject.bearing, event) == happens:
                return subject
        return None

    def about(self, subject: Subject) -> list[Record]:
        """Return the records that speak of a subject, by name or with the whole place, oldest first."""
        found = self.looked_up[subject.tree.tag].about
        if subject.bearing not in found:
            lines = self.looked_up[subject.tree.tag].lines
            found[subject.bearing] = [record for record in lines if record.is_about(*subject.bearing)]
        return found[subject.bearing]

    def seen_in_each_season(self, subject: Subject, event: Event) -> tuple[Record, ...]:
        """Return the earliest record of an event in each season that has one, oldest first."""
        found = self.looked_up[subject.tree.tag]
        if subject.bearing not in found.seen:
            found.seen[subject.bearing] = self.lines.seen(subject.bearing, self.as_of, self.year.year)
        return found.seen[subject.bearing][event]

    def seen(self, subject: Subject, event: Event) -> Record | None:
        """Return the record of an event in this season, if it has been seen."""
        year = self.year.year
        for record in reversed(self.seen_in_each_season(subject, event)):
            if record.season <= year:
                return record if record.season == year else None
        return None

    def this_season(self, subject: Subject, what: Happening) -> list[Record]:
        """Return this season's lines of one kind that name the subject's tree."""
        if not self.notes(subject, what):
            return []
        found = self.looked_up[subject.tree.tag].this_season
        if subject.bearing not in found:
            of_kind = found[subject.bearing] = {}
            for record in self.about(subject):
                if record.season == self.year.year and record.tree:
                    of_kind.setdefault(record.what, []).append(record)
        return found[subject.bearing].get(what, [])

    def crop_said(self, subject: Subject) -> Record | None:
        """Return the last line of this season that says how big the crop is; of one day that which names most."""
        if not self.notes(subject, *_CROPS):
            return None
        return last_word(r for r in self.about(subject) if r.season == self.year.year and r.what in _CROPS)

    def _days_of_kind(self, cultivar: str, event: Event, crop: str) -> list[float]:
        """Return the season days on record of an event of a cultivar's crop, or of its leaf fall."""
        if event not in self.lines.events:
            return []
        key = cultivar, event, crop
        if key not in self.own_days:
            self.own_days[key] = [
                day
                for subject in self._of_kind.get(cultivar, ())
                if Happens.of(subject.bearing, event).bearing.crop == crop
                for day in self._days_of(subject, event)
            ]
        return self.own_days[key]

    def _days_of(self, subject: Subject, event: Event) -> Sequence[float]:
        """Return the season days on record of an event of one tree; on most days few of a kind have another."""
        found = self.looked_up[subject.tree.tag].days
        key = subject.bearing, event
        if key not in found:
            found[key] = [
                float(self.year.named(record.season).day_number(record.day))
                for record in self.seen_in_each_season(subject, event)
            ]
        return found[key]


def _bases_of(holding: Holding) -> Mapping[str, frozenset[str]]:
    """Return for each cultivar of the trees whose pick is counted from others which these are, by key."""
    found = {}
    for limb in {limb.key: limb for tree in holding.trees for limb in tree.limbs}.values():
        bases, offset = [], limb.own.offset
        while offset is not None and offset.base in holding.cultivars:
            bases.append(offset.base)
            offset = holding.cultivars[offset.base].own.offset
        if bases:
            found[limb.key] = frozenset(bases)
    return found


def mean_day(days: Sequence[float]) -> float:
    """Return the mean of season days of several seasons, on the side of the turn of the year where most of them lie."""
    middle = middle_of(days)
    mean = sum(beside_turn(day, middle) for day in days) / len(days)
    return beside_turn(mean, median_low(days))


def _from_own_days(cultivar: Cultivar, event: Event, crop: str, days: Sequence[float]) -> Prior:
    return Prior(
        day=mean_day(days),
        kin=((f"own records: {cultivar.key}/{event.value}/{crop}", spreads.CULTIVAR_UNKNOWN_D),),
        rough=False,
        reasons=(Reason(why=OwnRecordsAlone()),),
    )
