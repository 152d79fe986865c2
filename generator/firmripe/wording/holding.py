"""The household's own nouns in words: weights, jars, readers, and partners that are gone."""

from __future__ import annotations

from firmripe.holding.jar import MOUTHS, Jar, JarSize
from firmripe.holding.pollination import Partner, Widowed
from firmripe.holding.reader import Reader
from firmripe.holding.record import Record
from firmripe.holding.weight import KILOGRAM, POUND, Weight
from firmripe.tongue import Tongue
from firmripe.wording.remarks import words_of


def weight_words(tongue: Tongue, weight: Weight) -> str:
    """Say a weight in whole pounds or kilograms, as `44 lb` or `150–200 lb`; less than one as `under 1 lb`."""
    unit, size = ("kg", KILOGRAM) if tongue.metric else ("lb", POUND)
    low = round(weight.low / size)
    high = low if weight.high == weight.low else round(weight.high / size)
    if high == 0 and weight.high > 0:
        return tongue.say("under 1 {unit}", unit=unit)
    least, most = tongue.number(low), tongue.number(high)
    return f"{least} {unit}" if low == high else f"{least}–{most} {unit}"


def noted_amount(record: Record) -> str:
    """Say the amount of a line as it was noted; of fruit of a whole row or range also of which, as `90 lb (row 3)`."""
    return f"{record.amount} ({record.of_row})" if record.amount and record.parts and record.of_row else record.amount


def jars_words(tongue: Tongue, jar: Jar, number: int) -> str:
    """Say so many jars, as `14 quarts`, `14 quarts (wide mouth)` or `30 jars of 500 ml`."""
    if jar.mouth:
        plain = _jars(tongue, jar.name.removeprefix(f"{jar.mouth}-mouth "), number)
        wide = jar.mouth == MOUTHS[0]
        return (
            tongue.say("{jars} (wide mouth)", jars=plain) if wide else tongue.say("{jars} (regular mouth)", jars=plain)
        )
    return _jars(tongue, jar.name, number)


def _jars(tongue: Tongue, name: str, number: int) -> str:
    if any(name == size.value for size in JarSize):
        return {
            "half pint": tongue.plural("{n} half pint", "{n} half pints", number),
            "pint": tongue.plural("{n} pint", "{n} pints", number),
            "pint and a half": tongue.plural("{n} pints and a half", "{n} pints and a half", number),
            "quart": tongue.plural("{n} quart", "{n} quarts", number),
            "half gallon": tongue.plural("{n} half gallon", "{n} half gallons", number),
        }[name]
    return tongue.plural("{n} jar of {size}", "{n} jars of {size}", number, size=name)


def reader_words(tongue: Tongue, reader: Reader) -> str:
    """Say whom a site is for, as its pages do."""
    if reader.is_everybody:
        return tongue.say("for everybody")
    return tongue.say("for {name}", name=reader.name) if reader.people else tongue.say("for the household")


def whose_words(tongue: Tongue, partner: Partner) -> str:
    """Name the tree of a partner by its tag, or say where the neighbor's stands."""
    return partner.whose or tongue.say("a neighbor’s")


@words_of.register(Widowed)
def _widowed(remark: Widowed, tongue: Tongue) -> str:
    return tongue.say(
        "{partner_limb} ({tag}), the last partner of {limb} here, was taken out: from the "
        "next bloom on little will set, unless another that blooms with it grows near",
        partner_limb=remark.partner.limb.name,
        tag=whose_words(tongue, remark.partner),
        limb=remark.limb.name,
    )
