"""What single lines leave open and together can hardly be meant: records against each other, the trees and the day."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from fractions import Fraction

from firmripe.days import WorkingYear
from firmripe.harvest.weighing import containers_of, weigh
from firmripe.holding.fruit import Cultivar, Event
from firmripe.holding.holding import Holding
from firmripe.holding.jar import parse_made
from firmripe.holding.record import LEAVINGS, PICKINGS, Happening, Record
from firmripe.holding.tree import Pin, Tree
from firmripe.holding.weight import Weight, total
from firmripe.problems import Problem, Unreadable, folded, nearest, or_list

_STAGES = (Happening.FIRST_BLOOM, Happening.FULL_BLOOM, Happening.PETAL_FALL)
_ONCE = frozenset({*_STAGES, Happening.FIRST_PICK, Happening.LAST_PICK, Happening.LEAF_FALL})
_AFTER_PICK = frozenset({Happening.STORED, Happening.TAKEN_OUT, Happening.USED_UP, Happening.READY, Happening.VERDICT})
_CROPS = frozenset({Happening.PART_CROP, Happening.LIGHT_CROP, Happening.HEAVY_CROP})
_OF_NO_PLACE = _AFTER_PICK | {
    *(Happening.SET, Happening.THINNED, Happening.DROP, Happening.WORMY_DROP, Happening.STARCH, Happening.BRIX),
    *(Happening.LEAF_FALL, Happening.LOST, Happening.SOLD),
}
"""What is of one tree and its fruit: noted of the place as a whole it is of none."""
_SOONEST_D = 25
"""The quickest fruit on the shelf (a strawberry) takes 28 days from bloom (M); a pick sooner is asked about."""
_IN_STORE_D = 550
_OUT_OF_SEASON_D = 90
"""A day so far from every printed one is asked about (our judgement)."""
_LATEST_BLOOM, _EARLIEST_PICK, _LEAF_FALL = 225, 60, range(75, 181)
_MIDSUMMER = range(170, 221)
"""Days of the working year between which these are asked about, where nothing better is known (our judgement)."""
_A_TREES_PICK = Weight.of(450)
_TOO_MUCH, _ABOVE_THE_MOST, _LEAST_PICKINGS = 6, Fraction(5, 2), 3
"""So many times the tree's middle picking, and its largest, is a slip of a digit, once so many were weighed (J)."""
_LEAST_KG_A_LITRE = Fraction(35, 100)
"""Less fruit makes no litre of anything: jam, the leanest, has about half its weight in fruit (our judgement)."""
_AHEAD_D, _OLDEST = 1100, 120
_PLAIN = "was another day or another tree meant?"

Group = tuple[str, str, str]
"""A tag, a cultivar and a crop, the last two empty where the line names none."""


def doubts_of(holding: Holding, known_on: date) -> tuple[Problem, ...]:
    """Return what is to be asked about on a day, in no order, each once."""
    found: list[Problem] = [*_of_the_place(holding, known_on)]
    lines: dict[str, list[Record]] = defaultdict(list)
    for record in holding.records:
        lines[record.tree].append(record)
    for tree in holding.trees:
        found += [*_of_tree(holding, tree, known_on), *_of_pins(tree, known_on)]
        found += _of_lines(holding, tree, lines[tree.tag])
    found += _of_days(holding, known_on)
    return tuple(dict.fromkeys(found))


def _of_the_place(holding: Holding, known_on: date) -> Iterator[Problem]:
    far = known_on + timedelta(days=_AHEAD_D)
    for wanted in holding.place.wanted:
        if wanted.day > far:
            yield Problem(wanted.where, f"{wanted.day} lies years ahead", "was another year meant?")
    for day in holding.place.kitchen_means.days:
        if day.dates and max(day.dates) > far:
            yield Problem(day.where, f"{max(day.dates)} lies years ahead", "was another year meant?")


