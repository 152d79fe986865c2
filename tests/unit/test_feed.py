"""The calendar feed: valid, steady, and read alike by independent readers."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import icalendar
import pytest
import vobject
from hypothesis import given, settings
from hypothesis import strategies as st
from ical.calendar_stream import IcsCalendarStream
from ics_rules import PATTERNS, faults
from one_tree import plan_of_notes, task
from season_notes import note

from firmripe.calendar.entries import Entry
from firmripe.calendar.plan import Plan
from firmripe.days import Span
from firmripe.holding.figures import Cited, Figure, Mark
from firmripe.holding.place import Ground, Place
from firmripe.holding.task import Anchor, Each, Stage, Task, Topic
from firmripe.problems import Where
from firmripe.publish.feed import clean_text, entry_uid, reminders
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
        reminder=reminder,
        look_for=figures(look_for),
        cautions=figures(caution),
        where=Where("tasks/pick.md"),
    )
    reach = Reach(earliest=day - timedelta(days=window), likely=day, latest=day + timedelta(days=window))
    return Entry(
        task=job,
        subject=subject,
        name=of,
        crop="",
        season=2027,
        span=Span(first=day, last=last or day),
        days=(day,),
        bearings=(),
        reach=reach,
        rough=rough,
        seen=seen,
    )


def feed(*entries: Entry, place: Place = HOME) -> bytes:
    """Return the feed of some entries."""
    return reminders(entries, place, CHANGED)


def unfolded(data: bytes) -> str:
    """Return a feed's text without its folds."""
    return data.decode("utf-8").replace("\r\n ", "")


def example_feed(plan: Plan) -> bytes:
    """Return the feed of a plan."""
    return reminders(plan.calendar.entries, plan.holding.place, plan.changed)


# Three readers

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


READERS = [by_icalendar, by_ical, by_vobject]


def expected(entries: list[Entry], place: Place) -> dict[str, tuple[date, date, str]]:
    """Return what a reader should find: by identity the first day, the day after, and the title."""
    return {
        entry_uid(place, e): (e.span.first, e.span.first + timedelta(days=1), clean_text(e.title))
        for e in entries
        if e.task.reminder
    }


@pytest.mark.parametrize("read", READERS)
def test_each_reader_finds_the_entries_of_the_example(read: Callable[[bytes], list[Read]], example_plan: Plan) -> None:
    """Every reminder, on its day, with its title, once."""
    found = read(example_feed(example_plan))
    wanted = expected(list(example_plan.calendar.entries), example_plan.holding.place)

    assert len(found) == len(wanted) > 50
    assert {uid: (start, end, title) for uid, start, end, title, _ in found} == wanted


def test_all_readers_find_the_same(example_plan: Plan) -> None:
    """Identities, days, titles and descriptions agree between three readers of different makes."""
    data = example_feed(example_plan)
    first, *others = (sorted(read(data)) for read in READERS)

    assert first
    for other in others:
        assert other == first


def test_the_feed_of_the_example_keeps_the_rules(example_plan: Plan) -> None:
    """No rule of our own checker is broken."""
    assert faults(example_feed(example_plan)) == set()


# The checker can fail


GOOD = feed(
    entry("Pick, sort; store", look_for="A mature pear parts when it is lifted.", window=3, caution="Mind the ladder"),
    entry("Look", key="look", day=date(2027, 8, 30)),
)


def swap(old: str, new: str, count: int = 1) -> Callable[[bytes], bytes]:
    """Return an edit of the good feed; it must find what it replaces."""

    def edit(data: bytes) -> bytes:
        assert old.encode() in data, old
        return data.replace(old.encode(), new.encode("utf-8", "surrogatepass"), count)

    return edit


def second_uid_as_first(data: bytes) -> bytes:
    """Give both events one identity."""
    first, second = re.findall(rb"UID:([^\r]+)", data)
    return data.replace(second, first)


def events_turned_round(data: bytes) -> bytes:
    """Put the later event before the earlier one."""
    head, first, second = data.split(b"BEGIN:VEVENT\r\n")
    second, tail = second.split(b"END:VCALENDAR")
    return b"BEGIN:VEVENT\r\n".join([head, second, first]) + b"END:VCALENDAR" + tail


