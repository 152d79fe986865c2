"""Compiled templates, kept while the program runs; those of the shipped themes in files too, as Python keeps code."""

from __future__ import annotations

import hashlib
import importlib.util
import marshal
import os
import sys
from contextlib import suppress
from functools import cache
from pathlib import Path
from types import CodeType
from typing import Final

import jinja2
from jinja2.bccache import Bucket

from firmripe.caching import mark_of

MOST_KEPT: Final = 300
"""Compiled templates that are kept in memory: all that ship, and what a household changes while it looks."""
_MAKERS: Final = ("sandbox.py", "generating.py", "bounded.py", "theming.py", "compiled.py")
"""Our modules that say how templates are compiled."""


class Compiled(jinja2.BytecodeCache):
    """Templates that were compiled, by name and text: the same text makes the same code.

    With `is_kept` the code is also kept in files, beside that which Python keeps of this module, unless Python is told
    to write none. A file begins with a mark of what made its code (see `made_by`), of the template's text and of the
    code itself; where one of these is another the template is compiled again.
    """

    def __init__(self, *, is_kept: bool) -> None:
        self._is_kept = is_kept
        self._code: dict[tuple[str, str], CodeType] = {}

    def get_cache_key(self, name: str, filename: str | None = None) -> str:
        """Return a template's file and its name, by which it looks for others: one file has two where it stands in."""
        return f"{filename}+{name}"

    def load_bytecode(self, bucket: Bucket) -> None:
        """Put what is kept of a template into its bucket, if anything is."""
        key = bucket.key, bucket.checksum
        if key not in self._code and (code := self._read(bucket)) is not None:
            self._code[key] = code
        bucket.code = self._code.get(key)

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep what a template was compiled to."""
        while len(self._code) >= MOST_KEPT:
            del self._code[next(iter(self._code))]
        if bucket.code is not None:
            self._code[bucket.key, bucket.checksum] = bucket.code
            self._write(bucket, bucket.code)

    def _path(self, bucket: Bucket) -> Path | None:
        """Return where a template's code is kept; None for one that isn't."""
        if not self._is_kept or made_by() is None:
            return None
        return Path(importlib.util.cache_from_source(str(Path(__file__).with_name(bucket.key.replace("/", "-")))))

    def _read(self, bucket: Bucket) -> CodeType | None:
        path = self._path(bucket)
        if path is None:
            return None
        with suppress(OSError):
            head, _, code = path.read_bytes().partition(b"\n")
            if head == _head(bucket, code):
                found: CodeType = marshal.loads(code)  # noqa: S302 - our own, and whole, as Python's own files are
                return found
        return None

    def _write(self, bucket: Bucket, code: CodeType) -> None:
        path = self._path(bucket)
        if path is None or sys.dont_write_bytecode:
            return
        with suppress(OSError):  # where nobody may write, the next run compiles again
            path.parent.mkdir(parents=True, exist_ok=True)
            draft = path.with_name(f"{path.name}.{os.getpid()}")
            data = marshal.dumps(code)
            draft.write_bytes(_head(bucket, data) + b"\n" + data)
            draft.replace(path)


def _head(bucket: Bucket, code: bytes) -> bytes:
    return f"{made_by()} {bucket.checksum} {hashlib.sha256(code).hexdigest()}".encode("ascii")


@cache
def made_by() -> str | None:
    """Return a mark of all that makes code of a text: Python, the template library, and our settings of it.

    None where our own source isn't there to tell.
    """
    own = [Path(__file__).with_name(name) for name in _MAKERS]
    mark = mark_of(own, importlib.util.MAGIC_NUMBER.hex(), f"jinja2 {jinja2.__version__}")
    return None if mark is None else mark.hex()
