"""Sheets for paper: the fridge's, the picker's, tags for boxes and trees, and one to write on."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from collections.abc import Set as AbstractSet
from datetime import date, timedelta

from msgspec import Struct
from msgspec.structs import replace

from firmripe.calendar.pickings import MOST_APART, due
from firmripe.days import Span
from firmripe.harvest.lots import Lot
from firmripe.harvest.passes import Picking
from firmripe.holding.fruit import Event
from firmripe.holding.record import Happening
from firmripe.holding.task import Condition, Task
from firmripe.holding.tree import Bearing, Tree
from firmripe.publish.feeds.names import base_address
from firmripe.publish.hazards import LADDER, together
from firmripe.publish.job_amounts import which_words
from firmripe.publish.pages.asks import Ask, all_asks
from firmripe.publish.pages.batches import BatchLine
from firmripe.publish.pages.by_kind import tags_words
from firmripe.publish.pages.by_row import in_rows
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.days import day_blocks
from firmripe.publish.pages.kitchen import Kitchens
from firmripe.publish.pages.scores import off_words
from firmripe.publish.pages.season_sheet import SlideLine, hazards_at, season_sheet
from firmripe.publish.pages.store import Stores
from firmripe.publish.pages.subscribe import CalendarSheet
from firmripe.publish.pages.year_sheet import year_sheet
from firmripe.publish.paths import CALENDARS, SUPPLIES, WEEK_TEXT
from firmripe.publish.qr_codes import qr_code
from firmripe.publish.signs import is_picking, pick_tests
from firmripe.publish.views import DayBlock, Hazard, Link, View
from firmripe.season.estimate import Estimate
from firmripe.tongue import Tongue
from firmripe.wording.clashes import clash_words
from firmripe.wording.kitchen import ware_words
from firmripe.words import between, on_tree, short_day, span_words, week_day


class SheetsPage(View, frozen=True, kw_only=True):
    """The sheets for paper, each with what is on it."""

    sheets: tuple[tuple[Link, str], ...]


class FridgeSheet(View, frozen=True, kw_only=True):
    """The day it is made and the seven after it on paper; `shifts` head the columns of the slide table.

    `asks` are what should have been done before it.
    """

    large: bool
    asks: tuple[Ask, ...]
    crowded: bool
    title: str
    days: tuple[DayBlock, ...]
    shifts: tuple[str, ...]
    slides: tuple[SlideLine, ...]
    hazards: tuple[Hazard, ...]


class PickLine(View, frozen=True, kw_only=True):
    """A picking that may soon be done, with its tests; `which` says which of several it is, or how often it comes."""

    tree: str
    cultivar: str
    crop: str
    where: str
    likely: str
    which: str
    window: str
    clash: str
    signs: tuple[str, ...]
    expected: str
    space: str


class PickingCard(View, frozen=True, kw_only=True):
    """What may be picked in the next two weeks, in walking order.

    `hazards` are what can hurt in it beside ladders, labels and fallen fruit, of which every card tells.
    """

    lines: tuple[PickLine, ...]
    hazards: tuple[Hazard, ...]


class TagSheet(View, frozen=True, kw_only=True):
    """A tag for each batch."""

    batches: tuple[BatchLine, ...]


class TreeLabel(View, frozen=True, kw_only=True):
    """A tree's label; `code` is an SVG path within a square of `side`, empty where the site has no address."""

    tag: str
    cultivars: str
    where: str
    code: str
    side: int


class LabelSheet(View, frozen=True, kw_only=True):
    """A label for each tree."""

    coded: bool
    labels: tuple[TreeLabel, ...]


class RecordSheet(View, frozen=True, kw_only=True):
    """An empty sheet in the shape of the records."""

    columns: tuple[str, ...]
    whats: tuple[str, ...]
    lines: tuple[str, ...]


SLIDES_D = (-9, -6, -3, 3, 6, 9)
"""By how many days the slide table moves the printed dates: what one early or late season does to a window. J."""
SLIDES_FOR_D = 42
"""Picks further off than this are better read from a sheet printed later. J."""
AHEAD_D = 14
"""The picking card and the tags for boxes reach so far ahead. J."""
FRIDGE_D = 7
"""The fridge sheet shows the day it is made and so many after it, as the first page does."""
CROWDED = 36
"""With more squares to tick than this the fridge sheet needs smaller type to stay on one side of either paper."""
RECORD_LINES = 24
"""Blank lines that fit one side of either paper in print."""
_ON_EVERY_CARD = frozenset({LADDER, "label", "ground"})
_COLUMNS = ("date", "tree", "cultivar", "crop", "what", "amount", "note")


