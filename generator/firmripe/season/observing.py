"""What is known, put as observations of the model: records, intervals, field readings, warmth, usual picks."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import cached_property
from itertools import chain, takewhile
from typing import Final

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from firmripe.holding.fruit import Event
from firmripe.holding.record import Happening, Record
from firmripe.holding.tree import Bearing
from firmripe.season import spreads
from firmripe.season.because import Evidence, Group, NotFalling, NotThere
from firmripe.season.estimate import Happens, NoDate
from firmripe.season.field import FirmnessLine, before_the_pick, firmness_line
from firmripe.season.forecast import Forecast
from firmripe.season.knowledge import Knowledge, Subject
from firmripe.season.model import Observation, Occurrence, Weighed, year_scale_of
from firmripe.season.printed import YEAR_D, beside_turn, interval_spread
from firmripe.season.prior import Prior, in_season
from firmripe.season.usual import is_of_this_ground

Lessons = Mapping[tuple[Bearing, int], tuple[float, float]]
"""By how many days the pick of a bearing in a season should have been another, and give or take how many."""


_NO_LESSON = 0.0, 0.0
_Parted = tuple[list[Observation], list[Observation]]
"""Observations of other seasons and of usual days, and those of this season."""


class _Put(Struct, frozen=True):
    """Days on record put as observations, one for each record, and what they were made of."""

    prior: Prior | NoDate
    records: tuple[Record, ...]
    taught: list[tuple[float, float]]
    observations: list[Observation]

    def is_made_of(self, prior: Prior | NoDate, records: tuple[Record, ...], taught: list[tuple[float, float]]) -> bool:
        """Say whether all of them would be made again, and no more."""
        return self.records == records and self.taught == taught and self.prior == prior

    def alike(self, prior: Prior | NoDate, records: tuple[Record, ...], taught: list[tuple[float, float]]) -> int:
        """Return of how many records from the first on the same would be made again."""
        if not self.observations or self.prior != prior:
            return 0
        both = zip(self.records, records, self.taught, taught, strict=False)
        return sum(1 for _ in takewhile(lambda one: one[0] is one[1] and one[2] == one[3], both))


class Noted:
    """The days on record as observations, each put anew only where what it is made of has changed.

    `former` is those of the same holding and season on another day. `parted` holds each subject's, `put` those of each
    event of it, `stated` those of the household's usual days, which are the same all season.
    """

    def __init__(self, lessons: Lessons, former: Noted | None = None) -> None:
        self.lessons = lessons
        self._is_taught_alike = former is not None and former.lessons == lessons
        self.parted: dict[Bearing, _Parted] = dict(former.parted) if former else {}
        self.put: dict[tuple[Bearing, Event], _Put] = former.put if former else {}
        self.stated: list[Observation] | None = former.stated if former else None

    def of(self, known: Knowledge) -> list[_Parted]:
        """Return the same as `of_records` of each subject, those of this season apart."""
        for subject in known.anew if self._is_taught_alike else known.subjects:
            others: list[Observation] = []
            now: list[Observation] = []
            for event in Event:
                for seen in self._of_event(known, subject, event):
                    (now if seen.later.year == known.year.year else others).append(seen)
            self.parted[subject.bearing] = others, now
        return [self.parted[subject.bearing] for subject in known.subjects]

    def _of_event(self, known: Knowledge, subject: Subject, event: Event) -> list[Observation]:
        prior, records = known.prior(subject, event), known.seen_in_each_season(subject, event)
        taught = _taught(known, subject, event, records, self.lessons)
        former = self.put.get((subject.bearing, event), _NOTHING_PUT)
        if former.is_made_of(prior, records, taught):
            return former.observations
        same = former.alike(prior, records, taught)
        found = [*former.observations[:same], *of_event(known, subject, event, taught, same)]
        self.put[subject.bearing, event] = _Put(prior, records, taught, found)
        return found

    def usual(self, known: Knowledge) -> list[Observation]:
        """Return what the household states of usual days."""
        if self.stated is None:
            self.stated = _from_usual_picks(known)
        return self.stated


_NOTHING_PUT: Final = _Put(NoDate(reason=NotThere.NOT_KNOWN), (), [], [])


def is_free(observation: Observation) -> bool:
    """Say whether an observation was noted or foretold, and is no interval."""
    return observation.group.evidence is not Evidence.INTERVAL


def observe(
    known: Knowledge, forecasts: Sequence[Forecast], noted: Noted
) -> tuple[list[list[Observation]], list[Observation]]:
    """Return every observation that bears on the season but what warmth foretells (see `from_weather`).

    Those of other seasons and of usual days are lists that stay the same while they are made of the same, then come
    those of this season.
    """
    parted = noted.of(known)
    others = [before for before, _ in parted if before]
    now = [seen for _, of_tree in parted for seen in of_tree]
    return [*others, _from_intervals(known, forecasts), noted.usual(known)], [*now, *_from_the_field(known)]


def in_order(observations: Iterable[Observation]) -> tuple[Observation, ...]:
    """Return observations in an order that the notes' order doesn't change."""
    return tuple(sorted(observations, key=_rank))


def _rank(seen: Observation) -> tuple[Group, str, int, float, float]:
    return seen.group, seen.later.name, seen.later.year or 0, seen.value, seen.spread_d


class Earlier:
    """The observations of other seasons and of usual days, and what they make of this season's events.

    They are the same on most days of a season: what was made of those of another day is taken over where it holds
    (`alike`).
    """

    def __init__(self, known: Knowledge, parts: list[list[Observation]], alike: Earlier | None = None) -> None:
        self._known = known
        self.made_of = parts
        same = alike if alike and alike.made_of == parts else None
        self.observations: tuple[Observation, ...] = same.observations if same else in_order(chain(*parts))
        # Earlier years alone say how much years differ, so that no note of this season makes a date less sure.
        self.year_scale: float = same.year_scale if same else year_scale_of(self.observations)
        self.lately: Weighed | None = same.lately if same else None

    @cached_property
    def free(self) -> NDArray[np.bool_]:
        """Which of them are no intervals."""
        return np.array([is_free(observation) for observation in self.observations], dtype=bool)

    def weighed(self, asked: Collection[Occurrence]) -> Weighed:
        """Return what they make of this season's events, those asked for among them; more can be added to it."""
        if self.lately is None or not self.lately.knows(asked):
            known = self._known
            events = {Happens.of(s.bearing, event): (s, event) for s in known.subjects for event in Event}
            found = [known.occurrence(subject, event) for subject, event in events.values()]
            dated = [occurrence for occurrence in found if occurrence is not None]
            self.lately = Weighed(dated, self.observations, self.year_scale)
        return self.lately


