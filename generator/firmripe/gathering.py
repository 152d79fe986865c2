"""What was noted elsewhere brought into the records: sorted out, merged, and nothing lost on the way."""

from __future__ import annotations

import codecs
import contextlib
import os
import re
import shutil
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from enum import Enum
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from firmripe.days import WorkingYear
from firmripe.doubts import doubts_of
from firmripe.harvest.following import follow
from firmripe.holding.crops import of_their_crops
from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.holding.record import LEAVINGS, PICKINGS, Happening, Record
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.holding.weather import Weather
from firmripe.problems import FaultyNotes, Problem, Problems, Unreadable, Where, folded, name_key
from firmripe.publish.locking import alone
from firmripe.reading.exports import OWN, Compared, compared, is_export, read_export, with_days
from firmripe.reading.folder import LARGEST, SHEET, Sheet
from firmripe.reading.headings import KEPT, Headings, TableQuestion, is_table, parse_headings, questions, retold
from firmripe.reading.lines import FoundLine, Vocabulary, find_lines, lines_of, row_of, with_lines
from firmripe.reading.reader import read_holding
from firmripe.reading.records import COLUMNS, happenings, read_records
from firmripe.reading.weather import read_weather
from firmripe.season.estimate import Estimate
from firmripe.season.season import Season, SeasonModel
from firmripe.shipped import shelf_folder, theme_names

LEFT = "left-over.txt"
"""The file in the folder of the notes that keeps lines which were not taken, until somebody sorts them out."""
PASTED = "what was pasted"
_RECORDS = "records"
WEATHER = "weather/gathered.csv"
"""The table in the folder of the notes that days of a weather station go into."""
_SHEETS = frozenset({".csv", ".tsv"})
_LIKE_ONE = PICKINGS | (LEAVINGS - {Happening.SHARED}) | {Happening.STORED, Happening.LEFT}
_HEAD = re.compile(r"(?:Held back|Left over) on \d{4}-\d\d-\d\d, from .*:")
_ORDER = {happening: rank for rank, happening in enumerate(Happening)}


class Fate(Enum):
    """What became of a line."""

    TAKEN = "taken"
    THERE = "there already"
    DOUBTFUL = "doubtful"
    UNCLEAR = "can't be read"


class GatheredText(Struct, frozen=True, kw_only=True):
    """A text that may hold lines, and the file it stands in; a text without one was pasted, and nobody else keeps it.

    `by` is who noted what nobody is named beside.
    """

    name: str
    text: str
    path: Path | None = None
    by: str = ""


class Sorted(Struct, frozen=True, kw_only=True):
    """A line and what became of it; `why` it is doubtful or can't be read, or, of one taken, what to look at.

    `record` is what it says, `others` the same of the other trees where it names a row or a range.
    """

    line: FoundLine
    fate: Fate
    why: tuple[Problem, ...] = ()
    record: Record | None = None
    others: tuple[Record, ...] = ()


class Moved(Struct, frozen=True, kw_only=True):
    """A day of the plan that the new lines moved, or gave or took; `name` is that of the cultivar.

    `later` is the season it is of, where that is not the one they were noted in.
    """

    bearing: Bearing
    name: str
    what: Event | Stage
    before: date | None
    after: date | None
    later: int = 0


class Stationed(Struct, frozen=True, kw_only=True):
    """What came of a table of weather: how its days stand beside those in the notes, and what could not be read."""

    name: str
    days: Compared
    empty: int
    partial: int


class Gathered(Struct, frozen=True, kw_only=True):
    """What came of a gathering: each line, words around pasted ones, the files written, and what moved in the plan.

    `stations` are the tables of weather among the texts.
    """

    lines: tuple[Sorted, ...]
    rest: tuple[Where, ...]
    files: tuple[str, ...]
    moved: tuple[Moved, ...]
    stations: tuple[Stationed, ...] = ()

    def of(self, *fates: Fate) -> tuple[Sorted, ...]:
        """Return the lines that came to one of these fates."""
        return tuple(line for line in self.lines if line.fate in fates)


