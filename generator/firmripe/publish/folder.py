"""Writing the site: the whole new one stands, or the former one as it was."""

from __future__ import annotations

import contextlib
import errno
import os
import stat
from collections.abc import Iterator, Mapping
from collections.abc import Set as AbstractSet
from pathlib import Path

from msgspec import Struct, field

from firmripe.holding.place import HOUSEHOLD
from firmripe.publish import disk
from firmripe.publish.in_place import finished_in_place, put_in_place
from firmripe.publish.locking import Busy, alone
from firmripe.publish.manifest import (
    FORMAT,
    MANIFEST,
    Manifest,
    changed_by_hand,
    foreign_in,
    in_the_way,
    kept_name,
    leads_out,
    read_manifest,
)
from firmripe.publish.refusing import Refused

_NOT_AS_A_WHOLE = frozenset({errno.EACCES, errno.EPERM, errno.EROFS, errno.EBUSY, errno.EXDEV})
"""What a system says where a folder can't be replaced: its own folder takes no names, or it is a mount point."""
_JOURNAL = b"A firmripe build is at work beside this file, or was cut off; the next one clears up.\n"
"""It reaches the disk before anything else is made, so that where it is not whole nothing else is a build's."""


class Put(Struct, frozen=True, kw_only=True):
    """How a site was put where it stands.

    `in_place` says that it was file by file, since its folder can't be replaced; `completed`, that a build that had
    been cut off was brought to its end first. `kept` are pages that had been changed by hand, under the names that
    they have now beside the new ones.
    """

    in_place: bool = False
    completed: bool = False
    kept: tuple[str, ...] = ()


class _Former(Struct, frozen=True, kw_only=True):
    """What stands where the site is to: the manifest, what is not ours, and pages changed by hand by their new name."""

    manifest: Manifest = field(default_factory=Manifest)
    foreign: AbstractSet[str] = frozenset()
    kept: Mapping[str, str] = field(default_factory=dict)


def write_site(
    out: Path, files: Mapping[str, bytes], unlisted: AbstractSet[str] = frozenset(), made_for: str = HOUSEHOLD
) -> Put:
    """Put the files of a site into the folder `out`, replacing a former build, and say how.

    The new site is written beside the old one and then changes places with it, in one step where the system can.
    Where the folder can't be replaced, as a mount point or in a folder that is not ours, the files are put into it one
    by one; a run that is cut off then leaves a journal, by which the next one brings it to its end.
    The names of `unlisted` files stand in the manifest as hashes, since it lies in the site with all the rest.
    Files in `out` that no build wrote are kept, as are pages that were changed by hand, under another name. One build
    at a time: a second one waits for the first. `made_for` is whom the site is for; a site for somebody else is never
    replaced by it.
    Raises Refused where the folder holds other things and no build, or a site for another reader or of a newer
    program, where a file of somebody else's would be overwritten, or where another build doesn't end; OSError where the
    disk won't take it. In all cases the former site is left as it was, unless it is put in place file by file: then
    the next build brings to its end what was begun.
    """
    out = out.resolve()
    if not out.name:
        raise Refused(f"{out} is the top of the disk; name a folder for the site")
    for name in files:
        if leads_out(name):
            raise ValueError(f"{name} leads out of the site")
    if out.exists() and not out.is_dir():
        raise Refused(f"{out} is a file; name a folder for the site")
    disk.make_folder(out.parent)
    try:
        with alone(out.parent), alone(out) if out.is_dir() else contextlib.nullcontext():
            return _write_alone(out, files, unlisted, made_for)
    except Busy as error:
        raise Refused(str(error)) from error


def _write_alone(out: Path, files: Mapping[str, bytes], unlisted: AbstractSet[str], made_for: str) -> Put:
    completed = finished_in_place(out)
    _finish_swap(out)
    manifest = Manifest.of(files, made_for)
    former = _former(out, manifest)
    whole = {**files, MANIFEST: manifest.as_bytes(unlisted)}
    in_place = False
    try:
        kept = _swap(out, whole, manifest, former)
    except OSError as error:
        if error.errno not in _NOT_AS_A_WHOLE or not out.is_dir():
            raise
        in_place = True
        kept = put_in_place(out, whole, former.manifest.files)
    return Put(in_place=in_place, completed=completed, kept=tuple(sorted(kept)))


