"""A language as one household uses it: how messages, numbers of things and words kept as data are said in it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from gettext import NullTranslations
from typing import Final

from msgspec import Struct

ENGLISH: Final = "en"
THOUSANDS: Final = "\N{NARROW NO-BREAK SPACE}"
"""What stands between thousands where a comma is the decimal sign."""

_NO_WORDS: Final = NullTranslations()

_SOUTHERN: Final = {
    "June drop": "drop after bloom",
    "The June drop": "The drop after bloom",
    "June-bearing beds": "Beds that bear once a year",
}
"""Words that hold a northern month, and what is said in the southern half of the earth instead."""
_NORTHERN: Final = re.compile("|".join(sorted(_SOUTHERN, key=len, reverse=True)))
_OR: Final = re.compile(r"[(),/;]")
"""Between several words for one thing."""
_ARTICLE: Final = re.compile(r"\b[Tt]he \{(space|room|pot|kitchen)\}")
_TWO_STOPS: Final = re.compile(r"(?<!\.)\.\.(?!\.)")
"""A day cut short, as `13. Sept.`, ends a sentence with its own stop."""
_NAMED: Final = re.compile(r"[A-Z]|(?:the|an?|my|our|your|their|his|her) |[\w ]+[’']s? ")


class Tongue(Struct, frozen=True, kw_only=True):
    """A language as one household uses it: a value that whoever makes words is handed.

    `code` is the language's two letters (ISO 639-1), `translations` its catalogue, the names of months begin with
    January and those of days with Monday. `month_first` says `Aug 28`, `south` that the place lies in the southern
    half of the earth, where some words of the season are others, `metric` that metric units come first.
    """

    code: str = ENGLISH
    translations: NullTranslations = _NO_WORDS
    months: tuple[str, ...] = (
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    )
    short_months: tuple[str, ...] = (
        "Jan",
        "Feb",
        "Mar",
        "Apr",
        "May",
        "Jun",
        "Jul",
        "Aug",
        "Sep",
        "Oct",
        "Nov",
        "Dec",
    )
    days: tuple[str, ...] = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
    short_days: tuple[str, ...] = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
    month_first: bool = False
    south: bool = False
    metric: bool = False

    @property
    def has_capital_nouns(self) -> bool:
        """Whether nouns begin with a capital anywhere in a sentence, as in German."""
        return self.code == "de"

    def say(self, message: str, /, **fields: object) -> str:
        """Say a message, its `{fields}` filled in; one that the catalogue lacks as it stands.

        The messages of a catalogue are collected from the places where they are written, so `message` is written out.
        """
        said = self.translations.gettext(southern(message) if self.south else message)
        return self._filled(said, fields) if fields else said

    def plural(self, one: str, many: str, n: float, /, **fields: object) -> str:
        """Say a number of things by the rules of the language: `one` and `many` in English, `{n}` filled in.

        A number that is not whole takes the form of many.
        """
        whole = n if isinstance(n, int) else int(n) if n == int(n) else 2
        return self._filled(self.form(one, many, whole), {"n": n, **fields})

    def term(self, text: str, /) -> str:
        """Say a word or sentence that is kept as data: a name or caution of the shelf, a stage, a grade, a happening.

        What a household wrote has no translation and is said as written.
        """
        return self.translations.gettext(southern(text) if self.south else text) if text else ""

    def names_of(self, thing: str, /) -> tuple[str, ...]:
        """Return what a household may call a thing that is kept as data: as it stands there, and in its language.

        A language may have several words for it, as in `papas (patatas)`.
        """
        own = (word.strip() for word in _OR.split(self.term(thing)))
        return tuple(dict.fromkeys([thing, *(word for word in own if word)]))

    def form(self, one: str, many: str, number: int, /) -> str:
        """Return the form that goes with a number, its fields still to be filled in: for templates."""
        return self.translations.ngettext(self._local(one), self._local(many), number)

    def number(self, number: float, places: int = 0) -> str:
        """Say a number with a decimal point and thousands apart: `1,050` in English, `1 050` elsewhere.

        A comma would be read there as the decimal one; the narrow space is what ISO 80000-1 asks for.
        """
        said = f"{number:,.{places}f}"
        return said if self.code == ENGLISH else said.replace(",", THOUSANDS)

    def _filled(self, said: str, fields: Mapping[str, object]) -> str:
        """Fill in a message; `the {pot}` has no article where a household's own name stands, as in `Thea's pot`."""
        is_english = self.code == ENGLISH
        if is_english and "he {" in said:
            said = _ARTICLE.sub(lambda at: at[0][4:] if _NAMED.match(str(fields[at[1]])) else at[0], said)
        filled = said.format(**fields)
        return _TWO_STOPS.sub(".", filled) if not is_english and ".." in filled else filled

    def _local(self, message: str) -> str:
        """Return a message with the words of the season that are right for this half of the earth."""
        return southern(message) if self.south else message


IN_ENGLISH: Final = Tongue()
"""What faults and the command line are told in, whatever the household's own language is."""


def southern(message: str) -> str:
    """Return a message as it is said in the southern half of the earth, in English."""
    return _NORTHERN.sub(lambda found: _SOUTHERN[found[0]], message)


def mark(message: str, /) -> str:
    """Mark a message for the catalogue where it is written down and said only later, by `Tongue.term`."""
    return message
