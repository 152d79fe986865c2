"""First notes of a household, and one more note at a time: written only where nothing stands."""

from __future__ import annotations

import os
import uuid
from collections.abc import Callable, Container, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Protocol

from msgspec import Struct

from firmripe.days import Hemisphere
from firmripe.holding.fruit import Cultivar, Fruit
from firmripe.holding.holding import Holding
from firmripe.problems import Unreadable, folded, nearest, or_list
from firmripe.publish.slugs import slug
from firmripe.reading.fields import plain_text
from firmripe.reading.folder import NOTE, listed
from firmripe.reading.frontmatter import as_value
from firmripe.reading.names import Names
from firmripe.reading.place import FORMAT
from firmripe.reading.reader import read_known
from firmripe.reading.trees import unknown_fruit
from firmripe.shipped import shelf_folder
from firmripe.units import parse_height, parse_latitude, parse_longitude, parse_zone

_ABOUT = """\
# Our fruit

- `place.md` says where the trees stand.
- `trees/` holds a note for each tree.
- `records/` holds what was seen, a line for each: full bloom and first pick count most.

`firmripe check` says whether all of it can be read, `firmripe build` makes the site,
`firmripe preview` shows it while you write, and `firmripe add tree NAME` adds a note.
A line that begins with # between the two --- is not read; take the # away to use it.
"""
_GITIGNORE = """\
# What is built is not kept with the notes: firmripe build makes it anew.
/site/
/site-*/
/.site.*
/.site-*
"""
_GITATTRIBUTES = """\
# Line ends alike on every computer, and of two people's new lines both are kept.
*.md text
*.csv text merge=union
feeds.ledger text eol=lf merge=union
photos/** binary
"""
_RECORDS = "date,tree,cultivar,crop,what,amount,note\n"


class Beginning(Struct, frozen=True, kw_only=True):
    """What is told of a place and its trees at the start; what is not known is empty."""

    name: str = ""
    zone: str = ""
    latitude: str = ""
    longitude: str = ""
    height: str = ""
    units: str = ""
    trees: tuple[str, ...] = ()


class _Keyed(Protocol):
    @property
    def key(self) -> str:
        """The file's name."""

    @property
    def name(self) -> str:
        """The name shown."""


_PARSERS: Mapping[str, Callable[[str], object]] = {
    "zone": parse_zone,
    "latitude": parse_latitude,
    "longitude": parse_longitude,
    "height": parse_height,
}


def sound(what: str, text: str) -> str:
    """Return a zone, position or height as written, once it can be read; empty stays empty. Raises Unreadable."""
    if plain := text.strip():
        _PARSERS[what](plain)
    return text.strip()


def half_of(latitude: str) -> Hemisphere:
    """Return the half of the earth of a latitude as written; the north where none is."""
    return Hemisphere.SOUTH if latitude.strip() and parse_latitude(latitude) < 0 else Hemisphere.NORTH


def start(folder: Path, beginning: Beginning, season: int) -> list[Path]:
    """Write the first notes of a household into a new or empty folder and return the files.

    Raises Unreadable for a tree of no known name, and for a folder that holds something; OSError.
    """
    if os.path.lexists(folder) and (not folder.is_dir() or any(folder.iterdir())):
        raise Unreadable(f"{folder} is there already and not empty", "name a new folder; nothing was written")
    if not beginning.trees:
        raise Unreadable("a household needs a tree", "name one, as --tree Bartlett")
    known = read_known(None, shelf_folder())
    notes = [_tree_note(name, "", known) for name in beginning.trees]
    files = {
        ".gitignore": _GITIGNORE,
        ".gitattributes": _GITATTRIBUTES,
        "README.md": _ABOUT,
        "place.md": _place_note(beginning),
        f"records/{season}.csv": _RECORDS,
    }
    files |= {f"trees/{key}.md": note for key, note in zip(_keys(beginning.trees), notes, strict=True)}
    return _written(folder, files)


def _keys(names: Sequence[str]) -> list[str]:
    """Return a file's name for each tree, like ones told apart by a number."""
    found: list[str] = []
    for name in names:
        found.append(_free(slug(_named(name)[0]), {folded(key) for key in found}))
    return found


