"""Many places in one run: each a household of its own, or one set of notes at all places of a table."""

from __future__ import annotations

import hashlib
import json
import os
import time
import traceback
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from enum import Enum
from functools import partial
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from firmripe.build import is_site, site_plan_of, what_if_of, write_plan
from firmripe.holding.place import Ground, Place
from firmripe.problems import FaultyNotes, Problems, Unreadable, Where, refused_by_system
from firmripe.publish import disk
from firmripe.publish.in_place import finished_in_place, put_in_place
from firmripe.publish.ledger import LEDGER
from firmripe.publish.locking import Busy, alone
from firmripe.publish.manifest import MANIFEST, Manifest, digest, in_the_way, read_manifest
from firmripe.publish.pages.places import StandingSite, made_for_all
from firmripe.publish.refusing import Refused, Unfinished
from firmripe.publish.site import make_index
from firmripe.publish.slugs import slugs
from firmripe.publish.theming import ThemeFault
from firmripe.publish.what_if import AHEAD
from firmripe.reading.own_theme import read_own_theme
from firmripe.reading.place_rows import PlaceRow, at_place, face_of, read_place_rows
from firmripe.shipped import program_mark, shelf_folder, theme_folder, theme_names
from firmripe.spreading import on_cluster, on_cores
from firmripe.words import counted

PLACE = "place.md"
_DONE = ".built"
"""The folder beside the sites that tells from what each was made. Without it all are built anew."""
_OUR_FAULT = "a fault of the program itself, not of the notes"
ENDED = "the system ended its process before it was done, perhaps for want of memory: run it again with fewer --cores"


class Order(Struct, frozen=True, kw_only=True):
    """What is asked for, alike for all places. `dated` says that the day was given and is not just the clock's."""

    out: Path
    season: int | None
    known_on: date
    today: date
    dated: bool
    reader: str = ""
    made_by: str = ""


class Unit(Struct, frozen=True, kw_only=True):
    """One place to build. `key` is its folder among the sites, `ledger` the folder that keeps what its feeds said."""

    key: str
    notes: Path
    ledger: Path
    order: Order
    row: PlaceRow | None = None

    @property
    def site(self) -> Path:
        """Where its site lies."""
        return self.order.out / self.key


class Ending(Enum):
    """What became of a place."""

    BUILT = "built"
    UNCHANGED = "unchanged"
    FAILED = "not built"


class Outcome(Struct, frozen=True, kw_only=True):
    """What became of a place, what stood in the way, and the seconds that a core spent on it."""

    key: str
    ending: Ending
    core_s: float = 0.0
    fault: str = ""


# Which places there are


def households_of(folder: Path, order: Order) -> tuple[Unit, ...]:
    """Return the households in a folder, by name: each folder in it that holds a place.md. Raises Unreadable."""
    if (folder / PLACE).is_file():
        message = f"{folder} is one household"
        raise Unreadable(message, "build it with `firmripe build`, or give a table of places with --places")
    found = sorted(path for path in folder.iterdir() if not path.name.startswith(".") and (path / PLACE).is_file())
    if not found:
        raise Unreadable(f"no folder in {folder} holds a {PLACE}", "put each household into a folder of its own")
    keys = _keys(path.name for path in found)
    return tuple(Unit(key=keys[path.name], notes=path, ledger=path, order=order) for path in found)


def places_of(table: Path, notes: Path, order: Order) -> tuple[Unit, ...]:
    """Return the places of a table, at each of which the same notes hold. Raises FaultyNotes, Unreadable, OSError."""
    if table.resolve().parent == notes.resolve():
        raise Unreadable(f"{table} lies among the notes", "put it beside their folder")
    problems = Problems()
    try:
        text = table.read_bytes().decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError:
        text = ""
        problems.add(Where(str(table)), "the file is not in UTF-8", "save it again with the encoding UTF-8")
    rows = read_place_rows(text, str(table), problems) if not problems.problems else ()
    problems.stop_if_any()
    keys = _keys(row.name for row in rows)
    ledgers = table.with_name(f"{table.stem}.ledgers")
    return tuple(
        Unit(key=keys[row.name], notes=notes, ledger=ledgers / keys[row.name], order=order, row=row) for row in rows
    )


def _keys(names: Iterable[str]) -> dict[str, str]:
    return slugs(["/static", *names])  # the folder of that name holds the style of the page of all


def part_of(units: Sequence[Unit], part: str) -> tuple[Unit, ...]:
    """Return one part of many, as `3/40`: every fortieth place from the third on. Raises Unreadable."""
    which, _, of = part.partition("/")
    hint = "write which part of how many, as 3/40"
    if not (which.isdecimal() and of.isdecimal()):
        raise Unreadable(f'"{part}" is no part', hint)
    number, parts = int(which), int(of)
    if not 1 <= number <= parts:
        raise Unreadable(f'"{part}" is no part: the number is from 1 to how many there are', hint)
    return tuple(units[number - 1 :: parts])


