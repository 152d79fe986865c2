"""How many minutes: a printed row looked up by product, pack, jar and height, or the reason why there is none.

Nothing is reckoned between rows or bands, and no row serves for another product. What is not printed is refused,
and what can be done instead is said.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from firmripe.holding.figures import Cited
from firmripe.holding.fruit import Cultivar
from firmripe.holding.jar import Jar, JarSize
from firmripe.holding.kitchen import PotKind
from firmripe.holding.process import Gauge, PressureProcess, Process, ProcessTable, Refused
from firmripe.problems import folded
from firmripe.saying import _, mark, term
from firmripe.units import METRES_PER_FOOT

INSTEAD = mark("put it up in the freezer or the dryer, or keep it in the refrigerator")
STERILE_BELOW_MIN = 10
"""Jars processed less long are boiled empty beforehand (AIB 539, Guide 1, R)."""
DEEP_ABOVE_MIN = 30
"""Processed longer, jars need 2 inches of water over the lids, otherwise 1 (AIB 539, Guide 1, R)."""
STERILISE_MIN = 10
"""Minutes that empty jars boil, and one more for each 1,000 ft (AIB 539, Guide 1, R)."""
_STANDS_IN = {JarSize.HALF_PINT: JarSize.PINT, JarSize.PINT_AND_HALF: JarSize.QUART}
"""A half pint may use a row printed for pints, and a pint and a half one for quarts (AIB 539, Guide 1, p. 1-23, R)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pressure:
    """A pressure (psi) and the minutes at it; the two belong together."""

    psi: int
    minutes: int
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class Minutes:
    """What is printed for a product, pack and jar at a height.

    `minutes` is the time of a full boil, of pure steam, or at the pressure of the first of `pressures`. `band` says
    for which heights it holds and `row_jar` the jar it was printed for. `water_in` is the depth over the lids (inches,
    0 where no water covers them). `acid` is the dose for each jar and must go in where it is not empty.
    """

    process: str
    kind: PotKind
    minutes: int
    band: str
    row_jar: JarSize
    headspace: str
    water_in: int
    sterilise_min: int
    acid: str
    recipe_only: bool
    cited: Cited
    acid_cited: Cited | None = None
    pressures: tuple[Pressure, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NoMinutes:
    """Why there are no minutes, and what to do instead. `asks` says that the household can answer it."""

    reason: str
    instead: str = INSTEAD
    asks: bool = False
    cited: Cited | None = None


def feet(height_m: float) -> float:
    """Return a kitchen's height in feet, exact for heights that were written in feet.

    One below the sea counts as 0: water boils hotter there, and the tables begin at its level.
    """
    return max(0.0, round(height_m / METRES_PER_FOOT, 6))


@dataclass(frozen=True, slots=True, kw_only=True)
class Stove:
    """Where jars are processed: the kitchen's height (m, None where nobody has said), and the pot with its gauge."""

    height_m: float | None
    kind: PotKind = PotKind.BOILING_WATER
    gauge: Gauge | None = None


def look_up(table: ProcessTable, process: str, jar: Jar, stove: Stove) -> Minutes | NoMinutes:
    """Return the minutes of a process in a jar on a stove, or why there are none."""
    no_way = _no_way(table, process, stove)
    if no_way is not None or stove.height_m is None:
        return no_way or NoMinutes(reason=_("the height is not known"), asks=True)
    size = jar.size
    if size is None:
        return NoMinutes(
            reason=_("nothing is printed for a jar as large as {jar}", jar=term(jar.name)),
            instead=_("take smaller jars"),
        )
    look = _pressed if stove.kind is PotKind.PRESSURE else _boiled
    return look(table, process, (jar, size), stove)


def _no_way(table: ProcessTable, process: str, stove: Stove) -> NoMinutes | None:
    """Return why no jar of any size can be processed so; None where one might."""
    refused = refused_name(table, process)
    if refused is not None:
        return NoMinutes(
            reason=f"{term(refused.what)}: {term(refused.because)}", instead=term(refused.instead), cited=refused.cited
        )
    if process not in table.names:
        return NoMinutes(reason=_('no tested process is called "{process}"', process=process))
    if stove.kind is PotKind.DRYER:
        return NoMinutes(reason=_("a dryer makes no jars"))
    if stove.height_m is None:
        reason = _("nobody has said how high the kitchen lies, and the minutes hang on it")
        return NoMinutes(reason=reason, instead=_("write the kitchen's elevation in place.md"), asks=True)
    return None


def _row_jar(jars: Iterable[frozenset[JarSize]], size: JarSize) -> JarSize | None:
    """Return the printed jar that counts for a size: its own, or the one that may stand in for it."""
    printed: set[JarSize] = set().union(*jars)
    if size in printed:
        return size
    return stand_in if (stand_in := _STANDS_IN.get(size)) in printed else None


def _no_jar(process: str, jar: Jar, printed: Iterable[JarSize]) -> NoMinutes:
    sizes = _(" or ").join(term(f"{size.value}s") for size in JarSize if size in set(printed))
    instead = _("take {sizes}", sizes=sizes) if sizes else term(INSTEAD)
    return NoMinutes(
        reason=_(
            "nothing is printed for {process} in a jar of this size ({jar})", process=term(process), jar=term(jar.name)
        ),
        instead=instead,
    )


def _boiled(table: ProcessTable, process: str, jar: tuple[Jar, JarSize], stove: Stove) -> Minutes | NoMinutes:
    height_ft, kind = feet(stove.height_m or 0), stove.kind
    rows = [row for row in table.boiled if row.name == process]
    of_jar = _row_jar((row.jars for row in rows), jar[1])
    if of_jar is None:
        return _no_jar(process, jar[0], (size for row in rows for size in row.jars))
    row = next(row for row in rows if of_jar in row.jars)
    minutes = row.minutes.at(height_ft)
    if minutes is None:
        return NoMinutes(reason=_("nothing is printed for this height for {process}", process=term(process)))
    dose = (_too_long(table, minutes) if kind is PotKind.STEAM else None) or _dose(table, row, jar[1])
    if isinstance(dose, NoMinutes):
        return dose
    return Minutes(
        process=process,
        kind=kind,
        minutes=minutes,
        band=row.minutes.words(height_ft),
        row_jar=of_jar,
        headspace=row.headspace,
        water_in=0 if kind is PotKind.STEAM else 2 if minutes > DEEP_ABOVE_MIN else 1,
        sterilise_min=STERILISE_MIN + int(height_ft // 1000) if minutes < STERILE_BELOW_MIN else 0,
        acid=dose[0],
        acid_cited=dose[1],
        recipe_only=row.recipe_only,
        cited=row.cited,
    )


def _too_long(table: ProcessTable, minutes: int) -> NoMinutes | None:
    """Return why so many minutes are too many for a steam canner, which may not be opened to add water."""
    limit = table.steam_at_most
    if limit is not None and minutes <= limit.value:
        return None
    most = _("{number} minutes at most", number=limit.value) if limit else _("no time that is printed here")
    reason = _("it takes longer at this height than a steam canner may run: {most}", most=most)
    return NoMinutes(reason=reason, instead=_("use a boiling-water canner"), cited=limit.cited if limit else None)


def _pressed(table: ProcessTable, process: str, jar: tuple[Jar, JarSize], stove: Stove) -> Minutes | NoMinutes:
    height_ft, gauge = feet(stove.height_m or 0), stove.gauge
    rows = [row for row in table.pressed if row.name == process]
    if not rows:
        return NoMinutes(
            reason=_("no time in a pressure canner is printed for {process}", process=term(process)),
            instead=_("use boiling water"),
        )
    if gauge is None:
        reason = _("nobody has said whether the pressure canner has a dial or a weight")
        return NoMinutes(reason=reason, instead=_("write gauge: dial or gauge: weighted in place.md"), asks=True)
    of_jar = _row_jar((row.jars for row in rows), jar[1])
    if of_jar is None:
        return _no_jar(process, jar[0], (size for row in rows for size in row.jars))
    pressures, band = [], ""
    for row in (row for row in rows if of_jar in row.jars):
        for setting in (s for s in table.gauges if (s.gauge, s.setting) == (gauge, row.setting)):
            psi = setting.psi.at(height_ft)
            if psi is not None:
                pressures.append(Pressure(psi=psi, minutes=row.minutes, cited=row.cited))
                band = setting.psi.words(height_ft)
    if not pressures:
        return NoMinutes(reason=_("no pressure by a {gauge} gauge is printed for this height", gauge=term(gauge.value)))
    row = next(row for row in rows if of_jar in row.jars)
    dose = _dose(table, row, jar[1])
    if isinstance(dose, NoMinutes):
        return dose
    boiled = next((b for b in table.boiled if b.name == process and of_jar in b.jars), None)
    pressures.sort(key=lambda p: (-p.minutes, p.psi))
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
        pressures=tuple(pressures),
    )


def _dose(table: ProcessTable, row: Process | PressureProcess, size: JarSize) -> tuple[str, Cited | None] | NoMinutes:
    """Return the acid for each jar, or why a jar that needs it can't be used: its dose is not printed."""
    if not row.acid:
        return "", None
    dose = table.acids.get(row.acid)
    if dose is None or size not in dose.doses:
        reason = _(
            "{process} needs acid in each jar, and its dose for a {jar} is not printed",
            process=term(row.name),
            jar=term(size.value),
        )
        return NoMinutes(reason=reason, instead=_("take pints or quarts"))
    return dose.doses[size], dose.cited


def refused_name(table: ProcessTable, process: str) -> Refused | None:
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


def refused_fruit(table: ProcessTable, limb: Cultivar, process: str) -> Refused | None:
    """Return why a cultivar must not go into jars as a product, by its names; None where no name forbids it."""
    fruit = limb.fruit
    names = {folded(name) for name in (limb.key, limb.name, *limb.also)}
    names |= {folded(name) for name in (fruit.key, fruit.name, *fruit.also)} if fruit else set()
    product = process.rsplit(", ", 1)[0]
    for row in table.refused:
        if row.only_as and product not in row.only_as:
            continue
        if names & {folded(name) for name in row.fruits}:
            return row
    return None
