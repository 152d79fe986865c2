"""A household's notes over the shelf's, key by key, and what a tree's note needs."""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from firmripe.days import DayCount, Hemisphere
from firmripe.holding.figures import Mark
from firmripe.holding.holding import Holding
from firmripe.holding.preserve import Preserve
from firmripe.problems import FaultyNotes
from firmripe.units import parse_zone

Reading = Callable[[Mapping[str, str]], Holding]

SMALL_SHELF = Path(__file__).resolve().parent.parent / "shelf_small"
JARS = ("fruits: [pear]", "method: boiling-water canner", 'process: "pears, halved, hot pack"')


@pytest.fixture
def read(holding_of: Callable[..., Holding]) -> Reading:
    """Return a function from notes by name to a holding over the small shelf."""
    return functools.partial(holding_of, shelf=SMALL_SHELF)


def note(*front: str, body: str = "") -> str:
    return "\n".join(["---", *front, "---", body])


def with_tree(files: Mapping[str, str] | None = None, tree: str = "cultivar: Bartlett") -> dict[str, str]:
    """Return one tree and other notes."""
    return {"trees/1-01.md": note(tree), **(files or {})}


def messages(read: Reading, files: Mapping[str, str]) -> list[str]:
    """Return what is told of these notes."""
    with pytest.raises(FaultyNotes) as raised:
        read(files)
    return [problem.message for problem in raised.value.problems]


def preserve(holding: Holding, key: str) -> Preserve:
    (found,) = [item for item in holding.preserves if item.key == key]
    return found


@pytest.mark.parametrize("file", ["bartlett", "Bartlett", "BARTLETT"])
def test_a_household_changes_one_key_and_keeps_the_rest(read: Reading, file: str) -> None:
    """However it writes the file's name in capitals."""
    holding = read(with_tree({f"cultivars/{file}.md": note("counter: 4 days", body="Ours are quick.")}))
    bartlett = holding.cultivars["bartlett"]
    assert bartlett.own.counter is not None
    assert bartlett.own.counter.cited.mark is Mark.OWN
    assert (bartlett.own.counter.text, bartlett.text) == ("4 days", "Ours are quick.")
    assert (bartlett.name, bartlett.also, len(bartlett.own.windows)) == ("Bartlett", ("Williams",), 1)
    assert [cultivar.key for cultivar in holding.cultivars.values()].count("bartlett") == 1


def test_a_list_is_replaced_and_not_added_to(read: Reading) -> None:
    """A household's own dates stand in place of the shelf's."""
    own = note("windows:", "  - {pick: Aug 31, place: here}", "  - {bloom: May 8, place: here}")
    bartlett = read(with_tree({"cultivars/bartlett.md": own})).cultivars["bartlett"]
    assert [window.text for window in bartlett.own.windows] == ["Aug 31", "May 8"]


def test_the_shelfs_text_stays_where_a_household_writes_none(read: Reading) -> None:
    """Front matter alone does not wipe a page."""
    files = with_tree({"fruits/european-pear.md": note("also: [pear, lane pear]")})
    assert read(files).fruits["european-pear"].also == ("pear", "lane pear")
    assert read(files).fruits["european-pear"].name == "European pear"


def test_a_cultivar_leans_on_its_fruit_where_it_says_nothing(read: Reading) -> None:
    """Its own word goes first."""
    files = {"fruits/european-pear.md": note("counter: 6 days"), "cultivars/bosc.md": note("counter: 8 days")}
    cultivars = read(with_tree(files)).cultivars
    counters = [cultivars[key].traits.counter for key in ("bartlett", "bosc")]
    assert [counter.text for counter in counters if counter] == ["6 days", "8 days"]
    assert cultivars["bartlett"].own.counter is None


def test_facts_and_cautions_of_cultivar_and_fruit_add_up(read: Reading) -> None:
    """A warning about the fruit holds for each of its cultivars."""
    files = {"fruits/european-pear.md": note("cautions: a"), "cultivars/bosc.md": note("cautions: b")}
    assert [figure.text for figure in read(with_tree(files)).cultivars["bosc"].traits.cautions] == ["b", "a"]


