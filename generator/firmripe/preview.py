"""The site while its notes are being written: built in memory, shown on this computer, made new on each change."""

from __future__ import annotations

import html
import json
import re
import secrets
import threading
import traceback
from collections.abc import Callable, Mapping
from contextlib import suppress
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from mimetypes import MimeTypes
from pathlib import Path
from typing import Final
from urllib.parse import SplitResult, unquote, urlsplit

from msgspec import Struct

from firmripe.build import is_site
from firmripe.plan import Plan
from firmripe.problems import FaultyNotes, Unreadable, refused_by_system
from firmripe.publish.ledger import LEDGER
from firmripe.publish.offline import WORKER
from firmripe.publish.site import make_site
from firmripe.publish.theming import ThemeFault
from firmripe.shipped import theme_folder

HERE: Final = "127.0.0.1"
EVERYWHERE: Final = "0.0.0.0"  # noqa: S104 - only where somebody asked for it
SCRIPT: Final = "-preview.js"
STATE: Final = "-preview.json"
_OUR_OWN: Final = frozenset({"same-origin", "none"})
"""Who may ask, as a browser tells it (W3C Fetch Metadata): the preview's own pages, and a person who typed its address.

A browser that tells nothing is an old one, or one on the network without encryption; then the address, which nobody
can guess, and the policy on resources keep other pages out.
"""
_KEEPING_APART: Final = {
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "Cache-Control": "no-store",
    "Vary": "Sec-Fetch-Site, Origin",
}
_OWN_NAMES: Final = frozenset({HERE, "localhost"})
_AGAIN_S: Final = 2.0
"""So long is waited after the notes' folder could not be watched."""
_WAIT_S: Final = 20.0
_POLICY: Final = (
    "default-src 'none'; style-src 'self'; img-src 'self' data:; font-src 'self'; script-src 'self';"
    " connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
_JS: Final = b"""\
"use strict";
const { version: shown, state } = document.currentScript.dataset;
async function wait() {
  for (;;) {
    try {
      const answer = await fetch(state + "?after=" + shown);
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
_KINDS: Final = MimeTypes()
"""Kinds of files by their endings, without those of the system: on Windows any program may write other ones there."""
for _ending, _kind in (
    (".js", "text/javascript"),
    (".ics", "text/calendar"),
    (".atom", "application/atom+xml"),
    (".woff2", "font/woff2"),
):
    _KINDS.add_type(_kind, _ending)
_META_POLICY: Final = re.compile(rb'<meta http-equiv="Content-Security-Policy"[^>]*>\n?', re.IGNORECASE)
_BODY: Final = re.compile(rb"<body[^>]*>", re.IGNORECASE)
_FIRST: Final = (
    b'<p id="preview-begun">The site is being built for the first time. This page shows it as soon as it is.</p>\n'
)
_OUR_FAULT: Final = (
    "The site could not be built by a fault of the program itself, not of the notes. The preview goes on; the fault is:"
)
_EMPTY: Final = b"<!doctype html>\n<html lang=en>\n<meta charset=utf-8>\n<title>Preview</title>\n<body>\n"


class Shown(Struct, frozen=True, kw_only=True):
    """What a preview shows: the last good site and, where the notes are faulty now, what is wrong."""

    version: int = 0
    files: Mapping[str, bytes] | None = None
    fault: str = ""


class Preview:
    """A household's site in memory. `plan` reads the notes and works out the plan, and raises FaultyNotes.

    `top` is the path below which it is served: one that nobody can guess, unless it is given.
    """

    def __init__(self, plan: Callable[[], Plan], top: str = "") -> None:
        self.top = top or f"/{secrets.token_urlsafe(16)}/"
        self._plan = plan
        self._shown = Shown()
        self._changed = threading.Condition()

    @property
    def shown(self) -> Shown:
        """What is shown now."""
        return self._shown

    def rebuild(self) -> Shown:
        """Read the notes again; where they are faulty the last good site stays, with what is wrong above it.

        Whatever else goes wrong is told as well and ends nothing.
        """
        files, fault = self._shown.files, ""
        try:
            plan = self._plan()
            files = make_site(plan, theme_folder(plan.holding.place.theme), kept=False)
        except (FaultyNotes, Unreadable, ThemeFault) as error:
            fault = str(error)
        except OSError as error:
            fault = refused_by_system(error)
        except Exception as error:  # noqa: BLE001 - a fault of the program's own ends no preview
            fault = f"{_OUR_FAULT}\n{''.join(traceback.format_exception(error)[-3:])}"
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
            status, said = 404, b"<p>There is no such page any more.</p>\n"
            if shown.files is None:
                status, said = 200, b"" if shown.fault else _FIRST
            home = f'<p><a href="{self.top}index.html">To the first page</a></p>\n'.encode() if shown.files else b""
            return status, "text/html", self._with_preview(_EMPTY + said + home, shown)
        kind = _KINDS.guess_type(name)[0] or "application/octet-stream"
        return 200, kind, self._with_preview(data, shown) if kind == "text/html" else data

    def _with_preview(self, page: bytes, shown: Shown) -> bytes:
        """Return a page with the preview's script and what is wrong; its own policy gives way to the server's."""
        said = ""
        if shown.fault:
            former = "The page below is the last one that could be built." if shown.files else "There is no page yet."
            text = html.escape(re.sub(r"[^\n -~\u00a0-\U0010ffff]", "�", shown.fault))
            said = (
                f'<section id="preview-fault" role="alert"><h2>To be mended</h2><p>{former}</p><pre>{text}</pre>'
                "</section>"
            )
        state = f'data-version="{shown.version}" data-state="{self.top}{STATE}"'
        extra = f'\n{said}<script src="{self.top}{SCRIPT}" {state}></script>\n'.encode()
        return _BODY.sub(lambda body: body[0] + extra, _META_POLICY.sub(b"", page), count=1)


def server_of(preview: Preview, port: int, *, lan: bool = False) -> ThreadingHTTPServer:
    """Return a server for a preview, on this computer alone or, if asked, for the whole network. Raises OSError.

    Port 0 takes any free one. All is served below the preview's own path, to its own pages and to whoever types its
    address, and to no page of another place, which could else read a script of ours from within the same browser. On
    this computer alone only its own names are answered, so that no page elsewhere can read it through a name that
    leads here.
    """
    return _Server(preview, port, lan=lan)


class _Server(ThreadingHTTPServer):
    daemon_threads = True

    def __init__(self, preview: Preview, port: int, *, lan: bool) -> None:
        self.preview, self.lan = preview, lan
        super().__init__((EVERYWHERE if lan else HERE, port), _Handler)


class _Handler(BaseHTTPRequestHandler):
    server_version, sys_version = "firmripe", ""
    server: _Server

    def do_GET(self) -> None:
        host = (self.headers.get("Host") or "").rpartition(":")[0] or (self.headers.get("Host") or "")
        if not self.server.lan and host not in _OWN_NAMES:
            self._send(421, "text/plain", b"This preview answers only on this computer.\n")
        elif not self._is_ours():
            self._send(403, "text/plain", b"Type the address of the preview, or open it from its own pages.\n")
        else:
            self._answer(urlsplit(self.path), self.server.preview)

    def _is_ours(self) -> bool:
        """Say whether our own pages ask, or a person: what a page of another place asks for is not answered."""
        origin = self.headers.get("Origin")
        asker = self.headers.get("Sec-Fetch-Site", "none")
        return asker in _OUR_OWN and origin in {None, f"http://{self.headers.get('Host')}"}

    def _answer(self, asked: SplitResult, preview: Preview) -> None:
        below = asked.path.removeprefix(preview.top) if asked.path.startswith(preview.top) else None
        if asked.path == f"/{WORKER}":  # its place is the top, where a built site's lay
            self._send(200, "text/javascript", _NO_WORKER)
        elif asked.path == "/favicon.ico":  # every browser asks for it
            self._send(204, "image/x-icon", b"")
        elif below is None:
            self._send(404, "text/plain", b"Open the whole address that the preview tells.\n")
        elif below == STATE:
            version = preview.wait(asked.query.removeprefix("after="))
            self._send(200, "application/json", json.dumps({"version": str(version)}).encode())
        elif below == SCRIPT:
            self._send(200, "text/javascript", _JS)
        else:
            self._send(*preview.page(below))

    def _send(self, status: int, kind: str, body: bytes) -> None:
        with suppress(ConnectionError):
            self.send_response(status)
            self.send_header("Content-Type", f"{kind}; charset=utf-8" if kind.startswith("text/") else kind)
            self.send_header("Content-Length", str(len(body)))
            self.send_header("Content-Security-Policy", _POLICY)
            for name, said in _KEEPING_APART.items():
                self.send_header(name, said)
            self.end_headers()
            self.wfile.write(body)

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - the library's own name
        """Say nothing of each page that is asked for."""


def watch(folder: Path, preview: Preview, tell: Callable[[Shown], None], stop: threading.Event) -> None:
    """Rebuild on each change of the notes, and tell of it, until `stop` is set.

    Where the folder can't be watched, since it was moved or its disk is gone, that is told once, and watching goes on
    when it is there again.
    """
    import watchfiles  # noqa: PLC0415 - only where something is watched

    top = folder.resolve()

    def is_note(_change: object, path: str) -> bool:
        parts = Path(path).resolve().relative_to(top).parts if Path(path).resolve().is_relative_to(top) else ()
        if not parts or parts[0] == LEDGER or is_site(parts[0]):
            return False
        return not any(part.startswith(".") for part in parts)

    while not stop.is_set():
        try:
            for _ in watchfiles.watch(top, watch_filter=is_note, stop_event=stop, debounce=200, step=50):
                tell(preview.rebuild())
        except (OSError, RuntimeError):
            if not preview.shown.fault:
                tell(preview.rebuild())
            stop.wait(_AGAIN_S)
        else:
            break
