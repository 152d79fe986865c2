"""What leaves each batch by plan, parted so that no weight is promised twice: every page prints these rows.

Wants, kitchen sessions and a household's eating claim parts of batches; what nobody claims leaves the cold as before.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from fractions import Fraction
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from firmripe.harvest.because import AllClaimed, ForWant
from firmripe.harvest.following import days_left, undated_left
from firmripe.harvest.grades import STORED
from firmripe.harvest.leaving import parted
from firmripe.harvest.lots import LEAST_KG, Batch, Goes, Lot, Out
from firmripe.harvest.takeouts import NoTakeOut, TakeOut
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import NOTHING, Grade, Weight, total
from firmripe.remark import Remark
from firmripe.season.estimate import Reach

NEARLY_ALL: Final = Fraction(3, 4)
HALF: Final = Fraction(1, 2)
"""Where the kitchen takes so much of a batch, the rest comes out with it and has no day of its own. J."""
CLAIMED: Final = frozenset({Goes.WANTED, Goes.KITCHEN})
_OF_THE_TABLE: Final = frozenset({Stage.TAKE_OUT, Stage.READY, Stage.USE_BY, Stage.KEEP_UNTIL})

BatchKey = tuple[Bearing, int, Grade, str, int]


class Claim(Struct, frozen=True, kw_only=True):
    """So many kilograms of a batch that leave the cold on `day` for something on the day `used`.

    `ready` is when they are ripe, `cold` where they are held until then if the batch lies in no cold of its own, and
    `came_out` says that they are of what was noted as taken out on `day`.
    """

    of: BatchKey
    day: date
    used: date
    ready: date
    kg: Fraction
    to: Goes
    why: Remark
    cold: str = ""
    came_out: bool = False


def key_of(batch: Batch) -> BatchKey:
    """Return what tells a batch from all others."""
    return batch.bearing, batch.picking, batch.grade, batch.house, batch.part


def claims_of_wants(answers: Iterable[TakeOut | NoTakeOut]) -> list[Claim]:
    """Return what the wants that can be met take of each batch."""
    return [
        Claim(
            of=key_of(answer.batch),
            day=answer.day,
            used=answer.wanted.day,
            ready=answer.wanted.day,
            kg=answer.kg,
            to=Goes.WANTED,
            why=ForWant(
                purpose=answer.wanted.purpose,
                day=answer.wanted.day,
                unweighed=None if answer.is_weighed else answer.wanted.amount,
            ),
        )
        for answer in answers
        if isinstance(answer, TakeOut) and answer.kg
    ]


def allot(lots: Mapping[Bearing, Lot], claims: Iterable[Claim]) -> dict[Bearing, Lot]:
    """Return lots of which the claims take their part: what is claimed leaves on its day, the rest as it did."""
    by_batch: dict[BatchKey, list[Claim]] = {}
    for claim in _summed(claims):
        by_batch.setdefault(claim.of, []).append(claim)
    if not by_batch:
        return dict(lots)
    return {bearing: _allotted(lot, by_batch) for bearing, lot in lots.items()}


def _summed(claims: Iterable[Claim]) -> Iterable[Claim]:
    """Return one claim for all that leaves a batch on one day for one thing."""
    found: dict[tuple[BatchKey, date, date, Goes, Remark, bool], Claim] = {}
    for claim in claims:
        key = claim.of, claim.day, claim.used, claim.to, claim.why, claim.came_out
        found[key] = replace(claim, kg=claim.kg + found[key].kg) if key in found else claim
    return found.values()


def _allotted(lot: Lot, by_batch: Mapping[BatchKey, list[Claim]]) -> Lot:
    batches = tuple(
        _with_claims(batch, by_batch[key_of(batch)]) if key_of(batch) in by_batch else batch for batch in lot.batches
    )
    if batches == lot.batches:
        return lot
    stored = [batch for batch in batches if batch.grade in STORED] or list(batches)
    rest = [batch for batch in stored if _for_the_table(batch)]
    main = rest[0] if rest else stored[0]
    settled = lot.settled if rest else lot.settled | _OF_THE_TABLE
    return replace(
        lot,
        batches=batches,
        days={**days_left(main), Stage.PICK: lot.days[Stage.PICK]},
        undated=undated_left(main),
        settled=settled | (main.days.keys() - days_left(main).keys()),
    )


def by_house(lots: Mapping[Bearing, Lot]) -> dict[str, dict[Bearing, Lot]]:
    """Return the lots of each house that has a part of its own, with that part alone and on its own days.

    Under no name stands what is not divided, and what the rule of shares gives to nobody.
    """
    found: dict[str, dict[Bearing, Lot]] = {"": {}}
    for bearing, lot in lots.items():
        houses = dict.fromkeys(batch.house for batch in lot.batches if batch.grade in STORED)
        for house in houses if any(houses) else ():
            found.setdefault(house, {})[bearing] = _of_house(lot, house)
        if not any(houses):
            found[""][bearing] = lot
    return found


def _of_house(lot: Lot, house: str) -> Lot:
    stored = [batch for batch in lot.batches if batch.house == house and batch.grade in STORED]
    stored.sort(key=lambda batch: (batch.is_gone, batch.picking))
    rest = [batch for batch in stored if _for_the_table(batch)]
    main = rest[0] if rest else stored[0]
    days = {**days_left(main), Stage.PICK: lot.days[Stage.PICK]}
    return replace(
        lot,
        batches=tuple(batch for batch in lot.batches if batch.house == house),
        days=days,
        undated=undated_left(main),
        settled=frozenset(main.days.keys() - days.keys()) | (frozenset() if rest else _OF_THE_TABLE),
        reasons=main.reasons,
        needs_cold=main.needs_cold,
    )


def _for_the_table(batch: Batch) -> bool:
    """Say whether some of a batch is claimed by nothing and comes out on days of its own, or has."""
    with_it = {out.day for out in batch.outs if out.to is Goes.KITCHEN and not out.noted}
    return any(out.to is Goes.TABLE and not out.gone and (out.noted or out.day not in with_it) for out in batch.outs)


def _with_claims(batch: Batch, claims: Iterable[Claim]) -> Batch:
    outs, space = list(batch.outs), batch.space
    for claim in claims:
        mine = [at for at, out in enumerate(outs) if _can_come_from(out, claim)]
        if not mine:
            continue
        new, left = _claimed([outs[at] for at in mine], claim)
        outs = [out for at, out in enumerate(outs) if at not in mine] + new + left
        space = space or (claim.cold if claim.day > batch.picked.likely else "")
    outs = _rest_with_the_kitchen(outs)
    outs.sort(key=lambda out: (out.day, not out.noted, out.to.value))
    return _on_their_days(replace(batch, outs=tuple(outs), space=space))


def _on_their_days(batch: Batch) -> Batch:
    """Return a batch that is all claimed with the days of its claims: it is out, ready and used on these alone."""
    planned = [out for out in batch.outs if not out.noted]
    used = [out.used for out in planned if out.used is not None]
    if _for_the_table(batch) or not used:
        return batch
    first = min(planned, key=lambda out: out.day)
    days = {stage: day for stage, day in batch.days.items() if stage not in _OF_THE_TABLE}
    ready = first.ready.likely if first.ready else first.day
    for stage, day in ((Stage.TAKE_OUT, first.day), (Stage.READY, ready), (Stage.USE_BY, max(used))):
        latest = max(day, batch.picked.latest)  # a late pick makes all of it late
        days[stage] = Reach(earliest=day, likely=day, latest=latest)
    kept = {stage: why for stage, why in batch.undated.items() if stage not in days}
    return replace(batch, days=days, undated={**kept, Stage.KEEP_UNTIL: AllClaimed(last=max(used))})


def _rest_with_the_kitchen(outs: list[Out]) -> list[Out]:
    """Let a small rest come out with the last that goes to the kitchen; one that comes out at once, also half."""
    kitchen = [out for out in outs if out.to is Goes.KITCHEN and not out.noted]
    rest = [out for out in outs if out.to is Goes.TABLE and not out.noted]
    weights = [out.weight for out in (*kitchen, *rest) if out.weight is not None]
    if not kitchen or not rest or len(weights) < len(kitchen) + len(rest):
        return outs
    small = total(weights[len(kitchen) :])
    most = NEARLY_ALL if len(rest) > 1 else HALF
    if total(weights[: len(kitchen)]).middle < most * total(weights).middle:
        return outs
    last = max(kitchen, key=lambda out: out.day)
    one = Out(day=last.day, weight=small, noted=False, ready=last.ready)
    return [*(out for out in outs if out not in rest), one]


def _can_come_from(out: Out, claim: Claim) -> bool:
    if out.gone or out.to is not Goes.TABLE:
        return False
    return out.noted and out.day == claim.day if claim.came_out else not out.noted


def _claimed(outs: list[Out], claim: Claim) -> tuple[list[Out], list[Out]]:
    """Part outs into what a claim takes and what it leaves; together they weigh exactly what they did."""
    first = outs[0]
    new = Out(
        day=first.day if claim.came_out else claim.day,
        weight=Weight.of(claim.kg),
        noted=claim.came_out,
        ready=first.ready if claim.came_out else Reach.on(claim.ready),
        to=claim.to,
        why=claim.why,
        used=claim.used,
    )
    weights = [out.weight for out in outs if out.weight is not None]
    if len(weights) < len(outs):
        return [new], outs  # how much there is nobody knows, so what is left isn't known either
    whole = total(weights)
    kg = whole.middle if claim.kg >= whole.middle - LEAST_KG else claim.kg
    part, rest = parted(whole, kg)
    if rest is None or rest == NOTHING or not whole.middle:
        return [replace(new, weight=whole)], []
    left = [
        replace(out, weight=rest.times(weight.middle / whole.middle)) for out, weight in zip(outs, weights, strict=True)
    ]
    return [replace(new, weight=part)], left
