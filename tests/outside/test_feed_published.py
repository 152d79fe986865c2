"""What RFC 5545, RFC 4122 and published check values say of a feed, byte by byte."""

from __future__ import annotations

import hashlib
import uuid
from datetime import UTC, date, datetime, timedelta

import pytest
from feed_making import HOME, by_ical, by_ical_js, by_icalendar, by_vobject, entry, feed
from ics_rules import faults

from firmripe.publish.feeds.appointments import Appointment
from firmripe.publish.feeds.components import Header, calendar, folded, written
from firmripe.publish.feeds.names import clean_text

APPLE = "\N{RED APPLE}"
FARMER = "\N{MAN}\N{ZERO WIDTH JOINER}\N{EAR OF RICE}"
STAMP = datetime(2026, 1, 1, tzinfo=UTC)

# A feed of one event, worked out by hand from RFC 5545 (sections 3.1, 3.3.11, 3.6) and RFC 7986 (sections 5.1, 5.7)
# and read alike by icalendar, ical, vobject, ical.js and libical
TASK_FEED = """BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//Example//Task feed//EN
CALSCALE:GREGORIAN
NAME:Tasks
X-WR-CALNAME:Tasks
REFRESH-INTERVAL;VALUE=DURATION:P1D
X-PUBLISHED-TTL:P1D
BEGIN:VEVENT
UID:48c2207b-52ea-5318-85f2-0c1315667d3e
DTSTAMP:20260101T000000Z
LAST-MODIFIED:20260101T000000Z
SEQUENCE:0
DTSTART;VALUE=DATE:20260801
DTEND;VALUE=DATE:20260802
SUMMARY:Start checking: plum\\, row 3 🍎
DESCRIPTION:Window 1 Aug – 11 Sep\\; look at 3 samples.\\nhttps://example.i
 nvalid/t/17
CATEGORIES:Check
TRANSP:TRANSPARENT
BEGIN:VALARM
ACTION:DISPLAY
TRIGGER:-PT15H
DESCRIPTION:Start checking: plum\\, row 3 🍎
END:VALARM
END:VEVENT
END:VCALENDAR
""".replace("\n", "\r\n").encode()
TASK_FEED_SHA256 = "d797db77a024e3802ec1f7a3bbeaa4244f39aa591d60ecc88f81a349cea4dd42"


def task_feed() -> bytes:
    """Return the same feed, written by us from the same facts."""
    namespace = uuid.uuid5(uuid.NAMESPACE_URL, "https://example.invalid/")
    one = Appointment(
        uid=str(uuid.uuid5(namespace, "task-17|2026|start")),
        first=date(2026, 8, 1),
        last=date(2026, 8, 1),
        title=f"Start checking: plum, row 3 {APPLE}",
        text="Window 1 Aug – 11 Sep; look at 3 samples.\nhttps://example.invalid/t/17",
        category="Check",
        alarm=timedelta(hours=-15),
    )
    return calendar(Header(name="Tasks", product="-//Example//Task feed//EN"), [written(one, 0, STAMP)])


def test_a_feed_worked_out_by_hand_comes_out_byte_for_byte() -> None:
    """From equal facts equal octets: order, escapes, folds, types of values, alarm and line ends."""
    assert hashlib.sha256(TASK_FEED).hexdigest() == TASK_FEED_SHA256
    assert len(TASK_FEED) == 660
    assert task_feed() == TASK_FEED


def test_readers_of_three_makes_agree_on_it() -> None:
    """What was worked out by hand is also what others read."""
    text = "Window 1 Aug – 11 Sep; look at 3 samples.\nhttps://example.invalid/t/17"
    title = f"Start checking: plum, row 3 {APPLE}"
    read = [("48c2207b-52ea-5318-85f2-0c1315667d3e", date(2026, 8, 1), date(2026, 8, 2), title, text)]

    assert by_icalendar(TASK_FEED) == by_ical(TASK_FEED) == by_vobject(TASK_FEED) == read
    assert faults(TASK_FEED) == set()


def test_a_reader_in_javascript_agrees_on_it() -> None:
    """The same for the fourth."""
    assert by_ical_js(TASK_FEED) == by_icalendar(TASK_FEED)


