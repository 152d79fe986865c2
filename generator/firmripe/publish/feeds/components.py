"""Appointments as the lines of iCalendar (RFC 5545, RFC 7986): what a feed is made of, to the octet.

Of that standard's values a feed has days, moments in UTC, texts, addresses and spans of whole hours. Names of calendars
are escaped texts; REFRESH-INTERVAL and SOURCE carry the VALUE they must have; identities and stamps are given, never
drawn or taken from the clock. Lines are folded between characters, and never between a backslash and the sign it
belongs to.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime, timedelta
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from firmripe.publish.feeds.appointments import Appointment

PRODUCT = "-//Firmripe//Season plan//EN"
LONGEST_LINE = 75
"""Octets in a line, its end not counted (RFC 5545, section 3.1)."""

_ESCAPED = str.maketrans({"\\": r"\\", ";": r"\;", ",": r"\,", "\n": r"\n"})
"""What stands for a sign in a text (RFC 5545, section 3.3.11)."""
_DAILY = "P1D"


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
    for it: an alarm in the rule would ring at every turn. `changed` is a moment in UTC.
    """
    said = [*_said(appointment, sequence, changed)]
    alarm = [*_alarm(appointment)]
    if not appointment.turns:
        return _octets(_component("VEVENT", [*said, *alarm]))
    first = [*said, f"RECURRENCE-ID;VALUE=DATE:{_day(appointment.first)}", *alarm]
    repeated = [*said, *_repeat(appointment.turns)]
    return _octets([*_component("VEVENT", repeated), *_component("VEVENT", first)])


def _said(appointment: Appointment, sequence: int, changed: datetime) -> Iterator[str]:
    yield f"UID:{_text(appointment.uid)}"
    yield f"DTSTAMP:{_moment(changed)}"
    yield f"LAST-MODIFIED:{_moment(changed)}"
    yield f"SEQUENCE:{sequence}"
    yield f"DTSTART;VALUE=DATE:{_day(appointment.first)}"
    yield f"DTEND;VALUE=DATE:{_day(appointment.last + timedelta(days=1))}"
    if appointment.title:  # some readers fail on an empty property
        yield f"SUMMARY:{_text(appointment.title)}"
    if appointment.text:
        yield f"DESCRIPTION:{_text(appointment.text)}"
    if appointment.url:
        yield f"URL:{appointment.url}"
    yield f"CATEGORIES:{_text(appointment.category)}"
    yield "TRANSP:TRANSPARENT"
    if appointment.related_to:
        yield f"RELATED-TO:{_text(appointment.related_to)}"


def _alarm(appointment: Appointment) -> list[str]:
    if appointment.alarm is None or not appointment.title:
        return []
    hours = appointment.alarm // timedelta(hours=1)
    trigger = f"TRIGGER:{'-' if hours < 0 else ''}PT{abs(hours)}H"
    return _component("VALARM", ["ACTION:DISPLAY", trigger, f"DESCRIPTION:{_text(appointment.title)}"])


def _repeat(turns: Sequence[date]) -> Iterator[str]:
    """Yield the rule that gives just these days: their usual distance, without some, and with others besides."""
    steps = Counter((after - before).days for before, after in pairwise(turns))
    step = min(steps, key=lambda days: (-steps[days], days))
    often, interval = ("WEEKLY", step // 7) if step % 7 == 0 else ("DAILY", step)
    yield f"RRULE:FREQ={often};UNTIL={_day(turns[-1])};INTERVAL={interval}"
    by_rule = {turns[0] + timedelta(days=at) for at in range(0, (turns[-1] - turns[0]).days + 1, step)}
    for day in sorted(by_rule - set(turns)):
        yield f"EXDATE;VALUE=DATE:{_day(day)}"
    for day in sorted(set(turns) - by_rule):
        yield f"RDATE;VALUE=DATE:{_day(day)}"


def calendar(header: Header, events: Iterable[bytes]) -> bytes:
    """Return a whole calendar around events that are written already, in the order given.

    Without any it holds a time zone alone, which keeps it valid and its readers quiet.
    """
    *head, end = _component("VCALENDAR", _head(header))
    body = list(events) or [_octets(_EMPTY_ZONE)]
    return b"".join([_octets(head), *body, _octets([end])])


def _head(header: Header) -> Iterator[str]:
    yield "VERSION:2.0"
    yield f"PRODID:{_text(header.product)}"
    yield "CALSCALE:GREGORIAN"
    yield f"NAME:{_text(header.name)}"
    yield f"X-WR-CALNAME:{_text(header.name)}"
    if header.about:
        yield f"X-WR-CALDESC:{_text(header.about)}"
    yield f"REFRESH-INTERVAL;VALUE=DURATION:{_DAILY}"
    yield f"X-PUBLISHED-TTL:{_DAILY}"
    name, value = header.colour
    if name:
        yield f"COLOR:{_text(name)}"
        yield f"X-APPLE-CALENDAR-COLOR:{_text(value)}"
    if header.changed is not None:
        yield f"LAST-MODIFIED:{_moment(header.changed)}"
    if header.source:
        yield f"SOURCE;VALUE=URI:{header.source}"
    if header.url:
        yield f"URL:{header.url}"


def _component(kind: str, lines: Iterable[str]) -> list[str]:
    return [f"BEGIN:{kind}", *lines, f"END:{kind}"]


_ONSET = ("DTSTART:19700101T000000", "TZOFFSETFROM:+0000", "TZOFFSETTO:+0000")
_EMPTY_ZONE = _component("VTIMEZONE", ["TZID:UTC", *_component("STANDARD", _ONSET)])
"""The one component that an otherwise empty calendar needs to be valid."""


def _text(text: str) -> str:
    """Return a text as the value of a property; of its signs for the end of a line there is none but a plain one."""
    return text.translate(_ESCAPED)


def _day(day: date) -> str:
    return f"{day:%Y%m%d}"


def _moment(moment: datetime) -> str:
    return f"{moment:%Y%m%dT%H%M%SZ}"


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
