"""Which feeds there are, what each holds, and what a build keeps of them."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from datetime import date, datetime, timedelta
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from click.testing import CliRunner, Result
from conftest import write_notes
from feed_making import Read, all_told, by_icalendar
from icalendar import Calendar
from ics_rules import faults
from msgspec.structs import replace
from season_notes import note

from firmripe import cli
from firmripe.calendar.names import OfCultivar
from firmripe.days import Span
from firmripe.holding.holding import Holding
from firmripe.plan import Plan, past_entries
from firmripe.problems import FaultyNotes
from firmripe.publish.feeds import making
from firmripe.publish.feeds.appointments import Appointment
from firmripe.publish.feeds.feed import Feeds
from firmripe.publish.feeds.files import make_feeds
from firmripe.publish.feeds.making import LARGEST
from firmripe.publish.feeds.merging import merged
from firmripe.publish.feeds.names import base_address, entry_uid
from firmripe.publish.folder import MANIFEST
from firmripe.publish.ledger import LEDGER, Ledger
from firmripe.publish.pages.subscribe import calendar_sheet, subscribe_page
from firmripe.publish.qr_codes import qr_code
from firmripe.publish.site import make_site
from firmripe.publish.tables import COLUMNS, changes_atom, plan_csv, plan_json, rows_of_jobs
from firmripe.shipped import theme_folder
from firmripe.tongue import IN_ENGLISH
from firmripe.wording.calendar import undated_words
from firmripe.wording.names import as_read

PEOPLE = (
    "people: [{name: Ann, household: upper, does: [picking, watch]}, {name: Ben, household: upper, does: [picking]},"
    " {name: Cy, does: [watch]}]"
)
TREE = note("cultivar: Bartlett", "pinned: [{pick: 2027-09-01}]", "kept by: Ben")
HIDING = "feed secret: nobody guesses this one"


def job(name: str, *lines: str) -> str:
    """Return a task of its own with a reminder."""
    return note(f"name: {name}", "when: Mar 1", "reminder: yes", *lines)


NOTES = {
    "place.md": note("name: Home", "latitude: 42 N", "site address: https://example.org/pears", PEOPLE),
    "trees/A.md": TREE,
    "tasks/a.md": job("Look", "each: place", "who: watch"),
    "tasks/b.md": job("Gather", "each: place", "who: picking", "until: Mar 9", "every: 2 days"),
    "tasks/c.md": job("Mend", "each: place", "who: mending", "topic: store"),
    "tasks/d.md": job("Wrap the present", "each: place", "only for: ann"),
}


def uids(feeds: Feeds, path: str) -> set[str]:
    """Return the identities in a file."""
    return {uid for uid, *_ in by_icalendar(feeds.files[f"feeds/{path}.ics"])}


@pytest.fixture
def plan(plan_of: Callable[..., Plan]) -> Plan:
    """Return the plan of a household of three people, two of whom share a house."""
    return plan_of(NOTES, as_of=date(2027, 2, 1))


@pytest.fixture
def feeds(plan: Plan) -> Feeds:
    """Return its feeds."""
    return make_feeds(plan, Ledger(), plan.changed)


def titles(feeds: Feeds, path: str) -> set[str]:
    """Return the titles of the tests' own tasks in a file."""
    own = {"Look", "Gather", "Mend", "Wrap the present"}
    return {title for *_, title, _ in by_icalendar(feeds.files[f"feeds/{path}.ics"])} & own


def test_each_file_holds_what_it_is_for(feeds: Feeds) -> None:
    """Everything, each topic, each person's own and what a house shares."""
    assert titles(feeds, "reminders") == {"Look", "Gather", "Mend"}
    assert titles(feeds, "orchard-reminders") == {"Look", "Gather"}
    assert titles(feeds, "store-reminders") == {"Mend"}
    assert titles(feeds, "kitchen-reminders") == set()
    assert titles(feeds, "ann-reminders") == {"Look", "Wrap the present"}
    assert titles(feeds, "upper-reminders") == {"Gather"}
    assert titles(feeds, "ben-reminders") == {"Mend"}  # nobody does this work, and the tree is Ben's
    assert titles(feeds, "cy-reminders") == {"Look"}


