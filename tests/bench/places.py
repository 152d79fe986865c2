"""Printed days carried from place to place, each place left out in turn.

Run as a script it prints the tables: how far off the picks of the shelf are told where their place was never seen, by
each law that was tried and with the law chosen without the place that is judged; bloom; Swiss cherries; which windows
are doubtful; and what is told of grounds all over the earth. Laws are compared on a frozen table of windows
(tests/data/pick_windows_2026_11.csv), whatever else is printed on the shelf; windows that came later are judged apart.
"""

from __future__ import annotations

import csv
import math
import random
import sys
import tempfile
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from firmripe.days import WorkingYear
from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.reading.reader import read_holding
from firmripe.season import spreads
from firmripe.season.carrying import LAW, Carrying, Law, spot_of
from firmripe.season.climates import Climates
from firmripe.season.estimate import Estimate
from firmripe.season.printed import Printed, PrintedItem, source_of, table_of
from firmripe.season.season import SeasonModel
from firmripe.season.spreads import EIGHTY_PERCENT
from firmripe.shipped import shelf_folder

FROZEN = Path(__file__).parents[1] / "data" / "pick_windows_2026_11.csv"
GROUPS: Mapping[str, frozenset[str]] = {
    "apple": frozenset({"apple"}),
    "European pear": frozenset({"european-pear"}),
    "peach": frozenset({"peach"}),
    "stone and pome fruit": frozenset(
        {
            "apple",
            "european-pear",
            "peach",
            "sweet-cherry",
            "tart-cherry",
            "european-plum",
            "apricot",
            "nectarine",
            "asian-pear",
        }
    ),
    "all fruits": frozenset(),
}
_UNTOLD_D = 100.0
"""Less sure than so, a window is not told at all: nothing else is printed of its fruit."""
_UNMOVED = dict.fromkeys(Event, (0.0, 0.0, 0.0, 0.0))
_ENDLESS = (math.inf, math.inf, math.inf, math.inf)


def _without_summer(law: Law) -> Law:
    """Return a law in which summer counts for nothing."""
    slopes = (law.shrunk_to, law.common_d, law.of_fruit_d)
    one, two, three = ({event: (*of[event][:2], 0.0, of[event][3]) for event in Event} for of in slopes)
    return replace(law, shrunk_to=one, common_d=two, of_fruit_d=three)


LAWS: Mapping[str, Law] = {
    "nothing moved": replace(LAW, shrunk_to=_UNMOVED, common_d=_UNMOVED, of_fruit_d=_UNMOVED),
    "spring": _without_summer(replace(LAW, counts_to_c=_ENDLESS)),
    "spring to 13 °C": _without_summer(replace(LAW, counts_to_c=(13.0, 13.0, 19.0, math.inf))),
    "spring to 15 °C": _without_summer(LAW),
    "spring to 17 °C": _without_summer(replace(LAW, counts_to_c=(17.0, 17.0, 19.0, math.inf))),
    "spring and summer": replace(LAW, counts_to_c=_ENDLESS),
    "spring to 15 °C, summer to 19 °C": LAW,
    "spring to 15 °C, summer to 22 °C": replace(LAW, counts_to_c=(15.0, 15.0, 22.0, math.inf)),
}
SHIPPED = "spring to 15 °C, summer to 19 °C"


def _by_all_spring(table: Mapping[Event, Sequence[float]]) -> dict[Event, Sequence[float]]:
    early, _, summer, autumn = table[Event.FULL_BLOOM]
    return {**table, Event.FULL_BLOOM: (0.0, early, summer, autumn)}


