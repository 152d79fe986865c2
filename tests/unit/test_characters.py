"""Characters that no reader may meet."""

from __future__ import annotations

import unicodedata

from firmripe.publish.characters import readable


def breaks(code: int) -> bool:
    """Say by the Unicode standard (sections 23.1, 23.6 to 23.8) whether a character is among those taken out."""
    nonchar = code & 0xFFFE == 0xFFFE or 0xFDD0 <= code <= 0xFDEF
    return code == 0xFEFF or nonchar or unicodedata.category(chr(code)) in {"Cc", "Cs"}


def test_exactly_the_breaking_characters_go() -> None:
    """Of all characters those go that are controls, surrogates, noncharacters or byte order marks; tabs stay."""
    gone = {code for code in range(0x110000) if not readable(chr(code))}

    assert gone == {code for code in range(0x110000) if breaks(code)} - {0x09, 0x0A, 0x0D}


def test_the_rest_of_a_text_stays() -> None:
    """What stands around them is left as it was."""
    assert readable("a\x00b\td\ufeffe\ud800\n🍐") == "ab\tde\n🍐"