Agree = Callable[[FoundLine, Sequence[Problem]], bool]
"""Whether a doubtful line is to be taken all the same."""


def never(_line: FoundLine, _why: Sequence[Problem]) -> bool:
    """Take no doubtful line."""
    return False


def always(_line: FoundLine, _why: Sequence[Problem]) -> bool:
    """Take every doubtful line."""
    return True


def gather(
    folder: Path, sources: Sequence[GatheredText], known_on: date, *, agree: Agree = never, write: bool = True
) -> Gathered:
    """Merge the lines of some texts into the records of a household, and say what that moves in its plan.

    A line that stands there already is not taken twice, one that can hardly be meant only where `agree` says so; what
    is not taken is kept in `LEFT`. Each file is written whole or not at all, and a run that was cut off can be run
    again. Raises FaultyNotes where the notes themselves can't be read, Unreadable, Busy and OSError.
    """
    with alone(folder):
        holding = read_holding(folder, shelf_folder(), theme_names())
        words = words_of(holding)
        known = headings_of(folder, words)
        tables = [source for source in sources if is_foreign(source, words)]
        exports = [source for source in tables if is_export(source.text, known)]
        stations, weather = _stationed(folder, holding, exports, known)
        told = [replace(s, text=retold(s.text, known)) if s in tables else s for s in sources if s not in exports]
        found = [(source, find_lines(source.text, source.name, words)) for source in told]
        candidates = [replace(line, beside=line.beside or s.by) for s, one in found for line in one.lines]
        lines, merged = sort_out(holding, candidates, known_on, agree)
        rest = tuple(where for source, one in found if source.path is None for where in one.rest)
        drafts = _left_over(folder, sources, lines, rest, known_on)
        drafts |= _merged(folder, holding, [one for one in lines if one.fate is Fate.TAKEN])
        drafts |= weather
        merged = _with_days(merged, stations)
        if write:
            for path, (former, text) in drafts.items():
                _put(path, former, text)
    return Gathered(
        lines=lines,
        rest=rest,
        files=tuple(path.relative_to(folder).as_posix() for path in drafts),
        moved=what_moved(holding, merged, known_on) if merged is not holding else (),
        stations=stations,
    )


def waiting(folder: Path) -> tuple[Problem, ...]:
    """Return a warning where lines wait that were not taken."""
    within = "" if folder == Path() else f" --in {folder}"
    hint = f"mend them there, then run firmripe gather {folder / LEFT}{within}"
    there = (folder / LEFT).is_file()
    return (Problem(Where(LEFT), "lines stand here that were not taken into the records", hint),) if there else ()


def texts_of(path: Path, by: str = "") -> list[GatheredText]:
    """Return the text of a file, or of each file in a folder, hidden ones left out. Raises OSError."""
    paths = sorted(one for one in path.iterdir() if one.is_file()) if path.is_dir() else [path]
    seen = [one for one in paths if one == path or not one.name.startswith(".")]
    return [GatheredText(name=str(one), text=decoded(one.read_bytes()), path=one, by=by) for one in seen]


def decoded(data: bytes) -> str:
    """Return bytes as text whatever program saved them; no line is lost for a character that can't be read."""
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def likeliest(holding: Holding, tag: str, today: date) -> Happening:
    """Return what is likeliest to be noted next of a tree in the season of a day."""
    year = holding.place.working_year_of(today).year
    name = tag.partition("/")[0]
    seen = {r.what for r in holding.records if r.season == year and name_key(r.tree) == name_key(name)}
    if Happening.LAST_PICK in seen:
        return Happening.STORED
    if seen & PICKINGS:
        return Happening.PICK
    unseen = any(name_key(tree.tag) == name_key(name) and tree.blooms_unseen for tree in holding.trees)
    return Happening.FIRST_PICK if unseen or Happening.FULL_BLOOM in seen else Happening.FULL_BLOOM


