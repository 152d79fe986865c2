"""What comes next for a crop, and why it is picked when it is, in plain sentences; the figures stand elsewhere."""

from __future__ import annotations

from typing import Final

from firmripe.harvest.lots import Lot
from firmripe.harvest.passes import has_no_next_day
from firmripe.holding.fruit import Event
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.publish.views import View
from firmripe.season.estimate import Dated, Estimate, Reach, Reason
from firmripe.season.season import Season
from firmripe.tongue import Tongue, mark
from firmripe.wording import words_of
from firmripe.wording.causes import cause_words
from firmripe.words import between, far_day, week_day


class NextDate(View, frozen=True, kw_only=True):
    """What comes next for a crop: what and when, how sure that is, and a stamp where something presses.

    `iso` is empty where nothing tells the day.
    """

    text: str
    iso: str
    sure: str
    stamp: str


LEAST_D = 1.0
"""What moves a date by less than a day is not worth a word; all of it stands among the figures. J."""
MOST_CAUSES = 3

_BY_TEST: Final = mark("Pick again, by test")
_AFTER: Final = (
    (Stage.TAKE_OUT, mark("Take out of the cold {day}")),
    (Stage.READY, mark("Ripe {day}")),
    (Stage.USE_BY, mark("Use by {day}")),
    (Stage.KEEP_UNTIL, mark("Take out the last {day}")),
)


def next_date(season: Season, bearing: Bearing, lot: Lot | None) -> NextDate | None:
    """Return what comes next for a crop: its pick until that is noted, then the days of its fruit; None after these."""
    tongue = season.holding.place.tongue
    pick = season.of(bearing, Event.PICK)
    if not isinstance(pick, Estimate):
        return None
    if not pick.is_over:
        stamp = tongue.say("rough date") if pick.rough else ""
        if pick.likely < season.as_of:
            stamp = tongue.say("due since {day}", day=week_day(tongue, pick.likely))
        elif pick.likely == season.as_of:
            stamp = tongue.say("due today")
        return _next(tongue, tongue.say("Pick {day}", day=week_day(tongue, pick.likely)), pick.reach, stamp)
    following = _following(season, lot)
    if following is not None:
        return following
    for stage, text in _AFTER:
        reach = lot.days.get(stage) if lot and (lot.lies_cold or stage is not Stage.TAKE_OUT) else None
        if reach is not None and reach.likely >= season.as_of:
            said = tongue.term(text).format(day=far_day(tongue, reach.likely, season.as_of))
            return _next(tongue, said, reach, tongue.say("today") if reach.likely == season.as_of else "")
    return None


def _following(season: Season, lot: Lot | None) -> NextDate | None:
    """Return the picking that follows on those noted, on whatever day its test says; None where all is picked."""
    tongue = season.holding.place.tongue
    if lot is not None and has_no_next_day(season, lot.bearing, lot.pickings):
        stamp = tongue.say("more hangs")
        return NextDate(text=tongue.term(_BY_TEST), iso="", sure="", stamp=stamp)
    picking = next((one for one in lot.pickings if not one.noted), None) if lot else None
    if picking is None:
        return None
    late = tongue.say("due since {day}", day=week_day(tongue, picking.due)) if picking.due < season.as_of else ""
    stamp = late or (tongue.say("due today") if picking.due == season.as_of else "")
    reach = Reach(earliest=picking.due, likely=picking.due, latest=max(picking.due, picking.day.latest))
    return _next(tongue, tongue.say("Pick again {day}", day=week_day(tongue, picking.due)), reach, stamp)


def _next(tongue: Tongue, text: str, reach: Reach, stamp: str) -> NextDate:
    window = between(tongue, reach.earliest, reach.latest)
    sure = tongue.say("Eight years in ten {window}.", window=window) if window else ""
    return NextDate(text=text, iso=reach.likely.isoformat(), sure=sure, stamp=stamp)


def plain_why(tongue: Tongue, dated: Dated | None) -> tuple[str, ...]:
    """Say in three sentences at most why a day is where it is, the strongest causes by name; empty where there is none.

    What was noted needs no why.
    """
    if not isinstance(dated, Estimate) or dated.is_past:
        return ()
    moving = [reason for reason in dated.reasons if reason.days is not None and round(abs(reason.days)) >= LEAST_D]
    later, earlier = (
        sorted((r for r in moving if (r.days or 0) * sign > 0), key=lambda r: -abs(r.days or 0)) for sign in (1, -1)
    )
    said = []
    if later:
        said.append(tongue.say("Later than printed: {causes}.", causes=_causes(tongue, later, later=True)))
    if earlier:
        said.append(tongue.say("Earlier: {causes}.", causes=_causes(tongue, earlier, later=False)))
    if not said:
        first = next((words_of(reason.why, tongue) for reason in dated.reasons if reason.days is None), "")
        return (f"{first.rstrip('.')}.",) if first else ()
    if len(dated.reasons) > len(moving):
        said.append(tongue.say("Nothing else moves it by as much as a day."))
    return tuple(said)


def _causes(tongue: Tongue, reasons: list[Reason], *, later: bool) -> str:
    named = [
        tongue.plural("{cause} ({n} day)", "{cause} ({n} days)", round(abs(reason.days or 0)), cause=cause)
        for reason in reasons[:MOST_CAUSES]
        for cause in [cause_words(tongue, reason.why, later=later)]
    ]
    return "; ".join(named)
