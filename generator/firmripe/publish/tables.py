"""The season plan in other forms: a table, the same for scripts, and a feed of what changed."""

from __future__ import annotations

import csv
import io
import uuid
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime
from xml.etree import ElementTree as ET

from msgspec import json

from firmripe.calendar.entry import Entry
from firmripe.plan import Plan
from firmripe.publish.audience import on_pages
from firmripe.publish.characters import readable
from firmripe.publish.feeds.feed import Feeds
from firmripe.publish.feeds.names import base_address, entry_uid, named_uid
from firmripe.publish.ledger import LedgerLine
from firmripe.publish.paths import Paths
from firmripe.tongue import Tongue
from firmripe.wording.names import name_of
from firmripe.words import week_day, with_year

COLUMNS = (
    "uid",
    "first_day",
    "last_day",
    "rhythm",
    "earliest",
    "latest",
    "rough",
    "seen",
    "job",
    "topic",
    "for",
    "trees",
    "crop",
    "work",
    "reminder",
    "page",
)
"""Documented in content/README.md; new ones are added at the end."""

MOST_CHANGES = 100
_FORMULA = ("=", "+", "-", "@", "\t")


def plan_csv(rows: Iterable[Mapping[str, object]]) -> bytes:
    """Return the season's jobs (see `rows_of_jobs`) as CSV (RFC 4180, UTF-8), by first day.

    A cell that a spreadsheet would take for a formula is set behind an apostrophe.
    """
    text = io.StringIO(newline="")
    table = csv.writer(text, lineterminator="\r\n")
    table.writerow(COLUMNS)
    for row in rows:
        table.writerow([_cell(row[column]) for column in COLUMNS])
    return text.getvalue().encode("utf-8")


def plan_json(plan: Plan, rows: Sequence[Mapping[str, object]]) -> bytes:
    """Return the same as JSON: yes and no as true and false, trees as a list."""
    whole = {
        "place": readable(plan.holding.place.name),
        "season": plan.season.year.year,
        "as_of": plan.season.as_of.isoformat(),
        "jobs": rows,
    }
    return json.format(json.encode(whole), indent=1) + b"\n"


def changes_atom(plan: Plan, feeds: Feeds) -> bytes:
    """Return what changed in the reminders of this season and the one before as an Atom feed (RFC 4287), newest first.

    What stands in one person's feed alone is not in it. Everybody is told of what their own calendars show and of
    nothing that is gone: the ledger may be the household's, and an event of an open tree have named a private one.
    """
    tongue = plan.holding.place.tongue
    year = plan.season.year.year
    lines = [line for line in feeds.ledger.lines.values() if line.said.title and line.said.season in {year - 1, year}]
    if plan.reader.is_everybody:
        lines = [line for line in lines if line.said.uid in feeds.shown]
    lines.sort(key=lambda line: (-line.changed.timestamp(), line.said.day, line.said.uid))
    place, base = plan.holding.place, base_address(plan.holding.place)
    feed = ET.Element("feed", {"xmlns": "http://www.w3.org/2005/Atom"})
    _add(feed, "id", f"urn:uuid:{named_uid(place, 'changes')}")
    _add(feed, "title", tongue.say("{place}: what changed in the plan", place=place.name))
    start = datetime(plan.changed.year, plan.changed.month, plan.changed.day, tzinfo=UTC)
    _add(feed, "updated", _moment(max((line.changed for line in lines), default=start)))
    _add(ET.SubElement(feed, "author"), "name", place.name)
    if base:
        ET.SubElement(feed, "link", {"rel": "self", "href": f"{base}changes.atom"})
        ET.SubElement(feed, "link", {"href": base})
    for line in lines[:MOST_CHANGES]:
        entry = ET.SubElement(feed, "entry")
        _add(entry, "id", f"urn:uuid:{uuid.uuid5(_identity(line.said.uid), str(line.sequence))}")
        _add(entry, "title", _change(tongue, line))
        _add(entry, "updated", _moment(line.changed))
        _add(entry, "content", f"{_change(tongue, line)}.")
        if base:
            ET.SubElement(entry, "link", {"href": base})
    ET.indent(feed, " ")
    head = '<?xml version="1.0" encoding="utf-8"?>'
    return f"{head}\n{ET.tostring(feed, encoding='unicode')}\n".encode()


def _identity(uid: str) -> uuid.UUID:
    """Return an event's identity; where somebody wrote another one into the ledger, one made of it."""
    try:
        return uuid.UUID(uid)
    except ValueError:
        return uuid.uuid5(uuid.NAMESPACE_URL, uid)


def _change(tongue: Tongue, line: LedgerLine) -> str:
    day = with_year(tongue, week_day(tongue, line.said.day), line.said.day.year)
    if line.is_gone:
        return tongue.say("{title}: done or no longer planned (was {day})", title=line.said.title, day=day)
    if line.was is not None:
        return tongue.say(
            "{title}: moved to {day}, from {was}", title=line.said.title, day=day, was=week_day(tongue, line.was)
        )
    return f"{line.said.title}: {day}"


def _add(parent: ET.Element, name: str, text: str) -> None:
    ET.SubElement(parent, name).text = readable(" ".join(text.split())) or "-"


def _moment(moment: datetime) -> str:
    return f"{moment:%Y-%m-%dT%H:%M:%SZ}"


def rows_of_jobs(plan: Plan) -> list[dict[str, object]]:
    """Return the season's jobs by first day, each by `COLUMNS`."""
    paths = Paths(plan)
    shown = on_pages(plan).calendar.entries
    return [_row(plan, entry, paths) for entry in shown]


def _row(plan: Plan, entry: Entry, paths: Paths) -> dict[str, object]:
    task = entry.task
    return {
        "uid": entry_uid(plan.holding.place, entry),
        "first_day": entry.span.first.isoformat(),
        "last_day": entry.span.last.isoformat(),
        "rhythm": str(entry.every) if entry.every else "",
        "earliest": entry.reach.earliest.isoformat(),
        "latest": entry.reach.latest.isoformat(),
        "rough": entry.rough,
        "seen": entry.seen,
        "job": readable(task.name),
        "topic": task.topic.value,
        "for": readable(name_of(plan.holding.place.tongue, entry)),
        "trees": [readable(tag) for tag in dict.fromkeys(bearing.tree for bearing in entry.bearings)],
        "crop": readable(entry.crop),
        "work": readable(task.who),
        "reminder": task.reminder,
        "page": paths.task(task.key),
    }


def _cell(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    text = "; ".join(map(str, value)) if isinstance(value, list) else str(value)
    return f"'{text}" if text.startswith(_FORMULA) else text