def words_of(holding: Holding) -> Vocabulary:
    """Return what lines may speak of in a household."""
    by_tag = {name_key(tree.tag): tree for tree in holding.trees}
    tongue = holding.place.tongue
    return Vocabulary(trees=by_tag, happenings=happenings(tongue), tongue=tongue)


# Tables under other headings


def headings_of(folder: Path, words: Vocabulary) -> Headings:
    """Return what a household said of headings before. Raises FaultyNotes, OSError."""
    problems = Problems()
    path = folder / KEPT
    known = parse_headings(decoded(path.read_bytes()) if path.is_file() else "", words, problems)
    problems.stop_if_any()
    return known


def asked_of(folder: Path, sources: Sequence[GatheredText]) -> tuple[TableQuestion, ...]:
    """Return what is still to be said before the tables among some texts can be read. Raises FaultyNotes, OSError."""
    words = words_of(read_holding(folder, shelf_folder(), theme_names()))
    known = headings_of(folder, words)
    tables = [source for source in sources if is_foreign(source, words)]
    return tuple(dict.fromkeys(one for source in tables for one in questions(source.text, known, words)))


def is_foreign(source: GatheredText, words: Vocabulary) -> bool:
    """Say whether a text is a table under headings of its own, in which no line is one already; a message is none."""
    if source.path is None or source.path.suffix.casefold() not in _SHEETS or not is_table(source.text):
        return False
    lines = find_lines(source.text, source.name, words).lines
    return not any(words.happening(line.cells.get("what", "")) for line in lines)


def keep_answers(folder: Path, lines: Sequence[str]) -> None:
    """Keep answers about headings beside the notes, below those given before. Raises OSError."""
    path = folder / KEPT
    former = path.read_bytes() if path.exists() else None
    text = decoded(former or b"") or "# What headings and words of other tables mean.\n"
    end = "" if text.endswith("\n") else "\n"
    _put(path, former, f"{text}{end}" + "".join(f"{line}\n" for line in lines))


# Weather of a station


def _stationed(
    folder: Path, holding: Holding, sources: Sequence[GatheredText], known: Headings
) -> tuple[tuple[Stationed, ...], dict[Path, tuple[bytes | None, str]]]:
    """Set tables of weather beside the days in the notes; return that, and the table that takes the new ones.

    Raises Unreadable for a table without days, FaultyNotes for temperatures that can't be.
    """
    path = folder / WEATHER
    former = path.read_bytes() if path.exists() else None
    text = (former or b"").decode("utf-8-sig")
    weather = holding.weather
    there = {
        day: (low, high)
        for day, low, high in zip(weather.days, weather.tmin_c, weather.tmax_c, strict=True)
        if day not in weather.filled
    }
    there |= read_export(text, OWN).days if text else {}
    found: list[Stationed] = []
    new: dict[date, tuple[float, float]] = {}
    for source in sources:
        export = read_export(source.text, known)
        days = compared(export.days, there | new)
        new |= days.new
        found.append(Stationed(name=source.name, days=days, empty=export.empty, partial=len(export.partial)))
    if not new:
        return tuple(found), {}
    problems = Problems()
    read_weather([Sheet(file=WEATHER, key="gathered", text=with_days("", new))], problems)
    problems.stop_if_any()
    return tuple(found), {path: (former, with_days(text, new))}


def _with_days(holding: Holding, stations: Sequence[Stationed]) -> Holding:
    """Return the holding with the new days of some stations."""
    new = {day: temps for station in stations for day, temps in station.days.new.items()}
    if not new:
        return holding
    weather = holding.weather
    before = zip(weather.days, zip(weather.tmin_c, weather.tmax_c, strict=True), strict=True)
    read = {day: temps for day, temps in before if day not in weather.filled} | new
    return replace(holding, weather=Weather.of(read, weather.doubtful))


# Sorting out


