"""Lines about what happened, found among the words of a message, and laid into the columns of the records.

A line is short, `2027-08-28,1-02,first pick,31 lb,good size`, or has all columns. What stands around it is let be.
"""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from firmripe.holding.record import Happening
from firmripe.holding.tree import Tree
from firmripe.holding.weight import NoNumber, parse_amount, read_amount
from firmripe.problems import Unreadable, Where, folded, name_key, nearest
from firmripe.reading.frontmatter import plain_key
from firmripe.reading.names import as_kept
from firmripe.reading.records import COLUMNS, COMMENT, OF_FRUIT, TAKES_AMOUNT, names_of_limb, rows_of
from firmripe.tongue import IN_ENGLISH, Tongue

MOST_JOINED = 20
"""A note in quotes runs over so many lines at most; a quote that is never closed must not swallow what follows."""
LONGEST = 5_000
"""Characters. A longer line of a text is none that somebody noted, and is not looked into."""
_HYPHEN = "[-‐‑‒–—−]"
_DAY = (
    rf"\d{{4}}{_HYPHEN}\d{{1,2}}{_HYPHEN}\d{{1,2}}|\d{{1,2}}[/.]\d{{1,2}}[/.]\d{{4}}"
    r"|\d{1,2}\s+[^\W\d]{3,}\.?,?\s+\d{4}|[^\W\d]{3,}\.?\s+\d{1,2},?\s+\d{4}|(?:18|19|20|21)\d\d"
)
_BEGINS = rf"(?i)(?<![\w/.-])[\"“]?(?P<day>(?:(?:about|ca\.?|~)\s*)?(?:{_DAY}))[\"”]?\s*(?P<sign>[,;\t])"
_YEAR_ALONE = re.compile(r"\d{4}")
_AT_WHAT, _AT_WHAT_OF_ALL = 2, COLUMNS.index("what")
"""Where what happened stands in a short line, and in one that has all columns."""
_UNSEEN = re.compile("[\u200b\u200e\u200f\u202a-\u202e\u2066-\u2069\ufeff]")
_ENDS = re.compile("\r\n|\r|\n")
_RE_ENTRY = re.compile(r"\s*re-?entry\b", re.IGNORECASE)


class Vocabulary(Struct, frozen=True, kw_only=True):
    """What a line may speak of: trees by their tag (see `name_key`), and happenings by the folded words for them.

    Crops it may call as `tongue` says them.
    """

    trees: Mapping[str, Tree]
    happenings: Mapping[str, Happening]
    tongue: Tongue = IN_ENGLISH

    def happening(self, text: str) -> Happening | None:
        """Return what a cell says happened; None where it says something else."""
        return self.happenings.get(folded(text)) if text else None


class FoundLine(Struct, frozen=True, kw_only=True):
    """A line that was found: its cells by column, where it stands, and who or what is named beside it."""

    cells: Mapping[str, str]
    where: Where
    beside: str = ""


class FoundLines(Struct, frozen=True, kw_only=True):
    """The lines of a text, in its order, and the places of all that is none."""

    lines: tuple[FoundLine, ...]
    rest: tuple[Where, ...]


def find_lines(text: str, file: str, words: Vocabulary) -> FoundLines:
    """Find the lines in a text, short ones and those with all columns alike.

    Words before a line on its own line (who wrote, and when), or else the comment above it, stand beside it.
    """
    return _Finding(file, words, [_UNSEEN.sub("", line) for line in lines_of(text)]).found()


def lines_of(text: str) -> list[str]:
    """Return the lines of a text as editors show and count them; other signs that Python takes for ends are none."""
    return _ENDS.split(text)


