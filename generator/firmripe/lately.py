"""What was made last, found again by the content of what it was made of: never by a name or a time."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

Of = TypeVar("Of")
Made = TypeVar("Made")


class Lately(Generic[Of, Made]):
    """Keeps the last `most` things that were made, each with what it was made of, while the program runs.

    What is made must hang on nothing but what it is made of, and neither may be changed afterwards. Nothing is kept of
    what is made of something else, however little differs.
    """

    def __init__(self, most: int = 1) -> None:
        self._most = most
        self._kept: tuple[tuple[Of, Made], ...] = ()

    def made_of(self, of: Of, make: Callable[[], Made], *, keep: Callable[[Made], bool] = lambda _: True) -> Made:
        """Return what was made of an equal thing, or what is made now; that is kept if `keep` says so."""
        for other, made in self._kept:
            if other == of:
                return made
        made = make()
        if keep(made):
            self._kept = ((of, made), *self._kept)[: self._most]
        return made
