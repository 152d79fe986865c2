"""What the calendar remarks, in words: what stands against a job, which trees wait, and what has no date."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from firmripe.calendar.because import (
    Away,
    Closed,
    DayBefore,
    FirstPickAlone,
    GiveKitchenDays,
    GivePassInterval,
    InStore,
    MoreThanHands,
    NextPickUnknown,
    NoAccessThen,
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
from firmripe.tongue import Tongue
from firmripe.wording.holding import weight_words
from firmripe.wording.remarks import words_of
from firmripe.words import of_crop, on_tree, week_day


def beside_job(tongue: Tongue, entry: Entry) -> str:
    """Say what is to be told beside a job: what stands against it, and which trees are left out until when."""
    told = [*(words_of(one, tongue) for one in entry.held), *_left_out(tongue, entry.waiting)]
    return " ".join(sentence for sentence in dict.fromkeys(told) if sentence)


def _left_out(tongue: Tongue, waiting: Iterable[Waiting]) -> Iterable[str]:
    """Yield which trees are left out until when, those with the same wait together."""
    together: dict[str, list[str]] = {}
    for one in waiting:
        trees = together.setdefault(_wait(tongue, one.wait), [])
        if one.tree not in trees:
            trees.append(one.tree)
    for wait, trees in together.items():
        yield tongue.say("Leave out {trees}: {wait}", trees=", ".join(sorted(trees)), wait=wait)


def _wait(tongue: Tongue, wait: Sprayed | Closed | NoPicking) -> str:
    if isinstance(wait, NoPicking):
        day = week_day(tongue, wait.before)
        if wait.by_label:
            return tongue.say("by a spray's label no picking there before {day}. The label is the law.", day=day)
        return tongue.say("no picking there before {day}.", day=day)
    if isinstance(wait, Sprayed):
        day = week_day(tongue, wait.spray.day)
        return tongue.say(
            "sprayed on {day}, by its label nobody goes there {until}. The label is the law.",
            day=day,
            until=_until(tongue, wait),
        )
    if wait.at is not None:
        return tongue.say(
            "nobody goes there before {hour} on {day}.", hour=f"{wait.at:%H:%M}", day=week_day(tongue, wait.day)
        )
    return tongue.say("nobody goes there before {day}.", day=week_day(tongue, wait.day))


@words_of.register(Sprayed)
def _sprayed(told: Sprayed, tongue: Tongue) -> str:
    day, until = week_day(tongue, told.spray.day), _until(tongue, told)
    return tongue.say(
        "Sprayed on {day}: by its label nobody goes in {until}. The label is the law.", day=day, until=until
    )


def _until(tongue: Tongue, told: Sprayed) -> str:
    spray = told.spray
    hours = tongue.plural("{n:g} hour", "{n:g} hours", spray.re_entry_h)
    if spray.open_again is not None:
        time, day = f"{spray.open_again:%H:%M}", week_day(tongue, spray.open_again.date())
        return tongue.say("before {time} on {day}, {hours} after it", time=time, day=day, hours=hours)
    return tongue.say("for {hours} after it, and not before {day}", hours=hours, day=week_day(tongue, told.until))


@words_of.register(Closed)
def _closed(told: Closed, tongue: Tongue) -> str:
    if told.at is not None:
        return tongue.say(
            "Nobody goes in before {hour} on {day}.", hour=f"{told.at:%H:%M}", day=week_day(tongue, told.day)
        )
    return tongue.say("Nobody goes in before {day}.", day=week_day(tongue, told.day))


@words_of.register(PickMoved)
def _pick_moved(told: PickMoved, tongue: Tongue) -> str:
    return words_of(told.why, tongue)


@words_of.register(InStore)
def _in_store(told: InStore, tongue: Tongue) -> str:
    return words_of(told.what, tongue).rstrip(".") + "."


@words_of.register(NotMet)
def _not_met(told: NotMet, tongue: Tongue) -> str:
    return tongue.say("It can't be met: {reason}.", reason=words_of(told.why, tongue))


@words_of.register(PutOff)
def _put_off(told: PutOff, tongue: Tongue) -> str:
    day, lacking = week_day(tongue, told.day), told.lacking
    if lacking is None:
        return tongue.say("Put off from {day}.", day=day)
    if isinstance(lacking, Away):
        return tongue.say("Put off from {day}; away then: {people}.", day=day, people=", ".join(lacking.people))
    if lacking.because:
        return tongue.say(
            "Put off from {day}: nobody gets there then ({why}).", day=day, why=", ".join(lacking.because)
        )
    return tongue.say("Put off from {day}: nobody gets there then.", day=day)


@words_of.register(Away)
def _away(told: Away, tongue: Tongue) -> str:
    people = ", ".join(told.people)
    return tongue.say(
        "Away on {days}: {people}. Another hand is wanted then.", days=_days(tongue, told.days), people=people
    )


@words_of.register(NoAccessThen)
def _no_access(told: NoAccessThen, tongue: Tongue) -> str:
    if told.because:
        return tongue.say(
            "Nobody gets there on {days}: {why}.", days=_days(tongue, told.days), why=", ".join(told.because)
        )
    return tongue.say("Nobody gets there on {days}.", days=_days(tongue, told.days))


def _days(tongue: Tongue, days: Iterable[date]) -> str:
    return ", ".join(week_day(tongue, day) for day in days)


@words_of.register(DayBefore)
def _day_before(told: DayBefore, tongue: Tongue) -> str:
    return tongue.say("The nearest day before is {day}.", day=week_day(tongue, told.day))


@words_of.register(MoreThanHands)
def _more_than_hands(told: MoreThanHands, tongue: Tongue) -> str:
    weight, late = (weight_words(tongue, Weight.of(kg)) for kg in (told.weight, told.late or told.weight))
    waiting = tongue.say(
        "More than hands can pick on {day}: {weight} of {fruit} wait.",
        day=week_day(tongue, told.day),
        weight=weight,
        fruit=on_tree(told.limb, told.bearing.tree) + of_crop(tongue, told.bearing.crop),
    )
    until = week_day(tongue, told.until)
    if told.then is not None:
        free = tongue.say(
            "It may hang until {until}; hands are free for it by {then}.", until=until, then=week_day(tongue, told.then)
        )
        return f"{waiting} {free}"
    short = tongue.say(
        "It may hang until {until}, and {weight} of it are more than hands can pick by then: another hand is wanted.",
        until=until,
        weight=late,
    )
    return f"{waiting} {short}"


def undated_words(tongue: Tongue, item: Undated) -> str:
    """Say why something has no date, and which jobs have no day for it."""
    reason = words_of(item.reason, tongue)
    if not item.jobs:
        return reason
    names = {tongue.say("a job of one person") if task.only_for else tongue.term(task.name) for task in item.jobs}
    return tongue.say("{reason}; no day for: {tasks}", reason=reason, tasks=", ".join(sorted(names)))


@words_of.register(NotTold)
def _not_told(_told: NotTold, tongue: Tongue) -> str:
    return tongue.say("place.md does not say when it is")


@words_of.register(NoSuchDay)
def _no_such_day(told: NoSuchDay, tongue: Tongue) -> str:
    return tongue.say("it has no day called {stage}", stage=tongue.term(told.stage.value))


@words_of.register(NextPickUnknown)
def _next_pick_unknown(told: NextPickUnknown, tongue: Tongue) -> str:
    return tongue.say(
        "a first pick is noted on {tree}; nothing tells when the next is: go by its test, and note the last",
        tree=told.tree,
    )


@words_of.register(FirstPickAlone)
def _first_pick_alone(told: FirstPickAlone, tongue: Tongue) -> str:
    return tongue.plural(
        "{n} picking is usual, and nothing tells how many days apart: the first alone is planned",
        "{n} pickings are usual, and nothing tells how many days apart: the first alone is planned",
        told.usual,
    )


@words_of.register(GivePassInterval)
def _give_pass_interval(told: GivePassInterval, tongue: Tongue) -> str:
    return tongue.say(
        "add to cultivars/{key}.md, in your own days: {line}", key=told.key, line="pass interval: 3-4 days"
    )


@words_of.register(NoKitchenDays)
def _no_kitchen_days(_told: NoKitchenDays, tongue: Tongue) -> str:
    return tongue.say("no day in the kitchen is told of, so it is in no plan")


@words_of.register(GiveKitchenDays)
def _give_kitchen_days(_told: GiveKitchenDays, tongue: Tongue) -> str:
    return tongue.say("add kitchen days: to place.md, as [{on}]", on="{on: Saturday, hands: 2}")
