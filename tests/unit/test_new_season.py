"""A new season from the last, and a household's year by the commands alone."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from conftest import write_notes

from firmripe import cli
from firmripe.build import holding_of
from firmripe.cli import main
from firmripe.kitchen.pantry import shelved
from firmripe.new_year import begin, look

MARCH = date(2028, 3, 1)
HEAD = "date,tree,cultivar,crop,what,amount,note"
HOME = {
    "place.md": (
        "---\nname: Home\nzone: 6b\nlatitude: 42 N\nlongitude: 74 W\nspaces: [{name: cellar, temperature: 31 F}]\n"
        "stock: {jars: [24 quarts], lids: 60}\nwanted: [{cultivar: Anjou, on: 2027-12-24}]\n---\n"
    ),
    "trees/1-01.md": "---\ncultivar: Bartlett\n---\n",
    "trees/1-02.md": "---\ncultivar: Bartlett\n---\n",
    "trees/1-06.md": "---\ncultivar: Anjou\n---\n",
    "records/2027.csv": (
        f"{HEAD}\n2027-05-04,1-01,,,full bloom,,\n2027-05-04,1-02,,,full bloom,,\n2027-08-30,1-01,,,first pick,44 lb,\n"
        "2027-09-06,1-01,,,jars,14 quarts,Pear halves in jars\n2027-09-07,1-01,,,jars,9 pints,\n"
        "2027-10-01,1-06,,,first pick,40 lb,\n2027-10-01,1-06,,,stored,40 lb,cellar\n"
    ),
}


@pytest.fixture
def notes(tmp_path: Path) -> Path:
    """Return the folder of a household after its season."""
    return write_notes(tmp_path / "notes", HOME)


def run(notes: Path, *words: str, day: date = MARCH, given: str | None = None) -> Result:
    """Run a command on a day."""
    return CliRunner().invoke(main, [*words, "--in", str(notes), "--as-of", day.isoformat()], input=given)


def held(top: Path) -> dict[str, bytes]:
    return {p.relative_to(top).as_posix(): p.read_bytes() for p in top.rglob("*") if p.is_file()}


def test_a_new_season_has_its_table_and_all_else_stays(notes: Path) -> None:
    """A second run changes nothing, and a table that is there is not touched."""
    before = held(notes)
    assert begin(notes, 2028) == [notes / "records" / "2028.csv"]
    assert held(notes) == {**before, "records/2028.csv": f"{HEAD}\n".encode()}
    once = held(notes)
    result = run(notes, "new-season", "2028")

    assert result.exit_code == 0, result.output
    assert "Wrote" not in result.output
    assert held(notes) == once


def test_it_says_what_goes_on_and_what_is_to_be_counted_and_written(notes: Path) -> None:
    """Fruit in store, jars, a pick that nobody noted, stock that was used and a day that is over."""
    new = look(notes, None, MARCH)

    assert new.season == 2028
    assert new.carried == ("Anjou 1-06, 40 lb in the cellar",)
    assert [(one.name, one.jar, one.made, one.left) for one in new.shelf] == [
        ("Bartlett", "pint", 9, None),
        ("Pear halves in jars", "quart", 14, None),
    ]
    assert [line.partition(",")[2] for _, line in new.unfinished] == ["1-02,first pick"]
    assert new.used == ("14 quarts of 24 were filled", "23 lids of 60 were used")
    assert new.past == ("wanted: Anjou on 24 Dec 2027",)
    assert new.wants == ()


def test_a_season_that_nobody_noted_is_asked_about_in_nothing(tmp_path: Path) -> None:
    """Whoever starts in winter has nothing to count and nothing unfinished."""
    bare = {name: text for name, text in HOME.items() if "records" not in name}
    new = look(write_notes(tmp_path / "new", bare), 2028, MARCH)
    assert (new.carried, new.shelf, new.unfinished, new.used) == ((), (), (), ())


def test_what_was_eaten_is_what_might_be_wanted(notes: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On a terminal it asks how many are left, notes that, and asks no second time."""
    monkeypatch.setattr(cli, "_on_a_terminal", lambda: True)
    result = run(notes, "new-season", "2028", given="x\n²\n2\n4\n")

    assert result.exit_code == 0, result.output
    assert "write a number from 0 to 9" in result.output
    assert "Pear halves in jars: 14 quarts made, 4 left, 10 eaten" in result.output
    assert "- {preserve: Pear halves in jars, amount: 10 quarts}" in result.output
    rows = (notes / "records" / "2028.csv").read_text(encoding="utf-8").splitlines()
    assert rows == [
        HEAD,
        "2028-03-01,1-01,,,left,2 pints,Bartlett",
        "2028-03-01,1-01,,,left,4 quarts,Pear halves in jars",
    ]
    once = held(notes)
    again = run(notes, "new-season", "2028", given="")
    assert again.exit_code == 0, again.output
    assert "how many are left" not in again.output
    assert held(notes) == once


def test_a_want_that_is_offered_can_be_written_as_it_stands(notes: Path) -> None:
    """Many a preserve has a comma in its name, which would part a line in braces."""
    with (notes / "records" / "2027.csv").open("a", encoding="utf-8") as table:
        table.write('2027-09-08,1-01,,,jars,9 pints,"Pears, frozen"\n2028-02-01,1-01,,,left,2 pints,"Pears, frozen"\n')
    offered = [line.strip() for line in run(notes, "new-season", "2028").output.splitlines() if "{preserve" in line]
    assert offered == ['- {preserve: "Pears, frozen", amount: 7 pints}']
    place = (notes / "place.md").read_text(encoding="utf-8")
    (notes / "place.md").write_text(place.replace("---\n", f"---\nto put up:\n  {offered[0]}\n", 1), encoding="utf-8")
    assert [want.preserve for want in holding_of(notes).place.kitchen_means.wants] == ["pears-frozen"]


