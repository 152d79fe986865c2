"""The season plan: everything worked out, before anything is written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from dateutil.relativedelta import relativedelta

from firmripe.calendar.entries import Calendar, Entry, expand
from firmripe.days import WorkingYear
from firmripe.harvest.lots import Lot, follow
from firmripe.harvest.store import Store, keep_store
from firmripe.holding.holding import Holding
from firmripe.holding.tree import Bearing
from firmripe.season.estimate import Happens
from firmripe.season.explaining import Explanation, explain
from firmripe.season.hindcast import Replay, hindcast
from firmripe.season.season import Season, SeasonModel


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What the household has, when it happens and why, what becomes of the fruit, and what is to be done.

    `replays` are the past seasons played again.
    """

    holding: Holding
    season: Season
    lots: Mapping[Bearing, Lot]
    store: Store
    calendar: Calendar
    explanations: Mapping[Happens, Explanation]
    replays: tuple[Replay, ...]

    @property
    def changed(self) -> date:
        """The day of the newest record that was looked at, or the first day of the season."""
        known = (record.day for record in self.holding.records if record.day <= self.season.as_of)
        return max(known, default=self.season.year.first)


def make_plan(holding: Holding, year: int, as_of: date) -> Plan:
    """Work out the plan of a season as known on a day."""
    working_year = WorkingYear(year=year, hemisphere=holding.place.hemisphere)
    model = SeasonModel(holding, working_year, as_of)
    season = model.season()
    lots = follow(season)
    return Plan(
        holding=holding,
        season=season,
        lots=lots,
        store=keep_store(season, lots),
        calendar=expand(season, lots),
        explanations=explain(model, season),
        replays=hindcast(holding, working_year),
    )


def past_entries(plan: Plan) -> tuple[Entry, ...]:
    """Return what was planned for the season before, as far as it reaches into the twelve months before the plan's day.

    It is worked out as known today, so that fruit put by last season still has its days in this one.
    """
    season = plan.season
    since = season.as_of - relativedelta(years=1)
    before = WorkingYear(year=season.year.year - 1, hemisphere=season.year.hemisphere)
    former = SeasonModel(plan.holding, before, season.as_of).season()
    entries = expand(former, follow(former)).entries
    return tuple(entry for entry in entries if entry.span.last >= since)
