"""QR codes: an address as a square that a phone's camera reads, for paper and for screens."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby

QUIET = 4
"""Light modules that ISO/IEC 18004 asks for all round."""


def qr_code(address: str) -> tuple[str, int]:
    """Return the dark modules of an address's QR code as an SVG path, and its side in modules, quiet margin included.

    Nothing is drawn of no address. Dark modules beside each other are one piece of the path, which keeps pages small.
    """
    if not address:
        return "", 0
    import segno  # noqa: PLC0415 - it loads the whole of the web's, and most sites have no address

    rows = list(segno.make(address, error="m", micro=False).matrix_iter(border=QUIET))
    return "".join(_row(row, y) for y, row in enumerate(rows)), len(rows)


def _row(modules: Iterable[int], y: int) -> str:
    """Return one row's runs of dark modules."""
    drawn, x = "", 0
    for dark, run in groupby(modules):
        width = len(list(run))
        if dark:
            drawn += f"M{x} {y}h{width}v1H{x}z"
        x += width
    return drawn
