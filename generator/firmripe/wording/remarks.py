"""A remark in words, whatever its kind: each kind's words are registered by the module of its room."""

from __future__ import annotations

from functools import singledispatch

from firmripe.remark import Remark
from firmripe.tongue import Tongue


@singledispatch
def words_of(remark: Remark, _tongue: Tongue) -> str:
    """Say a remark in a language; by exception that comes second, since words are found by the kind of the first.

    Raises:
        TypeError: nobody has given this kind of remark words.
    """
    raise TypeError(f"no words for {type(remark).__name__}")
