"""Parts the shelf's notes once for a wheel, so that no run of what it installs has to."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

PARTED = "shelf.parted"


class PartedShelf(BuildHookInterface[Any]):
    """Puts the parted notes beside the shelf of a wheel; an editable install keeps them in its user's cache."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Part the notes and have the file taken in. A shelf with a fault ends the build."""
        if version == "editable":
            return
        sys.path.insert(0, str(Path(self.root) / "generator"))
        from firmripe.problems import Problems  # noqa: PLC0415 - found once the path is told
        from firmripe.reading.fields import SHELF  # noqa: PLC0415
        from firmripe.reading.folder import SHELF_NOTES, read_folder  # noqa: PLC0415
        from firmripe.reading.parted import PartedNotes, for_a_wheel  # noqa: PLC0415

        notes, problems = PartedNotes(), Problems()
        read_folder(Path(self.root) / "content" / "reference", SHELF, SHELF_NOTES, problems, notes)
        problems.stop_if_any()
        Path(self.directory).mkdir(parents=True, exist_ok=True)
        file = Path(self.directory) / PARTED
        file.write_bytes(for_a_wheel(notes))
        build_data["force_include"][str(file)] = f"firmripe/{PARTED}"

    def finalize(self, *_: object) -> None:
        """Take the file away again: the wheel holds it."""
        (Path(self.directory) / PARTED).unlink(missing_ok=True)
