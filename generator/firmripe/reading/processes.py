"""The shelf's table of processes from its note."""

from __future__ import annotations

import re
from collections.abc import Mapping
from enum import Enum
from typing import TypeVar

from firmripe.holding.figures import Cited, Figure, Source
from firmripe.holding.jar import Jar, JarSize
from firmripe.holding.method import FACTS, Act, WrittenStep
from firmripe.holding.process import (
    AcidDose,
    Bands,
    Gauge,
    GaugeTable,
    NotForCanning,
    Pack,
    PressureProcess,
    Process,
    ProcessTable,
    Setting,
    Syrup,
    ToldApart,
    Vague,
    WhiteFlesh,
)
from firmripe.problems import Problems, Unreadable, or_list
from firmripe.reading.fields import Fields, one_of, plain_text, whole_number, yes_or_no
from firmripe.reading.folder import Note

E = TypeVar("E", bound=Enum)

_FOUR_BANDS = (1000, 3000, 6000)
_THREE_BANDS = (1000, 6000)
_DIAL_BANDS = (2000, 4000, 6000, 8000)
_WEIGHT_BANDS = (1000,)
_SIZES = {size.value: Jar.of(size) for size in JarSize}


def read_processes(note: Note | None, sources: Mapping[str, Source], problems: Problems) -> ProcessTable:
    """Read the table; it is empty without a note."""
    if note is None:
        return ProcessTable()
    top = Fields(note.table, problems, sources)
    table = ProcessTable(
        boiled=tuple(row for item in top.tables("boiling water") if (row := _boiled(item)) is not None),
        pressed=tuple(pressed for item in top.tables("pressure") if (pressed := _pressed(item)) is not None),
        gauges=tuple(gauge for item in top.tables("gauges") if (gauge := _gauge(item)) is not None),
        acids={dose.product: dose for item in top.tables("acids") if (dose := _acid(item)) is not None},
        syrups={syrup.name: syrup for item in top.tables("syrups") if (syrup := _syrup(item)) is not None},
        refused=tuple(refused for item in top.tables("refused") if (refused := _refused(item)) is not None),
        told_apart=tuple(apart for item in top.tables("told apart") if (apart := _told_apart(item)) is not None),
        vague=tuple(vague for item in top.tables("vague") if (vague := _vague(item)) is not None),
        white_flesh=tuple(white for item in top.tables("white flesh") if (white := _white_flesh(item)) is not None),
        cautions=top.figures("cautions", plain_text),
        steam_at_most=top.figure("steam at most", parse_minutes),
        sterilise_below=top.figure("sterilise below", parse_minutes),
        deep_water_above=top.figure("deep water above", parse_minutes),
        steps=read_steps(top),
    )
    top.close("processes.md")
    return table


def read_steps(fields: Fields) -> tuple[WrittenStep, ...]:
    """Read the steps under `steps`, in the order of work."""
    found = [step for item in fields.tables("steps") if (step := _step(item)) is not None]
    order = list(Act)
    return tuple(sorted(found, key=lambda step: order.index(step.act)))


def _step(fields: Fields) -> WrittenStep | None:
    act, text = _member(fields, "step", Act, "a step"), _required(fields, "value", "a step")
    needs, note, cited = fields.texts("for"), fields.text("note"), fields.cited()
    for need in needs:
        if need not in FACTS:
            fields.fault("for", f'no step is for "{need}"', f"write {or_list(sorted(FACTS))}")
    fields.close("a step")
    if act is None or not text:
        return None
    words = Figure(value=text, text=text, cited=cited, note=note)
    return WrittenStep(act=act, words=words, needs=frozenset(needs))


def parse_minutes(text: str) -> int:
    """Read a number of minutes, as `45 minutes`. Raises Unreadable."""
    match = re.fullmatch(r"(\d{1,3})\s*(?:minutes?|min)", text.strip().casefold())
    if match is None:
        raise Unreadable(f'"{text}" is no number of minutes', "write it as 45 minutes")
    return int(match[1])


def _required(fields: Fields, key: str, of_what: str) -> str:
    text = fields.text(key)
    if not text:
        fields.fault(key, f"{of_what} has no {key}", f"add {key}:")
    return text


def _member(fields: Fields, key: str, kind: type[E], of_what: str) -> E | None:
    if not fields.has(key):
        fields.fault(key, f"{of_what} has no {key}", f"add {key}:")
    return fields.read(key, one_of(kind))


def _jars(fields: Fields) -> frozenset[JarSize]:
    found = set()
    for text, where in fields.texts_with_places("jars"):
        try:
            found.add(one_of(JarSize)(text))
        except Unreadable as error:
            fields.fault_at(where, error.message, error.hint)
    if not found:
        fields.fault("jars", "a process names no jar it was printed for", "add jars: quart")
    return frozenset(found)


def _bands(fields: Fields, key: str, shapes: tuple[tuple[int, ...], ...], *, above: bool = True) -> Bands | None:
    """Read a value for each band of height. A row has one of the printed shapes, whole: bands are never merged."""
    tables = fields.tables(key)
    if len(tables) != 1:
        fields.fault(
            key, f'"{key}" takes a value for each band of height', f"write {key}: {{to 1000 ft: 20, above: 35}}"
        )
        return None
    inner = tables[0]
    heights = sorted({top for shape in shapes for top in shape})
    values = {top: inner.read(f"to {top} ft", whole_number) for top in heights}
    highest = inner.read("above", whole_number)
    inner.close("a row")
    tops = tuple(top for top in heights if values[top] is not None)
    told = tuple(value for top in tops if (value := values[top]) is not None)
    if tops not in shapes or (above and highest is None):
        inner.fault_at(inner.where, "these are no bands of height that are printed", "write every band of the row")
        return None
    return Bands(tops_ft=tops, values=told if highest is None else (*told, highest))


