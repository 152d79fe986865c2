"""The shelf looked over, and a place's table judged before it goes on it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from firmripe.cli import main
from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.problems import Unreadable
from firmripe.shelving import by_fruit, counts, known_of_fruit, share, shelf_alone
from firmripe.shipped import shelf_folder

EIGHT = (
    *("apple", "european-pear", "asian-pear", "european-plum", "japanese-plum"),
    *("peach", "apricot", "sweet-cherry"),
)
"""The main fruits of home orchards (our choice: the tree fruits with the most cultivars on the shelf)."""


REGIONS = {
    "England": {"england", "oxford-uk", "brightwell-uk", "faversham-uk", "hurst-green-uk", "nottingham-uk", "york-uk"},
    "Scotland": {"dundee-uk"},
    "Ireland": {"loughgall-uk", "lusk-ie"},
    "France": {"anjou-fr", "lorraine-fr"},
    "the Rhine": {"bornheim-de"},
    "Lake Constance": {"lake-constance"},
    "the Po valley": {"emilia-romagna"},
    "South Tyrol": {"south-tyrol", "natz-schabs"},
    "Catalonia": {"lleida-es"},
    "Poland": {"grojec-pl"},
    "southern Scandinavia": {"skane-se", "sogn-no"},
    "Hungary and Romania": {"hungary", "budapest-hu", "romania", "iasi-ro"},
    "Turkey": {"isparta-tr", "malatya-tr"},
    "northern Japan": {"aomori-jp"},
    "eastern Japan": {"shiroi-jp"},
    "central Japan": {"fuefuki-jp"},
    "Korea": {"icheon-kr", "naju-kr", "chungju-kr", "gunwi-kr"},
    "northern India": {"kashmir-in", "shimla-in"},
    "Tasmania": {"tasmania-au"},
    "Victoria": {"shepparton-au", "beaufort-au"},
    "the Adelaide Hills": {"adelaide-hills-au"},
    "Hawke’s Bay": {"hawkes-bay-nz"},
    "the Western Cape": {"grabouw-za"},
    "central Chile": {"central-chile", "colchagua-cl"},
    "the Rio Negro": {"rio-negro-ar"},
}
"""Regions of home orchards beyond North America (our choice), each with its places on the shelf."""


@pytest.fixture(scope="module")
def shelf() -> Holding:
    """Return the shelf alone."""
    return shelf_alone()


def judged(folder: Path, *dates: str, ground: str = "latitude: 43.2 N\nlongitude: 71.5 W\nelevation: 400 ft") -> Result:
    """Judge a table of dates by the command."""
    lines = "".join(f"  - {{{date}}}\n" for date in dates)
    file = folder / "table.md"
    file.write_text(
        f"---\nname: Our hill, New Hampshire\n{ground}\nsource: a wall\ndates:\n{lines}---\n", encoding="utf-8"
    )
    return CliRunner().invoke(main, ["shelf", "--dates", str(file)])


# What is known


@pytest.mark.parametrize("key", EIGHT)
def test_the_floor_of_the_main_fruits_holds(shelf: Holding, key: str) -> None:
    """Of each, four cultivars of five have a date and say who sets them, and three of five how long they keep."""
    known = next(of for fruit, of in by_fruit(shelf) if fruit.key == key)
    assert len(known) >= 5
    assert share(known, "dated") >= 0.8
    assert share(known, "pollinated") >= 0.8
    assert share(known, "keeps") >= 0.6


@pytest.mark.parametrize("region", REGIONS)
def test_each_region_has_two_picks_or_a_bloom(shelf: Holding, region: str) -> None:
    """What is printed there pulls dates carried from elsewhere into line."""
    text = (shelf_folder() / "places.md").read_text(encoding="utf-8")
    places = dict(re.findall(r'^  ([a-z-]+): \{name: "([^"]+)"', text, re.MULTILINE))
    names = {places[key] for key in REGIONS[region]}
    kinds = (*(fruit.traits for fruit in shelf.fruits.values()), *(known.own for known in shelf.cultivars.values()))
    events = [window.event for traits in kinds for window in traits.windows if window.place_name in names]
    assert events.count(Event.PICK) >= 2 or Event.FULL_BLOOM in events, f"{len(events)} windows"


def test_the_shelfs_own_page_counts_what_stands_on_it(shelf: Holding) -> None:
    """README.md of the shelf holds the table that `firmripe shelf` prints: after a change, put that there."""
    page = (shelf_folder() / "README.md").read_text(encoding="utf-8")
    assert counts(shelf) in page, "put what `firmripe shelf` prints into content/reference/README.md"


def test_the_table_counts_each_cultivar_once(shelf: Holding) -> None:
    """All fruits are in it, those without a cultivar as well, and nothing is counted twice."""
    told = by_fruit(shelf)
    assert len(told) == len(shelf.fruits)
    assert sum(len(known) for _, known in told) == len(shelf.cultivars)


def test_a_fruit_tells_of_each_cultivar_with_sources_and_gaps(shelf: Holding) -> None:
    """By any name; what is not known is said."""
    told = known_of_fruit(shelf, "poire")
    assert told.startswith("European pear: ")
    assert "  Winter Nelis: " in told
    assert "not known: a date" in told.split("  Winter Nelis: ")[1].split("\n")[0]
    assert "hood-river-news" in told
    with pytest.raises(Unreadable, match="not known"):
        known_of_fruit(shelf, "no such fruit")


# A place's table


def test_a_sound_table_passes_and_its_lines_are_said(tmp_path: Path) -> None:
    """UNH Cooperative Extension, "Tree fruit varieties for New Hampshire": that place is left out of the others."""
    dates = ("cultivar: Williams, pick: Sep 5", "cultivar: Seckel, pick: Sep 15", "cultivar: Bosc, pick: Oct 1")
    result = judged(tmp_path, *dates, "cultivar: McIntosh, pick: Sep 18", "fruit: manzana, bloom: May 15")
    assert result.exit_code == 0, result.output
    assert "Nothing in it is odd." in result.output
    assert (
        "cultivars/bartlett.md, under windows:  - {pick: Sep 5, place: our-hill, mark: R, source: SOURCE}"
        in result.output
    )
    assert "fruits/apple.md, under windows:  - {bloom: May 15" in result.output


def test_a_day_that_is_as_printed_elsewhere_is_said_so(tmp_path: Path) -> None:
    """Of a month of days one is the very day that the others say, in a file of any name."""
    result = judged(tmp_path, *(f"cultivar: Bartlett, pick: Sep {day}" for day in range(1, 31)))
    assert "Bartlett, pick Sep 30: " in result.output
    assert "as early as the others say, carried here" in result.output
    assert "as early than" not in result.output
    named = (tmp_path / "table.md").rename(tmp_path / "wall.txt")
    assert CliRunner().invoke(main, ["shelf", "--dates", str(named)]).output == result.output


def test_a_slip_of_a_month_is_named(tmp_path: Path) -> None:
    """The slip alone, and what the others say."""
    result = judged(tmp_path, "cultivar: Bartlett, pick: Sep 5", "cultivar: Bosc, pick: Jul 1")
    assert result.exit_code == 1
    assert [line for line in result.output.split("\n") if line.startswith("!")] == [
        line for line in result.output.split("\n") if line.startswith("! Bosc, pick Jul 1: ")
    ]
    assert "1 thing can hardly be meant." in result.output


def test_two_dates_that_were_exchanged_are_named_by_their_order(tmp_path: Path) -> None:
    """Each could stand for itself in an odd year; both together can't."""
    result = judged(tmp_path, "cultivar: Bartlett, pick: Sep 24", "cultivar: Bosc, pick: Sep 10")
    assert result.exit_code == 1
    assert "Bosc is picked 14 days sooner than Bartlett here; elsewhere" in result.output


