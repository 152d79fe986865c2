"""The year in review: what was planned beside what happened, and the years of each crop and of the jars."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from fractions import Fraction
from itertools import pairwise
from statistics import median_low
from typing import Final

from dateutil.relativedelta import relativedelta
from msgspec.structs import replace

from firmripe.days import WorkingYear
from firmripe.harvest.crop import all_weighed, history_of
from firmripe.harvest.weighing import containers_of, weigh
from firmripe.holding.fruit import Cultivar, Event, Traits
from firmripe.holding.record import PICKINGS, Happening, Record
from firmripe.holding.tree import Bearing, Tree
from firmripe.holding.weight import Weight, together, total
from firmripe.kitchen.pantry import Shelved, shelved
from firmripe.publish.contents import has_former_season
from firmripe.publish.pages.by_kind import by_kind, trees_link
from firmripe.publish.pages.context import MOST_YEARS, PageContext
from firmripe.publish.pages.hindcast import HindcastPage, hindcast_page
from firmripe.publish.pages.kinds import KindPage
from firmripe.publish.pages.pack_outs import pack_outs
from firmripe.publish.pages.record_words import noted_day, noted_words
from firmripe.publish.pages.scores import off_words, score_words
from firmripe.publish.pages.season_drawing import cut
from firmripe.publish.pages.since import LookingBack, SincePage
from firmripe.publish.pages.years_of_crop import HistoryOfTree, YearOfTree
from firmripe.publish.verdict_words import prior_words, taught
from firmripe.publish.views import Link, View
from firmripe.season.hindcast import Moment, Replay, scores
from firmripe.season.verdicts import LONGEST_IN_STORE_D
from firmripe.tongue import Tongue
from firmripe.wording.holding import jars_words
from firmripe.words import days_words, of_crop, short_day, short_month, week_day


class SaidAndDone(View, frozen=True, kw_only=True):
    """A first pick: when it was looked for before the season, and when it came. Places in the drawing are its units.

    `label` is what the drawing says, which ends at `at_label`. `at_said` is None where nothing was said.
    """

    tree: Link
    name: str
    label: str
    seen: str
    iso: str
    said: str
    off: str
    at_seen: int
    at_said: int | None
    at_label: int


class JarsOfYear(View, frozen=True, kw_only=True):
    """Jars of one kind and one season: how many were made, eaten and left; the last two empty where nobody counted."""

    name: str
    year: str
    made: str
    eaten: str
    left: str


class ReviewPage(View, frozen=True, kw_only=True):
    """The year in review. `months` are the heads of the drawings, each with its place.

    `packed` are cultivars with the share of each grade in what came in. `prior` is what was taken for granted before
    verdicts taught anything, empty where none did. `since` and `hindcast` are told here where there is one tree alone,
    and have pages of their own where there are more.
    """

    title: str
    summary: tuple[str, ...]
    done: tuple[SaidAndDone, ...]
    packed: tuple[tuple[str, str], ...]
    trees: tuple[HistoryOfTree, ...]
    jars: tuple[JarsOfYear, ...]
    prior: str
    months: tuple[tuple[int, str], ...]
    width: int
    since: SincePage | None
    hindcast: HindcastPage | None


_YEAR: Final = 366
"""Units of a whole year in the drawings, of which a day takes one."""
_APART, _LETTER, _MOST_LETTERS = 12, 7, 18
"""Units between a label and what stands right of it, and those of a letter; of so many letters longer ones are cut."""
_LABEL: Final = 45
"""Units at least for the labels, as much as most trees' tags take."""
_ROW, _BAR = 24, 70
_SEVERAL: Final = 2
_TURNS, _LEAST_YEARS = Fraction(2, 3), 4
"""Where a crop bears by turns, a light year bears at most so much of those around it, over so many years (J)."""
_TOLD: Final = PICKINGS | {Happening.FULL_BLOOM, Happening.NO_CROP, Happening.VERDICT}
"""A year is told of a crop that has a line of one of these."""


