"""Trees from their notes."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping

from msgspec import Struct, field

from firmripe.days import parse_day
from firmripe.holding.figures import Source
from firmripe.holding.fruit import Cultivar, Event, Flesh, Fruit, Traits
from firmripe.holding.picks import parse_picking_days
from firmripe.holding.place import stands_in
from firmripe.holding.process import ProcessTable
from firmripe.holding.tree import Pin, Tree
from firmripe.problems import Problems, Where, folded, name_key, nearest, or_list
from firmripe.reading.apart import refuse_another_fruit
from firmripe.reading.bounds import number_within, within
from firmripe.reading.fields import Fields, one_of, whole_number, year_number, yes_or_no
from firmripe.reading.folder import Note
from firmripe.reading.limbs import OwnDays, with_own_days
from firmripe.reading.names import Names
from firmripe.reading.traits import CROP_OF_A_TREE, EVENT_KEYS
from firmripe.tongue import Tongue
from firmripe.units import parse_count

_MOST_CHOICES = 3
OVER_THE_SHELF = "a note of yours goes on from the shelf's where its file has the same name"
_YEARS = "a tree's years are from 1600 to 2199"


class Kinds(Struct):
    """The fruits and cultivars that trees can be of, and the sources that their figures name.

    `processes` and `shelf` tell fruits apart whose acid differs.
    `met` gathers the cultivars that have no file of their own, which are named in the household's language.
    """

    fruits: Mapping[str, Fruit]
    cultivars: Mapping[str, Cultivar]
    fruit_names: Names
    cultivar_names: Names
    sources: Mapping[str, Source] = field(default_factory=dict)
    processes: ProcessTable = field(default_factory=ProcessTable)
    shelf: Mapping[str, Cultivar] = field(default_factory=dict)
    met: dict[str, Cultivar] = field(default_factory=dict)
    tongue: Tongue = field(default_factory=Tongue)

    def cultivar(self, name: str, fruit: Fruit | None, where: Where, problems: Problems) -> Cultivar | None:
        """Find a cultivar by any of its names; one without a file is taken as it is, of `fruit` if given."""
        keys = self.cultivar_names.find(name)
        if fruit and keys:
            named, keys = keys, tuple(key for key in keys if self.cultivars[key].fruit in {fruit, None})
            if not keys:
                of = or_list(sorted({other.name for key in named if (other := self.cultivars[key].fruit)}))
                message = f'"{name}" is known as {of}, not as {fruit.name}'
                problems.add(where, message, "mend the cultivar or the fruit, or write a note in cultivars/")
                return None
        if len(keys) > 1:
            choices, hint = {self.cultivars[key].name for key in keys}, "write the one that is meant"
            if len(choices) < len(keys):
                choices = {f"cultivars/{key}.md" for key in keys}
                hint = f"give one of them another name; {OVER_THE_SHELF}"
            problems.add(where, f'"{name}" can mean {or_list(sorted(choices))}', hint)
            return None
        if keys:
            return self.cultivars[keys[0]]
        unknown = folded(name) in {"", "unknown"}
        of_fruit = self.fruit_names.find(name)
        if not fruit and len(of_fruit) > 1:
            fruits = or_list(sorted(self.fruits[key].name for key in of_fruit))
            problems.add(where, f'"{name}" can mean {fruits}', "write the one that is meant")
            return None
        if not fruit and not unknown and not of_fruit:
            near = self.cultivar_names.near(name)
            longer = {*self.cultivar_names.longer(name), *self.fruit_names.longer(name)}
            meant = self._without_its_fruit(name) or ([near] if near else sorted(longer)[:_MOST_CHOICES])
            if meant:
                names = or_list([f'"{one}"' for one in meant])
                hint = f"did you mean {names}? If not, add fruit: and what kind of fruit it is"
                problems.add(where, f'the cultivar "{name}" is not known', hint)
                return None
        return self._without_file(name, fruit)

    def _without_its_fruit(self, name: str) -> list[str]:
        """Return the cultivar that is known by this name without its last word, where that names a fruit."""
        first, _space, last = name.strip().rpartition(" ")
        is_fruit = bool(self.fruit_names.find(last) or self.fruit_names.longer(last))
        return sorted(self.cultivars[key].name for key in self.cultivar_names.find(first)) if is_fruit else []

    def by_any_name(self, name: str, where: Where, problems: Problems) -> Cultivar | None:
        """Find a cultivar where a name that is not known is no mistake, such as a file's."""
        if self.cultivar_names.find(name):
            return self.cultivar(name, None, where, problems)
        return self._without_file(name, None)

    def _without_file(self, name: str, fruit: Fruit | None) -> Cultivar:
        of_fruit = self.fruit_names.find(name)
        if fruit is None and len(of_fruit) == 1:
            return self._unnamed(self.fruits[of_fruit[0]])
        if fruit and (folded(name) in {"", "unknown"} or fruit.key in of_fruit):
            return self._unnamed(fruit)
        return self._met(name, fruit)

    def fruit(self, name: str, where: Where, problems: Problems) -> Fruit | None:
        """Find a fruit by any of its names."""
        keys = self.fruit_names.find(name)
        if len(keys) == 1:
            return self.fruits[keys[0]]
        problems.add(where, *unknown_fruit(name, self.fruit_names, self.fruits))
        return None

    def _unnamed(self, fruit: Fruit) -> Cultivar:
        said = self.tongue.say("unknown {fruit}", fruit=self.tongue.term(fruit.name))
        return self._met(f"unknown {fruit.name}", fruit, said)

    def _met(self, name: str, fruit: Fruit | None, said: str = "") -> Cultivar:
        """Return the cultivar of a name; its key is that of the English name, whatever is `said` for it."""
        key = re.sub(r"[\W_]+", "-", name.casefold()).strip("-") or "unknown"
        if fruit and key in self.met and self.met[key].fruit is not fruit:
            key = f"{key}-{fruit.key}"
        if key not in self.met:
            own = Traits()
            self.met[key] = Cultivar(
                key=key,
                name=said or name,
                fruit=fruit,
                own=own,
                traits=own.over(fruit.traits) if fruit else own,
                private=fruit is not None and fruit.private,
            )
        return self.met[key]