def test_a_cultivar_with_a_date_of_its_own_takes_none_of_its_fruit(read: Reading) -> None:
    """Dates don't lean part by part."""
    files = {"fruits/european-pear.md": note("windows: {bloom: May 1, zone: 6b}", "days from bloom: 130 days")}
    cultivars = read(with_tree({**files, "cultivars/winnal.md": note("fruit: pear")})).cultivars
    assert (len(cultivars["bosc"].traits.windows), cultivars["bosc"].dates_lean) == (0, False)
    assert (len(cultivars["winnal"].traits.windows), cultivars["winnal"].dates_lean) == (1, True)


@pytest.mark.parametrize(("keeps", "days"), [("2 months", 60), ("90 days", 90), ("4 weeks", 28)])
def test_a_household_may_shorten_how_long_fruit_keeps(read: Reading, keeps: str, days: int) -> None:
    """Or say the same in another unit."""
    found = read(with_tree({"cultivars/bartlett.md": note(f"keeps: {keeps}")})).cultivars["bartlett"].own.keeps
    assert found is not None
    assert found.value == DayCount(low=days, high=days)


@pytest.mark.parametrize("keeps", ["91 days", "2-4 months", "{value: 1 year, at: 31 F}"])
def test_a_household_may_not_lengthen_how_long_fruit_keeps(read: Reading, keeps: str) -> None:
    """The longest of a range counts."""
    (message,) = messages(read, with_tree({"cultivars/bartlett.md": note(f"keeps: {keeps}")}))
    assert message.endswith("is longer than the published limit of 3 months")


def test_words_and_cautions_of_a_household_come_beside_the_published_ones(read: Reading) -> None:
    """A note over one of the shelf keeps its process and its cautions, and adds what it says."""
    files = with_tree({"preserves/pear-halves.md": note("cautions: mind the step", "takes: 16 lb for 7 quarts")})
    jars = preserve(read(files), "pear-halves")
    assert jars.process is not None
    assert jars.process.cited.mark is Mark.READ
    assert [caution.text for caution in jars.cautions] == ["mind the step", "Use this tested process only."]
    assert [figure.text for figure in jars.takes] == ["16 lb for 7 quarts"]


BORROWED = "a canning process is published for its own product, and not for another"


@pytest.mark.parametrize("front", [JARS[:2], JARS, (*JARS[:2], "process: grandmother's"), ("fruits: [fig]", *JARS[1:])])
def test_a_household_can_not_give_its_own_product_a_canning_process(read: Reading, front: tuple[str, ...]) -> None:
    """Neither one that is published for another product, nor one of its own."""
    assert messages(read, with_tree({"preserves/our-jars.md": note(*front)})) == [BORROWED]


@pytest.mark.parametrize("line", ["fruits: [fig]", "name: Lane pears", "method: freezer", "packed in: water"])
def test_a_shelf_preserve_can_not_be_made_another(read: Reading, line: str) -> None:
    """A note of the same name changes words, not what was tested."""
    (message,) = messages(read, with_tree({"preserves/pear-halves.md": note(line)}))
    assert message.endswith("can't be changed: it belongs to what was tested")


def test_a_canner_without_any_shelf_has_no_process(tmp_path: Path, holding_of: Callable[..., Holding]) -> None:
    """An empty shelf publishes nothing."""
    (tmp_path / "empty").mkdir()
    bare = functools.partial(holding_of, shelf=tmp_path / "empty")
    files = {"trees/1.md": "", "fruits/pear.md": note("name: Pear"), "preserves/jars.md": note(*JARS)}
    assert messages(bare, files) == [BORROWED]


@pytest.mark.parametrize("method", ["freezer", "dryer", "refrigerator"])
def test_other_ways_need_no_process(read: Reading, method: str) -> None:
    """Cold and drying are the household's own affair."""
    files = with_tree({"preserves/ours.md": note("fruits: pear", f"method: {method}")})
    assert preserve(read(files), "ours").process is None


