"""The page of the harvest: where each box lay and when it moved, month by month."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from collections.abc import Set as AbstractSet
from datetime import date
from itertools import groupby

from firmripe.calendar.capacity import Waits
from firmripe.harvest.allotting import CLAIMED
from firmripe.harvest.crop import Crop
from firmripe.harvest.lots import Batch, Lot, Out
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import Grade, Weight, total
from firmripe.publish.pages.batches import is_overdue, purpose_words, straight_words
from firmripe.publish.pages.by_kind import alike, tags_link, told_together, trees_link
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.pack_outs import pack_outs
from firmripe.publish.views import Link, View
from firmripe.tongue import Tongue
from firmripe.wording import words_of
from firmripe.words import month_name, of_crop, round_words


class StoryLine(View, frozen=True, kw_only=True):
    """What happens to a box of fruit on a day."""

    iso: str
    day: str
    tree: Link
    text: str
    noted: bool


class StoryMonth(View, frozen=True, kw_only=True):
    """A month of a season's fruit, from day to day."""

    title: str
    lines: tuple[StoryLine, ...]


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


class Harvest:
    """Makes the page of one plan's harvest, with the links of one context."""

    def __init__(self, context: PageContext) -> None:
        self._plan = plan = context.plan
        self._context = context
        self._tongue = context.tongue
        self._paths = context.paths
        self._place = plan.holding.place
        self._as_of = plan.season.as_of

    def story(self) -> StoryPage:
        """Return the page that tells where each box lay and when it moved, this season and the one before."""
        season = self._plan.season.year.year
        told = [
            self._season_of(season, self._plan.lots),
            self._season_of(season - 1, self._plan.store.former, is_over=True),
        ]
        return StoryPage(seasons=tuple(part for part in told if part.months), hands=tuple(self._full_days()))

    def _full_days(self) -> Iterator[StoryLine]:
        """Yield what waits on days that bring more than hands can pick, and until when."""
        for one in self._plan.waiting:
            link = self._context.link(one.bearing.tree, self._paths.tree(one.bearing.tree))
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

    def _season_of(self, year: int, lots: Mapping[Bearing, Lot], *, is_over: bool = False) -> StorySeason:
        """Return the story of a season; of one that is over only what was picked and noted."""
        tongue = self._tongue
        told = [batch for lot in lots.values() for batch in lot.batches if batch.picked_noted or not is_over]
        several = {bearing for bearing, lot in lots.items() if len({batch.picking for batch in lot.batches}) > 1}
        lines = [line for part in self._parts(told, several, is_over=is_over) for line in part]
        lines.sort(key=lambda line: line.iso)
        months = groupby(lines, key=lambda line: line.iso[:7])
        return StorySeason(
            title=str(year),
            crops=tuple(self._crops(lots)),
            packed=pack_outs(self._plan, year),
            months=tuple(
                StoryMonth(title=month_name(tongue, int(month[:4]), int(month[5:])), lines=tuple(of))
                for month, of in months
            ),
        )

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
            link = of_trees(self._context, batch.limb, tags)
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
