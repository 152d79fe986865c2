"""What no household can mean is refused or asked about, key by key; what is rare and true is read without a word."""

from __future__ import annotations

import random
import shutil
from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path

import pytest

from firmripe import build
from firmripe.problems import FaultyNotes, Problem, refused_by_system
from firmripe.reading.reader import read_holding

SHELF = Path(__file__).resolve().parent.parent / "shelf_small"
KNOWN_ON = date(2027, 12, 1)
PLACE = {
    "zone": "6b",
    "latitude": "42 N",
    "longitude": "74 W",
    "elevation": "2,150 ft",
    "last frost": "May 14",
    "first frost": "Oct 8",
    "spaces": "[{name: cellar, temperature: 40 F, holds: 20 boxes}]",
    "kitchens": '[{name: home, elevation: "2,150 ft"}]',
    "people": "[{name: Maud, household: slope house}]",
}
TREE = {"tree": "A", "cultivar": "Bartlett"}
TASK = {"name": "Look", "when": "earliest pick"}
PRESERVE = {"name": "Butter", "fruits": "[european-pear]", "method": "freezer"}
PICKED = "2027-05-01,A,full bloom,,\n2027-08-28,A,first pick,44 lb,\n"

Case = tuple[str, str]
"""Where a value stands, `file: key`, and the value."""


def note(keys: Mapping[str, str]) -> str:
    return "\n".join(["---", *(f"{key}: {value}" for key, value in keys.items()), "---", ""])


def household(case: Case) -> dict[str, str]:
    """Return the notes of a sound household with one value in it."""
    where, value = case
    file, _, key = where.partition(": ")
    keys = {key: value} if key else {}
    notes = {
        "place.md": note({**PLACE, **(keys if file == "place" else {})}),
        "trees/A.md": note({**TREE, **(keys if file == "tree" else {})}),
        "records/2027.csv": "date,tree,what,amount,note\n" + PICKED + (f"{value}\n" if file == "record" else ""),
    }
    if file == "fruit":
        notes["cultivars/bartlett.md"] = note(keys)
    if file == "task":
        notes["tasks/look.md"] = note({**TASK, **keys})
    if file == "preserve":
        notes["preserves/butter.md"] = note({**PRESERVE, **keys})
    return notes


@pytest.fixture
def found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[Case], tuple[Problem, ...]]:
    """Return a function from a case to all that a check says of it beyond what it says of the sound household."""
    monkeypatch.setattr(build, "shelf_folder", lambda: SHELF)

    def check(case: Case) -> tuple[Problem, ...]:
        for name, text in household(case).items():
            path = tmp_path / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        findings = build.check_notes(tmp_path, KNOWN_ON)
        usual = {"the bloom of tree A", "nothing is known of", "no date of"}
        return findings.problems + tuple(w for w in findings.warnings if not w.message.startswith(tuple(usual)))

    return check


def rows(where: str, *values: str) -> list[Case]:
    return [(where, value) for value in values]