def test_a_southern_table_is_read_as_southern(tmp_path: Path) -> None:
    """Balhannah Nurseries, "Pears, ripening times based on the Adelaide Hills": Bosc late in February."""
    ground = "latitude: 35.0 S\nlongitude: 138.8 E\nelevation: 350 m"
    result = judged(tmp_path, "cultivar: Bosc, pick: late February", ground=ground)
    assert result.exit_code == 0, result.output
    assert judged(tmp_path, "cultivar: Bosc, pick: late August", ground=ground).exit_code == 1


@pytest.mark.parametrize(
    ("dates", "ground", "said"),
    [
        (("cultivar: Bartlet, pick: Sep 5",), None, ('"Bartlet" is not known', 'did you mean "Bartlett"?')),
        (("cultivar: Bosc, pick: Sep 35",), None, ("Sep 35",)),
        (("cultivar: Bosc",), None, ("has no date",)),
        (("pick: Sep 5",), None, ("says of nothing what it is",)),
        (("cultivar: Bosc, pick: Sep 5, plaec: here",), None, ('"plaec" is not known',)),
        ((), None, ('"dates" takes lines of several keys',)),
        (
            ("cultivar: Bosc, pick: Sep 5",),
            "latitude: 43 N",
            ("the place has no longitude", "the place has no elevation"),
        ),
    ],
)
def test_a_faulty_table_is_refused_with_its_line(
    tmp_path: Path, dates: tuple[str, ...], ground: str | None, said: tuple[str, ...]
) -> None:
    """Nothing is judged where anything can't be read."""
    result = judged(tmp_path, *dates, **({"ground": ground} if ground else {}))
    assert result.exit_code == 1
    assert all(words in result.output for words in said), result.output
    assert "table.md" in result.output
    assert "To put it on the shelf" not in result.output
