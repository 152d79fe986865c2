"""What everybody may know is decided on the parts of what was worked out: a name that is also a word blanks no date."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
from conftest import write_notes
from msgspec.structs import replace

from firmripe.build import plan_of
from firmripe.calendar.because import FirstPickAlone, InStore, NextPickUnknown, PutOff
from firmripe.calendar.names import LaterPickings, OfCultivar
from firmripe.harvest.because import FruitOf, PickNotNoted
from firmripe.holding.figures import Cited, Figure, Mark
from firmripe.holding.fruit import Event
from firmripe.holding.reader import STRANGERS
from firmripe.holding.tree import Bearing
from firmripe.plan import Plan
from firmripe.problems import Where
from firmripe.publish.audience import plan_for
from firmripe.publish.hidden import Hidden
from firmripe.reading.fields import SHELF
from firmripe.season.because import (
    CropLost,
    EventOf,
    FixedByHand,
    FromOwnBloom,
    NoCrop,
    NotedOn,
    NothingSays,
    OwnWindows,
    PlacedWindow,
    SomethingNoted,
    UsualPickStated,
    Windows,
)
from firmripe.season.estimate import Estimate, Happens, NoDate
from firmripe.wording import words_of

AS_OF = date(2027, 8, 20)
PLACE = """---
latitude: 42 N
language: {language}
people: [{{name: May, household: Mayo}}, {{name: Rose}}, {{name: Flor, household: Agosto}}, {{name: "28"}}]
spaces: [{{name: Sep, temperature: 34 F, holds: 20 boxes}}, {{name: Bloom, temperature: 60 F}}]
---
"""
NOTES = {
    "trees/one.md": '---\ntree: "1"\ncultivar: Bartlett\nprivate: yes\n---\n',
    "trees/sign.md": '---\ntree: "A|1"\ncultivar: Bosc\nprivate: yes\n---\n',
    "trees/open.md": '---\ntree: "1-01"\ncultivar: Bartlett\ncrop: 80 lb\n---\n',
    "trees/fixed.md": (
        '---\ntree: "1-02"\ncultivar: Bosc\npinned: [{pick: 2027-09-28, because: Rose comes then}]\n---\n'
    ),
    "trees/none.md": "---\ntree: B\ncultivar: Comice\n---\n",
    "records/2027.csv": (
        "date,tree,what,amount,note\n2027-05-01,1-01,full bloom,,\n2027-08-18,1-01,first pick,60 lb,\n"
        "2027-06-02,B,no crop,,Flor saw frost\n"
    ),
}


def household(top: Path, language: str = "en") -> Plan:
    """Return the plan of a household whose names are also words of dates, numbers and signs."""
    return plan_of(write_notes(top, {**NOTES, "place.md": PLACE.format(language=language)}), 2027, AS_OF)


def dated(plan: Plan) -> dict[Happens, Estimate]:
    """Return all events of a plan that have a date."""
    return {happens: one for happens, one in plan.season.dates.items() if isinstance(one, Estimate)}


@pytest.fixture(scope="module")
def hidden(tmp_path_factory: pytest.TempPathFactory) -> Hidden:
    """Return what of that household is nobody else's business."""
    return Hidden(household(tmp_path_factory.mktemp("household")).holding)


def figure(text: str, file: str) -> Figure[str]:
    """Return a figure that stands in a file."""
    return Figure(value=text, text=text, cited=Cited(mark=Mark.OWN, source=None, page="", where=Where(file)))


