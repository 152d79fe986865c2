"""The user's cache folder, where bytes are put by that can be made again: none of them is ever needed, or believed.

A file begins with a hash of what made it and of what it holds. One that is spoilt, foreign or of another making is as
good as none. The folder is its owner's alone, since what lies there was made of private notes.
"""

from __future__ import annotations

import hashlib
import os
import stat
import sys
import tempfile
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import Final

ASKED: Final = "FIRMRIPE_CACHE"
"""The variable of the environment that names another folder for the cache; where it is empty, nothing is kept."""
_NAME: Final = "firmripe"
_HEAD: Final = hashlib.sha256().digest_size


def cache_folder() -> Path | None:
    """Return the folder of the cache, made where it is not there; None where nothing may or can be kept.

    A folder that is somebody else's, or that others may look into, is not used.
    """
    named = os.environ.get(ASKED)
    if named == "":
        return None
    try:
        folder = Path(named) if named else _usual() / _NAME
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        return folder if _is_ours(folder) else None
    except (OSError, RuntimeError):  # no home, or none that may be written
        return None


def _usual() -> Path:
    """Return where this system keeps caches (XDG base directories; Apple's and Microsoft's own places)."""
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches"
    named = os.environ.get("LOCALAPPDATA" if sys.platform == "win32" else "XDG_CACHE_HOME", "")
    return Path(named) if Path(named).is_absolute() else Path.home() / ".cache"


def _is_ours(folder: Path) -> bool:
    seen = folder.lstat()
    if not stat.S_ISDIR(seen.st_mode):
        return False
    return sys.platform == "win32" or (seen.st_uid == os.geteuid() and not stat.S_IMODE(seen.st_mode) & 0o077)


def mark_of(modules: Iterable[Path], *told: str) -> bytes | None:
    """Return a mark of what makes something: some of our modules, and what else is told of it, as a package's version.

    None where one of the modules isn't there to tell.
    """
    found = hashlib.sha256()
    try:
        for part in (*map(str.encode, told), *(path.read_bytes() for path in modules)):
            found.update(hashlib.sha256(part).digest())
    except OSError:
        return None
    return found.digest()


def read_kept(path: Path, made_by: bytes) -> bytes | None:
    """Return what a file holds; None where it is not there, not whole, or made by something else."""
    with suppress(OSError):
        data = path.read_bytes()
        held = memoryview(data)[_HEAD:]
        if data[:_HEAD] == _head(held, made_by):
            return bytes(held)
    return None


def keep(path: Path, data: bytes, made_by: bytes) -> None:
    """Put bytes by in a file that its owner alone may read; where that can't be done, nothing is kept."""
    with suppress(OSError):
        for folder in (path.parent.parent, path.parent):
            folder.mkdir(mode=0o700, exist_ok=True)
        handle, draft = tempfile.mkstemp(dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(sealed(data, made_by))
            Path(draft).replace(path)
        finally:
            Path(draft).unlink(missing_ok=True)


def sealed(data: bytes, made_by: bytes) -> bytes:
    """Return the bytes of a file that holds `data` and tells what made it."""
    return _head(data, made_by) + data


def trim(folder: Path, most: int) -> None:
    """Remove what was put by longest ago from a folder until at most so many bytes lie in it."""
    with suppress(OSError):
        files = sorted(((path, path.stat()) for path in folder.iterdir()), key=lambda one: -one[1].st_mtime)
        held = 0
        for path, seen in files:
            held += seen.st_size
            if held > most:
                path.unlink(missing_ok=True)


def _head(data: bytes | memoryview, made_by: bytes) -> bytes:
    told = hashlib.sha256(made_by)
    told.update(hashlib.sha256(data).digest())
    return told.digest()
