"""The season model on open records: every year foretold from earlier years only.

Run as a script it prints a table: how far off the likely day was, beside the plain mean of the own years, and how
often the 80 % window held the day. The records are described in tests/data/SOURCES.md.
"""

from __future__ import annotations

import csv
import math
import random
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import Enum
from functools import cache
from pathlib import Path

import numpy as np
from msgspec.structs import replace

from firmripe.days import MonthDay, Stretch, WorkingYear
from firmripe.holding.figures import Cited, Mark
from firmripe.holding.fruit import Cultivar, Event, Traits, Window
from firmripe.holding.place import Ground, Place
from firmripe.holding.record import Happening, Record
from firmripe.holding.tree import Tree
from firmripe.holding.weather import Weather
from firmripe.problems import Where
from firmripe.season import spreads
from firmripe.season.because import Evidence, Group
from firmripe.season.counting import FittedHeatSums
from firmripe.season.estimate import Basis, Estimate
from firmripe.season.forecast import Blooms, ForecastBasis, NoForecast, bloom_forecasts
from firmripe.season.model import Observation, Occurrence, condition, year_scale_of
from firmripe.season.prior import Expectations, Prior
from firmripe.season.usual import Usual

sys.path.insert(0, str(Path(__file__).parent))

from places import climates
from simulated import Climate, Law, homes

NOTE = Group.of(Evidence.EARLIER_SEASONS, Event.PICK, "1", "bosc")

