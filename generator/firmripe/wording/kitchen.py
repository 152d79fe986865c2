"""What the kitchen plan remarks, in words: why on this day, why a want is not met, and what would meet it."""

from __future__ import annotations

import math

from firmripe.harvest.lots import Batch
from firmripe.holding.weight import Grade
from firmripe.kitchen.fit.outcome import Binds, Lack
from firmripe.kitchen.plan.because import (
    AmountNotPrinted,
    BatchNotReady,
    ForSession,
    Helps,
    NearBest,
    NoDayLeft,
    NoDryer,
    NoFruit,
    NoPotHolds,
    NotForJars,
    NotInPot,
    NotOn,
    OnlyDay,
    PicksNotNoted,
    PotAway,
)
from firmripe.kitchen.plan.wanted import FREEZER_L, JARS
from firmripe.kitchen.tables.ware import Ware
from firmripe.tongue import Tongue, mark
from firmripe.units import KILOGRAMS_PER_POUND
from firmripe.wording.harvest import fruits_words
from firmripe.wording.holding import jars_words
from firmripe.wording.minutes import instead_words
from firmripe.wording.remarks import words_of
from firmripe.words import of_crop, on_tree, round_words, week_day

_BINDS = {
    Binds.NOT_MADE_THERE: mark("it can't be made in that kitchen then"),
    Binds.POT_AWAY: mark("the pot is away"),
    Binds.POTS_FULL: mark("the pots are full"),
    Binds.HANDS_FULL: mark("the hands are full"),
    Binds.NO_SPACE: mark("there is no room to ripen the fruit for it"),
    Binds.FARTHER_FROM_PEAK: mark("the fruit is farther from its best"),
    Binds.ANOTHER_SESSION: mark("it would take one more session"),
    Binds.SAME: mark("it would do as well, only later"),
    Binds.WHOLE_PLAN: mark("the plan as a whole would be worse"),
}
_AT_ITS_BEST, _NEAR_ITS_BEST = 0.95, 0.7
"""Fruit that is worth more than this, beside 1 at its best, is called so. J."""


def ware_words(tongue: Tongue, ware: Ware) -> str:
    """Name a ware, as `Pears in light syrup, quart`."""
    name = tongue.term(ware.preserve.name)
    if ware.jar is None and tongue.metric:
        return name
    return f"{name}, {tongue.term(ware.jar.name if ware.jar else 'pound dried')}"


def units_words(tongue: Tongue, ware: Ware, number: int) -> str:
    """Say so many of a ware, as `14 quarts` or `3 lb dried`."""
    if ware.jar:
        return jars_words(tongue, ware.jar, number)
    return tongue.say("{weight} dried", weight=pounds_words(tongue, number))


def pounds_words(tongue: Tongue, number: int) -> str:
    """Say a number of pounds in the household's unit, as `4 lb` or `1.8 kg`: what is dried is counted in pounds."""
    return f"{number * KILOGRAMS_PER_POUND:.1f} kg" if tongue.metric else tongue.say("{number} lb", number=number)


def batch_words(tongue: Tongue, batch: Batch) -> str:
    """Name a batch, as `Bartlett (1-01), second time round, keepers`; which time is told where there are several."""
    crop = of_crop(tongue, batch.bearing.crop)
    grade = f", {tongue.term(batch.grade.value)}" if batch.grade is not Grade.UNSORTED else ""
    part = (
        ", " + tongue.say("part {number} of {parts}", number=batch.part, parts=batch.parts) if batch.parts > 1 else ""
    )
    part = (f", {batch.house}" if batch.house else "") + part
    time = f", {round_words(tongue, batch.picking)}" if batch.several else ""
    return f"{on_tree(batch.limb.name, batch.bearing.tree)}{crop}{time}{grade}{part}"


# Why something is made on its day


@words_of.register(NearBest)
def _near_best(remark: NearBest, tongue: Tongue) -> str:
    day = week_day(tongue, remark.day)
    if remark.worth > _AT_ITS_BEST:
        return tongue.say("On {day} the fruit is at its best.", day=day)
    if remark.worth > _NEAR_ITS_BEST:
        return tongue.say("On {day} the fruit is near its best.", day=day)
    return tongue.say("On {day} the fruit is past its best, still good.", day=day)


@words_of.register(OnlyDay)
def _only_day(_remark: OnlyDay, tongue: Tongue) -> str:
    return tongue.say("No other kitchen day falls while it is good.")


@words_of.register(NotOn)
def _not_on(remark: NotOn, tongue: Tongue) -> str:
    days = tongue.say(" or ").join(week_day(tongue, day) for day in remark.days)
    return tongue.say("Not on {days}: {why}.", days=days, why=tongue.term(_BINDS[remark.binds]))


# Why a want is not met


@words_of.register(AmountNotPrinted)
def _amount_not_printed(remark: AmountNotPrinted, tongue: Tongue) -> str:
    file = f"preserves/{remark.preserve.key}.md"
    return tongue.say(
        "how much fruit makes a {jar} is not printed; if you know it, add takes: {example} to {file}",
        example="5 kg for 9 pints" if tongue.metric else "11 lb for 9 pints",
        jar=tongue.term(remark.jar.name if remark.jar else "pound dried"),
        file=file,
    )


