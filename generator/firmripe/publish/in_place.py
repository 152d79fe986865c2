"""A site put into its folder file by file, where that folder can't be replaced: a journal brings it to its end."""

from __future__ import annotations

import os
import re
import secrets
from collections.abc import Mapping
from pathlib import Path

import msgspec
from msgspec import Struct

from firmripe.problems import refused_by_system
from firmripe.publish import disk
from firmripe.publish.manifest import FORMAT, MANIFEST, behind_links, changed_by_hand, digest, kept_name, leads_out
from firmripe.publish.refusing import Refused, Unfinished

_WORK = ".firmripe-build-"
_WORKING_NAME = re.compile(rf"{re.escape(_WORK)}[0-9a-f]{{24}}")
"""No name that can be guessed: the journal names calendars that stand on no page."""
_JOURNAL, _DRAFT = "journal.json", "journal.new"


class _Journal(Struct, frozen=True, kw_only=True, rename={"take_away": "take away"}):
    """What is to be put and taken away, and what the former build's files held: hashes by name."""

    format: int = FORMAT
    put: dict[str, str]
    take_away: list[str]
    was: dict[str, str]


def put_in_place(out: Path, whole: Mapping[str, bytes], noted: Mapping[str, str]) -> list[str]:
    """Put the files of a site into a folder one by one, and return what was kept of pages changed by hand.

    `noted` are the hashes of the former build's files by name. What is new is written aside first and reaches the
    disk; then a journal says what is to go where. From there on a run that is cut off is brought to its end by
    `finished_in_place`; before it, nothing has changed. The manifest is put last.
    Raises Refused where a link would lead out of the folder, OSError where nothing has changed, and Unfinished where
    something has.
    """
    if linked := behind_links(out, whole):
        raise Refused(f"a link in {out} leads away from {linked[0]}; move it away first")
    work = out / f"{_WORK}{secrets.token_hex(12)}"
    put = [name for name in sorted(whole, key=_order) if not _stands(out / name, whole[name])]
    journal = _Journal(
        put={name: digest(whole[name]) for name in put}, take_away=sorted(set(noted) - set(whole)), was=dict(noted)
    )
    try:
        disk.make_folder(work)
        work.chmod(0o700)
        for number, name in enumerate(put):
            disk.write(work / str(number), whole[name])
        disk.write(work / _DRAFT, msgspec.json.encode(journal))
        disk.settle(*(work / str(number) for number in range(len(put))), work / _DRAFT, work)
        disk.move(work / _DRAFT, work / _JOURNAL)
        disk.settle(work, out)
    except BaseException:
        if work.exists() and not (work / _JOURNAL).exists():
            disk.clear(work)
        raise
    return _carry_out(out, work, journal)


def _order(name: str) -> tuple[bool, bool, str]:
    """Put what pages are made of before the pages, and the manifest after all."""
    return name == MANIFEST, not name.startswith("static/"), name


def _stands(path: Path, data: bytes) -> bool:
    return path.is_file() and not path.is_symlink() and path.read_bytes() == data


def finished_in_place(out: Path) -> bool:
    """Bring a build that was cut off to its end, or undo it where it had changed nothing; say whether it was ended.

    Raises Refused where what lies there is no build's, Unfinished, and OSError.
    """
    ended = False
    for work in sorted(out.glob(f"{_WORK}*")) if out.is_dir() else ():
        if not _WORKING_NAME.fullmatch(work.name):
            continue
        is_folder = work.is_dir() and not work.is_symlink()
        journal = _journal_of(out, work) if is_folder else None
        if journal is not None:
            _carry_out(out, work, journal)
            ended = True
        elif not is_folder or any(not path.is_file() or not _ours(path.name) for path in work.iterdir()):
            raise Refused(f"{work} holds what no build made; move it away first")
        else:
            disk.clear(work)
    return ended


def _ours(name: str) -> bool:
    return name in {_JOURNAL, _DRAFT} or name.isdigit()


def _journal_of(out: Path, work: Path) -> _Journal | None:
    """Return the journal of a build that was cut off; None where it had written none. Raises Refused.

    What a journal says is done without more ado, so one is refused that no build can have written: with names that
    lead out of the site, or to something through a link, or to be taken away without ever having been put.
    """
    if not os.path.lexists(work / _JOURNAL):
        return None
    try:
        is_file = (work / _JOURNAL).is_file()
        found = msgspec.json.decode((work / _JOURNAL).read_bytes(), type=_Journal) if is_file else None
    except (ValueError, RecursionError):
        found = None
    names = {*found.put, *found.take_away, *found.was} if found else set()
    strange = any(map(leads_out, names)) or behind_links(out, names)
    if found is None or found.format != FORMAT or strange or not found.was.keys() >= {*found.take_away}:
        raise Refused(f"{work / _JOURNAL} is no journal that can be read here; move its folder away first")
    return found


def _carry_out(out: Path, work: Path, journal: _Journal) -> list[str]:
    """Do what a journal says, as far as it is not done yet, and clear it away. Raises Unfinished."""
    try:
        return _carried_out(out, work, journal)
    except OSError as error:
        said = f"{refused_by_system(error)}\nSome files of the new site stand already; the next build puts the others."
        raise Unfinished(said) from error


def _carried_out(out: Path, work: Path, journal: _Journal) -> list[str]:
    put, was = journal.put, journal.was
    kept, folders = [], {out}
    for name in journal.take_away:
        if (out / name).is_dir() and not (out / name).is_symlink():  # a folder of the new site, of an earlier try
            continue
        kept += _aside(out, name, {was[name]})
        disk.remove(out / name)
        folders.add((out / name).parent)
    disk.prune(sorted(folders - {out}), out)
    for number, name in enumerate(put):
        if not (work / str(number)).exists():  # put before the run was cut off
            continue
        kept += _aside(out, name, {put[name], was.get(name, put[name])} if name != MANIFEST else set())
        disk.make_folder((out / name).parent)
        _make_room(out / name)
        if (out / name).is_file() and not (out / name).is_symlink():
            disk.dress(work / str(number), out / name)
        disk.replace(work / str(number), out / name)
        folders.add((out / name).parent)
    disk.settle(*sorted(folder for folder in folders if folder.is_dir()))
    disk.remove(work / _JOURNAL)
    disk.clear(work)
    return kept


def _make_room(path: Path) -> None:
    """Take away empty folders that stand where a file is to be put: no file of anybody's is in them."""
    if path.is_dir() and not path.is_symlink():
        for folder, _, _ in os.walk(path, topdown=False):
            disk.remove_folder(Path(folder))


def _aside(out: Path, name: str, known: set[str]) -> list[str]:
    """Keep a page that was changed by hand under another name; the manifest, which has no hash, is the build's."""
    path = out / name
    if not known or not os.path.lexists(path) or not changed_by_hand(path, known):
        return []
    kept = kept_name(name, path, out)
    if not kept:
        return []
    disk.link(path, out / kept)
    return [kept]
