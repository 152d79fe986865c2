"""What of a household is nobody else's business, and whether something that was worked out tells of it."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from enum import Enum
from typing import Final

from msgspec import Struct

from firmripe.holding.figures import Cited, Figure
from firmripe.holding.fruit import Cultivar, Fruit
from firmripe.holding.holding import Holding
from firmripe.holding.preserve import Preserve
from firmripe.holding.private import is_private, reached_in
from firmripe.holding.task import Task
from firmripe.holding.tree import Bearing, Tree
from firmripe.problems import Where, plainly
from firmripe.reading.fields import SHELF
from firmripe.season.because import FromOwnBloom, IntervalFromBloom, OwnInterval, OwnWindows, PlacedWindow, PlaceInOrder

_TREES: Final = frozenset({"tree", "trees", "tag"})
"""Parts that name trees by their tags, so that one tag is another's only where it is the same."""
_MEASURES: Final = frozenset(
    {
        (OwnWindows, "windows"),
        (PlacedWindow, "text"),
        (PlaceInOrder, "offset"),
        (IntervalFromBloom, "interval"),
        (OwnInterval, "interval"),
        (FromOwnBloom, "interval"),
    }
)
"""Parts that hold days of the year or numbers of days as written, which name nobody: `May 3` is no person."""


class Hidden:
    """What is hidden from everybody: private trees and kinds, people, rooms and shares, and the words of private notes.

    Of trees that are `parted` some limbs are private: what a line tells of the fruit of such a tree may be of these.

    Whether something tells of them is decided on its parts, before any word is said of it: on the trees, limbs, people
    and figures it is about. Only a text is searched for names, as what a household wrote may hold any.
    """

    def __init__(self, holding: Holding) -> None:
        self._holding = holding
        self._tongue = holding.place.tongue
        self.trees = frozenset(
            tree.tag for tree in holding.trees if tree.private or all(limb.private for limb in tree.limbs)
        )
        limbs = {limb.key: limb for tree in holding.trees for limb in tree.limbs}
        cultivars = {**holding.cultivars, **limbs}
        self.cultivars = frozenset(key for key, cultivar in cultivars.items() if cultivar.private)
        private, others = [*self._private_words(cultivars.values())], [*self._words()]
        self.parted = frozenset(tree.tag for tree in holding.trees if any(limb.private for limb in tree.limbs))
        self._private = any_of([*self.trees, *private])
        self._names = any_of([*private, *others])
        self._all = any_of([*self.trees, *private, *others])

    def is_about(self, bearing: Bearing) -> bool:
        """Say whether a bearing is of a private tree or kind."""
        return bearing.tree in self.trees or bearing.cultivar in self.cultivars

    def tells(self, part: object) -> bool:
        """Say whether something tells of anything hidden, is marked as private, or how people are reached."""
        return self._any(part, self._says)

    def names_private(self, part: object) -> bool:
        """Say whether something is marked as private, or names what is: people and rooms may stand in it."""
        return self._any(part, lambda text: is_private(text) or _stands(self._private, text))

    def _says(self, text: str) -> bool:
        return is_private(text) or bool(reached_in(text)) or _stands(self._all, text)

    def _any(self, part: object, says: Callable[[str], bool]) -> bool:
        if isinstance(part, str) and not isinstance(part, Enum):
            return says(part)
        if isinstance(part, Mapping):
            return any(self._any(one, says) for pair in part.items() for one in pair)
        if isinstance(part, Bearing):
            return self.is_about(part) or self.names_tree(part.tree) or says(part.cultivar) or says(part.crop)
        if isinstance(part, tuple | list | set | frozenset):
            return any(self._any(one, says) for one in part)
        if isinstance(part, Tree | Cultivar | Fruit | Task | Preserve):
            return self._is_hidden(part, says)
        return isinstance(part, Struct) and not _is_printed(part) and self._any_part(part, says)

    def _is_hidden(self, note: Tree | Cultivar | Fruit | Task | Preserve, says: Callable[[str], bool]) -> bool:
        """Say whether a note is private, or is called by a name that is hidden; what else it says is not told of."""
        if isinstance(note, Tree):
            return note.private or self.names_tree(note.tag)
        return note.private or (isinstance(note, Task) and bool(note.only_for)) or says(note.name)

    def _any_part(self, whole: Struct, says: Callable[[str], bool]) -> bool:
        told = [name for name in whole.__struct_fields__ if (type(whole), name) not in _MEASURES]
        return any(self._any(getattr(whole, name), self.names_tree if name in _TREES else says) for name in told)

    def names_tree(self, tag: str) -> bool:
        """Say whether a tag, or a row of trees by its name, is that of what is hidden, or names it."""
        return tag in self.trees or is_private(tag) or _stands(self._names, tag)

    def _private_words(self, cultivars: Iterable[Cultivar]) -> Iterator[str]:
        """Yield what notes that are private are about."""
        kinds: list[Cultivar | Fruit] = [*cultivars, *self._holding.fruits.values()]
        for kind in kinds:
            if kind.private:
                yield from (kind.key, kind.name, self._tongue.term(kind.name), *kind.also)
        names = (
            *(
                name
                for task in self._holding.tasks
                if task.private or task.only_for
                for name in (task.name, task.calendar_name)
            ),
            *(preserve.name for preserve in self._holding.preserves if preserve.private),
        )
        yield from (said for name in names for said in (name, self._tongue.term(name)))
        yield from (record.note for record in self._holding.records if record.is_private)

    def _words(self) -> Iterator[str]:
        """Yield whom and what else of the household nothing that was worked out may name."""
        place = self._holding.place
        for person in place.people:
            yield from (person.name, person.household)
        yield from (share.name for share in place.shares)
        yield from (space.name for space in place.spaces)
        yield from (kitchen.name for kitchen in place.kitchens)
        yield from (canner.name for canner in place.kitchen_means.canners)


def cited_in(value: object) -> Iterator[Cited]:
    """Yield where a thing of a note says that it comes from, itself or one part down."""
    for name in value.__struct_fields__ if isinstance(value, Struct) else ():
        part = getattr(value, name)
        if isinstance(part, Cited):
            yield part
        elif isinstance(part, Figure):
            yield part.cited


def _is_printed(part: object) -> bool:
    """Say whether something is a place in the notes, or the shelf's figure: that was published, and knows of nobody."""
    if isinstance(part, Where):
        return True
    cited = getattr(part, "cited", None)
    return isinstance(cited, Cited) and cited.where.file.startswith(SHELF)


def any_of(words: Iterable[str]) -> re.Pattern[str] | None:
    """Return a pattern of any of these words, standing by themselves; None where there are none.

    They are sought in a text as `plainly` has it: `Ann Lee` also stands in `Ann-Lee`, `José` in `_Jose_`.
    """
    told = sorted(filter(None, map(plainly, words)), key=lambda word: (-len(word), word))
    return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, told))})(?!\w)") if told else None


def _stands(words: re.Pattern[str] | None, text: str) -> bool:
    return words is not None and words.search(plainly(text)) is not None
