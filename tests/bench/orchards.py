"""Households of so many trees with years of records, written as notes: the same for the same number, all invented."""

from __future__ import annotations

import random
from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path

KINDS = ("bare", "records", "weather", "kitchen")
"""What a household has: trees alone; ten years of records too; weather too; and a kitchen with wants."""

_CULTIVARS = (
    ("Bartlett", 110, 242),
    ("Bosc", 112, 255),
    ("Anjou", 110, 258),
    ("Seckel", 111, 249),
    ("Comice", 113, 262),
    ("McIntosh", 124, 258),
    ("Golden Delicious", 126, 275),
    ("Stanley", 112, 252),
    ("Montmorency", 116, 188),
    ("Kieffer", 104, 275),
)
"""Cultivars of the shelf, each with a usual day of bloom and of first pick in the year (invented)."""
YEARS = range(2017, 2027)
_PLACE = (
    "---\nname: Bench\nzone: 6b\nlatitude: 42.3 N\nlongitude: 74.2 W\nelevation: 2,150 ft\nunits: US\n"
    "last frost: May 14\nfirst frost: Oct 8\ncalendar identity: bench\n"
    "spaces:\n  - {name: cellar, temperature: 40 F}\n  - {name: kitchen, temperature: 68 F}\n"
)
_KITCHEN = (
    "kitchens: [{name: kitchen, elevation: 2150 ft}]\n"
    "canners: [{name: pot, kind: boiling water, holds: [7 quarts, 9 pints], kitchen: kitchen}]\n"
    "kitchen days: [{on: Saturday, during: Jul 10 - Nov 14, hours: 7, hands: 3, kitchen: kitchen}]\n"
    "stock: {jars: [60 quarts, 40 pints], lids: 120}\n"
    "to put up:\n  - {preserve: Pear halves in jars, cultivar: Bartlett, amount: 28 quarts}\n"
    "  - {preserve: Plums in jars, amount: 9 pints}\n  - {preserve: Applesauce in jars, amount: 21 quarts}\n"
)


def write_orchard(folder: Path, trees: int, kind: str = "records") -> None:
    """Write the notes of a household into a folder."""
    level = KINDS.index(kind)
    for name in ("trees", "records", "weather"):
        (folder / name).mkdir(parents=True, exist_ok=True)
    (folder / "place.md").write_text(_PLACE + (_KITCHEN if level >= 3 else "") + "---\n", encoding="utf-8")
    tags = [f"{number // 20 + 1}-{number % 20 + 1:02}" for number in range(trees)]
    for number, tag in enumerate(tags):
        name = _CULTIVARS[number % len(_CULTIVARS)][0]
        text = f"---\ncultivar: {name}\nwhere: row {number // 20 + 1}\nwalk: {number + 1}\n---\nBy the wall.\n"
        (folder / "trees" / f"{tag}.md").write_text(text, encoding="utf-8")
    if level >= 1:
        for year in (*YEARS, 2027):
            (folder / "records" / f"{year}.csv").write_text(_records(tags, year), encoding="utf-8")
    if level >= 2:
        for year in (*YEARS, 2027):
            (folder / "weather" / f"{year}.csv").write_text(_weather(year), encoding="utf-8")


def _records(tags: Sequence[str], year: int) -> str:
    draw = random.Random(year)
    early = draw.gauss(0, 6)
    rows = ["date,tree,what,amount,note"]
    for number, tag in enumerate(tags):
        _, bloom, pick = _CULTIVARS[number % len(_CULTIVARS)]
        rows.append(f"{_day(year, bloom + early + draw.gauss(0, 2))},{tag},full bloom,,")
        if year < 2027:
            rows.append(
                f"{_day(year, pick + early / 2 + draw.gauss(0, 3))},{tag},first pick,{draw.randint(20, 90)} lb,"
            )
    return "\n".join([*sorted(rows[:1]), *sorted(rows[1:])]) + "\n"


def _day(year: int, day_of_year: float) -> date:
    return date(year, 1, 1) + timedelta(days=round(day_of_year) - 1)


def _weather(year: int) -> str:
    draw = random.Random(year * 7)
    rows = ["date,tmin_c,tmax_c"]
    for number in range(365 if year < 2027 else 170):
        usual = 9 - 13 * _cosine(number)
        low = usual - 6 + draw.gauss(0, 3)
        rows.append(f"{date(year, 1, 1) + timedelta(days=number)},{low:.1f},{low + 9 + abs(draw.gauss(0, 2)):.1f}")
    return "\n".join(rows) + "\n"


def _cosine(day: int) -> float:
    """Return the year's course of warmth, 1 in the middle of January and -1 in the middle of July, by parabolas."""
    phase = ((day - 15) % 365) / 365
    x = 4 * phase - 1 if phase < 0.5 else 3 - 4 * phase
    return -x * (2 - abs(x))