CANNER = "{name: pot, kind: boiling water, holds: [%s]}"
DAY = "[{on: Saturday, %s}]"
NONSENSE: list[Case] = [
    *rows("place: format", "0", "2", "-1", "new"),
    *rows("place: zone", "0", "14a", "-3"),
    *rows("place: zone map", "1875"),
    *rows("place: latitude", "91 N", "89 N", "75 S", "-200"),
    *rows("place: longitude", "190 E"),
    *rows("place: elevation", "60,000 ft", "5,900 m", "-600 m", "2150"),
    *rows("place: last frost", "Oct 20", "Feb 30", "frosty"),
    *rows("place: first frost", "Apr 2", "May 1"),
    *rows("place: units", "imperial"),
    *rows("place: week starts", "Blursday"),
    *rows("place: dates", "8"),
    *rows("place: language", "xx"),
    *rows("place: theme", "neon"),
    *rows("place: hemisphere", "south", "east"),
    *rows("place: site address", "my site", "ftp://x", "https://[", "https://x.example:99999/", "https://:80/"),
    *rows("place: site address", '"https://x.example/?page=1"', '"https://x.example/#top"'),
    *rows("place: feed secret", "abc"),
    *rows("place: reminder alarm", "always"),
    *rows("place: farm stand", "maybe"),
    *rows("place: site for", "the world"),
    *rows("place: box", "-22 lb", "0 lb", "2,200 lb", "22", "2 boxes"),
    *rows(
        "place: usual picks",
        "[{cultivar: Bartlett, pick: Aug 40}]",
        "[{cultivar: Bartlett, pick: Aug 2}, {cultivar: Bartlett, pick: Aug 9}]",
    ),
    *rows(
        "place: spaces",
        "[{name: a, temperature: 400 F}]",
        "[{name: a, temperature: -60 F}]",
        "[{name: a, temperature: 140 F}]",
        "[{name: a, temperature: 38}]",
        "[{name: a, Aug: 200 F}]",
        "[{name: a, holds: -3 boxes}]",
        "[{name: a, holds: 0 boxes}]",
        "[{name: a, holds: 90000 boxes}]",
        "[{name: a, holds: 20}]",
        "[{name: a, holds: 20 boxs}]",
        "[{name: a, holds: plenty}]",
        "[{name: a}, {name: A}]",
    ),
    *rows(
        "place: shares",
        "[{name: a, part: 3/2}]",
        "[{name: a, part: 0}]",
        "[{name: a, part: 140 %}]",
        "[{name: a, part: 1/3}, {name: a, part: 1/3}]",
    ),
    *rows(
        "place: wanted",
        "[{cultivar: Bartlett, on: 2072-12-24}]",
        "[{cultivar: Bartlett, on: Dec 24}]",
        "[{cultivar: Bartlett, on: 0207-12-24}]",
    ),
    *rows(
        "place: kitchens",
        "[{name: a, elevation: 40000 ft}]",
        "[{name: a, elevation: 5800 m}]",
        "[{name: a}, {name: A}]",
    ),
    *rows(
        "place: canners",
        f"[{CANNER % '7000 quarts'}]",
        f"[{CANNER % '-7 quarts'}]",
        f"[{CANNER % '0 quarts'}]",
        f"[{CANNER % '7'}]",
        f"[{CANNER % '60 pints'}]",
        "[{name: a, kind: dryer, holds: 9,000 lb}]",
        "[{name: a, kind: dryer, holds: 0 lb}]",
        "[{name: a, kind: kettle, holds: [7 quarts]}]",
    ),
    *rows(
        "place: kitchen days",
        DAY % "hours: 30",
        DAY % "hours: 0",
        DAY % "hours: -4",
        DAY % "hands: 0",
        DAY % "hands: 400",
        DAY % 'start: "25:00"',
        DAY % 'start: "2:00"',
        DAY % 'start: "22:30"',
        DAY % "during: Aug 40",
        "[{on: 2077-08-28}]",
        "[{on: Someday}]",
    ),
    *rows(
        "place: stock",
        "{jars: [-4 quarts]}",
        "{jars: [90000 quarts]}",
        "{jars: [24]}",
        "{lids: -3}",
        "{lids: 70000}",
        "{freezer: 4000 cubic feet}",
        "{freezer: 3}",
        "{freezer: 9,999 l}",
    ),
    *rows(
        "place: wants",
        "[{preserve: Pear halves in jars, amount: 0 quarts}]",
        "[{preserve: Pear halves in jars, amount: 90000 quarts}]",
        "[{preserve: Pear halves in jars, amount: -5 quarts}]",
    ),
    *rows(
        "place: people",
        "[{name: W, phone: 12}]",
        "[{name: W, phone: 1234567890123456789}]",
        "[{name: W, email: w}]",
        "[{name: W}, {name: w}]",
    ),
    *rows("tree: walk", "-4", "99999", "far"),
    *rows("tree: count", "0", "-2", "20000", "2.5"),
    *rows("tree: planted", "2090", "1066", "0", "98"),
    *rows("tree: bears from", "1200", "9999"),
    *rows("tree: days from bloom", "800 days", "2 days", "-120 days", "120"),
    *rows("tree: crop", "-40 lb", "0 lb", "90,000 lb", "40", "44 lbz", "4 bushles", "200000 fruits"),
    *rows("tree: kept by", "Muad"),
    *rows(
        "tree: pinned",
        "[{pick: 2027-09-01}, {pick: 2027-09-08}]",
        "[{pick: 2077-09-01}]",
        "[{bloom: 2027-09-20}, {pick: 2027-09-01}]",
        "[{pick: 2027-13-01}]",
        "[{pick: 2027-09-01, bloom: 2027-05-01}]",
    ),
    *rows("tree: private", "perhaps"),
    *rows("fruit: days from bloom", "800 days", "3 days"),
    *rows(
        "fruit: windows",
        "[{pick: Apr 1, place: here}, {bloom: May 1, place: here}]",
        "[{pick: Sep 99, place: here}]",
        "[{pick: Sep 1, zone: 19}]",
    ),
    *rows("fruit: offset", "{from: bosc, value: 900 days after}", "{from: bosc, value: 14 days}"),
    *rows("fruit: firmness at pick", "90 lbf", "-3 lbf", "15"),
    *rows("fruit: firmness when ready", "40 lbf", "16 lbf\nfirmness at pick: 12 lbf"),
    *rows("fruit: passes", "20000", "0", "-2", "1.5 times"),
    *rows("fruit: pass interval", "400 days", "0 days"),
    *rows("fruit: conditioning", "[900 days]", "[-5 days]"),
    *rows("fruit: counter", "400 days", "-1 days"),
    *rows("fruit: too warm", "20 F", "400 F"),
    *rows("fruit: ripens poorly above", "-10 F"),
    *rows("fruit: keeps", "9 years", "-4 days"),
    *rows("fruit: keeps ripe", "3 years"),
    *rows("fruit: yield", "90,000 lb", "0 lb", "3"),
    *rows("fruit: weight per fruit", "40 lb", "0 oz", "6"),
    *rows("fruit: weight per container", "[4,000 lb a bushel]", "[48 lb a bucketful]"),
    *rows("fruit: ripe apple", "400 days"),
    *rows("fruit: softens", "90 lbf a day", "2 lbf"),
    *rows("fruit: cold nights", "100 F"),
    *rows("fruit: freezes", "50 F", "-80 F"),
    *rows("fruit: chilling", "[below 120 F]", "[cold]"),
    *rows("fruit: drops", "[{when: 0-900 days after pick, value: x}]"),
    *rows("task: when", "999 months before pick", "500 days after full bloom", "Feb 30", "piick"),
    *rows("task: until", "2 weeks before earliest pick", "400 days after earliest pick"),
    *rows("task: every", "0 days", "900 days", "13 months", "often"),
    *rows("task: zone", "77"),
    *rows("task: reminder", "soon"),
    *rows("task: only for", "Muad"),
    *rows("preserve: keeps", "40 years", "0 days", "9"),
    *rows("preserve: takes", "10 lb for 4,000 pints", "900 lb for 1 pint", "0 lb for 4 pints"),
    *rows("preserve: hands", "900 minutes a pint", "0 minutes a pint", "long"),
    *rows("preserve: method", "prayer"),
    *rows(
        "record",
        "2027-08-30,A,pick,44 lbz,",
        "2027-06-10,,lost,,hail",
        "2027-06-10,,drop,,",
        "2027-04-20,,leaf fall,,",
        "2027-08-29,,stored,2 boxes,",
        "2027-08-30,A,pick,4 bushles,",
        "2027-08-30,A,pick,44,",
        "2027-08-30,A,pick,-5 lb,",
        "2027-08-30,A,pick,0 lb,",
        '2027-08-30,A,pick,"44,5 kg",',
        "2027-08-30,A,pick,90000 lb,",
        "2027-08-30,A,pick,2000 lb,",
        "2027-08-30,A,pick,a heap,",
        "2027-08-20,A,pick,5 lb,",
        "2027-08-29,A,last pick,9 lb,\n2027-09-02,A,pick,5 lb,",
        "2027-09-02,A,first pick,5 lb,",
        "2027-09-03,A,last pick,5 lb,\n2027-09-04,A,last pick,5 lb,",
        "2027-05-09,A,full bloom,,",
        "2027-09-20,A,petal fall,,",
        "2027-05-20,A,first bloom,,",
        "2026-12-20,A,full bloom,,",
        "2026-02-01,A,pick,5 lb,",
        "1850-05-01,A,full bloom,,",
        "2072-05-01,A,full bloom,,",
        "2027-04-01,A,leaf fall,,",
        "2027-07-14,,frost,,",
        "2027-05-14,,frost,90 F,",
        "2027-12-05,,freeze forecast,80 F,",
        "2027-12-05,,freeze forecast,,",
        "2027-08-20,A,firmness,500 lbf,",
        "2027-08-20,A,firmness,-3 lbf,",
        "2027-08-20,A,firmness,15,",
        "2027-08-20,A,starch,99,",
        "2027-08-20,A,starch,-1,",
        "2027-08-20,A,brix,250,",
        "2027-06-01,A,spray,9000 days,",
        "2027-06-01,A,spray,-3 days,",
        "2027-06-01,A,spray,14,",
        '2027-06-01,A,spray,"14 days, re-entry 900 hours to days",',
        '2027-06-01,A,spray,"14 days, re-entry 200 days",',
        "2027-06-01,A,set,900000 fruits,",
        "2027-06-01,A,thinned,-4 fruits,",
        "2027-06-01,A,drop,4,",
        "2027-06-01,A,wormy drop,many,",
        "2027-06-01,A,set,150 %,",
        "2027-08-20,A,stored,2 boxes,cellar",
        "2027-08-20,A,taken out,1 box,",
        "2027-08-20,A,ready,,",
        "2027-08-20,A,verdict,,good",
        "2027-08-29,A,taken out,900 lb,",
        "2027-08-29,A,shared,900 lb,",
        "2027-08-29,A,lost,100 lb,",
        "2027-08-29,A,stored,500 lb,cellar",
        "2027-08-29,A,stored,2 boxs,cellar",
        "2027-08-29,A,stored,40 lb,celler",
        "2027-08-29,A,stored,40 lb,on the cabinet",
        "2027-08-29,A,jars,400 quarts,",
        "2027-08-29,A,jars,0 quarts,",
        "2027-08-29,A,jars,9000 quarts,",
        "2027-08-29,A,jars,14,",
        "2027-08-29,A,jars,9 pints by 90 in 1 hour,",
        "2027-08-29,A,jars,9 pints by 2 in 90 hours,",
        "2027-08-29,A,no crop,,",
        "2027-08-29,A,part crop,150%,",
        "2027-08-29,A,heavy crop,-20 %,",
        "2027-05-01,A,full bloom,44 lb,",
        "2027-08-29,A,removed,44 lb,",
        "2027-08-29,Z,pick,44 lb,",
        "2027-08-29,A,pikc,44 lb,",
        "2027-08-29,A,note,,privado: the key is under the pot",
    ),
]

