"""A household that wants what takes acid (figs, Asian pears, tomatoes), and other things beside it, as notes."""

from __future__ import annotations

PLACE = (
    "zone: 6b",
    "latitude: 42 N",
    "elevation: 2150 ft",
    "spaces: [{name: fridge, temperature: 31 F}, {name: kitchen floor, temperature: 66 F}]",
    "kitchens: [{name: low, elevation: 940 ft}, {name: high, elevation: 5200 ft}]",
)
CANNERS = (
    "canners: [{name: pot, kind: boiling water, holds: [7 quarts, 9 pints, 12 half pints], kitchen: low}, "
    "{name: steamer, kind: steam, holds: [7 quarts, 9 pints, 12 half pints], kitchen: low}, "
    "{name: press, kind: pressure, gauge: dial, holds: [7 quarts, 9 pints], kitchen: low}, "
    "{name: tall pot, kind: boiling water, holds: [7 quarts, 9 pints, 12 half pints], kitchen: high}, "
    "{name: trays, kind: dryer, holds: 20 lb, kitchen: high}]"
)
DAYS = "kitchen days: [{on: [Saturday, Wednesday], hands: 6, hours: 11, start: 9:00, kitchen: low}]"
WANTS = (
    "to put up: [{preserve: Asian pears in jars, amount: 9 pints}, {preserve: Figs in jars, amount: 7 quarts}, "
    "{preserve: Crushed tomatoes in jars, amount: 9 pints}, {preserve: Tomato juice in jars, amount: 7 quarts}, "
    "{preserve: Pear halves in jars, amount: 14 quarts}, {preserve: Apple butter, amount: 9 half pints}, "
    "{preserve: Dried pears, amount: 1 lb}, {preserve: 'Pears, frozen', amount: 4 pints}]"
)
RECORDS = """date,tree,crop,what,amount,note
2027-08-18,P,,pick,90 lb,
2027-08-20,A,,pick,40 lb,
2027-08-24,F,main,pick,60 lb,
2027-08-24,T,,pick,200 lb,
2027-08-20,M,,pick,40 lb,
"""


def _grown(fruit: str, *more: str) -> str:
    return "\n".join(["---", f"fruit: {fruit}", *more, "---", ""])


def stove_household(*lines: str, **more: str) -> dict[str, str]:
    """Return the notes; `lines` go into place.md, `more` are further notes (`preserves__own`)."""
    days = ["conditioning: 0 days", "counter: 2 days", "keeps: 7 days", "keeps ripe: 6 days"]
    return {
        "place.md": "\n".join(["---", *PLACE, CANNERS, DAYS, WANTS, *lines, "---", ""]),
        "trees/P.md": "---\ncultivar: Bartlett\n---\n",
        "trees/A.md": "---\ncultivar: Hosui\n---\n",
        "trees/F.md": "---\ncultivar: Gate Fig\n---\n",
        "trees/T.md": "---\ncultivar: Wall Tomato\n---\n",
        "trees/M.md": "---\ncultivar: Barn Apple\n---\n",
        "cultivars/hosui.md": _grown("asian-pear", *days),
        "cultivars/bartlett.md": _grown("european-pear", *days),
        "cultivars/gate-fig.md": _grown("fig", *days),
        "cultivars/wall-tomato.md": _grown("tomato", *days),
        "cultivars/barn-apple.md": _grown("apple", *days),
        "records/2027.csv": RECORDS,
        **{name.replace("__", "/") + ".md": text for name, text in more.items()},
    }
