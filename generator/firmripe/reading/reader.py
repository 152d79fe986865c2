"""From a household's folder and the shelf to one Holding."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from firmripe.holding.fruit import Cultivar, Fruit, Offset
from firmripe.holding.holding import Holding
from firmripe.holding.place import Marker, Place
from firmripe.holding.preserve import Preserve
from firmripe.holding.record import Record
from firmripe.holding.tree import Tree
from firmripe.problems import Problems, Where, folded, nearest, or_list
from firmripe.reading.fields import SHELF, Fields
from firmripe.reading.folder import Folder, Note, read_folder
from firmripe.reading.names import Names
from firmripe.reading.place import read_place, read_places, read_sources
from firmripe.reading.records import read_records
from firmripe.reading.tasks import Subjects, read_preserve, read_task
from firmripe.reading.traits import read_traits
from firmripe.reading.trees import Kinds, read_tree, walking_order


def read_holding(household: Path, shelf: Path) -> Holding:
    """Read the household's folder laid over the shelf's.

    Raises FaultyNotes with every problem found in either.
    """
    problems = Problems()
    under = read_folder(shelf, SHELF, ("sources", "places"), problems)
    over = read_folder(household, "", ("place",), problems)
    holding = _Reader(under, over, problems).holding()
    problems.stop_if_any()
    return holding


class _Reader:
    def __init__(self, shelf: Folder, household: Folder, problems: Problems) -> None:
        self._shelf = shelf
        self._household = household
        self._problems = problems
        self._sources = read_sources(shelf.single.get("sources"), problems)
        self._places = read_places(shelf.single.get("places"), self._sources, problems)
        self._place = read_place(household.single.get("place"), self._sources, problems)

    def holding(self) -> Holding:
        fruits = self._fruits()
        cultivars = self._cultivars(fruits)
        kinds = Kinds(fruits, cultivars, Names.of(fruits.values()), Names.of(cultivars.values()))
        read = [read_tree(note, kinds, self._problems) for note in self._household.notes["trees"]]
        trees = walking_order([tree for tree in read if tree is not None], self._problems)
        if not self._household.notes["trees"]:
            self._problems.add(
                Where("trees"), "the folder holds no tree", "write a note for each tree, as trees/old-pear.md"
            )
        cultivars |= kinds.met
        self._check_offsets(cultivars)
        subjects = self._subjects(fruits, cultivars, trees)
        here = self._place.hemisphere
        return Holding(
            place=self._with_markers(cultivars, kinds),
            trees=trees,
            cultivars=cultivars,
            fruits=fruits,
            tasks=tuple(
                task
                for note, _ in self._laid("tasks")
                if (task := read_task(note, subjects, here, self._sources, self._problems)) is not None
            ),
            preserves=self._preserves(subjects),
            records=self._records(trees),
            sources=self._sources,
        )

    def _laid(self, folder: str) -> list[tuple[Note, Note | None]]:
        """Return the notes of a folder, the household's laid over the shelf's, each with the shelf's own."""
        under = {note.key: note for note in self._shelf.notes[folder]}
        over = {note.key: note for note in self._household.notes[folder]}
        found: list[tuple[Note, Note | None]] = []
        for key in sorted({*under, *over}):
            below, above = under.get(key), over.get(key)
            if above is None or below is None:
                note = above or below
                if note is not None:
                    found.append((note, below))
                continue
            table = above.table.lie_over(below.table)
            found.append(
                (Note(file=above.file, key=key, table=table, body=above.body or below.body), below)
            )
        return found

    def _fields(self, note: Note) -> Fields:
        return Fields(note.table, self._problems, self._sources)

    def _under(self, note: Note, below: Note | None) -> Fields | None:
        """Return the shelf's own fields, quietly: its problems are found when it is read itself."""
        return Fields(below.table, Problems(), self._sources) if below and below is not note else None

    def _fruits(self) -> dict[str, Fruit]:
        found = {}
        for note, below in self._laid("fruits"):
            fields = self._fields(note)
            found[note.key] = Fruit(
                key=note.key,
                name=fields.text("name") or note.key.replace("-", " ").capitalize(),
                also=fields.texts("also"),
                crops=fields.texts("crops"),
                traits=read_traits(fields, self._under(note, below), self._place, self._places),
                text=note.body,
            )
            fields.close("a fruit")
        return found

    def _cultivars(self, fruits: Mapping[str, Fruit]) -> dict[str, Cultivar]:
        fruit_names = Names.of(fruits.values())
        found = {}
        for note, below in self._laid("cultivars"):
            fields = self._fields(note)
            named = fields.text("fruit")
            keys = fruit_names.find(named) if named else ()
            fruit = fruits[keys[0]] if len(keys) == 1 else None
            if named and fruit is None:
                near = fruit_names.near(named)
                hint = f'did you mean "{near}"?' if near else f"write {or_list(sorted(fruits))}"
                fields.fault("fruit", f'the fruit "{named}" is not known', hint)
            elif not named:
                where = Where(note.file)
                self._problems.add(where, "a cultivar does not name its fruit", "add fruit: and what it is")
            own = read_traits(fields, self._under(note, below), self._place, self._places)
            found[note.key] = Cultivar(
                key=note.key,
                name=fields.text("name") or note.key.replace("-", " ").title(),
                fruit=fruit,
                also=fields.texts("also"),
                own=own,
                traits=own.over(fruit.traits) if fruit else own,
                text=note.body,
            )
            fields.close("a cultivar")
        return found

    def _check_offsets(self, cultivars: Mapping[str, Cultivar]) -> None:
        """An offset must lead to a cultivar, and never in a ring."""
        for cultivar in cultivars.values():
            seen = {cultivar.key}
            offset: Offset | None = cultivar.own.offset
            while offset is not None:
                where = offset.cited.where
                if offset.base not in cultivars:
                    near = nearest(offset.base, cultivars)
                    hint = f'did you mean "{near}"?' if near else "write a cultivar's file name"
                    self._problems.add(where, f'no cultivar file is called "{offset.base}"', hint)
                    break
                if offset.base in seen:
                    self._problems.add(where, "these offsets run in a ring", "give one of them a window instead")
                    break
                seen.add(offset.base)
                offset = cultivars[offset.base].own.offset

    def _with_markers(self, cultivars: Mapping[str, Cultivar], kinds: Kinds) -> Place:
        markers = []
        for marker in self._place.markers:
            cultivar = kinds.cultivar(marker.cultivar, "", marker.where, self._problems)
            if cultivar is not None and cultivar.key in cultivars:
                markers.append(Marker(cultivar=cultivar.key, pick=marker.pick, where=marker.where))
        return replace(self._place, markers=tuple(markers))

    def _subjects(
        self, fruits: Mapping[str, Fruit], cultivars: Mapping[str, Cultivar], trees: tuple[Tree, ...]
    ) -> Subjects:
        tags = {folded(tree.tag): tree.tag for tree in trees}
        fruit_names, cultivar_names = Names.of(fruits.values()), Names.of(cultivars.values())

        def find(name: str) -> tuple[str, ...]:
            if folded(name) in tags:
                return (tags[folded(name)],)
            return fruit_names.find(name) or cultivar_names.find(name)

        known = (*fruit_names.shown, *cultivar_names.shown, *tags.values())
        return Subjects(find, known)

    def _preserves(self, subjects: Subjects) -> tuple[Preserve, ...]:
        shelf = {}
        for note in self._shelf.notes["preserves"]:
            preserve = read_preserve(note, note, {}, subjects, self._sources, Problems())
            if preserve is not None:
                shelf[note.key] = preserve
        found = (
            read_preserve(note, below, shelf, subjects, self._sources, self._problems)
            for note, below in self._laid("preserves")
        )
        return tuple(preserve for preserve in found if preserve is not None)

    def _records(self, trees: tuple[Tree, ...]) -> tuple[Record, ...]:
        by_tag = {folded(tree.tag) or tree.tag: tree for tree in trees}
        found = [
            record
            for sheet in self._household.sheets["records"]
            for record in read_records(sheet, by_tag, self._place.hemisphere, self._problems)
        ]
        return tuple(sorted(found, key=lambda r: (r.day, r.tree, r.cultivar, r.crop, r.what.value, r.where)))
