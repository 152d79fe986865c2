"""A batch of fruit in words, for the tree's page and for the store's."""

from __future__ import annotations

from datetime import date

from firmripe.harvest.lots import Batch
from firmripe.holding.task import Stage
from firmripe.holding.weight import NOTHING, Grade, pounds_words
from firmripe.publish.views import BatchLine, Link
from firmripe.saying import _, term
from firmripe.words import short_day, week_day, with_year


def far_day(day: date, as_of: date) -> str:
    """Say a day, with its year where that is another than the plan's."""
    return week_day(day) if day.year == as_of.year else with_year(week_day(day), day.year)


def batch_line(batch: Batch, tree: Link, cultivar: Link, as_of: date, *, metric: bool) -> BatchLine:
    """Return a batch in words: what is left of it, where it lies, and its days from the plan's day on."""
    coming = [out for out in batch.outs if out.day >= as_of] or list(batch.outs)
    out = coming[0]
    ready = out.ready or batch.days.get(Stage.READY)
    use_by = batch.use_by_after(out)
    keep = batch.days.get(Stage.KEEP_UNTIL) if stays_cold(batch) else None
    is_here = batch.picked_noted and batch.picked.likely <= as_of
    left = batch.left(as_of) if is_here and batch.lies_cold else batch.weight
    if left == NOTHING:
        left = batch.outs[-1].weight  # nothing is left in the cold: what came out last is still to be used
    weeks = _(", then each week until {last_out}", last_out=short_day(batch.last_out)) if len(coming) > 1 else ""
    return BatchLine(
        tree=tree,
        cultivar=cultivar,
        what=", ".join(_parts(batch)),
        weight=pounds_words(left, metric=metric) if left is not None else "",
        picked=far_day(batch.picked.likely, as_of),
        picked_iso=batch.picked.likely.isoformat(),
        space=batch.space,
        out=far_day(out.day, as_of) + weeks if batch.lies_cold else "",
        out_iso=out.day.isoformat(),
        room=batch.room,
        ready=far_day(ready.likely, as_of) if ready else "",
        use_by=far_day(use_by, as_of) if use_by else "",
        use_by_iso=use_by.isoformat() if use_by else "",
        keep=far_day(keep.likely, as_of) if keep else "",
        alert=batch.alert if batch.lies_cold else "",
        noted=batch.picked_noted,
    )


def stays_cold(batch: Batch) -> bool:
    """Say whether some of a batch is planned to lie in the cold until its last day there, or nothing takes it out."""
    keep = batch.days.get(Stage.KEEP_UNTIL)
    if keep is None or not batch.lies_cold:
        return False
    return (keep.likely - batch.last_out).days < 7


def _parts(batch: Batch) -> list[str]:
    """Say which part of a tree's fruit a batch is: the crop where there are several, the picking, the grade."""
    crop = [_("{crop} crop", crop=term(batch.bearing.crop))] if batch.bearing.crop else []
    grade = [term(batch.grade.value)] if batch.grade is not Grade.UNSORTED else []
    return [*crop, _("picking {picking}", picking=batch.picking), *grade]