def test_a_house_of_one_is_told_where_its_days_are(plan: Plan, feeds: Feeds) -> None:
    """A house of one person has that person's calendar, and the page says so."""
    alone = replace(plan.holding.place, people=plan.holding.place.people[1:])
    one = replace(plan, holding=replace(plan.holding, place=alone))
    about = make_feeds(one, Ledger(), one.changed).groups[-1].about

    assert "upper is Ben alone, whose own calendar has all of it." in about
    assert "alone, whose" not in feeds.groups[-1].about


def test_what_is_nobody_s_is_anyone_s(plan_of: Callable[..., Plan]) -> None:
    """A job that nobody does, at a tree that nobody keeps, is in every house's feed and in that of who has none."""
    plan = plan_of({**NOTES, "trees/A.md": TREE.replace("kept by: Ben\n", "")}, as_of=date(2027, 2, 1))
    made = make_feeds(plan, Ledger(), plan.changed)

    assert titles(made, "upper-reminders") == {"Gather", "Mend"}
    assert titles(made, "ben-reminders") == set()
    assert titles(made, "cy-reminders") == {"Look", "Mend"}


def test_a_repeating_job_is_one_event_and_one_bar(feeds: Feeds) -> None:
    """It stands once among the reminders with its rhythm in words, and once among the windows."""

    def gathering(path: str) -> list[Read]:
        found = by_icalendar(feeds.files[f"feeds/{path}.ics"])
        return [one for one in found if one[3] == "Gather" and one[1].year == 2027]

    (reminder, first), (window,) = gathering("reminders"), gathering("windows")

    assert first == reminder, "its first turn stands in for it, with the alarm"

    assert reminder[1:3] == (date(2027, 3, 1), date(2027, 3, 2))
    assert reminder[4].startswith("1 Mar to 9 Mar, every 2 days.")
    assert window[1:3] == (date(2027, 3, 1), date(2027, 3, 10))
    assert reminder[4].endswith("\nhttps://example.org/pears/jobs.html#job-b")


def test_one_event_is_the_same_in_every_file(feeds: Feeds, example_plan: Plan) -> None:
    """Identity and octets agree wherever it stands."""
    for made in (feeds, make_feeds(example_plan, Ledger(), example_plan.changed)):
        seen: dict[bytes, bytes] = {}
        twice = 0
        for data in made.files.values():
            for block in data.split(b"BEGIN:VEVENT")[1:]:
                event = block.partition(b"END:VEVENT")[0]
                uid = event.partition(b"UID:")[2].partition(b"\r\n")[0] + b" whole" * (b"RRULE" in event)
                twice += uid in seen
                assert seen.setdefault(uid, event) == event
        assert twice


def test_nobody_gets_a_day_twice(example_plan: Plan) -> None:
    """Of the topics, and of a person's own feed and their house's, no two share an event; together they are all."""
    made = make_feeds(example_plan, Ledger(), example_plan.changed)
    houses = {person.name: person.household for person in example_plan.holding.place.people}
    pairs = list(combinations(("orchard", "store", "kitchen"), 2))
    pairs += [(name.lower(), house.replace(" ", "-")) for name, house in houses.items()]

    assert len(pairs) > 6
    for one, other in pairs:
        for kind in ("reminders", "windows"):
            assert not uids(made, f"{one}-{kind}") & uids(made, f"{other}-{kind}"), (one, other)
    topics = [uids(made, f"{topic}-reminders") for topic in ("orchard", "store", "kitchen")]
    assert set.union(*topics) == uids(made, "reminders")
    people = [uids(made, f"{name.lower()}-reminders") for name in houses]
    shared = [uids(made, f"{house.replace(' ', '-')}-reminders") for house in set(houses.values())]
    assert set.union(*people, *shared) == uids(made, "reminders")


def test_what_is_for_one_person_is_in_no_other_file_and_on_no_page(plan: Plan, feeds: Feeds) -> None:
    """A private job stands in its person's own feed; pages, tables, changes and other feeds don't know of it."""
    site = make_site(plan, theme_folder(), feeds)

    assert {name for name, data in site.items() if b"Wrap the" in data} == {"feeds/ann-reminders.ics"}
    assert b"Look" in site["jobs.html"]


