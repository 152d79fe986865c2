"""Codes of trees in running text, kept in one piece: a browser would break 1-02 at its hyphen."""

from __future__ import annotations

import re
from collections.abc import Iterable
from collections.abc import Set as AbstractSet
from typing import Final

from markupsafe import escape

LONGEST: Final = 12
"""Characters of a code that is kept in one piece; a longer one may need to break on a narrow screen. J."""
_PART: Final = re.compile(r"""<!--.*?-->|<(?:[^<>"']|"[^"]*"|'[^']*')*>""", re.DOTALL)
_CODE: Final = re.compile(r"(?<![\w.#&;])[\w.#&;]++(?:[-–][\w.#&;]++)+")
"""A word with hyphens within. It begins where a word does and gives nothing back, so that a text that is one long word
is gone over once and not from each of its letters."""
_TAG: Final = re.compile(r"<(/?)([a-zA-Z][a-zA-Z0-9]*)")
_TEXT_ALONE: Final = frozenset({"script", "style", "title", "option", "textarea", "svg"})
"""Elements that hold no markup of a page's text; a drawing breaks no line."""
_IS_WHOLE: Final = re.compile(r"""\bclass="(?:[^"]* )?(?:code|w)[" ]""")


def whole_codes(tags: Iterable[str]) -> frozenset[str]:
    """Return those tags of trees, as they stand in markup, at which a line might break."""
    return frozenset(str(escape(tag)) for tag in tags if len(tag) <= LONGEST and _CODE.fullmatch(tag))


def in_one_piece(page: str, codes: AbstractSet[str]) -> str:
    """Return a page in which each of these codes stands in `<span class="w">`; text and attributes stay the same.

    Where an element holds a code alone and is of class `code`, it is whole already. No other sign is put into the
    code, so that it can be searched for, copied and sent.
    """
    if not codes:
        return page
    made: list[str] = []
    at, before, closed_by = 0, "", ""
    for found in _PART.finditer(page):
        text, part = page[at : found.start()], found[0]
        made += [text if closed_by else _wrapped(text, before, codes), part]
        tag = _TAG.match(part)
        if tag is not None:
            name = tag[2].lower()
            if closed_by:
                closed_by = "" if tag[1] and name == closed_by else closed_by
            elif not tag[1] and name in _TEXT_ALONE and not part.endswith("/>"):
                closed_by = name
        at, before = found.end(), part
    return "".join([*made, _wrapped(page[at:], before, codes)])


def _wrapped(text: str, before: str, codes: AbstractSet[str]) -> str:
    if text in codes and _IS_WHOLE.search(before):
        return text
    return _CODE.sub(lambda code: _span(code[0], codes), text)


def _span(word: str, codes: AbstractSet[str]) -> str:
    """Wrap a word that is a code, perhaps with the end of a sentence at it."""
    code = word if word in codes else word.rstrip(".;")
    return f'<span class="w">{code}</span>{word[len(code) :]}' if code in codes else word