SENSE: list[Case] = [
    *rows("place: zone", "1a", "13b", "6"),
    *rows("place: latitude", "69.6 N", "0"),
    *rows("place: elevation", "3,500 m", "-1,300 ft", "14,000 ft"),
    *rows("place: last frost", "Jan 20", "Jul 1"),
    *rows("place: first frost", "Dec 28", "Aug 1"),
    *rows("place: site address", "http://localhost:8000/", "https://a.example/fruit"),
    *rows("place: box", "2.5 lb", "200 lb", "10 kgs", "44 lbs."),
    *rows(
        "place: spaces",
        "[{name: freezer, temperature: -20 F, holds: 3 boxes}]",
        "[{name: shed, temperature: 34 F, Jan: -20 F, Aug: 105 F, holds: 1 box}]",
        "[{name: barn, temperature: 34-50 F, holds: 600 bushels}]",
        "[{name: loft, temperature: 34 F, holds: half a bushel}]",
        "[{name: loft, holds: '20,000 lb', temperature: 50 F}]",
    ),
    *rows(
        "place: canners",
        f"[{CANNER % '1 quart'}]",
        f"[{CANNER % '32 pints'}]",
        "[{name: a, kind: dryer, holds: 100 lb}]",
    ),
    *rows(
        "place: kitchen days", DAY % "hours: 16, hands: 20", DAY % 'start: "5:00"', DAY % 'start: "20:30", hours: 0.5'
    ),
    *rows("place: stock", "{jars: [3000 quarts], lids: 4000}", "{freezer: 60 cubic feet}", "{lids: 0}"),
    *rows("tree: walk", "0", "3.5", "900"),
    *rows("tree: count", "1", "1200"),
    *rows("tree: planted", "1788", "2027"),
    *rows("tree: days from bloom", "28 days", "14 months"),
    *rows("tree: crop", "1 lb", "1,500 lb", "4 bu.", "1-2 bushels", "30000 fruits", "½ bu"),
    *rows("fruit: passes", "1", "40"),
    *rows("fruit: keeps ripe", "1 day"),
    *rows("fruit: conditioning", "[0 days]", "[6 months]"),
    *rows("fruit: firmness when ready", "1 lbf"),
    *rows("fruit: freezes", "26 F"),
    *rows("fruit: weight per fruit", "1 g", "5 lb"),
    *rows("task: when", "12 months before pick", "8 weeks before full bloom"),
    *rows("task: until", "60 days after earliest pick"),
    *rows("task: every", "1 day", "12 months"),
    *rows("preserve: keeps", "1 day", "5 years"),
    *rows("preserve: takes", "1 lb for 2 half pints", "6 lb for 1 quart"),
    *rows(
        "record",
        "2027-08-30,A,pick,900 lb,",
        "2027-06-10,,no crop,,hail",
        "2027-05-10,,frost,30 F,",
        "2027-08-30,A,pick,44 lbs.,",
        "2027-08-30,A,pick,44.5 kgs,",
        "2027-08-30,A,pick,3 kilos,",
        "2027-08-30,A,pick,300 g,",
        "2027-08-30,A,pick,2 bu,",
        "2027-08-30,A,pick,1 1/2 bushels,",
        "2027-08-30,A,pick,half a lug,",
        "2027-08-30,A,pick,a dozen,",
        "2027-08-30,A,pick,2 pears,",
        "2027-08-30,A,pick,30 lb keepers + 6 lb use now,",
        "2027-09-30,A,last pick,,",
        "2027-08-29,A,stored,2 boxes,the Cellar at the back",
        "2027-08-29,A,taken out,44 lb,",
        "2027-08-29,A,jars,14 quarts,",
        "2027-08-29,A,jars,84 half pints by 4 in 12 hours,",
        "2027-08-29,A,firmness,0.5 lbf,",
        "2027-08-29,A,starch,8,",
        "2027-08-29,A,brix,24%,",
        "2027-04-20,,frost,-4 F,",
        "2027-11-30,,freeze forecast,-20 F,",
        "2027-06-01,A,spray,365 days,",
        "2027-06-01,A,set,30000 fruits,",
        "2027-05-01,A,part crop,50 %,",
        "2027-11-28,A,verdict,,good",
        "2027-08-29,A,note,,private: the key is under the pot",
    ),
]


