"""Records from CSV tables: one line a happening."""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from typing import TypeVar

from msgspec import Struct
from msgspec.structs import replace

from firmripe.days import WorkingYear, parse_day, parse_day_count
from firmripe.holding.fruit import Cultivar
from firmripe.holding.jar import parse_left, parse_made
from firmripe.holding.place import Place
from firmripe.holding.record import PICKINGS, Happening, Record
from firmripe.holding.tree import Tree
from firmripe.holding.weight import NoNumber, Part, parse_amount, read_amount
from firmripe.problems import Problems, Unreadable, Where, folded, name_key, nearest, or_list
from firmripe.reading.bounds import check_amount, within
from firmripe.reading.folder import Sheet
from firmripe.reading.frontmatter import plain_key
from firmripe.reading.names import as_kept
from firmripe.reading.passages import ask_of_mark
from firmripe.tongue import Tongue
from firmripe.units import Interval, parse_count, parse_firmness, parse_temperature

T = TypeVar("T")

MOST_PROBLEMS = 100
"""After so many in one table the rest is not read: the whole table may have the same fault."""
COLUMNS = ("date", "tree", "cultivar", "crop", "what", "amount", "note")
COMMENT = "#"
"""A line that begins with it is passed over."""
_YEAR = re.compile(r"(?:18|19|20|21)[0-9]{2}")
_SEASON_ONLY = frozenset({Happening.NO_CROP, Happening.PART_CROP, Happening.LIGHT_CROP, Happening.HEAVY_CROP})
"""What may be noted of a season as a whole, with its year in the place of a day."""
_OF_A_TREE = PICKINGS | {
    Happening.FIRST_BLOOM,
    Happening.FULL_BLOOM,
    Happening.PETAL_FALL,
    Happening.FIRMNESS,
    Happening.REMOVED,
}
"""What can't be noted of the place as a whole."""
_RANGE = re.compile(r"\s*(?:\.{2,3}|…)\s*")
"""Between the first and the last tree of a range."""
_OF_MANY = PICKINGS | {
    *(Happening.SPRAY, Happening.FIRST_BLOOM, Happening.FULL_BLOOM, Happening.PETAL_FALL, Happening.LEAF_FALL),
    *(Happening.NO_CROP, Happening.PART_CROP, Happening.LIGHT_CROP, Happening.HEAVY_CROP),
    *(Happening.STORED, Happening.FROST, Happening.FREEZE_FORECAST, Happening.NOTE),
}
"""What may be noted of a row or a range at once; a reading, a count or a taste is of one tree."""
_OF_A_CROP = PICKINGS | {Happening.FIRST_BLOOM, Happening.FULL_BLOOM, Happening.PETAL_FALL}
"""What must say which crop it is of, on a tree that bears several a year."""
_SPRAY_HINT = "write the days from spray to harvest as the label gives them, for example 14 days"
_ENTRY_HINT = "write the label's re-entry time behind the days, for example 14 days, re-entry 12 hours"
_FORECAST_HINT = "write how cold it is to be, for example 26 F"
_WORK_BEGINS = time(8)
"""A day on which people may go in only after this hour counts as closed altogether: a job has a day, no hour. J."""
_EVENING = time(17)
"""A spray whose hour is not told was done by this one: its time is taken to end as late as it may. J."""
OF_FRUIT = PICKINGS | {
    *(Happening.STORED, Happening.TAKEN_OUT, Happening.LOST, Happening.SHARED, Happening.SOLD, Happening.USED_UP),
    *(Happening.SET, Happening.THINNED, Happening.DROP, Happening.WORMY_DROP),
}
"""Happenings whose amount is one of fruit."""
MOST_KG, MOST_COUNTED = 3_000, 50_000
"""More than this in one line is a slip of the pen. J."""
_MOST_SAID = f"one line tells of up to {MOST_KG:,} kg (6,600 lb), or {MOST_COUNTED:,} counted"
_MOST_TAGS = 8
"""So many tags are named where one of them must have been meant."""
_NO_FRUIT = frozenset({Happening.SPRAY, Happening.FIRMNESS, Happening.FREEZE_FORECAST})
"""Happenings whose amount is of something else, each with a reading of its own."""


