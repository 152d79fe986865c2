"""A word on the terminal while work takes longer than a second."""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager

_PATIENCE_S = 1.0


@contextmanager
def working(what: str, *, quiet: bool = False) -> Iterator[None]:
    """Say what is being done, and for how long, once it takes over a second; only where a terminal shows errors."""
    if quiet or not sys.stderr.isatty():
        yield
        return
    done = threading.Event()

    def say() -> None:
        seconds = 0
        while not done.wait(_PATIENCE_S):
            seconds += 1
            sys.stderr.write(f"\r{what}, {seconds} s …")
            sys.stderr.flush()
        if seconds:
            sys.stderr.write("\r" + " " * (len(what) + 12) + "\r")
            sys.stderr.flush()

    thread = threading.Thread(target=say, daemon=True)
    thread.start()
    try:
        yield
    finally:
        done.set()
        thread.join()
