"""Households drawn at random: any few trees, rooms, wants, people and records, on any day of a year."""

from __future__ import annotations

from datetime import date, timedelta

from forty import NORTH, PEOPLE, POTS, SOUTH, TROPIC, WANTS, Household
from hypothesis import strategies as st

KINDS = (
    *("Bartlett", "Bosc", "Anjou", "Comice", "Seckel", "Hosui", "Jonathan", "McIntosh", "Golden Delicious", "Stanley"),
    *(
        "Redhaven",
        "Montmorency",
        "Bing",
        "Bluecrop",
        "Heritage",
        "Brown Turkey",
        "Hayward",
        "Hachiya",
        "Concord",
        "Owari",
    ),
)
CROPS = ("", "; crop: 40-60 lb", "; crop: 8 kg", "; crop: 2 boxes", "; count: 3; crop: 20 lb", "; planted: 2025")
COLDS = (
    "",
    "spaces: [{name: cellar, temperature: 38 F, holds: 20 boxes}]\nbox: 22 lb",
    "spaces:\n- {name: fridge, temperature: 33 F, holds: 2 boxes}\n- {name: parlor, temperature: 68 F, holds: 3 boxes}\nbox: 22 lb",
    "spaces: [{name: shed}]",
)
PLACES = (NORTH, SOUTH, f"{TROPIC}\nlanguage: es", f"{NORTH}\nunits: metric\nweek starts: Sunday")
HARVEST = dict(zip(PLACES, ((7, 10), (1, 4), (0, 0), (7, 10)), strict=True))
SINGLES = ("removed", "no crop", "heavy crop", "light crop")


@st.composite
def _trees(draw: st.DrawFn) -> list[str]:
    """Draw up to six trees, some of them with two cultivars."""
    found = []
    for at in range(draw(st.integers(1, 6))):
        limbs = draw(st.lists(st.sampled_from(KINDS), min_size=1, max_size=2, unique=True))
        found.append(f"{at + 1}: {' / '.join(limbs)}{draw(st.sampled_from(CROPS))}")
    return found


@st.composite
def _records(draw: st.DrawFn, trees: list[str], known: date, harvest: tuple[int, int]) -> list[str]:
    """Draw what was noted up to a day: pickings by weight, what left them, and single happenings, each in its order.

    Fruit is picked in the months of the `harvest`, since nobody picks before the bloom.
    """
    found = []
    for tree in trees:
        tag, _, rest = tree.partition(": ")
        limbs = rest.partition(";")[0].split(" / ")
        limb = draw(st.sampled_from(limbs)) if len(limbs) > 1 else ""
        picked = known - timedelta(days=draw(st.integers(0, 200)))
        pick, much = draw(st.booleans()), draw(st.integers(5, 60))
        if pick and "Turkey" not in rest and harvest[0] <= picked.month <= harvest[1]:
            found.append(f"{picked},{tag},{limb},,pick,{much} lb,")
            out = picked + timedelta(days=draw(st.integers(1, 60)))
            if draw(st.booleans()) and out <= known:
                what = draw(st.sampled_from(("taken out", "lost", "shared")))
                found.append(f"{out},{tag},{limb},,{what},{draw(st.integers(1, much))} lb,")
        if draw(st.integers(0, 5)) == 0:
            day = known - timedelta(days=draw(st.integers(0, 100)))
            found.append(f"{day},{tag},{limb},,{draw(st.sampled_from(SINGLES))},,")
        if draw(st.integers(0, 5)) == 0:
            day = known - timedelta(days=draw(st.integers(0, 5)))
            found.append(f'{day},{tag},,,spray,"7 days, re-entry 3 days",')
    return sorted(found)


@st.composite
def households(draw: st.DrawFn) -> Household:
    """Draw a household and the day it looks at its notes."""
    day = draw(st.dates(date(2027, 1, 10), date(2028, 2, 28)))
    trees = draw(_trees())
    kitchen = draw(
        st.sampled_from(("", POTS + WANTS, POTS + 'to put up: [{preserve: "Pears, frozen", amount: 8 pints}]'))
    )
    parts = (draw(st.sampled_from(PLACES)), draw(st.sampled_from(COLDS)), kitchen, draw(st.sampled_from(("", PEOPLE))))
    return Household(
        name="drawn",
        tries="anything",
        day=day,
        place="\n".join(part for part in parts if part),
        trees="\n".join(trees),
        records="\n".join(draw(_records(trees, day, HARVEST[parts[0]]))),
    )
