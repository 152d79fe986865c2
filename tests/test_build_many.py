"""Many places in one run: parts make the whole, a place is built when something changed, and one bad one stops none."""

from __future__ import annotations

import importlib
import os
import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from conftest import write_notes

from firmripe import many
from firmripe.cli import main
from firmripe.spreading import on_cores

IN_CI = os.environ.get("FIRMRIPE_CI") == "1"  # there the package of clusters is installed, and nothing may be skipped
DAY = "2027-06-01"
NOTES = {"trees/1-01.md": "---\ncultivar: Bartlett\n---\n"}
PLACE = "---\nname: {name}\nzone: 6b\nlatitude: 42 N\nlongitude: 74 W\n---\n"
TABLE = 'name,latitude,longitude,elevation,zone\nHill,42 N,74 W,"2,000 ft",5b\nVale,41 N,75 W,,6b\n'


def run(*words: str | Path | int) -> Result:
    """Run the command, on one core, as known on one day."""
    return CliRunner().invoke(main, ["build-many", *map(str, words), "--as-of", DAY, "--cores", "1"])


def household(name: str, *, cultivar: str = "Bartlett") -> dict[str, str]:
    """Return the notes of a household by their names in the folder of all."""
    tree = f"---\ncultivar: {cultivar}\n---\n"
    return {f"{name}/place.md": PLACE.format(name=name.title()), f"{name}/trees/1-01.md": tree}


def files_in(top: Path) -> dict[str, bytes]:
    """Return what lies in a folder by name, without what tells from what it was made."""
    paths = [path for path in top.rglob("*") if path.is_file() and ".built" not in path.parts]
    return {path.relative_to(top).as_posix(): path.read_bytes() for path in paths}


def stamps(top: Path) -> dict[Path, tuple[int, int]]:
    """Return when and as what each file was last written."""
    return {path: (path.stat().st_mtime_ns, path.stat().st_ino) for path in top.rglob("*") if path.is_file()}


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder of two households and one that can't be built, with their sites."""
    top = tmp_path_factory.mktemp("many")
    write_notes(top / "all", household("mill") | household("barn") | household("weir", cultivar="Bartlet"))
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("firmripe.cli._today", lambda: date.fromisoformat(DAY))
        result = run(top / "all")
    assert result.exit_code == 1, result.output
    (top / "said").write_text(f"{result.stdout}\n---\n{result.stderr}", encoding="utf-8")
    return top


@pytest.fixture
def again(built: Path, tmp_path: Path) -> Path:
    """Return a copy of that folder of households."""
    shutil.copytree(built / "all", tmp_path / "all")
    return tmp_path / "all"


def test_one_bad_place_is_named_and_the_others_are_built(built: Path) -> None:
    """Its fault stands with file and line, the others have their sites and stand on the page of all."""
    said, _, wrong = (built / "said").read_text(encoding="utf-8").partition("\n---\n")
    sites = built / "all" / "sites"

    assert "weir is not built:\ntrees/1-01.md:2: " in wrong
    assert said.splitlines()[0] == "2 places built, 1 not built."
    assert "A place took one core" in said
    assert (sites / "barn" / "index.html").is_file()
    assert not (sites / "weir").exists()
    page = (sites / "index.html").read_text(encoding="utf-8")
    assert page.index('<a href="barn/index.html">Barn</a>') < page.index('<a href="mill/index.html">Mill</a>')
    assert "weir" not in page
    assert (sites / "static" / "box-tag.css").is_file()
    assert '"Mill",[],"","mill/index.html"' in (sites / "static" / "names.js").read_text(encoding="ascii")


def test_a_site_is_what_a_build_of_that_household_makes(built: Path, tmp_path: Path) -> None:
    """Nothing of a site hangs on the others that were built with it."""
    shutil.copytree(built / "all" / "mill", tmp_path / "mill")
    (tmp_path / "mill" / "feeds.ledger").unlink()
    CliRunner().invoke(main, ["build", str(tmp_path / "mill"), "--out", str(tmp_path / "site"), "--as-of", DAY])

    assert files_in(tmp_path / "site") == files_in(built / "all" / "sites" / "mill")


def test_a_second_run_writes_nothing(again: Path) -> None:
    """What stands as it would be built is left alone, to the file, also where one place failed before."""
    before = stamps(again)
    result = run(again)

    assert result.stdout.splitlines()[0] == "0 places built, 2 unchanged, 1 not built."
    assert {path: stamp for path, stamp in stamps(again).items() if before.get(path) != stamp} == {}


@pytest.mark.parametrize(
    ("file", "text"),
    [
        ("mill/records/2027.csv", "date,tree,what\n2027-05-02,1-01,full bloom\n"),
        ("mill/feeds.ledger", ""),
        ("sites/mill/index.html", "mine"),
        ("sites/.built/mill", "?"),
    ],
)
def test_what_is_not_as_it_would_be_built_is_built(again: Path, file: str, text: str) -> None:
    """A new note, another ledger, a page of another hand, a lost word of what it was made from: that place alone."""
    write_notes(again, {file: text})
    result = run(again)

    assert result.stdout.splitlines()[0] == "1 place built, 1 unchanged, 1 not built."


