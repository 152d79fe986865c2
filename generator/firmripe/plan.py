"""The season plan: everything worked out, before anything is written."""

from __future__ import annotations

from collections.abc import Mapping
from collections.abc import Set as AbstractSet
from datetime import date
from functools import cached_property

from dateutil.relativedelta import relativedelta
from msgspec import Struct
from msgspec.structs import replace

from firmripe.calendar.capacity import Waits, waits_for_hands, with_waits
from firmripe.calendar.entries import expand
from firmripe.calendar.entry import Calendar, Entry, in_order
from firmripe.calendar.kitchen_days import kitchen_entries, wants_without_a_day
from firmripe.calendar.last_season import still_to_do, under_way
from firmripe.calendar.minding import minded_once
from firmripe.calendar.pickings import AFTER_THE_PICK
from firmripe.calendar.unanswered import Open, barring, held_back, most_pressing_first, open_pickings
from firmripe.harvest.allotting import allot, claims_of_wants
from firmripe.harvest.eating import eaten
from firmripe.harvest.following import follow
from firmripe.harvest.lots import Lot
from firmripe.harvest.store import Promised, Store, keep_store, promise
from firmripe.harvest.unknowns import unknowns
from firmripe.holding.holding import Holding
from firmripe.holding.reader import THE_HOUSEHOLD, Reader, reader_of
from firmripe.holding.task import Stage
from firmripe.holding.theme import OwnTheme
from firmripe.holding.tree import Bearing, Tree
from firmripe.kitchen.admitting import speaks_of_fruit
from firmripe.kitchen.plan.claiming import kitchen_claims
from firmripe.kitchen.plan.composing import plan_kitchen
from firmripe.kitchen.plan.kitchen_plan import KitchenPlan
from firmripe.lately import Lately
from firmripe.season.estimate import Happens, Reach
from firmripe.season.explaining import Explanation, explain
from firmripe.season.hindcast import PastSeasons
from firmripe.season.season import Season, SeasonModel


class Plan(Struct, frozen=True, kw_only=True, dict=True):
    """What the household has, when it happens and why, what becomes of the fruit, and what is to be done.

    `former` is the season before, as known today, `replays` are the past seasons played again.
    `kitchen` is None where the household tells of no wants or of no days in the kitchen. `past` is what was planned for
    the season before, as known today; `reader` is for whom all of this is. `asked` are the pickings that are due and
    not noted, the most pressing first. `waiting` is what hangs longer than its day for want of hands.
    """

    holding: Holding
    season: Season
    former: Season
    lots: Mapping[Bearing, Lot]
    store: Store
    calendar: Calendar
    asked: tuple[Open, ...]
    explanations: Mapping[Happens, Explanation]
    replays: PastSeasons
    kitchen: KitchenPlan | None = None
    past: tuple[Entry, ...] = ()
    waiting: tuple[Waits, ...] = ()
    reader: Reader = THE_HOUSEHOLD

    @property
    def lots_by_season(self) -> Mapping[int, Mapping[Bearing, Lot]]:
        """The fruit of each crop by the year of its season: this one's and the former's, whose jobs reach into it."""
        return {self.season.year.year: self.lots, self.former.year.year: self.store.former}

    def days_of(self, bearing: Bearing) -> Mapping[Stage, Reach]:
        """Return the days of a crop's fruit, those after its pick as long as anybody knows them.

        Nobody does once its last good day is over and no pick is noted.
        """
        lot = self.lots.get(bearing)
        days = lot.days if lot is not None else {}
        waits = bearing in self._never_noted
        return {stage: day for stage, day in days.items() if not waits or stage not in AFTER_THE_PICK}

    @cached_property
    def over(self) -> Mapping[Bearing, Open]:
        """The crops of this season with a picking whose last good day is over and that nobody noted."""
        own = (one for one in self.asked if one.season == self.season.year.year)
        return {one.bearing: one for one in own if one.is_past}

    @cached_property
    def _never_noted(self) -> frozenset[Bearing]:
        """Those of them of which no pick is noted."""
        return frozenset(bearing for bearing, one in self.over.items() if one.bars)

    @property
    def usual_reader(self) -> Reader:
        """Whom a site is for where nobody is named."""
        return reader_of(self.holding.place)

    def of(self, holding: Holding) -> Plan:
        """Return the same for a holding that has the same facts, whatever prose."""
        season, former = (replace(season, holding=holding) for season in (self.season, self.former))
        return replace(self, holding=holding, season=season, former=former)

    @property
    def changed(self) -> date:
        """The day of the newest record that was looked at, or the first day of the season."""
        known = (record.day for record in self.holding.records if record.day <= self.season.as_of)
        return max(known, default=self.season.year.first)