@pytest.mark.parametrize("case", NONSENSE, ids=" ".join)
def test_what_no_household_can_mean_is_refused_or_asked_about(
    case: Case, found: Callable[[Case], tuple[Problem, ...]]
) -> None:
    """With the file it stands in, the line of it, and what to write."""
    told = [problem for problem in found(case) if problem.where.line]
    file = {"place": "place.md", "record": "records/2027.csv"}.get(case[0].partition(":")[0], ".md")
    assert [problem for problem in told if problem.where.file.endswith(file)]
    assert all(problem.hint for problem in told)


@pytest.mark.parametrize("case", SENSE, ids=" ".join)
def test_what_is_rare_and_true_is_read_without_a_word(case: Case, found: Callable[[Case], tuple[Problem, ...]]) -> None:
    """The limits are wide around all that a household has had."""
    assert found(case) == ()


def test_there_are_many_of_both() -> None:
    """The tables are the evidence, so they must not shrink unseen."""
    assert (len(set(NONSENSE)) >= 150, len(set(SENSE)) >= 60) == (True, True)


KITCHENS = '  - {name: upper kitchen, elevation: "2,150 ft"}\n  - {name: village kitchen, elevation: 940 ft}\n'
ONE_FAULT = {
    "a cultivar misspelt": ("trees/1-01-bartlett.md", "cultivar: Bartlett", "cultivar: Bartlet"),
    "a tree's kind of fruit misspelt": ("trees/4-01-quince.md", "fruit: quince", "fruit: quinze"),
    "a limb misspelt": ("trees/2-01-family.md", "[Bartlett, Bosc, Comice]", "[Bartlett, Bosk, Comice]"),
    "a cultivar's fruit misspelt": ("cultivars/stile-blue.md", "fruit: european-plum", "fruit: europaen-plum"),
    "a preserve put up in no known way": ("preserves/kieffer-butter.md", "method: freezer", "method: freezr"),
    "kitchens that are no list": ("place.md", KITCHENS, "  both\n"),
    "a tag misspelt in the records": ("trees/2-03-hosui.md", "tree: 2-03", "tree: 2-33"),
}
EXAMPLE = Path(__file__).resolve().parents[2] / "content" / "example"
WHOLE_SHELF = EXAMPLE.parent / "reference"


