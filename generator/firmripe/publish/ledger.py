"""The ledger of the feeds: what each event last said and when that changed, so that feeds move only with the notes.

It is one file of sorted lines, made to be kept with the notes and to be merged line by line.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from datetime import UTC, date, datetime, timedelta
from typing import NamedTuple

from msgspec import Struct, field
from msgspec.structs import replace

from firmripe.problems import Problems, Unreadable, Where

LEDGER = "feeds.ledger"
"""The file's name, in the household's folder."""

GONE = "gone"
"""Stands for the content of what is planned no more."""

FORMAT = 1
"""The form of the file. That of 0.1.0 did not tell its form, and is read alike."""

_HEAD = (
    f"# Format {FORMAT}: what the calendar feeds last said. Written by the build; keep it with the notes.\n"
    "# event, content, sequence, last change, season, day, day before it moved, title\n"
)
_HEADS = re.compile(r"# (?:Format (\d{1,9}): |What the calendar feeds last said\.|event, content, sequence, )")
_FIRST_YEAR, _LAST_YEAR = 1700, 2300
"""A hundred years around the days that notes may hold."""
_MOST = 2**31 - 2
"""A sequence is at most a signed number of 32 bits (RFC 5545, 3.3.8), and one more may still follow."""
_MEND = "mend it by an earlier copy of the file, or write # before the line: then it is kept and not read"
_EPOCH = date(2020, 1, 1)
_NOTHING = "-"
_KEPT = timedelta(days=3 * 366)
_PAST = timedelta(days=366)
_MARKERS = ("<<<<<<<", "|||||||", "=======", ">>>>>>>")


class Said(NamedTuple):
    """What a feed says now of one event: its identity, a hash of its content, and what tells people which it is.

    `title` is empty for what no list of changes should name. `season` is 0 for a calendar as a whole.
    """

    uid: str
    content: str
    season: int
    day: date
    title: str


class LedgerLine(Struct, frozen=True, kw_only=True):
    """What was said of an event and when that last changed; `was` is its day before, where it moved then.

    `more` is what stands in columns that are not known here; it stays.
    """

    said: Said
    sequence: int
    changed: datetime
    was: date | None = None
    more: tuple[str, ...] = ()

    @property
    def is_gone(self) -> bool:
        """Whether it is planned no more."""
        return self.said.content == GONE

    def __str__(self) -> str:
        said = self.said
        was = self.was.isoformat() if self.was else _NOTHING
        title = " ".join(said.title.split()) or _NOTHING
        stamp = f"{self.changed:%Y-%m-%dT%H:%M:%SZ}"
        parts = (
            said.uid,
            said.content,
            self.sequence,
            stamp,
            said.season,
            said.day.isoformat(),
            was,
            title,
            *self.more,
        )
        return "\t".join(map(str, parts))


class Ledger(Struct, frozen=True):
    """All lines by identity, and what people wrote between them after a #."""

    lines: Mapping[str, LedgerLine] = field(default_factory=dict)
    remarks: tuple[str, ...] = ()

    @property
    def newest(self) -> date | None:
        """The day on which anything was last said anew; None in an empty ledger."""
        return max((line.changed.date() for line in self.lines.values()), default=None)

    def __str__(self) -> str:
        remarks = "".join(f"{remark}\n" for remark in self.remarks)
        return _HEAD + remarks + "".join(f"{self.lines[uid]}\n" for uid in sorted(self.lines))

    def advanced(self, said: Iterable[Said], now: date, seasons: Collection[int] = ()) -> Ledger:
        """Return the ledger after saying all this on a day.

        What is unchanged keeps its line; what is new or changed is stamped with the first moment of `now` (UTC), or
        a second after its last change where that is later. Its sequence is at least the days since 2020, so that it
        never falls back even if a ledger is lost. What was planned for one of `seasons` and is no longer said is
        marked as gone.
        """
        moment = datetime(now.year, now.month, now.day, tzinfo=UTC)
        least = max(0, (now - _EPOCH).days)
        lines = {uid: line for uid, line in self.lines.items() if line.said.season == 0 or line.said.day > now - _KEPT}
        met = set()
        for one in said:
            met.add(one.uid)
            old = lines.get(one.uid)
            if old is None:
                lines[one.uid] = LedgerLine(said=one, sequence=least, changed=moment)
            elif old.said.content != one.content:
                lines[one.uid] = LedgerLine(
                    said=one,
                    sequence=max(old.sequence + 1, least),
                    changed=max(moment, old.changed + timedelta(seconds=1)),
                    was=old.said.day if old.said.day != one.day and not old.is_gone else None,
                    more=old.more,
                )
        for uid, line in lines.items():
            planned = line.said.season in seasons and line.said.day > now - _PAST
            if planned and uid not in met and not line.is_gone:
                lines[uid] = LedgerLine(
                    said=line.said._replace(content=GONE),
                    sequence=max(line.sequence + 1, least),
                    changed=max(moment, line.changed + timedelta(seconds=1)),
                    more=line.more,
                )
        return replace(self, lines=lines)


