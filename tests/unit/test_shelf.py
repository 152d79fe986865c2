"""The shelf as a whole: every figure has its mark and source, nothing is doubled, nothing is left over."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest
from msgspec import Struct
from msgspec.structs import replace

from firmripe.days import WorkingYear
from firmripe.harvest.following import follow
from firmripe.holding.figures import Cited, Figure, Mark
from firmripe.holding.fruit import Cultivar, Event, Fruit, Traits
from firmripe.holding.holding import Holding
from firmripe.holding.preserve import PutUp
from firmripe.holding.task import Stage
from firmripe.problems import Problems, folded
from firmripe.reading.folder import SHELF_NOTES, read_folder
from firmripe.reading.place import read_places, read_sources
from firmripe.reading.reader import read_holding
from firmripe.season.estimate import Estimate
from firmripe.season.season import SeasonModel
from firmripe.units import NEWTONS_PER_LBF, celsius

SHELF = Path(__file__).parents[2] / "content" / "reference"
SLATE_GROUND = "zone: 6b\nlatitude: 42.3 N\nelevation: 2,150 ft"
PEARS = {"european-pear", "asian-pear"}

VERBS = set(
    re.findall(
        r"\w+",
        "bag bring buy can check chill clean clear clip close collect count cut decide eat estimate expect freeze "
        "gather get graft guard lay let look measure mellow mind mulch net note pick plan protect prune pull put "
        "rebuild renew ripen save set shake sharpen soften sort start sweep take taste test thin try use wash "
        "watch weigh write",
    )
)
NO_DATE = re.compile(r"\bno (?:\w+ )?date\b", re.IGNORECASE)
SENTENCE_END = re.compile(r"(?<=[.!?])\s+(?=[A-Z\"'(])")


@pytest.fixture(scope="module")
def holding(tmp_path_factory: pytest.TempPathFactory) -> Holding:
    """Return the shelf below a household that has one tree of every cultivar on one piece of ground."""
    household = tmp_path_factory.mktemp("every-cultivar")
    (household / "trees").mkdir()
    (household / "place.md").write_text(f"---\n{SLATE_GROUND}\n---\n", encoding="utf-8")
    for note in (SHELF / "cultivars").glob("*.md"):
        tree = household / "trees" / note.name
        tree.write_text(f"---\ncultivar: {note.stem}\n---\n", encoding="utf-8")
    return read_holding(household, SHELF)


def cited_in(value: object) -> Iterator[Cited]:
    """Yield every citation below a value; a cultivar's own figures only, not those it leans on."""
    if isinstance(value, Cited):
        yield value
    elif isinstance(value, tuple):
        for item in value:
            yield from cited_in(item)
    elif isinstance(value, Struct):
        skipped = {"fruit", "traits"} if isinstance(value, Cultivar) else set()
        for field in value.__struct_fields__:
            if field not in skipped:
                yield from cited_in(getattr(value, field))


def all_entries(holding: Holding) -> list[object]:
    return [
        *holding.fruits.values(),
        *holding.cultivars.values(),
        *holding.tasks,
        *holding.preserves,
        holding.processes,
    ]


def own_traits(holding: Holding) -> list[tuple[str, Traits]]:
    fruits = [(fruit.key, fruit.traits) for fruit in holding.fruits.values()]
    return [*fruits, *((cultivar.key, cultivar.own) for cultivar in holding.cultivars.values())]


def figures_of(holding: Holding, *names: str) -> list[tuple[str, Figure[object]]]:
    """Return the figures that fruits and cultivars give for some traits, each with whose it is."""
    found: list[tuple[str, Figure[object]]] = []
    for key, traits in own_traits(holding):
        for name in names:
            value = getattr(traits, name)
            values: Iterable[Figure[object] | None] = value if isinstance(value, tuple) else (value,)
            found += [(key, figure) for figure in values if figure is not None]
    return found


def outside(figures: list[tuple[str, Figure[object]]], least: float, most: float) -> list[str]:
    """Return whose figures don't lie between two limits."""
    return [
        f"{key}: {figure.text}"
        for key, figure in figures
        if not least <= figure.value.low <= figure.value.high <= most  # type: ignore[attr-defined]
    ]


