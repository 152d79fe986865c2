"""Whatever key private words stand under, and whatever note is private, everybody's site has nothing of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from typing import TypeVar

import pytest
from conftest import SHELF, write_notes
from every_key import PHOTO, household
from PIL import Image
from test_every_key import keys_read
from test_privacy import readings

from firmripe.holding.reader import reader_of
from firmripe.plan import Plan, make_plan
from firmripe.publish.audience import plan_for
from firmripe.publish.site import make_site
from firmripe.reading.fields import SHELF as SHELF_FILES
from firmripe.reading.fields import Fields, plain_text
from firmripe.reading.frontmatter import Node, Text
from firmripe.reading.reader import read_holding
from firmripe.shipped import theme_folder

T = TypeVar("T")

AS_OF = date(2027, 8, 20)
OPEN = {
    "place.name", "tree.tag", "fruit.name", "fruit.also", "fruit.abroad", "cultivar.name", "cultivar.also", "task.name",
    "preserve.name",
}  # fmt: skip
"""What a thing is called that everybody may know of."""
BY_THEMSELVES = {
    "person.name", "person.household", "person.does", "task.who", "space.name", "second space.name", "space.beside",
    "kitchen.name", "canner.name", "second canner.name", "share.name", "wanted.for", "wanted.amount", "neighbor.where",
    "cut off.because", "hers.name", "hers.body", "place.secret", "spray.note",
}  # fmt: skip
"""Words that are for the household alone without a mark."""
_VERDICT = "brown at the core, picked late"


class Planted:
    """Words for a household, each place's own: a mark and a word that stands nowhere else."""

    def __init__(self, *, whole: bool) -> None:
        self.whole = whole
        self.words: dict[str, str] = {}

    def __call__(self, place: str, usual: str) -> str:
        """Return what the household writes in a place; `whole` notes are private, so their words carry no mark."""
        if place == "place.name" or (place in OPEN and not self.whole):
            return usual
        told = "person.does" if place == "task.who" else place
        word = self.words.setdefault(told, f"Zzq{len(self.words) + 100}q")
        if place == "place.secret":
            return f"{word}{'s' * 16}"
        more = f" {_VERDICT}" if place == "verdict.note" else ""
        if self.whole or place in BY_THEMSELVES:
            return f"{word}{more}"
        return f"{usual}\n\nprivate: {word}" if place.endswith(".body") else f"private: {word}{more}"


def plan_with(top: Path, notes: Mapping[str, str], day: date = AS_OF) -> Plan:
    """Return the plan of a household with one photo."""
    (top / "photos").mkdir()
    Image.new("RGB", (40, 30), "olive").save(top / "photos" / PHOTO)
    return make_plan(read_holding(write_notes(top, notes), SHELF), 2027, day)


def site_of(plan: Plan, reader: str) -> dict[str, bytes]:
    """Return what a reader gets."""
    return make_site(plan_for(plan, reader_of(plan.holding.place, reader)), theme_folder())


def told_in(files: Mapping[str, bytes], words: Mapping[str, str]) -> dict[str, list[str]]:
    """Return where in some files words stand, by the places they were written in."""
    texts = {name: "\0".join(readings(name, data)) for name, data in files.items()}
    found = {place: [name for name, text in texts.items() if word.casefold() in text] for place, word in words.items()}
    return {place: names for place, names in found.items() if names}


@pytest.mark.parametrize("whole", [False, True], ids=["marked", "private-notes"])
def test_nothing_that_is_private_under_any_key_is_told(tmp_path: Path, *, whole: bool) -> None:
    """A mark before the words of one key hides them, and `private: yes` the whole note; the household has all."""
    planted = Planted(whole=whole)
    plan = plan_with(tmp_path, household(planted, private="yes" if whole else "no"))
    ours = site_of(plan, "household")

    assert told_in(site_of(plan, "everybody"), planted.words) == {}
    assert len(told_in(ours, planted.words)) > len(planted.words) // 3
    assert [name for name in ours if name.startswith("photos/")]


_OF_KINDS = "at, bloom, crop, crops, file, from, leaf fall, mark, partners, pick, place, then, then at, value, when"
LOOKED_UP = {
    "cultivars": _OF_KINDS,
    "fruits": f"{_OF_KINDS}, language",
    "place.md": (
        "away, crop, cultivar, during, except, fruit, here, high, holds, jars, lids, low, name, on, stand days, trees, "
        "unit, without"
    ),
    "preserves": "file, for, fruits, mark, stage, value",
    "tasks": "file, for, instead of, mark, not for, only if",
    "trees": "crop, cultivar, file, limbs, tree, value",
}
"""Keys under which words are looked up among names, days and amounts; and the place's own name."""


def test_words_are_planted_under_every_key_that_takes_words(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A key for words that is added later is missed here until it is planted, or named as one that is looked up."""
    bare: set[tuple[str, str]] = set()
    parsed = Fields._parsed  # noqa: SLF001 - every word of a note goes through it

    def seen(fields: Fields, node: Node, parse: Callable[[str], T], key: str) -> T | None:
        own = parse is plain_text and isinstance(node, Text) and not node.where.file.startswith(SHELF_FILES)
        if own and isinstance(node, Text) and "Zzq" not in node.value:
            bare.add((node.where.file.partition("/")[0], key))
        return parsed(fields, node, parse, key)

    monkeypatch.setattr(Fields, "_parsed", seen)
    keys_read(tmp_path, household(Planted(whole=True)), monkeypatch)

    assert bare == {(folder, key) for folder, keys in LOOKED_UP.items() for key in keys.split(", ")}


@pytest.mark.parametrize(("name", "language"), [("May", "en"), ("a", "es"), ("1", "es"), ("Ann Lee", "en")])
def test_what_names_somebody_goes_however_short_the_name_is(tmp_path: Path, name: str, language: str) -> None:
    """A row, a place, a reason and a note that name a person, with other capitals and spaces; in two languages."""
    notes = {
        "place.md": (
            f"---\nlatitude: 42 N\nlanguage: {language}\npeople: [{{name: '{name}', does: [picking]}}]\n"
            f'plan: [{{row: "{name}\'s zzqrow", trees: [A]}}]\n---\n'
        ),
        "trees/A.md": (
            f"---\ncultivar: Bartlett\nwhere: zzqwhere {name.replace(' ', '-')}\n"
            f"pinned: [{{leaf fall: 2027-11-01, because: zzqpin {name.upper()}}}]\n---\n"
        ),
        **{f"trees/{tag}.md": "---\ncultivar: Bosc\n---\n" for tag in ("B", "C")},
        "records/2027.csv": (
            f"date,tree,what,note\n2027-05-01,A,full bloom,zzqnote {name}\n2027-08-01,A,note,zzqtel 555-010-0199\n"
        ),
    }
    planted = {word: word for word in ("zzqrow", "zzqwhere", "zzqpin", "zzqnote", "zzqtel")}
    plan = make_plan(read_holding(write_notes(tmp_path, notes), SHELF), 2027, AS_OF)

    assert told_in(site_of(plan, "everybody"), planted) == {}
    assert told_in(site_of(plan, "household"), planted).keys() == planted.keys()
