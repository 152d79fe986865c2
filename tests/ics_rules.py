"""Rules of iCalendar that our feeds must keep, checked on the bytes alone, without any calendar library.

The rules are those of RFC 5545 (sections 3.1 to 3.8) and RFC 7986 that bind a feed of all-day events, and a few of
our own, marked so, about what readers get wrong.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from datetime import datetime

TEXTS = {"SUMMARY", "DESCRIPTION", "NAME", "X-WR-CALNAME", "X-WR-CALDESC", "CATEGORIES"}
ONCE = {
    "UID",
    "DTSTAMP",
    "DTSTART",
    "DTEND",
    "SUMMARY",
    "DESCRIPTION",
    "LAST-MODIFIED",
    "SEQUENCE",
    "TRANSP",
    "STATUS",
    "URL",
    "CLASS",
    "CREATED",
    "LOCATION",
    "PRIORITY",
}
DURATION = r"P(\d+W|(?=\d|T\d)(\d+D)?(T(?=\d)(\d+H)?(\d+M)?(\d+S)?)?)"
PATTERNS = {
    "TRANSP": "OPAQUE|TRANSPARENT",
    "STATUS": "TENTATIVE|CONFIRMED|CANCELLED",
    "SEQUENCE": r"\d+",
    "REFRESH-INTERVAL": DURATION,
    "X-PUBLISHED-TTL": DURATION,
    "NAME": r"[^,;\\]+",  # our own, with the next: readers disagree about unescaping it
    "X-WR-CALNAME": r"[^,;\\]+",
}
COLOURS = "olivedrab|goldenrod"
"""The CSS names we use; RFC 7986 section 5.9 allows those of CSS3 and no others."""
ADDRESS = r"https?://[!-~]+"
PATTERNS |= {
    "CALSCALE": "GREGORIAN",
    "COLOR": COLOURS,
    "URL": ADDRESS,
    "SOURCE": ADDRESS,
    "TRIGGER": f"-?{DURATION}",
    "RRULE": r"FREQ=(DAILY|WEEKLY);UNTIL=\d{8};INTERVAL=\d+",  # our own: without an end it rings for ever
}
FARTHEST_D = 28
LINE = re.compile(r"([A-Z0-9-]+)((?:;[A-Z0-9-]+=(?:\"[^\"]*\"|[^\";:,]*))*):(.*)", re.DOTALL)
LARGEST = 1_000_000


@dataclass(frozen=True)
class Line:
    """A content line after unfolding."""

    name: str
    parameters: str
    value: str


@dataclass(frozen=True)
class Component:
    """The lines between a BEGIN and its END, without those of components inside it."""

    kind: str
    lines: tuple[Line, ...]
    inside: tuple[str, ...]

    def values(self, name: str) -> list[Line]:
        """Return all lines of a name."""
        return [line for line in self.lines if line.name == name]

    def value(self, name: str) -> str:
        """Return the first value of a name, or nothing."""
        return next((line.value for line in self.lines if line.name == name), "")


def faults(data: bytes) -> set[str]:
    """Return the names of the rules that a feed breaks."""
    found = _of_bytes(data)
    text = data.decode("utf-8", "replace").removeprefix("\ufeff")
    lines = []
    for raw in re.sub(r"\r?\n[ \t]", "", text).replace("\r\n", "\n").split("\n")[:-1]:
        match = LINE.fullmatch(raw)
        if match is None:
            found.add("line")
        else:
            lines.append(Line(match[1], match[2], match[3]))
    components = _components(lines)
    if components is None:
        return found | {"frame"}
    calendar, events = components[-1], [c for c in components if c.kind == "VEVENT"]
    found |= _of_calendar(calendar)
    for event in events:
        found |= _of_event(event)
    found |= {rule for component in components if component.kind == "VALARM" for rule in _of_alarm(component)}
    for component in components:
        found |= {rule for line in component.lines for rule in _of_line(line)}
    found |= _of_repeats(events)
    keys = [(event.value("DTSTART"), event.value("UID")) for event in events]
    if keys != sorted(keys):
        found.add("order")  # our own: equal entries give equal bytes
    return found


def _of_bytes(data: bytes) -> set[str]:
    found = set()
    if data.startswith(b"\xef\xbb\xbf"):
        found.add("byte order mark")
    if len(data) > LARGEST:
        found.add("size")  # our own: a large calendar service takes no more, by report
    if b"\n" in data.replace(b"\r\n", b"") or b"\r" in data.replace(b"\r\n", b"") or not data.endswith(b"\r\n"):
        found.add("line end")
    for line in data.split(b"\n")[:-1]:
        if (len(line.rstrip(b"\r")) - len(line.rstrip(b"\r").rstrip(b"\\"))) % 2:
            found.add("fold in an escape")  # our own: old readers choke on it
        bare = line.removesuffix(b"\r")
        if len(bare) > 75:
            found.add("line length")
        if not bare.strip():
            found.add("blank line")
        try:
            text = bare.decode("utf-8")
        except UnicodeDecodeError:
            found.add("utf-8")
            continue
        if re.search("[\x00-\x08\x0a-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff\ufdd0-\ufdef]", text):
            found.add("control")
    return found


def _components(lines: list[Line]) -> list[Component] | None:
    """Return all components, inner before outer; None where BEGIN and END don't match up to one calendar."""
    found: list[Component] = []
    stack: list[tuple[str, list[Line], list[str]]] = []
    for number, line in enumerate(lines):
        if line.name == "BEGIN":
            if stack:
                stack[-1][2].append(line.value)
            elif number:
                return None
            stack.append((line.value, [], []))
        elif not stack:
            return None
        elif line.name == "END":
            kind, own, inside = stack.pop()
            if kind != line.value:
                return None
            found.append(Component(kind, tuple(own), tuple(inside)))
        else:
            stack[-1][1].append(line)
    return found if found and not stack and found[-1].kind == "VCALENDAR" else None