def bodies(*folders: str) -> dict[str, str]:
    """Return the text below the front matter of each note, by file."""
    return {
        f"{folder}/{note.name}": note.read_text(encoding="utf-8").split("\n---\n", 1)[1]
        for folder in folders
        for note in sorted((SHELF / folder).glob("*.md"))
    }


def sentences(body: str) -> list[str]:
    return [" ".join(part.split()) for part in SENTENCE_END.split(body) if part.strip()]


def test_reads_without_a_single_problem(holding: Holding) -> None:
    """The reader refuses a figure without mark or source, an unknown key and an unknown place: it finds none."""
    problems = Problems()
    shelf = read_folder(SHELF, "reference/", SHELF_NOTES, problems)
    read_places(shelf.single["places"], holding.sources, problems)
    problems.stop_if_any()
    assert len(holding.trees) == len(list((SHELF / "cultivars").glob("*.md")))


def test_every_figure_has_a_legal_mark_and_a_source_with_a_title(holding: Holding) -> None:
    """No figure of the shelf is the household's own word, and each names a work that a library could find."""
    cited = [one for entry in all_entries(holding) for one in cited_in(entry)]
    assert len(cited) > 2000
    assert {one.mark for one in cited} <= set(Mark) - {Mark.OWN}
    nameless = {one.source.key for one in cited if one.source and not (one.source.author and one.source.title)}
    assert not nameless
    assert all(one.source is not None for one in cited)


def test_memory_judgement_and_practice_never_pose_as_a_published_source(holding: Holding) -> None:
    """A figure read somewhere doesn't cite memory, and one from memory cites nothing it was not read in."""
    own_words = {"memory", "judgement"}
    cited = [one for entry in all_entries(holding) for one in cited_in(entry)]
    read = {Mark.READ, Mark.RELAYED, Mark.DERIVED}
    posing = [one.where for one in cited if one.mark in read and one.source and one.source.key in own_words]
    assert not posing
    plain = [one for one in cited if one.mark in {Mark.MEMORY, Mark.JUDGEMENT}]
    assert {one.source.key for one in plain if one.source} == own_words


def test_storage_limits_processes_and_acid_are_read_in_their_source(holding: Holding) -> None:
    """What keeps people well ships only where somebody read it: keeps, process and acid carry the mark R."""
    limits = [figure for _, figure in figures_of(holding, "keeps")]
    of_preserves = [
        figure
        for preserve in holding.preserves
        for figure in (preserve.keeps, preserve.process, preserve.acid)
        if figure is not None
    ]
    assert len(limits) > 25
    assert len(of_preserves) > 100
    assert {figure.cited.mark for figure in (*limits, *of_preserves)} == {Mark.READ}


def test_every_canner_names_its_process_and_page(holding: Holding) -> None:
    """A jar never goes on the shelf without a published process and the page where it stands."""
    canners = [preserve for preserve in holding.preserves if preserve.method is PutUp.CANNER]
    assert len(canners) >= 40
    for preserve in canners:
        assert preserve.process is not None, preserve.key
        assert preserve.process.cited.page, preserve.key
        assert preserve.process.cited.source is not None
        assert preserve.process.cited.source.key.startswith("usda-aib539"), preserve.key
        assert preserve.cautions, preserve.key


def test_nothing_that_is_no_canner_names_a_canning_process(holding: Holding) -> None:
    """Freezer, dryer and refrigerator need no process, and every one of them says how long it keeps."""
    others = [preserve for preserve in holding.preserves if preserve.method is not PutUp.CANNER]
    assert len(others) >= 30
    assert not [preserve.key for preserve in others if preserve.process is not None]
    assert not [preserve.key for preserve in others if preserve.keeps is None]