def read_records(sheet: Sheet, trees: Mapping[str, Tree], place: Place, problems: Problems) -> list[Record]:
    """Read one table of records. `trees` are the trees by tag (see `name_key`), `place` has the spaces to be stored in.

    What happened may be written in English and in the household's language. A tree without limbs has a fault of its
    own, so nothing is said of its lines. A tag that no tree has is one fault, however many lines name it.
    """
    strange: dict[str, list[Where]] = {}
    found = _read(sheet, _Known(trees, place, strange, happenings(place.tongue)), problems)
    for tag, places in strange.items():
        hint = _tag_hint(tag, tuple(trees.values()))
        lines = f", which stands in {len(places)} lines" if len(places) > 1 else ""
        problems.add(places[0], f'no tree has the tag "{tag}"{lines}', hint)
    return found


def _tag_hint(tag: str, trees: Sequence[Tree]) -> str:
    """Return what to write for a tag that no tree has: people write a cultivar where its tree is asked for."""
    bearing = [tree.tag for tree in trees if any(folded(tag) in names_of_limb(limb) for limb in tree.limbs)]
    if bearing:
        named = or_list(bearing) if len(bearing) <= _MOST_TAGS else f"{', '.join(bearing[:_MOST_TAGS])} …"
        return f"write the tag of the tree that bears it: {named}"
    near = nearest(tag, [tree.tag for tree in trees])
    return f'did you mean "{near}"?' if near else "write the tag of a tree that has a note in trees/"


class _Known(Struct, frozen=True):
    """What a line may speak of. `strange` gathers the tags that no tree has, with their places."""

    trees: Mapping[str, Tree]
    place: Place
    strange: dict[str, list[Where]]
    words: Mapping[str, Happening]

    def happening(self, text: str) -> Happening:
        """Return what a line says happened. Raises Unreadable with the words there are in the household's language."""
        if text and (found := self.words.get(folded(text))) is not None:
            return found
        own = [self.place.tongue.translations.gettext(happening.value) for happening in Happening]
        if not text:
            raise Unreadable("the line does not say what happened", f"write {or_list(own)}")
        near = nearest(text, self._alike(text))
        raise Unreadable(f'"{text}" is not known here', f'did you mean "{near}"?' if near else f"write {or_list(own)}")

    def _alike(self, text: str) -> list[str]:
        """Return the words that one which is not known may be a slip for, in the household's language first.

        That there is no crop is none of them where the beginning differs: it was offered for a word for the crop.
        """
        meant = [one for one in Happening if one is not Happening.NO_CROP]
        own, english = ([say(one.value) for one in meant] for say in (self.place.tongue.translations.gettext, str))
        none = (self.place.tongue.translations.gettext(Happening.NO_CROP.value), Happening.NO_CROP.value)
        return [*own, *english, *(word for word in none if word[:1] == folded(text)[:1])]


def happenings(tongue: Tongue) -> dict[str, Happening]:
    """Return what a record can say by the folded words for it: the English ones and, after them, a language's own."""
    english = {folded(happening.value): happening for happening in Happening}
    own = {folded(tongue.translations.gettext(happening.value)): happening for happening in Happening}
    return {**own, **english}


def rows_of(text: str) -> Iterator[tuple[int, list[str]]]:
    """Yield the rows of a table, each with the number of the line it begins on. Comments are empty rows.

    Raises csv.Error, with that number as its second argument.
    """
    begins = True

    def lines() -> Iterator[str]:
        nonlocal begins
        for line in io.StringIO(text, newline=""):
            is_comment, begins = begins and line.startswith(COMMENT), False
            yield "\n" if is_comment else line

    rows = csv.reader(lines(), skipinitialspace=True, strict=True)
    while True:
        begins, number = True, rows.line_num + 1
        try:
            row = next(rows)
        except StopIteration:
            return
        except csv.Error as error:
            unclosed = "end of data" in str(error)
            raise csv.Error(str(error), number if unclosed else rows.line_num) from error
        yield number, row


def _read(sheet: Sheet, known_here: _Known, problems: Problems) -> list[Record]:
    lines = sheet.text.split("\n")
    header: list[str] = []
    found = []
    known = problems.count
    try:
        for number, row in rows_of(sheet.text):
            faults = problems.count - known + len(known_here.strange)
            if faults >= MOST_PROBLEMS:
                message = f"{faults} problems stand above this line; what is below was not read"
                problems.add(line_at(sheet.file, number, lines), message, "mend those first")
                break
            where = line_at(sheet.file, number, lines)
            cells = [cell.strip() for cell in row]
            while cells and not cells[-1]:
                cells.pop()
            if not cells:
                continue
            if not header:
                header = [plain_key(cell) for cell in cells]
                if not _header_is_good(header, where, problems):
                    return []
                continue
            if len(cells) > len(header):
                message = f"the line has {len(cells)} columns, the first line names {len(header)}"
                problems.add(where, message, "put quotes around a note that holds a comma")
                continue
            found += _records_of(_Line(dict(zip(header, cells, strict=False)), where, known_here, problems))
    except csv.Error as error:
        problems.add(*unreadable_row(sheet.file, error, lines))
    return found


