"""A session by the clock in words, and where the pace of its hands comes from."""

from __future__ import annotations

from firmripe.kitchen.plan.timetable import CleanedUp, IntoPot, MadeReady, OutOfPot, PutAway, SessionLoad, Slower
from firmripe.kitchen.tables.work import OwnLines, Rate
from firmripe.tongue import Tongue
from firmripe.wording.kitchen import ware_words
from firmripe.wording.minutes import minutes_words
from firmripe.wording.remarks import words_of


def slower_words(tongue: Tongue, slower: Slower) -> str:
    """Say what a session waits for most."""
    return tongue.say("the hands") if slower is Slower.HANDS else tongue.say("the pot")


def rate_words(tongue: Tongue, rate: Rate) -> str:
    """Say how long one jar takes, and how that is known."""
    if rate.by is None:
        return tongue.say("20 minutes a quart, our judgement")
    if isinstance(rate.by, OwnLines):
        return tongue.plural(
            "{minutes} minutes a {jar}, from {n} line of our own",
            "{minutes} minutes a {jar}, from {n} lines of our own",
            rate.by.count,
            minutes=round(rate.hand_minutes),
            jar=tongue.term(rate.by.jar.name),
        )
    return f"{tongue.term(rate.by.text)}, {tongue.term(rate.by.cited.mark.value)}"


def _of(tongue: Tongue, load: SessionLoad) -> str:
    """Say which load it is; the ware alone where it is the only one."""
    ware = ware_words(tongue, load.ware)
    if load.count == 1:
        return ware
    return tongue.say("{product}, load {number} of {count}", product=ware, number=load.number, count=load.count)


@words_of.register(MadeReady)
def _made_ready(_remark: MadeReady, tongue: Tongue) -> str:
    return tongue.say("Count jars and lids; heat water, jars and syrup; cut fruit")


@words_of.register(PutAway)
def _put_away(remark: PutAway, tongue: Tongue) -> str:
    load = remark.load
    where = tongue.say("into the {pot}", pot=load.pot) if load.pot else tongue.say("packed and put away")
    return f"{_of(tongue, load)}: {load.units}, {where}"


@words_of.register(IntoPot)
def _into_pot(remark: IntoPot, tongue: Tongue) -> str:
    load = remark.load
    return tongue.plural(
        "{of}: {n} jar into the {pot}; {minutes}",
        "{of}: {n} jars into the {pot}; {minutes}",
        load.units,
        of=_of(tongue, load),
        pot=load.pot,
        minutes=minutes_words(tongue, remark.published) if remark.published else "",
    )


@words_of.register(OutOfPot)
def _out_of_pot(remark: OutOfPot, tongue: Tongue) -> str:
    return tongue.say("{of}: out of the {pot}, onto a dry towel", of=_of(tongue, remark.load), pot=remark.load.pot)


@words_of.register(CleanedUp)
def _cleaned_up(remark: CleanedUp, tongue: Tongue) -> str:
    return (
        tongue.say("Cleaned up; the jars cool where nobody touches them") if remark.jars else tongue.say("Cleaned up")
    )
