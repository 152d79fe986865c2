"""Names from notes as names of files."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

_LONGEST = 60
_AS_IT_IS = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
"""What most keys are already."""
_TAKEN_BY_WINDOWS = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10))}


def slug(text: str) -> str:
    """Return a name that is safe as a file's name on any system: small letters, digits and hyphens."""
    if len(text) <= _LONGEST and text not in _TAKEN_BY_WINDOWS and _AS_IT_IS.fullmatch(text):
        return text
    plain = (c for c in unicodedata.normalize("NFKD", text).casefold() if not unicodedata.combining(c))
    kept = "".join(c if c.isascii() and c.isalnum() else "-" for c in plain)
    name = "-".join(part for part in kept.split("-") if part)[:_LONGEST].rstrip("-")
    return f"{name}-x" if name in _TAKEN_BY_WINDOWS else name or "x"


def slugs(names: Iterable[str]) -> dict[str, str]:
    """Return a file's name for each name, no two alike."""
    found: dict[str, str] = {}
    taken: set[str] = set()
    for name in names:
        base = candidate = slug(name)
        number = 2
        while candidate in taken:
            candidate = f"{base}-{number}"
            number += 1
        taken.add(candidate)
        found[name] = candidate
    return found