class Reviewing:
    """Makes the page of one plan, with the links of one context."""

    def __init__(self, context: PageContext) -> None:
        self._plan = plan = context.plan
        self._context = context
        self._tongue = context.tongue
        self._paths = context.paths
        self._as_of = plan.season.as_of
        self._records = [record for record in plan.holding.records if record.day <= self._as_of]
        self._told: dict[Bearing, dict[int, list[Record]]] = {}
        self._last = plan.season.year.year - 1
        replays = (replay for replay in plan.replays if replay.season == self._last)
        self._last_picks = [replay for replay in replays if replay.event is Event.PICK]
        self._begin = _months_of(self._year(self._last))
        self._first, self._width = self._frame()

    def page(self) -> ReviewPage:
        """Return the page: the season before beside what was said of it, and all seasons of each crop."""
        tongue = self._tongue
        year, picks = self._last, self._last_picks
        trees = tuple(self._histories())
        folded = self._paths.folded
        return ReviewPage(
            title=str(year),
            summary=(*score_words(tongue, scores(picks))[:1], *self._weights(year)),
            done=tuple(sorted(self._picks(picks), key=lambda one: one.iso)),
            packed=pack_outs(self._plan, year),
            trees=trees,
            jars=tuple(_jars(tongue, one) for one in self._shelf()),
            prior=prior_words(tongue) if any(tree.taught for tree in trees) else "",
            months=self._months(),
            width=self._width,
            since=LookingBack(self._context).page() if folded and has_former_season(self._plan) else None,
            hindcast=hindcast_page(self._context) if folded and self._plan.replays else None,
        )

    def _year(self, season: int) -> WorkingYear:
        return replace(self._plan.season.year, year=season)

    def _frame(self) -> tuple[int, int]:
        """Return where the drawings begin in the year and how wide they are: the months that bloom and picks take.

        The days said for last season's picks are in them too, and left of each the room for its label.
        """
        blooms = [self._day(r.season, r.day) for r in self._records if r.what is Happening.FULL_BLOOM]
        picks = [self._day(r.season, r.day) for r in self._records if r.what in PICKINGS]
        if not picks:
            return 0, _YEAR
        letters = max((len(self._label(one)) for one in self._together(self._last_picks)), default=0)
        label = max(_LABEL, _APART + _LETTER * letters)
        before = (one.by_moment.get(Moment.BEFORE) for one in self._last_picks)
        said = [self._day(self._last, known.likely) for known in before if known is not None]
        soonest = max(0, min([*blooms, *(at - label for at in (*picks, *said))]))
        first = max(x for x in self._begin if x <= soonest)
        return first, min(x for x in (*self._begin, _YEAR) if x >= max([*blooms, *picks, *said])) - first

    def _months(self) -> tuple[tuple[int, str], ...]:
        """Return where each month begins in the drawings, and its name cut short."""
        named = ((x - self._first, short_month(self._tongue, month)) for x, month in self._begin.items())
        return tuple((x, name) for x, name in named if 0 <= x < self._width)

    def _day(self, season: int, day: date) -> int:
        """Return how far into its season a day lies, within it."""
        return max(0, min(_YEAR, (day - self._year(season).first).days))

    def _place(self, season: int, day: date) -> int:
        return max(0, min(self._width, self._day(season, day) - self._first))

    def _name(self, bearing: Bearing) -> str:
        return self._plan.holding.limb(bearing).name + of_crop(self._tongue, bearing.crop)

    def _picks(self, picks: Iterable[Replay]) -> Iterator[SaidAndDone]:
        """Yield first picks by day and tree, or those of all trees of a kind together where these are many."""
        return (self._done(replays) for replays in self._together(picks))

    def _together(self, picks: Iterable[Replay]) -> Iterator[list[Replay]]:
        """Yield first picks as they are told, each by itself or all of a kind."""
        told = {one.bearing: one for one in sorted(picks, key=lambda one: (one.seen, one.bearing))}
        is_by_kind = self._context.is_reviewed_by_kind
        for bearings in by_kind(told).values() if is_by_kind else ([bearing] for bearing in told):
            yield [told[bearing] for bearing in bearings]

    def _done(self, replays: Sequence[Replay]) -> SaidAndDone:
        """Return first picks of a kind, by day, as one: from the first to the last, drawn at those in the middle."""
        tongue, first = self._tongue, replays[0]
        limb = self._plan.holding.limb(first.bearing)
        tree = trees_link(self._context, limb, (replay.bearing.tree for replay in replays))
        seen = [replay.seen for replay in replays]
        said = sorted(known.likely for replay in replays if (known := replay.by_moment.get(Moment.BEFORE)))
        off = sorted(error for one in replays if (error := one.error_of(one.by_moment.get(Moment.BEFORE))) is not None)
        at_seen = self._place(first.season, median_low(seen))
        at_said = self._place(first.season, median_low(said)) if said else None
        return SaidAndDone(
            tree=tree,
            name=self._name(first.bearing),
            label=self._label(replays),
            seen=self._from_to([week_day(tongue, day) for day in seen]),
            iso=first.seen.isoformat(),
            said=self._from_to([short_day(tongue, day) for day in said]),
            off=self._from_to([off_words(tongue, error) for error in off]),
            at_seen=at_seen,
            at_said=at_said,
            at_label=(at_seen if at_said is None else min(at_seen, at_said)) - _APART,
        )

    def _label(self, replays: Sequence[Replay]) -> str:
        """Return what first picks are called in the drawing: one by its tree, those of a kind by that."""
        bearing = replays[0].bearing
        return cut(bearing.tree if len(replays) == 1 else self._name(bearing), _MOST_LETTERS)

    def _from_to(self, told: Sequence[str]) -> str:
        """Say the first and the last of some, which may be one; nothing of none."""
        ends = list(dict.fromkeys([*told[:1], *told[-1:]]))
        return self._tongue.say("{first} to {last}", first=ends[0], last=ends[1]) if len(ends) > 1 else "".join(ends)

    # What it weighed

    def _weights(self, year: int) -> Iterator[str]:
        """Say what was picked in a season, and in the one before it where that was weighed as well."""
        now, before = (self._picked(season) for season in (year, year - 1))
        said = self._context.pounds(now)
        if now and before:
            yield self._tongue.say(
                "{now} were weighed, {before} the year before.", now=said, before=self._context.pounds(before)
            )
        elif now:
            yield self._tongue.say("{now} were weighed.", now=said)

    def _picked(self, season: int) -> Weight | None:
        """Return all that was weighed in a season, also of trees that others have taken the place of."""
        place = self._plan.holding.place
        picked = (r for r in self._records if r.season == season and r.what in PICKINGS)
        weights = (weigh(r.parts, containers_of(self._traits_of(r), place)) for r in picked)
        known = [weight for weight in weights if weight is not None]
        return total(known) if known else None

    def _traits_of(self, record: Record) -> Traits:
        """Return the traits of the fruit of a picking; on a tree of several kinds, if it names none, of the first."""
        limbs = self._plan.holding.tree(record.tree).limbs
        return next((limb for limb in limbs if limb.key == record.cultivar), limbs[0]).traits

    def _weight(self, bearing: Bearing, season: int) -> Weight | None:
        """Return what a crop weighed in a season; None where it was not picked, or not all of it was weighed."""
        containers = containers_of(self._plan.holding.limb(bearing).traits, self._plan.holding.place)
        return all_weighed(self._of(bearing, season), containers)

    def _of(self, bearing: Bearing, season: int) -> list[Record]:
        """Return what was noted of a crop that is told in a season."""
        return self._seasons_of(bearing).get(season, [])

    def _seasons_of(self, bearing: Bearing) -> Mapping[int, list[Record]]:
        """Return what was noted of a crop by the season it is told in."""
        if bearing not in self._told:
            self._told[bearing] = _by_season(history_of(self._plan.holding, bearing, self._as_of))
        return self._told[bearing]

    def _is_picked(self, bearing: Bearing, season: int) -> bool:
        return any(r.what in PICKINGS for r in self._of(bearing, season))

    # The years of each crop

    def _histories(self) -> Iterator[HistoryOfTree]:
        """Yield the years of each crop of each tree, or of all trees of a kind together where these are many.

        Where there are very many kinds as well there are none, and each leads to the page that has its own.
        """
        if self._context.is_reviewed_by_kind:
            told = [one for limb in self._context.grown if (one := self._years_of_kind(limb, 1)) is not None]
            is_short = sum(len(one.years) for one in told) > MOST_YEARS
            yield from (replace(one, years=()) if is_short else one for one in told)
            return
        for tree in self._plan.holding.trees:
            for bearing in tree.bearings:
                if (history := self._history(tree, bearing)) is not None:
                    yield history

    def _history(self, tree: Tree, bearing: Bearing) -> HistoryOfTree | None:
        """Return the years of a crop; None where it was picked in none of them."""
        seasons = sorted(self._seasons_of(bearing))
        link = self._context.link(tree.tag, self._paths.tree(tree.tag))
        history = self._years(link, self._name(bearing), [bearing], seasons)
        return replace(history, taught=taught(self._plan.season, bearing)) if history else None

    def with_years(self, page: KindPage, limb: Cultivar) -> KindPage:
        """Return a cultivar's page with the years of its trees together, where it has several that were picked."""
        history = self._years_of_kind(limb, _SEVERAL)
        return replace(page, history=history, months=self._months(), width=self._width) if history else page

    def _years_of_kind(self, limb: Cultivar, least: int) -> HistoryOfTree | None:
        """Return the years of a cultivar's trees together; None where fewer than so many were picked."""
        bearings = [b for tree in self._plan.holding.trees for b in tree.bearings if b.cultivar == limb.key]
        picked = {b.tree for b in bearings if any(self._is_picked(b, season) for season in self._seasons_of(b))}
        if len(picked) < least:
            return None
        seasons = sorted({season for bearing in bearings for season in self._seasons_of(bearing)})
        link = self._context.link(limb.name, self._paths.cultivar(limb.key))
        return self._years(link, self._tongue.plural("{n} tree", "{n} trees", len(picked)), bearings, seasons)

    def _years(
        self, link: Link, name: str, bearings: Sequence[Bearing], seasons: Sequence[int]
    ) -> HistoryOfTree | None:
        """Return the years of crops together: the first bloom and pick of any, and what all weighed."""
        lines = {season: [r for bearing in bearings for r in self._of(bearing, season)] for season in seasons}
        of = {season: told for season, told in lines.items() if any(r.what in _TOLD for r in told)}
        if not any(r.what in PICKINGS for lines in of.values() for r in lines):
            return None
        weights: dict[int, Weight | None] = {}
        whole: dict[int, Weight | None] = {}
        for season in of:
            told = [self._weight(bearing, season) for bearing in bearings if self._is_picked(bearing, season)]
            known = [weight for weight in told if weight is not None]
            weights[season] = total(known) if known else None
            whole[season] = together(told) if told else None
        heaviest = max((w.middle for w in weights.values() if w is not None), default=Fraction(0))
        return HistoryOfTree(
            tree=link,
            name=name,
            turns=turns_of(self._tongue, whole),
            years=tuple(
                self._year_of(of[season], season, row, weights[season], heaviest) for row, season in enumerate(of)
            ),
            height=len(of) * _ROW + _ROW,
            taught=(),
        )

    def _year_of(
        self, lines: Sequence[Record], season: int, row: int, weight: Weight | None, heaviest: Fraction
    ) -> YearOfTree:
        tongue = self._tongue
        bloom = _first(lines, {Happening.FULL_BLOOM})
        pick = _first(lines, {Happening.FIRST_PICK}) or _first(lines, PICKINGS)
        is_bare = any(record.what is Happening.NO_CROP for record in lines)
        return YearOfTree(
            year=str(season),
            bloom=_said(tongue, bloom),
            pick=_said(tongue, pick) or (tongue.say("no crop") if is_bare else ""),
            between=days_words(tongue, (pick.day - bloom.day).days) if bloom and pick and pick.day > bloom.day else "",
            weight=self._context.pounds(weight),
            verdict="; ".join(
                word for r in lines if r.what is Happening.VERDICT and (word := noted_words(tongue, r)[1])
            ),
            at_bloom=self._place(season, bloom.day) if bloom else None,
            at_pick=self._place(season, pick.day) if pick else None,
            bar=round(_BAR * weight.middle / heaviest) if weight is not None and heaviest else 0,
            row=_ROW // 2 + row * _ROW,
        )

    # Jars

    def _shelf(self) -> list[Shelved]:
        seasons = sorted({r.season for r in self._records if r.what is Happening.JARS}, reverse=True)
        return [one for season in seasons for one in shelved(self._plan.holding, season, self._as_of)]