class _Fruit(Struct, frozen=True):
    """What becomes of the fruit of a season and of the one before: lots, store, and what of it the kitchen uses."""

    lots: Mapping[Bearing, Lot]
    former_lots: Mapping[Bearing, Lot]
    promised: Promised
    kitchen: KitchenPlan | None
    store: Store


_made: Lately[tuple[int, date, Holding], Plan] = Lately(name="plan", after="facts")
"""The last plan: a preview makes it once, whatever is written in prose."""


def make_plan(holding: Holding, year: int, as_of: date) -> Plan:
    """Work out the plan of a season as known on a day.

    It is made of the facts alone, without the prose about them, so it is the last one again where these are the same.
    """
    facts = facts_alone(holding)
    if Lately.keeper:  # most of what anything is made of: the shelf, the place, its trees and what was noted before
        past = tuple(record for record in facts.records if record.season < year)
        Lately.keeper.begin("facts", (replace(facts, records=()), past))
    return _made.made_of((year, as_of, facts), lambda: _worked_out(facts, year, as_of)).of(holding)


def facts_alone(holding: Holding) -> Holding:
    """Return a holding without its prose and without what its pages look like, on which nothing else hangs."""
    return replace(without_prose(holding), own_theme=OwnTheme(), photos={})


def without_prose(holding: Holding) -> Holding:
    """Return a holding without the prose about the place and its trees, on which no date and no amount hangs.

    What a tree's note says stays where it decides whether fruit may be canned.
    """
    table = holding.processes
    trees = tuple(tree if speaks_of_fruit(table, tree.text) else _silent(tree) for tree in holding.trees)
    return replace(holding, place=replace(holding.place, text=""), trees=trees, asked=(), passages=())


def _silent(tree: Tree) -> Tree:
    return replace(tree, text="") if tree.text else tree


def _worked_out(holding: Holding, year: int, as_of: date) -> Plan:
    working_year = holding.place.working_year(year)
    model = SeasonModel(holding, working_year, as_of)
    season = model.season()
    former = SeasonModel(holding, holding.place.working_year(year - 1), as_of).season()
    fruit = _fruit_of(season, former)
    due = open_pickings(season, fruit.lots)
    hung, waiting = _hung(season, fruit, due)
    calendar, asked = held_back(hung, due, as_of)
    past, left, first = _left_of_last_season(season, former, fruit)
    calendar = calendar.with_others(left.entries)
    return Plan(
        holding=holding,
        season=season,
        former=former,
        lots=fruit.lots,
        store=fruit.store,
        calendar=replace(calendar, entries=minded_once(calendar.entries, as_of)),
        asked=most_pressing_first((*first, *asked)),
        explanations=explain(model, season),
        replays=PastSeasons(holding, working_year),
        kitchen=fruit.kitchen,
        past=past,
        waiting=waiting,
    )