def test_a_shelf_task_is_never_for_one_tree_that_bears_its_fruits_name(holding_of: Callable[..., Holding]) -> None:
    """A household may call its first fig Fig; the shelf's tasks for figs are still for all of them."""
    files = {"trees/Fig.md": "", "trees/fig-2.md": note("cultivar: Brown Turkey")}
    files["tasks/ours.md"] = note("when: Mar 1", "for: Fig")
    tasks = {task.key: task for task in holding_of(files).tasks}
    assert tasks["pick-figs"].subjects == {"fig"}
    assert tasks["ours"].subjects == {"Fig"}


@pytest.mark.parametrize("written", ["Bartlett", "williams", "WILLIAMS", "bart-lett"])
def test_a_tree_is_of_its_cultivar_by_any_of_its_names(read: Reading, written: str) -> None:
    """In any spelling."""
    (tree,) = read(with_tree(tree=f"cultivar: {written}")).trees
    assert [limb.key for limb in tree.limbs] == ["bartlett"]


@pytest.mark.parametrize(
    ("file", "limb", "fruit"),
    [
        ("bartlett", "bartlett", "european-pear"),
        ("Kaiser", "bosc", "european-pear"),
        ("pear", "unknown-european-pear", "european-pear"),
        ("old-pear", "old-pear", None),
        ("bartlet", "bartlet", None),
        ("7", "7", None),
        ("!", "unknown", None),
    ],
)
def test_a_tree_of_any_name_is_a_tree(read: Reading, file: str, limb: str, fruit: str | None) -> None:
    """Without front matter its file's name is all that is known, and no spelling of it is a mistake."""
    (tree,) = read({f"trees/{file}.md": "By the gate.\n"}).trees
    assert (tree.tag, tree.text) == (file, "By the gate.")
    assert [(cultivar.key, cultivar.fruit.key if cultivar.fruit else None) for cultivar in tree.limbs] == [
        (limb, fruit)
    ]


@pytest.mark.parametrize(
    ("front", "limb", "fruit"),
    [
        (("cultivar: unknown", "fruit: pear"), "unknown-european-pear", "european-pear"),
        (("cultivar: Pear", "fruit: european-pear"), "unknown-european-pear", "european-pear"),
        (("fruit: fig",), "unknown-fig", "fig"),
        (("cultivar: fig",), "unknown-fig", "fig"),
        (("cultivar: unknown",), "unknown", None),
        (("cultivar: Bartlet", "fruit: pear"), "bartlet", "european-pear"),
        (("cultivar: Winnal",), "winnal", None),
        (("cultivar: Maud's / lane",), "maud-s-lane", None),
    ],
)
def test_a_cultivar_without_a_file_is_taken_as_it_is(
    read: Reading, front: tuple[str, ...], limb: str, fruit: str | None
) -> None:
    """Of the fruit that its tree names; a fruit named as a cultivar is one of unknown name."""
    (tree,) = read({"trees/1.md": note(*front)}).trees
    assert [(cultivar.key, cultivar.fruit.key if cultivar.fruit else None) for cultivar in tree.limbs] == [
        (limb, fruit)
    ]


def test_one_name_on_trees_of_two_fruits_is_two_cultivars(read: Reading) -> None:
    """A seedling pear and a seedling fig have nothing in common."""
    files = {f"trees/{n}.md": note("cultivar: Seedling", f"fruit: {fruit}") for n, fruit in enumerate(("pear", "fig"))}
    kinds = [limb.fruit.key for tree in read(files).trees for limb in tree.limbs if limb.fruit]
    assert kinds == ["european-pear", "fig"]


