"""Photos named in notes: looked up in the folder `photos`, made small, with what each shows."""

from __future__ import annotations

import hashlib
import unicodedata
from collections.abc import Mapping
from pathlib import Path

from msgspec.structs import replace

from firmripe.holding.photo import Photo
from firmripe.holding.private import Passage
from firmripe.problems import Problems, Unreadable, Where, name_key, nearest
from firmripe.reading.fields import Fields, yes_or_no
from firmripe.reading.folder import FILE, NOTE_FOLDERS, PHOTO_FOLDER, README, Folder, Note, fits, listed
from firmripe.reading.frontmatter import Listing, Node, Table, Text
from firmripe.reading.pictures import small

KEY = "photos"
MOST_PHOTOS = 100
"""So many photos a household's notes name: a site is to be carried by a phone. J."""
_NO_ALT = "say what it shows, for whoever can't see it:  alt: The old pear from the gate"

Photos = Mapping[tuple[str, str], tuple[Photo, ...]]
"""Photos by the folder and the folded name of the note that names them."""


def take_photos(top: Path, notes: Folder, problems: Problems) -> tuple[Folder, Photos, tuple[Passage, ...]]:
    """Return a household's notes without their key `photos`, the photos, and what they say that everybody may read."""
    album = _Album(top, problems)
    parted = {folder: tuple(album.taken(folder, note) for note in notes.notes[folder]) for folder in NOTE_FOLDERS}
    album.close()
    return replace(notes, notes=parted), album.photos, tuple(album.passages)


def _whole(name: str) -> str:
    """Return a file's name with each letter and its accent in one: some computers part them, and look the same."""
    return unicodedata.normalize("NFC", name)


class _Album:
    def __init__(self, top: Path, problems: Problems) -> None:
        self._top = top
        self._problems = problems
        self._there = {_whole(path.name): path for path in listed(top / PHOTO_FOLDER)}
        self._named: set[str] = set()
        self.photos: dict[tuple[str, str], tuple[Photo, ...]] = {}
        self.passages: list[Passage] = []

    def taken(self, folder: str, note: Note) -> Note:
        """Return a note without its photos, which are read."""
        entry = note.table.entries.get(KEY)
        if entry is None:
            return note
        rest = {key: value for key, value in note.table.entries.items() if key != KEY}
        hides = Fields(note.table, Problems(), {}).read("private", yes_or_no) or False
        nodes = entry.node.items if isinstance(entry.node, Listing) else (entry.node,)
        found = [photo for node in nodes if (photo := self._photo(node, hides=hides)) is not None]
        self.photos[folder, name_key(note.key)] = tuple(found)
        return replace(note, table=Table(note.table.where, rest))

    def _photo(self, node: Node, *, hides: bool) -> Photo | None:
        if isinstance(node, Table):
            fields = Fields(node, self._problems, {})
            name, alt = fields.text("file"), fields.text("alt")
            hides = fields.read("private", yes_or_no) or hides
            where = fields.place_of("file")
            fields.close("a photo")
        elif isinstance(node, Text):
            name, alt, where = node.value, "", node.where
        else:
            message = "a list stands here in the place of a photo"
            self._problems.add(node.where, message, "write each photo's file name on a line of its own:  - pear.jpg")
            return None
        try:
            data, width, height = self._file(name)
        except Unreadable as error:
            self._problems.add(where, error.message, error.hint)
            return None
        if not alt:
            self._problems.ask(where, f'the photo "{name}" has no alt', _NO_ALT)
        told = hashlib.sha256(data).hexdigest()[:16]
        photo = Photo(name=f"{told}.jpg", alt=alt, private=hides, width=width, height=height, data=data)
        if photo.is_open and alt:
            self.passages.append(Passage(alt, where))
        return photo

    def _file(self, name: str) -> tuple[bytes, int, int]:
        """Return a file of the folder made small. Raises Unreadable."""
        if not name:
            raise Unreadable("this photo has no file", f"write file: and its name in the folder {PHOTO_FOLDER}")
        if len(self._named | {_whole(name)}) > MOST_PHOTOS:
            raise Unreadable(f"the notes name more than {MOST_PHOTOS} photos", "leave fewer")
        path = self._there.get(_whole(name))
        if path is None:
            near = nearest(name, self._there)
            lies = f'did you mean "{near}"?' if near else f"put it into the folder {PHOTO_FOLDER} beside the notes"
            raise Unreadable(f'there is no photo "{name}"', lies)
        self._named.add(_whole(name))
        quiet = Problems()
        if not fits(path, FILE, f"{PHOTO_FOLDER}/{name}", self._top, quiet):
            raise Unreadable(f"{PHOTO_FOLDER}/{name}: {quiet.problems[0].message}", quiet.problems[0].hint)
        return small(path)

    def close(self) -> None:
        """Ask about what lies in the folder and no note names."""
        for name in sorted(self._there.keys() - self._named):
            if name.casefold() == README:
                continue
            self._problems.ask(
                Where(f"{PHOTO_FOLDER}/{name}"), "no note names this photo", "add it to one, or take it away"
            )
