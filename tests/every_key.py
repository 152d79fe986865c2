"""A household that writes every key there is in notes and tables, with any words wherever words of its own may stand.

That it has every key is held by tests/unit/test_every_key.py, so that a key added later can't be forgotten where
private words, hostile texts and spoilt notes are tried.
"""

from __future__ import annotations

import json
from collections.abc import Callable

from firmripe.holding.record import Happening

Words = Callable[[str, str], str]
"""What a household writes in a place, told as `tree.where`, in place of usual words."""

OF_THE_SHELF = {
    ("a fruit", "warmer storage"), ("a cultivar", "warmer storage"), ("a preserve", "process"), ("a preserve", "acid"),
}  # fmt: skip
"""Keys that a household can't write: they belong to what was published."""
PHOTO = "gate.png"
_AMOUNT = {
    **dict.fromkeys((Happening.SET, Happening.THINNED, Happening.DROP, Happening.WORMY_DROP), "160 fruits"),
    **dict.fromkeys((Happening.LOST, Happening.SOLD, Happening.FIRST_PICK, Happening.LAST_PICK), "3 lb"),
    Happening.FIRMNESS: "15 lbf", Happening.STARCH: "4", Happening.BRIX: "12", Happening.SPRAY: "9 days",
    Happening.FROST: "28 F", Happening.FREEZE_FORECAST: "26 F",
}  # fmt: skip
_TREE_OF = {Happening.REMOVED: "3-01"}
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def as_usual(_place: str, usual: str) -> str:
    """Return the usual words."""
    return usual


