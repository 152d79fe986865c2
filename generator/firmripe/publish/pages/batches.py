"""A batch of fruit in words, for the tree's page and for the store's."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta

from msgspec import Struct
from msgspec.structs import replace

from firmripe.harvest.allotting import CLAIMED
from firmripe.harvest.because import ForWant
from firmripe.harvest.lots import GRACE_D, Batch, Out, lying_parts
from firmripe.harvest.shares import house_parts
from firmripe.holding.task import Stage
from firmripe.holding.weight import NOTHING, Grade, Weight, together, total
from firmripe.publish.job_amounts import parts_words
from firmripe.publish.pages.context import PageContext
from firmripe.publish.views import Link, View
from firmripe.tongue import Tongue
from firmripe.wording import words_of
from firmripe.wording.harvest import alert_words
from firmripe.wording.holding import weight_words
from firmripe.words import far_day, round_words, short_day


class BatchLine(View, frozen=True, kw_only=True):
    """One grade of one picking, from the tree to the day it is used.

    `houses` is each house's part of what is left of it, where it is divided by shares and lies together.
    `step` says how far it has come: look, pick, cold, counter or eat; `doing` what is next, `story` its other days.
    It is `overdue` when its pick should have been by now and nobody noted it.
    """

    tree: Link
    cultivar: Link
    what: str
    weight: str
    picked: str
    picked_iso: str
    space: str
    out: str
    out_iso: str
    room: str
    ready: str
    use_by: str
    use_by_iso: str
    keep: str
    alert: str
    noted: bool
    overdue: bool
    step: str
    doing: str
    story: str
    houses: str = ""


_FirstAndLast = tuple[date | None, date | None]
_SOON_D = 7
"""Fruit to be picked within so many days is said to be at the pick. J."""


def ripe_parts(batch: Batch, today: date) -> Iterator[Batch]:
    """Yield what of a batch has come out and is ready by a day, each part as a batch of its own."""
    for part in lying_parts(batch, today):
        for out in part.outs:
            ready = part.ready_after(out)
            if out.gone or ready is None or max(out.day, ready.likely) > today:
                continue
            use_by = part.use_by_after(out)
            if use_by is None or use_by >= today - timedelta(days=GRACE_D):
                yield replace(part, outs=(out,), weight=part.weight if out.weight is None else out.weight)


def still_to_ripen(batch: Batch, today: date) -> bool:
    """Say whether some of a batch is not out and ready by a day, or has no day on which it is."""
    ready = ((out, batch.ready_after(out)) for out in batch.outs if not out.gone)
    return any(reach is None or max(out.day, reach.likely) > today for out, reach in ready)


def batch_line(tongue: Tongue, batch: Batch, tree: Link, cultivar: Link, as_of: date) -> BatchLine:
    """Return a batch in words: what is left of it, where it lies, and its days from the plan's day on."""
    still = [out for out in batch.outs if not out.gone] or list(batch.outs)
    coming = [out for out in still if out.day >= as_of] or still
    cold = [out for out in coming if out.day > batch.picked.likely] or coming
    first, days = cold[0], _days_of(batch, coming, as_of)
    days = replace(days, out=first.day if batch.lies_cold else None)
    at_once = [out for out in coming if out not in cold]
    straight, parts = straight_words(tongue, batch, at_once), [*([at_once] if at_once else []), *_parts(cold)]
    days = replace(
        days,
        each_ready=[_ready_days(batch, part) for part in parts],
        each_last=[_last_days(batch, part) for part in parts],
    )
    step = _step(days, is_noted=batch.picked_noted)
    story = _story(tongue, batch, days, step, _out_words(tongue, cold[1:] if step == "cold" else cold, as_of))
    line = BatchLine(
        tree=tree,
        cultivar=cultivar,
        what=", ".join(part_words(tongue, batch)),
        weight=_weight_words(tongue, batch, _left(batch, still[-1], as_of), as_of),
        picked=days.said(tongue, days.picked),
        picked_iso=days.picked.isoformat(),
        space=batch.space,
        out="; ".join([*straight, *_out_words(tongue, cold, as_of)]) if batch.lies_cold else "",
        out_iso=first.day.isoformat(),
        room=batch.room,
        ready=days.each_said(tongue, days.each_ready),
        use_by=days.each_said(tongue, days.each_last),
        use_by_iso=next((first.isoformat() for first, _last in days.each_last if first), ""),
        keep=days.said(tongue, days.keep),
        alert=alert_words(tongue, batch.alerts) if batch.lies_cold else "",
        noted=batch.picked_noted,
        overdue=False,
        step=step,
        doing=_doing(tongue, batch, days, step, purpose_words(tongue, first)),
        story=" ".join([*(f"{words}." for words in straight), story]).strip(),
    )
    if batch.is_gone:
        return _gone(tongue, line, days, max(out.used or out.day for out in batch.outs))
    return _waiting(line) if is_overdue(batch, as_of) else line