def _free(base: str, taken: Container[str]) -> str:
    """Return a file's name, or the first with a number behind it that is not `taken`, which holds folded names."""
    candidate, number = base, 2
    while folded(candidate) in taken:
        candidate, number = f"{base}-{number}", number + 1
    return candidate


def add(folder: Path, kind: str, name: str, fruit: str, when: str) -> list[Path]:
    """Write one more note into a household's folder and return its file.

    `kind` is tree, cultivar, task or preserve; `fruit` is wanted for what the shelf does not know, `when` for a task
    of one's own. A tree like one that is there has a number behind its name.
    Raises Unreadable for a name that is not known, and for any other note that is there already; OSError.
    """
    known = read_known(folder, shelf_folder())
    name = plain_text(name)
    key, note = slug(name), ""
    if kind == "tree":
        key, note = slug(_named(name)[0]), _tree_note(name, fruit, known)
    elif kind == "cultivar":
        key, note = _cultivar_note(name, fruit, known)
    elif kind == "task":
        key, note = _task_note(name, when, known)
    else:
        key, note = _preserve_note(name, fruit, known)
    within = f"{kind}s"
    there = {folded(other.stem): other.name for other in listed(folder / within) if other.suffix.casefold() == NOTE}
    if kind == "tree":
        key = _free(key, there)
    elif folded(key) in there:
        file = f"{within}/{there[folded(key)]}"
        raise Unreadable(f"{file} is there already", "write into that note, or choose another name")
    return _written(folder, {f"{within}/{key}.md": note})


def _written(folder: Path, files: Mapping[str, str]) -> list[Path]:
    """Write files that don't exist yet."""
    written = []
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8", newline="\n") as opened:
            opened.write(text)
        written.append(path)
    return written


def _front(lines: Iterable[str], body: str = "") -> str:
    return "\n".join(["---", *lines, "---", *([body] if body else [])]) + "\n"


def _line(key: str, value: str, example: str) -> str:
    """Return a key with its value, or an example that is not read."""
    return f"{key}: {as_value(value)}" if value.strip() else f"# {key}: {example}"


def _place_note(beginning: Beginning) -> str:
    is_south = half_of(beginning.latitude) is Hemisphere.SOUTH
    last_frost, first_frost = ("Oct 20", "Apr 25") if is_south else ("May 12", "Oct 8")
    is_metric = beginning.units == "metric"
    height, lower, cool = ("655 m", "290 m", "8 C") if is_metric else ("2,150 ft", "940 ft", "46 F")
    lines = [
        f"format: {FORMAT}",
        _line("name", beginning.name, "The upper garden"),
        "# the hardiness zone and the year of its map",
        _line("zone", beginning.zone, "6b"),
        "# zone map: 2023",
        _line("latitude", beginning.latitude, "41.9 N"),
        _line("longitude", beginning.longitude, "74.2 W"),
        _line("elevation", beginning.height, height),
        _line("units", beginning.units, "US"),
        "# the usual last frost of spring and first of autumn",
        f"# last frost: {last_frost}",
        f"# first frost: {first_frost}",
        "# where picked fruit can lie",
        f"# spaces: [{{name: cellar, temperature: {cool}, holds: 20 boxes}}]",
        f"# kitchens: [{{name: kitchen, elevation: {lower}}}]",
        "# by this, calendars know each event again, whatever the place is called; never change it",
        f"calendar identity: {uuid.uuid4()}",
    ]
    return _front(lines)


def _named(name: str) -> tuple[str, str]:
    """Return a tree's cultivar and its fruit, which is empty where none is told: `Gate Pear, pear`."""
    cultivar, _, fruit = name.partition(",")
    return cultivar.strip(), fruit.strip()


def _tree_note(name: str, fruit: str, known: Holding) -> str:
    plain, named_fruit = _named(name)
    fruit = fruit or named_fruit
    fruits = Names.of(known.fruits.values())
    cultivars = Names.of(known.cultivars.values())
    lines = []
    if fruit:
        _fruit_of(fruit, known)
        lines = [f"cultivar: {as_value(plain)}", f"fruit: {as_value(fruit)}"]
    elif len(fruits.find(plain)) == 1 and not cultivars.find(plain):
        lines = ["cultivar: unknown", f"fruit: {as_value(plain)}"]
    else:
        _cultivar_of(plain, cultivars, known.cultivars, f'say what fruit it is, as "{plain}, pear"')
        lines = [f"cultivar: {as_value(plain)}"]
    more = ["# where: row 1, by the gate", "# planted: 2019", "# bears from: 2024", "# kept by: whoever looks after it"]
    return _front([*lines, *more])


