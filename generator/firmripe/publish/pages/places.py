"""The page of many places: a link to the site of each."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from msgspec import Struct

from firmripe.holding.place import EVERYBODY, HOUSEHOLD, Place
from firmripe.holding.reader import Reader
from firmripe.problems import in_order
from firmripe.publish.pages.frame import SiteView
from firmripe.publish.views import Link, View
from firmripe.wording.holding import reader_words
from firmripe.words import long_day


class StandingSite(Struct, frozen=True, kw_only=True):
    """The site of a place, as it stands in the folder `key`: its name, season, day of knowledge and whom it is for."""

    key: str
    name: str
    season: int
    as_of: date
    made_for: str

    @property
    def page(self) -> str:
        """Its first page, from the top of all."""
        return f"{self.key}/index.html"


class PlacesPage(View, frozen=True, kw_only=True):
    """All places, by name."""

    places: tuple[Link, ...]


def by_name(sites: Sequence[StandingSite]) -> list[StandingSite]:
    """Return sites in the order of their places' names."""
    return sorted(sites, key=lambda site: (in_order(site.name), site.key))


def places_page(sites: Sequence[StandingSite]) -> PlacesPage:
    """Return the page."""
    return PlacesPage(places=tuple(Link(text=site.name, href=site.page) for site in by_name(sites)))


def made_for_all(sites: Sequence[StandingSite]) -> str:
    """Return whom all sites are for; the household where they are for several."""
    named = {site.made_for for site in sites}
    return named.pop() if len(named) == 1 else HOUSEHOLD


def places_frame(sites: Sequence[StandingSite], face: Place) -> SiteView:
    """Return what the page knows beside its places: `face` gives its name, and the day is the newest of all sites."""
    tongue = face.tongue
    as_of = max(site.as_of for site in sites)
    name = made_for_all(sites)
    reader = Reader(name=name, people=frozenset({name} - {HOUSEHOLD, EVERYBODY}))
    return SiteView(
        name=face.name,
        season=str(max(site.season for site in sites)),
        made_on=long_day(tongue, as_of),
        made_on_iso=as_of.isoformat(),
        made_for=reader_words(tongue, reader),
        language=tongue.code,
        top="",
        find=Link(text=tongue.say("Find a place"), href="index.html"),
        nav=(),
        about=(),
        safety=None,
        preset="",
        worker="",
        people=(),
        houses=(),
        parts=(),
        is_private=not reader.is_everybody,
    )