def _of_tree(holding: Holding, tree: Tree, known_on: date) -> Iterator[Problem]:
    if tree.planted and tree.planted > known_on.year + 1:
        yield Problem(tree.where, f"tree {tree.tag} is planted in {tree.planted}", "was another year meant?")
    keepers = (*(person.name for person in holding.place.people), *holding.place.houses)
    names = {folded(keeper): keeper for keeper in keepers}
    near = nearest(tree.kept_by, names.values()) if folded(tree.kept_by) not in names else None
    if near:
        yield Problem(tree.where, f'"{tree.kept_by}" keeps it and is nobody in place.md', f'did you mean "{near}"?')


def _is_bloom_of(pin: Pin, pick: Pin) -> bool:
    return pin.event is Event.FULL_BLOOM and (pin.cultivar, pin.crop) == (pick.cultivar, pick.crop)


def _of_pins(tree: Tree, known_on: date) -> Iterator[Problem]:
    for pin in tree.pins:
        if pin.day > known_on + timedelta(days=_AHEAD_D) or (tree.planted and pin.day.year < tree.planted):
            yield Problem(pin.where, f"a date is fixed for {pin.day.year}", "was another year meant?")
    for pick in (pin for pin in tree.pins if pin.event is Event.PICK):
        for bloom in (pin for pin in tree.pins if _is_bloom_of(pin, pick)):
            if bloom.day.year == pick.day.year and pick.day < bloom.day + timedelta(days=_SOONEST_D):
                message = f"its pick is fixed on {pick.day} and its bloom on {bloom.day}"
                yield Problem(pick.where, message, "were the two exchanged?")


def _of_days(holding: Holding, known_on: date) -> Iterator[Problem]:
    for record in holding.records:
        year = holding.place.working_year(record.season)
        if record.day.year < known_on.year - _OLDEST:
            yield Problem(record.where, f"{record.day} is more than {_OLDEST} years ago", "was another year meant?")
        elif not record.tree and record.what in _OF_NO_PLACE:
            message = f'"{record.what.value}" stands without a tree, and is counted for none'
            yield Problem(record.where, message, "write the tag of the tree, and a line for each of several")
        elif record.what is Happening.FROST and year.day_number(record.day) in _MIDSUMMER:
            yield Problem(record.where, f"a frost at midsummer, on {record.day}", "was another month meant?")


def _of_lines(holding: Holding, tree: Tree, records: Sequence[Record]) -> Iterator[Problem]:
    """Ask about the lines of one tree."""
    yield from _before_planting(tree, records)
    groups: dict[tuple[Group, int], list[Record]] = defaultdict(list)
    for record in records:
        groups[(record.tree, record.cultivar, record.crop), record.season].append(record)
    for (_, season), lines in groups.items():
        year = holding.place.working_year(season)
        yield from _twice(lines)
        yield from _out_of_order(lines)
        yield from _bare_and_borne(lines)
        yield from (p for r in lines if (p := _out_of_season(r, tree, year)) is not None)
    yield from _after_no_pick(records)
    yield from _of_no_limb(tree, records)
    yield from _more_than_there_was(holding, tree, records)
    yield from _many_times_the_usual(holding, tree, records)


def _before_planting(tree: Tree, records: Sequence[Record]) -> Iterator[Problem]:
    """Ask about lines from before the tree stood, unless another one stood there and was removed."""
    if not tree.planted or any(record.what is Happening.REMOVED for record in records):
        return
    for record in records:
        if record.day.year < tree.planted and record.what is not Happening.NOTE:
            yield Problem(record.where, f"tree {tree.tag} was planted later, in {tree.planted}", _PLAIN)


def _of_no_limb(tree: Tree, records: Sequence[Record]) -> Iterator[Problem]:
    """Ask of which limb was picked where a line of a tree with several does not say."""
    for record in records:
        if record.what in PICKINGS and not record.cultivar and len(tree.limbs) > 1:
            names = or_list([limb.name for limb in tree.limbs])
            message = f"tree {tree.tag} has several limbs, and the line does not say which was picked"
            yield Problem(record.where, message, f"write a line for each that was, with {names} as its cultivar")


