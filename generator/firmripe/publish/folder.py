"""Writing the site: the whole new one stands, or the former one as it was."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Mapping
from collections.abc import Set as AbstractSet
from pathlib import Path, PurePosixPath

MANIFEST = "firmripe-manifest.json"


class Refused(Exception):  # noqa: N818 - it says what happened
    """The folder is not ours to write to; the text says why and what to do."""


def write_site(out: Path, files: Mapping[str, bytes]) -> None:
    """Put the files of a site into the folder `out`, replacing a former build.

    The new site is written beside the old one and then changes places with it. Files in `out` that no build wrote
    are kept. Raises Refused where the folder holds other things and no build, or where one of those would be
    overwritten; OSError where the disk won't take it. In both cases the former site is left as it was.
    """
    out = out.resolve()
    if not out.name:
        raise Refused(f"{out} is the top of the disk; name a folder for the site")
    stale = out.with_name(f".{out.name}.former")
    _finish_former_swap(out, stale)
    former = _manifest_of(out)
    foreign = _foreign(out, former)
    if out.exists() and not out.is_dir():
        raise Refused(f"{out} is a file; name a folder for the site")
    if foreign and not former:
        raise Refused(f"{out} holds files that are not a site built here; name an empty or a new folder")
    if clash := _in_the_way(foreign, {*files, MANIFEST}):
        raise Refused(f"{out / clash[0]} was not written by a build; move it away first")
    out.parent.mkdir(parents=True, exist_ok=True)
    fresh = Path(tempfile.mkdtemp(prefix=f".{out.name}.", dir=out.parent))
    try:
        _fill(fresh, files, out, former)
        fresh.chmod(0o755)
        if out.exists():
            out.rename(stale)
        fresh.rename(out)
    except BaseException:
        shutil.rmtree(fresh, ignore_errors=True)
        if stale.exists() and not out.exists():
            stale.rename(out)
        raise
    _finish_former_swap(out, stale)


def _fill(fresh: Path, files: Mapping[str, bytes], out: Path, former: Mapping[str, str]) -> None:
    hashes = {}
    for name in sorted(files):
        if PurePosixPath(name).is_absolute() or ".." in PurePosixPath(name).parts:
            raise ValueError(f"{name} leads out of the site")
        data = files[name]
        hashes[name] = hashlib.sha256(data).hexdigest()
        path = fresh / name
        path.parent.mkdir(parents=True, exist_ok=True)
        old = out / name
        if former.get(name) == hashes[name] and old.is_file() and old.read_bytes() == data:
            shutil.copy2(old, path)  # keeps the time of the last real change, by which browsers ask
        else:
            path.write_bytes(data)
    text = json.dumps({"files": hashes}, indent=0, sort_keys=True) + "\n"
    (fresh / MANIFEST).write_text(text, encoding="utf-8")


def _manifest_of(out: Path) -> dict[str, str]:
    try:
        found = json.loads((out / MANIFEST).read_text(encoding="utf-8"))["files"]
        return {str(name): str(digest) for name, digest in found.items()}
    except (OSError, ValueError, KeyError, AttributeError, TypeError):
        return {}


def _foreign(out: Path, former: Mapping[str, str]) -> set[str]:
    """Return the files and links in `out` that no build wrote."""
    if not out.is_dir():
        return set()
    found = set()
    for folder, below, names in os.walk(out):
        links = [name for name in below if (Path(folder) / name).is_symlink()]
        found |= {(Path(folder) / name).relative_to(out).as_posix() for name in (*names, *links)}
    return found - set(former) - {MANIFEST}


def _in_the_way(foreign: AbstractSet[str], names: AbstractSet[str]) -> list[str]:
    """Return the foreign files that stand where the site needs a file or a folder."""
    folders = {folder.as_posix() for name in names for folder in PurePosixPath(name).parents}
    below_files = {path for path in foreign if any(p.as_posix() in names for p in PurePosixPath(path).parents)}
    return sorted((foreign & (names | folders)) | below_files)


def _finish_former_swap(out: Path, stale: Path) -> None:
    """Bring over what was not ours from the former folder and clear it away; also after a run that was cut off."""
    if not stale.exists():
        return
    if not out.exists():
        stale.rename(out)
        return
    for name in sorted(_foreign(stale, _manifest_of(stale))):
        target = out / name
        target.parent.mkdir(parents=True, exist_ok=True)
        if not os.path.lexists(target):
            (stale / name).rename(target)
    for folder, below, names in os.walk(stale):
        if not below and not names:  # a folder of somebody else's, with nothing in it
            with contextlib.suppress(FileExistsError, NotADirectoryError):
                (out / Path(folder).relative_to(stale)).mkdir(parents=True)
    shutil.rmtree(stale, ignore_errors=True)
