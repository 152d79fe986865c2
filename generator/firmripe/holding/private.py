"""What is marked as private in a text. In doubt it is: a mark that is nearly right hides what it stands beside."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

from msgspec import Struct

from firmripe.problems import Where, folded, nearest

PRIVATE = "private:"
"""What a note of a line, or a paragraph, begins with that is for the household alone."""
_WORDS = frozenset(
    folded(word)
    for word in (
        *("private", "privates", "privately", "privat", "private", "privada", "privado", "privadas", "privados"),
        *("privé", "privée", "privés", "privées", "privato", "privata", "privati", "privaat", "privát", "prywatne"),
        *("confidential", "confidencial", "confidentiel", "vertraulich", "riservato", "приватно", "личное"),
    )
)
"""The word in the languages that a household might use (our judgement)."""
_WORD = re.compile(r"[^\W\d_]+")
_HEADING = re.compile(r"(#{1,6})\s")
_DATE = r"\b\d{4}-\d{1,2}-\d{1,2}\b|\b\d{4}\s*[-–]\s*\d{4}\b"
_TELEPHONE = r"(?<![\w.])\+?\(?\d(?:[ ()./-]{0,2}\d){6,14}(?![\w.]*\d)"
_MAIL = r"(?<![\w.+-])[\w.+-]+@[\w-]+(?:\.[\w-]+)+"
_TYPED = str.maketrans(
    {
        **dict.fromkeys("\u00a0\u2007\u2009\u200a\u202f", " "),
        **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212", "-"),
    }
)
"""Spaces and hyphens of other kinds, as they come with what is pasted; each for one sign, so that places stay."""
FEWEST_DIGITS = 7
"""A telephone number in running text has at least so many digits; shorter ones are years, weights and tags."""


def is_plainly_private(text: str) -> bool:
    """Say whether a text begins with the mark as it is to be written."""
    return text.lstrip().casefold().startswith(PRIVATE)


def private_word(text: str) -> str:
    """Return the word that marks a text as private, wherever in it and however it is written; empty where none does.

    That is the word in any of some languages, or one before a colon that is nearly it.
    """
    plain = unicodedata.normalize("NFKC", text)
    for match in _WORD.finditer(plain):
        word = match[0]
        colon = re.match(r"[\s)\]*_]*[:∶꞉]", plain[match.end() :])
        if folded(word) in _WORDS or (colon and nearest(word, ["private"])):
            return word
    return ""


def is_private(text: str) -> bool:
    """Say whether a text is marked as private, rightly or nearly so."""
    return is_plainly_private(text) or bool(private_word(text))


class Passage(Struct, frozen=True):
    """A line of a note or one value of it, and where it stands."""

    text: str
    where: Where


def open_lines(text: str) -> Iterator[tuple[int, str]]:
    """Yield the lines of a note's text that are not private, each with its number from 0.

    A paragraph that is marked is private as a whole, and so is all that stands below a heading that is.
    """
    hidden_below = 0
    at = 0
    for block in re.split(r"(\n[ \t]*\n)", text):
        heading = _HEADING.match(block.lstrip())
        if heading and hidden_below and len(heading[1]) <= hidden_below:
            hidden_below = 0
        hides = is_private(block)
        if heading and hides and not hidden_below:
            hidden_below = len(heading[1])
        if not hides and not hidden_below:
            yield from enumerate(block.split("\n"), start=at)
        at += block.count("\n")


def open_text(text: str) -> str:
    """Return a note's text without what is private in it."""
    if not is_private(text):
        return text
    kept: list[str] = []
    before = -1
    for number, line in open_lines(text):
        if number == before and not line:
            continue
        kept.append(line)
        before = number
    return re.sub(r"\n(?:[ \t]*\n)+", "\n\n", "\n".join(kept)).strip()


def telephones_in(text: str) -> tuple[str, ...]:
    """Return what may be a telephone number in a text."""
    plain = re.sub(_DATE, lambda match: " " * len(match[0]), text.translate(_TYPED))
    found = (match[0] for match in re.finditer(_TELEPHONE, plain))
    return tuple(number for number in found if sum(sign.isdigit() for sign in number) >= FEWEST_DIGITS)


def reached_in(text: str) -> tuple[str, ...]:
    """Return the telephone numbers and mail addresses in a text: by what people can be reached."""
    return (*telephones_in(text), *re.findall(_MAIL, text))