DATA = Path(__file__).parents[1] / "data"
OWN_YEARS = (0, 1, 2, 3, 5, 10)
NORMAL_YEARS = 30
"""A printed date is taken to be the mean of so many years before the one foretold, or of those there are."""
PRINTED_PLACES = 3
"""So many other places, picked by lot, have a printed date, as few have on a shelf."""
FEWEST_SPRINGS = 4
"""From so many earlier years on a way of counting heat can be chosen from them."""
NOWHERE = Cited(mark=Mark.DERIVED, source=None, page="", where=Where("backtest"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """The bloom of one place: its season day by year."""

    name: str
    ground: Ground
    days: Mapping[int, int]

    def before(self, year: int, most: int) -> dict[int, int]:
        """Return the days of the last `most` years before one."""
        years = sorted(y for y in self.days if y < year)
        return {y: self.days[y] for y in years[max(0, len(years) - most) :]}


@dataclass(frozen=True, slots=True, kw_only=True)
class Foretold:
    """One year foretold. Errors in days, above 0 where too late; the plain mean's is NaN without own years."""

    error_d: float
    plain_error_d: float
    is_held: bool
    spread_d: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """How well a set of years was foretold: errors in days, the share of days held by the window."""

    count: int
    rmse_d: float
    mae_d: float
    bias_d: float
    plain_rmse_d: float
    plain_mae_d: float
    held: float
    spread_d: float

    @classmethod
    def of(cls, items: Iterable[Foretold]) -> Score:
        """Score some years."""
        kept = list(items)
        errors, plain = np.array([i.error_d for i in kept]), np.array([i.plain_error_d for i in kept])
        return cls(
            count=len(kept),
            rmse_d=float(np.sqrt(np.mean(errors**2))),
            mae_d=float(np.mean(np.abs(errors))),
            bias_d=float(np.mean(errors)),
            plain_rmse_d=float(np.sqrt(np.mean(plain**2))),
            plain_mae_d=float(np.mean(np.abs(plain))),
            held=float(np.mean([i.is_held for i in kept])),
            spread_d=float(np.sqrt(np.mean([i.spread_d**2 for i in kept]))),
        )


# The records


def cherries(name: str) -> list[Series]:
    """Read a table of cherry bloom."""
    found: dict[str, dict[int, int]] = {}
    rows: dict[str, dict[str, str]] = {}
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            found.setdefault(row["location"], {})[int(row["year"])] = int(row["bloom_doy"]) - 1
            rows[row["location"]] = row
    return [
        Series(
            name=place,
            ground=Ground(
                latitude=float(rows[place]["lat"]),
                longitude=float(rows[place]["long"]),
                elevation_m=float(rows[place]["alt"]),
            ),
            days=days,
        )
        for place, days in sorted(found.items())
    ]


@cache
def blueberries() -> tuple[Series, Weather]:
    """Read the mean day of open flowers by year, and the daily means, which stand for lowest and highest."""
    seen: dict[int, list[int]] = {}
    with (DATA / "blueberry_harvard_forest_obs.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            if row["phenophase"] == "501":
                seen.setdefault(int(row["year"]), []).append(int(row["doy"]) - 1)
    read: dict[date, tuple[float, float]] = {}
    with (DATA / "blueberry_harvard_forest_temperature.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            day = date(int(row["year"]), 1, 1) + timedelta(days=int(row["doy"]) - 1)
            read.setdefault(day, (float(row["temperature"]), float(row["temperature"])))
    days = {year: round(sum(found) / len(found)) for year, found in seen.items()}
    return Series(name="Petersham", ground=Ground(), days=days), Weather.of(read)


# One year foretold


def carried(series: Series, others: Sequence[Series], year: int) -> Prior:
    """Return what to expect at a place from the printed dates of others, carried by warmth."""
    season = WorkingYear(year=year)
    windows = []
    for other in others:
        normal = other.before(year, NORMAL_YEARS)
        day = date(2001, 1, 1) + timedelta(days=round(sum(normal.values()) / len(normal)))
        month_day = MonthDay(day.month, day.day)
        windows.append(
            Window(
                event=Event.FULL_BLOOM,
                stretch=Stretch(first=month_day, last=month_day),
                crop="",
                place_name=other.name,
                ground=other.ground,
                written_for=season.hemisphere,
                cited=NOWHERE,
                text="",
            )
        )
    traits = Traits(windows=tuple(windows))
    cultivar = Cultivar(key="cherry", name="Cherry", fruit=None, own=traits, traits=traits)
    place = Place(name=series.name, ground=series.ground)
    usual = Usual.at(place, {"cherry": cultivar}, climates(), Weather())
    prior = Expectations(place, season, {"cherry": cultivar}, usual).of(cultivar, Event.FULL_BLOOM)
    if not isinstance(prior, Prior):
        raise TypeError(prior.reason)
    return prior


def from_own_years(own: Mapping[int, int]) -> Prior:
    """Return what to expect where only own years speak, as the season does for a cultivar without a date."""
    kin = (("cherry", spreads.CULTIVAR_UNKNOWN_D),)
    return Prior(day=sum(own.values()) / len(own), kin=kin, rough=False, reasons=())


def bloom(prior: Prior, tree: str, year: int) -> Occurrence:
    """Return the bloom of a tree in a year."""
    return Occurrence(day=prior.day, kin=prior.kin, tree=tree, name="full bloom", year=year)


def noted(prior: Prior, tree: str, days: Mapping[int, int]) -> list[Observation]:
    """Return a note of each year's bloom."""
    return [
        Observation(later=bloom(prior, tree, year), value=day, spread_d=spreads.NOTE_D, group=NOTE)
        for year, day in days.items()
    ]


def foretell(prior: Prior, notes: Sequence[Observation], own: Mapping[int, int], came: int, year: int) -> Foretold:
    """Return how a year was foretold from what was known, in whole days as a page shows them.

    How much years differ is learnt from the notes of earlier years, as a season does it.
    """
    scale = year_scale_of(note for note in notes if note.later.year != year)
    result = condition([bloom(prior, "1", year)], notes, scale)
    season = WorkingYear(year=year)
    estimate = Estimate(likely=season.date_of(result.mean[0]), spread_d=float(result.spread_d[0]), basis=Basis.MODEL)
    day = season.date_of(came)
    return Foretold(
        error_d=(estimate.likely - day).days,
        plain_error_d=sum(own.values()) / len(own) - came if own else math.nan,
        is_held=estimate.earliest <= day <= estimate.latest,
        spread_d=estimate.spread_d,
    )


# The three records


def swiss(own_years: int, *, one_in: int = 1) -> Iterator[Foretold]:
    """Foretell Swiss cherries at places with 20 years or more, from others' printed dates and own years.

    Foretold are the years from 1981 on, so that the others have normals. `one_in` takes every so manieth only.
    """
    places = [place for place in cherries("cherry_bloom_switzerland_meteoswiss.csv") if len(place.days) >= 20]
    lot = random.Random(7)
    wanted = [(place, year) for place in places for year in sorted(place.days) if year > 1980]
    for place, year in wanted[::one_in]:
        others = [o for o in places if o is not place and len(o.before(year, NORMAL_YEARS)) >= 10]
        prior = carried(place, lot.sample(others, PRINTED_PLACES), year)
        own = place.before(year, own_years)
        if len(own) < own_years or (own and min(own) < year - 2 * own_years - 1):
            continue
        notes = noted(prior, "1", own)
        yield foretell(prior, notes, own, place.days[year], year)


def washington(own_years: int) -> Iterator[Foretold]:
    """Foretell Washington's cherries from own years alone."""
    (series,) = cherries("cherry_bloom_washington_dc.csv")
    for year in sorted(series.days):
        own = series.before(year, own_years)
        if len(own) == own_years:
            prior = from_own_years(own)
            yield foretell(prior, noted(prior, "1", own), own, series.days[year], year)


class Heat(Enum):
    """How the season's heat is counted into a forecast of bloom."""

    NONE = "own years alone"
    CHOSEN = "the one way of counting that fitted best"
    EQUAL = "the plain mean of the ways"
    MEAN = "the mean of the ways as shipped"


END = 200
"""The season day by whose end all of a spring's weather is known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Warm:
    """A bloom foretold with the season's warmth: what was said beside what came, in season days."""

    foretold: Foretold
    said: float
    came: int


def warm_bloom(weather: Weather, days: Mapping[int, int], year: int, heat: Heat, known: int) -> Warm:
    """Foretell a year's bloom as known on a season day from its earlier years, as the season model does it.

    That it has not bloomed yet is not used, so that years which have can be foretold too.
    """
    own = {y: day for y, day in days.items() if y < year}
    prior = from_own_years(own)
    notes = noted(prior, "1", own)
    if heat is not Heat.NONE and (note := _of_warmth(weather, own, year, heat, known, prior, notes)) is not None:
        notes.append(note)
    told = foretell(prior, notes, own, days[year], year)
    return Warm(foretold=told, said=told.error_d + days[year], came=days[year])


def _of_warmth(  # noqa: PLR0917 - what a note is made of
    weather: Weather,
    own: Mapping[int, int],
    year: int,
    heat: Heat,
    known: int,
    prior: Prior,
    notes: Sequence[Observation],
) -> Observation | None:
    season = WorkingYear(year=year)
    limb = Cultivar(key="bush", name="Bush", fruit=None, own=Traits(), traits=Traits())
    records = [
        Record(
            day=WorkingYear(year=y).date_of(day), season=y, what=Happening.FULL_BLOOM, tree="1", where=Where("backtest")
        )
        for y, day in own.items()
    ]
    as_of, tree = season.date_of(known), Tree(tag="1", limbs=(limb,), where=Where("backtest"))
    blooms = Blooms.of(tree, limb, [record for record in records if record.day <= as_of], season, weather)
    told = ForecastBasis(limbs=[blooms], weather=weather, year=season, as_of=as_of)
    (forecast,) = bloom_forecasts(told, _WITH[heat])
    if isinstance(forecast, NoForecast):
        raise TypeError(str(forecast.why))
    usual = condition([bloom(prior, "1", year)], notes, year_scale_of(notes))
    note = replace(forecast, not_yet=None).as_note(float(usual.mean[0]), float(usual.spread_d[0]))
    if note is None:
        return None
    return Observation(later=bloom(prior, "1", year), value=note[0], spread_d=note[1], group=NOTE)


def _chosen(fitted: FittedHeatSums) -> FittedHeatSums:
    best = max(fitted.ways, key=lambda way: way.share)
    return replace(fitted, ways=(replace(best, share=1.0),))


def _equal(fitted: FittedHeatSums) -> FittedHeatSums:
    return replace(fitted, ways=tuple(replace(way, share=1 / len(fitted.ways)) for way in fitted.ways))


_WITH: Mapping[Heat, Callable[[FittedHeatSums], FittedHeatSums]] = {
    Heat.CHOSEN: _chosen,
    Heat.EQUAL: _equal,
    Heat.MEAN: lambda fitted: fitted,
}


def blueberry(heat: Heat, known: int = END) -> list[Warm]:
    """Foretell blueberry bloom from all earlier years, at least four, with and without the season's heat."""
    series, weather = blueberries()
    years = sorted(series.days)[FEWEST_SPRINGS:]
    return [warm_bloom(weather, series.days, year, heat, known) for year in years]


def simulated(heat: Heat, known: int, own: Sequence[int] = (4, 8, 16), count: int = 6) -> list[Warm]:
    """Foretell simulated springs in three climates, by three laws, after so many own years."""
    found = []
    for climate in Climate:
        for number, law in enumerate(Law):
            for home in homes(climate, law, years=max(own) + 4, count=count, seed=number):
                years = sorted(home.days)
                found += [
                    warm_bloom(home.weather, dict(list(home.days.items())[at - few : at + 1]), years[at], heat, known)
                    for few in own
                    for at in (few, len(years) - 1)
                ]
    return found


def slope(items: Iterable[Warm]) -> float:
    """Return by how much what came moves with what was said: 1 where nothing is held back, above it where it is."""
    said, came = np.array([(one.said, one.came) for one in items]).T
    return float(np.polyfit(said, came, 1)[0])


def rows() -> Iterator[tuple[str, Score]]:
    """Yield what was foretold, and its score."""
    for years in OWN_YEARS:
        yield f"Swiss cherries, printed dates of {PRINTED_PLACES} places, {years} own years", Score.of(swiss(years))
    for years in (1, 2, 3, 5, 10, 20):
        yield f"Washington cherries, {years} own years alone", Score.of(washington(years))
    for known, when in WHEN:
        for heat in Heat:
            if heat is not Heat.NONE or known == END:
                told = blueberry(heat, known)
                yield _name("Petersham blueberries", heat, when, told), Score.of(one.foretold for one in told)
    for known, when in WHEN:
        for heat in Heat:
            if heat is not Heat.NONE or known == END:
                told = simulated(heat, known)
                yield _name("Simulated springs", heat, when, told), Score.of(one.foretold for one in told)


WHEN = ((59, "1 March"), (90, "1 April"), (END, "all of spring"))


def _name(where: str, heat: Heat, when: str, told: Sequence[Warm]) -> str:
    if heat is Heat.NONE:
        return f"{where}, {heat.value}"
    return f"{where}, {heat.value}, warmth to {when} (slope {slope(told):.2f})"


def main() -> None:
    """Print the table."""
    out = [
        "| foretold | years | RMSE | MAE | bias | plain mean's RMSE | plain mean's MAE | spread | held by 80 % |",
        "|---|---|---|---|---|---|---|---|---|",
    ]
    for name, s in rows():
        plain = "– | –" if math.isnan(s.plain_rmse_d) else f"{s.plain_rmse_d:.1f} | {s.plain_mae_d:.1f}"
        numbers = f"{s.rmse_d:.1f} | {s.mae_d:.1f} | {s.bias_d:+.1f} | {plain} | {s.spread_d:.1f} | {s.held:.0%}"
        out.append(f"| {name} | {s.count:,} | {numbers} |")
    sys.stdout.write("\n".join(out) + "\n")


if __name__ == "__main__":
    main()
