"""The minutes of jars in words, with their acid, and why there are none: nothing else puts them into words."""

from __future__ import annotations

from functools import singledispatch

from firmripe.holding.kitchen import PotKind
from firmripe.holding.process import Band
from firmripe.kitchen.tables.processes import Minutes
from firmripe.kitchen.tables.refusals import (
    DoseNotPrinted,
    DryerMakesNoJars,
    FleshUnsaid,
    FleshWhite,
    FruitRefused,
    FruitUnsaid,
    GaugeUnsaid,
    HeightNotPrinted,
    HeightUnsaid,
    JarNotPrinted,
    JarTooLarge,
    NoMinutes,
    NoProcess,
    NotUnderPressure,
    PressureNotPrinted,
    ProductRefused,
    SpokenOf,
    TooLongInSteam,
)
from firmripe.tongue import Tongue, mark
from firmripe.wording.remarks import words_of
from firmripe.words import in_own_units

_RAN_FROM = {
    PotKind.BOILING_WATER: mark("of a full boil"),
    PotKind.STEAM: mark("of pure steam, from a full column of it"),
    PotKind.PRESSURE: mark("at full pressure"),
}


def minutes_words(tongue: Tongue, found: Minutes, *, vented: bool = False) -> str:
    """Say minutes that were looked up, with the acid that they hold for. Nothing else puts such minutes into words.

    `vented` says that the venting of a pressure canner has been told of already.
    """
    if found.pressures:
        ways = [
            in_own_units(tongue, tongue.say("{minutes} minutes at {psi} psi", minutes=way.minutes, psi=way.psi))
            for way in found.pressures
        ]
        said = tongue.say(" or ").join(ways)
        said = said if vented else tongue.say("vent 10 minutes, then {ways}", ways=said)
    else:
        said = tongue.say(
            "{minutes} minutes {from_when}", minutes=found.minutes, from_when=tongue.term(_RAN_FROM[found.kind])
        )
    return tongue.say("{minutes}, with {acid}", minutes=said, acid=acid_words(tongue, found)) if found.acid else said


def acid_words(tongue: Tongue, found: Minutes) -> str:
    """Say the acid that goes into each jar; empty where none is needed."""
    return tongue.say("{acid} in each jar", acid=tongue.term(found.acid)) if found.acid else ""


def band_words(tongue: Tongue, band: Band) -> str:
    """Say a band of height, as `1,001–3,000 ft`."""
    if band.high_ft is None:
        return in_own_units(tongue, tongue.say("above {height} ft", height=tongue.number(band.low_ft - 1)))
    low, high = tongue.number(band.low_ft), tongue.number(band.high_ft)
    return in_own_units(tongue, tongue.say("{low}–{high} ft", low=low, high=high))


# Why there are none


@words_of.register(HeightUnsaid)
def _height_unsaid(_remark: HeightUnsaid, tongue: Tongue) -> str:
    return tongue.say("nobody has said how high the kitchen lies, and the minutes hang on it")


@words_of.register(GaugeUnsaid)
def _gauge_unsaid(_remark: GaugeUnsaid, tongue: Tongue) -> str:
    return tongue.say("nobody has said whether the pressure canner has a dial or a weight")


@words_of.register(FruitUnsaid)
def _fruit_unsaid(_remark: FruitUnsaid, tongue: Tongue) -> str:
    return tongue.say("which fruit it is has not been said, and its acid hangs on it")


@words_of.register(SpokenOf)
def _spoken_of(remark: SpokenOf, tongue: Tongue) -> str:
    other = remark.other
    return tongue.say("a note speaks of it as {fruit}: {because}", fruit=other.name, because=tongue.term(other.because))


@words_of.register(FleshUnsaid)
def _flesh_unsaid(remark: FleshUnsaid, tongue: Tongue) -> str:
    because = tongue.term(remark.row.because)
    return tongue.say("whether its flesh is yellow or white has not been said: {because}", because=because)


@words_of.register(FleshWhite)
@words_of.register(FruitRefused)
def _refused(remark: FleshWhite | FruitRefused, tongue: Tongue) -> str:
    return tongue.term(remark.row.because)


@words_of.register(ProductRefused)
def _product_refused(remark: ProductRefused, tongue: Tongue) -> str:
    return f"{tongue.term(remark.row.what)}: {tongue.term(remark.row.because)}"


@words_of.register(NoProcess)
def _no_process(remark: NoProcess, tongue: Tongue) -> str:
    return tongue.say('no tested process is called "{process}"', process=remark.process)