def _former(out: Path, ours: Manifest) -> _Former:
    """Look at what stands where the site is to. Raises Refused where it may not be replaced."""
    if not out.is_dir():
        return _Former()
    manifest = read_manifest(out)
    noted = manifest.files if manifest else {}
    foreign = foreign_in(out, noted)
    if manifest and manifest.format > FORMAT:
        raise Refused(
            f"{out} was written by a newer firmripe (its manifest has format {manifest.format}, this one knows"
            f" {FORMAT}); bring firmripe up to date, or name another folder with --out"
        )
    if foreign and not noted:
        raise Refused(f"{out} holds files that are not a site built here; name an empty or a new folder")
    if manifest and noted and manifest.made_for != ours.made_for:
        them, us = ("the household" if one.made_for == HOUSEHOLD else one.made_for for one in (manifest, ours))
        raise Refused(f"{out} holds the site for {them}, and this one is for {us}; name another folder with --out")
    if clash := in_the_way(foreign, {*ours.files, MANIFEST}):
        raise Refused(f"{out / clash[0]} was not written by a build; move it away first")
    return _Former(manifest=manifest or Manifest(), foreign=foreign, kept=_kept(out, out, noted, ours.files))


def _kept(former: Path, out: Path, noted: Mapping[str, str], ours: Mapping[str, str]) -> dict[str, str]:
    """Return the pages of a former site that were changed by hand, and the names they get beside the new ones."""
    found = {}
    for name, hashed in noted.items():
        known = {hashed, ours.get(name, hashed)}
        if changed_by_hand(former / name, known) and (kept := kept_name(name, former / name, out)):
            found[name] = kept
    return found


# The whole folder at once


def _beside(out: Path) -> tuple[Path, Path, Path]:
    """Return where the new site is made, where the former one waits, and the journal that says that both are ours."""
    fresh, stale, journal = (out.with_name(f".{out.name}.{what}") for what in ("new", "former", "journal"))
    return fresh, stale, journal


def _finish_swap(out: Path) -> None:
    """Clear up after a run that was cut off; what lies there without its journal is somebody else's. Raises Refused."""
    fresh, stale, journal = _beside(out)
    begun = journal.read_bytes() if journal.is_file() and _may_be_ours(journal) else None
    if begun == _JOURNAL:
        for path in (stale, fresh):
            if path.is_dir() and _may_be_ours(path):
                _clear_away(path, out)
    ours = begun is not None and _JOURNAL.startswith(begun)
    for path in (fresh, stale) if ours else (fresh, stale, journal):
        if os.path.lexists(path):
            hint = "look at it, and move it away first"
            raise Refused(f"{path} stands where a build works, and no build that was cut off made it; {hint}")
    if ours:
        disk.remove(journal)


def _may_be_ours(path: Path) -> bool:
    """Say whether a build may have made what stands beside the site.

    It makes no links. In a folder where everybody puts things and takes away their own alone, as that for temporary
    files, what another user put there is theirs.
    """
    for_all = os.name == "posix" and path.parent.stat().st_mode & stat.S_ISVTX
    return not path.is_symlink() and not (for_all and path.stat().st_uid != os.geteuid())


def _swap(out: Path, whole: Mapping[str, bytes], manifest: Manifest, former: _Former) -> list[str]:
    """Make the new site beside the former one and let them change places. Return what was kept of changed pages."""
    fresh, stale, journal = _beside(out)
    kept = dict(former.kept)
    try:
        disk.write(journal, _JOURNAL)
        disk.settle(journal, out.parent)
        _make(fresh, whole, manifest, out, former)
        former_place = _put_in_place(fresh, out, stale)
        disk.settle(out.parent)
    except BaseException:
        with contextlib.suppress(OSError):
            if stale.exists() and not out.exists():
                disk.move(stale, out)
            if fresh.exists():
                disk.clear(fresh)
            if not stale.exists():
                disk.remove(journal)
        raise
    with contextlib.suppress(OSError):  # the site stands; what can't be cleared away now, the next build will
        kept |= _clear_away(former_place, out)
        disk.remove(journal)
    return list(kept.values())