def unknown_fruit(name: str, names: Names, fruits: Mapping[str, Fruit]) -> tuple[str, str]:
    """Return what is wrong with a fruit's name, and what to write instead."""
    otherwise = f"write {or_list(sorted(fruits))}" if fruits else "write a note for it in fruits/"
    words = {word for fruit in fruits.values() for one in _names_of(fruit) for word in re.findall(r"\w+", one)}
    near = nearest(name, sorted(words))
    meant = _with_word(name, fruits) or (names.near(name) is None and near and _with_word(near, fruits))
    return f'the fruit "{name}" is not known', f"write {or_list(meant)}" if meant else names.hint(name, otherwise)


def _with_word(name: str, fruits: Mapping[str, Fruit]) -> list[str]:
    """Return the fruits of which a name holds this one as a word."""
    return sorted(key for key, fruit in fruits.items() if any(_has_word(one, name) for one in _names_of(fruit)))


def _names_of(fruit: Fruit) -> tuple[str, ...]:
    return (fruit.key.replace("-", " "), fruit.name, *fruit.also)


def _has_word(longer: str, name: str) -> bool:
    return any(stands_in(one, longer) for one in (name, name.removesuffix("s"), re.sub("ies$", "y", name)))


def read_tree(note: Note, kinds: Kinds, problems: Problems) -> Tree:
    """Read one tree. A note without front matter is a tree all the same: its file's name is its tag.

    One with a limb that is not known has no limbs, so that nothing else is said of it: its own fault is noted.
    """
    fields = Fields(note.table, problems, kinds.sources)
    tag = fields.text("tree") or note.key
    limbs, unsure = _limbs(note, fields, kinds, problems)
    walk = fields.read("walk", within(parse_count, 0, 10_000, "places in the walk run from 0 to 10,000"))
    tree = Tree(
        tag=tag,
        limbs=limbs,
        place=fields.text("where"),
        walk=walk.middle if walk else None,
        count=fields.read("count", number_within(whole_number, 1, 2_000, "one note is for 1 to 2,000 trees")) or 1,
        planted=fields.read("planted", number_within(year_number, 1600, 2199, _YEARS)),
        bears_from=fields.read("bears from", number_within(year_number, 1600, 2199, _YEARS)),
        kept_by=fields.text("kept by"),
        picking_days=fields.figures("picking days", parse_picking_days),
        pins=tuple(pin for item in fields.tables("pinned") if (pin := _pin(item, limbs, kinds)) is not None),
        text=note.body,
        crop=fields.read("crop", CROP_OF_A_TREE),
        flesh=fields.read("flesh", one_of(Flesh)),
        unsure=unsure,
        private=fields.read("private", yes_or_no) or False,
        where=fields.place_of("tree"),
    )
    fields.close("a tree")
    _check_years(fields, tree)
    _check_pins(fields, tree.pins)
    _check_picking_days(fields, tree)
    if tree.crop is not None and len(tree.bearings) > 1:
        message = (
            "this tree has several limbs or crops, and nobody knows what of it is whose: nothing is foretold by it"
        )
        fields.ask("crop", message, "weigh what is picked of each, and leave it out")
    return tree


