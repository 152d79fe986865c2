"""A language as facts: as one household uses it, and which words of the code are among its messages."""

from __future__ import annotations

from dataclasses import dataclass, field
from gettext import NullTranslations
from typing import Final

ENGLISH: Final = "en"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tongue:
    """A language as one household uses it.

    `code` is the language's two letters (ISO 639-1), `translations` its catalogue, the names of months begin with
    January and those of days with Monday. `month_first` says `Aug 28`, `south` that the place lies in the southern
    half of the earth, where some words of the season are others, `metric` that metric units come first.
    """

    code: str = ENGLISH
    translations: NullTranslations = field(default_factory=NullTranslations, compare=False)
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


def mark(message: str, /) -> str:
    """Mark a message for the catalogue where it is written down and said only later, by `term`."""
    return message