@words_of.register(DryerMakesNoJars)
def _dryer(_remark: DryerMakesNoJars, tongue: Tongue) -> str:
    return tongue.say("a dryer makes no jars")


@words_of.register(JarTooLarge)
def _too_large(remark: JarTooLarge, tongue: Tongue) -> str:
    return tongue.say("nothing is printed for a jar as large as {jar}", jar=tongue.term(remark.jar.name))


@words_of.register(JarNotPrinted)
def _jar_not_printed(remark: JarNotPrinted, tongue: Tongue) -> str:
    process, jar = tongue.term(remark.process), tongue.term(remark.jar.name)
    return tongue.say("nothing is printed for {process} in a jar of this size ({jar})", process=process, jar=jar)


@words_of.register(HeightNotPrinted)
def _height_not_printed(remark: HeightNotPrinted, tongue: Tongue) -> str:
    return tongue.say("nothing is printed for this height for {process}", process=tongue.term(remark.process))


@words_of.register(TooLongInSteam)
def _too_long(remark: TooLongInSteam, tongue: Tongue) -> str:
    if remark.most is None:
        most = tongue.say("no time that is printed here")
    else:
        most = tongue.say("{number} minutes at most", number=remark.most)
    return tongue.say("it takes longer at this height than a steam canner may run: {most}", most=most)


@words_of.register(NotUnderPressure)
def _not_under_pressure(remark: NotUnderPressure, tongue: Tongue) -> str:
    return tongue.say("no time in a pressure canner is printed for {process}", process=tongue.term(remark.process))


@words_of.register(PressureNotPrinted)
def _pressure_not_printed(remark: PressureNotPrinted, tongue: Tongue) -> str:
    return tongue.say(
        "no pressure by a {gauge} gauge is printed for this height", gauge=tongue.term(remark.gauge.value)
    )


@words_of.register(DoseNotPrinted)
def _dose_not_printed(remark: DoseNotPrinted, tongue: Tongue) -> str:
    return tongue.say(
        "{process} needs acid in each jar, and its dose for a {jar} is not printed",
        process=tongue.term(remark.process),
        jar=tongue.term(remark.size.value),
    )


# What to do instead


@singledispatch
def instead_words(_why: NoMinutes, tongue: Tongue) -> str:
    """Say what can be done where there are no minutes."""
    return tongue.say("put it up in the freezer or the dryer, or keep it in the refrigerator")


@instead_words.register(HeightUnsaid)
def _of_height(_why: HeightUnsaid, tongue: Tongue) -> str:
    return tongue.say("write the kitchen's elevation in place.md")


@instead_words.register(GaugeUnsaid)
def _of_gauge(_why: GaugeUnsaid, tongue: Tongue) -> str:
    return tongue.say("write gauge: dial or gauge: weighted in place.md")


@instead_words.register(FruitUnsaid)
def _of_fruit(_why: FruitUnsaid, tongue: Tongue) -> str:
    return tongue.say("write fruit: european-pear or fruit: asian-pear in its note; until then freeze or dry it")


@instead_words.register(SpokenOf)
def _of_name(_why: SpokenOf, tongue: Tongue) -> str:
    return tongue.say("mend the note or its fruit; until then freeze it")


@instead_words.register(FleshUnsaid)
def _of_flesh(_why: FleshUnsaid, tongue: Tongue) -> str:
    return tongue.say("cut one: where it is yellow, write flesh: yellow in its note; until then freeze it")


@instead_words.register(FleshWhite)
@instead_words.register(FruitRefused)
@instead_words.register(ProductRefused)
def _of_refused(why: FleshWhite | FruitRefused | ProductRefused, tongue: Tongue) -> str:
    return tongue.term(why.row.instead)


@instead_words.register(JarTooLarge)
def _of_too_large(_why: JarTooLarge, tongue: Tongue) -> str:
    return tongue.say("take smaller jars")


@instead_words.register(JarNotPrinted)
def _of_jar(why: JarNotPrinted, tongue: Tongue) -> str:
    sizes = tongue.say(" or ").join(tongue.term(f"{size.value}s") for size in why.sizes)
    return tongue.say("take {sizes}", sizes=sizes)


@instead_words.register(TooLongInSteam)
def _of_steam(_why: TooLongInSteam, tongue: Tongue) -> str:
    return tongue.say("use a boiling-water canner")


@instead_words.register(NotUnderPressure)
def _of_pressure(_why: NotUnderPressure, tongue: Tongue) -> str:
    return tongue.say("use boiling water")


@instead_words.register(DoseNotPrinted)
def _of_dose(_why: DoseNotPrinted, tongue: Tongue) -> str:
    return tongue.say("take pints or quarts")
