"""Tables that people already keep: what their headings and words mean, asked once and kept beside the notes."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from enum import Enum

from msgspec import Struct, field

from firmripe.problems import Problems, Where, folded, name_key
from firmripe.reading.lines import Vocabulary, lines_of, row_of
from firmripe.reading.records import COLUMNS, COMMENT

KEPT = "headings.txt"
"""The file in the folder of the notes that keeps what headings and words of other tables mean."""
_ORDER, _EVERY, _NOTHING, _TREE, _WHAT = "date order", "every line", "nothing", "tree ", "what "
_PLAIN = "\\"
"""Before a heading that begins as a comment does."""
_GUESSES: Mapping[str, tuple[str, ...]] = {
    "date": ("date", "day", "datum", "fecha", "dia", "when", "picked", "pickdate", "harvestdate"),
    "tree": ("tree", "tag", "treeid", "treenumber", "baum", "arbol", "plant", "id"),
    "cultivar": ("cultivar", "variety", "sorte", "variedad", "limb", "kind"),
    "crop": ("crop",),
    "what": ("what", "event", "happening", "action", "task", "que", "activity"),
    "amount": ("amount", "weight", "yield", "quantity", "harvest", "menge", "peso", "cantidad", "lb", "kg", "lbs"),
    "note": ("note", "notes", "comment", "comments", "remark", "remarks", "bemerkung", "nota", "notas"),
}
TEMPERATURES = ("tmin_f", "tmin_c", "tmax_f", "tmax_c", "temperature_f", "temperature_c")
"""What a column of a weather station can be: a day's lowest or highest temperature, or readings through the day."""
_READINGS: Mapping[str, tuple[str, ...]] = {
    "tmin": ("low", "lowest", "min", "minimum", "tempmin", "mintemp", "lowtemp", "templow", "tmin"),
    "tmax": ("high", "highest", "max", "maximum", "tempmax", "maxtemp", "hightemp", "temphigh", "tmax"),
    "temperature": ("temp", "temperature", "outdoor", "outdoortemp", "outdoortemperature", "tempout", "airtemp"),
}
_DEGREES = re.compile(r"[\s_(\[/,]*(?:°|º|deg(?:rees)?)?\s*(?<![a-z])(f|c|fahrenheit|celsius)\b[)\]]?\s*$")
_NUMBERS = re.compile(r"(\d{1,4})[-/. ](\d{1,2})[-/. ](\d{1,4})")


class Asked(Enum):
    """What is asked about a table."""

    HEADING = "heading"
    EVERY = "every line"
    ORDER = "date order"
    WHAT = "what happened"
    TREE = "tree"


class TableQuestion(Struct, frozen=True, kw_only=True):
    """Something about a table that nobody has said yet: what it is about, and what is likeliest, which may be empty.

    Where a tree is asked for, `tags` are those that there are.
    """

    asked: Asked
    subject: str
    guess: str = ""
    tags: tuple[str, ...] = ()


