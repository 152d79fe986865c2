"""Which files of a site a build wrote, what they held then, and whom they are for."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Collection, Iterable, Iterator, Mapping
from collections.abc import Set as AbstractSet
from pathlib import Path, PurePath, PurePosixPath

import msgspec
from msgspec import Struct, field
from msgspec.structs import replace

from firmripe.holding.place import HOUSEHOLD

MANIFEST = "firmripe-manifest.json"
FORMAT = 1
"""The form of the manifest. Those of before it was told have none, and are read alike."""
BY_HAND = ".by-hand"


class Manifest(Struct, frozen=True, kw_only=True, rename={"made_for": "for"}):
    """Hashes (SHA-256) of a site's files by name, whom the site is for, and the form in which that was told."""

    files: Mapping[str, str] = field(default_factory=dict)
    made_for: str = HOUSEHOLD
    format: int = FORMAT

    @staticmethod
    def of(files: Mapping[str, bytes], made_for: str) -> Manifest:
        """Return the manifest of a new site."""
        return Manifest(files={name: digest(data) for name, data in files.items()}, made_for=made_for)

    def as_bytes(self, unlisted: AbstractSet[str]) -> bytes:
        """Return it as it lies in the site; the names of `unlisted` files stand in it as hashes."""
        hashes = {_hidden(name) if name in unlisted else name: found for name, found in self.files.items()}
        told = {"files": hashes, "for": self.made_for, "format": self.format}
        return (json.dumps(told, indent=0, sort_keys=True, ensure_ascii=False) + "\n").encode("utf-8")


def read_manifest(out: Path) -> Manifest | None:
    """Return the manifest of a site; None where there is none that can be read, or one that no build wrote.

    It lies among what may come from anybody, so a file is the site's only where it lies in its folder, and not where
    a link leads to.
    """
    if not (out / MANIFEST).is_file():  # nor anything that could be waited for
        return None
    try:
        found = msgspec.json.decode((out / MANIFEST).read_bytes(), type=Manifest)
    except (OSError, ValueError, RecursionError):
        return None
    noted = dict(found.files)
    if any(map(leads_out, noted)):
        return None
    if any(name.startswith("sha256:") for name in noted):
        for name in _files_in(out):
            if (hashed := noted.pop(_hidden(name), None)) is not None:
                noted[name] = hashed
    for name in behind_links(out, noted):
        del noted[name]
    return replace(found, files=noted)


def leads_out(name: str) -> bool:
    """Say whether a name is none of a file in a site: it leads out of its folder, to the folder itself, or nowhere."""
    way = PurePath(name)
    return bool(way.anchor) or not way.parts or ".." in way.parts or "\0" in name


def behind_links(out: Path, names: Iterable[str]) -> list[str]:
    """Return those of some names in a folder on whose way a link stands in a folder's place."""
    ways = {name: PurePosixPath(name).parents[:-1] for name in names}
    links = {folder for folder in {one for way in ways.values() for one in way} if (out / folder).is_symlink()}
    return [name for name, way in ways.items() if not links.isdisjoint(way)]


def digest(data: bytes) -> str:
    """Return the hash by which a file is known."""
    return hashlib.sha256(data).hexdigest()


def _files_in(out: Path) -> Iterator[str]:
    """Yield the files and links of a folder by their ways from it."""
    for folder, below, names in os.walk(out):
        way = "" if folder == str(out) else f"{Path(folder).relative_to(out).as_posix()}/"
        links = (name for name in below if os.path.islink(f"{folder}/{name}"))  # noqa: PTH114 - of hundreds of files
        yield from (way + name for name in (*names, *links))


def foreign_in(out: Path, ours: Collection[str]) -> set[str]:
    """Return the files and links in a folder that no build wrote."""
    if not out.is_dir():
        return set()
    return set(_files_in(out)) - set(ours) - {MANIFEST}


def changed_by_hand(path: Path, known: Iterable[str]) -> bool:
    """Say whether a file of a build holds now what no build wrote; where only the line ends differ it does not.

    `known` are the hashes of what builds wrote. A link in its place was put there by hand.
    """
    if path.is_symlink():
        return True
    if not path.is_file():
        return False
    data = path.read_bytes()
    noted = set(known)
    return digest(data) not in noted and digest(data.replace(b"\r\n", b"\n")) not in noted


def kept_name(name: str, path: Path, out: Path) -> str:
    """Return the name under which a page changed by hand is kept beside the new one.

    `path` is that page. Empty where `out` holds the same under such a name already.
    """
    number = 1
    while True:
        kept = f"{name}{BY_HAND}{f'-{number}' if number > 1 else ''}"
        if not os.path.lexists(out / kept):
            return kept
        if _alike(path, out / kept):
            return ""
        number += 1


def _alike(one: Path, other: Path) -> bool:
    if one.is_symlink() or other.is_symlink():
        return one.is_symlink() and other.is_symlink() and one.readlink() == other.readlink()
    return one.is_file() and other.is_file() and one.read_bytes() == other.read_bytes()


def in_the_way(foreign: AbstractSet[str], names: AbstractSet[str]) -> list[str]:
    """Return the foreign files that stand where the site needs a file or a folder."""
    if not foreign:
        return []
    folders = {folder.as_posix() for name in names for folder in PurePosixPath(name).parents}
    below_files = {path for path in foreign if any(p.as_posix() in names for p in PurePosixPath(path).parents)}
    return sorted((foreign & (names | folders)) | below_files)


def _hidden(name: str) -> str:
    return f"sha256:{hashlib.sha256(name.encode()).hexdigest()}"
