"""From the plan to the files of the site, in memory."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Hashable, Mapping, Sequence
from functools import partial
from gettext import NullTranslations
from pathlib import Path
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from firmripe.holding.place import Place
from firmripe.holding.theme import OwnTheme
from firmripe.holding.tree import Tree
from firmripe.kitchen.plan.kitchen_plan import KitchenPlan
from firmripe.lately import Lately
from firmripe.plan import Plan, without_prose
from firmripe.publish.audience import on_pages
from firmripe.publish.characters import readable
from firmripe.publish.codes import in_one_piece, whole_codes
from firmripe.publish.contents import preserves_with_page
from firmripe.publish.feeds.feed import Feed, Feeds
from firmripe.publish.feeds.files import make_feeds
from firmripe.publish.ledger import Ledger
from firmripe.publish.offline import WORKER, worker_script
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.dates import dates_page
from firmripe.publish.pages.days import all_months, all_weeks, fortnight, month_page, week_page
from firmripe.publish.pages.frame import site_view
from firmripe.publish.pages.front import front_page
from firmripe.publish.pages.harvest import Harvest
from firmripe.publish.pages.hindcast import hindcast_page
from firmripe.publish.pages.jobs import jobs_page, task_page
from firmripe.publish.pages.kinds import cultivar_page, fruit_page
from firmripe.publish.pages.kitchen import Kitchens
from firmripe.publish.pages.people import people_page
from firmripe.publish.pages.places import StandingSite, by_name, places_frame, places_page
from firmripe.publish.pages.plaintext import stove_text, week_text
from firmripe.publish.pages.preserves import Preserves
from firmripe.publish.pages.review import Reviewing
from firmripe.publish.pages.safety import Safety
from firmripe.publish.pages.search_names import NAMES, TREES, names_script, places_script, trees_script
from firmripe.publish.pages.sheets import Sheets
from firmripe.publish.pages.since import LookingBack
from firmripe.publish.pages.sources import sources_page
from firmripe.publish.pages.stand import stand_page
from firmripe.publish.pages.store import Stores
from firmripe.publish.pages.subscribe import calendar_sheet, subscribe_page
from firmripe.publish.pages.supplies import supplies_sheet
from firmripe.publish.pages.tests import tests_page
from firmripe.publish.pages.tree import tree_page
from firmripe.publish.pages.trees import Orchard
from firmripe.publish.pages.year import year_page
from firmripe.publish.paths import SUPPLIES, WEEK_TEXT, Paths, photo_path, text_path
from firmripe.publish.rendered import PAGES
from firmripe.publish.tables import changes_atom, plan_csv, plan_json, rows_of_jobs
from firmripe.publish.theming import Theme
from firmripe.tongue import Tongue

FEED = "feeds/reminders.ics"


def make_site(plan: Plan, theme: Path, feeds: Feeds | None = None, *, kept: bool = True) -> dict[str, bytes]:
    """Return every file of the site by its path from the top.

    `theme` is a folder with `templates` and `static`, over which the household's own theme lies.
    Without `feeds` they are made afresh and stamped with the day of the newest record.
    `kept` lets devices keep the pages for when there is no signal, where the theme has a script for that.
    The same plan, theme and feeds give the same bytes.
    The plan is what its reader gets of it (see `plan_for`). What is for one person alone stands in their feed, and on
    pages of their own alone. Raises ThemeFault.
    """
    made = feeds or make_feeds(plan, Ledger(), plan.changed)
    whole = on_pages(plan)
    facts = whole.of(without_prose(whole.holding))
    tongue, waiting = plan.holding.place.tongue, tuple(one.waiting for one in facts.asked)
    by = Theme(tongue, theme, facts.holding.own_theme)
    of = facts, waiting, said_in(tongue), theme, by.look, made, kept
    site = _sites.made_of(of, lambda: _begun(facts, waiting, by, made, kept=kept), keep=lambda _: by.look is not None)
    files = site.files(whole)
    if Lately.keeper and site.has_new:
        Lately.keeper.keep(_NAME, site.pages(), _MOST)
    return files


def _begun(facts: Plan, waiting: object, theme: Theme, feeds: Feeds, *, kept: bool) -> _Site:
    """Return a site to be told, with the pages of its facts as an earlier run made them, where it did."""
    pages = None
    if Lately.keeper and theme.look:
        groups = [replace(group, feeds=tuple(map(_marked, group.feeds))) for group in feeds.groups]
        said = repr((groups, str(feeds.ledger), feeds.warnings))  # a ledger's lines have no order of their own
        told = said_in(facts.holding.place.tongue), theme.look, hashlib.sha256(said.encode()).digest()
        of = replace(facts, replays=facts.replays.whole), waiting, *told, kept
        pages = Lately.keeper.find(_NAME, of, "plan")
    return _Site(facts, theme, feeds, pages, kept=kept)


def _marked(feed: Feed) -> Feed:
    """Return a feed with a hash of its octets in their place."""
    return replace(feed, data=hashlib.sha256(feed.data).digest())


def make_index(
    sites: Sequence[StandingSite], face: Place, theme: Path, own: OwnTheme | None = None
) -> dict[str, bytes]:
    """Return the files of the page of many places, by their paths beside the folders of the sites.

    `face` gives its name and language, `own` is the theme of the notes where all sites are made of the same.
    Raises ThemeFault.
    """
    made = Theme(face.tongue, theme, own or OwnTheme())
    text = made.render("places.html", site=places_frame(sites, face), view=places_page(sites))
    files = {f"static/{name}": data for name, data in made.static().items()}
    if made.worker():
        files[NAMES] = places_script(by_name(sites))
    return {"index.html": readable(text).encode("utf-8"), **files}


def said_in(tongue: Tongue) -> tuple[Tongue, NullTranslations | None]:
    """Return a language with its catalogue, by which it is told from the same with other words."""
    words = tongue.translations
    return tongue, None if type(words) is NullTranslations else words


class SitePages(Struct, frozen=True):
    """The pages of a site: those of facts alone, those that prose stands on with a hash of it, and what they lean on.

    That is the sources they cite, and the templates they were rendered by.
    """

    files: dict[str, bytes]
    prose: dict[str, tuple[bytes, bytes]]
    cited: frozenset[str]
    templates: frozenset[str]


class _Site:
    """The site of a plan without prose; the pages that prose stands on are made when it is told.

    `pages` are those that an earlier run made of the same.
    """

    def __init__(self, plan: Plan, theme: Theme, feeds: Feeds, pages: SitePages | None, *, kept: bool) -> None:
        self._plan = plan
        self._tongue = plan.holding.place.tongue
        self._feeds = feeds
        self._theme = theme
        self._paths = Paths(plan)
        self._cited: set[str] = set()
        self._files: dict[str, bytes] = {}
        self._kept = kept
        self._codes = whole_codes(tree.tag for tree in plan.holding.trees)
        self._said_in = said_in(plan.holding.place.tongue)
        self._prose: dict[str, tuple[bytes, bytes]] = {}
        self._templates: set[str] = set()
        self.has_new = pages is None
        worker = WORKER if kept else ""
        self._top = PageContext(plan, self._paths, "", self._cited, worker)
        self._below = PageContext(plan, self._paths, "../", self._cited, worker)
        PAGES.begin()
        if pages is None:
            self._make()
        else:
            self._take(pages)

    def _take(self, pages: SitePages) -> None:
        """Take the pages that an earlier run made of the same."""
        self._files = dict(pages.files)
        self._prose = dict(pages.prose)
        self._cited |= pages.cited
        for template in pages.templates:
            self._use(template)

    def pages(self) -> SitePages:
        """Return the pages for the next run."""
        return SitePages(self._files, self._prose, frozenset(self._cited), frozenset(self._templates))

    def files(self, plan: Plan) -> dict[str, bytes]:
        """Return every file, with the prose that a plan of the same facts has."""
        files = dict(self._files)
        trees = plan.holding.trees
        front = plan if len(trees) == 1 else self._with_place(plan.holding.place)
        prose = front.holding.place.text, *(tree.text for tree in front.holding.trees)
        files["index.html"] = self._told("index.html", prose, lambda: self._front(front))
        for tree in trees:
            path = self._paths.tree(tree.tag)
            files[path] = self._told(path, tree.text, partial(self._tree, path, tree))
        cited = tuple(sorted(self._cited))
        files["sources.html"] = self._told("sources.html", cited, self._sources)
        files = {**{f"static/{name}": data for name, data in self._theme.static().items()}, **files}
        files |= self._photos(files)
        return files | self._scripts(files)

    def _told(self, path: str, prose: Hashable, make: Callable[[], bytes]) -> bytes:
        """Return a page that more than facts stand on, as it was last made with the same."""
        former = self._prose.get(path)
        told = hashlib.sha256(repr(prose).encode("utf-8", "surrogatepass")).digest()
        if former is None or former[0] != told:
            self._prose[path] = former = told, make()
            self.has_new = True
        return former[1]

    def _with_place(self, place: Place) -> Plan:
        """Return the plan with what is written of the place, and not of trees that have pages of their own."""
        return self._plan.of(replace(self._plan.holding, place=place))

    def _front(self, plan: Plan) -> bytes:
        context = PageContext(plan, self._paths, "", self._cited, self._top.worker)
        return self._rendered("index.html", "front.html", context, front_page(context))

    def _tree(self, path: str, tree: Tree) -> bytes:
        return self._rendered(path, "tree.html", self._below, tree_page(self._below, tree))

    def _sources(self) -> bytes:
        return self._rendered("sources.html", "sources.html", self._top, sources_page(self._top))

    def _make(self) -> None:
        """Make all files that hang on facts alone."""
        plan, top, below, paths = self._plan, self._top, self._below, self._paths
        self._main("year.html", lambda: year_page(top))
        orchard = Orchard(top, below)
        self._main("trees.html", orchard.trees)
        for path, rows in orchard.rows():
            self._page(path, "row.html", below, rows)
        self._main("tests.html", lambda: tests_page(top))
        self._main("jobs.html", lambda: jobs_page(top))
        self._main("note.html", top.noting.page)
        if top.noting.is_for_reader and (others := trees_script(top)):
            self._files[TREES] = others
        self._main("dates.html", lambda: dates_page(top))
        self._harvest()
        self._main("since.html", LookingBack(top).page)
        self._main("people.html", lambda: people_page(plan.holding.place))
        self._main("review.html", lambda: Reviewing(top).page())
        self._main("hindcast.html", lambda: hindcast_page(top))
        if not paths.folded:
            self._stretches()
        years = Reviewing(below)
        for limb in below.grown:
            page = years.with_years(cultivar_page(below, limb), limb)
            self._page(paths.cultivar(limb.key), "kind.html", below, page)
        for fruit in below.grown_fruits:
            self._page(paths.fruit(fruit.key), "kind.html", below, fruit_page(below, fruit))
        self._page("subscribe.html", "subscribe.html", top, subscribe_page(plan, self._feeds))
        self._files |= self._feeds.files
        jobs = rows_of_jobs(plan)
        self._files["plan.csv"] = plan_csv(jobs)
        self._files["plan.json"] = plan_json(plan, jobs)
        self._files["changes.atom"] = changes_atom(plan, self._feeds)
        self._files[".nojekyll"] = b""

    def _photos(self, files: Mapping[str, bytes]) -> dict[str, bytes]:
        """Return the photos that a page shows, and no other."""
        photos = [photo for of_note in self._plan.holding.photos.values() for photo in of_note]
        shown = b"".join(data for name, data in files.items() if photos and name.endswith(".html"))
        return {photo_path(photo): photo.data for photo in photos if photo.name.encode() in shown}

    def _stretches(self) -> None:
        """Make the pages of weeks, months and jobs, which are parts of other pages where there is one tree alone."""
        below, paths = self._below, self._paths
        weeks, months = all_weeks(below), all_months(below)
        for span in weeks:
            self._page(paths.week(span.first), "stretch.html", below, week_page(below, span, weeks))
        for span in months:
            self._page(paths.month(span.first), "stretch.html", below, month_page(below, span, months))
        for task in {entry.task.key: entry.task for entry in self._plan.calendar.entries}.values():
            self._page(paths.task(task.key), "task.html", below, task_page(below, task))

    def _scripts(self, files: Mapping[str, bytes]) -> dict[str, bytes]:
        """Make the names to search and the keeper of the pages, where the theme has scripts; the keeper knows all."""
        code = self._theme.worker()
        if not code:
            return {}
        names = {NAMES: names_script(self._top)}
        return {**names, WORKER: worker_script(code, {**files, **names})} if self._kept else names

    def _harvest(self) -> None:
        """Make the pages of the store, and that of the stand where fruit is offered."""
        plan, top = self._plan, self._top
        stores = Stores(top)
        self._main("store.html", stores.store)
        self._main("rooms.html", stores.rooms)
        harvest = Harvest(top, self._below)
        self._main("harvest.html", harvest.story)
        for path, page in harvest.parts():
            self._page(path, "story.html", self._below, page)
        in_season, on_paper = (
            Kitchens(plan.kitchen, context) if plan.kitchen else None for context in (top, self._below)
        )
        self._sheets(stores, on_paper)
        if plan.kitchen is not None and in_season is not None and on_paper is not None:
            self._kitchens(plan.kitchen, in_season, on_paper)
        preserves = Preserves(self._below, on_paper)
        for preserve in preserves_with_page(plan):
            self._page(self._paths.preserve(preserve.key), "preserve.html", self._below, preserves.page(preserve))
        self._main("safety.html", Safety(top, in_season).page)
        if plan.holding.place.stand:
            self._page("stand.html", "stand.html", top, stand_page(plan))

    def _kitchens(self, plan: KitchenPlan, season: Kitchens, below: Kitchens) -> None:
        """Make the pages of the kitchen."""
        self._page("kitchen.html", "kitchen.html", self._top, season.season())
        for session in plan.sessions:
            self._page(below.session_path(session), "session.html", self._below, below.session(session))
        for card in below.stove.cards:
            view = below.stove.page(card)
            self._page(self._paths.stove_card(card), "sheet_stove.html", self._below, view)
            site = site_view(self._below)
            text = stove_text(self._tongue, view, site.name, site.made_on)
            self._files[text_path(self._paths.stove_card(card))] = readable(text).encode("utf-8")
        self._page(SUPPLIES, "sheet_supplies.html", self._below, supplies_sheet(self._plan, plan))

    def _sheets(self, stores: Stores, kitchens: Kitchens | None) -> None:
        """Make the sheets for paper: those that have something on them."""
        sheets = Sheets(self._below, stores)
        made = sheets.made(calendar_sheet(self._plan, self._feeds))
        self._page("sheets/index.html", "sheets.html", self._below, sheets.contents(made, kitchens))
        for sheet in made:
            if sheet.template:
                self._page(sheet.path, sheet.template, self._below, sheet.view)
        site = site_view(self._top)
        text = week_text(self._tongue, site.name, site.made_on, fortnight(self._top))
        self._files[WEEK_TEXT] = readable(text).encode("utf-8")

    def _main(self, path: str, view: Callable[[], Any]) -> None:
        """Make one of the main pages, if there is anything on it."""
        if path in self._top.main_pages:
            self._page(path, path, self._top, view())

    def _page(self, path: str, template: str, context: PageContext, view: object) -> None:
        self._files[path] = self._rendered(path, template, context, view)

    def _rendered(self, path: str, template: str, context: PageContext, view: object) -> bytes:
        site = site_view(context, path)

        def made() -> bytes:
            text = self._theme.render(template, site=site, view=view)
            return in_one_piece(readable(text), self._codes).encode("utf-8")

        if not self._theme.look:
            return made()
        self._use(template)
        return PAGES.page(path, (self._theme.look, template, self._said_in, self._codes, site, view), made)

    def _use(self, template: str) -> None:
        self._templates.add(template)
        self._theme.use(template)


_NAME, _MOST = "site", 2
"""What sites are called among what earlier runs made, and how many are kept there."""
_sites: Lately[tuple[object, ...], _Site] = Lately()
"""The last site, with all facts that it was made of."""