def _boiled(fields: Fields) -> Process | None:
    product, pack = _required(fields, "product", "a process"), _member(fields, "pack", Pack, "a process")
    jars, minutes = _jars(fields), _bands(fields, "minutes", (_FOUR_BANDS, _THREE_BANDS))
    headspace, acid = fields.text("headspace"), fields.text("acid")
    only = fields.read("printed recipe only", yes_or_no) or False
    cited = fields.cited()
    fields.close("a process")
    if not product or pack is None or minutes is None or not jars:
        return None
    return Process(
        product=product,
        pack=pack,
        jars=jars,
        minutes=minutes,
        headspace=headspace,
        acid=acid,
        recipe_only=only,
        cited=cited,
    )


def _pressed(fields: Fields) -> PressureProcess | None:
    product, pack = _required(fields, "product", "a process"), _member(fields, "pack", Pack, "a process")
    jars, setting = _jars(fields), _member(fields, "setting", Setting, "a process")
    minutes, acid, cited = fields.read("minutes", whole_number), fields.text("acid"), fields.cited()
    fields.close("a process")
    if not product or pack is None or setting is None or minutes is None or not jars:
        return None
    return PressureProcess(
        product=product, pack=pack, jars=jars, setting=setting, minutes=minutes, acid=acid, cited=cited
    )


def _gauge(fields: Fields) -> GaugeTable | None:
    gauge, setting = _member(fields, "gauge", Gauge, "a row"), _member(fields, "setting", Setting, "a row")
    dial = gauge is Gauge.DIAL
    psi = _bands(fields, "psi", (_DIAL_BANDS if dial else _WEIGHT_BANDS,), above=not dial)
    cited = fields.cited()
    fields.close("a gauge")
    if gauge is None or setting is None or psi is None:
        return None
    return GaugeTable(gauge=gauge, setting=setting, psi=psi, cited=cited)


def _acid(fields: Fields) -> AcidDose | None:
    product = _required(fields, "product", "a dose of acid")
    doses = {size: text for size in (JarSize.PINT, JarSize.QUART) if (text := fields.text(size.value))}
    cited = fields.cited()
    fields.close("a dose of acid")
    return AcidDose(product=product, doses=doses, cited=cited) if product else None


def parse_cups(text: str) -> float:
    """Read cups, as `2.25`. Raises Unreadable."""
    if not re.fullmatch(r"\d{1,3}(?:\.\d{1,3})?", text.strip()):
        raise Unreadable(f'"{text}" is no number of cups', "write it as 2.25")
    return float(text)


def _syrup(fields: Fields) -> Syrup | None:
    name = _required(fields, "name", "a syrup")
    loads: dict[JarSize, tuple[int, float, float]] = {}
    for size, word in ((JarSize.QUART, "quarts"), (JarSize.PINT, "pints")):
        count = fields.read(word, whole_number)
        water, sugar = fields.read(f"water for {word}", parse_cups), fields.read(f"sugar for {word}", parse_cups)
        if count and water is not None and sugar is not None:
            loads[size] = (count, water, sugar)
    cited = fields.cited()
    fields.close("a syrup")
    return Syrup(name=name, loads=loads, cited=cited) if name else None


def _told_apart(fields: Fields) -> ToldApart | None:
    of_what = "what is told apart"
    fruits, because = fields.texts("is"), _required(fields, "because", of_what)
    names, words, cited = fields.texts("names"), fields.texts("words"), fields.cited()
    fields.close(of_what)
    if not fruits or not because:
        return None
    return ToldApart(fruits=fruits, names=names, words=words, because=because, cited=cited)


def _vague(fields: Fields) -> Vague | None:
    names, fruits, because = fields.texts("names"), fields.texts("could be"), _required(fields, "because", "a name")
    cited = fields.cited()
    fields.close("a vague name")
    return Vague(names=names, fruits=fruits, because=because, cited=cited) if names and because else None


def _white_flesh(fields: Fields) -> WhiteFlesh | None:
    of_what = "white flesh"
    fruits, words, cited = fields.texts("fruits"), fields.texts("words"), fields.cited()
    because, instead = _required(fields, "because", of_what), _required(fields, "instead", of_what)
    fields.close(of_what)
    if not fruits or not because or not instead:
        return None
    return WhiteFlesh(fruits=fruits, words=words, because=because, instead=instead, cited=cited)


def _refused(fields: Fields) -> NotForCanning | None:
    what = _required(fields, "what", "what is refused")
    fruits, of, only_as = fields.texts("fruits"), fields.texts("of"), fields.texts("only as")
    because, instead = _required(fields, "because", "what is refused"), _required(fields, "instead", "what is refused")
    cited: Cited = fields.cited()
    fields.read("note", plain_text)
    fields.close("what is refused")
    if not what or not because or not instead:
        return None
    return NotForCanning(
        what=what, fruits=fruits, of=of, only_as=only_as, because=because, instead=instead, cited=cited
    )
