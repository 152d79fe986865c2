"""A remark in words, whatever its kind: each kind's words are registered by the module of its room."""

from __future__ import annotations

from functools import singledispatch

from firmripe.remark import Remark


@singledispatch
def words_of(remark: Remark) -> str:
    """Say a remark in the language spoken.

    Raises:
        TypeError: nobody has given this kind of remark words.
    """
    raise TypeError(f"no words for {type(remark).__name__}")
