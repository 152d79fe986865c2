"""Lines that others noted, merged into the records: doubles, contradictions, files, and what moved."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from conftest import SHELF, write_notes

from firmripe import cli
from firmripe.cli import main
from firmripe.gathering import LEFT, Fate, Gathered, GatheredText, always, gather, texts_of
from firmripe.holding.record import Happening
from firmripe.problems import FaultyNotes
from firmripe.reading.reader import read_holding

DAY = date(2027, 9, 5)
TWO_SIGNS = (("a", "🍐", "Bartlett"), ("b", "🍏", "Bosc"))
HEAD = "date,tree,cultivar,crop,what,amount,note"
HOME = {
    "place.md": "---\nname: Home\nzone: 6b\nlatitude: 42 N\nlongitude: 74 W\n---\n",
    "trees/1-01.md": "---\ncultivar: Bartlett\n---\n",
    "trees/1-02.md": "---\ncultivar: Bartlett\n---\n",
    "trees/2-01.md": "---\nlimbs: [Bosc, Comice]\n---\n",
    "records/2027.csv": f"{HEAD}\n# all\n2027-05-04,1-01,,,full bloom,,\n\n2027-08-30,1-01,,,first pick,44 lb,\n",
}


@pytest.fixture
def notes(tmp_path: Path) -> Path:
    """Return the folder of a small household."""
    return write_notes(tmp_path / "notes", HOME)


def gathered(notes: Path, *texts: str, name: str = "x.txt", **options: object) -> Gathered:
    """Gather texts as if each were a file of its own."""
    sources = [GatheredText(name=f"{at}{name}", text=text, path=Path(f"{at}{name}")) for at, text in enumerate(texts)]
    return gather(notes, sources, DAY, **options)  # type: ignore[arg-type]


def fates(found: Gathered) -> dict[str, Fate]:
    """Return what became of each line, by its day, tree and happening."""
    return {
        " ".join((one.line.cells["date"], one.line.cells["tree"], one.line.cells["what"])): one.fate
        for one in found.lines
    }


def table(notes: Path, season: int = 2027) -> list[str]:
    return (notes / f"records/{season}.csv").read_text(encoding="utf-8").splitlines()


def test_a_line_over_the_turn_of_a_season_is_taken_once(tmp_path: Path) -> None:
    """A picking in January goes on with December's crop, and is neither odd nor taken twice when it is sent again."""
    citrus = {
        "place.md": "---\nzone: 9b\nlatitude: 33 N\n---\n",
        "trees/C.md": "---\nfruit: orange\n---\n",
        "records/a.csv": "date,tree,what,amount\n2026-11-20,C,first pick,10 lb\n2026-12-20,C,pick,10 lb\n",
    }
    notes = write_notes(tmp_path / "notes", citrus)
    day = date(2027, 2, 1)
    for fate in (Fate.TAKEN, Fate.THERE):
        (line,) = gather(notes, [GatheredText(name="x", text="2027-01-08,C,pick,9 lb\n", path=Path("x"))], day).lines
        assert line.fate is fate


def test_a_short_line_becomes_a_full_one_below_all_that_stood(notes: Path) -> None:
    """Comments and order stay, and the notes can be read as before."""
    before = table(notes)
    found = gathered(notes, "2027-09-01,2-01/Comice,drop,3 fruits,sound\n")

    assert table(notes) == [*before, "2027-09-01,2-01,Comice,,drop,3 fruits,sound"]
    assert found.files == ("records/2027.csv",)
    assert len(read_holding(notes, SHELF).records) == 3


def test_gathering_again_changes_no_byte(notes: Path) -> None:
    """What stands there is known again, in other units of the same and with fewer words."""
    gathered(notes, "Wren: 2027-09-01,1-02,first pick,31 lb,good size\n2027-09-02,9-99,drop\n")
    once = {path: path.read_bytes() for path in notes.rglob("*") if path.is_file()}
    found = gathered(
        notes, "2027-09-01,1-02,first pick,31 lbs,Good size\n2027-09-01,1-02,first pick\n2027-09-02,9-99,drop\n"
    )

    assert {path: path.read_bytes() for path in notes.rglob("*") if path.is_file()} == once
    assert [one.fate for one in found.lines] == [Fate.THERE, Fate.THERE, Fate.UNCLEAR]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("2027-09-02,1-01,first pick,40 lb", "stands twice"),
        ("2027-04-20,1-01,first pick,4 lb", "comes after"),
        ("2027-05-20,1-01,pick,4 lb", "picked 16 days after full bloom"),
        ("2027-09-06,1-02,drop", "still to come"),
        ("2027-08-30,1-01,first pick,44 lb,the low limbs", "noted twice"),
        ("2027-09-02,1-01,jars,400 quarts", "more than the fruit"),
    ],
)
def test_what_can_hardly_be_meant_is_held_back_and_kept(notes: Path, line: str, said: str) -> None:
    """It stands in the left over with its reason, until somebody says that it is meant."""
    before = table(notes)
    found = gathered(notes, line)

    assert [one.fate for one in found.lines] == [Fate.DOUBTFUL]
    assert table(notes) == before
    left = (notes / LEFT).read_text(encoding="utf-8")
    assert line in left.splitlines()
    assert said in left

    assert [one.fate for one in gathered(notes, line, agree=always).lines] == [Fate.TAKEN]
    assert len(table(notes)) == len(before) + 1