def foretold(forecast: Forecast) -> Group:
    """Return the group that a forecast counts under."""
    return Group.of(Evidence.WARMTH, forecast.event, forecast.bearing.tree, forecast.bearing.cultivar)


def of_records(known: Knowledge, subject: Subject) -> list[Observation]:
    """Return the days on record of a subject's events as they were noted, whatever verdicts say of them."""
    found: list[Observation] = []
    for event in Event:
        untaught = [_NO_LESSON] * len(known.seen_in_each_season(subject, event))
        found += of_event(known, subject, event, untaught)
    return found


def of_event(
    known: Knowledge, subject: Subject, event: Event, taught: Sequence[tuple[float, float]], first: int = 0
) -> list[Observation]:
    """Return the days on record of an event from the `first` record on; none where nothing is expected of it.

    Each is `taught` to be so many days another, give or take some. One that is near to what is expected only on the
    other side of the turn of the year is of the crop there: January's of that of the December before.
    """
    usual = known.occurrence(subject, event)
    is_of_the_limb = event is Event.LEAF_FALL and subject.bearing.crop != subject.limb.crops[0]
    if usual is None or is_of_the_limb:  # leaves fall once, whatever the crop
        return []
    earlier, now = (_group(e, subject, event) for e in (Evidence.EARLIER_SEASONS, Evidence.THIS_SEASON))
    found = []
    seen = known.seen_in_each_season(subject, event)
    for record, (off_d, give_or_take) in zip(seen[first:], taught[first:], strict=True):
        spread_d = spreads.NOTE_ABOUT_D if record.about else spreads.NOTE_D
        day, season = day_of(known, record, usual)
        observation = Observation(
            later=replace(usual, year=season),
            value=day + off_d,
            taught_d=off_d,
            spread_d=math.hypot(spread_d, give_or_take) if give_or_take else spread_d,
            group=now if season == known.year.year else earlier,
        )
        found.append(observation)
    return found


def day_of(known: Knowledge, record: Record, usual: Occurrence) -> tuple[float, int]:
    """Return the season day of a record beside what is expected, and the season in which it is that day."""
    noted = known.year.named(record.season).day_number(record.day)
    day = beside_turn(noted, usual.day)
    return day, record.season + round((noted - day) / YEAR_D)


def _taught(
    known: Knowledge, subject: Subject, event: Event, seen: Sequence[Record], lessons: Lessons
) -> list[tuple[float, float]]:
    """Return by how many days each noted day of an event should have been another: a pick of a season that is over."""
    if event is not Event.PICK or not lessons:
        return [_NO_LESSON] * len(seen)
    now = known.year.year
    return [
        _NO_LESSON if record.season == now else lessons.get((subject.bearing, record.season), _NO_LESSON)
        for record in seen
    ]


def _group(evidence: Evidence, subject: Subject, event: Event = Event.PICK) -> Group:
    return Group.of(evidence, event, subject.tree.tag, subject.limb.key)


