"""What earlier runs worked out for one household, kept as plain data in the user's cache.

Each thing is found by a hash of all it was made of and of the program that made it, so it is what would be made now. It
is private as the notes are. Anything may be deleted at any time.
"""

from __future__ import annotations

import hashlib
import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, Final

from firmripe.caching import cache_folder, keep, read_kept, trim
from firmripe.lately import Lately
from firmripe.snapshot import NotPlain, Snapshot

MOST_HOUSEHOLDS: Final = 8
"""So many households are kept, those that were built last: a person has one or two."""
MOST_BYTES: Final = 64_000_000
"""So much is kept of one household; three hundred trees take some twenty million."""


class PastRuns:
    """What was worked out for one household, in a folder of its own. `made_by` is a mark of the program."""

    def __init__(self, folder: Path, made_by: bytes) -> None:
        self._folder = folder
        self._made_by = made_by
        self._met: dict[str, tuple[bytes, Snapshot]] = {}
        """What may be gone on from, by name: a mark of all that was looked at of it, and its parts."""
        self._asked: dict[str, tuple[Path, bytes, Snapshot]] = {}

    def begin(self, name: str, of: object) -> None:
        """Look at what all that goes on from it is made of as well, so that it is looked at once."""
        snapshot = Snapshot()
        self._met.pop(name, None)
        with suppress(NotPlain):
            self._met[name] = hashlib.sha256(self._made_by + snapshot.written(of)).digest(), snapshot

    def find(self, name: str, of: object, after: str = "") -> Any:  # noqa: ANN401 - whatever has that name
        """Return what an earlier run made of an equal thing, or None; `after` names what it goes on from."""
        self._asked.pop(name, None)
        self._met.pop(name, None)
        before, known = self._met.get(after, (b"", None)) if after else (self._made_by, Snapshot())
        if known is None:
            return None
        snapshot = known.copy()
        with suppress(NotPlain):
            told = before, name.encode(), hashlib.sha256(snapshot.written(of)).digest()
            mark = hashlib.sha256(b"\0".join(told)).digest()
            path = self._folder / f"{name}-{mark.hex()[:24]}"
            self._asked[name] = path, mark, snapshot.copy()  # what is kept goes on from this, not from what is read
            data = read_kept(path, mark)
            return None if data is None else self._after(name, mark, data, snapshot, snapshot.read(data))
        return None

    def _after(self, name: str, mark: bytes, data: bytes, snapshot: Snapshot, made: object) -> object:
        """Return what was made, which may be gone on from: its parts are told by the very data that hold them."""
        self._met[name] = hashlib.sha256(mark + hashlib.sha256(data).digest()).digest(), snapshot
        return made

    def keep(self, name: str, made: object, most: int) -> None:
        """Keep what was made of the thing that was last asked for by this name; the last `most` are kept."""
        if name not in self._asked:
            return
        path, mark, snapshot = self._asked.pop(name)
        with suppress(NotPlain, OSError):
            data = snapshot.written(made)
            self._after(name, mark, data, snapshot, made)
            keep(path, data, mark)
            alike = sorted(self._folder.glob(f"{name}-*"), key=lambda one: one.stat().st_mtime)
            for one in alike[:-most]:
                one.unlink(missing_ok=True)


@contextmanager
def kept_between_runs(household: Path, made_by: Callable[[], bytes | None]) -> Iterator[None]:
    """Let what is dear to work out for a household be found by its next run, where there is a cache."""
    top = cache_folder()
    by = made_by() if top is not None else None
    if top is None or by is None:
        yield
        return
    folder = top / "households" / hashlib.sha256(os.fsencode(household.resolve())).hexdigest()[:24]
    Lately.keeper = PastRuns(folder, by)
    try:
        yield
    finally:
        Lately.keeper = None
        _tidy(folder)


def _tidy(folder: Path) -> None:
    """Remove what is too much: of this household what was put by longest ago, and households not built for long."""
    with suppress(OSError):
        trim(folder, MOST_BYTES)
        folder.touch()
        others = sorted(folder.parent.iterdir(), key=lambda one: one.stat().st_mtime)
        for one in others[:-MOST_HOUSEHOLDS]:
            shutil.rmtree(one, ignore_errors=True)