def without_events(data: bytes) -> bytes:
    """Leave a calendar with nothing in it."""
    return re.sub(rb"BEGIN:VEVENT.*END:VEVENT\r\n", b"", data, flags=re.DOTALL)


def without(name: str) -> Callable[[bytes], bytes]:
    """Return an edit that takes a property out."""

    def edit(data: bytes) -> bytes:
        assert name.encode() in data
        return re.sub(rb"(?m)^" + name.encode() + rb"[:;].*\r\n(?: .*\r\n)*", b"", data)

    return edit


FAULTS: list[tuple[str, Callable[[bytes], bytes]]] = [
    ("byte order mark", lambda d: b"\xef\xbb\xbf" + d),
    ("size", lambda d: d + b"X" * 1_000_000),
    ("line end", lambda d: d.replace(b"\r\n", b"\n")),
    ("line end", lambda d: d.removesuffix(b"\r\n")),
    ("line end", swap("SEQUENCE", "X-A:1\rSEQUENCE")),
    ("line length", lambda d: re.sub(rb"\r\n ", b"", d)),
    ("blank line", swap("SEQUENCE", "\r\nSEQUENCE")),
    ("utf-8", lambda d: d.replace(b"SUMMARY:", b"SUMMARY:\xff", 1)),
    ("utf-8", lambda d: d.replace(b"SUMMARY:", b"SUMMARY:\xc3\r\n \xa9", 1)),
    ("control", swap("SUMMARY:", "SUMMARY:\x07")),
    ("control", swap("SUMMARY:", "SUMMARY:\x7f")),
    ("control", swap("SUMMARY:", "SUMMARY:\u2028")),
    ("control", swap("SUMMARY:", "SUMMARY:\ufffe")),
    ("line", swap("SEQUENCE", "a line that is none\r\nSEQUENCE")),
    ("frame", swap("END:VCALENDAR\r\n", "")),
    ("frame", swap("END:VEVENT", "END:VTODO")),
    ("frame", lambda d: b"X-A:1\r\n" + d),
    ("version", without("VERSION")),
    ("version", swap("VERSION:2.0", "VERSION:1.0")),
    ("prodid", without("PRODID")),
    ("method", swap("CALSCALE", "METHOD:PUBLISH\r\nCALSCALE")),
    ("empty calendar", without_events),
    ("component", lambda d: d.replace(b"VEVENT", b"VTODO")),
    ("type of refresh", swap(";VALUE=DURATION", "")),
    ("value of refresh-interval", swap("DURATION:P1D", "DURATION:P1W2D")),
    ("value of x-published-ttl", swap("X-PUBLISHED-TTL:P1D", "X-PUBLISHED-TTL:P")),
    ("value of name", swap("\r\nNAME:Home", "\r\nNAME:Home\\, sweet")),
    ("value of x-wr-calname", swap("X-WR-CALNAME:Home", "X-WR-CALNAME:Home\\, sweet")),
    ("twice", swap("X-PUBLISHED-TTL", "X-PUBLISHED-TTL:P1D\r\nX-PUBLISHED-TTL")),
    ("twice", swap("SEQUENCE", "SUMMARY:again\r\nSEQUENCE")),
    ("no uid", without("UID")),
    ("no dtstamp", without("DTSTAMP")),
    ("no dtstart", without("DTSTART")),
    ("end and duration", swap("SEQUENCE", "DURATION:P1D\r\nSEQUENCE")),
    ("stamp", swap("DTSTAMP:20270827T000000Z", "DTSTAMP:20270827T000000")),
    ("type of date", swap("DTSTART;VALUE=DATE:", "DTSTART:")),
    ("day", swap("DTSTART;VALUE=DATE:20270828", "DTSTART;VALUE=DATE:20270230")),
    ("end", swap("DTEND;VALUE=DATE:20270829", "DTEND;VALUE=DATE:20270828")),
    ("value of transp", swap("TRANSP:TRANSPARENT", "TRANSP:CLEAR")),
    ("value of status", swap("SEQUENCE", "STATUS:DONE\r\nSEQUENCE")),
    ("value of sequence", swap("SEQUENCE:", "SEQUENCE:-")),
    ("empty property", swap("CATEGORIES:Orchard", "CATEGORIES:")),
    ("escape", swap("SUMMARY:Pick", "SUMMARY:\\xPick")),
    ("unescaped", swap("SUMMARY:Pick\\,", "SUMMARY:Pick,")),
    ("unescaped", swap("sort\\;", "sort;")),
    ("uid twice", second_uid_as_first),
    ("order", events_turned_round),
]


