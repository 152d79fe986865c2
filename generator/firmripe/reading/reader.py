"""From a household's folder and the shelf to one Holding."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from msgspec.structs import replace

from firmripe.holding.crops import of_their_crops
from firmripe.holding.figures import Cited, Figure
from firmripe.holding.fruit import Cultivar, Flesh, Fruit, Habit, Offset, Traits
from firmripe.holding.holding import Holding
from firmripe.holding.kitchen import KitchenMeans
from firmripe.holding.matter import Matter
from firmripe.holding.place import USUAL_THEME, Place
from firmripe.holding.preserve import Preserve
from firmripe.holding.private import Passage
from firmripe.holding.record import Record
from firmripe.holding.standing import of_standing_trees
from firmripe.holding.task import Task
from firmripe.holding.tree import Neighbor, Tree
from firmripe.problems import Problems, Where, folded, name_key, nearest, or_list
from firmripe.reading.apart import refuse_another_fruit
from firmripe.reading.fields import SHELF, Fields, one_of, yes_or_no
from firmripe.reading.folder import SHELF_NOTES, Folder, Note, read_folder
from firmripe.reading.keeping import keeps_within
from firmripe.reading.kitchen import with_wants, without_canning
from firmripe.reading.names import Called, Names, as_written
from firmripe.reading.own_theme import read_own_theme
from firmripe.reading.parted import keep_parted, parted_notes
from firmripe.reading.passages import ask_of_marks, passages_of
from firmripe.reading.photos import take_photos
from firmripe.reading.place import check_format, read_place, read_places, read_sources
from firmripe.reading.processes import read_processes
from firmripe.reading.records import read_records
from firmripe.reading.rows import with_trees
from firmripe.reading.stations import read_stations
from firmripe.reading.tasks import Subjects, name_of_preserve, read_preserve, read_task
from firmripe.reading.traits import read_abroad, read_traits
from firmripe.reading.trees import OVER_THE_SHELF, Kinds, read_tree, unknown_fruit, walking_order
from firmripe.reading.weather import read_weather


def read_holding(
    household: Path, shelf: Path, themes: Sequence[str] = (USUAL_THEME,), at: Callable[[Folder], Folder] | None = None
) -> Holding:
    """Read the household's folder laid over the shelf's. `themes` are the names of the themes there are.

    `at` makes the household's notes those of another place, where they are read for many.
    Raises FaultyNotes with every problem found in either. Files that can't be read as notes come first and alone:
    what a file lacks that could not be read would only hide its real fault.
    """
    problems = Problems()
    under = _read_shelf(shelf, problems)
    over = read_folder(household, "", ("place",), problems)
    over = at(over) if at else over
    own_theme = read_own_theme(household, problems)
    stations = read_stations(shelf, problems)
    check_format(over.single.get("place"), problems)
    over, photos, told = take_photos(household, over, problems)
    problems.stop_if_any()
    holding = _Reader(under, over, problems, themes).holding()
    problems.stop_if_any()
    passages = (*holding.passages, *told)
    return replace(holding, own_theme=own_theme, stations=stations, photos=photos, passages=passages)


def read_known(household: Path | None, shelf: Path) -> Holding:
    """Return what the shelf and a household's folder know, as far as they can be read; problems are passed over."""
    quiet = Problems()
    under = _read_shelf(shelf, quiet)
    none = Folder(single={}, notes=dict.fromkeys(under.notes, ()), sheets=dict.fromkeys(under.sheets, ()))
    over = read_folder(household, "", ("place",), quiet) if household else none
    return _Reader(under, over, quiet).holding()


def _read_shelf(shelf: Path, problems: Problems) -> Folder:
    known = parted_notes(shelf)
    found = read_folder(shelf, SHELF, SHELF_NOTES, problems, known)
    keep_parted(shelf, known)
    return found


