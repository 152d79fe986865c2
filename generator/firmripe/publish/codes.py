"""Codes of trees in running text, kept in one piece: a browser would break 1-02 at its hyphen."""

from __future__ import annotations

import re
from collections.abc import Iterable
from collections.abc import Set as AbstractSet
from functools import cache
from typing import Final

from markupsafe import escape

LONGEST: Final = 12
"""Characters of a code that is kept in one piece; a longer one may need to break on a narrow screen. J."""
_TEXT_ALONE: Final = ("script", "style", "title", "option", "textarea", "svg")
"""Elements that hold no markup of a page's text; a drawing breaks no line."""
_COMMENT: Final = r"<!--(?>.*?-->|.*+)"
"""One without an end goes on to that of the page, as browsers have it; none is looked for its end twice."""
_REST: Final = r"""[^<>"']*+(?:(?:"[^"]*"|'[^']*')[^<>"']*+)*+>"""
"""What comes after the name of a tag."""


def _whole_element(name: str) -> str:
    """Return the pattern of an element, from its beginning to its end or that of the page."""
    tag = rf"(?i:{name})(?![a-zA-Z0-9]){_REST}"
    return rf"<{tag}(?<!/>)(?:[^<]++|(?!</{tag})(?:{_COMMENT}|<{_REST}|<))*+(?:</{tag})?"


_TAG_ALONE: Final = re.compile(f"<{_REST}")
_CODE: Final = re.compile(r"(?<![\w.#&;])[\w.#&;]++(?:[-–][\w.#&;]++)+")
"""A word with hyphens within. It begins where a word does and gives nothing back, so that a text that is one long word
is gone over once and not from each of its letters."""
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

    def put(found: re.Match[str]) -> str:
        if not found[1]:
            return found[0]
        at = found.start(1)
        before = page[page.rfind("<", 0, at) : at] if found[1] in codes else ""
        return page[found.start() : at] + _wrapped(found[1], before, codes)

    return _up_to_a_hyphen().sub(put, page)


@cache
def _up_to_a_hyphen() -> re.Pattern[str]:
    """Return the pattern of what stands up to the next text with a hyphen, and of that text, if there is one.

    What is no text of a page is a comment, an element that holds none, or a tag; the plainest come first, since most
    are. A sign that begins none of them is text.
    """
    elements = "|".join(map(_whole_element, _TEXT_ALONE))
    markup = rf"<(?![sStToO!]){_REST}|{_COMMENT}|{elements}|<{_REST}"
    return re.compile(rf"(?:[^<\-–]*+(?:{markup}|<))*+(?:([^<\-–]*+[-–][^<]*+)|[^<\-–]*+)", re.DOTALL)


def _wrapped(text: str, before: str, codes: AbstractSet[str]) -> str:
    if text in codes and _TAG_ALONE.fullmatch(before) and _IS_WHOLE.search(before):
        return text
    return _CODE.sub(lambda code: _span(code[0], codes), text)


def _span(word: str, codes: AbstractSet[str]) -> str:
    """Wrap a word that is a code, perhaps with the end of a sentence at it."""
    code = word if word in codes else word.rstrip(".;")
    return f'<span class="w">{code}</span>{word[len(code) :]}' if code in codes else word
