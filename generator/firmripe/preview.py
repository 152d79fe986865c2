"""The site while its notes are being written: built in memory, shown on this computer, made new on each change."""

from __future__ import annotations

import html
import json
import re
import threading
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from mimetypes import guess_type
from pathlib import Path
from typing import Final
from urllib.parse import unquote, urlsplit

from firmripe.plan import Plan
from firmripe.problems import FaultyNotes
from firmripe.publish.offline import WORKER
from firmripe.publish.site import make_site
from firmripe.publish.theming import ThemeFault
from firmripe.shipped import theme_folder

HERE: Final = "127.0.0.1"
EVERYWHERE: Final = "0.0.0.0"  # noqa: S104 - only where somebody asked for it
SCRIPT: Final = "/-preview.js"
STATE: Final = "/-preview.json"
_WAIT_S: Final = 20.0
_POLICY: Final = (
    "default-src 'none'; style-src 'self'; img-src 'self' data:; script-src 'self'; connect-src 'self';"
    " base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
_JS: Final = b"""\
"use strict";
const shown = document.currentScript.dataset.version;
async function wait() {
  for (;;) {
    try {
      const answer = await fetch("/-preview.json?after=" + shown);
      if ((await answer.json()).version !== shown) { location.reload(); return; }
    } catch (error) {
      await new Promise((resolve) => setTimeout(resolve, 1000));
    }
  }
}
wait();
"""
_NO_WORKER: Final = b"""\
"use strict";
self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(withdraw()));
async function withdraw() {
  await self.registration.unregister();
  for (const client of await self.clients.matchAll()) client.navigate(client.url);
}
"""
"""Takes the place of a worker that a built site left at this address, and goes: a preview shows no kept page."""
_META_POLICY: Final = re.compile(rb'<meta http-equiv="Content-Security-Policy"[^>]*>\n?', re.IGNORECASE)
_BODY: Final = re.compile(rb"<body[^>]*>", re.IGNORECASE)
_EMPTY: Final = b"<!doctype html>\n<html lang=en>\n<meta charset=utf-8>\n<title>Preview</title>\n<body>\n"


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What a preview shows: the last good site and, where the notes are faulty now, what is wrong."""

    version: int = 0
    files: Mapping[str, bytes] | None = None
    fault: str = ""


class Preview:
    """A household's site in memory. `plan` reads the notes and works out the plan, and raises FaultyNotes."""

    def __init__(self, plan: Callable[[], Plan]) -> None:
        self._plan = plan
        self._shown = Shown()
        self._changed = threading.Condition()

    @property
    def shown(self) -> Shown:
        """What is shown now."""
        return self._shown

    def rebuild(self) -> Shown:
        """Read the notes again; where they are faulty the last good site stays, with what is wrong above it."""
        files, fault = self._shown.files, ""
        try:
            plan = self._plan()
            files = make_site(plan, theme_folder(plan.holding.place.theme), kept=False)
        except (FaultyNotes, ThemeFault, OSError) as error:
            fault = str(error)
        with self._changed:
            self._shown = Shown(version=self._shown.version + 1, files=files, fault=fault)
            self._changed.notify_all()
        return self._shown

    def wait(self, version: str) -> int:
        """Return the version shown, once it is another one or after a while."""
        with self._changed:
            self._changed.wait_for(lambda: str(self._shown.version) != version, timeout=_WAIT_S)
            return self._shown.version

    def page(self, path: str) -> tuple[int, str, bytes]:
        """Return status, media type and body for a path of the site. Nothing but the site's own files is served."""
        shown = self._shown
        name = unquote(path).lstrip("/")
        name = f"{name}index.html" if not name or name.endswith("/") else name
        data = (shown.files or {}).get(name)
        if data is None:
            said = _EMPTY if shown.fault and not shown.files else _EMPTY + b"<p>There is no such page any more.</p>\n"
            home = b'<p><a href="/index.html">To the first page</a></p>\n' if shown.files else b""
            return 200 if shown.fault and not shown.files else 404, "text/html", _with_preview(said + home, shown)
        kind = "text/calendar" if name.endswith(".ics") else guess_type(name)[0] or "application/octet-stream"
        return 200, kind, _with_preview(data, shown) if kind == "text/html" else data


def _with_preview(page: bytes, shown: Shown) -> bytes:
    """Return a page with the preview's script and what is wrong; its own policy gives way to the server's."""
    said = ""
    if shown.fault:
        former = "The page below is the last one that could be built." if shown.files else "There is no page yet."
        text = html.escape(re.sub(r"[^\n -~\u00a0-\U0010ffff]", "�", shown.fault))
        said = (
            f'<section id="preview-fault" role="alert"><h2>To be mended</h2><p>{former}</p><pre>{text}</pre></section>'
        )
    script = f'<script src="{SCRIPT}" data-version="{shown.version}"></script>'
    extra = f"\n{said}{script}\n".encode()
    return _BODY.sub(lambda body: body[0] + extra, _META_POLICY.sub(b"", page), count=1)


def server_of(preview: Preview, port: int, *, lan: bool = False) -> ThreadingHTTPServer:
    """Return a server for a preview, on this computer alone or, if asked, for the whole network. Raises OSError.

    Port 0 takes any free one. On this computer alone only its own names are answered, so that no page elsewhere can
    read the preview through a name that leads here.
    """
    own_names = frozenset({HERE, "localhost"})

    class Handler(BaseHTTPRequestHandler):
        server_version, sys_version = "firmripe", ""

        def do_GET(self) -> None:
            host = (self.headers.get("Host") or "").rpartition(":")[0] or (self.headers.get("Host") or "")
            if not lan and host not in own_names:
                self._send(421, "text/plain", b"This preview answers only on this computer.\n")
                return
            asked = urlsplit(self.path)
            if asked.path == STATE:
                version = preview.wait(asked.query.removeprefix("after="))
                self._send(200, "application/json", json.dumps({"version": str(version)}).encode())
            elif asked.path == SCRIPT:
                self._send(200, "text/javascript", _JS)
            elif asked.path == f"/{WORKER}":
                self._send(200, "text/javascript", _NO_WORKER)
            elif asked.path == "/favicon.ico":  # every browser asks for it
                self._send(204, "image/x-icon", b"")
            else:
                self._send(*preview.page(asked.path))

        def _send(self, status: int, kind: str, body: bytes) -> None:
            with suppress(ConnectionError):
                self.send_response(status)
                self.send_header("Content-Type", f"{kind}; charset=utf-8" if kind.startswith("text/") else kind)
                self.send_header("Content-Length", str(len(body)))
                self.send_header("Cache-Control", "no-store")
                self.send_header("Content-Security-Policy", _POLICY)
                self.send_header("X-Content-Type-Options", "nosniff")
                self.end_headers()
                self.wfile.write(body)

        def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - the library's own name
            """Say nothing of each page that is asked for."""

    class Server(ThreadingHTTPServer):
        daemon_threads = True

    return Server((EVERYWHERE if lan else HERE, port), Handler)


def watch(folder: Path, preview: Preview, tell: Callable[[Shown], None], stop: threading.Event) -> None:
    """Rebuild on each change of the notes, and tell of it, until `stop` is set."""
    import watchfiles  # noqa: PLC0415 - only where something is watched

    top = folder.resolve()

    def is_note(_change: object, path: str) -> bool:
        parts = Path(path).resolve().relative_to(top).parts if Path(path).resolve().is_relative_to(top) else ()
        return bool(parts) and parts[0] != "site" and not any(part.startswith(".") for part in parts)

    for _ in watchfiles.watch(top, watch_filter=is_note, stop_event=stop, debounce=200, step=50):
        tell(preview.rebuild())