@pytest.mark.parametrize("fault", ONE_FAULT)
def test_one_fault_is_told_once(fault: str, tmp_path: Path) -> None:
    """What hangs on something faulty has no fault of its own: the records and tasks of a tree, wants, canners."""
    notes = tmp_path / "notes"
    shutil.copytree(EXAMPLE, notes)
    file, right, wrong = ONE_FAULT[fault]
    text = (notes / file).read_text(encoding="utf-8")
    assert right in text
    (notes / file).write_text(text.replace(right, wrong), encoding="utf-8")
    with pytest.raises(FaultyNotes) as told:
        read_holding(notes, WHOLE_SHELF)
    assert len({problem.where.file for problem in told.value.problems}) == len(told.value.problems)
    # A misspelt tag is told in the records and in the plan of the ground, a file each.
    assert len(told.value.problems) <= (3 if file == "trees/2-03-hosui.md" else 1)


@pytest.mark.parametrize(
    "error",
    [FileNotFoundError(2, "No such file or directory", "notes/site"), OSError("full"), OSError(28, "No space left")],
)
def test_what_the_system_refuses_is_told_in_words(error: OSError) -> None:
    """No number of an error, which says nothing to anybody."""
    assert "Errno" not in refused_by_system(error)
    assert refused_by_system(error)


