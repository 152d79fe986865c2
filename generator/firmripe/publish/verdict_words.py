"""What verdicts on fruit taught the plan, and what it asks about them, in words."""

from __future__ import annotations

from collections.abc import Iterable

from firmripe.holding.holding import Holding
from firmripe.holding.record import Happening
from firmripe.holding.tree import Bearing
from firmripe.holding.verdict import Cause, Fault
from firmripe.reading.lines import row_of
from firmripe.season.season import Season
from firmripe.season.verdicts import COLD_STEP_D, LONG_COLD, PICK_OFF_D, PICK_OFF_SPREAD_D, Judged
from firmripe.tongue import Tongue
from firmripe.words import days_words, of_crop, short_day, with_year


def taught(season: Season, bearing: Bearing) -> tuple[str, ...]:
    """Say of each fault with one cause left what its days were and what the plan makes of it, oldest first."""
    return tuple(
        _lesson(season.holding.place.tongue, one)
        for one in season.verdicts.get(bearing, ())
        if one.faults and one.cause is not None
    )


def open_verdicts(season: Season, tag: str) -> list[Judged]:
    """Return the verdicts on a tree's fruit that leave a question."""
    return [one for b in season.holding.tree(tag).bearings for one in season.verdicts.get(b, ()) if one.asks]


def _lesson(tongue: Tongue, one: Judged) -> str:
    told = tongue.say(
        "{day}: {faults}, {days}; of its causes this leaves: {cause}.",
        day=_day(tongue, one),
        faults=_faults(tongue, one.faults),
        days=_days(tongue, one),
        cause=tongue.term(one.cause.value) if one.cause else "",
    )
    if one.is_cause_told:
        told = tongue.say(
            "{day}: {faults}, {days}; you say: {cause}.",
            day=_day(tongue, one),
            faults=_faults(tongue, one.faults),
            days=_days(tongue, one),
            cause=tongue.term(one.cause.value) if one.cause else "",
        )
    return f"{told} {_effect(tongue, one)}"


def _effect(tongue: Tongue, one: Judged) -> str:
    """Say what the plan makes of a verdict."""
    if one.pick_off_d:
        off, give = days_words(tongue, round(abs(one.pick_off_d))), PICK_OFF_SPREAD_D
        if one.pick_off_d < 0:
            return tongue.say("The plan takes that pick as {off} too late, give or take {give:g}.", off=off, give=give)
        return tongue.say("The plan takes that pick as {off} too early, give or take {give:g}.", off=off, give=give)
    if one.cause is Cause.SHORT_COLD and Fault.HARD in one.faults and one.cold_d is not None:
        return tongue.say(
            "If that was as much as is told, {more} more are tried; if it was less, the days told stay.",
            more=days_words(tongue, COLD_STEP_D),
        )
    if one.cause is Cause.LONG_COLD and one.cold_d:
        kept = days_words(tongue, round(LONG_COLD * one.cold_d))
        return tongue.say("The plan takes it as having kept for {kept}, and never past what is published.", kept=kept)
    if one.cause is Cause.LONG_COUNTER:
        return tongue.say("That season speaks for no more days on the counter than are printed.")
    return tongue.say("No date moves by it.")


def question(holding: Holding, one: Judged) -> str:
    """Ask why fruit failed."""
    tongue = holding.place.tongue
    name = holding.limb(one.bearing).name + of_crop(tongue, one.bearing.crop)
    head = tongue.say(
        "{name}, {day}: {faults}, {days}.",
        name=name,
        day=_day(tongue, one),
        faults=_faults(tongue, one.faults),
        days=_days(tongue, one),
    )
    if not one.causes:
        return tongue.say("{head} Nothing in its days accounts for that. What was it?", head=head)
    causes = ", ".join(tongue.term(cause.value) for cause in one.causes)
    return tongue.say(
        "{head} Which was it: {causes}? Note the verdict again with the cause, and the plan learns from it.",
        head=head,
        causes=causes,
    )


def answer(tongue: Tongue, one: Judged, subject: str) -> str:
    """Return the line that names a cause; where it was another, that is written in its place."""
    word = ", ".join(tongue.term(said.value) for said in (*one.faults, *one.causes[:1]))
    cells = {
        "date": one.record.day.isoformat(),
        "tree": subject,
        "what": tongue.term(Happening.VERDICT.value),
        "note": word,
    }
    return row_of(cells, ("date", "tree", "what", "note"))


def _day(tongue: Tongue, one: Judged) -> str:
    return with_year(tongue, short_day(tongue, one.record.day), one.record.day.year)


def _faults(tongue: Tongue, faults: Iterable[Fault]) -> str:
    return ", ".join(tongue.term(fault.value) for fault in faults)


def _days(tongue: Tongue, one: Judged) -> str:
    """Say what days the fruit had."""
    said = [tongue.say("picked {day}", day=short_day(tongue, one.picking.day)) + _against(tongue, one)]
    if one.cold_d is not None:
        said.append(tongue.say("{days} in the cold", days=days_words(tongue, one.cold_d)))
    if one.counter_d is not None:
        said.append(tongue.say("tried {days} after it came out", days=days_words(tongue, one.counter_d)))
    return ", ".join(said)


def _against(tongue: Tongue, one: Judged) -> str:
    """Say how far a pick lay from the day on which it was to be looked for."""
    off = (one.picking.day - one.looked_for).days if one.looked_for else 0
    if off > 0:
        return tongue.say(", {days} later than expected", days=days_words(tongue, off))
    return tongue.say(", {days} earlier than expected", days=days_words(tongue, -off)) if off < 0 else ""


def prior_words(tongue: Tongue) -> str:
    """Say what is taken for granted of a pick that failed, before own years say more."""
    return tongue.say(
        "Picking is right for 4 to 10 days (Washington State University, 1988), so a pick that failed is taken as "
        "{off:g} days off, give or take {give:g}, until more years speak; what is printed of cold and counter counts "
        "as one year beside your own. Strike a verdict from the records, and what it taught is gone.",
        off=PICK_OFF_D,
        give=PICK_OFF_SPREAD_D,
    )
