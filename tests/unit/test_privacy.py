"""What is not for a reader is in no byte of what is made for them, however it is written there."""

from __future__ import annotations

import base64
import html
import json
import re
from datetime import date
from pathlib import Path
from urllib.parse import unquote

import pytest
from conftest import write_notes
from msgspec.structs import replace

from firmripe.build import holding_of, plan_of, site_plan_of
from firmripe.harvest.because import PrintedYields
from firmripe.harvest.crop import Crop
from firmripe.holding.fruit import Event
from firmripe.holding.reader import STRANGERS, THE_HOUSEHOLD, Reader, reader_of
from firmripe.plan import Plan
from firmripe.problems import Unreadable
from firmripe.publish.audience import has_private, names_for_everybody, plan_for
from firmripe.publish.feeds.files import make_feeds
from firmripe.publish.ledger import Ledger
from firmripe.publish.site import make_site
from firmripe.season.because import OutOfTime
from firmripe.season.estimate import Estimate
from firmripe.shipped import theme_folder
from firmripe.tongue import IN_ENGLISH
from firmripe.wording.calendar import beside_job
from firmripe.wording.clashes import clash_words

AS_OF = date(2027, 8, 20)

PRIVATE = {
    "Zzqplacetext": "the place's own text, which is marked private",
    "Zzqtag": "the tag of a private tree",
    "Zzqtreebody": "the body of a private tree",
    "Zzqwhere": "where a private tree stands",
    "Zzqpinned": "why a private tree's date is fixed",
    "Zzqcultivar": "the name of a private cultivar",
    "Zzqkindbody": "the body of a private cultivar",
    "Zzqfruit": "the name of a private fruit",
    "Zzqtask": "the name of a private task",
    "Zzqtaskbody": "the body of a private task",
    "Zzqbring": "what a private task brings",
    "Zzqwhy": "why a private task is done",
    "Zzqcaution": "the caution of a private task",
    "Zzqpreserve": "the name of a private preserve",
    "Zzqpreservebody": "the body of a private preserve",
    "Zzqnote": "a private note of a record",
    "Zzqbare": "a line of the records that is a private note and nothing else",
    "Zzqnocrop": "a private note on why there is no crop",
    "Zzqspray": "what was sprayed",
    "Zzqwhole": "what was sprayed on all trees",
    "Zzqmaud": "a person's name",
    "Zzqidris": "another person's name",
    "Zzqhouse": "a household's name",
    "Zzqmail": "an e-mail address",
    "555 010 0199": "a telephone number",
    "5550100199": "the same, to be dialled",
    "Zzqshare": "who gets a share",
    "Zzqcellar": "a room of the house",
    "Zzqkitchen": "a kitchen",
    "Zzqpurpose": "what fruit is wanted for",
    "Zzqpot": "a pot",
}
"""What a household planted, and what it is. Nothing of it is for everybody."""

ONE_PERSONS = {"Zzqsecret": "the name of a task for one person", "Zzqsecretbody": "its body"}
"""What is for the first of the people alone."""

OPEN = {
    "Zzqopen": "the body of a tree that is not private",
    "Zzqrecord": "the note of a record that is not private",
    "Zzqchore": "the name of a task that is not private",
}