def test_a_weight_ten_times_the_usual_is_asked_about(tmp_path: Path) -> None:
    """Once so many pickings were weighed that there is a usual one."""
    picks = [f"{year}-09-0{n},1-02,,,pick,{30 + n} lb,\n" for year in (2024, 2025) for n in (1, 4)]
    notes = write_notes(tmp_path / "notes", {**HOME, "records/old.csv": f"{HEAD}\n{''.join(picks)}"})

    assert list(fates(gathered(notes, "2027-09-01,1-02,pick,310 lb")).values()) == [Fate.DOUBTFUL]
    assert list(fates(gathered(notes, "2027-09-01,1-02,pick,60 lb")).values()) == [Fate.TAKEN]


def test_two_that_contradict_each_other_come_out_the_same_in_either_order(notes: Path) -> None:
    """The earlier day is taken, whoever came first."""
    one, other = "2027-09-01,1-02,first pick,31 lb", "2027-09-03,1-02,first pick,28 lb"
    first = fates(gathered(notes, one, other, write=False))

    assert first == fates(gathered(notes, other, one, write=False))
    assert list(first.values()) == [Fate.TAKEN, Fate.DOUBTFUL]


def test_lines_that_were_mended_leave_the_left_over(notes: Path) -> None:
    """The file is gathered like any other, and is gone when nothing waits in it."""
    gathered(notes, "2027-09-01,1-2,first pick,31 lb\n2027-09-01,1-01,first pick,31 lb\n")
    left = notes / LEFT
    left.write_text(left.read_text(encoding="utf-8").replace(",1-2,", ",1-02,"), encoding="utf-8")
    found = gather(notes, texts_of(left), DAY)
    assert {one.fate for one in found.lines} == {Fate.TAKEN, Fate.DOUBTFUL}
    assert left.read_text(encoding="utf-8").count("first pick") == 2  # the line and its reason

    gather(notes, texts_of(left), DAY, agree=always)
    assert not left.exists()


def test_pasted_words_are_kept_and_those_of_a_file_are_not(notes: Path) -> None:
    """Whoever pastes has no other copy."""
    text = "Hello all\n2027-09-01,1-02,drop\nthe ladder by the wall has a loose rung\n"
    gathered(notes, text)
    assert not (notes / LEFT).exists()
    gather(notes, [GatheredText(name="pasted", text=text)], DAY)
    assert "the ladder by the wall has a loose rung" in (notes / LEFT).read_text(encoding="utf-8")
    assert sum("drop" in row for row in table(notes)) == 1


def test_a_pasted_note_of_several_lines_is_kept_whole(notes: Path) -> None:
    """The next lines of a note in quotes are nobody else's either, so mending its day brings all of it in."""
    text = '2030-09-01,1-02,drop,3 fruits,"sound,\nall of them"\n'
    gather(notes, [GatheredText(name="pasted", text=text)], DAY)
    left = notes / LEFT
    left.write_text(left.read_text(encoding="utf-8").replace("2030-09-01,", "2027-09-01,"), encoding="utf-8")
    gather(notes, texts_of(left), DAY)
    assert table(notes)[-1] == '2027-09-01,1-02,,,drop,3 fruits,"sound, all of them"'
    assert not left.exists()


@pytest.mark.parametrize("sign", ["\u2028", "\u0085", "\x0b", "\x0c"])
def test_a_sign_that_no_editor_ends_a_line_at_loses_none(notes: Path, sign: str) -> None:
    """Phones paste such signs: each line that is taken leaves the left over, and each that waits stays as it was."""
    waits = f"2030-09-01,1-01,drop,3 fruits,sound{sign}and red"
    text = f"{waits}\n2030-09-02,1-02,drop,4 fruits,sound\n"
    gather(notes, [GatheredText(name="pasted", text=text)], DAY)
    left = notes / LEFT
    left.write_bytes(left.read_bytes().replace(b"2030-09-02,", b"2027-09-02,"))
    gather(notes, texts_of(left), DAY)
    assert table(notes)[-1] == "2027-09-02,1-02,,,drop,4 fruits,sound"
    assert "4 fruits" not in left.read_text(encoding="utf-8")
    assert left.read_bytes().count(waits.encode()) == 1


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "cp1252"])
def test_the_left_over_keeps_its_words_whatever_saved_it(notes: Path, encoding: str) -> None:
    """Somebody sorts it out in an editor of their own."""
    (notes / LEFT).write_bytes("très bon, à voir\r\n".encode(encoding))
    gathered(notes, "2030-09-01,1-02,drop\n")
    kept = (notes / LEFT).read_text(encoding="utf-8")
    assert kept.startswith("très bon, à voir\n")
    assert "2030-09-01,1-02,drop" in kept


