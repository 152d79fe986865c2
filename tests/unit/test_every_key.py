"""The household of every key has every key, so that none is forgotten where private and hostile words are tried."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest
from conftest import ROOT, write_notes
from every_key import OF_THE_SHELF, PHOTO, household
from PIL import Image

from firmripe.holding.record import Happening
from firmripe.reading.fields import SHELF, Fields
from firmripe.reading.frontmatter import Listing, Node, Table, Text
from firmripe.reading.reader import read_holding
from firmripe.reading.records import COLUMNS

Keys = Mapping[tuple[str, str], list[str]]
"""Every key that notes may have, as `a tree`, `where`, with the words that stand under it."""


def words_of(node: Node) -> Iterator[str]:
    """Yield every text under a key."""
    if isinstance(node, Text):
        yield node.value
    for inner in node.items if isinstance(node, Listing) else ():
        yield from words_of(inner)
    for entry in node.entries.values() if isinstance(node, Table) else ():
        yield from words_of(entry.node)


def keys_read(top: Path, notes: Mapping[str, str], patch: pytest.MonkeyPatch) -> Keys:
    """Read notes and return each key that the reader asks a household's notes for, with what stands there."""
    found: dict[tuple[str, str], list[str]] = {}
    close = Fields.close

    def closed(fields: Fields, of_what: str) -> None:
        if not fields.where.file.startswith(SHELF):
            for key in fields._asked:  # noqa: SLF001 - what a reader asks for is told nowhere else
                entry = fields._table.entries.get(key)  # noqa: SLF001
                found.setdefault((of_what, key), []).extend(words_of(entry.node) if entry else ())
        close(fields, of_what)

    (top / "photos").mkdir()
    Image.new("RGB", (40, 30), "olive").save(top / "photos" / PHOTO)
    with patch.context() as patched:
        patched.setattr(Fields, "close", closed)
        read_holding(write_notes(top, notes), ROOT / "tests" / "shelf_small")
    return found


def test_every_key_that_is_read_is_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One that is added to a reader is missed here until the household has it, and lines of several keys with it."""
    found = keys_read(tmp_path, household(), monkeypatch)

    assert {key for key, words in found.items() if not words} == OF_THE_SHELF
    written = "".join(text for name, text in household().items() if name.startswith("records/"))
    assert [what for what in Happening if f",{what.value}," not in written] == []
    assert written.startswith(",".join(COLUMNS))
    assert {"a photo", "a row of the plan", "a space", "a limb"} <= {of_what for of_what, _key in found}