# One place


def build_unit(unit: Unit) -> Outcome:
    """Build one place, or leave it where it stands as it would be built. Whatever goes wrong is told."""
    begun = time.thread_time()
    ending, fault = Ending.FAILED, ""
    try:
        ending = _built(unit)
    except (FaultyNotes, Unreadable, Refused, Busy, Unfinished, ThemeFault) as error:
        fault = str(error)
    except OSError as error:
        fault = refused_by_system(error)
    except Exception as error:  # noqa: BLE001 - a fault of the program's own at one place ends no other
        fault = f"{_OUR_FAULT}:\n{''.join(traceback.format_exception(error)[-3:])}"
    return Outcome(key=unit.key, ending=ending, core_s=time.thread_time() - begun, fault=fault)


def _built(unit: Unit) -> Ending:
    order = unit.order
    if unit.row and unit.row.faults:
        raise FaultyNotes(unit.row.faults)
    if unit.row:
        disk.make_folder(unit.ledger)
    with alone(unit.ledger):
        made_from = _made_from(unit)
        if _told(unit) == _telling(unit, made_from):
            return Ending.UNCHANGED
        at = partial(at_place, row=unit.row, key=unit.key) if unit.row else None
        plan = site_plan_of(unit.notes, order.season, order.known_on, order.reader, at)
        trial = what_if_of(plan, unit.ledger, order.today, asked=False, dated=order.dated)
        write_plan(plan, unit.notes, unit.site, trial=trial is not None, ledger=unit.ledger)
        disk.write(order.out / _DONE / unit.key, _telling(unit, made_from))
    return Ending.BUILT


def _told(unit: Unit) -> bytes | None:
    """Return what was told of a place when it was last built, if its site stands as that build left it."""
    manifest = read_manifest(unit.site)
    try:
        if manifest and all(digest((unit.site / name).read_bytes()) == held for name, held in manifest.files.items()):
            return (unit.order.out / _DONE / unit.key).read_bytes()
    except OSError:
        pass
    return None


def _telling(unit: Unit, made_from: str) -> bytes:
    """Return what is told of a place that was built: hashes of what it was made from and of what came of it."""
    held = {"ledger": unit.ledger / LEDGER, "site": unit.site / MANIFEST}
    told = {name: digest(path.read_bytes()) if path.is_file() else "" for name, path in held.items()}
    return (json.dumps({"made from": made_from, **told}, indent=0) + "\n").encode()


def _made_from(unit: Unit) -> str:
    """Return a hash of all that a site is made from but its ledger: program, order, place and every file of notes."""
    order = unit.order
    row = sorted((name, text.value) for name, text in unit.row.cells.items()) if unit.row else []
    is_ahead = order.dated and order.known_on > order.today + AHEAD  # then no ledger is kept
    asked = [order.made_by, order.season, order.known_on.isoformat(), order.dated, is_ahead, order.reader, unit.key]
    found = hashlib.sha256(json.dumps([*asked, row]).encode())
    for path in _files_of(unit.notes):
        name = os.fsencode(path.relative_to(unit.notes).as_posix())
        found.update(f"\n{len(name)} {digest(path.read_bytes())} ".encode() + name)
    return found.hexdigest()


def _files_of(notes: Path) -> Iterator[Path]:
    """Give all files of a folder of notes in order, without the sites and the ledger that builds put there."""
    for folder, below, names in os.walk(notes, followlinks=True):
        is_top = Path(folder) == notes
        below[:] = sorted(name for name in below if not name.startswith(".") and not (is_top and is_site(name)))
        for name in sorted(names):
            if not name.startswith(".") and not (is_top and name == LEDGER) and (Path(folder) / name).is_file():
                yield Path(folder) / name


def made_by() -> str:
    """Return a mark of all that makes a site beside the notes: the program, what it works with, shelf and themes."""
    found = hashlib.sha256(program_mark() or b"")
    for top in (shelf_folder(), *map(theme_folder, theme_names())):
        for path in sorted(path for path in top.rglob("*") if path.is_file()):
            name = f"{top.name}/{path.relative_to(top).as_posix()}"
            found.update(f"\n{name} {digest(path.read_bytes())}".encode())
    return found.hexdigest()


# All of them


