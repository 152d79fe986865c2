"""What every page knows: the way through the site, whom it is for, and what its jobs can be narrowed to."""

from __future__ import annotations

from typing import Final

from firmripe.publish.contents import ABOUT, OFF_THE_WAY
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.note import PAGE
from firmripe.publish.views import Choice, Link, View
from firmripe.wording.holding import reader_words
from firmripe.words import long_day

REVIEW: Final = "review.html"
_BELONGS = {
    "trees": "trees.html",
    "rows": "trees.html",
    "cultivars": "trees.html",
    "fruits": "trees.html",
    "jobs": "jobs.html",
    "weeks": "year.html",
    "months": "year.html",
    "kitchen": "kitchen.html",
    "harvest": "harvest.html",
    "preserves": "kitchen.html",
    "sheets": "sheets/index.html",
}
"""The main page that each folder of pages belongs to."""


class NavLink(View, frozen=True, kw_only=True):
    """A link of the way through the site; `current` is `page` on the page itself, `true` below it, else empty."""

    text: str
    href: str
    current: str


class SiteView(View, frozen=True, kw_only=True):
    """What every page knows: names, the way to the top, the day it was made on.

    `by_kind` says that pages that tell of all trees tell of them kind by kind; empty where these are few.
    """

    name: str
    season: str
    made_on: str
    made_on_iso: str
    made_for: str
    language: str
    top: str
    find: Link
    nav: tuple[NavLink, ...]
    about: tuple[NavLink, ...]
    safety: Link | None
    preset: str
    worker: str
    people: tuple[Choice, ...]
    houses: tuple[Choice, ...]
    parts: tuple[Choice, ...]
    note: Link | None = None
    is_private: bool = True
    has_ladders: bool = True
    by_kind: str = ""


def site_view(context: PageContext, path: str = "") -> SiteView:
    """Return what a page at a path from the top knows: the same as all others that belong to a main page."""
    above = _BELONGS.get(path.partition("/")[0], "")
    of = above, path if path in context.main_pages else ""
    return context.once(("frame", *of), lambda: _site_view(context, *of))


def _site_view(context: PageContext, above: str, path: str) -> SiteView:
    tongue = context.tongue
    as_of = context.season.as_of
    return SiteView(
        name=context.holding.place.name,
        season=str(context.season.year.year),
        made_on=long_day(tongue, as_of),
        made_on_iso=as_of.isoformat(),
        made_for=reader_words(tongue, context.plan.reader),
        find=context.link(
            tongue.say("Find a tree or a name"), "trees.html" if "trees.html" in context.main_pages else "index.html"
        ),
        language=tongue.code,
        top=context.top,
        nav=_ways(context, above, path, about=False),
        about=_ways(context, above, path, about=True),
        safety=context.link(tongue.say("All cautions"), "safety.html") if "safety.html" in context.main_pages else None,
        preset=context.plan.reader.person,
        worker=context.top + context.worker if context.worker else "",
        people=context.choosing.people,
        houses=context.choosing.houses,
        parts=context.choosing.parts,
        note=context.link(tongue.say("Note what happened"), PAGE) if context.noting.is_for_reader else None,
        is_private=not context.plan.reader.is_everybody,
        has_ladders=context.has_ladders,
        by_kind=tongue.say(
            "So many trees are told here kind by kind, from the first day of any to the last. A kind’s page lists its"
            " trees, and each tree’s own page tells the rest."
        )
        if context.is_by_kind or (path == REVIEW and context.is_reviewed_by_kind)
        else "",
    )


def _ways(context: PageContext, above: str, path: str, *, about: bool) -> tuple[NavLink, ...]:
    """Return the links to the main pages from one, of which that page itself or the one it belongs to is marked."""

    def current(other: str) -> str:
        return "page" if other == path else "true" if other == above else ""

    return tuple(
        NavLink(text=context.tongue.term(title), href=context.top + other, current=current(other))
        for other, title in context.main_pages.items()
        if (other in ABOUT if about else other not in OFF_THE_WAY)
    )
