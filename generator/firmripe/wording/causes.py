"""What moves a date, named in a few words for who only wants to know why; the figures are worded whole elsewhere."""

from __future__ import annotations

from typing import Final

from firmripe.remark import Remark
from firmripe.saying import _, mark, term
from firmripe.season.because import CarriedByWarmth, Evidence, FromNotes, OfTheGround, Whose
from firmripe.wording.remarks import words_of
from firmripe.words import within

_OF_NOTES: Final = {
    Evidence.VERDICTS: mark("what verdicts say of earlier picks"),
    Evidence.FIRMNESS: mark("firmness readings"),
    Evidence.FIRST_DROP: mark("the first sound fruit on the ground"),
    Evidence.WARMTH: mark("the warmth of this spring"),
    Evidence.INTERVAL: mark("the usual days from full bloom to pick"),
}


def cause_words(why: Remark, *, later: bool) -> str:
    """Name what moves a date `later`, or earlier, as a part of a sentence."""
    if isinstance(why, CarriedByWarmth):
        return (
            _("it is cooler here than where that is printed for")
            if later
            else _("it is warmer here than where that is printed for")
        )
    if why is OfTheGround.BESIDE_ALL:
        return _("what else is printed")
    if isinstance(why, FromNotes):
        return _of_notes(why)
    return within(words_of(why))


def _of_notes(why: FromNotes) -> str:
    event = term(why.event.value)
    if why.evidence in _OF_NOTES:
        what = term(_OF_NOTES[why.evidence])
    elif why.evidence is Evidence.THIS_SEASON:
        what = _("this season’s {event}", event=event)
    else:
        what = _("the {event} of earlier seasons", event=event)
    if why.whose is Whose.OWN:
        return what
    if why.whose is Whose.KIN:
        return _("{what}, on other {limb}", what=what, limb=why.limb)
    return _("{what}, on other trees", what=what)
