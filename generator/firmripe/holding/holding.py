"""Everything the household has, in one value."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property
from typing import TypeVar

from msgspec import Struct, field

from firmripe.holding.figures import Figure, Meant, Source, is_meant
from firmripe.holding.fruit import Cultivar, Fruit
from firmripe.holding.photo import Photo
from firmripe.holding.place import Place
from firmripe.holding.preserve import Preserve
from firmripe.holding.private import Passage
from firmripe.holding.process import ProcessTable
from firmripe.holding.record import Happening, Record
from firmripe.holding.stations import Stations
from firmripe.holding.task import Task
from firmripe.holding.theme import OwnTheme
from firmripe.holding.tree import Bearing, Neighbor, Tree
from firmripe.holding.weather import Weather
from firmripe.lately import answered_once
from firmripe.problems import Problem, name_key

T = TypeVar("T")
M = TypeVar("M", bound=Meant)


class Holding(Struct, frozen=True, kw_only=True, dict=True):
    """What the notes and the shelf say, put together. Mappings go by key; trees stand in walking order.

    `shelf_texts` are the texts of the shelf's notes, which are in English. `asked` is what was read and can hardly be
    meant, each with its place. `passages` are what the household wrote itself in notes that everybody may read.
    `photos` go by the folder and the folded name of the note that names them.
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
    asked: tuple[Problem, ...] = ()
    passages: tuple[Passage, ...] = ()
    neighbors: tuple[Neighbor, ...] = ()
    photos: Mapping[tuple[str, str], tuple[Photo, ...]] = field(default_factory=dict)

    @cached_property
    def _by_tag(self) -> Mapping[str, Tree]:
        return {tree.tag: tree for tree in self.trees}

    @cached_property
    def _noted(self) -> Mapping[str, tuple[Record, ...]]:
        noted: dict[str, list[Record]] = {}
        for record in self.records:
            noted.setdefault(record.tree, []).append(record)
        return {tag: tuple(records) for tag, records in noted.items()}

    @cached_property
    def freeze_forecasts(self) -> tuple[Record, ...]:
        """The freezes that are forecast, in the order of the records."""
        return tuple(record for record in self.records if record.what is Happening.FREEZE_FORECAST)

    def tree(self, tag: str) -> Tree:
        """Return the tree with this tag. Raises KeyError."""
        return self._by_tag[tag]

    def photos_of(self, folder: str, key: str) -> tuple[Photo, ...]:
        """Return the photos that a note names, by its folder and its name."""
        return self.photos.get((folder, name_key(key)), ())

    def noted(self, tag: str) -> tuple[Record, ...]:
        """Return the records that name a tree by its tag, in their order; without a tag those of the whole place."""
        return self._noted.get(tag, ())

    def about(self, tag: str) -> tuple[Record, ...]:
        """Return the records that speak of a tree: those of the whole place, then those that name it."""
        return (*self.noted(""), *self.noted(tag))

    @answered_once
    def keys(self, bearing: Bearing) -> frozenset[str]:
        """Return what a bearing is meant by: its tree's tag, and the keys of its cultivar, its fruit and its habit.

        What is called like another kind is not meant by that: a word is a fruit or habit first, then a cultivar, then
        a tag.
        """
        fruit = self.limb(bearing).fruit
        of_fruit = {fruit.key, fruit.habit.key} if fruit else set()
        cultivar = {bearing.cultivar} - self._kinds
        tag = {bearing.tree} - self._kinds - self.cultivars.keys()
        return frozenset(of_fruit | cultivar | tag)

    @cached_property
    def _kinds(self) -> frozenset[str]:
        """What names all fruit of a kind, or all that grows in one way."""
        return frozenset(key for fruit in self.fruits.values() for key in (fruit.key, fruit.habit.key))

    def meant_for(self, figures: Iterable[Figure[T]], bearings: Iterable[Bearing]) -> tuple[Figure[T], ...]:
        """Return those figures that are meant for every one of some bearings."""
        keys = [self.keys(bearing) for bearing in bearings] or [frozenset[str]()]
        return tuple(figure for figure in figures if all(is_meant(figure, mine) for mine in keys))

    def needed_for(self, told: Iterable[M], bearings: Iterable[Bearing]) -> tuple[M, ...]:
        """Return what of a job's cautions, or of what is brought to it, is meant for any of some bearings.

        Where a job is about none, that is all of it.
        """
        about = tuple(bearings)
        return tuple(one for one in told if not about or any(is_meant(one, self.keys(bearing)) for bearing in about))

    def limb(self, bearing: Bearing) -> Cultivar:
        """Return the limb that a bearing grows on. Raises KeyError where no tree has it."""
        return self.tree(bearing.tree).limb(bearing.cultivar)
