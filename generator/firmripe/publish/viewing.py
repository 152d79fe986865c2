"""From the plan to the views that templates see. Nothing is worked out here, only put into words and order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta
from functools import cached_property
from typing import Any

from dateutil.relativedelta import relativedelta

from firmripe.calendar.entry import Entry
from firmripe.calendar.kitchen_days import session_subject
from firmripe.calendar.pickings import comes_with_each
from firmripe.calendar.unanswered import Open
from firmripe.days import Rhythm, Span
from firmripe.harvest.crop import Unweighed
from firmripe.harvest.lots import Batch, Lot, lying_parts
from firmripe.holding.figures import Cited, Figure, Mark
from firmripe.holding.fruit import Abroad, Cultivar, Event, FlowerGroup, Fruit, Traits
from firmripe.holding.hands import hands_of
from firmripe.holding.matter import Matter
from firmripe.holding.preserve import Preserve, PutUp
from firmripe.holding.record import Happening, Record
from firmripe.holding.standing import of_those_that_stand
from firmripe.holding.task import Each, Stage, Task, Topic
from firmripe.holding.tree import Bearing, Tree
from firmripe.holding.unsafe import Unsafe, unsafe_in
from firmripe.kitchen.admitting import is_made_of, not_for_jars
from firmripe.kitchen.tables.refusals import NoMinutes
from firmripe.plan import Plan
from firmripe.problems import Where, in_order
from firmripe.publish.batches import batch_line, far_day, ripe_parts, still_to_ripen
from firmripe.publish.choosing import Choosing
from firmripe.publish.contents import ABOUT, OFF_THE_WAY, main_pages, offered, preserves_with_page
from firmripe.publish.drawing import draw
from firmripe.publish.fruit_asks import ask_of_fruit
from firmripe.publish.hazards import hazards_of, together
from firmripe.publish.job_amounts import amount_words, folded, kinds_words, pass_words, weight_of
from firmripe.publish.markdown import to_html
from firmripe.publish.noted import noted_day, noted_words
from firmripe.publish.noting import PAGE, Noting, subject_of
from firmripe.publish.orchard import parts_of, rows_of
from firmripe.publish.paths import Paths, photo_path
from firmripe.publish.plainly import next_date, plain_why
from firmripe.publish.pollinating import Pollen
from firmripe.publish.replaying import off_words, score_words
from firmripe.publish.signs import OF_THE_HAND, TESTING, drawing_of, in_turn
from firmripe.publish.strip import firmness_of, strip_of
from firmripe.publish.verdict_words import answer, open_verdicts, prior_words, question, taught
from firmripe.publish.views import (
    Ask,
    BatchLine,
    Dated,
    DatesPage,
    DayBlock,
    Folded,
    FrontPage,
    FruitTests,
    HindcastPage,
    Item,
    JobsPage,
    KindPage,
    LimbView,
    Link,
    Past,
    PastSeason,
    PhotoView,
    Question,
    Quote,
    ReplayLine,
    ReplaySeason,
    Row,
    SignLine,
    SiteView,
    SourceLine,
    SourcesPage,
    Spread,
    Stretch,
    TaskPage,
    TestsPage,
    TreePage,
    TreesPage,
    Way,
    Why,
    YearPage,
    ZoneShift,
)
from firmripe.publish.wary import cautions_said, heeded, is_own, said
from firmripe.publish.years import years_of
from firmripe.saying import ENGLISH, _, mark, n_, term, tongue
from firmripe.season import spreads
from firmripe.season.estimate import Basis, Estimate, Happens, NoDate, Reach, Reason
from firmripe.season.forecast import NoForecast
from firmripe.season.hindcast import Moment, Replay
from firmripe.season.usual import usual_of
from firmripe.units import HardinessZone
from firmripe.wording import words_of
from firmripe.wording.calendar import told_of, undated_words
from firmripe.wording.clashes import clash_words
from firmripe.wording.harvest import alert_words
from firmripe.wording.holding import pounds_words, reader_words
from firmripe.wording.minutes import instead_words
from firmripe.wording.names import name_of, title_of
from firmripe.words import (
    amount,
    between,
    degrees,
    gap_words,
    heading_day,
    in_own_units,
    is_foreign,
    long_day,
    month_name,
    of_crop,
    rhythm_words,
    shift_words,
    span_words,
    stretch_words,
    week_day,
    when_words,
    whole_shift_words,
)

_LONG_D = 14
"""A longer stretch tells what can hurt once for all its days."""
_MOST_TAGS = 4
"""A job for more trees than these says how many they are."""
_MANY_PEOPLE = 4
"""Among so many people and more it is shorter to say who does not do a job that nearly all do."""

_ZONES = tuple(HardinessZone(number) for number in range(4, 20))
"""From 3a to 10b, in which the fruits of the shelf grow."""
_AFTER_PICK = (
    (Stage.TAKE_OUT, mark("Take out of the cold")),
    (Stage.READY, mark("Ready")),
    (Stage.USE_BY, mark("Use by")),
    (Stage.KEEP_UNTIL, mark("Last day in the cold")),
)
_FIGURES = (
    ("ripens_off_the_tree", mark("Ripens off the tree")),
    ("days_from_bloom", mark("From full bloom to pick")),
    ("offset", mark("Picked")),
    ("firmness_at_pick", mark("Firmness at the pick")),
    ("firmness_when_ready", mark("Firmness when ready")),
    ("passes", mark("Pickings")),
    ("pass_interval", mark("Between pickings")),
    ("conditioning", mark("In the cold before it ripens")),
    ("conditioning_early", mark("The same, picked before it is mature")),
    ("counter", mark("On the counter until ready")),
    ("counter_by_room", mark("The same in another room")),
    ("too_warm", mark("Too warm to ripen")),
    ("keeps", mark("Keeps in the cold at most")),
    ("keeps_ripe", mark("Stays good once ready")),
    ("freezes", mark("The fruit itself freezes at")),
    ("uses", mark("Good for")),
    ("own_pollen", mark("Sets with its own pollen")),
    ("partners", mark("Pollinated by")),
    ("bad_partners", mark("Not pollinated by")),
    ("flower_groups", mark("In bloom beside others of its kind")),
    ("gives_pollen", mark("Pollen for others")),
)
_OF_POLLINATION = frozenset({"own_pollen", "partners", "bad_partners", "flower_groups", "gives_pollen"})


_BLOOMS = (mark("very early"), mark("early"), mark("middle"), mark("late"), mark("very late"))


def _group_words(group: FlowerGroup) -> str:
    """Say when a kind blooms beside others, as `group 3 of 7, with those from 2 to 4` or `early to middle`."""
    if group.of:
        groups = str(group.low) if group.low == group.high else f"{group.low}–{group.high}"
        first, last = max(1, group.low - 1), min(group.of, group.high + 1)
        return _(
            "group {group} of {of}, together with groups {first} to {last}",
            group=groups,
            of=group.of,
            first=first,
            last=last,
        )
    first_word, last_word = (term(_BLOOMS[at]) for at in (group.low, group.high))
    return first_word if group.low == group.high else _("{first} to {last}", first=first_word, last=last_word)


_BELONGS = {
    "trees": "trees.html",
    "cultivars": "trees.html",
    "fruits": "trees.html",
    "jobs": "jobs.html",
    "weeks": "year.html",
    "months": "year.html",
    "kitchen": "kitchen.html",
    "preserves": "kitchen.html",
    "sheets": "sheets/index.html",
}
"""The main page that each folder of pages belongs to."""


_SHOWN_ASKS = 2
"""So many questions stand open on the first page, and all that there is time for. J."""


class Viewing:
    """Makes the views of one plan for pages that lie `top` below the top of the site (`""` or `"../"`).

    `worker` is the path of the script that keeps the pages for when there is no signal, empty where none does.
    """

    def __init__(self, plan: Plan, paths: Paths, top: str, cited: set[str], worker: str = "") -> None:
        self._plan = plan
        self._worker = worker
        self._paths = paths
        self._top = top
        self._cited = cited
        self._holding = plan.holding
        self._season = plan.season
        self._pages = main_pages(plan)
        self._choosing = Choosing(plan.holding)
        self._noting = Noting(plan, top)
        self._pollen = Pollen(plan)
        self._blocks: dict[date, DayBlock] = {}
        self._of_tree: dict[str, list[Entry]] = {}
        self._of_task: dict[str, list[Entry]] = {}
        for entry in plan.calendar.entries:
            self._of_task.setdefault(entry.task.key, []).append(entry)
            tags = {bearing.tree for bearing in entry.bearings}
            if entry.subject and len(tags) == 1:
                self._of_tree.setdefault(tags.pop(), []).append(entry)

    # Small parts

    def link(self, text: str, path: str) -> Link:
        """Return a link from the page to a path from the site's top."""
        return Link(text=text, href=self._top + path)

    def _ways(self, path: str, *, about: bool) -> tuple[Way, ...]:
        """Return the links to the main pages from one, of which that page itself or the one it belongs to is marked."""
        above = _BELONGS.get(path.partition("/")[0], "")

        def current(other: str) -> str:
            return "page" if other == path else "true" if other == above else ""

        return tuple(
            Way(text=term(title), href=self._top + other, current=current(other))
            for other, title in self._pages.items()
            if (other in ABOUT if about else other not in OFF_THE_WAY)
        )

    def site(self, path: str = "") -> SiteView:
        """Return what a page at a path from the top knows."""
        as_of = self._season.as_of
        return SiteView(
            name=self._holding.place.name,
            season=str(self._season.year.year),
            made_on=long_day(as_of),
            made_on_iso=as_of.isoformat(),
            made_for=reader_words(self._plan.reader),
            find=self.link(_("Find a tree or a name"), "trees.html" if "trees.html" in self._pages else "index.html"),
            language=tongue().code,
            top=self._top,
            nav=self._ways(path, about=False),
            about=self._ways(path, about=True),
            safety=self.link(_("All cautions"), "safety.html") if "safety.html" in self._pages else None,
            preset=self._plan.reader.person,
            worker=self._top + self._worker if self._worker else "",
            people=self._choosing.people,
            houses=self._choosing.houses,
            parts=self._choosing.parts,
            note=self.link(_("Note what happened"), PAGE) if self._noting.is_for_reader else None,
            is_private=not self._plan.reader.is_everybody,
        )

    def quote(self, label: str, text: str, cited: Cited, note: str = "", *, leans: bool = False) -> Quote:
        """Return a figure in words with where it comes from."""
        source, href = "", ""
        text = text if is_own(cited) else in_own_units(text)
        if cited.source is not None:
            self._cited.add(cited.source.key)
            path = self._paths.source(cited.source)
            href = self._top + path if path else ""
            source = _source_words(cited)
        return Quote(
            label=label, text=text, mark=term(cited.mark.value), source=source, source_href=href, note=note, leans=leans
        )

    def cautions(self, figures: Iterable[Figure[str]]) -> tuple[Quote, ...]:
        """Return cautions: the published ones first, then the household's own, marked; nothing unsafe."""
        return tuple(self._caution(figure) for figure in heeded(figures))

    def _caution(self, figure: Figure[str]) -> Quote:
        quote = replace(self.figure("", figure), text=said(figure))
        return replace(quote, mark=term(Mark.OWN.value)) if is_own(figure.cited) else quote

    def photos(self, folder: str, key: str) -> tuple[PhotoView, ...]:
        """Return the photos that a note names, by its folder and its name."""
        return tuple(
            PhotoView(
                href=f"{self._top}{photo_path(photo)}",
                alt=photo.alt or _("a photo that nobody has described yet"),
                width=photo.width,
                height=photo.height,
            )
            for photo in self._holding.photos_of(folder, key)
        )

    def unsafe(self, figures: Iterable[Figure[str]], *texts: str) -> tuple[Quote, ...]:
        """Return what a household wrote on a page against the published ways, with what is published instead.

        Of `figures` the whole is told, since it stands nowhere else; of `texts` the words, since they stand there.
        """
        told = [(figure.text, one) for figure in figures if is_own(figure.cited) for one in unsafe_in(figure.text)]
        told += [(one.words, one) for text in texts if text not in self._holding.shelf_texts for one in unsafe_in(text)]
        return tuple(self._against(words, one) for words, one in dict.fromkeys(told))

    def _against(self, words: str, unsafe: Unsafe) -> Quote:
        source = self._holding.sources.get(unsafe.rule.source)
        text = _("You wrote “{words}”. Don’t do it so.", words=words.rstrip(" .!")) + " " + term(unsafe.rule.published)
        if source is None:
            return Quote(label="", text=text, mark="", source="", source_href="")
        cited = Cited(mark=Mark.READ, source=source, page="", where=Where(""))
        return self.quote("", text, cited)

    def body(self, text: str) -> str:
        """Return a note's text as clean HTML; that of a note of the shelf is in English whatever the page is in."""
        html = to_html(text)
        is_english = tongue().code == ENGLISH or text not in self._holding.shelf_texts
        return html if is_english or not html else f'<div lang="{ENGLISH}">\n{html}\n</div>'

    def figure(self, label: str, figure: Figure[Any], *, leans: bool = False) -> Quote:
        """Return a figure with its label, its temperature and its note."""
        if isinstance(figure.value, FlowerGroup):
            return self.quote(label, _group_words(figure.value), figure.cited, term(figure.note), leans=leans)
        at = _at_words(figure)
        quote = self.quote(label, amount(figure.text) + at, figure.cited, in_own_units(term(figure.note)), leans=leans)
        return replace(quote, lang=_lang(figure.text, figure.cited), note_lang=_lang(figure.note, figure.cited))

    def _figures(self, label: str, figures: Iterable[Figure[Any]]) -> tuple[Quote, ...]:
        return tuple(self.figure(label, figure) for figure in figures)

    def _why(self, reason: Reason) -> Why:
        links = []
        for cited in reason.cited:
            if cited.source is not None:
                self._cited.add(cited.source.key)
                path = self._paths.source(cited.source)
                text = f"{_source_words(cited)} ({term(cited.mark.value)})"
                links.append(Link(text=text, href=self._top + path if path else ""))
        shift = "" if reason.days is None else shift_words(reason.days)
        return Why(text=words_of(reason.why), shift=shift, sources=tuple(dict.fromkeys(links)))

    def _dated(self, label: str, dated: Estimate) -> Dated:
        return Dated(
            label=label,
            iso=dated.likely.isoformat(),
            likely=week_day(dated.likely),
            window=between(dated.earliest, dated.latest),
            basis=term(dated.basis.value),
            rough=dated.rough,
            clash=clash_words(dated),
            whys=tuple(self._why(reason) for reason in dated.reasons),
        )

    def _stage(self, label: str, reach: Reach) -> Dated:
        return Dated(
            label=label,
            iso=reach.likely.isoformat(),
            likely=far_day(reach.likely, self._season.as_of),
            window=between(reach.earliest, reach.latest),
            basis=term(Basis.MODEL.value),
            rough=False,
            clash="",
        )

    def _date_of(self, bearing: Bearing, event: Event, label: str) -> Dated | None:
        happens = Happens.of(bearing, event)
        dated = self._season.dates.get(happens)
        if not isinstance(dated, Estimate):
            return None
        told = self._plan.explanations[happens]
        printed = between(told.printed.earliest, told.printed.latest) if told.printed and not dated.is_past else ""
        return replace(
            self._dated(label, dated), printed=printed, narrowings=tuple(words_of(note) for note in told.narrowings)
        )

    # Days, weeks and months

    def _items(self, entries: Iterable[Entry], day: date | None = None, *, with_span: bool = True) -> tuple[Item, ...]:
        """Return one line for each task, with all it is for; on one of its days, or on none in particular."""
        grouped: dict[str, list[Entry]] = {}
        for entry in entries:
            grouped.setdefault(entry.task.key, []).append(entry)
        found = []
        for members in sorted(grouped.values(), key=lambda members: weight_of(members[0])):
            task = members[0].task
            spans = {entry.span for entry in members}
            span = spans.pop() if len(spans) == 1 else None
            subjects = [subject for entry in members if (subject := self._subject(entry)) is not None]
            bearings = (bearing for entry in members for bearing in entry.bearings)
            who = hands_of(task, bearings, self._holding, [] if day is None else [day]).names
            turns = [(entry, entry.days.index(day) if day in entry.days else 0) for entry in members]
            found.append(
                Item(
                    task=self.link(term(task.name), self._paths.task(task.key)),
                    tags=self._tags(task, members),
                    place=self._place_of(task, members),
                    what=kinds_words((self._whose(entry), entry, pass_words(entry, day)) for entry in members),
                    amount=amount_words(self._plan, members, day),
                    subjects=tuple(subjects),
                    topic=task.topic.value,
                    span=_span_note(members[0].every, span) if with_span and span else "",
                    who=self._who(who),
                    rough=any(entry.rough for entry in members),
                    seen=all(entry.seen for entry in members),
                    cautions=(*(held := _held(members)), *cautions_said(task.cautions)),
                    held=held,
                    hazards=hazards_of(task.cautions),
                    ticks=tuple(self._choosing.tick(entry, turn) for entry, turn in turns),
                    people=self._choosing.who(task, who),
                    parts=self._choosing.parts_of(members),
                    note=self._noting.of_task(task, members),
                )
            )
        return tuple(found)

    def _tags(self, task: Task, entries: Sequence[Entry]) -> tuple[Link, ...]:
        """Return the tags of the trees that a job is for, in walking order; none where it is for the place or many."""
        meant = _trees_of(task, entries)
        if len(meant) > _MOST_TAGS:
            return ()
        return tuple(self.link(t.tag, self._paths.tree(t.tag)) for t in self._holding.trees if t.tag in meant)

    def _place_of(self, task: Task, entries: Sequence[Entry]) -> str:
        """Say where a job is done that has no tag: in which room, or at how many trees."""
        many = len(_trees_of(task, entries))
        return n_("{n} tree", "{n} trees", many) if many else term(task.topic.value)

    def _what(self, entry: Entry, day: date | None = None) -> str:
        """Say what an entry is for, without the tag that stands beside it, and which picking it is."""
        which = pass_words(entry, day)
        return f"{self._whose(entry)} ({which})" if which else self._whose(entry)

    def _whose(self, entry: Entry) -> str:
        alone = len({(bearing.tree, bearing.cultivar, bearing.crop) for bearing in entry.bearings}) == 1
        if not alone or entry.name is None or entry.task.topic is Topic.KITCHEN:
            return name_of(entry)
        return self._holding.limb(entry.bearings[0]).name + of_crop(entry.crop)

    def _who(self, names: Sequence[str]) -> str:
        """Say who does a job; where nearly all do, who does not."""
        everybody = [person.name for person in self._holding.place.people]
        others = [name for name in everybody if name not in names]
        if len(everybody) < _MANY_PEOPLE or len(others) > 1 or not set(names) <= set(everybody):
            return ", ".join(names)
        return _("all but {name}", name=others[0]) if others else _("everybody")

    def _subject(self, entry: Entry) -> Link | None:
        name = name_of(entry)
        if not name:
            return None
        if entry.task.when.stage in {Stage.CANNING_DAY, Stage.KITCHEN_DAY}:
            return self.link(name, self._paths.session(entry.subject))
        tags = {bearing.tree for bearing in entry.bearings}
        if len(tags) == 1:
            return self.link(name, self._paths.tree(tags.pop()))
        cultivars = {bearing.cultivar for bearing in entry.bearings}
        if len(cultivars) == 1:
            return self.link(name, self._paths.cultivar(cultivars.pop()))
        fruit = self._holding.limb(entry.bearings[0]).fruit
        return self.link(name, self._paths.fruit(fruit.key)) if fruit else None

    def day_blocks(self, entries: Iterable[Entry], span: Span, *, to_do: bool = False) -> tuple[DayBlock, ...]:
        """Return the days of a span that have tasks, each with its lines; without what is noted if it is `to_do`."""
        by_day: dict[date, list[Entry]] = {}
        for entry in entries:
            for day in entry.days:
                if day in span and not (to_do and self._noting.is_noted(entry, day)):
                    by_day.setdefault(day, []).append(entry)
        return tuple(self._day_block(day, by_day[day]) for day in sorted(by_day))

    def _days(self, span: Span) -> tuple[DayBlock, ...]:
        """Return the days of a span that have tasks, each with all its lines; its week shows a day, and its month."""
        found = [day for day in self._by_day if day in span]
        for day in found:
            if day not in self._blocks:
                self._blocks[day] = self._day_block(day, self._by_day[day])
        return tuple(self._blocks[day] for day in found)

    @cached_property
    def _by_day(self) -> dict[date, list[Entry]]:
        """Return the entries of each day that has any, the days in their order."""
        found: dict[date, list[Entry]] = {}
        for entry in self._plan.calendar.entries:
            for day in entry.days:
                found.setdefault(day, []).append(entry)
        return dict(sorted(found.items()))

    def _day_block(self, day: date, entries: Sequence[Entry]) -> DayBlock:
        items = self._items(entries, day)
        return DayBlock(
            iso=day.isoformat(),
            heading=heading_day(day),
            items=items,
            weekday=tongue().days[day.weekday()],
            number=str(day.day),
            month=tongue().months[day.month - 1],
            hazards=together(hazard for item in items for hazard in item.hazards),
        )

    def _going_on(self, span: Span, but: Sequence[Entry] = ()) -> tuple[Item, ...]:
        """Return what began before a span and is still to be done, without a rhythm of its own."""
        return self._items(
            entry
            for entry in self._plan.calendar.entries
            if entry.span.first < span.first
            and any(stretch.meets(span) for stretch in entry.stretches)
            and entry.every is None
            and entry not in but
        )

    def _unnoted(self) -> list[tuple[Open, Entry]]:
        """Return the pickings whose day has come and of which nothing was noted, each with its job."""
        jobs = {
            (entry.season, bearing): entry
            for entry in reversed(self._plan.calendar.entries)
            if entry.task.instead_of
            or (comes_with_each(entry.task) and entry.task.topic is Topic.ORCHARD and not entry.task.when.days)
            for bearing in entry.bearings
            if not entry.seen
        }
        told = ((one, jobs.get((one.season, one.bearing))) for one in self._plan.asked)
        return [(one, entry) for one, entry in told if entry is not None]

    def asks(self) -> tuple[Ask, ...]:
        """Return the questions about what should have happened by now and was not noted."""
        return (*(self._ask(*one) for one in self._unnoted()), *self._asks_of_fruit())

    def _asks_of_fruit(self) -> tuple[Ask, ...]:
        """Return the questions about fruit of which nobody noted what became of it."""
        return tuple(
            ask_of_fruit(one, self._noting, self.link(one.bearing.tree, self._paths.tree(one.bearing.tree)))
            for one in self._plan.store.unknowns
        )

    def _ask(self, asked: Open, entry: Entry) -> Ask:
        """Return the question whether a picking was done, with the line of the records that says so."""
        holding = self._holding
        tree, day = holding.tree(asked.bearing.tree), week_day(asked.until)
        task, what = term(entry.task.name), self._what(entry)
        jobs = dict.fromkeys(term(one.task.name) for one in asked.waiting if one.task.reminder)
        return Ask(
            tree=self.link(tree.tag, self._paths.tree(tree.tag)),
            title=_("{task} {what}, until {day}", task=task, what=what, day=day)
            if asked.is_past
            else _("{task} {what} by {day}", task=task, what=what, day=day),
            since=_("due since {day}", day=week_day(asked.since)),
            open=not asked.is_past,
            who=self._who(hands_of(entry.task, [asked.bearing], holding).names),
            hazards=hazards_of(entry.task.cautions),
            held=_held([entry]),
            question=_("Was it picked? Nothing is noted yet.")
            if asked.bars
            else _("Was it picked again? Nothing is noted yet."),
            waits=_("Waits for the answer: {jobs}.", jobs=", ".join(jobs)) if jobs else "",
            note=self._noting.of_task(entry.task, [entry]),
        )

    def _ripe(self) -> tuple[BatchLine, ...]:
        """Return what is picked and ready to eat by now, in the order of eating."""
        today = self._season.as_of
        here = [b for b in (*self._plan.store.carried, *self._plan.store.batches) if b.picked_noted]
        return tuple(self.batch(part) for batch in here for part in ripe_parts(batch, today))

    def _stored(self) -> tuple[BatchLine, ...]:
        """Return what lies in store from the season before, beside what of it is ripe, in the order of eating."""
        today = self._season.as_of
        parts = (part for batch in self._plan.store.carried for part in lying_parts(batch, today))
        return tuple(self.batch(part) for part in parts if still_to_ripen(part, today))

    def lying(self, batches: Iterable[Batch]) -> tuple[BatchLine, ...]:
        """Return batches in words, what came out of one and what lies on each on its own, in the order given."""
        return tuple(self.batch(part) for batch in batches for part in lying_parts(batch, self._season.as_of))

    def batch(self, batch: Batch) -> BatchLine:
        """Return a batch in words, with the links of this page."""
        tag, limb = batch.bearing.tree, batch.limb
        return batch_line(
            batch,
            self.link(tag, self._paths.tree(tag)),
            self.link(limb.name, self._paths.cultivar(limb.key)),
            self._season.as_of,
            metric=self._holding.place.metric_first,
        )

    def _stretch(self, span: Span, title: str) -> Stretch:
        going_on, days = self._going_on(span), self._days(span)
        is_long = span.last - span.first > timedelta(days=_LONG_D)
        minded = [hazard for item in going_on for hazard in item.hazards]
        return Stretch(
            title=title,
            iso=span.first.isoformat(),
            days=days,
            going_on=going_on,
            hazards=together([*(h for day in days for item in day.items for h in item.hazards), *minded])
            if is_long
            else (),
            minded=() if is_long else together(minded),
            last_iso=span.last.isoformat(),
            folded=tuple(folded(day, tagged=not is_long) for day in (_told_once(days) if is_long else days)),
            jobs=sum(len(day.items) for day in days),
        )

    def week_of(self, day: date) -> Span:
        """Return the week that a day lies in, as the household counts weeks."""
        first = day - timedelta(days=(day.weekday() - self._holding.place.week_starts) % 7)
        return Span(first=first, last=first + timedelta(days=6))

    def weeks(self) -> list[Span]:
        """Return every week that has something in it."""
        firsts = {self.week_of(day).first for entry in self._plan.calendar.entries for day in entry.days}
        return [self.week_of(first) for first in sorted(firsts)]

    def months(self) -> list[Span]:
        """Return every month that has something in it."""
        firsts = {day.replace(day=1) for entry in self._plan.calendar.entries for day in entry.days}
        return [Span(first=first, last=first + relativedelta(months=1) - timedelta(days=1)) for first in sorted(firsts)]

    def week(self, span: Span, around: Sequence[Span]) -> Stretch:
        """Return a week's view, with the ways to the weeks before and after."""
        return self._between(
            span, around, _("Week of {day}", day=long_day(span.first)), lambda s: self._paths.week(s.first)
        )

    def month(self, span: Span, around: Sequence[Span]) -> Stretch:
        """Return a month's view, with the ways to the months before and after."""
        title = month_name(span.first.year, span.first.month)
        return self._between(span, around, title, lambda s: self._paths.month(s.first))

    def _between(self, span: Span, around: Sequence[Span], title: str, path: Any) -> Stretch:  # noqa: ANN401
        plain = self._stretch(span, title)
        at = list(around).index(span)
        before = around[at - 1] if at > 0 else None
        after = around[at + 1] if at + 1 < len(around) else None
        return replace(
            plain,
            before=self.link(_("Before: {days}", days=span_words(before)), path(before)) if before else None,
            after=self.link(_("After: {days}", days=span_words(after)), path(after)) if after else None,
        )

    # Pages

    def front(self) -> FrontPage:
        """Return the first page: the day it is made and the seven after it, ways to whole weeks, and the season."""
        today = self._season.as_of
        soon = Span(first=today, last=today + timedelta(days=7))
        blocks = {block.iso: block for block in self.day_blocks(self._plan.calendar.entries, soon, to_do=True)}
        empty = {day.isoformat(): self._day_block(day, ()) for day in (today, today + timedelta(days=1))}
        now, next_day = (blocks.pop(iso, block) for iso, block in empty.items())
        asked = self._unnoted()
        asks = (*(self._ask(*one) for one in asked), *self._asks_of_fruit())
        minded = [*(h for ask in asks for h in ask.hazards), *(h for item in now.items for h in item.hazards)]
        now = replace(now, hazards=together(minded))
        told = {text for hazard in now.hazards for text in hazard.texts}
        going_on = self._going_on(soon, but=[entry for _asked, entry in asked])
        return FrontPage(
            asks=asks,
            shown=max(_SHOWN_ASKS, sum(ask.open for ask in asks)),
            today=now,
            tomorrow=replace(next_day, hazards=tuple(h for h in next_day.hazards if not told.issuperset(h.texts))),
            again=tuple(hazard for hazard in next_day.hazards if told.issuperset(hazard.texts)),
            later=tuple(_apart(folded(block), told) for block in blocks.values()),
            going_on=going_on,
            minded=together(hazard for item in going_on for hazard in item.hazards),
            ripe=self._ripe(),
            stored=(stored := self._stored()),
            stored_names=", ".join(dict.fromkeys(line.cultivar.text for line in stored)),
            soon=self._stretch(soon, _("{day} and the next seven days", day=week_day(today))),
            weeks=tuple(
                self.link(title, self._paths.week(week.first))
                for week, title in ([] if self._paths.folded else self._fortnight())
                if week in self.weeks()
            ),
            rows=self.rows(self._season.bearings),
            questions=tuple(
                (self.link(_("Tree {tag}", tag=tree.tag), self._paths.tree(tree.tag)), question)
                for tree in sorted(self._holding.trees, key=lambda tree: tree.tag)
                for question in self._questions(tree)
            ),
            undated=tuple(f"{words_of(item.what)}: {words_of(item.reason)}" for item in self._plan.calendar.undated),
            tree=self.tree(self._holding.trees[0]) if len(self._holding.trees) == 1 else None,
            unsafe=self.unsafe((), self._holding.place.text),
            text=to_html(self._holding.place.text),
        )

    def _fortnight(self) -> tuple[tuple[Span, str], ...]:
        """Return the week that the day it is made lies in and the next, with their titles."""
        this = self.week_of(self._season.as_of)
        following = self.week_of(this.last + timedelta(days=1))
        return (
            (this, _("This week, {days}", days=span_words(this))),
            (following, _("Next week, {days}", days=span_words(following))),
        )

    def fortnight(self) -> tuple[Stretch, ...]:
        """Return this week and the next."""
        return tuple(self._stretch(week, title) for week, title in self._fortnight())

    def rows(self, bearings: Iterable[Bearing]) -> tuple[Row, ...]:
        """Return the season's table for some bearings."""
        found = []
        for bearing in bearings:
            tree, limb = self._holding.tree(bearing.tree), self._holding.limb(bearing)
            pick = self._season.of(bearing, Event.PICK)
            lot = self._plan.lots.get(bearing)
            ready = lot.days.get(Stage.READY) if lot else None
            found.append(
                Row(
                    tree=self.link(tree.tag, self._paths.tree(tree.tag)),
                    cultivar=self.link(limb.name, self._paths.cultivar(limb.key)),
                    crop=term(bearing.crop),
                    where=tree.place,
                    bloom=self._date_of(bearing, Event.FULL_BLOOM, _("Full bloom")),
                    pick=self._date_of(bearing, Event.PICK, _("Pick")),
                    ready=self._stage(_("Ready"), ready) if ready else None,
                    why_not=words_of(pick.reason) if isinstance(pick, NoDate) else "",
                )
            )
        return tuple(found)

    def trees(self) -> TreesPage:
        """Return the page that lists trees, cultivars and fruits."""
        grown = self.grown()
        fruits = {limb.fruit.key: limb.fruit for limb in grown if limb.fruit}
        parts = parts_of(self._plan, lambda tag: self.link(tag, self._paths.tree(tag)))
        rows, beside = rows_of(self._plan, parts)
        return TreesPage(
            parts=parts,
            rows=rows,
            beside=beside,
            cultivars=tuple(self.link(limb.name, self._paths.cultivar(limb.key)) for limb in grown),
            fruits=tuple(
                self.link(term(fruit.name), self._paths.fruit(fruit.key))
                for fruit in sorted(fruits.values(), key=lambda f: in_order(term(f.name)))
            ),
        )

    def grown(self) -> list[Cultivar]:
        """Return the cultivars that stand on the trees, or of which more is noted than that they are gone, by name."""
        limbs = {
            bearing.cultivar: self._holding.limb(bearing)
            for tree in self._holding.trees
            for bearing in tree.bearings
            if self._season.stands(bearing) or self._is_told_of(bearing)
        }
        found = {key: self._holding.cultivars.get(key, limb) for key, limb in limbs.items()}
        return sorted(found.values(), key=lambda limb: (in_order(limb.name), limb.key))

    def _is_told_of(self, bearing: Bearing) -> bool:
        return any(bearing in lots for lots in self._plan.lots_by_season.values()) or any(
            record.what is not Happening.REMOVED and record.is_about(bearing.tree, bearing.cultivar, bearing.crop)
            for record in self._holding.noted(bearing.tree)
        )

    def tree(self, tree: Tree) -> TreePage:
        """Return a tree's page."""
        entries = self._of_tree.get(tree.tag, [])
        year = self._season.year
        coming = Span(first=self._season.as_of, last=max(year.last, self._season.as_of) + timedelta(days=365))
        facts = (
            (_("Where"), tree.place),
            (_("Trees"), str(tree.count) if tree.count > 1 else ""),
            (_("Planted"), str(tree.planted) if tree.planted else ""),
            (_("Bears from"), str(tree.bears_from) if tree.bears_from else ""),
            (_("Kept by"), tree.kept_by),
        )
        blocks = self.day_blocks(entries, coming, to_do=True)
        limbs = tuple(self._limb_view(bearing, tree) for bearing in tree.bearings if self._season.stands(bearing))
        return TreePage(
            title=_("Tree {tag}: {cultivars}", tag=tree.tag, cultivars=", ".join(limb.name for limb in tree.limbs)),
            tag=tree.tag,
            kinds=", ".join(limb.name for limb in tree.limbs),
            facts=tuple((name, value) for name, value in facts if value),
            drawings=tuple(dict.fromkeys(line.drawing for limb in limbs for line in limb.signs if line.drawing)),
            limbs=limbs,
            questions=(*self._unanswered(tree), *self._questions(tree)),
            coming=blocks,
            hazards=together(hazard for block in blocks for item in block.items for hazard in item.hazards),
            past=self._past(tree),
            photos=self.photos("trees", tree.where.file.rpartition("/")[2].removesuffix(".md")),
            unsafe=self.unsafe((), tree.place, tree.text, *(r.note for r in self._noted(tree))),
            text=to_html(tree.text),
            note=self._noting.of_tree(tree),
            taught=(lessons := tuple(line for bearing in tree.bearings for line in taught(self._season, bearing))),
            prior=prior_words() if lessons else "",
        )

    def _unanswered(self, tree: Tree) -> Iterable[Question]:
        """Yield the questions about a tree's pickings, which stand before all else on the first page."""
        for asked, entry in self._unnoted():
            if asked.bearing.tree == tree.tag:
                ask = self._ask(asked, entry)
                parts = (f"{ask.title}, {ask.since}.", ask.question, ask.waits)
                yield Question(text=" ".join(part for part in parts if part), note=ask.note)

    def _questions(self, tree: Tree) -> Iterable[Question]:
        """Yield what is to be looked into at a tree, each with the line that answers it."""
        for asked in self._season.questions.get(tree.tag, ()):
            yield Question(text=words_of(asked), note=self._noting.of_tree(tree))
        for one in open_verdicts(self._season, tree.tag):
            subject = subject_of(self._holding, one.bearing)
            note = self._noting.of_line(subject, Happening.VERDICT, answer(one, subject))
            yield Question(text=question(self._holding, one), note=note)

    def _limb_view(self, bearing: Bearing, tree: Tree) -> LimbView:
        limb, lot = self._holding.limb(bearing), self._plan.lots.get(bearing)
        labels = ((Event.FULL_BLOOM, _("Full bloom")), (Event.PICK, _("Pick")), (Event.LEAF_FALL, _("Leaf fall")))
        dates = [d for event, label in labels if (d := self._date_of(bearing, event, label)) is not None]
        why_not = []
        for event in (Event.FULL_BLOOM, Event.PICK):
            dated = self._season.of(bearing, event)
            if isinstance(dated, NoDate):
                why_not.append(words_of(dated.reason) + (f"; {words_of(dated.remedy)}" if dated.remedy else ""))
        if lot:
            why_not += [f"{term(stage.value)}: {words_of(reason)}" for stage, reason in lot.undated.items()]
        return LimbView(
            cultivar=self.link(limb.name, self._paths.cultivar(limb.key)),
            crop=term(bearing.crop),
            next=next_date(self._season, bearing, lot),
            strip=strip_of(self._plan, bearing, lot),
            signs=tuple(
                replace(line, drawing=line.drawing if line.drawing in OF_THE_HAND else "")
                for line in self._sign_lines(limb.traits, limb.own)
            ),
            firmness=firmness_of(self._plan, bearing, self._noted(tree)),
            years=years_of(self._plan, bearing, self._noted(tree)),
            plainly=plain_why(self._season.of(bearing, Event.PICK)),
            pollen=self._pollen.of(bearing),
            dates=tuple(dates),
            after_pick=tuple(
                self._stage(term(label), lot.days[stage])
                for stage, label in _AFTER_PICK
                if lot and stage in lot.days and (lot.lies_cold or stage is not Stage.TAKE_OUT)
            ),
            steps=tuple(quote for reason in (lot.reasons if lot else ()) for quote in self._step(reason)),
            why_not=tuple(why_not),
            expected=_crop_words(lot, metric=self._holding.place.metric_first) if lot else "",
            batches=self.lying(lot.batches if lot else ()),
            alternatives=tuple(
                self.quote(f"{week_day(way.ready.likely)}", words_of(way.what), way.cited)
                for way in (lot.alternatives if lot else ())
            ),
            alert=alert_words(lot.alerts) if lot else "",
        )

    def _step(self, reason: Reason) -> Iterable[Quote]:
        """Yield a step in a lot's life with each that says so, or once without where nobody is named."""
        if not reason.cited:
            yield Quote(label="", text=words_of(reason.why), mark="", source="", source_href="")
        for cited in reason.cited:
            yield self.quote("", words_of(reason.why), cited)

    def _past(self, tree: Tree) -> tuple[PastSeason, ...]:
        by_season: dict[int, list[Past]] = {}
        names = {limb.key: limb.name for limb in tree.limbs}
        for record in self._noted(tree):
            of = ", ".join(part for part in (names.get(record.cultivar, ""), term(record.crop)) if part)
            (much, word), (day, iso) = noted_words(record), noted_day(record)
            by_season.setdefault(record.season, []).append(
                Past(
                    day=day,
                    iso=iso,
                    what=term(record.what.value),
                    of=of,
                    amount=much,
                    note=word,
                )
            )
        return tuple(
            PastSeason(title=str(season), lines=tuple(by_season[season])) for season in sorted(by_season, reverse=True)
        )

    def _noted(self, tree: Tree) -> list[Record]:
        """Return what is known of a tree, without what another in its place did before it."""
        return list(of_those_that_stand(r for r in self._holding.noted(tree.tag) if r.day <= self._season.as_of))

    def cultivar(self, limb: Cultivar) -> KindPage:
        """Return a cultivar's page."""
        bearings = [bearing for bearing in self._season.bearings if bearing.cultivar == limb.key]
        fruit = limb.fruit
        return self._kind(
            title=limb.name,
            also=limb.also,
            fruit=self.link(term(fruit.name), self._paths.fruit(fruit.key)) if fruit else None,
            traits=limb.traits,
            own=limb.own,
            keys={limb.key, fruit.key if fruit else limb.key},
            bearings=bearings,
            kinds=(),
            text=limb.text,
            photos=self.photos("cultivars", limb.key),
        )

    def fruit(self, fruit: Fruit) -> KindPage:
        """Return a fruit's page."""
        bearings = [b for b in self._season.bearings if (of := self._holding.limb(b).fruit) and of.key == fruit.key]
        grown = [limb for limb in self.grown() if limb.fruit and limb.fruit.key == fruit.key]
        foreign = {one.name for one in fruit.abroad}
        page = self._kind(
            title=term(fruit.name),
            also=tuple(name for name in fruit.also if name not in foreign),
            fruit=None,
            traits=fruit.traits,
            own=fruit.traits,
            keys={fruit.key},
            bearings=bearings,
            kinds=tuple(self.link(limb.name, self._paths.cultivar(limb.key)) for limb in grown),
            text=fruit.text,
            photos=self.photos("fruits", fruit.key),
        )
        return replace(page, facts=(*page.facts, *self._abroad(fruit.abroad)))

    def _abroad(self, names: Iterable[Abroad]) -> tuple[Quote, ...]:
        """Return what a fruit is called in other languages, those of one source together."""
        together: dict[tuple[object, ...], list[Abroad]] = {}
        for one in names:
            together.setdefault((one.cited.mark, one.cited.source), []).append(one)
        return tuple(
            self.quote(
                _("In other languages"),
                ", ".join(f"{one.name} ({', '.join(one.languages)})" for one in of),
                of[0].cited,
            )
            for of in together.values()
        )

    def _kind(  # noqa: PLR0913 - what differs between a fruit's page and a cultivar's
        self,
        *,
        title: str,
        also: tuple[str, ...],
        fruit: Link | None,
        traits: Traits,
        own: Traits,
        keys: set[str],
        bearings: list[Bearing],
        kinds: tuple[Link, ...],
        text: str,
        photos: tuple[PhotoView, ...],
    ) -> KindPage:
        return KindPage(
            title=title,
            also=also,
            fruit=fruit,
            rows=self.rows(bearings),
            kinds=kinds,
            signs=self._signs(traits, own),
            figures=self._trait_figures(traits, own),
            windows=tuple(
                self.quote(
                    term(window.event.value).capitalize() + of_crop(window.crop),
                    f"{stretch_words(window.text)}, {window.place_name}"
                    if window.place_name
                    else stretch_words(window.text),
                    window.cited,
                    window.note,
                    leans=window not in own.windows,
                )
                for window in sorted(traits.windows, key=lambda w: (list(Event).index(w.event), w.crop))
            ),
            drops=tuple(
                self.quote(_capital(when_words(drop.when)), term(drop.text), drop.cited) for drop in traits.drops
            ),
            facts=tuple(
                replace(
                    self.quote(term(fact.what), amount(fact.text), fact.cited, leans=fact not in own.facts),
                    lang=_lang(fact.text, fact.cited),
                    label_lang=_lang(fact.what, fact.cited),
                )
                for fact in traits.facts
            ),
            preserves=tuple(self._preserve(p, bearings) for p in offered(self._plan) if p.subjects & keys),
            methods=tuple(
                self.link(term(preserve.name), self._paths.preserve(preserve.key))
                for preserve in preserves_with_page(self._plan)
                if preserve.subjects & keys
            ),
            cautions=self.cautions(traits.cautions),
            photos=photos,
            unsafe=self.unsafe(
                traits.cautions,
                text,
                *(fact.text for fact in traits.facts if is_own(fact.cited)),
                *(sign.text for sign in traits.signs if is_own(sign.cited)),
            ),
            text=self.body(text),
        )

    def _signs(self, traits: Traits, own: Traits) -> tuple[Quote, ...]:
        """Return the tests of when to pick, in the order in which they are made."""
        return tuple(
            self.quote(term(sign.sense).capitalize(), term(sign.text), sign.cited, leans=sign not in own.signs)
            for sign in in_turn(traits.signs)
        )

    def _sign_lines(self, traits: Traits, own: Traits) -> tuple[SignLine, ...]:
        return tuple(
            SignLine(sign=quote, drawing=drawing_of(sign))
            for quote, sign in zip(self._signs(traits, own), in_turn(traits.signs), strict=True)
        )

    def tests(self) -> TestsPage:
        """Return the page of how each fruit that grows here is known to be ready, with every drawing there is."""
        fruits = {limb.fruit.key: limb.fruit for limb in self.grown() if limb.fruit and limb.fruit.traits.signs}
        lines = {key: self._sign_lines(fruit.traits, fruit.traits) for key, fruit in fruits.items()}
        tasks = {entry.task.key: entry.task for entry in self._plan.calendar.entries if entry.task.key in TESTING}
        return TestsPage(
            drawings=tuple(dict.fromkeys(line.drawing for of in lines.values() for line in of if line.drawing)),
            fruits=tuple(
                FruitTests(fruit=self.link(term(fruit.name), self._paths.fruit(key)), signs=lines[key])
                for key, fruit in sorted(fruits.items(), key=lambda pair: term(pair[1].name))
            ),
            hazards=together(hazard for task in tasks.values() for hazard in hazards_of(task.cautions)),
        )

    def _trait_figures(self, traits: Traits, own: Traits) -> tuple[Quote, ...]:
        found = []
        for name, label in _FIGURES:
            if name in _OF_POLLINATION and Matter.POLLINATION in self._holding.place.without:
                continue
            value, mine = getattr(traits, name), getattr(own, name)
            leans = bool(value) and value != mine
            for figure in value if isinstance(value, tuple) else (value,):
                if figure is None:
                    continue
                if isinstance(figure, Figure):
                    crop = of_crop(figure.crop)
                    found.append(self.figure(term(label) + crop, figure, leans=leans))
                else:
                    base = self._holding.cultivars.get(figure.base)
                    text = f"{when_words(figure.text)} {base.name if base else figure.base}"
                    found.append(self.quote(term(label), text, figure.cited, leans=leans))
        return tuple(found)

    def _preserve(self, preserve: Preserve, bearings: Sequence[Bearing]) -> Quote:
        if preserve.method is PutUp.CANNER and preserve.process is not None:
            barred = self._barred(preserve, bearings)
            if barred is not None:
                text = _("not into jars: {reason}; {instead}", reason=words_of(barred), instead=instead_words(barred))
                return self.quote(term(preserve.name), text, barred.cited or preserve.process.cited)
            text = _("in jars, by the published process “{process}”.", process=term(preserve.process.text))
            if self._plan.kitchen is None:
                text += " " + _(
                    "The minutes hang on jar and height: tell of your kitchen in place.md to have them here."
                )
            else:
                text += " " + _(
                    "The minutes for jar and height stand with each kitchen and on the cards for the stove."
                )
            if preserve.acid is not None:
                text += " " + _("Acid: {acid}.", acid=term(preserve.acid.text))
            return self.quote(term(preserve.name), text, preserve.process.cited)
        cited = preserve.keeps.cited if preserve.keeps else None
        text = _("in the {method}", method=term(preserve.method.value))
        if preserve.keeps:
            text = _("{way}; keeps {keeps}", way=text, keeps=amount(preserve.keeps.text))
        if cited is not None:
            return self.quote(term(preserve.name), text, cited)
        return Quote(label=term(preserve.name), text=text, mark="", source="", source_href="")

    def _barred(self, preserve: Preserve, bearings: Sequence[Bearing]) -> NoMinutes | None:
        """Return why none of these bearings' fruit may go into the jars of a preserve; None where some may."""
        process = preserve.process.value if preserve.process else ""
        made_of = [bearing for bearing in bearings if is_made_of(self._holding, preserve, bearing)]
        found = [not_for_jars(self._holding, bearing, process) for bearing in made_of]
        return found[0] if found and all(found) else None

    def jobs(self) -> JobsPage:
        """Return the list of tasks that stand in this season's calendar."""
        due = {entry.task.key: entry.task for entry in self._plan.calendar.entries}
        topics: dict[str, list[Link]] = {}
        for task in sorted(due.values(), key=lambda t: (in_order(term(t.name)), t.key)):
            topics.setdefault(term(task.topic.value), []).append(self.link(term(task.name), self._paths.task(task.key)))
        whole = (
            (self._paths.task(task.key).partition("#")[2], self.task(task))
            for task in (due.values() if self._paths.folded else ())
        )
        return JobsPage(
            topics=tuple((topic, tuple(links)) for topic, links in sorted(topics.items())),
            tasks=tuple(sorted(whole, key=lambda one: (one[1].topic, in_order(one[1].title)))),
        )

    def task(self, task: Task) -> TaskPage:
        """Return a task's page."""
        entries = self._of_task.get(task.key, [])
        when = when_words(task.when.text)
        if task.until:
            when = _("{first} until {last}", first=when, last=when_words(task.until.text))
        every = f", {rhythm_words(task.every)}" if task.every else ""
        first = min((entry.span.first for entry in entries), default=self._season.year.first)
        last = max((day for entry in entries for day in entry.days), default=first)
        starts = [(entry.span.first, entry) for entry in sorted(entries, key=lambda e: (e.span.first, title_of(e)))]
        blocks = self.day_blocks([entry for _, entry in starts], Span(first=first, last=max(first, last)))
        return TaskPage(
            title=term(task.name),
            when=when + every,
            topic=term(task.topic.value),
            who=term(task.who),
            bring=tuple(term(thing) for thing in task.bring),
            why=tuple(self._meant(task.why)),
            look_for=tuple(self._meant(task.look_for)),
            cautions=self.cautions(task.cautions),
            photos=self.photos("tasks", task.key),
            unsafe=self.unsafe(
                task.cautions,
                task.name,
                task.text,
                *(figure.text for figure in (*task.why, *task.look_for) if is_own(figure.cited)),
            ),
            days=blocks,
            text=self.body(task.text),
            note=self._noting.of_task(task, self._soonest(entries)),
            next=next((day for day in blocks if day.iso >= self._season.as_of.isoformat()), None),
        )

    def _meant(self, figures: Iterable[Figure[str]]) -> Iterable[Quote]:
        """Yield words of a job, those meant for some fruit or cultivar with its name, where any of it is grown."""
        grown = {limb.key: limb.name for limb in self.grown()}
        fruits = {limb.fruit.key: term(limb.fruit.name) for limb in self.grown() if limb.fruit}
        tags = {tree.tag: tree.tag for tree in self._holding.trees}
        for figure in figures:
            names = {key: name for key, name in {**tags, **fruits, **grown}.items() if key in figure.subjects}
            if names or not figure.subjects:
                yield self.figure(", ".join(dict.fromkeys(names.values())), figure)

    def _soonest(self, entries: Sequence[Entry]) -> list[Entry]:
        """Return the entries that begin next, or began last where none is ahead."""
        today = self._season.as_of
        ahead = [entry.span.first for entry in entries if entry.span.last >= today]
        day = min(ahead) if ahead else max((entry.span.first for entry in entries), default=None)
        return [entry for entry in entries if entry.span.first == day]

    def year(self) -> YearPage:
        """Return the page of the whole year."""
        months = self.months()
        rows = self.rows(self._season.bearings)
        return YearPage(
            months=tuple(
                (
                    self.link(month_name(span.first.year, span.first.month), self._paths.month(span.first)),
                    tuple(
                        self.link(_("week of {day}", day=week_day(week.first)), self._paths.week(week.first))
                        for week in ([] if self._paths.folded else self.weeks())
                        if (week.first.year, week.first.month) == (span.first.year, span.first.month)
                    ),
                )
                for span in months
            ),
            stretches=tuple(
                (
                    self._paths.month(span.first).partition("#")[2],
                    self._stretch(span, month_name(span.first.year, span.first.month)),
                )
                for span in (months if self._paths.folded else ())
            ),
            rows=rows,
            drawing=draw(self._plan, rows, self._sessions()),
        )

    def _sessions(self) -> dict[Bearing, dict[date, tuple[Link, ...]]]:
        """Return the days in the kitchen that put a bearing's fruit up, each with its sessions' pages."""
        found: dict[Bearing, dict[date, tuple[Link, ...]]] = {}
        for session in self._plan.kitchen.sessions if self._plan.kitchen else ():
            said = _("{day} in the {kitchen}", day=week_day(session.day), kitchen=session.kitchen.name)
            link = self.link(said, self._paths.session(session_subject(session)))
            for bearing in {used.batch.bearing for making in session.makings for used in making.fruit}:
                days = found.setdefault(bearing, {})
                days[session.day] = (*days.get(session.day, ()), link)
        return found

    def dates(self) -> DatesPage:
        """Return the page on how dates are made."""
        days = [
            (_("A printed pick against what it is meant for"), spreads.PRINTED_D),
            (_("A ground’s picking against its warmth, one cultivar"), spreads.SITE_OF_CULTIVAR_D[Event.PICK]),
            (_("the same, one fruit"), spreads.SITE_OF_FRUIT_D[Event.PICK]),
            (_("the same, all fruits"), spreads.SITE_D[Event.PICK]),
            (_("A cultivar that leans on its fruit"), spreads.CULTIVAR_ON_FRUIT_D[Event.PICK]),
            (_("A tree against its cultivar"), spreads.TREE_D),
            (_("A year against the mean, at bloom"), spreads.YEAR_AT_BLOOM_D),
            (_("A year against the mean, at picking"), spreads.YEAR_AT_PICK_D),
            (_("Chance, for one event"), spreads.NOISE_D),
        ]
        zone = self._holding.place.ground.zone
        return DatesPage(
            spreads=tuple(Spread(name=name, value=n_("{n:g} day", "{n:g} days", value)) for name, value in days),
            zones=self._zones(),
            within_zone=n_("{n} day", "{n} days", round(usual_of(self._holding).within_zone_d(Event.PICK, zone)))
            if zone
            else "",
            undated=tuple(
                (words_of(item.what), undated_words(item), words_of(item.remedy) if item.remedy else "")
                for item in self._plan.calendar.undated
            ),
            warmth=self._warmth(),
            zone=_("{zone} on the {zone_map} map", zone=zone, zone_map=self._holding.place.ground.zone_map)
            if zone and self._holding.place.ground.zone_map
            else str(zone or ""),
        )

    def _zones(self) -> tuple[ZoneShift, ...]:
        """Return what each hardiness zone is worth beside the place's own."""
        here = self._holding.place.ground.zone
        if here is None or not len(self._holding.stations):
            return ()
        usual = usual_of(self._holding)
        return tuple(
            ZoneShift(
                zone=str(zone),
                bloom=whole_shift_words(usual.between_zones(Event.FULL_BLOOM, here, zone)),
                pick=whole_shift_words(usual.between_zones(Event.PICK, here, zone)),
                leaf_fall=whole_shift_words(usual.between_zones(Event.LEAF_FALL, here, zone)),
            )
            for zone in _ZONES
        )

    def hindcast(self) -> HindcastPage:
        """Return the page of past seasons played again."""
        replays = self._plan.replays
        seasons = sorted({replay.season for replay in replays}, reverse=True)
        return HindcastPage(
            scores=score_words(replays),
            seasons=tuple(
                ReplaySeason(
                    title=str(season),
                    scores=score_words([replay for replay in replays if replay.season == season]),
                    lines=tuple(self._replay(replay) for replay in replays if replay.season == season),
                )
                for season in seasons
            ),
        )

    def _replay(self, replay: Replay) -> ReplayLine:
        bearing = replay.bearing
        crop = of_crop(bearing.crop)
        return ReplayLine(
            tree=self.link(bearing.tree, self._paths.tree(bearing.tree)),
            what=_("{event} of {limb}", event=term(replay.event.value), limb=self._holding.limb(bearing).name + crop),
            seen=week_day(replay.seen),
            iso=replay.seen.isoformat(),
            before=off_words(replay.error_of(replay.said.get(Moment.BEFORE))),
            days_30=off_words(replay.error_of(replay.said.get(Moment.AHEAD_30))),
            days_14=off_words(replay.error_of(replay.said.get(Moment.AHEAD_14))),
            days_7=off_words(replay.error_of(replay.said.get(Moment.AHEAD_7))),
            after_bloom=off_words(replay.error_of(replay.said.get(Moment.AFTER_BLOOM))),
            plain=off_words(replay.error_of(replay.plain)),
        )

    def _warmth(self) -> tuple[str, ...]:
        """Say what warmth foretold and where it could not, if there is weather at all."""
        weather = self._holding.weather
        if not weather.days:
            return ()
        said = []
        for told in self._season.forecasts:
            if isinstance(told, NoForecast):
                said.append(
                    _(
                        "{of}, {event}: nothing is foretold, {reason}.",
                        of=told.of,
                        event=term(told.event.value),
                        reason=words_of(told),
                    )
                )
            else:
                name = self._holding.limb(told.bearing).name
                said.append(
                    _(
                        "{event} of {name} ({tree}): {told}.",
                        event=term(told.event.value).capitalize(),
                        name=name,
                        tree=told.bearing.tree,
                        told=words_of(told),
                    )
                )
        return (*said, *(f"{gap_words(gap).capitalize()}." for gap in weather.gaps))

    def sources(self) -> SourcesPage:
        """Return the sources cited by the pages made so far, and those of the stations, whose licence asks for it."""
        cited = self._cited | set(self._holding.stations.sources)
        known = [self._holding.sources[key] for key in sorted(cited) if key in self._holding.sources]
        lines = [SourceLine(anchor=self._paths.source(source).partition("#")[2], text=str(source)) for source in known]
        return SourcesPage(lines=tuple(sorted(lines, key=lambda line: in_order(line.text))))


