"""What a household has nothing to do with stays off its pages, jobs and calendars; what was recorded holds."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from datetime import date, timedelta
from pathlib import Path

import pytest
from kitchen_notes import QUARTS, SATURDAYS
from season_notes import estimate, no_date

from firmripe.build import check_notes
from firmripe.calendar.entry import Entry
from firmripe.gathering import likeliest
from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.holding.matter import Matter
from firmripe.holding.place import USUAL_THEME
from firmripe.holding.record import Happening
from firmripe.holding.task import Stage
from firmripe.plan import Plan, make_plan
from firmripe.problems import FaultyNotes
from firmripe.publish.site import make_site
from firmripe.reading.reader import read_holding, read_known
from firmripe.reading.warnings import warnings_of
from firmripe.season.because import EventOf, NotThere
from firmripe.shipped import shelf_folder, theme_folder
from firmripe.tongue import IN_ENGLISH
from firmripe.wording import words_of
from firmripe.wording.calendar import beside_job

ALL = ", ".join(matter.value for matter in Matter)
DAY = date(2027, 3, 1)
OWN_TASK = "---\nname: Saturday table\nabout: selling\neach: place\nwhen: pick\n---\n"


def notes(*lines: str) -> dict[str, str]:
    """Return a household of a pear, a peach and a kiwifruit, with a job of its own that is about selling."""
    ground = ["zone: 7b", "latitude: 42 N", "longitude: 72 W", "elevation: 200 m", "first frost: Oct 8"]
    return {
        "place.md": "\n".join(["---", *ground, *lines, "---", ""]),
        "trees/P.md": "---\ncultivar: Bartlett\n---\n",
        "trees/Q.md": "---\ncultivar: Redhaven\n---\n",
        "trees/K.md": "---\ncultivar: Hayward\n---\n",
        "tasks/saturday-table.md": OWN_TASK,
    }


def written(top: Path, files: Mapping[str, str]) -> Path:
    """Write notes into a folder."""
    for name, text in files.items():
        (top / name).parent.mkdir(parents=True, exist_ok=True)
        (top / name).write_text(text, encoding="utf-8")
    return top


@pytest.fixture(scope="module")
def plan_without(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Plan]:
    """Return a function from matters to the plan of a household that has nothing to do with them; each made once."""
    made: dict[str, Plan] = {}

    def plan(matters: str) -> Plan:
        if matters not in made:
            told = [f"without: [{matters}]"] if matters else []
            folder = written(tmp_path_factory.mktemp("without"), notes(*told))
            made[matters] = make_plan(read_holding(folder, shelf_folder()), 2027, DAY)
        return made[matters]

    return plan


def jobs(entries: tuple[Entry, ...]) -> Counter[tuple[str, str, str]]:
    """Count the entries by their task, subject and first day."""
    return Counter((entry.task.key, entry.subject, entry.span.first.isoformat()) for entry in entries)


@pytest.mark.parametrize("matter", Matter)
def test_one_switch_takes_the_jobs_of_one_matter_and_no_others(
    matter: Matter, plan_without: Callable[[str], Plan]
) -> None:
    """Its jobs go, each of the others stays on its day; what can't go into jars is frozen or dried."""
    usual, without = plan_without("").calendar.entries, plan_without(matter.value).calendar.entries
    gone, come = jobs(usual) - jobs(without), jobs(without) - jobs(usual)

    assert gone == jobs(tuple(entry for entry in usual if entry.task.about is matter))
    assert gone
    assert {key for key, _, _ in come} == ({"freeze-or-dry"} if matter is Matter.CANNING else set())


def test_nothing_waits_for_a_day_that_only_switched_off_jobs_need(tmp_path: Path) -> None:
    """Without frost nobody is asked when the first one is."""
    files = {**notes("without: [frost]"), "trees/Q.md": "---\ncultivar: Redhaven\n---\n"}
    files["place.md"] = files["place.md"].replace("first frost: Oct 8\n", "")
    plan = make_plan(read_holding(written(tmp_path, files), shelf_folder()), 2027, DAY)

    assert "first frost" not in {words_of(item.what, IN_ENGLISH) for item in plan.calendar.undated}


def test_pages_and_calendars_speak_of_none_of_them(plan_without: Callable[[str], Plan]) -> None:
    """No job, list of jars, partner or line to note is left where all five are switched off."""
    usual, without = (make_site(plan_without(matters), theme_folder(USUAL_THEME)) for matters in ("", ALL))
    words = (b"Pollinated by", b"published process", b"jobs/watch-frost-in-bloom.html", b"jobs/put-up.html")

    for word in (*words, b"jobs/note-sprays.html", b"jobs/saturday-table.html"):
        assert any(word in data for path, data in usual.items() if path.endswith(".html")), word
        assert [path for path, data in without.items() if path.endswith(".html") and word in data] == []
    assert b'value="spray"' in usual["note.html"]
    assert b'value="spray"' not in without["note.html"]
    assert b"Buy lids" in usual["feeds/reminders.ics"]
    assert b"Buy lids" not in without["feeds/reminders.ics"]


