"""What is installed is whole: the wheel holds the code, the shelf, the themes, the languages and every licence."""

from __future__ import annotations

import tarfile
import zipfile
from pathlib import Path

import pytest
from conftest import ROOT, SHELF
from hatchling.builders.sdist import SdistBuilder
from hatchling.builders.wheel import WheelBuilder

from firmripe import __version__
from firmripe.problems import Problems
from firmripe.reading.folder import SHELF_NOTES, read_folder
from firmripe.reading.parted import parted_notes

SHIPPED = {"generator/firmripe": "firmripe", "content/reference": "firmripe/shelf", "themes": "firmripe/themes"}
"""Folders of the checkout, and where they lie once installed."""


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> zipfile.ZipFile:
    """Return the wheel, built once."""
    out = str(tmp_path_factory.mktemp("wheel"))
    (built,) = WheelBuilder(str(ROOT)).build(directory=out, versions=["standard"])
    return zipfile.ZipFile(built)


def files_of(folder: Path) -> set[str]:
    """Return the files of a folder by their paths within it, without what Python keeps beside its own."""
    return {
        path.relative_to(folder).as_posix()
        for path in folder.rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }


def test_every_file_that_ships_is_in_the_wheel_and_no_other(wheel: zipfile.ZipFile) -> None:
    """Folder by folder, and beside them what changed and the record of the wheel itself."""
    due = {f"{to}/{name}" for origin, to in SHIPPED.items() for name in files_of(ROOT / origin)}
    found = {name for name in wheel.namelist() if ".dist-info/" not in name}

    assert found == due | {"firmripe/CHANGES.md", "firmripe/shelf.parted"}
    assert {
        "firmripe/py.typed",
        "firmripe/languages/es.po",
        "firmripe/languages/messages.pot",
        "firmripe/shelf/sources.md",
        "firmripe/shelf/stations.bin",
        "firmripe/themes/box-tag/templates/base.html",
        "firmripe/themes/plain/templates/base.html",
    } <= found


def test_the_wheel_holds_the_shelf_as_its_texts_are_parted(
    wheel: zipfile.ZipFile, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where it is installed no shipped note is parted again, and each is read as its text says."""
    wheel.extractall(tmp_path)  # noqa: S202 - our own, just built
    shelf = tmp_path / "firmripe" / "shelf"
    texts = read_folder(SHELF, "reference/", SHELF_NOTES, Problems())
    monkeypatch.setattr("firmripe.reading.folder.split_note", lambda *_: pytest.fail("a note is parted again"))

    assert read_folder(shelf, "reference/", SHELF_NOTES, Problems(), parted_notes(shelf)) == texts


def test_every_licence_lies_with_what_it_is_for(wheel: zipfile.ZipFile) -> None:
    """Our own, that of each face beside its file, and the credit that the weather stations ask for."""
    names = wheel.namelist()
    faces = [name for name in names if name.endswith(".woff2")]
    own = next(name for name in names if name.endswith(".dist-info/licenses/LICENSE"))

    assert wheel.read(own) == (ROOT / "LICENSE").read_bytes()
    assert faces
    for face in faces:
        folder, _, file = face.rpartition("/")
        licences = [name for name in names if name.startswith(f"{folder}/ofl-")]
        beside = [name for name in licences if file.startswith(name.rpartition("/ofl-")[2].removesuffix(".txt"))]
        assert [b"SIL Open Font License" in wheel.read(name) for name in beside] == [True], face
    sources = wheel.read("firmripe/shelf/sources.md").decode("utf-8")
    assert "Deutscher Wetterdienst" in sources
    assert "https://creativecommons.org/licenses/by/4.0/" in sources


def test_the_wheel_brings_the_command_and_asks_for_the_right_python(wheel: zipfile.ZipFile) -> None:
    """One command, one version, and pure Python from 3.11 on."""
    folder = f"firmripe-{__version__}.dist-info"
    said = wheel.read(f"{folder}/METADATA").decode("utf-8").splitlines()

    assert wheel.read(f"{folder}/entry_points.txt").decode() == "[console_scripts]\nfirmripe = firmripe.cli:main\n"
    assert "Requires-Python: >=3.11" in said
    assert f"Version: {__version__}" in said
    assert "License-Expression: MIT" in said
    assert "Tag: py3-none-any" in wheel.read(f"{folder}/WHEEL").decode().splitlines()


def test_the_source_archive_builds_the_same_and_holds_nothing_else(tmp_path: Path) -> None:
    """What the wheel is made of, with what people read; no tests and no built example."""
    (built,) = SdistBuilder(str(ROOT)).build(directory=str(tmp_path), versions=["standard"])
    with tarfile.open(built) as archive:
        names = {member.name.partition("/")[2] for member in archive.getmembers() if member.isfile()}

    assert {f"{origin}/{name}" for origin in SHIPPED for name in files_of(ROOT / origin)} <= names
    assert {
        "README.md",
        "LICENSE",
        "DEVELOPERS.md",
        "pyproject.toml",
        "content/CHANGES.md",
        "content/README.md",
    } <= names
    assert {name.partition("/")[0] for name in names if "/" in name} == {"generator", "content", "themes"}
