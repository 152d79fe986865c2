"""The shelf looked over: what is known of each cultivar and from where; a place's table, before it goes on it."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from msgspec import Struct

from firmripe.holding.figures import Mark, Source
from firmripe.holding.fruit import Cultivar, Event, Fruit, Sets, Traits
from firmripe.holding.holding import Holding
from firmripe.problems import Problems, Unreadable, in_order, or_list
from firmripe.reading.folder import text_of
from firmripe.reading.names import Names
from firmripe.reading.place_table import PlaceTable, read_place_table
from firmripe.reading.reader import read_known
from firmripe.reading.stations import read_stations
from firmripe.season.climates import Climates
from firmripe.season.judging import JudgedDate, PickOrder, judge, rows_of
from firmripe.season.printed import table_of
from firmripe.shipped import shelf_folder
from firmripe.words import counted

_HEAD = ("fruit", "cultivars", "dated", "places", "pollination", "keeping", "figures read")
_READ = frozenset({Mark.READ, Mark.RELAYED})


class KnownCultivar(Struct, frozen=True, kw_only=True):
    """What is known of a cultivar: whether it has a date, who sets it, how long it keeps, and from how many places.

    What holds for its whole fruit counts where it says as much of each kind: that it sets alone, and how long it keeps.
    """

    cultivar: Cultivar
    dated: bool
    pollinated: bool
    keeps: bool
    places: frozenset[str]

    @property
    def gaps(self) -> tuple[str, ...]:
        """What is not known, in words."""
        told = (("a date", self.dated), ("who sets it", self.pollinated), ("how long it keeps", self.keeps))
        return tuple(word for word, is_known in told if not is_known)


def shelf_alone() -> Holding:
    """Return the shelf without any household."""
    return read_known(None, shelf_folder())


def known_of(cultivar: Cultivar) -> KnownCultivar:
    """Say what is known of a cultivar."""
    own, traits = cultivar.own, cultivar.traits
    sets = traits.own_pollen
    return KnownCultivar(
        cultivar=cultivar,
        dated=not cultivar.dates_lean,
        pollinated=_says_who_sets_it(own) or (sets is not None and sets.value is Sets.YES),
        keeps=traits.keeps is not None,
        places=frozenset(window.place_name for window in own.windows),
    )


def _says_who_sets_it(own: Traits) -> bool:
    return bool(own.partners or own.flower_groups or own.own_pollen or own.gives_pollen)


def by_fruit(holding: Holding) -> list[tuple[Fruit, tuple[KnownCultivar, ...]]]:
    """Return the fruits with what is known of their cultivars, those with the most cultivars first."""
    of: dict[str, list[KnownCultivar]] = defaultdict(list)
    for cultivar in holding.cultivars.values():
        if cultivar.fruit is not None:
            of[cultivar.fruit.key].append(known_of(cultivar))
    found = [(fruit, tuple(sorted(of[fruit.key], key=_name))) for fruit in holding.fruits.values()]
    return sorted(found, key=lambda one: (-len(one[1]), in_order(one[0].name)))


def _name(known: KnownCultivar) -> tuple[str, str]:
    return in_order(known.cultivar.name)


def share(known: Iterable[KnownCultivar], of: str) -> float:
    """Return the share of cultivars for which one thing is known: `dated`, `pollinated` or `keeps`."""
    told = [getattr(one, of) for one in known]
    return sum(told) / len(told) if told else 0.0


# In words


def counts(holding: Holding) -> str:
    """Return the table of the whole shelf, by fruit, as Markdown that reads well on a terminal too."""
    lines = [" | ".join(("", *_HEAD, "")).strip(), "|" + "---|" * len(_HEAD)]
    for fruit, known in by_fruit(holding):
        places = {window.place_name for window in fruit.traits.windows}.union(*(one.places for one in known))
        marks = _marks(fruit, known)
        read = f"{sum(mark in _READ for mark in marks)} of {len(marks)}"
        cells = (fruit.name, str(len(known)), *(_of(known, what) for what in ("dated",)), str(len(places)))
        cells += (*(_of(known, what) for what in ("pollinated", "keeps")), read)
        lines.append("| " + " | ".join(cells) + " |")
    return "\n".join(lines)


def _of(known: tuple[KnownCultivar, ...], what: str) -> str:
    number = sum(getattr(one, what) for one in known)
    return f"{number} ({share(known, what):.0%})" if known else "–"


def _marks(fruit: Fruit, known: Iterable[KnownCultivar]) -> list[Mark]:
    """Return the marks of all dates and figures of a fruit and its cultivars."""
    return [mark for traits in (fruit.traits, *(one.cultivar.own for one in known)) for mark, _ in _cited(traits)]


def _cited(traits: Traits) -> Iterator[tuple[Mark, Source | None]]:
    """Yield the mark and source of each figure of some traits."""
    for name in Traits.__struct_fields__:
        value = getattr(traits, name)
        for one in value if isinstance(value, tuple) else (value,):
            cited = getattr(one, "cited", None)
            if cited is not None:
                yield cited.mark, cited.source


def known_of_fruit(holding: Holding, name: str) -> str:
    """Return what is known of each cultivar of a fruit, from where, and what is not. Raises Unreadable."""
    names = Names.of(holding.fruits.values())
    keys = names.find(name)
    if len(keys) != 1:
        raise Unreadable(
            f'the fruit "{name}" is not known', names.hint(name, f"write {or_list(sorted(holding.fruits))}")
        )
    known = next(of for fruit, of in by_fruit(holding) if fruit.key == keys[0])
    lines = [f"{holding.fruits[keys[0]].name}: {counted(len(known), 'cultivar')}"]
    lines += [line for one in known for line in _lines(one)]
    return "\n".join(lines)


def _lines(known: KnownCultivar) -> Iterator[str]:
    own = known.cultivar.own
    sources = {source.key for _, source in _cited(own) if source is not None}
    figures = sum(1 for _ in _cited(own))
    told = [f"{counted(figures, 'figure')} from {counted(len(sources), 'source')}"]
    if known.places:
        told.append(f"dates of {counted(len(known.places), 'place')}")
    gaps = f"; not known: {or_list(known.gaps)}" if known.gaps else ""
    yield f"  {known.cultivar.name}: {', '.join(told)}{gaps}"
    if sources:
        yield f"    {', '.join(sorted(sources))}"


# A place's table


class Looked(Struct, frozen=True, kw_only=True):
    """A place's table, looked over: its dates beside all others, and the orders that can hardly be meant."""

    table: PlaceTable
    judged: tuple[JudgedDate, ...]
    orders: tuple[PickOrder, ...]

    @property
    def is_odd(self) -> bool:
        """Whether anything in it can hardly be meant."""
        return bool(self.orders) or any(one.is_odd for one in self.judged)