def test_a_private_job_without_a_day_is_not_named_either(plan_of: Callable[..., Plan]) -> None:
    """What has no date is listed on a page, but without the name of a job that is for one person."""
    late = note("name: Wrap it", "when: last frost", "each: place", "only for: Ann")
    plan = plan_of({**NOTES, "tasks/d.md": late})
    said = " ".join(undated_words(IN_ENGLISH, item) for item in plan.calendar.undated)

    assert "a job of one person" in said
    assert "Wrap it" not in said


def test_a_job_for_everybody_is_nobody_s_alone(plan_of: Callable[..., Plan]) -> None:
    """Without `only for` a job is private to no one, whatever people are called."""
    plan = plan_of(
        {**NOTES, "tasks/d.md": job("Wrap the present", "each: place", "who: wrapping")}, as_of=date(2027, 2, 1)
    )
    made = make_feeds(plan, Ledger(), plan.changed)

    assert {entry.task.only_for for entry in plan.calendar.entries} == {""}
    assert "Wrap the present" in titles(made, "reminders")


def test_a_job_for_nobody_known_is_a_problem(holding_of: Callable[..., Holding]) -> None:
    """The name must be one of the people's."""
    with pytest.raises(FaultyNotes, match='"An" is none of the people'):
        holding_of({**NOTES, "tasks/d.md": job("Wrap", "only for: An")})


def test_a_secret_takes_people_s_files_off_the_pages(plan_of: Callable[..., Plan]) -> None:
    """With a secret, names of people's files can't be guessed, stand nowhere in the site, and differ by secret."""
    place = NOTES["place.md"].removesuffix("---\n")
    made = [
        make_feeds(plan_of({**NOTES, "place.md": f"{place}{line}\n---\n"}), Ledger(), date(2027, 2, 1))
        for line in (HIDING, f"{HIDING} nor that")
    ]
    hidden = [{feed.path for feed in one.unlisted} for one in made]
    plan = plan_of({**NOTES, "place.md": f"{place}{HIDING}\n---\n"})
    site = make_site(plan, theme_folder(), made[0])

    assert len(hidden[0]) == 8
    assert not hidden[0] & hidden[1]
    assert all(len(path.split("-")[-2]) == 24 for path in hidden[0])
    for name, data in site.items():
        if name not in hidden[0]:
            assert not [path for path in hidden[0] if path.rpartition("/")[2].encode() in data], name
    assert "is no lock" in " ".join(site["subscribe.html"].decode().split())


def test_a_short_secret_is_refused(holding_of: Callable[..., Holding]) -> None:
    """A word that can be guessed hides nothing."""
    with pytest.raises(FaultyNotes, match="can be guessed"):
        holding_of({**NOTES, "place.md": note("name: Home", "feed secret: pear")})


def test_people_of_a_topic_s_name_or_of_foreign_letters_keep_files_of_their_own(plan_of: Callable[..., Plan]) -> None:
    """A person called Orchard does not take the topic's place, and names without Latin letters don't fall together."""
    people = note("name: Home", "people: [{name: Orchard, does: [watch]}, {name: Юля}, {name: Оля}]")
    plan = plan_of({**NOTES, "place.md": people, "tasks/d.md": job("Go")})
    made = make_feeds(plan, Ledger(), plan.changed)

    assert {f"feeds/{name}-reminders.ics" for name in ("orchard", "orchard-2", "x", "x-2")} <= set(made.files)
    assert len(made.files) == sum(len(group.feeds) for group in made.groups)


def test_the_last_twelve_months_stay(example_plan: Plan) -> None:
    """Last season's fruit keeps its days, as far as they reach into the last year, and nothing older does."""
    found = uids(make_feeds(example_plan, all_told(example_plan), example_plan.changed), "reminders")
    past = [entry for entry in past_entries(example_plan) if entry.task.reminder]

    assert len(past) > 50
    made = merged(past, example_plan.holding, lambda _: True)
    assert {entry_uid(example_plan.holding.place, one.lead) for one in made} <= found
    assert min(entry.span.last for entry in past) >= date(2026, 8, 28)
    assert {entry.season for entry in past} == {2026}


