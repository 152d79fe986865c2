"""Codes of trees in running text, kept in one piece: a browser would break 1-02 at its hyphen."""

from __future__ import annotations

import re
from collections.abc import Iterable
from collections.abc import Set as AbstractSet
from typing import Final

from markupsafe import escape

LONGEST: Final = 12
"""Characters of a code that is kept in one piece; a longer one may need to break on a narrow screen. J."""
_PART: Final = re.compile(
    r"""<!--.*?-->|<(/?)([a-zA-Z][a-zA-Z0-9]*+)?[^<>"']*+(?:(?:"[^"]*"|'[^']*')[^<>"']*+)*+>""", re.DOTALL
)
"""A comment, or a tag with its stroke and name."""
_CODE: Final = re.compile(r"(?<![\w.#&;])[\w.#&;]++(?:[-–][\w.#&;]++)+")
"""A word with hyphens within. It begins where a word does and gives nothing back, so that a text that is one long word
is gone over once and not from each of its letters."""
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
    done, at, before, closed_by = 0, 0, "", ""
    for found in (*_PART.finditer(page), None):
        first = found.start() if found else len(page)
        text = "" if closed_by else page[at:first]
        if "-" in text or "–" in text:
            made += [page[done:at], _wrapped(text, before, codes)]
            done = first
        if found is None:
            break
        name = (found[2] or "").lower()
        if closed_by:
            closed_by = "" if found[1] and name == closed_by else closed_by
        elif name in _TEXT_ALONE and not found[1] and not found[0].endswith("/>"):
            closed_by = name
        at, before = found.end(), found[0]
    return "".join([*made, page[done:]])


def _wrapped(text: str, before: str, codes: AbstractSet[str]) -> str:
    if text in codes and _IS_WHOLE.search(before):
        return text
    return _CODE.sub(lambda code: _span(code[0], codes), text)


def _span(word: str, codes: AbstractSet[str]) -> str:
    """Wrap a word that is a code, perhaps with the end of a sentence at it."""
    code = word if word in codes else word.rstrip(".;")
    return f'<span class="w">{code}</span>{word[len(code) :]}' if code in codes else word