def test_a_file_of_any_name_may_lie_among_the_notes(tmp_path: Path) -> None:
    """An old disk hands on names that are in no UTF-8; what such a file holds counts like any other."""
    write_notes(tmp_path / "all", household("mill"))
    try:
        Path(os.fsdecode(os.fsencode(tmp_path / "all" / "mill") + b"/caf\xe9.txt")).write_bytes(b"x")
    except OSError:
        pytest.skip("this system has no such names")
    assert run(tmp_path / "all").exit_code == 0
    assert "1 unchanged" in run(tmp_path / "all").output


def test_another_program_builds_all_anew(again: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What a site was made by counts as much as its notes."""
    monkeypatch.setattr(many, "program_mark", lambda: b"another")

    assert run(again).stdout.splitlines()[0] == "2 places built, 1 not built."


def test_the_parts_make_the_whole(built: Path, tmp_path: Path) -> None:
    """Each place is in one part alone; the parts and the page of all made after them are one run's bytes."""
    shutil.copytree(built / "all", tmp_path / "all", ignore=shutil.ignore_patterns("sites", "feeds.ledger"))
    for part in ("2/2", "1/2"):
        assert "--index makes the page of all places" in run(tmp_path / "all", "--part", part).stdout
        assert not (tmp_path / "all" / "sites" / "index.html").exists()
    result = run(tmp_path / "all", "--index")

    assert result.stdout.startswith("2 places on the page of all.")
    assert files_in(tmp_path / "all" / "sites") == files_in(built / "all" / "sites")


def test_parts_share_places_out_each_once() -> None:
    """Whatever the number of parts, together they are all places, and none is much larger than another."""
    units = list(range(23))
    for parts in (1, 2, 7, 23, 40):
        shared = [many.part_of(units, f"{part}/{parts}") for part in range(1, parts + 1)]  # type: ignore[arg-type]

        assert sorted(unit for part in shared for unit in part) == units  # type: ignore[type-var]
        assert max(map(len, shared)) - min(map(len, shared)) <= 1


def test_a_table_of_places_builds_the_same_notes_at_each(tmp_path: Path) -> None:
    """Each has its own name, ground, dates, address, identity and ledger; a bad line is told, the others are built."""
    place = PLACE.format(name="Office").replace("zone: 6b\n", "zone: 9a\nsite address: https://o.example/p/\n")
    notes = write_notes(tmp_path / "notes", {**NOTES, "place.md": place})
    table = tmp_path / "counties.csv"
    table.write_text(f"{TABLE}Dale,95 N,74 W,,\nVale,40 N,73 W,,\nMoor,,73 W\n", encoding="utf-8")
    result = run(notes, "--places", table)
    sites = tmp_path / "sites"

    assert result.exit_code == 1
    assert f'dale is not built:\n{table}:4: "95 N" is not a latitude' in result.stderr
    assert f'{table}:5: the place "Vale" stood on line 3 already' in result.stderr
    assert f"{table}:6: the place has no latitude" in result.stderr
    assert result.stdout.splitlines()[0] == "2 places built, 3 not built."
    plans = {name: (sites / name / "plan.csv").read_text(encoding="utf-8") for name in ("hill", "vale")}
    rows = {name: [line.split(",") for line in text.splitlines()[1:]] for name, text in plans.items()}
    uids = {name: [row[0] for row in found] for name, found in rows.items()}
    dates = {name: [row[1] for row in found] for name, found in rows.items()}
    assert not set(uids["hill"]) & set(uids["vale"])
    assert dates["hill"] != dates["vale"]
    assert "o.example/p/vale/" in (sites / "vale" / "subscribe.html").read_text(encoding="utf-8")
    assert "zone 9a" not in (sites / "vale" / "dates.html").read_text(encoding="utf-8")
    assert sorted(path.parent.name for path in (tmp_path / "counties.ledgers").rglob("feeds.ledger")) == [
        "hill",
        "vale",
    ]
    assert not (notes / "feeds.ledger").exists()
    assert "– Office</title>" in (sites / "index.html").read_text(encoding="utf-8")


# What goes wrong


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("name,latitude\nHill,42 N\n", ":1: the table has no column longitude"),
        ("name,latitude,longitude,hight\nHill,42 N,74 W,9\n", ':1: the column "hight" is not known'),
        ("name,name,latitude,longitude\nHill,Hill,42 N,74 W\n", ':1: the column "name" stands twice'),
        ("name,latitude,longitude\n", ": the table holds no place"),
        ('name,latitude,longitude\n"Hill,42 N,74 W\n', ":2: a quote is opened here and never closed"),
        ("", ": the table holds no place"),
    ],
)
def test_a_table_that_is_none_is_named(tmp_path: Path, text: str, said: str) -> None:
    """What is wrong with the table as a whole stops the run, with its line; nothing is written."""
    notes, table = write_notes(tmp_path / "notes", NOTES), tmp_path / "places.csv"
    table.write_text(text, encoding="utf-8")
    result = run(notes, "--places", table)

    assert result.exit_code == 1
    assert f"{table}{said}" in result.stderr
    assert not (tmp_path / "sites").exists()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--part", "5/3"], '"5/3" is no part'),
        (["--part", "0/3"], '"0/3" is no part'),
        (["--part", "half"], "write which part of how many, as 3/40"),
        (["--part", "1/2", "--index"], "--index is for all places; leave out --part"),
        (["--places", "nowhere.csv"], "nowhere.csv"),
        (["--cores", "0"], "0 is not in the range"),
    ],
)
def test_a_mistyped_command_is_told(tmp_path: Path, words: list[str], said: str) -> None:
    """A wrong word is a usage error, and nothing is written."""
    write_notes(tmp_path, household("mill"))
    result = CliRunner().invoke(main, ["build-many", str(tmp_path), *words])

    assert result.exit_code == 2
    assert said in " ".join(result.stderr.split())
    assert not (tmp_path / "sites").exists()


