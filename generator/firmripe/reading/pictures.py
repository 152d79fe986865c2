"""Picture files made small: the one place that meets Pillow, which a household installs where it has photos."""

from __future__ import annotations

import hashlib
import io
import struct
import warnings
from pathlib import Path

from firmripe.lately import Lately
from firmripe.problems import Unreadable

KINDS = {".jpg", ".jpeg", ".png", ".webp"}
PHONES = {".heic", ".heif"}
LARGEST = 25_000_000
"""Bytes of a file as a camera makes it; more is no photo. J."""
MOST_PIXELS = 100_000_000
"""Pixels that are unpacked, three bytes each: more would fill the memory of a small computer. J."""
LONGEST_SIDE = 960
"""Pixels of the longer side of what is published: sharp on a phone, and about 100 kB. J."""
QUALITY = 76
INSTALL = "install it with  pip install 'firmripe[photos]'  or take the key out"
_SPOILT = (OSError, ValueError, SyntaxError, TypeError, LookupError, ArithmeticError, struct.error, MemoryError)
"""What Pillow raises over files that are no pictures, or spoilt ones."""
_MEND = "open it and save it again as a JPEG, or leave it out"


def small(path: Path) -> tuple[bytes, int, int]:
    """Return a picture as a small JPEG with its width and height: upright, and without what a camera wrote into it.

    Nothing of the file but its points of color goes on: no place, time, name, comment, thumbnail or profile.
    Raises Unreadable.
    """
    ending = path.suffix.casefold()
    if ending in PHONES:
        hint = 'save it as a JPEG: let the phone share it as "most compatible", or convert it on a computer'
        raise Unreadable("a phone's HEIC picture is not read here", hint)
    if ending not in KINDS:
        raise Unreadable("this is no kind of picture that is read here", "save it as a JPEG, PNG or WebP")
    try:
        with path.open("rb") as opened:
            data = opened.read(LARGEST + 1)
    except OSError as error:
        raise Unreadable(f"the picture can't be read: {error.strerror}", "check its permissions") from error
    if len(data) > LARGEST:
        raise Unreadable(f"the picture is longer than {LARGEST // 1_000_000} MB", "save it smaller")
    return _made.made_of(hashlib.sha256(data).digest(), lambda: _small(data))


_made: Lately[bytes, tuple[bytes, int, int]] = Lately(100)
"""Pictures made small, each by a hash of its file: a preview reads the notes at each change."""


def _too_many() -> Unreadable:
    return Unreadable(f"the picture has more than {MOST_PIXELS // 1_000_000} million pixels", "save it smaller")


def _small(data: bytes) -> tuple[bytes, int, int]:
    """Return the picture of a file's bytes so. Raises Unreadable."""
    try:
        from PIL import Image, ImageOps  # noqa: PLC0415 - an extra, for households with photos alone
    except ImportError as error:
        raise Unreadable("photos need Pillow, which is not installed", INSTALL) from error
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # large ones are refused below, by their size
            with Image.open(io.BytesIO(data), formats=["JPEG", "PNG", "WEBP"]) as opened:
                if opened.width * opened.height > MOST_PIXELS:
                    raise _too_many()
                opened.draft("RGB", (2 * LONGEST_SIDE, 2 * LONGEST_SIDE))
                turned = ImageOps.exif_transpose(opened).convert("RGBA")
                turned.thumbnail((LONGEST_SIDE, LONGEST_SIDE), Image.Resampling.LANCZOS)
        bare = Image.new("RGB", turned.size, "white")  # a new one, so that nothing else comes along
        bare.paste(turned, mask=turned.getchannel("A"))
        made = io.BytesIO()
        bare.save(made, "JPEG", quality=QUALITY, optimize=True, progressive=True)
    except Image.DecompressionBombError as error:
        raise _too_many() from error
    except Unreadable:
        raise
    except _SPOILT as error:
        raise Unreadable("this can't be read as a picture", _MEND) from error
    return made.getvalue(), *bare.size
