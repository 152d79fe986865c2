"""From the plan to the files of the site, in memory."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import jinja2
from jinja2.sandbox import ImmutableSandboxedEnvironment

from firmripe.calendar.plan import Plan
from firmripe.publish.characters import readable
from firmripe.publish.feeds.files import Feeds, make_feeds
from firmripe.publish.feeds.subscribing import subscribe_page
from firmripe.publish.ledger import Ledger
from firmripe.publish.plaintext import week_text
from firmripe.publish.sheets import Sheets
from firmripe.publish.storing import Storing, stand_page
from firmripe.publish.tables import changes_atom, plan_csv, plan_json
from firmripe.publish.viewing import Paths, Viewing

FEED = "feeds/reminders.ics"


class ThemeFault(Exception):  # noqa: N818 - it is the fault
    """A template can't be used; the text names it, with the line."""


def make_site(plan: Plan, theme: Path, feeds: Feeds | None = None) -> dict[str, bytes]:
    """Return every file of the site by its path from the top.

    `theme` is a folder with `templates` and `static`. Without `feeds` they are made afresh and stamped with the day
    of the newest record. The same plan, theme and feeds give the same bytes.
    What is for one person alone stands in their feed and on no page. Raises ThemeFault and FeedTooLong.
    """
    made = feeds or make_feeds(plan, Ledger(), plan.changed)
    shared = tuple(entry for entry in plan.calendar.entries if not entry.task.only_for)
    return _Site(replace(plan, calendar=replace(plan.calendar, entries=shared)), theme, made).files()


class _Site:
    def __init__(self, plan: Plan, theme: Path, feeds: Feeds) -> None:
        self._plan = plan
        self._feeds = feeds
        self._theme = theme
        self._paths = Paths(plan)
        self._cited: set[str] = set()
        self._files: dict[str, bytes] = {}
        self._top = Viewing(plan, self._paths, "", self._cited)
        self._below = Viewing(plan, self._paths, "../", self._cited)
        self._templates = ImmutableSandboxedEnvironment(
            loader=jinja2.FileSystemLoader(theme / "templates"),
            autoescape=True,
            undefined=jinja2.StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
            keep_trailing_newline=True,
            extensions=["jinja2.ext.i18n"],
        )
        self._templates.install_null_translations(newstyle=True)  # type: ignore[attr-defined]

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
        for path in sorted((self._theme / "static").rglob("*")):
            if path.is_file():
                name = path.relative_to(self._theme / "static").as_posix()
                self._files[f"static/{name}"] = path.read_bytes()
        return self._files

    def _harvest(self) -> None:
        """Make the pages of the store, and that of the stand where fruit is offered."""
        plan, top = self._plan, self._top
        storing = Storing(plan, top, self._paths)
        self._page("store.html", "store.html", top, storing.store())
        self._page("rooms.html", "rooms.html", top, storing.rooms())
        self._page("harvest.html", "harvest.html", top, storing.story())
        self._sheets(storing)
        if plan.holding.place.stand:
            self._page("stand.html", "stand.html", top, stand_page(plan))

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
        try:
            text = self._templates.get_template(template).render(site=viewing.site(), view=view)
        except (jinja2.TemplateError, OverflowError) as error:  # the sandbox refuses endless ranges with the latter
            line = f":{error.lineno}" if isinstance(error, jinja2.TemplateSyntaxError) else ""
            raise ThemeFault(f"{self._theme.name}/templates/{template}{line}: {error}") from error
        self._files[path] = readable(text).encode("utf-8")
