"""Two folders change places in one step, where the system knows how."""

from __future__ import annotations

import ctypes
import os
import sys
from pathlib import Path

_HERE = -100  # AT_FDCWD: paths are taken as they are
_EXCHANGE = 2  # RENAME_EXCHANGE of Linux's renameat2, and RENAME_SWAP of macOS's renamex_np


def exchanged(one: Path, other: Path) -> bool:
    """Let two paths change places, and say whether it was done: never halfway, whenever the run is cut off."""
    first, second = os.fsencode(one), os.fsencode(other)
    try:
        system = ctypes.CDLL(None)
        if sys.platform == "darwin":
            return bool(system.renamex_np(first, second, _EXCHANGE) == 0)
        return bool(system.renameat2(_HERE, first, _HERE, second, _EXCHANGE) == 0)
    except (OSError, AttributeError, TypeError):  # another system, or one too old for it
        return False
