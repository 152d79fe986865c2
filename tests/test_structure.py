"""The shape of the code: imports run one way, and the middle touches neither files nor clock."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path

import pytest
from conftest import ROOT, script

PACKAGE = ROOT / "generator" / "firmripe"

LAYERS = (
    ("problems", "tongue", "remark", "lately", "caching", "snapshot"),
    ("past_runs",),
    ("days", "units"),
    ("holding",),
    ("season",),
    ("harvest",),
    ("kitchen",),
    ("calendar",),
    ("plan",),
    ("words",),
    ("wording",),
    ("reading",),
    ("publish",),
    ("shipped", "doubts"),
    ("gathering",),
    ("build", "reports", "starting", "progress", "shelving", "spreading"),
    ("preview", "new_year", "many"),
    ("cli",),
    ("__main__",),
)
"""From the ground up: a module imports from its own package or from a layer below, never from beside or above."""

PURE = (
    "problems",
    "tongue",
    "days",
    "units",
    "words",
    "holding",
    "season",
    "harvest",
    "kitchen",
    "calendar",
    "plan",
    "remark",
    "lately",
    "wording",
    "doubts",
)
"""What holds no file, clock or network."""

WORDLESS = ("holding", "season", "harvest", "kitchen", "calendar", "plan")
"""Rooms that answer in facts: their remarks are put into words by `wording`."""

WITHIN = {
    "kitchen/tables": ("tables",),
    "kitchen/fit": ("fit",),
    "kitchen/admitting.py": ("tables",),
    "kitchen/pantry.py": (),
}
"""What a part of a room may import of its own room; `kitchen/plan` stands above all of it."""

PUBLISH = (
    ("views", "slugs", "characters", "codes", "markdown", "qr_codes", "signs", "own_words", "verdict_words"),
    ("paths", "contents", "hazards", "job_amounts", "hidden", "audience", "ledger", "what_if"),
    ("feeds",),
    ("pages",),
    ("bounded", "generating", "sandbox", "compiled", "theming", "rendered", "offline", "tables"),
    ("site",),
    ("refusing", "exchange", "locking", "manifest", "disk", "in_place", "ledger_file", "folder"),
)
"""The order of what publishes, from the ground up: words, where pages lie and for whom, feeds, pages, files, a folder.

A module imports from its own line or from one below it.
"""

FORBIDDEN_IN_PURE = frozenset(
    {"pathlib", "os", "io", "time", "random", "urllib", "yaml", "jinja2", "icalendar", "markdown", "click", "shutil"}
)
ONLY_IN = {
    "yaml": {"reading/frontmatter.py"},
    "jinja2": {"publish/theming.py", "publish/sandbox.py", "publish/generating.py", "publish/compiled.py"},
    "highspy": {"kitchen/fit/highs.py"},
    "icalendar": {"publish/feeds/components.py"},
    "markdown": {"publish/markdown.py"},
    "nh3": {"publish/markdown.py"},
    "segno": {"publish/qr_codes.py"},
    "babel": {"reading/languages.py"},
    "click": {"cli.py"},
    "watchfiles": {"preview.py"},
    "http": {"preview.py"},
    "ctypes": {"publish/exchange.py"},
    "distributed": {"spreading.py"},
    "csv": {
        "reading/headings.py",
        "reading/lines.py",
        "reading/place_rows.py",
        "reading/records.py",
        "reading/weather.py",
        "publish/tables.py",
    },
}
MODULES = sorted(PACKAGE.rglob("*.py"))
NOTES = sorted(path.name for path in (ROOT / "generator" / "notes").glob("*.md"))


@cache
def imports_of(path: Path) -> frozenset[str]:
    """Return all modules that a file imports, wherever in it the import stands."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {name.name for name in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative imports hide what is imported"
            found |= {_imported(node.module or "", name.name) for name in node.names}
    return frozenset(found)


def _imported(module: str, name: str) -> str:
    """Return the module that a name comes from: of ours the name itself, where it is a module or a room."""
    path = PACKAGE.parent.joinpath(*module.split("."), name)
    return f"{module}.{name}" if path.is_dir() or path.with_suffix(".py").exists() else module


def room_of(module: str) -> str:
    """Return the room (package or single module) that a module of ours lies in."""
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else ""


def layer_of(room: str) -> int:
    """Return how high a room lies."""
    return next(level for level, rooms in enumerate(LAYERS) if room in rooms)


@pytest.mark.parametrize("path", MODULES, ids=lambda p: p.relative_to(PACKAGE).as_posix())
def test_imports_run_one_way(path: Path) -> None:
    """A module imports only from its own room or from a lower layer, inside functions and for typing too."""
    own = path.relative_to(PACKAGE).parts[0].removesuffix(".py")
    if own == "__init__":
        assert not imports_of(path)
        return
    for module in imports_of(path):
        room = room_of(module) if module.startswith("firmripe") else ""
        if room and room != own:
            assert layer_of(room) < layer_of(own), f"{own} imports {module}"


