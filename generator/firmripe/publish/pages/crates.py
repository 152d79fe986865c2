"""How full a space gets, as crates week by week: finished numbers for a drawing, with the same in words."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from fractions import Fraction

from firmripe.harvest.lots import Batch, loads_of, room_loads_of
from firmripe.harvest.spaces import Load, share_of
from firmripe.holding.place import Place, Space
from firmripe.publish.views import View
from firmripe.words import short_day, short_month


class CrateWeek(View, frozen=True, kw_only=True):
    """A week of a space: where its stack stands, and the outlines of its crates, those that don't fit apart."""

    x: int
    y: int
    day: str
    month: str
    count: str
    is_over: bool
    crates: str
    over: str


class Crates(View, frozen=True, kw_only=True):
    """How full a space gets, week by week; `full` is the line up to which crates fit, `words` tell the same."""

    full: int
    full_text: str
    weeks: tuple[CrateWeek, ...]
    words: str


WEEKS = 12
STEP, WIDE, BASE, ROOM = 29, 24, 112, 88
"""From week to week, how wide a crate is, where the lowest stands, and how high all may be; in the drawing's units."""
MOST_DRAWN = 40
"""Where more boxes lie than these nothing is drawn: nobody counts so many in a picture."""
_TALL, _SLAT = 13, 8
"""How high a crate is at most, and how low it is when its slats would run together; in the drawing's units."""
_ALMOST = Fraction(1, 20)
"""So small a part of a box is none."""


def crates_of(space: Space, batches: Iterable[Batch], place: Place, first: date) -> Crates | None:
    """Return the boxes that lie in a space at the fullest of each week from a day on, by the middle of each weight.

    Its words say so where fruit lies there too of which nobody knows how many it fills. None where the space is not
    measured in boxes, where nothing comes to lie there in these weeks, or too much to draw.
    """
    tongue, holds = place.tongue, space.capacity
    if holds is None or holds.measure != "box":
        return None
    lying, fit = _lying(space, batches), holds.low
    loads = [(load, share) for load in lying if (share := share_of(load, space, place))]
    boxes = [_boxes(loads, first + timedelta(weeks=week), fit) for week in range(WEEKS)]
    counts = [math.ceil(lie - _ALMOST) for lie in boxes]
    most = max(*counts, math.ceil(fit))
    if not any(counts) or most > MOST_DRAWN:
        return None
    tall = min(_TALL, ROOM / most)
    weeks = []
    for at, (count, lie) in enumerate(zip(counts, boxes, strict=True)):
        is_over = lie > fit + _ALMOST
        fitting = min(count, int(fit)) if is_over else count
        day, x = first + timedelta(weeks=at), 4 + at * STEP
        weeks.append(
            CrateWeek(
                x=x + WIDE // 2,
                y=round(BASE - count * tall) - 5,
                day=str(day.day),
                month=short_month(tongue, day.month) if at == 0 or day.day <= 7 else "",
                count=str(count),
                is_over=is_over,
                crates=_stack(x, range(fitting), tall),
                over=_stack(x, range(fitting, count), tall),
            )
        )
    return Crates(
        full=round(BASE - float(fit) * tall),
        full_text=tongue.plural("{n:g} fits", "{n:g} fit", float(fit)),
        weeks=tuple(weeks),
        words=_words(space, place, first, lying, counts),
    )


def _words(space: Space, place: Place, first: date, lying: Iterable[Load], counts: Iterable[int]) -> str:
    """Say how many boxes lie in a space week by week, and that others may, where nobody knows how many fruit fills."""
    tongue, end = place.tongue, first + timedelta(weeks=WEEKS)
    words = tongue.say(
        "Boxes at the fullest of each week from {day} on: {counts}.",
        day=short_day(tongue, first),
        counts=", ".join(map(str, counts)),
    )
    meant = (load for load in lying if load.first < end and load.last >= first)
    if all(share_of(load, space, place) is not None for load in meant):
        return words
    return words + " " + tongue.say("Not among them is fruit of which nobody knows how many boxes it fills.")


def _lying(space: Space, batches: Iterable[Batch]) -> list[Load]:
    """Return what comes to lie in a space."""
    return [load for b in batches for load in (*loads_of(b), *room_loads_of(b)) if load.space == space.name]


def _boxes(loads: Sequence[tuple[Load, Fraction]], first: date, fit: Fraction) -> Fraction:
    """Return how many boxes lie in a space on the fullest day of a week; loads have their part of what fits."""
    most = max(
        sum((share for load, share in loads if load.first <= day <= load.last), start=Fraction(0))
        for day in (first + timedelta(days=at) for at in range(7))
    )
    return most * fit


def _stack(x: int, places: Iterable[int], tall: float) -> str:
    """Return the outlines of crates that stand at these places above each other."""
    slats = f"M{{}} {{:g}}h{WIDE}" if tall > _SLAT else ""
    return "".join(
        (f"M{x} {BASE - (at + 1) * tall:g}h{WIDE}v{tall:g}h-{WIDE}z" + slats.format(x, BASE - (at + 0.5) * tall))
        for at in places
    )