def test_a_name_of_a_file_moves_no_cursor() -> None:
    """A file may be called anything; what is said of it is one plain line that any terminal can print."""
    said = refused_by_system(PermissionError(13, "Permission denied", "pear\x1b[2J\udce9.md"))
    assert said == "pear�[2J�.md: permission denied"


MUTANTS = (
    "-1",
    "0",
    "nan",
    "1e309",
    "99999999999",
    "2090-02-30",
    "44,5 kg",
    "privado: x",
    "A|1",
    "[]",
    "{}",
    "\u00bd",
    "%",
    "--",
    "/0",
)


@pytest.mark.parametrize("number", range(15))
def test_a_single_value_spoilt_is_told_or_read_and_never_a_traceback(number: int, tmp_path: Path) -> None:
    """Any one value of the example, at a place drawn by the number of the case."""
    draw = random.Random(number)  # noqa: S311 - the same number gives the same case
    notes = tmp_path / "notes"
    shutil.copytree(EXAMPLE, notes)
    path = draw.choice(sorted([*notes.rglob("*.md"), *(notes / "records").iterdir()]))
    lines = path.read_text(encoding="utf-8").split("\n")
    sign = "," if path.suffix == ".csv" else ": "
    at = draw.choice([n for n, line in enumerate(lines) if sign in line])
    parts = lines[at].split(sign)
    parts[draw.randrange(1, len(parts))] = draw.choice(MUTANTS)
    lines[at] = sign.join(parts)
    path.write_text("\n".join(lines), encoding="utf-8")
    findings = build.check_notes(notes, date(2027, 8, 28))
    assert all(problem.where.file and problem.message for problem in (*findings.problems, *findings.warnings))
