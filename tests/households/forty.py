"""About forty invented households, each a few lines of text, that differ in what a household can differ in.

A household is a day, what it tries, and its notes: the front matter of `place.md`, a line for each tree
(`tag: cultivar; key: value; …`, several cultivars apart by `/`), the lines of its records, and other notes by name.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

HEAD = "date,tree,cultivar,crop,what,amount,note\n"


@dataclass(frozen=True, slots=True, kw_only=True)
class Household:
    """Notes, and the day they are looked at. `season` is 0 where it is the one that the day lies in."""

    name: str
    tries: str
    day: date
    place: str = ""
    trees: str
    records: str = ""
    more: Mapping[str, str] = field(default_factory=dict, hash=False)
    season: int = 0

    @property
    def files(self) -> dict[str, str]:
        """Its notes by their names."""
        found = dict(self.more)
        if self.place:
            found["place.md"] = f"---\n{self.place.strip()}\n---\n"
        for at, line in enumerate(lines_of(self.trees), 1):
            found[f"trees/{at:03}.md"] = _tree(line)
        for year, lines in _by_year(lines_of(self.records)).items():
            found[f"records/{year}.csv"] = HEAD + "".join(f"{line}\n" for line in lines)
        return found

    @property
    def noted(self) -> list[list[str]]:
        """The lines of its records, cell by cell; amounts with commas are not split further than the columns go."""
        return [[cell.strip(' "') for cell in line.split(",")] for line in lines_of(self.records)]


def lines_of(text: str) -> list[str]:
    """Return the lines of a text that say something."""
    return [line.strip() for line in text.strip().splitlines() if line.strip()]


def _tree(line: str) -> str:
    head, *keys = (part.strip() for part in line.split(";"))
    tag, _, cultivars = head.partition(": ")
    limbs = [one.strip() for one in cultivars.split("/")]
    of = f"limbs: [{', '.join(limbs)}]" if len(limbs) > 1 else f"cultivar: {limbs[0]}"
    return "\n".join(["---", f'tree: "{tag}"', of, *keys, "---", ""])


def _by_year(lines: Iterable[str]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for line in lines:
        found.setdefault(line.removeprefix("about ")[:4], []).append(line)
    return found


# What several of them share

NORTH = "name: Alder Bank\nzone: 6b\nlatitude: 42.1 N\nlongitude: 74 W\nelevation: 640 ft\nfirst frost: Oct 10\nlast frost: May 10"
SOUTH = "name: Quila Alta\nlatitude: 42 S\nlongitude: 72 W\nelevation: 180 m\nunits: metric"
TROPIC = "name: Paso Alto\nlatitude: 2 N\nlongitude: 76 W\nelevation: 2300 m\nunits: metric"
MILD = "name: Fig Terrace\nzone: 9a\nlatitude: 37 N\nlongitude: 121 W\nelevation: 200 ft"
COLD = "spaces:\n- {name: cellar, temperature: 38 F, holds: 20 boxes}\n- {name: kitchen, temperature: 68 F, holds: 8 boxes}\nbox: 22 lb"
POTS = """
kitchens: [{name: summer kitchen, elevation: 640 ft}]
canners: [{name: big pot, kind: boiling water, holds: [7 quarts, 9 pints], kitchen: summer kitchen}]
kitchen days: [{on: Saturday, during: Jul 1 - Nov 15, start: 9:00, hours: 7, hands: 2, kitchen: summer kitchen}]
stock: {jars: [24 quarts, 24 pints], lids: 40, freezer: 3 cubic feet}
"""
WANTS = """
to put up:
- {preserve: Pear halves in jars, cultivar: Bartlett, amount: 14 quarts}
- {preserve: Applesauce in jars, amount: 21 quarts}
- {preserve: Plums in jars, amount: 9 pints}
"""
PEOPLE = """
people:
- {name: Wren, household: lane house, does: [picking, canning], away: [Aug 20 - Sep 5]}
- {name: Odo, household: lane house, does: [picking, watch, store]}
- {name: Tamsin, household: brook house, does: [canning, store, pruning]}
"""
HOUSES = """
box: 22 lb
spaces:
- {name: lane cellar, temperature: 38 F, holds: 8 boxes, house: lane house}
- {name: brook fridge, temperature: 34 F, holds: 2 boxes, house: Brook house}
- {name: cellar, temperature: 42 F, holds: 20 boxes}
- {name: kitchen, temperature: 66 F, holds: 4 boxes}
shares:
- {name: lane house, part: 1/2}
- {name: brook house, part: 1/4}
- {name: hill house, part: 1/4}
"""
ORCHARD = """
1-01: Bartlett; where: row 1; walk: 1; crop: 40-60 lb
1-02: Bosc; where: row 1; walk: 2; crop: 30-50 lb
1-03: Anjou; where: row 1; walk: 3; crop: 40-70 lb
2-01: Jonathan; where: row 2; walk: 4; crop: 60-80 lb
2-02: McIntosh; where: row 2; walk: 5; crop: 50-70 lb
2-03: Stanley; where: row 2; walk: 6; crop: 30-40 lb
3-01: Montmorency; where: row 3; walk: 7; crop: 20-30 lb
3-02: Bluecrop; where: row 3; walk: 8; crop: 5-6 lb; count: 4
"""
PICKED = """
2027-05-02,1-01,,,full bloom,,
2027-05-05,2-02,,,full bloom,,
2027-08-22,1-01,,,first pick,24 lb,
2027-08-29,1-01,,,last pick,20 lb,
2027-08-30,2-03,,,first pick,18 lb,
2027-09-08,2-03,,,last pick,14 lb,
2027-09-12,2-02,,,first pick,30 lb,
2027-09-12,2-02,,,stored,,cellar
2027-09-14,1-02,,,pick,36 lb keepers + 6 lb use now + 2 lb culls,
2027-09-14,1-02,,,stored,,cellar
2027-09-22,2-02,,,last pick,24 lb,
2027-09-24,1-03,,,pick,52 lb,
2027-09-24,1-03,,,stored,,cellar
2027-10-02,2-01,,,pick,66 lb,
2027-10-02,2-01,,,stored,,cellar
2027-10-12,1-02,,,taken out,10 lb,
"""
TEN_YEARS = "\n".join(
    f"{year}-05-0{1 + year % 5},1-01,,,full bloom,,\n{year}-08-2{year % 7},1-01,,,pick,{70 if year % 2 else 18} lb,\n"
    f"{year}-09-1{year % 6},1-02,,,pick,{40 + year % 9} lb,\n{year}-10-0{1 + year % 6},2-01,,,pick,{60 + year % 11} lb,"
    for year in range(2017, 2027)
)
WHOLE = f"{NORTH}\n{COLD}\n{POTS}\n{WANTS}\n{PEOPLE}"


def _many(count: int, kinds: tuple[str, ...], row: int = 20, keys: str = "crop: 30-40 lb") -> str:
    return "\n".join(
        f"{1 + at // row}-{1 + at % row:02}: {kinds[at % len(kinds)]}; where: row {1 + at // row}; walk: {at + 1}; {keys}"
        for at in range(count)
    )


def _house(name: str, tries: str, day: str, trees: str, **more: object) -> Household:
    return Household(name=name, tries=tries, day=date.fromisoformat(day), trees=trees, **more)  # type: ignore[arg-type]


_SEASON = (
    ("in-march", "2027-03-10"),
    ("at-bloom", "2027-05-03"),
    ("at-harvest", "2027-08-28"),
    ("after-harvest", "2027-10-20"),
    ("at-new-year", "2028-01-05"),
)

HOUSEHOLDS: tuple[Household, ...] = (
    *(
        _house(f"orchard-{when}", "eight kinds, kitchen, cellar and people, through a season", day, ORCHARD,
               place=WHOLE, records=PICKED)
        for when, day in _SEASON
    ),
    *(
        _house(f"nothing-noted-{when}", "the same trees without a record", day, ORCHARD, place=WHOLE)
        for when, day in _SEASON[2:]
    ),
    _house("bare-tree", "one tree and nothing else", "2027-03-01", "a: Bartlett"),
    _house("one-tree", "one tree with a crop and a cellar", "2027-09-01", "a: Bosc; crop: 40 lb", place=f"{NORTH}\n{COLD}"),
    _house("one-tree-picked", "one tree picked twice, some eaten", "2027-09-10", "a: Bartlett; crop: 60 lb",
           place=f"{NORTH}\n{COLD}",
           records="2027-08-24,a,,,first pick,24 lb,\n2027-08-24,a,,,stored,,cellar\n2027-09-02,a,,,last pick,30 lb,\n"
           "2027-09-02,a,,,stored,,cellar\n2027-09-04,a,,,taken out,10 lb,"),
    _house("family-tree", "three cultivars on one tree, one limb dead", "2027-09-02",
           "F: Bartlett / Bosc / Anjou; crop: 20 lb\n2: Jonathan; crop: 40 lb", place=f"{NORTH}\n{COLD}",
           records="2027-07-04,F,Bosc,,removed,,split in a storm\n2027-08-25,F,Bartlett,,pick,18 lb,"),
    _house("southern-in-march", "south of the equator, metric", "2028-03-02", ORCHARD, place=f"{SOUTH}\n{COLD}",
           records="2027-10-12,1-01,,,full bloom,,\n2028-02-12,1-01,,,pick,20 kg,\n2028-02-12,1-01,,,stored,,cellar"),
    _house("southern-in-spanish", "the same in Spanish, in spring", "2027-10-05", ORCHARD,
           place=f"{SOUTH}\nlanguage: es\n{COLD}"),
    _house("southern-at-new-year", "a season that runs over New Year", "2028-01-02", "A: Bing; crop: 20 kg\nB: Bartlett; crop: 30 kg\n"
           "C: Granny Smith; crop: 60 kg", place=f"{SOUTH}\n{COLD}", records="2027-12-20,A,,,first pick,8 kg,"),
    _house("tropical-two-blooms", "two crops a year near the equator", "2027-08-20",
           "a: Anna; fruit: apple; crop: 12 kg\nb: Anna; fruit: apple; crop: 10 kg", place=f"{TROPIC}\nlanguage: es",
           more={"fruits/apple.md": "---\ncrops: [travesia, principal]\n---\n",
                 "cultivars/anna.md": "---\nname: Anna\nfruit: apple\ndays from bloom: 118 days\n---\n"},
           records="2027-01-20,a,,travesia,full bloom,,\n2027-07-28,a,,principal,full bloom,,\n2027-05-20,a,,travesia,pick,9 kg,"),
    _house("figs-of-two-crops", "figs bear twice from one bloom season", "2027-07-01",
           "T: Brown Turkey\nU: Black Mission; crop: 30 lb\nV: Hachiya; crop: 40 lb", place=f"{MILD}\n{COLD}",
           records="2027-06-25,T,,breba,first pick,3 lb,"),
    _house("citrus-over-new-year", "fruit that hangs over New Year", "2028-01-10",
           "M: Owari; crop: 50 lb\nL: Eureka; fruit: lemon; crop: 60 lb\nW: Wonderful; crop: 40 lb\nK: Hayward; crop: 60 lb",
           place=f"{MILD}\n{COLD}", records="2027-12-12,M,,,first pick,20 lb,\n2027-11-10,K,,,pick,55 lb,\n2027-11-10,K,,,stored,,cellar"),
    _house("three-houses", "three houses that share, and what each had", "2027-10-05", ORCHARD,
           place=f"{WHOLE}\nshares:\n- {{name: lane house, part: 1/2}}\n- {{name: brook house, part: 1/4}}\n- {{name: hill house, part: 1/4}}",
           records=PICKED + "\n2027-09-15,1-02,,,shared,12 lb,lane house\n2027-10-03,2-01,,,shared,20 lb,brook house"),
    _house("houses-with-rooms", "three houses that share, two with rooms of their own", "2027-10-05", ORCHARD,
           place=f"{NORTH}\n{HOUSES}\n{POTS}\n{WANTS}\n{PEOPLE}",
           records=PICKED.replace(",cellar", ",lane cellar") + "\n2027-09-15,1-02,,,shared,12 lb,lane house\n2027-10-03,2-01,,,shared,20 lb,brook house"),
    _house("houses-before-the-pick", "the same, before anything is picked, of which a part is nobody's", "2027-08-12", ORCHARD,
           place=f"{NORTH}\n{HOUSES.replace('name: hill house, part: 1/4', 'name: hill house, part: 1/8')}"),
    _house("twenty-trees-in-march", "twenty trees of eight kinds, with a kitchen", "2027-03-01",
           _many(20, ("Bartlett", "Bosc", "Anjou", "Jonathan", "McIntosh", "Stanley", "Montmorency", "Redhaven"), row=7), place=WHOLE),
    _house("three-hundred", "three hundred trees in rows", "2027-08-25", _many(300, ("Bartlett", "Bosc", "Jonathan", "Stanley")),
           place=f"{NORTH}\nspaces: [{{name: barn, temperature: 38 F, holds: 300 boxes}}]\nbox: 22 lb"),
    _house("six-score-rows", "rows of one cultivar told as one note each", "2027-09-20",
           _many(6, ("Bartlett", "Bosc", "Golden Delicious"), row=1, keys="count: 20; crop: 30-40 lb"),
           place=f"{NORTH}\nspaces: [{{name: barn, temperature: 38 F, holds: 200 boxes}}]\nbox: 22 lb",
           records="2027-08-26,1-01,,,first pick,300 lb,\n2027-09-01,1-01,,,last pick,280 lb,"),
    _house("called-like-their-fruit", "trees called like their fruit, as new notes call them", "2027-09-05",
           "Bartlett: Bartlett; crop: 40 lb\nBosc: Bosc; crop: 40 lb\nSeckel: Seckel; crop: 20 lb", place=WHOLE,
           records="2025-05-02,Bartlett,,,full bloom,,\n2025-08-28,Bartlett,,,pick,38 lb,\n2026-05-06,Bartlett,,,full bloom,,\n2026-09-01,Bartlett,,,pick,44 lb,\n2027-09-01,Bartlett,,,pick,40 lb,\n2027-09-01,Bartlett,,,stored,,cellar"),
    _house("felled", "two trees felled, one replanted", "2027-06-10", "1: Bartlett; crop: 40 lb\n2: Bosc; crop: 40 lb\n3: Seckel; crop: 20 lb",
           place=f"{NORTH}\n{COLD}", records="2026-09-10,2,,,pick,44 lb,\n2026-11-15,2,,,removed,,\n2027-04-02,3,,,removed,,fire blight"),
    _house("felled-with-fruit-in-store", "a tree felled after its pick", "2027-11-20", "1: Bartlett; crop: 40 lb\n2: Anjou; crop: 40 lb",
           place=f"{NORTH}\n{COLD}", records="2027-09-22,2,,,pick,44 lb,\n2027-09-22,2,,,stored,,cellar\n2027-11-05,2,,,removed,,"),
    _house("replanted", "another tree stands where one was felled", "2027-09-01", "1: Bartlett; crop: 40 lb\n2: Jonathan; planted: 2024; crop: 10 lb",
           place=f"{NORTH}\n{COLD}", records="2021-09-10,2,,,pick,60 lb,\n2022-11-15,2,,,removed,,\n2027-05-09,2,,,full bloom,,"),
    _house("no-cold", "no cold room at all", "2027-08-26", ORCHARD, place=f"{NORTH}\n{POTS}\n{WANTS}", records=PICKED),
    _house("warm-room-only", "one room and no other", "2027-09-16", ORCHARD,
           place=f"{NORTH}\nspaces: [{{name: parlor, temperature: 68 F, holds: 3 boxes}}]\nbox: 22 lb", records=PICKED),
    _house("cold-too-small", "much more fruit than the cold holds", "2027-09-26", ORCHARD,
           place=f"{NORTH}\nspaces:\n- {{name: fridge, temperature: 34 F, holds: 2 boxes}}\n- {{name: porch, temperature: 48 F, holds: 3 boxes}}\nbox: 22 lb",
           records=PICKED.replace("cellar", "fridge")),
    _house("cold-not-told", "a space without a temperature", "2027-09-26", ORCHARD,
           place=f"{NORTH}\nspaces: [{{name: shed}}, {{name: cellar, temperature: 40 F}}]", records=PICKED),
    _house("kitchen-wants-all", "wants that claim most of the fruit", "2027-08-30", ORCHARD,
           place=f"{NORTH}\n{COLD}\n{POTS}\nto put up:\n- {{preserve: Pear halves in jars, jar: quart, amount: all}}\n- {{preserve: Applesauce in jars, jar: quart, amount: all}}\n"
           "- {preserve: Dried pears, amount: 4 lb}", records=PICKED),
    _house("kitchen-and-table", "days wanted, kitchen and eating want the same pears", "2027-10-01", "1: Anjou; crop: 60 lb\n2: Comice; crop: 40 lb",
           place=f"{NORTH}\n{COLD}\n{POTS}\nwanted:\n- {{cultivar: Anjou, on: 2027-12-24, amount: 20 lb}}\n- {{cultivar: Comice, on: 2027-11-25, amount: a dozen}}\n"
           "to put up:\n- {preserve: Pear halves in jars, amount: 28 quarts}",
           records="2027-09-25,1,,,pick,58 lb,\n2027-09-25,1,,,stored,,cellar\n2027-09-28,2,,,pick,38 lb,\n2027-09-28,2,,,stored,,cellar"),
    _house("lost-shared-sold", "fruit that went other ways", "2027-10-28", ORCHARD,
           place=f"{WHOLE}\nfarm stand: yes",
           records=PICKED + "\n2027-10-06,2-02,,,lost,8 lb,rot\n2027-10-09,2-01,,,shared,20 lb,lane house\n2027-10-16,2-01,,,taken out,16 lb,sold at the gate\n"
           "2027-10-20,1-03,,,lost,52 lb,frozen"),
    _house("put-up-and-left", "jars made, and jars left", "2027-10-10", ORCHARD, place=WHOLE,
           records=PICKED + "\n2027-09-04,1-01,,,jars,7 quarts,Pear halves in jars\n2027-09-25,2-02,,,jars,14 quarts,Applesauce in jars\n2027-10-08,,,,left,5 quarts,Applesauce in jars"),
    _house("second-passes", "two passes of most, one of them noted", "2027-08-27",
           "1: Bartlett; crop: 60-80 lb\n2: Redhaven; crop: 50-70 lb\n3: Heritage; crop: 8 lb\n4: Stanley; crop: 40 lb", place=f"{NORTH}\n{COLD}",
           records="2027-08-22,1,,,first pick,20 lb,\n2027-08-12,2,,,first pick,18 lb,\n2027-08-16,2,,,pick,14 lb,"),
    _house("never-cans", "a household without kitchen, wants or pots", "2027-08-15", ORCHARD, place=f"{NORTH}\n{COLD}"),
    _house("sprayed", "a label's days and its re-entry time before the pick", "2027-08-26", ORCHARD, place=f"{NORTH}\n{COLD}",
           records='2027-08-26,1-01,,,spray,"14 days, re-entry 4 days",soap\n2027-08-24,2-03,,,spray,"10 days, re-entry 3 days",\n2027-08-25,,,,spray,"0 days, re-entry 24 hours",'),
    _house("freezes", "a freeze before the last fruit is in", "2027-10-04", ORCHARD, place=f"{NORTH}\n{COLD}",
           records="2027-10-08,,,,freeze forecast,24 F,\n2027-09-14,1-02,,,pick,36 lb,"),
    _house("frozen-bloom", "frost in bloom, no crop and part crops", "2027-08-05", ORCHARD, place=f"{NORTH}\n{COLD}",
           records="2027-05-04,1-01,,,full bloom,,\n2027-05-08,,,,frost,26 F,\n2027-06-10,1-01,,,no crop,,\n2027-06-10,2-01,,,part crop,,1/5\n2027-06-10,1-02,,,light crop,,"),
    _house("all-away", "everybody away while fruit is ripe", "2027-08-18", ORCHARD,
           place=f"{NORTH}\n{COLD}\npeople:\n- {{name: Ama, does: [picking, watch, store], away: [Aug 20 - Sep 12]}}\n- {{name: Bo, does: [picking, canning], away: [Aug 24 - Sep 2]}}"),
    _house("ten-years", "ten years of records, heavy and light by turns", "2027-08-24", "1-01: Bartlett\n1-02: Bosc\n2-01: Jonathan",
           place=f"{NORTH}\n{COLD}", records=TEN_YEARS + "\n2027-05-03,1-01,,,full bloom,,"),
    _house("ten-years-in-winter", "the same at New Year, fruit in store", "2027-01-04", "1-01: Bartlett\n1-02: Bosc\n2-01: Jonathan",
           place=f"{NORTH}\n{COLD}", records=TEN_YEARS + "\n2026-10-06,2-01,,,stored,,cellar\n2026-12-20,2-01,,,taken out,20 lb,"),
    _house("unknown-kinds", "nobody knows what they are", "2027-09-05", "x: unknown; fruit: european-pear\ny: unknown; fruit: apple; crop: 2 boxes\nz: Stile Pear; fruit: european-pear",
           place=f"{NORTH}\n{COLD}", records="2026-09-20,z,,,pick,30 lb,"),
    _house("pinned", "dates fixed by hand", "2027-08-20", "1: Bartlett; crop: 40-60 lb; pinned: [{pick: 2027-08-26, because: helpers}]\n2: Bosc; crop: 40 lb",
           place=f"{NORTH}\n{COLD}"),
    _house("fridge-split", "two fridges, neither of which holds the crop", "2027-09-20", "1: Bosc; crop: 80-100 lb\n2: Jonathan; crop: 90 lb",
           place=f"{NORTH}\nspaces:\n- {{name: fridge A, temperature: 33 F, holds: 2 boxes}}\n- {{name: fridge B, temperature: 33 F, holds: 2 boxes}}\nbox: 20 lb"),
    _house("taken-out-early", "a take-out noted before it left", "2027-09-20", "1: Bartlett; crop: 40 lb\n2: Anjou; crop: 60 lb", place=f"{NORTH}\n{COLD}",
           records="2027-08-24,1,,,pick,40 lb,\n2027-08-24,1,,,stored,,cellar\n2027-08-25,1,,,taken out,15 lb,\n2027-08-27,1,,,ready,,\n2027-09-12,1,,,taken out,,"),
    _house("most-taken-out", "most of a box taken out, a little left in the cold", "2027-10-22", "3: Concord; crop: 10 lb", place=f"{NORTH}\n{COLD}",
           records="2027-09-14,3,,,pick,8 lb,\n2027-09-14,3,,,stored,,cellar\n2027-10-07,3,,,taken out,7 lb,"),
    _house("one-tree-with-kitchen", "one tree, a pot, people and wants", "2027-05-20", "1: Jonathan; crop: 60 lb", place=WHOLE),
    _house("every-kind", "one of each fruit of the shelf that stands outside", "2027-07-20",
           "ap: Blenheim\nas: Hosui\nbl: Natchez\nbb: Bluecrop; count: 5\nch: Bing\nci: Owari\neu: Comice\nfe: Nazemetz; fruit: feijoa\ngr: Concord\n"
           "ju: Li\nki: Hayward\nmu: Illinois Everbearing; fruit: mulberry\npa: Sunflower\npe: Redhaven\npl: Santa Rosa\nqu: Kaunching; fruit: quince\n"
           "ra: Heritage\nst: Earliglow; fruit: strawberry\nta: Montmorency\nto: Amish Paste; fruit: tomato",
           place=f"{NORTH}\n{COLD}"),
    _house("metric-kitchen", "many fruits and preserves, read in metric units", "2027-08-28",
           "ap: Blenheim; crop: 40 kg\nas: Hosui\nbl: Natchez\nch: Bing\neu: Comice; crop: 30 kg\ngr: Concord\nki: Hayward\npe: Redhaven; crop: 20 kg\n"
           "pl: Santa Rosa\nqu: unknown; fruit: quince\nst: Earliglow; fruit: strawberry\nta: Montmorency\nto: Amish Paste; fruit: tomato",
           place="name: Sopra il Lago\nlatitude: 46 N\nlongitude: 9 E\nelevation: 400 m\nunits: metric\nfirst frost: Oct 20\nlast frost: Apr 20\nbox: 10 kg\n"
           "spaces:\n- {name: cellar, temperature: 4 C, holds: 30 boxes}\n- {name: parlor, temperature: 20 C, holds: 9 boxes}\n"
           "kitchens: [{name: big room, elevation: 400 m}]\n"
           "canners: [{name: big pot, kind: boiling water, holds: [7 quarts, 9 pints], kitchen: big room}, {name: tall pot, kind: pressure, gauge: dial, holds: [7 quarts, 9 pints], kitchen: big room}]\n"
           'kitchen days: [{on: Saturday, during: Jul 1 - Nov 15, start: "9:00", hours: 7, hands: 2, kitchen: big room}]\n'
           "to put up:\n" + "\n".join(f"- {{preserve: {name}, amount: {much}}}" for name, much in (
               ("Pear halves in jars", "7 pints"), ("Applesauce in jars", "7 quarts"), ("Peaches in jars", "9 pints"), ("Plums in jars", "9 pints"),
               ("Apple jelly", "4 half pints"), ("Grape juice in jars", "7 quarts"), ("Apple pie filling", "7 quarts")))),
)  # fmt: skip
"""Each is built once."""