def test_days_lie_in_a_sane_range(holding: Holding) -> None:
    """A slip of a digit or of days for weeks would show here (limits are ours, wider than any figure read)."""
    assert not outside(figures_of(holding, "days_from_bloom"), 25, 215)
    assert not outside(figures_of(holding, "conditioning"), 0, 84)
    assert not outside(figures_of(holding, "counter"), 0, 56)
    assert not outside([one for one in figures_of(holding, "keeps") if one[0] != "walnut"], 2, 240)
    assert not outside(figures_of(holding, "keeps"), 2, 365)
    assert not outside(figures_of(holding, "keeps_ripe"), 1, 14)
    assert not outside(figures_of(holding, "pass_interval"), 1, 10)
    assert not outside(figures_of(holding, "passes"), 1, 4)
    finished = [("", preserve.keeps) for preserve in holding.preserves if preserve.keeps]
    assert not outside(finished, 28, 365)  # type: ignore[arg-type]


def test_firmness_lies_in_a_sane_range_and_falls_while_ripening(holding: Holding) -> None:
    """Firmness is in newtons inside, so a forgotten conversion would leave the range of a fruit tester."""
    picked = figures_of(holding, "firmness_at_pick")
    assert not outside(picked, 5 * NEWTONS_PER_LBF, 20 * NEWTONS_PER_LBF)
    assert not outside(figures_of(holding, "firmness_when_ready"), 1.9 * NEWTONS_PER_LBF, 10 * NEWTONS_PER_LBF)
    both = [t for _, t in own_traits(holding) if t.firmness_at_pick and t.firmness_when_ready]
    assert len(both) >= 8
    for traits in both:
        assert traits.firmness_at_pick is not None
        assert traits.firmness_when_ready is not None
        assert traits.firmness_when_ready.value.high < traits.firmness_at_pick.value.low


def test_temperatures_belong_to_a_store_or_a_room(holding: Holding) -> None:
    """Cold days are counted in the cold and counter days in a room; ripening fails well above either."""
    for key, figure in figures_of(holding, "conditioning"):
        assert figure.at_c is not None, key
        assert celsius(29) <= figure.at_c.low <= figure.at_c.high <= celsius(60), key
    for key, figure in figures_of(holding, "counter"):
        assert figure.at_c is None or celsius(59) <= figure.at_c.low <= figure.at_c.high <= celsius(77), key
    for key, figure in figures_of(holding, "keeps"):
        assert figure.at_c is None or celsius(28) <= figure.at_c.low <= figure.at_c.high <= celsius(61), key
    assert not outside(figures_of(holding, "too_warm"), celsius(68), celsius(90))


def test_windows_and_offsets_lie_in_a_sane_range(holding: Holding) -> None:
    """No stretch is longer than a season, and no offset carries a cultivar past its fruit's own."""
    for key, traits in own_traits(holding):
        for window in traits.windows:
            year = WorkingYear(year=2027, hemisphere=window.written_for)
            first = year.place_day(window.stretch.first, window.written_for)
            last = year.place_day(window.stretch.last, window.written_for)
            assert 0 <= (last - first).days <= 155, (key, window.text)
            assert window.ground.latitude is not None, (key, window.place_name)
            assert 25 <= abs(window.ground.latitude) <= 62, (key, window.place_name)
            assert window.ground.longitude is not None, (key, window.place_name)
            on_the_map = window.ground.longitude < -50 and window.ground.latitude > 0  # North America
            abroad = not on_the_map or "Columbia" in window.place_name
            assert abroad or window.ground.zone is not None, (key, window.place_name)
            assert window.ground.elevation_m is not None, (key, window.place_name)
            assert -10 <= window.ground.elevation_m <= 1900, (key, window.place_name)
        assert traits.offset is None or -60 <= traits.offset.days <= 60, key


def test_stages_of_every_dated_cultivar_stand_in_order(holding: Holding) -> None:
    """Alone on the ground, each cultivar blooms, is picked, is conditioned, is ready and is used up, in that order."""
    year = WorkingYear(year=2027)
    order = (Stage.PICK, Stage.CONDITIONED, Stage.TAKE_OUT, Stage.READY, Stage.USE_BY)
    blooms = picks = 0
    for tree in holding.trees:
        season = SeasonModel(replace(holding, trees=(tree,)), year, year.first).season()
        lots = follow(season)
        for bearing in season.bearings:
            pick, bloom = season.of(bearing, Event.PICK), season.of(bearing, Event.FULL_BLOOM)
            if not isinstance(pick, Estimate):
                continue
            picks += 1
            if isinstance(bloom, Estimate):
                blooms += 1
                assert bloom.likely < pick.likely, bearing
            days = lots[bearing].days
            likely = [days[stage].likely for stage in order if stage in days]
            assert likely == sorted(likely), bearing
            for reach in days.values():
                assert reach.earliest <= reach.likely <= reach.latest, bearing
    assert picks > 180
    assert blooms > 100


