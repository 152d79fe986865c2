"""Spaces: which fruit lies where and when, and what is wrong with that: too full, too warm, too cold, bad company."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from fractions import Fraction
from functools import lru_cache

from msgspec import Struct

from firmripe.harvest.because import ColdHarms, Crowded, FruitOf, KeepApart, NoCoolerRoom, OverFull, WarmRoom
from firmripe.harvest.conditioning import Room, chilled, ripens_after_picking, room_verdict
from firmripe.harvest.weighing import containers_of
from firmripe.holding.fruit import Cultivar
from firmripe.holding.place import Place, Space
from firmripe.holding.weight import Weight
from firmripe.problems import folded
from firmripe.remark import Remark
from firmripe.tongue import Tongue
from firmripe.units import celsius

COLD_C = celsius(50)
"""A space up to here conditions and keeps: 50 °F is the warmest temperature with published days in the cold (R)."""

RIPENING_C = celsius(59)
"""A space from here on ripens: 59-72 °F is the published best (UC Davis, R)."""


_ADDS_ES = ("oes", "ches", "shes", "xes", "sses")
"""Ends of English words for several things, of which one has two letters less."""


class Load(Struct, frozen=True, kw_only=True):
    """Fruit that lies in a space from a first to a last day; `weight` is None where nobody knows it.

    `ripe` says that it has nothing left to ripen, `limb` what it is, `tree` where it was picked, empty for that of all
    trees together, `keeps` until when it keeps there, None where that is not known.
    """

    space: str
    first: date
    last: date
    weight: Weight | None
    limb: Cultivar
    tree: str = ""
    ripe: bool = False
    keeps: date | None = None

    @property
    def fruit(self) -> FruitOf:
        """Whose fruit it is."""
        return FruitOf.on(self.limb, self.tree)


class StoreWarning(Struct, frozen=True, kw_only=True):
    """What is wrong with where fruit lies, from which day on; `fruit` is None where it is so of all that lies there."""

    day: date
    space: str
    fruit: FruitOf | None
    what: Remark


def is_cold(space: Space, day: date) -> bool:
    """Say whether a space conditions and keeps on a day."""
    at = space.at(day)
    return at is not None and at <= COLD_C + 0.05


def ripening_rooms(place: Place, limb: Cultivar, day: date) -> list[Space]:
    """Return the rooms to ripen in on a day, best first: nearest to the temperature that the days are told for.

    Rooms that harm stand last, and among others a house's own before common ones. It is empty where no space is warm
    enough to be a room.
    """
    rooms = [(at, space) for space in place.spaces if (at := space.at(day)) is not None and at >= RIPENING_C - 0.05]
    counter = limb.traits.counter
    wanted = counter.at_c.middle if counter and counter.at_c else celsius(65)
    order = list(Room)
    rooms.sort(
        key=lambda r: (
            order.index(room_verdict(limb.traits, r[0])),
            place.is_put_away_by_house and not r[1].house,
            abs(r[0] - wanted),
            r[0],
            r[1].name,
        )
    )
    return [space for _, space in rooms]


def share_of(load: Load, space: Space, place: Place) -> Fraction | None:
    """Return the part of a space that a load fills, by the middle of its weight; None where one of them is unknown."""
    full = capacity(space, load.limb, place)
    return load.weight.middle / full if load.weight is not None and full else None


def capacity(space: Space, limb: Cultivar, place: Place) -> Fraction | None:
    """Return how many kilograms of a fruit a space holds; None where that is not known."""
    if space.capacity is None:
        return None
    held = space.capacity.weight(containers_of(limb.traits, place))
    return held.low if held else None


class Occupancy:
    """What lies in the spaces of a place, and how full that makes them: reckoned load by load as they come in."""

    def __init__(self, place: Place) -> None:
        self._place = place
        self._spaces = {space.name: space for space in place.spaces}
        self._weighed: dict[str, dict[FruitOf, list[tuple[Load, Fraction]]]] = {}
        self._steps: dict[str, dict[date, Fraction]] = {}

    def put(self, loads: Iterable[Load]) -> None:
        """Put loads into their spaces."""
        for load in loads:
            if load.weight is not None:
                of_fruit = self._weighed.setdefault(load.space, {}).setdefault(load.fruit, [])
                of_fruit.append((load, load.weight.middle))
            if load.space in self._spaces:
                steps = self._steps.setdefault(load.space, {})
                _fill(steps, [load], self._spaces[load.space], self._place)

    def fits(self, new: Sequence[Load], space: Space) -> bool:
        """Say whether loads more find room on all of their days. What has no known weight takes none."""
        if not any(share_of(load, space, self._place) for load in new):
            return True
        steps = dict(self._steps.get(space.name, {}))
        _fill(steps, new, space, self._place)
        return _fullest(steps, *_days_of(new)) <= 1

    def room_left(self, new: Sequence[Load], space: Space) -> Fraction | None:
        """Return how many kilograms of a fruit find room in a space on all days of its loads; None without a limit."""
        full = capacity(space, new[0].limb, self._place) if new else None
        if full is None:
            return None
        most = _fullest(self._steps.get(space.name, {}), *_days_of(new))
        return max(Fraction(0), (1 - most) * full)

    def crowded(self, new: Sequence[Load], space: Space) -> Crowded:
        """Return what lies in a space when loads would come in, the three that weigh most; none where it is small."""
        first, last = _days_of(new)
        weights: dict[FruitOf, Fraction] = {}
        for fruit, weighed in self._weighed.get(space.name, {}).items():
            beside = [kg for load, kg in weighed if load.first <= last and load.last >= first]
            if beside:
                weights[fruit] = sum(beside[1:], beside[0])
        most = sorted(weights, key=lambda fruit: (-weights[fruit], fruit.name, fruit.tree))[:3]
        return Crowded(space=space, beside=tuple(most))


def _days_of(loads: Sequence[Load]) -> tuple[date, date]:
    """Return the first and the last day of some loads."""
    return min(load.first for load in loads), max(load.last for load in loads)


def _fill(steps: dict[date, Fraction], loads: Iterable[Load], space: Space, place: Place) -> None:
    """Let loads fill a space: `steps` say by how much more of it is full from a day on (negative: less)."""
    for load in loads:
        share = share_of(load, space, place)
        if share:
            emptied = load.last + timedelta(days=1)
            steps[load.first] = steps.get(load.first, Fraction(0)) + share
            steps[emptied] = steps.get(emptied, Fraction(0)) - share


def _filled(steps: Mapping[date, Fraction]) -> Iterator[tuple[date, Fraction]]:
    """Yield which part of a space is full from each day on that it changes."""
    filled = Fraction(0)
    for day in sorted(steps):
        filled += steps[day]
        yield day, filled


def _fullest(steps: Mapping[date, Fraction], first: date, last: date) -> Fraction:
    """Return which part of a space is full on the fullest of some days."""
    most = Fraction(0)
    for day, filled in _filled(steps):
        if day > last:
            break
        most = filled if day <= first else max(most, filled)
    return most


def overflows(loads: Sequence[Load], place: Place) -> list[StoreWarning]:
    """Return each stretch in which a space is over-full, with its days and the most that is too much."""
    found = []
    for space in place.spaces:
        here = [load for load in loads if load.space == space.name]
        steps: dict[date, Fraction] = {}
        _fill(steps, here, space, place)
        spell: list[tuple[date, Fraction]] = []
        for day, filled in _filled(steps):
            if filled > 1:
                spell.append((day, filled - 1))
            elif spell:
                found.append(_overflow(space, here, spell, day - timedelta(days=1), place))
                spell = []
    return found


def _overflow(
    space: Space, loads: Sequence[Load], spell: list[tuple[date, Fraction]], last: date, place: Place
) -> StoreWarning:
    first, worst = spell[0][0], max(spell, key=lambda at: at[1])
    lying = [load for load in loads if load.first <= worst[0] <= load.last]
    full = next((kg for load in lying if (kg := capacity(space, load.limb, place))), Fraction(0))
    lying.sort(key=lambda load: (load.keeps or load.last, load.last, load.limb.name, load.tree))
    leaving = tuple(dict.fromkeys(load.fruit for load in lying[:4]))
    full_of = OverFull(first=first, last=last, too_much=Weight.of(full * worst[1]), leaving=leaving)
    return StoreWarning(day=first, space=space.name, fruit=None, what=full_of)


class Company:
    """What lies in each space, found by what it is called; of fruit alike on the same days two loads, however many.

    Two, so that a load finds another one like it, and never itself.
    """

    def __init__(self, loads: Iterable[Load]) -> None:
        self._in_space: dict[str, list[Load]] = {}
        for load in loads:
            self._in_space.setdefault(load.space, []).append(load)
        self._called: dict[tuple[str, str], list[Load]] = {}

    def first_beside(self, load: Load, words: Iterable[str]) -> Load | None:
        """Return what is called by one of some words and lies beside a load first; None where nothing does."""
        called = (other for word in words for other in self._called_by(load.space, word))
        met = [other for other in called if other is not load and _meets(other, load)]
        return min(met, key=lambda other: (max(load.first, other.first), other.fruit.name), default=None)

    def _called_by(self, space: str, word: str) -> list[Load]:
        if (space, word) not in self._called:
            alike: Counter[tuple[date, date, FruitOf]] = Counter()
            kept = self._called[space, word] = []
            for load in self._in_space.get(space, ()):
                if _is_called(load.limb, word):
                    alike[load.first, load.last, load.fruit] += 1
                    if alike[load.first, load.last, load.fruit] <= 2:
                        kept.append(load)
        return self._called[space, word]


def harms(load: Load, spaces: Mapping[str, Space], company: Company, tongue: Tongue) -> list[StoreWarning]:
    """Return what a load suffers where it lies: cold that harms it, and neighbours it is to be kept apart from.

    These are known by the shelf's word for them and by that of the household's language.
    """
    space = spaces.get(load.space)
    if space is None:
        return []
    found = []
    day = load.first
    while load.limb.traits.chilling and day <= load.last:
        at = space.at(day)
        lain = (day - load.first).days
        if at is not None and chilled(load.limb.traits, at, lain, ripe=load.ripe):
            cold = ColdHarms(figure=load.limb.traits.chilling[0])
            found.append(StoreWarning(day=day, space=space.name, fruit=load.fruit, what=cold))
            break
        day += timedelta(days=1)
    for figure in load.limb.traits.keep_apart:
        words = tongue.names_of(figure.text)
        if any(_same_thing(word, one) for one in space.beside for word in words):
            apart = KeepApart(figure=figure)
            found.append(StoreWarning(day=load.first, space=space.name, fruit=load.fruit, what=apart))
        first = company.first_beside(load, words)
        if first is not None:
            apart = KeepApart(figure=figure, near=first.fruit)
            when = max(load.first, first.first)
            found.append(StoreWarning(day=when, space=space.name, fruit=load.fruit, what=apart))
    return found


def _meets(one: Load, other: Load) -> bool:
    return one.first <= other.last and other.first <= one.last


def _is_called(limb: Cultivar, word: str) -> bool:
    fruit = limb.fruit
    return fruit is not None and any(_same_thing(name, word) for name in (fruit.key, fruit.name, *fruit.also))


def _same_thing(one: str, other: str) -> bool:
    """Say whether two words name the same thing, one of them or several of it."""
    return _stem(one) == _stem(other)


@lru_cache(maxsize=1000)
def _stem(word: str) -> str:
    """Return a word as it stands for one thing; every two loads of a room are asked for theirs."""
    plain = folded(word)
    if plain.endswith("ies"):
        return f"{plain[:-3]}y"
    return plain[:-2] if plain.endswith(_ADDS_ES) else plain.removesuffix("s")


def warm_room(place: Place, room: str, limb: Cultivar, day: date) -> WarmRoom | None:
    """Return that the room in which fruit is to ripen from a day on is too warm for it; None where it is not."""
    space = next((space for space in place.spaces if space.name == room), None)
    at = space.at(day) if space else None
    if space is None or at is None or not ripens_after_picking(limb.traits):
        return None
    verdict = room_verdict(limb.traits, at)
    return None if verdict is Room.GOOD else WarmRoom(room=space, at_c=at, fails=verdict is Room.FAILS)


def room_warnings(place: Place, load: Load) -> list[StoreWarning]:
    """Return what is wrong with the room in which a load ripens."""
    warm = warm_room(place, load.space, load.limb, load.first)
    if warm is None:
        return []
    told = NoCoolerRoom(room=warm.room, at_c=warm.at_c, fails=warm.fails)
    return [StoreWarning(day=load.first, space=load.space, fruit=load.fruit, what=told)]
