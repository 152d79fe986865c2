"""What a QR code's path draws is the code of the standard, module for module, with its light margin."""

from __future__ import annotations

import re

import pytest
import segno

from firmripe.publish.qr_codes import qr_code

ADDRESSES = [
    "https://a.example/",
    "https://fruit.example.org/slate-stile/feeds/village-house-reminders.ics",
    "https://fruit.example/home/trees/" + "a-long-tag-" * 12 + "1.html",
]


def dark_of(path: str) -> set[tuple[int, int]]:
    """Return the modules that a path makes dark, as column and row; every piece of it must be a run in one row."""
    piece = re.compile(r"M(\d+) (\d+)h(\d+)v1H(\d+)z")
    assert piece.sub("", path) == ""
    runs = [tuple(map(int, match)) for match in piece.findall(path)]
    assert all(back == x for x, _, _, back in runs)
    return {(x + step, y) for x, y, width, _ in runs for step in range(width)}


@pytest.mark.parametrize("address", ADDRESSES)
def test_the_path_draws_every_module_once(address: str) -> None:
    """Nothing is lost or doubled in drawing runs instead of modules."""
    path, side = qr_code(address)
    rows = list(segno.make(address, error="m", micro=False).matrix_iter(border=4))

    assert side == len(rows)
    assert dark_of(path) == {(x, y) for y, row in enumerate(rows) for x, dark in enumerate(row) if dark}
    assert sum(int(width) for width in re.findall(r"h(\d+)", path)) == len(dark_of(path))


@pytest.mark.parametrize("address", ADDRESSES)
def test_a_code_has_the_finder_pattern_and_the_margin_of_the_standard(address: str) -> None:
    """ISO/IEC 18004: four light modules all round, then a ring of seven dark ones in three of the corners."""
    path, side = qr_code(address)
    dark = dark_of(path)

    assert (side - 8 - 17) % 4 == 0, "a version has 17 + 4 n modules a side"
    assert {min(x for x, _ in dark), min(y for _, y in dark)} == {4}
    far = side - 4 - 7
    for left, top in ((4, 4), (far, 4), (4, far)):
        ring = {(left + x, top + y) for x in range(7) for y in range(7) if x in (0, 6) or y in (0, 6)}
        assert ring <= dark
    bottom_right = {(far + x, far + y) for x in range(7) for y in range(7) if x in (0, 6) or y in (0, 6)}
    assert not bottom_right <= dark


def test_no_address_has_no_code() -> None:
    """A code that led nowhere would be worse than none."""
    assert qr_code("") == ("", 0)