def household(words: Words = as_usual, *, private: str = "no") -> dict[str, str]:
    """Return the notes and tables; `private` is what every note says under that key."""

    def q(place: str, usual: str) -> str:
        return json.dumps(words(place, usual), ensure_ascii=False)

    def cell(place: str, usual: str) -> str:
        return '"' + words(place, usual).replace('"', '""').replace("\r", " ").replace("\n", " ") + '"'

    def cited(place: str) -> str:
        return (
            f"note: {q(f'{place} note', 'seen twice')}, mark: R, source: {q(f'{place} source', 'our book')}, "
            f"page: {q(f'{place} page', '7')}"
        )

    def figure(place: str, value: str, more: str = "") -> str:
        return f'{{value: "{value}", {more}{cited(place)}}}'

    def said(place: str, usual: str, more: str = "") -> str:
        return f"{{value: {q(place, usual)}, {more}{cited(place)}}}"

    def traits(of: str, crops: str, crop: str) -> str:
        """Return the keys that fruits and cultivars share."""
        return (
            f"crops: {crops}\nripens off the tree: {figure(f'{of}.ripens', 'yes')}\n"
            f"windows:\n  - {{bloom: May 4, place: here, crop: {crop}, {cited(f'{of}.window')}}}\n"
            f"  - {{pick: Sep 20, zone: 6b, latitude: 42 N, longitude: 74 W, elevation: 900 ft, crop: {crop}, "
            f"{cited(f'{of}.window')}}}\n  - {{leaf fall: Nov 4, place: here}}\n"
            f"days from bloom: {figure(f'{of}.bloom', '120-130 days', f'crop: {crop}, ')}\n"
            f"heat rule: {{gives: day of the year, value: 255, less: 1 day per degree F, above: 41 F, during: Apr 1 - May 20, "
            f"within: 5 days, {cited(f'{of}.heat')}}}\n"
            f"signs:\n"
            + "".join(
                f"  - {{{sense}: {q(f'{of}.sign {sense}', 'gives a little')}, {cited(f'{of}.sign')}}}\n"
                for sense in ("touch", "sight", "smell", "taste", "lift")
            )
            + f"  - {{sound: {q(f'{of}.sign sound', 'dull')}, when: ripe, {cited(f'{of}.sign')}}}\n"
            f"firmness at pick: {figure(f'{of}.firm', '15 lbf')}\nfirmness when ready: {figure(f'{of}.soft', '4 lbf')}\n"
            f"passes: {figure(f'{of}.passes', '2')}\npass interval: {figure(f'{of}.interval', '5 days')}\n"
            f"conditioning: {figure(f'{of}.cold', '20 days', 'at: 34 F, ')}\n"
            f"conditioning early: {figure(f'{of}.early', '25 days')}\n"
            f"conditioning late: {figure(f'{of}.late', '14 days')}\n"
            f"counter: {figure(f'{of}.counter', '5-7 days', 'at: 68 F, ')}\n"
            f"counter after storage: {figure(f'{of}.after', '4 days')}\n"
            f"counter by room: {figure(f'{of}.room', '5 days', 'at: 68 F, ')}\n"
            f"ripe apple: {figure(f'{of}.apple', '3 days')}\ntoo warm: {figure(f'{of}.warm', '86 F')}\n"
            f"ripens poorly above: {figure(f'{of}.poor', '80 F')}\nsoftens: {figure(f'{of}.softens', '2 lbf a day')}\n"
            f"chilling: {figure(f'{of}.chilling', '36-40 F before ripe')}\n"
            f"treatments: [{{what: {q(f'{of}.treatment', 'warm room')}, value: 2 days, at: 68 F, then: 3 days, "
            f"then at: 70 F, stored at most: 40 days, {cited(f'{of}.treatment')}}}]\n"
            f"keep apart: {said(f'{of}.apart', 'potatoes')}\ncold nights: {figure(f'{of}.nights', '40 F')}\n"
            f"freezes: {figure(f'{of}.freezes', '28 F')}\nkeeps: {figure(f'{of}.keeps', '90 days', 'at: 34 F, ')}\n"
            f"keeps ripe: {figure(f'{of}.keeps ripe', '3 days')}\n"
            f"drops: [{{when: 0-3 weeks after petal fall, value: {q(f'{of}.drop', 'half of it')}, {cited(f'{of}.drop')}}}]\n"
            f"uses: [{said(f'{of}.use', 'drying')}]\npartners: [bartlett, {said(f'{of}.partner', 'bartlett')}]\n"
            f"bad partners: [{said(f'{of}.bad partner', 'bosc')}]\n"
            f"flowering group: {figure(f'{of}.group', 'early')}\nown pollen: {figure(f'{of}.own pollen', 'partly')}\n"
            f"gives pollen: {figure(f'{of}.pollen', 'poorly')}\nshows bloom: {figure(f'{of}.shows', 'yes')}\n"
            f"facts: [{{what: {q(f'{of}.fact', 'leaf')}, value: {q(f'{of}.fact value', 'round')}, at: 50 F, "
            f"{cited(f'{of}.fact')}}}]\n"
            f"cautions: [{said(f'{of}.caution', 'mind the wasps')}]\n"
            f"yield: {figure(f'{of}.yield', '60-90 lb')}\nweight per fruit: {figure(f'{of}.fruit', '8 oz')}\n"
            f"weight per container: {figure(f'{of}.container', '44 lb a bushel')}\n"
            f'picking days: {{crop: {crop}, value: "every 4 days, Sep 10 - Oct 1"}}\n'
            f"photos: [{{file: {PHOTO}, alt: {q(f'{of}.alt', 'a fruit')}, private: {private}}}]\nprivate: {private}\n"
        )

    def note(keys: str, of: str) -> str:
        return f"---\n{keys.rstrip()}\n---\n{words(f'{of}.body', 'Ours.')}\n"

    room, hall = q("space.name", "cellar"), q("second space.name", "hall")
    kitchen, maud = q("kitchen.name", "lower kitchen"), q("person.name", "Maud")
    place = (
        f"format: 1\nname: {q('place.name', 'Slate Stile')}\nlatitude: 42.12345 N\nlongitude: 74.54321 W\n"
        "elevation: 1234 ft\nzone: 6b\nzone map: 2023\nhemisphere: north\nunits: US\nlanguage: en\ndates: Aug 28\n"
        "week starts: Sunday\ntheme: box-tag\nsite for: household\nseason begins: Jan 1\nwalk: up and down\n"
        "last frost: May 14\nfirst frost: Oct 8\nwithout: [frost]\nfarm stand: yes\nstand days: [Wednesday, Saturday]\nbox: 22 lb\npicks in a day: 20 boxes\nreminder alarm: same day\n"
        f"site address: https://garden.example/\ncalendar identity: {q('place.identity', 'slate-stile')}\n"
        f"feed secret: {q('place.secret', 'a secret of ours, long')}\nnotes to: notes@garden.example\n"
        "usual temperatures: {unit: F, low: [15, 17, 26, 36, 46, 55, 60, 58, 51, 40, 32, 22],"
        " high: [32, 36, 45, 58, 69, 77, 82, 80, 73, 61, 49, 37]}\n"
        "usual picks: [{cultivar: Bartlett, pick: Aug 28}, {cultivar: Brown Turkey, pick: Sep 9, crop: main}]\n"
        f"spaces:\n  - {{name: {room}, temperature: 34 F, {', '.join(f'{m}: 35 F' for m in _MONTHS)}, holds: 20 boxes, "
        f"beside: [{q('space.beside', 'potatoes')}], eats: 5 lb a week, house: {q('share.name', 'lane house')}}}\n"
        f"  - {{name: {hall}, temperature: 66 F}}\n"
        f"shares: [{{name: {q('share.name', 'lane house')}, part: 1/4}}]\n"
        f"wanted: [{{cultivar: Bartlett, on: 2027-09-20, amount: {q('wanted.amount', '10 lb')}, "
        f"for: {q('wanted.for', 'the table')}}}]\n"
        f"neighbors: [{{cultivar: Bosc, where: {q('neighbor.where', 'over the fence')}}}, {{fruit: fig, "
        f"where: {q('neighbor.where', 'by the road')}, removed: 2027-01-20}}]\n"
        f"no access: [{{on: [2027-08-27, Dec 25], because: {q('no access.because', 'no bus')}}}]\n"
        f"plan: [{{row: {q('plan.row', 'row 1')}, trees: [1-01, gap, {q('tree.tag', '1-02')}]}}]\n"
        f"kitchens: [{{name: {kitchen}, elevation: 1234 ft}}]\n"
        f"canners: [{{name: {q('canner.name', 'big pot')}, kind: boiling water, holds: [7 quarts, 9 pints], "
        f"kitchen: {kitchen}, away: Sep 3, here: Aug 1 - Dec 1, first boil: 60 minutes, to the boil: 30 minutes}}, "
        f"{{name: {q('second canner.name', 'tall pot')}, kind: pressure, gauge: dial, holds: [7 quarts], "
        f"kitchen: {kitchen}}}]\n"
        'kitchen days: [{on: Saturday, during: Aug 20 - Oct 20, except: Sep 10 - Sep 12, start: "9:00", hours: 6, '
        f"hands: 2, kitchen: {kitchen}}}]\n"
        "stock: {jars: [24 quarts], lids: 60, freezer: 2 cubic feet, buy: no}\n"
        f"to put up: [{{preserve: {q('preserve.name', 'Crock butter')}, cultivar: Bartlett, amount: 4 jars, jar: pint}}]\n"
        f"people:\n  - {{name: {maud}, household: {q('person.household', 'lane house')}, "
        f"does: [{q('person.does', 'picking')}], phone: 555 010 0199, email: maud@garden.example, away: [Aug 10 - Aug 20], picks in a day: 6 boxes}}\n"
        f"private: {private}\n"
    )
    photos = f"photos: [{{file: {PHOTO}, alt: {q('photo.alt', 'the gate')}, private: {private}}}]\nprivate: {private}\n"
    own_days = "days from bloom: 118 days\nconditioning: 18 days\ncounter: 5 days\nkeeps: 80 days\n"
    task = (
        f"topic: orchard\nabout: selling\nuntil: 3 weeks after earliest pick\nevery: 1 week\nfor: [Bartlett]\nnot for: [cane]\neach: tree\n"
        f"only if: bears\nreminder: yes\nwho: {q('task.who', 'picking')}\nbring: [{q('task.bring', 'a crate')}, {{for: [Bartlett], not for: [bush], value: {q('task.bring table', 'a ladder')}}}]\n"
        f"why: [{said('task.why', 'so that none is lost', 'for: [Bartlett], not for: [bush], ')}]\n"
        f"look for: [{said('task.look', 'yellow ones', 'for: [Bartlett], not for: [bush], ')}]\n"
        f"cautions: [{said('task.caution', 'mind the ladder', 'for: [Bartlett], not for: [bush], ')}]\ncalendar name: {q('task.calendar name', 'Look')}\n{photos}"
    )
    tag, sort = q("tree.tag", "1-02"), q("cultivar.name", "Stile")
    records = "date,tree,cultivar,crop,what,amount,note\n"
    happened = "".join(
        f"2025-{7 + day // 21:02}-{1 + day % 21:02},{_TREE_OF.get(what, '1-01')},,,{what.value},{_AMOUNT.get(what, '')},"
        f"{cell('record.note', 'so')}\n"
        for day, what in enumerate(Happening, start=1)
        if what not in {Happening.STORED, Happening.JARS, Happening.LEFT, Happening.SHARED}
    )
    return {
        "place.md": note(place, "place"),
        "trees/1-01.md": note(
            f"tree: 1-01\ncultivar: Bartlett\nwhere: {q('tree.where', 'row 1')}\nwalk: 1\ncount: 2\nplanted: 2010\n"
            f"bears from: 2014\nkept by: {maud}\ncrop: 60-80 lb\nflesh: white\n{own_days}"
            f"pinned: [{{pick: 2027-09-01, because: {q('pin.because', 'away')}}}]\n{photos}",
            "tree",
        ),
        "trees/own.md": note(
            f"tree: {tag}\nfruit: {q('fruit.name', 'Quince')}\ncultivar: {sort}\n"
            f"pinned: [{{bloom: 2027-05-10, crop: main, because: {q('pin.because', 'seen')}}}]\n{photos}",
            "tree",
        ),
        "trees/limbs.md": note(
            f"tree: 2-01\nlimbs: [Bosc, {{cultivar: Bartlett, {', '.join(own_days.splitlines())}}}]\n"
            f"pinned: [{{leaf fall: 2027-11-10, cultivar: Bosc, because: {q('pin.because', 'late')}}}]\n{photos}",
            "tree",
        ),
        "trees/fig.md": note(
            f'cultivar: Brown Turkey\npicking days: {{crop: main, value: "every 2 days, Aug 20 - Sep 30"}}\nprivate: {private}',
            "tree",
        ),
        "fruits/quince.md": note(
            f"name: {q('fruit.name', 'Quince')}\nalso: [{q('fruit.also', 'coing')}]\nhabit: tree\n"
            f"in other languages: [{{name: {q('fruit.abroad', 'cognassier')}, language: [fr], mark: R, "
            f"source: {q('fruit.abroad source', 'our book')}, page: {q('fruit.abroad page', '7')}}}]\n"
            + traits("fruit", "[main]", "main")
            + "offset: {from: bartlett, value: 14 days after}\n",
            "fruit",
        ),
        "cultivars/stile.md": note(
            f"name: {sort}\nalso: [{q('cultivar.also', 'Gate')}]\nfruit: {q('fruit.name', 'Quince')}\nflesh: white\n"
            f"offset: {{from: bartlett, value: 14 days after, {cited('cultivar.offset')}}}\n"
            + traits("cultivar", "[main]", "main"),
            "cultivar",
        ),
        "tasks/look.md": note(f"name: {q('task.name', 'Look')}\nwhen: 2 weeks before earliest pick\n{task}", "task"),
        "tasks/hers.md": note(
            f"name: {q('hers.name', 'Her job')}\nwhen: Aug 30\neach: place\nonly for: {maud}\ninstead of: [look]\nzone: 6b\n"
            f"photos: [{{file: {PHOTO}, alt: {q('photo.alt', 'the gate')}}}]\n",
            "hers",
        ),
        "tasks/gone.md": note("when: Aug 1\nskip: yes", "task"),
        "preserves/butter.md": note(
            f"name: {q('preserve.name', 'Crock butter')}\nfruits: [european-pear]\nmethod: freezer\nstage: ripe\n"
            f"keeps: {figure('preserve.keeps', '6 months')}\ntakes: {figure('preserve.takes', '5 lb for 4 pints')}\n"
            f"hands: {figure('preserve.hands', '15 minutes a pint')}\npacked in: {q('preserve.packed', 'water')}\n"
            f"steps: [{{step: count, for: [freezer], value: {q('preserve.step', 'in halves')}, {cited('preserve.step')}}}]\n"
            f"cautions: [{said('preserve.caution', 'hot')}]\n{photos}",
            "preserve",
        ),
        "trees/felled.md": note(f"tree: 3-01\ncultivar: Bosc\nprivate: {private}", "tree"),
        "records/2025.csv": records + happened,
        "records/2026.csv": records
        + "2026-05-04,1-01,,,full bloom,,\n2026-08-24,1-01,,,first pick,44 lb,"
        + cell("record.note", "good")
        + f"\n2026-08-24,1-01,,,stored,,{cell('space.name', 'cellar')}\n2026-10-20,1-01,,,taken out,10 lb,{cell('record.note', 'for us')}\n"
        + f"2026-10-24,1-01,,,verdict,,{cell('verdict.note', 'brown at the core, picked late')}\n"
        + f"2026-09-02,1-01,,,shared,20 lb,{cell('share.name', 'lane house')}\n"
        + f"2026-09-20,1-01,,,jars,4 pints from 5 lb by 2 in 1 hour,{cell('preserve.name', 'Crock butter')}\n",
        "records/2027.csv": records
        + f"2027-05-01,1-01,,,full bloom,,{cell('record.note', 'early')}\n2027-05-12,,,,frost,28 F,{cell('record.note', 'a little')}\n"
        + f"2027-06-01,1-01,,,note,{cell('record.amount', 'two')},{cell('record.note', 'scab')}\n"
        + f"2027-06-20,2-01,Bosc,,part crop,1/5,{cell('record.note', 'hail')}\n"
        + f'2027-08-18,1-01,,,spray,"14 days, re-entry 12 hours",{cell("spray.note", "soap")}\n'
        + f"2027-08-20,2-01,Bartlett,,first pick,20 lb,{cell('record.note', 'green')}\n"
        + f"2027-08-20,2-01,Bartlett,,stored,,{cell('space.name', 'cellar')}\n"
        + f"2027-08-22,2-01,Bartlett,,left,2 pints,{cell('preserve.name', 'Crock butter')}\n"
        + f"2027-08-25,fig,,main,pick,3 lb,{cell('record.note', 'sweet')}\n"
        + f"2027-08-26,2-01,Bartlett,,lost,2 lb,{cell('record.note', 'bruised')}\n",
    }
