"""The page of what changed since last season: dates, trees, crops, and what was noted and learned then."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from datetime import timedelta
from typing import Final

from dateutil.relativedelta import relativedelta

from firmripe.days import Span
from firmripe.harvest.allotting import CLAIMED
from firmripe.harvest.crop import Crop
from firmripe.harvest.grades import STORED
from firmripe.harvest.lots import Lot
from firmripe.holding.fruit import Event
from firmripe.holding.record import Happening, Record
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing, Tree
from firmripe.holding.weight import Weight, total
from firmripe.publish.pages.by_kind import reach_of, tags_link, told_together, trees_link
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.dated import Dated
from firmripe.publish.pages.record_words import noted_day, noted_words
from firmripe.publish.pages.scores import score_words
from firmripe.publish.views import Link, View
from firmripe.season.estimate import Estimate, Reach
from firmripe.season.hindcast import scores
from firmripe.season.season import Season
from firmripe.tongue import Tongue
from firmripe.words import between, of_crop, short_day, week_day


class SinceLine(View, frozen=True, kw_only=True):
    """An event of a tree this season and the last; `change` says by how much it moved."""

    tree: Link
    what: str
    now: Dated
    then: Dated
    change: str


class SinceNote(View, frozen=True, kw_only=True):
    """What was noted last season about this time of the year; `tree` is None for the whole place."""

    iso: str
    day: str
    tree: Link | None
    what: str
    note: str


class SincePage(View, frozen=True, kw_only=True):
    """This season beside the last."""

    season: str
    former: str
    dates: tuple[SinceLine, ...]
    gone: tuple[tuple[Link, str], ...]
    new: tuple[tuple[Link, str], ...]
    crops: tuple[tuple[Link, str, str, str], ...]
    notes: tuple[SinceNote, ...]
    taught: tuple[str, ...]
    hindcast: Link | None
    wanted: tuple[str, ...]
    put_up: tuple[str, ...]


AROUND: Final = (timedelta(days=-14), timedelta(days=28))
"""From two weeks before this day a year ago to four weeks after it: what is likely to happen again soon. J."""


_Noted = tuple[Reach, bool]
"""A day, and whether it was noted."""


class LookingBack:
    """Makes the page of one plan, with the links of one context."""

    def __init__(self, context: PageContext) -> None:
        self._plan = plan = context.plan
        self._context = context
        self._tongue = context.tongue
        self._paths = context.paths
        self._as_of = plan.season.as_of
        self._before = plan.season.year.year - 1
        self._names = {(tree.tag, limb.key): limb.name for tree in plan.holding.trees for limb in tree.limbs}

    def page(self) -> SincePage:
        """Return the page."""
        plan = self._plan
        now, then = ({bearing.tree for bearing in season.bearings} for season in (plan.season, plan.former))
        replays = [replay for replay in plan.replays if replay.season == self._before]
        return SincePage(
            season=str(plan.season.year.year),
            former=str(self._before),
            dates=tuple(self._dates()),
            gone=tuple(self._trees(then - now)),
            new=tuple(self._trees((now - then) | self._planted())),
            crops=tuple(self._crops()),
            notes=tuple(self._notes()),
            taught=score_words(self._tongue, scores(replays)),
            hindcast=self._context.link(self._tongue.say("How past dates held"), self._paths.hindcast)
            if plan.replays
            else None,
            wanted=tuple(self._wanted()),
            put_up=tuple(self._put_up(record) for record in self._of_last_season() if record.what is Happening.JARS),
        )

    def _name(self, bearing: Bearing) -> str:
        return self._names[bearing.tree, bearing.cultivar] + of_crop(self._tongue, bearing.crop)

    def _of_last_season(self) -> list[Record]:
        return [r for r in self._plan.holding.records if r.season == self._before and r.day <= self._as_of]

    # Dates

    def _dates(self) -> Iterator[SinceLine]:
        """Yield the events that last season has noted, tree by tree; beside an estimate nothing can be learned."""
        tongue = self._tongue
        stood = set(self._plan.former.bearings)
        events = (
            (Event.FULL_BLOOM, tongue.say("full bloom")),
            (Event.PICK, tongue.say("pick")),
            (None, tongue.say("ready")),
        )
        both = (bearing for bearing in self._plan.season.bearings if bearing in stood)
        for bearings in told_together(self._context, both):
            for event, said in events:
                moved = {bearing: days for bearing in bearings if (days := self._moved(event, bearing))}
                if moved:
                    yield self._line(said, moved)

    def _moved(self, event: Event | None, bearing: Bearing) -> tuple[_Noted, _Noted] | None:
        """Return when an event, or None for ready fruit, is or was in both seasons; None if not noted then."""
        plan = self._plan
        if event is None:
            now, then = _ready(plan.lots, bearing), _ready(plan.store.former, bearing)
        else:
            now, then = _seen(plan.season, bearing, event), _seen(plan.former, bearing, event)
        return (now, then) if now and then and then[1] else None

    def _line(self, said: str, moved: Mapping[Bearing, tuple[_Noted, _Noted]]) -> SinceLine:
        tongue = self._tongue
        a_year = relativedelta(years=1)
        changes = [(now[0].likely - (then[0].likely + a_year)).days for now, then in moved.values()]
        first, last = (_change(tongue, days) for days in (min(changes), max(changes)))
        return SinceLine(
            tree=self._trees_of(list(moved)),
            what=f"{self._name(next(iter(moved)))}: {said}",
            now=_dated(tongue, said, [now for now, _then in moved.values()]),
            then=_dated(tongue, said, [then for _now, then in moved.values()]),
            change=first if first == last else tongue.say("{first} to {last}", first=first, last=last),
        )

    def _trees_of(self, bearings: Sequence[Bearing]) -> Link:
        return trees_link(self._context, self._plan.holding.limb(bearings[0]), (one.tree for one in bearings))

    # Trees and crops

    def _planted(self) -> set[str]:
        season = self._plan.season
        standing = {bearing.tree for bearing in season.bearings}
        return {t.tag for t in self._plan.holding.trees if t.planted == season.year.year and t.tag in standing}

    def _trees(self, tags: set[str]) -> Iterator[tuple[Link, str]]:
        """Yield trees with what they bear, or those of a kind together where trees are many."""
        alike: dict[Hashable, list[Tree]] = {}
        for tree in self._plan.holding.trees:
            if tree.tag in tags:
                kinds = tuple(limb.key for limb in tree.limbs)
                alike.setdefault(kinds if self._context.is_by_kind else tree.tag, []).append(tree)
        with_page = {limb.key for limb in self._context.grown}
        for trees in alike.values():
            limbs = trees[0].limbs
            link = tags_link(self._context, limbs[0], (tree.tag for tree in trees))
            if len(trees) > 1 and limbs[0].key not in with_page:
                link = self._context.link(link.text, "trees.html")
            yield link, ", ".join(limb.name for limb in limbs)

    def _crops(self) -> Iterator[tuple[Link, str, str, str]]:
        """Yield what each tree bears this season and what was weighed of it last season."""
        former = {bearing: weight for bearing, lot in self._plan.store.former.items() if (weight := _weighed(lot))}
        still = (bearing for bearing in former if bearing in self._plan.lots or self._plan.season.stands(bearing))
        for bearings in told_together(self._context, still):
            weighed = self._context.pounds(total([former[bearing] for bearing in bearings]))
            yield self._trees_of(bearings), self._name(bearings[0]), self._bear(bearings), weighed

    def _bear(self, bearings: Iterable[Bearing]) -> str:
        """Say what trees of a kind bear this season together, as far as that is known."""
        lots = [lot for bearing in bearings if (lot := self._plan.lots.get(bearing))]
        known = [lot.crop.weight for lot in lots if isinstance(lot.crop, Crop)]
        if known:
            return self._context.pounds(total(known))
        return self._tongue.say("not known") if lots else self._tongue.say("no crop")

    # What was noted, wanted and put up

    def _notes(self) -> Iterator[SinceNote]:
        """Yield what was noted last season about this time of the year."""
        tongue = self._tongue
        middle = self._as_of - relativedelta(years=1)
        about = Span(first=middle + AROUND[0], last=middle + AROUND[1])
        alike: dict[Hashable, list[Record]] = {}
        for at, record in enumerate(self._of_last_season()):
            if record.day in about and not record.of_season:
                alike.setdefault(self._kind_of(record) if self._context.is_by_kind else at, []).append(record)
        for records in alike.values():
            record = records[0]
            limbs = self._plan.holding.tree(record.tree).limbs if record.tree else ()
            yield SinceNote(
                iso=record.day.isoformat(),
                day=noted_day(tongue, record)[0],
                tree=tags_link(self._context, limbs[0], (one.tree for one in records)) if limbs else None,
                what=tongue.term(record.what.value),
                note=self._note(record),
            )

    def _kind_of(self, record: Record) -> Hashable:
        """Return what lines of many trees have in common that are told as one: all but their tree."""
        limbs = self._plan.holding.tree(record.tree).limbs if record.tree else ()
        return record.day, record.what, self._note(record), tuple(limb.key for limb in limbs)

    def _note(self, record: Record) -> str:
        names = [self._names.get((record.tree, record.cultivar), ""), *noted_words(self._tongue, record)]
        return "; ".join(part for part in names if part)

    def _wanted(self) -> Iterator[str]:
        """Yield each day of last season for which fruit was wanted, and whether it could be ready."""
        tongue = self._tongue
        year = self._plan.former.year
        met = {answer.wanted for answer in self._plan.store.former_take_outs}
        for want in self._plan.holding.place.wanted:
            if want.day in year and want.day <= self._as_of:
                said = tongue.say("{cultivar} for {day}", cultivar=want.cultivar, day=week_day(tongue, want.day))
                yield tongue.say("{want}: met", want=said) if want in met else tongue.say("{want}: not met", want=said)

    def _put_up(self, record: Record) -> str:
        said = "; ".join(part for part in (record.amount, record.note) if part)
        return f"{short_day(self._tongue, record.day)}: {said}" if said else short_day(self._tongue, record.day)


def _seen(season: Season, bearing: Bearing, event: Event) -> _Noted | None:
    """Return when an event is or was, and whether that was noted; None where it has no date."""
    dated = season.of(bearing, event)
    return (dated.reach, dated.is_past) if isinstance(dated, Estimate) else None


def _ready(lots: Mapping[Bearing, Lot], bearing: Bearing) -> _Noted | None:
    """Return when fruit of the first picking is ready by itself; None where the kitchen or a wanted day has all of it.

    On what day people want it is no news of the season.
    """
    lot = lots.get(bearing)
    for batch in lot.batches if lot else ():
        reach = batch.days.get(Stage.READY)
        is_its_own = batch.ready_noted or any(out.to not in CLAIMED for out in batch.outs)
        if batch.picking == 1 and batch.grade in STORED and reach is not None and is_its_own:
            return reach, batch.ready_noted
    return None


def _weighed(lot: Lot) -> Weight | None:
    """Return what was picked and weighed; None where nothing was."""
    weights = [batch.weight for batch in lot.batches if batch.picked_noted and batch.weight is not None]
    return total(weights) if weights else None


def _dated(tongue: Tongue, label: str, days: Sequence[_Noted]) -> Dated:
    """Return the day of an event on one tree or several: noted where it was so on all of them."""
    reach = reach_of([Reach.on(reach.likely) if noted else reach for reach, noted in days])
    is_noted = all(noted for _reach, noted in days)
    return Dated(
        label=label,
        iso=reach.likely.isoformat(),
        likely=week_day(tongue, reach.likely),
        window=between(tongue, reach.earliest, reach.latest),
        basis=tongue.say("noted") if is_noted else tongue.say("estimated"),
        rough=False,
        clash="",
    )


def _change(tongue: Tongue, days: int) -> str:
    """Say by how many days of the year a date has moved."""
    if days == 0:
        return tongue.say("the same day")
    if days < 0:
        return tongue.plural("{n} day earlier", "{n} days earlier", -days)
    return tongue.plural("{n} day later", "{n} days later", days)
