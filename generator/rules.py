"""Make generator/notes/rules.md: which rule each test module keeps, told by the first line of the module itself.

    python generator/rules.py

Run it after a test module is added or says something else; tests/test_structure.py compares.
"""

from __future__ import annotations

import ast
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PAGE = ROOT / "generator" / "notes" / "rules.md"
HEAD = """# Rules and the tests that keep them

Made by `python generator/rules.py` from the first line of each test module; what stands in one, its tests tell.
"""
CHAPTERS = {
    "tests": "The whole",
    "tests/outside": "Against values from outside",
    "tests/property": "Whatever is drawn at random",
    "tests/fuzz": "Whatever is spoilt",
    "tests/households": "Whole households",
    "tests/browser": "In a browser, and on paper",
    "tests/unit": "Room by room",
}


def rules() -> str:
    """Return the page: a chapter for each folder of tests, a row for each module in it, by name."""
    chapters = [HEAD]
    for folder, title in CHAPTERS.items():
        rows = [f"| {said_first(path)} | `{path.name}` |" for path in sorted((ROOT / folder).glob("test_*.py"))]
        if rows:
            chapters.append("\n".join([f"## {title} (`{folder}`)", "", "| rule | test |", "|---|---|", *rows, ""]))
    return "\n".join(chapters)


def said_first(path: Path) -> str:
    """Return the first paragraph of a module's docstring on one line, without its last full stop."""
    text = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
    return " ".join(text.partition("\n\n")[0].split()).removesuffix(".").replace("|", "\\|")


if __name__ == "__main__":
    PAGE.write_text(rules(), encoding="utf-8")