def sort_out(
    holding: Holding, lines: Sequence[FoundLine], known_on: date, agree: Agree = never
) -> tuple[tuple[Sorted, ...], Holding]:
    """Return what becomes of each line, and the holding with those that are taken.

    They are looked at in the order of the year, whatever order they came in, so that the outcome does not hang on it.
    """
    words = words_of(holding)
    read = [_read(holding, words, line) for line in lines]
    done: list[Sorted] = []
    for one in sorted(read, key=_in_order):
        record = one.record
        if record is None:
            done.append(one)
            continue
        told = (record, *one.others)
        alike = [[other for other in holding.records if _head(other) == _head(each)] for each in told]
        if all(any(_says_all_of(o, each) for o in others) for each, others in zip(told, alike, strict=True)):
            done.append(replace(one, fate=Fate.THERE, why=()))
            continue
        trial = _with(holding, told)
        tags = dict.fromkeys(each.tree for each in told)
        new = {doubt for tag in tags for doubt in _doubts(trial, tag, known_on) - _doubts(holding, tag, known_on)}
        odd = [doubt for each, others in zip(told, alike, strict=True) for doubt in _at_once(each, others, known_on)]
        why = (*dict.fromkeys(odd), *sorted(new))
        if why and not agree(one.line, why):
            done.append(replace(one, fate=Fate.DOUBTFUL, why=why))
            continue
        holding = trial
        done.append(one)
    return tuple(done), holding


def _doubts(holding: Holding, tag: str, known_on: date) -> set[Problem]:
    """Return what is to be asked about one tree's lines, or about those of the whole place."""
    trees = tuple(tree for tree in holding.trees if tree.tag == tag)
    records = tuple(record for record in holding.records if record.tree == tag)
    return set(doubts_of(replace(holding, trees=trees, records=records), known_on))


def _in_order(one: Sorted) -> tuple[object, ...]:
    record, cells = one.record, row_of(one.line.cells)
    if record is None:
        return (date.max, 0, cells, one.line.beside, one.line.where)
    return (record.day, _ORDER[record.what], cells, one.line.beside, one.line.where)


def _read(holding: Holding, words: Vocabulary, line: FoundLine) -> Sorted:
    """Read a line as a build would."""
    problems = Problems()
    text = f"{','.join(COLUMNS)}\n{row_of(line.cells)}\n"
    found = read_records(
        Sheet(file=line.where.file, key="", text=text),
        words.trees,
        holding.place,
        problems,
    )
    asked = tuple(replace(problem, where=line.where) for problem in problems.asked)
    try:
        problems.stop_if_any()
    except FaultyNotes as faulty:
        why = tuple(replace(problem, where=line.where) for problem in faulty.problems)
        return Sorted(line=line, fate=Fate.UNCLEAR, why=why)
    record, *others = (replace(one, where=line.where) for one in found)
    plain = _plain(line, record, is_of_many=bool(others))
    return Sorted(line=plain, fate=Fate.TAKEN, why=asked, record=record, others=tuple(others))


def _plain(line: FoundLine, record: Record, *, is_of_many: bool) -> FoundLine:
    """Return a line in the words of the records: the day as numbers, tag and crop as the notes have them.

    A range of trees stays as it was written.
    """
    cells = {**line.cells} if is_of_many else {**line.cells, "tree": record.tree, "crop": record.crop}
    if not re.fullmatch(r"\d{4}", cells["date"]):
        cells["date"] = f"{'about ' if record.about else ''}{record.day.isoformat()}"
    if folded(cells["what"]) == folded(record.what.value):
        cells["what"] = record.what.value
    return replace(line, cells={name: cell for name, cell in cells.items() if cell})


def _with(holding: Holding, records: Sequence[Record]) -> Holding:
    """Return a holding with more records, each, as those of its tree, in the season of its crop."""
    merged = (*holding.records, *records)
    in_order = sorted(merged, key=lambda r: (r.day, r.tree, r.cultivar, r.crop, r.what.value, r.where))
    tags = {record.tree for record in records}
    own = iter(of_their_crops((one for one in in_order if one.tree in tags), holding.trees, holding.place))
    return replace(holding, records=tuple(next(own) if one.tree in tags else one for one in in_order))


