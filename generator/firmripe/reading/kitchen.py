"""What a household tells of its kitchens: pots, days, stock and wants."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from datetime import time
from typing import Protocol, TypeVar

from msgspec.structs import replace

from firmripe.days import parse_day, parse_stretch
from firmripe.holding.fruit import Cultivar
from firmripe.holding.jar import Jar, JarSize, parse_jar, parse_jars, parse_lids
from firmripe.holding.kitchen import LATEST_END, Canner, Kitchen, KitchenDay, KitchenMeans, KitchenWant, PotKind, Stock
from firmripe.holding.preserve import Preserve, PutUp
from firmripe.holding.process import Gauge, speaks_of
from firmripe.holding.weight import POUND, read_amount
from firmripe.problems import Problems, Unreadable, folded, nearest, or_list
from firmripe.reading.bounds import MEANT, number_within, within
from firmripe.reading.fields import Fields, one_of, whole_number, yes_or_no
from firmripe.reading.names import Names
from firmripe.tongue import IN_ENGLISH
from firmripe.units import Interval, parse_height
from firmripe.wording.holding import jars_words

T = TypeVar("T")

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_USUAL_START = time(9)
_EARLIEST_START = time(4)
_WEEKEND_HOURS, _EVENING_HOURS = 8.0, 4.0
"""Hours of a day in the kitchen where none are told: a weekend day and a weekday (our judgement)."""
_OF_A_KITCHEN = number_within(parse_height, -430, 5_200, "people cook from -430 to 5,200 m (-1,410 to 17,060 ft)")
MOST_IN_A_LOAD, MOST_TO_DRY_KG = 40, 100.0
"""Jars of one load, fresh fruit in a dryer: no pot or dryer for a house takes more (our judgement)."""
MOST_IN_STOCK, MOST_WANTED, LARGEST_FREEZER_L = 5_000, 2_000, 3_000.0
_HANDS = number_within(whole_number, 1, 30, "from 1 to 30 people work in one kitchen")
_LITRES = {
    **dict.fromkeys(("l", "litre", "litres", "liter", "liters"), 1.0),
    **dict.fromkeys(("cu ft", "cubic foot", "cubic feet"), 28.316846592),
}


def read_kitchens(fields: Fields) -> tuple[Kitchen, ...]:
    """Read where fruit is put up."""
    found: list[Kitchen] = []
    for item in fields.tables("kitchens"):
        name, height = item.text("name") or "kitchen", item.read("elevation", _OF_A_KITCHEN)
        item.close("a kitchen")
        if any(folded(name) == folded(other.name) for other in found):
            item.fault("name", f'two kitchens are called "{name}"', "give each a name of its own")
        found.append(Kitchen(name=name, elevation_m=height))
    return tuple(found)


def read_kitchen_means(fields: Fields, kitchens: Sequence[Kitchen]) -> KitchenMeans:
    """Read the pots, the days, the stock and the wants. Wants name their preserves as written (see `with_wants`)."""
    pots, days = fields.tables("canners"), fields.tables("kitchen days")
    if fields.has("kitchens") and not kitchens:  # which has been told: nothing can be said of what stands in them
        pots, days = (), ()
    canners = [canner for item in pots if (canner := _canner(item, kitchens)) is not None]
    _name_apart(canners, fields)
    return KitchenMeans(
        canners=tuple(canners),
        days=tuple(day for item in days for day in _days(item, kitchens)),
        stock=_stock(fields),
        wants=tuple(want for item in fields.tables("to put up") if (want := _want(item)) is not None),
    )


def _name_apart(canners: Iterable[Canner], fields: Fields) -> None:
    seen: set[tuple[str, str]] = set()
    for canner in canners:
        named = folded(canner.name), canner.kitchen
        if named in seen:
            hint = "give each a name of its own; one that travels has a line for each kitchen"
            fields.fault_at(canner.where, f'two canners in one kitchen are called "{canner.name}"', hint)
        seen.add(named)


def _kitchen(fields: Fields, kitchens: Sequence[Kitchen], of_what: str) -> str:
    """Read which kitchen is meant; where there is one only, that one."""
    said = fields.text("kitchen")
    names = {folded(kitchen.name): kitchen.name for kitchen in kitchens}
    if not said and len(kitchens) == 1:
        return kitchens[0].name
    if not kitchens:
        hint = "add kitchens: [{name: our kitchen, elevation: 1,900 ft}]"
        fields.fault("kitchen", f"{of_what} stands in no kitchen, since none is told of", hint)
    elif not said:
        fields.fault("kitchen", f"{of_what} does not say in which kitchen", f"add kitchen: {or_list(names.values())}")
    elif folded(said) not in names:
        near = nearest(said, names.values())
        hint = f'did you mean "{near}"?' if near else f"write {or_list(names.values())}"
        fields.fault("kitchen", f'there is no kitchen called "{said}"', hint)
    return names.get(folded(said), "")


def _canner(fields: Fields, kitchens: Sequence[Kitchen]) -> Canner | None:
    name, kitchen = fields.text("name"), _kitchen(fields, kitchens, "a canner")
    kind, gauge = fields.read("kind", _pot_kind), fields.read("gauge", one_of(Gauge))
    if kind not in {None, PotKind.DRYER} and (no_canner := what_is_no_canner(name)):
        fields.fault("name", f"{no_canner} is no canner: {NO_CANNER}", NO_CANNER_HINT)
        kind = None
    holds, dries_kg = _holds(fields, kind)
    if kind is PotKind.PRESSURE:
        _check_pressure_canner(fields, holds)
    here, away = fields.each("here", parse_stretch), fields.each("away", parse_stretch)
    first_boil, to_boil = (fields.read(key, _TO_THE_BOIL) for key in ("first boil", "to the boil"))
    if not name:
        hint = "write {name: blue pot, kind: boiling water, holds: [7 quarts, 9 pints]}"
        fields.fault("name", "a canner has no name", hint)
    if not fields.has("kind"):
        hint = f"add kind: {or_list([kind.value for kind in PotKind])}"
        fields.fault("kind", "a canner does not say what kind it is", hint)
    if gauge is not None and kind is not None and kind is not PotKind.PRESSURE:
        fields.fault("gauge", "only a pressure canner has a gauge", "leave the key out, or write kind: pressure")
    fields.close("a canner")
    if not name or kind is None or not kitchen:
        return None
    return Canner(
        name=name,
        kind=kind,
        kitchen=kitchen,
        holds=holds,
        dries_kg=dries_kg,
        gauge=gauge,
        here=here,
        away=away,
        first_boil_min=first_boil,
        to_boil_min=to_boil,
        where=fields.where,
    )


NO_CANNER = "the published times hold for stovetop canners alone (National Center for Home Food Preservation)"
"""NCHFP, "Can I can in a multi-cooker?", and USDA Guide 1 of ovens, microwaves and dishwashers (both R)."""
NO_CANNER_HINT = "take it out; a deep pot with a rack and a lid is a boiling-water canner (kind: boiling water)"
LEAST_QUARTS = 4
"""A pressure canner holds at least so many quart jars (Oregon State University Extension EM 9152, 2016, R)."""
_LEAST_SAYS = "Oregon State University Extension, EM 9152"
_NO_CANNERS = {
    "an electric multi-cooker": (
        *(
            "multi cooker",
            "multicooker",
            "multi pot",
            "instant pot",
            "instapot",
            "electric pressure",
            "electric cooker",
        ),
        *("electric canner", "olla electrica", "olla multifuncion", "multifuncion", "multicuiseur", "multikocher"),
    ),
    "a pressure cooker or saucepan": ("pressure cooker", "pressure saucepan", "olla express", "olla a presion pequena"),
    "a slow cooker": ("slow cooker", "crock pot", "crockpot", "olla de coccion lenta", "mijoteuse", "schongarer"),
    "an oven": ("oven", "horno", "backofen", "forno", "roaster"),
    "a microwave": ("microwave", "microondas", "micro ondes", "mikrowelle"),
    "a dishwasher": ("dishwasher", "lavavajillas", "lavaplatos", "lave vaisselle", "geschirrspuler"),
    "a rice cooker": ("rice cooker", "arrocera"),
    "an air fryer": ("air fryer", "freidora de aire"),
    "a sous-vide bath": ("sous vide", "immersion circulator"),
    "the sun": ("solar cooker", "solar canner", "sun canning"),
}


def what_is_no_canner(text: str) -> str:
    """Return what an appliance is that must not be used as a canner; empty for any other words."""
    return next((what for what, words in _NO_CANNERS.items() if speaks_of(text, words)), "")


def _pot_kind(text: str) -> PotKind:
    """Read a kind of canner. Raises Unreadable, with the reason where it is an appliance that is none."""
    if no_canner := what_is_no_canner(text):
        raise Unreadable(f"{no_canner} is no canner: {NO_CANNER}", NO_CANNER_HINT)
    return one_of(PotKind)(text)


def _check_pressure_canner(fields: Fields, holds: Mapping[JarSize, int]) -> None:
    """Note a pressure canner that does not hold four quarts, or of which nobody says so."""
    quarts = holds.get(JarSize.QUART)
    if quarts is None and holds:
        hint = "write how many quarts it holds as well, as holds: [7 quarts, 9 pints]"
        message = f"whether the pressure canner holds {LEAST_QUARTS} quarts, the least, is not told ({_LEAST_SAYS})"
        fields.fault("holds", message, hint)
    elif quarts is not None and quarts < LEAST_QUARTS:
        message = (
            f"a pressure canner that holds {quarts} quarts is too small: it heats and cools faster than those"
            f" the times were worked out in, which hold {LEAST_QUARTS} or more ({_LEAST_SAYS})"
        )
        fields.fault("holds", message, "take it out, or use it as a pot for boiling water (kind: boiling water)")


def _holds(fields: Fields, kind: PotKind | None) -> tuple[dict[JarSize, int], float]:
    """Read what one load is: jars by size, or the fresh fruit that a dryer takes (kg)."""
    if not fields.has("holds"):
        hint = "add holds: 10 lb" if kind is PotKind.DRYER else "add holds: [7 quarts, 9 pints]"
        fields.fault("holds", "a canner does not say how much it holds", hint)
    if kind is PotKind.DRYER:
        return {}, fields.read("holds", _fresh_weight) or 0.0
    held: dict[JarSize, int] = {}
    for jars in fields.each("holds", parse_jars):
        if jars.count > MOST_IN_A_LOAD:
            load = jars_words(IN_ENGLISH, jars.jar, jars.count)
            message = f"no load is {load}; the largest pots take {MOST_IN_A_LOAD} jars"
            fields.fault("holds", message, "write how many of which jar one load is, as 7 quarts")
        elif jars.jar.size is None or not jars.count:
            hint = "write how many of which jar one load is, as 7 quarts"
            fields.fault("holds", f"no load is {jars_words(IN_ENGLISH, jars.jar, jars.count)}", hint)
        else:
            held[jars.jar.size] = jars.count
    return held, 0.0


def _fresh_weight(text: str) -> float:
    parts = read_amount(text)
    if len(parts) != 1 or parts[0].measure or parts[0].grade or not parts[0].low:
        raise Unreadable(f'"{text}" is no weight of fresh fruit', "write it with its unit, as 10 lb or 4 kg")
    if parts[0].high > MOST_TO_DRY_KG:
        raise Unreadable(f'"{text}" can\'t be: a dryer takes up to {MOST_TO_DRY_KG:g} kg (220 lb)', MEANT)
    return float(parts[0].low)


def parse_weekday(text: str) -> int:
    """Read a day of the week, as `Saturday` or `Saturdays`; 0 is Monday. Raises Unreadable."""
    plain = text.strip().casefold().removesuffix("s")
    found = [number for number, name in enumerate(_WEEKDAYS) if plain == name or (plain == name[:3])]
    if not found:
        raise Unreadable(f'"{text}" is neither a day of the week nor a date', "write Saturday, or 2027-08-28")
    return found[0]


def parse_clock(text: str) -> time:
    """Read a time of day, as `9:00`, `14:30` or `9`. Raises Unreadable."""
    match = re.fullmatch(r"(\d{1,2})(?:[:.](\d{2}))?\s*(am|pm)?", text.strip().casefold())
    hour = int(match[1]) if match else 24
    if match and match[3]:
        hour = (hour % 12 + (12 if match[3] == "pm" else 0)) if 1 <= hour <= 12 else 24
    if match is None or hour > 23 or int(match[2] or 0) > 59:
        raise Unreadable(f'"{text}" is no time of day', "write it as 9:00 or 14:30")
    found = time(hour, int(match[2] or 0))
    if not _EARLIEST_START <= found < LATEST_END:
        said = f"a day in the kitchen begins from {_EARLIEST_START:%H:%M} on and before {LATEST_END:%H:%M}"
        raise Unreadable(f'"{text}" can\'t be: {said}', "write it as 9:00 or 14:30")
    return found


def parse_time_to_boil(text: str) -> Interval:
    """Read minutes, as `45 minutes` or `20-30 minutes`. Raises Unreadable."""
    match = re.fullmatch(r"(\d{1,3})(?:\s*(?:-|–|to)\s*(\d{1,3}))?\s*(?:minutes?|min)", text.strip().casefold())
    if match is None or int(match[2] or match[1]) < int(match[1]):
        raise Unreadable(f'"{text}" are no minutes', "write them as 45 minutes or 20-30 minutes")
    return Interval(low=float(match[1]), high=float(match[2] or match[1]))


_TO_THE_BOIL = within(parse_time_to_boil, 3, 180, "a pot comes to the boil in 3 to 180 minutes")


def parse_hours(text: str) -> float:
    """Read a number of hours, as `6` or `6.5 hours`; a day has no more than 16 for this. Raises Unreadable."""
    match = re.fullmatch(r"(\d{1,2}(?:\.\d{1,2})?)\s*(?:hours?|h)?", text.strip().casefold())
    if match is None or not 0 < float(match[1]) <= 16:
        message = f'"{text}" is no number of hours for one day, which has at most 16'
        raise Unreadable(message, "write it as 6 or 6.5 hours")
    return float(match[1])


def _days(fields: Fields, kitchens: Sequence[Kitchen]) -> tuple[KitchenDay, ...]:
    """Read a line of days in a kitchen: in two parts where it tells no hours and names weekends and workdays."""
    kitchen = _kitchen(fields, kitchens, "a kitchen day")
    weekdays, dates = [], []
    for text, where in fields.texts_with_places("on"):
        try:
            if re.search(r"\d", text):
                dates.append(parse_day(text))
            else:
                weekdays.append(parse_weekday(text))
        except Unreadable as error:
            fields.fault_at(where, error.message, error.hint)
    if not fields.has("on"):
        fields.fault("on", "a kitchen day does not say on which day", "add on: Saturday, or a date")
    during, off = fields.each("during", parse_stretch), fields.each("except", parse_stretch)
    start, hours = fields.read("start", parse_clock), fields.read("hours", parse_hours)
    hands = fields.read("hands", _HANDS)
    fields.close("a kitchen day")
    if not kitchen or not (weekdays or dates):
        return ()
    found = KitchenDay(
        kitchen=kitchen,
        weekdays=frozenset(weekdays),
        dates=tuple(sorted(set(dates))),
        during=during,
        off=off,
        start=start or _USUAL_START,
        hours=hours or 0.0,
        hands=hands or 1,
        where=fields.where,
    )
    return (found,) if hours else _with_usual_hours(found)


def _with_usual_hours(told: KitchenDay) -> tuple[KitchenDay, ...]:
    """Return a line of days with the hours that are usual on each: its workdays and its weekends, where it has both."""
    parts = []
    for kind, hours in ((range(5), _EVENING_HOURS), (range(5, 7), _WEEKEND_HOURS)):
        weekdays, dates = told.weekdays & {*kind}, tuple(day for day in told.dates if day.weekday() in kind)
        if weekdays or dates:
            parts.append(replace(told, weekdays=weekdays, dates=dates, hours=hours))
    return tuple(parts)


def _stock(fields: Fields) -> Stock:
    found = fields.tables("stock")
    if len(found) > 1:
        fields.fault("stock", "the stock is told more than once", "keep one:  stock: {jars: [24 quarts], lids: 60}")
    if not found:
        return Stock()
    item = found[0]
    jars: dict[str, int] | None = {} if item.has("jars") else None
    for told in item.each("jars", _stocked(parse_jars, "jars")):
        if jars is not None:
            jars[told.jar.name] = jars.get(told.jar.name, 0) + told.count
    lids = item.each("lids", _stocked(parse_lids, "lids"))
    lids_of = {mouth: sum(one.count for one in lids if one.mouth == mouth) for mouth in {one.mouth for one in lids}}
    buy = item.read("buy", yes_or_no)
    stock = Stock(
        jars=jars,
        lids=sum(lids_of.values()) if item.has("lids") else None,
        lids_of={mouth: lids_of[mouth] for mouth in sorted(lids_of) if mouth},
        freezer_l=item.read("freezer", parse_room),
        can_buy=buy is not False,
    )
    item.close("the stock")
    return stock


class _Counted(Protocol):
    """So many of something."""

    @property
    def count(self) -> int:
        """How many."""


C = TypeVar("C", bound=_Counted)


def _stocked(parse: Callable[[str], C], of_what: str) -> Callable[[str], C]:
    def read(text: str) -> C:
        told = parse(text)
        if told.count > MOST_IN_STOCK:
            raise Unreadable(f'"{text}" can\'t be: a household has up to {MOST_IN_STOCK:,} {of_what}', MEANT)
        return told

    return read


def parse_room(text: str) -> float:
    """Read room in a freezer, as `2 cubic feet`, `40 l` or `30 pints`; the result is in litres. Raises Unreadable."""
    match = re.fullmatch(r"(\d{1,4}(?:\.\d{1,2})?)\s*(.+)", text.strip().casefold())
    unit = match[2].strip() if match else ""
    hint = "write it as 2 cubic feet, 40 l or 30 pints"
    if match is None:
        raise Unreadable(f'"{text}" is no room in a freezer', hint)
    try:
        each = _LITRES[unit] if unit in _LITRES else parse_jar(unit).millilitres / 1000
    except Unreadable as error:
        raise Unreadable(f'"{text}" is no room in a freezer', hint) from error
    if float(match[1]) * each > LARGEST_FREEZER_L:
        raise Unreadable(f'"{text}" can\'t be: freezers have up to {LARGEST_FREEZER_L:,.0f} l (106 cubic feet)', hint)
    return float(match[1]) * each


def _want(fields: Fields) -> KitchenWant | None:
    preserve, cultivar = fields.text("preserve"), fields.text("cultivar")
    jar = fields.read("jar", parse_jar)
    amount = fields.read("amount", _wanted_amount)
    hint = "write {preserve: Pear halves in jars, amount: 28 quarts}"
    if not preserve:
        fields.fault("preserve", "a want names no preserve", hint)
    if not fields.has("amount"):
        fields.fault("amount", "a want does not say how much", hint)
    if amount is not None and jar is not None and amount[1] is not None:
        fields.fault("jar", "the jar is told twice", "leave jar: out, or write amount: 28 jars")
    place = fields.place_of("preserve")
    fields.close("a want")
    if not preserve or amount is None:
        return None
    return KitchenWant(preserve=preserve, cultivar=cultivar, jar=amount[1] or jar, count=amount[0], where=place)


def _wanted_amount(text: str) -> tuple[int | None, Jar | None]:
    """Read how much is wanted: `28 quarts`, `28 jars`, `6 lb` (dried) or `all`. Raises Unreadable."""
    plain = text.strip().casefold()
    if plain in {"all", "as much as can be had"}:
        return None, None
    if match := re.fullmatch(r"(\d{1,5})(?:\s*(?:jars?|bags?|boxes))?", plain):
        return _some(int(match[1]), text), None
    weight = read_amount(plain)
    if len(weight) == 1 and not weight[0].measure and not weight[0].grade:
        return _some(max(1, round(weight[0].low / POUND)) if weight[0].low else 0, text), None
    try:
        jars = parse_jars(text)
    except Unreadable as error:
        raise Unreadable(f'"{text}" does not say how much', "write it as 28 quarts, 6 lb or all") from error
    return _some(jars.count, text), jars.jar


def _some(count: int, text: str) -> int:
    if not count:
        raise Unreadable(f'"{text}" is nothing', "write how much is wanted, or take the line out")
    if count > MOST_WANTED:
        raise Unreadable(f'"{text}" can\'t be: at most {MOST_WANTED:,} are put up of one thing', MEANT)
    return count


def with_wants(
    means: KitchenMeans,
    preserves: Sequence[Preserve],
    cultivars: Mapping[str, Cultivar],
    problems: Problems,
    ailing: AbstractSet[str] = frozenset(),
) -> KitchenMeans:
    """Return the means with each want's preserve and cultivar as keys; note what is not known.

    Of what is `ailing` (keys and folded names) nothing is said: it has a fault of its own.
    """
    by_name = {folded(name): one for one in preserves for name in (one.key, one.name)}
    by_words = {_words(one.name): one for one in preserves}
    found = []
    for want in means.wants:
        preserve = by_name.get(folded(want.preserve)) or by_words.get(_words(want.preserve))
        if preserve is None and folded(want.preserve) in ailing:
            continue
        if preserve is None:
            near = nearest(want.preserve, [one.name for one in preserves])
            hint = f'did you mean "{near}"?' if near else "name a preserve of the shelf or of preserves/"
            problems.add(want.where, f'no preserve is called "{want.preserve}"', hint)
            continue
        key = _cultivar(want, preserve, cultivars, problems) if want.cultivar else ""
        dried = preserve.method is PutUp.DRYER
        if want.jar is None and not dried:
            hint = "write amount: 28 quarts, or add jar: quart"
            problems.add(want.where, f"{preserve.name}: in which jar is not said", hint)
        elif want.jar is not None and dried:
            problems.add(want.where, f"{preserve.name}: dried fruit is counted by weight", "write amount: 6 lb")
        elif key is not None:
            found.append(replace(want, preserve=preserve.key, cultivar=key))
    return replace(means, wants=tuple(found))


def _words(name: str) -> tuple[str, ...]:
    """Return the words of a name in any order, so that `Frozen pears` are `Pears, frozen`."""
    return tuple(sorted(folded(word) for word in re.findall(r"\w+", name)))


def without_canning(means: KitchenMeans, preserves: Sequence[Preserve], problems: Problems) -> KitchenMeans:
    """Return the means of a household that does not can: without what is wanted in jars, and ask about that."""
    canned = {preserve.key: preserve for preserve in preserves if preserve.method is PutUp.CANNER}
    for want in means.wants:
        if want.preserve in canned:
            message = f"{canned[want.preserve].name}: wanted, and place.md says without: canning, so it is in no plan"
            problems.ask(want.where, message, "take out one of the two")
    return replace(means, wants=tuple(want for want in means.wants if want.preserve not in canned))


def _cultivar(
    want: KitchenWant, preserve: Preserve, cultivars: Mapping[str, Cultivar], problems: Problems
) -> str | None:
    names = Names.of(cultivars.values())
    keys = names.find(want.cultivar)
    if len(keys) != 1:
        hint = names.hint(want.cultivar, "name a cultivar of the shelf or of a tree")
        problems.add(want.where, f'"{want.cultivar}" is no cultivar known here', hint)
        return None
    limb = cultivars[keys[0]]
    if limb.fruit is None:
        return limb.key
    if not {limb.key, limb.fruit.key} & preserve.subjects:
        message = f"{preserve.name}: not made of {want.cultivar}"
        problems.add(want.where, message, "name another cultivar, or another preserve")
        return None
    return limb.key
