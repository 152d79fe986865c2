"""One build of a folder at a time: a second one waits for the first."""

from __future__ import annotations

import contextlib
import hashlib
import importlib
import os
import tempfile
import time
from collections.abc import Callable, Iterator
from contextvars import ContextVar
from pathlib import Path
from typing import Any

PAUSE_S = 0.05
TRIES = 12_000
"""A build waits ten minutes for others: the longest that we know takes one."""

_HELD: ContextVar[frozenset[tuple[int, int]]] = ContextVar("_HELD", default=frozenset())
"""The folders that this run holds already; a second lock on one of them would wait for itself."""


class Busy(Exception):  # noqa: N818 - it says what the folder is
    """Another build holds a folder and doesn't end."""


@contextlib.contextmanager
def alone(folder: Path) -> Iterator[None]:
    """Hold a folder that is there, so that builds of it come one after another. Raises Busy.

    What a run holds it may hold again. The system lets go of it when the run ends, however it ends. On a disk that
    knows no locks nothing is held.
    """
    found = folder.stat()
    mark = found.st_dev, found.st_ino
    if mark in _HELD.get():
        yield
        return
    opened, take = _lock_of(folder)
    try:
        _wait_for(take, folder)
        token = _HELD.set(_HELD.get() | {mark})
        try:
            yield
        finally:
            _HELD.reset(token)
    finally:
        if opened is not None:
            os.close(opened)


def _wait_for(take: Callable[[], None], folder: Path) -> None:
    for tries_left in range(TRIES, -1, -1):
        try:
            take()
        except (BlockingIOError, PermissionError) as error:
            if not tries_left:
                raise Busy(f"another build in {folder} does not end; try again later") from error
            time.sleep(PAUSE_S)
        except OSError:  # a disk that knows no locks
            return
        else:
            return


def _lock_of(folder: Path) -> tuple[int | None, Callable[[], None]]:
    """Return what is open for a folder's lock and how to take it, by what this system has and lets us open."""
    posix, windows = _module("fcntl"), _module("msvcrt")
    try:
        if posix:
            opened = os.open(folder, os.O_RDONLY)
            return opened, lambda: posix.flock(opened, posix.LOCK_EX | posix.LOCK_NB)
        if windows:  # which opens no folders: a file in their stead, outside the notes and the site
            name = hashlib.sha256(os.fsencode(os.path.normcase(folder.resolve()))).hexdigest()[:24]
            opened = os.open(Path(tempfile.gettempdir()) / f"firmripe-{name}.lock", os.O_RDWR | os.O_CREAT)
            return opened, lambda: windows.locking(opened, windows.LK_NBLCK, 1)
    except OSError:
        pass
    return None, lambda: None


def _module(name: str) -> Any:  # noqa: ANN401 - a module that only some systems have
    try:
        return importlib.import_module(name)
    except ImportError:
        return None
