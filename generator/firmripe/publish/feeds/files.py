"""The calendar files of a plan, as they were made last where they are of the same facts."""

from __future__ import annotations

from datetime import date

from msgspec.structs import replace

from firmripe.lately import Lately
from firmripe.plan import Plan, facts_alone
from firmripe.publish.feeds.feed import Feeds
from firmripe.publish.ledger import Ledger


def make_feeds(plan: Plan, former: Ledger, now: date) -> Feeds:
    """Write every feed of a plan: this season's reminders and windows, and those of the twelve months before.

    `former` is the ledger of the last build; what has changed since is stamped with `now`. What is longer than
    calendar services take is written in parts. They are made of the facts alone, so they are those that were made
    last where these are the same, whatever prose.
    """
    facts = replace(plan.of(facts_alone(plan.holding)), replays=plan.replays.whole)

    def made() -> Feeds:
        from firmripe.publish.feeds.making import Maker  # noqa: PLC0415 - what writes calendars takes long to load

        return Maker(facts, former, now).feeds()

    return _made.made_of((facts, former, now), made)


_made: Lately[tuple[Plan, Ledger, date], Feeds] = Lately(2, "feeds", after="plan")
"""The last feeds, for the household and for everybody."""