def _twice(lines: Iterable[Record]) -> Iterator[Problem]:
    seen: dict[Happening, Record] = {}
    for record in lines:
        if record.what not in _ONCE:
            continue
        other = seen.setdefault(record.what, record)
        if other is not record:
            message = f'"{record.what.value}" stands twice for one season, on {other.day} and on {record.day}'
            yield Problem(record.where, message, "keep the right one of the two lines")


def _out_of_order(lines: Sequence[Record]) -> Iterator[Problem]:
    """Ask about stages against their order, and pickings before the first or after the last."""
    stages = [(stage, record) for record in lines for stage in (_rank(record),) if stage is not None]
    for rank, record in stages:
        later = next((o for above, o in stages if above > rank and o.day < record.day and not o.about), None)
        if later is not None:
            message = f'"{record.what.value}" on {record.day} comes after "{later.what.value}" on {later.day}'
            yield Problem(record.where, message, _PLAIN)
    full = [record.day for record in lines if record.what is Happening.FULL_BLOOM]
    for record in lines:
        if full and record.what in PICKINGS and 0 <= (record.day - full[0]).days < _SOONEST_D:
            days = (record.day - full[0]).days
            yield Problem(record.where, f"picked {days} days after full bloom", _PLAIN)
    picks = [record for record in lines if record.what in PICKINGS]
    for record in picks:
        begun = any(o.what is Happening.FIRST_PICK and o.day > record.day for o in picks)
        ended = any(o.what is Happening.LAST_PICK and o.day < record.day for o in picks)
        if record.what is not Happening.LAST_PICK and ended:
            yield Problem(record.where, f"picked on {record.day}, after the last pick", _PLAIN)
        elif begun and record.what is not Happening.FIRST_PICK:
            yield Problem(record.where, f"picked on {record.day}, before the first pick", _PLAIN)


def _rank(record: Record) -> int | None:
    if record.what in PICKINGS:
        return None if record.crop else len(_STAGES)
    return _STAGES.index(record.what) if record.what in _STAGES else None


def _bare_and_borne(lines: Sequence[Record]) -> Iterator[Problem]:
    bare = any(record.what is Happening.NO_CROP for record in lines)
    for record in lines if bare else ():
        if record.what in PICKINGS or record.what in _CROPS:
            yield Problem(record.where, f'"{record.what.value}" in a season with "no crop"', "one of the two is wrong")


def _out_of_season(record: Record, tree: Tree, year: WorkingYear) -> Problem | None:
    """Ask about a day far from every printed one of its kind; where none is printed, from any season's."""
    number = year.day_number(record.day)
    if record.what is Happening.LEAF_FALL and number in _LEAF_FALL:
        return Problem(record.where, f"leaf fall on {record.day}, in spring", _PLAIN)
    event = Event.PICK if record.what in PICKINGS else Event.FULL_BLOOM if record.what in _STAGES else None
    if event is None or record.about:
        return None
    limbs = [limb for limb in tree.limbs if record.cultivar in {"", limb.key}]
    printed = [day for limb in limbs for day in _printed(limb, event, record.crop, year)]
    if not printed and (record.crop or year.begins is not None):
        return None  # of one of several crops, or where fruit never rests, nobody knows when its season is
    if printed:
        odd = min(_apart(number, day) for day in printed) > _OUT_OF_SEASON_D
    else:
        odd = number > _LATEST_BLOOM if event is Event.FULL_BLOOM else number < _EARLIEST_PICK
    what = f'"{record.what.value}" on {record.day} lies far from any season of it'
    return Problem(record.where, what, "was another month meant?") if odd else None


def _printed(limb: Cultivar, event: Event, crop: str, year: WorkingYear) -> list[int]:
    """Return the season days that are printed of a crop; without one those of all."""
    windows = [w for w in limb.traits.windows if w.event is event and (not crop or limb.means(w.crop, crop))]
    ends = [(day, w.written_for) for w in windows for day in (w.stretch.first, w.stretch.last)]
    return [year.day_number(year.place_day(day, half)) for day, half in ends]


def _apart(one: int, other: int) -> int:
    return min(abs(one - other), 365 - abs(one - other) % 365)


