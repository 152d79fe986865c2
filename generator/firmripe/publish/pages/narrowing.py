"""What a list of jobs can be narrowed to: a person, a house, a part of the orchard."""

from __future__ import annotations

from base64 import urlsafe_b64encode
from collections.abc import Iterable, Sequence

from firmripe.calendar.entry import Entry
from firmripe.holding.holding import Holding
from firmripe.holding.place import Person
from firmripe.holding.task import Task
from firmripe.publish.feeds.names import named_octets
from firmripe.publish.pages.by_row import RowPart
from firmripe.publish.views import Choice

_TICK_BYTES = 5
"""Bytes of an identity that are kept: two of ten thousand jobs have the same once in 20,000 households."""

_MOST_TICKS = 24
"""So many jobs on one line keep their ticks when their days part; of more the line weighs too much. J."""


class Choosing:
    """The people, houses and parts of one holding. Their keys are numbers, for a list of jobs bears many of them.

    Parts are what notes name; of an orchard with very many trees they are the `rows` that its pages list together.

    A key holds for one build; what is chosen is forgotten with the browser's window.
    """

    def __init__(self, holding: Holding, rows: Sequence[RowPart] = ()) -> None:
        self._place = holding.place
        kinds = sorted({kind for person in holding.place.people for kind in person.does})
        self._kinds = _numbered(kinds)
        self._own = _numbered((person.name for person in holding.place.people), start=len(kinds))
        if rows:
            self._part_of = {tree.tag: part.tags(self._place.tongue) for part in rows for tree in part.trees}
        else:
            self._part_of = {tree.tag: tree.part for tree in holding.trees}
        self._parts = _numbered(part for part in self._part_of.values() if part)

    @property
    def people(self) -> tuple[Choice, ...]:
        """Everybody who helps, under a key of their own and one for each kind of work they do, apart by a space."""
        return tuple(Choice(key=self._keys([p]), text=p.name) for p in self._place.people)

    @property
    def houses(self) -> tuple[Choice, ...]:
        """Each house under the keys of its people."""
        houses = dict.fromkeys(person.household for person in self._place.people if person.household)
        return tuple(
            Choice(key=self._keys([p for p in self._place.people if p.household == house]), text=house)
            for house in houses
        )

    def _keys(self, people: Iterable[Person]) -> str:
        found = {key for p in people for key in (self._own[p.name], *(self._kinds[kind] for kind in p.does))}
        return " ".join(sorted(found, key=int))

    @property
    def parts(self) -> tuple[Choice, ...]:
        """Each part of the orchard, in walking order."""
        return tuple(Choice(key=key, text=part) for part, key in self._parts.items())

    def who(self, task: Task, names: Iterable[str]) -> tuple[str, ...]:
        """Return the keys of those who can do a task, where `names` are called: that of its kind of work, or theirs.

        There are none where a name is neither a person's nor a house's, as in `everyone`.
        """
        if task.who in self._kinds:
            return (self._kinds[task.who],)
        members = [[p for p in self._place.people if name in {p.name, p.household}] for name in names]
        return tuple(sorted({self._own[p.name] for some in members for p in some}, key=int)) if all(members) else ()

    def parts_of(self, entries: Sequence[Entry]) -> tuple[str, ...]:
        """Return the keys of the parts that entries are for; none where they are for the whole place."""
        parts = [self._part_of[bearing.tree] for entry in entries for bearing in entry.bearings]
        whole = not all(parts) or not all(entry.bearings for entry in entries)
        keys = () if whole else tuple(sorted({self._parts[part] for part in parts}, key=int))
        return keys if len(keys) < len(self._parts) else ()

    def ticks(self, turns: Sequence[tuple[Entry, int]]) -> tuple[str, ...]:
        """Return what turns of entries (0 for their first day) are known by, also when their days move.

        Very many together have one name, which holds for just these.
        """
        names = [f"{entry.identity}|tick|{turn}" for entry, turn in turns]
        if len(names) > _MOST_TICKS:
            names = ["\n".join(sorted(names))]
        return tuple(self._tick(name) for name in names)

    def _tick(self, name: str) -> str:
        whole = named_octets(self._place, name)
        return urlsafe_b64encode(whole[:_TICK_BYTES]).decode().rstrip("=")


def _numbered(names: Iterable[str], start: int = 0) -> dict[str, str]:
    return {name: str(number) for number, name in enumerate(dict.fromkeys(names), start)}
