"""The calendar feeds, event by event: valid, steady, and read alike by independent readers."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pytest
from conftest import write_notes
from feed_making import (
    CHANGED,
    DAY,
    HOME,
    READERS,
    Read,
    all_told,
    by_ical,
    by_ical_js,
    by_icalendar,
    by_vobject,
    entry,
    feed,
    feed_of,
    turns_by_ical,
    turns_by_vobject,
    unfolded,
)
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar
from ics_rules import PATTERNS, faults
from msgspec.structs import replace
from one_tree import plan_of_notes, task
from season_notes import note

from firmripe.build import plan_of
from firmripe.holding.place import Alarm
from firmripe.plan import Plan
from firmripe.publish.feeds.components import Header, calendar
from firmripe.publish.feeds.files import make_feeds
from firmripe.publish.feeds.merging import merged
from firmripe.publish.feeds.names import clean_text, entry_uid, plain_name
from firmripe.publish.ledger import Ledger


def example_feed(plan: Plan) -> bytes:
    """Return the feed of all reminders of a plan."""
    return make_feeds(plan, all_told(plan), plan.changed).files["feeds/reminders.ics"]


@pytest.mark.parametrize("read", READERS)
def test_each_reader_finds_the_entries_of_the_example(read: Callable[[bytes], list[Read]], example_plan: Plan) -> None:
    """Every reminder of the season, on its day, with its title, once."""
    found = {uid: (start, end, title) for uid, start, end, title, _ in read(example_feed(example_plan))}
    place = example_plan.holding.place
    wanted = [item for item in example_plan.calendar.entries if item.task.reminder]
    made = merged(wanted, example_plan.holding, lambda _: True)

    assert len(wanted) > 50
    told = [entry for one in made for entry in (*one.entries, *one.deadlines)]
    assert sorted(entry.identity for entry in told) == sorted(entry.identity for entry in wanted)
    for one in made:
        start, end, title = found[entry_uid(place, one.lead)]
        assert (start, end) == (one.days[0], one.days[0] + timedelta(days=1))
        assert title.startswith(clean_text(one.lead.task.calendar_name or one.lead.task.name))


def test_all_readers_find_the_same_in_every_feed(example_plan: Plan) -> None:
    """Identities, days, titles and descriptions agree between three readers of different makes."""
    files = make_feeds(example_plan, all_told(example_plan), example_plan.changed).files

    assert len(files) > 20
    for path, data in files.items():
        first, *others = (sorted(read(data)) for read in READERS)
        assert all(other == first for other in others), path


def test_a_reader_in_javascript_finds_the_same(example_plan: Plan) -> None:
    """The reader that some calendar apps are built on agrees, also on hostile texts."""
    hostile = [entry(text, key=name, of="", look_for=text, caution=text) for name, text in HOSTILE.items()]

    for data in (example_feed(example_plan), feed(*hostile)):
        assert faults(data) == set()
        found = by_ical_js(data)
        assert len(found) >= len(HOSTILE)
        assert sorted(found) == sorted(by_icalendar(data))


def test_every_feed_of_the_example_keeps_the_rules(example_plan: Plan) -> None:
    """No rule of our own checker is broken in any file."""
    files = make_feeds(example_plan, all_told(example_plan), example_plan.changed).files

    assert {path: found for path, data in files.items() if (found := faults(data))} == {}


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


ALARM = re.search(rb"BEGIN:VALARM.*?END:VALARM\r\n", GOOD, re.DOTALL)[0]  # type: ignore[index]
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
    ("two alarms", lambda d: d.replace(ALARM, ALARM + ALARM, 1)),
    ("alarm", swap("ACTION:DISPLAY", "ACTION:RING")),
    ("alarm", lambda d: re.sub(rb"(BEGIN:VALARM.*?)DESCRIPTION:[^\r]*\r\n", rb"\1", d, count=1, flags=re.DOTALL)),
    ("alarm", without("TRIGGER")),
    ("value of trigger", swap("TRIGGER:-PT15H", "TRIGGER:-P1W2D")),
    ("value of trigger", swap("TRIGGER:-PT15H", "TRIGGER;VALUE=DATE-TIME:20270827T090000Z")),
    ("far alarm", swap("TRIGGER:-PT15H", "TRIGGER:-P29D")),
    ("alarm on a window", swap("DTEND;VALUE=DATE:20270829", "DTEND;VALUE=DATE:20270905")),
    ("no dtend", without("DTEND")),
    ("stamps differ", swap("LAST-MODIFIED:20270827T000000Z\r\nSEQ", "LAST-MODIFIED:20270826T000000Z\r\nSEQ")),
    ("value of rrule", swap("SEQUENCE", "RRULE:FREQ=DAILY\r\nSEQUENCE")),
    ("repeat", swap("SEQUENCE", "EXDATE;VALUE=DATE:20270830\r\nSEQUENCE")),
    ("first turn", swap("SEQUENCE", "RRULE:FREQ=DAILY;UNTIL=20270830;INTERVAL=1\r\nSEQUENCE")),
    ("alarm at every turn", swap("SEQUENCE", "RRULE:FREQ=DAILY;UNTIL=20270830;INTERVAL=1\r\nSEQUENCE")),
    ("type of turn", swap("SEQUENCE", "EXDATE:20270830\r\nSEQUENCE")),
    ("value of color", swap("CALSCALE", "COLOR:#6B8E23\r\nCALSCALE")),
    ("value of url", swap("SEQUENCE", "URL:not an address\r\nSEQUENCE")),
    ("value of source", swap("CALSCALE", "SOURCE;VALUE=URI:feeds/reminders.ics\r\nCALSCALE")),
    ("type of source", swap("CALSCALE", "SOURCE:https://example.org/a.ics\r\nCALSCALE")),
    ("value of calscale", swap("CALSCALE:GREGORIAN", "CALSCALE:JULIAN")),
    ("fold in an escape", swap("SUMMARY:Pick\\,", "SUMMARY:Pick\\\r\n ,")),
    ("uid twice", second_uid_as_first),
    ("order", events_turned_round),
]


def test_the_feed_that_faults_are_planted_in_is_good() -> None:
    """Before anything is planted, no rule is broken."""
    assert faults(GOOD) == set()
    assert faults(feed(entry("Look", turns=[DAY + timedelta(days=7 * week) for week in range(5)]))) == set()


@pytest.mark.parametrize(("rule", "plant"), FAULTS, ids=[f"{rule} {n}" for n, (rule, _) in enumerate(FAULTS)])
def test_the_checker_sees_a_planted_fault(rule: str, plant: Callable[[bytes], bytes]) -> None:
    """Each rule fails on a feed with one fault planted in it."""
    assert rule in faults(plant(GOOD))


def test_every_rule_has_a_planted_fault() -> None:
    """No rule of the checker goes untried."""
    source = (Path(__file__).resolve().parents[1] / "ics_rules.py").read_text(encoding="utf-8")
    named = set(re.findall(r'add\("([^"]+)"\)', source)) | {"frame", "no uid", "no dtstamp", "no dtstart", "no dtend"}
    named |= {f"value of {name.lower()}" for name in PATTERNS}

    assert named == {rule for rule, _ in FAULTS}


# Steady


def test_equal_entries_give_equal_bytes(example_plan: Plan) -> None:
    """Writing twice, or from a calendar in another order, changes nothing in any file."""
    files = make_feeds(example_plan, all_told(example_plan), example_plan.changed).files
    entries = example_plan.calendar.entries

    for turned in (entries, tuple(reversed(entries)), entries[7:] + entries[:7]):
        plan = replace(example_plan, calendar=replace(example_plan.calendar, entries=turned))
        assert make_feeds(plan, all_told(plan), example_plan.changed).files == files


def blocks(data: bytes) -> dict[str, str]:
    """Return each event's text by its identity."""
    found = re.findall(r"BEGIN:VEVENT.*?END:VEVENT", data.decode("utf-8"), re.DOTALL)
    return {re.search(r"UID:(\S+)", block)[1]: block for block in found}  # type: ignore[index]