def test_cold_days_end_before_the_storage_limit(holding: Holding) -> None:
    """No cultivar needs more days in the cold than it may be kept there."""
    both = [c for c in holding.cultivars.values() if c.own.conditioning and c.own.keeps]
    assert len(both) >= 5
    for cultivar in both:
        assert cultivar.own.keeps is not None
        longest = max(figure.value.high for figure in cultivar.own.conditioning)
        assert longest < cultivar.own.keeps.value.high, cultivar.key


def test_no_two_entries_share_a_name(holding: Holding) -> None:
    """A name or alias, without capitals and marks, leads to one cultivar or one fruit and never to both."""
    owners: defaultdict[str, set[str]] = defaultdict(set)
    things: list[Fruit | Cultivar] = [*holding.fruits.values(), *holding.cultivars.values()]
    for thing in things:
        for name in (thing.key, thing.name, *thing.also):
            owners[folded(name)].add(f"{type(thing).__name__} {thing.key}")
    assert not {name: keys for name, keys in owners.items() if len(keys) > 1}


def test_no_two_tasks_and_no_two_preserves_share_a_name(holding: Holding) -> None:
    """Two jobs or two products of one name could not be told apart on a page."""
    names = Counter(folded(task.name) for task in holding.tasks)
    products = Counter(folded(preserve.name) for preserve in holding.preserves)
    assert not [name for name, count in (names + products).items() if count > 1]


def test_every_source_is_used(holding: Holding) -> None:
    """sources.md holds what the shelf cites and no more."""
    problems = Problems()
    shelf = read_folder(SHELF, "reference/", SHELF_NOTES, problems)
    places = read_places(shelf.single["places"], holding.sources, problems)
    entries = (*all_entries(holding), *places.values())
    used = {one.source.key for entry in entries for one in cited_in(entry) if one.source}
    assert set(holding.sources) - used - set(holding.stations.sources) == set()


def test_the_stations_that_ship_name_their_sources(holding: Holding) -> None:
    """Whose temperatures they are stands among the sources, with a title."""
    assert len(holding.stations) > 3000
    assert all(holding.sources[key].title for key in holding.stations.sources)


def test_every_place_has_its_longitude() -> None:
    """A place is found among the weather stations by latitude and longitude; zones of one place agree with both."""
    problems = Problems()
    shelf = read_folder(SHELF, "reference/", SHELF_NOTES, problems)
    sources = read_sources(shelf.single["sources"], problems)
    places = read_places(shelf.single["places"], sources, problems)
    assert not [place.key for place in places.values() if place.latitude is None or place.longitude is None]


def test_every_place_is_used(holding: Holding) -> None:
    """places.md holds the places that dates come from and no more."""
    shelf = read_folder(SHELF, "reference/", SHELF_NOTES, Problems())
    places = read_places(shelf.single["places"], holding.sources, Problems())
    used = {window.place_name for _, traits in own_traits(holding) for window in traits.windows}
    names = [place.name for place in places.values()]
    assert len(names) == len(set(names))
    assert set(names) - used == set()


def test_every_place_says_which_zone_map_it_means(holding: Holding) -> None:
    """Maps of different years put one place into different half zones, so a zone without its map says little."""
    shelf = read_folder(SHELF, "reference/", SHELF_NOTES, Problems())
    places = read_places(shelf.single["places"], holding.sources, Problems())
    assert len(places) >= 70
    assert {place.zone_map for place in places.values() if place.zone} <= {"1990", "2012", "2023"}


def test_a_cultivar_without_a_date_says_so(holding: Holding) -> None:
    """Every cultivar has a dated place, an offset or days from bloom, or its text says that no date was found."""
    undated = [cultivar for cultivar in holding.cultivars.values() if cultivar.dates_lean]
    assert 0 < len(undated) < len(holding.cultivars) / 3
    assert not [cultivar.key for cultivar in undated if not NO_DATE.search(cultivar.text)]


