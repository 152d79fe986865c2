"""From the plan to the files of the site, in memory."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from firmripe.calendar.plan import Plan
from firmripe.publish.characters import readable
from firmripe.publish.feeds.files import Feeds, make_feeds
from firmripe.publish.feeds.subscribing import subscribe_page
from firmripe.publish.kitchens import Kitchens
from firmripe.publish.ledger import Ledger
from firmripe.publish.plaintext import week_text
from firmripe.publish.sheets import Sheets
from firmripe.publish.storing import Storing, stand_page
from firmripe.publish.tables import changes_atom, plan_csv, plan_json
from firmripe.publish.theming import Theme
from firmripe.publish.viewing import Paths, Viewing

FEED = "feeds/reminders.ics"


def make_site(plan: Plan, theme: Path, feeds: Feeds | None = None) -> dict[str, bytes]:
    """Return every file of the site by its path from the top.

    `theme` is a folder with `templates` and `static`, over which the household's own theme lies.
    Without `feeds` they are made afresh and stamped with the day of the newest record.
    The same plan, theme and feeds give the same bytes.
    What is for one person alone stands in their feed and on no page. Raises ThemeFault and FeedTooLong.
    """
    made = feeds or make_feeds(plan, Ledger(), plan.changed)
    shared = tuple(entry for entry in plan.calendar.entries if not entry.task.only_for)
    return _Site(replace(plan, calendar=replace(plan.calendar, entries=shared)), theme, made).files()


class _Site:
    def __init__(self, plan: Plan, theme: Path, feeds: Feeds) -> None:
        self._plan = plan
        self._feeds = feeds
        self._theme = Theme(theme, plan.holding.own_theme)
        self._paths = Paths(plan)
        self._cited: set[str] = set()
        self._files: dict[str, bytes] = {}
        self._top = Viewing(plan, self._paths, "", self._cited)
        self._below = Viewing(plan, self._paths, "../", self._cited)

    def files(self) -> dict[str, bytes]:
        plan, top, below, paths = self._plan, self._top, self._below, self._paths
        self._page("index.html", "front.html", top, top.front())
        self._page("year.html", "year.html", top, top.year())
        self._page("trees.html", "trees.html", top, top.trees())
        self._page("jobs.html", "jobs.html", top, top.jobs())
        self._page("dates.html", "dates.html", top, top.dates())
        self._harvest()
        if plan.replays:
            self._page("hindcast.html", "hindcast.html", top, top.hindcast())
        weeks, months = below.weeks(), below.months()
        for span in weeks:
            self._page(paths.week(span.first), "stretch.html", below, below.week(span, weeks))
        for span in months:
            self._page(paths.month(span.first), "stretch.html", below, below.month(span, months))
        for tree in plan.holding.trees:
            self._page(paths.tree(tree.tag), "tree.html", below, below.tree(tree))
        grown = below.grown()
        for limb in grown:
            self._page(paths.cultivar(limb.key), "kind.html", below, below.cultivar(limb))
        for fruit in {limb.fruit.key: limb.fruit for limb in grown if limb.fruit}.values():
            self._page(paths.fruit(fruit.key), "kind.html", below, below.fruit(fruit))
        for task in {entry.task.key: entry.task for entry in plan.calendar.entries}.values():
            self._page(paths.task(task.key), "task.html", below, below.task(task))
        self._page("sources.html", "sources.html", top, top.sources())
        self._page("subscribe.html", "subscribe.html", top, subscribe_page(plan, self._feeds))
        self._files |= self._feeds.files
        self._files["plan.csv"] = plan_csv(plan)
        self._files["plan.json"] = plan_json(plan)
        self._files["changes.atom"] = changes_atom(plan, self._feeds.ledger)
        self._files[".nojekyll"] = b""
        self._files |= {f"static/{name}": data for name, data in self._theme.static().items()}
        return self._files

    def _harvest(self) -> None:
        """Make the pages of the store, and that of the stand where fruit is offered."""
        plan, top = self._plan, self._top
        storing = Storing(plan, top, self._paths)
        self._page("store.html", "store.html", top, storing.store())
        self._page("rooms.html", "rooms.html", top, storing.rooms())
        self._page("harvest.html", "harvest.html", top, storing.story())
        self._sheets(storing)
        self._kitchens()
        if plan.holding.place.stand:
            self._page("stand.html", "stand.html", top, stand_page(plan))

    def _kitchens(self) -> None:
        """Make the pages of the kitchen, where it has a plan."""
        plan = self._plan.kitchen
        if plan is None:
            return
        season, below = (Kitchens(self._plan, plan, viewing, self._paths) for viewing in (self._top, self._below))
        self._page("kitchen.html", "kitchen.html", self._top, season.season())
        for session in plan.sessions:
            self._page(below.session_path(session), "session.html", self._below, below.session(session))
        for card in below.cards:
            self._page(below.card_path(card), "sheet_stove.html", self._below, below.card(card))
        self._page("sheets/supplies.html", "sheet_supplies.html", self._below, below.supplies())

    def _sheets(self, storing: Storing) -> None:
        """Make the sheets for paper."""
        sheets = Sheets(self._plan, self._below, self._paths, storing)
        self._page("sheets/index.html", "sheets.html", self._below, sheets.contents())
        for name, template, view in (
            ("fridge", "sheet_fridge.html", sheets.fridge()),
            ("fridge-large", "sheet_fridge.html", sheets.fridge(large=True)),
            ("picking", "sheet_picking.html", sheets.picking()),
            ("tags", "sheet_tags.html", sheets.tags()),
            ("labels", "sheet_labels.html", sheets.labels()),
            ("record", "sheet_record.html", sheets.record()),
        ):
            self._page(f"sheets/{name}.html", template, self._below, view)
        site = self._top.site()
        text = week_text(site.name, site.made_on, self._top.front().weeks)
        self._files["sheets/week.txt"] = readable(text).encode("utf-8")

    def _page(self, path: str, template: str, viewing: Viewing, view: Any) -> None:  # noqa: ANN401
        text = self._theme.render(template, site=viewing.site(), view=view)
        self._files[path] = readable(text).encode("utf-8")
