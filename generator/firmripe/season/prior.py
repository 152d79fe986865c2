"""What to expect of a cultivar on this ground before anything is noted: the mean of the season model.

In order of what is at hand: the household's own dates for its own ground; what all that is printed says of this
ground, carried by warmth; the usual pick that the household states; its records alone; nothing, with the reason.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from firmripe.days import DayCount, Hemisphere, Stretch, WorkingYear
from firmripe.holding.figures import Figure
from firmripe.holding.fruit import Cultivar, Event, Offset, Window
from firmripe.holding.place import Place
from firmripe.season import spreads
from firmripe.season.because import (
    CarriedByWarmth,
    IntervalFromBloom,
    KnownOfFruit,
    NoteIt,
    NothingSays,
    NotThere,
    OfTheGround,
    OwnWindows,
    PlacedWindow,
    PlaceInOrder,
    Reckoned,
    UsualPickStated,
    Windows,
)
from firmripe.season.climate import Climate
from firmripe.season.estimate import NoDate, Reason
from firmripe.season.printed import Printed, beside_turn, day_in, interval_spread, item_of
from firmripe.season.usual import Usual, UsualDay, is_of_this_ground


class Prior(Struct, frozen=True, kw_only=True):
    """An expected season day (days from the season's first day), and how far it may be off.

    `kin` are the unknowns that its error is a sum of, each with what one of its standard deviations moves the day by:
    dates that hang on the same unknown err together. `rough` says that no climate but a hardiness zone's carried it
    here, or none at all.
    """

    day: float
    kin: tuple[tuple[str, float], ...]
    rough: bool
    reasons: tuple[Reason, ...]

    @property
    def spread_d(self) -> float:
        """Standard deviation in days."""
        return math.hypot(*(moved for _, moved in self.kin))


class Expectations:
    """Priors of all cultivars for one season on one ground; each is worked out once."""

    def __init__(self, place: Place, year: WorkingYear, cultivars: Mapping[str, Cultivar], usual: Usual) -> None:
        self._place = place
        self._year = year
        self._cultivars = cultivars
        self._usual = usual
        self._known: dict[tuple[str, Event, str], Prior | NoDate] = {}

    def of(self, cultivar: Cultivar, event: Event, crop: str = "") -> Prior | NoDate:
        """Return what to expect of an event of a cultivar ; of leaf fall whatever its crop."""
        if event is Event.LEAF_FALL:
            crop = ""
        key = (cultivar.key, event, crop)
        if key not in self._known:
            self._known[key] = (
                self._from_own_dates(cultivar, event, crop)
                or self.from_the_printed(cultivar, event, crop)
                or self._from_usual_pick(cultivar, event, crop)
                or self._counted_from_own_word(cultivar, event, crop)
                or _nothing(cultivar, event)
            )
        return self._known[key]

    def _from_own_dates(self, cultivar: Cultivar, event: Event, crop: str) -> Prior | None:
        """Return what the household's own dates for its own ground say: nothing is carried."""
        own = [
            window
            for window in cultivar.own.windows
            if window.event is event and cultivar.means(window.crop, crop) and is_of_this_ground(window, self._place)
        ]
        if not own:
            return None
        stretches = [in_season(self._year, window.stretch, window.written_for) for window in own]
        width = max(last - first for first, last in stretches)
        middles = [(first + last) / 2 for first, last in stretches]
        return Prior(
            day=sum(beside_turn(middle, middles[0]) for middle in middles) / len(own),
            kin=((f"own date: {cultivar.key}/{event.value}/{crop}", math.hypot(spreads.MARKER_D, width / 12**0.5)),),
            rough=False,
            reasons=(
                Reason(
                    why=OwnWindows(tuple(window.text for window in own)),
                    cited=tuple(window.cited for window in own),
                ),
            ),
        )

    def from_the_printed(self, cultivar: Cultivar, event: Event, crop: str) -> Prior | None:
        """Return what all that is printed says of this ground, carried by warmth; None where nothing is."""
        usual = self._usual.of(item_of(cultivar, event, crop))
        if usual is None:
            return None
        return Prior(
            day=day_in(self._year, usual.day),
            kin=usual.kin,
            rough=self._usual.is_rough,
            reasons=(*self._printed(cultivar, event, crop, usual), *self._carried(event, usual)),
        )

    def _printed(self, cultivar: Cultivar, event: Event, crop: str, usual: UsualDay) -> list[Reason]:
        """Tell what is printed of it: its windows, its place in an order, its interval, or its fruit's windows."""
        found = []
        rows = [self._usual.row(at) for at, _share in sorted(usual.windows, key=lambda item: -item[1])]
        is_own = any(row.later.cultivar for row in rows)
        offset = cultivar.own.offset
        if event is Event.PICK and offset is not None and offset.base in self._cultivars:
            found.append(in_order(offset, self._cultivars[offset.base]))
        interval = cultivar.interval(crop) if event is not Event.LEAF_FALL else None
        if interval is not None and not is_own:
            found.append(of_interval(interval, event))
        if rows and (is_own or not found):
            found += _of_windows(rows, cultivar, leans=not is_own)
        return found or [_of_kin(cultivar)]

    def _carried(self, event: Event, usual: UsualDay) -> list[Reason]:
        """Tell by what a printed date was brought here, and how far: its warmth, and all else that is printed."""
        climate = self._usual.climate
        if climate is None:
            return [Reason(why=OfTheGround.NOT_KNOWN)]
        unsure = [Reason(why=OfTheGround.NO_WINTER)] if self._usual.has_no_winter else []
        if usual.printed_day is None or usual.warmth_there_c is None:
            return [Reason(why=Reckoned(event, _warmth_of(event, climate))), *unsure]
        rest = usual.day - usual.printed_day - usual.by_warmth_d
        early_c, spring_c = climate.early_spring_mean(), climate.spring_mean()
        here_c = early_c, spring_c, climate.summer_mean(), climate.autumn_mean()
        carried = CarriedByWarmth(event, here_c, usual.warmth_there_c)
        by_warmth = Reason(why=carried, days=usual.by_warmth_d)
        return [by_warmth, Reason(why=OfTheGround.BESIDE_ALL, days=rest), *unsure]

    def _from_usual_pick(self, cultivar: Cultivar, event: Event, crop: str) -> Prior | None:
        """Return the usual pick that the household states of a cultivar, where nothing else is known of it."""
        for usual in self._place.usual_picks:
            if event is Event.PICK and usual.cultivar == cultivar.key and usual.crop == crop:
                first, last = in_season(self._year, usual.pick, self._place.hemisphere)
                spread = math.hypot(spreads.MARKER_D, (last - first) / math.sqrt(12))
                return Prior(
                    day=(first + last) / 2,
                    kin=((f"usual pick: {cultivar.key}/{crop}", spread),),
                    rough=False,
                    reasons=(Reason(why=UsualPickStated(cultivar.name)),),
                )
        return None

    def _counted_from_own_word(self, cultivar: Cultivar, event: Event, crop: str) -> Prior | None:
        """Return a date counted from one that the household states itself, where nothing is printed for any ground."""
        offset = cultivar.own.offset
        base = self._cultivars.get(offset.base) if offset else None
        if event is Event.PICK and offset is not None and base is not None:
            stated = self.of(base, event, crop)
            if isinstance(stated, Prior):
                reason = in_order(offset, base)
                return beside(stated, offset.days, (f"order: {cultivar.key}", spreads.ORDER_D), reason)
        interval = cultivar.interval(crop)
        if interval is None or event is Event.LEAF_FALL:
            return None
        sign = 1 if event is Event.PICK else -1
        from_event = Event.FULL_BLOOM if event is Event.PICK else Event.PICK
        by = (f"interval: {cultivar.key}/{crop}", sign * interval_spread(interval.value, interval.cited))
        own = self._from_own_dates(cultivar, from_event, crop) or self._from_usual_pick(cultivar, from_event, crop)
        return None if own is None else beside(own, sign * interval.value.middle, by, of_interval(interval, event))


def in_season(year: WorkingYear, stretch: Stretch, written_for: Hemisphere) -> tuple[float, float]:
    """Return the first and the last season day of a stretch of the year.

    One that runs over the turn of the season lies where its middle does, so that one end may lie outside.
    """
    first, last = (year.day_number(year.place_day(day, written_for)) for day in (stretch.first, stretch.last))
    if first <= last:
        return first, last
    length = (year.last - year.first).days + 1
    is_late = (first + last + length) / 2 <= year.day_number(year.last)
    return (first, last + length) if is_late else (first - length, last)


_MOST_SHOWN = 4


def _of_windows(rows: Sequence[Printed], cultivar: Cultivar, *, leans: bool) -> list[Reason]:
    """Tell which windows are printed, and which the household gives for other ground; what counts most first."""
    windows = [row.window for row in rows if row.window]
    fruit = cultivar.fruit.name if leans and cultivar.fruit else ""
    own, printed = ([window for window in windows if window.cited.is_own is whose] for whose in (True, False))
    found = []
    if own:
        found.append(_placed(own, is_own=True))
    if printed:
        found.append(_placed(printed, is_own=False, fruit=fruit))
    return found


def _placed(windows: Sequence[Window], *, is_own: bool, fruit: str = "") -> Reason:
    """Tell some windows, each with its place, and how many more there are."""
    shown = tuple(PlacedWindow(window.text, window.place_name) for window in windows[:_MOST_SHOWN])
    return Reason(
        why=Windows(shown, is_own=is_own, fruit=fruit, more=len(windows) - len(shown)),
        cited=tuple(window.cited for window in windows),
    )


def _warmth_of(event: Event, climate: Climate) -> float:
    """Return the usual mean (°C) of the season whose warmth brings an event most."""
    if event is Event.FULL_BLOOM:
        return climate.early_spring_mean()
    return climate.autumn_mean() if event is Event.LEAF_FALL else climate.spring_mean()


def in_order(offset: Offset, base: Cultivar) -> Reason:
    """Tell how a pick is counted from another cultivar's."""
    return Reason(why=PlaceInOrder(offset.text, base.name, is_own=offset.cited.is_own), cited=(offset.cited,))


def of_interval(interval: Figure[DayCount], event: Event) -> Reason:
    """Tell an interval from bloom to pick, as seen from the event that is counted."""
    why = IntervalFromBloom(interval.text, event, is_own=interval.cited.is_own)
    return Reason(why=why, cited=(interval.cited,))


def beside(base: Prior, days: float, by: tuple[str, float], reason: Reason) -> Prior:
    """Return what comes so many days after another, by one more unknown (days) and for one more reason."""
    return replace(base, day=base.day + days, kin=(*base.kin, by), reasons=(reason, *base.reasons))


def _of_kin(cultivar: Cultivar) -> Reason:
    """Tell that only others of its fruit, or days counted from them, tell of it."""
    return Reason(why=KnownOfFruit(cultivar.fruit.name if cultivar.fruit else "", cultivar.name))


def _nothing(cultivar: Cultivar, event: Event) -> NoDate:
    if event is Event.FULL_BLOOM and cultivar.blooms_unseen:
        return NoDate(reason=NotThere.UNSEEN)
    return NoDate(reason=NothingSays(event, cultivar.name), remedy=NoteIt(event, cultivar.name))
