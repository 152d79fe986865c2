"""The page of the harvest: where each box lay and when it moved, month by month."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from datetime import date
from fractions import Fraction
from functools import cached_property
from itertools import groupby
from typing import Final

from msgspec.structs import replace

from firmripe.calendar.capacity import Waits
from firmripe.days import Span
from firmripe.harvest.allotting import CLAIMED
from firmripe.harvest.crop import Crop
from firmripe.harvest.lots import Batch, Lot, Out
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import Grade, Weight, total
from firmripe.publish.pages.batches import is_overdue, purpose_words, straight_words
from firmripe.publish.pages.by_kind import alike, tags_link, told_together, trees_link
from firmripe.publish.pages.by_row import few_together
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.pack_outs import pack_outs
from firmripe.publish.views import Link, View
from firmripe.tongue import Tongue
from firmripe.wording import words_of
from firmripe.words import month_name, of_crop, round_words, span_words


class StoryLine(View, frozen=True, kw_only=True):
    """What happens to a box of fruit on a day."""

    iso: str
    day: str
    tree: Link
    text: str
    noted: bool


class StoryMonth(View, frozen=True, kw_only=True):
    """A month of a season's fruit, from day to day: so many moves. `page` has the lines where there are too many."""

    title: str
    lines: tuple[StoryLine, ...]
    moves: int
    page: Link | None = None


class StoryPart(View, frozen=True, kw_only=True):
    """A month of a season's fruit on a page of its own, or those of its days that fit one."""

    title: str
    season: str
    lines: tuple[StoryLine, ...]
    all: Link
    before: Link | None
    after: Link | None


class StorySeason(View, frozen=True, kw_only=True):
    """A season's fruit from month to month; `packed` are cultivars with the share of each grade in what came in."""

    title: str
    crops: tuple[tuple[Link, str, str], ...]
    packed: tuple[tuple[str, str], ...]
    months: tuple[StoryMonth, ...]


class StoryPage(View, frozen=True, kw_only=True):
    """Where each box lay and when it moved. `hands` are days that bring more than hands can pick, and what waits."""

    seasons: tuple[StorySeason, ...]
    hands: tuple[StoryLine, ...]


MOST_MOVES: Final = 300
"""So many moves of fruit stand on a page of their month; a move of many trees takes 0.4 kB. J."""


