"""The words of the site for translators: collected from code, templates and shelf into the catalogues.

`python generator/catalogue.py` writes `firmripe/languages/messages.pot` anew and brings each `.po` beside it up to
date: what is new goes at its end, without a translation, and what nobody says any more goes out.
"""

from __future__ import annotations

import io
import sys
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from datetime import UTC, datetime
from enum import Enum
from pathlib import Path
from typing import Any, TypeVar

from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po, write_po

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "generator"))

from firmripe.holding.figures import Figure, Mark  # noqa: E402
from firmripe.holding.fruit import Event, Gives, Ripens, Sets, Traits  # noqa: E402
from firmripe.holding.holding import Holding  # noqa: E402
from firmripe.holding.jar import MOUTHS, JarSize  # noqa: E402
from firmripe.holding.kitchen import PotKind  # noqa: E402
from firmripe.holding.preserve import PutUp  # noqa: E402
from firmripe.holding.process import Gauge, ProcessTable  # noqa: E402
from firmripe.holding.record import Happening  # noqa: E402
from firmripe.holding.task import Stage, Topic  # noqa: E402
from firmripe.holding.weight import Grade  # noqa: E402
from firmripe.kitchen.tables.amounts import acid_for, lids_for  # noqa: E402
from firmripe.publish.signs import SENSES  # noqa: E402
from firmripe.reading.languages import FOLDER  # noqa: E402
from firmripe.reading.reader import read_holding  # noqa: E402
from firmripe.season.estimate import Basis  # noqa: E402
from firmripe.shipped import shelf_folder  # noqa: E402
from firmripe.tongue import Tongue, southern  # noqa: E402
from firmripe.words import amount, with_ranges  # noqa: E402

TEMPLATE = FOLDER / "messages.pot"
_SINCE = datetime(2027, 1, 1, tzinfo=UTC)
"""Stands in every header, so that the same words give the same bytes."""
KEYWORDS = {"_": None, "mark": None, "ngettext": (1, 2), "plural": (1, 2), "say": None}
METHODS = (
    (ROOT / "generator" / "firmripe", "**.py", "python", {}),
    (ROOT / "themes", "**/templates/**.html", "jinja2", {"newstyle_gettext": "true", "trimmed": "true"}),
)
_NOTED = (
    "conditioning",
    "conditioning_early",
    "conditioning_late",
    "counter",
    "counter_after_storage",
    "counter_by_room",
    "freezes",
    "keeps",
    "keeps_ripe",
)
"""The figures whose notes stand in a lot's own days, beside words in the household's language."""
ENUMS = (Event, Ripens, Sets, Gives, Happening, Stage, Topic, Grade, Mark, Basis, PutUp, PotKind, Gauge)
SAID_WITH_OTHERS = ("this season", "earlier seasons", "reminders", "windows", "pound dried")
"""Words that the code keeps as keys."""

Key = str | tuple[str, str]


def written() -> Iterator[tuple[str, Key]]:
    """Yield each message written in code and templates, with the file it stands in."""
    for folder, pattern, method, options in METHODS:
        found = extract_from_dir(
            folder, [(pattern, method)], options_map={pattern: options}, keywords=KEYWORDS, comment_tags=()
        )
        for file, _line, message, _comments, _context in sorted(found, key=lambda one: one[:2]):
            yield (folder / file).relative_to(ROOT).as_posix(), message


def kept(holding: Holding) -> Iterator[tuple[str, str]]:
    """Yield each word and sentence that is kept as data and said on pages, with what it belongs to."""
    for kind in ENUMS:
        yield from ((kind.__name__, member.value) for member in kind)
    for size in JarSize:
        names = (size.value, *(f"{mouth}-mouth {size.value}" for mouth in MOUTHS))
        yield from (("jar", text) for name in names for text in (name, f"{name}s"))
    yield from (("lids", lids_for(mouth)) for mouth in MOUTHS)
    yield from (("sense", sense) for sense in SENSES)
    yield from (("key", word) for word in SAID_WITH_OTHERS)
    for fruit in _by_key(holding.fruits):
        yield from (("fruit", text) for text in (fruit.name, *fruit.crops))
        yield from _of_traits(fruit.traits)
    for cultivar in _by_key(holding.cultivars):
        yield from _of_traits(cultivar.own)
    for task in sorted(holding.tasks, key=lambda task: task.key):
        figures = (*task.why, *task.look_for, *task.cautions)
        yield from (
            ("task", text)
            for text in (
                task.name,
                task.calendar_name,
                task.who,
                *(thing.name for thing in task.bring),
                *_texts(figures),
            )
        )
    for preserve in sorted(holding.preserves, key=lambda preserve: preserve.key):
        figures = (preserve.process, preserve.acid, preserve.hands, *preserve.cautions)
        steps = (step.words for step in preserve.steps)
        yield from (("preserve", text) for text in (preserve.name, preserve.liquid, *_texts((*figures, *steps))))
    yield from _of_processes(holding.processes)


