"""What stands on the shelf: jars made of a season's fruit, how many are left, and so how many were eaten."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from msgspec import Struct
from msgspec.structs import replace

from firmripe.holding.holding import Holding
from firmripe.holding.jar import Jar, parse_left, parse_made
from firmripe.holding.kitchen import Stock
from firmripe.holding.place import stands_in
from firmripe.holding.preserve import PutUp
from firmripe.holding.record import Happening, Record


class Shelved(Struct, frozen=True, kw_only=True):
    """Jars of one kind and one season: what is in them, so many made until `last`, so many `left` when last counted.

    `name` is the preserve where the records name it, otherwise the cultivars. `left` is None where nobody counted.
    `tree` is the tag of the first line, which may be empty.
    """

    name: str
    kind: Jar
    season: int
    made: int
    last: date
    tree: str = ""
    left: int | None = None

    @property
    def jar(self) -> str:
        """The name of the jar."""
        return self.kind.name

    @property
    def eaten(self) -> int | None:
        """How many are gone; None where nobody counted what is left."""
        return None if self.left is None else max(0, self.made - self.left)


def shelved(holding: Holding, season: int, known_on: date) -> tuple[Shelved, ...]:
    """Return the jars made in a season, by name and jar, with what is left of them as known on a day."""
    made: dict[tuple[str, str], Shelved] = {}
    for record in _of(holding, Happening.JARS, known_on):
        if record.season != season or not record.amount:
            continue
        jars = parse_made(record.amount).jars
        key = (_name(holding, record), jars.jar.name)
        before = made.get(key)
        made[key] = Shelved(
            name=key[0],
            kind=jars.jar,
            season=season,
            made=jars.count + (before.made if before else 0),
            last=max(record.day, before.last if before else record.day),
            tree=before.tree if before else record.tree,
        )
    lefts = _lefts(holding, known_on)
    return tuple(_counted(one, lefts) for _, one in sorted(made.items()))


def stock_left(holding: Holding, stock: Stock, season: int, known_on: date) -> Stock:
    """Return what is left of a stock that was counted before the season's first jars: those noted since used it up.

    Only what went into a canner took a new lid; a jar whose name tells of nothing is taken for one that did.
    """
    methods = {preserve.name: preserve.method for preserve in holding.preserves}
    jars, lids_of, lids = dict(stock.jars or {}), dict(stock.lids_of), stock.lids
    for one in shelved(holding, season, known_on):
        if methods.get(one.name, PutUp.CANNER) is not PutUp.CANNER:
            continue
        left = one.made
        for jar, _number in sorted(stock.jars_told, key=lambda told: (told[0].name != one.jar, told[0].name)):
            if one.kind.may_be(jar):
                part = min(left, jars[jar.name])
                jars[jar.name] -= part
                left -= part
        if one.kind.mouth in lids_of:
            lids_of[one.kind.mouth] = max(0, lids_of[one.kind.mouth] - one.made)
        lids = None if lids is None else max(0, lids - one.made)
    lids = lids if lids is None else max(lids, sum(lids_of.values()))
    return replace(stock, jars=None if stock.jars is None else jars, lids=lids, lids_of=lids_of)


def _counted(one: Shelved, lefts: Mapping[tuple[str, str], tuple[date, int]]) -> Shelved:
    day, left = lefts.get((one.name, one.jar), (date.min, 0))
    if day < one.last:
        return one
    return replace(one, left=left)


def _lefts(holding: Holding, known_on: date) -> dict[tuple[str, str], tuple[date, int]]:
    """Return what was counted last of each kind, with its day."""
    found: dict[tuple[str, str], tuple[date, int]] = {}
    for record in _of(holding, Happening.LEFT, known_on):
        if record.amount:
            left = parse_left(record.amount)
            found[_name(holding, record), left.jar.name] = record.day, left.count
    return found


def _of(holding: Holding, what: Happening, known_on: date) -> list[Record]:
    """Return the records of a happening by day."""
    return sorted((r for r in holding.records if r.what is what and r.day <= known_on), key=lambda r: r.day)


def _name(holding: Holding, record: Record) -> str:
    named = [preserve.name for preserve in holding.preserves if stands_in(preserve.name, record.note)]
    if named:
        return max(named, key=len)
    tree = next((tree for tree in holding.trees if tree.tag == record.tree), None)
    limbs = [limb.name for limb in (tree.limbs if tree else ()) if record.cultivar in {"", limb.key}]
    return ", ".join(limbs)
