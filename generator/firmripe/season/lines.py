"""The lines about each tree, oldest first: those that are known on a day are the first so many of them."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from collections.abc import Set as AbstractSet
from datetime import date
from operator import attrgetter

from firmripe.holding.record import Happening, Record
from firmripe.holding.standing import bore_in, of_those_that_stand


class Lines:
    """Records by the tree that they are about, by its tag, those of the whole place being about each."""

    def __init__(self, tags: Iterable[str], records: Iterable[Record]) -> None:
        self._all = sorted(records, key=attrgetter("day"))
        self._days = [record.day for record in self._all]
        about: dict[str, list[Record]] = {tag: [] for tag in tags}
        every = list(about.values())
        for record in self._all:
            for lines in (about.get(record.tree, []),) if record.tree else every:
                lines.append(record)
        self._about = {tag: (lines, [line.day for line in lines]) for tag, lines in about.items()}
        self._removed = {record.tree for record in self._all if record.what is Happening.REMOVED}

    def about(self, tag: str, as_of: date, season: int) -> Sequence[Record]:
        """Return the lines about a tree that are known on a day, oldest first.

        What is of others that stood in its place is left out: of what came after the tree that bore in a season, and
        of what was there before the one that stands.
        """
        lines, days = self._about[tag]
        known = lines[: bisect_right(days, as_of)]
        return known if self._removed.isdisjoint({tag, ""}) else of_those_that_stand(bore_in(known, season))

    @property
    def tags(self) -> AbstractSet[str]:
        """The tags of all trees, in their order."""
        return self._about.keys()

    def told_between(self, day: date, other: date) -> AbstractSet[str]:
        """Return the trees about which more is known on the later of two days, by their tags."""
        first, end = (bisect_right(self._days, one) for one in sorted((day, other)))
        named = {record.tree for record in self._all[first:end]}
        return self.tags if "" in named else named & self.tags
