"""What makers of pages share: links from where a page lies, figures with their sources, photos, and cautions."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from datetime import date
from functools import cached_property
from typing import Any, Final, TypeVar

from msgspec.structs import replace

from firmripe.calendar.entry import Entry
from firmripe.calendar.pickings import comes_with_each
from firmripe.calendar.unanswered import Open
from firmripe.holding.figures import Cited, Figure, Mark, Meant
from firmripe.holding.fruit import Cultivar, FlowerGroup, Fruit
from firmripe.holding.record import PICKINGS, Happening
from firmripe.holding.task import Task, Topic
from firmripe.holding.tree import Bearing
from firmripe.holding.unsafe import Unsafe, unsafe_in
from firmripe.holding.weight import Weight
from firmripe.plan import Plan
from firmripe.problems import Where, in_order
from firmripe.publish.contents import main_pages
from firmripe.publish.hazards import LADDER, kind_of
from firmripe.publish.markdown import to_html
from firmripe.publish.own_words import caution_words, heeded, is_own
from firmripe.publish.pages.by_row import row_parts
from firmripe.publish.pages.narrowing import Choosing
from firmripe.publish.pages.note import Noting
from firmripe.publish.pages.pollen import Pollen
from firmripe.publish.paths import Paths, photo_path
from firmripe.publish.views import Link, PhotoView, Quote
from firmripe.tongue import ENGLISH, Tongue, mark
from firmripe.wording.holding import weight_words
from firmripe.words import amount, degrees, far_day, in_own_units, is_foreign

MANY_CROPS: Final = 70
"""Beyond so many crops, pages that tell of all do so kind by kind, and each tree's own page tells the rest.