class _Finding:
    def __init__(self, file: str, words: Vocabulary, physical: Sequence[str]) -> None:
        self._file = file
        self._words = words
        self._physical = physical
        self._header: list[str] = []
        self._lines: list[FoundLine] = []
        self._rest: list[Where] = []

    def found(self) -> FoundLines:
        at, comment, is_used = 0, Where(self._file), True
        while at < len(self._physical):
            text, where = self._physical[at], self._where(at)
            taken = 1
            if text.startswith(COMMENT):
                self._rest += [] if is_used else [comment]
                comment, is_used = where, False
            elif len(text) > LONGEST:
                self._rest.append(where)
            elif text.strip() and not self._is_header(text):
                taken, found = self._at(at, comment.text.lstrip(f"{COMMENT} ").rstrip())
                self._lines += found
                is_used = is_used or bool(found)
                self._rest += [] if found else [where]
            elif is_used and not text.strip():
                comment = Where(self._file)
            at += taken
        self._rest += [] if is_used else [comment]
        return FoundLines(lines=tuple(self._lines), rest=tuple(sorted(self._rest)))

    def _where(self, at: int, taken: int = 1) -> Where:
        """Return the place of so many lines of the text, in one: what is told and kept of them is a line."""
        text = " ".join(self._physical[at : at + taken])
        return Where(self._file, at + 1, 0, max(1, len(text)), text)

    def _is_header(self, text: str) -> bool:
        names = [plain_key(cell) for cell in _cells(text, ",") or []]
        while names and not names[-1]:
            names.pop()
        if not {"date", "what"} <= set(names) <= set(COLUMNS):
            return False
        self._header = names
        return True

    def _at(self, at: int, comment: str) -> tuple[int, list[FoundLine]]:
        """Return the lines that begin on a line of the text, and how many lines of it they take."""
        for taken in range(1, MOST_JOINED + 1):
            ahead = self._physical[at : at + taken]
            if len(ahead) < taken or (taken > 1 and (re.match(_BEGINS, ahead[-1]) or len(ahead[-1]) > LONGEST)):
                break
            text = "\n".join(ahead)
            if _cells(text, ",") is None:
                continue
            found = self._in(text, at, comment)
            if found or taken == 1:
                return taken, found
        return 1, self._in(self._physical[at], at, comment)

    def _in(self, text: str, at: int, comment: str) -> list[FoundLine]:
        where = self._where(at, text.count("\n") + 1)
        row = _cells(text, ",")
        if row is not None and (cells := self._by_header(row)):
            return [FoundLine(cells=cells, where=where, beside=comment)]
        found: list[dict[str, str]] = []
        begins, end = list(re.finditer(_BEGINS, text)), len(text)
        for begin in reversed(begins):
            cells = self._from(text[:end].rstrip(), begin)
            if cells and self._stands_apart(text, begin, cells):
                found.insert(0, cells)
                end = begin.start()
        for begin in begins:
            cells = self._from(text[:end].rstrip(), begin) if begin.start() < end else None
            if cells:
                found.insert(0, cells)
                end = begin.start()
                break
        for begin in [] if found else begins:
            cells = self._meant(text, begin)
            if cells:
                found, end = [cells], begin.start()
                break
        beside = re.sub(r"^[\s>*•–-]+|[^\w)\]]+$", "", text[:end]) or comment
        return [FoundLine(cells=cells, where=where, beside=beside) for cells in found]

    def _stands_apart(self, text: str, begin: re.Match[str], cells: Mapping[str, str]) -> bool:
        """Say whether a line begins here that ran on from the one before, as where a message lost its line ends."""
        before, known = text[: begin.start()], name_key(cells.get("tree", "")) in self._words.trees
        return known and before[-1:].isspace() and before.count('"') % 2 == 0

    def _by_header(self, row: Sequence[str]) -> dict[str, str] | None:
        if not self._header or len(row) < 2:
            return None
        cells = _spread(self._header, row)
        begins = re.fullmatch(_BEGINS, f"{cells.get('date', '').strip()},")
        return _tidy(cells) if begins and self._words.happening(cells.get("what", "")) else None

    def _from(self, text: str, begin: re.Match[str]) -> dict[str, str] | None:
        """Return the cells of a line that begins within a text; None where none does."""
        row = _row(text, begin)
        what = self._words.happening
        if len(row) > 2 and what(row[2]):
            cells = {**self._tree(row[1]), "what": row[2], **_parted(what(row[2]), row[3:])}
        elif len(row) > 4 and what(row[4]):
            cells = _spread(COLUMNS, row)
        elif len(row) > 1 and what(row[1]):
            cells = {"what": row[1], **_parted(what(row[1]), row[2:])}
        else:
            return None
        return _tidy({**cells, "date": re.sub(_HYPHEN, "-", row[0])})

    def _meant(self, text: str, begin: re.Match[str]) -> dict[str, str] | None:
        """Return the cells of a line in which nothing that is known happened, so that it is told and kept.

        It is one where a tag of ours or nothing stands for the tree, or what stands for a happening is like one. A year
        alone begins none: sentences have years.
        """
        row = _row(text, begin)
        if _YEAR_ALONE.fullmatch(row[0]) or len(row) <= _AT_WHAT:
            return None
        if self._header and not begin.start():
            cells = _spread(self._header, row)
        elif len(row) > _AT_WHAT_OF_ALL and row[_AT_WHAT_OF_ALL].strip() and not row[_AT_WHAT].strip():
            cells = _spread(COLUMNS, row)
        else:
            after = _spread(("amount", "note"), row[_AT_WHAT + 1 :])
            cells = {**self._tree(row[1]), "what": row[_AT_WHAT], **after}
        what, tag = cells.get("what", "").strip(), name_key(cells.get("tree", ""))
        is_like_one = (not tag or tag in self._words.trees) or nearest(what, self._words.happenings) is not None
        return _tidy({**cells, "date": re.sub(_HYPHEN, "-", row[0])}) if what and is_like_one else None

    def _tree(self, text: str) -> dict[str, str]:
        """Part `2-01/Comice` into tree and limb, `T-01/main` into tree and crop."""
        text = text.strip()
        trees = self._words.trees
        if name_key(text) in trees:
            return {"tree": text}
        for sign in re.finditer(r"[/\s]+", text):
            tree = trees.get(name_key(text[: sign.start()]))
            if tree is not None:
                cells = {"tree": text[: sign.start()]}
                for part in filter(None, text[sign.end() :].split("/")):
                    cells["crop" if self._is_crop(tree, part) else "cultivar"] = part
                return cells
        return {"tree": text}

    def _is_crop(self, tree: Tree, part: str) -> bool:
        """Say whether a name beside a tag is meant for a crop: so is each that is no limb where there is but one."""
        crops = list(dict.fromkeys(crop for limb in tree.limbs for crop in limb.crops if crop))
        if as_kept(part, crops, self._words.tongue) in crops:
            return True
        return bool(crops) and len(tree.limbs) == 1 and folded(part) not in names_of_limb(tree.limbs[0])


