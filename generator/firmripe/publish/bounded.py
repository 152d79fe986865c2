"""What a template of the household may do before it counts as a mistake: so many turns, so much text."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Sized
from string import Formatter
from typing import Final

MOST_WORK: Final = 20_000_000
"""Signs that one page may cost: those written or handled, `A_TURN` for each turn of a loop and `A_CALL` for each call.

The longest page of a household of three hundred trees costs under a twentieth of it (our judgement).
"""
A_TURN: Final = 20
A_CALL: Final = 100
"""Signs that a call of a macro, a function or a filter counts for."""
LONGEST: Final = 2_000_000
"""Signs or things that a single value may have: more than any page."""
LARGEST_NUMBER: Final = 100_000
"""For a width, a count or an indent; as large as the longest range. So long may a text be that is wrapped."""
MOST_FIELDS: Final = 100
"""Fields that a form of text may have: more than any message."""
_WIDTH = re.compile(r"\d{5,}|\*")


class TooMuch(Exception):  # noqa: N818 - it says what was done
    """A template does more than a page can need."""


class Meter:
    """Counts what one page costs. Raises TooMuch at the same place on every computer."""

    def __init__(self) -> None:
        self._spent = 0

    def begin(self) -> None:
        """Begin a page."""
        self._spent = 0

    def turn(self, signs: int = 0) -> None:
        """Count one turn of a loop or a macro that writes at least so many signs."""
        self._spend(A_TURN + signs)

    def value(self, value: object) -> None:
        """Count a value that is made, handled or written."""
        self._spend(size_of(value))

    def metered(self, made: object) -> object:
        """Count a call by what it made; what it makes little by little is counted as it comes."""
        self._spend(A_CALL)
        if isinstance(made, Iterator):
            return self._one_by_one(made)
        self.value(made)
        return made

    def _one_by_one(self, made: Iterator[object]) -> Iterator[object]:
        for one in made:
            self.turn()
            yield one

    def _spend(self, signs: int) -> None:
        self._spent += signs
        if self._spent > MOST_WORK:
            raise TooMuch("the template goes on and on; does a loop or a macro run within itself too often?")


def size_of(value: object) -> int:
    """Return how many signs a value holds, and how many things, one within another. Raises TooMuch above `LONGEST`.

    What a page shows, the plan's own things, counts as one each.
    """
    size, ahead = 0, [value]
    while ahead:
        one = ahead.pop()
        size += len(one) if isinstance(one, str | bytes | range) else 1
        if type(one) is dict:
            ahead += [*one.keys(), *one.values()]
        elif type(one) in {list, tuple, set, frozenset}:
            ahead += one  # type: ignore[arg-type]
        if size + len(ahead) > LONGEST:
            raise TooMuch(f"a value holds more than {LONGEST:,} signs or things")
    return size


def check_product(value: object, given: Collection[object]) -> None:
    """Raise TooMuch where each part of a value may get as much more as is given beside it, and that is huge."""
    length = len(value) if isinstance(value, Sized) else LARGEST_NUMBER
    for one in given:
        times = len(one) if isinstance(one, Sized) else abs(one) if isinstance(one, int) else 1
        if length * max(1, times) > 10 * LONGEST:
            raise TooMuch(f"a value could hold more than {LONGEST:,} signs or things")


def check_operation(sign: str, left: object, right: object) -> None:
    """Raise TooMuch for an operation that would make something huge: a power, a text many times, a wide field."""
    if sign == "**" and not (_small(left, 10**6) and _small(right, 64)):
        raise TooMuch("the power is too large a number")
    if sign == "*":
        for one, other in ((left, right), (right, left)):
            if isinstance(one, int) and isinstance(other, Sized) and size_of(other) * abs(one) > LONGEST:
                raise TooMuch(f"a value would hold more than {LONGEST:,} signs or things")
            if isinstance(one, int) and not isinstance(other, Sized) and abs(one) > 10**30:
                raise TooMuch("the number is too large")
    if sign == "%" and isinstance(left, str | bytes):
        check_form(str(left), [right])


def check_form(text: str, given: Iterable[object]) -> None:
    """Raise TooMuch for a form that makes a field wider than any page, or that says what it is given too often.

    That is one for `%` or for braces; a width within a field that is itself filled in could be any.
    """
    if _WIDTH.search(text) or _has_field_in_field(text):
        raise TooMuch("the field is too wide")
    fields = text.count("%") + text.count("{")
    if fields > MOST_FIELDS:
        raise TooMuch(f"the form has more than {MOST_FIELDS} fields")
    if fields * sum(map(size_of, given)) > 10 * LONGEST:
        raise TooMuch(f"a value could hold more than {LONGEST:,} signs or things")


def _has_field_in_field(text: str) -> bool:
    try:
        return any("{" in (form or "") for _, _, form, _ in Formatter().parse(text))
    except ValueError:  # no form for braces
        return False


def check_wrapped(text: object) -> None:
    """Raise TooMuch for a text that takes long to wrap: a word is taken off it again for each of its lines."""
    if isinstance(text, Sized) and len(text) > LARGEST_NUMBER:
        raise TooMuch(f"a text of more than {LARGEST_NUMBER:,} signs is too long to be wrapped")


def check_given(given: Collection[object]) -> None:
    """Raise TooMuch for a count or a width among the things given to a function that no page needs."""
    for one in given:
        if isinstance(one, int) and not _small(one, LARGEST_NUMBER):
            raise TooMuch(f"{str(one)[:20]} is more than {LARGEST_NUMBER:,}")


def _small(number: object, most: int) -> bool:
    return not isinstance(number, int | float) or abs(number) <= most
