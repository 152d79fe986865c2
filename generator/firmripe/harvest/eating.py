"""What is eaten from a space at the rate its household states: week by week, what keeps shortest first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from firmripe.harvest.because import ForSale, NotEaten
from firmripe.harvest.grades import SHARED
from firmripe.harvest.lots import LEAST_KG, Batch, Goes, Lot, Out
from firmripe.harvest.weighing import containers_of
from firmripe.holding.place import Place, Space
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import Weight, total
from firmripe.remark import Remark

WEEK = timedelta(days=7)


class _Table(Struct):
    """What of a batch is left for the table, from its first day out to its last in the cold (kg)."""

    batch: Batch
    outs: list[Out]
    whole: Weight
    rate_kg: Fraction
    last: date
    left_kg: Fraction
    new: list[Out]
    stand: bool

    @property
    def first(self) -> date:
        return self.outs[0].day

    def take(self, day: date, kg: Fraction, *, too_much: bool = False) -> None:
        """Let so much leave the cold on a day; it ripens as long after that as it would have after its first day.

        What is too much to be eaten is for the stand, where there is one.
        """
        more: Remark = ForSale() if self.stand else NotEaten()
        ready = self.outs[0].ready
        wait = (day - self.first).days
        self.new.append(
            replace(
                self.outs[0],
                day=day,
                weight=self.whole.times(kg / self.whole.middle),
                ready=ready.after(wait, wait, wait) if ready else None,
                to=Goes.SOLD if too_much and self.stand else Goes.TABLE,
                why=more if too_much else None,
            )
        )
        self.left_kg -= kg


def eaten(lots: Mapping[Bearing, Lot], place: Place) -> dict[Bearing, Lot]:
    """Return lots whose fruit for the table leaves at the rates that are stated for its spaces, to the same weight.

    What the rate does not use up by its last day comes out on it, and says so. Where there is a stand, what comes from
    elsewhere than a space of which it is stated is for the stand: nothing says that anybody eats it.
    """
    found = {id(batch): batch for lot in lots.values() for batch in lot.batches}
    for space in place.spaces:
        if space.eats is not None:
            tables = _tables(space, found.values(), place)
            _week_by_week(tables)
            for table in tables:
                others = [out for out in table.batch.outs if out not in table.outs]
                outs = sorted([*others, *table.new], key=lambda out: (out.day, not out.noted, out.to.value))
                found[id(table.batch)] = replace(table.batch, outs=tuple(outs))
    if place.stand:
        found = {key: _for_the_stand(batch, place) for key, batch in found.items()}
    return {
        bearing: replace(lot, batches=tuple(found[id(batch)] for batch in lot.batches)) for bearing, lot in lots.items()
    }


def _for_the_stand(batch: Batch, place: Place) -> Batch:
    """Let what is left of a batch for the table be for sale, unless it lies where it is said how much is eaten."""
    is_told = any(space.eats is not None for space in place.spaces if space.name == batch.space)
    if is_told or batch.grade not in SHARED:
        return batch
    why = ForSale(is_untold=True)
    outs = (
        replace(out, to=Goes.SOLD, why=why) if out.to is Goes.TABLE and not out.noted else out for out in batch.outs
    )
    return replace(batch, outs=tuple(outs))


def _tables(space: Space, batches: Iterable[Batch], place: Place) -> list[_Table]:
    """Return what lies in a space for the table and is taken out little by little, what keeps shortest first."""
    found = []
    for batch in batches:
        outs = [out for out in batch.outs if not out.noted and out.to is Goes.TABLE]
        keep = batch.days.get(Stage.KEEP_UNTIL)
        rate = space.eats.weight(containers_of(batch.limb.traits, place)) if space.eats else None
        weights = [out.weight for out in outs if out.weight is not None]
        if batch.space != space.name or len(outs) < 2 or len(weights) < len(outs) or keep is None or not rate:
            continue
        whole = total(weights)
        if whole.middle and rate.middle:
            table = _Table(
                batch, outs, whole, rate.middle, max(outs[-1].day, keep.likely), whole.middle, [], place.stand
            )
            found.append(table)
    return sorted(found, key=lambda table: (table.last, table.batch.bearing, table.batch.picking, table.batch.part))


def _week_by_week(tables: list[_Table]) -> None:
    day = min((table.first for table in tables), default=date.max)
    while any(table.left_kg for table in tables):
        hunger = Fraction(1)  # the part of a week's fruit that is still wanted
        for table in tables:
            if not table.left_kg or day < table.first:
                continue
            if day + WEEK > table.last:
                eaten_kg = min(table.left_kg, hunger * table.rate_kg)
                hunger -= min(hunger, table.left_kg / table.rate_kg)
                _take_the_last(table, day, eaten_kg)
            elif hunger:
                kg = min(table.left_kg, hunger * table.rate_kg)
                kg = table.left_kg if table.left_kg - kg < LEAST_KG else kg
                hunger -= min(hunger, kg / table.rate_kg)
                table.take(day, kg)
        day += WEEK


def _take_the_last(table: _Table, day: date, eaten_kg: Fraction) -> None:
    """Let all that is left leave the cold on its last day; the stand has a row of its own for what nobody eats."""
    over = table.left_kg - eaten_kg
    if over and table.stand and eaten_kg:
        table.take(day, eaten_kg)
    table.take(day, table.left_kg, too_much=over > 0)