def _limbs(note: Note, fields: Fields, kinds: Kinds, problems: Problems) -> tuple[tuple[Cultivar, ...], frozenset[str]]:
    """Read the limbs of a tree, each once, and the keys of those whose fruit was told by a name that leaves it open.

    There are none where one is not known.
    """
    fruit_name, cultivar_name = fields.text("fruit"), fields.text("cultivar")
    told = list(fields.named("limbs", "cultivar"))
    if told and cultivar_name:
        fields.fault("limbs", "a tree has either a cultivar or limbs", "keep one of the two keys")
    fruit = kinds.fruit(fruit_name, fields.place_of("fruit"), problems) if fruit_name else None
    if not told:
        told = [(cultivar_name or ("unknown" if fruit_name else note.key), fields.place_of("cultivar"), None)]
    is_lax = (fruit_name and fruit is None) or not (cultivar_name or fruit_name or fields.has("limbs"))
    of_tree, found, unsure, is_whole = OwnDays.read(fields), dict[str, Cultivar](), set[str](), True
    told_of = [of_tree]
    for name, where, inner in told:
        own = [OwnDays.read(inner), of_tree] if inner else [of_tree]
        if inner is not None:
            inner.close("a limb")
            told_of.append(own[0])
        limb = kinds.by_any_name(name, where, problems) if is_lax else kinds.cultivar(name, fruit, where, problems)
        is_whole &= limb is not None
        if limb is not None:
            refuse_another_fruit([name], limb.fruit, where, (kinds.shelf, kinds.processes), problems)
            if limb.key in kinds.met and kinds.processes.is_vague(fruit_name or name):
                unsure.add(limb.key)
            found.setdefault(limb.key, with_own_days(limb, own))
    if is_whole:
        _check_crops(fields, told_of, found.values())
    return (tuple(found.values()) if is_whole else ()), frozenset(unsure)


def _check_crops(fields: Fields, told: Iterable[OwnDays], limbs: Iterable[Cultivar]) -> None:
    """Note own days from bloom of a crop that the tree does not bear."""
    crops = list(dict.fromkeys(name for limb in limbs for name in limb.crops if name))
    for figure in (own.from_bloom for own in told if own.from_bloom):
        if figure.crop and figure.crop not in crops:
            hint = f"write {or_list(crops)}" if crops else "leave the key out"
            fields.fault_at(figure.cited.where, f'this tree has no crop "{figure.crop}"', hint)


def _check_picking_days(fields: Fields, tree: Tree) -> None:
    """Note days of picking of which nobody knows what is picked: of several limbs, or of several crops."""
    if tree.picking_days and len(tree.limbs) > 1:
        names = or_list([limb.name for limb in tree.limbs])
        fields.fault(
            "picking days",
            "this tree has several limbs, and picking days does not say whose",
            f"write it in the note of {names}",
        )
    for limb in tree.limbs:
        crops = [crop for crop in limb.crops if crop]
        for figure in (*tree.picking_days, *limb.own.picking_days):
            if figure.crop not in limb.crops:
                example = f'{{crop: {crops[0] if crops else ""}, value: "{figure.text}"}}'
                said = f"write {or_list(crops)}, as picking days: {example}" if crops else "leave crop: out"
                message = f'"{figure.text}" does not say which crop is picked then'
                none = f'{limb.name} has no crop "{figure.crop}"'
                fields.fault_at(figure.cited.where, none if figure.crop else message, said)


def _check_years(fields: Fields, tree: Tree) -> None:
    if tree.planted and tree.bears_from and not 0 <= tree.bears_from - tree.planted <= LONGEST_TO_BEAR:
        message = f"it bears from {tree.bears_from} and was planted in {tree.planted}"
        fields.fault("bears from", message, f"a tree bears 0 to {LONGEST_TO_BEAR} years after it was planted")


