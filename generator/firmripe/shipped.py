"""Where the shelf and the themes lie: inside the installed package, or beside it in a checkout; what program it is."""

from __future__ import annotations

import re
import sys
from contextlib import suppress
from pathlib import Path

from firmripe import __version__
from firmripe.caching import mark_of
from firmripe.holding.place import USUAL_THEME

_PACKAGE = Path(__file__).resolve().parent
_CHECKOUT = _PACKAGE.parent.parent


def shelf_folder() -> Path:
    """Return the folder of the reference shelf. Raises FileNotFoundError."""
    return _found(_PACKAGE / "shelf", _CHECKOUT / "content" / "reference")


def theme_folder(name: str = USUAL_THEME) -> Path:
    """Return the folder of a theme. Raises FileNotFoundError."""
    return _found(_PACKAGE / "themes" / name, _CHECKOUT / "themes" / name)


def theme_names() -> tuple[str, ...]:
    """Return the names of the themes there are. Raises FileNotFoundError."""
    folder = _found(_PACKAGE / "themes", _CHECKOUT / "themes")
    return tuple(sorted(path.name for path in folder.iterdir() if (path / "templates").is_dir()))


def _found(*candidates: Path) -> Path:
    for candidate in candidates:
        if candidate.is_dir():
            return candidate
    raise FileNotFoundError(f"{candidates[0]} is missing: install firmripe again")


def program_mark() -> bytes | None:
    """Return a mark of the program: its code, its languages, Python, and the packages that it works with.

    None where its files can't be read.
    """
    from importlib import metadata  # noqa: PLC0415 - it loads all that reads mail, and most commands need no mark

    told = [__version__, sys.version]
    for name in _worked_with():
        with suppress(metadata.PackageNotFoundError):  # the solver has no wheel everywhere
            told.append(f"{name} {metadata.version(name)}")
    files = sorted(path for path in _PACKAGE.rglob("*") if path.suffix in {".py", ".po"})
    return mark_of(files, *told, *(path.relative_to(_PACKAGE).as_posix() for path in files))


def _worked_with() -> list[str]:
    """Return the packages that a page may hang on: all that the program asks for, none where it was not installed."""
    from importlib import metadata  # noqa: PLC0415 - see above

    try:
        asked = metadata.requires("firmripe") or []
    except metadata.PackageNotFoundError:
        return []
    return sorted(re.split(r"[^\w.-]", line, maxsplit=1)[0] for line in asked if "extra ==" not in line)
