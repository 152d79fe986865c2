"""Entries made by hand, the feeds they give, and readers of different makes that say what stands in a feed."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import icalendar
import pytest
import vobject
from conftest import ROOT
from ical.calendar_stream import IcsCalendarStream

from firmripe.calendar.entry import Entry
from firmripe.calendar.names import OfCultivar
from firmripe.days import Rhythm, Span
from firmripe.holding.figures import Cited, Figure, Mark
from firmripe.holding.holding import Holding
from firmripe.holding.place import Ground, Place
from firmripe.holding.task import Anchor, Each, Stage, Task, Topic
from firmripe.plan import Plan, past_entries
from firmripe.problems import Where
from firmripe.publish.feeds.appointments import Planned, planned
from firmripe.publish.feeds.components import Header, calendar, written
from firmripe.publish.feeds.names import plain_name
from firmripe.publish.feeds.wording import Words
from firmripe.publish.ledger import Ledger
from firmripe.publish.paths import Paths
from firmripe.season.estimate import Reach

HOME = Place(name="Home", ground=Ground())
CHANGED = date(2027, 8, 27)
DAY = date(2027, 8, 28)


def entry(
    name: str = "Pick",
    *,
    of: str = "Hardpear (A)",
    key: str = "pick",
    subject: str = "A",
    day: date = DAY,
    last: date | None = None,
    reminder: bool = True,
    look_for: str = "",
    caution: str = "",
    rough: bool = False,
    seen: bool = False,
    window: int = 0,
    turns: Sequence[date] = (),
) -> Entry:
    """Return an entry with what a test wants to say of it."""

    def figures(text: str) -> tuple[Figure[str], ...]:
        cited = Cited(mark=Mark.OWN, source=None, page="", where=Where("tasks/pick.md"))
        return (Figure(value=text, text=text, cited=cited),) if text else ()

    job = Task(
        key=key,
        name=name,
        topic=Topic.ORCHARD,
        subjects=frozenset(),
        each=Each.TREE,
        when=Anchor(stage=Stage.PICK, text="pick"),
        every=Rhythm(count=1, unit="week") if turns else None,
        reminder=reminder,
        look_for=figures(look_for),
        cautions=figures(caution),
        where=Where("tasks/pick.md"),
    )
    reach = Reach(earliest=day - timedelta(days=window), likely=day, latest=day + timedelta(days=window))
    return Entry(
        task=job,
        subject=subject,
        name=OfCultivar(limb=of) if of else None,
        crop="",
        season=2027,
        span=Span(first=day, last=last or day),
        days=tuple(turns) or (day,),
        bearings=(),
        reach=reach,
        rough=rough,
        seen=seen,
        every=job.every,
    )


def holding_for(entries: Sequence[Entry], place: Place) -> Holding:
    """Return a household that has these entries' tasks and nothing else."""
    tasks = tuple({entry.task.key: entry.task for entry in entries}.values())
    return Holding(place=place, trees=(), cultivars={}, fruits={}, tasks=tasks, preserves=(), records=(), sources={})


def shown(entries: Sequence[Entry], place: Place = HOME) -> tuple[Planned, ...]:
    """Return some entries as calendars show them."""
    holding = holding_for(entries, place)
    paths = Paths(cast("Plan", SimpleNamespace(holding=holding, kitchen=None)))
    return planned(entries, Words(holding, DAY), paths)


def feed_of(entries: Sequence[Entry], place: Place, changed: date, *, windows: bool = False) -> bytes:
    """Return the calendar of some entries' reminders, or of their windows, all stamped with one day."""
    items = shown(entries, place)
    ones = [one for item in items for one in (item.windows if windows else [item.reminder])]
    stamp = datetime(changed.year, changed.month, changed.day, tzinfo=UTC)
    ordered = sorted((one for one in ones if one), key=lambda one: (one.first, one.uid))
    header = Header(name=plain_name(f"{place.name} reminders"), about="What is to be done.", changed=stamp)
    return calendar(header, [written(one, 2796, stamp) for one in ordered])


def feed(*entries: Entry, place: Place = HOME) -> bytes:
    """Return the feed of some entries."""
    return feed_of(entries, place, CHANGED)


def unfolded(data: bytes) -> str:
    """Return a feed's text without its folds."""
    return data.decode("utf-8").replace("\r\n ", "")


# Readers of different makes

Read = tuple[str, date, date, str, str]


def by_icalendar(data: bytes) -> list[Read]:
    """Read a feed with the package that also writes it."""
    events = icalendar.Calendar.from_ical(data).walk("VEVENT")
    return [
        (
            str(e["UID"]),
            e["DTSTART"].dt,
            e["DTEND"].dt,
            str(e["SUMMARY"]),
            str(e.get("DESCRIPTION", "")),
        )
        for e in events
    ]


def by_ical(data: bytes) -> list[Read]:
    """Read a feed with a strict reader of another make."""
    calendar = IcsCalendarStream.calendar_from_ics(data.decode("utf-8"))
    return [(str(e.uid), e.dtstart, e.dtend, e.summary or "", e.description or "") for e in calendar.events]


def by_vobject(data: bytes) -> list[Read]:
    """Read a feed with a third."""
    calendar = vobject.readOne(data.decode("utf-8"))
    calendar.validate(raiseException=True)
    return [
        (
            str(e.uid.value),
            e.dtstart.value,
            e.dtend.value,
            e.summary.value,
            e.description.value if hasattr(e, "description") else "",
        )
        for e in getattr(calendar, "vevent_list", [])
    ]


def turns_by_vobject(data: bytes) -> set[date]:
    """Return the days of a feed's one repeating event as a reader expands its rule."""
    (whole,) = (e for e in vobject.readOne(data.decode("utf-8")).vevent_list if hasattr(e, "rrule"))
    return {moment.date() for moment in whole.getrruleset(addRDate=True)}


def turns_by_ical(data: bytes) -> list[tuple[date, bool]]:
    """Return the days of a feed as another reader lays them out, and whether each has an alarm."""
    events = list(IcsCalendarStream.calendar_from_ics(data.decode("utf-8")).timeline)
    return [(event.dtstart, bool(event.alarm)) for event in events]


READERS = [by_icalendar, by_ical, by_vobject]


def by_ical_js(data: bytes) -> list[Read]:
    """Read a feed with a reader in JavaScript that some apps are built on; skips where it isn't installed."""
    folder = Path(os.environ.get("FIRMRIPE_ICAL_JS", ROOT / ".ci" / "node")) / "node_modules" / "ical.js"
    if not (shutil.which("node") and folder.is_dir()):
        reason = f"node and the package ical.js are not installed (npm install --prefix {folder.parents[1]} ical.js@2)"
        if os.environ.get("FIRMRIPE_ALL_READERS"):
            pytest.fail(reason)
        pytest.skip(reason)
    script = ROOT / "tests" / "js" / "read_feed.mjs"
    run = subprocess.run(  # noqa: S603 - our own script
        [shutil.which("node") or "node", script, folder], input=data, capture_output=True, check=True
    )
    return [
        (uid, date.fromisoformat(start), date.fromisoformat(end), title, text)
        for uid, start, end, title, text in json.loads(run.stdout)
    ]


def all_told(plan: Plan) -> Ledger:
    """Return the ledger of a household whose calendars told every entry of a plan before."""
    entries = (*plan.calendar.entries, *past_entries(plan))
    items = planned(entries, Words.of(plan), Paths(plan))
    return Ledger().advanced((one for item in items for one in item.for_ledger), plan.season.year.first)
