"""How long a household says that something keeps, beside what is published of it."""

from __future__ import annotations

from collections.abc import Callable

from msgspec.structs import replace

from firmripe.days import DayCount, parse_day_count
from firmripe.holding.figures import Figure, Mark
from firmripe.reading.bounds import within
from firmripe.reading.fields import SHELF, Fields
from firmripe.tongue import mark

KEEPS_FRUIT = within(parse_day_count, 0, 550, "fresh fruit keeps from 0 to 550 days")


def only_shortened(
    fields: Fields, limit: Figure[DayCount] | None, parse: Callable[[str], DayCount]
) -> Figure[DayCount] | None:
    """Read how long what is put up keeps; where the shelf has a limit, a longer one of the household's is a problem."""
    keeps = fields.figure("keeps", parse)
    if keeps and limit and keeps.value.high > limit.value.high:
        _refuse(fields, keeps, limit)
    return keeps


CUT = mark("cut to the most that is published")


def keeps_within(
    fields: Fields, keeps: Figure[DayCount] | None, limit: Figure[DayCount] | None, *, strict: bool
) -> Figure[DayCount] | None:
    """Return how long fresh fruit keeps by a note; what is published is never made longer.

    `strict` says that the limit is that very cultivar's. Longer than such a one that was read in its source is a
    problem. Longer than a fruit's, or than one that is known less well, is asked about and cut to its greatest value.
    """
    on_shelf = fields.has("keeps") and fields.place_of("keeps").file.startswith(SHELF)
    if keeps is None or limit is None or on_shelf or keeps.value.high <= limit.value.high:
        return keeps
    if strict and limit.cited.mark is Mark.READ:
        _refuse(fields, keeps, limit)
        return keeps
    most = limit.value.high
    days = f"{most:g} days"
    message = f'"{keeps.text}" is longer than the published {limit.text}, so it counts as {days}'
    fields.ask("keeps", message, f"write {days} or less; what is published is never made longer")
    cut = DayCount(low=min(keeps.value.low, most), high=most)
    return replace(keeps, value=cut, text=days, note=CUT)


def _refuse(fields: Fields, keeps: Figure[DayCount], limit: Figure[DayCount]) -> None:
    message = f'"{keeps.text}" is longer than the published limit of {limit.text}'
    fields.fault("keeps", message, "a household may only shorten how long something is kept")
