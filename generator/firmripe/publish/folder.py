"""Writing the site: the whole new one stands, or the former one as it was."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import shutil
import time
from collections.abc import Iterator, Mapping
from collections.abc import Set as AbstractSet
from pathlib import Path, PurePosixPath

from firmripe.holding.place import HOUSEHOLD
from firmripe.publish.exchange import exchanged

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]

MANIFEST = "firmripe-manifest.json"
_PAUSE_S = 0.05
_TRIES = 1200
"""A second build waits a minute for the first."""


class Refused(Exception):  # noqa: N818 - it says what happened
    """The folder is not ours to write to; the text says why and what to do."""


def write_site(
    out: Path, files: Mapping[str, bytes], unlisted: AbstractSet[str] = frozenset(), made_for: str = HOUSEHOLD
) -> None:
    """Put the files of a site into the folder `out`, replacing a former build.

    The new site is written beside the old one and then changes places with it, in one step where the system can.
    The names of `unlisted` files stand in the manifest as hashes, since it lies in the site with all the rest.
    Files in `out` that no build wrote are kept. One build at a time: a second one waits for the first.
    `made_for` is whom the site is for; a site for somebody else is never replaced by it.
    Raises Refused where the folder holds other things and no build, or a site for another reader, where a file of
    somebody else's would be overwritten, or where another build doesn't end; OSError where the disk won't take it. In
    all cases the former site is left as it was.
    """
    out = out.resolve()
    if not out.name:
        raise Refused(f"{out} is the top of the disk; name a folder for the site")
    if not out.parent.exists():
        out.parent.mkdir(parents=True, exist_ok=True)
    with alone(out):
        _write_alone(out, files, unlisted, made_for)


def _write_alone(out: Path, files: Mapping[str, bytes], unlisted: AbstractSet[str], made_for: str) -> None:
    stale, fresh = out.with_name(f".{out.name}.former"), out.with_name(f".{out.name}.new")
    _clear_away(stale, out)  # of a run that was cut off, as the next
    _clear_away(fresh, out)
    former = _manifest_of(out)
    foreign = _foreign(out, former)
    if out.exists() and not out.is_dir():
        raise Refused(f"{out} is a file; name a folder for the site")
    if foreign and not former:
        raise Refused(f"{out} holds files that are not a site built here; name an empty or a new folder")
    if former and (other := _reader_of(out)) != made_for:
        theirs, ours = ("the household" if name == HOUSEHOLD else name for name in (other, made_for))
        raise Refused(f"{out} holds the site for {theirs}, and this one is for {ours}; name another folder with --out")
    if clash := _in_the_way(foreign, {*files, MANIFEST}):
        raise Refused(f"{out / clash[0]} was not written by a build; move it away first")
    fresh.mkdir()
    try:
        _fill(fresh, files, out, former)
        _note(fresh, files, unlisted, made_for)
        _bring_over(out, foreign, fresh)
        fresh.chmod(0o755)
        former_place = _put_in_place(fresh, out, stale)
    except BaseException:
        shutil.rmtree(fresh, ignore_errors=True)
        if stale.exists() and not out.exists():
            stale.rename(out)
        raise
    _clear_away(former_place, out)


def _put_in_place(fresh: Path, out: Path, stale: Path) -> Path:
    """Put `fresh` where `out` is to stand, and return where that leaves what stood there."""
    if exchanged(fresh, out):
        return fresh
    if out.exists():
        out.rename(stale)
    fresh.rename(out)
    return stale


def _bring_over(out: Path, foreign: AbstractSet[str], fresh: Path) -> None:
    """Let what is not ours stand in the new site as well before it changes places: the same files, not copies."""
    for name in sorted(foreign):
        old, new = out / name, fresh / name
        new.parent.mkdir(parents=True, exist_ok=True)
        try:
            os.link(old, new, follow_symlinks=False)
        except (OSError, NotImplementedError):  # a disk without hard links
            shutil.copy2(old, new, follow_symlinks=False)


@contextlib.contextmanager
def alone(out: Path, what: str = "build") -> Iterator[None]:
    """Hold the folder that `out` lies in, so that two runs at once don't mix. Raises Refused, naming what is run."""
    if fcntl is None:
        yield
        return
    held = os.open(out.parent, os.O_RDONLY)
    try:
        for tries_left in range(_TRIES, -1, -1):
            try:
                fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
                break
            except BlockingIOError as error:
                if not tries_left:
                    raise Refused(f"another {what} beside {out} does not end; try again later") from error
                time.sleep(_PAUSE_S)
            except OSError:  # a disk that knows no locks
                break
        yield
    finally:
        os.close(held)