def _after_no_pick(records: Sequence[Record]) -> Iterator[Problem]:
    """Ask about fruit that is stored, taken out or tasted with no pick before it and one after it."""
    picks = [record.day for record in records if record.what in PICKINGS]
    for record in records:
        if record.what not in _AFTER_PICK:
            continue
        before = any(day <= record.day and (record.day - day).days <= _IN_STORE_D for day in picks)
        after = [day for day in picks if day > record.day and (day - record.day).days < 200]
        if after and not before:
            yield Problem(record.where, f'"{record.what.value}" before the first pick noted, {min(after)}', _PLAIN)


def _more_than_there_was(holding: Holding, tree: Tree, records: Sequence[Record]) -> Iterator[Problem]:
    """Ask about a pick that no tree bears, and about fruit taken out or jars beyond what was picked before."""
    for limb in tree.limbs:
        containers = containers_of(limb.traits, holding.place)
        own = [r for r in records if r.cultivar == limb.key or len(tree.limbs) == 1]
        own.sort(key=lambda r: (r.day, r.what not in PICKINGS))
        picked: list[Weight | None] = []
        taken: dict[Happening, list[Weight]] = defaultdict(list)
        last = date.min
        for record in own:
            weight = weigh(record.parts, containers)
            if record.what in PICKINGS:
                if (record.day - last).days > 200:
                    picked, taken = [], defaultdict(list)
                last = record.day
                picked.append(weight)
                if weight is not None and weight.low > _A_TREES_PICK.low * tree.count:
                    yield Problem(record.where, f'"{record.amount}" is much for one pick', "was another unit meant?")
            elif picked and (odd := _beyond(record, weight, picked, taken)):
                yield Problem(record.where, odd, "is the amount right, and is every pick noted?")


def _many_times_the_usual(holding: Holding, tree: Tree, records: Sequence[Record]) -> Iterator[Problem]:
    """Ask about a picking that weighs many times what the others of this limb do."""
    for limb in tree.limbs:
        containers = containers_of(limb.traits, holding.place)
        own = [r for r in records if r.what in PICKINGS and (r.cultivar == limb.key or len(tree.limbs) == 1)]
        weighed = [(r, w.middle) for r in own if (w := weigh(r.parts, containers)) is not None]
        for record, weight in weighed:
            others = sorted(other for one, other in weighed if one is not record)
            if len(others) < _LEAST_PICKINGS:
                continue
            usual = others[len(others) // 2]
            if usual and weight > _TOO_MUCH * usual and weight > _ABOVE_THE_MOST * others[-1]:
                times = round(weight / usual)
                message = f'"{record.amount}" is {times} times what is usually picked of it at once'
                yield Problem(record.where, message, "was a digit or the unit mistaken?")


def _beyond(
    record: Record, weight: Weight | None, picked: Sequence[Weight | None], taken: Mapping[Happening, list[Weight]]
) -> str:
    """Return what is too much about a line; empty where nothing is, or nobody can know."""
    known = [kg for kg in picked if kg is not None]
    if len(known) < len(picked):
        return ""
    most = total(known).high * Fraction(11, 10) + Fraction(1, 2)
    if record.what is Happening.JARS:
        least = _fruit_of(record.amount)
        return f'"{record.amount}" is more than the fruit picked before it can fill' if least > most else ""
    if weight is None or record.what not in LEAVINGS | {Happening.STORED}:
        return ""
    taken[record.what].append(weight)
    if record.what is Happening.STORED:  # by the box, and the last one is seldom full
        most = most * Fraction(3, 2) + 5
    if total(taken[record.what]).low > most:
        return f'"{record.what.value}" is more by now than was picked before it'
    return ""


def _fruit_of(amount: str) -> Fraction:
    """Return the least fruit in jars (kg)."""
    try:
        made = parse_made(amount)
    except Unreadable:
        return Fraction(0)
    if made.fruit is not None:
        return made.fruit.low
    jars = made.jars
    return Fraction(jars.count * jars.jar.millilitres / 1000) * _LEAST_KG_A_LITRE