def _check_pins(fields: Fields, pins: Iterable[Pin]) -> None:
    """Note a date that is fixed twice for one season: nobody could say which holds."""
    seen: dict[tuple[Event, int, str, str], Pin] = {}
    for pin in pins:
        other = seen.setdefault((pin.event, pin.day.year, pin.cultivar, pin.crop), pin)
        if other is not pin and abs((other.day - pin.day).days) < 180:
            message = f"the {pin.event.value} of {pin.day.year} is fixed twice, on {other.day} and on {pin.day}"
            fields.fault_at(pin.where, message, "keep one of the two")


LONGEST_TO_BEAR = 40
"""Years. The slowest seedlings have borne by then (our judgement)."""


def _pin(fields: Fields, limbs: tuple[Cultivar, ...], kinds: Kinds) -> Pin | None:
    written = [key for key in EVENT_KEYS if fields.has(key)]
    days = {key: fields.read(key, parse_day) for key in EVENT_KEYS}
    because, crop, named = fields.text("because"), fields.text("crop"), fields.text("cultivar")
    fields.close("a pinned date")
    if len(written) != 1:
        fields.fault("", "a pinned date has one event", "write {pick: 2027-09-01, because: ...}")
        return None
    cultivar = ""
    if named and limbs:
        here = [limb.key for limb in limbs if limb.key in kinds.cultivar_names.find(named) or limb.name == named]
        if not here:
            names = or_list([limb.name for limb in limbs] or ["one of its limbs"])
            fields.fault("cultivar", f'"{named}" is no limb of this tree', f"write {names}")
            return None
        cultivar = here[0]
    meant = [limb for limb in limbs if limb.key == cultivar] or limbs
    crops = list(dict.fromkeys(name for limb in meant for name in limb.crops if name))
    if limbs and crop and crop not in crops:
        hint = f"write {or_list(crops)}" if crops else "leave the key out"
        fields.fault("crop", f'this tree has no crop "{crop}"', hint)
        return None
    if not crop and len(crops) > 1 and written[0] != "leaf fall":
        fields.fault(written[0], "this tree bears several crops a year: which is fixed?", f"add crop: {or_list(crops)}")
        return None
    day = days[written[0]]
    if day is None:
        return None
    return Pin(
        event=EVENT_KEYS[written[0]],
        day=day,
        because=because,
        cultivar=cultivar,
        crop=crop,
        where=fields.place_of(written[0]),
    )


def walking_order(trees: list[Tree], problems: Problems, *, up_and_down: bool = False) -> tuple[Tree, ...]:
    """Return the trees as one meets them on foot: by `walk`, those without one behind, then by row and tag.

    Rows that are walked `up_and_down` are met from their first tree in odd rows, from their last in even ones.
    """
    seen: dict[str, Tree] = {}
    for tree in trees:
        other = seen.setdefault(name_key(tree.tag), tree)
        if other is not tree:
            problems.add(
                tree.where,
                f'the tag "{tree.tag}" is already that of {other.where.file}',
                "give each tree a tag of its own",
            )
    in_order = sorted(trees, key=lambda t: (t.walk is None, t.walk if t.walk is not None else 0.0, t.tag))
    if not up_and_down:
        return tuple(in_order)
    rows: dict[float, list[Tree]] = {}
    for tree in in_order:
        if tree.walk is None:
            rows.setdefault(_row_number(tree), []).append(tree)
    walked = [tree for tree in in_order if tree.walk is not None]
    for number, row in sorted(rows.items()):
        row.sort(key=_by_tag, reverse=number % 2 == 0)
        walked += row
    return tuple(walked)


def _row_number(tree: Tree) -> float:
    """Return the number in the name of a tree's row; a tree without one comes after all rows."""
    found = re.search(r"\d+", tree.part)
    return float(found.group()) if found else math.inf


def _by_tag(tree: Tree) -> list[tuple[bool, float, str]]:
    """Return a tag's numbers and words in turn, so that 4-9 stands before 4-10."""
    parts = re.findall(r"\d+|\D+", tree.tag)
    return [(part.isdecimal(), float(part) if part.isdecimal() else 0.0, part) for part in parts]
