"""The days in the kitchen: when people can work there, and which pots stand there then."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, time, timedelta

from msgspec import Struct

from firmripe.days import Span, Stretch, WorkingYear
from firmripe.holding.holding import Holding
from firmripe.holding.kitchen import Canner, Kitchen, KitchenDay, PotKind
from firmripe.holding.preserve import PutUp
from firmripe.kitchen.fit.means import Pot, Session
from firmripe.kitchen.plan.timetable import CLEAN_UP_MIN, hours_between, last_end
from firmripe.kitchen.plan.wanted import holds, published_for
from firmripe.kitchen.tables.pot_times import CHANGE_MIN, FIRST_WATER_MIN, cycle, first_boil, pot_minutes
from firmripe.kitchen.tables.processes import Minutes
from firmripe.kitchen.tables.ware import Ware

_WITHOUT_POT = frozenset({PutUp.FREEZER, PutUp.REFRIGERATOR})


class Sitting(Struct, frozen=True, kw_only=True):
    """One kitchen day as it falls: from `start` to `last`, with so many hands."""

    name: str
    day: date
    kitchen: Kitchen
    start: time
    last: time
    hands: int

    @property
    def kind(self) -> tuple[str, time, time, int]:
        """What days that are alike have in common: the kitchen, the hours and the hands."""
        return self.kitchen.name, self.start, self.last, self.hands


def sittings(holding: Holding, year: WorkingYear, since: date) -> tuple[Sitting, ...]:
    """Return every day of a season, from a day on, on which people can put fruit up. One kitchen has one a day."""
    kitchens = {kitchen.name: kitchen for kitchen in holding.place.kitchens}
    found: dict[tuple[date, str], Sitting] = {}
    for told in holding.place.kitchen_means.days:
        kitchen = kitchens[told.kitchen]
        for day in _days(told, year, since):
            end = last_end(told.start, told.hours)
            sitting = Sitting(
                name=f"{day.isoformat()} {kitchen.name}",
                day=day,
                kitchen=kitchen,
                start=told.start,
                last=end,
                hands=told.hands,
            )
            found[day, kitchen.name] = sitting  # a later line, as one with a date, says it anew
    return tuple(found[key] for key in sorted(found))


def _days(told: KitchenDay, year: WorkingYear, since: date) -> Iterable[date]:
    off = [_in_season(stretch, year) for stretch in told.off]
    during = [_in_season(stretch, year) for stretch in told.during]
    day = max(year.first, since)
    while day <= year.last:
        on_weekday = day.weekday() in told.weekdays and (not during or any(day in span for span in during))
        if (on_weekday or day in told.dates) and not any(day in span for span in off):
            yield day
        day += timedelta(days=1)


def _in_season(stretch: Stretch, year: WorkingYear) -> Span:
    first = year.place_day(stretch.first, year.hemisphere)
    last = year.place_day(stretch.last, year.hemisphere)
    return Span(first=first, last=last) if last >= first else Span(first=first, last=year.last)


def is_here(canner: Canner, day: date, year: WorkingYear) -> bool:
    """Say whether a pot stands in its kitchen on a day."""
    if any(day in _in_season(stretch, year) for stretch in canner.away):
        return False
    return not canner.here or any(day in _in_season(stretch, year) for stretch in canner.here)


def pot_name(canner: Canner) -> str:
    """Return the name a pot has in the plan: one that travels is another in each kitchen."""
    return f"{canner.name} ({canner.kitchen})"


def pot_kind(canner: Canner) -> str:
    """Return the kind of a pot in the plan: pressure canners differ by their gauge, timed pots by their minutes."""
    timed = f" {canner.to_boil_min.low:g}-{canner.to_boil_min.high:g}" if canner.to_boil_min else ""
    return f"{canner.kind.value} {canner.gauge.value}{timed}" if canner.gauge else f"{canner.kind.value}{timed}"


def pots(canners: Sequence[Canner], wares: Sequence[Ware], days: Sequence[date], year: WorkingYear) -> tuple[Pot, ...]:
    """Return the pots as the solver knows them."""
    return tuple(
        Pot(
            name=pot_name(canner),
            kind=pot_kind(canner),
            kitchen=canner.kitchen,
            holds={ware.name: number for ware in wares if (number := holds(canner, ware))},
            away=frozenset(day for day in days if not is_here(canner, day, year)),
        )
        for canner in canners
    )


def session_of(
    holding: Holding, sitting: Sitting, wares: Sequence[Ware], shorter: Mapping[str, float] | None = None
) -> Session:
    """Return a sitting as the solver knows it: hours less what the first load, the last cycle and cleaning up take.

    `shorter` takes more hours off sittings by name, where a plan ran past their end.
    """
    whole = hours_between(sitting.start, sitting.last) - (shorter or {}).get(sitting.name, 0.0)
    loads = [load for ware in wares for load in _loads(holding, sitting, ware)]
    first_cut = max((float(FIRST_WATER_MIN), *(load.first_cut_min for load in loads)))
    last_cycle = max((0.0, *(load.cycle_min for load in loads)))
    for_pots = max(0.0, whole - (CLEAN_UP_MIN + first_cut - CHANGE_MIN) / 60)
    for_hands = whole - (CLEAN_UP_MIN + last_cycle) / 60
    return Session(
        name=sitting.name,
        day=sitting.day,
        kitchen=sitting.kitchen.name,
        hands_hours=max(0.0, for_hands) * sitting.hands,
        hours=for_pots,
        minutes=_minutes(wares, loads, for_pots),
    )


class _Load(Struct, frozen=True):
    """A ware in a kind of pot: how long one load takes in it, and how long before the first and to the end of the last.

    All in minutes; `pot_min` is None in a dryer, which takes one load a day.
    """

    ware: str
    pot: str
    pot_min: float | None
    first_cut_min: float = 0.0
    cycle_min: float = 0.0


def _loads(holding: Holding, sitting: Sitting, ware: Ware) -> Iterator[_Load]:
    """Yield a ware's load in each pot of a sitting's kitchen that it can be made in."""
    method = ware.preserve.method
    if method in _WITHOUT_POT:
        return
    for canner in (c for c in holding.place.kitchen_means.canners if c.kitchen == sitting.kitchen.name):
        pot = pot_kind(canner)
        if canner.kind is PotKind.DRYER:
            if method is PutUp.DRYER:
                yield _Load(ware.name, pot, None)
            continue
        found = published_for(holding, ware, sitting.kitchen, canner)
        if isinstance(found, Minutes):
            cut = holds(canner, ware) * ware.rate.hand_minutes / max(1, sitting.hands)
            last = cycle(found.minutes, canner.kind, canner.to_boil_min).middle
            yield _Load(ware.name, pot, pot_minutes(found.minutes, canner), max(first_boil(canner), cut), last)


def _minutes(wares: Iterable[Ware], loads: Iterable[_Load], for_pots_h: float) -> dict[str, dict[str, float]]:
    """Return the minutes of a load by ware and kind of pot; what needs no pot has none, what fits none is left out."""
    minutes: dict[str, dict[str, float]] = {ware.name: {} for ware in wares}
    for load in loads:
        minutes[load.ware][load.pot] = max(1.0, for_pots_h * 60) if load.pot_min is None else load.pot_min
    without_pot = {ware.name for ware in wares if ware.preserve.method in _WITHOUT_POT}
    return {name: kinds for name, kinds in minutes.items() if kinds or name in without_pot}