def straight_words(tongue: Tongue, batch: Batch, outs: Sequence[Out]) -> list[str]:
    """Say how much goes to the table straight after picking, while the rest of a batch lies in the cold."""
    weight = together(out.weight for out in outs if out.day == batch.picked.likely)
    if not outs:
        return []
    much = weight_words(tongue, weight) if weight is not None else tongue.say("some")
    return [tongue.say("{weight} straight after picking", weight=much)]


def is_overdue(batch: Batch, as_of: date) -> bool:
    """Say whether a batch should have been picked before a day and nobody noted that it was."""
    return not batch.picked_noted and batch.picked.likely < as_of


def _waiting(line: BatchLine) -> BatchLine:
    """Return a batch whose pick is overdue: nobody knows the days that hang on it, so none of them is told."""
    return replace(line, overdue=True, out="", out_iso="", ready="", use_by="", use_by_iso="", keep="", story="")


def _gone(tongue: Tongue, line: BatchLine, days: _Days, last: date) -> BatchLine:
    """Return a batch of which all was noted as used, given away or lost: nothing is to be done with it any more."""
    doing = tongue.say("Nothing is left of it since {day}.", day=days.said(tongue, last))
    return replace(line, doing=doing, story=tongue.say("Picked {day}.", day=days.said(tongue, days.picked)), alert="")


STALE_D = 42
"""What lies in the cold and was not noted for so long is only known by plan. J."""


def _weight_words(tongue: Tongue, batch: Batch, left: Weight | None, as_of: date) -> str:
    """Say what is left of a batch: as weighed, as planned, or as it would be by plan since nobody noted more."""
    if left is None:
        return ""
    weight = weight_words(tongue, left)
    last = max([batch.picked.likely, *(out.used or out.day for out in batch.outs if out.noted)])
    is_old = any(not out.noted and out.day < as_of for out in batch.outs)
    if batch.picked_noted and batch.lies_cold and (is_old or (as_of - last).days > STALE_D):
        return tongue.say("{weight} by plan, not noted since {day}", weight=weight, day=far_day(tongue, last, as_of))
    return weight


def _left(batch: Batch, last: Out, as_of: date) -> Weight | None:
    """Return what of a batch is still to be used; of one that has all left the cold, what came out `last`."""
    is_here = batch.picked_noted and batch.picked.likely <= as_of
    left = batch.left(as_of) if is_here and batch.lies_cold and batch.came_out is None else batch.weight
    return last.weight if left == NOTHING else left


def purpose_words(tongue: Tongue, out: Out) -> str:
    """Say how much goes for what it is claimed, as `22 lb for Thanksgiving`; empty for fruit for the table."""
    if out.to not in CLAIMED:
        return ""
    told = out.why.unweighed if isinstance(out.why, ForWant) else None
    if told is None and out.weight is not None:
        told = weight_words(tongue, out.weight)
    amount = told or tongue.say("some")
    return tongue.say("{amount} for {what}", amount=amount, what=words_of(out.why, tongue) if out.why else "")


def _more_than_is_eaten(tongue: Tongue, table: Sequence[Out]) -> str:
    """Say how much of what leaves for the table goes elsewhere, and why."""
    weights = [out.weight for out in table if out.why is not None and out.weight is not None]
    why = table[-1].why
    if why is None or not weights:
        return ""
    return tongue.say(" ({weight} of it {why})", weight=weight_words(tongue, total(weights)), why=words_of(why, tongue))


def _parts(outs: Sequence[Out]) -> list[list[Out]]:
    """Return what leaves as it is told: each claim by itself, and all that is left for the table together."""
    table = [out for out in outs if out.to not in CLAIMED]
    return [[out] if out.to in CLAIMED else table for out in outs if out.to in CLAIMED or out is table[0]]


def _ready_days(batch: Batch, part: Sequence[Out]) -> _FirstAndLast:
    """Return when the first and the last of a part is ready."""
    first, last = (batch.ready_after(out) for out in (part[0], part[-1]))
    return first.likely if first else None, last.likely if last else None


