"""What feeds are: calendar files that go together, with the ledger after them."""

from __future__ import annotations

from msgspec import Struct

from firmripe.publish.ledger import Ledger


class FeedPart(Struct, frozen=True, kw_only=True):
    """Which part of how many, from 1."""

    number: int = 1
    of: int = 1


class Feed(Struct, frozen=True, kw_only=True):
    """One calendar file: `kind` is reminders or windows, `of` whom or what it is for (empty: everything).

    Where all its events are more than calendar services take, it is one part of several, in order of time.
    """

    path: str
    kind: str
    of: str
    part: FeedPart
    count: int
    data: bytes


class FeedBundle(Struct, frozen=True, kw_only=True):
    """Feeds that go together: nobody who takes those meant for them out of one group gets a day twice."""

    title: str
    about: str
    feeds: tuple[Feed, ...]
    listed: bool = True


class Feeds(Struct, frozen=True, kw_only=True):
    """All feeds, the ledger after them, and what the household should know.

    `shown` are the identities of the events in them. The ledger knows others besides, of former times and for others.
    """

    groups: tuple[FeedBundle, ...]
    ledger: Ledger
    shown: frozenset[str]
    warnings: tuple[str, ...]

    @property
    def files(self) -> dict[str, bytes]:
        """Every file by its path."""
        return {feed.path: feed.data for group in self.groups for feed in group.feeds}

    @property
    def unlisted(self) -> tuple[Feed, ...]:
        """Feeds that stand on no page."""
        return tuple(feed for group in self.groups if not group.listed for feed in group.feeds)
