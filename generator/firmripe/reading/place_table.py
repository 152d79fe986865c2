"""A place's table of dates, as somebody copies it from a book, a newspaper or a nursery's wall."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct
from msgspec.structs import replace

from firmripe.days import Hemisphere, parse_stretch
from firmripe.holding.figures import Cited
from firmripe.holding.fruit import Cultivar, Fruit, Window
from firmripe.holding.holding import Holding
from firmripe.holding.place import Ground
from firmripe.problems import Problems
from firmripe.reading.fields import Fields
from firmripe.reading.frontmatter import split_note
from firmripe.reading.names import Names
from firmripe.reading.place import OF_A_PLACE
from firmripe.reading.traits import EVENT_KEYS
from firmripe.units import parse_latitude, parse_longitude

Dated = tuple[Window, Cultivar | Fruit]
"""A date, and whose it is: a cultivar's, or a fruit's in general."""


class PlaceTable(Struct, frozen=True, kw_only=True):
    """What a table says: the place with its ground, and its dates. `written` keeps the ground in its own words."""

    name: str
    ground: Ground
    written: dict[str, str]
    cited: Cited
    dates: tuple[Dated, ...]


_GROUND = (
    ("latitude", parse_latitude, "add latitude: as 42.9 N"),
    ("longitude", parse_longitude, "add longitude: as 77.0 W"),
    ("elevation", OF_A_PLACE, "add elevation: as 600 ft"),
)


def read_place_table(text: str, file: str, known: Holding, problems: Problems) -> PlaceTable:
    """Read a table, noting each fault with its line. Cultivars and fruits are those `known`, by any of their names."""
    table, _ = split_note(text, file, problems)
    fields = Fields(table, problems, known.sources)
    name = fields.text("name")
    if not name:
        fields.fault("name", "the table has no name of its place", "add name: as Geneva, New York")
    read = {}
    for key, parse, hint in _GROUND:
        read[key] = fields.read(key, parse)
        if not fields.has(key):
            fields.fault(key, f"the place has no {key}, by which its warmth is told", hint)
    ground = Ground(latitude=read["latitude"], longitude=read["longitude"], elevation_m=read["elevation"])
    cited = fields.cited()
    names = Names.of(known.cultivars.values()), Names.of(known.fruits.values())
    dates = [dated for item in fields.tables("dates") for dated in _dated(item, names, known)]
    if not fields.has("dates"):
        fields.fault(
            "dates", "the table has no dates", "add dates: and a line for each, {cultivar: Bartlett, pick: Aug 25}"
        )
    fields.close("a place’s table")
    return PlaceTable(
        name=name,
        ground=ground,
        written={key: fields.text(key) for key, _, _ in _GROUND},
        cited=cited,
        dates=tuple(
            (replace(window, place_name=name, ground=ground, written_for=_half(ground)), of) for window, of in dates
        ),
    )


def _half(ground: Ground) -> Hemisphere:
    return Hemisphere.SOUTH if (ground.latitude or 0) < 0 else Hemisphere.NORTH


def _dated(fields: Fields, names: tuple[Names, Names], known: Holding) -> Iterable[Dated]:
    """Return the dates of one line: its bloom, its pick, or both."""
    of = _whose(fields, names, known)
    crop, note, cited = fields.text("crop"), fields.text("note"), fields.cited()
    written = {key: (fields.read(key, parse_stretch), fields.text(key)) for key in EVENT_KEYS}
    fields.close("a line of dates")
    if not any(fields.has(key) for key in EVENT_KEYS):
        fields.fault("", "a line of dates has no date", "add pick: or bloom:, as {cultivar: Bartlett, pick: Aug 25}")
    if of is None:
        return
    for key, (stretch, text) in written.items():
        if stretch is not None:
            yield (
                Window(
                    event=EVENT_KEYS[key],
                    stretch=stretch,
                    crop=crop,
                    place_name="",
                    ground=Ground(),
                    written_for=Hemisphere.NORTH,
                    cited=cited,
                    text=text,
                    note=note,
                ),
                of,
            )


def _whose(fields: Fields, names: tuple[Names, Names], known: Holding) -> Cultivar | Fruit | None:
    cultivar, fruit = fields.text("cultivar"), fields.text("fruit")
    if cultivar:
        keys = names[0].find(cultivar)
        if len(keys) == 1:
            return known.cultivars[keys[0]]
        fields.fault(
            "cultivar",
            f'the cultivar "{cultivar}" is not known',
            names[0].hint(cultivar, "write another of its names, or fruit: for the kind in general"),
        )
        return None
    keys = names[1].find(fruit) if fruit else ()
    if len(keys) == 1:
        return known.fruits[keys[0]]
    if fruit:
        fields.fault("fruit", f'the fruit "{fruit}" is not known', names[1].hint(fruit, "write its name in English"))
    else:
        fields.fault("", "a line of dates says of nothing what it is", "add cultivar: or fruit:")
    return None