def _months_of(year: WorkingYear) -> dict[int, int]:
    """Return the months of a season by how many days into it each begins, the one it begins in by its first day."""
    begin = {0: year.first.month}
    day = year.first.replace(day=1) + relativedelta(months=1)
    while day <= year.last:
        begin[(day - year.first).days] = day.month
        day += relativedelta(months=1)
    return begin


def turns_of(tongue: Tongue, weights: Mapping[int, Weight | None]) -> str:
    """Say that a crop bears by turns, heavy one year and light the next, as its last four years show.

    `weights` are those of its seasons; four that follow each other must have been weighed, since fewer may be a
    frost's doing. Empty where it does not bear so.
    """
    last = [(season, weight.middle) for season, weight in sorted(weights.items()) if weight is not None][-_LEAST_YEARS:]
    if len(last) < _LEAST_YEARS or last[-1][0] - last[0][0] != _LEAST_YEARS - 1:
        return ""
    rises = [later > earlier for (_a, earlier), (_b, later) in pairwise(last)]
    far = all(min(one, other) <= _TURNS * max(one, other) for (_a, one), (_b, other) in pairwise(last))
    by_turns = far and all(one != other for one, other in pairwise(rises))
    heavy = [str(season) for (season, _weight), rose in zip(last[1:], rises, strict=True) if rose]
    return tongue.say("Bears by turns; heavy in {years}.", years=", ".join(heavy)) if by_turns else ""


