"""A household with a kitchen, written as notes, for the tests of the kitchen plan."""

from __future__ import annotations

BARTLETT = """---
name: Bartlett
fruit: european-pear
windows:
  - {pick: Aug 20, place: here}
conditioning:
  - {value: 2 days, at: 31 F}
counter: 5 days
keeps: 60 days
keeps ripe: 2 days
---
"""


def place(*lines: str, kitchens: str = "[{name: upper kitchen, elevation: 2150 ft}]") -> str:
    """Return the place's note with lines of the kitchen's own."""
    told = [
        "zone: 6b",
        "latitude: 42 N",
        "elevation: 2150 ft",
        "spaces: [{name: fridge, temperature: 31 F}, {name: kitchen floor, temperature: 66 F}]",
        f"kitchens: {kitchens}",
        *lines,
    ]
    return "\n".join(["---", *told, "---", ""])


POT = "canners: [{name: pot, kind: boiling water, holds: [7 quarts, 9 pints], kitchen: upper kitchen}]"
SATURDAYS = "kitchen days: [{on: Saturday, start: 9:00, hours: 8, hands: 3, kitchen: upper kitchen}]"
QUARTS = "to put up: [{preserve: Pear halves in jars, amount: 14 quarts}]"
PICKED = "date,tree,what,amount,note\n2027-08-18,1-01,pick,70 lb,\n"


def household(*lines: str, records: str = PICKED, **more: str) -> dict[str, str]:
    """Return notes of one Bartlett whose 70 lb were picked on 18 August 2027, and of a kitchen."""
    return {
        "place.md": place(*lines),
        "trees/1-01.md": "---\ncultivar: Bartlett\n---\n",
        "cultivars/bartlett.md": BARTLETT,
        "records/2027.csv": records,
        **{name.replace("__", "/") + ".md": text for name, text in more.items()},
    }
