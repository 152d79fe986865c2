"""What a verdict says of fruit that was eaten: good, or what was wrong with it, and why where that is told."""

from __future__ import annotations

import re
from collections.abc import Iterable
from enum import Enum
from typing import Final

from msgspec import Struct

from firmripe.holding.record import Happening
from firmripe.tongue import Tongue, mark


class Fault(Enum):
    """What is wrong with fruit that was eaten; the text is the word of the trade for it."""

    BROWN_CORE = mark("brown at the core")
    HARD = mark("never softened")
    MEALY = mark("mealy")
    SHRIVELED = mark("shriveled")


class Cause(Enum):
    """What brings a fault about; the text is what is written behind a verdict to name it."""

    PICKED_LATE = mark("picked late")
    PICKED_EARLY = mark("picked early")
    SHORT_COLD = mark("too little cold")
    LONG_COLD = mark("too long in the cold")
    CHILLED = mark("chilled")
    CLOSED_BAG = mark("closed bag")
    HEAT = mark("too warm")
    LONG_COUNTER = mark("too long on the counter")


CAUSES: Final = {
    Fault.BROWN_CORE: (Cause.PICKED_LATE, Cause.LONG_COLD, Cause.CLOSED_BAG, Cause.HEAT),
    Fault.HARD: (Cause.PICKED_EARLY, Cause.SHORT_COLD, Cause.LONG_COLD, Cause.CHILLED, Cause.HEAT),
    Fault.MEALY: (Cause.PICKED_LATE, Cause.LONG_COLD, Cause.CHILLED, Cause.LONG_COUNTER),
    Fault.SHRIVELED: (Cause.PICKED_EARLY, Cause.LONG_COLD),
}
"""What may lie behind each fault.

Brown core: pears left on the tree ripen from the core out (Penn State and others, R), the core of Bartlett breaks down
after two months at 32 °F, of Moonglow and Magness after four (R); that a closed bag and heat do it too is common
practice. Hard: picked too soon (P), too little cold (Sugar and Einhorn, R), held too long (WSU Market Diseases, R),
chilled (peaches, R), a room too warm (Maxie and others, R). Mealy and shriveled: common practice.
"""

_PATTERNS: Final = {
    Fault.BROWN_CORE: r"(?:brown|soft|dark|rotten|mushy|broken)\w* (?:\w+ ){0,3}?cores?|core breakdown"
    r"|cores? (?:\w+ ){0,3}?(?:brown|soft|dark|rotten|mushy)",
    Fault.HARD: r"never (?:softened|ripened)|stayed hard|(?:would not|did not|didn['’]t) (?:soften|ripen)",
    Fault.MEALY: r"meal(?:y|iness)",
    Fault.SHRIVELED: r"shrivell?ed",
}
_TOLD: Final = {
    Cause.PICKED_LATE: r"picked (?:too )?late|picked over-?ripe",
    Cause.PICKED_EARLY: r"picked (?:too )?(?:early|soon)",
    Cause.SHORT_COLD: r"too little cold|taken out too (?:early|soon)",
    Cause.LONG_COLD: r"too long in (?:the )?(?:cold|store)|(?:kept|stored|held) too long",
    Cause.CHILLED: r"chilled",
    Cause.CLOSED_BAG: r"closed (?:plastic )?bags?",
    Cause.HEAT: r"too (?:warm|hot)",
    Cause.LONG_COUNTER: r"too long on the counter|eaten too late",
}
_GOOD: Final = r"good|best|excellent|perfect"
_NOT: Final = r"(?:not|no|never|nor|without|neither) (?:(?:a|too|at all|the) )?"


class Verdict(Struct, frozen=True, kw_only=True):
    """A verdict as understood: whether it is good, what was wrong, which causes it names, and which it rules out.

    `of_first` and `of_last` say that it names the picking that the fruit is of.
    """

    good: bool = False
    faults: tuple[Fault, ...] = ()
    told_causes: tuple[Cause, ...] = ()
    ruled_out: tuple[Cause, ...] = ()
    of_first: bool = False
    of_last: bool = False


def heard(text: str, tongue: Tongue) -> Verdict:
    """Understand a verdict's words, in English or in the household's language; `not mealy` is no fault."""
    plain = " ".join(re.sub(r"[^\w'’,;.-]", " ", text.casefold()).split())

    def own(word: str) -> str:
        return tongue.translations.gettext(word).casefold()

    faults = [f for f in Fault if _says(plain, (_PATTERNS[f], re.escape(own(f.value))))]
    causes = {c: (_TOLD[c], re.escape(own(c.value))) for c in Cause}
    good = (_GOOD, *(re.escape(own(word)) for word in ("good", "perfect")))
    return Verdict(
        good=_says(plain, good) and not faults,
        faults=tuple(faults),
        told_causes=tuple(cause for cause, patterns in causes.items() if _says(plain, patterns)),
        ruled_out=tuple(cause for cause, patterns in causes.items() if _says_not(plain, patterns)),
        of_first=_says(plain, (r"first pick\w*", re.escape(own(Happening.FIRST_PICK.value)))),
        of_last=_says(plain, (r"last pick\w*", re.escape(own(Happening.LAST_PICK.value)))),
    )


def _says(text: str, patterns: Iterable[str]) -> bool:
    """Say whether any of some patterns stands in a text other than denied."""
    left = re.sub(rf"\b{_NOT}(?:{'|'.join(patterns)})\b", "", text)
    return re.search(rf"\b(?:{'|'.join(patterns)})\b", left) is not None


def _says_not(text: str, patterns: Iterable[str]) -> bool:
    return re.search(rf"\b{_NOT}(?:{'|'.join(patterns)})\b", text) is not None
