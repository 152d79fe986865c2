"""The ledger's file among the notes: read, and replaced as a whole."""

from __future__ import annotations

import contextlib
import re
import secrets
from pathlib import Path

from firmripe.problems import Problems, Where
from firmripe.publish import disk
from firmripe.publish.ledger import LEDGER, Ledger, parse_ledger

_DRAFT = re.compile(rf"\.{re.escape(LEDGER)}\.new-[0-9a-f]{{16}}")
_STRAYS = (f".{LEDGER}.new",)
"""Names under which a build once made its draft; what lies there now may be anybody's."""
_AGAIN = (
    "bring back an earlier copy of the file; without one keep it under another name, and the build begins a new one"
)


def read_ledger(path: Path) -> Ledger:
    """Read the ledger; where there is none it is empty. Raises FaultyNotes."""
    problems = Problems()
    if path.exists() and not (path.is_file() or path.is_dir()):  # what some program writes into could be waited for
        problems.add(Where(path.name), "this is neither a file nor a folder", _AGAIN)
        problems.stop_if_any()
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        return Ledger()
    except OSError as error:
        hint = "check its permissions, or keep it under another name: then the build begins a new one"
        problems.add(Where(path.name), f"the file can't be read: {(error.strerror or 'refused').lower()}", hint)
        text = ""
    except UnicodeDecodeError:
        problems.add(Where(path.name), "the file is not in UTF-8", _AGAIN)
        text = ""
    ledger = parse_ledger(text, problems)
    problems.stop_if_any()
    return ledger


def draft_beside(path: Path, ledger: Ledger) -> Path | None:
    """Write a ledger beside the file it is to replace; None where the folder takes no files.

    Drafts that builds left when they were cut off are cleared away; nothing else is.
    """
    path = path.resolve()  # a link to the ledger stays one
    draft = path.with_name(f".{path.name}.new-{secrets.token_hex(8)}")
    try:
        for left in path.parent.iterdir():
            if _DRAFT.fullmatch(left.name):
                disk.remove(left)
        disk.write(draft, str(ledger).encode("utf-8"))
        if path.exists():
            disk.dress(draft, path)
        disk.settle(draft)
    except OSError:
        with contextlib.suppress(OSError):  # half of it, on a disk that is full
            disk.remove(draft)
        return None
    return draft


def put(draft: Path, path: Path) -> bool:
    """Let a draft take the ledger's place, and say whether the system let it."""
    try:
        disk.replace(draft, path.resolve())
        disk.settle(path.resolve().parent)
    except OSError:
        return False
    return True


def strays_beside(path: Path) -> tuple[str, ...]:
    """Return the names of files that look like a build's and that no build of now makes; they are left alone."""
    return tuple(name for name in _STRAYS if (path.parent / name).exists())