@pytest.mark.parametrize("as_of", [date(2027, 1, 2), date(2027, 3, 1), date(2027, 9, 15), date(2027, 12, 30)])
def test_a_first_build_tells_of_no_day_that_nobody_had(plan_of: Callable[..., Plan], as_of: date) -> None:
    """Without records nothing lies before the day of a first build; what was told then stays in later ones."""
    plan = plan_of(
        {"place.md": note("zone: 6b", "latitude: 42 N"), "trees/A.md": note("cultivar: Bartlett")}, as_of=as_of
    )
    first = make_feeds(plan, Ledger(), as_of)
    later = make_feeds(
        replace(plan, season=replace(plan.season, as_of=as_of + timedelta(days=60))), first.ledger, as_of
    )

    assert all(end > as_of for data in first.files.values() for _, _, end, *_ in by_icalendar(data))
    assert uids(first, "reminders") <= uids(later, "reminders")


def test_what_was_noted_stands_in_a_first_build(example_plan: Plan) -> None:
    """A day that somebody noted is no ghost, told before or not."""
    found = uids(make_feeds(example_plan, Ledger(), example_plan.changed), "reminders")
    place, as_of = example_plan.holding.place, example_plan.season.as_of
    asked = [entry for entry in example_plan.calendar.entries if entry.task.reminder]
    past = [one for one in merged(asked, example_plan.holding, lambda _: True) if one.days[-1] < as_of]
    seen = {entry_uid(place, one.lead) for one in past if any(entry.is_noted for entry in one.entries)}

    assert len(seen) > 3
    assert seen <= found
    assert not {entry_uid(place, one.lead) for one in past} - seen & found


# Addresses


@pytest.mark.parametrize(
    ("written", "base"),
    [
        ("https://example.org/pears", "https://example.org/pears/"),
        ("http://example.org/", "http://example.org/"),
        ("https://example.org/a b\u00e9", "https://example.org/ab%C3%A9/"),
        ("example.org", ""),
        ("javascript:alert(1)", ""),
        ("ftp://example.org/", ""),
        ("https://[", ""),
        ("", ""),
    ],
)
def test_only_a_web_address_can_be_subscribed_to(plan: Plan, written: str, base: str) -> None:
    """Anything else makes no link at all."""
    place = replace(plan.holding.place, site_address=written)
    changed = replace(plan, holding=replace(plan.holding, place=place))
    page = subscribe_page(changed, make_feeds(changed, Ledger(), plan.changed))
    lines = [line for group in page.groups for line in group.feeds]

    assert base_address(place) == base
    if base:
        assert lines[0].address is not None
        assert lines[0].subscribe is not None
        assert lines[0].address.href == f"{base}feeds/reminders.ics"
        assert lines[0].subscribe.href == f"webcal:{base.partition(':')[2]}feeds/reminders.ics"
    else:
        assert all(line.subscribe is None and line.address is None for line in lines)


def test_the_page_offers_a_copy_and_says_what_it_is(plan: Plan, feeds: Feeds) -> None:
    """Every listed file can be downloaded, and the page says that a copy will not update."""
    page = make_site(plan, theme_folder(), feeds)["subscribe.html"].decode()

    assert all(f'href="{path}" download' in page for path in feeds.files)
    assert page.count("a one-off copy, will not update") == 1
    assert page.count("webcal://example.org/pears/feeds/") == len(feeds.files)


def test_cards_for_helpers_hold_the_addresses_of_the_page(plan: Plan, feeds: Feeds) -> None:
    """A card for each calendar of reminders that the page lists, with its address and that address as a code."""
    sheet = calendar_sheet(plan, feeds)
    assert sheet is not None
    listed = [line for group in subscribe_page(plan, feeds).groups for line in group.feeds if line.code]
    site = make_site(plan, theme_folder(), feeds)
    page = site["sheets/calendars.html"].decode()

    assert list(sheet.cards) == listed
    assert {card.address.text for card in sheet.cards if card.address} == {
        f"https://example.org/pears/{path}" for path in feeds.files if "reminders" in path
    }
    for card in sheet.cards:
        assert card.address is not None
        assert (card.code, card.side) == qr_code(card.address.href)
        assert card.address.text in page
        assert card.code in page
        assert card.code in site["subscribe.html"].decode()
    assert 'href="sheets/calendars.html"' in site["subscribe.html"].decode()
    assert 'sheets/calendars.html"' in site["sheets/index.html"].decode()


