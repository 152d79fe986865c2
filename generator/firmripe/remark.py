"""What a room remarks: why a day is as it is, what to mind, what is lacking; facts, no words."""

from __future__ import annotations


class Remark:
    """One remark, of typed parts: days, figures, trees, whom it is about.

    Each kind is a frozen struct, or one of an enumeration, in the room that makes it. It is put into words by `wording`
    alone, for a language and for a reader, so nothing below compares, cuts or searches a sentence.
    """

    __slots__ = ()

    def __str__(self) -> str:
        """Refuse to be printed: no page or feed shows a remark that nobody put into words."""
        raise TypeError(f"{type(self).__name__} is said by words_of")