def test_the_feed_that_faults_are_planted_in_is_good() -> None:
    """Before anything is planted, no rule is broken."""
    assert faults(GOOD) == set()


@pytest.mark.parametrize(("rule", "plant"), FAULTS, ids=[f"{rule} {n}" for n, (rule, _) in enumerate(FAULTS)])
def test_the_checker_sees_a_planted_fault(rule: str, plant: Callable[[bytes], bytes]) -> None:
    """Each rule fails on a feed with one fault planted in it."""
    assert rule in faults(plant(GOOD))


def test_every_rule_has_a_planted_fault() -> None:
    """No rule of the checker goes untried."""
    source = (Path(__file__).resolve().parents[1] / "ics_rules.py").read_text(encoding="utf-8")
    named = set(re.findall(r'add\("([^"]+)"\)', source)) | {"frame", "no uid", "no dtstamp", "no dtstart"}
    named |= {f"value of {name.lower()}" for name in PATTERNS}

    assert named == {rule for rule, _ in FAULTS}


# Steady


def test_equal_entries_give_equal_bytes(example_plan: Plan) -> None:
    """Writing twice, or in another order, changes nothing."""
    entries = example_plan.calendar.entries
    place = example_plan.holding.place
    data = reminders(entries, place, CHANGED)

    assert reminders(entries, place, CHANGED) == data
    assert reminders(tuple(reversed(entries)), place, CHANGED) == data
    assert reminders(entries[7:] + entries[:7], place, CHANGED) == data


def blocks(data: bytes) -> dict[str, str]:
    """Return each event's text by its identity."""
    found = re.findall(r"BEGIN:VEVENT.*?END:VEVENT", data.decode("utf-8"), re.DOTALL)
    return {re.search(r"UID:(\S+)", block)[1]: block for block in found}  # type: ignore[index]


def test_one_changed_note_changes_only_its_own_events(tmp_path: Path) -> None:
    """Another word in one task's note, or another day for one tree, leaves all other events as they were."""
    notes = {
        **task("when: pick", "reminder: yes"),
        "tasks/other.md": note("name: Other", "when: Mar 1", "reminder: yes"),
        "trees/B.md": note("cultivar: Hardpear", "pinned: [{pick: 2027-09-05}]"),
    }
    changed = {"tasks/other.md": note("name: Other", "when: Mar 1", "reminder: yes", "bring: [a saw]")}
    moved = {"trees/B.md": note("cultivar: Hardpear", "pinned: [{pick: 2027-09-09}]")}
    before, word, day = (
        blocks(example_feed(plan_of_notes(tmp_path, {**notes, **more}))) for more in ({}, changed, moved)
    )

    assert set(before) == set(word) == set(day)
    assert {before[uid][: before[uid].index("SUMMARY") + 14] for uid in before if before[uid] != word[uid]} == {
        "BEGIN:VEVENT\r\nSUMMARY:Other:"
    }
    assert len([uid for uid in before if before[uid] != word[uid]]) == 2
    assert len([uid for uid in before if before[uid] != day[uid]]) == 1


def test_stamps_come_from_the_notes_and_not_from_the_clock() -> None:
    """The day of the last news stamps every event, and a later one raises the sequence."""
    later = reminders([entry()], HOME, CHANGED + timedelta(days=3))

    assert b"DTSTAMP:20270827T000000Z" in feed(entry())
    assert b"LAST-MODIFIED:20270827T000000Z" in feed(entry())
    numbers = [int(re.search(rb"SEQUENCE:(\d+)", data)[1]) for data in (feed(entry()), later)]  # type: ignore[index]
    assert numbers[1] - numbers[0] == 3


