"""The pages of rooms and store: what lies where, what is to come, and whose it is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from collections.abc import Set as AbstractSet
from datetime import date
from fractions import Fraction
from itertools import groupby
from operator import itemgetter
from typing import Final

from firmripe.harvest.accounts import Reckoning
from firmripe.harvest.because import FruitOf
from firmripe.harvest.lots import Batch, Goes, lying_parts
from firmripe.harvest.shares import Due, account
from firmripe.harvest.spaces import COLD_C, RIPENING_C, StoreWarning
from firmripe.harvest.takeouts import NoTakeOut, TakeOut
from firmripe.holding.place import Space
from firmripe.holding.weight import Weight
from firmripe.publish.pages.batches import BatchLine, lying_in_words
from firmripe.publish.pages.by_kind import fruit_told, lines_together
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.crates import Crates, crates_of
from firmripe.publish.pages.stand import stand_heading
from firmripe.publish.views import Link, View
from firmripe.tongue import Tongue, mark
from firmripe.wording import words_of
from firmripe.wording.store import amount_words, warning_words
from firmripe.words import degrees, on_tree, short_month


class RoomWarning(View, frozen=True, kw_only=True):
    """What is wrong in a room, once for all fruit it is so of: day for machines, day, and the fruit of that day."""

    text: str
    whose: tuple[tuple[str, str, str], ...]


class RoomView(View, frozen=True, kw_only=True):
    """A space, and what lies in it in the course of the season; `warnings` are what is wrong with that.

    `why_empty` says why nothing ever does, where its temperature is neither for storing nor for ripening.
    """

    name: str
    temperature: str
    holds: str
    beside: str
    warnings: tuple[RoomWarning, ...]
    crates: Crates | None
    lying: tuple[BatchLine, ...]
    why_empty: str = ""


class RoomsPage(View, frozen=True, kw_only=True):
    """Where picked fruit lies, and what is wrong with that."""

    warnings: tuple[RoomWarning, ...]
    rooms: tuple[RoomView, ...]


class ShareLine(View, frozen=True, kw_only=True):
    """A cultivar's grade divided among the households; `loose` is what fills no box and evens out the parts."""

    what: str
    whole: str
    dues: tuple[tuple[str, str], ...]
    rest: str
    loose: str


class ShareSeason(View, frozen=True, kw_only=True):
    """A season of the running account: what each household was due and what it had."""

    title: str
    picked: str
    lines: tuple[tuple[str, str, str], ...]
    rest: str


class StorePage(View, frozen=True, kw_only=True):
    """What is in store, in the order of eating, and what is still to come into it: within a week, and after.

    `rooms` are told here where there is one tree alone, and have a page of their own where there are more.

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
    rooms: RoomsPage | None
    stand: Link | None


_GOES: Final = {
    Goes.TABLE: mark("{weight} for the table"),
    Goes.WANTED: mark("{weight} for wanted days"),
    Goes.KITCHEN: mark("{weight} for the kitchen"),
    Goes.SHARED: mark("{weight} had already"),
    Goes.SOLD: mark("{weight} for sale"),
    Goes.USED: mark("{weight} used up"),
    Goes.LOST: mark("{weight} lost"),
    Goes.JARS: mark("{weight} in jars"),
    Goes.UNTOLD: mark("{weight} of which nothing was noted"),
}
"""Where a part of a house's fruit goes, by the plan of leaving."""