def test_a_name_of_two_cultivars_is_told_apart_by_the_trees_fruit(read: Reading) -> None:
    """Where the fruit says which is meant, nothing is ambiguous."""
    files = {"cultivars/lane-fig.md": note("name: Lane", "fruit: fig"), "cultivars/lane.md": note("fruit: pear")}
    (tree,) = read({"trees/1.md": note("cultivar: Lane", "fruit: fig"), **files}).trees
    assert tree.limbs[0].key == "lane-fig"
    assert messages(read, {"trees/2.md": note("cultivar: Lane"), **files})[0].startswith('"Lane" can mean')


def test_a_tree_of_several_has_a_limb_of_each(read: Reading) -> None:
    """In the order of the note, and each once."""
    (tree,) = read({"trees/1.md": note("limbs: [Bosc, Williams, Bartlett]")}).trees
    assert [limb.key for limb in tree.limbs] == ["bosc", "bartlett"]


def test_everything_that_can_be_said_of_a_tree_is_read(read: Reading) -> None:
    """Each key finds its place."""
    front = ("tree: A-1", "cultivar: Brown Turkey", "where: tub", "walk: 2", "count: 3", "planted: 2010")
    pin = "pinned: {pick: 2027-09-01, crop: main, because: guests}"
    holding = read({"trees/1.md": note(*front, "bears from: 2014", "kept by: Maud", "days from bloom: 99 days", pin)})
    tree = holding.tree("A-1")
    assert (tree.place, tree.walk, tree.count, tree.planted, tree.bears_from) == ("tub", 2, 3, 2010, 2014)
    assert (tree.kept_by, [(pin.crop, pin.because) for pin in tree.pins]) == ("Maud", [("main", "guests")])
    assert tree.limbs[0].from_bloom is not None
    assert [bearing.crop for bearing in tree.bearings] == ["breba", "main"]


def test_a_trees_figure_may_name_a_source_of_the_shelf(read: Reading) -> None:
    """And a mark that leans on no book needs no source."""
    lines = ["{value: 99 days, mark: R, source: example-press}", "{value: 99 days, mark: M}"]
    files = {f"trees/{n}.md": note(f"days from bloom: {line}") for n, line in enumerate(lines)}
    told = [limb.from_bloom for tree in read(files).trees for limb in tree.limbs]
    sources = [figure.cited.source for figure in told if figure]
    assert [source.author for source in sources if source] == ["Example Press", "Firmripe"]


def test_trees_stand_in_walking_order(read: Reading) -> None:
    """Those without a place in it come last, by tag."""
    walks = {"c": "walk: 2", "b": "", "a": "", "d": "walk: 1.5"}
    holding = read({f"trees/{tag}.md": note(walk) for tag, walk in walks.items()})
    assert [tree.tag for tree in holding.trees] == ["d", "c", "a", "b"]


@pytest.mark.parametrize(
    ("front", "found"),
    [
        (("cultivar: Bartlet",), ['the cultivar "Bartlet" is not known']),
        (("limbs: [Bosc, Bartlet]",), ['the cultivar "Bartlet" is not known']),
        (("cultivar: brown",), ['the cultivar "brown" is not known']),
        (("fruit: figg",), ['the fruit "figg" is not known']),
        (("cultivar: Winnal", "fruit: figg"), ['the fruit "figg" is not known']),
        (("cultivar: Bosc", "fruit: fig"), ['"Bosc" is known as European pear, not as Fig']),
        (("planted: last year",), ['"last year" is not a year']),
        (("count: a few",), ['"a few" is not a whole number']),
        (("pinned: {pick: 2027-09-01, bloom: 2027-05-01}",), ["a pinned date has one event"]),
        (("pinned: {because: guests}",), ["a pinned date has one event"]),
        (
            ("limbs: [Bosc]", "pinned: {pick: 2027-09-01, cultivar: Comice}"),
            ['"Comice" is no limb of this tree'],
        ),
        (
            ("cultivar: Bosc", "pinned: {pick: 2027-09-01, crop: main}"),
            ['this tree has no crop "main"'],
        ),
        (("windows: {pick: Sep 1, place: here}",), ['the key "windows" is not known']),
    ],
)
def test_a_faulty_tree_is_told_once(read: Reading, front: tuple[str, ...], found: list[str]) -> None:
    """With nothing that only follows from it."""
    assert messages(read, {"trees/1.md": note(*front)}) == found