def test_no_card_holds_a_secret_address(plan_of: Callable[..., Plan]) -> None:
    """Personal calendars of a household with a secret stand on no card; the card of all that is listed does."""
    place = note("name: Home", "site address: https://example.org/pears", HIDING, PEOPLE)
    plan = plan_of({**NOTES, "place.md": place}, as_of=date(2027, 2, 1))
    feeds = make_feeds(plan, Ledger(), plan.changed)
    sheet = calendar_sheet(plan, feeds)

    assert sheet is not None
    assert len(feeds.unlisted) > 0
    told = {card.address.href.removeprefix("https://example.org/pears/") for card in sheet.cards if card.address}
    assert told == {feed.path for group in feeds.groups if group.listed for feed in group.feeds} & {
        path for path in feeds.files if "reminders" in path
    }
    assert not told & {feed.path for feed in feeds.unlisted}


def test_a_site_without_an_address_has_no_cards(plan_of: Callable[..., Plan]) -> None:
    """There is nothing to subscribe to, and no page or list of sheets speaks of cards."""
    plan = plan_of({**NOTES, "place.md": note("name: Home", PEOPLE)}, as_of=date(2027, 2, 1))
    site = make_site(plan, theme_folder())

    assert calendar_sheet(plan, make_feeds(plan, Ledger(), plan.changed)) is None
    assert "sheets/calendars.html" not in site
    assert not [name for name, data in site.items() if name.endswith(".html") and b"calendars.html" in data]


# Sizes


def test_a_feed_longer_than_services_take_comes_in_parts(plan: Plan) -> None:
    """No file is longer than 1,000,000 octets, each event stands in one part, and the household is told."""
    (entry, *_) = [one for one in plan.calendar.entries if one.task.name == "Look"]

    def with_entries(count: int) -> Feeds:
        many = tuple(
            replace(
                entry,
                task=replace(entry.task, key=f"look-{n}"),
                subject=str(n),
                name=OfCultivar(limb="x" * 600),
                span=Span(first=day, last=day),
                days=(day,),
            )
            for n in range(count)
            for day in [entry.span.first + timedelta(days=n % 60)]
        )
        return make_feeds(replace(plan, calendar=replace(plan.calendar, entries=many)), Ledger(), plan.changed)

    small, large = with_entries(10), with_entries(2000)
    parts = [feed for feed in large.groups[0].feeds if feed.kind == "reminders"]
    uids = [str(event["UID"]) for feed in parts for event in Calendar.from_ical(feed.data).walk("VEVENT")]
    days = [[event["DTSTART"].dt for event in Calendar.from_ical(f.data).walk("VEVENT")] for f in parts]

    assert small.warnings == ()
    assert [feed.path for feed in parts] == [
        f"feeds/reminders{tail}.ics" for tail in ("", "-2", "-3", "-4")[: len(parts)]
    ]
    assert len(parts) > 1
    assert all(len(data) < LARGEST for data in large.files.values())
    assert len(uids) == len(set(uids)) >= 2000
    assert max(days[0]) <= min(days[1])
    assert min(days[0]) >= plan.season.as_of.replace(day=1)
    assert any(text.startswith("feeds/reminders.ics would be longer") for text in large.warnings)
    assert "part 2 of" in subscribe_page(plan, large).groups[0].feeds[1].name
    assert subscribe_page(plan, large).parted
    assert not subscribe_page(plan, small).parted


