"""The characters that break readers of pages and of calendars alike."""

from __future__ import annotations

import re

_PLANES = "".join(chr(plane + end) for plane in range(0, 0x110000, 0x10000) for end in (0xFFFE, 0xFFFF))
_OFTEN = "\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef\ufeff"
_BREAKING = f"[{_OFTEN}{_PLANES}]"
_SUSPECT = bytes({*range(9), 11, 12, *range(14, 32), 127, 0xEF, *range(0xF0, 0xF8)})
"""Octets of UTF-8 with which those begin, and few others; a page that holds none is soon known for that."""
_LATE_CONTROL = re.compile(b"\xc2[\x80-\x9f]")


def readable(text: str) -> str:
    """Return text without controls (tab and line ends stay), noncharacters, lone surrogates and byte order marks."""
    return re.sub(_BREAKING, "", text) if _is_suspect(text) else text


def _is_suspect(text: str) -> bool:
    """Say whether a text may hold one of them."""
    try:
        data = text.encode()
    except UnicodeEncodeError:  # a lone surrogate
        return True
    return len(data.translate(None, _SUSPECT)) < len(data) or _LATE_CONTROL.search(data) is not None
