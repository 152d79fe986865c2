"""The household's own nouns in words: weights, jars, readers, and partners that are gone."""

from __future__ import annotations

from firmripe.holding.jar import MOUTHS, Jar, JarSize
from firmripe.holding.pollination import Partner, Widowed
from firmripe.holding.reader import Reader
from firmripe.holding.weight import KILOGRAM, POUND, Weight
from firmripe.saying import _, n_, tongue
from firmripe.wording.remarks import words_of


def pounds_words(weight: Weight, *, metric: bool) -> str:
    """Say a weight in whole pounds or kilograms, as `44 lb` or `150–200 lb`; less than one as `under 1 lb`."""
    unit, size = ("kg", KILOGRAM) if metric else ("lb", POUND)
    low, high = round(weight.low / size), round(weight.high / size)
    if high == 0 and weight.high > 0:
        return _("under 1 {unit}", unit=unit)
    return f"{low:,} {unit}" if low == high else f"{low:,}–{high:,} {unit}"


def weight_words(weight: Weight) -> str:
    """Say a weight in the units of the place."""
    return pounds_words(weight, metric=tongue().metric)


def jars_words(jar: Jar, number: int) -> str:
    """Say so many jars, as `14 quarts`, `14 quarts (wide mouth)` or `30 jars of 500 ml`."""
    if jar.mouth:
        plain = _jars(jar.name.removeprefix(f"{jar.mouth}-mouth "), number)
        wide = jar.mouth == MOUTHS[0]
        return _("{jars} (wide mouth)", jars=plain) if wide else _("{jars} (regular mouth)", jars=plain)
    return _jars(jar.name, number)


def _jars(name: str, number: int) -> str:
    if any(name == size.value for size in JarSize):
        return {
            "half pint": n_("{n} half pint", "{n} half pints", number),
            "pint": n_("{n} pint", "{n} pints", number),
            "pint and a half": n_("{n} pints and a half", "{n} pints and a half", number),
            "quart": n_("{n} quart", "{n} quarts", number),
            "half gallon": n_("{n} half gallon", "{n} half gallons", number),
        }[name]
    return n_("{n} jar of {size}", "{n} jars of {size}", number, size=name)


def reader_words(reader: Reader) -> str:
    """Say whom a site is for, as its pages do."""
    if reader.is_everybody:
        return _("for everybody")
    return _("for {name}", name=reader.name) if reader.people else _("for the household")


def whose_words(partner: Partner) -> str:
    """Name the tree of a partner by its tag, or say where the neighbor's stands."""
    return partner.whose or _("a neighbor’s")


@words_of.register
def _widowed(remark: Widowed) -> str:
    return _(
        "{partner_limb} ({tag}), the last partner of {limb} here, was taken out: from the "
        "next bloom on little will set, unless another that blooms with it grows near",
        partner_limb=remark.partner.limb.name,
        tag=whose_words(remark.partner),
        limb=remark.limb.name,
    )