def _last_days(batch: Batch, part: Sequence[Out]) -> _FirstAndLast:
    """Return by when the first and the last of a part is to be used: a claim on the day it is for."""
    first, last = (out.used if out.to in CLAIMED else batch.use_by_after(out) for out in (part[0], part[-1]))
    return first, last


def _out_words(tongue: Tongue, outs: Sequence[Out], as_of: date) -> list[str]:
    """Say when what leaves: each claim with its weight and what it is for, and what is left for the table."""
    said, parts = [], _parts(outs)
    for table in parts:
        out = table[0]
        if out.to in CLAIMED:
            said.append(f"{far_day(tongue, out.day, as_of)}, {purpose_words(tongue, out)}")
        else:
            several = len(parts) > 1
            weights = [one.weight for one in table if one.weight is not None]
            whole = weight_words(tongue, total(weights)) if several and len(weights) == len(table) else ""
            rest = (
                tongue.say("{weight} {day}", weight=whole, day=far_day(tongue, out.day, as_of))
                if whole
                else far_day(tongue, out.day, as_of)
            )
            weeks = (
                tongue.say(", then each week until {last_out}", last_out=short_day(tongue, table[-1].day))
                if len(table) > 1
                else ""
            )
            said.append(rest + weeks + _more_than_is_eaten(tongue, table))
    return said


class _Days(Struct, frozen=True, kw_only=True):
    """The days of a batch as they are told: `out` is None where it lies in no cold.

    `ready` and `use_by` are those of what comes out next, `each_ready` and `each_last` those of each part, in the order
    in which parts leave: of its first and of its last, where it leaves week by week.
    """

    picked: date
    out: date | None
    ready: date | None
    use_by: date | None
    keep: date | None
    as_of: date
    each_ready: Sequence[_FirstAndLast] = ()
    each_last: Sequence[_FirstAndLast] = ()

    def each_said(self, tongue: Tongue, each: Sequence[_FirstAndLast]) -> str:
        """Say the day of each part; once where all have the same, and nothing where none is known."""
        said = [self._from_to(tongue, first, last) for first, last in each]
        told = list(dict.fromkeys(said))
        return (
            (told[0] if len(told) == 1 else "; ".join(one or tongue.say("not known") for one in said))
            if any(said)
            else ""
        )

    def _from_to(self, tongue: Tongue, first: date | None, last: date | None) -> str:
        weeks = last is not None and last != first
        until = (
            tongue.say(", then each week until {last_out}", last_out=short_day(tongue, last)) if weeks and last else ""
        )
        return self.said(tongue, first) + until

    def said(self, tongue: Tongue, day: date | None) -> str:
        return far_day(tongue, day, self.as_of) if day else ""


def _days_of(batch: Batch, coming: Sequence[Out], as_of: date) -> _Days:
    """Return the days of a batch, as of the first fruit of what is to come out that no day and no session claims."""
    out = next((one for one in coming if one.to not in CLAIMED), coming[0])
    ready = batch.ready_after(out)
    keep = batch.days.get(Stage.KEEP_UNTIL) if stays_cold(batch) else None
    return _Days(
        picked=batch.picked.likely,
        out=coming[0].day if batch.lies_cold else None,
        ready=ready.likely if ready else None,
        use_by=out.used if out.to in CLAIMED else batch.use_by_after(out),
        keep=keep.likely if keep else None,
        as_of=as_of,
    )


def _step(days: _Days, *, is_noted: bool) -> str:
    """Say how far a batch has come: look, pick, cold, counter or eat."""
    if not is_noted:
        return "pick" if days.picked <= days.as_of + timedelta(days=_SOON_D) else "look"
    if days.out is not None and days.as_of < days.out:
        return "cold"
    return "eat" if days.ready is not None and days.ready <= days.as_of else "counter"


def _doing(tongue: Tongue, batch: Batch, days: _Days, step: str, purpose: str) -> str:
    """Say what is to be done with a batch next."""
    if step in {"look", "pick"}:
        return _picking(tongue, batch, days)
    if step == "cold" and days.out is not None:
        space, day = batch.space or tongue.say("cold"), days.said(tongue, days.out)
        if purpose:
            return tongue.say("Take out of the {space} {day}: {what}.", space=space, day=day, what=purpose)
        return tongue.say("Take out of the {space} {day}.", space=space, day=day)
    if step == "counter":
        return (
            tongue.say("Ripe {day}.", day=days.said(tongue, days.ready))
            if days.ready
            else tongue.say("Try one every few days.")
        )
    is_to_come = days.use_by is None or days.use_by >= days.as_of
    return tongue.say("Ripe, {what}.", what=purpose) if purpose and is_to_come else _eating(tongue, days)


