"""What is wrong with the notes: where it stands, what it is, and what to write instead."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import lru_cache

from msgspec import Struct

LONGEST_LINE = 600
"""Characters. So much of a message is shown."""
LONGEST_NAME = 80
"""Characters. A longer name is nobody's slip of the pen, and comparing it takes long."""
_UNSEEN = frozenset({"Cc", "Cf", "Cs", "Co", "Zl", "Zp"})


class Unreadable(ValueError):  # noqa: N818 - it says of a value what it is
    """A value that can't be understood; `message` says what it is, `hint` what to write instead, its text both."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__(f"{message}; {hint}")
        self.message = message
        self.hint = hint


class Where(Struct, frozen=True, order=True, array_like=True, gc=False):
    """A place in a file: `line` counts from 1 (0 means the file as a whole), `column` from 0.

    `text` is the line as it stands in the file and `length` the number of characters meant.
    """

    file: str
    line: int = 0
    column: int = 0
    length: int = 1
    text: str = ""


class Problem(Struct, frozen=True, order=True):
    """One thing to mend in the notes, or, as a warning, one to look at."""

    where: Where
    message: str
    hint: str

    def __str__(self) -> str:
        place = self.where
        head = f"{place.file}:{place.line}" if place.line else place.file
        lines = [_harmless(_shortened(f"{head}: {self.message}"))]
        if place.text.strip():
            number = f"{place.line:>5} | "
            shown, column = _excerpt(place.text, place.column)
            length = max(1, min(place.length, len(shown) - column))
            lines += [number + _harmless(shown), " " * (len(number) + column) + "^" * length]
        if self.hint:
            lines.append(_harmless(_shortened(f"      {self.hint}")))
        return "\n".join(lines)


def _harmless(text: str) -> str:
    """Return a text for the terminal: one character for each, none that moves the cursor or turns the line around."""
    return "".join(" " if c == "\t" else "�" if unicodedata.category(c) in _UNSEEN else c for c in text)


def _shortened(line: str) -> str:
    return line if len(line) <= LONGEST_LINE else f"{line[: LONGEST_LINE - 1]}…"


def _excerpt(line: str, column: int) -> tuple[str, int]:
    """Return at most 100 characters of a line that hold the column, and the column within them."""
    if len(line) <= 100:
        return line, column
    first = max(0, min(column - 40, len(line) - 98))
    cut = line[first : first + 98]
    head, tail = ("…" if first else ""), ("…" if first + 98 < len(line) else "")
    return head + cut + tail, column - first + len(head)


class FaultyNotes(Exception):  # noqa: N818 - it names what the reader finds, as the message does
    """Every problem of a run, sorted by file and line."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(set(problems)))
        super().__init__(str(self))

    def __str__(self) -> str:
        return "\n\n".join([*map(str, self.problems), f"{self.count}; nothing was written."])

    @property
    def count(self) -> str:
        """How many problems there are, in how many files."""
        return f"{_counted(len(self.problems), 'problem')} in {_counted(len(self.files), 'file')}"

    @property
    def files(self) -> frozenset[str]:
        """The files that have a problem."""
        return frozenset(problem.where.file for problem in self.problems)


class Findings(Struct, frozen=True, kw_only=True):
    """What a check finds: problems, which stop a build, and warnings, which don't. Each sorted by file and line."""

    problems: tuple[Problem, ...] = ()
    warnings: tuple[Problem, ...] = ()


def refused_by_system(error: OSError) -> str:
    """Say why a file could not be used, in words: which one, and what the system has against it."""
    named = [str(name) for name in (error.filename, error.filename2) if name is not None]
    reason = (error.strerror or "the system refused it").lower()
    return _harmless(f"{' to '.join(named)}: {reason}" if named else f"a file can't be used: {reason}")


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


class Problems:
    """Collects problems, so that one run names them all."""

    def __init__(self) -> None:
        self._found: list[Problem] = []
        self._asked: list[Problem] = []

    def add(self, where: Where, message: str, hint: str = "") -> None:
        """Note one problem."""
        self._found.append(Problem(where, message, hint))

    def add_all(self, problems: Iterable[Problem]) -> None:
        """Note problems that were found before."""
        self._found += problems

    def ask(self, where: Where, message: str, hint: str = "") -> None:
        """Note something that can be read and can hardly be meant: a check asks about it, a build does not mind it."""
        self._asked.append(Problem(where, message, hint))

    def ask_all(self, asked: Iterable[Problem]) -> None:
        """Note what was to be asked about before."""
        self._asked += asked

    @property
    def problems(self) -> tuple[Problem, ...]:
        """The problems noted so far, in the order they were met."""
        return tuple(self._found)

    @property
    def asked(self) -> tuple[Problem, ...]:
        """What is to be asked about, in the order it was met, each once."""
        return tuple(dict.fromkeys(self._asked))

    @property
    def count(self) -> int:
        """How many problems are noted so far."""
        return len(self._found)

    def stop_if_any(self) -> None:
        """Raise `FaultyNotes` when something was found."""
        if self._found:
            raise FaultyNotes(self._found)


@lru_cache(maxsize=8192)
def folded(name: str) -> str:
    """Return a name without capitals, accents, spaces and punctuation, for comparing names."""
    plain = name.lower() if name.isascii() else unicodedata.normalize("NFKD", name).casefold()
    return "".join(filter(str.isalnum, plain))


def name_key(name: str) -> str:
    """Return what a name is found by: folded, or as it stands where it holds neither letter nor digit."""
    return folded(name) or name


_APOSTROPHES = str.maketrans(dict.fromkeys("\u2018\u2019\u02bc\u0060\u00b4\uff07", "'"))
_BETWEEN = re.compile(r"[\s_\-\u2010-\u2015\u2212]+")


@lru_cache(maxsize=8192)
def plainly(text: str) -> str:
    """Return a text as names are looked for in it: without capitals, accents and what nobody sees, however it is coded.

    Spaces, hyphens and underscores of any kind between words are one space, apostrophes of any kind one sign.
    """
    if not text.isascii():
        signs = unicodedata.normalize("NFKD", text.translate(_APOSTROPHES))
        text = "".join(sign for sign in signs if unicodedata.category(sign) not in {"Mn", "Cf"})
    return _BETWEEN.sub(" ", text.translate(_APOSTROPHES).casefold()).strip()


def in_order(name: str) -> tuple[str, str]:
    """Return what names are put in order by: capitals and accents don't count, so that Čačak stands by C."""
    return folded(name), name


_AS_LIKE = 5
"""Of so many names that are much alike the first as listed is meant, if no other is more so."""


def nearest(name: str, known: Iterable[str]) -> str | None:
    """Return the known name most like `name`, the first of those that are as like; None where nothing comes near."""
    if len(name) > LONGEST_NAME:
        return None
    by_folded = {folded(candidate): candidate for candidate in known}
    order = list(by_folded)
    import difflib  # noqa: PLC0415 - most notes have nothing misspelt

    found = difflib.get_close_matches(folded(name), order, n=_AS_LIKE, cutoff=0.75)
    matcher = difflib.SequenceMatcher(b=folded(name))

    def rank(one: str) -> tuple[float, int]:
        matcher.set_seq1(one)
        return -round(matcher.ratio(), 6), order.index(one)

    return by_folded[min(found, key=rank)] if found else None


def or_list(names: Iterable[str]) -> str:
    """Return one name or more as `a, b or c`."""
    *first, last = names
    return f"{', '.join(first)} or {last}" if first else last