BLOOM_LAWS: Mapping[str, Law] = {
    "nothing moved": LAWS["nothing moved"],
    "all of spring": Law(
        counts_to_c=_ENDLESS,
        shrunk_to=_by_all_spring(LAW.shrunk_to),
        common_d=_by_all_spring(LAW.common_d),
        of_fruit_d=_by_all_spring(LAW.of_fruit_d),
    ),
    "all of spring to 15 °C": Law(
        shrunk_to=_by_all_spring(LAW.shrunk_to),
        common_d=_by_all_spring(LAW.common_d),
        of_fruit_d=_by_all_spring(LAW.of_fruit_d),
    ),
    "early spring": replace(LAW, counts_to_c=(math.inf, 15.0, 19.0, math.inf)),
    "early spring to 13 °C": replace(LAW, counts_to_c=(13.0, 15.0, 19.0, math.inf)),
    "early spring to 15 °C": LAW,
    "early spring to 17 °C": replace(LAW, counts_to_c=(17.0, 15.0, 19.0, math.inf)),
    "early spring to 15 °C, a slope for each fruit": replace(
        LAW, of_fruit_d={**LAW.of_fruit_d, Event.FULL_BLOOM: (0.5, 0.0, 0.0, 0.0)}
    ),
}
BLOOM_SHIPPED = "early spring to 15 °C"
"""Laws of bloom; early spring is March and April."""
_GROUNDS: Mapping[str, str] = {
    "8b at 31 N": "zone: 8b\nlatitude: 31.0 N\nlongitude: 90.5 W\nelevation: 100 ft",
    "6b at 42 N": "zone: 6b\nlatitude: 42.1 N\nlongitude: 72 W\nelevation: 640 ft",
    "8b at 48 N": "zone: 8b\nlatitude: 48.0 N\nlongitude: 122.3 W\nelevation: 100 ft",
    "5a at 45 N": "zone: 5a\nlatitude: 45 N\nlongitude: 93.2 W\nelevation: 900 ft",
    "9b on the coast": "zone: 9b\nlatitude: 37 N\nlongitude: 122 W\nelevation: 200 ft",
    "37 S": "latitude: 37.8 S\nlongitude: 145.3 E\nelevation: 150 m",
    "England": "latitude: 51.3 N\nlongitude: 0.5 E\nelevation: 50 m",
    "the Rhine": "latitude: 49.5 N\nlongitude: 8.3 E\nelevation: 110 m",
    "Lombardy": "latitude: 45.3 N\nlongitude: 9.8 E\nelevation: 80 m",
    "Hokkaido": "latitude: 43.1 N\nlongitude: 141.3 E\nelevation: 60 m",
    "Tasmania": "latitude: 43.0 S\nlongitude: 147.0 E\nelevation: 60 m",
    "the Cape": "latitude: 33.4 S\nlongitude: 19.3 E\nelevation: 450 m",
    "zone 8b alone": "zone: 8b",
    "zone 5a alone": "zone: 5a",
}
KINDS = ("bartlett", "bosc", "comice", "anjou", "kieffer", "seckel", "gala", "granny-smith", "fuji", "redhaven", "bing")


@dataclass(frozen=True, slots=True, kw_only=True)
class Missed:
    """A window told without its place: how far off (days, above 0 where it comes later than told), and the spread."""

    row: Printed
    error_d: float
    spread_d: float

    @property
    def is_held(self) -> bool:
        """Whether the 80 % window holds it."""
        return abs(self.error_d) <= EIGHTY_PERCENT * self.spread_d

    @property
    def place(self) -> str:
        """Where it is printed for."""
        return place_of(self.row)

    @property
    def is_frozen(self) -> bool:
        """Whether it is of the table that laws are compared on."""
        text = self.row.window.text if self.row.window else ""
        return (self.row.later.cultivar, self.place, text) in frozen()


def grounds() -> list[str]:
    """Return the grounds that are looked at one by one, as place.md has them."""
    return list(_GROUNDS.values())


def household(ground: str, kinds: Iterable[str], notes: Mapping[str, str] | None = None) -> Holding:
    """Return a household with the shelf, a tree of each kind (tagged 00, 01, ...) and these notes."""
    with tempfile.TemporaryDirectory() as top:
        files = {"place.md": f"---\n{ground}\n---\n"}
        files |= {f"trees/{number:02d}.md": f"---\ncultivar: {kind}\n---\n" for number, kind in enumerate(kinds)}
        for name, text in {**files, **(notes or {})}.items():
            (Path(top) / name).parent.mkdir(exist_ok=True)
            (Path(top) / name).write_text(text, encoding="utf-8")
        return read_holding(Path(top), shelf_folder())


@cache
def climates() -> Climates:
    """Return the climates by the stations that ship."""
    return Climates(household("zone: 6b", ["bartlett"]).stations)


@cache
def printed() -> tuple[Printed, ...]:
    """Return all that is printed on the shelf."""
    return table_of(household("zone: 6b", ["bartlett"]).cultivars, lambda _: True)


@cache
def frozen() -> frozenset[tuple[str, str, str]]:
    """Return the windows that laws are compared on: cultivar, place and what is printed."""
    with FROZEN.open(encoding="utf-8", newline="") as file:
        return frozenset((row["cultivar"], row["place"], row["pick"]) for row in csv.DictReader(file))


