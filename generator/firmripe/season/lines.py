"""The lines about each tree, oldest first: those that are known on a day are the first so many of them."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from datetime import date
from operator import attrgetter
from typing import Final

from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.holding.record import Happening, Record
from firmripe.holding.standing import bore_in, of_those_that_stand
from firmripe.holding.tree import Bearing
from firmripe.lately import answered_once

_SEEN_AS: Final = {
    Happening.FULL_BLOOM: Event.FULL_BLOOM,
    Happening.FIRST_PICK: Event.PICK,
    Happening.PICK: Event.PICK,
    Happening.LEAF_FALL: Event.LEAF_FALL,
}


class Lines:
    """Records by the tree that they are about, by its tag, those of the whole place being about each.

    `events` are those that were seen on any tree in any season.
    """

    def __init__(self, tags: Iterable[str], records: Iterable[Record]) -> None:
        self._all = sorted(records, key=attrgetter("day"))
        self._days = [record.day for record in self._all]
        about: dict[str, list[Record]] = {tag: [] for tag in tags}
        every = list(about.values())
        for record in self._all:
            for lines in (about.get(record.tree, []),) if record.tree else every:
                lines.append(record)
        self._about = {tag: (lines, [line.day for line in lines]) for tag, lines in about.items()}
        self.events = {_SEEN_AS[record.what] for record in self._all if record.what in _SEEN_AS}
        self._removed = {record.tree for record in self._all if record.what is Happening.REMOVED}
        self._seen: dict[Bearing, Mapping[Event, tuple[Record, ...]]] = {}

    def about(self, tag: str, as_of: date, season: int) -> Sequence[Record]:
        """Return the lines about a tree that are known on a day, oldest first.

        What is of others that stood in its place is left out: of what came after the tree that bore in a season, and
        of what was there before the one that stands.
        """
        lines, days = self._about[tag]
        known = lines[: bisect_right(days, as_of)]
        return known if self._is_one(tag) else of_those_that_stand(bore_in(known, season))

    def _is_one(self, tag: str) -> bool:
        """Say whether all lines of a tag are of one tree, of which none is ever left out."""
        return self._removed.isdisjoint({tag, ""})

    def seen(self, bearing: Bearing, as_of: date, season: int) -> Mapping[Event, tuple[Record, ...]]:
        """Return the earliest line of an event in each season that a bearing has one for, oldest first.

        They are those known on a day, as in `about`. The earliest is known before all others of its season, so that
        what is known on any day is part of what is known in the end.
        """
        if not self._is_one(bearing.tree):
            return first_of_each_season(self.about(bearing.tree, as_of, season), bearing)
        if bearing not in self._seen:
            self._seen[bearing] = first_of_each_season(self._about[bearing.tree][0], bearing)
        in_the_end = self._seen[bearing]
        return {event: tuple(line for line in lines if line.day <= as_of) for event, lines in in_the_end.items()}

    @property
    def tags(self) -> AbstractSet[str]:
        """The tags of all trees, in their order."""
        return self._about.keys()

    def told_between(self, day: date, other: date) -> AbstractSet[str]:
        """Return the trees about which more is known on the later of two days, by their tags."""
        first, end = (bisect_right(self._days, one) for one in sorted((day, other)))
        named = {record.tree for record in self._all[first:end]}
        return self.tags if "" in named else named & self.tags


@answered_once
def lines_of(holding: Holding) -> Lines:
    """Return the lines about each tree of a holding."""
    return Lines([tree.tag for tree in holding.trees], holding.records)


def first_of_each_season(records: Iterable[Record], bearing: Bearing) -> Mapping[Event, tuple[Record, ...]]:
    """Return the earliest record of each event in each season that a bearing has one for, oldest first."""
    first: dict[Event, dict[int, Record]] = {event: {} for event in Event}
    for record in records:
        event = _SEEN_AS.get(record.what)
        if event is not None and record.tree and record.is_about(*bearing):
            kept = first[event].get(record.season)
            if kept is None or (record.day, record.about) < (kept.day, kept.about):
                first[event][record.season] = record
    return {event: tuple(of_event[season] for season in sorted(of_event)) for event, of_event in first.items()}
