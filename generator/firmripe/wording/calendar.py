"""What the calendar remarks, in words: what stands against a job, which trees wait, and what has no date."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from firmripe.calendar.because import (
    Away,
    Closed,
    CutOffThen,
    DayBefore,
    FirstPickAlone,
    GiveKitchenDays,
    GivePassInterval,
    InStore,
    MayStillHang,
    MoreThanHands,
    NextPickUnknown,
    NoKitchenDays,
    NoPicking,
    NoSuchDay,
    NotMet,
    NotTold,
    PickMoved,
    PutOff,
    Sprayed,
)
from firmripe.calendar.entry import Entry, Undated
from firmripe.calendar.reentry import Waiting
from firmripe.holding.weight import Weight
from firmripe.saying import _, n_, term
from firmripe.wording.holding import weight_words
from firmripe.wording.remarks import words_of
from firmripe.words import of_crop, on_tree, week_day


def beside_job(entry: Entry) -> str:
    """Say what is to be told beside a job: what stands against it, and which trees are left out until when."""
    told = [*map(words_of, entry.held), *_left_out(entry.waiting)]
    return " ".join(sentence for sentence in dict.fromkeys(told) if sentence)


def _left_out(waiting: Iterable[Waiting]) -> Iterable[str]:
    """Yield which trees are left out until when, those with the same wait together."""
    together: dict[str, list[str]] = {}
    for one in waiting:
        trees = together.setdefault(_wait(one.wait), [])
        if one.tree not in trees:
            trees.append(one.tree)
    for wait, trees in together.items():
        yield _("Leave out {trees}: {wait}", trees=", ".join(sorted(trees)), wait=wait)


def _wait(wait: Sprayed | Closed | NoPicking) -> str:
    if isinstance(wait, NoPicking):
        day = week_day(wait.before)
        if wait.by_label:
            return _("by a spray's label no picking there before {day}. The label is the law.", day=day)
        return _("no picking there before {day}.", day=day)
    if isinstance(wait, Sprayed):
        day = week_day(wait.spray.day)
        return _(
            "sprayed on {day}, by its label nobody goes there {until}. The label is the law.",
            day=day,
            until=_until(wait),
        )
    if wait.at is not None:
        return _("nobody goes there before {hour} on {day}.", hour=f"{wait.at:%H:%M}", day=week_day(wait.day))
    return _("nobody goes there before {day}.", day=week_day(wait.day))


@words_of.register
def _sprayed(told: Sprayed) -> str:
    day, until = week_day(told.spray.day), _until(told)
    return _("Sprayed on {day}: by its label nobody goes in {until}. The label is the law.", day=day, until=until)


def _until(told: Sprayed) -> str:
    spray = told.spray
    hours = n_("{n:g} hour", "{n:g} hours", spray.re_entry_h)
    if spray.open_again is not None:
        time, day = f"{spray.open_again:%H:%M}", week_day(spray.open_again.date())
        return _("before {time} on {day}, {hours} after it", time=time, day=day, hours=hours)
    return _("for {hours} after it, and not before {day}", hours=hours, day=week_day(told.until))


@words_of.register
def _closed(told: Closed) -> str:
    if told.at is not None:
        return _("Nobody goes in before {hour} on {day}.", hour=f"{told.at:%H:%M}", day=week_day(told.day))
    return _("Nobody goes in before {day}.", day=week_day(told.day))


@words_of.register
def _pick_moved(told: PickMoved) -> str:
    return words_of(told.why)


@words_of.register
def _in_store(told: InStore) -> str:
    return words_of(told.what).rstrip(".") + "."


@words_of.register
def _not_met(told: NotMet) -> str:
    return _("It can't be met: {reason}.", reason=words_of(told.why))


@words_of.register
def _put_off(told: PutOff) -> str:
    day, lacking = week_day(told.day), told.lacking
    if lacking is None:
        return _("Put off from {day}.", day=day)
    if isinstance(lacking, Away):
        return _("Put off from {day}; away then: {people}.", day=day, people=", ".join(lacking.people))
    if lacking.because:
        return _("Put off from {day}: nobody gets there then ({why}).", day=day, why=", ".join(lacking.because))
    return _("Put off from {day}: nobody gets there then.", day=day)


@words_of.register
def _away(told: Away) -> str:
    people = ", ".join(told.people)
    return _("Away on {days}: {people}. Another hand is wanted then.", days=_days(told.days), people=people)


@words_of.register
def _cut_off(told: CutOffThen) -> str:
    if told.because:
        return _("Nobody gets there on {days}: {why}.", days=_days(told.days), why=", ".join(told.because))
    return _("Nobody gets there on {days}.", days=_days(told.days))


def _days(days: Iterable[date]) -> str:
    return ", ".join(map(week_day, days))


@words_of.register
def _day_before(told: DayBefore) -> str:
    return _("The nearest day before is {day}.", day=week_day(told.day))


@words_of.register
def _may_still_hang(told: MayStillHang) -> str:
    return _("Its fruit may still hang; nobody noted as picked: {trees}.", trees=", ".join(told.trees))


@words_of.register
def _more_than_hands(told: MoreThanHands) -> str:
    weight, late = (weight_words(Weight.of(kg)) for kg in (told.weight, told.late or told.weight))
    waiting = _(
        "More than hands can pick on {day}: {weight} of {fruit} wait.",
        day=week_day(told.day),
        weight=weight,
        fruit=on_tree(told.limb, told.bearing.tree) + of_crop(told.bearing.crop),
    )
    until = week_day(told.until)
    if told.then is not None:
        free = _("It may hang until {until}; hands are free for it by {then}.", until=until, then=week_day(told.then))
        return f"{waiting} {free}"
    short = _(
        "It may hang until {until}, and {weight} of it are more than hands can pick by then: another hand is wanted.",
        until=until,
        weight=late,
    )
    return f"{waiting} {short}"


def undated_words(item: Undated) -> str:
    """Say why something has no date, and which jobs have no day for it."""
    reason = words_of(item.reason)
    if not item.jobs:
        return reason
    names = {_("a job of one person") if task.only_for else term(task.name) for task in item.jobs}
    return _("{reason}; no day for: {tasks}", reason=reason, tasks=", ".join(sorted(names)))


@words_of.register
def _not_told(_told: NotTold) -> str:
    return _("place.md does not say when it is")


@words_of.register
def _no_such_day(told: NoSuchDay) -> str:
    return _("it has no day called {stage}", stage=term(told.stage.value))


@words_of.register
def _next_pick_unknown(told: NextPickUnknown) -> str:
    return _(
        "a first pick is noted on {tree}; nothing tells when the next is: go by its test, and note the last",
        tree=told.tree,
    )


@words_of.register
def _first_pick_alone(told: FirstPickAlone) -> str:
    return n_(
        "{n} picking is usual, and nothing tells how many days apart: the first alone is planned",
        "{n} pickings are usual, and nothing tells how many days apart: the first alone is planned",
        told.usual,
    )


@words_of.register
def _give_pass_interval(told: GivePassInterval) -> str:
    return _("add to cultivars/{key}.md, in your own days: {line}", key=told.key, line="pass interval: 3-4 days")


@words_of.register
def _no_kitchen_days(_told: NoKitchenDays) -> str:
    return _("no day in the kitchen is told of, so it is in no plan")


@words_of.register
def _give_kitchen_days(_told: GiveKitchenDays) -> str:
    return _("add kitchen days: to place.md, as [{on}]", on="{on: Saturday, hands: 2}")