class _Reader:
    def __init__(
        self, shelf: Folder, household: Folder, problems: Problems, themes: Sequence[str] = (USUAL_THEME,)
    ) -> None:
        self._shelf = shelf
        self._household = household
        self._problems = problems
        self._sources = read_sources(shelf.single.get("sources"), problems)
        self._processes = read_processes(shelf.single.get("processes"), self._sources, problems)
        self._places = read_places(shelf.single.get("places"), self._sources, problems)
        self._shelf_cultivars = self._known_cultivars()
        self._crop_names: dict[str, Mapping[str, str]] = {}
        """What the household calls the crops of each fruit of the shelf, by the shelf's names."""
        self._ailing: set[str] = set()
        """Keys and names of what has a fault of its own: what hangs on it is not told as a second one."""
        self._place = read_place(household.single.get("place"), self._sources, problems, themes)

    def holding(self) -> Holding:
        fruits = self._fruits()
        cultivars = self._as_called(self._cultivars(fruits))
        names = Names.of(fruits.values()), Names.of(cultivars.values())
        kinds = Kinds(
            fruits,
            cultivars,
            *names,
            sources=self._sources,
            processes=self._processes,
            shelf=self._shelf_cultivars,
            tongue=self._place.tongue,
        )
        trees = self._trees(kinds)
        neighbors = self._neighbors(kinds)
        cultivars |= kinds.met
        self._check_offsets(cultivars)
        subjects = self._subjects(fruits, cultivars, trees)
        passages = self._passages()
        preserves = self._preserves(subjects)
        place, tasks = _with_work_in_one_spelling(self._with_usual_picks(cultivars, kinds), self._tasks(subjects))
        means = self._means(place, preserves, cultivars)
        return Holding(
            place=replace(place, kitchen_means=means, plan=with_trees(place.plan, trees, self._problems)),
            trees=tuple(tree for tree in trees if tree.limbs),
            cultivars=cultivars,
            fruits=fruits,
            tasks=tasks,
            preserves=preserves,
            records=self._records(trees),
            sources=self._sources,
            processes=self._processes,
            weather=read_weather(self._household.sheets["weather"], self._problems),
            asked=self._problems.asked,
            passages=passages,
            neighbors=neighbors,
            shelf_texts=frozenset(note.body for notes in self._shelf.notes.values() for note in notes if note.body),
        )

    def _trees(self, kinds: Kinds) -> tuple[Tree, ...]:
        """Read the trees in walking order, the faulty ones too, which are without limbs."""
        notes = self._household.notes["trees"]
        if not notes:
            hint = "write a note for each tree, as trees/old-pear.md"
            self._problems.add(Where("trees"), "the folder holds no tree", hint)
        keepers = (*(person.name for person in self._place.people), *self._place.houses)
        read = [self._whole(read_tree(note, kinds, self._problems)) for note in notes]
        read = [replace(tree, kept_by=as_written(tree.kept_by, keepers)) for tree in read]
        return walking_order(read, self._problems, up_and_down=self._place.up_and_down)

    def _means(self, place: Place, preserves: Sequence[Preserve], cultivars: Mapping[str, Cultivar]) -> KitchenMeans:
        """Return the means of the kitchens with what is wanted of them."""
        means = with_wants(place.kitchen_means, preserves, cultivars, self._problems, self._ailing)
        return without_canning(means, preserves, self._problems) if Matter.CANNING in place.without else means

    def _tasks(self, subjects: Subjects) -> tuple[Task, ...]:
        """Read the tasks that are not about what the household does without; each may stand for another."""
        laid = self._laid("tasks")
        named = replace(subjects, jobs=frozenset(note.key for note, _ in laid))
        read = [read_task(note, named, self._place, self._sources, self._problems) for note, _ in laid]
        return tuple(task for task in read if task is not None and task.about not in self._place.without)

    def _whole(self, tree: Tree) -> Tree:
        """Return a tree without limbs where one of its cultivars has a fault of its own."""
        return replace(tree, limbs=()) if any(limb.key in self._ailing for limb in tree.limbs) else tree

    def _passages(self) -> tuple[Passage, ...]:
        notes = [*self._household.single.values(), *(n for notes in self._household.notes.values() for n in notes)]
        for note in notes:
            ask_of_marks(note, self._problems)
        return tuple(passage for note in notes for passage in passages_of(note))

    def _laid(self, folder: str) -> list[tuple[Note, Note | None]]:
        """Return the notes of a folder, the household's laid over the shelf's, each with the shelf's own."""
        under = {note.key: note for note in self._shelf.notes[folder]}
        keys = {folded(key): key for key in under}
        over: dict[str, Note] = {}
        for own in self._household.notes[folder]:
            key = keys.setdefault(name_key(own.key), own.key)
            if key in over:
                message = f"this note has the same name as {over[key].file}"
                self._problems.add(Where(own.file), message, "make them one note, or rename one of them")
            over[key] = replace(own, key=key)
        found: list[tuple[Note, Note | None]] = []
        for key in sorted({*under, *over}):
            below, above = under.get(key), over.get(key)
            if above is None or below is None:
                note = above or below
                if note is not None:
                    found.append((note, below))
                continue
            table = above.table.lie_over(below.table)
            found.append((Note(file=above.file, key=key, table=table, body=above.body or below.body), below))
        return found

    def _fields(self, note: Note, problems: Problems | None = None) -> Fields:
        return Fields(note.table, self._problems if problems is None else problems, self._sources)

    def _under(self, note: Note, below: Note | None) -> Fields | None:
        """Return the shelf's own fields, quietly: its problems are found when it is read itself."""
        return Fields(below.table, Problems(), self._sources) if below and below is not note else None

    def _fruits(self) -> dict[str, Fruit]:
        found = {}
        for note, below in self._laid("fruits"):
            fields = self._fields(note)
            crops, under = fields.texts("crops"), self._under(note, below)
            self._crop_names[note.key] = self._names_of_crops(fields, crops, under.texts("crops") if under else ())
            traits = read_traits(fields, under, self._place, self._places, is_cultivar=False)
            traits = _with_crops_named(traits, self._crop_names[note.key])
            abroad = read_abroad(fields)
            self._check_crops(traits, crops)
            fruit = Fruit(
                key=note.key,
                name=fields.text("name") or note.key.replace("-", " ").capitalize(),
                also=(*_other_names(fields, under), *(one.name for one in abroad)),
                abroad=abroad,
                crops=crops,
                habit=_habit(fields, under),
                traits=traits,
                text=note.body,
                private=fields.read("private", yes_or_no) or False,
            )
            if not note.file.startswith(SHELF):
                known = self._shelf_cultivars, self._processes
                names = [fruit.name, *fruit.also]
                refuse_another_fruit(names, fruit, fields.place_of("also"), known, self._problems)
                self._check_is_no_cultivar(note)
            found[note.key] = fruit
            fields.close("a fruit")
        return found

    def _check_is_no_cultivar(self, note: Note) -> None:
        """Note a household's fruit whose file is called like a cultivar's: what is made of that would be made of it."""
        known = self._shelf_cultivars.get(note.key)
        if known is not None:
            hint = f"write cultivar: {known.name} in the tree's note, or call the file another name"
            self._problems.add(Where(note.file), f"{known.name} is a cultivar of the shelf, and no fruit", hint)

    def _cultivars(self, fruits: Mapping[str, Fruit]) -> dict[str, Cultivar]:
        names = Names.of(fruits.values())
        return {note.key: self._cultivar(note, below, fruits, names) for note, below in self._laid("cultivars")}

    def _fruit_of(self, note: Note, fields: Fields, fruits: Mapping[str, Fruit], names: Names) -> Fruit | None:
        """Return the fruit that a cultivar names; None with a fault where it names none that is known."""
        named = fields.text("fruit")
        keys = names.find(named) if named else ()
        fruit = fruits[keys[0]] if len(keys) == 1 else None
        if named and fruit is None:
            fields.fault("fruit", *unknown_fruit(named, names, fruits))
        elif not named:
            hint = "; ".join(["add fruit: and what it is", *self._perhaps_of_the_shelf(note)])
            self._problems.add(Where(note.file), "a cultivar does not name its fruit", hint)
        return fruit

    def _cultivar(self, note: Note, below: Note | None, fruits: Mapping[str, Fruit], names: Names) -> Cultivar:
        """Read one cultivar. Without its fruit it is ailing, and told of for the sake of what hangs on it."""
        fields = self._fields(note)
        fruit = self._fruit_of(note, fields, fruits, names)
        self._check_fruit(note, below, fields, fruit)
        for hint in self._perhaps_of_the_shelf(note) if fruit and below is None else ():
            message = f'the shelf knows "{note.key.replace("-", " ")}", and this note does not go on from it'
            self._problems.ask(Where(note.file), message, hint)
        own = read_traits(fields, self._under(note, below), self._place, self._places, is_cultivar=True)
        own = _with_crops_named(own, self._crop_names.get(fruit.key, {}) if fruit else {})
        crops = fields.texts("crops")
        if fruit is None:
            self._ailing.add(note.key)
        else:
            self._check_crops(own, crops or fruit.crops)
        if fruit and not (below and "keeps" in below.table.entries):
            of_fruit = fruit.traits.published_limit
            own = replace(own, keeps=keeps_within(fields, own.keeps, of_fruit, strict=False))
        found = Cultivar(
            key=note.key,
            name=fields.text("name") or note.key.replace("-", " ").title(),
            fruit=fruit,
            own_crops=crops,
            also=_other_names(fields, self._under(note, below)),
            own=own,
            traits=own.over(fruit.traits, crops or fruit.crops or ("",)) if fruit else own,
            flesh=self._flesh(fields, self._under(note, below)),
            text=note.body,
            unsure=below is None and self._processes.is_vague(fields.text("fruit")),
            private=(fields.read("private", yes_or_no) or False) or (fruit is not None and fruit.private),
        )
        fields.close("a cultivar")
        return found

    def _perhaps_of_the_shelf(self, note: Note) -> list[str]:
        """Return what to do where a note's file has another name of a cultivar of the shelf than that one's file."""
        keys = Names.of(self._shelf_cultivars.values()).find(note.key.replace("-", " "))
        return [
            f"if it is {self._shelf_cultivars[key].name}, call the file cultivars/{key}.md: {OVER_THE_SHELF}"
            for key in keys
            if folded(key) != folded(note.key)
        ]

    def _as_called(self, cultivars: dict[str, Cultivar]) -> dict[str, Cultivar]:
        """Return the cultivars as the household calls them: by the one name that all its trees' notes use.

        Where its own note of a cultivar has a name, that is it. All names find a cultivar, whichever is shown.
        """
        names, called = Names.of(cultivars.values()), dict[str, set[str]]()
        named = {folded(note.key) for note in self._household.notes["cultivars"] if "name" in note.table.entries}
        for note in self._household.notes["trees"]:
            fields = Fields(note.table, Problems(), {})
            for name in (fields.text("cultivar"), *(name for name, *_ in fields.named("limbs", "cultivar"))):
                keys = names.find(name)
                if len(keys) == 1 and folded(keys[0]) not in named:
                    called.setdefault(keys[0], set()).add(folded(name))
        for key, said in called.items():
            one = cultivars[key]
            other = next((name for name in one.also if {folded(name)} == said), None)
            if other is not None and folded(other) not in {folded(one.name), folded(key)}:
                also = (one.name, *(name for name in one.also if name != other))
                cultivars[key] = replace(one, name=other, also=also)
        return cultivars

    def _flesh(self, fields: Fields, shelf: Fields | None) -> Figure[Flesh] | None:
        """Read the color of a cultivar's flesh; a household can't make yellow what is known to be another color."""
        own, known = fields.figure("flesh", one_of(Flesh)), shelf.figure("flesh", one_of(Flesh)) if shelf else None
        if own is not None and known is not None and Flesh.YELLOW is own.value is not known.value:
            hint = "leave flesh: out; if yours is another cultivar, give it a file of its own"
            fields.fault("flesh", f"this cultivar is known for {known.value.value} flesh", hint)
        return own

    def _check_fruit(self, note: Note, below: Note | None, fields: Fields, fruit: Fruit | None) -> None:
        """Note where a household moves a cultivar of the shelf to another fruit, by its file or by a name."""
        if fruit is None or note.file.startswith(SHELF):
            return
        if below is not None:
            theirs = self._shelf_cultivars.get(note.key)
            if theirs and theirs.fruit and theirs.fruit.key != fruit.key:
                hint = "leave fruit: out; if yours is another cultivar, give its file and its name another name"
                message = f'"{theirs.name}" is {theirs.fruit.name} on the shelf, and can\'t be moved to {fruit.name}'
                fields.fault("fruit", message, hint)
                return
        names = [fields.text("name") or note.key.replace("-", " "), *fields.texts("also"), note.key]
        known = self._shelf_cultivars, self._processes
        refuse_another_fruit(names, fruit, fields.place_of("fruit"), known, self._problems)

    def _known_cultivars(self) -> dict[str, Cultivar]:
        """Return the shelf's own cultivars with their fruits, quietly; only names and kinds are looked at."""
        fruits = {
            note.key: Fruit(
                key=note.key,
                name=f.text("name") or note.key,
                also=(*f.texts("also"), *(one.name for one in read_abroad(f))),
                traits=Traits(),
            )
            for note in self._shelf.notes["fruits"]
            for f in [self._fields(note, Problems())]
        }
        names, found = Names.of(fruits.values()), {}
        for note in self._shelf.notes["cultivars"]:
            fields = self._fields(note, Problems())
            keys = names.find(fields.text("fruit"))
            found[note.key] = Cultivar(
                key=note.key,
                name=fields.text("name") or note.key.replace("-", " ").title(),
                fruit=fruits[keys[0]] if len(keys) == 1 else None,
                also=fields.texts("also"),
                own=Traits(),
                traits=Traits(),
            )
        return found

    def _names_of_crops(self, fields: Fields, own: Sequence[str], shelf: Sequence[str]) -> Mapping[str, str]:
        """Return what a household calls the crops of a fruit of the shelf, by the shelf's names, in its order."""
        if len(own) != len(shelf) and shelf:
            hint = "give each a name, in this order"
            fields.fault("crops", f"the shelf tells of {len(shelf)} crops: {or_list(shelf)}", hint)
            return {}
        return dict(zip(shelf, own, strict=True)) if shelf else {}

    def _check_crops(self, traits: Traits, crops: tuple[str, ...]) -> None:
        """Note each date and interval of a crop that the fruit does not bear."""
        told = [(window.crop, window.cited.where) for window in traits.windows]
        told += [(figure.crop, figure.cited.where) for figure in traits.days_from_bloom]
        for crop, where in told:
            if crop and crop not in crops:
                near = nearest(crop, crops)
                hint = f"write {or_list(crops)}" if crops else "leave the key out, or add crops: to its fruit"
                self._problems.add(
                    where, f'the fruit has no crop "{crop}"', f'did you mean "{near}"?' if near else hint
                )

    def _check_offsets(self, cultivars: Mapping[str, Cultivar]) -> None:
        """Note each offset that leads to no cultivar, or in a ring."""
        for cultivar in cultivars.values():
            seen = [cultivar.key]
            offset: Offset | None = cultivar.own.offset
            while offset is not None:
                where = offset.cited.where
                if offset.base not in cultivars:
                    near = nearest(offset.base, cultivars)
                    hint = f'did you mean "{near}"?' if near else "write a cultivar's file name"
                    self._problems.add(where, f'no cultivar file is called "{offset.base}"', hint)
                    break
                if offset.base == cultivar.key:
                    ring = ", then ".join([*seen, offset.base])
                    hint = "give one of them a window instead"
                    self._problems.add(where, f"offsets run in a ring: {ring}", hint)
                if offset.base in seen:
                    break
                seen.append(offset.base)
                offset = cultivars[offset.base].own.offset

    def _neighbors(self, kinds: Kinds) -> tuple[Neighbor, ...]:
        """Find the kinds of trees that stand near and are somebody else's."""
        found = []
        for near in self._place.neighbors:
            fruit = kinds.fruit(near.fruit, near.where, self._problems) if near.fruit else None
            if near.fruit and fruit is None:
                continue
            limb = kinds.cultivar(near.cultivar or "unknown", fruit, near.where, self._problems)
            if limb is not None:
                found.append(Neighbor(limb=limb, place=near.place, removed=near.removed))
        return tuple(found)

    def _with_usual_picks(self, cultivars: Mapping[str, Cultivar], kinds: Kinds) -> Place:
        found = []
        for usual in self._place.usual_picks:
            cultivar = kinds.cultivar(usual.cultivar, None, usual.where, self._problems)
            if cultivar is not None and cultivar.key in cultivars:
                if usual.crop not in cultivar.crops:
                    crops = or_list([crop for crop in cultivar.crops if crop] or ["no crop"])
                    message = f"{cultivar.name} bears {crops}: which does the usual pick mean?"
                    self._problems.add(usual.where, message, "mend the key crop of the usual pick")
                found.append(replace(usual, cultivar=cultivar.key))
            elif cultivar is not None:
                message = f'"{usual.cultivar}" among the usual picks is no cultivar with a note or a tree here'
                self._problems.add(usual.where, message, "name a cultivar of the shelf or of a tree")
        return replace(self._place, usual_picks=tuple(found))

    def _subjects(
        self, fruits: Mapping[str, Fruit], cultivars: Mapping[str, Cultivar], trees: tuple[Tree, ...]
    ) -> Subjects:
        return Subjects(
            fruits=Names.of(fruits.values()),
            cultivars=Names.of(cultivars.values()),
            tags={name_key(tree.tag): tree.tag for tree in trees},
        )

    def _preserves(self, subjects: Subjects) -> tuple[Preserve, ...]:
        called = (
            (note.key, name_of_preserve(note, self._fields(note, Problems())))
            for note in self._shelf.notes["preserves"]
        )
        names = Names.of(Called(key, name) for key, name in called if name)
        found = []
        for note, below in self._laid("preserves"):
            preserve = read_preserve(note, self._under(note, below), names, subjects, self._fields(note))
            if preserve is not None:
                found.append(preserve)
            else:
                named = Fields(note.table, Problems(), self._sources).text("name")
                self._ailing |= {folded(note.key), folded(named)}
        return tuple(found)

    def _records(self, trees: tuple[Tree, ...]) -> tuple[Record, ...]:
        by_tag = {name_key(tree.tag): tree for tree in trees}
        found = [
            record
            for sheet in self._household.sheets["records"]
            for record in read_records(
                sheet,
                by_tag,
                self._place,
                self._problems,
            )
        ]
        in_order = sorted(found, key=lambda r: (r.day, r.tree, r.cultivar, r.crop, r.what.value, r.where))
        return of_their_crops(of_standing_trees(in_order, trees), trees, self._place)