class MadeSheet(Struct, frozen=True):
    """A sheet: its title, where it lies, what is on it, and the view its template shows; plain text has no template."""

    title: str
    path: str
    about: str
    template: str = ""
    view: object = None


class Sheets:
    """Makes the views of the sheets of one plan."""

    def __init__(self, context: PageContext, stores: Stores) -> None:
        self._plan = context.plan
        self._context = context
        self._tongue = context.tongue
        self._paths = context.paths
        self._stores = stores
        self._as_of = context.season.as_of

    def made(self, calendars: CalendarSheet | None = None) -> tuple[MadeSheet, ...]:
        """Return the sheets that have something on them; `calendars` are the cards of feeds, where there are any."""
        return (*self._in_large(), *self._to_look_up(), *self._at_the_trees(), *self._to_hand_out(calendars))

    def _in_large(self) -> Iterator[MadeSheet]:
        """Yield what hangs on a wall: the fridge's sheets and the season in large print.

        Of one tree there is so little that the only sheet for the fridge is in large print.
        """
        tongue = self._tongue
        fridge = self.fridge(large=self._paths.folded)
        if fridge.large and (fridge.days or fridge.slides):
            yield MadeSheet(
                tongue.say("For the fridge, in large print"),
                "sheets/fridge.html",
                tongue.say("a week and a day in 18 point, on as many sides as it takes"),
                "sheet_fridge.html",
                fridge,
            )
        elif fridge.days or fridge.slides:
            yield MadeSheet(
                tongue.say("For the fridge"),
                "sheets/fridge.html",
                tongue.say("a week and a day on one side, with a square for each tree and room for initials"),
                "sheet_fridge.html",
                fridge,
            )
            yield MadeSheet(
                tongue.say("For the fridge, in large print"),
                "sheets/fridge-large.html",
                tongue.say("the same in 18 point, on as many sides as it takes"),
                "sheet_fridge.html",
                self.fridge(large=True),
            )
        season = season_sheet(self._plan)
        if season is not None:
            yield MadeSheet(
                tongue.say("The season, in large print"),
                "sheets/season.html",
                tongue.say("the test, the pick and every later day on one side in 18 point, with lines to write on"),
                "sheet_season.html",
                season,
            )

    def _to_look_up(self) -> Iterator[MadeSheet]:
        """Yield two weeks as plain text, and the whole year, which of one tree is that of the season in large print."""
        tongue = self._tongue
        yield MadeSheet(
            tongue.say("This week and the next as plain text"),
            WEEK_TEXT,
            tongue.say("lines of 40 characters, to emboss or to send"),
        )
        year = year_sheet(self._context)
        if year.months and not (self._paths.folded and season_sheet(self._plan)):
            yield MadeSheet(
                tongue.say("The whole year"),
                "sheets/year.html",
                tongue.say("bloom, pick, ready and how long it keeps, month by month on one side"),
                "sheet_year.html",
                year,
            )

    def _at_the_trees(self) -> Iterator[MadeSheet]:
        """Yield what goes out to the trees and into the boxes; one tree alone needs no label to be told by."""
        tongue = self._tongue
        lines, batches = self.picking().lines, self.tags().batches
        yield from self._by_row(
            MadeSheet(
                tongue.say("Picking card"),
                "sheets/picking.html",
                tongue.say("what comes off the trees in the next two weeks, in walking order"),
                "sheet_picking.html",
            ),
            {line.tree for line in lines},
            lambda tags: self._card([line for line in lines if line.tree in tags]),
        )
        yield from self._by_row(
            MadeSheet(
                tongue.say("Tags for boxes"),
                "sheets/tags.html",
                tongue.say("one for each grade of each picking: where it lies and until when"),
                "sheet_tags.html",
            ),
            {batch.tree.text for batch in batches},
            lambda tags: TagSheet(batches=tuple(batch for batch in batches if batch.tree.text in tags)),
        )
        if not self._paths.folded:
            yield from self._by_row(
                MadeSheet(
                    tongue.say("Labels for trees"),
                    "sheets/labels.html",
                    tongue.say("tag and cultivar of each tree, and a code that opens its page"),
                    "sheet_labels.html",
                ),
                {tree.tag for tree in self._plan.season.standing},
                lambda tags: self.labels(tree for tree in self._plan.season.standing if tree.tag in tags),
            )

    def _by_row(
        self, sheet: MadeSheet, tags: AbstractSet[str], view_of: Callable[[AbstractSet[str]], View]
    ) -> Iterator[MadeSheet]:
        """Yield a sheet of some trees: of many the rows apart, so that none is too large to open or to print."""
        parts = in_rows(tree for tree in self._plan.holding.trees if tree.tag in tags)
        for number, part in enumerate(parts, 1):
            title, path = sheet.title, sheet.path
            if len(parts) > 1:
                title = self._tongue.say("{sheet}, {tags}", sheet=title, tags=part.tags(self._tongue))
            if number > 1:
                path = path.replace(".html", f"-{number}.html")
            view = view_of({tree.tag for tree in part.trees})
            yield replace(sheet, title=title, path=path, view=view)

    def _to_hand_out(self, calendars: CalendarSheet | None) -> Iterator[MadeSheet]:
        """Yield the cards of calendars for helpers, and a sheet for what they note."""
        tongue = self._tongue
        if calendars is not None:
            yield MadeSheet(
                tongue.say("Calendar cards"),
                CALENDARS,
                tongue.say(
                    "for helpers, one for each calendar of reminders: its address, how to add it and take it off"
                ),
                "sheet_calendars.html",
                calendars,
            )
        yield MadeSheet(
            tongue.say("To write on"),
            "sheets/record.html",
            tongue.say("the columns of the records, so that nothing is lost on the way to them"),
            "sheet_record.html",
            self.record(),
        )

    def contents(self, made: Iterable[MadeSheet], kitchens: Kitchens | None = None) -> SheetsPage:
        """Return the page that lists these sheets, and those of the kitchen."""
        tongue = self._tongue
        lines = [(self._context.link(sheet.title, sheet.path), sheet.about) for sheet in made]
        if kitchens is not None:
            supplies = self._context.link(tongue.say("Supplies for the kitchen"), SUPPLIES)
            lines.append((supplies, tongue.say("jars, lids, sugar and acid, and by when they are to be there")))
            for card in kitchens.stove.cards:
                title = tongue.say(
                    "Stove card: {ware}, {kitchen}", ware=ware_words(tongue, card.ware), kitchen=card.kitchen.name
                )
                about = tongue.say("minutes by pot at that kitchen’s height, headspace and acid")
                lines.append((self._context.link(title, self._paths.stove_card(card)), about))
        return SheetsPage(sheets=tuple(lines))

    def fridge(self, *, large: bool = False) -> FridgeSheet:
        """Return the days to come, and the table by which printed dates are shifted in pencil."""
        tongue = self._tongue
        span = Span(first=self._as_of, last=self._as_of + timedelta(days=FRIDGE_D))
        days = day_blocks(self._context, self._plan.calendar.entries, span, to_do=True)
        asks = all_asks(self._context)
        return FridgeSheet(
            large=large,
            asks=asks,
            crowded=len(asks) + sum(max(1, len(item.tags)) for day in days for item in day.items) > CROWDED,
            title=span_words(tongue, span),
            days=days,
            shifts=tuple(off_words(tongue, shift) for shift in SLIDES_D),
            slides=self._slides(),
            hazards=together(
                tongue,
                (
                    *(h for ask in asks for h in ask.hazards),
                    *(h for d in days for item in d.items for h in item.hazards),
                ),
            ),
        )

    def _slides(self) -> tuple[SlideLine, ...]:
        until = self._as_of + timedelta(days=SLIDES_FOR_D)
        picks = [
            (pick.likely, bearing, tuple(pick.moved(days) for days in SLIDES_D))
            for bearing, pick in self._picks()
            if not pick.is_past and self._as_of <= pick.likely <= until
        ]
        by_name: dict[tuple[str, date, tuple[date, ...]], list[str]] = {}
        for likely, bearing, moved in sorted(picks):
            by_name.setdefault((self._plan.holding.limb(bearing).name, likely, moved), []).append(bearing.tree)
        return tuple(
            SlideLine(
                name=on_tree(name, tags_words(self._context, tags)),
                printed=short_day(self._tongue, likely),
                shifted=tuple(short_day(self._tongue, day) for day in moved),
            )
            for (name, likely, moved), tags in by_name.items()
        )

    def picking(self) -> PickingCard:
        """Return what may be picked in the next two weeks, in walking order, and nothing that can't hang any more.

        Where more hangs after a picking and nothing tells when the next comes, it is the day of the next look at it.
        """
        over, again = self._plan.over, self._again()
        return self._card(
            [
                line
                for bearing, pick in self._picks()
                if (lot := self._plan.lots.get(bearing)) is not None
                if bearing not in over or over[bearing].may_hang
                for line in (
                    [self._line_again(bearing, pick, lot, *again[bearing])]
                    if bearing in again
                    else [self._pick_line(bearing, pick, lot, picking) for picking in self._soon(lot, pick)]
                )
            ]
        )

    def _card(self, lines: Sequence[PickLine]) -> PickingCard:
        tags = {line.tree for line in lines}
        grown = {bearing for bearing in self._plan.season.bearings if bearing.tree in tags}
        hazards = hazards_at(self._plan, grown, is_picking)
        return PickingCard(lines=tuple(lines), hazards=tuple(h for h in hazards if h.key not in _ON_EVERY_CARD))

    def _again(self) -> dict[Bearing, tuple[Task, date]]:
        """Return for each crop of which more hangs the job and the next of its days, none beyond two weeks."""
        until = self._as_of + timedelta(days=AHEAD_D)
        found: dict[Bearing, tuple[Task, date]] = {}
        for entry in self._plan.calendar.entries:
            ahead = [day for day in entry.days if self._as_of <= day <= until]
            if ahead and Condition.MORE_HANGS in entry.task.only_if and entry.season == self._plan.season.year.year:
                found.update(dict.fromkeys(entry.bearings, (entry.task, ahead[0])))
        return found

    def _line_again(self, bearing: Bearing, pick: Estimate, lot: Lot, task: Task, day: date) -> PickLine:
        line = self._pick_line(bearing, pick, lot, lot.pickings[-1])
        which = self._tongue.term(task.name)
        return replace(line, likely=week_day(self._tongue, day), which=which, window="", expected="")

    def _soon(self, lot: Lot, pick: Estimate) -> list[Picking]:
        """Return the pickings of a lot that may be done in the next two weeks; of many the next alone."""
        until = self._as_of + timedelta(days=AHEAD_D)
        soon = [one for one in lot.pickings if not one.noted and due(one, pick).earliest <= until]
        return soon[:1] if len(lot.pickings) > MOST_APART else soon

    def _pick_line(self, bearing: Bearing, pick: Estimate, lot: Lot, picking: Picking) -> PickLine:
        tongue = self._tongue
        limb = self._plan.holding.limb(bearing)
        reach = due(picking, pick)
        return PickLine(
            tree=bearing.tree,
            cultivar=limb.name,
            crop=tongue.term(bearing.crop),
            where=self._plan.holding.tree(bearing.tree).place,
            likely=week_day(tongue, reach.likely),
            which=which_words(tongue, picking.number, len(lot.pickings)),
            window=between(tongue, reach.earliest, reach.latest),
            clash=clash_words(tongue, pick),
            signs=pick_tests(tongue, limb),
            expected=self._context.pounds(picking.weight),
            space=next((b.space for b in lot.batches if b.space and b.picking == picking.number), ""),
        )

    def tags(self) -> TagSheet:
        """Return a tag for each batch that lies somewhere, or will within two weeks."""
        until = self._as_of + timedelta(days=AHEAD_D)
        store = self._plan.store
        soon = [batch for batch in store.batches if batch.picked.likely <= until]
        return TagSheet(batches=self._stores.lines([*store.carried, *soon]))

    def labels(self, trees: Iterable[Tree]) -> LabelSheet:
        """Return a label for each of some trees, with a code that leads to its page where the site has an address."""
        base = base_address(self._plan.holding.place)
        labels = []
        for tree in trees:
            code, side = qr_code(base + self._paths.tree(tree.tag) if base else "")
            cultivars = ", ".join(limb.name for limb in tree.limbs)
            labels.append(TreeLabel(tag=tree.tag, cultivars=cultivars, where=tree.place, code=code, side=side))
        return LabelSheet(coded=bool(base), labels=tuple(labels))

    def record(self) -> RecordSheet:
        """Return an empty sheet in the shape of the records."""
        return RecordSheet(
            columns=_COLUMNS,
            whats=tuple(_to_note(self._tongue, what) for what in Happening),
            lines=tuple(str(number) for number in range(1, RECORD_LINES + 1)),
        )

    def _picks(self) -> list[tuple[Bearing, Estimate]]:
        season = self._plan.season
        return [
            (bearing, pick)
            for bearing in season.bearings
            if isinstance(pick := season.of(bearing, Event.PICK), Estimate)
        ]


def _to_note(tongue: Tongue, what: Happening) -> str:
    """Return the word that goes into the records, which is the same in every language, with what it means."""
    means = tongue.term(what.value)
    return what.value if means == what.value else f"{what.value} ({means})"
