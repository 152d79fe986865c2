"""What is known of each bearing on a day: its records, what to expect of it, and what was seen this season."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

from firmripe.days import WorkingYear
from firmripe.holding.fruit import Cultivar, Event
from firmripe.holding.holding import Holding
from firmripe.holding.record import Happening, Record
from firmripe.holding.standing import bore_in, of_those_that_stand, removed_on
from firmripe.holding.tree import Bearing, Tree
from firmripe.season import spreads
from firmripe.season.because import OwnInterval, OwnRecordsAlone
from firmripe.season.estimate import Happens, NoDate, Reason
from firmripe.season.model import Occurrence
from firmripe.season.prior import Expectations, Prior, of_interval
from firmripe.season.usual import usual_of

_SEEN_AS = {
    Happening.FULL_BLOOM: Event.FULL_BLOOM,
    Happening.FIRST_PICK: Event.PICK,
    Happening.PICK: Event.PICK,
    Happening.LEAF_FALL: Event.LEAF_FALL,
}
_CROPS = (Happening.NO_CROP, Happening.PART_CROP, Happening.LIGHT_CROP, Happening.HEAVY_CROP)


@dataclass(frozen=True, slots=True)
class Subject:
    """A bearing with the tree and the limb it belongs to."""

    tree: Tree
    limb: Cultivar
    bearing: Bearing


class Knowledge:
    """Everything that bears on one season of one holding, as known on a day.

    Records from after `as_of` are not looked at, so that a past season can be played again. What is `expected` before
    any record is the same on every day of a season, and what was seen of a tree is as long as its lines are: both are
    taken from what was known of the same holding and season on another day, where that is given (`alike`).
    """

    def __init__(self, holding: Holding, year: WorkingYear, as_of: date, alike: Knowledge | None = None) -> None:
        self.holding = holding
        self.year = year
        self.as_of = as_of
        known = bore_in([record for record in holding.records if record.day <= as_of], year.year)
        self.records = of_those_that_stand(known)
        self._by_tree = _by_tree(self.records, {tree.tag for tree in holding.trees})
        self._seen: dict[str, dict[tuple[Bearing, Event], tuple[Record, ...]]] = {
            tag: alike.seen_by(tag, lines) if alike else {} for tag, lines in self._by_tree.items()
        }
        self.expected: Expectations = (
            alike.expected if alike else Expectations(holding.place, year, holding.cultivars, usual_of(holding))
        )
        self.subjects = tuple(
            Subject(tree, limb, bearing)
            for tree in holding.trees
            for limb in tree.limbs
            if removed_on(self._by_tree[tree.tag], limb.key) is None
            for bearing in (Bearing(tree.tag, limb.key, crop) for crop in limb.crops)
        )

    def occurrence(self, subject: Subject, event: Event, year: int | None = None) -> Occurrence | None:
        """Return an event of a subject as the model knows it, in this season or another; None where it has no date."""
        prior = self.prior(subject, event)
        if isinstance(prior, NoDate):
            return None
        happens = Happens.of(subject.bearing, event)
        return Occurrence(
            day=prior.day,
            kin=prior.kin,
            tree=subject.tree.tag,
            name=f"{happens.event_name}/{happens.bearing.cultivar}/{happens.bearing.crop}",
            year=self.year.year if year is None else year,
            is_autumn=event is Event.LEAF_FALL,
        )

    def prior(self, subject: Subject, event: Event) -> Prior | NoDate:
        """Return what to expect of an event before anything is noted this season."""
        prior = self.expected.of(subject.limb, event, subject.bearing.crop)
        if not isinstance(prior, NoDate):
            return prior
        crop = Happens.of(subject.bearing, event).bearing.crop
        days = self._own_days.get((subject.limb.key, event, crop))
        if days:
            return _from_own_days(subject.limb, event, days)
        return self._from_the_other(subject, event) or prior

    def _from_the_other(self, subject: Subject, event: Event) -> Prior | None:
        """Count a pick from what is known of its bloom, or a bloom back from its pick, where nothing else dates it."""
        own, printed = subject.limb.from_bloom, subject.limb.interval(subject.bearing.crop)
        interval = own or printed
        if interval is None or event is Event.LEAF_FALL:
            return None
        from_event = Event.FULL_BLOOM if event is Event.PICK else Event.PICK
        other = self.expected.of(subject.limb, from_event, subject.bearing.crop)
        if isinstance(other, NoDate):
            days = self._own_days.get((subject.limb.key, from_event, subject.bearing.crop))
            other = _from_own_days(subject.limb, from_event, days) if days else other
        if isinstance(other, NoDate):
            return None
        if own is not None and event is Event.PICK:
            reason = Reason(why=OwnInterval(own.text), cited=(own.cited,))
        else:
            reason = of_interval(interval, event)
        days_on = interval.value.middle if event is Event.PICK else -interval.value.middle
        return replace(other, day=other.day + days_on, reasons=(reason, *other.reasons))

    def about(self, subject: Subject) -> list[Record]:
        """Return the records that speak of a subject, by name or with the whole place, oldest first."""
        names = names_of(subject.bearing)
        return [record for record in self._by_tree[subject.tree.tag] if record.is_about(*names)]

    def seen_in_each_season(self, subject: Subject, event: Event) -> tuple[Record, ...]:
        """Return the earliest record of an event in each season that has one, oldest first."""
        key, of_tree = (subject.bearing, event), self._seen[subject.tree.tag]
        if key not in of_tree:
            of_tree[key] = tuple(first_of_each_season(self._by_tree[subject.tree.tag], subject.bearing, event))
        return of_tree[key]

    def seen_by(self, tag: str, lines: Sequence[Record]) -> dict[tuple[Bearing, Event], tuple[Record, ...]]:
        """Return what has been looked up of a tree so far by its lines; nothing where these are others."""
        return self._seen[tag] if self._by_tree[tag] == lines else {}

    def seen(self, subject: Subject, event: Event) -> Record | None:
        """Return the record of an event in this season, if it has been seen."""
        for record in self.seen_in_each_season(subject, event):
            if record.season == self.year.year:
                return record
        return None

    def this_season(self, subject: Subject, what: Happening) -> list[Record]:
        """Return this season's lines of one kind that name the subject's tree."""
        return [
            record
            for record in self.about(subject)
            if record.what is what and record.season == self.year.year and record.tree
        ]

    def crop_said(self, subject: Subject) -> Record | None:
        """Return the last line of this season that says how big the crop is."""
        said = [r for r in self.about(subject) if r.season == self.year.year and r.what in _CROPS]
        return max(said, key=lambda record: record.day) if said else None

    @cached_property
    def _own_days(self) -> dict[tuple[str, Event, str], list[float]]:
        """Return the season days on record of each cultivar's events."""
        found: dict[tuple[str, Event, str], list[float]] = {}
        for subject in self.subjects:
            for event in Event:
                crop = Happens.of(subject.bearing, event).bearing.crop
                for record in self.seen_in_each_season(subject, event):
                    year = self.year.named(record.season)
                    found.setdefault((subject.limb.key, event, crop), []).append(float(year.day_number(record.day)))
        return found