def _records_of(line: _Line) -> list[Record]:
    """Return what a line says: one record, or, where it names a row or a range, one for each of its trees."""
    trees = line.trees()
    if trees is None:
        record = line.record()
        return [record] if record is not None else []
    found = []
    total = sum(tree.count for tree in trees)
    for tree in trees:
        faults = line.problems.count
        record = replace(line, cells={**line.cells, "tree": tree.tag}).record()
        if line.problems.count > faults:
            return []  # what is wrong with one is wrong with all
        if record is not None:
            share = Fraction(tree.count, total)
            parts = tuple(replace(p, low=p.low * share, high=p.high * share) for p in record.parts)
            found.append(replace(record, parts=parts, of_row=line.cells["tree"]))
    return found


def line_at(file: str, number: int, lines: list[str]) -> Where:
    """Return where a line of a table stands."""
    return Where(file, number, 0, 1, lines[number - 1] if number <= len(lines) else "")


def unreadable_row(file: str, error: csv.Error, lines: list[str]) -> tuple[Where, str, str]:
    """Return where a table can't be read by an error of `rows_of`, why, and what to do."""
    said, number = error.args
    unclosed = "end of data" in said
    message = "a quote is opened here and never closed" if unclosed else f"this can't be read: {said}"
    return line_at(file, number, lines), message, "check the quotes on this line"


def add_unknown_column(name: str, columns: Sequence[str], where: Where, problems: Problems) -> None:
    """Note that the first line of a table names a column that is none of these."""
    near = nearest(name, columns)
    hint = f'did you mean "{near}"?' if near else f"columns are {or_list(columns)}"
    problems.add(where, f'the column "{name}" is not known' if name else "a column has no name", hint)


def _header_is_good(header: list[str], where: Where, problems: Problems) -> bool:
    if len(header) == 1 and re.search(r"[;\t]", where.text):
        problems.add(where, "the columns are not parted by commas", "save the table again as CSV with commas")
        return False
    unknown = [name for name in header if name not in COLUMNS]
    for name in unknown:
        add_unknown_column(name, COLUMNS, where, problems)
    missing = [name for name in ("date", "what") if name not in header]
    twice = len(set(header)) < len(header)
    if missing and not unknown:
        problems.add(where, f'the first line names no column "{missing[0]}"', f"write {','.join(COLUMNS)}")
    elif twice and not unknown:
        problems.add(where, "a column stands twice", "name each column once")
    return not (unknown or missing or twice)


def names_of_limb(limb: Cultivar) -> set[str]:
    """Return what a line may call a limb, each folded."""
    return {folded(name) for name in (limb.key, limb.name, *limb.also)}


def _on_scale(most: float, said: str, units: str) -> Callable[[str], Interval]:
    def read(text: str) -> Interval:
        return parse_count(re.sub(rf"\s*(?:{units})$", "", text.casefold()))

    return within(read, 0, most, said)


def _frost(text: str) -> Interval | None:
    """Read how cold a frost was; words without a number are words."""
    return _FROST(text) if re.search(r"\d", text) else None


_FROST = within(parse_temperature, -40, 8, "a frost is from -40 to 46 F (-40 to 8 C)")
_FORECAST = within(parse_temperature, -40, 4, "a freeze is from -40 to 39 F (-40 to 4 C)")
_TO_HARVEST = within(parse_day_count, 0, 366, "a label asks for up to a year to harvest")
_RE_ENTRY = within(parse_day_count, 0, 60, "a label keeps people out for up to 60 days")
_OTHER_AMOUNTS: Mapping[Happening, Callable[[str], object]] = {
    Happening.STARCH: _on_scale(10, "starch is told on a scale from 0 to 10", "of 10|/10"),
    Happening.BRIX: _on_scale(40, "fruit has from 0 to 40 degrees Brix", "°|°? ?bx|°? ?brix|%|degrees"),
    Happening.JARS: parse_made,
    Happening.LEFT: parse_left,
    Happening.FROST: _frost,
}
"""What the amount of a happening without fruit must be."""
TAKES_AMOUNT = OF_FRUIT | _NO_FRUIT | _OTHER_AMOUNTS.keys()
"""Happenings whose amount is read; beside any other a number is words."""