def _fruit_of(season: Season, former: Season) -> _Fruit:
    """Follow the fruit: what is wanted on a day is set aside first, then the kitchen's, and the rest is eaten."""
    lots, former_lots = follow(season), follow(former)
    unanswered = {b: one.since for b, one in open_pickings(season, lots).items() if one.is_past}
    promised = promise(season, lots, former_lots, unanswered)
    lots = allot(lots, claims_of_wants(promised.ours))
    former_lots = allot(former_lots, claims_of_wants(promised.former))
    place = season.holding.place
    kitchen = plan_kitchen(season, lots, unanswered.keys())
    lots = eaten(allot(lots, kitchen_claims(kitchen)) if kitchen else lots, place)
    former_lots = eaten(former_lots, place)
    open_ones = (*unknowns(former, former_lots), *unknowns(season, lots))
    store = replace(keep_store(season, lots, former_lots, promised), unknowns=open_ones)
    return _Fruit(lots, former_lots, promised, kitchen, store)


def _hung(season: Season, fruit: _Fruit, due: Mapping[Bearing, Open]) -> tuple[Calendar, tuple[Waits, ...]]:
    """Return the season's jobs on their days, and what waits longer than its day for want of hands."""
    holding = season.holding
    calendar = expand(season, fruit.lots, fruit.promised.ours, frozenset(barring(due)))
    waiting = waits_for_hands(season, fruit.lots, calendar.entries)
    calendar = replace(
        calendar,
        entries=with_waits(calendar.entries, waiting, holding),
        undated=(*calendar.undated, *wants_without_a_day(holding)),
    )
    return calendar.with_others(kitchen_entries(holding, season.year.year, fruit.kitchen)), waiting


def _left_of_last_season(
    season: Season, former: Season, fruit: _Fruit
) -> tuple[tuple[Entry, ...], Calendar, tuple[Open, ...]]:
    """Return what was planned for the season before, what of it reaches into this one, and its open pickings."""
    holding, before, first, as_of = season.holding, former.year, season.year.first, season.as_of
    pinned = {tree.tag for tree in holding.trees if any(pin.day in before for pin in tree.pins)}
    hanging = under_way(former, fruit.former_lots, first, _noted_in(holding, before.year, as_of) | pinned)
    found = open_pickings(former, fruit.former_lots)
    still = {bearing: picking for bearing, picking in found.items() if bearing in hanging}
    past = expand(former, fruit.former_lots, fruit.store.former_take_outs, frozenset(barring(still))).entries
    carried = still_to_do(past, {batch.bearing for batch in fruit.store.carried}, hanging, first)
    left, asked = held_back(Calendar(entries=in_order(carried), undated=()), still, as_of)
    return past, left, asked


def past_entries(plan: Plan) -> tuple[Entry, ...]:
    """Return what was planned for the season before, as far as it reaches into the twelve months before the plan's day.

    It is worked out as known today, so that fruit put by last season still has its days in this one. What is still to
    come of it is left out for trees of which nobody noted anything that season: their fruit asks for nothing.
    """
    today, before = plan.season.as_of, plan.former.year.year
    since = today - relativedelta(years=1)
    noted = _noted_in(plan.holding, before, today)
    kept = (entry for entry in plan.past if entry.span.last >= since)
    return tuple(entry for entry in kept if entry.span.last < today or _is_noted(entry, noted))


def _noted_in(holding: Holding, season: int, as_of: date) -> set[str]:
    """Return the tags of the trees of which something was noted in a season, as known on a day."""
    return {record.tree for record in holding.records if record.season == season and record.day <= as_of}


def _is_noted(entry: Entry, noted: AbstractSet[str]) -> bool:
    """Say whether any of an entry's trees is among those that were noted; for the whole place any tree does."""
    return any(bearing.tree in noted for bearing in entry.bearings) if entry.bearings else bool(noted)


def entries_before_last(plan: Plan) -> tuple[Entry, ...]:
    """Return what was planned for the season two before the plan's, as known today.

    A fruit that keeps past New Year still has days of it in the twelve months that calendars keep.
    """
    year = plan.season.year
    season = SeasonModel(plan.holding, replace(year, year=year.year - 2), plan.season.as_of).season()
    return expand(season, follow(season)).entries
