"""From the holding to the dates of one season, each with its reasons."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from firmripe.days import WorkingYear
from firmripe.holding.fruit import Cultivar, Event
from firmripe.holding.holding import Holding
from firmripe.holding.record import Happening, Record
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing, Pin, Tree
from firmripe.season import spreads
from firmripe.season.estimate import Basis, Dated, Estimate, Happens, NoDate, Reason
from firmripe.season.field import SOUND_DROP_D, FirmnessLine, NotFalling, firmness_line, question_about
from firmripe.season.model import Observation, Occurrence, condition
from firmripe.season.prior import Expectations, Prior, interval_spread
from firmripe.words import week_day

_SEEN_AS = {
    Happening.FULL_BLOOM: Event.FULL_BLOOM,
    Happening.FIRST_PICK: Event.PICK,
    Happening.PICK: Event.PICK,
    Happening.LEAF_FALL: Event.LEAF_FALL,
}
_WORTH_A_LINE_D = 0.3
"""A contribution smaller than this (days) shares one line with the other small ones."""

_OF_THE_FIELD = {
    "firmness": "Firmness readings, carried to the firmness at the pick",
    "drop": "The first sound fruit on the ground",
}
PREHARVEST_D = 28
"""Sound fruit that falls within this many days before the expected pick says that the window opens (M: four weeks)."""

_CROPS = (Happening.NO_CROP, Happening.PART_CROP, Happening.LIGHT_CROP, Happening.HEAVY_CROP)


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """The dates of one season as known on a day.

    `dates` holds every event of every bearing that stands, `questions` what the records make one ask, by tree.
    """

    holding: Holding
    year: WorkingYear
    as_of: date
    dates: Mapping[Happens, Dated]
    questions: Mapping[str, tuple[str, ...]]

    def of(self, bearing: Bearing, event: Event) -> Dated:
        """Return when an event of a bearing happens."""
        return self.dates[Happens.of(bearing, event)]

    def bears(self, bearing: Bearing) -> bool:
        """Say whether a crop is to be picked, as far as is known."""
        return isinstance(self.of(bearing, Event.PICK), Estimate)

    @property
    def bearings(self) -> tuple[Bearing, ...]:
        """Every bearing of the trees that stand, in walking order."""
        found = (bearing for tree in self.holding.trees for bearing in tree.bearings)
        return tuple(bearing for bearing in found if Happens.of(bearing, Event.PICK) in self.dates)


@dataclass(frozen=True, slots=True)
class Subject:
    """A bearing with the tree and the limb it belongs to."""

    tree: Tree
    limb: Cultivar
    bearing: Bearing


class SeasonModel:
    """The season model of one holding, one season and one day of knowledge.

    `records` from after `as_of` are not looked at, so that a past season can be played again.
    """

    def __init__(self, holding: Holding, year: WorkingYear, as_of: date) -> None:
        self.holding = holding
        self.year = year
        self.as_of = as_of
        self._records = tuple(record for record in holding.records if record.day <= as_of)
        self._expected = Expectations(holding.place, year, holding.cultivars)
        self.subjects = tuple(
            Subject(tree, limb, bearing)
            for tree in holding.trees
            if not self._removed(tree)
            for limb in tree.limbs
            for bearing in (Bearing(tree.tag, limb.key, crop) for crop in limb.crops)
        )
        self._own_days = self._days_on_record()
        self.observations = self._observations()

    def season(self) -> Season:
        """Work out every date."""
        wanted = list(dict.fromkeys(self._wanted()))
        modelled = {happens: self.occurrence(subject, happens.event) for happens, subject in wanted}
        targets = {h: o for h, o in modelled.items() if o is not None}
        result = condition(list(targets.values()), self.observations)
        rows = {happens: index for index, happens in enumerate(targets)}
        dates: dict[Happens, Dated] = {}
        for happens, subject in wanted:
            estimate: Dated
            if happens in rows:
                index = rows[happens]
                estimate = self._estimate(
                    subject, happens, result.mean[index], result.spread_d[index], result.contributions[index]
                )
            else:
                prior = self._prior(subject, happens.event)
                estimate = prior if isinstance(prior, NoDate) else NoDate(reason="nothing is known of it")
            dates[happens] = estimate
        for happens, subject in wanted:
            dates[happens] = self._by_rank(subject, happens, dates)
        return Season(
            holding=self.holding,
            year=self.year,
            as_of=self.as_of,
            dates=dates,
            questions=self._questions(dates),
        )

    def _wanted(self) -> list[tuple[Happens, Subject]]:
        return [(Happens.of(s.bearing, event), s) for s in self.subjects for event in Event]

    # What the model is made of

    def _removed(self, tree: Tree) -> bool:
        """Say whether the tree's last word is that it was removed; a later line means a new tree in its place."""
        own = [record for record in self._records if record.tree == tree.tag]
        return bool(own) and own[-1].what is Happening.REMOVED

    def _days_on_record(self) -> dict[tuple[str, Event, str], list[float]]:
        """Return the season days on record of each cultivar's events."""
        found: dict[tuple[str, Event, str], list[float]] = {}
        for subject in self.subjects:
            for record in self._records:
                event = _SEEN_AS.get(record.what)
                if event is None or not record.is_about(*_names(subject.bearing)) or not record.tree:
                    continue
                year = WorkingYear(year=record.season, hemisphere=self.year.hemisphere)
                crop = subject.bearing.crop if event is Event.PICK else ""
                key = (subject.limb.key, event, crop)
                found.setdefault(key, []).append(float(year.day_number(record.day)))
        return found

    def _prior(self, subject: Subject, event: Event) -> Prior | NoDate:
        prior = self._expected.of(subject.limb, event, subject.bearing.crop)
        if not isinstance(prior, NoDate):
            return prior
        crop = subject.bearing.crop if event is Event.PICK else ""
        days = self._own_days.get((subject.limb.key, event, crop))
        if days:
            return _from_own_days(subject.limb, days)
        own = subject.tree.days_from_bloom
        if event is Event.PICK and own is not None:
            bloom = self._prior(subject, Event.FULL_BLOOM)
            if isinstance(bloom, Prior):
                reason = Reason(text=f"Your own interval: {own.text} after full bloom", cited=(own.cited,))
                return replace(bloom, day=bloom.day + own.value.middle, reasons=(reason, *bloom.reasons))
        return prior

    def occurrence(self, subject: Subject, event: Event, year: int | None = None) -> Occurrence | None:
        """Return an event of a subject as the model knows it, in this season or another; None where it has no date."""
        prior = self._prior(subject, event)
        if isinstance(prior, NoDate):
            return None
        happens = Happens.of(subject.bearing, event)
        return Occurrence(
            day=prior.day,
            place_d=prior.place_d,
            kin=prior.kin,
            tree=subject.tree.tag,
            name=f"{happens.event_name}/{happens.bearing.cultivar}/{happens.bearing.crop}",
            year=self.year.year if year is None else year,
        )

    def _observations(self) -> tuple[Observation, ...]:
        found = [*self._from_records(), *self._from_the_field(), *self._from_intervals(), *self._from_markers()]
        return tuple(sorted(found, key=lambda o: (o.label, o.value, o.spread_d)))

    def _from_records(self) -> list[Observation]:
        found = []
        for subject in self.subjects:
            for event in Event:
                if event is not Event.PICK and subject.bearing.crop != subject.limb.crops[0]:
                    continue
                for record in first_of_each_season(self._records, subject.bearing, event):
                    occurrence = self.occurrence(subject, event, record.season)
                    if occurrence is None:
                        continue
                    year = WorkingYear(year=record.season, hemisphere=self.year.hemisphere)
                    when = "this season" if record.season == self.year.year else str(record.season)
                    found.append(
                        Observation(
                            later=occurrence,
                            value=year.day_number(record.day),
                            spread_d=spreads.NOTE_ABOUT_D if record.about else spreads.NOTE_D,
                            label=f"{event.value} of {subject.limb.name} {subject.tree.tag}, {when}",
                            group=self._group(subject, event, record.season),
                        )
                    )
        return found

    def _group(self, subject: Subject, event: Event, season: int) -> str:
        if season == self.year.year:
            return f"this season: {event.value}|{subject.tree.tag}|{subject.limb.key}"
        return f"earlier seasons: {event.value}|{subject.tree.tag}|{subject.limb.key}"

    def _from_intervals(self) -> list[Observation]:
        """A printed interval ties this season's pick to this season's bloom; the household's own replaces it."""
        found = []
        for subject in self.subjects:
            own = subject.tree.days_from_bloom
            figure = own or self._expected.interval(subject.limb, subject.bearing.crop)
            pick, bloom = self.occurrence(subject, Event.PICK), self.occurrence(subject, Event.FULL_BLOOM)
            if figure is None or pick is None or bloom is None:
                continue
            least = spreads.STATED_INTERVAL_D if own else spreads.INTERVAL_LEAST_D
            found.append(
                Observation(
                    later=pick,
                    earlier=bloom,
                    value=figure.value.middle,
                    spread_d=interval_spread(figure.value, least),
                    label=f"{figure.text} from full bloom to pick of {subject.limb.name} {subject.tree.tag}",
                    group=f"interval|{subject.tree.tag}|{subject.limb.key}",
                )
            )
        return found

    def _from_the_field(self) -> list[Observation]:
        """Firmness carried to its target and the first sound fruit on the ground bear on this season's pick."""
        found = []
        for subject in self.subjects:
            pick = self.occurrence(subject, Event.PICK)
            if pick is None:
                continue
            names = f"{subject.tree.tag}|{subject.limb.key}"
            line = self._firmness(subject)
            if isinstance(line, FirmnessLine):
                found.append(
                    Observation(
                        later=pick,
                        value=line.day,
                        spread_d=line.spread_d,
                        label=f"firmness of {subject.limb.name} {subject.tree.tag}",
                        group=f"firmness|{names}",
                    )
                )
            drops = [self.year.day_number(r.day) for r in self._this_season(subject, Happening.DROP)]
            near = [day for day in drops if day >= pick.day - PREHARVEST_D]
            if near and subject.limb.traits.drops:
                found.append(
                    Observation(
                        later=pick,
                        value=min(near),
                        spread_d=SOUND_DROP_D,
                        label=f"first sound drop of {subject.limb.name} {subject.tree.tag}",
                        group=f"drop|{names}",
                    )
                )
        return found

    def _this_season(self, subject: Subject, what: Happening) -> list[Record]:
        """Return this season's lines of one kind that name the subject's tree."""
        return [
            record
            for record in self._records
            if record.what is what
            and record.season == self.year.year
            and record.tree
            and record.is_about(*_names(subject.bearing))
        ]

    def _firmness(self, subject: Subject) -> FirmnessLine | NotFalling | None:
        target = subject.limb.traits.firmness_at_pick
        readings = [
            (float(self.year.day_number(record.day)), record.firmness_n)
            for record in self._this_season(subject, Happening.FIRMNESS)
            if record.firmness_n is not None
        ]
        return firmness_line(readings, target.value) if target and readings else None

    def _questions(self, dates: Mapping[Happens, Dated]) -> dict[str, tuple[str, ...]]:
        """Ask about fruit that fell out of its time, and say where readings don't fall yet."""
        found: dict[str, dict[str, None]] = {}
        for subject in self.subjects:
            asked = found.setdefault(subject.tree.tag, {})
            line = self._firmness(subject)
            if isinstance(line, NotFalling):
                asked[f"{subject.limb.name}: {line.reason}"] = None
            stages = {}
            bloom = dates.get(Happens.of(subject.bearing, Event.FULL_BLOOM))
            pick = dates.get(Happens.of(subject.bearing, Event.PICK))
            if isinstance(bloom, Estimate):
                fall = spreads.PETAL_FALL_AFTER_D
                stages = {Stage.FULL_BLOOM: bloom.reach, Stage.PETAL_FALL: bloom.reach.after(fall, fall, fall)}
            if isinstance(pick, Estimate):
                stages[Stage.PICK] = pick.reach
            for record in self._this_season(subject, Happening.DROP):
                if question := question_about(record, subject.limb.traits.drops, stages):
                    asked[question] = None
        return {tag: tuple(asked) for tag, asked in found.items() if asked}

    def _from_markers(self) -> list[Observation]:
        found = []
        for marker in self.holding.place.markers:
            cultivar = self.holding.cultivars[marker.cultivar]
            prior = self._expected.of(cultivar, Event.PICK)
            if isinstance(prior, NoDate):
                continue
            usual = Occurrence(
                day=prior.day, place_d=prior.place_d, kin=prior.kin, tree="", name="usual pick", year=None
            )
            hemisphere = self.holding.place.hemisphere
            first = self.year.day_number(self.year.place_day(marker.pick.first, hemisphere))
            last = self.year.day_number(self.year.place_day(marker.pick.last, hemisphere))
            found.append(
                Observation(
                    later=usual,
                    value=(first + last) / 2,
                    spread_d=math.hypot(spreads.MARKER_D, (last - first) / math.sqrt(12)),
                    label=f"usual pick of {cultivar.name} here",
                    group=f"marker|{cultivar.key}",
                )
            )
        return found

    # From the model's answer to the date that counts

    def _estimate(
        self, subject: Subject, happens: Happens, mean: float, spread_d: float, contributions: np.ndarray
    ) -> Estimate:
        prior = self._prior(subject, happens.event)
        if isinstance(prior, NoDate):  # cannot be: it is among the targets
            raise TypeError(prior.reason)
        reasons = [*prior.reasons, *self._grouped(subject, contributions)]
        if happens.event is Event.PICK:
            load, more_spread = self._load(subject)
            if load is not None:
                reasons.append(load)
                mean += load.days or 0.0
                spread_d = math.hypot(spread_d, more_spread)
        moved = float(np.abs(contributions).sum()) > 1.0
        return Estimate(
            likely=self.year.date_of(mean),
            spread_d=float(spread_d),
            basis=Basis.MODEL,
            reasons=tuple(reasons),
            rough=prior.rough and not moved,
        )

    def _grouped(self, subject: Subject, contributions: np.ndarray) -> list[Reason]:
        """Add up the contributions line by line; the lines sum to the model's shift."""
        sums: dict[str, float] = {}
        for observation, days in zip(self.observations, contributions, strict=True):
            line = self._line(subject, observation.group)
            sums[line] = sums.get(line, 0.0) + float(days)
        large = sorted(((line, d) for line, d in sums.items() if abs(d) >= _WORTH_A_LINE_D), key=lambda i: -abs(i[1]))
        reasons = [Reason(text=line, days=days) for line, days in large]
        if rest := [days for days in sums.values() if abs(days) < _WORTH_A_LINE_D]:
            reasons.append(Reason(text="Everything else that was noted, together", days=sum(rest)))
        return reasons

    def _line(self, subject: Subject, group: str) -> str:
        what, *names = group.split("|")
        if what == "marker":
            return f"The usual pick of {self.holding.cultivars[names[0]].name} here"
        if what in _OF_THE_FIELD:
            return f"{_OF_THE_FIELD[what]}, of {self._whose(subject, *names)}"
        whose = self._whose(subject, *names)
        if what == "interval":
            return f"The interval from full bloom to pick, of {whose}"
        when, event = what.split(": ")
        return f"Noted in {when}: {event} of {whose}" if when != "this season" else f"This season’s {event} of {whose}"

    def _whose(self, subject: Subject, tag: str, cultivar: str) -> str:
        if tag == subject.tree.tag and cultivar == subject.limb.key:
            return "this tree"
        return f"other {subject.limb.name}" if cultivar == subject.limb.key else "other trees"

    def _load(self, subject: Subject) -> tuple[Reason | None, float]:
        """Return how this season's crop moves the date and how much it widens the window."""
        said = [r for r in self._records if r.season == self.year.year and r.what in _CROPS]
        said = [r for r in said if r.is_about(*_names(subject.bearing))]
        if not said:
            return None, 0.0
        latest = max(said, key=lambda r: r.day).what
        if latest is Happening.LIGHT_CROP:
            return Reason(text="A light crop ripens 3 to 4 days sooner", days=spreads.LIGHT_CROP_D), 0.0
        if latest is Happening.HEAVY_CROP:
            return Reason(text="A heavy crop ripens up to a week later", days=spreads.HEAVY_CROP_D), 0.0
        return Reason(text="Only part of the crop set: the window is wider", days=0.0), spreads.PART_CROP_D

    def _by_rank(self, subject: Subject, happens: Happens, modelled: Mapping[Happens, Dated]) -> Dated:
        """Return the date by whose word counts: no crop, safety limit, pin, record, stated interval, model."""
        dated = modelled[happens]
        if happens.event is Event.PICK and (none := self._no_crop(subject)) is not None:
            return none
        seen = self._seen(subject, happens.event)
        pin = self._pin(subject, happens.event)
        if pin is not None:
            because = f": {pin.because}" if pin.because else ""
            dated = Estimate(
                likely=pin.day,
                spread_d=0.0,
                basis=Basis.PINNED,
                reasons=(Reason(text=f"Fixed by hand in the tree's note{because}"),),
            )
        elif seen is not None:
            about = "about " if seen.about else ""
            dated = Estimate(
                likely=seen.day,
                spread_d=0.0,
                basis=Basis.RECORDED,
                reasons=(Reason(text=f"Noted in the records: {about}{week_day(seen.day)}"),),
            )
        elif (stated := self._stated(subject, happens, dated)) is not None:
            dated = stated
        if happens.event is Event.PICK and isinstance(dated, Estimate) and dated.basis is not Basis.RECORDED:
            dated = self._after_sprays(subject, dated)
        return dated

    def _pin(self, subject: Subject, event: Event) -> Pin | None:
        """Return the date fixed by hand for this season, if there is one."""
        for pin in subject.tree.pins:
            fits = pin.cultivar in {"", subject.limb.key} and pin.crop in {"", subject.bearing.crop}
            if pin.event is event and fits and pin.day in self.year:
                return pin
        return None

    def _no_crop(self, subject: Subject) -> NoDate | None:
        bears_from = subject.tree.bears_from
        if bears_from is not None and bears_from > self.year.year:
            return NoDate(reason=f"young tree: no crop looked for before {bears_from}")
        said = [r for r in self._records if r.season == self.year.year and r.what in _CROPS]
        said = [r for r in said if r.is_about(*_names(subject.bearing))]
        if said and (last := max(said, key=lambda r: r.day)).what is Happening.NO_CROP:
            note = f" ({last.note})" if last.note else ""
            return NoDate(reason=f"no crop this season{note}")
        return None

    def _seen(self, subject: Subject, event: Event) -> Record | None:
        for record in first_of_each_season(self._records, subject.bearing, event):
            if record.season == self.year.year:
                return record
        return None

    def _stated(self, subject: Subject, happens: Happens, modelled: Dated) -> Estimate | None:
        own = subject.tree.days_from_bloom
        bloom = self._seen(subject, Event.FULL_BLOOM)
        if happens.event is not Event.PICK or own is None or bloom is None:
            return None
        likely = bloom.day + timedelta(days=round(own.value.middle))
        text = f"Your own interval, {own.text}, from full bloom on {week_day(bloom.day)}"
        width = modelled.spread_d if isinstance(modelled, Estimate) else spreads.STATED_INTERVAL_D
        return Estimate(
            likely=likely, spread_d=width, basis=Basis.STATED_INTERVAL, reasons=(Reason(text=text, cited=(own.cited,)),)
        )

    def _after_sprays(self, subject: Subject, dated: Estimate) -> Estimate:
        """Let no picking fall before the last spray's label interval has run; say where that moves a date.

        The day of the spray counts as day 0, as the reference has it (from memory); the later of several counts.
        """
        open_from = None
        for record in self._records:
            if record.what is not Happening.SPRAY or record.days_to_harvest is None:
                continue
            if record.season == self.year.year and record.is_about(*_names(subject.bearing)):
                free = record.day + timedelta(days=record.days_to_harvest)
                open_from = max(open_from, free) if open_from else free
        if open_from is None or open_from <= dated.earliest:
            return dated
        clash = f"Spray label: no picking before {week_day(open_from)}. The label is the law."
        return replace(dated, likely=max(dated.likely, open_from), not_before=open_from, clash=clash)


def _names(bearing: Bearing) -> tuple[str, str, str]:
    return bearing.tree, bearing.cultivar, bearing.crop


def _from_own_days(cultivar: Cultivar, days: Sequence[float]) -> Prior:
    mean = sum(days) / len(days)
    reason = Reason(text="No printed date: only your own records speak for it")
    return Prior(
        day=mean,
        place_d=0.0,
        kin=((cultivar.key, spreads.CULTIVAR_UNKNOWN_D),),
        rough=False,
        reasons=(reason,),
    )


def first_of_each_season(records: Sequence[Record], bearing: Bearing, event: Event) -> list[Record]:
    """Return the earliest record of an event in each season that a bearing has one for, oldest first."""
    first: dict[int, Record] = {}
    for record in records:
        if _SEEN_AS.get(record.what) is event and record.tree and record.is_about(*_names(bearing)):
            kept = first.get(record.season)
            if kept is None or record.day < kept.day:
                first[record.season] = record
    return [first[season] for season in sorted(first)]