def place_of(row: Printed) -> str:
    """Return the place of a window, empty for what has none."""
    return row.window.place_name if row.window else ""


def judged(event: Event = Event.PICK) -> list[Printed]:
    """Return the windows that are judged: of kinds that are printed for several places, those in the north.

    Of bloom they are those of cultivars and fruits alike, since few are printed.
    """
    is_pick = event is Event.PICK
    of_event = [row for row in printed() if row.window and row.later.event is event]
    of_event = [row for row in of_event if row.later.cultivar or not is_pick]
    places = defaultdict(set)
    for row in of_event:
        places[row.later.cultivar if is_pick else row.later.fruit].add(place_of(row))
    several = [row for row in of_event if len(places[row.later.cultivar if is_pick else row.later.fruit]) > 1]
    return [row for row in several if row.ground and (row.ground.latitude or 0.0) > 0]


def left_out(law: Law = LAW, event: Event = Event.PICK) -> list[Missed]:
    """Tell the windows that are judged from what is printed for other places."""
    by_place = defaultdict(list)
    for row in judged(event):
        by_place[place_of(row)].append(row)
    found = []
    for place, windows in sorted(by_place.items()):
        carrying = Carrying(_without_places({place}), climates(), law)
        found += [missed for row in windows if (missed := _told(carrying, row, law)) is not None]
    return found


def _without_places(apart: AbstractSet[str]) -> list[Printed]:
    """Return what is printed but for the windows of some places, and for what was counted from these windows.

    An order or an interval that stands in a source of such windows may well be their difference. General ones that
    are from memory or judgement come from no place.
    """
    rest = [row for row in printed() if place_of(row) not in apart]
    theirs = {source_of(row) for row in printed() if place_of(row) in apart} - {None}
    return [row for row in rest if row.window is not None or source_of(row) not in theirs]


def _told(carrying: Carrying, row: Printed, law: Law) -> Missed | None:
    if row.ground is None:
        return None
    told = carrying.predict(row.later, spot_of(climates().of(row.ground, row.half), row.ground, law))
    if told is None:
        return None
    spread = math.sqrt(carrying.between(told, told) + (told.breadth * row.spread_d) ** 2)
    return Missed(row=row, error_d=row.day - told.day, spread_d=spread)


def of_group(missed: Iterable[Missed], group: str) -> list[Missed]:
    """Return those of a group of fruits."""
    return [one for one in missed if not GROUPS[group] or one.row.later.fruit in GROUPS[group]]


def rmse(missed: Iterable[Missed]) -> float:
    """Return the root of the mean squared error, in days."""
    return math.sqrt(float(np.mean([one.error_d**2 for one in missed])))


def held(missed: Iterable[Missed]) -> float:
    """Return the share that the 80 % windows hold."""
    return float(np.mean([one.is_held for one in missed]))


def chosen_without(by_law: Mapping[str, Sequence[Missed]]) -> tuple[list[Missed], dict[str, int]]:
    """Return each place's windows as told by the law that did best at all other places, and how often each was taken.

    The errors at the other places were made with this place's windows among the known ones, never with its own place's.
    """
    places = sorted({one.place for missed in by_law.values() for one in missed})
    found: list[Missed] = []
    taken: dict[str, int] = defaultdict(int)
    for place in places:
        best = min(by_law, key=lambda law: rmse(one for one in by_law[law] if one.place != place))
        taken[best] += 1
        found += [one for one in by_law[best] if one.place == place]
    return found, dict(taken)


def spring_alone(group: str) -> dict[tuple[str, str, str], float]:
    """Return what a plain regression misses the windows of a group by, each told without its place (days).

    It knows a level for each cultivar and days a °C of the usual March to May, alike for all of the group: no shared
    site, no order, no interval, no doubt. It is the yardstick that the law that ships is to be better than.
    """
    rows = [row for row in judged() if _key(row) in frozen()]
    rows = [row for row in rows if not GROUPS[group] or row.later.fruit in GROUPS[group]]
    springs = {place_of(row): _spring_c(row) for row in rows}
    found: dict[tuple[str, str, str], float] = {}
    for place in sorted(springs):
        rest = [row for row in rows if place_of(row) != place]
        names = sorted({row.later.cultivar for row in rest})
        known = np.array([springs[place_of(row)] for row in rest])
        middle, spread = known.mean(), known.std()
        table = np.zeros((len(rest), len(names) + 1))
        table[np.arange(len(rest)), [names.index(row.later.cultivar) for row in rest]] = 1
        table[:, -1] = (known - middle) / spread
        ridge = np.diag([*([1e-9] * len(names)), 0.5])
        fitted = np.linalg.solve(table.T @ table + ridge, table.T @ np.array([row.day for row in rest]))
        for row in rows:
            if place_of(row) == place and row.later.cultivar in names:
                told = fitted[names.index(row.later.cultivar)] + fitted[-1] * (springs[place] - middle) / spread
                found[_key(row)] = row.day - float(told)
    return found