A crop takes up to 1.7 kB of the year's page, so that so many make 120 kB of the 150 that a phone takes. J.
"""
_BLOOMS = (mark("very early"), mark("early"), mark("middle"), mark("late"), mark("very late"))

MOST_YEARS: Final = 300
"""Beyond so many years of crops the year in review tells them kind by kind: each takes 0.4 kB of its page. J."""

M = TypeVar("M", bound=Meant)
T = TypeVar("T")


class PageContext:
    """What the makers of pages share: one plan, and links for pages that lie `top` below the top of the site.

    `top` is `""` or `"../"`. Sources that a page names are added to `cited`. `worker` is the path of the script that
    keeps the pages for when there is no signal, empty where none does.
    `is_by_kind` says that there are too many crops to tell of each on pages that tell of all. `rows` are the parts of
    an orchard with too many trees to list them on one page; there are none where one is enough.
    """

    def __init__(self, plan: Plan, paths: Paths, top: str, cited: set[str], worker: str = "") -> None:
        self.plan = plan
        self.tongue = plan.holding.place.tongue
        self.worker = worker
        self.paths = paths
        self.top = top
        self.cited = cited
        self.holding = plan.holding
        self.season = plan.season
        self.is_by_kind = len(plan.season.bearings) > MANY_CROPS
        self.rows = row_parts(plan.holding.trees)
        self.main_pages = main_pages(plan)
        self.choosing = Choosing(plan.holding, self.rows)
        self.noting = Noting(plan, top)
        self.pollen = Pollen(plan)
        self._made: dict[Hashable, Any] = {}
        self.walk: dict[str, int] = {tree.tag: at for at, tree in enumerate(plan.holding.trees)}
        self.entries_of_tree: dict[str, list[Entry]] = {}
        self.entries_of_task: dict[str, list[Entry]] = {}
        for entry in plan.calendar.entries:
            self.entries_of_task.setdefault(entry.task.key, []).append(entry)
            tags = {bearing.tree for bearing in entry.bearings}
            if entry.subject and len(tags) == 1:
                self.entries_of_tree.setdefault(tags.pop(), []).append(entry)

    @cached_property
    def unnoted(self) -> tuple[tuple[Open, Entry], ...]:
        """The pickings whose day has come and of which nothing was noted, each with its job."""
        jobs = {
            (entry.season, bearing): entry
            for entry in reversed(self.plan.calendar.entries)
            if entry.task.instead_of
            or (comes_with_each(entry.task) and entry.task.topic is Topic.ORCHARD and not entry.task.when.days)
            for bearing in entry.bearings
            if not entry.seen
        }
        told = ((one, jobs.get((one.season, one.bearing))) for one in self.plan.asked)
        return tuple((one, entry) for one, entry in told if entry is not None)

    @cached_property
    def unnoted_of_tree(self) -> dict[str, list[tuple[Open, Entry]]]:
        """The same by the tags of their trees."""
        found: dict[str, list[tuple[Open, Entry]]] = {}
        for one, entry in self.unnoted:
            found.setdefault(one.bearing.tree, []).append((one, entry))
        return found

    def once(self, of: Hashable, make: Callable[[], T]) -> T:
        """Return what was made for the same before, or make it: pages of many kinds show the same days and dates.

        `of` begins with a word for what is made, which each maker has to itself.
        """
        if of not in self._made:
            self._made[of] = make()
        made: T = self._made[of]
        return made

    def link(self, text: str, path: str) -> Link:
        """Return a link from the page to a path from the site's top."""
        return Link(text=text, href=self.top + path)

    def pounds(self, weight: Weight | None) -> str:
        """Say a weight in the household's unit; empty where it is not known."""
        return "" if weight is None else weight_words(self.tongue, weight)

    def day(self, day: date) -> str:
        """Say a day, with its year where that is far from the day the page is made."""
        return far_day(self.tongue, day, self.season.as_of)

    def quote(self, label: str, text: str, cited: Cited, note: str = "", *, leans: bool = False) -> Quote:
        """Return a figure in words with where it comes from."""
        source, href = "", ""
        label, text = (said if is_own(cited) else in_own_units(self.tongue, said) for said in (label, text))
        if cited.source is not None:
            self.cited.add(cited.source.key)
            path = self.paths.source(cited.source)
            href = self.top + path if path else ""
            source = short_source(cited)
        return Quote(
            label=label,
            text=text,
            mark=self.tongue.term(cited.mark.value),
            source=source,
            source_href=href,
            note=note,
            leans=leans,
        )

    def cautions(self, figures: Iterable[Figure[str]]) -> tuple[Quote, ...]:
        """Return cautions: the published ones first, then the household's own, marked; nothing unsafe."""
        return tuple(self._caution(figure) for figure in heeded(figures))

    def _caution(self, figure: Figure[str]) -> Quote:
        quote = replace(self.figure("", figure), text=caution_words(self.tongue, figure))
        return replace(quote, mark=self.tongue.term(Mark.OWN.value)) if is_own(figure.cited) else quote

    def photos(self, folder: str, key: str) -> tuple[PhotoView, ...]:
        """Return the photos that a note names, by its folder and its name."""
        return tuple(
            PhotoView(
                href=f"{self.top}{photo_path(photo)}",
                alt=photo.alt or self.tongue.say("a photo that nobody has described yet"),
                width=photo.width,
                height=photo.height,
            )
            for photo in self.holding.photos_of(folder, key)
        )

    def unsafe(self, figures: Iterable[Figure[str]], *texts: str) -> tuple[Quote, ...]:
        """Return what a household wrote on a page against the published ways, with what is published instead.

        Of `figures` the whole is told, since it stands nowhere else; of `texts` the words, since they stand there.
        """
        told = [(figure.text, one) for figure in figures if is_own(figure.cited) for one in unsafe_in(figure.text)]
        told += [(one.words, one) for text in texts if text not in self.holding.shelf_texts for one in unsafe_in(text)]
        return tuple(self._against(words, one) for words, one in dict.fromkeys(told))

    def _against(self, words: str, unsafe: Unsafe) -> Quote:
        source = self.holding.sources.get(unsafe.rule.source)
        text = (
            self.tongue.say("You wrote “{words}”. Don’t do it so.", words=words.rstrip(" .!"))
            + " "
            + self.tongue.term(unsafe.rule.published)
        )
        if source is None:
            return Quote(label="", text=text, mark="", source="", source_href="")
        cited = Cited(mark=Mark.READ, source=source, page="", where=Where(""))
        return self.quote("", text, cited)

    def body(self, text: str) -> str:
        """Return a note's text as clean HTML; that of a note of the shelf is in English whatever the page is in."""
        is_of_the_shelf = text in self.holding.shelf_texts
        html = to_html(in_own_units(self.tongue, text) if is_of_the_shelf else text)
        is_english = self.tongue.code == ENGLISH or not is_of_the_shelf
        return html if is_english or not html else f'<div lang="{ENGLISH}">\n{html}\n</div>'

    def figure(self, label: str, figure: Figure[Any], *, leans: bool = False) -> Quote:
        """Return a figure with its label, its temperature and its note."""
        tongue = self.tongue
        if isinstance(figure.value, FlowerGroup):
            return self.quote(
                label, _group_words(tongue, figure.value), figure.cited, tongue.term(figure.note), leans=leans
            )
        at = _at_words(tongue, figure)
        quote = self.quote(
            label,
            amount(tongue, figure.text) + at,
            figure.cited,
            in_own_units(tongue, tongue.term(figure.note)),
            leans=leans,
        )
        return replace(
            quote,
            lang=language_of(tongue, figure.text, figure.cited),
            note_lang=language_of(tongue, figure.note, figure.cited),
        )

    @cached_property
    def is_reviewed_by_kind(self) -> bool:
        """Whether there are too many crops, or too many years of them, to look back on each."""
        picked = {(r.tree, r.cultivar, r.crop, r.season) for r in self.holding.records if r.what in PICKINGS}
        return self.is_by_kind or len(picked) > MOST_YEARS

    @cached_property
    def entries_of_day(self) -> dict[date, list[Entry]]:
        """Return the entries of each day that has any, the days in their order."""
        found: dict[date, list[Entry]] = {}
        for entry in self.plan.calendar.entries:
            for day in entry.days:
                found.setdefault(day, []).append(entry)
        return dict(sorted(found.items()))

    @cached_property
    def lasting(self) -> tuple[Entry, ...]:
        """The entries of more than a day that have no rhythm of their own."""
        entries = self.plan.calendar.entries
        return tuple(entry for entry in entries if entry.every is None and entry.span.first < entry.span.last)

    @cached_property
    def grown(self) -> tuple[Cultivar, ...]:
        """The cultivars that stand on the trees, or of which more is noted than that they are gone, by name."""
        limbs = {
            bearing.cultivar: self.holding.limb(bearing)
            for tree in self.holding.trees
            for bearing in tree.bearings
            if self.season.stands(bearing) or self._is_told_of(bearing)
        }
        found = {key: self.holding.cultivars.get(key, limb) for key, limb in limbs.items()}
        return tuple(sorted(found.values(), key=lambda limb: (in_order(limb.name), limb.key)))

    @cached_property
    def grown_fruits(self) -> tuple[Fruit, ...]:
        """The fruits of these cultivars, each once."""
        return tuple({limb.fruit.key: limb.fruit for limb in self.grown if limb.fruit}.values())

    @cached_property
    def has_ladders(self) -> bool:
        """Whether anything that is done here is done from a ladder."""
        entries = self.plan.calendar.entries
        told = (self.holding.needed_for(entry.task.cautions, entry.bearings) for entry in entries)
        return any(kind_of(caution.text) == LADDER for cautions in told for caution in cautions)

    def bearings_of(self, task: Task) -> tuple[Bearing, ...]:
        """Return what the season's jobs of a task are about, each once."""
        entries = self.entries_of_task.get(task.key, ())
        return tuple(dict.fromkeys(bearing for entry in entries for bearing in entry.bearings))

    def needed(self, task: Task, told: Iterable[M]) -> tuple[M, ...]:
        """Return what of a task's cautions, or of what is brought to it, is meant for anything its jobs are about."""
        return self.holding.needed_for(told, self.bearings_of(task))

    def _is_told_of(self, bearing: Bearing) -> bool:
        return any(bearing in lots for lots in self.plan.lots_by_season.values()) or any(
            record.what is not Happening.REMOVED and record.is_about(bearing.tree, bearing.cultivar, bearing.crop)
            for record in self.holding.noted(bearing.tree)
        )


