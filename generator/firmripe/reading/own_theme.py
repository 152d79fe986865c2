"""A household's own theme folder: single templates, tokens and files that go over those of the theme."""

from __future__ import annotations

import os
from pathlib import Path

from firmripe.holding.place import FORMER_THEME, USUAL_THEME
from firmripe.holding.theme import OwnTheme
from firmripe.problems import Problems, Where
from firmripe.reading.folder import FILE, FOLDER, README, STYLE, TEMPLATE, THEME_FOLDER, fits, kind_of, listed, text_of

TEMPLATES, STATIC, TOKENS = "templates", "static", "tokens.css"
MOST_FILES = 300
LARGEST_FILE = 2_000_000
LARGEST_ALL = 10_000_000
"""Bytes of a single file of static/, and of all (our judgement: fonts and a few drawings, to be carried by a phone)."""
_FORMER_FILES = {f"{FORMER_THEME}.{ending}": f"{USUAL_THEME}.{ending}" for ending in ("css", "js")}
"""A household's file of the former name would lie there and change nothing."""


def read_own_theme(top: Path, problems: Problems) -> OwnTheme:
    """Read the folder `theme` of a household's folder, if there is one; links that lead out of it are refused."""
    folder = top / THEME_FOLDER
    if not os.path.lexists(folder) or not fits(folder, "", THEME_FOLDER, top, problems):
        return OwnTheme()
    templates: dict[str, str] = {}
    tokens = ""
    static: dict[str, bytes] = {}
    for path in listed(folder):
        file = f"{THEME_FOLDER}/{path.name}"
        if path.name == TOKENS:
            tokens = _text(path, STYLE, file, top, problems)
        elif path.name == TEMPLATES:
            templates = _templates(path, file, top, problems)
        elif path.name == STATIC:
            static = _static(path, file, top, problems)
        elif path.name.casefold() != README:
            hint = f"a theme has {TEMPLATES}/, {STATIC}/ and {TOKENS}"
            problems.add(Where(file), "nothing of this name is read here", hint)
    return OwnTheme(templates=templates, tokens=tokens, static=static)


def _templates(folder: Path, file: str, top: Path, problems: Problems) -> dict[str, str]:
    if not fits(folder, "", file, top, problems):
        return {}
    found = {}
    for path in listed(folder):
        if path.suffix != TEMPLATE:
            problems.add(Where(f"{file}/{path.name}"), "this is no template", f"its name must end in {TEMPLATE}")
        else:
            found[path.name] = _text(path, TEMPLATE, f"{file}/{path.name}", top, problems)
    return found


def _text(path: Path, ending: str, file: str, top: Path, problems: Problems) -> str:
    return (text_of(path, file, problems) or "") if fits(path, ending, file, top, problems) else ""


def _static(folder: Path, file: str, top: Path, problems: Problems) -> dict[str, bytes]:
    """Read all files below a folder; where they are too many or too large, the rest is left unread."""
    found: dict[str, bytes] = {}
    if not fits(folder, "", file, top, problems):
        return found
    ahead = [*reversed(listed(folder))]
    seen = size = 0
    while ahead:
        path = ahead.pop()
        seen += 1
        name = path.relative_to(folder).as_posix()
        where = f"{file}/{name}"
        if name in _FORMER_FILES:
            problems.add(Where(where), f"the theme's file is called {_FORMER_FILES[name]} now", "give yours that name")
        if seen > MOST_FILES:
            problems.add(Where(file), f"more than {MOST_FILES} files and folders lie here", "leave fewer")
            return found
        if kind_of(path) == FOLDER and fits(path, "", where, top, problems):
            ahead += reversed(listed(path))
        elif kind_of(path) != FOLDER and fits(path, FILE, where, top, problems):
            data = _bytes(path, where, problems)
            size += len(data)
            found[name] = data
        if size > LARGEST_ALL:
            problems.add(Where(file), f"the files here are longer than {LARGEST_ALL // 1000:,} kB", "leave fewer")
            return found
    return found


def _bytes(path: Path, file: str, problems: Problems) -> bytes:
    try:
        with path.open("rb") as opened:
            data = opened.read(LARGEST_FILE + 1)
    except OSError as error:
        problems.add(Where(file), f"the file can't be read: {error.strerror}", "check its permissions")
        return b""
    if len(data) > LARGEST_FILE:
        problems.add(Where(file), f"the file is longer than {LARGEST_FILE // 1000:,} kB", "make it smaller")
    return data