@pytest.mark.parametrize(
    ("part", "told"),
    [
        # days, numbers, events and what is printed name nobody
        (NotedOn(date(2027, 5, 28), is_about=False), False),
        (FirstPickAlone(usual=1), False),
        (NothingSays(Event.FULL_BLOOM, "Comice"), False),
        (FromOwnBloom("28 days", date(2027, 5, 1)), False),
        (Windows((PlacedWindow("May 28 - Sep 1", "Geneva"),), is_own=False), False),
        (OwnWindows(("May 1 - Sep 28",)), False),
        (figure("Rose comes in May", f"{SHELF}cultivars/bosc.md"), False),
        # trees, by their tags and by nothing else
        (EventOf(Event.PICK, "Bartlett", "1-01", ""), False),
        (EventOf(Event.PICK, "Bartlett", "1", ""), True),
        (NextPickUnknown(tree="A|1"), True),
        (NextPickUnknown(tree="A|10"), False),
        (Bearing("1-01", "bartlett"), False),
        (Bearing("1", "bartlett"), True),
        # what the household wrote may name anybody
        (FixedByHand("Rose comes then"), True),
        (FixedByHand("beside the A|1"), True),
        (FixedByHand("private: a surprise"), True),
        (FixedByHand("call 555 010 0199"), True),
        (FixedByHand("the rosebed is sprayed"), False),
        (CropLost(date(2027, 5, 1), "hail"), False),
        (CropLost(date(2027, 5, 1), "hail, says Flor"), True),
        (UsualPickStated("Rose"), True),
        (LaterPickings(of=OfCultivar(limb="Comice")), False),
        (figure("as Rose does", "cultivars/bosc.md"), True),
        ({"B": (1, "none")}, False),
        ({"B": [("kept in", "Sep")]}, True),
    ],
    ids=lambda value: type(value).__name__ if not isinstance(value, bool) else str(value),
)
def test_what_tells_of_anything_hidden(hidden: Hidden, part: object, *, told: bool) -> None:
    """A person called May hides no month, a tree called 1 no number; what names them is hidden all the same."""
    assert hidden.tells(part) is told


@pytest.mark.parametrize("language", ["en", "es"])
def test_names_that_are_words_blank_no_reason(tmp_path: Path, language: str) -> None:
    """Every reason that the household is given of an open tree stands for everybody too, but those that name people."""
    plan = household(tmp_path, language)
    told = plan_for(plan, STRANGERS)
    tongue = plan.holding.place.tongue
    theirs = {h: [words_of(reason.why, tongue) for reason in one.reasons] for h, one in dated(told).items()}
    ours = {h: [words_of(reason.why, tongue) for reason in dated(plan)[h].reasons] for h in theirs}
    noted = words_of(SomethingNoted(), tongue)
    said = [word for words in theirs.values() for word in words]

    assert {h.bearing.tree for h in ours} == {"1-01", "1-02", "B"}
    changed = {h: words for h, words in theirs.items() if words != ours[h]}
    assert [(h.bearing.tree, h.event, words) for h, words in changed.items()] == [("1-02", Event.PICK, [noted])]
    assert any(re.search(r"\bmay(o)?\b", word, re.IGNORECASE) for word in said), "the month is there to be blanked"
    assert not any("Rose comes" in word for word in said)


@pytest.mark.parametrize("language", ["en", "es"])
def test_there_is_no_crop_for_everybody_without_who_saw_it(tmp_path: Path, language: str) -> None:
    """What was noted beside it goes, and why there is no date stays."""
    plan = household(tmp_path, language)
    told = plan_for(plan, STRANGERS)
    of = next(happens for happens in plan.season.dates if happens.bearing.tree == "B" and happens.event is Event.PICK)
    ours, theirs = plan.season.dates[of], told.season.dates[of]

    assert isinstance(ours, NoDate)
    assert isinstance(theirs, NoDate)
    assert (ours.reason, theirs.reason) == (NoCrop("Flor saw frost"), NoCrop(""))


def test_what_stands_against_a_job_names_no_hidden_tree(tmp_path: Path) -> None:
    """The day that it was put off from is told to everybody, and no tree that they don't know of."""
    plan = household(tmp_path)
    put_off = PutOff(day=date(2027, 5, 28))
    of_hidden = InStore(
        what=PickNotNoted(fruit=FruitOf(cultivar="bosc", name="Bosc", tree="A|1"), due=date(2027, 9, 1))
    )
    entries = tuple(replace(entry, held=(of_hidden, put_off)) for entry in plan.calendar.entries)
    told = plan_for(replace(plan, calendar=replace(plan.calendar, entries=entries)), STRANGERS)

    assert {entry.held for entry in told.calendar.entries} == {(put_off,)}