@pytest.mark.parametrize(
    ("files", "said"),
    [
        ({}, "holds a place.md"),
        ({"mill/trees/1-01.md": ""}, "holds a place.md"),
        ({"place.md": "", "mill/place.md": ""}, "is one household; build it with `firmripe build`"),
    ],
)
def test_a_folder_without_households_is_told(tmp_path: Path, files: dict[str, str], said: str) -> None:
    """A folder in which there is no household, or that is one itself."""
    result = run(write_notes(tmp_path, files))

    assert result.exit_code == 2
    assert said in " ".join(result.stderr.split())


def test_a_folder_that_is_not_there_is_a_wrong_word(tmp_path: Path) -> None:
    """An unknown folder is named."""
    assert f"there is no folder {tmp_path / 'no'}" in " ".join(run(tmp_path / "no").stderr.split())


def test_a_table_among_the_notes_is_told(tmp_path: Path) -> None:
    """There it would be a stray table in every household's eyes."""
    notes = write_notes(tmp_path, {**NOTES, "places.csv": TABLE})

    assert "put it beside their folder" in " ".join(run(notes, "--places", notes / "places.csv").stderr.split())


@pytest.mark.parametrize("name", ["letters", "letters/dear.txt"])
def test_a_folder_of_other_things_is_not_built_into(tmp_path: Path, name: str) -> None:
    """What is no folder of sites is refused and left as it is."""
    notes = write_notes(tmp_path / "all", household("mill"))
    write_notes(tmp_path, {"letters/dear.txt": "dear"})
    result = run(notes, "--out", tmp_path / name)

    assert result.exit_code == 1
    assert str(tmp_path / name) in result.stderr
    assert [path.name for path in (tmp_path / "letters").iterdir()] == ["dear.txt"]


# Processes


def double(number: int) -> int:
    """Do a little work; at 3 the process is ended from outside."""
    if number == 3:
        os._exit(1)
    return 2 * number


def test_work_is_spread_over_processes_and_comes_back() -> None:
    """Each unit comes once with what came of it."""
    assert sorted(on_cores(double, [0, 1, 2], 2)) == [(0, 0), (1, 2), (2, 4)]


def test_a_process_that_the_system_ends_is_no_answer() -> None:
    """Whoever waits hears of it; what was done before stands."""
    found = dict(on_cores(double, [3, 4], 2))

    assert set(found) == {3, 4}
    assert found[3] is None


def test_a_cluster_without_its_package_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the extra is missing, it says what to install."""
    monkeypatch.setitem(__import__("sys").modules, "distributed", None)
    result = run(write_notes(tmp_path, household("mill")), "--dask", "tcp://127.0.0.1:1")

    assert result.exit_code == 1
    assert 'pip install "firmripe[dask]"' in result.stderr


@pytest.fixture(scope="module")
def cluster() -> Iterator[str]:
    """Return the address of a cluster of one process on this machine."""
    distributed = importlib.import_module("distributed") if IN_CI else pytest.importorskip("distributed")
    with distributed.LocalCluster(n_workers=1, threads_per_worker=1, dashboard_address=None, host="127.0.0.1") as one:
        yield one.scheduler_address


@pytest.mark.filterwarnings("default")
def test_a_cluster_builds_the_same_bytes(built: Path, tmp_path: Path, cluster: str) -> None:
    """The units that this machine's cores do, done by a cluster."""
    shutil.copytree(built / "all", tmp_path / "all", ignore=shutil.ignore_patterns("sites", "feeds.ledger"))
    result = run(tmp_path / "all", "--dask", cluster)

    assert result.stdout.splitlines()[0] == "2 places built, 1 not built."
    assert files_in(tmp_path / "all" / "sites") == files_in(built / "all" / "sites")