# RFC 4122 section 4.3, worked out with another implementation
def test_identities_are_name_based_as_the_standard_has_it() -> None:
    """A name in a namespace has one identity, everywhere."""
    assert str(uuid.uuid5(uuid.NAMESPACE_URL, "https://example.invalid/")) == "02fd493f-78dd-560a-97b4-7443f74d29ed"
    assert b"UID:48c2207b-52ea-5318-85f2-0c1315667d3e\r\n" in task_feed()


# RFC 5545 section 3.1: at most 75 octets, the continuation counting its space; a character of several octets that
# would pass that goes to the next line whole. The counts were worked out from the rule apart from this code
@pytest.mark.parametrize(
    ("line", "octets"),
    [
        ("SUMMARY:" + "x" * 62 + APPLE, [74]),
        ("SUMMARY:" + "x" * 63 + APPLE, [75]),
        ("SUMMARY:" + "x" * 64 + APPLE, [72, 5]),
        ("SUMMARY:" + "x" * 66 + APPLE, [74, 5]),
        ("SUMMARY:" + "x" * 67 + APPLE, [75, 5]),
        ("SUMMARY:" + "x" * 68 + APPLE, [75, 6]),
        ("SUMMARY:" + "x" * 67, [75]),
        ("SUMMARY:" + "x" * 68, [75, 2]),
        ("DESCRIPTION:" + "x" * 300, [75, 75, 75, 75, 16]),
        ("DESCRIPTION:" + "é" * 100, [74, 75, 65]),
        ("SUMMARY:" + "x" * 50 + 3 * FARMER, [73, 19]),
    ],
)
def test_a_long_line_is_folded_between_characters(line: str, octets: list[int]) -> None:
    """As much as fits stands in each line, and no character is torn apart."""
    parts = folded(line).split(b"\r\n")

    assert [len(part) for part in parts] == octets
    assert (parts[0] + b"".join(part[1:] for part in parts[1:])).decode() == line


@pytest.mark.parametrize("padding", range(60, 80))
@pytest.mark.parametrize("escape", ["\\,", "\\;", "\\n", "\\\\", "\\\\\\\\\\,"])
def test_no_fold_parts_a_backslash_from_its_sign(padding: int, escape: str) -> None:
    """RFC 5545 allows a fold between any two characters; old readers choke on one within an escape."""
    line = "x" * padding + escape + "y" * 40

    for part in folded(line).split(b"\r\n"):
        assert (len(part) - len(part.rstrip(b"\\"))) % 2 == 0


# RFC 5545 section 3.3.11: backslash, semicolon and comma are escaped, a new line is \n; a control character and a
# byte order mark are no text
def test_text_is_escaped_as_the_standard_has_it() -> None:
    """The characters that mean something in a feed come through as text, and those that break readers not at all."""
    title = 'a,b;c\\d\ne:f"g"\rh\ai\N{ZERO WIDTH NO-BREAK SPACE}'

    assert clean_text(title) == 'a,b;c\\d\ne:f"g"\nhi'
    assert b'\r\nSUMMARY:a\\,b\\;c\\\\d\\ne:f"g"\\nhi\r\n' in feed(entry(title, of=""), place=HOME)


# RFC 5545 section 3.6.1: DTEND of whole days is the day after the last, not itself part of them
@pytest.mark.parametrize(
    ("first", "last", "end"),
    [
        (date(2026, 8, 1), date(2026, 9, 11), b"20260912"),
        (date(2028, 2, 28), date(2028, 2, 29), b"20280301"),
        (date(2026, 12, 28), date(2027, 1, 3), b"20270104"),
        (date(2026, 3, 29), date(2026, 3, 29), b"20260330"),
        (date(2028, 2, 28), date(2028, 2, 28), b"20280229"),
        (date(2026, 12, 31), date(2026, 12, 31), b"20270101"),
    ],
)
def test_whole_days_end_before_the_next(first: date, last: date, end: bytes) -> None:
    """Over the ends of months and years, in leap years and where clocks change."""
    one = Appointment(uid="a", first=first, last=last, title="Pick", text="", category="Orchard")

    assert b"DTEND;VALUE=DATE:" + end + b"\r\n" in written(one, 0, STAMP)