def _trees_of(task: Task, entries: Iterable[Entry]) -> frozenset[str]:
    """Return the trees that a job is done at, or whose boxes it is about; none for work in the kitchen or all over."""
    if task.topic is Topic.KITCHEN or task.each is Each.PLACE:
        return frozenset()
    return frozenset(bearing.tree for entry in entries for bearing in entry.bearings)


def _held(entries: Iterable[Entry]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(told for entry in entries if (told := told_of(entry))))


def _crop_words(lot: Lot, *, metric: bool) -> str:
    if isinstance(lot.crop, Unweighed):
        return _("how much there will be is not known: {reason}", reason=words_of(lot.crop.reason))
    why = "; ".join(words_of(reason.why) for reason in lot.crop.reasons)
    return f"{pounds_words(lot.crop.weight, metric=metric)}. {why}"


def _source_words(cited: Cited) -> str:
    source = cited.source
    if source is None:
        return ""
    year = f" {source.year}" if source.year else ""
    page = f", {cited.page}" if cited.page else ""
    return f"{source.author}{year}{page}"


def _at_words(figure: Figure[Any]) -> str:
    at = figure.at_c
    return "" if at is None else " " + _("at {degrees}", degrees=degrees(at.low, at.high))


def _lang(text: str, cited: Cited) -> str:
    """Return the language of a figure's words where it is another than the page's; the household's own are in that."""
    return ENGLISH if cited.mark is not Mark.OWN and is_foreign(text) else ""


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _span_note(every: Rhythm | None, span: Span) -> str:
    if span.first == span.last:
        return ""
    rhythm = f", {rhythm_words(every)}" if every else ""
    return f"{span_words(span)}{rhythm}"


def _told_once(days: Iterable[DayBlock]) -> Iterator[DayBlock]:
    """Yield days of which each job tells the stretch it lies in once, on the first of them."""
    told: set[tuple[str, str, str]] = set()
    for day in days:
        spans = [(item.task.href, item.what, item.span) for item in day.items]
        again = zip(day.items, spans, strict=True)
        yield replace(day, items=tuple(replace(item, span="") if of in told else item for item, of in again))
        told.update(spans)


def _apart(later: Folded, told: set[str]) -> Folded:
    """Return a later day with those hazards apart that today tells whole."""
    new = tuple(hazard for hazard in later.day.hazards if not told.issuperset(hazard.texts))
    again = tuple(hazard for hazard in later.day.hazards if told.issuperset(hazard.texts))
    return replace(later, day=replace(later.day, hazards=new), again=again)