def _make(fresh: Path, whole: Mapping[str, bytes], manifest: Manifest, out: Path, former: _Former) -> None:
    """Write the new site and let it reach the disk; the manifest comes last, so that it tells of a whole one."""
    disk.make_folder(fresh)
    if out.is_dir():
        disk.dress(fresh, out)
        fresh.chmod(fresh.stat().st_mode | 0o700)
    hashes = manifest.files
    new = {name: None for name in sorted(hashes) if not _stands(out / name, whole[name], former, name, hashes[name])}
    for folder in sorted({fresh.joinpath(name).parent for name in hashes}):
        disk.make_folder(folder)
    for name in sorted(hashes):
        if name in new:
            disk.write(fresh / name, whole[name])
        else:
            disk.link(out / name, fresh / name)  # keeps the time of the last real change, by which browsers ask
    _bring_over(out, former, fresh)
    if not out.is_dir():
        fresh.chmod(fresh.stat().st_mode | 0o755)
    disk.settle(*(fresh / name for name in new))
    disk.write(fresh / MANIFEST, whole[MANIFEST])
    _dress_as(out, fresh, [*new, MANIFEST])
    disk.settle(fresh / MANIFEST, *_folders(fresh))


def _stands(path: Path, data: bytes, former: _Former, name: str, hashed: str) -> bool:
    same = former.manifest.files.get(name) == hashed and path.is_file() and not path.is_symlink()
    return same and path.read_bytes() == data


def _bring_over(out: Path, former: _Former, fresh: Path) -> None:
    """Let what is not ours stand in the new site as well before it changes places: the same files, not copies."""
    for old, name in [*((name, name) for name in sorted(former.foreign)), *sorted(former.kept.items())]:
        disk.make_folder((fresh / name).parent)
        disk.link(out / old, fresh / name)


def _dress_as(out: Path, fresh: Path, new: list[str]) -> None:
    """Give new files, and folders from the deepest up, the rights of those that they replace."""
    for name in new:
        if (out / name).is_file() and not (out / name).is_symlink():
            disk.dress(fresh / name, out / name)
    for folder in _folders(fresh):
        old = out / folder.relative_to(fresh)
        if old.is_dir() and not old.is_symlink():
            disk.dress(folder, old)


def _folders(top: Path) -> Iterator[Path]:
    """Give the folders of a tree, the deepest first."""
    for folder, _, _ in os.walk(top, topdown=False):
        yield Path(folder)


def _put_in_place(fresh: Path, out: Path, stale: Path) -> Path:
    """Put `fresh` where `out` is to stand, and return where that leaves what stood there."""
    if out.exists() and disk.exchanged(fresh, out):
        return fresh
    if out.exists():
        disk.move(out, stale)
    disk.move(fresh, out)
    return stale


def _clear_away(former: Path, out: Path) -> dict[str, str]:
    """Bring over what was not ours from a former site and clear it away; also what a run left that was cut off.

    Without a manifest a folder is half written or half cleared away, and there is nothing in it to bring over.
    Where no site stands at `out`, a whole one here takes its place. Returns the pages changed by hand that were kept.
    """
    if not former.exists():
        return {}
    manifest = read_manifest(former)
    kept: dict[str, str] = {}
    if manifest and not out.exists():
        disk.move(former, out)
        return kept
    if manifest:
        standing = read_manifest(out)
        _take_over(former, foreign_in(former, manifest.files), out)
        kept = _kept_late(former, manifest, out, standing or Manifest())
    disk.clear(former)
    return kept


def _take_over(former: Path, foreign: AbstractSet[str], out: Path) -> None:
    for name in sorted(foreign):
        target = out / name
        if not os.path.lexists(target):
            disk.make_folder(target.parent)
            disk.move(former / name, target)
        elif (former / name).lstat().st_mtime_ns > target.lstat().st_mtime_ns:  # written while the two changed places
            disk.replace(former / name, target)
    for folder, below, names in os.walk(former):
        if not below and not names:  # a folder of somebody else's, with nothing in it
            with contextlib.suppress(FileExistsError, NotADirectoryError):
                disk.make_folder(out / Path(folder).relative_to(former))


def _kept_late(former: Path, manifest: Manifest, out: Path, standing: Manifest) -> dict[str, str]:
    """Keep pages that were changed by hand while the two sites changed places."""
    kept = {}
    for name, hashed in manifest.files.items():
        known = {hashed, standing.files.get(name, hashed)}
        if changed_by_hand(former / name, known) and (beside := kept_name(name, former / name, out)):
            disk.make_folder((out / beside).parent)
            disk.move(former / name, out / beside)
            kept[name] = beside
    return kept
