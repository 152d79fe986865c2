"""What publishing does to the disk, one step at a time; what has been settled outlasts a loss of power."""

from __future__ import annotations

import contextlib
import os
import shutil
import stat
import time
from collections.abc import Iterable
from pathlib import Path

from firmripe.publish import exchange

_TRIES, _PAUSE_S = 20, 0.1
"""Where a program holds a file open, Windows lets nobody replace it; two seconds are waited."""
_IS_WINDOWS = os.name == "nt"


def write(path: Path, data: bytes) -> None:
    """Write a file; it outlasts a loss of power only once it is settled."""
    path.write_bytes(data)


def settle(*paths: Path) -> None:
    """Let files and folders reach the disk itself: what a file holds, and which names a folder has."""
    for path in paths:
        try:
            held = os.open(path, os.O_RDONLY)
        except OSError:  # a system that opens no folders
            continue
        try:
            os.fsync(held)
        except OSError:  # a disk that can't be told to
            pass
        finally:
            os.close(held)


def make_folder(path: Path) -> None:
    """Make a folder and those on the way to it."""
    path.mkdir(parents=True, exist_ok=True)


def link(old: Path, new: Path) -> None:
    """Let a file, or a link itself, stand under a second name: the same one, or a copy on a disk without such names."""
    try:
        os.link(old, new, follow_symlinks=False)
    except (OSError, NotImplementedError):
        shutil.copy2(old, new, follow_symlinks=False)
        if not new.is_symlink():
            settle(new)


def move(old: Path, new: Path) -> None:
    """Give a file or folder another name, under which nothing stands."""
    old.rename(new)


def replace(old: Path, new: Path) -> None:
    """Put a file in the place of another in one step; wait a little for a program that holds that one open."""
    for tries_left in range(_TRIES, -1, -1):
        try:
            old.replace(new)
        except PermissionError:
            if not _IS_WINDOWS or not tries_left:
                raise
            time.sleep(_PAUSE_S)
        else:
            return


def exchanged(one: Path, other: Path) -> bool:
    """Let two folders change places in one step, and say whether this system could."""
    return exchange.exchanged(one, other)


def remove(path: Path) -> None:
    """Take away a file or a link."""
    path.unlink(missing_ok=True)


def remove_folder(path: Path) -> None:
    """Take away an empty folder."""
    path.rmdir()


def clear(folder: Path) -> None:
    """Take away a folder with all that is in it; what links there lead to stays."""
    for top, below, names in os.walk(folder, topdown=False):
        with contextlib.suppress(OSError):
            Path(top).chmod(0o700)
        for name in names:
            remove(Path(top) / name)
        for name in below:
            path = Path(top) / name
            (remove if path.is_symlink() else remove_folder)(path)
    with contextlib.suppress(FileNotFoundError):
        remove_folder(folder)


def prune(folders: Iterable[Path], top: Path) -> None:
    """Take away the folders that are empty, and those above them up to `top`."""
    for folder in folders:
        for path in (folder, *folder.parents):
            if path == top or not path.is_relative_to(top):
                break
            try:
                remove_folder(path)
            except OSError:  # something is in it, or it is gone
                break


def dress(new: Path, old: Path) -> None:
    """Give a new file or folder the group, the rights and whatever else the system keeps of the one it replaces."""
    was = old.stat()
    if hasattr(os, "chown"):
        with contextlib.suppress(OSError):
            os.chown(new, was.st_uid, was.st_gid)
        if new.stat().st_gid != was.st_gid:
            with contextlib.suppress(OSError):
                os.chown(new, -1, was.st_gid)
    times = new.stat()
    with contextlib.suppress(OSError):
        shutil.copystat(old, new)
    new.chmod(stat.S_IMODE(was.st_mode))
    os.utime(new, ns=(times.st_atime_ns, times.st_mtime_ns))