def test_one_changed_note_changes_only_its_own_events(tmp_path: Path) -> None:
    """Another word in one task's note, or another day for one tree, leaves all other events byte for byte as they were.

    The ledger of the first build goes into the next ones, which come weeks later.
    """
    notes = {
        **task("when: pick", "reminder: yes"),
        "tasks/other.md": note("name: Other", "when: Mar 1", "reminder: yes"),
        "trees/B.md": note("cultivar: Hardpear", "pinned: [{pick: 2027-09-05}]"),
    }
    changed = {"tasks/other.md": note("name: Other", "when: Mar 1", "reminder: yes", "bring: [a saw]")}
    moved = {"trees/B.md": note("cultivar: Hardpear", "pinned: [{pick: 2027-09-09}]")}
    plan = plan_of_notes(tmp_path, notes)
    first = make_feeds(plan, all_told(plan), date(2027, 6, 1))
    said = []
    for more in ({}, changed, moved):
        plan = plan_of_notes(tmp_path, {**notes, **more})
        said.append(blocks(make_feeds(plan, first.ledger, date(2027, 7, 1)).files["feeds/reminders.ics"]))
    before, word, day = said

    assert before == blocks(first.files["feeds/reminders.ics"])
    assert set(before) == set(word) == set(day)
    of_word = [word[uid] for uid in before if before[uid] != word[uid]]
    assert of_word
    assert all("SUMMARY:Other" in block and "LAST-MODIFIED:20270701" in block for block in of_word)
    of_day = [day[uid] for uid in before if before[uid] != day[uid]]
    assert of_day
    assert all("SUMMARY:Work B Hardpear" in block and "LAST-MODIFIED:20270701" in block for block in of_day)