def with_places_told(missed: Iterable[Missed]) -> list[Missed]:
    """Return windows as an oracle would tell them that knows how far each place lies off, and of its kinds no more.

    What is left is how far windows of one place lie apart when they ought not to: no law of places, however good,
    tells it. Each is less its place's mean, which it had a part in; one that stands alone in its place is off by what
    all others are.
    """
    by_place: dict[str, list[Missed]] = defaultdict(list)
    for one in missed:
        by_place[one.place].append(one)
    found: list[Missed] = []
    alone: list[Missed] = []
    squares, free = 0.0, 0
    for windows in by_place.values():
        count, middle = len(windows), float(np.mean([one.error_d for one in windows]))
        off = [one.error_d - middle for one in windows]
        squares, free = squares + math.fsum(days**2 for days in off), free + count - 1
        if count == 1:
            alone += windows
        else:
            found += [_off(one, days * math.sqrt(count / (count - 1))) for one, days in zip(windows, off, strict=True)]
    return found + [_off(one, math.sqrt(squares / free)) for one in alone]


def _off(one: Missed, error_d: float) -> Missed:
    return Missed(row=one.row, error_d=error_d, spread_d=one.spread_d)


def _key(row: Printed) -> tuple[str, str, str]:
    return (row.later.cultivar, place_of(row), row.window.text if row.window else "")


def _spring_c(row: Printed) -> float:
    climate = climates().of(row.ground, row.half) if row.ground else None
    if climate is None:
        raise ValueError(f"no climate is known of {place_of(row)}")
    return climate.spring_mean()


def better_than_spring_alone(missed: Sequence[Missed], group: str) -> tuple[float, float, float]:
    """Return the RMSE of the yardstick and of what is judged (days), and the gain in standard errors over places."""
    yardstick = spring_alone(group)
    pairs = [(one, yardstick[_key(one.row)]) for one in of_group(missed, group) if _key(one.row) in yardstick]
    squares: dict[str, list[float]] = defaultdict(list)
    for one, other in pairs:
        squares[one.place].append(other**2 - one.error_d**2)
    by_place = np.array([np.sum(of_place) for of_place in squares.values()])
    gain = float(by_place.mean() / (by_place.std(ddof=1) / math.sqrt(len(by_place))))
    return math.sqrt(float(np.mean([other**2 for _, other in pairs]))), rmse(one for one, _ in pairs), gain


def nested(folds: int = 10) -> tuple[list[Missed], dict[str, int]]:
    """Return each place's windows as told by the law that was chosen and fitted without them, in so many folds.

    Within what is left of each fold the laws are compared by leaving out one place after another again, and the one
    that does best there is fitted to all of it: nothing that is judged has a say in anything.
    """
    places = sorted({place_of(row) for row in judged()})
    random.Random(5).shuffle(places)
    found: list[Missed] = []
    taken: dict[str, int] = defaultdict(int)
    for outer in range(folds):
        apart = set(places[outer::folds])
        within = {name: _frozen_ones(compared(law, apart=apart)) for name, law in LAWS.items()}
        best = min(within, key=lambda name: rmse(within[name]))
        taken[best] += 1
        carrying = Carrying(_without_places(apart), climates(), LAWS[best])
        rows = [row for row in judged() if place_of(row) in apart]
        found += [one for row in rows if (one := _told(carrying, row, LAWS[best])) is not None and one.is_frozen]
    return found, dict(taken)