def test_what_is_left_is_the_last_count_of_that_kind(notes: Path) -> None:
    """Counted again later, down to none; a count from before the jars were made says nothing."""
    table = notes / "records" / "2028.csv"
    table.write_text(
        f"{HEAD}\n2028-01-01,1-01,,,left,9 quarts,Pear halves in jars\n"
        "2028-02-01,,,,left,0 quarts,pear halves in jars\n2027-08-01,1-01,,,left,3 pints,\n",
        encoding="utf-8",
    )
    found = {one.jar: (one.left, one.eaten) for one in shelved(holding_of(notes), 2027, MARCH)}
    assert found == {"quart": (0, 14), "pint": (None, None)}


def test_jars_without_a_name_have_that_of_what_their_tree_bears(tmp_path: Path) -> None:
    """Of the limbs of the line's own tree, of the named one alone; of no other tree."""
    lines = (
        "2027-09-02,1-01,,,jars,3 quarts,\n2027-09-03,1-09,,,jars,4 quarts,\n"
        "2027-09-04,1-09,Bosc,,jars,5 quarts,\n2027-09-05,,,,jars,6 quarts,\n"
    )
    files = {
        "trees/1-01.md": "---\ncultivar: Bartlett\n---\n",
        "trees/1-09.md": "---\nlimbs: [Bosc, Comice]\n---\n",
        "records/2027.csv": f"{HEAD}\n{lines}",
    }
    found = shelved(holding_of(write_notes(tmp_path, files)), 2027, MARCH)
    assert {one.name: (one.made, one.tree) for one in found} == {
        "Bartlett": (3, "1-01"),
        "Bosc, Comice": (4, "1-09"),
        "Bosc": (5, "1-09"),
        "": (6, ""),
    }


@pytest.mark.parametrize("season", ["2027", "2030"])
def test_a_season_that_does_not_begin_now_is_refused(notes: Path, season: str) -> None:
    """The last is over, and none comes in between."""
    result = run(notes, "new-season", season)
    assert result.exit_code == 2
    assert "write 2028 or 2029" in result.output


def test_a_year_goes_by_with_the_commands_alone(tmp_path: Path) -> None:
    """From the first notes to the next season: bloom, pick, a message, jars, a site on the way, and a count."""
    notes, site = tmp_path / "notes", tmp_path / "site"
    start = ("start", str(notes), "--zone", "6b", "--latitude", "42 N", "--longitude", "74 W", "-q")
    assert CliRunner().invoke(main, [*start, "--tree", "Bartlett", "--tree", "Anjou"]).exit_code == 0

    def did(*words: str, day: str, given: str | None = None) -> str:
        result = run(notes, *words, day=date.fromisoformat(day), given=given)
        assert result.exit_code == 0, result.output
        return result.output

    did("note", "bartlett,full bloom,white all over", day="2027-05-05")
    assert "Anjou anjou: full bloom" in did("note", "2027-04-30,anjou,full bloom", day="2027-05-06")
    message = "Hello\n2027-08-31,bartlett,first pick,44 lb,good size\n2027-10-02,anjou,first pick,40 lb\nbye"
    did("gather", "--from", "Wren", day="2027-10-03", given=message)
    did("note", "2027-09-10,bartlett,jars,14 quarts,Pear halves in jars", day="2027-10-03")
    explained = did("explain", "bartlett", "pick", day="2027-10-03")
    assert "seen and noted" in explained
    did("note", "2027-09-02,bartlett,taken out,10 lb", day="2027-10-03")
    did("note", "2027-09-08,bartlett,verdict,brown at the core", day="2027-10-03")
    asked = did("explain", "bartlett", "pick", day="2027-10-03")
    answer = next(line.strip() for line in asked.splitlines() if line.startswith("  2027-09-08,"))
    assert answer == '2027-09-08,bartlett,verdict,"brown at the core, picked late"'
    moved = did("gather", day="2027-10-03", given=answer)
    assert "Bartlett bartlett, next season, 2028: pick " in moved
    assert "sooner" in moved
    for day, season in (("2027-10-03", "2027"), ("2028-01-15", "2028")):
        words = ["build", str(notes), "--out", str(site), "--season", season, "--as-of", day]
        assert CliRunner().invoke(main, words).exit_code == 0
        page = (site / "trees" / "bartlett.html").read_text(encoding="utf-8")
        assert "white all over" in page
        assert "you say: picked late. The plan takes that pick as 7 days too late, give or take 3.5." in page
    assert "you say: picked late" in (site / "review.html").read_text(encoding="utf-8")
    said = did("new-season", "2028", day="2028-01-15")
    assert "Anjou anjou, 40 lb" in said
    assert "Pear halves in jars: 14 quarts made" in said
    did("note", "bartlett,left,5 quarts,Pear halves in jars", day="2028-01-15")
    assert "amount: 9 quarts}" in did("new-season", "2028", day="2028-01-15")
    checked = CliRunner().invoke(main, ["check", str(notes), "--as-of", "2028-01-15"])
    assert checked.exit_code == 0, checked.output