def _row(text: str, begin: re.Match[str]) -> list[str]:
    """Return the cells of what begins with a day within a text."""
    after, sign = text[begin.end() :], begin["sign"]
    return [begin["day"], *(_cells(after, sign) or _unquoted(after, sign))]


def _cells(text: str, sign: str) -> list[str] | None:
    """Return the cells of one row; None where a quote in it is not closed."""
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=sign, skipinitialspace=True, strict=True))
    except csv.Error:
        return None
    return rows[0] if len(rows) == 1 else [] if not rows else None


def _unquoted(text: str, sign: str) -> list[str]:
    """Return the cells of a row in which quotes are signs like any other."""
    return text.split(sign)


def _spread(columns: Sequence[str], row: Sequence[str]) -> dict[str, str]:
    """Lay a row into columns; what is too much goes on in the last, as a note with a comma and no quotes does."""
    cells = dict(zip(columns, row, strict=False))
    over = [cell for cell in row[len(columns) :] if cell.strip()]
    if over:
        cells[columns[-1]] = ", ".join([cells[columns[-1]], *over])
    return cells


def _parted(what: Happening | None, rest: Sequence[str]) -> dict[str, str]:
    """Part what follows the happening of a short line into amount and note."""
    cells = [cell.strip() for cell in rest]
    amount, others = (cells[0], cells[1:]) if cells else ("", [])
    if others and what is Happening.SPRAY and _RE_ENTRY.match(others[0]):
        amount = f"{amount}, {others.pop(0)}"
    elif others and (_has_thousands(amount, others[0]) or _has_decimal_comma(what, f"{amount},{others[0]}")):
        amount = f"{amount},{others.pop(0)}"
    elif "," in amount and what in OF_FRUIT and not read_amount(amount) and not _has_decimal_comma(what, amount):
        amount, *after = re.split(r",\s*", amount)
        others = [*after, *others]
    if not _is_amount(what, amount):
        others.insert(0, amount)
        amount = ""
    return {"amount": amount, "note": ", ".join(filter(None, others))}