def test_news_from_before_the_epoch_has_sequence_zero() -> None:
    """A sequence is never below zero."""
    assert b"SEQUENCE:0" in reminders([entry()], HOME, date(2015, 5, 1))


def test_identity_hangs_on_household_task_and_subject_not_on_the_day() -> None:
    """A moved day or another title keeps the identity; another household, task, subject or season changes it."""
    base = entry_uid(HOME, entry())

    assert entry_uid(HOME, entry(day=date(2027, 9, 9))) == base
    assert entry_uid(HOME, entry("Gather")) == base
    others = {
        entry_uid(replace(HOME, name="Away"), entry()),
        entry_uid(replace(HOME, site_address="https://example.org/"), entry()),
        entry_uid(HOME, entry(key="look")),
        entry_uid(HOME, entry(subject="B")),
        entry_uid(HOME, replace(entry(), season=2028)),
        entry_uid(HOME, replace(entry(), crop="main")),
    }
    assert len(others | {base}) == 7


# Days


# RFC 5545 section 3.8.2.2: the end of an all-day event is the day after its last, whatever the month or year.
@pytest.mark.parametrize(
    ("day", "end"),
    [
        (date(2028, 2, 28), "20280229"),
        (date(2028, 2, 29), "20280301"),
        (date(2027, 2, 28), "20270301"),
        (date(2027, 12, 31), "20280101"),
        (date(2026, 3, 29), "20260330"),
    ],
)
def test_a_reminder_takes_one_whole_day(day: date, end: str) -> None:
    """Each reminder is an all-day event, over month ends, leap days and clock changes alike."""
    data = feed(entry(day=day, last=day + timedelta(days=40)))

    assert f"DTSTART;VALUE=DATE:{day:%Y%m%d}\r\nDTEND;VALUE=DATE:{end}\r\n".encode() in data
    assert faults(data) == set()


def test_only_tasks_that_ask_for_it_are_in_the_feed() -> None:
    """A task without a reminder stays on the pages."""
    data = feed(entry(), entry("Look", key="look", reminder=False))

    assert [title for _, _, _, title, _ in by_icalendar(data)] == ["Pick: Hardpear (A)"]


def test_a_reminder_does_not_block_the_day_nor_ring() -> None:
    """Season days are free time, and alarms are left to the reader of the calendar."""
    data = feed(entry())

    assert b"TRANSP:TRANSPARENT" in data
    assert b"VALARM" not in data


def test_the_description_says_span_rhythm_window_and_cautions() -> None:
    """The reminder stands alone: what, until when, how sure, what to bring and what can hurt."""
    said = entry(
        last=date(2027, 9, 6), window=3, rough=True, look_for="It parts when lifted", caution="Mind the ladder."
    )
    (_, _, _, _, text) = by_icalendar(feed(said))[0]

    assert text.split("\n") == [
        "28 Aug to 6 Sep.",
        "A rough estimate: between 25 Aug and 31 Aug.",
        "It parts when lifted.",
        "Caution: Mind the ladder.",
    ]


def test_the_description_of_a_noted_day_says_so_once() -> None:
    """What rests on a day that was seen says that, and names no day but the event's own."""
    (_, _, _, _, text) = by_icalendar(feed(entry(seen=True)))[0]

    assert text == "Counted from a day that was seen and noted."


def test_every_caution_of_the_example_is_in_its_events(example_plan: Plan) -> None:
    """No caution is lost on the way into a calendar."""
    by_uid = {uid: text for uid, _, _, _, text in by_icalendar(example_feed(example_plan))}
    place = example_plan.holding.place
    said = [(e, caution) for e in example_plan.calendar.entries if e.task.reminder for caution in e.task.cautions]

    assert said
    for item, caution in said:
        assert clean_text(caution.text) in by_uid[entry_uid(place, item)], item.title


# Nothing to say


