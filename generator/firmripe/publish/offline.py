"""The script that keeps the site for when there is no signal, with the list of what it keeps."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping

WORKER = "sw.js"
"""It lies at the top of the site, since a service worker serves nothing above itself (W3C Service Workers)."""
_KEPT = (".html", ".txt")


def worker_script(code: str, files: Mapping[str, bytes]) -> bytes:
    """Return a theme's worker with the site's version and the files to keep before it, as the constant `SITE`.

    All pages and static files are kept. Feeds and tables are not, nor named: what is not up to date in a calendar is
    worse than missing, and the names of some feeds are secret. The version is a hash of the code and of all it keeps.
    """
    kept = sorted(name for name in files if name.endswith(_KEPT) or name.startswith("static/"))
    version = hashlib.sha256(code.encode())
    for name in kept:
        version.update(f"{name}\n{hashlib.sha256(files[name]).hexdigest()}\n".encode())
    site = json.dumps({"version": version.hexdigest()[:16], "files": kept})
    return f"const SITE = {site};\n{code}".encode()
