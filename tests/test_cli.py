"""The command line, as it is typed."""

from __future__ import annotations

import json
import os
import re
import shlex
import socket
import subprocess
import sys
import time
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from conftest import EXAMPLE, ROOT, write_notes

from firmripe import __version__, progress
from firmripe.cli import main

ONE_TREE = {"trees/1-01.md": "---\ncultivar: Bartlett\n---\n"}
HOME = {
    **ONE_TREE,
    "place.md": "---\nname: Home\nzone: 6b\nlatitude: 42 N\nlongitude: 74 W\n---\n",
    "records/2027.csv": "date,tree,what\n2027-05-02,1-01,full bloom\n",
}
FAULTY = {
    "trees/1-01.md": "---\ncultivar: Bartlet\n---\n",
    "trees/1-02.md": "---\nkultivar: Bosc\n---\n",
}
NOT_FOR_HELP = (
    "msgspec",
    "babel",
    "watchfiles",
    "http.server",
    "yaml",
    "jinja2",
    "markdown",
    "icalendar",
    "numpy",
    "dateutil",
    "nh3",
)
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(ROOT / "generator")}


def run(*words: str | Path | int) -> Result:
    """Run a command line in this process."""
    return CliRunner().invoke(main, [str(word) for word in words])


def python(*words: str, where: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Run Python as a program of its own."""
    return subprocess.run(  # noqa: S603 - our own words
        [sys.executable, *words], capture_output=True, text=True, env=ENVIRONMENT, cwd=where, check=False, timeout=120
    )


# Help


def test_help_shows_the_commands_with_an_example() -> None:
    """Whoever asks for help sees what there is and a line to copy."""
    result = run("--help")

    assert result.exit_code == 0
    assert "Example: firmripe build notes --out site --season 2027" in result.output
    assert re.search(r"^  build +\S", result.output, re.MULTILINE)


def test_a_command_explains_its_options_with_their_defaults() -> None:
    """Each option of a build says what it does and what holds without it."""
    text = " ".join(run("build", "-h").output.split())

    for part in (
        "--out PATH Folder for the site. [default: FOLDER/site, or FOLDER/site-for-NAME]",
        "--for NAME Make it for one person or house of place.md, the household or everybody. [default: household]",
        "--season",
        "--as-of DAY",
        "[default: today]",
    ):
        assert part in text


def test_the_version_is_the_packages() -> None:
    """The version has one place."""
    assert run("--version").output == f"firmripe, version {__version__}\n"


@pytest.mark.parametrize("words", ["['--help']", "['build', '--help']", "['--version']"])
def test_help_is_quick_because_it_loads_nothing_heavy(words: str) -> None:
    """Asking for help loads none of the packages that a build needs."""
    code = (
        "import sys\nfrom firmripe.cli import main\n"
        f"try:\n    main({words})\nexcept SystemExit as error:\n    assert not error.code\n"
        f"loaded = [name for name in {NOT_FOR_HELP} if name in sys.modules]\n"
        "print('loaded:', *loaded)"
    )
    done = python("-c", code)

    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[-1] == "loaded:"


def test_what_a_build_seldom_needs_is_not_loaded_with_it() -> None:
    """What checks and gathers notes, solves kitchens, knows languages, photos and QR codes waits until it is asked."""
    seldom = ("firmripe.doubts", "firmripe.gathering", "highspy", "babel", "PIL", "segno", "http.client", "difflib")
    done = python("-c", f"import sys, firmripe.build\nprint([name for name in {seldom} if name in sys.modules])")

    assert done.stdout.splitlines() == ["[]"], done.stderr


@pytest.mark.parametrize("settled", [True, False])
def test_a_command_ends_without_a_look_for_what_nobody_needs(*, settled: bool) -> None:
    """What leads back to itself is found by such a look alone; the system takes it back all the same."""
    code = (
        "import sys\nfrom firmripe.spreading import settle_in\n"
        "class Ring:\n    def __del__(self):\n        print('looked')\n"
        f"for _ in range(2 * {settled:d}):\n    settle_in()\n"
        "ring = Ring()\nring.itself = ring\ndel ring\nprint('done')"
    )

    assert python("-c", code).stdout.split() == (["done"] if settled else ["done", "looked"])


# A build


def test_a_build_says_what_it_wrote_and_where(tmp_path: Path) -> None:
    """The report counts trees, jobs and files, and names the page to open and the feed."""
    notes, out = write_notes(tmp_path / "notes", HOME), tmp_path / "out"
    result = run("build", notes, "--out", out, "--season", "2027", "--as-of", "2027-06-01")

    assert result.exit_code == 0, result.output
    head, wrote, feed = result.output.splitlines()[:3]
    told = (out / "feeds" / "reminders.ics").read_text(encoding="utf-8").count("BEGIN:VEVENT")
    assert told > 0
    assert re.fullmatch(
        rf"Home, season 2027, as known on Tue 1 Jun 2027: 1 tree, \d+ dated jobs, {told} events in the calendar feed\.",
        head,
    )
    files = [path for path in out.rglob("*") if path.is_file()]
    assert wrote == f"Wrote {len(files) - 1} files. Open {out / 'index.html'}"
    assert feed == f"Calendar feed: {out / 'feeds' / 'reminders.ics'}"
    assert (out / "index.html").is_file()
    assert (out / "feeds" / "reminders.ics").is_file()


def test_a_first_build_after_the_season_promises_no_events(tmp_path: Path) -> None:
    """What is past when calendars are first told stands in none, and the report doesn't count it."""
    notes, out = write_notes(tmp_path / "notes", HOME), tmp_path / "out"
    result = run("build", notes, "--out", out, "--season", "2027", "--as-of", "2027-12-28")

    assert "BEGIN:VEVENT" not in (out / "feeds" / "reminders.ics").read_text(encoding="utf-8")
    assert " dated jobs, nothing yet in the calendar feed." in result.output


def test_a_build_tells_a_metric_household_in_its_units(tmp_path: Path) -> None:
    """As its pages do."""
    place = "units: metric\nspaces: [{name: fridge, temperature: 4 C}]"
    files = {"place.md": f"---\n{place}\n---\n", "trees/old.md": "---\nfruit: european-pear\n---\n"}
    result = run("build", write_notes(tmp_path / "notes", files), "--out", tmp_path / "site", "--as-of", "2027-06-01")
    assert "the fridge is 4 °C (39 °F), too warm for the 1–3 months printed for 0–2 °C (32–35 °F)" in result.output


def test_a_build_says_what_it_could_not_date(tmp_path: Path) -> None:
    """What has no date is listed with the reason."""
    notes = write_notes(tmp_path, {"trees/1-01.md": "---\ncultivar: Bartlett\nbears from: 2030\n---\n"})
    result = run("build", notes, "--season", "2027", "--as-of", "2027-06-01")

    assert result.exit_code == 0, result.output
    lines = result.output.splitlines()
    assert lines[3] == "Without a date:"
    assert "  pick of Bartlett (1-01): young tree: no crop looked for before 2030" in lines[4:]


def test_a_build_tells_many_trees_of_a_kind_in_one_line(tmp_path: Path) -> None:
    """What is so of many trees is said once, with the first of them and how many more there are."""
    trees = {f"trees/{at}-01.md": "---\ncultivar: Bartlett\nbears from: 2030\n---\n" for at in range(1, 9)}
    bosc = "---\ncultivar: Bosc\nbears from: 2029\n---\n"
    notes = write_notes(tmp_path, {**trees, "trees/9-01.md": bosc})
    result = run("build", notes, "--season", "2027", "--as-of", "2027-06-01")
    told = [line for line in result.output.splitlines() if line.startswith("  pick of")]

    assert told == [
        "  pick of Bartlett (1-01, 2-01, 3-01, 4-01, 5-01, 3 more): young tree: no crop looked for before 2030",
        "  pick of Bosc (9-01): young tree: no crop looked for before 2029",
    ]


def test_one_tree_with_any_name_is_enough(tmp_path: Path) -> None:
    """The least notes that there can be make a site."""
    notes = write_notes(tmp_path, {"trees/old.md": "---\ncultivar: Grandmother's\nfruit: pear\n---\n"})
    result = run("build", notes, "--as-of", "2027-06-01")

    assert result.exit_code == 0, result.output
    assert "Grandmother" in (notes / "site" / "trees" / "old.html").read_text(encoding="utf-8")


def test_a_build_without_a_word_builds_the_folder_it_stands_in(tmp_path: Path) -> None:
    """As a program of its own, in the notes' folder, it needs no argument; a second time it builds over the first."""
    write_notes(tmp_path, HOME)
    for _ in range(2):
        done = python("-m", "firmripe", "build", where=tmp_path)
        assert done.returncode == 0, done.stderr
        assert done.stderr == ""
        assert f"season {date.today().year}" in done.stdout  # noqa: DTZ011 - as the program itself asks
    assert (tmp_path / "site" / "index.html").is_file()


def test_the_season_is_that_of_the_day_of_knowledge(tmp_path: Path) -> None:
    """Without a season the plan is for the one that the day lies in, in the south from July for the next year."""
    notes = write_notes(tmp_path, {**ONE_TREE, "place.md": "---\nname: Home\nlatitude: 42 S\n---\n"})

    assert "season 2027," in run("build", notes, "--as-of", "2026-10-01").output
    assert "season 2026," in run("build", notes, "--as-of", "2026-06-30").output


def test_the_same_notes_build_the_same_bytes(tmp_path: Path) -> None:
    """Two builds of one day differ in nothing."""
    notes = write_notes(tmp_path / "notes", HOME)
    sites = []
    for name in ("a", "b"):
        run("build", notes, "--out", tmp_path / name, "--as-of", "2027-06-01")
        top = tmp_path / name
        sites.append({p.relative_to(top): p.read_bytes() for p in top.rglob("*") if p.is_file()})

    assert sites[0]
    assert sites[0] == sites[1]


# What goes wrong


def test_faulty_notes_are_all_named_and_nothing_is_written(tmp_path: Path) -> None:
    """Every fault is named at once on the error output, with what to write instead, and there is no site."""
    notes = write_notes(tmp_path, FAULTY)
    result = run("build", notes)

    assert result.exit_code == 1
    assert result.stdout == ""
    assert "trees/1-01.md:2: " in result.stderr
    assert 'did you mean "Bartlett"?' in result.stderr
    assert "trees/1-02.md:2: " in result.stderr
    assert 'did you mean "cultivar"?' in result.stderr
    assert result.stderr.rstrip().endswith("problems in 2 files; nothing was written.")
    assert not (notes / "site").exists()


def test_faulty_notes_leave_the_former_site(tmp_path: Path) -> None:
    """A site that stands is not touched by notes that can't be read."""
    notes = write_notes(tmp_path, HOME)
    assert run("build", notes, "--as-of", "2027-06-01").exit_code == 0
    before = (notes / "site" / "index.html").read_bytes()
    write_notes(tmp_path, FAULTY)

    assert run("build", notes, "--as-of", "2027-06-02").exit_code == 1
    assert (notes / "site" / "index.html").read_bytes() == before


@pytest.mark.parametrize(
    ("day", "said"),
    [
        ("03/04/2027", '"03/04/2027" can mean 4 Mar 2027 or 3 Apr 2027'),
        ("2027-02-30", '"2027-02-30" is not a day of the calendar'),
        ("soon", '"soon" is not a day'),
    ],
)
def test_a_day_that_cannot_be_read_is_a_wrong_word(tmp_path: Path, day: str, said: str) -> None:
    """A wrong day is a usage error that says what is wrong and what to write."""
    result = run("build", write_notes(tmp_path, HOME), "--as-of", day)

    assert result.exit_code == 2
    assert said in " ".join(result.stderr.split())
    assert "2027-08-20" in result.stderr


def test_a_folder_that_is_not_there_is_a_wrong_word(tmp_path: Path) -> None:
    """An unknown folder is named."""
    result = run("build", tmp_path / "nowhere")

    assert result.exit_code == 2
    assert f"there is no folder {tmp_path / 'nowhere'}" in result.stderr


@pytest.mark.parametrize("year", ["1066", "soon"])
def test_a_season_is_a_year_of_our_times(tmp_path: Path, year: str) -> None:
    """A slip in the year is a usage error."""
    assert run("build", write_notes(tmp_path, HOME), "--season", year).exit_code == 2


def test_a_folder_of_other_things_is_not_built_over(tmp_path: Path) -> None:
    """A refusal says why, that nothing was written, and leaves everything."""
    notes, out = write_notes(tmp_path / "notes", HOME), tmp_path / "letters"
    write_notes(out, {"dear.txt": "dear"})
    result = run("build", notes, "--out", out, "--as-of", "2027-06-01")

    assert result.exit_code == 1
    assert "holds files that are not a site built here" in result.stderr
    assert "Nothing was written" in result.stderr
    assert [path.name for path in out.iterdir()] == ["dear.txt"]


def test_the_notes_are_not_built_over(tmp_path: Path) -> None:
    """Naming the notes' own folder for the site does them no harm."""
    notes = write_notes(tmp_path, HOME)
    result = run("build", notes, "--out", notes, "--as-of", "2027-06-01")

    assert result.exit_code == 1
    assert {p.relative_to(notes).as_posix() for p in notes.rglob("*") if p.is_file()} == set(HOME)


# Why, and how past dates held


def test_explain_says_why_a_date_is_what_it_is(tmp_path: Path) -> None:
    """One event of one tree, with its reasons; without an event, all of them."""
    late = HOME["records/2027.csv"].replace("05-02", "05-12")
    notes = write_notes(tmp_path, {**HOME, "records/2027.csv": late})
    pick = run("explain", "1-01", "pick", "--in", notes, "--season", "2027", "--as-of", "2027-06-01")
    every = run("explain", "1-01", "--in", notes, "--season", "2027", "--as-of", "2027-06-01")

    assert pick.exit_code == every.exit_code == 0, pick.output + every.output
    assert "This season’s full bloom of this tree" in pick.output
    assert "seen and noted" not in pick.output
    assert "seen and noted" in every.output
    assert len(every.output) > len(pick.output)


@pytest.mark.parametrize(
    ("words", "said"),
    [(["1-10"], 'no tree has the tag "1-10"'), (["1-01", "lunch"], '"lunch" is not an event')],
)
def test_explain_knows_its_trees_and_events(tmp_path: Path, words: list[str], said: str) -> None:
    """A wrong tag or event is a usage error with what could be meant."""
    result = run("explain", *words, "--in", write_notes(tmp_path, HOME), "--as-of", "2027-06-01")

    assert result.exit_code == 2
    assert said in " ".join(result.stderr.split())


def test_hindcast_says_when_there_is_nothing_to_play_again(tmp_path: Path) -> None:
    """A first season has no past."""
    result = run("hindcast", write_notes(tmp_path, HOME), "--as-of", "2027-06-01")

    assert result.exit_code == 0, result.output
    assert "nothing to play again" in result.output


def test_explain_says_what_would_give_a_date(tmp_path: Path) -> None:
    """Where there is no date it says why and what to note; a tree that was taken out has none to explain."""
    notes = write_notes(
        tmp_path,
        {
            "fruits/odd.md": "---\nname: Odd\n---\n",
            "trees/1-01.md": "---\ncultivar: unknown\nfruit: odd\n---\n",
            "trees/1-02.md": "---\ncultivar: Bartlett\n---\n",
            "records/2027.csv": "date,tree,what\n2027-02-01,1-02,removed\n",
        },
    )
    unknown = run("explain", "1-01", "pick", "--in", notes, "--as-of", "2027-06-01").output

    assert "no date, " in unknown
    assert "To get one: " in unknown
    assert run("explain", "1-02", "--in", notes, "--as-of", "2027-06-01").output == "Tree 1-02 stands no more.\n"


def test_hindcast_plays_the_seasons_on_record_again() -> None:
    """Each earlier season of the example has its scores, and each of its picks a line."""
    result = run("hindcast", EXAMPLE, "--season", "2027", "--as-of", "2027-08-28")

    assert result.exit_code == 0, result.output
    lines = result.output.splitlines()
    assert lines[0] == "Over all seasons:"
    assert [line for line in lines if line.startswith("Season ")] == ["Season 2024:", "Season 2025:", "Season 2026:"]
    assert sum(", picked " in line for line in lines) >= 20
    assert sum(", in full bloom " in line for line in lines) >= 5


# Every command


COMMANDS = (
    *("start", "add", "note", "gather", "new-season", "check", "preview"),
    *("build", "build-many", "explain", "hindcast", "shelf"),
)


def test_the_commands_are_those() -> None:
    """No other, and none missing."""
    assert sorted(main.commands) == sorted(COMMANDS)


@pytest.mark.parametrize("command", COMMANDS)
def test_each_command_shows_one_real_example(command: str) -> None:
    """The example is a line of that command that can be typed."""
    text = " ".join(run(command, "--help").output.split())

    assert text.count("Example: firmripe ") == 1
    assert f"Example: firmripe {command} " in text


@pytest.fixture
def unwatched(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let a preview end at once, as after Ctrl-C."""

    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("firmripe.preview.watch", stopped)


@pytest.mark.usefixtures("unwatched")
@pytest.mark.parametrize("command", COMMANDS)
def test_the_example_of_each_command_works(command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Typed as it stands, where the folder it names is there, or for a start is not."""
    if command != "start":
        for folder in ("notes", "households/mill"):
            write_notes(tmp_path / folder, {**HOME, "trees/1-02.md": ONE_TREE["trees/1-01.md"]})
    write_notes(tmp_path, {"wren.txt": "2027-08-28,1-02,first pick,31 lb,good size\n"})
    monkeypatch.setattr("firmripe.cli._today", lambda: date(2027, 9, 1))
    monkeypatch.chdir(tmp_path)
    epilog = main.commands[command].epilog or ""
    program, *words = shlex.split(epilog.removeprefix("Example: "))
    words += ["--port", "0"] if command == "preview" else []  # another program may hold the usual one
    result = run(*words)

    assert program == "firmripe"
    assert result.exit_code == 0, result.output


@pytest.mark.usefixtures("unwatched")
@pytest.mark.parametrize(("words", "warned"), [([], 0), (["--lan"], 1)])
def test_a_preview_for_the_network_is_warned_of(tmp_path: Path, words: list[str], warned: int) -> None:
    """Only where it is asked for, and before the first page is shown."""
    result = run("preview", write_notes(tmp_path, HOME), "--port", "0", "--as-of", "2027-06-01", *words)

    assert result.exit_code == 0, result.output
    assert result.stderr.count("Everybody on your network can read these pages now") == warned
    assert re.search(r"^Open http://127\.0\.0\.1:\d+/[\w-]{22}/ \(Ctrl-C ends it\)$", result.stdout, re.MULTILINE)
    assert {p.relative_to(tmp_path).as_posix() for p in tmp_path.rglob("*") if p.is_file()} == set(HOME)


@pytest.mark.usefixtures("unwatched")
def test_a_preview_of_faulty_notes_tells_of_them_and_goes_on(tmp_path: Path) -> None:
    """What is wrong stands on the error output too, and the page can be opened."""
    result = run("preview", write_notes(tmp_path, FAULTY), "--port", "0")

    assert 'did you mean "Bartlett"?' in result.stderr
    assert result.stdout.startswith("Open http://127.0.0.1:")


def test_a_preview_on_a_port_in_use_says_what_to_do(tmp_path: Path) -> None:
    """No traceback, and another port is named."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        result = run("preview", write_notes(tmp_path, HOME), "--port", port)

    assert result.exit_code == 1
    assert result.stderr == f"port {port} can't be used: Address already in use; try --port 0\n"


def test_the_shell_can_complete_commands() -> None:
    """The line in content/USING.md works."""
    done = subprocess.run(
        [sys.executable, "-c", "import sys; sys.argv[0] = 'firmripe'; from firmripe.cli import main; main()"],
        env={**ENVIRONMENT, "_FIRMRIPE_COMPLETE": "bash_complete", "COMP_WORDS": "firmripe pre", "COMP_CWORD": "1"},
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )

    assert done.stdout.split() == ["plain,preview"]
    assert "_FIRMRIPE_COMPLETE=bash_source" in (ROOT / "content" / "USING.md").read_text(encoding="utf-8")


# Check


def test_a_check_of_sound_notes_ends_with_nothing_wrong(tmp_path: Path) -> None:
    """Warnings stand apart, with their number, and do not count as wrong."""
    result = run("check", write_notes(tmp_path, HOME), "--as-of", "2027-06-01")

    assert result.exit_code == 0
    assert result.output == (
        "Warnings (a build does not mind them):\n\nplace.md: no elevation is written\n"
        "      add elevation: 2,150 ft; it moves dates, and canning times hang on it\n\n"
        "0 problems, 1 warning; a build would work.\n"
    )
    assert {p.relative_to(tmp_path).as_posix() for p in tmp_path.rglob("*") if p.is_file()} == set(HOME)


def test_a_check_names_every_problem_and_every_warning(tmp_path: Path) -> None:
    """Each kind by itself; it ends with 1."""
    notes = write_notes(tmp_path, {**FAULTY, "trees/old.txt": "x"})
    result = run("check", notes)

    assert result.exit_code == 1
    assert 'did you mean "Bartlett"?' in result.output
    assert "trees/old.txt: this file is not read\n      only files that end in .md are read here" in result.output
    assert result.output.endswith("1 warning; a build would stop here.\n")


@pytest.mark.parametrize(
    ("files", "said"),
    [
        ({"place.md": "---\nname: Home\n---\n"}, "place.md: neither zone nor latitude is written"),
        ({"place.md": "---\nlatitude: 42 N\n---\n"}, "place.md: the latitude stands without a longitude"),
        ({"place.md": "---\nlongitude: 74 W\nzone: 6b\n---\n"}, "place.md: the longitude stands without a latitude"),
        ({"place.md": "---\nkitchens: [{name: low}]\n---\n"}, 'place.md: the kitchen "low" has no elevation'),
        ({"trees/x.md": "---\ncultivar: Old Thing\n---\n"}, 'no kind of fruit is known for "Old Thing"'),
        ({"trees/x.md": "---\ncultivar: Old Thing\nfruit: pear\n---\n"}, 'nothing is known of "Old Thing" itself'),
        (
            {
                "trees/x.md": "---\ncultivar: Wall\n---\n",
                "cultivars/wall.md": "---\nfruit: european-pear\nuses: [a]\n---\n",
            },
            'no date of "Wall" itself is known; its dates lean on European pear',
        ),
        ({"records/2024.csv": "date,what\n2024-05-02,frost\n"}, "the bloom of tree 1-01 has never been noted"),
        (
            {"records/2023.csv": "date,tree,what\n2023-05-02,1-01,full bloom\n"},
            "the bloom of tree 1-01 was last noted in 2023",
        ),
        (
            {"trees/x.md": "---\ncultivar: Bosc\npinned: [{pick: 2027-05-20}]\n---\n"},
            "Bosc (x): its pick was looked for until Thu 20 May, and none is noted\n      was it picked? Note its",
        ),
        ({"records/2027.csv": "date,what\n2027-07-02,frost\n"}, "records/2027.csv:2: 2027-07-02 is still to come"),
        ({"weather/2027.csv": "date,tmin_f,tmax_f\n2027-01-01,30,40\n2027-01-09,30,40\n"}, "weather: no weather from"),
        ({"records/notes.xlsx": ""}, "records/notes.xlsx: this file is not read"),
    ],
)
def test_what_is_odd_is_a_warning(tmp_path: Path, files: dict[str, str], said: str) -> None:
    """A build works with it, and the dates would be better without it."""
    result = run("check", write_notes(tmp_path, {**ONE_TREE, **files}), "--as-of", "2027-06-01")

    assert result.exit_code == 0, result.output
    assert said in result.output


def test_a_check_reads_the_ledger_of_the_feeds(tmp_path: Path) -> None:
    """A merge left half done would stop a build, so a check names it."""
    notes = write_notes(tmp_path, HOME)
    assert run("build", notes, "--as-of", "2027-06-01").exit_code == 0
    ledger = notes / "feeds.ledger"
    lines = ledger.read_text(encoding="utf-8").splitlines()
    ledger.write_text("\n".join([*lines[:2], "<<<<<<< ours", *lines[2:], ""]), encoding="utf-8")
    checked, built = run("check", notes, "--as-of", "2027-06-01"), run("build", notes, "--as-of", "2027-06-01")

    assert (checked.exit_code, built.exit_code) == (1, 1)
    said = (
        "feeds.ledger:3: a merge was left half done here\n    3 | <<<<<<< ours\n        ^^^^^^^^^^^^\n"
        "      take this line out and keep the lines of both sides; of doubled ones the build takes the newer\n"
    )
    assert said in checked.output
    assert said in built.output


def test_a_check_for_scripts_has_the_documented_fields(tmp_path: Path) -> None:
    """The same as JSON."""
    result = run("check", write_notes(tmp_path, FAULTY), "--json")
    told = json.loads(result.stdout)

    assert result.exit_code == 1
    assert set(told) == {"problems", "warnings", "counts"}
    assert told["counts"] == {"problems": len(told["problems"]), "warnings": len(told["warnings"])}
    assert told["problems"][0] == {
        "file": "trees/1-01.md",
        "line": 2,
        "column": 11,
        "length": 7,
        "text": "cultivar: Bartlet",
        "message": 'the cultivar "Bartlet" is not known',
        "hint": 'did you mean "Bartlett"? If not, add fruit: and what kind of fruit it is',
    }


def test_an_explanation_for_scripts_has_the_documented_fields(tmp_path: Path) -> None:
    """The same as JSON."""
    result = run("explain", "1-01", "pick", "--in", write_notes(tmp_path, HOME), "--as-of", "2027-06-01", "--json")
    told = json.loads(result.stdout)

    assert set(told) == {"tree", "season", "as_of", "events", "learned", "to_look_into"}
    (event,) = told["events"]
    assert event["event"] == "pick"
    assert event["earliest"] <= event["likely"] <= event["latest"]
    assert {"text", "days", "sources"} == set(event["reasons"][0])


@pytest.mark.parametrize("words", [["check"], ["build"]])
def test_quiet_says_nothing_where_nothing_is_wrong(tmp_path: Path, words: list[str]) -> None:
    """And what is wrong all the same."""
    assert run(*words, write_notes(tmp_path / "good", HOME), "--quiet").output == ""
    assert "did you mean" in run(*words, write_notes(tmp_path / "bad", FAULTY), "--quiet").output


def test_colour_is_for_terminals_and_never_against_somebodys_wish(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Marks and places are painted; the words are the same without."""
    notes = str(write_notes(tmp_path, FAULTY))
    plain = CliRunner().invoke(main, ["check", notes]).output
    painted = CliRunner().invoke(main, ["check", notes], color=True).output
    monkeypatch.setenv("NO_COLOR", "1")
    refused = CliRunner().invoke(main, ["check", notes], color=True).output

    assert "\x1b[31m" in painted
    assert re.sub(r"\x1b\[[0-9]+m", "", painted) == plain == refused


# Start, add and preview


def test_start_and_add_make_a_household_that_builds(tmp_path: Path) -> None:
    """From nothing to a site in three lines."""
    notes = tmp_path / "notes"
    where = ("--zone", "6b", "--latitude", "42 N", "--longitude", "74.2 W")
    begun = run("start", notes, *where, "--tree", "Bartlett", "--tree", "Gate Pear, pear")
    added = run("add", "tree", "Bosc", "--in", notes)
    built = run("build", notes, "--quiet")

    assert [begun.exit_code, added.exit_code, built.exit_code] == [0, 0, 0], begun.output + added.output + built.output
    assert begun.output.endswith(f"Next: firmripe preview {notes}\n")
    assert added.output == f"Wrote {notes / 'trees' / 'bosc.md'}\n"
    assert (notes / "site" / "trees" / "bosc.html").is_file()


@pytest.mark.parametrize(
    ("latitude", "year"),
    [("-33", 2028), ("−33", 2028), ("–33", 2028), ("33 S", 2028), ("33 N", 2027), ("", 2027)],
)
def test_start_takes_the_season_of_its_half_of_the_earth(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, latitude: str, year: int
) -> None:
    """Whatever sign stands for minus: on 1 September 2027 the south is in the season of the next harvest."""
    monkeypatch.setattr("firmripe.cli._today", lambda: date(2027, 9, 1))
    notes = tmp_path / "notes"
    result = run("start", notes, "--latitude", latitude, "--longitude", "−70.6", "--tree", "Bartlett")

    assert result.exit_code == 0, result.output
    assert [path.name for path in (notes / "records").iterdir()] == [f"{year}.csv"]
    assert "−70.6" in (notes / "place.md").read_text(encoding="utf-8")
    assert run("check", notes).exit_code == 0


def test_start_asks_on_a_terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each question can be passed over, and asks again where the answer can't be read."""
    monkeypatch.setattr("firmripe.cli._on_a_terminal", lambda: True)
    answers = "Home\n60\n6b\n\n\n\nBartlett\nquince\n\n"
    result = CliRunner().invoke(main, ["start", str(tmp_path / "notes")], input=answers)

    assert result.exit_code == 0, result.output
    assert '"60" is not a hardiness zone' in result.output
    assert "zone: 6b" in (tmp_path / "notes" / "place.md").read_text(encoding="utf-8")
    assert {path.name for path in (tmp_path / "notes" / "trees").iterdir()} == {"bartlett.md", "quince.md"}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["start", "{}", "--tree", "Bosc"], "is there already and not empty"),
        (["start", "{}/new", "--tree", "Boscc"], 'did you mean "Bosc"?'),
        (["start", "{}/new", "--height", "2150"], "has no unit of height"),
        (["start", "{}/new"], "name one, as --tree Bartlett"),
        (["add", "tree", "Boscc", "--in", "{}"], 'did you mean "Bosc"?'),
        (["add", "shed", "x", "--in", "{}"], "'shed' is not one of"),
        (["add", "tree", "Bosc", "--in", "{}/nowhere"], "there is no folder"),
    ],
)
def test_a_slip_in_start_or_add_is_a_wrong_word(tmp_path: Path, words: list[str], said: str) -> None:
    """It ends with 2 and nothing is written."""
    notes = write_notes(tmp_path, HOME)
    result = run(*(word.format(notes) for word in words))

    assert result.exit_code == 2
    assert said in " ".join(result.stderr.split())
    assert not (notes / "new").exists()