def test_a_line_goes_into_the_table_of_its_season(tmp_path: Path) -> None:
    """Or into the only one there is; and in the south a bloom belongs to the harvest after it."""
    south = {**HOME, "place.md": HOME["place.md"].replace("42 N", "42 S"), "records/2027.csv": f"{HEAD}\n"}
    notes = write_notes(tmp_path / "south", south)
    gather(notes, [GatheredText(name="x", text="2027-10-04,1-01,full bloom")], date(2027, 11, 1))
    assert table(notes, 2028)[-1] == "2027-10-04,1-01,,,full bloom,,"

    one = {
        **{k: v for k, v in HOME.items() if "records" not in k},
        "records/all.csv": "date,tree,what\n2026-05-01,1-01,full bloom\n",
    }
    notes = write_notes(tmp_path / "one", one)
    gathered(notes, "2027-09-01,1-02,drop")
    assert (notes / "records/all.csv").read_text(encoding="utf-8").endswith("2027-09-01,1-02,drop\n")


def test_a_household_without_a_table_gets_one(tmp_path: Path) -> None:
    """With all columns."""
    notes = write_notes(tmp_path / "notes", {k: v for k, v in HOME.items() if "records" not in k})
    gathered(notes, "2027-09-01,1-02,drop")
    assert table(notes) == [HEAD, "2027-09-01,1-02,,,drop,,"]


def test_what_moved_in_the_plan_is_told(notes: Path) -> None:
    """By the new lines alone, in days, for each crop."""
    found = gathered(notes, "2027-05-12,1-02,full bloom\n")
    moved = {(one.bearing.tree, one.what.value): one for one in found.moved}

    bloom = moved["1-02", "full bloom"]
    assert bloom.after == date(2027, 5, 12)
    assert bloom.before is not None
    assert moved["1-02", "pick"].before != moved["1-02", "pick"].after
    assert gathered(notes, "2027-05-12,1-02,full bloom\n").moved == ()


def test_faulty_notes_are_named_and_nothing_is_written(tmp_path: Path) -> None:
    """What can't be read can't be added to."""
    notes = write_notes(tmp_path / "notes", {**HOME, "trees/x.md": "---\ncultivar: Bartlet\n---\n"})
    with pytest.raises(FaultyNotes):
        gathered(notes, "2027-09-01,1-02,drop\n2027-09-01,9-02,drop\n")
    assert not (notes / LEFT).exists()
    assert table(notes) == HOME["records/2027.csv"].splitlines()


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_a_file_is_read_whatever_saved_it(notes: Path, tmp_path: Path, encoding: str) -> None:
    """Old spreadsheets and phones write in many ways."""
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "wren.txt").write_bytes("2027-09-01,1-02,drop,3 fruits,très bon\r\n".encode(encoding))
    gather(notes, texts_of(tmp_path / "in"), DAY)
    assert table(notes)[-1] == "2027-09-01,1-02,,,drop,3 fruits,très bon"


# The command line


def run(notes: Path, *words: str, given: str | None = None) -> Result:
    return CliRunner().invoke(main, [*words, "--in", str(notes), "--as-of", DAY.isoformat()], input=given)


def test_pasted_lines_are_gathered_with_who_sent_them(notes: Path) -> None:
    """And what moved is said in words."""
    result = run(notes, "gather", "--from", "Wren", given="2027-09-01,1-02,first pick,31 lb,good size\n")

    assert result.exit_code == 0, result.output
    assert "Taken: 1 line.\n  2027-09-01,1-02,,,first pick,31 lb,good size\n" in result.output
    assert "What moved in the plan:" in result.output
    assert table(notes)[-2:] == ["# Wren, 2027-09-05", "2027-09-01,1-02,,,first pick,31 lb,good size"]


def test_what_is_piped_in_is_read_whatever_saved_it(notes: Path) -> None:
    """As a file is: no letter is lost."""
    typed = "2027-09-01,1-02,drop,3 fruits,très bon\r\n".encode("cp1252")
    result = CliRunner().invoke(main, ["gather", "--in", str(notes), "--as-of", "2027-09-05"], input=typed)
    assert result.exit_code == 0, result.output
    assert table(notes)[-1].endswith(",très bon")