def compared(law: Law, event: Event = Event.PICK, apart: AbstractSet[str] = frozenset()) -> list[Missed]:
    """Tell the windows that are judged without their place, for laws to be compared in a short time.

    As `left_out`, but one regression over all places (but those `apart`) tells which windows are doubtful, and each
    place is then taken out of it: of a Gaussian with precision A, the rows B are off by A_BB^-1 (A y)_B.
    """
    rows = _without_places(apart)
    at_row = {id(row): at for at, row in enumerate(rows)}
    carrying = Carrying(rows, climates(), law)
    precision, pull = carrying._inverse, carrying._pull  # noqa: SLF001
    found = []
    by_place = defaultdict(list)
    for row in judged(event):
        if place_of(row) not in apart:
            by_place[place_of(row)].append(row)
    for place, windows in sorted(by_place.items()):
        stay = {id(row) for row in _without_places({place})}
        out = np.array([at for at, row in enumerate(rows) if id(row) not in stay])
        law_of_them = np.linalg.inv(precision[np.ix_(out, out)])
        off = dict(zip(out.tolist(), (law_of_them @ pull[out]).tolist(), strict=True))
        variance = dict(zip(out.tolist(), np.diag(law_of_them).tolist(), strict=True))
        for row in windows:
            at = at_row[id(row)]
            doubt = carrying._spread_d[at] ** 2 * (1 / carrying.weights[at] - 1)  # noqa: SLF001
            spread = math.sqrt(variance[at] - doubt)
            if spread < _UNTOLD_D:
                found.append(Missed(row=row, error_d=off[at], spread_d=carrying.breadth(row.later) * spread))
    return found


def better(first: Sequence[Missed], second: Sequence[Missed]) -> float:
    """Return how much less the first misses by than the second, in standard errors, a place being one draw."""
    squares: dict[str, list[float]] = defaultdict(list)
    for one, other in zip(first, second, strict=True):
        squares[one.place].append(other.error_d**2 - one.error_d**2)
    by_place = np.array([np.sum(of_place) for of_place in squares.values()])
    return float(by_place.mean() / (by_place.std(ddof=1) / math.sqrt(len(by_place))))


# Swiss cherries


CHERRY = PrintedItem(event=Event.FULL_BLOOM, fruit="sweet-cherry", cultivar="")


@cache
def _swiss_means() -> tuple[Printed, ...]:
    sys.path.insert(0, str(Path(__file__).parent))
    from backtest import cherries  # noqa: PLC0415 - that one knows this one's climates

    found = []
    for series in cherries("cherry_bloom_switzerland_meteoswiss.csv"):
        days = [day for year, day in series.days.items() if 1991 <= year <= 2020]
        if len(days) >= 10:
            found.append(Printed(later=CHERRY, day=float(np.mean(days)), spread_d=4.5, ground=series.ground))
    return tuple(found)


def swiss_normals(draws: int) -> Iterator[list[Printed]]:
    """Draw three Swiss places by lot, so many times."""
    lot = random.Random(7)
    for _ in range(draws):
        yield lot.sample(_swiss_means(), 3)


def swiss_told(three: Sequence[Printed]) -> NDArray[np.float64]:
    """Return how far the usual bloom of all other Swiss places lies from what is told with three known (days)."""
    carrying = Carrying([*printed(), *three], climates())
    errors = []
    for row in _swiss_means():
        if row not in three and row.ground:
            told = carrying.predict(CHERRY, spot_of(climates().of(row.ground), row.ground))
            errors.append(row.day - told.day if told else math.nan)
    return np.array(errors)


# The tables