def _fill(fresh: Path, files: Mapping[str, bytes], out: Path, former: Mapping[str, str]) -> None:
    for name in sorted(files):
        if PurePosixPath(name).is_absolute() or ".." in PurePosixPath(name).parts:
            raise ValueError(f"{name} leads out of the site")
        data = files[name]
        path = fresh / name
        path.parent.mkdir(parents=True, exist_ok=True)
        old = out / name
        if former.get(name) == hashlib.sha256(data).hexdigest() and old.is_file() and old.read_bytes() == data:
            shutil.copy2(old, path)  # keeps the time of the last real change, by which browsers ask
        else:
            path.write_bytes(data)


def _note(fresh: Path, files: Mapping[str, bytes], unlisted: AbstractSet[str], made_for: str) -> None:
    """Write down which files are ours, their hashes, and whom they are for."""
    hashes = {
        _hidden(name) if name in unlisted else name: hashlib.sha256(data).hexdigest() for name, data in files.items()
    }
    text = json.dumps({"files": hashes, "for": made_for}, indent=0, sort_keys=True, ensure_ascii=False) + "\n"
    (fresh / MANIFEST).write_text(text, encoding="utf-8")


def _hidden(name: str) -> str:
    return f"sha256:{hashlib.sha256(name.encode()).hexdigest()}"


def _manifest_of(out: Path) -> dict[str, str]:
    try:
        found = json.loads((out / MANIFEST).read_text(encoding="utf-8"))["files"]
        noted = {str(name): str(digest) for name, digest in found.items()}
    except (OSError, ValueError, KeyError, AttributeError, TypeError, RecursionError):
        return {}
    if any(name.startswith("sha256:") for name in noted):
        for path in out.rglob("*"):
            name = path.relative_to(out).as_posix()
            if (digest := noted.pop(_hidden(name), None)) is not None:
                noted[name] = digest
    return noted


def _reader_of(out: Path) -> str:
    """Return whom the site in a folder is for; builds that did not write it down made the household's."""
    try:
        return str(json.loads((out / MANIFEST).read_text(encoding="utf-8")).get("for", HOUSEHOLD))
    except (OSError, ValueError, AttributeError, RecursionError):
        return HOUSEHOLD


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


def _clear_away(former: Path, out: Path) -> None:
    """Bring over what was not ours from a former site and clear it away; also what a run left that was cut off.

    Without a manifest a folder is half written or half cleared away, and there is nothing in it to bring over.
    Where no site stands at `out`, a whole one here takes its place.
    """
    if not former.exists():
        return
    noted = _manifest_of(former)
    if noted and not out.exists():
        former.rename(out)
        return
    if noted:
        _take_over(former, _foreign(former, noted), out)
    shutil.rmtree(former, ignore_errors=True)


def _take_over(former: Path, foreign: AbstractSet[str], out: Path) -> None:
    for name in sorted(foreign):
        target = out / name
        if not os.path.lexists(target):
            target.parent.mkdir(parents=True, exist_ok=True)
            (former / name).rename(target)
        elif (former / name).lstat().st_mtime_ns > target.lstat().st_mtime_ns:  # written while the two changed places
            (former / name).replace(target)
    for folder, below, names in os.walk(former):
        if not below and not names:  # a folder of somebody else's, with nothing in it
            with contextlib.suppress(FileExistsError, NotADirectoryError):
                (out / Path(folder).relative_to(former)).mkdir(parents=True)
