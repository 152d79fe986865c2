"""What the store remarks, in words: what is wrong with where fruit lies, and what can't be had on a day."""

from __future__ import annotations

from firmripe.harvest.because import (
    ColdHarms,
    KeepApart,
    KeepsTooShort,
    MoreThanThere,
    NoColdSpace,
    NoCoolerRoom,
    NoLot,
    NotReady,
    OverFull,
    PickNotNoted,
    StillCold,
    TakenOut,
    WarmRoom,
)
from firmripe.harvest.spaces import StoreWarning
from firmripe.holding.weight import Weight
from firmripe.tongue import Tongue
from firmripe.units import fahrenheit
from firmripe.wording.harvest import fruit_words, fruits_words
from firmripe.wording.holding import weight_words
from firmripe.wording.remarks import words_of
from firmripe.words import amount, begun, days_words, degrees, short_day, week_day


def warning_words(tongue: Tongue, warning: StoreWarning) -> str:
    """Say what is wrong, after the name of the fruit that it is so of."""
    said = words_of(warning.what, tongue)
    return f"{fruit_words(warning.fruit)}: {said}" if warning.fruit else said


def amount_words(tongue: Tongue, amount: Weight | str) -> str:
    """Say how much is wanted or taken out, as the household wrote it or by its weight."""
    return amount if isinstance(amount, str) else weight_words(tongue, amount)


# What is wrong in a space


@words_of.register(OverFull)
def _over_full(told: OverFull, tongue: Tongue) -> str:
    first, last = week_day(tongue, told.first), short_day(tongue, told.last)
    is_a_day = told.first == told.last
    return tongue.say(
        "too full {days}, by about {too_much} at most. Move so much out before, what keeps shortest first: {leaving}",
        days=tongue.say("on {first}", first=first)
        if is_a_day
        else tongue.say("from {first} to {last}", first=first, last=last),
        too_much=weight_words(tongue, told.too_much),
        leaving=fruits_words(told.leaving),
    )


@words_of.register(ColdHarms)
def _cold_harms(told: ColdHarms, tongue: Tongue) -> str:
    return tongue.say("the cold harms it ({cold})", cold=amount(tongue, told.figure.text))


@words_of.register(KeepApart)
def _keep_apart(told: KeepApart, tongue: Tongue) -> str:
    figure = tongue.term(told.figure.text)
    if told.near is None:
        return tongue.say("keep it apart from {figure}, which lie there too", figure=figure)
    return tongue.say("keep it apart from {figure} ({name})", figure=figure, name=fruit_words(told.near))


@words_of.register(WarmRoom)
def _warm_room(told: WarmRoom, tongue: Tongue) -> str:
    room, warm = told.room.name, degrees(tongue, told.at_c)
    said = (
        tongue.say("The {room} is {warm}, where it may not ripen.", room=room, warm=warm)
        if told.fails
        else tongue.say("The {room} is {warm}, where it ripens poorly.", room=room, warm=warm)
    )
    return begun(said)


@words_of.register(NoCoolerRoom)
def _no_cooler_room(told: NoCoolerRoom, tongue: Tongue) -> str:
    space = told.room.name
    warm = f"{round(told.at_c)} °C" if tongue.metric else f"{round(fahrenheit(told.at_c))} °F"
    said = (
        tongue.say("the {space} is {warm}, where it may not ripen at all; no day is promised.", space=space, warm=warm)
        if told.fails
        else tongue.say("the {space} is {warm}, where it ripens poorly.", space=space, warm=warm)
    )
    return said + " " + tongue.say("There is no cooler room: take out less at a time, or wait for cooler days")


@words_of.register(NoColdSpace)
def _no_cold_space(_told: NoColdSpace, tongue: Tongue) -> str:
    return tongue.say("it needs days in the cold, and no space told of is at 50 °F (10 °C) or below")


# What can't be had on a day


@words_of.register(NotReady)
def _not_ready(told: NotReady, tongue: Tongue) -> str:
    return f"{fruit_words(told.fruit)}: {words_of(told.why, tongue)}"


@words_of.register(PickNotNoted)
def _pick_not_noted(told: PickNotNoted, tongue: Tongue) -> str:
    name, due = fruit_words(told.fruit), week_day(tongue, told.due)
    return tongue.say("{name} was due to be picked on {due}, and nobody noted whether it was", name=name, due=due)


@words_of.register(StillCold)
def _still_cold(told: StillCold, tongue: Tongue) -> str:
    return tongue.say(
        "{name} is in the cold until {soonest}, so it is ready on {ready} at the soonest",
        name=fruit_words(told.fruit),
        soonest=week_day(tongue, told.until),
        ready=week_day(tongue, told.ready),
    )


@words_of.register(TakenOut)
def _taken_out(told: TakenOut, tongue: Tongue) -> str:
    return tongue.say(
        "{name}: all of it was taken out by {last_out}",
        name=fruit_words(told.fruit),
        last_out=week_day(tongue, told.last),
    )


@words_of.register(KeepsTooShort)
def _keeps_too_short(told: KeepsTooShort, tongue: Tongue) -> str:
    name = fruit_words(told.fruit)
    if told.until is None:
        return tongue.say("{name}: no published limit says that it keeps so long", name=name)
    return tongue.say(
        "{name} keeps until {keep}; it would have to lie {longer} longer",
        name=name,
        keep=week_day(tongue, told.until),
        longer=days_words(tongue, told.longer_d),
    )


@words_of.register(MoreThanThere)
def _more_than_there(told: MoreThanThere, tongue: Tongue) -> str:
    return tongue.say("{weight} more than is there to be promised", weight=weight_words(tongue, told.weight))


@words_of.register(NoLot)
def _no_lot(told: NoLot, tongue: Tongue) -> str:
    return tongue.say("there is no {cultivar} this season", cultivar=told.cultivar)
