"""How long picked fruit keeps where it lies: a published limit holds at its own temperature, and never beyond.

A warmer place takes from it by a published rule where there is one. Where there is none no day is given: what is
printed for a cold room says nothing of a cellar. A colder place never makes it longer.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from datetime import date, timedelta

from msgspec import Struct

from firmripe.days import DayCount
from firmripe.harvest.spaces import COLD_C
from firmripe.holding.figures import Figure, Mark
from firmripe.holding.fruit import Cultivar
from firmripe.holding.place import Space
from firmripe.season.estimate import Reach
from firmripe.units import Interval

ROOM_C = 0.3
"""A place so much (°C) warmer than a limit was printed for is still like it: half a °F, for rounding. J."""
REFRIGERATOR_C = 5.0
"""A limit whose source names no temperature is taken for a refrigerator's, and no warmer place's (°C). J."""
MOST_D = 400
"""No fruit is followed longer than this (days)."""
_WHOLE_LIFE = 1 - 1e-9
"""What is used up of its life when it is over: parts of a day that are left by rounding are none."""


class Kept(Struct, frozen=True, kw_only=True):
    """Fruit keeps until then, by a figure; `warmer` is the rule that shortened it, where one did."""

    until: Reach
    figure: Figure[DayCount]
    warmer: bool = False


class NotPrintedForSpace(Struct, frozen=True, kw_only=True):
    """Nothing is printed for where it lies: `space_c` is how warm that is (None: nobody has said), on `day`."""

    figure: Figure[DayCount]
    space_c: float | None
    day: date


def limit_at(limb: Cultivar, space_c: float) -> tuple[DayCount, Figure[DayCount], bool] | None:
    """Return how many days a cultivar keeps at a temperature (°C), by which figure, and whether a rule shortened it.

    Of the published figures the cultivar's own goes first, then its fruit's, whichever is printed for a place as warm;
    it is never longer than the first. A household's own days, of the cultivar before its fruit's, go before a range
    that is printed for so cold a place, up to its greatest value, and only shorten what a rule leaves of one; where
    nothing is published, they hold for its cold rooms.
    """
    kinds = [limb.traits, *([limb.fruit.traits] if limb.fruit else [])]
    published = [figure for traits in kinds if (figure := traits.published_limit) is not None]
    words = [traits.keeps for traits in kinds if traits.keeps is not None and traits.keeps.cited.mark is Mark.OWN]
    if not published:
        warm_enough = next((word for word in words if _is_printed_for(word, space_c)), None)
        return (_least(warm_enough.value, words[0].value), warm_enough, False) if warm_enough else None
    found = _as_published(published, limb.traits.warmer_storage, space_c)
    if found is None or not words:
        return found
    (limit, _figure, by_rule), word = found, words[0]
    if by_rule:
        return (_least(word.value, limit), word, True) if word.value.high < limit.high else found
    within = DayCount(low=min(word.value.low, limit.high), high=min(word.value.high, limit.high))
    return within, word, False


def _as_published(
    published: Sequence[Figure[DayCount]], rule: Figure[Interval] | None, space_c: float
) -> tuple[DayCount, Figure[DayCount], bool] | None:
    first = published[0]
    for figure in published:
        if _is_printed_for(figure, space_c):
            return _least(figure.value, first.value), figure, False
    if rule is not None and rule.at_c is not None and space_c <= rule.at_c.high + ROOM_C:
        shorter = DayCount(low=first.value.low / rule.value.high, high=first.value.high / rule.value.low)
        return shorter, first, True
    return None


def _is_printed_for(figure: Figure[DayCount], space_c: float) -> bool:
    if figure.at_c is None:
        warmest = COLD_C if figure.cited.mark is Mark.OWN else REFRIGERATOR_C
        return space_c <= warmest + ROOM_C
    return space_c <= figure.at_c.high + ROOM_C


def _least(one: DayCount, other: DayCount) -> DayCount:
    return DayCount(low=min(one.low, other.low), high=min(one.high, other.high))


def kept_until(limb: Cultivar, picked: Reach, space: Space) -> Kept | NotPrintedForSpace | None:
    """Return until when fruit picked then keeps in a space; None where no limit is known at all.

    Each day uses up its part of the life that it would have at the temperature of that day.
    """
    own = limb.traits.keeps
    if own is None:
        return None
    least = _used_up(limb, picked.earliest, space, lambda limit: limit.low)
    usual = _used_up(limb, picked.likely, space, lambda limit: limit.middle)
    most = _used_up(limb, picked.latest, space, lambda limit: limit.high)
    for day in (least, usual, most):
        if isinstance(day, NotPrintedForSpace):
            return day
    first = space.at(picked.likely)
    found = limit_at(limb, first) if first is not None else None
    if not isinstance(least, date) or not isinstance(usual, date) or not isinstance(most, date) or found is None:
        return None
    return Kept(until=Reach(earliest=least, likely=usual, latest=most), figure=found[1], warmer=found[2])


def _used_up(limb: Cultivar, since: date, space: Space, part: Callable[[DayCount], float]) -> date | NotPrintedForSpace:
    """Return the day on which the life of fruit that lies in a space since a day is used up."""
    used, day, end = 0.0, since, since + timedelta(days=MOST_D)
    while used < _WHOLE_LIFE and day < end:
        at = space.at(day)
        found = limit_at(limb, at) if at is not None else None
        if found is None:
            own = limb.traits.keeps
            if own is None:
                break
            return NotPrintedForSpace(figure=own, space_c=at, day=day)
        of_a_day = 1 / max(part(found[0]), 1e-9)
        as_warm = (min(space.as_warm_until(day), end) - day).days
        days = min(as_warm, math.ceil((_WHOLE_LIFE - used) / of_a_day))
        used += days * of_a_day
        day += timedelta(days=days)
    return day