def _head(record: Record) -> tuple[object, ...]:
    """Return what two lines have in common that may be one; the season of either hangs on the lines around it."""
    return (record.day, record.of_season, record.tree, record.cultivar, record.crop, record.what)


def _words(text: str) -> str:
    return " ".join(text.casefold().split())


def _measure(record: Record) -> object:
    return record.parts or record.firmness_n or _words(record.amount)


def _says_all_of(other: Record, record: Record) -> bool:
    """Say whether a line holds all that another one says of the same happening on the same day."""
    same_amount = not record.amount or _measure(other) == _measure(record)
    return same_amount and (not record.note or _words(other.note) == _words(record.note))


def _at_once(record: Record, alike: Sequence[Record], known_on: date) -> list[Problem]:
    """Ask about a day to come, and about what may be one happening that two people noted."""
    found = []
    if record.day > known_on and record.what is not Happening.FREEZE_FORECAST:
        found.append(Problem(record.where, f"{record.day} is still to come", "was another day meant?"))
    for other in alike:
        if record.what in _LIKE_ONE and record.amount and _measure(other) == _measure(record):
            where = f"{other.where.file}:{other.where.line}"
            message = f"the same amount stands for that day in {where}, with other words"
            found.append(Problem(record.where, message, "was it noted twice?"))
    return found


# Files


def _merged(folder: Path, holding: Holding, taken: Sequence[Sorted]) -> dict[Path, tuple[bytes | None, str]]:
    """Return each file of records that lines go into: what it holds now, and what it is to hold."""
    by_file: dict[str, list[FoundLine]] = {}
    for one in taken:
        if one.record is not None:
            by_file.setdefault(_file_for(folder, holding, one.record.season), []).append(one.line)
    found: dict[Path, tuple[bytes | None, str]] = {}
    for file, lines in by_file.items():
        path = folder / file
        former = path.read_bytes() if path.exists() else None
        text = with_lines((former or b"").decode("utf-8"), sorted(lines, key=lambda line: line.beside))
        if len(text.encode()) > LARGEST[SHEET]:
            raise Unreadable(f"{file} would be longer than {LARGEST[SHEET] // 1000:,} kB", "split it first")
        found[path] = former, text
    return found


def _file_for(folder: Path, holding: Holding, season: int) -> str:
    """Return the table for a season: that of its year, else the one that most of it stands in, else the only one."""
    usual = f"{_RECORDS}/{season}.csv"
    if (folder / usual).exists():
        return usual
    told = Counter(r.where.file for r in holding.records if r.season == season)
    if told:
        return min(told, key=lambda file: (-told[file], file))
    files = sorted({r.where.file for r in holding.records})
    return files[0] if len(files) == 1 and not re.search(r"\d{4}\.csv$", files[0], re.IGNORECASE) else usual


def _left_over(
    folder: Path, sources: Sequence[GatheredText], lines: Sequence[Sorted], rest: Sequence[Where], known_on: date
) -> dict[Path, tuple[bytes | None, str]]:
    """Return the file of what was not taken, where that changes: what it holds now, and what it is to hold."""
    path = folder / LEFT
    former = path.read_bytes() if path.exists() else None
    text = told_before = decoded(former or b"")
    ours = {source.name for source in sources if source.path and source.path.resolve() == path.resolve()}
    if ours:
        text = _without(text, [one for one in lines if one.line.where.file in ours])
    known = set(lines_of(text))
    held: dict[str, dict[str, list[Problem]]] = {}
    for one in sorted(lines, key=lambda one: one.line.where):
        if one.fate in {Fate.DOUBTFUL, Fate.UNCLEAR} and one.line.where.text not in known:
            held.setdefault(one.line.where.file, {}).setdefault(one.line.where.text, []).extend(one.why)
    for name, whys in held.items():
        told = [row for typed, why in whys.items() for row in (typed, *(f"  {p.message}; {p.hint}" for p in why))]
        text = _appended(text, f"Held back on {known_on}, from {name}:", told)
    chatter = [where for where in rest if where.text not in known]
    for name in dict.fromkeys(where.file for where in chatter):
        told = [where.text for where in chatter if where.file == name]
        text = _appended(text, f"Left over on {known_on}, from {name}:", told)
    return {path: (former, text)} if text != told_before else {}


