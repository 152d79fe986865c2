"""A web server of this computer, for tests that a page opened from disk can't serve."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path


class Quiet(SimpleHTTPRequestHandler):
    """A web server's answers, without a word of each."""

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - the library's own name
        """Say nothing."""


@contextmanager
def running(server: ThreadingHTTPServer) -> Iterator[None]:
    """Let a server answer meanwhile."""
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield
    finally:
        server.shutdown()
        server.server_close()


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """Serve a folder on this computer and give its address."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(Quiet, directory=str(folder)))
    with running(server):
        yield f"http://127.0.0.1:{server.server_port}/"