class Headings(Struct, frozen=True, kw_only=True):
    """What headings and words mean: columns, with a unit for bare numbers; happenings; trees, all by folded name.

    `day_first` is the order of `3/4/2027`, None where nobody said; `every` what each line tells where no column does.
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    trees: Mapping[str, str] = field(default_factory=dict)
    day_first: bool | None = None
    every: str = ""


def parse_headings(text: str, words: Vocabulary, problems: Problems) -> Headings:
    """Read what was kept, a line for each, as `Baum = tree` or `Erste Ernte = what first pick`; faults are noted."""
    columns: dict[str, str] = {}
    happened: dict[str, str] = {}
    trees: dict[str, str] = {}
    order, every = "", ""
    for number, row in enumerate(lines_of(text), 1):
        left, _sign, right = (part.strip() for part in row.removeprefix(_PLAIN).rpartition("="))
        if not row.strip() or row.startswith(COMMENT):
            continue
        if left == _ORDER and right in {"day first", "month first"}:
            order = right
        elif left == _EVERY and words.happening(right):
            every = right
        elif right in {_NOTHING, *COLUMNS, *TEMPERATURES} or re.fullmatch(r"amount in \S.*", right):
            columns[folded(left)] = right
        elif right.startswith(_TREE) and name_key(right.removeprefix(_TREE)) in words.trees:
            trees[name_key(left)] = right.removeprefix(_TREE)
        elif right.startswith(_WHAT) and words.happening(right.removeprefix(_WHAT)):
            happened[folded(left)] = right.removeprefix(_WHAT)
        else:
            hint = "write a column or nothing, as Baum = tree; else what first pick, or tree 1-01"
            problems.add(Where(KEPT, number, 0, max(1, len(row)), row), f'"{right}" means nothing here', hint)
    return Headings(
        columns=columns, words=happened, trees=trees, day_first=order == "day first" if order else None, every=every
    )


def is_table(text: str) -> bool:
    """Say whether a text is a table under headings that are not the records' own."""
    rows = rows_of_table(text)
    if len(rows) < 2 or len(rows[0]) < 2 or not all(rows[0]) or len(set(map(folded, rows[0]))) < len(rows[0]):
        return False
    is_ours = {"date", "what"} <= set(map(folded, rows[0])) <= {*COLUMNS}
    if is_ours or any(re.search(r"\d{3}", cell) for cell in rows[0]):
        return False
    return sum(abs(len(row) - len(rows[0])) <= 1 for row in rows) * 10 >= 9 * len(rows)


def questions(text: str, known: Headings, words: Vocabulary) -> tuple[TableQuestion, ...]:
    """Return what is still to be said before a table can be read: of its headings first, then of what stands below."""
    head, *rows = rows_of_table(text) or [[]]
    unknown = [name for name in head if folded(name) not in known.columns and name not in TEMPERATURES]
    if unknown:
        return tuple(TableQuestion(asked=Asked.HEADING, subject=name, guess=guess_of(name)) for name in unknown)
    found: list[TableQuestion] = []
    columns = columns_of(head, known)
    told = [dict(zip(columns, row, strict=False)) for row in rows]
    is_weather = bool({*TEMPERATURES} & {*columns})
    if "what" not in columns and not known.every and not is_weather:
        found.append(TableQuestion(asked=Asked.EVERY, subject="", guess="pick"))
    dates = [numbers for one in told if (numbers := _NUMBERS.fullmatch(day_part(one.get("date", ""))))]
    if known.day_first is None and any(len(numbers[1]) < 3 for numbers in dates):
        firsts, seconds = [int(n[1]) for n in dates if len(n[1]) < 3], [int(n[2]) for n in dates if len(n[1]) < 3]
        sure = "day first" if max(firsts) > 12 else "month first" if max(seconds) > 12 else ""
        found.append(TableQuestion(asked=Asked.ORDER, subject=next(n[0] for n in dates if len(n[1]) < 3), guess=sure))
    if is_weather:
        return tuple(found)
    happened, trees = (dict.fromkeys(one.get(name, "").strip() for one in told) for name in ("what", "tree"))
    strange = [one for one in happened if one and words.happening(one) is None and folded(one) not in known.words]
    found += [TableQuestion(asked=Asked.WHAT, subject=one) for one in strange]
    nowhere = [one for one in trees if one and name_key(one) not in words.trees and name_key(one) not in known.trees]
    tags = tuple(tree.tag for tree in words.trees.values())
    return (*found, *(TableQuestion(asked=Asked.TREE, subject=one, tags=tags) for one in nowhere))


def columns_of(head: Sequence[str], known: Headings) -> list[str]:
    """Return what each column of a table is; `nothing` where nobody said."""
    return [known.columns.get(folded(name), name if name in TEMPERATURES else _NOTHING) for name in head]


def day_part(text: str) -> str:
    """Return the day of a day with its hour, as `2027-08-28T14:05` or `8/28/2027 2:05 PM`."""
    return re.split(r"[T\s](?=\d{1,2}:)", text.strip(), maxsplit=1)[0]