def test_a_recorded_spray_and_cautions_of_other_jobs_are_never_switched_off(tmp_path: Path) -> None:
    """The label moves the pick, the re-entry time closes the trees, and the ladder is warned of."""
    spray = 'date,tree,what,amount,note\n2027-08-20,P,spray,"21 days, re-entry 72 hours",\n'
    plans = []
    for told in ("units: US", f"without: [{ALL}]"):
        files = {**notes(told), "records/2027.csv": spray}
        holding = read_holding(written(tmp_path / told[:5], files), shelf_folder())
        plans.append(make_plan(holding, 2027, date(2027, 8, 20)))
    usual, without = plans
    kept = {entry.task.key for entry in without.calendar.entries}
    of_usual = [entry for entry in usual.calendar.entries if entry.task.key in kept and entry.task.about is None]
    of_without = [entry for entry in without.calendar.entries if entry.task.key != "freeze-or-dry"]

    for ours, theirs in zip(of_without, [e for e in of_usual if e.task.key != "freeze-or-dry"], strict=True):
        assert (ours.task.key, ours.days, beside_job(IN_ENGLISH, ours)) == (
            theirs.task.key,
            theirs.days,
            beside_job(IN_ENGLISH, theirs),
        )
        assert ours.task.cautions == theirs.task.cautions
    assert any("The label is the law" in beside_job(IN_ENGLISH, entry) for entry in of_without)
    assert any("nobody goes" in beside_job(IN_ENGLISH, entry).casefold() for entry in of_without)


def test_what_is_wanted_in_jars_is_asked_about_where_nothing_is_canned(tmp_path: Path) -> None:
    """A want that the switch takes out of the plan is told with its line, and the build goes on."""
    kitchen = ["kitchens: [{name: upper kitchen, elevation: 2150 ft}]", SATURDAYS, QUARTS, "without: canning"]
    found = check_notes(written(tmp_path, notes(*kitchen)), DAY)

    assert found.problems == ()
    assert any(
        w.where.line == 9 and "Pear halves in jars: wanted, and place.md says without: canning" in w.message
        for w in found.warnings
    )


def test_a_stand_and_no_selling_contradict_each_other(holding_of: Callable[..., Holding]) -> None:
    """One of the two is to be taken out; a matter that is not known is told with those that are."""
    with pytest.raises(FaultyNotes) as stopped:
        holding_of(notes("farm stand: yes", "without: [selling, cannning]"))
    said = {problem.message: problem.hint for problem in stopped.value.problems}

    assert said["a farm stand is told of, and that nothing is sold"] == "take out one of the two keys"
    assert said['"cannning" is not known here'] == 'did you mean "canning"?'


@pytest.mark.parametrize("day", [date(2027, 3, 1), date(2027, 8, 25), date(2027, 12, 30)])
def test_a_single_tree_makes_few_pages_and_entries(day: date, tmp_path: Path) -> None:
    """At most twenty pages, and fifteen entries to come in its calendar."""
    files = {name: text for name, text in notes().items() if name in {"place.md", "trees/P.md"}}
    site = make_site(
        make_plan(read_holding(written(tmp_path, files), shelf_folder()), 2027, day), theme_folder(USUAL_THEME)
    )

    assert sum(path.endswith(".html") for path in site) <= 20
    assert site["feeds/reminders.ics"].count(b"BEGIN:VEVENT") <= 15


PASSES = """date,tree,what,amount,note
2026-05-02,P,full bloom,,
2026-08-22,P,pick,24 lb,good
2027-05-02,P,full bloom,,
2027-08-22,P,first pick,24 lb,
2027-08-22,P,stored,,cellar
"""


def test_a_single_tree_makes_few_pages_while_it_is_picked(tmp_path: Path) -> None:
    """With fruit in the cold, a second picking to come and a season to look back on it has the most on its pages."""
    cold = "spaces: [{name: cellar, temperature: 38 F, holds: 20 boxes}, {name: kitchen, temperature: 68 F}]"
    files = {
        "place.md": notes(cold)["place.md"],
        "trees/P.md": "---\ncultivar: Bartlett\ncrop: 60 lb\npicks: every 7 days, Aug 22 - Aug 30\n---\n",
        "records/all.csv": PASSES,
    }
    plan = make_plan(read_holding(written(tmp_path, files), shelf_folder()), 2027, date(2027, 8, 24))
    site = make_site(plan, theme_folder(USUAL_THEME))

    assert "sheets/picking.html" in site
    assert "sheets/tags.html" in site
    assert sum(path.endswith(".html") for path in site) <= 20
    assert site["feeds/reminders.ics"].count(b"BEGIN:VEVENT") <= 15
    for page, place in (("store.html", "rooms"), ("review.html", "since"), ("review.html", "hindcast")):
        assert f' id="{place}"' in site[page].decode()
    assert "holds 20 boxes" in site["store.html"].decode()


# Bloom that nobody sees