NOTES = {
    "place.md": """---
name: Gate Garden
zone: 6b
latitude: 42.12345 N
elevation: 1234 ft
site address: https://garden.example/
private: yes
farm stand: yes
spaces: [{name: Zzqcellar, temperature: 34 F, holds: 20 boxes}, {name: hall, temperature: 66 F}]
box: 22 lb
shares: [{name: Zzqshare house, part: 1/2}]
wanted: [{cultivar: Bosc, on: 2027-10-20, amount: a dozen, for: Zzqpurpose}]
kitchens: [{name: Zzqkitchen, elevation: 1234 ft}]
canners: [{name: Zzqpot, kind: boiling water, holds: [7 quarts], kitchen: Zzqkitchen}]
kitchen days: [{on: Saturday, during: Aug 1 - Nov 1, start: "9:00", hours: 7, hands: 3, kitchen: Zzqkitchen}]
to put up: [{preserve: Pear halves in jars, amount: 7 quarts}, {preserve: Zzqpreserve, amount: 4 pints}]
people:
  - {name: Zzqmaud, household: Zzqhouse, does: [picking], phone: 555 010 0199, email: Zzqmail@garden.example}
  - {name: Zzqidris, household: Zzqhouse, does: [pruning]}
  - {name: Petra, does: [picking]}
---
Zzqplacetext stands here.
""",
    "trees/open.md": (
        "---\ntree: 1-01\ncultivar: Bartlett\nkept by: Zzqmaud\ncrop: 80 lb\n---\nZzqopen is for everybody.\n"
    ),
    "trees/bosc.md": "---\ntree: 1-02\ncultivar: Bosc\ncrop: 80 lb\n---\n",
    "trees/family.md": "---\ntree: 2-01\nlimbs: [Anjou, Zzqcultivar]\n---\n",
    "trees/off.md": "---\ntree: 2-02\ncultivar: Comice\n---\n",
    "trees/hidden.md": (
        "---\ntree: Zzqtag\ncultivar: Bartlett\nwhere: Zzqwhere\nprivate: yes\ncrop: 80 lb\n"
        "pinned: [{leaf fall: 2027-11-01, because: Zzqpinned}]\n---\nZzqtreebody is ours.\n"
    ),
    "trees/only.md": "---\ntree: 3-01\ncultivar: Zzqcultivar\n---\n",
    "trees/odd.md": "---\ntree: 3-02\nfruit: Zzqfruit\n---\n",
    "fruits/odd.md": "---\nname: Zzqfruit\nprivate: yes\nwindows: [{pick: Aug 25, place: here}]\n---\n",
    "cultivars/hidden.md": (
        "---\nname: Zzqcultivar\nfruit: european-pear\nprivate: yes\nwindows: [{pick: Sep 9, place: here}]\n"
        "---\nZzqkindbody is ours.\n"
    ),
    "cultivars/bosc.md": "---\noffset: {from: hidden, value: 5 days after}\n---\n",
    "tasks/private.md": (
        "---\nname: Zzqtask\nwhen: earliest pick\nprivate: yes\nreminder: yes\nbring: [Zzqbring]\nwhy: [Zzqwhy]\n"
        "cautions: [Zzqcaution]\n---\nZzqtaskbody is ours.\n"
    ),
    "tasks/secret.md": (
        "---\nname: Zzqsecret\nwhen: Aug 22\neach: place\nonly for: Zzqmaud\nreminder: yes\n---\n"
        "Zzqsecretbody is hers.\n"
    ),
    "tasks/chore.md": "---\nname: Zzqchore\nwhen: Aug 24\neach: place\nreminder: yes\nwho: picking\n---\n",
    "preserves/private.md": (
        "---\nname: Zzqpreserve\nfruits: [european-pear]\nmethod: freezer\nprivate: yes\ntakes: [2 lb for 1 pint]\n"
        "---\nZzqpreservebody is ours.\n"
    ),
    "records/2026.csv": (
        "date,tree,what,amount,note\n2026-05-02,1-01,full bloom,,\n2026-05-04,Zzqtag,full bloom,,\n"
        "2026-08-24,1-01,first pick,60 lb,Zzqrecord\n2026-08-24,1-01,stored,,Zzqcellar\n"
        "2026-08-30,1-01,shared,20 lb,Zzqshare house\n2026-09-01,Zzqtag,first pick,40 lb,\n"
        "2026-08-20,1-01,spray,7 days,Zzqspray\n2026-09-04,1-01,jars,4 pints,Zzqpreserve in the Zzqkitchen\n"
        "2026-09-05,1-01,drop,,seen by Zzqidris from the Zzqpot\n"
    ),
    "records/2027.csv": (
        "date,tree,what,amount,note\n2027-05-01,1-01,full bloom,,private: Zzqnote\n2027-05-04,Zzqtag,full bloom,,\n"
        "2027-06-01,1-01,note,,Private: Zzqbare\n2027-06-02,2-02,no crop,,private: Zzqnocrop\n"
        '2027-08-18,1-01,spray,"21 days, re-entry 72 hours",Zzqspray\n'
        '2027-08-19,,spray,"1 day, re-entry 4 hours",Zzqwhole\n'
    ),
}


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    """Return the household's plan."""
    top = tmp_path_factory.mktemp("household")
    for name, text in NOTES.items():
        path = top / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return plan_of(top, 2027, AS_OF)


def site_for(plan: Plan, said: str) -> dict[str, bytes]:
    """Return the files that are made for a reader."""
    told = plan_for(plan, reader_of(plan.holding.place, said))
    return make_site(told, theme_folder(plan.holding.place.theme))


@pytest.fixture(scope="module")
def open_site(plan: Plan) -> dict[str, bytes]:
    """Return everybody's site."""
    return site_for(plan, "everybody")


@pytest.fixture(scope="module")
def household_site(plan: Plan) -> dict[str, bytes]:
    """Return the household's site."""
    return site_for(plan, "household")


def text_of(data: bytes) -> str:
    """Return a file as text; of one that is no text, as a font, what of it can be read."""
    return data.decode("utf-8", errors="replace")


def readings(name: str, data: bytes) -> list[str]:
    """Return a file, its name with it, as it stands and with its escapes and folds undone."""
    text = f"{name}\n{text_of(data)}"
    unfolded = re.sub(r"\r?\n[ \t]", "", text).replace("\\,", ",").replace("\\;", ";").replace("\\n", "\n")
    plain = re.sub(r"\\u([0-9a-fA-F]{4})", lambda found: chr(int(found[1], 16)), unquote(html.unescape(unfolded)))
    return [text.casefold(), unfolded.casefold(), plain.casefold(), html.unescape(unquote(unfolded)).casefold()]


