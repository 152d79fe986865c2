"""The page on how to get the plan into one's own calendar, and the same as cards for helpers."""

from __future__ import annotations

from firmripe.holding.place import Alarm
from firmripe.plan import Plan
from firmripe.publish.feeds.feed import Feed, Feeds
from firmripe.publish.feeds.names import base_address, webcal
from firmripe.publish.paths import CALENDARS
from firmripe.publish.qr_codes import qr_code
from firmripe.publish.views import Link, View
from firmripe.tongue import Tongue, mark
from firmripe.words import begun


class FeedLine(View, frozen=True, kw_only=True):
    """A calendar feed and the ways to it; `subscribe` and `address` are None where the site has no address.

    `code` is the address of reminders as a QR code, an SVG path within a square of `side`; empty where there is none.
    """

    name: str
    count: str
    download: Link
    subscribe: Link | None
    address: Link | None
    code: str
    side: int


class FeedGroup(View, frozen=True, kw_only=True):
    """Feeds that go together."""

    title: str
    about: str
    feeds: tuple[FeedLine, ...]


class SubscribePage(View, frozen=True, kw_only=True):
    """How to get the plan into one's own calendar; `parted` says that some calendar comes in parts."""

    kinds: tuple[tuple[str, str], ...]
    groups: tuple[FeedGroup, ...]
    parted: bool
    unlisted: str
    alarm: str
    forms: tuple[tuple[Link, str], ...]
    cards: Link | None


class CalendarSheet(View, frozen=True, kw_only=True):
    """A card for each calendar of reminders, to be cut out and handed to a helper."""

    cards: tuple[FeedLine, ...]


_ALARMS = {
    Alarm.DAY_BEFORE: mark("Each reminder rings once, at nine in the morning of the day before, where an app lets it."),
    Alarm.SAME_DAY: (
        mark(
            "Each reminder rings once, at nine in the morning of its day, where an app lets it; "
            "by report Outlook rings at three in the afternoon of the day before instead."
        )
    ),
    Alarm.NONE: mark("No reminder rings by itself: the day alone stands in your calendar."),
}
_KINDS = {
    "reminders": mark("one day for each job: when to begin"),
    "windows": mark("bars of several days: how long each job has time; they don’t block your days"),
}
_UNLISTED = mark(
    "Each person’s and each house’s calendars stand on no page: their addresses hold a "
    "secret, and whoever keeps the notes hands them out. That keeps them from being "
    "found, and is no lock: whoever has an address can read on."
)


def subscribe_page(plan: Plan, feeds: Feeds) -> SubscribePage:
    """Return the page, which lies at the top of the site."""
    tongue = plan.holding.place.tongue
    place = plan.holding.place
    base = base_address(place)
    return SubscribePage(
        kinds=tuple((begun(tongue.term(kind)), tongue.term(about)) for kind, about in _KINDS.items()),
        groups=tuple(
            FeedGroup(
                title=group.title, about=group.about, feeds=tuple(_line(tongue, feed, base) for feed in group.feeds)
            )
            for group in feeds.groups
            if group.listed
        ),
        parted=any(feed.part.of > 1 for group in feeds.groups for feed in group.feeds),
        unlisted=tongue.term(_UNLISTED) if feeds.unlisted else "",
        alarm=tongue.term(_ALARMS[place.reminder_alarm]),
        forms=(
            (Link(text="plan.csv", href="plan.csv"), tongue.say("the season’s jobs as a table, for a spreadsheet")),
            (Link(text="plan.json", href="plan.json"), tongue.say("the same for scripts")),
            (Link(text="changes.atom", href="changes.atom"), tongue.say("what changed in the plan, for a feed reader")),
        ),
        cards=Link(text=tongue.say("Calendar cards"), href=CALENDARS) if base else None,
    )


def calendar_sheet(plan: Plan, feeds: Feeds) -> CalendarSheet | None:
    """Return a card for each calendar of reminders that stands on a page; None where the site has no address.

    The bars of the windows are a matter of taste, and the page offers them.
    """
    base = base_address(plan.holding.place)
    shown = (feed for group in feeds.groups if group.listed for feed in group.feeds if feed.kind == "reminders")
    return CalendarSheet(cards=tuple(_line(plan.holding.place.tongue, feed, base) for feed in shown)) if base else None


def _line(tongue: Tongue, feed: Feed, base: str) -> FeedLine:
    address = base + feed.path
    of = begun(tongue.term(feed.of))
    name = f"{of}: {tongue.term(feed.kind)}" if of else begun(tongue.term(feed.kind))
    if feed.part.of > 1:
        name = tongue.say("{name}, part {number} of {all}", name=name, number=feed.part.number, all=feed.part.of)
    code, side = qr_code(address if base and feed.kind == "reminders" else "")
    return FeedLine(
        name=name,
        count=tongue.plural("{n} event", "{n} events", feed.count)
        if feed.count
        else tongue.say("nothing yet; it fills by itself when there is"),
        download=Link(text=feed.path.rpartition("/")[2], href=feed.path),
        subscribe=Link(text=tongue.say("Subscribe"), href=webcal(address)) if base else None,
        address=Link(text=address, href=address) if base else None,
        code=code,
        side=side,
    )
