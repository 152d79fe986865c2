"""A session by the clock in words, and where the pace of its hands comes from."""

from __future__ import annotations

from firmripe.kitchen.plan.timetable import CleanedUp, IntoPot, MadeReady, OutOfPot, PutAway, SessionLoad, Slower
from firmripe.kitchen.tables.work import OwnLines, Rate
from firmripe.saying import _, n_, term
from firmripe.wording.kitchen import ware_words
from firmripe.wording.minutes import minutes_words
from firmripe.wording.remarks import words_of


def slower_words(slower: Slower) -> str:
    """Say what a session waits for most."""
    return _("the hands") if slower is Slower.HANDS else _("the pot")


def rate_words(rate: Rate) -> str:
    """Say how long one jar takes, and how that is known."""
    if rate.by is None:
        return _("20 minutes a quart, our judgement")
    if isinstance(rate.by, OwnLines):
        return n_(
            "{minutes} minutes a {jar}, from {n} line of our own",
            "{minutes} minutes a {jar}, from {n} lines of our own",
            rate.by.count,
            minutes=round(rate.hand_minutes),
            jar=term(rate.by.jar.name),
        )
    return f"{term(rate.by.text)}, {term(rate.by.cited.mark.value)}"


def _of(load: SessionLoad) -> str:
    """Say which load it is; the ware alone where it is the only one."""
    ware = ware_words(load.ware)
    if load.count == 1:
        return ware
    return _("{product}, load {number} of {count}", product=ware, number=load.number, count=load.count)


@words_of.register
def _made_ready(_remark: MadeReady) -> str:
    return _("Count jars and lids; heat water, jars and syrup; cut fruit")


@words_of.register
def _put_away(remark: PutAway) -> str:
    load = remark.load
    where = _("into the {pot}", pot=load.pot) if load.pot else _("packed and put away")
    return f"{_of(load)}: {load.units}, {where}"


@words_of.register
def _into_pot(remark: IntoPot) -> str:
    load = remark.load
    return n_(
        "{of}: {n} jar into the {pot}; {minutes}",
        "{of}: {n} jars into the {pot}; {minutes}",
        load.units,
        of=_of(load),
        pot=load.pot,
        minutes=minutes_words(remark.published) if remark.published else "",
    )


@words_of.register
def _out_of_pot(remark: OutOfPot) -> str:
    return _("{of}: out of the {pot}, onto a dry towel", of=_of(remark.load), pot=remark.load.pot)


@words_of.register
def _cleaned_up(remark: CleanedUp) -> str:
    return _("Cleaned up; the jars cool where nobody touches them") if remark.jars else _("Cleaned up")