class Stores:
    """Makes the pages of one plan's rooms and store, with the links of one context."""

    def __init__(self, context: PageContext) -> None:
        self._plan = plan = context.plan
        self._context = context
        self._tongue = context.tongue
        self._paths = context.paths
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
                    temperature=_temperature(self._tongue, space),
                    holds=space.holds,
                    beside=", ".join(space.beside),
                    warnings=self._warnings(plan.store.warnings, {space.name}),
                    crates=crates_of(space, batches, self._place, self._as_of),
                    lying=self._lying(part for part in parts if space.name in (part.space, part.room)),
                    why_empty=_why_empty(self._tongue, space),
                )
                for space in self._place.spaces
            ),
        )

    def _warnings(
        self, warnings: Iterable[StoreWarning], spaces: AbstractSet[str], *, others: bool = False
    ) -> tuple[RoomWarning, ...]:
        """Return what is wrong in some spaces, or in none of these: each thing once, with the fruit it is so of."""
        tongue = self._tongue
        meant = [warning for warning in warnings if (warning.space in spaces) is not others]
        first: dict[tuple[str, str], StoreWarning] = {}
        for warning in sorted(meant, key=lambda w: (w.day, warning_words(tongue, w))):
            first.setdefault((warning.space, warning_words(tongue, warning)), warning)
        found: dict[str, dict[date, list[FruitOf]]] = {}
        for warning in first.values():
            whose = found.setdefault(words_of(warning.what, tongue), {}).setdefault(warning.day, [])
            whose.extend([warning.fruit] if warning.fruit else [])
        return tuple(
            RoomWarning(
                text=what,
                whose=tuple(
                    (day.isoformat(), self._context.day(day), fruit_told(self._context, fruit))
                    for day, fruit in days.items()
                ),
            )
            for what, days in found.items()
        )

    def store(self) -> StorePage:
        """Return the page of what is in store."""
        store = self._plan.store
        planned = self._lying(batch for batch in store.batches if not (batch.picked_noted or self._is_unsure(batch)))
        return StorePage(
            carried=self._lying(store.carried),
            here=self._lying([*store.lapsed, *(batch for batch in store.batches if batch.picked_noted)]),
            unsure=self._lying(sorted(self._unsure(), key=_by_pick)),
            soon=tuple(line for line in planned if line.step == "pick"),
            later=tuple(line for line in planned if line.step != "pick"),
            wanted=tuple(sorted((self._wanted(answer) for answer in store.take_outs), key=itemgetter(0))),
            shares=tuple(
                ShareLine(
                    what=f"{division.cultivar}, {self._tongue.term(division.grade.value)}",
                    whole=self._context.pounds(division.whole),
                    dues=tuple((due.name, self._due(due)) for due in division.dues),
                    rest=self._context.pounds(division.rest) if division.rest.high else "",
                    loose=self._context.pounds(Weight.of(division.loose)) if division.loose else "",
                )
                for division in store.divisions
            ),
            accounts=tuple((name, self._due(due)) for name, due in account(store.divisions).items()),
            taken=tuple(self._season_shared(reckoning) for reckoning in reversed(store.account.seasons)),
            balances=tuple((name, self._balance(kg)) for name, kg in store.account.balances),
            rooms=self.rooms() if self._paths.folded and self._place.spaces else None,
            stand=self._context.link(stand_heading(self._place), "stand.html") if self._place.stand else None,
        )

    def _is_unsure(self, batch: Batch) -> bool:
        """Say whether a batch should be picked by now, as far as anybody knows; later ones of its crop are planned."""
        return not batch.picked_noted and batch.bearing in self._plan.over and batch.picked.likely < self._as_of

    def _unsure(self) -> Iterator[Batch]:
        """Yield all that is asked after, also where its days would be over by now, had it been picked in time."""
        for lot in self._plan.lots.values():
            yield from (batch for batch in lot.batches if self._is_unsure(batch))

    def _wanted(self, answer: TakeOut | NoTakeOut) -> tuple[str, str, str, Link | None]:
        tongue = self._tongue
        tag = answer.batch.bearing.tree if answer.batch else ""
        tree = self._context.link(tag, self._paths.tree(tag)) if tag else None
        if isinstance(answer, TakeOut):
            want, batch = answer.wanted, answer.batch
            of = on_tree(batch.limb.name, batch.bearing.tree)
            amount = amount_words(tongue, answer.amount)
            what = tongue.say("{amount} of {fruit}", amount=amount, fruit=of) if amount else of
            if want.purpose:
                what = tongue.say("{fruit} for {what}", fruit=what, what=want.purpose)
            text = tongue.plural(
                "take out {what}; {n} day later it is ready",
                "take out {what}; {n} days later it is ready",
                answer.counter_d,
                what=what,
            )
            return answer.day.isoformat(), self._context.day(answer.day), text, tree
        want = answer.wanted
        return want.day.isoformat(), self._context.day(want.day), words_of(answer.reason, tongue), tree

    def _season_shared(self, reckoning: Reckoning) -> ShareSeason:
        had = dict(reckoning.had)
        still = reckoning.still - reckoning.undivided
        rest = (
            (mark("left undivided by the rule: {weight}"), reckoning.undivided),
            (mark("taken without a household’s name: {weight}"), reckoning.unnamed),
            (mark("of the parts not taken yet: {weight}"), still),
            (mark("taken beyond what was weighed in: {weight}"), -still),
        )
        said = [
            self._tongue.term(text).format(weight=self._context.pounds(Weight.of(kg))) for text, kg in rest if kg > 0
        ]
        if reckoning.unweighed:
            said.append(
                self._tongue.plural(
                    "{n} line without a weight left out", "{n} lines without a weight left out", reckoning.unweighed
                )
            )
        return ShareSeason(
            title=str(reckoning.season),
            picked=self._context.pounds(Weight.of(reckoning.picked)),
            lines=tuple(
                (name, self._context.pounds(Weight.of(due)), self._context.pounds(Weight.of(had[name])))
                for name, due in reckoning.due
            ),
            rest="; ".join(said),
        )

    def _balance(self, kg: Fraction) -> str:
        tongue = self._tongue
        if not kg:
            return tongue.say("has had its part exactly")
        weight = self._context.pounds(Weight.of(abs(kg)))
        return (
            tongue.say("has {weight} to come", weight=weight)
            if kg > 0
            else tongue.say("has had {weight} more than its part", weight=weight)
        )

    def _due(self, due: Due) -> str:
        """Say a part, what its whole boxes are over it or short of it, and where it goes if not all to the table."""
        tongue, boxed = self._tongue, self._boxed(due)
        if not any(kg for to, kg in due.goes if to is not Goes.TABLE):
            return boxed
        told = (tongue.term(_GOES[to]).format(weight=self._context.pounds(Weight.of(kg))) for to, kg in due.goes)
        return tongue.say("{due}; of it {parts}", due=boxed, parts=", ".join(told))

    def _boxed(self, due: Due) -> str:
        tongue = self._tongue
        weight = self._context.pounds(due.weight)
        if not due.boxes and not due.over:
            return weight
        boxes = tongue.plural("{n} box", "{n} boxes", due.boxes)
        if not due.over:
            return tongue.say("{weight}: {boxes}", weight=weight, boxes=boxes)
        off = self._context.pounds(Weight.of(abs(due.over)))
        return (
            tongue.say("{weight}: {boxes}, {off} over its part", weight=weight, boxes=boxes, off=off)
            if due.over > 0
            else tongue.say("{weight}: {boxes}, {off} short of its part", weight=weight, boxes=boxes, off=off)
        )

    def lines(self, batches: Iterable[Batch]) -> tuple[BatchLine, ...]:
        """Return a line for each batch, in the order given."""
        return lying_in_words(self._context, batches)

    def _lying(self, batches: Iterable[Batch]) -> tuple[BatchLine, ...]:
        """Return the same; where trees are many, one line for those of a kind that are told alike, with their tags."""
        parts = (part for batch in batches for part in lying_parts(batch, self._as_of))
        return lines_together(self._context, parts)


def _by_pick(batch: Batch) -> tuple[date, str, int]:
    """Return what puts batches that should have been picked in order: the longest overdue first."""
    return batch.picked.likely, batch.bearing.tree, batch.picking


def _why_empty(tongue: Tongue, space: Space) -> str:
    """Say why nothing is ever planned for a space that is too warm to store in and too cool to ripen in, all year."""
    told = [at for at in (space.temperature_c, *(at for _month, at in space.months_c)) if at is not None]
    if not told:
        return tongue.say("Its temperature is not told, so nothing is planned for it.")
    if all(COLD_C + 0.05 < at < RIPENING_C - 0.05 for at in told):
        return tongue.say("Too warm to store fruit in and too cool to ripen it: nothing is planned for it.")
    return ""


def _temperature(tongue: Tongue, space: Space) -> str:
    usual = [degrees(tongue, space.temperature_c)] if space.temperature_c is not None else []
    told = groupby(space.months_c, key=lambda pair: pair[1])
    months = [
        f"{', '.join(short_month(tongue, month) for month, _ in same)} {degrees(tongue, at)}" for at, same in told
    ]
    return "; ".join([*usual, *months])
