"""How many minutes: a printed row looked up by product, pack, jar and height, or the reason why there is none.

Nothing is reckoned between rows or bands, and no row serves for another product. What is not printed is refused.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from firmripe.holding.figures import Cited
from firmripe.holding.fruit import Cultivar
from firmripe.holding.jar import Jar, JarSize
from firmripe.holding.kitchen import PotKind
from firmripe.holding.process import (
    Band,
    Gauge,
    NotForCanning,
    PressureProcess,
    Process,
    ProcessTable,
    speaks_of,
)
from firmripe.kitchen.tables.refusals import (
    DoseNotPrinted,
    DryerMakesNoJars,
    GaugeUnsaid,
    HeightNotPrinted,
    HeightUnsaid,
    JarNotPrinted,
    JarTooLarge,
    NoMinutes,
    NoProcess,
    NotUnderPressure,
    PressureNotPrinted,
    ProductRefused,
    TooLongInSteam,
)
from firmripe.lately import answered_once
from firmripe.problems import folded
from firmripe.units import METRES_PER_FOOT

STERILE_BELOW_MIN = 10
"""Jars processed less long are boiled empty beforehand (AIB 539, Guide 1, R)."""
DEEP_ABOVE_MIN = 30
"""Processed longer, jars need 2 inches of water over the lids, otherwise 1 (AIB 539, Guide 1, R)."""
STERILISE_MIN = 10
"""Minutes that empty jars boil, and one more for each 1,000 ft (AIB 539, Guide 1, R)."""
_STANDS_IN = {JarSize.HALF_PINT: JarSize.PINT, JarSize.PINT_AND_HALF: JarSize.QUART}
"""A half pint may use a row printed for pints, and a pint and a half one for quarts (AIB 539, Guide 1, p. 1-23, R)."""


class Pressure(Struct, frozen=True, kw_only=True):
    """A pressure (psi) and the minutes at it; the two belong together."""

    psi: int
    minutes: int
    cited: Cited


class Minutes(Struct, frozen=True, kw_only=True):
    """What is printed for a product, pack and jar at a height.

    `minutes` is the time of a full boil, of pure steam, or at the pressure of the first of `pressures`. `band` says
    for which heights it holds and `row_jar` the jar it was printed for. `water_in` is the depth over the lids (inches,
    0 where no water covers them). `acid` is the dose for each jar and must go in where it is not empty.
    """

    process: str
    kind: PotKind
    minutes: int
    band: Band
    row_jar: JarSize
    headspace: str
    water_in: int
    sterilise_min: int
    acid: str
    recipe_only: bool
    cited: Cited
    acid_cited: Cited | None = None
    pressures: tuple[Pressure, ...] = ()


def feet(height_m: float) -> float:
    """Return a kitchen's height in feet, exact for heights that were written in feet.

    One below the sea counts as 0: water boils hotter there, and the tables begin at its level.
    """
    return max(0.0, round(height_m / METRES_PER_FOOT, 6))


class Stove(Struct, frozen=True, kw_only=True):
    """Where jars are processed: the kitchen's height (m, None where nobody has said), and the pot with its gauge."""

    height_m: float | None
    kind: PotKind = PotKind.BOILING_WATER
    gauge: Gauge | None = None


def look_up(table: ProcessTable, process: str, jar: Jar, stove: Stove) -> Minutes | NoMinutes:
    """Return the minutes of a process in a jar on a stove, or why there are none."""
    no_way = _no_way(table, process, stove.kind)
    if no_way is not None:
        return no_way
    if stove.height_m is None:
        return HeightUnsaid()
    if jar.size is None:
        return JarTooLarge(jar=jar)
    if stove.kind is PotKind.PRESSURE:
        return _pressed(table, process, (jar, jar.size), feet(stove.height_m), stove.gauge)
    return _boiled(table, process, (jar, jar.size), feet(stove.height_m), stove.kind)


def _no_way(table: ProcessTable, process: str, kind: PotKind) -> NoMinutes | None:
    """Return why no jar of any size can be processed so, however high the kitchen lies; None where one might."""
    refused = refused_name(table, process)
    if refused is not None:
        return ProductRefused(row=refused, cited=refused.cited)
    if process not in table.names:
        return NoProcess(process=process)
    return DryerMakesNoJars() if kind is PotKind.DRYER else None


def _row_jar(jars: Iterable[frozenset[JarSize]], size: JarSize) -> JarSize | None:
    """Return the printed jar that counts for a size: its own, or the one that may stand in for it."""
    printed: set[JarSize] = set().union(*jars)
    if size in printed:
        return size
    return stand_in if (stand_in := _STANDS_IN.get(size)) in printed else None


def _no_jar(process: str, jar: Jar, printed: Iterable[JarSize]) -> NoMinutes:
    there = set(printed)
    return JarNotPrinted(process=process, jar=jar, sizes=tuple(size for size in JarSize if size in there))