def build_all(units: Sequence[Unit], cores: int, cluster: str = "") -> Iterator[Outcome]:
    """Build places on so many cores of this machine, or on a cluster, and give what became of each as it is done.

    Raises Refused where the folder for the sites holds other things, NoCluster and OSError; what a place alone lacks
    is told of it.
    """
    if units:
        _take(units[0].order.out)
    done = on_cluster(build_unit, [*map(_anywhere, units)], cluster) if cluster else on_cores(build_unit, units, cores)
    for unit, outcome in done:
        yield outcome or Outcome(key=unit.key, ending=Ending.FAILED, fault=ENDED)


def _anywhere(unit: Unit) -> Unit:
    """Return a unit that says the same to a process that works in another folder."""
    order = replace(unit.order, out=unit.order.out.absolute())
    return replace(unit, notes=unit.notes.absolute(), ledger=unit.ledger.absolute(), order=order)


def _take(out: Path) -> None:
    """Make the folder for the sites, or take one that an earlier run made. Raises Refused."""
    if out.exists() and not out.is_dir():
        raise Refused(f"{out} is a file; name a folder for the sites")
    if out.is_dir() and any(out.iterdir()) and not (out / _DONE).is_dir():
        raise Refused(f"{out} holds files that are no sites built here; name an empty or a new folder")
    disk.make_folder(out / _DONE)


def write_index(units: Sequence[Unit], top: Path) -> int:
    """Write the page of all places that stand, and say how many they are. `top` names it and gives its own theme.

    Raises Refused, ThemeFault, FaultyNotes and OSError.
    """
    if not units:
        return 0
    out = units[0].order.out
    _take(out)
    standing = [site for unit in units if (site := _standing(unit)) is not None]
    if standing:
        _put_index(out, standing, _face(units, top), top if units[0].row else None)
    return len(standing)


def _put_index(out: Path, standing: Sequence[StandingSite], face: Place, notes: Path | None) -> None:
    problems = Problems()
    own = read_own_theme(notes, problems) if notes else None
    problems.stop_if_any()
    files = make_index(standing, face, theme_folder(face.theme), own)
    manifest = Manifest.of(files, made_for_all(standing))
    with alone(out):
        finished_in_place(out)
        former = read_manifest(out) or Manifest()
        others = {name for name in files if (out / name).exists()} - set(former.files)
        if clash := in_the_way(others, set(files)):
            raise Refused(f"{out / clash[0]} was not written by a build; move it away first")
        put_in_place(out, {**files, MANIFEST: manifest.as_bytes(frozenset())}, former.files)


def _standing(unit: Unit) -> StandingSite | None:
    """Return what a place's site says of itself; None where none stands."""
    manifest = read_manifest(unit.site)
    try:
        told = json.loads((unit.site / "plan.json").read_text(encoding="utf-8"))
        as_of = date.fromisoformat(told["as_of"])
        name, season = str(told["place"]), int(told["season"])
    except (OSError, ValueError, KeyError, TypeError):
        return None
    made_for = manifest.made_for if manifest else ""
    return StandingSite(key=unit.key, name=name, season=season, as_of=as_of, made_for=made_for)


def _face(units: Sequence[Unit], top: Path) -> Place:
    """Return the place whose look and language the page of all has: what all places agree in, under the name of all."""
    if units[0].row:
        return face_of(top, theme_names())
    faces = [face_of(unit.notes, theme_names()) for unit in units]
    plain = Place(name=top.resolve().name, ground=Ground())
    same_theme = len({face.theme for face in faces}) == 1
    same_tongue = len({face.tongue.code for face in faces}) == 1
    plain = replace(plain, theme=faces[0].theme) if same_theme else plain
    return replace(plain, tongue=faces[0].tongue) if same_tongue else plain


def report(done: Sequence[Outcome], out: Path, listed: int | None) -> str:
    """Say how many places were built and what a place cost; `listed` are those on the page of all, None without one."""
    counts = {ending: sum(one.ending is ending for one in done) for ending in Ending}
    lines = []
    if done:
        told = [f"{counted(counts[Ending.BUILT], 'place')} built"]
        told += [
            f"{number} {ending.value}" for ending, number in counts.items() if number and ending is not Ending.BUILT
        ]
        lines.append(f"{', '.join(told)}.")
    if costs := sorted(one.core_s for one in done if one.ending is Ending.BUILT):
        spread = f" ({costs[0]:.1f} to {costs[-1]:.1f} s)" if len(costs) > 1 else ""
        lines.append(f"A place took one core {sum(costs) / len(costs):.1f} s{spread}, all of them {sum(costs):.1f} s.")
    if listed is None:
        lines.append(f"The sites lie in {out}. When all parts are built, --index makes the page of all places.")
    elif listed:
        lines.append(f"{counted(listed, 'place')} on the page of all. Open {out / 'index.html'}")
    else:
        lines.append("No site stands, so there is no page of all places.")
    return "\n".join(lines)
