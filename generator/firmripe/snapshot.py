"""Values of ours as plain data and back: every part once, so that what was shared is shared again.

Frozen nouns of this program, its enumerations and the plain values of Python are written, and nothing else. Names in
what is read lead to classes of this package alone, and no code is in it.
"""

from __future__ import annotations

import gettext
import importlib
import inspect
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import UTC, date, datetime, time, timedelta
from enum import Enum
from fractions import Fraction
from itertools import chain
from operator import attrgetter
from typing import Any, Final, TypeVar

from msgspec import Struct, msgpack

_PACKAGE: Final = f"{__name__.partition('.')[0]}."
_LARGE: Final = 1 << 63
"""Whole numbers from here on are written as text: plain data has none that are larger."""
_Atom = str | int | float | bool | None
Moment = TypeVar("Moment", datetime, time)
_Maker = Callable[[list[Any]], object]


class NotPlain(TypeError):  # noqa: N818 - it says of a value what it is
    """A value has a part that plain data can't hold, or data holds no value of ours."""


class _Written(Struct, frozen=True, array_like=True):
    """Kinds of parts by name, atoms, bytes, for each part its kind and what it is made of, and which is the value.

    What a part is made of is told by numbers: from 0 on they are parts, in their order, below 0 atoms, from -1 down.
    """

    kinds: list[str]
    atoms: list[_Atom]
    blobs: list[bytes]
    parts: list[list[int]]
    value: int


_decoder: Final = msgpack.Decoder(_Written)