def test_an_empty_selection_is_still_a_calendar() -> None:
    """With no reminder at all the feed holds a time zone alone, which keeps it valid and its readers quiet."""
    data = feed(entry(reminder=False))

    assert data == feed()
    assert faults(data) == set()
    assert data.count(b"BEGIN:VTIMEZONE") == 1
    assert b"VEVENT" not in data
    assert by_icalendar(data) == by_ical(data) == by_vobject(data) == []


# Hostile text


FOLDED = 75  # octets in a line without its end: RFC 5545 section 3.1
HOSTILE = {
    "controls": "Pick\x00 the\x07 fruit\x1b\x7f\x85",
    "returns": "Pick\r\nEND:VEVENT\r\nBEGIN:VEVENT",
    "separators": "a\u2028b\u2029c",
    "commas": "a, b; c: d\\ e",
    "backslash and n": r"a\nb\,c\;d\\",
    "bidi": "\u202eabc\u202c \u200fאבג",
    "noncharacters": "a\ufffe\uffff\ufdd0\U0001ffffb",
    "byte order mark": "\ufeffPick",
    "surrogate": "a\ud800b",
    "sheaf": "👩\u200d🌾" * 40,
    "combining": "e\u0301" * 90,
    "very long": "pear " * 4000,
    "one long word": "x" * 5000,
    "emoji at the fold": "x" * 66 + "🍐" + "y" * 66 + "🍐",
    "quotes": '"quoted" ^n ^^ ^\'',
    "html": "<script>alert(1)</script>",
    "spaces": "  Pick  ",
}


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE.keys())
def test_hostile_text_makes_a_valid_feed_that_all_readers_agree_on(text: str) -> None:
    """Whatever a note says, the feed keeps the rules and reads the same everywhere."""
    place = replace(HOME, name=text)
    data = feed(entry(text, of="", look_for=text, caution=text), place=place)

    assert faults(data) == set()
    found = [read(data) for read in READERS]
    assert found[0] == found[1] == found[2]
    assert found[0][0][3] == clean_text(text)


@pytest.mark.parametrize("mark", ["🍐", "é", "\\", ",", ";", "\n", "👩\u200d🌾"])
def test_no_sign_is_broken_at_the_fold(mark: str) -> None:
    """A sign of several octets or an escaped one may stand anywhere, the end of a line included."""
    for padding in range(40, 80):
        title = "x" * padding + mark + "y" * 30
        data = feed(entry(title, of=""))
        assert faults(data) == set(), padding
        assert by_icalendar(data)[0][3] == title, padding


# RFC 5545 section 3.1: no line of more than 75 octets; section 3.3.11: the four escapes; a colon is not escaped.
def test_published_escapes_and_line_length_hold() -> None:
    """Check values for escaping, and the limit of a line for ASCII and for signs of two octets."""
    data = feed(entry('a,b;c\\d\ne:f"g"\rh\x07i\ufeff', of="", look_for="é" * 100))

    assert b'SUMMARY:a\\,b\\;c\\\\d\\ne:f"g"\\nhi\r\n' in data
    lines = data.split(b"\r\n")
    assert max(map(len, lines)) <= FOLDED
    assert "é" * 100 in unfolded(data)


def test_a_site_address_cannot_break_out_of_its_line() -> None:
    """An address with a line end in it makes no property of its own."""
    place = replace(HOME, site_address="https://example.org/\r\nATTACH:x")
    data = feed(entry(), place=place)

    assert b"\nATTACH" not in data
    assert faults(data) == set()


@settings(max_examples=60, deadline=None)
@given(st.text(min_size=1, max_size=120), st.text(max_size=200))
def test_any_text_comes_back_as_it_was_cleaned(title: str, hint: str) -> None:
    """Cleaning, escaping and folding lose nothing, whichever reader undoes them."""
    said = entry("x" + title, of="", look_for=hint)
    data = feed(said)

    assert faults(data) == set()
    found = [read(data) for read in READERS]
    assert found[0] == found[1] == found[2]
    assert found[0][0][3] == clean_text("x" + title)


@given(st.text(max_size=200))
def test_cleaning_again_changes_nothing(text: str) -> None:
    """Clean text is clean."""
    assert clean_text(clean_text(text)) == clean_text(text)