def test_talk_with_commas_is_no_table(notes: Path) -> None:
    """Nobody is asked what its headings mean."""
    result = run(notes, "gather", given="Hello, all\nhow are you, friends\n")
    assert result.exit_code == 1
    assert "No line was found." in result.output


def test_what_is_held_back_ends_the_command_with_1_and_check_speaks_of_it(notes: Path) -> None:
    """So that a script sees it."""
    result = run(notes, "gather", "-", given="2027-09-01,1-02,frist pick,31 lb\n2027-09-01,1-01,first pick,31 lb\n")
    assert result.exit_code == 1
    assert "Held back in left-over.txt: 2 lines." in result.output
    checked = CliRunner().invoke(main, ["check", str(notes), "--as-of", DAY.isoformat()])
    assert "left-over.txt: lines stand here that were not taken" in checked.output


def test_a_dry_run_writes_nothing(notes: Path) -> None:
    """It says the same."""
    before: Mapping[Path, bytes] = {path: path.read_bytes() for path in notes.rglob("*") if path.is_file()}
    result = run(notes, "gather", "--dry-run", given="2027-09-01,1-02,first pick,31 lb\nnonsense\n")
    assert "Would be taken: 1 line." in result.output
    assert {path: path.read_bytes() for path in notes.rglob("*") if path.is_file()} == before


def test_a_note_from_the_keyboard_needs_no_day(notes: Path) -> None:
    """It was today."""
    assert run(notes, "note", "1-02,first pick,31 lb,good size").exit_code == 0
    assert table(notes)[-1] == "2027-09-05,1-02,,,first pick,31 lb,good size"
    assert run(notes, "note", "2027-09-04,1-02,drop", "--from", "Ash").exit_code == 0
    assert table(notes)[-2:] == ["# Ash, 2027-09-05", "2027-09-04,1-02,,,drop,,"]


def test_words_without_a_line_say_how_one_is_written(notes: Path) -> None:
    """With a tree of the household's."""
    result = run(notes, "note", "picked the pears")
    assert result.exit_code == 2
    assert "write day, tree and what, as 2027-09-05,1-01,full bloom" in result.output


def test_on_a_terminal_each_part_is_asked_for_with_what_is_likeliest(
    notes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After its bloom a tree's next note is its first pick, today; a word nobody knows is asked for again."""
    monkeypatch.setattr(cli, "_on_a_terminal", lambda: True)
    result = run(notes, "note", given="1-02\npicked\nfull bloom\n2027-05-06\n\nwhite all over\n")
    assert result.exit_code == 0, result.output
    assert "write a word of the records" in result.output
    assert table(notes)[-1] == "2027-05-06,1-02,,,full bloom,,white all over"

    assert run(notes, "note", given="1-02\n\n\n31 lb\n\n").exit_code == 0
    assert table(notes)[-1] == "2027-09-05,1-02,,,first pick,31 lb,"


def test_a_doubtful_line_is_asked_about_on_a_terminal(notes: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """And taken where somebody says so."""
    monkeypatch.setattr(cli, "_on_a_terminal", lambda: True)
    line = "2027-09-02,1-01,first pick,40 lb"
    refused = run(notes, "note", line, given="n\n")
    assert "stands twice" in refused.output
    assert refused.exit_code == 1
    assert run(notes, "note", line, given="y\n").exit_code == 0
    assert table(notes)[-1] == "2027-09-02,1-01,,,first pick,40 lb,"


def test_tags_of_signs_alone_are_told_apart(tmp_path: Path) -> None:
    """Whoever paints a sign on each label is told of the tree that was asked for, and notes go to it."""
    trees = {f"trees/{n}.md": f"---\ntree: {tag}\ncultivar: {kind}\n---\n" for n, tag, kind in TWO_SIGNS}
    notes = write_notes(tmp_path / "notes", {"place.md": HOME["place.md"], **trees})
    for _, tag, kind in TWO_SIGNS:
        assert run(notes, "explain", tag, "pick").output.startswith(f"Pick of {kind} ({tag}):")
    gathered(notes, "2027-09-01,🍏/Bosc,drop,3 fruits\n")
    assert table(notes)[-1] == "2027-09-01,🍏,Bosc,,drop,3 fruits,"


def test_a_range_is_one_line_and_is_taken_once(notes: Path) -> None:
    """It stands in the table as it was sent, for each of its trees, and only what all of them have said is there."""
    line = "2027-04-21,1-02..2-01,full bloom"
    first, again = gathered(notes, line), gathered(notes, line)
    bloomed = [record.tree for record in read_holding(notes, SHELF).records if record.what is Happening.FULL_BLOOM]

    assert table(notes)[-1].startswith("2027-04-21,1-02..2-01,")
    assert {"1-02", "2-01"} <= set(bloomed)
    assert [one.fate for one in (*first.lines, *again.lines)] == [Fate.TAKEN, Fate.THERE]