@pytest.mark.parametrize(("part", "below"), WITHIN.items())
def test_the_parts_of_a_room_import_one_way(part: str, below: tuple[str, ...]) -> None:
    """What is looked up and what is fitted know nothing of the plan, nor of each other."""
    room = f"firmripe.{part.partition('/')[0]}."
    paths = [path for path in MODULES if path.relative_to(PACKAGE).as_posix().startswith(part)]
    used = {module.removeprefix(room) for path in paths for module in imports_of(path) if module.startswith(room)}

    assert paths
    assert {module.partition(".")[0] for module in used} <= set(below)


@pytest.mark.parametrize(
    "path",
    [path for path in MODULES if "publish" in path.parts and path.stem != "__init__"],
    ids=lambda p: p.relative_to(PACKAGE).as_posix(),
)
def test_what_publishes_imports_in_its_order(path: Path) -> None:
    """Feeds know nothing of pages, makers of pages nothing of themes, and neither of the folder that is written."""

    def height(part: str) -> int:
        return next(height for height, parts in enumerate(PUBLISH) if part in parts)

    own = height(path.relative_to(PACKAGE / "publish").parts[0].removesuffix(".py"))
    used = [module.split(".")[2] for module in imports_of(path) if module.startswith("firmripe.publish")]

    assert all(height(name) <= own for name in used)


@pytest.mark.parametrize("path", MODULES, ids=lambda p: p.relative_to(PACKAGE).as_posix())
def test_no_two_modules_of_a_room_import_each_other(path: Path) -> None:
    """Within a room, too, imports make no ring."""
    start = "firmripe." + ".".join(path.relative_to(PACKAGE).with_suffix("").parts)
    assert start not in led_to(start), f"{start} leads back to itself"


PAGE_MAKERS = frozenset(
    (
        *(f"firmripe.publish.{name}" for name in ("site", "theming")),
        *(f"firmripe.publish.pages.{path.stem}" for path in (PACKAGE / "publish" / "pages").glob("[a-z]*.py")),
    )
)
"""What makes pages of a plan, or writes them by a theme."""


def led_to(start: str) -> set[str]:
    """Return all modules of ours that a module imports, itself or by others."""
    seen: set[str] = set()
    ahead = [start]
    while ahead:
        file = PACKAGE.parent / (ahead.pop().replace(".", "/") + ".py")
        found = {module for module in (imports_of(file) if file.exists() else ()) if module.startswith("firmripe.")}
        ahead += found - seen
        seen |= found
    return seen


@pytest.mark.parametrize("path", sorted((PACKAGE / "publish" / "feeds").glob("*.py")), ids=lambda p: p.stem)
def test_feeds_are_made_without_pages(path: Path) -> None:
    """A feed is made of the plan alone: neither itself nor by others does it lead to what makes pages."""
    assert not led_to(f"firmripe.publish.feeds.{path.stem}") & PAGE_MAKERS


def test_what_makes_pages_is_there_to_be_led_to() -> None:
    """The modules that feeds keep away from are those by which the site is made."""
    assert led_to("firmripe.publish.site") >= PAGE_MAKERS - {"firmripe.publish.site"}


@pytest.mark.parametrize(
    "path",
    [p for p in MODULES if p.relative_to(PACKAGE).parts[0].removesuffix(".py") in PURE],
    ids=lambda p: p.relative_to(PACKAGE).as_posix(),
)
def test_the_middle_touches_neither_files_nor_clock(path: Path) -> None:
    """The pure rooms import nothing that reads, writes, waits or draws lots, and never ask for today."""
    text = path.read_text(encoding="utf-8")

    assert not {module.split(".")[0] for module in imports_of(path)} & FORBIDDEN_IN_PURE
    assert ".today()" not in text
    assert ".now(" not in text