class Snapshot:
    """Writes one value after another, each part once, and reads what was written after the same ones.

    What was read is known as what was written is: the next value is of the same parts.
    """

    def __init__(self) -> None:
        self._writers: dict[type, tuple[int, Callable[[Any], Iterable[object]]]] = {}
        self._kinds: list[str] = []
        self._atoms: list[_Atom] = [None, False, True]
        self._blobs: list[bytes] = []
        self._by_value: dict[tuple[type, object], int] = {(type(None), None): -1, (bool, False): -2, (bool, True): -3}
        self._by_part: dict[int, int] = {}
        self._parts: list[object] = []
        self._rows: list[list[int]] = []
        self._is_first = True

    def copy(self) -> Snapshot:
        """Return another to which the same is known and that goes on by itself."""
        other = Snapshot()
        other._writers, other._kinds = dict(self._writers), list(self._kinds)
        other._atoms, other._blobs = list(self._atoms), list(self._blobs)
        other._by_value, other._by_part = dict(self._by_value), dict(self._by_part)
        other._parts, other._is_first = list(self._parts), self._is_first
        return other

    def written(self, value: object) -> bytes:
        """Return a value as plain data, without what was written before. Raises NotPlain.

        The first may hold what can't be made of plain data (catalogues and arrays): it must be there to read the next.
        """
        self._rows, atoms, blobs = [], len(self._atoms), len(self._blobs)
        number = self._number(value)
        if self._is_first:
            self._is_first = False
            closed = {*_CLOSED.values()}
            self._writers = {kind: writer for kind, writer in self._writers.items() if writer[1] not in closed}
        new = self._atoms[atoms:], self._blobs[blobs:], self._rows
        return msgpack.encode(_Written(self._kinds, *new, number))

    def read(self, data: bytes) -> Any:  # noqa: ANN401 - whatever was written
        """Return the value that was written next. Raises NotPlain."""
        try:
            found = self._decoded(data)
            blobs = [*self._blobs, *found.blobs]
            makers = [(lambda of: blobs[of[0]]) if kind == "bytes" else _maker_of(kind) for kind in found.kinds]
            atoms = [*self._atoms, *found.atoms]
            known = len(self._parts)
            table: list[Any] = [*self._parts, *[None] * len(found.parts), *reversed(atoms)]
            for at, row in enumerate(found.parts, known):
                table[at] = makers[row[0]]([table[number] for number in row[1:]])
            value = table[found.value]
        except Exception as error:  # whatever ails the data, it holds nothing of ours
            raise NotPlain(str(error)) from error
        self._take(found, table[known : known + len(found.parts)])
        return value

    def _decoded(self, data: bytes) -> _Written:
        found = _decoder.decode(data)
        if found.kinds[: len(self._kinds)] != self._kinds:
            raise NotPlain("what was written after other values")
        return found

    def _take(self, found: _Written, parts: Sequence[object]) -> None:
        """Know the parts that were read by the numbers that they were written with."""
        for number, part in enumerate(parts, len(self._parts)):
            if type(part) in _BY_VALUE:
                self._by_value[type(part), part] = number
            else:
                self._by_part[id(part)] = number
        for number, atom in enumerate(found.atoms, len(self._atoms) + 1):
            if type(atom) is not float:
                self._by_value[type(atom), atom] = -number
        self._parts += parts
        self._atoms += found.atoms
        self._blobs += found.blobs
        self._kinds = found.kinds
        self._is_first = False

    def _number(self, value: Any) -> int:  # noqa: ANN401 - whatever is written
        kind = type(value)
        if kind in _BY_VALUE:
            number = self._by_value.get((kind, value))
            return self._of_value(kind, value) if number is None else number
        if kind is float:
            self._atoms.append(value)
            return -len(self._atoms)
        number = self._by_part.get(id(value))
        if number is None:
            writer = self._writers.get(kind) or self._writer_of(kind)
            number = self._part(value, writer[0], writer[1](value))
            self._by_part[id(value)] = number
        return number

    def _part(self, value: object, kind: int, made_of: Iterable[object]) -> int:
        row, by_value, by_part = [kind], self._by_value, self._by_part
        for one in made_of:
            of = type(one)
            number = by_value.get((of, one)) if of in _BY_VALUE else by_part.get(id(one))
            row.append(self._number(one) if number is None else number)
        self._rows.append(row)
        self._parts.append(value)
        return len(self._parts) - 1

    def _of_value(self, kind: type, value: Any) -> int:  # noqa: ANN401 - whatever is written
        """Return the number of an atom, or of a small value that is written once however many equal ones there are."""
        if kind is str or (kind is int and -_LARGE <= value < _LARGE):
            self._atoms.append(value)
            number = -len(self._atoms)
        else:
            writer = self._writers.get(kind) or self._writer_of(kind)
            number = self._part(value, writer[0], writer[1](value) if kind is not bytes else (self._blob(value),))
        self._by_value[kind, value] = number
        return number

    def _blob(self, data: bytes) -> int:
        self._blobs.append(data)
        return len(self._blobs) - 1

    def _writer_of(self, kind: type) -> tuple[int, Callable[[Any], Iterable[object]]]:
        """Return the number of a kind, and what says of what its values are made. Raises NotPlain."""
        write = _WRITERS.get(kind)
        name = kind.__name__
        if write is None and kind.__module__.startswith(_PACKAGE) and "<" not in kind.__qualname__:
            name = f"{kind.__module__}:{kind.__qualname__}"
            write = _writer_of_noun(kind)
        elif write is None and self._is_first:
            write = _CLOSED.get(f"{kind.__module__}.{name}")
        if write is None:
            raise NotPlain(f"{kind.__module__}.{kind.__qualname__}")
        if name not in self._kinds:  # else it was met in what was read
            self._kinds.append(name)
        self._writers[kind] = found = self._kinds.index(name), write
        return found


def _writer_of_noun(kind: type) -> Callable[[Any], Iterable[object]] | None:
    if issubclass(kind, Enum):
        return _name
    if issubclass(kind, tuple):  # one with names
        return _WRITERS[tuple]
    return _fields_of(kind) if issubclass(kind, Struct) else None


def _name(member: Enum) -> tuple[str]:
    return (member.name,)