def test_a_cultivar_with_a_date_does_not_say_it_has_none(holding: Holding) -> None:
    """The text that says no date was found stands only where none stands above it."""
    dated = [cultivar for cultivar in holding.cultivars.values() if cultivar.own.windows]
    assert len(dated) > 100
    assert not [cultivar.key for cultivar in dated if NO_DATE.search(cultivar.text)]


def test_the_shelf_is_wide_enough(holding: Holding) -> None:
    """At least 24 fruits, 90 cultivars of which 25 are pears, and 60 tasks."""
    pears = [c for c in holding.cultivars.values() if c.fruit and c.fruit.key in PEARS]
    assert len(holding.fruits) >= 24
    assert len(holding.cultivars) >= 90
    assert len(pears) >= 25
    assert len(holding.tasks) >= 60


def test_every_fruit_has_a_dated_pick_signs_and_a_text(holding: Holding) -> None:
    """A tree of an unknown kind still gets a date, a test to go by and a page that says something."""
    for fruit in holding.fruits.values():
        assert any(window.event is Event.PICK for window in fruit.traits.windows), fruit.key
        assert fruit.traits.signs, fruit.key
        assert fruit.traits.ripens_off_the_tree is not None, fruit.key
        assert fruit.text.strip(), fruit.key


def test_a_test_for_hybrids_is_made_of_hybrids_alone(holding: Holding) -> None:
    """What holds for the pears of the South stands with each of them, and with none whose note knows of no hybrid."""
    cultivars = holding.cultivars.values()
    assert not [
        fruit.key for fruit in holding.fruits.values() for s in fruit.traits.signs if "hybrid" in s.text.lower()
    ]
    tested = {limb.key for limb in cultivars for sign in limb.traits.signs if "softball" in sign.text}
    hybrids = {
        limb.key for limb in cultivars if limb.fruit == holding.fruits["european-pear"] and "hybrid" in limb.text
    }
    assert hybrids
    assert hybrids <= tested
    assert "seckel" not in tested


def test_every_cultivar_has_a_fruit_and_a_text(holding: Holding) -> None:
    """No cultivar stands alone, and none is a bare table."""
    for cultivar in holding.cultivars.values():
        assert cultivar.fruit is not None, cultivar.key
        assert len(cultivar.text.split()) >= 6, cultivar.key


def test_task_names_begin_with_a_verb(holding: Holding) -> None:
    """A calendar line is a thing to do, so it begins with what to do."""
    assert not [task.name for task in holding.tasks if task.name.split()[0].casefold() not in VERBS]


def test_every_task_says_why_and_what_to_look_for(holding: Holding) -> None:
    """Whoever did not write the plan can do the job from its entry."""
    assert not [task.key for task in holding.tasks if not task.why or not task.look_for or not task.who]


def test_no_sentence_stands_in_two_notes() -> None:
    """What holds for several cultivars or jobs is said once, where they meet."""
    files: defaultdict[str, set[str]] = defaultdict(set)
    for file, body in bodies("fruits", "cultivars", "tasks").items():
        for sentence in sentences(body):
            files[sentence].add(file)
    assert len(files) > 500
    assert not {sentence: found for sentence, found in files.items() if len(found) > 1}


def test_no_two_preserves_have_the_same_text() -> None:
    """The printed steps of canning are worded alike wherever they are the same, but no two products are."""
    texts = Counter(" ".join(body.split()) for body in bodies("preserves").values())
    assert len(texts) > 90
    assert max(texts.values()) == 1


def test_spelling_is_one_on_the_whole_shelf() -> None:
    """The shelf writes color, flavor and mold, as its readers do."""
    british = re.compile(r"\w*(?:colour|flavour|odour|mould|neighbour)\w*", re.IGNORECASE)
    notes = sorted(SHELF.rglob("*.md"))
    found = {note.name: british.findall(note.read_text(encoding="utf-8")) for note in notes}
    assert len(notes) > 400
    assert not {name: words for name, words in found.items() if words}