def _eating(tongue: Tongue, days: _Days) -> str:
    if days.use_by is None:
        return tongue.say("Eat now, and look every day.")
    if days.use_by < days.as_of:
        return tongue.say(
            "It was to be used by {day}: look at it, and note what became of it.", day=days.said(tongue, days.use_by)
        )
    return tongue.say("Eat now, by {day}.", day=days.said(tongue, days.use_by))


def _picking(tongue: Tongue, batch: Batch, days: _Days) -> str:
    pick = days.said(tongue, days.picked)
    if days.picked < days.as_of:
        return tongue.say("Due {day}: note the day it is picked.", day=pick)
    if days.out is None:
        return tongue.say("Pick {day}.", day=pick)
    return tongue.say("Pick {day}, then into the {space}.", day=pick, space=batch.space or tongue.say("cold"))


def _story(tongue: Tongue, batch: Batch, days: _Days, step: str, outs: Sequence[str]) -> str:
    """Tell the rest of a batch's days, one short sentence each."""
    told = [tongue.say("Picked {day}.", day=days.said(tongue, days.picked)) if batch.picked_noted else ""]
    if step in {"look", "pick"} and days.out is not None:
        told.append(tongue.say("Out of the cold {day}.", day="; ".join(outs)))
    elif step == "cold" and outs:
        told.append(tongue.say("Then out {day}.", day="; ".join(outs)))
    if step == "cold" and batch.room:
        told.append(tongue.say("It goes into the {room}.", room=batch.room))
    if step not in {"counter", "eat"} and days.ready is not None:
        told.append(tongue.say("Ripe {day}.", day=days.each_said(tongue, days.each_ready)))
    if step == "eat" and days.ready is not None and days.ready != days.picked:
        told.append(tongue.say("Ripe since {day}.", day=days.said(tongue, days.ready)))
    if days.use_by is not None and step != "eat":
        told.append(tongue.say("Use by {day}.", day=days.each_said(tongue, days.each_last)))
    if days.use_by is None:
        told.append(tongue.say("How long it lasts nobody has noted; write down the day it turns."))
    if days.keep is not None:
        told.append(tongue.say("What stays cold keeps until {day}.", day=days.said(tongue, days.keep)))
    return " ".join(sentence for sentence in told if sentence)


def stays_cold(batch: Batch) -> bool:
    """Say whether some of a batch is planned to lie in the cold until its last day there, or nothing takes it out."""
    keep = batch.days.get(Stage.KEEP_UNTIL)
    if keep is None or not batch.lies_cold:
        return False
    return (keep.likely - batch.last_out).days < 7


def part_words(tongue: Tongue, batch: Batch) -> list[str]:
    """Say which part of a tree's fruit a batch is: the crop where there are several, the picking, the grade."""
    crop = [tongue.say("{crop} crop", crop=tongue.term(batch.bearing.crop))] if batch.bearing.crop else []
    grade = [tongue.term(batch.grade.value)] if batch.grade is not Grade.UNSORTED else []
    part = [tongue.say("part {number} of {parts}", number=batch.part, parts=batch.parts)] if batch.parts > 1 else []
    out = [tongue.say("taken out {day}", day=short_day(tongue, batch.came_out))] if batch.came_out else []
    house = [batch.house] if batch.house else []
    time = [round_words(tongue, batch.picking)] if batch.several else []
    return [*crop, *time, *grade, *house, *part, *out]


def lying_in_words(context: PageContext, batches: Iterable[Batch]) -> tuple[BatchLine, ...]:
    """Return batches in words, what came out of one and what lies on each on its own, in the order given."""
    return tuple(
        batch_in_words(context, part) for batch in batches for part in lying_parts(batch, context.season.as_of)
    )


def batch_in_words(context: PageContext, batch: Batch) -> BatchLine:
    """Return a batch in words, with the links of this page."""
    tag, limb = batch.bearing.tree, batch.limb
    line = batch_line(
        context.tongue,
        batch,
        context.link(tag, context.paths.tree(tag)),
        context.link(limb.name, context.paths.cultivar(limb.key)),
        context.season.as_of,
    )
    still = [out for out in batch.outs if not out.gone] or list(batch.outs)
    left = _left(batch, still[-1], context.season.as_of)
    parts = house_parts(batch, left, context.holding.place.shares) if left is not None else ()
    return replace(line, houses=parts_words(context.tongue, parts)) if parts else line
