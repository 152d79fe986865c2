"""The label of a spray: from which day fruit may be picked again."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from firmripe.holding.record import Happening, Record
from firmripe.holding.tree import Bearing


def picking_from(spray: Record) -> date:
    """Return the first day on which a spray lets its fruit be picked.

    The day of the spray counts as day 0, as the reference has it (from memory). The label's re-entry time is separate,
    and both must have passed.
    """
    return spray.day + timedelta(days=max(spray.days_to_harvest or 0, spray.re_entry_d))


def sprays_of(records: Iterable[Record], bearing: Bearing, as_of: date) -> list[Record]:
    """Return the sprays known on a day whose label speaks of a bearing's fruit.

    Of any season, for a December spray still counts in January.
    """
    return [
        record
        for record in records
        if record.what is Happening.SPRAY
        and record.day <= as_of
        and record.is_about(bearing.tree, bearing.cultivar, bearing.crop)
    ]


def free_of_labels(records: Iterable[Record], bearing: Bearing, as_of: date) -> date | None:
    """Return the first day on which every label lets a bearing be picked; None where nothing was sprayed."""
    return max((picking_from(spray) for spray in sprays_of(records, bearing, as_of)), default=None)