class _Line(Struct):
    cells: Mapping[str, str]
    where: Where
    known: _Known
    problems: Problems

    def trees(self) -> list[Tree] | None:
        """Return the trees of a row or a range, in walking order, those with its cultivar; None where it names one."""
        name = self.cells.get("tree", "")
        if not name or name_key(name) in self.known.trees:
            return None
        found = self._range(name) if _RANGE.search(name) else self._row(name)
        what = self.known.words.get(folded(self.cells.get("what", "")))
        if found is None or not found or what is None:
            return found
        if what not in _OF_MANY:
            self._fault("tree", f'"{what.value}" is noted of one tree at a time', "write a line for each tree")
            return []
        kind = folded(self.cells.get("cultivar", ""))
        own = [tree for tree in found if not kind or any(kind in names_of_limb(limb) for limb in tree.limbs)]
        if not own:
            self._fault("cultivar", f'no tree of {name} bears "{self.cells["cultivar"]}"', "mend one of the two")
        return own

    def _row(self, name: str) -> list[Tree] | None:
        """Return the trees whose note says that they stand in this row, bed or corner; None where none does."""
        return [tree for tree in self.known.trees.values() if folded(tree.part) == folded(name)] or None

    def _range(self, name: str) -> list[Tree]:
        """Return the trees from a first to a last one in walking order; a fault is noted, and nothing returned."""
        order = list(self.known.trees)
        written = _RANGE.split(name.strip(), maxsplit=1)
        ends = [name_key(end) for end in written]
        for key, end in zip(ends, written, strict=True):
            if key not in self.known.trees:
                near = nearest(end, [tree.tag for tree in self.known.trees.values()])
                hint = f'did you mean "{near}"?' if near else "write the tags of the first and the last tree"
                self._fault("tree", f'"{name}": no tree has the tag "{end}"', hint)
                return []
        first, last = (order.index(end) for end in ends)
        if last < first:
            message = f'"{name}" runs against the walking order'
            self._fault("tree", message, "write the tree that is met first, two points, and the last")
            return []
        return [self.known.trees[tag] for tag in order[first : last + 1]]

    def record(self) -> Record | None:
        """Return what the line says; None where it is faulty, with all its faults noted."""
        subject = self._subject()
        if subject is None:
            return None
        what, tree = subject
        dated = self._day(what)
        limb = self._limb(tree)
        crop = self._crop(tree, limb or "", what)
        label = self._label() if what is Happening.SPRAY else None
        forecast = self._forecast() if what is Happening.FREEZE_FORECAST else None
        firmness = self._read("amount", parse_firmness) if what is Happening.FIRMNESS else None
        parts = self._amount(what)
        ask_of_mark(self.cells.get("note", ""), self._spot("note"), self.problems)
        if what is Happening.STORED:
            self._check_space()
        lacking = {Happening.SPRAY: label is None, Happening.FREEZE_FORECAST: forecast is None}
        if dated is None or limb is None or lacking.get(what, False):
            return None
        day, season, about = dated
        return Record(
            day=day,
            season=season,
            what=what,
            tree=tree.tag if isinstance(tree, Tree) else "",
            cultivar=limb,
            crop=crop,
            about=about,
            of_season=_YEAR.fullmatch(self.cells["date"]) is not None,
            amount=self.cells.get("amount", ""),
            note=self.cells.get("note", ""),
            days_to_harvest=label.wait_d if label else None,
            firmness_n=firmness.middle if firmness else None,
            parts=parts,
            re_entry_d=label.closed_d(day) if label else 0,
            re_entry_h=label.re_entry_h if label else 0.0,
            open_again=label.open_again(day) if label else None,
            forecast_c=forecast,
            where=self.where,
        )

    def _subject(self) -> tuple[Happening, Tree | str] | None:
        """Return what happened and of which tree, empty for the whole place; None where one of them is not told."""
        what, tree = self._read("what", self.known.happening), self._tree()
        if what is None or tree is None:
            return None
        if not tree and what in _OF_A_TREE:
            self._fault("tree", f'"{what.value}" needs a tree', "write the tag of the tree it was noted on")
            return None
        return what, tree

    def _fault(self, column: str, message: str, hint: str) -> None:
        self.problems.add(self._spot(column), message, hint)

    def _spot(self, column: str) -> Where:
        start = 0
        for name, cell in self.cells.items():
            start = max(start, self.where.text.find(cell, start))
            if name == column:
                break
            start += len(cell)
        cell = self.cells.get(column, "")
        start = start if cell else 0
        return Where(self.where.file, self.where.line, start, max(1, len(cell)), self.where.text)

    def _read(self, column: str, parse: Callable[[str], T]) -> T | None:
        try:
            return parse(self.cells.get(column, ""))
        except Unreadable as error:
            self._fault(column, error.message, error.hint)
            return None

    def _day(self, what: Happening) -> tuple[date, int, bool] | None:
        text = self.cells.get("date", "")
        if not text:
            self._fault("date", "the line has no date", "write the day as 2027-08-20")
            return None
        if what in _SEASON_ONLY and _YEAR.fullmatch(text):
            year = WorkingYear(
                year=int(text), hemisphere=self.known.place.hemisphere, begins=self.known.place.season_begins
            )
            return year.first, year.year, True
        about = re.match(r"(?:about|ca\.?|~)\s*", text, re.IGNORECASE)
        plain = text[about.end() :] if about else text
        try:
            day = parse_day(plain)
            return (
                day,
                WorkingYear.of(day, self.known.place.hemisphere, self.known.place.season_begins).year,
                about is not None,
            )
        except Unreadable as error:
            self._fault("date", error.message, error.hint)
            return None

    def _tree(self) -> Tree | str | None:
        name = self.cells.get("tree", "")
        if not name:
            return ""
        tree = self.known.trees.get(name_key(name))
        if tree is None:
            self.known.strange.setdefault(name, []).append(self._spot("tree"))
        return tree if tree and tree.limbs else None

    def _limb(self, tree: Tree | str) -> str | None:
        name = self.cells.get("cultivar", "")
        if name and not isinstance(tree, Tree):
            self._fault("cultivar", "a cultivar stands here without a tree", "write the tag of the tree as well")
            return None
        if not name or not isinstance(tree, Tree):
            return ""
        for limb in tree.limbs:
            if folded(name) in names_of_limb(limb):
                return limb.key if len(tree.limbs) > 1 else ""
        limbs = or_list([limb.name for limb in tree.limbs])
        self._fault("cultivar", f'"{name}" is no limb of tree {tree.tag}', f"write {limbs}")
        return None

    def _amount(self, what: Happening) -> tuple[Part, ...]:
        """Return the fruit that a line tells of. No weight is passed over: what can't be weighed is told."""
        text = self.cells.get("amount", "")
        if not text or what in _NO_FRUIT:
            return ()
        if what in _OTHER_AMOUNTS:
            self._read("amount", _OTHER_AMOUNTS[what])
        if what not in OF_FRUIT:
            return () if what in _OTHER_AMOUNTS else self._aside(what, text)
        try:
            parts = parse_amount(text)
            for part in parts:
                check_amount(part, text, MOST_KG, MOST_COUNTED, _MOST_SAID)
        except NoNumber as words:
            if what is not Happening.SHARED:  # of which it is asked with the household that took it
                hint = f"{words.hint}; other words belong in the column note"
                self.problems.ask(self._spot("amount"), f"{words.message}, so nothing is weighed", hint)
            return ()
        except Unreadable as error:
            self._fault("amount", error.message, error.hint)
            return ()
        return parts

    def _aside(self, what: Happening, text: str) -> tuple[Part, ...]:
        """Ask about an amount of fruit beside a happening that has none, and note a share above the whole."""
        share = re.fullmatch(r"(?:about\s*)?(-?\d+(?:\.\d+)?)\s*%", text)
        if share and not 0 <= float(share[1]) <= 100:
            self._fault("amount", f'"{text}" can\'t be: a share is from 0 to 100 %', "write it as 50 %")
        parts = read_amount(text)
        if parts and what is not Happening.NOTE:
            message = f'"{text}" stands beside "{what.value}", of which no amount is read'
            self.problems.ask(self._spot("amount"), message, "is it in the right column and line?")
        return ()

    def _check_space(self) -> None:
        """Note a space that is misspelt, and ask about a line that names none of the spaces there are."""
        note, spaces = self.cells.get("note", ""), self.known.place.spaces
        if not note or not spaces or any(space.is_named_in(note) for space in spaces):
            return
        words = note.split()
        runs = {" ".join(words[i : i + n]) for n in range(1, 5) for i in range(len(words) - n + 1)}
        names = [space.name for space in spaces]
        near = next((name for name in names for run in sorted(runs) if nearest(run, [name])), None)
        if near:
            self._fault("note", "the note names no space of place.md", f'did you mean "{near}"?')
        else:
            hint = f"write {or_list(names)}, or tell of the space in place.md"
            self.problems.ask(self._spot("note"), "the note names no space of place.md, so the plan chooses one", hint)

    def _crop(self, tree: Tree | str, key: str, what: Happening) -> str:
        """Return the crop as the notes call it; one that the tree, or its limb of this key, does not bear is a fault.

        It may be written in the household's language, as the pages say it.

        So is none where there are several and it must be told.
        """
        crop = self.cells.get("crop", "")
        if not isinstance(tree, Tree):
            return crop
        limbs = [limb for limb in tree.limbs if limb.key == key] or tree.limbs
        crops = list(dict.fromkeys(crop for limb in limbs for crop in limb.crops if crop))
        crop = as_kept(crop, crops, self.known.place.tongue)
        if crop and crop not in crops:
            hint = f"write {or_list(crops)}" if crops else "leave the column empty"
            self._fault("crop", f'tree {tree.tag} has no crop "{crop}"', hint)
        elif not crop and len(crops) > 1 and what in _OF_A_CROP:
            message = f'tree {tree.tag} bears several crops a year, and "{what.value}" does not say which'
            self._fault("what", message, f"write {or_list(crops)} in the column crop")
        return crop

    def _forecast(self) -> float | None:
        """Return the lowest temperature of a freeze that is forecast (°C)."""
        if not self.cells.get("amount", ""):
            self._fault("amount", "a freeze forecast does not say how cold it is to be", _FORECAST_HINT)
            return None
        forecast = self._read("amount", _FORECAST)
        return forecast.low if forecast else None

    def _label(self) -> _Label | None:
        """Return what the label of a spray asks, as typed."""
        text = self.cells.get("amount", "")
        if not text:
            self._fault("amount", "a spray has no days to harvest", _SPRAY_HINT)
            return None
        first, _, rest = text.partition(",")
        entry = re.fullmatch(
            r"\s*re-?entry(?: after)?\s+(.+?)(?:\s+from\s+([01]?\d|2[0-3]):([0-5]\d))?", rest, re.IGNORECASE
        )
        if rest and entry is None:
            self._fault("amount", f'"{rest.strip()}" is no re-entry time', _ENTRY_HINT)
            return None
        try:
            count = _TO_HARVEST(first)
            closed = _RE_ENTRY(entry[1]) if entry else None
        except Unreadable as error:
            self._fault("amount", error.message, _SPRAY_HINT)
            return None
        return _Label(
            wait_d=math.ceil(count.high),
            re_entry_h=round(closed.high * 24, 2) if closed else 0.0,
            hour=time(int(entry[2]), int(entry[3])) if entry and entry[2] else None,
        )


class _Label(Struct, frozen=True, kw_only=True):
    """Days from spray to harvest, hours after it in which nobody goes in, and its own hour where that is told."""

    wait_d: int
    re_entry_h: float
    hour: time | None

    def open_again(self, day: date) -> datetime | None:
        """Return when people may go in again, where the hour of the spray is told."""
        return None if self.hour is None or not self.re_entry_h else self._ends(day, self.hour)

    def closed_d(self, day: date) -> int:
        """Return the whole days from the spray's on which nobody goes in.

        The day on which the time ends is one of them, unless it ends before work begins.
        """
        if not self.re_entry_h:
            return 0
        again = self._ends(day, self.hour or _EVENING)
        if again is None:
            return math.ceil(self.re_entry_h / 24)
        return (again.date() - day).days + (again.time() > _WORK_BEGINS)

    def _ends(self, day: date, hour: time) -> datetime | None:
        """Return when the re-entry time of a spray at an hour is over; None past the end of the calendar."""
        try:
            return datetime.combine(day, hour) + timedelta(hours=self.re_entry_h)
        except OverflowError:
            return None
