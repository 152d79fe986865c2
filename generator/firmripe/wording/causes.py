"""What moves a date, named in a few words for who only wants to know why; the figures are worded whole elsewhere."""

from __future__ import annotations

from typing import Final

from firmripe.remark import Remark
from firmripe.season.because import CarriedByWarmth, Evidence, FromNotes, OfTheGround, Whose
from firmripe.tongue import Tongue, mark
from firmripe.wording.remarks import words_of
from firmripe.words import within

_OF_NOTES: Final = {
    Evidence.VERDICTS: mark("what verdicts say of earlier picks"),
    Evidence.FIRMNESS: mark("firmness readings"),
    Evidence.FIRST_DROP: mark("the first sound fruit on the ground"),
    Evidence.WARMTH: mark("the warmth of this spring"),
    Evidence.INTERVAL: mark("the usual days from full bloom to pick"),
}


def cause_words(tongue: Tongue, why: Remark, *, later: bool) -> str:
    """Name what moves a date `later`, or earlier, as a part of a sentence."""
    if isinstance(why, CarriedByWarmth):
        return (
            tongue.say("it is cooler here than where that is printed for")
            if later
            else tongue.say("it is warmer here than where that is printed for")
        )
    if why is OfTheGround.BESIDE_ALL:
        return tongue.say("what else is printed")
    if isinstance(why, FromNotes):
        return _of_notes(tongue, why)
    return within(tongue, words_of(why, tongue))


def _of_notes(tongue: Tongue, why: FromNotes) -> str:
    event = tongue.term(why.event.value)
    if why.evidence in _OF_NOTES:
        what = tongue.term(_OF_NOTES[why.evidence])
    elif why.evidence is Evidence.THIS_SEASON:
        what = tongue.say("this season’s {event}", event=event)
    else:
        what = tongue.say("the {event} of earlier seasons", event=event)
    if why.whose is Whose.OWN:
        return what
    if why.whose is Whose.LIMBS:
        return tongue.say("{what}, on another limb of this tree", what=what)
    if why.whose is Whose.KIN:
        return tongue.say("{what}, on other {limb}", what=what, limb=why.limb)
    return tongue.say("{what}, on other trees", what=what)
