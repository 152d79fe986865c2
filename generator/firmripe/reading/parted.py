"""The shelf's notes as they were parted before, as plain data, each found again by its file and its whole text.

They are parted once for the wheel, in which they lie beside the shelf, and once for a checkout, in the user's cache.
A note whose text is another is parted anew, and so is one with a fault, which is told each time.
"""

from __future__ import annotations

import hashlib
import sys
import zlib
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from typing import Final

from msgspec import MsgspecError, Struct, msgpack

from firmripe.caching import cache_folder, keep, mark_of, read_kept, sealed, trim
from firmripe.reading.frontmatter import PARSER, Table

BESIDE: Final = ".parted"
"""What the file of a wheel's parted notes is called, after the name of the shelf's folder."""
_MOST_BYTES: Final = 8_000_000
"""So much is kept of all shelves that a user's programs read: some eight of ours."""
_MAKERS: Final = ("problems.py", "reading/frontmatter.py", "reading/folder.py", "reading/parted.py")
"""Our modules that say how a note is parted."""


class Parted(Struct, frozen=True, array_like=True, gc=False):
    """What a note's text holds: its front matter, its body, and the line of the file that the body begins on."""

    table: Table
    body: str
    body_line: int


class PartedNotes:
    """Parted notes by the hash of their file's name and text: those `known` before, and those `met` in this run."""

    def __init__(self, known: Mapping[bytes, Parted] | None = None) -> None:
        self.known = known or {}
        self.met: dict[bytes, Parted] = {}

    def note_of(self, text: str, file: str, part: Callable[[], Parted | None]) -> Parted | None:
        """Return a note as it was parted before, or as it is parted now; None where `part` finds fault with it."""
        key = hashlib.sha256(f"{file}\n{text}".encode()).digest()
        found = self.known.get(key) or part()
        if found is not None:
            self.met[key] = found
        return found


@cache
def parted_notes(shelf: Path) -> PartedNotes:
    """Return the notes of a shelf as they were parted before: in the user's cache, or for the wheel."""
    for path, by in ((_cached(shelf), made_by()), (shelf.with_name(shelf.name + BESIDE), _shipped_by())):
        known = _decoded(read_kept(path, by)) if path and by else {}
        if known:
            return PartedNotes(known)
    return PartedNotes()


def keep_parted(shelf: Path, notes: PartedNotes) -> None:
    """Keep the parted notes of a shelf in the user's cache, where some of them were not known before."""
    if notes.met.keys() <= notes.known.keys():
        return
    notes.known = dict(notes.met)
    path, by = _cached(shelf), made_by()
    if path and by:
        keep(path, encoded(notes), by)
        trim(path.parent, _MOST_BYTES)


def for_a_wheel(notes: PartedNotes) -> bytes:
    """Return the bytes of the file of parted notes that lies beside a wheel's shelf."""
    return sealed(encoded(notes), _shipped_by() or b"")


def encoded(notes: PartedNotes) -> bytes:
    """Return parted notes as plain data: the same notes give the same bytes."""
    return zlib.compress(msgpack.encode(dict(sorted(notes.met.items()))), 6)


def _decoded(data: bytes | None) -> dict[bytes, Parted]:
    try:
        found = msgpack.decode(zlib.decompress(data), type=dict[bytes, Parted]) if data else {}
    except (zlib.error, MsgspecError):
        return {}
    return found


def _cached(shelf: Path) -> Path | None:
    """Return where the user's cache keeps the notes of a shelf; None where nothing is kept."""
    top = cache_folder()
    return None if top is None else top / "shelf" / hashlib.sha256(bytes(shelf.resolve())).hexdigest()[:16]


@cache
def made_by() -> bytes | None:
    """Return a mark of all that parts a note here: Python, the parser and our own modules; None where these are not."""
    return mark_of(_own(), sys.version, PARSER)


def _shipped_by() -> bytes | None:
    """Return a mark of our own modules alone: a wheel is parted once, and is read by any Python and any parser."""
    return mark_of(_own())


def _own() -> list[Path]:
    return [Path(__file__).parent.parent / name for name in _MAKERS]