def _appended(text: str, head: str, rows: Sequence[str]) -> str:
    before = f"{text.rstrip()}\n\n" if text.strip() else ""
    return f"{before}{head}\n" + "".join(f"{row}\n" for row in rows)


def _without(text: str, lines: Sequence[Sorted]) -> str:
    """Return the left over without what was taken from it, with no reason and no heading that stands alone."""
    open_lines = {one.line.where.line for one in lines if one.fate in {Fate.DOUBTFUL, Fate.UNCLEAR}}
    gone = {one.line.where.line for one in lines} - open_lines
    blocks: list[list[str]] = [[]]
    is_gone = False
    for number, row in enumerate(lines_of(text), 1):
        is_gone = number in gone or (is_gone and row.startswith("  "))
        if _HEAD.fullmatch(row):
            blocks.append([])
        if not is_gone and row.strip():
            blocks[-1].append(row)
    kept = [block for block in blocks if any(not _HEAD.fullmatch(row) for row in block)]
    return "\n".join("".join(f"{row}\n" for row in block) for block in kept)


def _put(path: Path, former: bytes | None, text: str) -> None:
    """Let a file hold a text, or take it away where that is empty; whole, and only if nobody wrote in it meanwhile."""
    path = path.resolve()
    path.parent.mkdir(parents=True, exist_ok=True)
    draft = path.with_name(f".{path.name}.new")
    try:
        with draft.open("wb") as opened:
            opened.write(text.encode())
            opened.flush()
            os.fsync(opened.fileno())
        if former is not None:
            shutil.copymode(path, draft)
        if (path.read_bytes() if path.exists() else None) != former:
            raise Unreadable(f"{path} was changed while lines were gathered", "run it again; nothing is lost")
        if text:
            draft.replace(path)
        else:
            path.unlink(missing_ok=True)
    finally:
        with contextlib.suppress(FileNotFoundError):
            draft.unlink()


# What moved


def what_moved(before: Holding, after: Holding, known_on: date) -> tuple[Moved, ...]:
    """Return what new records move in the plan of the season that a day lies in, in walking order.

    Verdicts on this season's fruit move the next one as well, and are told of there.
    """
    year = before.place.working_year_of(known_on)
    moved = _moved_in(year, before, after, known_on)
    told = [sum(record.what is Happening.VERDICT for record in holding.records) for holding in (before, after)]
    if told[1] > told[0]:
        ahead = year.named(year.year + 1)
        moved += [replace(one, later=ahead.year) for one in _moved_in(ahead, before, after, known_on)]
    return tuple(moved)


def _moved_in(year: WorkingYear, before: Holding, after: Holding, known_on: date) -> list[Moved]:
    seasons = [SeasonModel(holding, year, known_on).season(judge_picks=False) for holding in (before, after)]
    former, now = (_days_of(season) for season in seasons)
    found: list[Moved] = []
    walk = {tree.tag: place for place, tree in enumerate(after.trees)}
    for key in sorted(dict.fromkeys([*former, *now]), key=lambda key: walk[key[0].tree]):
        bearing, what = key
        if former.get(key) != now.get(key):
            name = after.limb(bearing).name
            found.append(Moved(bearing=bearing, name=name, what=what, before=former.get(key), after=now.get(key)))
    return found


def _days_of(season: Season) -> Mapping[tuple[Bearing, Event | Stage], date]:
    lots = follow(season)
    days: dict[tuple[Bearing, Event | Stage], date] = {}
    for happens, dated in season.dates.items():
        if isinstance(dated, Estimate):
            days[happens.bearing, happens.event] = dated.likely
    for bearing, lot in lots.items():
        if Stage.READY in lot.days:
            days[bearing, Stage.READY] = lot.days[Stage.READY].likely
    return days
