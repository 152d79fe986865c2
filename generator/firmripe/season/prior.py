"""What to expect of a cultivar on this ground before anything is noted: the mean of the season model.

In order of what is at hand: windows of the shelf carried here over zones, latitude and height; the offset from another
cultivar; the interval from bloom; the fruit's own; the usual pick that the household states; its records alone;
nothing, with the reason.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from firmripe.days import DayCount, Hemisphere, Stretch, WorkingYear
from firmripe.holding.figures import Cited, Figure, Mark
from firmripe.holding.fruit import Cultivar, Event, Window
from firmripe.holding.place import Ground, Place
from firmripe.saying import _, term
from firmripe.season import spreads
from firmripe.season.estimate import NoDate, Reason
from firmripe.words import amount, stretch_words, when_words


@dataclass(frozen=True, slots=True, kw_only=True)
class Prior:
    """An expected season day (days from the season's first day), and how far it may be off.

    `place_d` is the standard deviation of the place's part. `kin` names whose cultivar's part it shares, each with its
    own standard deviation: its own first, then those of the cultivars its date was counted from. `rough` says that
    latitude and height did not carry it here: the zone alone did, or nothing, or its place is too far.
    """

    day: float
    place_d: float
    kin: tuple[tuple[str, float], ...]
    rough: bool
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class _Carried:
    """One window, moved here by latitude and height. `zone` is the half zone of its place, or None."""

    window: Window
    day: float
    width_d: float
    moved_d: float
    spread_d: float
    zone: float | None
    by_ground: bool


class Expectations:
    """Priors of all cultivars for one season on one ground; each is worked out once."""

    def __init__(self, place: Place, year: WorkingYear, cultivars: Mapping[str, Cultivar]) -> None:
        self._place = place
        self._year = year
        self._cultivars = cultivars
        self._known: dict[tuple[str, Event, str], Prior | NoDate] = {}

    def of(self, cultivar: Cultivar, event: Event, crop: str = "") -> Prior | NoDate:
        """Return what to expect of an event of a cultivar (`crop` only matters for picking)."""
        if event is not Event.PICK:
            crop = ""
        key = (cultivar.key, event, crop)
        if key not in self._known:
            self._known[key] = self._work_out(cultivar, event, crop)
        return self._known[key]

    def interval(self, cultivar: Cultivar, crop: str = "") -> Figure[DayCount] | None:
        """Return the printed interval from full bloom to pick, in days."""
        for figure in cultivar.traits.days_from_bloom:
            if figure.crop in {"", crop}:
                return figure
        return None

    def _work_out(self, cultivar: Cultivar, event: Event, crop: str) -> Prior | NoDate:
        own = self._from_windows(cultivar, event, crop)
        if own is not None:
            return own
        if event is Event.PICK:
            found = (
                self._by_offset(cultivar, crop) or self._from_bloom(cultivar, crop) or self._from_marker(cultivar, crop)
            )
            return found or _nothing(cultivar, event)
        if event is Event.FULL_BLOOM:
            return self._back_from_pick(cultivar) or _nothing(cultivar, event)
        return _nothing(cultivar, event)

    def _from_windows(self, cultivar: Cultivar, event: Event, crop: str) -> Prior | None:
        windows = [w for w in cultivar.traits.windows if w.event is event and (w.crop == crop or not w.crop)]
        leans = cultivar.dates_lean
        if not windows and cultivar.fruit and event is not Event.PICK:
            windows = [w for w in cultivar.fruit.traits.windows if w.event is event]
            leans = True
        if not windows:
            return None
        here = self._place.ground
        carried = [self._carry(window, here) for window in windows]
        here_is = _bring_here(carried, here)
        used, spread = here_is.used, here_is.place_d
        uniform = max(item.width_d for item in used) / math.sqrt(12)
        own_d = spreads.CULTIVAR_ON_FRUIT_D if leans and event is Event.PICK else spreads.CULTIVAR_D
        own_d = math.hypot(own_d, here_is.apart_d)
        if all(item.window.cited.mark is Mark.OWN and item.window.place_name == self._place.name for item in used):
            own_d, spread = spreads.MARKER_D, 0.0  # the household's own word for its own ground
        rough = here_is.far or not any(item.by_ground or not spread for item in used)
        printed = self._printed(used, cultivar, leans=leans)
        moved = _carried_here(used, here, here_is)
        kin = ((cultivar.key, math.hypot(own_d, uniform)),)
        return Prior(day=here_is.day, place_d=spread, kin=kin, rough=rough, reasons=(printed, moved))

    def _carry(self, window: Window, here: Ground) -> _Carried:
        first, last = self._in_season(window.stretch, window.written_for)
        there = window.ground
        moved = variance = 0.0
        by_ground = False
        heights_hide = here.elevation_m is None and (there.elevation_m or 0.0) > spreads.HIGH_PLACE_M
        if here.latitude is not None and there.latitude is not None and not heights_hide:
            degrees = abs(here.latitude) - abs(there.latitude)
            moved += spreads.PER_DEGREE_D * degrees
            variance += (spreads.PER_DEGREE_SPREAD_D * degrees) ** 2
            if here.elevation_m is not None and there.elevation_m is not None:
                metres = here.elevation_m - there.elevation_m
                moved += spreads.PER_100_M_D * metres / 100
                variance += (spreads.PER_100_M_SPREAD_D * metres / 100) ** 2
                by_ground = True
        if window.event is Event.LEAF_FALL:
            moved = -moved  # Hopkins' law runs backwards in autumn: earlier going north and up
        middle = (first + last) / 2
        zone = there.zone.half_zones if there.zone else None
        return _Carried(window, middle + moved, last - first, moved, math.sqrt(variance), zone, by_ground)

    def _in_season(self, stretch: Stretch, written_for: Hemisphere) -> tuple[float, float]:
        first = self._year.day_number(self._year.place_day(stretch.first, written_for))
        last = self._year.day_number(self._year.place_day(stretch.last, written_for))
        if last < first:  # the stretch runs over the turn of the season
            length = last + (self._year.last - self._year.first).days + 1 - first
            return (first, first + length) if first + length / 2 < 366 else (first - 365, last)
        return first, last

    def _printed(self, used: Iterable[_Carried], cultivar: Cultivar, *, leans: bool) -> Reason:
        items = list(used)
        if all(item.window.cited.mark is Mark.OWN for item in items):
            return Reason(
                text=_(
                    "Your own note: {windows}", windows="; ".join(stretch_words(item.window.text) for item in items)
                ),
                cited=tuple(item.window.cited for item in items),
            )
        words = [
            _(
                "{window} in {place}",
                window=stretch_words(item.window.text),
                place=item.window.place_name or _("the zone given"),
            )
            for item in items
        ]
        shown = "; ".join(words[:4]) + (_("; and {number} more", number=len(words) - 4) if len(words) > 4 else "")
        of_fruit = _(" for {fruit} in general", fruit=term(cultivar.fruit.name)) if leans and cultivar.fruit else ""
        return Reason(
            text=_("Printed{of_fruit}: {shown}", of_fruit=of_fruit, shown=shown),
            cited=tuple(item.window.cited for item in items),
        )

    def _by_offset(self, cultivar: Cultivar, crop: str) -> Prior | None:
        offset = cultivar.traits.offset
        base = self._cultivars.get(offset.base) if offset else None
        if offset is None or base is None:
            return None
        from_base = self.of(base, Event.PICK, crop)
        if isinstance(from_base, NoDate):
            return None
        reason = Reason(
            text=_("Printed: {offset} {base}", offset=when_words(offset.text), base=base.name),
            days=None,
            cited=(offset.cited,),
        )
        return replace(
            from_base,
            day=from_base.day + offset.days,
            kin=((f"{cultivar.key} beside {base.key}", spreads.CULTIVAR_D), *from_base.kin),
            reasons=(reason, *from_base.reasons),
        )

    def _from_bloom(self, cultivar: Cultivar, crop: str) -> Prior | None:
        interval = self.interval(cultivar, crop)
        bloom = self.of(cultivar, Event.FULL_BLOOM)
        if interval is None or isinstance(bloom, NoDate):
            return None
        return _beside(bloom, interval, Event.PICK)

    def _from_marker(self, cultivar: Cultivar, crop: str) -> Prior | None:
        """Return the usual pick that the household states of a cultivar, where nothing else is known of it."""
        for marker in self._place.markers:
            if marker.cultivar == cultivar.key and marker.crop == crop:
                first, last = self._in_season(marker.pick, self._place.hemisphere)
                return Prior(
                    day=(first + last) / 2,
                    place_d=0.0,
                    kin=((cultivar.key, math.hypot(spreads.MARKER_D, (last - first) / math.sqrt(12))),),
                    rough=False,
                    reasons=(
                        Reason(text=_("Your own word: the usual pick of {cultivar} here", cultivar=cultivar.name)),
                    ),
                )
        return None

    def _back_from_pick(self, cultivar: Cultivar) -> Prior | None:
        for crop in cultivar.crops:
            interval = self.interval(cultivar, crop)
            if interval is None or not (cultivar.traits.windows or cultivar.traits.offset):
                continue
            pick = self._from_windows(cultivar, Event.PICK, crop) or self._by_offset(cultivar, crop)
            if pick is not None:
                return _beside(pick, interval, Event.FULL_BLOOM)
        return None


def _beside(base: Prior, interval: Figure[DayCount], event: Event) -> Prior:
    sign = 1 if event is Event.PICK else -1
    words = _("after full bloom") if sign > 0 else _("before picking")
    reason = Reason(
        text=_("Printed: {interval} {words}", interval=amount(interval.text), words=words), cited=(interval.cited,)
    )
    # The interval's own spread is not added here: the model takes the interval as an observation of its own.
    return replace(base, day=base.day + sign * interval.value.middle, reasons=(reason, *base.reasons))


def interval_spread(interval: DayCount, least: float = spreads.INTERVAL_LEAST_D) -> float:
    """Return the spread (days) of an interval from bloom to pick: an even spread over its range, at least `least`."""
    return max(least, (interval.high - interval.low) / math.sqrt(12))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Here:
    """A printed date carried to this ground.

    `day` is the season day here and `shift_d` how far it was moved; `place_d` is the doubt of the place and of being
    moved, `apart_d` by how much more than usual the places disagree about this cultivar (days). `used` are the windows.
    `far` says that it would have been moved further than the cap.
    """

    day: float
    shift_d: float
    place_d: float
    apart_d: float
    used: list[_Carried]
    far: bool


def _bring_here(items: list[_Carried], here: Ground) -> _Here:
    """Carry windows to this ground.

    Places of one zone are averaged, the nearer counting more. Between two zones that bracket this one the day is
    interpolated; outside them it moves by the default per half zone, up to the cap. No date is moved further than the
    cap over all.
    """
    printed, day, doubt, apart, used = _moved_here(items, here)
    shift = day - printed
    kept = max(-spreads.MOST_MOVED_D, min(spreads.MOST_MOVED_D, shift))
    place_d = math.hypot(spreads.PLACE_D, doubt, (shift - kept) / 2)
    return _Here(
        day=printed + kept, shift_d=kept, place_d=place_d, apart_d=apart, used=used, far=abs(shift) > abs(kept) + 0.5
    )


def _moved_here(items: list[_Carried], here: Ground) -> tuple[float, float, float, float, list[_Carried]]:
    """Return the printed day, the day here, the doubt of being moved, how far places disagree, and the windows used."""
    zoned = [item for item in items if item.zone is not None]
    if here.zone is None or not zoned:
        day, doubt, apart = _average(items)
        lost = here.zone is None and here.latitude is None
        return _printed_mean(items), day, math.hypot(doubt, spreads.PLACE_UNKNOWN_D if lost else 0.0), apart, items
    zone = here.zone.half_zones
    by_zone: dict[float, list[_Carried]] = {}
    for item in zoned:
        by_zone.setdefault(item.zone or 0.0, []).append(item)
    below = max((z for z in by_zone if z <= zone), default=None)
    above = min((z for z in by_zone if z >= zone), default=None)
    if below is not None and above is not None and below != above:
        share = (zone - below) / (above - below)
        printed = (1 - share) * _printed_mean(by_zone[below]) + share * _printed_mean(by_zone[above])
        first, second = _average(by_zone[below]), _average(by_zone[above])
        day, doubt, apart = ((1 - share) * one + share * other for one, other in zip(first, second, strict=True))
        away = min(zone - below, above - zone)
        return (
            printed,
            day,
            math.hypot(doubt, spreads.PLACE_PER_HALF_ZONE_D * away),
            apart,
            by_zone[below] + by_zone[above],
        )
    nearest = min(by_zone, key=lambda z: abs(z - zone))
    used = by_zone[nearest]
    day, doubt, apart = _average(used)
    colder = max(-spreads.MOST_HALF_ZONES, min(spreads.MOST_HALF_ZONES, nearest - zone))
    sign = -1 if used[0].window.event is Event.LEAF_FALL else 1
    day += sign * spreads.PER_HALF_ZONE_D * colder
    doubt = math.hypot(doubt, spreads.PLACE_PER_HALF_ZONE_D * abs(zone - nearest))
    return _printed_mean(used), day, doubt, apart, used


def _weights(items: list[_Carried]) -> list[float]:
    return [1 / (spreads.PLACE_D**2 + item.spread_d**2) for item in items]


def _average(items: list[_Carried]) -> tuple[float, float, float]:
    """Return the mean day, the nearer places counting more, the doubt of being moved, and how far places disagree.

    They disagree by what goes beyond the usual spread of places (days).
    """
    weights = _weights(items)
    total = sum(weights)
    day = sum(w * item.day for w, item in zip(weights, items, strict=True)) / total
    doubt = sum(w * item.spread_d for w, item in zip(weights, items, strict=True)) / total
    variance = sum(w * (item.day - day) ** 2 for w, item in zip(weights, items, strict=True)) / total
    return day, doubt, math.sqrt(max(0.0, variance - spreads.PLACE_D**2))


def _printed_mean(items: list[_Carried]) -> float:
    weights = _weights(items)
    return sum(w * (i.day - i.moved_d) for w, i in zip(weights, items, strict=True)) / sum(weights)


def _carried_here(used: list[_Carried], here: Ground, here_is: _Here) -> Reason:
    """Say by what a printed date was brought here, and how far."""
    by = []
    if here.zone and any(item.zone is not None for item in used):
        by.append(_("zone {zone}", zone=here.zone))
    if any(item.moved_d for item in used):
        by.append(_("latitude and height") if any(item.by_ground for item in used) else _("latitude"))
    if not by:
        known = here.zone or here.latitude is not None
        lacks = _("nothing says how its place lies beside this one") if known else _("nothing says where this is")
        return Reason(text=_("Taken as printed: {lacks}", lacks=lacks))
    far = (
        _(", no further than {days:.0f} days: its place is far from this one", days=spreads.MOST_MOVED_D)
        if here_is.far
        else ""
    )
    return Reason(text=_("Carried to this ground by {by}{far}", by=_(" and ").join(by), far=far), days=here_is.shift_d)


def _nothing(cultivar: Cultivar, event: Event) -> NoDate:
    return NoDate(
        reason=_(
            "neither the shelf nor the records say when the {event} of {cultivar} is",
            event=term(event.value),
            cultivar=cultivar.name,
        ),
        remedy=_(
            "note one {event} in records, or give {cultivar} a window or an offset",
            event=term(event.value),
            cultivar=cultivar.name,
        ),
    )


def cited_of(reasons: Iterable[Reason]) -> tuple[Cited, ...]:
    """Return each citation of some reasons once, in order."""
    return tuple(dict.fromkeys(cited for reason in reasons for cited in reason.cited))
