"""Where the shelf and the themes are found."""

from __future__ import annotations

from pathlib import Path

import pytest

from firmripe import shipped


def test_a_checkout_brings_its_own_shelf_and_theme() -> None:
    """In a checkout both folders lie beside the code."""
    assert (shipped.shelf_folder() / "sources.md").is_file()
    assert (shipped.theme_folder() / "templates" / "base.html").is_file()


def test_what_is_installed_goes_before_the_checkout(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Folders inside the package are taken first."""
    monkeypatch.setattr(shipped, "_PACKAGE", tmp_path)
    (tmp_path / "shelf").mkdir()
    (tmp_path / "themes" / "box-tag").mkdir(parents=True)

    assert shipped.shelf_folder() == tmp_path / "shelf"
    assert shipped.theme_folder() == tmp_path / "themes" / "box-tag"


def test_a_folder_that_is_missing_is_named() -> None:
    """A theme that nobody brought is missing by name."""
    with pytest.raises(FileNotFoundError, match="nowhere is missing: install firmripe again"):
        shipped.theme_folder("nowhere")
