"""From entries to an iCalendar feed (RFC 5545): one-day, all-day reminders that any calendar app takes.

What the `icalendar` package leaves to its caller is settled here: identities, stamps, types of values, order, and
the characters that break readers.
"""

from __future__ import annotations

import unicodedata
import uuid
from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta

from icalendar import Calendar as VCalendar
from icalendar import Event as VEvent
from icalendar import Timezone, TimezoneStandard
from icalendar.prop import vDuration, vText

from firmripe.calendar.entries import Entry
from firmripe.holding.place import Place
from firmripe.publish.characters import readable
from firmripe.words import between, span_words

_NAMESPACE = uuid.UUID("6f0b7c1e-52a4-5d0e-9b7e-2f8d9a4c1b73")
"""Names the identities of Firmripe's entries; drawn once, never to be changed."""

_EPOCH = date(2020, 1, 1)
_PRODUCT = "-//Firmripe//Season plan//EN"


def reminders(entries: Iterable[Entry], place: Place, changed: date) -> bytes:
    """Return the feed of all entries that ask for a reminder, ordered by day and identity.

    `changed` is the day the notes last said anything new: it stamps every entry (DTSTAMP, LAST-MODIFIED, SEQUENCE),
    so that the same notes give the same bytes whenever they are built.
    """
    stamp = datetime(changed.year, changed.month, changed.day, tzinfo=UTC)
    calendar = VCalendar()
    calendar.add("VERSION", "2.0")
    calendar.add("PRODID", _PRODUCT)
    calendar.add("CALSCALE", "GREGORIAN")
    name = vText(_plain_name(f"{place.name} reminders"))
    calendar.add("NAME", name)
    calendar.add("X-WR-CALNAME", name)
    daily = vDuration(timedelta(days=1))
    daily.params["VALUE"] = "DURATION"
    calendar.add("REFRESH-INTERVAL", daily)
    calendar.add("X-PUBLISHED-TTL", vDuration(timedelta(days=1)))
    events = [(entry, entry_uid(place, entry)) for entry in entries if entry.task.reminder]
    for entry, uid in sorted(events, key=lambda pair: (pair[0].span.first, pair[1])):
        calendar.add_component(_event(entry, uid, place, stamp))
    if not events:
        calendar.add_component(_empty_zone())
    return bytes(calendar.to_ical())


def entry_uid(place: Place, entry: Entry) -> str:
    """Return the entry's identity: it stays when the date moves, and differs from household to household."""
    household = uuid.uuid5(_NAMESPACE, clean_text(place.site_address or place.name))
    return str(uuid.uuid5(household, clean_text(entry.identity)))


def clean_text(text: str) -> str:
    """Return text with plain line ends and without the characters that break calendar readers."""
    plain = unicodedata.normalize("NFC", text).replace("\r\n", "\n").replace("\r", "\n")
    plain = plain.replace("\u2028", "\n").replace("\u2029", "\n")
    return readable(plain).strip()


def _plain_name(name: str) -> str:
    """Return a calendar's name without what readers disagree about unescaping."""
    return " ".join(clean_text(name).translate(str.maketrans(",;\\", "   ")).split())


def _event(entry: Entry, uid: str, place: Place, stamp: datetime) -> VEvent:
    event = VEvent()
    event.add("UID", uid)
    event.add("DTSTAMP", stamp)
    event.add("LAST-MODIFIED", stamp)
    event.add("SEQUENCE", max(0, (stamp.date() - _EPOCH).days))
    event.add("DTSTART", entry.span.first)
    event.add("DTEND", entry.span.first + timedelta(days=1))
    for name, text in (("SUMMARY", entry.title), ("DESCRIPTION", _description(entry))):
        if clean := clean_text(text):  # some readers fail on an empty property
            event.add(name, clean)
    event.add("CATEGORIES", [entry.task.topic.value.capitalize()])
    event.add("TRANSP", "TRANSPARENT")
    if place.site_address:
        event.add("URL", "".join(clean_text(place.site_address).split()))
    return event


def _description(entry: Entry) -> str:
    lines = []
    if entry.span.first != entry.span.last:
        rhythm = f", {entry.task.every}" if entry.task.every else ""
        lines.append(f"{span_words(entry.span)}{rhythm}.")
    if entry.seen:
        lines.append("Counted from a day that was seen and noted.")
    if reach := between(entry.reach.earliest, entry.reach.latest):
        lines.append(f"{'A rough estimate' if entry.rough else 'An estimate'}: {reach}.")
    lines += [
        figure.text + ("" if figure.text.endswith((".", "!", "?")) else ".") for figure in entry.task.look_for[:1]
    ]
    if entry.task.bring:
        lines.append(f"Bring: {', '.join(entry.task.bring)}.")
    lines += [f"Caution: {figure.text}" for figure in entry.task.cautions]
    return "\n".join(lines)


def _empty_zone() -> Timezone:
    """Return the one component that an otherwise empty calendar needs to be valid."""
    zone, standard = Timezone(), TimezoneStandard()
    zone.add("TZID", "UTC")
    standard.add("DTSTART", datetime(1970, 1, 1))  # noqa: DTZ001 - a zone's own onset is a local time
    standard.add("TZOFFSETFROM", timedelta(0))
    standard.add("TZOFFSETTO", timedelta(0))
    zone.add_component(standard)
    return zone
