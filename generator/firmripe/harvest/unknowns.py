"""What nobody has noted of fruit whose day is past: whether it was used, still lies there, came through a freeze.

One question for each crop, the one that has waited longest; an answer in the records ends it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date, timedelta
from enum import Enum
from typing import Final

from msgspec import Struct

from firmripe.harvest.crop import records_of
from firmripe.harvest.grades import STORED
from firmripe.harvest.lots import GRACE_D, RIPE_LIES_D, Batch, Goes, Lot
from firmripe.holding.fruit import Cultivar
from firmripe.holding.record import PICKINGS, Happening
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.season.freezing import freeze_past
from firmripe.season.season import Season

ASKED_FOR_D: Final = 60
"""So long after its day fruit is asked after; then nobody looks for it any more. J."""


class FruitQuestion(Enum):
    """What is asked of fruit."""

    USED = "used"
    RIPE = "ripe"
    STILL_COLD = "still cold"
    FROZEN = "frozen"


class Unknown(Struct, frozen=True, kw_only=True):
    """Fruit of a crop of which nobody noted what became of it since the day it was to be used by, was ripe or was hit.

    `batch` is the part of the crop that is meant, None where it is all there is.
    """

    bearing: Bearing
    limb: Cultivar
    season: int
    question: FruitQuestion
    since: date
    batch: Batch | None = None


def unknowns(season: Season, lots: Mapping[Bearing, Lot]) -> tuple[Unknown, ...]:
    """Return the questions about a season's fruit on its day of knowledge, the longest waiting first."""
    found = []
    for bearing, lot in lots.items():
        limb = season.holding.limb(bearing)
        told: list[tuple[FruitQuestion, date, Batch | None]] = [
            *_of_the_store(lot.batches, season.as_of),
            *_of_the_tree(season, lot, limb),
        ]
        told = [one for one in told if one[1] >= season.as_of - timedelta(days=ASKED_FOR_D)]
        if told:
            question, since, batch = min(told, key=lambda one: one[1])
            is_all = sum(one.grade in STORED for one in lot.batches) == 1
            found.append(
                Unknown(
                    bearing=bearing,
                    limb=limb,
                    season=season.year.year,
                    question=question,
                    since=since,
                    batch=None if is_all else batch,
                )
            )
    return tuple(sorted(found, key=lambda one: (one.since, one.bearing)))


def is_asked_after(batch: Batch, today: date) -> bool:
    """Say whether nobody noted what became of a batch that was to be used up not long ago."""
    oldest = today - timedelta(days=ASKED_FOR_D)
    return any(since >= oldest for _question, since, _batch in _of_the_store([batch], today))


def _of_the_store(batches: Iterable[Batch], today: date) -> Iterator[tuple[FruitQuestion, date, Batch]]:
    """Yield what picked fruit is asked: what is out and past its day, and what was to be out of the cold by now."""
    for batch in batches:
        if not batch.picked_noted or batch.grade not in STORED:
            continue
        planned = [out for out in batch.outs if not out.noted]
        keep = batch.days.get(Stage.KEEP_UNTIL)
        limit = keep.likely if keep is not None and batch.lies_cold else None
        for out in batch.outs:
            if out.gone or out.to is Goes.KITCHEN or (not out.noted and (len(planned) > 1 or limit is not None)):
                continue
            use_by = batch.use_by_after(out)
            if use_by is not None and use_by + timedelta(days=GRACE_D) < today:
                yield FruitQuestion.USED, use_by, batch
            ready = out.ready.likely if out.ready is not None and use_by is None else None
            if ready is not None and ready + timedelta(days=RIPE_LIES_D + GRACE_D) < today:
                yield FruitQuestion.RIPE, ready, batch  # nobody knows how long it stays good
        if planned and limit is not None and limit + timedelta(days=GRACE_D) < today:
            yield FruitQuestion.STILL_COLD, limit, batch


def _of_the_tree(season: Season, lot: Lot, limb: Cultivar) -> Iterator[tuple[FruitQuestion, date, None]]:
    """Yield the last freeze that is over, if fruit hung in it and nobody has said a word of it since."""
    freeze = freeze_past(season.holding, season.as_of, lot.bearing.tree, limb.traits)
    if freeze is None or lot.days[Stage.PICK].earliest > freeze.record.day + timedelta(days=ASKED_FOR_D):
        return
    hung = any(not batch.picked_noted for batch in lot.batches)
    told = PICKINGS | {Happening.LOST, Happening.NO_CROP, Happening.PART_CROP, Happening.LIGHT_CROP, Happening.NOTE}
    answered = any(
        record.what in told and record.day >= freeze.record.day for record in records_of(season, lot.bearing)
    )
    if hung and not answered:
        yield FruitQuestion.FROZEN, freeze.record.day, None