def test_a_window_lies_on_the_ground_it_was_written_for(read: Reading) -> None:
    """On a named place, on the household's own, or on ground described in the note."""
    place = note("zone: 6b", "latitude: 41.2 S", "name: Our slope")
    window = note(
        "windows:",
        "  - {pick: Feb 28, place: here}",
        "  - {pick: Aug 16, place: low-valley}",
        "  - {pick: Sep 1, zone: 5a, latitude: 45 N, elevation: 300 m}",
        "  - {bloom: Oct 1, zone: 9b}",
    )
    windows = read(with_tree({"place.md": place, "cultivars/bosc.md": window})).cultivars["bosc"].own.windows
    assert [item.place_name for item in windows] == ["Our slope", "Low valley", "", ""]
    assert [item.ground.zone for item in windows] == [parse_zone(zone) for zone in ("6b", "7b", "5a", "9b")]
    south, north = Hemisphere.SOUTH, Hemisphere.NORTH
    assert [item.written_for for item in windows] == [south, north, north, south]


def test_markers_name_cultivars_by_any_name(read: Reading) -> None:
    """Those of the shelf and those that only a tree names."""
    place = note("usual picks:", "  - {cultivar: Williams, pick: Aug 31}", "  - {cultivar: Winnal, pick: Sep 9}")
    files = with_tree({"place.md": place, "trees/2.md": note("cultivar: Winnal", "fruit: pear")})
    assert [marker.cultivar for marker in read(files).place.usual_picks] == ["bartlett", "winnal"]


def test_a_place_without_a_note_is_a_garden_of_which_nothing_is_known(read: Reading) -> None:
    """North of the equator until something says otherwise."""
    place = read(with_tree()).place
    assert (place.name, place.hemisphere, place.ground.zone, place.coldest_c) == (
        "Our trees",
        Hemisphere.NORTH,
        None,
        None,
    )


def test_everything_that_can_be_said_of_a_place_is_read(read: Reading) -> None:
    """As the guide to the notes writes it."""
    front = """name: Slope
zone: 6
zone map: 2023
latitude: 42 S
longitude: 173 E
elevation: 2,150 ft
units: metric
week starts: Sunday
last frost: Oct 8
first frost: May 14
spaces: [{name: cellar, temperature: 46 F, holds: 20 boxes}, {name: fridge, temperature: 36-38 F}]
kitchens: {name: lower kitchen, elevation: 1,900 ft}
people: {name: Wren, does: [picking, canning]}
site address: https://example.org/""".splitlines()
    place = read(with_tree({"place.md": note(*front, body="Our slope.")})).place
    assert (place.hemisphere, place.metric_first, place.week_starts) == (Hemisphere.SOUTH, True, 6)
    assert place.coldest_c == pytest.approx((37 - 32) / 1.8)
    assert place.kitchens[0].elevation_m == pytest.approx(1900 * 0.3048)
    assert place.people[0].does == ("picking", "canning")
    assert (place.text, place.ground.zone_map, str(place.ground.zone)) == ("Our slope.", "2023", "6")


@pytest.mark.parametrize(
    ("front", "message"),
    [
        ("zone map: 2024", '"2024" is not the year of a zone map'),
        ("units: imperial", '"imperial" is no set of units known here'),
        ("week starts: Friday", '"Friday" is no first day of a week'),
        ("people: {does: picking}", "a person has no name"),
        ("usual picks: {pick: Aug 28}", "a usual pick has no cultivar"),
        ("kitchens: {elevation: 900}", '"900" has no unit of height'),
        ("hemisphere: west", '"west" is not known here'),
    ],
)
def test_a_faulty_place_is_told(read: Reading, front: str, message: str) -> None:
    """With one problem for one mistake."""
    assert messages(read, with_tree({"place.md": note(front)})) == [message]
