"""The season of one tree to five on one side in 18 points: from when to look, the test, and every later day."""

from __future__ import annotations

import math
from collections.abc import Callable
from collections.abc import Set as AbstractSet
from datetime import date
from itertools import islice
from typing import Final

from msgspec import Struct

from firmripe.holding.fruit import Event
from firmripe.holding.task import Stage, Task
from firmripe.holding.tree import Bearing
from firmripe.plan import Plan
from firmripe.publish.hazards import hazards_of, together
from firmripe.publish.pages.scores import off_words
from firmripe.publish.pages.season_drawing import CHECK
from firmripe.publish.signs import in_turn, is_picking
from firmripe.publish.views import Hazard, View
from firmripe.season.estimate import Estimate
from firmripe.tongue import Tongue, mark
from firmripe.wording.clashes import clash_words
from firmripe.words import of_crop, short_day, week_day


class SlideLine(View, frozen=True, kw_only=True):
    """A printed day, and the same day moved by each shift of the slide table."""

    name: str
    printed: str
    shifted: tuple[str, ...]


class SeasonLine(View, frozen=True, kw_only=True):
    """A crop's days on the sheet of the season, a dash where there is none. `clash` is of a spray's label."""

    tree: str
    name: str
    look: str
    pick: str
    out: str
    ready: str
    use_by: str
    clash: str


class SeasonSheet(View, frozen=True, kw_only=True):
    """One tree to five on one side in 18 points; `tests` are of the crops named before them.

    `heads` are the tags of those still to be picked, whose days `slides` move; `dense`: smaller type is needed.
    """

    lines: tuple[SeasonLine, ...]
    tests: tuple[tuple[str, str], ...]
    heads: tuple[str, ...]
    slides: tuple[SlideLine, ...]
    hazards: tuple[Hazard, ...]
    to_write: tuple[str, ...]
    dense: bool


MOST_TREES: Final = 5
MOST_CROPS: Final = 6
"""A fig bears twice in a season."""
LINES: Final = 31
"""Lines of 18 points that one side of Letter holds, the shorter of the two papers, less headings and rules."""
LONG: Final = 52
"""Characters of such a line."""
STEPS: Final = ((-12, -9, -6, -3, 3, 6, 9, 12), (-9, -6, -3, 3, 6, 9), (-6, -3, 3, 6), (-4, 4))
"""By how many days the picks are moved, with the most rows first: what fits is taken. J."""
MOST_TO_WRITE: Final = 4
_TO_WRITE: Final = (
    mark("Full bloom"),
    mark("Picked"),
    mark("How much"),
    mark("Taken out"),
    mark("Ready"),
    mark("How it was"),
    mark("Last eaten"),
    mark("Lost"),
)


class _Crop(Struct, frozen=True):
    """A crop whose pick is dated, with the days that hang on it."""

    bearing: Bearing
    name: str
    pick: Estimate
    look: date | None
    out: date | None
    ready: date | None
    use_by: date | None


