"""A household of two trees with a kitchen, as notes: what is built again and again while one thing of it changes."""

from __future__ import annotations

PLACE = """---
name: Home
zone: 6b
latitude: 42 N
elevation: 2150 ft
spaces: [{name: fridge, temperature: 31 F}, {name: kitchen floor, temperature: 66 F}]
kitchens: [{name: upper kitchen, elevation: 2150 ft}]
canners: [{name: pot, kind: boiling water, holds: [7 quarts, 9 pints], kitchen: upper kitchen}]
kitchen days: [{on: Saturday, start: 9:00, hours: 8, hands: 3, kitchen: upper kitchen}]
to put up: [{preserve: Pear halves in jars, amount: 7 quarts}, {preserve: Peaches in jars, amount: 7 quarts}]
---
"""
PEACH = "---\ncultivar: Redhaven\nflesh: yellow\n---\n"
HEAD = "date,tree,what,amount,note\n"
NOTES = {
    "place.md": PLACE,
    "trees/1-01.md": "---\ncultivar: Bartlett\n---\nBy the gate.\n",
    "trees/1-02.md": PEACH,
    "records/2026.csv": f"{HEAD}2026-05-02,1-01,full bloom,,\n2026-08-20,1-01,first pick,40 lb,\n",
    "records/2027.csv": f"{HEAD}2027-05-04,1-01,full bloom,,\n2027-08-18,1-01,pick,70 lb,\n",
}
