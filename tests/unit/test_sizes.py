"""How much a build makes: counts and sizes for an orchard of forty trees, held so that they don't creep up."""

from __future__ import annotations

import sys
import tracemalloc
from collections.abc import Sequence
from datetime import date
from pathlib import Path

import pytest
from conftest import EXAMPLE

from firmripe.build import holding_of, plan_of
from firmripe.holding import pollination
from firmripe.holding.fruit import Cultivar, Event
from firmripe.plan import Plan
from firmripe.publish.pages import by_row, context, sheets
from firmripe.publish.pages.pollen import Pollen
from firmripe.publish.pages.store import Stores
from firmripe.publish.paths import Paths
from firmripe.publish.site import make_site
from firmripe.season import observing
from firmripe.season.explaining import explain
from firmripe.season.hindcast import hindcast
from firmripe.season.knowledge import Knowledge, Subject
from firmripe.season.model import Observation
from firmripe.season.season import SeasonModel
from firmripe.shipped import theme_folder

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "bench"))

from orchards import write_orchard


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    """Return the plan of forty trees without records, some weeks before harvest."""
    notes = tmp_path_factory.mktemp("orchard")
    write_orchard(notes, 40, "bare")
    return plan_of(notes, 2027, date(2027, 8, 20))


@pytest.fixture(scope="module")
def made(plan: Plan) -> dict[str, bytes]:
    """Return the site of these forty trees."""
    return make_site(plan, theme_folder())


def test_pages_of_forty_trees_fit_a_phone(made: dict[str, bytes]) -> None:
    """The front page weighs less than 60 kB and no page more than 150 kB."""
    pages = {path: len(data) for path, data in made.items() if path.endswith(".html")}

    assert pages["index.html"] < 60_000
    assert max(pages.values()) < 150_000


def test_pages_of_the_example_fit_a_phone_on_its_fullest_day() -> None:
    """In the midst of picking no page weighs 60 kB, nor the first visit with style, script and fonts 120."""
    made = make_site(plan_of(EXAMPLE, 2027, date(2027, 9, 20)), theme_folder())
    fonts = [path for path in made if path.endswith(".woff2")]
    first = ["index.html", "static/box-tag.css", "static/box-tag.js", "static/notes.js", *fonts]

    assert {path: len(data) for path, data in made.items() if path.endswith(".html") and len(data) >= 60_000} == {}
    assert sum(len(made[path]) for path in first) < 120_000


def test_files_grow_by_a_page_a_tree(made: dict[str, bytes]) -> None:
    """Forty trees of ten cultivars make one page each, and no more than 250 files beside those."""
    assert sum(path.startswith("trees/") for path in made) == 40
    assert len(made) < 290


def test_no_feed_is_longer_than_services_take(made: dict[str, bytes]) -> None:
    """Calendar services are reported to read no more than 1,000,000 octets."""
    assert all(len(data) < 1_000_000 for path, data in made.items() if path.endswith(".ics"))


def test_pages_that_tell_kind_by_kind_grow_with_the_kinds(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With trees too many to tell of each, twice the trees make no longer tables of the year, of fruit and of the past.

    What is longer are the parts of the orchard that a kind stands in, and figures.
    """
    monkeypatch.setattr(context, "MANY_CROPS", 10)
    sizes = []
    for trees in (20, 40):
        write_orchard(tmp_path / str(trees), trees)
        made = make_site(plan_of(tmp_path / str(trees), 2027, date(2027, 6, 20)), theme_folder())
        sizes.append({path: len(data) for path, data in made.items() if path.endswith(".html")})
    for theme in ("box-tag", "plain"):
        made = make_site(plan_of(tmp_path / "20", 2027, date(2027, 6, 20)), theme_folder(theme))
        told = {path for path, data in made.items() if b"So many trees are told here kind by kind" in data}
        assert {"year.html", "harvest.html", "store.html", "rooms.html", "review.html", "since.html"} & {
            *made
        } <= told, theme

    of_all = [
        "review.html",
        "since.html",
        "hindcast.html",
        "year.html",
        "fruits/apple.html",
        "fruits/european-pear.html",
    ]
    assert {path: sizes[1][path] - sizes[0][path] for path in of_all if sizes[1][path] > 1.05 * sizes[0][path]} == {}


def test_trees_of_a_kind_share_what_is_known_of_it(plan: Plan) -> None:
    """Forty trees that tell nothing of their own have the ten cultivars themselves, so each is looked up once."""
    assert len({id(limb) for tree in plan.holding.trees for limb in tree.limbs}) == 10


def test_who_serves_whom_is_asked_of_kinds_and_not_of_trees(plan: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ten kinds on forty trees are a hundred pairs, however many trees there are of each."""
    asked: list[tuple[str, str]] = []
    serves = pollination.serves

    def counted(giver: Cultivar, taker: Cultivar) -> pollination.Serves | None:
        asked.append((giver.key, taker.key))
        return serves(giver, taker)

    monkeypatch.setattr(pollination, "serves", counted)
    pollen = Pollen(plan)
    told = [pollen.of(bearing) for bearing in plan.season.bearings]

    assert sum(bool(lines) for lines in told) > 20
    assert 0 < len(asked) == len(set(asked)) <= 100


def test_what_is_known_of_dates_grows_with_the_trees_and_not_with_their_pairs(tmp_path: Path) -> None:
    """Four times the trees take four times the memory while their dates are worked out and explained, not sixteen."""
    peaks = []
    for trees in (30, 120):
        write_orchard(tmp_path / str(trees), trees)
        holding = holding_of(tmp_path / str(trees))
        model = SeasonModel(holding, holding.place.working_year(2027), date(2027, 6, 20))
        assert len(model.observations) == 21 * trees
        tracemalloc.start()
        season = model.season()
        assert len(explain(model, season)) == 3 * trees
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()

    assert peaks[1] < 4 * peaks[0]


def test_past_seasons_put_a_note_into_the_model_when_it_comes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """From one week to the next a tree's days on record are put anew only where it has a new line.

    So each tree's bloom and pick of ten years are put once for each later season, and for their own while it lasts.
    """
    write_orchard(tmp_path, 6)
    holding = holding_of(tmp_path)
    put = 0
    of_event = observing.of_event

    def counted(
        known: Knowledge, subject: Subject, event: Event, taught: Sequence[tuple[float, float]], first: int = 0
    ) -> list[Observation]:
        nonlocal put
        made = of_event(known, subject, event, taught, first)
        put += len(made)
        return made

    monkeypatch.setattr(observing, "of_event", counted)
    replays = hindcast(holding, holding.place.working_year(2027))

    assert len(replays) == 10 * 6 * 2
    assert 6 * 2 * sum(range(10)) < put <= 6 * 2 * sum(range(11))


def test_labels_of_many_trees_are_told_by_the_row(plan: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each tree has one label, no sheet has more than fit, rows of twenty stay whole, and each sheet is listed."""
    for most, counts in ((15, [15, 5, 15, 5]), (25, [20, 20]), (60, [40])):
        monkeypatch.setattr(by_row, "MOST_OF_PART", most)
        viewing = context.PageContext(plan, Paths(plan), "../", set())
        every = sheets.Sheets(viewing, Stores(viewing)).made(None)
        made = {sheet.path: sheet.view for sheet in every if isinstance(sheet.view, sheets.LabelSheet)}

        assert [len(view.labels) for view in made.values()] == counts
        assert len(made) == len(counts)
        assert {label.tag for view in made.values() for label in view.labels} == {t.tag for t in plan.holding.trees}
