"""What keeps a site out of its folder: one that is not ours to write to, or a disk that takes no more."""

from __future__ import annotations


class Refused(Exception):  # noqa: N818 - it says what happened
    """The folder is not ours to write to; the text says why and what to do."""


class Unfinished(OSError):  # noqa: N818 - it says what happened
    """The disk would not take all files of a site that is put one by one; the next build brings that to its end."""
