"""Names in feeds: identities that stay, text that every reader takes, addresses that can be subscribed to."""

from __future__ import annotations

import hashlib
import unicodedata
import uuid
from functools import lru_cache
from urllib.parse import quote, urlsplit

from firmripe.calendar.entry import Entry
from firmripe.holding.place import Place
from firmripe.publish.characters import readable

_NAMESPACE = uuid.UUID("6f0b7c1e-52a4-5d0e-9b7e-2f8d9a4c1b73")
"""Names the identities of Firmripe's entries; drawn once, never to be changed."""

_SAFE_IN_ADDRESS = "%/:=&?~#+!$,;'@()*[]"


def entry_uid(place: Place, entry: Entry) -> str:
    """Return the identity of an entry's reminder: it stays when the date moves, and differs between households."""
    return named_uid(place, entry.identity)


def window_uid(place: Place, entry: Entry, number: int = 1) -> str:
    """Return the identity of the days that an entry spans, which is another one than its reminder's.

    Where they are parted, `number` counts the parts from 1.
    """
    return named_uid(place, f"{entry.identity}|window" + (f"|{number}" if number > 1 else ""))


def named_uid(place: Place, name: str) -> str:
    """Return the household's identity for a name.

    It hangs on what was written once for that, so that a new address or name of the place moves no event in people's
    calendars; on the address or the name only where nothing was written.
    """
    return str(uuid.uuid5(_household(place), clean_text(name)))


def named_octets(place: Place, name: str) -> bytes:
    """Return the first six octets of that identity, in which no version of its form is told yet."""
    told = _household(place).bytes + clean_text(name).encode()
    return hashlib.sha1(told, usedforsecurity=False).digest()[:6]  # RFC 9562, 5.5


def _household(place: Place) -> uuid.UUID:
    return _named(place.calendar_identity or place.site_address or place.name)


@lru_cache(maxsize=64)
def _named(written: str) -> uuid.UUID:
    return uuid.uuid5(_NAMESPACE, clean_text(written))


def clean_text(text: str) -> str:
    """Return text with plain line ends and without the characters that break calendar readers."""
    if text.isascii() and text.isprintable():
        return text.strip()
    plain = unicodedata.normalize("NFC", text).replace("\r\n", "\n").replace("\r", "\n")
    plain = plain.replace("\u2028", "\n").replace("\u2029", "\n")
    return readable(plain).strip()


def plain_name(name: str) -> str:
    """Return a calendar's name on one line, without what readers disagree about unescaping."""
    return " ".join(clean_text(name).translate(str.maketrans(",;\\", "   ")).split())


def base_address(place: Place) -> str:
    """Return where the site is published, ending in a slash; empty where it isn't, or where that is no web address."""
    plain = "".join(clean_text(place.site_address).split())
    try:
        parts = urlsplit(plain)
    except ValueError:
        return ""
    if parts.scheme not in {"http", "https"} or not parts.netloc:
        return ""
    return quote(plain.rstrip("/"), safe=_SAFE_IN_ADDRESS) + "/"


def webcal(address: str) -> str:
    """Return an address by which a calendar app subscribes, where a browser would download."""
    return f"webcal:{address.partition(':')[2]}"
