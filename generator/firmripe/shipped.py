"""Where the shelf and the themes lie: inside the installed package, or beside it in a checkout."""

from __future__ import annotations

from pathlib import Path

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