def _texts(figures: Iterable[Figure[Any] | None]) -> list[str]:
    return [figure.text for figure in figures if figure is not None]


def _of_processes(table: ProcessTable) -> Iterator[tuple[str, str]]:
    yield from (("process", name) for name in sorted(table.names))
    yield from (("process", row.headspace) for row in table.boiled)
    for dose in (dose for of in _by_key(table.acids) for dose in of.doses.values()):
        yield from (("acid", text) for text in (dose, *(way.what for way in acid_for(dose, 1))))
    yield from (("process", text) for text in _texts((*table.cautions, *(step.words for step in table.steps))))
    yield from (("process", syrup) for syrup in sorted(table.syrups))
    for refused in table.refused:
        yield from (("refused", text) for text in (refused.what, refused.because, refused.instead))


_Kind = TypeVar("_Kind")


def _by_key(things: Mapping[str, _Kind]) -> list[_Kind]:
    return [things[key] for key in sorted(things)]


def _of_traits(traits: Traits) -> Iterator[tuple[str, str]]:
    for some in (traits.uses, traits.cautions, traits.keep_apart, traits.chilling):
        yield from (("fruit", figure.text) for figure in some)
    yield from (("sign", sign.text) for sign in traits.signs)
    yield from (("drop", drop.text) for drop in traits.drops)
    yield from (("drop", drop.when) for drop in traits.drops if not drop.period)
    for name in _NOTED:
        some = getattr(traits, name)
        yield from (("note", figure.note) for figure in (some if isinstance(some, tuple) else (some,)) if figure)
    for treatment in traits.treatments:
        yield from (("treatment", text) for text in (treatment.what, treatment.then_text))
    for name in traits.__struct_fields__:
        found = getattr(traits, name)
        for one in found if isinstance(found, tuple) else (found,):
            if isinstance(one, Figure | Enum) and getattr(one, "crop", ""):
                yield "crop", one.crop


def collect() -> Catalog:
    """Return all messages of the program and its shelf."""
    catalogue = _empty(None)
    with tempfile.TemporaryDirectory() as nobody:
        (Path(nobody) / "trees").mkdir()
        (Path(nobody) / "trees" / "1.md").write_text("---\ncultivar: Bartlett\n---\n", encoding="utf-8")
        holding = read_holding(Path(nobody), shelf_folder())
    own: Iterable[tuple[str, Key]] = ((where, text) for where, text in kept(holding) if _is_said(text))
    for where, message in (*written(), *own):
        catalogue.add(message, locations=[(where, None)])
        if isinstance(message, str) and southern(message) != message:
            catalogue.add(southern(message), locations=[(where, None)])
    return catalogue


def _empty(locale: str | None) -> Catalog:
    """Return a catalogue without messages, whose header says the same on every day."""
    return Catalog(
        locale=locale,
        header_comment="# The words of Firmripe; see generator/catalogue.py.",
        project="Firmripe",
        version="1",
        msgid_bugs_address="none",
        creation_date=_SINCE,
        revision_date=_SINCE,
        last_translator="none",
        language_team="none",
        charset="utf-8",
        fuzzy=False,
    )


def _is_said(text: str) -> bool:
    """Say whether a text is a message of its own: not empty, and no number with a unit, which has another way."""
    return bool(text) and amount(Tongue(code="qq"), text) == with_ranges(text)


def keys(catalogue: Catalog) -> set[Key]:
    """Return the messages of a catalogue, each as its text or as its two forms."""
    return {tuple(m.id) if isinstance(m.id, list | tuple) else m.id for m in catalogue if m.id}


def update(path: Path, wanted: Catalog) -> None:
    """Bring a translator's file up to date; what stays keeps its place and its translation."""
    with path.open("rb") as file:
        former = read_po(file, locale=path.stem)
    theirs = {_key(message): message.string for message in former if message.id and not message.fuzzy}
    current = {_key(message): message for message in wanted if message.id}
    new = _empty(path.stem)
    # The file says how its language counts; what a library of another year would say must not change it.
    new._num_plurals, new._plural_expr = former.num_plurals, former.plural_expr  # noqa: SLF001
    for key in dict.fromkeys((*theirs, *current)):
        if (message := current.get(key)) is not None:
            new[message.id] = Message(
                message.id, theirs.get(key, ""), locations=message.locations, flags=message.flags - {"fuzzy"}
            )
    _write(path, new)


def _key(message: Message) -> Key:
    return tuple(message.id) if isinstance(message.id, list | tuple) else message.id


def _write(path: Path, catalogue: Catalog) -> None:
    made = io.BytesIO()
    write_po(made, catalogue, include_lineno=False, width=0, omit_header=False)
    lines = made.getvalue().splitlines(keepends=True)
    path.write_bytes(b"".join(line for line in lines if not line.startswith(b'"Generated-By:')))


if __name__ == "__main__":
    found = collect()
    _write(TEMPLATE, found)
    for catalogue_path in sorted(FOLDER.glob("*.po")):
        update(catalogue_path, found)
    print(f"{len(found)} messages")  # noqa: T201 - it is run by hand