def _from_intervals(known: Knowledge, forecasts: Sequence[Forecast]) -> list[Observation]:
    """Tie a tree's usual pick to its usual bloom by the household's own interval; a printed one is in what is expected.

    It speaks of the usual days, not of this year's: such a number of days knows nothing of this spring. What this
    year's bloom says of this year's pick is for the year's part of the model.
    """
    found = []
    for subject in known.subjects:
        own = subject.limb.own_interval(subject.bearing.crop)
        if own is None or any(f.from_bloom and f.bearing == subject.bearing for f in forecasts):
            continue  # the same rule, made closer by the nights after bloom
        pick, bloom = known.occurrence(subject, Event.PICK), known.occurrence(subject, Event.FULL_BLOOM)
        if pick is None or bloom is None:
            continue
        found.append(
            Observation(
                later=replace(pick, year=None),
                earlier=replace(bloom, year=None),
                value=own.value.middle,
                spread_d=interval_spread(own.value, least=spreads.STATED_INTERVAL_D),
                group=_group(Evidence.INTERVAL, subject),
            )
        )
    return found


def _from_the_field(known: Knowledge) -> list[Observation]:
    """Firmness carried to its target and the first sound fruit on the ground bear on this season's pick."""
    found = []
    for subject in known.that_note(Happening.FIRMNESS, Happening.DROP):
        line = firmness(known, subject)
        fallen = known.this_season(subject, Happening.DROP)
        pick = known.occurrence(subject, Event.PICK) if line is not None or fallen else None
        if pick is None:
            continue
        if isinstance(line, FirmnessLine):
            found.append(
                Observation(
                    later=pick,
                    value=line.day,
                    spread_d=line.spread_d,
                    group=_group(Evidence.FIRMNESS, subject),
                )
            )
        drops = [known.year.day_number(record.day) for record in fallen]
        ahead = before_the_pick(subject.limb.traits.drops)
        near = [day for day in drops if abs(day - pick.day) <= ahead.high]
        if near and subject.limb.traits.drops:
            found.append(
                Observation(
                    later=pick,
                    value=min(near) + ahead.middle,
                    spread_d=max(spreads.NOTE_D, (ahead.high - ahead.low) / math.sqrt(12)),
                    group=_group(Evidence.FIRST_DROP, subject),
                )
            )
    return found


def firmness(known: Knowledge, subject: Subject) -> FirmnessLine | NotFalling | None:
    """Carry this season's firmness readings to the cultivar's target; None without readings or target."""
    target = subject.limb.traits.firmness_at_pick
    readings = [
        (float(known.year.day_number(record.day)), record.firmness_n)
        for record in known.this_season(subject, Happening.FIRMNESS)
        if record.firmness_n is not None
    ]
    return firmness_line(readings, target.value) if target and readings else None


def from_weather(known: Knowledge, forecasts: Sequence[Forecast], earlier: Earlier) -> list[Observation]:
    """Return what warmth foretells of this season's events, each until it is noted itself, as the day to be noted.

    That day depends on what the `earlier` observations say without it (see `Forecast.as_note`).
    """
    open_ones = []
    for forecast in forecasts:
        names = (forecast.bearing.tree, forecast.bearing.cultivar)
        subject = next(s for s in known.subjects if (s.tree.tag, s.limb.key) == names)
        occurrence = known.occurrence(subject, forecast.event)
        if occurrence is not None and known.seen(subject, forecast.event) is None:
            open_ones.append((forecast, occurrence))
    if not open_ones:
        return []
    many = sum(forecast.scatter_d > 0 for forecast, _ in open_ones)
    occurrences = [occurrence for _, occurrence in open_ones]
    usual = earlier.weighed(occurrences).more(occurrences, ())
    found = []
    for row, (forecast, occurrence) in enumerate(open_ones):
        note = forecast.as_note(float(usual.mean[row]), float(usual.spread_d[row]), many)
        if note is not None:
            found.append(
                Observation(
                    later=occurrence,
                    value=note[0],
                    spread_d=note[1],
                    group=foretold(forecast),
                )
            )
    return found


def _from_usual_picks(known: Knowledge) -> list[Observation]:
    """Return what the household states of usual days, as observations of what is expected without them."""
    place = known.holding.place
    stated = [
        (known.holding.cultivars[m.cultivar], Event.PICK, m.crop, m.pick, place.hemisphere) for m in place.usual_picks
    ]
    for _, cultivar in sorted(known.holding.cultivars.items()):
        stated += [
            (cultivar, window.event, window.crop, window.stretch, window.written_for)
            for window in cultivar.own.windows
            if is_of_this_ground(window, place) and window.event is not Event.LEAF_FALL
        ]
    found = []
    for cultivar, event, crop, stretch, half in stated:
        prior = known.expected.from_the_printed(cultivar, event, crop)
        if prior is None:
            continue
        first, last = in_season(known.year, stretch, half)
        usual = Occurrence(day=prior.day, kin=prior.kin, tree="", name=f"usual {event.value}", year=None)
        found.append(
            Observation(
                later=usual,
                value=beside_turn((first + last) / 2, prior.day),
                spread_d=math.hypot(spreads.MARKER_D, (last - first) / math.sqrt(12)),
                group=Group.of(Evidence.USUAL_DAY, event, tree="", cultivar=cultivar.key),
            )
        )
    return found