def _has_thousands(amount: str, after: str) -> bool:
    """Say whether two cells are one number, as `1,200 lb`."""
    return re.fullmatch(r"\d{1,3}", amount) is not None and re.match(r"\d{3}(?!\d)", after) is not None


def _has_decimal_comma(what: Happening | None, text: str) -> bool:
    """Say whether an amount of fruit was written as `4,5 kg`, which is told as a whole and never taken as 4."""
    is_one = what in OF_FRUIT and re.match(r"\d+,\d{1,2}\s*[^\W\d]", text) is not None
    return is_one and bool(read_amount(text.replace(",", ".", 1)))


def _is_amount(what: Happening | None, text: str) -> bool:
    """Say whether a cell is meant for the amount: where nothing is counted or measured, it is a word."""
    if what not in TAKES_AMOUNT:
        return re.fullmatch(r"\d+(?:\.\d+)?\s*%", text) is not None
    if re.search(r"\d", text) or what not in OF_FRUIT:
        return re.search(r"\d", text) is not None
    try:
        parse_amount(text)
    except NoNumber:
        return False
    except Unreadable:
        return True
    return True


def _tidy(cells: Mapping[str, str]) -> dict[str, str]:
    """Return cells in which only signs that are seen stand, each on one line."""
    seen = {name: "".join(" " if unicodedata.category(c) == "Cc" else c for c in cell) for name, cell in cells.items()}
    return {name: " ".join(cell.split()) for name, cell in seen.items() if cell.strip()}


def row_of(cells: Mapping[str, str], columns: Sequence[str] = COLUMNS) -> str:
    """Return cells as a row of a table with these columns."""
    made = io.StringIO()
    csv.writer(made, lineterminator="\n").writerow([cells.get(name, "") for name in columns])
    return made.getvalue().removesuffix("\n")


def with_lines(text: str, lines: Sequence[FoundLine]) -> str:
    """Return a table of records with lines at its end. What stands in it stays, to the byte.

    Only a column that a line needs and the table lacks is named at the end of its first line. An empty text becomes a
    table with all columns. What stands beside lines is a comment above them, which holds until the next
    or an empty line.
    """
    end = "\r\n" if "\r\n" in text else "\r" if "\r" in text and "\n" not in text else "\n"
    text = text if text.strip("\ufeff\r\n\t ,") else f"{text.rstrip()}{','.join(COLUMNS)}{end}"
    text = text if text.endswith(("\r", "\n")) else text + end
    needed = [name for name in COLUMNS if any(line.cells.get(name) for line in lines)]
    text, columns = _with_columns(text, needed)
    added = []
    comment = next((row[1:].strip() for row in reversed(lines_of(text)[:-1]) if row[:1] in {"", COMMENT}), "")
    for line in lines:
        if line.beside != comment:
            comment = line.beside
            added.append(f"{COMMENT} {comment}" if comment else "")
        added.append(row_of(line.cells, columns))
    return text + "".join(f"{row}{end}" for row in added)


def _with_columns(text: str, needed: Sequence[str]) -> tuple[str, list[str]]:
    plain = _ENDS.sub("\n", text.removeprefix("\ufeff"))
    number, row = next((number, row) for number, row in rows_of(plain) if any(cell.strip() for cell in row))
    columns = [plain_key(cell) for cell in row]
    while not columns[-1]:
        columns.pop()
    missing = [name for name in needed if name not in columns]
    if not missing:
        return text, columns
    lines = list(_lines_with_ends(text))
    head = lines[number - 1].rstrip("\r\n")
    lines[number - 1] = ",".join([head.rstrip(", \t"), *missing]) + lines[number - 1][len(head) :]
    return "".join(lines), [*columns, *missing]


def _lines_with_ends(text: str) -> Iterator[str]:
    """Yield the lines of a file with their ends, as the table's reader counts them."""
    return (found[0] for found in re.finditer(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+", text))