def _fruit_of(name: str, known: Holding) -> Fruit:
    names = Names.of(known.fruits.values())
    keys = names.find(name)
    if len(keys) != 1:
        raise Unreadable(*unknown_fruit(name, names, known.fruits))
    return known.fruits[keys[0]]


def _cultivar_of(name: str, names: Names, cultivars: Mapping[str, Cultivar], otherwise: str) -> Cultivar:
    """Return the cultivar that is called so. Raises Unreadable; what to do `otherwise` is told where none is."""
    keys = names.find(name)
    if not keys:
        near = names.near(name)
        raise Unreadable(
            f'the cultivar "{name}" is not known', f'did you mean "{near}"? If not, {otherwise}' if near else otherwise
        )
    if len(keys) > 1:
        choices = or_list(sorted(cultivars[key].name for key in keys))
        raise Unreadable(f'"{name}" can mean {choices}', "write the one that is meant")
    return cultivars[keys[0]]


def _cultivar_note(name: str, fruit: str, known: Holding) -> tuple[str, str]:
    names = Names.of(known.cultivars.values())
    if fruit and not names.find(name):
        lines = [f"name: {as_value(name)}", f"fruit: {_fruit_of(fruit, known).key}"]
        return slug(name), _front([*lines, *_OWN_FIGURES])
    cultivar = _cultivar_of(name, names, known.cultivars, "say what fruit it is, as --fruit pear")
    return cultivar.key, _front([f"# what stands here goes before what is known of {cultivar.name}", *_OWN_FIGURES])


_OWN_FIGURES = (
    "# windows: [{pick: Aug 28, place: here}]",
    "# days from bloom: 120 days",
    "# counter: 5-7 days",
    '# signs: [{touch: "gives at the neck"}]',
)


def _own_key(name: str, things: Iterable[_Keyed]) -> _Keyed | None:
    return next((thing for thing in things if folded(name) in {folded(thing.key), folded(thing.name)}), None)


def _task_note(name: str, when: str, known: Holding) -> tuple[str, str]:
    task = _own_key(name, known.tasks)
    if task is not None:
        asked = next(one for one in known.tasks if one.key == task.key)
        lines = [
            f"# what stands here goes before what is written of the task {task.name}",
            f"# when: {asked.when.text}",
            "# reminder: yes",
            "# skip: yes",
        ]
        return task.key, _front(lines)
    if not when:
        near = nearest(name, [one.name for one in known.tasks])
        otherwise = 'say when it is due, as --when "2 weeks before earliest pick" or --when "Mar 1"'
        hint = f'did you mean "{near}"? If not, {otherwise}' if near else otherwise
        raise Unreadable(f'the task "{name}" is not known', hint)
    lines = [
        f"name: {as_value(name)}",
        f"when: {as_value(when)}",
        "# topic: orchard",
        "# each: place",
        "# reminder: yes",
    ]
    return slug(name), _front(lines)


def _preserve_note(name: str, fruit: str, known: Holding) -> tuple[str, str]:
    preserve = _own_key(name, known.preserves)
    if preserve is not None:
        said = (
            f"# what stands here goes before what is written of {preserve.name}; storage limits may only be shortened"
        )
        return preserve.key, _front([said, '# cautions: ["what to mind in this kitchen"]'])
    if not fruit:
        near = nearest(name, [one.name for one in known.preserves])
        otherwise = "say of what fruit it is, as --fruit pear"
        hint = f'did you mean "{near}"? If not, {otherwise}' if near else otherwise
        raise Unreadable(f'the preserve "{name}" is not known', hint)
    lines = [
        f"name: {as_value(name)}",
        f"fruits: [{_fruit_of(fruit, known).key}]",
        "# jars need a published process; without one it is the freezer",
        "method: freezer",
    ]
    return slug(name), _front(lines)