def _boiled(
    table: ProcessTable, process: str, jar: tuple[Jar, JarSize], height_ft: float, kind: PotKind
) -> Minutes | NoMinutes:
    rows = [row for row in table.boiled if row.name == process]
    of_jar = _row_jar((row.jars for row in rows), jar[1])
    if of_jar is None:
        return _no_jar(process, jar[0], (size for row in rows for size in row.jars))
    row = next(row for row in rows if of_jar in row.jars)
    minutes = row.minutes.at(height_ft)
    if minutes is None:
        return HeightNotPrinted(process=process)
    dose = (_too_long(table, minutes) if kind is PotKind.STEAM else None) or _dose(table, row, jar[1])
    if isinstance(dose, NoMinutes):
        return dose
    return Minutes(
        process=process,
        kind=kind,
        minutes=minutes,
        band=row.minutes.band(height_ft),
        row_jar=of_jar,
        headspace=row.headspace,
        water_in=0 if kind is PotKind.STEAM else 2 if minutes > DEEP_ABOVE_MIN else 1,
        sterilise_min=STERILISE_MIN + int(height_ft // 1000) if minutes < STERILE_BELOW_MIN else 0,
        acid=dose[0],
        acid_cited=dose[1],
        recipe_only=row.recipe_only,
        cited=row.cited,
    )


def _too_long(table: ProcessTable, minutes: int) -> TooLongInSteam | None:
    """Return why so many minutes are too many for a steam canner, which may not be opened to add water."""
    limit = table.steam_at_most
    if limit is not None and minutes <= limit.value:
        return None
    return TooLongInSteam(most=limit.value if limit else None, cited=limit.cited if limit else None)


def _pressed(
    table: ProcessTable, process: str, jar: tuple[Jar, JarSize], height_ft: float, gauge: Gauge | None
) -> Minutes | NoMinutes:
    rows = [row for row in table.pressed if row.name == process]
    if not rows:
        return NotUnderPressure(process=process)
    if gauge is None:
        return GaugeUnsaid()
    of_jar = _row_jar((row.jars for row in rows), jar[1])
    if of_jar is None:
        return _no_jar(process, jar[0], (size for row in rows for size in row.jars))
    of_jars = [row for row in rows if of_jar in row.jars]
    pressures, band = _pressures(table, of_jars, gauge, height_ft)
    if band is None:
        return PressureNotPrinted(gauge=gauge)
    dose = _dose(table, of_jars[0], jar[1])
    if isinstance(dose, NoMinutes):
        return dose
    boiled = next((b for b in table.boiled if b.name == process and of_jar in b.jars), None)
    return Minutes(
        process=process,
        kind=PotKind.PRESSURE,
        minutes=pressures[0].minutes,
        band=band,
        row_jar=of_jar,
        headspace=boiled.headspace if boiled else "",
        water_in=0,
        sterilise_min=0,
        acid=dose[0],
        acid_cited=dose[1],
        recipe_only=boiled.recipe_only if boiled else False,
        cited=pressures[0].cited,
        pressures=pressures,
    )


def _pressures(
    table: ProcessTable, rows: Iterable[PressureProcess], gauge: Gauge, height_ft: float
) -> tuple[tuple[Pressure, ...], Band | None]:
    """Return the pressures printed for a gauge at a height, the longest time first, and their band of height."""
    pressures: list[Pressure] = []
    band: Band | None = None
    for row in rows:
        for setting in (s for s in table.gauges if (s.gauge, s.setting) == (gauge, row.setting)):
            psi = setting.psi.at(height_ft)
            if psi is not None:
                pressures.append(Pressure(psi=psi, minutes=row.minutes, cited=row.cited))
                band = setting.psi.band(height_ft)
    return tuple(sorted(pressures, key=lambda p: (-p.minutes, p.psi))), band


def _dose(table: ProcessTable, row: Process | PressureProcess, size: JarSize) -> tuple[str, Cited | None] | NoMinutes:
    """Return the acid for each jar, or why a jar that needs it can't be used: its dose is not printed."""
    if not row.acid:
        return "", None
    dose = table.acids.get(row.acid)
    if dose is None or size not in dose.doses:
        return DoseNotPrinted(process=row.name, size=size)
    return dose.doses[size], dose.cited


def refused_name(table: ProcessTable, process: str) -> NotForCanning | None:
    """Return why a product is refused by its name alone."""
    asked = folded(process)
    return next(
        (
            row
            for row in table.refused
            if folded(row.what) == asked or (not row.only_as and asked in {folded(name) for name in row.fruits})
        ),
        None,
    )


def refused_fruit(table: ProcessTable, limb: Cultivar, process: str) -> NotForCanning | None:
    """Return why a cultivar must not go into jars as a product, by its names; None where no name forbids it.

    A name that holds a refused one, as Old Kieffer, is refused with it.
    """
    fruit = limb.fruit
    names = (limb.key, limb.name, *limb.also, *((fruit.key, fruit.name, *fruit.also) if fruit else ()))
    return _refused_by(table, names, fruit.key if fruit else "", process.rsplit(", ", 1)[0])


@answered_once
def _refused_by(table: ProcessTable, names: tuple[str, ...], fruit: str, product: str) -> NotForCanning | None:
    """Return the row that refuses fruit of these names as a product: trees of one cultivar, however many, ask once."""
    for row in table.refused:
        if (row.only_as and product not in row.only_as) or (row.of and fruit and fruit not in row.of):
            continue
        refused = {folded(name) for name in row.fruits}
        if any(folded(name) in refused or speaks_of(name, row.fruits) for name in names):
            return row
    return None