HEAD = "date,tree,crop,what,amount"
FIG = {
    "place.md": "---\nname: Home\nzone: 9b\nlatitude: 38.5 N\nlongitude: 121.5 W\nelevation: 10 m\n---\n",
    "trees/9-01.md": "---\ncultivar: Brown Turkey\n---\n",
}
PICKED = {"records/all.csv": f"{HEAD}\n2025-08-20,9-01,main,first pick,6 lb\n2026-08-24,9-01,main,first pick,8 lb\n"}
CROPS = ("breba", "main")


@pytest.fixture
def figs(plan_of: Callable[..., Plan]) -> Callable[[Mapping[str, str]], Plan]:
    """Return the plan of a fig tree over the whole shelf, with these notes more."""
    return lambda more: plan_of({**FIG, **more}, 2027, DAY, shelf_folder())


def test_these_fruits_of_the_shelf_show_no_bloom_and_print_none() -> None:
    """Figs flower inside, and nobody dates catkins; a window of bloom beside it would say the opposite."""
    known = read_known(None, shelf_folder())
    unseen = [one for one in known.cultivars.values() if one.blooms_unseen]
    assert {one.fruit.key for one in unseen if one.fruit} == {"fig", "hazelnut", "walnut"}
    assert not [w for one in unseen for w in one.traits.windows if w.event is Event.FULL_BLOOM]


def test_a_fig_has_a_pick_and_no_bloom_to_ask_for(figs: Callable[..., Plan]) -> None:
    """Its picks are dated; nothing without a date and no job is of a bloom."""
    of = figs({})
    for crop in CROPS:
        assert estimate(of.season, "9-01", "brown-turkey", crop=crop)
        assert no_date(of.season, "9-01", "brown-turkey", Event.FULL_BLOOM, crop).reason is NotThere.UNSEEN
    undated = [one.what for one in of.calendar.undated]
    assert not [what for what in undated if isinstance(what, EventOf)]
    anchors = {stage.stage for e in of.calendar.entries for stage in (e.task.when, e.task.until) if stage}
    assert not anchors & {Stage.FULL_BLOOM, Stage.PETAL_FALL}


@pytest.mark.parametrize("more", [{}, PICKED])
def test_no_page_speaks_of_its_bloom(figs: Callable[..., Plan], more: Mapping[str, str]) -> None:
    """Week, year, its tree and the review say nothing of a full bloom that none has."""
    site = make_site(figs(more), theme_folder())
    pages = [name for name in site if name.endswith(".html") and name.startswith(("index", "year", "review", "trees/"))]
    assert any("year" in name for name in pages)
    assert any("9-01" in name for name in pages)
    assert ("review.html" in site) is bool(more)
    for name in pages:
        text = site[name].decode().casefold()
        assert "bloom of brown turkey" not in text, name
        assert "bloom of tree" not in text, name
        assert 'class="bloom' not in text, name


def test_a_bloom_that_the_household_notes_is_taken(figs: Callable[..., Plan]) -> None:
    """The first figs as large as a pea, if they like: that day counts, and jobs hang on it."""
    plain = estimate(figs({}).season, "9-01", "brown-turkey", crop="main")
    of = figs({"records/all.csv": f"{HEAD}\n2026-05-10,9-01,main,full bloom,\n2027-02-20,9-01,main,full bloom,\n"})
    bloom = estimate(of.season, "9-01", "brown-turkey", Event.FULL_BLOOM, "main")
    assert (bloom.likely, bloom.is_past) == (date(2027, 2, 20), True)
    assert estimate(of.season, "9-01", "brown-turkey", crop="main").likely < plain.likely - timedelta(days=3)


def test_a_cultivar_may_show_what_its_fruit_does_not(holding_of: Callable[..., Holding]) -> None:
    """A household's own word goes before the shelf's, either way."""
    own = {
        "cultivars/seen.md": "---\nname: Seen\nfruit: fig\nshows bloom: yes\n---\n",
        "cultivars/green.md": "---\nname: Green\nfruit: apple\nshows bloom: no\n---\n",
        "trees/2.md": "---\nlimbs: [Seen, Brown Turkey]\n---\n",
        "trees/3.md": "---\ncultivar: Green\n---\n",
    }
    holding = holding_of({**FIG, **own}, shelf_folder())
    assert [holding.tree(tag).blooms_unseen for tag in ("9-01", "2", "3")] == [True, False, True]


def test_nobody_is_told_to_note_its_bloom(holding_of: Callable[..., Holding]) -> None:
    """Neither by a warning after years of records nor where the next line is offered."""
    records = {"records/all.csv": f"{HEAD}\n2022-08-20,9-01,main,first pick,6 lb\n"}
    holding = holding_of({**FIG, **records}, shelf_folder())
    assert not [one for one in warnings_of(holding, DAY) if "bloom" in one.message]
    assert likeliest(holding, "9-01", DAY) is Happening.FIRST_PICK
    assert words_of(NotThere.UNSEEN, IN_ENGLISH) == "nobody sees it bloom"