def look_over(path: Path) -> Looked:
    """Read a place's table and judge it by all that is printed elsewhere. Raises FaultyNotes."""
    problems = Problems()
    known = shelf_alone()
    text = text_of(path, path.name, problems) or ""
    problems.stop_if_any()
    table = read_place_table(text, path.name, known, problems)
    problems.stop_if_any()
    climates = Climates(read_stations(shelf_folder(), problems))
    judged, orders = judge(rows_of(table.dates), table_of(known.cultivars, lambda _: True), climates)
    return Looked(table=table, judged=judged, orders=orders)


def looked_words(looked: Looked) -> str:
    """Return what is said of a table, and the lines with which it goes on the shelf."""
    table = looked.table
    lines = [f"{table.name}: {counted(len(looked.judged), 'date')}"]
    lines += [_date_line(one, of.name) for one, (_, of) in zip(looked.judged, table.dates, strict=True)]
    lines += [_order_line(one, _names(looked)) for one in looked.orders]
    odd = sum(one.is_odd for one in looked.judged) + len(looked.orders)
    lines.append(f"{counted(odd, 'thing')} can hardly be meant." if odd else "Nothing in it is odd.")
    return "\n".join([*lines, "", "To put it on the shelf, add", *_shelf_lines(table)])


def _names(looked: Looked) -> Mapping[int, str]:
    return {id(one): of.name for one, (_, of) in zip(looked.judged, looked.table.dates, strict=True)}


def _date_line(one: JudgedDate, name: str) -> str:
    said = f"{name}, {one.window.event.value} {one.window.text}"
    if one.error_d is None or one.spread_d is None:
        return f"  {said}: nothing is printed elsewhere to set beside it"
    off = f"{_beside(one.error_d, 'the others say')}, carried here, give or take {one.spread_d:.0f}"
    question = "; was another month, year or kind meant?" if one.is_odd else ""
    return f"{'!' if one.is_odd else ' '} {said}: {off}{question}"


def _days(days: float) -> str:
    number = abs(round(days))
    if number == 0:
        return "as early"
    return f"{counted(number, 'day')} {'later' if days > 0 else 'sooner'}"


def _beside(days: float, other: str) -> str:
    """Say how one day lies beside another, as `3 days later than Bosc` or `as early as Bosc`."""
    said = _days(days)
    return f"{said} {'than' if round(days) else 'as'} {other}"


def _order_line(one: PickOrder, names: Mapping[int, str]) -> str:
    first, second = names[id(one.first)], names[id(one.second)]
    return (
        f"! {second} is picked {_beside(one.apart_d, first)} here; elsewhere {_days(one.elsewhere_d)}, "
        f"give or take {one.spread_d:.0f}: were the two exchanged?"
    )


def _shelf_lines(table: PlaceTable) -> Iterator[str]:
    """Yield the lines of the shelf's own files that say what the table says."""
    key = re.sub(r"[\W_]+", "-", table.name.split(",")[0].casefold()).strip("-")
    mark = _MARKS.get(table.cited.mark, "R")
    named = table.cited.source.key if table.cited.source else ""
    source = named if re.fullmatch(r"[\w-]+", named) else "SOURCE"
    ground = ", ".join(
        f'{name}: {{value: "{text}", mark: "{mark}", source: "{source}"}}' for name, text in table.written.items()
    )
    yield f'  places.md            {key}: {{name: "{table.name}", {ground}}}'
    if source == "SOURCE":
        yield f'  sources.md           SOURCE: {{author: "{named or "…"}", title: "…", year: "…"}}'
    words = {Event.FULL_BLOOM: "bloom", Event.PICK: "pick", Event.LEAF_FALL: "leaf fall"}
    for window, of in table.dates:
        folder = "fruits" if isinstance(of, Fruit) else "cultivars"
        note = f', note: "{window.note}"' if window.note else ""
        crop = f", crop: {window.crop}" if window.crop else ""
        line = f"- {{{words[window.event]}: {window.text}{crop}, place: {key}, mark: {mark}, source: {source}{note}}}"
        yield f"  {folder}/{of.key}.md, under windows:  {line}"


_MARKS: Mapping[Mark, str] = {Mark.READ: "R", Mark.RELAYED: "R2", Mark.MEMORY: "M", Mark.DERIVED: "D"}
