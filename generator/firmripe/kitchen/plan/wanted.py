"""From the household's wants to wares: a preserve in a jar, what it takes, which fruit may become it, or why none."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from msgspec import Struct

from firmripe.harvest.grades import why_not
from firmripe.harvest.lots import Batch
from firmripe.holding.filling import jar_lines, makes_here
from firmripe.holding.holding import Holding
from firmripe.holding.jar import Jar, Jars, parse_made
from firmripe.holding.kitchen import Canner, Kitchen, KitchenWant, PotKind
from firmripe.holding.preserve import PutUp
from firmripe.holding.record import Record
from firmripe.kitchen.admitting import is_made_of, is_of, not_for_jars
from firmripe.kitchen.fit.means import Product
from firmripe.kitchen.plan.because import AmountNotPrinted, NotForJars
from firmripe.kitchen.plan.usable import KitchenFruit
from firmripe.kitchen.tables.amounts import LIDS, SPARE_FILL_L, lids_for
from firmripe.kitchen.tables.processes import Minutes, Stove, look_up
from firmripe.kitchen.tables.refusals import NoMinutes
from firmripe.kitchen.tables.ware import Ware
from firmripe.kitchen.tables.work import own_rate, rate_for
from firmripe.problems import Unreadable
from firmripe.remark import Remark

FREEZER_L = "room in the freezer"
JARS = "jars: "


class WantedWare(Struct, frozen=True):
    """A want of the household's that can be reckoned: its ware, and how many of it were made already.

    `name` tells it from the other wants, in their order.
    """

    want: KitchenWant
    name: str
    ware: Ware
    made: int

    @property
    def units(self) -> int | None:
        """How many are still to be made; None for as many as can be."""
        return None if self.want.count is None else max(0, self.want.count - self.made)


def ware_for(holding: Holding, want: KitchenWant, as_of: date) -> Ware | AmountNotPrinted:
    """Return the ware of a want, or why its preserve can't be reckoned."""
    preserve = next(preserve for preserve in holding.preserves if preserve.key == want.preserve)
    each = makes_here(holding, preserve, want.jar, as_of)
    if each is None:
        return AmountNotPrinted(preserve=preserve, jar=want.jar)
    own = own_rate(holding, preserve, want.jar, as_of) if want.jar else None
    return Ware(
        name=f"{preserve.name}, {want.jar.name if want.jar else 'pound dried'}",
        preserve=preserve,
        jar=want.jar,
        each=each,
        rate=rate_for(preserve, want.jar, own),
    )


def may_become(holding: Holding, ware: Ware, batch: Batch) -> bool:
    """Say whether a batch is of the fruit that is weighed for a ware, and nothing speaks against it."""
    return is_weighed_in(holding, ware, batch) and not_for(holding, ware, batch) is None


def is_weighed_in(holding: Holding, ware: Ware, batch: Batch) -> bool:
    """Say whether a ware is reckoned by the weight of a batch's fruit: of a recipe of several fruits it is one."""
    of = ware.each.of
    return is_made_of(holding, ware.preserve, batch.bearing) and (not of or bool(is_of(holding, batch.bearing) & of))


def not_for(holding: Holding, ware: Ware, batch: Batch) -> Remark | None:
    """Return why a batch of the fruit that a ware is made of must not become it; None where it may.

    A household's cautions can only add to this: what is refused here stays refused.
    """
    preserve = ware.preserve
    if preserve.method is PutUp.CANNER and preserve.process is not None:
        refused = not_for_jars(holding, batch.bearing, preserve.process.value)
        if refused is not None:
            return NotForJars(cultivar=batch.limb.name, why=refused)
    return why_not(batch.grade, preserve)