def _by_tree(records: Sequence[Record], tags: set[str]) -> dict[str, list[Record]]:
    """Return the records that name each tree or the whole place, in their order."""
    found: dict[str, list[Record]] = {tag: [] for tag in tags}
    for record in records:
        for tag in [record.tree] if record.tree else tags:
            if tag in found:
                found[tag].append(record)
    return found


def names_of(bearing: Bearing) -> tuple[str, str, str]:
    """Return tree, cultivar and crop, as `Record.is_about` takes them."""
    return bearing.tree, bearing.cultivar, bearing.crop


def first_of_each_season(records: Sequence[Record], bearing: Bearing, event: Event) -> list[Record]:
    """Return the earliest record of an event in each season that a bearing has one for, oldest first."""
    first: dict[int, Record] = {}
    for record in records:
        if _SEEN_AS.get(record.what) is event and record.tree and record.is_about(*names_of(bearing)):
            kept = first.get(record.season)
            if kept is None or (record.day, record.about) < (kept.day, kept.about):
                first[record.season] = record
    return [first[season] for season in sorted(first)]


def _from_own_days(cultivar: Cultivar, event: Event, days: Sequence[float]) -> Prior:
    mean = sum(days) / len(days)
    return Prior(
        day=mean,
        kin=((f"own records: {cultivar.key}/{event.value}", spreads.CULTIVAR_UNKNOWN_D),),
        rough=False,
        reasons=(Reason(why=OwnRecordsAlone()),),
    )
