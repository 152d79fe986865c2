"""Make generator/notes/outside.md: every check against a value from outside, with its source and where it stands.

    python generator/outside.py

A check is a row of a table of expected values whose source stands in a remark above it, an assertion right below such
a remark, or a row of a file in tests/data that tests/data/SOURCES.md names. What has no such source is not counted.
Run it after such a value is added; tests/test_outside_values.py compares.
"""

from __future__ import annotations

import ast
import io
import re
import tokenize
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PAGE = ROOT / "generator" / "notes" / "outside.md"
OUTSIDE = "tests/outside"
DATA = "tests/data"
LONGEST = 110
"""Characters of a value that are shown."""
OWN_TABLES = frozenset({"pick_windows_2026_11.csv"})
"""Files of data that were made from the shelf itself: nothing is held against an outside value by them."""
HOW = (
    ("D", r"worked out|derived|adds? up|conversion"),
    ("R2", r"relayed|repost|as told by|copy of"),
    ("M", r"from memory"),
    ("R", r""),
)
"""How a value is known, by the words of its remark; the first that fits. Without such words it is taken as printed."""
PUBLISHERS = re.compile(r"\bRFC \d|\bAIB\b|\bUSDA\b|\bUniversity\b|\bExtension\b")
"""What makes a remark of any test a source."""
NAMED_OUTSIDE = re.compile(
    rf"{PUBLISHERS.pattern}|\b(?:1[89]|20)\d\d\b|\bNOAA\b|\bAPAL\b|\b[Ww]orked out\b|\bPrinted by\b|\blibrary\b"
)
"""The same in tests/outside, where remarks above whole tests and single assertions are looked at."""
WITHIN = re.compile(r"[A-Z\"“]")
"""How a source begins within a table of tests/outside; what begins with a number or a sign explains the row below."""
HEAD = """# Checks against values from outside

Made by `python generator/outside.py` from the remarks above expected values.
None holds the program against its own output; what has no source in a remark is not counted.
Each row of a published table counts once: **{count} checks** in {modules} modules.

Marks go by the words of the remark: D worked out apart from this code, R2 relayed, M from memory, R all else.
{marks}
"""


@dataclass(frozen=True, slots=True)
class Check:
    """One value from outside: the module and test that hold it, the source above it, and the value as written."""

    module: str
    test: str
    source: str
    value: str
    count: int = 1

    @property
    def mark(self) -> str:
        """How the value is known."""
        return next(mark for mark, words in HOW if re.search(words, self.source, re.IGNORECASE))


def checks() -> list[Check]:
    """Return every check, by module and line."""
    found: list[Check] = []
    for path in sorted((ROOT / "tests").rglob("test_*.py")):
        found += _Module(path).checks()
    return found