def test_a_build_changes_none_of_the_notes(tmp_path: Path) -> None:
    """It adds the feeds' ledger and the site, and nothing else."""
    notes = write_notes(tmp_path, HOME)
    before = {name: (notes / name).read_bytes() for name in HOME}
    assert run("build", notes).exit_code == 0

    assert {name: (notes / name).read_bytes() for name in HOME} == before
    top = {path.name for path in notes.iterdir()}
    assert top == {"trees", "place.md", "records", "site", "feeds.ledger"}


def test_work_that_takes_long_says_so_on_a_terminal_alone(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """After a second, on the error output, and it is wiped away again."""
    monkeypatch.setattr(progress, "_PATIENCE_S", 0.01)
    with progress.working("Reading"):
        time.sleep(0.1)
    assert capsys.readouterr().err == ""
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    with progress.working("Reading"):
        time.sleep(0.2)
    said = capsys.readouterr().err

    assert "\rReading, 1 s …" in said
    assert said.endswith("\r")
    with progress.working("Reading", quiet=True):
        time.sleep(0.1)
    assert capsys.readouterr().err == ""


# A site for somebody


SHARED_HOME = {
    **HOME,
    "place.md": (
        "---\nname: Home\npeople: [{name: Wren, phone: 555 010 0123}, {name: Petra, household: lane house}]\n---\n"
    ),
}


def test_a_site_for_somebody_lies_in_a_folder_of_its_own(tmp_path: Path) -> None:
    """The closing line says whom it is for; the household's site and the ledger of its feeds stay as they are."""
    notes = write_notes(tmp_path, SHARED_HOME)
    ours = run("build", notes, "--as-of", "2027-06-01")
    ledger = (notes / "feeds.ledger").read_bytes()
    hers = run("build", notes, "--as-of", "2027-06-01", "--for", "WREN")
    open_to_all = run("build", notes, "--as-of", "2027-06-01", "--for", "everybody")

    assert ours.output.splitlines()[-1].startswith("For the household: private notes, contacts or sprays are in it.")
    assert hers.output.splitlines()[-1].startswith("For Wren: ")
    assert open_to_all.output.splitlines()[-1].startswith("For everybody: without private notes, people, contacts")
    assert (notes / "feeds.ledger").read_bytes() == ledger
    assert (notes / "site-for-wren" / "people.html").is_file()
    assert not (notes / "site-for-everybody" / "people.html").exists()
    assert b"555 010 0123" in (notes / "site" / "people.html").read_bytes()


def test_a_site_is_never_replaced_by_another_readers(tmp_path: Path) -> None:
    """Or what is private would stand where strangers have been reading, and the other way about."""
    notes = write_notes(tmp_path / "notes", SHARED_HOME)
    run("build", notes, "--out", tmp_path / "out", "--as-of", "2027-06-01", "--for", "everybody")
    former = {path: path.read_bytes() for path in (tmp_path / "out").rglob("*") if path.is_file()}
    result = run("build", notes, "--out", tmp_path / "out", "--as-of", "2027-06-01")

    assert result.exit_code == 1
    assert (
        "holds the site for everybody, and this one is for the household; name another folder with --out"
        in result.output
    )
    assert {path: path.read_bytes() for path in (tmp_path / "out").rglob("*") if path.is_file()} == former


def test_an_unknown_reader_ends_the_build(tmp_path: Path) -> None:
    """With the nearest name, and with nothing written."""
    notes = write_notes(tmp_path, SHARED_HOME)
    result = run("build", notes, "--for", "lane hous")

    assert result.exit_code == 2
    assert '"lane hous" is nobody in place.md; did you mean "lane house"?' in result.output
    assert not (notes / "site").exists()


def test_the_notes_can_say_that_the_site_is_for_everybody(tmp_path: Path) -> None:
    """Then a build without a word is, and keeps the ledger."""
    place = SHARED_HOME["place.md"].replace("name: Home", "name: Home\nsite for: everybody")
    notes = write_notes(tmp_path, {**SHARED_HOME, "place.md": place})
    result = run("build", notes, "--as-of", "2027-06-01")

    assert result.exit_code == 0, result.output
    assert not (notes / "site" / "people.html").exists()
    assert (notes / "feeds.ledger").is_file()