def coded(word: str) -> list[str]:
    """Return how a word stands in base64, at each of the three places it can begin, without its ragged ends."""
    found = []
    for spelling in (word, word.casefold(), word.upper()):
        for before in range(3):
            whole = base64.b64encode(b"\0" * before + spelling.encode()).decode().rstrip("=")
            found.append(whole[-(-before * 4 // 3) + 1 : -2])
    return found


def where(files: dict[str, bytes], word: str) -> list[str]:
    """Return the files that a word stands in, in whatever writing."""
    found = []
    for name, data in files.items():
        text = text_of(data)
        if any(word.casefold() in reading for reading in readings(name, data)) or any(c in text for c in coded(word)):
            found.append(name)
    return found


@pytest.mark.parametrize("word", [*PRIVATE, *ONE_PERSONS], ids=lambda word: word.replace(" ", ""))
def test_nothing_private_is_in_what_everybody_gets(open_site: dict[str, bytes], word: str) -> None:
    """Not on a page, in its source, a table, a feed, the names to search or the name of a file."""
    assert where(open_site, word) == []


def test_everybody_is_not_told_of_sprays(open_site: dict[str, bytes]) -> None:
    """No record of one is shown, and no date says that one is behind it."""
    for path in ("trees/1-01.html", "index.html", "year.html", "weeks/2027-08-16.html", "plan.json"):
        assert not re.search(
            r"spray label|sprayed on|\bspray\b</td>|<td>spray", open_site[path].decode(), re.IGNORECASE
        )


def test_everybody_is_not_told_where_people_live(open_site: dict[str, bytes]) -> None:
    """Neither latitude nor height of the household's ground stand anywhere."""
    assert where(open_site, "42.12345") == []
    assert where(open_site, "1,234 ft") == []


@pytest.mark.parametrize("word", OPEN)
def test_what_is_not_private_is_still_there(open_site: dict[str, bytes], word: str) -> None:
    """Opening a plan takes out no more than it must."""
    assert where(open_site, word)


ON_NO_PAGE = {"Zzqpreservebody", "Zzqwhole"}
"""The text of a preserve, and lines about the whole place, are shown on no page to anybody."""


@pytest.mark.parametrize("word", sorted(PRIVATE.keys() - ON_NO_PAGE), ids=lambda word: word.replace(" ", ""))
def test_the_household_has_all_of_it(household_site: dict[str, bytes], word: str) -> None:
    """The words that are looked for are real ones: the household's own site has them."""
    assert where(household_site, word)


def test_the_household_is_told_of_the_label(household_site: dict[str, bytes]) -> None:
    """Those who pick have the spray and what follows from it before their eyes."""
    assert "Spray label: no picking before" in household_site["trees/1-01.html"].decode()
    assert where(household_site, "Sprayed on")


def test_the_dates_stay_the_same(plan: Plan) -> None:
    """A spray that nobody is told of holds the picking back all the same, and a hidden tree's bloom still speaks."""
    opened = plan_for(plan, STRANGERS)
    kept = {
        happens: (dated.earliest, dated.likely, dated.latest)
        for happens, dated in opened.season.dates.items()
        if isinstance(dated, Estimate)
    }
    ours = {
        happens: (dated.earliest, dated.likely, dated.latest)
        for happens, dated in plan.season.dates.items()
        if isinstance(dated, Estimate)
    }
    pick = next(dated for h, dated in opened.season.dates.items() if h.bearing.tree == "1-01" and h.event is Event.PICK)

    assert kept.items() <= ours.items()
    assert isinstance(pick, Estimate)
    assert pick.earliest >= date(2027, 9, 8)
    assert clash_words(IN_ENGLISH, pick) == "No picking before Wed 8 Sep."


def told_of(plan: Plan) -> dict[str, set[str]]:
    """Return of which trees each part of a plan speaks."""
    batches = [*(b for lot in plan.lots.values() for b in lot.batches), *plan.store.batches, *plan.store.carried]
    return {
        "trees": {tree.tag for tree in plan.holding.trees},
        "dates": {happens.bearing.tree for happens in plan.season.dates},
        "dates of last season": {happens.bearing.tree for happens in plan.former.dates},
        "expected": {bearing.tree for bearing in plan.season.expected},
        "questions": set(plan.season.questions),
        "explanations": {happens.bearing.tree for happens in plan.explanations},
        "lots": {bearing.tree for bearing in plan.lots},
        "batches": {batch.bearing.tree for batch in batches},
        "asked": {one.bearing.tree for one in plan.asked},
        "jobs": {bearing.tree for entry in plan.calendar.entries for bearing in entry.bearings},
        "records": {record.tree for record in plan.holding.records},
    }


def test_no_part_of_everybodys_plan_speaks_of_a_hidden_tree(tmp_path: Path) -> None:
    """Neither a private one nor one of a private kind, whatever page is made of that part one day."""
    hidden, day = {"Zzqtag", "3-01", "3-02"}, date(2027, 10, 20)
    drops = "private: yes\ndrops: [{when: 0-3 weeks after petal fall, value: half of it}]\n"
    kind = NOTES["cultivars/hidden.md"].replace("private: yes\n", drops)
    more = "2027-10-10,3-01,drop,,\n2027-08-25,Zzqtag,first pick,40 lb,\n"
    notes = {**NOTES, "cultivars/hidden.md": kind, "records/2027.csv": NOTES["records/2027.csv"] + more}
    ours = plan_of(write_notes(tmp_path, notes), 2027, day)
    theirs = told_of(plan_for(ours, STRANGERS))

    assert {part for part, trees in told_of(ours).items() if trees & hidden} == theirs.keys()
    assert {part: trees & hidden for part, trees in theirs.items() if trees & hidden} == {}


def test_jobs_keep_their_days_and_say_when_nobody_goes_in(plan: Plan) -> None:
    """What keeps people out is said, what it was is not."""
    opened = {entry.identity: entry for entry in plan_for(plan, STRANGERS).calendar.entries}
    ours = {entry.identity: entry for entry in plan.calendar.entries}
    held = [beside_job(IN_ENGLISH, entry) for entry in opened.values() if beside_job(IN_ENGLISH, entry)]

    assert all(ours[identity].days == entry.days for identity, entry in opened.items())
    assert held
    assert all("nobody goes" in said.casefold() or "no picking" in said.casefold() for said in held), held
    assert not any(word in said.casefold() for said in held for word in ("spray", "label"))


def test_what_is_for_one_person_stands_in_their_feed_alone(household_site: dict[str, bytes]) -> None:
    """In the household's site the others' calendars, the pages and the tables have nothing of it."""
    found = where(household_site, "Zzqsecret")

    assert found == ["feeds/zzqmaud-reminders.ics"]


def test_a_site_for_one_person_has_what_is_theirs(plan: Plan) -> None:
    """Pages, tables and feeds; others get nothing of it, and their feeds are not in it."""
    hers, his, house = (site_for(plan, name) for name in ("zzqMAUD", "Zzqidris", "Zzqhouse"))

    assert {"index.html", "plan.json", "feeds/zzqmaud-reminders.ics"} <= set(where(hers, "Zzqsecret"))
    assert where(hers, "Zzqsecretbody")
    assert [where(site, word) for site in (his, house) for word in ONE_PERSONS] == [[], [], [], []]
    assert {name for name in hers if "idris" in name or "petra" in name} == set()
    assert {name for name in his if name.startswith("feeds/zzqmaud")} == set()
    assert {"feeds/zzqmaud-reminders.ics", "feeds/zzqidris-reminders.ics"} <= set(house)
    assert "feeds/petra-reminders.ics" not in house
    assert all(where(site, "Zzqtaskbody") for site in (hers, his, house))


def test_nothing_of_a_former_ledger_comes_to_light(plan: Plan) -> None:
    """What the household's feeds once said, and everybody's say no more, is in no list of changes."""
    former = make_feeds(plan, Ledger(), date(2027, 8, 1)).ledger
    told = plan_for(plan, STRANGERS)
    files = make_site(told, theme_folder(), make_feeds(told, former, AS_OF))

    assert where({"ledger": str(former).encode()}, "Zzqtask")
    assert where(files, "Zzqtask") == []


def test_an_open_tree_s_event_that_named_a_private_one_is_not_told_of_when_it_goes(tmp_path: Path) -> None:
    """Two trees that one person keeps are one event; for everybody, who knows no people, it goes into another one."""
    trees = (("1-01", "Ann", "no"), ("1-02", "Bob", "no"), ("Zzqtag", "Bob", "yes"))
    notes = {
        f"trees/{tag}.md": f"---\ntree: {tag}\ncultivar: Bartlett\nkept by: {person}\nprivate: {private}\n---\n"
        for tag, person, private in trees
    }
    notes["place.md"] = "---\nname: Gate\nzone: 6b\npeople: [{name: Ann, does: [pruning]}, {name: Bob}]\n---\n"
    notes["tasks/prune.md"] = "---\nname: Prune\nwhen: Sep 22\neach: tree\nreminder: yes\n---\n"
    plan = plan_of(write_notes(tmp_path, notes), 2027, AS_OF)
    former = make_feeds(plan, Ledger(), date(2027, 8, 1)).ledger
    told = plan_for(plan, STRANGERS)
    feeds = make_feeds(told, former, AS_OF)
    changes = make_site(told, theme_folder(), feeds)["changes.atom"].decode()

    assert any(line.is_gone and "1-02, Zzqtag" in line.said.title for line in feeds.ledger.lines.values())
    assert "Prune 1-01, 1-02 Bartlett: Wed 22 Sep 2027" in changes
    assert "Zzqtag" not in changes


def test_every_page_says_whom_it_is_for(
    open_site: dict[str, bytes], household_site: dict[str, bytes], plan: Plan
) -> None:
    """Pages and sheets alike, but for the one for the stand, which is for whoever comes by."""
    hers = site_for(plan, "Zzqmaud")
    for files, words in (
        (open_site, "Made for everybody."),
        (household_site, "Made for the household."),
        (hers, "Made for Zzqmaud."),
    ):
        pages = {name for name in files if name.endswith(".html")} - {"stand.html"}
        assert [name for name in sorted(pages) if words not in files[name].decode()] == []


def test_contacts_stand_on_a_page_of_the_household(
    household_site: dict[str, bytes], open_site: dict[str, bytes]
) -> None:
    """Each by a link that dials or writes."""
    page = household_site["people.html"].decode()

    assert 'href="tel:5550100199"' in page
    assert 'href="mailto:Zzqmail@garden.example"' in page
    assert 'href="people.html"' in household_site["index.html"].decode()
    assert "people.html" not in open_site


def test_everybodys_links_lead_somewhere(open_site: dict[str, bytes]) -> None:
    """No page names one that was left out."""
    for name, data in open_site.items():
        if not name.endswith(".html"):
            continue
        for link in re.findall(r'href="([^"#:]+)(?:#[^"]*)?"', data.decode()):
            path = (Path("/") / Path(name).parent / unquote(link)).resolve().relative_to("/")
            assert str(path) in open_site, f"{name} leads to {link}"


def test_the_stand_tells_the_same_to_everybody(open_site: dict[str, bytes], household_site: dict[str, bytes]) -> None:
    """The page for the stand was made for strangers all along; only a private tree's fruit may be less."""
    assert "Ripe this weekend" in open_site["stand.html"].decode()
    assert len(open_site["stand.html"]) <= len(household_site["stand.html"])


# Readers


@pytest.mark.parametrize(
    ("said", "reader"),
    [
        ("", THE_HOUSEHOLD),
        ("Household", THE_HOUSEHOLD),
        ("everybody", STRANGERS),
        ("PETRA", Reader(name="Petra", people=frozenset({"Petra"}), person="Petra")),
        ("zzqhouse", Reader(name="Zzqhouse", people=frozenset({"Zzqmaud", "Zzqidris"}))),
    ],
)
def test_a_reader_is_found_by_name(plan: Plan, said: str, reader: Reader) -> None:
    """Capitals don't matter; a house is all who live there."""
    assert reader_of(plan.holding.place, said) == reader


def test_an_unknown_reader_is_told_of_with_the_nearest(plan: Plan) -> None:
    """A slip must not make a site for somebody else."""
    with pytest.raises(Unreadable) as caught:
        reader_of(plan.holding.place, "Petrra")

    assert str(caught.value.message) == '"Petrra" is nobody in place.md'
    assert caught.value.hint == 'did you mean "Petra"?'


def test_the_notes_can_make_everybody_the_usual_reader(plan: Plan) -> None:
    """A household that publishes says so once, and then forgets no word."""
    opened = replace(plan.holding.place, is_open=True)

    assert reader_of(opened) == STRANGERS
    assert reader_of(opened, "household") == THE_HOUSEHOLD


def test_the_table_of_everybodys_jobs_is_whole(open_site: dict[str, bytes]) -> None:
    """Every job of the table has its page, and every tree in it stands in the list."""
    jobs = json.loads(open_site["plan.json"])["jobs"]

    assert jobs
    assert {job["page"] for job in jobs} <= set(open_site)
    assert {tag for job in jobs for tag in job["trees"]} <= {"1-01", "1-02", "2-01", "2-02"}


def test_site_plan_of_reads_and_opens(tmp_path: Path) -> None:
    """The way of the command line: from a folder to what a reader gets."""
    (tmp_path / "trees").mkdir()
    (tmp_path / "trees" / "a.md").write_text("---\ncultivar: Bartlett\nprivate: yes\n---\n", encoding="utf-8")

    assert [tree.tag for tree in site_plan_of(tmp_path, 2027, AS_OF).holding.trees] == ["a"]
    assert site_plan_of(tmp_path, 2027, AS_OF, "everybody").holding.trees == ()


def test_a_site_for_some_of_the_household_has_no_telephone_of_others(tmp_path: Path) -> None:
    """Neither number nor mail address of another house; its people's names stay, for who does what."""
    people = (
        "people: [{name: Ann, household: upper, does: [picking], phone: 555 0101, email: ann@example.org},"
        " {name: Ben, household: lower, does: [picking], phone: 555 0202, email: ben@example.org}]"
    )
    notes = {"place.md": f"---\nlatitude: 42 N\n{people}\n---\n", "trees/A.md": "---\ncultivar: Bartlett\n---\n"}
    plan = plan_of(write_notes(tmp_path, notes), 2027, AS_OF)
    for reader, own, others in (("upper", "0101", "0202"), ("Ben", "0202", "0101")):
        said = "".join(text_of(data) for data in site_for(plan, reader).values())
        mail = {"0101": "ann@example.org", "0202": "ben@example.org"}
        assert mail[own] in said
        assert mail[others] not in said
        assert f"555 {others}" not in said
        assert f"555{others}" not in said


def test_a_private_job_of_the_shelf_is_named_in_no_language(tmp_path: Path) -> None:
    """Neither by its English name nor by what the household's language makes of it."""
    notes = {
        "place.md": "---\nlatitude: 42 N\nlanguage: es\n---\n",
        "trees/A.md": "---\ncultivar: Bartlett\n---\n",
        "tasks/check-tree-tags.md": "---\nprivate: yes\nwhen: Dec 1\n---\n",
    }
    plan = plan_of(write_notes(tmp_path, notes), 2027, AS_OF)
    household = "".join(text_of(data) for data in site_for(plan, "household").values())
    told = "".join(text_of(data) for data in site_for(plan, "everybody").values())

    for name in ("Revisar las etiquetas de los árboles", "Check the tree tags", "check-tree-tags"):
        assert name not in told
    assert "Revisar las etiquetas de los árboles" in household


@pytest.mark.parametrize(
    ("person", "said"),
    [
        ("José", "Jose\u0301"), ("José", "jose"), ("Jose\u0301", "JOSÉ"), ("Maud", "_Maud_"), ("Maud", "**Maud**"),
        ("Maud", "Maud\u2019s"), ("Maud", "Ma\u200bud"), ("Maud", "Ma\u00adud"), ("O'Brien", "O\u2019Brien"),
        ("Straße", "STRASSE"), ("Ann Lee", "Ann\u00a0Lee"), ("Ann Lee", "Ann\u2011Lee"), ("Ann-Lee", "ann_lee"),
        ("Ann Lee", "Ann\u2013Lee"), ("Anaïs", "\uff21nais"),
    ],
)  # fmt: skip
def test_a_name_is_known_however_it_is_typed(tmp_path: Path, person: str, said: str) -> None:
    """Accents coded in one sign or two, or left out, curly apostrophes, marks of emphasis, hyphens that don't break."""
    notes = {
        "place.md": f"---\nlatitude: 42 N\npeople: [{{name: {json.dumps(person)}}}]\n---\n",
        "trees/A.md": f"---\ncultivar: Bartlett\n---\nAsk {said}.\n",
        "records/2027.csv": f"date,tree,what,amount,note\n2027-05-01,A,full bloom,,seen by {said} then\n",
    }
    told = plan_for(plan_of(write_notes(tmp_path, notes), 2027, AS_OF), STRANGERS)

    assert [record.note for record in told.holding.records] == [""]
    assert [problem.message for problem in told.holding.asked] == [f'everybody would read "{person}"']


@pytest.mark.parametrize(
    "said",
    [
        "555 010 0199",
        "555\u00a0010\u00a00199",
        "555\u2011010\u20110199",
        "555\u2013010\u20130199",
        "ml.x+y@example.org",
    ],
)
def test_by_what_people_can_be_reached_is_told_nobody(tmp_path: Path, said: str) -> None:
    """Any number or address, with whatever spaces and hyphens it was pasted, also of people that no note names."""
    notes = {
        "place.md": "---\nlatitude: 42 N\n---\n",
        "trees/A.md": f"---\ncultivar: Bartlett\n---\nAsk {said}.\n",
        "records/2027.csv": f"date,tree,what,amount,note\n2027-05-01,A,note,{said},to reach: {said}\n",
    }
    told = plan_for(plan_of(write_notes(tmp_path, notes), 2027, AS_OF), STRANGERS)

    assert [(record.amount, record.note) for record in told.holding.records] == [("", "")]
    assert len(told.holding.asked) == 1


def test_what_a_private_job_is_called_in_calendars_is_its_name_too(tmp_path: Path) -> None:
    """A note that names it is for the household alone."""
    notes = {
        "trees/A.md": "---\ncultivar: Bartlett\n---\n",
        "tasks/round.md": "---\nname: The long round\ncalendar name: Zzqcal\nprivate: yes\nwhen: Aug 26\n---\n",
        "records/2027.csv": "date,tree,what,note\n2027-05-01,A,note,then the Zzqcal\n",
    }
    told = plan_for(plan_of(write_notes(tmp_path, notes), 2027, AS_OF), STRANGERS)

    assert [record.note for record in told.holding.records] == [""]


def test_amounts_in_words_name_nobody(tmp_path: Path) -> None:
    """Whatever happened, and a figure stays though somebody is called by it."""
    lines = {
        "light crop": ("Maud says", ""),
        "lost": ("Maud half", ""),
        "verdict": ("by Maud", ""),
        "frost": ("28 F", "28 F"),
        "first pick": ("28 lb keepers", "28 lb keepers"),
        "brix": ("12", "12"),
        "starch": ("5", "5"),
    }
    notes = {
        "place.md": "---\npeople: [{name: Maud}, {name: '28'}, {name: '12'}, {name: '5'}]\n---\n",
        "trees/A.md": "---\ncultivar: Bartlett\n---\n",
        "records/2027.csv": "date,tree,what,amount\n"
        + "".join(f"2027-08-1{day},A,{what},{said}\n" for day, (what, (said, _)) in enumerate(lines.items())),
    }
    told = plan_for(plan_of(write_notes(tmp_path, notes), 2027, AS_OF), STRANGERS)

    assert [record.amount for record in told.holding.records] == [shown for _, shown in lines.values()]


def test_a_line_of_a_row_tells_no_hidden_tree_and_no_weight_of_it(tmp_path: Path) -> None:
    """Neither a range that ends at it, nor the sum of a row that it stands in, nor a row that names somebody."""
    notes = {
        "place.md": "---\nlatitude: 42 N\npeople: [{name: Zzqmaud}]\n---\n",
        **{f"trees/{n}.md": f"---\ntree: 1-0{n}\ncultivar: Bartlett\nwhere: row 1\n---\n" for n in (1, 2)},
        "trees/3.md": "---\ntree: Zzq-03\ncultivar: Bartlett\nwhere: row 1\nprivate: yes\n---\n",
        "trees/4.md": "---\ntree: 1-04\ncultivar: Bosc\nwhere: Zzqmaud row\n---\n",
        "trees/5.md": "---\ntree: 1-05\ncultivar: Bosc\nwhere: row 5\n---\n",
        "records/2027.csv": (
            "date,tree,what,amount\n2027-08-18,1-01..Zzq-03,first pick,613 lb\n2027-08-19,row 1,pick,597 lb\n"
            "2027-08-19,Zzqmaud row,pick,497 lb\n2027-08-19,row 5,pick,61 lb\n"
        ),
    }
    plan = plan_of(write_notes(tmp_path, notes), 2027, AS_OF)
    ours, theirs = site_for(plan, "household"), site_for(plan, "everybody")

    for word in ("Zzq-03", "Zzqmaud", "613 lb", "597 lb", "(Zzqmaud row"):
        assert where(ours, word)
        assert where(theirs, word) == []
    assert where(theirs, "61 lb (row 5)") == ["trees/1-05.html"]


def test_what_was_noted_of_a_private_limb_raises_no_question_on_its_tree(tmp_path: Path) -> None:
    """Everybody knows of the other limb alone, and of no day on which fruit of the private one fell."""
    notes = {
        "place.md": "---\nlatitude: 42 N\n---\n",
        "trees/A.md": "---\nlimbs: [Bosc, hidden]\n---\n",
        "cultivars/hidden.md": (
            "---\nname: Zzqcultivar\nfruit: european-pear\nprivate: yes\nwindows: [{pick: Aug 29, place: here}]\n"
            "drops: [{when: 0-3 weeks after petal fall, value: half of it}]\n---\n"
        ),
        "records/2027.csv": "date,tree,cultivar,what\n2027-07-24,A,hidden,drop\n2027-07-25,A,bosc,drop\n",
    }
    plan = plan_of(write_notes(tmp_path, notes), 2027, AS_OF)
    days = [
        {one.day for one in told.season.questions.get("A", ()) if isinstance(one, OutOfTime)}
        for told in (plan, plan_for(plan, STRANGERS))
    ]

    assert days == [{date(2027, 7, 24), date(2027, 7, 25)}, {date(2027, 7, 25)}]


def test_how_many_limbs_a_tree_has_is_told_of_open_ones_alone(tmp_path: Path) -> None:
    """What a tree bears is parted among its limbs, and by their number a private one would be known."""
    notes = {
        "trees/A.md": "---\nlimbs: [Bosc, hidden]\n---\n",
        "trees/B.md": "---\nlimbs: [Bosc, Anjou]\n---\n",
        "cultivars/hidden.md": "---\nname: Zzqcultivar\nfruit: european-pear\nprivate: yes\n---\n",
    }
    plan = plan_of(write_notes(tmp_path, notes), 2027, AS_OF)
    told = [
        {
            bearing.tree
            for bearing, lot in one.lots.items()
            if isinstance(lot.crop, Crop) and any(isinstance(why.why, PrintedYields) for why in lot.crop.reasons)
        }
        for one in (plan, plan_for(plan, STRANGERS))
    ]

    assert told == [{"A", "B"}, {"B"}]


def test_what_waits_for_a_day_and_what_is_usual_stays_without_what_is_hidden(tmp_path: Path) -> None:
    """Jobs of one person and private ones go out of what has no date yet, and the usual picks of private kinds."""
    wait = "when: first frost\neach: place\nreminder: yes\n---\n"
    notes = {
        "place.md": (
            "---\nlatitude: 42 N\npeople: [{name: Maud}]\n"
            "usual picks: [{cultivar: Bartlett, pick: Aug 18}, {cultivar: hidden, pick: Sep 9}]\n---\n"
        ),
        "trees/A.md": "---\ncultivar: Bartlett\n---\n",
        "trees/B.md": "---\ncultivar: hidden\n---\n",
        "cultivars/hidden.md": "---\nname: Zzqcultivar\nfruit: european-pear\nprivate: yes\n---\n",
        "tasks/hers.md": f"---\nname: Hers\nonly for: Maud\n{wait}",
        "tasks/ours.md": f"---\nname: Ours\nprivate: yes\n{wait}",
        "tasks/all.md": f"---\nname: For all\n{wait}",
    }
    plan = plan_of(write_notes(tmp_path, notes), 2027, AS_OF)
    kept = [
        ({task.name for item in one.calendar.undated for task in item.jobs}, one.holding.place.usual_picks)
        for one in (plan, plan_for(plan, STRANGERS))
    ]

    (ours, our_picks), (theirs, their_picks) = kept
    assert ours - theirs == {"Hers", "Ours"}
    assert "For all" in theirs
    assert [[usual.cultivar for usual in picks] for picks in (our_picks, their_picks)] == [
        ["bartlett", "hidden"],
        ["bartlett"],
    ]


@pytest.mark.parametrize(
    ("file", "text", "private"),
    [
        ("trees/b.md", "---\ntree: B\ncultivar: Bosc\n---\nA gift.\n", False),
        ("trees/b.md", "---\ntree: B\ncultivar: Bosc\n---\nA gift.\n\nprivate: The key is below.\n", True),
        ("trees/b.md", "---\ntree: B\ncultivar: Bosc\nprivate: yes\n---\n", True),
        ("cultivars/bartlett.md", "---\n---\nprivate: The key is below.\n", True),
        ("tasks/prune.md", "---\nname: Prune\nwhen: Mar 1\nonly for: Ann\n---\n", True),
        ("tasks/prune.md", "---\nname: Prune\nwhen: Mar 1\n---\n", False),
        ("tasks/prune.md", "---\nname: Prune\nwhen: Mar 1\n---\nprivate: The key is below.\n", True),
        ("records/2027.csv", "date,tree,what,amount,note\n2027-08-01,A,spray,7 days,\n", True),
        ("records/2027.csv", "date,tree,what,amount,note\n2027-05-01,A,full bloom,,private: late\n", True),
        ("records/2027.csv", "date,tree,what,amount,note\n2027-05-01,A,full bloom,,late\n", False),
    ],
)
def test_whoever_goes_online_is_told_where_anything_is_private(
    tmp_path: Path, file: str, text: str, *, private: bool
) -> None:
    """However it is marked: by a key, by a paragraph, by whom a job is for, or by being a spray."""
    place = "---\nname: Gate\nzone: 6b\npeople: [{name: Ann, does: [pruning]}]\n---\n"
    notes = {"place.md": place, "trees/a.md": "---\ntree: A\ncultivar: Bartlett\n---\n", file: text}

    assert has_private(holding_of(write_notes(tmp_path, notes))) is private


@pytest.mark.parametrize("who", ["Zzqann", "zzqANN's work", "private: Zzqann"])
def test_a_kind_of_work_that_is_called_by_a_person_is_told_nobody(tmp_path: Path, who: str) -> None:
    """On no page and in no table; the job itself is, and other kinds of work are."""
    notes = {
        "place.md": f'---\nname: Gate\nzone: 6b\npeople: [{{name: Zzqann, does: ["{who}", digging]}}]\n---\n',
        "trees/a.md": "---\ntree: A\ncultivar: Bartlett\n---\n",
        "tasks/look.md": f'---\nname: Look\nwhen: Aug 28\neach: place\nwho: "{who}"\n---\n',
        "tasks/dig.md": "---\nname: Dig\nwhen: Aug 28\neach: place\nwho: digging\n---\n",
    }
    files = site_for(plan_of(write_notes(tmp_path, notes), 2027, AS_OF), "everybody")

    assert where(files, "Zzqann") == []
    assert {
        job["job"]: job["work"] for job in json.loads(files["plan.json"])["jobs"] if job["job"] in {"Look", "Dig"}
    } == {
        "Look": "",
        "Dig": "digging",
    }


def test_what_a_private_note_is_called_is_asked_about_where_prose_says_it(tmp_path: Path) -> None:
    """In the text of another note or the name of a job; not in what is taken out anyway, nor where it is a word."""
    notes = {
        "place.md": "---\nname: Gate\nzone: 6b\n---\nThe Old Hedge Pear is ours.\n",
        "trees/hidden.md": "---\ntree: HX-7\ncultivar: Old Hedge Pear\nprivate: yes\n---\nHX-7 is ours.\n",
        "trees/a.md": "---\ntree: A\ncultivar: Bartlett\nprivate: yes\n---\n",
        "trees/open.md": "---\ntree: B\nlimbs: [Bosc, Old Hedge Pear]\n---\nA pear.\n\nFour steps behind HX-7.\n",
        "cultivars/old.md": (
            "---\nname: Old Hedge Pear\nfruit: european-pear\nprivate: yes\n"
            "windows: [{pick: Sep 1, place: here}]\n---\n"
        ),
        "tasks/look.md": "---\nname: Look at HX-7\nwhen: Aug 28\neach: place\nwhy: [HX-7 is old]\n---\n",
        "tasks/wrap.md": "---\nname: Wrap it\nwhen: Aug 28\neach: place\nprivate: yes\n---\nOf HX-7.\n",
    }
    told = names_for_everybody(holding_of(write_notes(tmp_path, notes)))

    assert sorted((one.where.file, one.where.line, one.message) for one in told) == [
        ("place.md", 5, 'everybody would read "Old Hedge Pear"'),
        ("tasks/look.md", 2, 'everybody would read "HX-7"'),
        ("trees/open.md", 7, 'everybody would read "HX-7"'),
    ]