@pytest.mark.parametrize(
    "path",
    [p for p in MODULES if p.relative_to(PACKAGE).parts[0].removesuffix(".py") in WORDLESS],
    ids=lambda p: p.relative_to(PACKAGE).as_posix(),
)
def test_a_room_of_facts_makes_no_words(path: Path) -> None:
    """Nothing in it says a message, nor a day or a span, so no sentence is compared, cut or searched there."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    called = {
        node.func.attr for node in ast.walk(tree) if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
    }

    assert not imports_of(path) & {"firmripe.words"}
    assert not called & {"say", "plural", "term", "form"}


def test_the_language_is_handed_down_as_a_value() -> None:
    """Nothing is set for those who are called later, but which folders this run has locked already."""
    users = [path.relative_to(PACKAGE).as_posix() for path in MODULES if "contextvars" in imports_of(path)]

    assert users == ["publish/locking.py"]


@pytest.mark.parametrize(("package", "files"), ONLY_IN.items())
def test_a_library_is_met_in_one_place(package: str, files: set[str]) -> None:
    """Each library of the edges is imported only by the module that stands between it and us."""
    users = {
        path.relative_to(PACKAGE).as_posix()
        for path in MODULES
        if package in {module.split(".")[0] for module in imports_of(path)}
    }

    assert users <= files


def test_only_the_command_line_asks_for_today() -> None:
    """Today's date is asked for once, on the command line."""
    askers = [path.name for path in MODULES if ".today()" in path.read_text(encoding="utf-8")]

    assert askers == ["cli.py"]


LONGEST = 39
"""The most lines of a function under its docstring. The ways through it are counted by the linter (ten at most)."""


def _functions(tree: ast.AST, within: str = "") -> Iterator[tuple[str, ast.FunctionDef]]:
    """Yield all functions of a module by their names, those in classes and functions too."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.FunctionDef):
            yield f"{within}{node.name}", node
        name = f"{within}{node.name}." if isinstance(node, (ast.FunctionDef, ast.ClassDef)) else within
        yield from _functions(node, name)


def _lines(function: ast.FunctionDef, text: Sequence[str]) -> int:
    """Count the lines of a function under its docstring, without empty ones."""
    has_docstring = ast.get_docstring(function) is not None
    first = function.body[0]
    start = first.end_lineno if has_docstring else first.lineno - 1
    return sum(1 for line in text[start : function.end_lineno] if line.strip())


def test_functions_are_short() -> None:
    """No function has more lines under its docstring than one sees at once, and none is kept from being counted."""
    longer = {}
    for path in MODULES:
        text = path.read_text(encoding="utf-8")
        for name, function in _functions(ast.parse(text)):
            if (lines := _lines(function, text.splitlines())) > LONGEST:
                longer[f"{path.relative_to(PACKAGE).as_posix()}:{name}"] = lines
        assert "C901" not in text, f"{path}: split it rather than keep the linter from counting"

    assert longer == {}


SAY_NOTHING = frozenset({"told", "found", "said", "here", "one", "it", "do", "handle"})
"""Words that tell nobody what a public function is for."""


def test_public_functions_have_names_that_tell() -> None:
    """A function that others call is named for what it returns or does."""
    named = [
        f"{path.relative_to(PACKAGE).as_posix()}:{name}"
        for path in MODULES
        for name, _ in _functions(ast.parse(path.read_text(encoding="utf-8")))
        if not any(part.startswith("_") for part in name.split(".")) and name.split(".")[-1] in SAY_NOTHING
    ]

    assert named == []


def test_no_two_public_classes_have_one_name() -> None:
    """One word for one idea: a class that others import has a name of its own in the whole package."""
    classes: dict[str, list[str]] = {}
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                classes.setdefault(node.name, []).append(path.relative_to(PACKAGE).as_posix())

    assert {name: paths for name, paths in classes.items() if len(paths) > 1} == {}


def test_every_module_says_why_it_exists() -> None:
    """Every module begins with a docstring, and no two are alike."""
    said = [ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) for path in MODULES]

    assert all(said)
    assert len(set(said)) == len(said)


def test_the_table_of_rules_is_made_from_the_tests() -> None:
    """What a test module says it keeps is what developers read; run `python generator/rules.py`."""
    rules = script("rules")

    made = rules.rules()
    assert rules.PAGE.read_text(encoding="utf-8") == made
    assert all(path.name in made for path in (ROOT / "tests").rglob("test_*.py"))


@pytest.mark.parametrize(
    "name", ["DEVELOPERS.md", *sorted(p.name for p in (ROOT / "generator" / "notes").glob("*.md"))]
)
def test_what_developers_read_names_files_that_are_there(name: str) -> None:
    """A path in a page for developers leads somewhere, from the root, the package or beside it."""
    page = ROOT / name if name == "DEVELOPERS.md" else ROOT / "generator" / "notes" / name
    named = re.findall(r"`((?:[a-z_]+/)*[a-z_]+\.(?:py|md|toml|bin))`", page.read_text(encoding="utf-8"))
    named = [path for path in named if path not in HOUSEHOLD_FILES]

    missing = {
        path
        for path in named
        if not any((folder / path).exists() for folder in (ROOT, PACKAGE, PACKAGE / "publish"))
        and not list((ROOT / "tests").rglob(path))
        and not list((ROOT / "content" / "reference").rglob(path))
    }
    assert missing == set()


HOUSEHOLD_FILES = frozenset({"place.md"})
"""Files of a household that pages for developers speak of."""
