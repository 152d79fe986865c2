"""Everything the household has, in one value."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from firmripe.holding.figures import Source
from firmripe.holding.fruit import Cultivar, Fruit
from firmripe.holding.place import Place
from firmripe.holding.preserve import Preserve
from firmripe.holding.process import ProcessTable
from firmripe.holding.record import Record
from firmripe.holding.stations import Stations
from firmripe.holding.task import Task
from firmripe.holding.theme import OwnTheme
from firmripe.holding.tree import Tree
from firmripe.holding.weather import Weather


@dataclass(frozen=True, slots=True, kw_only=True)
class Holding:
    """What the notes and the shelf say, put together. Mappings go by key; trees stand in walking order.

    `shelf_texts` are the texts of the shelf's notes, which are in English.
    """

    place: Place
    trees: tuple[Tree, ...]
    cultivars: Mapping[str, Cultivar]
    fruits: Mapping[str, Fruit]
    tasks: tuple[Task, ...]
    preserves: tuple[Preserve, ...]
    records: tuple[Record, ...]
    sources: Mapping[str, Source]
    processes: ProcessTable = field(default_factory=ProcessTable)
    weather: Weather = field(default_factory=Weather)
    stations: Stations = field(default_factory=Stations)
    own_theme: OwnTheme = field(default_factory=OwnTheme)
    shelf_texts: frozenset[str] = frozenset()

    def tree(self, tag: str) -> Tree:
        """Return the tree with this tag. Raises KeyError."""
        for tree in self.trees:
            if tree.tag == tag:
                return tree
        raise KeyError(tag)
