"""Appointments as iCalendar components (RFC 5545, RFC 7986), and the one place that knows the `icalendar` package.

What the package leaves open or gets wrong is settled here. Names of calendars go in as escaped text, where its own
constructors write them raw; REFRESH-INTERVAL and SOURCE carry the VALUE they must have; identities and stamps are
given, never drawn or taken from the clock. Its fold ends lines an octet early and can part a backslash from the
sign it belongs to, so the last step, from content lines to octets, is ours.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime, timedelta
from itertools import pairwise

from icalendar import Alarm as VAlarm
from icalendar import Calendar as VCalendar
from icalendar import Component, Timezone, TimezoneStandard
from icalendar import Event as VEvent
from icalendar.prop import vDuration, vText, vUri
from msgspec import Struct
from msgspec.structs import replace

from firmripe.publish.feeds.appointments import Appointment

PRODUCT = "-//Firmripe//Season plan//EN"
LONGEST_LINE = 75
"""Octets in a line, its end not counted (RFC 5545, section 3.1)."""

_DAILY = timedelta(days=1)


class Header(Struct, frozen=True, kw_only=True):
    """What a calendar says of itself. Empty parts are left out; `colour` is a CSS name with its hexadecimal value."""

    name: str
    about: str = ""
    colour: tuple[str, str] = ("", "")
    source: str = ""
    url: str = ""
    changed: datetime | None = None
    product: str = PRODUCT

    def with_change(self, changed: datetime) -> Header:
        """Return the header stamped with its calendar's last change."""
        return replace(self, changed=changed)


def written(appointment: Appointment, sequence: int, changed: datetime) -> bytes:
    """Return an appointment as the octets of its VEVENT, for as many calendars as it stands in.

    One that comes back is one event with a rule (RFC 5545, section 3.8.5), and its first turn another that stands in
    for it: an alarm in the rule would ring at every turn.
    """
    event = _event(appointment, sequence, changed)
    if not appointment.turns:
        _add_alarm(event, appointment)
        return _octets(_lines(event))
    for name, value in _repeat(appointment.turns):
        event.add(name, value)
    first = _event(appointment, sequence, changed)
    first.add("RECURRENCE-ID", appointment.first)
    _add_alarm(first, appointment)
    return _octets([*_lines(event), *_lines(first)])


def _event(appointment: Appointment, sequence: int, changed: datetime) -> VEvent:
    event = VEvent()
    event.add("UID", appointment.uid)
    event.add("DTSTAMP", changed)
    event.add("LAST-MODIFIED", changed)
    event.add("SEQUENCE", sequence)
    event.add("DTSTART", appointment.first)
    event.add("DTEND", appointment.last + timedelta(days=1))
    for name, text in (("SUMMARY", appointment.title), ("DESCRIPTION", appointment.text), ("URL", appointment.url)):
        if text:  # some readers fail on an empty property
            event.add(name, text)
    event.add("CATEGORIES", [appointment.category])
    event.add("TRANSP", "TRANSPARENT")
    if appointment.related_to:
        event.add("RELATED-TO", appointment.related_to)
    return event


def _add_alarm(event: VEvent, appointment: Appointment) -> None:
    if appointment.alarm is None or not appointment.title:
        return
    alarm = VAlarm()
    alarm.add("ACTION", "DISPLAY")
    alarm.add("TRIGGER", appointment.alarm)
    alarm.add("DESCRIPTION", appointment.title)
    event.add_component(alarm)


def _repeat(turns: Sequence[date]) -> Iterator[tuple[str, object]]:
    """Yield the rule that gives just these days: their usual distance, without some, and with others besides."""
    steps = Counter((after - before).days for before, after in pairwise(turns))
    step = min(steps, key=lambda days: (-steps[days], days))
    weeks = step % 7 == 0
    often = ("WEEKLY", step // 7) if weeks else ("DAILY", step)
    yield "RRULE", {"FREQ": often[0], "INTERVAL": often[1], "UNTIL": turns[-1]}
    by_rule = {turns[0] + timedelta(days=at) for at in range(0, (turns[-1] - turns[0]).days + 1, step)}
    for day in sorted(by_rule - set(turns)):
        yield "EXDATE", day
    for day in sorted(set(turns) - by_rule):
        yield "RDATE", day


def calendar(header: Header, events: Iterable[bytes]) -> bytes:
    """Return a whole calendar around events that are written already, in the order given.

    Without any it holds a time zone alone, which keeps it valid and its readers quiet.
    """
    *head, end = _lines(_frame(header))
    body = list(events) or [_octets(_lines(_empty_zone()))]
    return b"".join([_octets(head), *body, _octets([end])])


def _frame(header: Header) -> VCalendar:
    frame = VCalendar()
    frame.add("VERSION", "2.0")
    frame.add("PRODID", header.product)
    frame.add("CALSCALE", "GREGORIAN")
    frame.add("NAME", vText(header.name))
    frame.add("X-WR-CALNAME", vText(header.name))
    if header.about:
        frame.add("X-WR-CALDESC", vText(header.about))
    frame.add("REFRESH-INTERVAL", vDuration(_DAILY, params={"VALUE": "DURATION"}))
    frame.add("X-PUBLISHED-TTL", vDuration(_DAILY))
    name, value = header.colour
    if name:
        frame.add("COLOR", vText(name))
        frame.add("X-APPLE-CALENDAR-COLOR", vText(value))
    if header.changed is not None:
        frame.add("LAST-MODIFIED", header.changed)
    if header.source:
        frame.add("SOURCE", vUri(header.source, params={"VALUE": "URI"}))
    if header.url:
        frame.add("URL", vUri(header.url))
    return frame


def _empty_zone() -> Timezone:
    """Return the one component that an otherwise empty calendar needs to be valid."""
    zone, standard = Timezone(), TimezoneStandard()
    zone.add("TZID", "UTC")
    standard.add("DTSTART", datetime(1970, 1, 1))  # noqa: DTZ001 - a zone's own onset is a local time
    standard.add("TZOFFSETFROM", timedelta(0))
    standard.add("TZOFFSETTO", timedelta(0))
    zone.add_component(standard)
    return zone


def _lines(component: Component) -> list[str]:
    """Return a component's content lines, its properties in the order they were added in."""
    return [str(line) for line in component.content_lines(sorted=False) if line]


def _octets(lines: Iterable[str]) -> bytes:
    return b"".join(folded(line) + b"\r\n" for line in lines)


def folded(line: str) -> bytes:
    """Return a content line in lines of at most 75 octets, parted between characters and never after a backslash."""
    data = line.encode("utf-8")
    parts, start, room = [], 0, LONGEST_LINE
    while len(data) - start > room:
        end = start + room
        while data[end] & 0xC0 == 0x80:  # within a character
            end -= 1
        part = data[start:end]
        if (len(part) - len(part.rstrip(b"\\"))) % 2:  # between a backslash and the sign it escapes
            end -= 1
        parts.append(data[start:end])
        start, room = end, LONGEST_LINE - 1  # the fold's own space counts
    parts.append(data[start:])
    return b"\r\n ".join(parts)