def _fields_of(kind: type[Struct]) -> Callable[[Any], Iterable[object]]:
    names = kind.__struct_fields__
    if len(names) > 1:
        return attrgetter(*names)
    return lambda value: tuple(getattr(value, name) for name in names)


def _in_order(found: frozenset[object]) -> Iterable[object]:
    return found if len(found) < 2 else sorted(found, key=repr)


def _words(catalogue: gettext.NullTranslations) -> Iterable[object]:
    return (repr(sorted(map(repr, getattr(catalogue, "_catalog", {}).items()))),)


def _on_the_wall(moment: Moment) -> Moment:
    """Return a moment as it is, where it is of no other zone than the world's. Raises NotPlain."""
    if moment.tzinfo not in {None, UTC}:
        raise NotPlain("a moment of a zone")
    return moment


_BY_VALUE: Final = frozenset({str, int, bool, bytes, type(None), date, timedelta, Fraction})
_WRITERS: Final[Mapping[type, Callable[[Any], Iterable[object]]]] = {
    int: lambda large: (str(large),),
    bytes: lambda data: (data,),
    date: lambda day: (day.toordinal(),),
    datetime: lambda moment: (_on_the_wall(moment).isoformat(), moment.fold),
    time: lambda hour: (_on_the_wall(hour).isoformat(), hour.fold),
    timedelta: lambda span: (span.days, span.seconds, span.microseconds),
    Fraction: lambda part: (part.numerator, part.denominator),
    tuple: lambda items: items,
    list: lambda items: items,
    frozenset: _in_order,
    dict: lambda table: chain.from_iterable(table.items()),
}
_CLOSED: Final[Mapping[str, Callable[[Any], Iterable[object]]]] = {
    "gettext.NullTranslations": _words,
    "gettext.GNUTranslations": _words,
    "numpy.ndarray": lambda array: (array.dtype.str, array.shape, array.tobytes()),
}
"""What is written so that another is known from it, and never read."""
_MAKERS: Final[Mapping[str, _Maker]] = {
    "int": lambda of: int(of[0]),
    "date": lambda of: date.fromordinal(of[0]),
    "datetime": lambda of: datetime.fromisoformat(of[0]).replace(fold=of[1]),
    "time": lambda of: time.fromisoformat(of[0]).replace(fold=of[1]),
    "timedelta": lambda of: timedelta(*of),
    "Fraction": lambda of: Fraction(*of),
    "tuple": tuple,
    "list": list,
    "frozenset": frozenset,
    "dict": lambda of: dict(zip(of[::2], of[1::2], strict=True)),
}


def _maker_of(kind: str) -> _Maker:
    """Return what makes values of a kind. Raises NotPlain for what is no noun of ours."""
    if kind in _MAKERS:
        return _MAKERS[kind]
    module, _, name = kind.partition(":")
    if not module.startswith(_PACKAGE) or not name:
        return _never
    try:
        found: Any = importlib.import_module(module)
        for part in name.split("."):
            found = vars(found)[part]
    except (ImportError, KeyError, TypeError) as error:
        raise NotPlain(kind) from error
    if isinstance(found, type) and issubclass(found, Enum):
        return lambda of: found[of[0]]
    if isinstance(found, type) and issubclass(found, tuple):
        return lambda of: found(*of)
    if isinstance(found, type) and issubclass(found, Struct):
        return _struct_maker(found)
    raise NotPlain(kind)


def _struct_maker(kind: type[Struct]) -> _Maker:
    names = kind.__struct_fields__
    by_name = any(one.kind is one.KEYWORD_ONLY for one in inspect.signature(kind).parameters.values())

    def made(of: list[Any]) -> object:
        if len(of) != len(names):
            raise NotPlain(kind.__qualname__)
        return kind(**dict(zip(names, of, strict=True))) if by_name else kind(*of)

    return made


def _never(_: list[Any]) -> object:
    raise NotPlain("what can't be made of plain data")
