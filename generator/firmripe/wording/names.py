"""What a job is for, and what it is that has no date, in words; and the order in which jobs are read."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from firmripe.calendar.entry import Entry
from firmripe.calendar.names import (
    CultivarWanted,
    LaterPickings,
    OfCultivar,
    OfFruit,
    OfKitchen,
    OfLimb,
    OfTakeOut,
    OfTree,
    OfWant,
    PreserveWanted,
    StageOf,
)
from firmripe.holding.task import Stage
from firmripe.tongue import Tongue, mark
from firmripe.wording.holding import weight_words
from firmripe.wording.remarks import words_of
from firmripe.wording.store import amount_words
from firmripe.words import of_crop, on_tree, round_words, week_day


def name_of(tongue: Tongue, entry: Entry) -> str:
    """Say what a job is for; nothing for one of the whole place and of no house."""
    return ((words_of(entry.name, tongue) if entry.name is not None else "") + of_house(entry)).removeprefix(", ")


def of_house(entry: Entry) -> str:
    """Say whose part of the fruit a job is about, after what it is for."""
    return f", {entry.house}" if entry.house else ""


def kind_of(tongue: Tongue, entry: Entry, limb: str) -> str:
    """Say what a job at one limb is for, without the tree whose tag stands beside: cultivar, crop and house."""
    return limb + of_crop(tongue, entry.crop) + of_house(entry)


def title_of(tongue: Tongue, entry: Entry) -> str:
    """Say a job, and what it is for."""
    task, name = tongue.term(entry.task.name), name_of(tongue, entry)
    return f"{task}: {name}" if name else task


def as_read(tongue: Tongue, entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Return entries in the order in which they are read: by first day, topic, title and identity."""
    return tuple(sorted(entries, key=lambda e: (e.span.first, e.task.topic.value, title_of(tongue, e), e.identity)))


@words_of.register(OfFruit)
def _of_fruit(name: OfFruit, tongue: Tongue) -> str:
    return tongue.term(name.fruit) + of_crop(tongue, name.crop)


@words_of.register(OfCultivar)
def _of_cultivar(name: OfCultivar, tongue: Tongue) -> str:
    return name.limb + of_crop(tongue, name.crop)


@words_of.register(OfLimb)
def _of_limb(name: OfLimb, tongue: Tongue) -> str:
    return on_tree(name.limb, name.tree) + of_crop(tongue, name.crop)


@words_of.register(OfTree)
def _of_tree(name: OfTree, tongue: Tongue) -> str:
    return tongue.say("tree {tag}", tag=name.tree) + of_crop(tongue, name.crop)


@words_of.register(OfKitchen)
def _of_kitchen(name: OfKitchen, _tongue: Tongue) -> str:
    return name.kitchen


@words_of.register(OfWant)
def _of_want(name: OfWant, tongue: Tongue) -> str:
    fruit = on_tree(name.limb, name.tree)
    if amount := amount_words(tongue, name.amount):
        fruit = tongue.say("{amount} of {fruit}", amount=amount, fruit=fruit)
    day = week_day(tongue, name.day)
    return tongue.say("{fruit} for {what}", fruit=fruit, what=f"{name.purpose}, {day}" if name.purpose else day)


@words_of.register(OfTakeOut)
def _of_take_out(name: OfTakeOut, tongue: Tongue) -> str:
    return tongue.say(
        "{weight} of {fruit}{picking} for {day}",
        weight=tongue.say("all") if name.weight is None else weight_words(tongue, name.weight),
        fruit=on_tree(name.limb, name.tree),
        picking=f", {round_words(tongue, name.picking)}" if name.picking > 1 else "",
        day=week_day(tongue, name.day),
    )


_SAID: Final = {Stage.KEEP_UNTIL: mark("take out the last")}
"""What pages call a day by another name than notes do."""


@words_of.register(StageOf)
def _stage_of(name: StageOf, tongue: Tongue) -> str:
    stage = tongue.term(_SAID.get(name.stage, name.stage.value))
    if name.of is None:
        return stage
    return tongue.say("{fruit}, {stage}", stage=stage, fruit=on_tree(name.of.limb, name.of.tree))


@words_of.register(LaterPickings)
def _later_pickings(name: LaterPickings, tongue: Tongue) -> str:
    return tongue.say("Later pickings of {fruit}", fruit=words_of(name.of, tongue))


@words_of.register(CultivarWanted)
def _cultivar_wanted(name: CultivarWanted, tongue: Tongue) -> str:
    return tongue.say("{cultivar} wanted on {day}", cultivar=name.cultivar, day=week_day(tongue, name.day))


@words_of.register(PreserveWanted)
def _preserve_wanted(name: PreserveWanted, tongue: Tongue) -> str:
    return tongue.say("{preserve}, wanted", preserve=tongue.term(name.preserve))
