"""One build of a folder at a time, on systems with one kind of lock, with the other, and with none."""

from __future__ import annotations

import os
import sys
import threading
import time
from pathlib import Path
from types import SimpleNamespace

import pytest

from firmripe.publish import locking
from firmripe.publish.locking import Busy, alone


def overlaps(place: Path) -> int:
    """Return how many of several threads found another one inside."""
    inside, most = 0, 0

    def work() -> None:
        nonlocal inside, most
        with alone(place), alone(place):
            inside += 1
            most = max(most, inside)
            time.sleep(0.02)
            inside -= 1

    threads = [threading.Thread(target=work) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return most - 1


def test_one_waits_for_the_other_and_never_for_itself(tmp_path: Path) -> None:
    """What a run holds it may hold again."""
    assert overlaps(tmp_path) == 0


def _as_windows(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Let the lock of Windows stand in, made here of a lock of this system; return the files that were locked."""
    fcntl = pytest.importorskip("fcntl")
    locked: list[str] = []

    def locking_(opened: int, mode: int, count: int) -> None:
        assert (mode, count) == (2, 1)
        try:
            fcntl.flock(opened, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as error:
            raise PermissionError(13, "Permission denied") from error  # as Windows says it
        if sys.platform == "linux":
            locked.append(str(Path(f"/proc/self/fd/{opened}").readlink()))

    windows = SimpleNamespace(locking=locking_, LK_NBLCK=2)
    monkeypatch.setattr(locking, "_module", lambda name: windows if name == "msvcrt" else None)
    return locked


def test_the_lock_of_windows_is_taken_in_a_file_outside_the_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """That system opens no folders, and nothing may lie about among the notes."""
    (tmp_path / "notes").mkdir()
    monkeypatch.setattr("tempfile.gettempdir", lambda: str(tmp_path))
    locked = _as_windows(monkeypatch)

    assert overlaps(tmp_path / "notes") == 0
    assert list((tmp_path / "notes").iterdir()) == []
    assert all(path.startswith(str(tmp_path / "firmripe-")) for path in locked)
    monkeypatch.setattr(locking, "TRIES", 0)
    with alone(tmp_path / "notes"):
        caught: list[Busy] = []

        def second() -> None:
            try:
                with alone(tmp_path / "notes"):
                    pass
            except Busy as error:
                caught.append(error)

        thread = threading.Thread(target=second)
        thread.start()
        thread.join()
    assert "does not end; try again later" in str(caught[0])


def test_where_there_is_no_lock_the_build_goes_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Some disks of networks know none, and some folders may be passed through and not opened."""
    monkeypatch.setattr(locking, "_module", lambda _name: None)
    with alone(tmp_path):
        pass
    monkeypatch.undo()

    def refuse(*_args: object) -> int:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "open", refuse)
    with alone(tmp_path):
        pass