def season_sheet(plan: Plan) -> SeasonSheet | None:
    """Return the sheet; None where no crop has a pick, or more have one than a side holds in this size.

    Cautions and tests are whole on it: rows that move the dates give way to them, and lines to write on.
    """
    tongue = plan.holding.place.tongue
    dated = [bearing for bearing in plan.season.bearings if plan.season.bears(bearing)]
    if not dated or len(dated) > MOST_CROPS or len({bearing.tree for bearing in dated}) > MOST_TREES:
        return None
    crops = [crop for bearing in dated if (crop := _crop(plan, bearing)) is not None]
    tests, hazards = _tests(plan, crops), _hazards(plan, crops)
    texts = [f"{name}: {text}" for name, text in tests] + [f"{h.word}. {' '.join(h.texts)}" for h in hazards]
    fixed = 1 + 2 * len(crops) + sum(math.ceil(len(text) / LONG) for text in texts)
    open_crops = [crop for crop in crops if not crop.pick.is_past and crop.bearing not in plan.over]
    steps = next((s for s in STEPS if fixed + len(s) + 4 <= LINES), STEPS[-1]) if open_crops else ()
    left = LINES - fixed - (len(steps) + 3 if steps else 0)
    return SeasonSheet(
        lines=tuple(_line(tongue, crop) for crop in crops),
        tests=tests,
        heads=tuple(f"{crop.bearing.tree}{of_crop(tongue, crop.bearing.crop)}" for crop in open_crops),
        slides=tuple(_slide(tongue, open_crops, days) for days in sorted((*steps, 0))) if steps else (),
        hazards=hazards,
        to_write=tuple(
            tongue.term(word) for word in islice(_TO_WRITE, 2 * max(0, min(MOST_TO_WRITE, (left - 1) // 2)))
        ),
        dense=fixed + len(STEPS[-1]) + 4 > LINES,
    )


def _crop(plan: Plan, bearing: Bearing) -> _Crop | None:
    pick, lot = plan.season.of(bearing, Event.PICK), plan.lots.get(bearing)
    if not isinstance(pick, Estimate):
        return None
    days = {stage: reach.likely for stage, reach in plan.days_of(bearing).items()}
    out = days.get(Stage.TAKE_OUT) if lot and lot.lies_cold else None
    return _Crop(
        bearing=bearing,
        name=f"{plan.holding.limb(bearing).name}{of_crop(plan.holding.place.tongue, bearing.crop)}",
        pick=pick,
        look=min(plan.calendar.days_of(CHECK, bearing), default=None),
        out=out if out and out > pick.likely else None,
        ready=days.get(Stage.READY),
        use_by=days.get(Stage.USE_BY),
    )


def _line(tongue: Tongue, crop: _Crop) -> SeasonLine:
    def said(day: date | None) -> str:
        return short_day(tongue, day) if day else "–"

    pick = (
        tongue.say("picked {day}", day=short_day(tongue, crop.pick.likely))
        if crop.pick.is_past
        else week_day(tongue, crop.pick.likely)
    )
    return SeasonLine(
        tree=crop.bearing.tree,
        name=crop.name,
        look=said(crop.look),
        pick=pick,
        out=said(crop.out),
        ready=said(crop.ready),
        use_by=said(crop.use_by),
        clash=clash_words(tongue, crop.pick),
    )


def _slide(tongue: Tongue, crops: list[_Crop], days: int) -> SlideLine:
    """Return the picks of a season that runs so many days early or late."""
    return SlideLine(
        name=off_words(tongue, days) if days else tongue.say("as printed"),
        printed="",
        shifted=tuple(short_day(tongue, crop.pick.moved(days)) for crop in crops),
    )


def _tests(plan: Plan, crops: list[_Crop]) -> tuple[tuple[str, str], ...]:
    """Return the first test of each crop, and how fruit that ripens after the pick is known to be ready."""
    found: dict[str, dict[str, None]] = {}
    for crop in crops:
        signs = in_turn(plan.holding.limb(crop.bearing).traits.signs)
        for ripe in (False, True):
            text = next(
                (plan.holding.place.tongue.term(sign.text).rstrip(".") for sign in signs if sign.of_ripe is ripe), ""
            )
            if text:
                found.setdefault(text, {})[crop.name] = None
    return tuple((", ".join(names), text) for text, names in found.items())


def _hazards(plan: Plan, crops: list[_Crop]) -> tuple[Hazard, ...]:
    grown = {crop.bearing for crop in crops}
    return hazards_at(plan, grown, lambda task: task.key == CHECK or is_picking(task))


def hazards_at(plan: Plan, grown: AbstractSet[Bearing], is_meant: Callable[[Task], bool]) -> tuple[Hazard, ...]:
    """Return what can hurt in those of a plan's jobs that are meant, as far as they are about some crops."""
    tongue = plan.holding.place.tongue
    tasks: dict[str, tuple[Task, dict[Bearing, None]]] = {}
    for entry in plan.calendar.entries:
        if is_meant(entry.task) and (about := grown & {*entry.bearings}):
            _, bearings = tasks.setdefault(entry.task.key, (entry.task, {}))
            bearings.update(dict.fromkeys(about))
    told = (plan.holding.needed_for(task.cautions, bearings) for task, bearings in tasks.values())
    return together(tongue, (hazard for cautions in told for hazard in hazards_of(tongue, cautions)))
