"""A place's table of dates beside all that is printed for other places: what fits, and what can hardly be meant."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence

from msgspec import Struct

from firmripe.holding.fruit import Cultivar, Event, Fruit, Window
from firmripe.season.carrying import Carrying, Prediction, spot_of
from firmripe.season.climates import Climates
from firmripe.season.printed import Printed, nearest_turn, printed_window

ODD = 2.5
"""Spreads. A date farther off is asked about: of dates that are right about one in eighty is."""


class JudgedDate(Struct, frozen=True, kw_only=True):
    """A date beside what the others say of it.

    `error_d` is how many days later it is than they say (below 0: sooner), `spread_d` how sure that is (one standard
    deviation); both are None where nothing else is printed.
    """

    row: Printed
    window: Window
    error_d: float | None = None
    spread_d: float | None = None

    @property
    def is_odd(self) -> bool:
        """Whether it can hardly be meant."""
        return self.error_d is not None and self.spread_d is not None and abs(self.error_d) > ODD * self.spread_d


class PickOrder(Struct, frozen=True, kw_only=True):
    """Two picks of one fruit in the table: how many days the second comes after the first, and elsewhere."""

    first: JudgedDate
    second: JudgedDate
    apart_d: float
    elsewhere_d: float
    spread_d: float

    @property
    def is_odd(self) -> bool:
        """Whether the two can hardly stand in this order."""
        return abs(self.apart_d - self.elsewhere_d) > ODD * self.spread_d


def rows_of(windows: Iterable[tuple[Window, Cultivar | Fruit]]) -> list[Printed]:
    """Return the windows of a table, each with whose it is, as rows of the table of all that is printed."""
    return [printed_window(window, of) for window, of in windows]


def judge(
    rows: Sequence[Printed], table: Sequence[Printed], climates: Climates
) -> tuple[tuple[JudgedDate, ...], tuple[PickOrder, ...]]:
    """Judge each row by a table that leaves out its place, and each two picks of one fruit by what parts them there.

    The days of a warmer or colder ground are carried there by its usual warmth. Orders are told that are odd though
    neither of their dates is by itself.
    """
    carrying = Carrying([row for row in table if not _is_of(row, rows)], climates)
    told = [(row, _told(carrying, row, climates)) for row in rows]
    judged = tuple(_judged(carrying, row, one) for row, one in told)
    orders = [
        order
        for (one, first), (other, second) in itertools.combinations(zip(judged, (t for _, t in told), strict=True), 2)
        if first and second and (order := _order(carrying, (one, first), (other, second))) is not None
    ]
    sound = (order for order in orders if not (order.first.is_odd or order.second.is_odd))
    return judged, tuple(order for order in sound if order.is_odd)


def _is_of(row: Printed, rows: Iterable[Printed]) -> bool:
    names = {other.window.place_name for other in rows if other.window}
    grounds = {other.ground for other in rows}
    return row.window is not None and (row.window.place_name in names or row.ground in grounds)


def _told(carrying: Carrying, row: Printed, climates: Climates) -> Prediction | None:
    if row.ground is None:
        return None
    return carrying.predict(row.later, spot_of(climates.of(row.ground, row.half), row.ground))


def _judged(carrying: Carrying, row: Printed, told: Prediction | None) -> JudgedDate:
    assert row.window is not None  # noqa: S101 - a table holds windows alone
    if told is None:
        return JudgedDate(row=row, window=row.window)
    spread = math.sqrt(carrying.between(told, told) + (told.breadth * row.spread_d) ** 2)
    return JudgedDate(row=row, window=row.window, error_d=nearest_turn(row.day - told.day, 0.0), spread_d=spread)


def _order(
    carrying: Carrying, one: tuple[JudgedDate, Prediction], other: tuple[JudgedDate, Prediction]
) -> PickOrder | None:
    """Return two picks of one fruit as the table has them and as others have; None where they are of different ones."""
    (first, told), (second, beside) = one, other
    later, earlier = second.row.later, first.row.later
    if (later.fruit, later.event) != (earlier.fruit, Event.PICK) or earlier.event is not Event.PICK:
        return None
    if not (later.cultivar and earlier.cultivar) or later == earlier:
        return None
    apart = carrying.between(told, told) + carrying.between(beside, beside) - 2 * carrying.between(told, beside)
    return PickOrder(
        first=first,
        second=second,
        apart_d=nearest_turn(second.row.day - first.row.day, 0.0),
        elsewhere_d=nearest_turn(beside.day - told.day, 0.0),
        spread_d=math.sqrt(max(apart, 0.0) + first.row.spread_d**2 + second.row.spread_d**2),
    )
