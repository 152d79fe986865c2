"""The plan in words: minutes with their acid, why a load is on its day, and what would meet a want that is not met."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date

from firmripe.holding.kitchen import PotKind
from firmripe.kitchen.days import Sitting
from firmripe.kitchen.fitted import Binds, Lack, PutUp, Remedy
from firmripe.kitchen.plan import Ware
from firmripe.kitchen.processes import Minutes
from firmripe.kitchen.wares import FREEZER_L, JARS
from firmripe.saying import _, mark, n_, term
from firmripe.units import KILOGRAMS_PER_POUND
from firmripe.words import week_day

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
MOST_OTHERS = 3
"""So many other days are told of for each load."""
_RAN_FROM = {
    PotKind.BOILING_WATER: mark("of a full boil"),
    PotKind.STEAM: mark("of pure steam, from a full column of it"),
    PotKind.PRESSURE: mark("at full pressure"),
}


def minutes_words(found: Minutes, *, vented: bool = False) -> str:
    """Say minutes that were looked up, with the acid that they hold for. Nothing else puts such minutes into words.

    `vented` says that the venting of a pressure canner has been told of already.
    """
    if found.pressures:
        ways = [_("{minutes} minutes at {psi} psi", minutes=way.minutes, psi=way.psi) for way in found.pressures]
        said = _(" or ").join(ways)
        said = said if vented else _("vent 10 minutes, then {ways}", ways=said)
    else:
        said = _("{minutes} minutes {from_when}", minutes=found.minutes, from_when=term(_RAN_FROM[found.kind]))
    return _("{minutes}, with {acid}", minutes=said, acid=acid_words(found)) if found.acid else said


def acid_words(found: Minutes) -> str:
    """Say the acid that goes into each jar; empty where none is needed."""
    return _("{acid} in each jar", acid=term(found.acid)) if found.acid else ""


def why_words(one: PutUp) -> tuple[str, ...]:
    """Say why a product is made on its day and not on another."""
    day = week_day(one.day)
    others = sorted(one.otherwise, key=lambda other: (abs((other.day - one.day).days), other.session))
    if one.worth > 0.95:
        lines = [_("On {day} the fruit is at its best.", day=day)]
    elif one.worth > 0.7:
        lines = [_("On {day} the fruit is near its best.", day=day)]
    else:
        lines = [_("On {day} the fruit is past its best, still good.", day=day)]
    if not others:
        lines.append(_("No other kitchen day falls while it is good."))
    said: dict[str, list[date]] = {}
    for other in others[:MOST_OTHERS]:
        said.setdefault(term(_BINDS[other.binds]), []).append(other.day)
    for words, days in said.items():
        named = _(" or ").join(week_day(day) for day in dict.fromkeys(days))
        lines.append(_("Not on {days}: {why}.", days=named, why=words))
    return tuple(lines)


def remedy_words(remedy: Remedy, want: str, ware: Ware, sittings: Mapping[str, Sitting]) -> str:
    """Say one thing that would bring a want nearer, and by how much."""
    more = _("{jars} more", jars=ware.several(remedy.gains[want]))
    session = sittings.get(remedy.name)
    where = ""
    if session:
        where = " " + _("on {day} in the {kitchen}", day=week_day(session.day), kitchen=session.kitchen.name)
    on = " " + _("on {day}", day=week_day(remedy.day)) if remedy.day and not where else ""
    much = round(remedy.amount + 0.049, 1)
    number = round(much)
    words = {
        Lack.POT_AWAY: _("with {pot} here", pot=remedy.name) + on,
        Lack.POT: _("with one more pot like {pot}", pot=remedy.name) + on,
        Lack.HANDS: _hands(number) + (where or on),
        Lack.HOURS: n_("with {n:g} hour more", "with {n:g} hours more", much) + (where or on),
        Lack.STOCK: _stock(remedy.name, much),
        Lack.SESSION: _("with one more day in the {kitchen}", kitchen=remedy.name) + on,
        Lack.SPACE: _("with room for {amount:g} kg more in the {space}", amount=much, space=remedy.name),
        Lack.FRUIT: _("with {weight} more fruit", weight=_pounds(remedy.amount)),
    }
    return f"{words[remedy.lack]}: {more}"


def _stock(thing: str, much: float) -> str:
    number = math.ceil(much - 1e-6)
    if thing.startswith(JARS):
        return n_("with {n} {size} jar more", "with {n} {size} jars more", number, size=term(thing.removeprefix(JARS)))
    if thing == FREEZER_L:
        return _("with {amount:g} l more room in the freezer", amount=much)
    return _("with {amount} more {things}", amount=number, things=term(thing))


def _hands(number: int) -> str:
    return n_("with one more pair of hands", "with {n} more pairs of hands", max(1, number))


def _pounds(kg: float) -> str:
    return f"{max(1, round(kg / KILOGRAMS_PER_POUND))} lb ({kg:.1f} kg)"