def test_what_goes_on_stands_in_the_first_part_though_it_began_before() -> None:
    """A window of weeks and a job that comes back are of use until their last day, not until their first."""
    began, since = date(2027, 8, 20), date(2027, 9, 1)

    def told(uid: str, first: date, last: date, turns: tuple[date, ...] = ()) -> Appointment:
        return Appointment(uid=uid, first=first, last=last, turns=turns, title="T", text="", category="C")

    events = [
        told("over", began, date(2027, 8, 31)),
        told("window", began, date(2027, 9, 9)),
        told("turns", began, began, (began, date(2027, 9, 3))),
        told("to come", date(2027, 9, 5), date(2027, 9, 5)),
    ]
    parts = making._parted(events, lambda _: making.LARGE // 3, since)  # noqa: SLF001 - where one part ends

    assert [[one.uid for one in part] for part in parts] == [["window", "turns", "to come"], ["over"]]


# Other forms


def test_table_and_json_say_the_same_as_the_calendar(example_plan: Plan) -> None:
    """Every job of the season once, by first day, with the identity that its reminder has."""
    rows = list(csv.DictReader(io.StringIO(plan_csv(rows_of_jobs(example_plan)).decode(), newline="")))
    jobs = json.loads(plan_json(example_plan, rows_of_jobs(example_plan)))["jobs"]
    place, read = example_plan.holding.place, as_read(IN_ENGLISH, example_plan.calendar.entries)

    assert list(rows[0]) == list(COLUMNS) == list(jobs[0])
    assert [row["uid"] for row in rows] == [entry_uid(place, entry) for entry in read]
    assert [row["first_day"] for row in rows] == sorted(row["first_day"] for row in rows)
    for row, told, entry in zip(rows, jobs, read, strict=True):
        assert (row["uid"], row["first_day"], row["last_day"]) == (told["uid"], told["first_day"], told["last_day"])
        assert row["first_day"] == entry.span.first.isoformat()
        assert row["reminder"] == ("yes" if told["reminder"] else "no")


def test_no_cell_is_taken_for_a_formula(plan_of: Callable[..., Plan]) -> None:
    """A name that begins like a formula is set behind an apostrophe in the table, and not in the JSON."""
    plan = plan_of({**NOTES, "tasks/a.md": job('"=1+1"', "each: place")})

    assert b",'=1+1," in plan_csv(rows_of_jobs(plan))
    assert '"=1+1"' in plan_json(plan, rows_of_jobs(plan)).decode()


ATOM = "{http://www.w3.org/2005/Atom}"


def test_the_changes_are_a_feed_that_names_what_moved(plan_of: Callable[..., Plan], plan: Plan) -> None:
    """RFC 4287: identity, title and moment for the feed and each entry; a moved day says from where to where."""
    first = make_feeds(plan, Ledger(), date(2027, 2, 1))
    gone = {name: text for name, text in NOTES.items() if name != "tasks/c.md"}
    moved = plan_of(
        {**gone, "tasks/a.md": job("Look", "each: place").replace("Mar 1", "Mar 3")}, as_of=date(2027, 2, 2)
    )
    feed = ET.fromstring(changes_atom(moved, make_feeds(moved, first.ledger, date(2027, 2, 2))))  # noqa: S314 - our own bytes
    entries = feed.findall(f"{ATOM}entry")
    said = [entry.findtext(f"{ATOM}title") for entry in entries]

    assert "Look: moved to Wed 3 Mar 2027, from Mon 1 Mar" in said
    for part in (feed, *entries):
        assert all(part.findtext(ATOM + name) for name in ("id", "title", "updated"))
        datetime.fromisoformat(part.findtext(f"{ATOM}updated") or "")
    ids = [entry.findtext(f"{ATOM}id") for entry in entries]
    assert len(set(ids)) == len(ids) > 1
    stamps = [entry.findtext(f"{ATOM}updated") or "" for entry in entries]
    assert stamps == sorted(stamps, reverse=True)
    assert feed.findtext(f"{ATOM}updated") == stamps[0] == "2027-02-02T00:00:00Z"


# A build


def build(notes: Path, out: Path, day: str = "2027-02-01") -> Result:
    """Run a build."""
    return CliRunner().invoke(cli.main, ["build", str(notes), "--out", str(out), "--season", "2027", "--as-of", day])


def files_of(out: Path) -> dict[str, bytes]:
    """Return every calendar file of a site."""
    return {path.name: path.read_bytes() for path in (out / "feeds").iterdir()}


def test_building_again_later_gives_equal_bytes(tmp_path: Path) -> None:
    """With the ledger beside the notes neither feeds nor ledger change while the notes don't."""
    notes = write_notes(tmp_path / "notes", NOTES)
    assert build(notes, tmp_path / "out").exit_code == 0
    first, ledger = files_of(tmp_path / "out"), (notes / LEDGER).read_bytes()

    again = build(notes, tmp_path / "out", "2027-02-09")
    assert again.exit_code == 0, again.output
    assert files_of(tmp_path / "out") == first
    assert (notes / LEDGER).read_bytes() == ledger
    assert all(faults(data) == set() for data in first.values())
    assert not [path for path in notes.iterdir() if path.name.startswith(".")]


def test_a_secret_s_files_stand_nowhere_in_the_folder_and_are_still_known_as_ours(tmp_path: Path) -> None:
    """The manifest doesn't name them; the report does; and once the secret goes, so do they."""
    place = NOTES["place.md"].removesuffix("---\n")
    notes = write_notes(tmp_path / "notes", {**NOTES, "place.md": f"{place}{HIDING}\n---\n"})
    result = build(notes, tmp_path / "out")
    hidden = [name for name in files_of(tmp_path / "out") if name.startswith(("ann-", "ben-", "cy-", "upper-"))]

    assert len(hidden) == 8
    assert all(f"feeds/{name}" in result.output for name in hidden)
    assert not [name for name in hidden if name in (tmp_path / "out" / MANIFEST).read_text(encoding="utf-8")]
    assert build(notes, tmp_path / "out").exit_code == 0
    assert set(hidden) <= set(files_of(tmp_path / "out"))
    write_notes(notes, NOTES)
    assert build(notes, tmp_path / "out").exit_code == 0
    assert not set(hidden) & set(files_of(tmp_path / "out"))


def test_a_merge_conflict_ends_the_build_and_leaves_all_as_it_was(tmp_path: Path) -> None:
    """The ledger's faulty line is named, and neither site nor ledger is touched."""
    notes = write_notes(tmp_path / "notes", NOTES)
    build(notes, tmp_path / "out")
    torn = f"<<<<<<< ours\n{(notes / LEDGER).read_text(encoding='utf-8')}"
    (notes / LEDGER).write_text(torn, encoding="utf-8")
    first = files_of(tmp_path / "out")
    result = build(notes, tmp_path / "out")

    assert result.exit_code == 1
    assert f"{LEDGER}:1: a merge was left half done here" in result.output
    assert "Traceback" not in result.output
    assert files_of(tmp_path / "out") == first
    assert (notes / LEDGER).read_text(encoding="utf-8") == torn


def test_a_lost_ledger_is_made_anew_and_nothing_falls_back(tmp_path: Path) -> None:
    """After the ledger is deleted every event has the identity and at least the sequence that it had."""
    notes = write_notes(tmp_path / "notes", NOTES)
    build(notes, tmp_path / "out")
    before = (notes / LEDGER).read_text(encoding="utf-8").splitlines()[2:]
    (notes / LEDGER).unlink()
    build(notes, tmp_path / "out", "2027-02-03")
    after = {line.split("\t")[0]: line.split("\t") for line in (notes / LEDGER).read_text("utf-8").splitlines()[2:]}

    assert before
    for line in before:
        uid, _, sequence, *_ = line.split("\t")
        assert int(after[uid][2]) >= int(sequence)


def test_a_folder_that_takes_no_files_is_said_and_does_no_harm(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the ledger can't be written the feeds are stamped with the newest record's day, and the build says so."""
    notes = write_notes(tmp_path / "notes", NOTES)
    monkeypatch.setattr("firmripe.build.draft_beside", lambda _path, _ledger: None)
    result = build(notes, tmp_path / "out")

    assert result.exit_code == 0, result.output
    assert f"{LEDGER} can't be written" in result.output
    assert not (notes / LEDGER).exists()
    assert b"DTSTAMP:20270101T000000Z" in files_of(tmp_path / "out")["reminders.ics"]


def test_a_ledger_in_another_encoding_is_named(tmp_path: Path) -> None:
    """Bytes that are no text are a problem and no crash."""
    notes = write_notes(tmp_path / "notes", NOTES)
    (notes / LEDGER).write_bytes(b"\xff\xfe\x00")
    result = build(notes, tmp_path / "out")

    assert result.exit_code == 1
    assert "the file is not in UTF-8" in result.output


def test_a_season_nobody_noted_leaves_nothing_to_do(plan_of: Callable[..., Plan]) -> None:
    """Whoever starts in January has no fruit of last autumn in store; a first pick noted then brings its days back."""
    notes = {"trees/1-06.md": "---\ncultivar: Anjou\n---\n", "place.md": "---\nzone: 6b\nlatitude: 42 N\n---\n"}
    january = date(2028, 1, 15)
    nobody = plan_of(notes, 2028, january)
    assert [entry for entry in nobody.past if entry.span.last >= january]
    assert [entry for entry in past_entries(nobody) if entry.span.last >= january] == []

    records = "date,tree,what,amount\n2027-09-20,1-06,first pick,40 lb\n"
    noted = plan_of({**notes, "records/2027.csv": records}, 2028, january)
    assert [entry for entry in past_entries(noted) if entry.span.last >= january]
