"""The pages of the harvest: rooms, store, and the story of the year."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from itertools import groupby

from firmripe.calendar.capacity import Waits
from firmripe.harvest.accounts import Reckoning
from firmripe.harvest.allotting import CLAIMED
from firmripe.harvest.crop import Crop
from firmripe.harvest.lots import Batch, Lot, Out, lying_parts
from firmripe.harvest.shares import Due, account
from firmripe.harvest.spaces import StoreWarning
from firmripe.harvest.takeouts import NoTakeOut, TakeOut
from firmripe.holding.place import Place, Space
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import Grade, Weight
from firmripe.plan import Plan
from firmripe.publish.pages.batches import BatchLine, far_day, lying_in_words, purpose_words
from firmripe.publish.pages.crates import Crates, crates_of
from firmripe.publish.pages.pack_outs import pack_outs
from firmripe.publish.pages.stand import stand_heading
from firmripe.publish.paths import Paths
from firmripe.publish.viewing import PageContext
from firmripe.publish.views import Link, View
from firmripe.saying import _, mark, n_, term
from firmripe.wording import words_of
from firmripe.wording.harvest import fruit_words
from firmripe.wording.holding import pounds_words
from firmripe.wording.store import amount_words, warning_words
from firmripe.words import month_name, of_crop, round_words, short_month


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomWarning(View):
    """What is wrong in a room, once for all fruit it is so of: day for machines, day, and the fruit of that day."""

    text: str
    whose: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomView(View):
    """A space, and what lies in it in the course of the season; `warnings` are what is wrong with that."""

    name: str
    temperature: str
    holds: str
    beside: str
    warnings: tuple[RoomWarning, ...]
    crates: Crates | None
    lying: tuple[BatchLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomsPage(View):
    """Where picked fruit lies, and what is wrong with that."""

    warnings: tuple[RoomWarning, ...]
    rooms: tuple[RoomView, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareLine(View):
    """A cultivar's grade divided among the households; `loose` is what fills no box and evens out the parts."""

    what: str
    whole: str
    dues: tuple[tuple[str, str], ...]
    rest: str
    loose: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareSeason(View):
    """A season of the running account: what each household was due and what it had."""

    title: str
    picked: str
    lines: tuple[tuple[str, str, str], ...]
    rest: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StorePage(View):
    """What is in store, in the order of eating, and what is still to come into it: within a week, and after.

    Of what is `unsure` the last good day to pick is over, and nobody noted whether it was.
    """

    carried: tuple[BatchLine, ...]
    here: tuple[BatchLine, ...]
    unsure: tuple[BatchLine, ...]
    soon: tuple[BatchLine, ...]
    later: tuple[BatchLine, ...]
    wanted: tuple[tuple[str, str, str, Link | None], ...]
    shares: tuple[ShareLine, ...]
    accounts: tuple[tuple[str, str], ...]
    taken: tuple[ShareSeason, ...]
    balances: tuple[tuple[str, str], ...]
    stand: Link | None


