"""The season model on open records: every year foretold from earlier years only.

Run as a script it prints a table: how far off the likely day was, beside the plain mean of the own years, and how
often the 80 % window held the day. The records are described in tests/data/SOURCES.md.
"""

from __future__ import annotations

import csv
import math
import random
import statistics
import sys
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import Enum
from pathlib import Path

import numpy as np

from firmripe.days import MonthDay, Stretch, WorkingYear
from firmripe.holding.figures import Cited, Mark
from firmripe.holding.fruit import Cultivar, Event, Traits, Window
from firmripe.holding.place import Ground, Place
from firmripe.problems import Where
from firmripe.season import spreads
from firmripe.season.estimate import Basis, Estimate
from firmripe.season.forecast import LEAST_D
from firmripe.season.heat import DailyTemperatures, HeatCount, HeatFit, Method, NotReached, choose_count, fit_threshold
from firmripe.season.model import Observation, Occurrence, condition, year_scale_of
from firmripe.season.prior import Expectations, Prior

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
            ground=Ground(latitude=float(rows[place]["lat"]), elevation_m=float(rows[place]["alt"])),
            days=days,
        )
        for place, days in sorted(found.items())
    ]


def blueberries() -> tuple[Series, dict[WorkingYear, DailyTemperatures]]:
    """Read the mean day of open flowers by year, and the temperatures by season."""
    seen: dict[int, list[int]] = {}
    with (DATA / "blueberry_harvard_forest_obs.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            if row["phenophase"] == "501":
                seen.setdefault(int(row["year"]), []).append(int(row["doy"]) - 1)
    means: dict[int, dict[int, float]] = {}
    with (DATA / "blueberry_harvard_forest_temperature.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            means.setdefault(int(row["year"]), {})[int(row["doy"]) - 1] = float(row["temperature"])
    temperatures = {}
    for year, by_day in means.items():
        mean = np.array([by_day[day] for day in sorted(by_day)])
        first = date(year, 1, 1) + timedelta(days=min(by_day))
        temperatures[WorkingYear(year=year)] = DailyTemperatures(first=first, tmin_c=mean, tmax_c=mean)
    days = {year: round(sum(found) / len(found)) for year, found in seen.items()}
    return Series(name="Petersham", ground=Ground(), days=days), temperatures


# One year foretold


def carried(series: Series, others: Sequence[Series], year: int) -> Prior:
    """Return what to expect at a place from the printed dates of others, by latitude and height."""
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
    prior = Expectations(place, season, {"cherry": cultivar}).of(cultivar, Event.FULL_BLOOM)
    if not isinstance(prior, Prior):
        raise TypeError(prior.reason)
    return prior


def from_own_years(own: Mapping[int, int]) -> Prior:
    """Return what to expect where only own years speak, as the season does for a cultivar without a date."""
    kin = (("cherry", spreads.CULTIVAR_UNKNOWN_D),)
    return Prior(day=sum(own.values()) / len(own), place_d=0.0, kin=kin, rough=False, reasons=())


def bloom(prior: Prior, tree: str, year: int) -> Occurrence:
    """Return the bloom of a tree in a year."""
    return Occurrence(day=prior.day, place_d=prior.place_d, kin=prior.kin, tree=tree, name="full bloom", year=year)


def noted(prior: Prior, tree: str, days: Mapping[int, int]) -> list[Observation]:
    """Return a note of each year's bloom."""
    return [
        Observation(later=bloom(prior, tree, year), value=day, spread_d=spreads.NOTE_D, label="", group="")
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
    """How the season's heat is counted into a forecast of blueberry bloom."""

    NONE = "own years alone"
    GIVEN = "the same with heat above 2 °C from 1 February"
    CHOSEN = "the same with heat, base and start chosen from earlier years"


GIVEN_COUNT = HeatCount(base_c=2.0, start=MonthDay(2, 1), method=Method.SIMPLE)
"""The count that fits all years of the record best: it was found with the years that are foretold."""
COUNTS = [
    HeatCount(base_c=base, start=MonthDay(month, 1), method=Method.SIMPLE) for month in (1, 2, 3) for base in range(8)
]


def blueberry(heat: Heat) -> Iterator[Foretold]:
    """Foretell blueberry bloom from all earlier years, at least four, with and without the season's heat.

    The threshold of the heat is fitted to the earlier years, and with `Heat.CHOSEN` the way of counting is chosen from
    them too. The day on which it is reached, less the mean error in those years, counts as one more note, as exact as
    it was in them, each foretold from the others, and never surer than a forecast on a page.
    """
    series, temperatures = blueberries()
    for year in sorted(series.days):
        own = series.before(year, len(series.days))
        if len(own) < FEWEST_SPRINGS:
            continue
        prior = from_own_years(own)
        notes = noted(prior, "1", own)
        if heat is not Heat.NONE:
            notes.append(reached(heat, own, temperatures, prior, year))
        yield foretell(prior, notes, own, series.days[year], year)


def reached(
    heat: Heat, own: Mapping[int, int], temperatures: Mapping[WorkingYear, DailyTemperatures], prior: Prior, year: int
) -> Observation:
    """Return the day on which a season's heat comes to what it was at bloom in earlier years."""
    season = WorkingYear(year=year)
    seen = {WorkingYear(year=y): [WorkingYear(year=y).date_of(day)] for y, day in own.items()}
    earlier = {one: temperatures[one] for one in seen}
    given = heat is Heat.GIVEN
    fit = fit_threshold(GIVEN_COUNT, earlier, seen) if given else choose_count(COUNTS, earlier, seen)
    if not isinstance(fit, HeatFit):
        raise TypeError(fit.reason)
    day = fit.model.date_reached(temperatures[season], season)
    if isinstance(day, NotReached):
        raise TypeError(day.reason)
    return Observation(
        later=bloom(prior, "1", year),
        value=season.day_number(day) - fit.mean_error_days,
        spread_d=max(LEAST_D, statistics.stdev(fit.foretold.values())),
        label="heat",
        group="heat",
    )


def rows() -> Iterator[tuple[str, Score]]:
    """Yield what was foretold, and its score."""
    for years in OWN_YEARS:
        yield f"Swiss cherries, printed dates of {PRINTED_PLACES} places, {years} own years", Score.of(swiss(years))
    for years in (1, 2, 3, 5, 10, 20):
        yield f"Washington cherries, {years} own years alone", Score.of(washington(years))
    for heat in Heat:
        where = "Petersham blueberries, " if heat is Heat.NONE else ""
        yield where + heat.value, Score.of(blueberry(heat))


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
