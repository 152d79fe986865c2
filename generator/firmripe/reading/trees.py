"""Trees from their notes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from firmripe.days import parse_day, parse_day_count
from firmripe.holding.fruit import Cultivar, Fruit, Traits
from firmripe.holding.tree import Pin, Tree
from firmripe.problems import Problems, Where, folded, or_list
from firmripe.reading.fields import Fields, whole_number, year_number
from firmripe.reading.folder import Note
from firmripe.reading.names import Names
from firmripe.reading.traits import EVENT_KEYS
from firmripe.units import parse_count


@dataclass(slots=True)
class Kinds:
    """The fruits and cultivars that trees can be of; `met` gathers those that have no file of their own."""

    fruits: Mapping[str, Fruit]
    cultivars: Mapping[str, Cultivar]
    fruit_names: Names
    cultivar_names: Names
    met: dict[str, Cultivar] = field(default_factory=dict)

    def cultivar(self, name: str, fruit_name: str, where: Where, problems: Problems) -> Cultivar | None:
        """Find a cultivar by any of its names; one without a file is taken as it is, of `fruit_name` if given."""
        keys = self.cultivar_names.find(name)
        if len(keys) > 1:
            choices = or_list(sorted(self.cultivars[key].name for key in keys))
            problems.add(where, f'"{name}" can mean {choices}', "write the one that is meant")
            return None
        if keys:
            return self.cultivars[keys[0]]
        fruit = self.fruit(fruit_name, where, problems) if fruit_name else None
        of_fruit = self.fruit_names.find(name)
        if fruit is None and len(of_fruit) == 1:
            return self._unnamed(self.fruits[of_fruit[0]])
        if fruit is None and not fruit_name and (near := self.cultivar_names.near(name)):
            hint = f'did you mean "{near}"? If not, add fruit: and what kind of fruit it is'
            problems.add(where, f'the cultivar "{name}" is not on the shelf', hint)
            return None
        if fruit and folded(name) in {"", "unknown", folded(fruit.name)}:
            return self._unnamed(fruit)
        return self._met(name, fruit)

    def fruit(self, name: str, where: Where, problems: Problems) -> Fruit | None:
        """Find a fruit by any of its names."""
        keys = self.fruit_names.find(name)
        if len(keys) == 1:
            return self.fruits[keys[0]]
        near = self.fruit_names.near(name)
        hint = f'did you mean "{near}"?' if near else f"write {or_list(sorted(self.fruits))}"
        problems.add(where, f'the fruit "{name}" is not known', hint)
        return None

    def _unnamed(self, fruit: Fruit) -> Cultivar:
        return self._met(f"unknown {fruit.name.casefold()}", fruit)

    def _met(self, name: str, fruit: Fruit | None) -> Cultivar:
        key = "-".join(name.casefold().split()) or "unknown"
        if key not in self.met:
            own = Traits()
            self.met[key] = Cultivar(
                key=key, name=name, fruit=fruit, own=own, traits=own.over(fruit.traits) if fruit else own
            )
        return self.met[key]


def read_tree(note: Note, kinds: Kinds, problems: Problems) -> Tree | None:
    """Read one tree. A note without front matter is a tree all the same: its file's name is its tag."""
    fields = Fields(note.table, problems, {})
    tag = fields.text("tree") or note.key
    fruit_name, cultivar_name = fields.text("fruit"), fields.text("cultivar")
    limb_names = fields.texts_with_places("limbs")
    if limb_names and cultivar_name:
        fields.fault("limbs", "a tree has either a cultivar or limbs", "keep one of the two keys")
    if not limb_names:
        where = fields.place_of("cultivar")
        name = cultivar_name or ("unknown" if fruit_name else note.key)
        limb_names = ((name, where),)
    found = [kinds.cultivar(name, fruit_name, where, problems) for name, where in limb_names]
    limbs = tuple(dict.fromkeys(limb for limb in found if limb is not None))
    walk = fields.read("walk", parse_count)
    tree = Tree(
        tag=tag,
        limbs=limbs,
        place=fields.text("where"),
        walk=walk.middle if walk else None,
        count=fields.read("count", whole_number) or 1,
        planted=fields.read("planted", year_number),
        bears_from=fields.read("bears from", year_number),
        kept_by=fields.text("kept by"),
        days_from_bloom=fields.figure("days from bloom", parse_day_count),
        pins=tuple(pin for item in fields.tables("pinned") if (pin := _pin(item, limbs, kinds)) is not None),
        text=note.body,
        where=fields.place_of("tree"),
    )
    fields.close("a tree")
    return tree if limbs else None


def _pin(fields: Fields, limbs: tuple[Cultivar, ...], kinds: Kinds) -> Pin | None:
    written = [key for key in EVENT_KEYS if fields.has(key)]
    days = {key: fields.read(key, parse_day) for key in EVENT_KEYS}
    because, crop, named = fields.text("because"), fields.text("crop"), fields.text("cultivar")
    fields.close("a pinned date")
    if len(written) != 1:
        fields.fault("", "a pinned date has one event", "write {pick: 2027-09-01, because: ...}")
        return None
    cultivar = ""
    if named:
        here = [limb.key for limb in limbs if limb.key in kinds.cultivar_names.find(named) or limb.name == named]
        if not here:
            fields.fault("cultivar", f'"{named}" is no limb of this tree', "name one of its limbs")
            return None
        cultivar = here[0]
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


def walking_order(trees: list[Tree], problems: Problems) -> tuple[Tree, ...]:
    """Return the trees as one meets them on foot: by `walk`, those without one behind, then by tag."""
    seen: dict[str, Tree] = {}
    for tree in trees:
        other = seen.setdefault(folded(tree.tag) or tree.tag, tree)
        if other is not tree:
            problems.add(
                tree.where,
                f'the tag "{tree.tag}" is already that of {other.where.file}',
                "give each tree a tag of its own",
            )
    return tuple(
        sorted(trees, key=lambda t: (t.walk is None, t.walk if t.walk is not None else 0.0, t.tag))
    )
