"""The language that pages and feeds are in: words said through one catalogue, found by their English text."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Final

from firmripe.tongue import ENGLISH, Tongue, mark

__all__ = ["ENGLISH", "Tongue", "_", "mark", "n_", "southern", "speaking", "term", "tongue", "translated_many"]

_SOUTHERN: Final = {
    "June drop": "drop after bloom",
    "The June drop": "The drop after bloom",
    "June-bearing beds": "Beds that bear once a year",
}
"""Words that hold a northern month, and what is said in the southern half of the earth instead."""
_NORTHERN: Final = re.compile("|".join(sorted(_SOUTHERN, key=len, reverse=True)))


_TONGUE: ContextVar[Tongue] = ContextVar("tongue", default=Tongue())  # noqa: B039 - it is frozen


@contextmanager
def speaking(tongue: Tongue) -> Iterator[None]:
    """Say everything within in a language. What is said outside of any is in English."""
    former = _TONGUE.set(tongue)
    try:
        yield
    finally:
        _TONGUE.reset(former)


def tongue() -> Tongue:
    """Return the language that is spoken."""
    return _TONGUE.get()


def _(message: str, /, **fields: object) -> str:
    """Say a message in the language spoken, its `{fields}` filled in; one that the catalogue lacks as it stands.

    The messages of a catalogue are collected from the places where they are written, so `message` is written out.
    """
    said = _said(message)
    return _filled(said, fields) if fields else said


def n_(one: str, many: str, n: float, /, **fields: object) -> str:
    """Say a number of things by the rules of the language: `one` and `many` in English, `{n}` filled in.

    A number that is not whole takes the form of many.
    """
    whole = n if isinstance(n, int) else int(n) if n == int(n) else 2
    said = _TONGUE.get().translations.ngettext(_local(one), _local(many), whole)
    return _filled(said, {"n": n, **fields})


def term(text: str, /) -> str:
    """Say a word or sentence that is kept as data: a name or caution of the shelf, a stage, a grade, a happening.

    What a household wrote has no translation and is said as written.
    """
    return _said(text)


def translated_many(one: str, many: str, number: int, /) -> str:
    """Return the form that goes with a number, its fields still to be filled in: for templates."""
    return _TONGUE.get().translations.ngettext(_local(one), _local(many), number)


_ARTICLE = re.compile(r"\b[Tt]he \{(space|room|pot|kitchen)\}")
_TWO_STOPS = re.compile(r"(?<!\.)\.\.(?!\.)")
"""A day cut short, as `13. Sept.`, ends a sentence with its own stop."""
_NAMED = re.compile(r"[A-Z]|(?:the|an?|my|our|your|their|his|her) |[\w ]+[’']s? ")


def _filled(said: str, fields: Mapping[str, object]) -> str:
    """Fill in a message; `the {pot}` has no article where a household's own name stands, as in `Thea's pot`."""
    if _TONGUE.get().code == ENGLISH:
        said = _ARTICLE.sub(lambda at: at[0][4:] if _NAMED.match(str(fields[at[1]])) else at[0], said)
        return said.format(**fields)
    return _TWO_STOPS.sub(".", said.format(**fields))


def _said(message: str) -> str:
    return _TONGUE.get().translations.gettext(_local(message)) if message else ""


def _local(message: str) -> str:
    """Return a message with the words of the season that are right for this half of the earth."""
    return southern(message) if _TONGUE.get().south else message


def southern(message: str) -> str:
    """Return a message as it is said in the southern half of the earth, in English."""
    return _NORTHERN.sub(lambda found: _SOUTHERN[found[0]], message)