def _group_words(tongue: Tongue, group: FlowerGroup) -> str:
    """Say when a kind blooms beside others, as `group 3 of 7, with those from 2 to 4` or `early to middle`."""
    if group.of:
        groups = str(group.low) if group.low == group.high else f"{group.low}–{group.high}"
        first, last = max(1, group.low - 1), min(group.of, group.high + 1)
        return tongue.say(
            "group {group} of {of}, together with groups {first} to {last}",
            group=groups,
            of=group.of,
            first=first,
            last=last,
        )
    first_word, last_word = (tongue.term(_BLOOMS[at]) for at in (group.low, group.high))
    return first_word if group.low == group.high else tongue.say("{first} to {last}", first=first_word, last=last_word)


def short_source(cited: Cited) -> str:
    """Say where a figure stands in short: author, year and page; empty for the household's own."""
    if cited.source is None:
        return ""
    page = f", {cited.page}" if cited.page else ""
    return f"{cited.source.in_short}{page}"


def _at_words(tongue: Tongue, figure: Figure[Any]) -> str:
    at = figure.at_c
    return "" if at is None else " " + tongue.say("at {degrees}", degrees=degrees(tongue, at.low, at.high))


def language_of(tongue: Tongue, text: str, cited: Cited) -> str:
    """Return the language of a figure's words where it is another than the page's; the household's own are in that."""
    return ENGLISH if cited.mark is not Mark.OWN and is_foreign(tongue, text) else ""
