"""The label of a spray: from which day fruit may be picked again."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from firmripe.days import WorkingYear
from firmripe.holding.record import Happening, Record
from firmripe.holding.tree import Bearing


def picking_from(spray: Record) -> date:
    """Return the first day on which a spray lets its fruit be picked.

    The day of the spray counts as day 0, as the reference has it (from memory). The label's re-entry time is separate,
    and both must have passed.
    """
    return spray.day + timedelta(days=max(spray.days_to_harvest or 0, spray.re_entry_d))


OVER_AFTER_D = 60
"""So long after the last day on which fruit might be picked none of it hangs any more, and a spray or a freeze is about
the next crop (our judgement, wide: who is late still waits for the label)."""


def sprays_of(records: Iterable[Record], bearing: Bearing, as_of: date, until: date) -> list[Record]:
    """Return the sprays known on a day, up to another, whose label speaks of a bearing's fruit.

    Of any season, for a December spray still counts in January. `until` is `hanging_until` of its crop.
    """
    return [
        record
        for record in records
        if record.what is Happening.SPRAY
        and record.day <= min(as_of, until)
        and record.is_about(bearing.tree, bearing.cultivar, bearing.crop)
    ]


def free_of_labels(records: Iterable[Record], bearing: Bearing, as_of: date, until: date) -> date | None:
    """Return the first day on which every label lets a bearing be picked; None where nothing was sprayed."""
    return max((picking_from(spray) for spray in sprays_of(records, bearing, as_of, until)), default=None)


def hanging_until(year: WorkingYear, latest: date) -> date:
    """Return the last day on which a season's crop might still hang, if `latest` is the latest day to pick it."""
    return max(year.last, latest + timedelta(days=OVER_AFTER_D))