def _by_season(lines: Sequence[Record]) -> dict[int, list[Record]]:
    """Return the lines of a crop by the season they are told in."""
    found: dict[int, list[Record]] = {}
    for record in lines:
        found.setdefault(_season_of(record, lines), []).append(record)
    return found


def _season_of(record: Record, lines: Iterable[Record]) -> int:
    """Return the season a line is told in: a verdict in that of the fruit that was picked before it, if any was."""
    if record.what is not Happening.VERDICT:
        return record.season
    oldest = record.day - timedelta(days=LONGEST_IN_STORE_D)
    picked = [r for r in lines if r.what in PICKINGS and oldest <= r.day <= record.day]
    return max(picked, key=lambda r: r.day).season if picked else record.season


def _first(lines: Sequence[Record], whats: frozenset[Happening] | set[Happening]) -> Record | None:
    return min((record for record in lines if record.what in whats), key=lambda record: record.day, default=None)


def _said(tongue: Tongue, record: Record | None) -> str:
    return noted_day(tongue, record)[0] if record else ""


def _jars(tongue: Tongue, one: Shelved) -> JarsOfYear:
    return JarsOfYear(
        name=one.name,
        year=str(one.season),
        made=_amount(tongue, one, one.made),
        eaten="" if one.eaten is None else _amount(tongue, one, one.eaten),
        left="" if one.left is None else _amount(tongue, one, one.left),
    )


def _amount(tongue: Tongue, one: Shelved, number: int) -> str:
    return jars_words(tongue, one.kind, number)