def product_of(holding: Holding, ware: Ware, fruits: Sequence[KitchenFruit]) -> Product:
    """Return a ware as the solver knows it."""
    needs: dict[str, float] = {}
    if ware.preserve.method is PutUp.CANNER and ware.jar is not None:
        jar = ware.jar
        needs = dict.fromkeys((jars_of(jar), jars_of(jar.of_any_mouth), LIDS, lids_for(jar.mouth)), 1.0)
    elif ware.preserve.method is PutUp.FREEZER and ware.jar is not None:
        needs = {FREEZER_L: ware.jar.millilitres / 1000 * SPARE_FILL_L}
    return Product(
        name=ware.name,
        takes=frozenset(fruit.supply.name for fruit in fruits if may_become(holding, ware, fruit.batch)),
        kg_per_load=float(ware.each.middle_kg),
        units_per_load=1,
        hands_hours_per_load=ware.rate.hand_minutes / 60,
        in_pot=ware.preserve.method in {PutUp.CANNER, PutUp.DRYER},
        jar=ware.name,
        needs=needs,
        ripeness=ware.preserve.stage,
    )


def supplies_of(wanted: WantedWare, fruits: Mapping[str, KitchenFruit]) -> frozenset[str] | None:
    """Return the supplies that a want may come from, of fruit by its supply's name; None where it may be any."""
    key = wanted.want.cultivar
    return frozenset(name for name, fruit in fruits.items() if fruit.batch.limb.key == key) if key else None


def jars_of(jar: Jar) -> str:
    """Return what the stock calls a jar."""
    return f"{JARS}{jar.name}"


def published_for(holding: Holding, ware: Ware, kitchen: Kitchen, canner: Canner) -> Minutes | NoMinutes | None:
    """Return what is printed for a ware in a canner of a kitchen; None where the ware goes into no canner."""
    preserve = ware.preserve
    if preserve.method is not PutUp.CANNER or preserve.process is None or ware.jar is None:
        return None
    stove = Stove(height_m=kitchen.elevation_m, kind=canner.kind, gauge=canner.gauge)
    return look_up(holding.processes, preserve.process.value, ware.jar, stove)


def holds(canner: Canner, ware: Ware) -> int:
    """Return how many units of a ware are one load; 0 where the pot is not for it, or nobody has said.

    Where a pot is told for a larger jar only, it is taken to hold no more of the smaller.
    """
    if canner.kind is PotKind.DRYER:
        return int(canner.dries_kg / float(ware.each.middle_kg)) if ware.preserve.method is PutUp.DRYER else 0
    size = ware.jar.size if ware.jar else None
    if size is None or ware.preserve.method is not PutUp.CANNER:
        return 0
    larger = [held for held in canner.holds if held.millilitres >= size.millilitres]
    return canner.holds[min(larger, key=lambda held: held.millilitres)] if larger else 0


def made_so_far(holding: Holding, wants: Sequence[KitchenWant], season: int, as_of: date) -> list[int]:
    """Return how many jars of each want the records of a season say were made, each jar of one want alone.

    A line whose note names the preserve is of a want of its very jar before one whose jar may be that, and of one of
    its cultivar before one of any; of several it fills the first. What is beyond them all is the first's.
    """
    made = [0] * len(wants)
    for key in dict.fromkeys(want.preserve for want in wants):
        preserve = next(preserve for preserve in holding.preserves if preserve.key == key)
        for record in jar_lines(holding, preserve, as_of):
            jars = _jars_in(record)
            if record.season != season or jars is None:
                continue
            fits = [
                number
                for number, want in enumerate(wants)
                if want.preserve == key and want.jar and jars.jar.may_be(want.jar) and _is_of(holding, want, record)
            ]
            fits.sort(key=lambda number: (_jar_name(wants[number]) != jars.jar.name, not wants[number].cultivar))
            left = jars.count
            for number in fits:
                count = wants[number].count
                part = left if count is None else min(left, max(0, count - made[number]))
                made[number] += part
                left -= part
            if fits:
                made[fits[0]] += left
    return made


def _jar_name(want: KitchenWant) -> str:
    return want.jar.name if want.jar else ""


def _is_of(holding: Holding, want: KitchenWant, record: Record) -> bool:
    """Say whether a line about jars may be of a want's cultivar."""
    if want.cultivar in {"", record.cultivar}:
        return True
    bearing = {tree.tag for tree in holding.trees for limb in tree.limbs if limb.key == want.cultivar}
    return not record.cultivar and record.tree in bearing


def _jars_in(record: Record) -> Jars | None:
    try:
        return parse_made(record.amount).jars
    except Unreadable:
        return None