def guess_of(heading: str) -> str:
    """Return the column that a heading names most likely; empty where it names none. A unit is never guessed."""
    degrees = _DEGREES.search(heading.casefold())
    named = folded(heading[: degrees.start()] if degrees else heading)
    for column, names in _READINGS.items():
        if degrees and named in names:
            return f"{column}_{degrees[1][0]}"
    unit = re.search(r"[(\[/]?\b(lbs?|kg|pounds|boxes)\b[)\]]?\s*$", heading.casefold())
    plain = folded(heading[: unit.start()] if unit else heading) or folded(heading)
    for column, names in _GUESSES.items():
        if plain in names:
            return f"amount in {unit[1]}" if unit and column == "amount" else column
    return ""


def kept_line(question: TableQuestion, answer: str) -> str:
    """Return the line that keeps an answer."""
    if question.asked is Asked.ORDER:
        return f"{_ORDER} = {answer}"
    if question.asked is Asked.EVERY:
        return f"{_EVERY} = {answer}"
    kind = {Asked.TREE: _TREE, Asked.WHAT: _WHAT}.get(question.asked, "")
    plain = _PLAIN if question.subject.startswith(COMMENT) else ""
    return f"{plain}{question.subject} = {kind}{answer}"


def retold(text: str, known: Headings) -> str:
    """Return a table under the records' own columns, each row on a line of its own; one without a day is left out."""
    head, *rows = rows_of_table(text) or [[]]
    columns = columns_of(head, known)
    return "\n".join([",".join(COLUMNS), *(row_of(cells) for row in rows if (cells := _cells(columns, row, known)))])


def _cells(columns: Sequence[str], row: Sequence[str], known: Headings) -> dict[str, str]:
    cells: dict[str, str] = {}
    for name, typed in zip(columns, row, strict=False):
        cell = typed.strip()
        column, _, unit = name.partition(" in ")
        if not cell or column == _NOTHING:
            continue
        if unit and re.fullmatch(r"\d+(?:[.,]\d+)?", cell):
            cell = f"{cell.replace(',', '.')} {unit}"
        cells[column] = f"{cells[column]}; {cell}" if column in cells else cell
    if "date" not in cells:
        return {}
    cells["date"] = told_day(cells["date"], known.day_first)
    cells["what"] = known.words.get(folded(cells.get("what", "")), cells.get("what", "")) or known.every
    cells["tree"] = known.trees.get(name_key(cells.get("tree", "")), cells.get("tree", ""))
    return cells


def told_day(text: str, day_first: bool | None) -> str:  # noqa: FBT001 - as was said
    """Return a day of numbers as `2027-08-28`; what is none, or whose order nobody said, as it stands."""
    found = _NUMBERS.fullmatch(text.strip())
    if found is None or (len(found[1]) < 3 and day_first is None):
        return text
    if len(found[1]) > 2:
        year, month, day = found.groups()
    else:
        first, second, year = found.groups()
        day, month = (first, second) if day_first else (second, first)
    return f"{int(year) + 2000 if len(year) < 3 else int(year):04d}-{int(month):02d}-{int(day):02d}"


def rows_of_table(text: str) -> list[list[str]]:
    """Return the rows that hold anything, parted by what parts the first line most; none where it is no table.

    It is none where a quote is never closed, which would make one cell of all that follows.
    """
    lines = lines_of(text.lstrip("\ufeff"))
    lines = lines[1:] if lines and lines[0].casefold().startswith("sep=") else lines
    first = next((line for line in lines if line.strip()), "")
    sign = max(",;\t", key=first.count)
    for is_strict in (True, False):  # strictly first, for only so an open quote is told
        try:
            return list(_parted("\n".join(lines), sign, is_strict=is_strict))
        except csv.Error as error:
            if "end of data" in str(error):
                break
    return []


def _parted(text: str, sign: str, *, is_strict: bool) -> Iterator[list[str]]:
    for row in csv.reader(io.StringIO(text, newline=""), delimiter=sign, skipinitialspace=True, strict=is_strict):
        cells = [" ".join(cell.split()) for cell in row]
        while cells and not cells[-1]:
            cells.pop()
        if cells:
            yield cells
