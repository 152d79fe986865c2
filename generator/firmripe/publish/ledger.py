"""The ledger of the feeds: what each event last said and when that changed, so that feeds move only with the notes.

It is one file of sorted lines, made to be kept with the notes and to be merged line by line.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from typing import NamedTuple

from firmripe.problems import Problems, Where

LEDGER = "feeds.ledger"
"""The file's name, in the household's folder."""

GONE = "gone"
"""Stands for the content of what is planned no more."""

_HEAD = (
    "# What the calendar feeds last said. Written by the build; keep it with the notes.\n"
    "# event, content, sequence, last change, season, day, day before it moved, title\n"
)
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """What was said of an event and when that last changed; `was` is its day before, where it moved then."""

    said: Said
    sequence: int
    changed: datetime
    was: date | None = None

    @property
    def is_gone(self) -> bool:
        """Whether it is planned no more."""
        return self.said.content == GONE

    def __str__(self) -> str:
        said = self.said
        was = self.was.isoformat() if self.was else _NOTHING
        title = " ".join(said.title.split()) or _NOTHING
        stamp = f"{self.changed:%Y-%m-%dT%H:%M:%SZ}"
        parts = (said.uid, said.content, self.sequence, stamp, said.season, said.day.isoformat(), was, title)
        return "\t".join(map(str, parts))


@dataclass(frozen=True, slots=True)
class Ledger:
    """All lines by identity."""

    lines: Mapping[str, Line] = field(default_factory=dict)

    @property
    def newest(self) -> date | None:
        """The day on which anything was last said anew; None in an empty ledger."""
        return max((line.changed.date() for line in self.lines.values()), default=None)

    def __str__(self) -> str:
        return _HEAD + "".join(f"{self.lines[uid]}\n" for uid in sorted(self.lines))

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
                lines[one.uid] = Line(said=one, sequence=least, changed=moment)
            elif old.said.content != one.content:
                lines[one.uid] = Line(
                    said=one,
                    sequence=max(old.sequence + 1, least),
                    changed=max(moment, old.changed + timedelta(seconds=1)),
                    was=old.said.day if old.said.day != one.day and not old.is_gone else None,
                )
        for uid, line in lines.items():
            planned = line.said.season in seasons and line.said.day > now - _PAST
            if planned and uid not in met and not line.is_gone:
                lines[uid] = Line(
                    said=line.said._replace(content=GONE),
                    sequence=max(line.sequence + 1, least),
                    changed=max(moment, line.changed + timedelta(seconds=1)),
                )
        return replace(self, lines=lines)


def parse_ledger(text: str, problems: Problems) -> Ledger:
    """Read a ledger. Of two lines for one event, as a merge leaves them, the higher sequence holds."""
    found: dict[str, Line] = {}
    for number, raw in enumerate(re.split(r"\r\n|\r|\n", text), start=1):  # splitlines knows more ends than editors
        where = Where(LEDGER, number, 0, max(1, len(raw)), raw.replace("\t", " "))
        if raw.startswith(_MARKERS):
            hint = "take this line out and keep the lines of both sides; of doubled ones the build takes the newer"
            problems.add(where, "a merge was left half done here", hint)
        elif raw.strip() and not raw.startswith("#"):
            line = _line(raw)
            if line is None:
                problems.add(where, "this is no line of the ledger", "take it out; the build writes it anew")
            elif (old := found.get(line.said.uid)) is None or _rank(line) > _rank(old):
                found[line.said.uid] = line
    return Ledger(found)


def _rank(line: Line) -> tuple[int, datetime, str]:
    return line.sequence, line.changed, line.said.content


def _line(raw: str) -> Line | None:
    try:
        uid, content, sequence, changed, season, day, was, title = raw.split("\t")
        return Line(
            said=Said(uid, content, int(season), date.fromisoformat(day), "" if title == _NOTHING else title),
            sequence=int(sequence),
            changed=datetime.strptime(changed, "%Y-%m-%dT%H:%M:%SZ").replace(tzinfo=UTC),
            was=None if was == _NOTHING else date.fromisoformat(was),
        )
    except ValueError:
        return None
