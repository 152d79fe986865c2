"""How much there will be, and why that is expected, in words."""

from __future__ import annotations

from firmripe.harvest.because import (
    Counted,
    CropNoted,
    InTurn,
    LostOnTheTree,
    NoteExpects,
    OwnWeights,
    PerhapsNoneYet,
    PrintedYields,
)
from firmripe.holding.record import Happening
from firmripe.tongue import Tongue
from firmripe.wording.holding import weight_words
from firmripe.wording.remarks import words_of
from firmripe.words import amount


@words_of.register(OwnWeights)
def _own_weights(told: OwnWeights, tongue: Tongue) -> str:
    said = ", ".join(
        tongue.say("{weight} in {year}", weight=weight_words(tongue, weight), year=year)
        for year, weight in told.seasons
    )
    if len(told.seasons) == 1:
        said = tongue.say("{told}; one season alone, so half as much less or more", told=said)
    return tongue.say("Own weights: {told}", told=said)


@words_of.register(Counted)
def _counted(told: Counted, tongue: Tongue) -> str:
    return tongue.say("Counted: {amount}, times the weight of one", amount=told.amount)


@words_of.register(NoteExpects)
def _note_expects(_told: NoteExpects, tongue: Tongue) -> str:
    return tongue.say("What the tree's own note expects of it")


@words_of.register(PrintedYields)
def _printed_yields(told: PrintedYields, tongue: Tongue) -> str:
    said = tongue.say(
        "Printed yields of a full-grown tree: {yields}", yields="; ".join(amount(tongue, text) for text in told.yields)
    )
    if told.limbs > 1:
        return tongue.say("{told}, an equal part for each of {limbs} limbs", told=said, limbs=told.limbs)
    return said


@words_of.register(PerhapsNoneYet)
def _perhaps_none_yet(told: PerhapsNoneYet, tongue: Tongue) -> str:
    return tongue.say("Planted in {year}: perhaps nothing yet, at most the least of that", year=told.planted)


@words_of.register(CropNoted)
def _crop_noted(told: CropNoted, tongue: Tongue) -> str:
    if told.share:
        half = tongue.say("{share} of that", share=told.share)
    elif told.what is Happening.HEAVY_CROP:
        half = tongue.say("the upper half of that")
    else:
        half = tongue.say("no more than the middle of that")
    return tongue.say("Noted as {what}: {half}", what=tongue.term(told.what.value), half=half)


@words_of.register(InTurn)
def _in_turn(told: InTurn, tongue: Tongue) -> str:
    turn = told.turn
    if not turn.is_sure:
        return tongue.say(
            "Last year was heavy, and after such a year many trees bear less (common practice): perhaps half of that"
        )
    seen = tongue.say("heavy and light years took turns in {turns} of {pairs}", turns=turn.turns, pairs=turn.pairs)
    if turn.heavy:
        return tongue.say("Last year was light, and {seen}: the upper half of that", seen=seen)
    if turn.may_be_none:
        return tongue.say("Last year was heavy, and {seen}: perhaps nothing, at most the middle of that", seen=seen)
    return tongue.say("Last year was heavy, and {seen}: the lower half of that", seen=seen)


@words_of.register(LostOnTheTree)
def _lost_on_the_tree(told: LostOnTheTree, tongue: Tongue) -> str:
    return tongue.say("Lost on the tree: {weight}, taken off that", weight=weight_words(tongue, told.weight))