def main() -> None:
    """Print the tables."""
    told_by = {name: compared(law) for name, law in LAWS.items()}
    by_law = {name: _frozen_ones(missed) for name, missed in told_by.items()}
    print("| law | " + " | ".join(GROUPS) + " |")
    print("|---|" + "---|" * len(GROUPS))
    for name, missed in by_law.items():
        print(_line(f"**{name}**" if name == SHIPPED else name, missed))
    told, taken = chosen_without(by_law)
    print(_line("chosen without the place", told), taken)
    told, taken = nested()
    print(_line("chosen and fitted without the fold", told), taken)
    told_by = {name: left_out(LAWS[name]) for name in (SHIPPED, "nothing moved")}
    print(_line(f"{SHIPPED}, doubt reckoned anew without each place", _frozen_ones(told_by[SHIPPED])))
    for group in GROUPS:
        plain, shipped, gain = better_than_spring_alone(_frozen_ones(told_by[SHIPPED]), group)
        print(f"{group}: plain regression {plain:.1f} d, shipped {shipped:.1f} d, {gain:+.1f} standard errors")
        told = with_places_told(of_group(_frozen_ones(told_by[SHIPPED]), group))
        _, best, most = better_than_spring_alone(told, group)
        print(f"    with each place's own shift told: {best:.1f} d, {most:+.1f} standard errors")
    later = {name: [one for one in missed if not one.is_frozen] for name, missed in told_by.items()}
    for name, missed in later.items():
        print(f"windows that came later, {name}: {len(missed)}, RMSE {rmse(missed):.1f} d, {held(missed):.0%} held")
    for group in GROUPS:
        parts = [of_group(by_law[name], group) for name in (SHIPPED, "nothing moved", "spring", "spring to 15 °C")]
        gains = [f"{better(parts[0], other):+.1f}" for other in parts[1:]]
        print(f"{group}: better than nothing moved, spring, spring to 15 °C by {', '.join(gains)} standard errors")
    _print_blooms()
    draws = [swiss_told(three) for three in swiss_normals(40)]
    by_draw = [float(np.sqrt((errors**2).mean())) for errors in draws]
    errors, unsure = np.concatenate(draws), np.std(by_draw) / math.sqrt(len(draws))
    rms = float(np.sqrt((errors**2).mean()))
    print(f"Swiss cherries from three places: RMSE {rms:.2f} ± {unsure:.2f} d, {errors.mean():+.1f} d on the mean")
    _print_doubtful()
    for event in (Event.FULL_BLOOM, Event.PICK):
        _print_grounds(event)


def _frozen_ones(missed: Iterable[Missed]) -> list[Missed]:
    return [one for one in missed if one.is_frozen]


def _line(name: str, missed: Sequence[Missed]) -> str:
    cells = [f"{rmse(of):.1f} ({held(of):.0%} of {len(of)})" for of in (of_group(missed, group) for group in GROUPS)]
    return f"| {name} | " + " | ".join(cells) + " |"


def of_a_week(blooms: Iterable[Missed]) -> list[Missed]:
    """Return those that are printed to within a week."""
    return [one for one in blooms if one.row.spread_d < spreads.PRINTED_BLOOM_D + 1]


def _print_blooms() -> None:
    by_law = {name: compared(law, Event.FULL_BLOOM) for name, law in BLOOM_LAWS.items()}
    print("| law | bloom | printed to within a week |")
    print("|---|---|---|")
    told, taken = chosen_without(by_law)
    for name, blooms in {**by_law, "chosen without the place": told}.items():
        cells = [f"{rmse(of):.1f} ({held(of):.0%} of {len(of)})" for of in (blooms, of_a_week(blooms))]
        print(f"| {f'**{name}**' if name == BLOOM_SHIPPED else name} | " + " | ".join(cells) + " |")
    print(taken)
    shipped = by_law[BLOOM_SHIPPED]
    gains = [f"{name} by {better(shipped, other):+.1f}" for name, other in by_law.items() if name != BLOOM_SHIPPED]
    print("bloom: better than", ", ".join(gains), "standard errors")
    for one in sorted(shipped, key=lambda one: -abs(one.error_d))[:8]:
        print("  ", one.row.later.fruit, one.row.later.cultivar, one.place, f"{one.error_d:+.0f} d")


def _print_doubtful() -> None:
    carrying = Carrying(printed(), climates())
    ranked = sorted(zip(carrying.weights.tolist(), printed(), strict=True), key=lambda item: item[0])
    print("Windows that count for less than three quarters:")
    for weight, row in ranked:
        if weight < 0.75 and row.window:
            print(f"  {weight:.2f} {row.later.cultivar or row.later.fruit}, {row.window.text} in {place_of(row)}")


def _print_grounds(event: Event) -> None:
    print(f"| {event.value} | " + " | ".join(KINDS) + " |")
    print("|---|" + "---|" * len(KINDS))
    for name, ground in _GROUNDS.items():
        holding = household(ground, KINDS)
        year = WorkingYear(year=2027, hemisphere=holding.place.hemisphere)
        season = SeasonModel(holding, year, year.first).season()
        said = [season.of(bearing, event) for bearing in season.bearings]
        print(f"| {name} | " + " | ".join(_said(dated) for dated in said) + " |", flush=True)


def _said(dated: object) -> str:
    return f"{dated.likely.day} {dated.likely:%b} ± {dated.spread_d:.0f}" if isinstance(dated, Estimate) else "–"


if __name__ == "__main__":
    main()