@words_of.register(NotForJars)
def _not_for_jars(remark: NotForJars, tongue: Tongue) -> str:
    return tongue.say(
        "{fruit} is not for jars: {because}; {instead}",
        fruit=remark.cultivar,
        because=words_of(remark.why, tongue),
        instead=instead_words(remark.why, tongue),
    )


@words_of.register(BatchNotReady)
def _batch_not_ready(remark: BatchNotReady, tongue: Tongue) -> str:
    return f"{batch_words(tongue, remark.batch)}: {words_of(remark.why, tongue)}"


@words_of.register(PicksNotNoted)
def _picks_not_noted(remark: PicksNotNoted, tongue: Tongue) -> str:
    return tongue.say("nobody noted whether it was picked: {fruit}", fruit=fruits_words(remark.fruit))


@words_of.register(NoFruit)
def _no_fruit(_remark: NoFruit, tongue: Tongue) -> str:
    return tongue.say("no fruit for it whose weight is known is good on any kitchen day left this season")


@words_of.register(NoDryer)
def _no_dryer(_remark: NoDryer, tongue: Tongue) -> str:
    return tongue.say("no dryer is told of; add it to canners: {name: dryer, kind: dryer, holds: 10 lb}")


@words_of.register(NoPotHolds)
def _no_pot_holds(remark: NoPotHolds, tongue: Tongue) -> str:
    return tongue.say("no canner says that it holds a {jar}", jar=tongue.term(remark.jar.name))


@words_of.register(NotInPot)
def _not_in_pot(remark: NotInPot, tongue: Tongue) -> str:
    reason, instead = words_of(remark.why, tongue), instead_words(remark.why, tongue)
    if not remark.pot:
        return tongue.say("{reason}; {instead}", reason=reason, instead=instead)
    return tongue.say(
        "{pot} in the {kitchen}: {reason}; {instead}",
        pot=remark.pot,
        kitchen=remark.kitchen,
        reason=reason,
        instead=instead,
    )


@words_of.register(NoDayLeft)
def _no_day_left(_remark: NoDayLeft, tongue: Tongue) -> str:
    return tongue.say("no kitchen day is left this season")


@words_of.register(PotAway)
def _pot_away(remark: PotAway, tongue: Tongue) -> str:
    return tongue.say("{pot} is away on all kitchen days that are left", pot=remark.pot)


# What would meet it


@words_of.register(Helps)
def _helps(remark: Helps, tongue: Tongue) -> str:
    remedy = remark.remedy
    much = round(remedy.amount + 0.049, 1)  # up to the next tenth: a little less would not do
    words = {
        Lack.POT_AWAY: tongue.say("with {pot} here", pot=remedy.name),
        Lack.POT: tongue.say("with one more pot like {pot}", pot=remedy.name),
        Lack.HANDS: _hands(tongue, round(much)),
        Lack.HOURS: tongue.plural("with {n:g} hour more", "with {n:g} hours more", much),
        Lack.STOCK: _stock(tongue, remedy.name, much),
        Lack.SESSION: tongue.say("with one more day in the {kitchen}", kitchen=remedy.name),
        Lack.SPACE: tongue.say(
            "with room for {weight} more in the {space}", weight=_at_least(tongue, remedy.amount), space=remedy.name
        ),
        Lack.FRUIT: tongue.say("with {weight} more fruit", weight=_at_least(tongue, remedy.amount)),
    }
    more = tongue.say("{jars} more", jars=units_words(tongue, remark.ware, remark.more))
    return f"{words[remedy.lack]}{_when(tongue, remark)}: {more}"


def _when(tongue: Tongue, remark: Helps) -> str:
    if remark.day is None:
        return ""
    day = week_day(tongue, remark.day)
    if remark.kitchen:
        return " " + tongue.say("on {day} in the {kitchen}", day=day, kitchen=remark.kitchen)
    return " " + tongue.say("on {day}", day=day)


def _stock(tongue: Tongue, thing: str, much: float) -> str:
    number = math.ceil(much - 1e-6)
    if thing.startswith(JARS):
        return tongue.plural(
            "with {n} {size} jar more", "with {n} {size} jars more", number, size=tongue.term(thing.removeprefix(JARS))
        )
    if thing == FREEZER_L:
        return tongue.say("with {amount:g} l more room in the freezer", amount=much)
    return tongue.say("with {amount} more {things}", amount=number, things=tongue.term(thing))


def _hands(tongue: Tongue, number: int) -> str:
    return tongue.plural("with one more pair of hands", "with {n} more pairs of hands", max(1, number))


def _at_least(tongue: Tongue, kg: float) -> str:
    """Say a weight in the household's unit, up to the next whole one: a little less would not do."""
    size = 1 if tongue.metric else KILOGRAMS_PER_POUND
    return f"{max(1, math.ceil(round(kg / size, 2)))} {'kg' if tongue.metric else 'lb'}"


# What the store hears of it


@words_of.register(ForSession)
def _for_session(remark: ForSession, tongue: Tongue) -> str:
    return tongue.say("the {kitchen} on {day}", kitchen=remark.kitchen, day=week_day(tongue, remark.day))