@dataclass(frozen=True, slots=True, kw_only=True)
class StoryLine(View):
    """What happens to a box of fruit on a day."""

    iso: str
    day: str
    tree: Link
    text: str
    noted: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class StoryMonth(View):
    """A month of a season's fruit, from day to day."""

    title: str
    lines: tuple[StoryLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StorySeason(View):
    """A season's fruit from month to month; `packed` are cultivars with the share of each grade in what came in."""

    title: str
    crops: tuple[tuple[Link, str, str], ...]
    packed: tuple[tuple[str, str], ...]
    months: tuple[StoryMonth, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StoryPage(View):
    """Where each box lay and when it moved. `hands` are days that bring more than hands can pick, and what waits."""

    seasons: tuple[StorySeason, ...]
    hands: tuple[StoryLine, ...]


class Storing:
    """Makes the harvest's views of one plan, with the links of one context."""

    def __init__(self, plan: Plan, context: PageContext, paths: Paths) -> None:
        self._plan = plan
        self._context = context
        self._paths = paths
        self._place = plan.holding.place
        self._as_of = plan.season.as_of

    def rooms(self) -> RoomsPage:
        """Return the page of the spaces."""
        plan = self._plan
        batches = [*plan.store.carried, *plan.store.batches]
        parts = [part for batch in batches for part in lying_parts(batch, self._as_of)]
        return RoomsPage(
            warnings=self._warnings(plan.store.warnings, {space.name for space in self._place.spaces}, others=True),
            rooms=tuple(
                RoomView(
                    name=space.name,
                    temperature=_temperature(space, self._place),
                    holds=space.holds,
                    beside=", ".join(space.beside),
                    warnings=self._warnings(plan.store.warnings, {space.name}),
                    crates=crates_of(space, batches, self._place, self._as_of),
                    lying=self.lines(part for part in parts if space.name in (part.space, part.room)),
                )
                for space in self._place.spaces
            ),
        )

    def _warnings(
        self, warnings: Iterable[StoreWarning], spaces: AbstractSet[str], *, others: bool = False
    ) -> tuple[RoomWarning, ...]:
        """Return what is wrong in some spaces, or in none of these: each thing once, with the fruit it is so of."""
        meant = [warning for warning in warnings if (warning.space in spaces) is not others]
        first: dict[tuple[str, str], StoreWarning] = {}
        for warning in sorted(meant, key=lambda w: (w.day, warning_words(w))):
            first.setdefault((warning.space, warning_words(warning)), warning)
        found: dict[str, dict[date, list[str]]] = {}
        for warning in first.values():
            whose = fruit_words(warning.fruit) if warning.fruit else ""
            found.setdefault(words_of(warning.what), {}).setdefault(warning.day, []).append(whose)
        return tuple(
            RoomWarning(
                text=what,
                whose=tuple(
                    (day.isoformat(), self._day(day), ", ".join(filter(None, names))) for day, names in days.items()
                ),
            )
            for what, days in found.items()
        )

    def store(self) -> StorePage:
        """Return the page of what is in store."""
        store = self._plan.store
        over = {one.bearing for one in self._plan.asked if one.is_past}
        hanging = [batch for batch in store.batches if not batch.picked_noted]
        planned = self.lines(batch for batch in hanging if batch.bearing not in over)
        return StorePage(
            carried=self.lines(store.carried),
            here=self.lines(batch for batch in store.batches if batch.picked_noted),
            unsure=self.lines(batch for batch in hanging if batch.bearing in over),
            soon=tuple(line for line in planned if line.step == "pick"),
            later=tuple(line for line in planned if line.step != "pick"),
            wanted=tuple(self._wanted(answer) for answer in store.take_outs),
            shares=tuple(
                ShareLine(
                    what=f"{division.cultivar}, {term(division.grade.value)}",
                    whole=self.pounds(division.whole),
                    dues=tuple((due.name, self._due(due)) for due in division.dues),
                    rest=self.pounds(division.rest) if division.rest.high else "",
                    loose=self._kilograms(division.loose) if division.loose else "",
                )
                for division in store.divisions
            ),
            accounts=tuple((name, self._due(due)) for name, due in account(store.divisions).items()),
            taken=tuple(self._season_shared(reckoning) for reckoning in reversed(store.account.seasons)),
            balances=tuple((name, self._balance(kg)) for name, kg in store.account.balances),
            stand=self._context.link(stand_heading(self._place), "stand.html") if self._place.stand else None,
        )

    def _wanted(self, answer: TakeOut | NoTakeOut) -> tuple[str, str, str, Link | None]:
        tag = answer.batch.bearing.tree if answer.batch else ""
        tree = self._context.link(tag, self._paths.tree(tag)) if tag else None
        if isinstance(answer, TakeOut):
            want, batch = answer.wanted, answer.batch
            of = f"{batch.limb.name} ({batch.bearing.tree})"
            amount = amount_words(answer.amount)
            what = _("{amount} of {fruit}", amount=amount, fruit=of) if amount else of
            if want.purpose:
                what = _("{fruit} for {what}", fruit=what, what=want.purpose)
            text = n_(
                "take out {what}; {n} day later it is ready",
                "take out {what}; {n} days later it is ready",
                answer.counter_d,
                what=what,
            )
            return answer.day.isoformat(), self._day(answer.day), text, tree
        want = answer.wanted
        return want.day.isoformat(), self._day(want.day), words_of(answer.reason), tree

    def _season_shared(self, reckoning: Reckoning) -> ShareSeason:
        had = dict(reckoning.had)
        still = reckoning.still - reckoning.undivided
        rest = (
            (mark("left undivided by the rule: {weight}"), reckoning.undivided),
            (mark("taken without a household’s name: {weight}"), reckoning.unnamed),
            (mark("of the parts not taken yet: {weight}"), still),
            (mark("taken beyond what was weighed in: {weight}"), -still),
        )
        said = [term(text).format(weight=self._kilograms(kg)) for text, kg in rest if kg > 0]
        if reckoning.unweighed:
            said.append(
                n_("{n} line without a weight left out", "{n} lines without a weight left out", reckoning.unweighed)
            )
        return ShareSeason(
            title=str(reckoning.season),
            picked=self._kilograms(reckoning.picked),
            lines=tuple((name, self._kilograms(due), self._kilograms(had[name])) for name, due in reckoning.due),
            rest="; ".join(said),
        )

    def _balance(self, kg: Fraction) -> str:
        if not kg:
            return _("has had its part exactly")
        weight = self._kilograms(abs(kg))
        return (
            _("has {weight} to come", weight=weight)
            if kg > 0
            else _("has had {weight} more than its part", weight=weight)
        )

    def _kilograms(self, kg: Fraction) -> str:
        return self.pounds(Weight.of(kg))

    def _due(self, due: Due) -> str:
        """Say a part, and what its whole boxes are over it or short of it."""
        weight = self.pounds(due.weight)
        if not due.boxes and not due.over:
            return weight
        boxes = n_("{n} box", "{n} boxes", due.boxes)
        if not due.over:
            return _("{weight}: {boxes}", weight=weight, boxes=boxes)
        off = self._kilograms(abs(due.over))
        return (
            _("{weight}: {boxes}, {off} over its part", weight=weight, boxes=boxes, off=off)
            if due.over > 0
            else _("{weight}: {boxes}, {off} short of its part", weight=weight, boxes=boxes, off=off)
        )

    def lines(self, batches: Iterable[Batch]) -> tuple[BatchLine, ...]:
        """Return a line for each batch, in the order given."""
        return lying_in_words(self._context, batches)

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
            day = self._day(one.day)
            yield StoryLine(iso=one.day.isoformat(), day=day, tree=link, text=self._waits(one), noted=False)

    def _waits(self, one: Waits) -> str:
        fruit = self._plan.holding.limb(one.bearing).name + of_crop(one.bearing.crop)
        until = self._day(one.until)
        if one.then is not None:
            return _(
                "{weight} of {fruit} wait; hands by {then}, to be picked by {until}",
                weight=self._kilograms(one.weight),
                fruit=fruit,
                then=self._day(one.then),
                until=until,
            )
        return _(
            "{weight} of {fruit} wait; no hands for {late} by {until}",
            weight=self._kilograms(one.weight),
            fruit=fruit,
            late=self._kilograms(one.late),
            until=until,
        )

    def _season_of(self, year: int, lots: Mapping[Bearing, Lot], *, is_over: bool = False) -> StorySeason:
        """Return the story of a season; of one that is over only what was picked and noted."""
        crops = []
        lines: list[StoryLine] = []
        for bearing, lot in lots.items():
            link = self._context.link(bearing.tree, self._paths.tree(bearing.tree))
            crop = lot.crop
            name = lot.batches[0].limb.name + of_crop(bearing.crop)
            said = (
                self.pounds(crop.weight)
                if isinstance(crop, Crop)
                else _("not known: {reason}", reason=words_of(crop.reason))
            )
            crops.append((link, name, said))
            several = len({batch.picking for batch in lot.batches}) > 1
            for batch in lot.batches:
                if batch.picked_noted or not is_over:
                    lines += self._moves(batch, several=several)
        lines.sort(key=lambda line: line.iso)
        months = groupby(lines, key=lambda line: line.iso[:7])
        return StorySeason(
            title=str(year),
            crops=tuple(crops),
            packed=pack_outs(self._plan, year),
            months=tuple(
                StoryMonth(title=month_name(int(month[:4]), int(month[5:])), lines=tuple(of)) for month, of in months
            ),
        )

    def _moves(self, batch: Batch, *, several: bool) -> list[StoryLine]:
        """Return what happens to a batch, day by day: what is still to come is said as a plan."""
        name = batch.limb.name + (f", {round_words(batch.picking)}" if several else "")
        if batch.grade is not Grade.UNSORTED:
            name += f", {term(batch.grade.value)}"
        if batch.house:
            name += f", {batch.house}"
        if batch.parts > 1:
            name += ", " + _("part {number} of {parts}", number=batch.part, parts=batch.parts)
        moves = [(batch.picked.likely, self._picked(batch, name), batch.picked_noted), *self._outs(batch, name)]
        weekly = [(Stage.KEEP_UNTIL, _("last day in the cold"), False)] if len(batch.outs) > 1 else []
        for stage, word, noted in (
            (Stage.READY, _("ready to eat"), batch.ready_noted),
            (Stage.USE_BY, _("to be used up by now"), False),
            *weekly,
        ):
            reach = batch.days.get(stage)
            if reach is not None and not (stage is Stage.READY and reach.likely == batch.picked.likely):
                moves.append((reach.likely, f"{name}: {word}", noted))
        link = self._context.link(batch.bearing.tree, self._paths.tree(batch.bearing.tree))
        return [
            StoryLine(iso=day.isoformat(), day=self._day(day), tree=link, text=text, noted=noted)
            for day, text, noted in moves
        ]

    def _picked(self, batch: Batch, name: str) -> str:
        amount = f", {self.pounds(batch.weight)}" if batch.weight is not None else ""
        if batch.picked_noted:
            goes = _(", into the {space}", space=batch.space) if batch.lies_cold and batch.space else ""
            return _("{name}{amount}: picked{goes}", name=name, amount=amount, goes=goes)
        goes = _(" for the {space}", space=batch.space) if batch.lies_cold and batch.space else ""
        return _("{name}{amount}: to be picked{goes}", name=name, amount=amount, goes=goes)

    def _outs(self, batch: Batch, name: str) -> list[tuple[date, str, bool]]:
        """Return what leaves the cold: each time that was noted, and what is still planned in one line."""
        if not batch.lies_cold and not any(out.gone for out in batch.outs):
            return []
        cold = _("out of the {space}", space=batch.space or _("cold"))
        found = [(row[0], f"{name}: {row[1]}", row[2]) for row in self._noted_outs(batch, cold)]
        planned = [out for out in batch.outs if not out.noted]
        for out in (out for out in planned if out.to in CLAIMED):
            what = purpose_words(out, metric=self._place.metric_first)
            found.append((out.day, f"{name}: {what}, {cold}{self._into(batch, out)}", False))
        table = [out for out in planned if out.to not in CLAIMED]
        if len(table) == 1:
            rest = _("the rest") + " " if found else ""
            found.append((table[0].day, f"{name}: {rest}{cold}{self._into(batch, table[0])}", False))
        elif table:
            out, last = table[0], table[-1]
            part = f"{self.pounds(out.weight)} " if out.weight is not None else _("some") + " "
            text = _(
                "{moved}, and as much each week until {day}",
                moved=f"{name}: {part}{cold}{self._into(batch, out)}",
                day=self._day(last.day),
            )
            found.append((out.day, text, False))
        return found

    def _noted_outs(self, batch: Batch, cold: str) -> Iterator[tuple[date, str, bool]]:
        """Yield what was noted as leaving: out of the cold, and what became of it where that is noted too."""
        for out in (out for out in batch.outs if out.noted):
            part = f"{self.pounds(out.weight)} " if out.weight is not None else ""
            if out.came_out and out.day > batch.picked.likely:
                yield out.day, f"{part}{cold}{self._into(batch, out)}", True
            if out.used is not None:
                yield out.used, f"{part}{term(out.to.value)}", out.gone

    def _into(self, batch: Batch, out: Out) -> str:
        ripens = batch.room and out.ready is not None and out.ready.likely > out.day
        return _(", into the {room}", room=batch.room) if ripens else ""

    def pounds(self, weight: Weight | None) -> str:
        """Say a weight in the household's unit; empty where it is not known."""
        return "" if weight is None else pounds_words(weight, metric=self._place.metric_first)

    def _day(self, day: date) -> str:
        return far_day(day, self._as_of)


def _temperature(space: Space, place: Place) -> str:
    def said(celsius: float) -> str:
        us, metric = f"{round(celsius * 1.8 + 32)} °F", f"{round(celsius)} °C"
        return f"{metric} ({us})" if place.metric_first else f"{us} ({metric})"

    usual = [said(space.temperature_c)] if space.temperature_c is not None else []
    told = groupby(space.months_c, key=lambda pair: pair[1])
    months = [f"{', '.join(short_month(month) for month, _ in same)} {said(at)}" for at, same in told]
    return "; ".join([*usual, *months])