class _Module:
    """A test module: its tree, and its remarks by the line they end on."""

    def __init__(self, path: Path) -> None:
        self._name = path.relative_to(ROOT).as_posix()
        text = path.read_text(encoding="utf-8")
        self._tree = ast.parse(text)
        self._remarks = _remarks(text)
        self._is_outside = self._name.startswith(OUTSIDE)
        self._tables = {
            target.id: node.value
            for node in self._tree.body
            if isinstance(node, ast.Assign)
            for target in node.targets
            if isinstance(target, ast.Name)
        }

    def checks(self) -> list[Check]:
        found: list[Check] = []
        for node in ast.walk(self._tree):
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
                found += self._of_test(node)
        return found

    def _of_test(self, test: ast.FunctionDef) -> Iterator[Check]:
        tables = [
            decorator.args[1]
            for decorator in test.decorator_list
            if isinstance(decorator, ast.Call)
            and ast.unparse(decorator.func).endswith("parametrize")
            and len(decorator.args) > 1
        ]
        above = self._above(min((d.lineno for d in test.decorator_list), default=test.lineno), 3)
        for given in tables:
            name = next((n.id for n in ast.walk(given) if isinstance(n, ast.Name) and n.id in self._tables), "")
            table = self._tables.get(name, given)
            yield from self._rows(test.name, table, above)
            for file in re.findall(r"[a-z_0-9]+\.csv", ast.unparse(table)):
                yield from self._of_file(test.name, file)
        yield from self._assertions(test)

    def _rows(self, test: str, table: ast.expr, above: str) -> Iterator[Check]:
        source, since = above if self._is_source(above) else "", table.lineno
        for value in _elements(table):
            for line in range(since, value.lineno):
                remark = self._remarks.get(line, "")
                if (self._is_outside and WITHIN.match(remark)) or self._is_source(remark):
                    source = _follow(source, remark)
            since = value.lineno
            if source:
                yield Check(self._name, test, source, _short(ast.unparse(value)))

    def _of_file(self, test: str, file: str) -> Iterator[Check]:
        said = re.search(
            rf"^\| `{re.escape(file)}` \| ([\d,]+) \| .+? \| (.+?) \|",
            (ROOT / DATA / "SOURCES.md").read_text(encoding="utf-8"),
            re.MULTILINE,
        )
        if said is not None and file not in OWN_TABLES:
            count = int(said[1].replace(",", ""))
            yield Check(self._name, test, said[2], f"{count} rows of {DATA}/{file}", count)

    def _assertions(self, test: ast.FunctionDef) -> Iterator[Check]:
        for node in ast.walk(test):
            if isinstance(node, ast.Assert):
                source = self._above(node.lineno)
                if self._is_source(source):
                    yield Check(self._name, test.name, source, _short(ast.unparse(node.test)))

    def _above(self, line: int, blank: int = 1) -> str:
        """Return the remark above a line, no more than so many lines up, if nothing but empty lines is between."""
        near = (self._remarks[line - up] for up in range(1, blank + 1) if line - up in self._remarks)
        return next(near, "")

    def _is_source(self, remark: str) -> bool:
        return (NAMED_OUTSIDE if self._is_outside else PUBLISHERS).search(remark) is not None


def _remarks(text: str) -> dict[int, str]:
    """Return remarks that stand on lines of their own, each by its last line; lines below each other are one."""
    found: dict[int, str] = {}
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        line, column = token.start
        if token.type == tokenize.COMMENT and not token.line[:column].strip():
            found[line] = f"{found.pop(line - 1, '')} {token.string.lstrip('# ')}".strip()
    return found


def _follow(source: str, remark: str) -> str:
    """Return the source of what comes below a remark; one that says "the same" goes on from the source before it."""
    if re.match(r"The same\b", remark) and source:
        return f"{source.partition(' | ')[0].rstrip('.')} | {remark}"
    return remark or source


def _elements(table: ast.expr) -> list[ast.expr]:
    """Return the rows of a table; a number alone says how a test is run and not what it should give."""
    if isinstance(table, ast.Dict):
        return [key for key in table.keys if key is not None]
    if isinstance(table, ast.List | ast.Tuple):
        return [one for one in table.elts if not (isinstance(one, ast.Constant) and isinstance(one.value, int))]
    return []


def _short(value: str) -> str:
    text = " ".join(value.split())
    return text if len(text) <= LONGEST else f"{text[:LONGEST]}…"


def page(found: list[Check]) -> str:
    """Return the page: a chapter for each module, below it each source with its values and the test that holds them."""
    modules = list(dict.fromkeys(check.module for check in found))
    marks = ", ".join(f"{mark} {sum(c.count for c in found if c.mark == mark)}" for mark, _ in reversed(HOW))
    chapters = [
        HEAD.format(count=sum(check.count for check in found), modules=len(modules), marks=f"So many of each: {marks}.")
    ]
    for module in modules:
        mine = [check for check in found if check.module == module]
        rows = [f"| {_cell(c.source)} | {c.mark} | `{_cell(c.value)}` | `{c.test}` |" for c in mine]
        title = f"## `{module}`: {sum(check.count for check in mine)}"
        chapters.append("\n".join([title, "", "| source | mark | value | test |", "|---|---|---|---|", *rows, ""]))
    return "\n".join(chapters)


def _cell(text: str) -> str:
    return text.replace("|", "\\|").replace("`", "'")


if __name__ == "__main__":
    PAGE.write_text(page(checks()), encoding="utf-8")