class Harvest:
    """Makes the pages of one plan's harvest: with the links of one context, and of one below for those of its months.

    Of an orchard that is listed row by row each month has a page, and its days are parted where they are too full.
    """

    def __init__(self, context: PageContext, below: PageContext) -> None:
        self._plan = plan = context.plan
        self._context = context
        self._of_lines = below if context.rows else context
        self._tongue = context.tongue
        self._paths = context.paths
        self._place = plan.holding.place
        self._as_of = plan.season.as_of

    def story(self) -> StoryPage:
        """Return the page that tells where each box lay and when it moved, this season and the one before."""
        lots = {True: self._plan.store.former, False: self._plan.lots}
        return StoryPage(
            seasons=tuple(
                StorySeason(
                    title=str(year),
                    crops=tuple(self._crops(lots[is_over])),
                    packed=pack_outs(self._plan, year),
                    months=self._months(year, lines),
                )
                for (year, is_over), lines in self._lines.items()
                if lines
            ),
            hands=tuple(self._full_days()),
        )

    def parts(self) -> Iterator[tuple[str, StoryPart]]:
        """Yield the page of each month where they have pages of their own, with where it lies."""
        below = self._of_lines
        for (year, _is_over), lines in self._lines.items() if self._context.rows else ():
            pieces = self._pieces(lines)
            links = [below.link(title, self._paths.moves(year, piece[0].iso)) for title, piece in pieces]
            for at, (title, piece) in enumerate(pieces):
                page = StoryPart(
                    title=title,
                    season=str(year),
                    lines=tuple(piece),
                    all=below.link(self._tongue.say("The harvest"), "harvest.html"),
                    before=links[at - 1] if at else None,
                    after=links[at + 1] if at + 1 < len(links) else None,
                )
                yield self._paths.moves(year, piece[0].iso), page

    @cached_property
    def _lines(self) -> Mapping[tuple[int, bool], Sequence[StoryLine]]:
        """What happened in this season and, as far as noted, in the one before, by year and whether it is over."""
        season = self._plan.season.year.year
        return {
            (season, False): self._lines_of(self._plan.lots),
            (season - 1, True): self._lines_of(self._plan.store.former, is_over=True),
        }

    def _months(self, year: int, lines: Sequence[StoryLine]) -> tuple[StoryMonth, ...]:
        if not self._context.rows:
            months = (tuple(of) for _, of in groupby(lines, key=_month))
            return tuple(StoryMonth(title=self._month(of), lines=of, moves=len(of)) for of in months)
        return tuple(
            StoryMonth(
                title=title,
                lines=(),
                moves=len(piece),
                page=self._context.link(title, self._paths.moves(year, piece[0].iso)),
            )
            for title, piece in self._pieces(lines)
        )

    def _month(self, lines: Sequence[StoryLine]) -> str:
        year, month = map(int, _month(lines[0]).split("-"))
        return month_name(self._tongue, year, month)

    def _pieces(self, lines: Iterable[StoryLine]) -> list[tuple[str, list[StoryLine]]]:
        """Return what pages of their own have, each with its title: months, or some of their days where too full."""
        found = []
        for _, of_month in groupby(lines, key=_month):
            days_of = (list(of_day) for _, of_day in groupby(of_month, key=lambda line: line.iso))
            pieces = few_together(days_of, MOST_MOVES)
            for piece in pieces:
                days = Span(first=date.fromisoformat(piece[0].iso), last=date.fromisoformat(piece[-1].iso))
                title = self._month(piece) if len(pieces) == 1 else span_words(self._tongue, days)
                found.append((title, piece))
        return found

    def _full_days(self) -> Iterator[StoryLine]:
        """Yield what waits on days that bring more than hands can pick, and until when: of a kind what waits alike."""
        alike: dict[Hashable, list[Waits]] = {}
        for at, one in enumerate(self._plan.waiting):
            of_kind = one.bearing.cultivar, one.bearing.crop, one.day, one.until, one.then
            alike.setdefault(of_kind if self._context.is_by_kind else at, []).append(one)
        for all_of in alike.values():
            weight = sum((one.weight for one in all_of), Fraction(0))
            one = replace(all_of[0], weight=weight, late=sum((one.late for one in all_of), Fraction(0)))
            limb = self._plan.holding.limb(one.bearing)
            link = tags_link(self._context, limb, (one.bearing.tree for one in all_of))
            day = self._context.day(one.day)
            yield StoryLine(iso=one.day.isoformat(), day=day, tree=link, text=self._waits(one), noted=False)

    def _waits(self, one: Waits) -> str:
        tongue = self._tongue
        fruit = self._plan.holding.limb(one.bearing).name + of_crop(tongue, one.bearing.crop)
        until = self._context.day(one.until)
        if one.then is not None:
            return tongue.say(
                "{weight} of {fruit} wait; hands by {then}, to be picked by {until}",
                weight=self._context.pounds(Weight.of(one.weight)),
                fruit=fruit,
                then=self._context.day(one.then),
                until=until,
            )
        return tongue.say(
            "{weight} of {fruit} wait; no hands for {late} by {until}",
            weight=self._context.pounds(Weight.of(one.weight)),
            fruit=fruit,
            late=self._context.pounds(Weight.of(one.late)),
            until=until,
        )

    def _lines_of(self, lots: Mapping[Bearing, Lot], *, is_over: bool = False) -> list[StoryLine]:
        """Return the story of a season's fruit; of one that is over only what was picked and noted."""
        told = [batch for lot in lots.values() for batch in lot.batches if batch.picked_noted or not is_over]
        several = {bearing for bearing, lot in lots.items() if len({batch.picking for batch in lot.batches}) > 1}
        lines = [line for part in self._parts(told, several, is_over=is_over) for line in part]
        return sorted(lines, key=lambda line: line.iso)

    def _crops(self, lots: Mapping[Bearing, Lot]) -> Iterator[tuple[Link, str, str]]:
        """Yield what each tree was expected to bear, or all trees of a kind together, as far as that is known."""
        tongue = self._tongue
        for bearings in told_together(self._context, lots):
            crops = [lots[bearing].crop for bearing in bearings]
            limb = lots[bearings[0]].batches[0].limb
            name = limb.name + of_crop(tongue, bearings[0].crop)
            known = [crop.weight for crop in crops if isinstance(crop, Crop)]
            why_not = dict.fromkeys(words_of(crop.reason, tongue) for crop in crops if not isinstance(crop, Crop))
            said = [self._context.pounds(total(known))] if known else []
            said += [tongue.say("not known: {reason}", reason=reason) for reason in why_not]
            yield trees_link(self._context, limb, (one.tree for one in bearings)), name, "; ".join(said)

    def _parts(
        self, batches: Iterable[Batch], several: AbstractSet[Bearing], *, is_over: bool
    ) -> Iterator[list[StoryLine]]:
        """Yield what happens to each batch, or to those of a kind to which the same happens on the same days.

        Of a season that is over it is enough to say what was noted, and how many trees these were.
        """
        of_trees = trees_link if is_over else tags_link

        def moves(batch: Batch) -> list[tuple[date, str, bool]]:
            found = self._moves(batch, several=batch.bearing in several)
            return [move for move in found if move[2] or not is_over]

        if self._context.is_by_kind:
            parts = alike(batches, lambda batch: tuple(moves(batch)))
        else:
            parts = [(batch, [batch.bearing.tree]) for batch in batches]
        for batch, tags in parts:
            link = of_trees(self._of_lines, batch.limb, tags)
            yield [
                StoryLine(iso=day.isoformat(), day=self._context.day(day), tree=link, text=text, noted=noted)
                for day, text, noted in moves(batch)
            ]

    def _moves(self, batch: Batch, *, several: bool) -> list[tuple[date, str, bool]]:
        """Return what happens to a batch, day by day: what is still to come is said as a plan."""
        tongue = self._tongue
        name = (
            batch.limb.name
            + of_crop(tongue, batch.bearing.crop)
            + (f", {round_words(tongue, batch.picking)}" if several else "")
        )
        if batch.grade is not Grade.UNSORTED:
            name += f", {tongue.term(batch.grade.value)}"
        if batch.house:
            name += f", {batch.house}"
        if batch.parts > 1:
            name += ", " + tongue.say("part {number} of {parts}", number=batch.part, parts=batch.parts)
        moves = [(batch.picked.likely, self._picked(batch, name), batch.picked_noted)]
        if batch.picked_noted and batch.lies_cold and batch.space and not batch.stored_noted:
            moves.append(
                (batch.picked.likely, tongue.say("{name}: into the {space}", name=name, space=batch.space), False)
            )
        if not is_overdue(batch, self._context.season.as_of):  # else nobody knows the days that hang on its pick
            moves += [*self._outs(batch, name), *_stages(tongue, batch, name)]
        return moves

    def _picked(self, batch: Batch, name: str) -> str:
        tongue = self._tongue
        amount = f", {self._context.pounds(batch.weight)}" if batch.weight is not None else ""
        if batch.picked_noted:
            goes = tongue.say(", into the {space}", space=batch.space) if batch.lies_cold and batch.stored_noted else ""
            return tongue.say("{name}{amount}: picked{goes}", name=name, amount=amount, goes=goes)
        if is_overdue(batch, self._context.season.as_of):
            return tongue.say(
                "{name}{amount}: was to be picked, and nobody noted that it was", name=name, amount=amount
            )
        goes = tongue.say(" for the {space}", space=batch.space) if batch.lies_cold and batch.space else ""
        return tongue.say("{name}{amount}: to be picked{goes}", name=name, amount=amount, goes=goes)

    def _outs(self, batch: Batch, name: str) -> list[tuple[date, str, bool]]:
        """Return what leaves the cold: each time that was noted, and what is still planned in one line."""
        tongue = self._tongue
        if not batch.lies_cold and not any(out.gone for out in batch.outs):
            return []
        cold = tongue.say("out of the {space}", space=batch.space or tongue.say("cold"))
        found = [(row[0], f"{name}: {row[1]}", row[2]) for row in self._noted_outs(batch, cold)]
        planned = [out for out in batch.outs if not out.noted]
        for out in (out for out in planned if out.to in CLAIMED):
            what = purpose_words(tongue, out)
            found.append((out.day, f"{name}: {what}, {cold}{self._into(batch, out)}", False))
        straight = [out for out in planned if out.to not in CLAIMED and out.day <= batch.picked.likely]
        day = batch.picked.likely
        found += [(day, f"{name}: {words}", False) for words in straight_words(tongue, batch, straight)]
        table = [out for out in planned if out.to not in CLAIMED and out not in straight]
        if len(table) == 1:
            rest = tongue.say("the rest") + " " if found else ""
            found.append((table[0].day, f"{name}: {rest}{cold}{self._into(batch, table[0])}", False))
        elif table:
            out, last = table[0], table[-1]
            part = f"{self._context.pounds(out.weight)} " if out.weight is not None else tongue.say("some") + " "
            text = tongue.say(
                "{moved}, and as much each week until {day}",
                moved=f"{name}: {part}{cold}{self._into(batch, out)}",
                day=self._context.day(last.day),
            )
            found.append((out.day, text, False))
        return found

    def _noted_outs(self, batch: Batch, cold: str) -> Iterator[tuple[date, str, bool]]:
        """Yield what was noted as leaving: out of the cold, and what became of it where that is noted too."""
        for out in (out for out in batch.outs if out.noted):
            part = f"{self._context.pounds(out.weight)} " if out.weight is not None else ""
            if out.came_out and out.day > batch.picked.likely:
                yield out.day, f"{part}{cold}{self._into(batch, out)}", True
            if out.used is not None:
                yield out.used, f"{part}{self._tongue.term(out.to.value)}", out.gone

    def _into(self, batch: Batch, out: Out) -> str:
        ripens = batch.room and out.ready is not None and out.ready.likely > out.day
        return self._tongue.say(", into the {room}", room=batch.room) if ripens else ""


def _month(line: StoryLine) -> str:
    return line.iso[:7]


def _stages(tongue: Tongue, batch: Batch, name: str) -> Iterator[tuple[date, str, bool]]:
    """Yield when a batch is ready, to be used up, and at its last day in the cold, as far as some was left by then."""
    gone = max(out.used or out.day for out in batch.outs) if batch.is_gone else date.max
    weekly = [(Stage.KEEP_UNTIL, tongue.say("take out the last"), False)] if len(batch.outs) > 1 else []
    for stage, word, noted in (
        (Stage.READY, tongue.say("ready to eat"), batch.ready_noted),
        (Stage.USE_BY, tongue.say("last day to use it"), False),
        *weekly,
    ):
        reach = batch.days.get(stage)
        if reach is None or (reach.likely > gone and not noted):
            continue
        if stage is not Stage.READY or reach.likely != batch.picked.likely:
            yield reach.likely, f"{name}: {word}", noted