def test_identity_hangs_on_household_task_and_subject_not_on_the_day() -> None:
    """A moved day or another title keeps the identity; another household, task, subject or season changes it."""
    base = entry_uid(HOME, entry())

    assert entry_uid(HOME, entry(day=date(2027, 9, 9))) == base
    assert entry_uid(HOME, entry("Gather")) == base
    others = {
        entry_uid(replace(HOME, name="Away"), entry()),
        entry_uid(replace(HOME, site_address="https://example.org/"), entry()),
        entry_uid(replace(HOME, calendar_identity="ours"), entry()),
        entry_uid(HOME, entry(key="look")),
        entry_uid(HOME, entry(subject="B")),
        entry_uid(HOME, replace(entry(), season=2028)),
        entry_uid(HOME, replace(entry(), crop="main")),
    }
    assert len(others | {base}) == 8


def test_a_written_identity_outlives_name_and_address() -> None:
    """A household that moves its site or renames its place keeps every event."""
    home = replace(HOME, calendar_identity="ours")
    moved = replace(home, name="Away", site_address="https://example.org/")

    assert entry_uid(moved, entry()) == entry_uid(home, entry())
    assert entry_uid(replace(home, calendar_identity="theirs"), entry()) != entry_uid(home, entry())


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

    assert [title for _, _, _, title, _ in by_icalendar(data)] == ["Pick Hardpear (A)"]


def test_neither_reminder_nor_window_blocks_the_day() -> None:
    """Season days are free time."""
    days = [entry(last=date(2027, 9, 6))]

    for data in (feed(*days), feed_of(days, HOME, CHANGED, windows=True)):
        assert data.count(b"TRANSP:TRANSPARENT") == 1


# RFC 5545 section 3.8.6.3: a trigger without more is counted from the start, here the first moment of the day
@pytest.mark.parametrize(
    ("alarm", "trigger"), [(Alarm.DAY_BEFORE, b"-PT15H"), (Alarm.SAME_DAY, b"PT9H"), (Alarm.NONE, None)]
)
def test_a_reminder_rings_once_as_it_is_wanted_and_a_window_never(alarm: Alarm, trigger: bytes | None) -> None:
    """One alarm at most, at nine of the day before or of the day; none on what lasts for days."""
    place, days = replace(HOME, reminder_alarm=alarm), [entry(last=date(2027, 9, 6))]

    assert re.findall(rb"TRIGGER:([^\r]+)", feed(*days, place=place)) == ([trigger] if trigger else [])
    assert b"VALARM" not in feed_of(days, place, CHANGED, windows=True)
    assert faults(feed(*days, place=place)) == set()


def test_a_window_has_all_its_days_and_leads_to_its_reminder() -> None:
    """A bar from the first to the last day, of another identity than the one-day reminder that it names."""
    days = [entry(last=date(2027, 9, 6))]
    data = feed_of(days, HOME, CHANGED, windows=True)

    assert b"DTSTART;VALUE=DATE:20270828\r\nDTEND;VALUE=DATE:20270907\r\n" in data
    assert f"RELATED-TO:{entry_uid(HOME, days[0])}\r\n".encode() in data
    assert entry_uid(HOME, days[0]) not in {uid for uid, *_ in by_icalendar(data)}
    assert faults(data) == set()
    assert b"VEVENT" not in feed_of([entry()], HOME, CHANGED, windows=True)


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
        "Caution: You wrote: Mind the ladder.",
    ]


def test_the_description_of_a_noted_day_says_so_once() -> None:
    """What rests on a day that was seen says that, and names no day but the event's own."""
    (_, _, _, _, text) = by_icalendar(feed(entry(seen=True)))[0]

    assert text == "Counted from a day that was seen and noted."


def test_every_caution_of_the_example_is_in_its_events(example_plan: Plan) -> None:
    """No caution is lost on the way into a calendar."""
    by_uid = {uid: text for uid, _, _, _, text in by_icalendar(example_feed(example_plan))}
    place = example_plan.holding.place
    asked = [entry for entry in example_plan.calendar.entries if entry.task.reminder]
    made = merged(asked, example_plan.holding, lambda _: True)
    needed = example_plan.holding.needed_for
    told = [(one, entry) for one in made for entry in (*one.entries, *one.deadlines)]
    said = [(one, caution) for one, entry in told for caution in needed(entry.task.cautions, entry.bearings)]

    assert said
    for one, caution in said:
        assert clean_text(caution.text) in by_uid[entry_uid(place, one.lead)], one.lead.identity