def parse_ledger(text: str, problems: Problems) -> Ledger:
    """Read a ledger. Of two lines for one event, as a merge leaves them, the higher sequence holds."""
    found: dict[str, LedgerLine] = {}
    remarks: list[str] = []
    for number, raw in enumerate(re.split(r"\r\n|\r|\n", text), start=1):  # splitlines knows more ends than editors
        where = Where(LEDGER, number, 0, max(1, len(raw)), raw.replace("\t", " "))
        head = _HEADS.match(raw)
        if head and int(head[1] or FORMAT) > FORMAT:
            message = f"this ledger was written by a newer firmripe: its format is {head[1]}, this one knows {FORMAT}"
            problems.add(where, message, "bring firmripe up to date; the file stays as it is")
            return Ledger()
        if raw.startswith(_MARKERS):
            hint = "take this line out and keep the lines of both sides; of doubled ones the build takes the newer"
            problems.add(where, "a merge was left half done here", hint)
        elif raw.startswith("#"):
            remarks += [] if head else [raw]
        elif raw.strip():
            try:
                line = _line(raw)
            except Unreadable as error:
                problems.add(where, error.message, error.hint)
                continue
            if (old := found.get(line.said.uid)) is None or _rank(line) > _rank(old):
                found[line.said.uid] = line
    return Ledger(found, tuple(remarks))


def _rank(line: LedgerLine) -> tuple[int, datetime, str]:
    return line.sequence, line.changed, line.said.content


def _line(raw: str) -> LedgerLine:
    """Read a line. Raises Unreadable."""
    try:
        uid, content, sequence, changed, season, day, was, title, *more = raw.split("\t")
        line = LedgerLine(
            said=Said(uid, content, int(season), date.fromisoformat(day), "" if title == _NOTHING else title),
            sequence=int(sequence),
            changed=datetime.strptime(changed, "%Y-%m-%dT%H:%M:%SZ").replace(tzinfo=UTC),
            was=None if was == _NOTHING else date.fromisoformat(was),
            more=tuple(more),
        )
    except ValueError:
        raise Unreadable("this is no line of the ledger", _MEND) from None
    days = [line.said.day, line.changed.date(), *([line.was] if line.was else [])]
    years = [(day.isoformat(), day.year) for day in days]
    years += [(f"the season {season}", line.said.season)] if line.said.season else []
    for told, year in years:
        if not _FIRST_YEAR <= year <= _LAST_YEAR:
            raise Unreadable(f"{told} lies beyond the calendar, which goes from {_FIRST_YEAR} to {_LAST_YEAR}", _MEND)
    if not 0 <= line.sequence <= _MOST:
        raise Unreadable(f"the sequence {line.sequence} is not from 0 to {_MOST}", _MEND)
    return line