def _of_calendar(calendar: Component) -> set[str]:
    found = set()
    counts = Counter(line.name for line in calendar.lines)
    if calendar.value("VERSION") != "2.0" or counts["VERSION"] != 1:
        found.add("version")
    if counts["PRODID"] != 1:
        found.add("prodid")
    if counts["METHOD"]:
        found.add("method")  # a plain file host can't send the parameter that must go with it
    if not calendar.inside:
        found.add("empty calendar")
    if set(calendar.inside) - {"VEVENT", "VTIMEZONE"}:
        found.add("component")  # our own: reminders are events
    if counts["REFRESH-INTERVAL"] > 1 or counts["X-PUBLISHED-TTL"] > 1 or counts["CALSCALE"] > 1:
        found.add("twice")
    return found


def _of_event(event: Component) -> set[str]:
    found = set()
    counts = Counter(line.name for line in event.lines)
    if any(counts[name] > 1 for name in ONCE):
        found.add("twice")
    found |= {f"no {name.lower()}" for name in ("UID", "DTSTAMP", "DTSTART", "DTEND") if not counts[name]}
    if counts["DTEND"] and counts["DURATION"]:
        found.add("end and duration")
    for name in ("DTSTAMP", "LAST-MODIFIED"):
        if counts[name] and not _moment(event.value(name)):
            found.add("stamp")
    found |= _of_our_own(event, counts)
    starts, ends = event.values("DTSTART"), event.values("DTEND")
    if any(line.parameters != ";VALUE=DATE" for line in starts + ends):
        found.add("type of date")
    if not all(_day(line.value) for line in starts + ends):
        found.add("day")
    if starts and ends and ends[0].value <= starts[0].value:
        found.add("end")
    if "VALARM" in event.inside and starts and ends and _days(starts[0].value, ends[0].value) > 1:
        found.add("alarm on a window")  # our own
    return found


def _of_our_own(event: Component, counts: Counter[str]) -> set[str]:
    found = set()
    if event.value("DTSTAMP") != event.value("LAST-MODIFIED"):
        found.add("stamps differ")  # without METHOD both say when the content last changed
    if counts["RRULE"] > 1 or ({"RDATE", "EXDATE"} & set(counts) and not counts["RRULE"]):
        found.add("repeat")  # RFC 5545, 3.8.5.3: one rule should stand alone; without one the others mean nothing
    if any(line.parameters != ";VALUE=DATE" for name in ("RDATE", "EXDATE") for line in event.values(name)):
        found.add("type of turn")  # RFC 5545, 3.8.5.1: of the same type as DTSTART
    if event.inside.count("VALARM") > 1:
        found.add("two alarms")  # our own: a large client takes one
    return found


def _of_repeats(events: list[Component]) -> set[str]:
    """Look at events with one identity together: one that repeats, and its first turn that stands in for it."""
    found = set()
    by_uid: dict[str, list[Component]] = {}
    for event in events:
        by_uid.setdefault(event.value("UID"), []).append(event)
    for same in by_uid.values():
        wholes = [event for event in same if not event.values("RECURRENCE-ID")]
        turns = [event for event in same if event.values("RECURRENCE-ID")]
        if len(wholes) != 1 or len(turns) > 1:
            found.add("uid twice")
            continue
        repeats = bool(wholes[0].values("RRULE"))
        if repeats != bool(turns) or any(turn.value("RECURRENCE-ID") != wholes[0].value("DTSTART") for turn in turns):
            found.add("first turn")  # our own: it alone carries the alarm
        if repeats and "VALARM" in wholes[0].inside:
            found.add("alarm at every turn")  # our own
    return found


def _of_alarm(alarm: Component) -> set[str]:
    found = set()
    counts = Counter(line.name for line in alarm.lines)
    if alarm.value("ACTION") != "DISPLAY" or any(counts[n] != 1 for n in ("ACTION", "TRIGGER", "DESCRIPTION")):
        found.add("alarm")
    days = re.match(r"-P(\d+)D", alarm.value("TRIGGER"))
    if days and int(days[1]) > FARTHEST_D:
        found.add("far alarm")  # our own: a reader looks no more than a month ahead
    return found


def _of_line(line: Line) -> set[str]:
    found = set()
    if not line.value.strip():
        found.add("empty property")
    if line.name in TEXTS:
        rest = re.sub(r"\\[\\;,nN]", "", line.value)
        if "\\" in rest:
            found.add("escape")
        if ";" in rest or ("," in rest and line.name != "CATEGORIES"):
            found.add("unescaped")
    if line.name == "REFRESH-INTERVAL" and line.parameters != ";VALUE=DURATION":
        found.add("type of refresh")
    if line.name == "SOURCE" and line.parameters != ";VALUE=URI":
        found.add("type of source")
    if line.name in PATTERNS and not re.fullmatch(PATTERNS[line.name], line.value):
        found.add(f"value of {line.name.lower()}")
    return found


def _day(value: str) -> bool:
    return _reads(value, "%Y%m%d", 8)


def _days(first: str, after: str) -> int:
    if not (_day(first) and _day(after)):
        return 0
    read = [datetime.strptime(value, "%Y%m%d") for value in (first, after)]  # noqa: DTZ007 - whole days
    return (read[1] - read[0]).days


def _moment(value: str) -> bool:
    return _reads(value, "%Y%m%dT%H%M%SZ", 16)


def _reads(value: str, pattern: str, length: int) -> bool:
    try:
        datetime.strptime(value, pattern)  # noqa: DTZ007 - only whether it can be read
    except ValueError:
        return False
    return len(value) == length