# What comes back


@given(st.lists(st.integers(0, 200), min_size=2, max_size=30, unique=True))
@settings(max_examples=60)
def test_what_comes_back_stands_on_just_its_days_in_readers_of_two_makes(steps: list[int]) -> None:
    """Whatever days it has, two readers that expand the rule find them all, no other, and one alarm, on the first."""
    days = [DAY + timedelta(days=step) for step in sorted(steps)]
    data = feed(entry("Check the store", day=days[0], turns=days))

    assert faults(data) == set()
    assert turns_by_vobject(data) == set(days)
    assert turns_by_ical(data) == [(day, day == days[0]) for day in days]


# Nothing to say


def test_an_empty_selection_is_still_a_calendar() -> None:
    """With no reminder at all the feed holds a time zone alone, which keeps it valid and its readers quiet."""
    data = feed(entry(reminder=False))

    assert data == feed()
    assert faults(data) == set()
    assert data.count(b"BEGIN:VTIMEZONE") == 1
    assert b"VEVENT" not in data
    assert by_icalendar(data) == by_ical(data) == by_vobject(data) == []


# What the library leaves open


def test_a_calendar_s_name_is_escaped_and_plain() -> None:
    """Names go in as escaped text; what readers disagree about is taken out of them beforehand."""
    data = calendar(Header(name=plain_name("Home, sweet; home\\"), about="a, b; c"), [])

    assert b"\r\nNAME:Home sweet home\r\nX-WR-CALNAME:Home sweet home\r\nX-WR-CALDESC:a\\, b\\; c\r\n" in data
    assert b"\r\nNAME:a\\, b\r\n" in calendar(Header(name="a, b"), [])


def test_values_of_other_types_say_their_type() -> None:
    """RFC 7986 sections 5.7 and 5.8: the refresh interval and the source name their type, which readers insist on."""
    data = calendar(Header(name="Home", source="https://example.org/feeds/reminders.ics"), [])

    assert b"REFRESH-INTERVAL;VALUE=DURATION:P1D\r\n" in data
    assert b"SOURCE;VALUE=URI:https://example.org/feeds/reminders.ics\r\n" in data
    assert faults(data) == set()


def test_nothing_is_drawn_or_taken_from_the_clock() -> None:
    """Identity and stamps are those that were given, the product has no version that changes with a library's."""
    data = feed(entry())

    assert data == feed(entry())
    assert re.findall(rb"PRODID:([^\r]+)", data) == [b"-//Firmripe//Season plan//EN"]
    assert len(re.findall(rb"DTSTAMP:20270827T000000Z", data)) == 1


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


@pytest.mark.parametrize(
    ("noted", "said"),
    [
        (["1 box"], ", 1 box"),
        (["3 boxes"], ", 3 boxes"),
        (["1 box", "2 boxes"], ", 3 boxes"),
        (["0.5 boxes", "0.5 boxes"], ", 1 box"),
        (["1 box", "1 box"], ", 2 boxes"),
        (["1 peach", "1 peach"], ", 2 peaches"),
        (["3 bu"], ", 3 bu"),
        (["2 bushels", "1 bushel"], ", 3 bushels"),
        (["20 lbs", "11 lb"], ", 31 lb"),
        (["1 box", "20 lb"], ""),
        (["1 1/2 boxes"], ""),
    ],
)
def test_what_was_picked_is_added_up_in_its_unit(tmp_path: Path, noted: list[str], said: str) -> None:
    """As it was noted, one of it as one; nothing where units differ or a number is not plain."""
    pickings = ("first pick", "pick")
    rows = [f"2027-08-{14 + n},1-01,{pickings[n]},{amount}," for n, amount in enumerate(noted)]
    notes = {
        "place.md": "---\nname: Gate\nzone: 6b\n---\n",
        "trees/a.md": "---\ntree: 1-01\ncultivar: Bartlett\n---\n",
        "records/2027.csv": "\n".join(["date,tree,what,amount,note", *rows, ""]),
    }
    plan = plan_of(write_notes(tmp_path, notes), 2027, date(2027, 8, 20))
    feed = Calendar.from_ical(make_feeds(plan, Ledger(), plan.changed).files["feeds/reminders.ics"])

    assert f"Ready 1-01 Bartlett{said}" in {str(event["SUMMARY"]) for event in feed.walk("VEVENT")}