def _with_work_in_one_spelling(place: Place, tasks: Sequence[Task]) -> tuple[Place, tuple[Task, ...]]:
    """Return people and tasks in which each kind of work is spelled in one way, the shelf's where it knows it."""
    in_order = sorted(tasks, key=lambda task: not task.where.file.startswith(SHELF))
    kinds = tuple(dict.fromkeys(task.who for task in in_order if task.who))
    people = (replace(one, does=tuple(as_written(kind, kinds) for kind in one.does)) for one in place.people)
    told = tuple(replace(task, who=as_written(task.who, kinds)) for task in tasks)
    return replace(place, people=tuple(people)), told


def _with_crops_named(traits: Traits, names: Mapping[str, str]) -> Traits:
    """Return traits in which the shelf's own dates and intervals call their crops as the household does."""

    def named(crop: str, cited: Cited) -> str:
        return names.get(crop, crop) if cited.where.file.startswith(SHELF) else crop

    if not names:
        return traits
    return replace(
        traits,
        windows=tuple(replace(window, crop=named(window.crop, window.cited)) for window in traits.windows),
        days_from_bloom=tuple(replace(f, crop=named(f.crop, f.cited)) for f in traits.days_from_bloom),
    )


def _habit(fields: Fields, shelf: Fields | None) -> Habit:
    """Read how a plant grows. That of a fruit of the shelf stays, for what can hurt at a tall one hangs on it."""
    habit = fields.read("habit", one_of(Habit)) or Habit.TREE
    known = shelf and (shelf.read("habit", one_of(Habit)) or Habit.TREE)
    if known and known is not habit and not fields.place_of("habit").file.startswith(SHELF):
        fields.fault("habit", "the habit of a fruit of the shelf can't be changed", "leave the key out")
    return habit


def _other_names(fields: Fields, shelf: Fields | None) -> tuple[str, ...]:
    """Return the other names of a kind; what the shelf calls it still finds it where a household calls it otherwise."""
    known = (shelf.text("name"), *shelf.texts("also")) if shelf else ()
    own = fields.texts("also")
    taken = {folded(name) for name in ("", fields.text("name"), *own)}
    return (*own, *(name for name in dict.fromkeys(known) if folded(name) not in taken))
