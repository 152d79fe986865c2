"""A picture that the household took itself, small and with nothing in it but what it shows."""

from __future__ import annotations

from msgspec import Struct

from firmripe.holding.private import is_private


class Photo(Struct, frozen=True, kw_only=True):
    """A photo of what a note is about, as a JPEG of so many pixels; `alt` says what it shows, and may be empty.

    `name` is made of what it shows alone, so that no page tells what the household calls the file. `private` says that
    it is for the household alone.
    """

    name: str
    alt: str
    private: bool
    width: int
    height: int
    data: bytes

    @property
    def is_open(self) -> bool:
        """Whether everybody may see it."""
        return not self.private and not is_private(self.alt)
