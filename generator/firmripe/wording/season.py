"""Why a date is what it is, or why there is none, and what to ask about it, in words."""

from __future__ import annotations

from typing import Final

from firmripe.holding.fruit import Event
from firmripe.holding.record import Happening
from firmripe.season.because import (
    AllElseNoted,
    CarriedByWarmth,
    CropLost,
    CropSize,
    EventOf,
    Evidence,
    FirmnessStands,
    FixedByHand,
    FreezesAt,
    FromNotes,
    FromOwnBloom,
    IntervalFromBloom,
    KnownOfFruit,
    MovesNothing,
    NoCrop,
    NoFreezingFigure,
    NotedOn,
    NoteIt,
    NotFalling,
    NothingSays,
    NotThere,
    OfTheGround,
    OutOfTime,
    Overdue,
    OwnInterval,
    OwnPicks,
    OwnRecordsAlone,
    OwnWindows,
    PerhapsTooYoung,
    PlacedWindow,
    PlaceInOrder,
    PlantedOnly,
    Reckoned,
    SomethingNoted,
    TooYoung,
    UsualDayStated,
    UsualPickStated,
    Whose,
    Windows,
)
from firmripe.season.explaining import Narrowing
from firmripe.tongue import Tongue, mark
from firmripe.wording.remarks import words_of
from firmripe.words import (
    about_day,
    amount,
    begun,
    degrees,
    of_crop,
    on_tree,
    rhythm_words,
    span_words,
    stretch_words,
    week_day,
    when_words,
)

# What is expected before anything is noted
# -----------------------------------------


@words_of.register(OwnWindows)
def _own_windows(remark: OwnWindows, tongue: Tongue) -> str:
    return tongue.say(
        "Your own note: {windows}", windows="; ".join(stretch_words(tongue, text) for text in remark.windows)
    )


@words_of.register(Windows)
def _windows(remark: Windows, tongue: Tongue) -> str:
    shown = "; ".join(_placed(tongue, window) for window in remark.windows)
    if remark.more:
        shown += tongue.say("; and {number} more", number=remark.more)
    if remark.is_own:
        return tongue.say("Your own note: {windows}", windows=shown)
    of_fruit = tongue.say(" for {fruit} in general", fruit=tongue.term(remark.fruit)) if remark.fruit else ""
    return tongue.say("Printed{of_fruit}: {shown}", of_fruit=of_fruit, shown=shown)


def _placed(tongue: Tongue, window: PlacedWindow) -> str:
    return tongue.say(
        "{window} in {place}",
        window=stretch_words(tongue, window.text),
        place=window.place or tongue.say("the zone given"),
    )


@words_of.register(PlaceInOrder)
def _in_order(remark: PlaceInOrder, tongue: Tongue) -> str:
    after = when_words(tongue, remark.offset)
    if remark.is_own:
        return tongue.say("Your own note: {offset} {base}", offset=after, base=remark.base)
    return tongue.say("Printed: {offset} {base}", offset=after, base=remark.base)


@words_of.register(IntervalFromBloom)
def _interval(remark: IntervalFromBloom, tongue: Tongue) -> str:
    words = tongue.say("after full bloom") if remark.event is Event.PICK else tongue.say("before picking")
    if remark.is_own:
        return tongue.say(
            "Your own interval: {interval} {words}", interval=amount(tongue, remark.interval), words=words
        )
    return tongue.say("Printed: {interval} {words}", interval=amount(tongue, remark.interval), words=words)


@words_of.register(OwnInterval)
def _own_interval(remark: OwnInterval, tongue: Tongue) -> str:
    return tongue.say("Your own interval: {own} after full bloom", own=amount(tongue, remark.interval))


@words_of.register(KnownOfFruit)
def _of_fruit(remark: KnownOfFruit, tongue: Tongue) -> str:
    fruit = tongue.term(remark.fruit) if remark.fruit else remark.cultivar
    return tongue.say("Printed of others: what is known of {fruit}", fruit=fruit)


@words_of.register(UsualPickStated)
def _usual_pick(remark: UsualPickStated, tongue: Tongue) -> str:
    return tongue.say("Your own word: the usual pick of {cultivar} here", cultivar=remark.cultivar)


@words_of.register(OfTheGround)
def _of_the_ground(remark: OfTheGround, tongue: Tongue) -> str:
    if remark is OfTheGround.NOT_KNOWN:
        return tongue.say("Taken as printed: nothing says where this is")
    if remark is OfTheGround.NO_WINTER:
        return tongue.say("No winter here tells trees when to bloom: they may in any month")
    return tongue.say("Set beside what else is printed, near and far")


@words_of.register(Reckoned)
def _reckoned(remark: Reckoned, tongue: Tongue) -> str:
    if remark.event is Event.LEAF_FALL:
        return tongue.say("Reckoned for this ground: an autumn of {here}", here=degrees(tongue, remark.mean_c))
    if remark.event is Event.FULL_BLOOM:
        return tongue.say(
            "Reckoned for this ground: {here} in the first two months of spring", here=degrees(tongue, remark.mean_c)
        )
    return tongue.say("Reckoned for this ground: a spring of {here}", here=degrees(tongue, remark.mean_c))


@words_of.register(CarriedByWarmth)
def _carried(remark: CarriedByWarmth, tongue: Tongue) -> str:
    """Say which seasons' warmth a date was carried by, here and where it is printed."""
    early, spring, summer, autumn = (degrees(tongue, mean_c) for mean_c in remark.there_c)
    early_here, here, summer_here, autumn_here = (degrees(tongue, mean_c) for mean_c in remark.here_c)
    if remark.event is Event.LEAF_FALL:
        return tongue.say(
            "Carried to this ground by warmth: an autumn of {here} here, {there} there", here=autumn_here, there=autumn
        )
    if remark.event is Event.FULL_BLOOM:
        return tongue.say(
            "Carried to this ground by warmth: {here} here in the first two months of spring, {there} there",
            here=early_here,
            there=early,
        )
    return tongue.say(
        "Carried to this ground by warmth: a spring of {here} and a summer of {summer_here} here, {there} and "
        "{summer_there} there",
        here=here,
        summer_here=summer_here,
        there=spring,
        summer_there=summer,
    )


@words_of.register(OwnRecordsAlone)
def _own_records(_remark: OwnRecordsAlone, tongue: Tongue) -> str:
    return tongue.say("No printed date: only your own records speak for it")


# What was noted
# --------------

_OF_ITS_FRUIT: Final = {
    Evidence.VERDICTS: mark("What verdicts say of earlier picks"),
    Evidence.FIRMNESS: mark("Firmness readings, carried to the firmness at the pick"),
    Evidence.FIRST_DROP: mark("The first sound fruit on the ground"),
}


@words_of.register(FromNotes)
def _from_notes(remark: FromNotes, tongue: Tongue) -> str:
    whose = _whose(tongue, remark)
    if remark.evidence in _OF_ITS_FRUIT:
        return tongue.say("{what}, of {whose}", what=tongue.term(_OF_ITS_FRUIT[remark.evidence]), whose=whose)
    if remark.evidence is Evidence.WARMTH:
        return tongue.say("Warmth this spring, reckoned for {whose}", whose=whose)
    if remark.evidence is Evidence.INTERVAL:
        return tongue.say("The interval from full bloom to pick, of {whose}", whose=whose)
    event = tongue.term(remark.event.value)
    if remark.evidence is Evidence.THIS_SEASON:
        return tongue.say("This season’s {event} of {whose}", event=event, whose=whose)
    return tongue.say(
        "Noted in {when}: {event} of {whose}", when=tongue.say("earlier seasons"), event=event, whose=whose
    )


def _whose(tongue: Tongue, remark: FromNotes) -> str:
    if remark.whose is Whose.OWN:
        return tongue.say("this tree")
    if remark.whose is Whose.LIMBS:
        return tongue.say("another limb of this tree")
    return tongue.say("other {limb}", limb=remark.limb) if remark.whose is Whose.KIN else tongue.say("other trees")


@words_of.register(UsualDayStated)
def _usual_day(remark: UsualDayStated, tongue: Tongue) -> str:
    if remark.event is Event.FULL_BLOOM:
        return tongue.say("The usual bloom of {name} here", name=remark.cultivar)
    return tongue.say("The usual pick of {name} here", name=remark.cultivar)


@words_of.register(AllElseNoted)
def _all_else(_remark: AllElseNoted, tongue: Tongue) -> str:
    return tongue.say("Everything else that was noted, together")


@words_of.register(SomethingNoted)
def _something(_remark: SomethingNoted, tongue: Tongue) -> str:
    return tongue.say("Something noted here")


@words_of.register(CropSize)
def _crop_size(remark: CropSize, tongue: Tongue) -> str:
    if remark.size is Happening.LIGHT_CROP:
        return tongue.say("A light crop ripens 3 to 4 days sooner")
    if remark.size is Happening.HEAVY_CROP:
        return tongue.say("A heavy crop ripens up to a week later")
    return tongue.say("Only part of the crop set: the window is wider")


# Whose word counts
# -----------------


@words_of.register(FixedByHand)
def _fixed(remark: FixedByHand, tongue: Tongue) -> str:
    because = f": {remark.because}" if remark.because else ""
    return tongue.say("Fixed by hand in the tree's note{because}", because=because)


@words_of.register(NotedOn)
def _noted_on(remark: NotedOn, tongue: Tongue) -> str:
    return tongue.say(
        "Noted in the records: {day}", day=about_day(tongue, week_day(tongue, remark.day), is_about=remark.is_about)
    )


@words_of.register(OwnPicks)
def _own_picks(remark: OwnPicks, tongue: Tongue) -> str:
    rhythm, days = rhythm_words(tongue, remark.every), span_words(tongue, remark.days)
    return tongue.say("Your own days of picking: {rhythm}, {days}", rhythm=rhythm, days=days)


@words_of.register(FromOwnBloom)
def _from_own_bloom(remark: FromOwnBloom, tongue: Tongue) -> str:
    own, day = amount(tongue, remark.interval), week_day(tongue, remark.bloom)
    return tongue.say("Your own interval, {own}, from full bloom on {day}", own=own, day=day)


@words_of.register(FreezesAt)
def _freezes_at(remark: FreezesAt, tongue: Tongue) -> str:
    return tongue.say("The fruit itself freezes at {limit}", limit=amount(tongue, remark.limit))


@words_of.register(NoFreezingFigure)
def _no_freezing_figure(_remark: NoFreezingFigure, tongue: Tongue) -> str:
    return tongue.say("No figure is published of how much cold this fruit stands; a hard freeze spoils fruit")


# Why there is no date
# --------------------


@words_of.register(NothingSays)
def _nothing_says(remark: NothingSays, tongue: Tongue) -> str:
    return tongue.say(
        "neither the shelf nor the records say when the {event} of {cultivar} is",
        event=tongue.term(remark.event.value),
        cultivar=remark.cultivar,
    )


@words_of.register(NoteIt)
def _note_it(remark: NoteIt, tongue: Tongue) -> str:
    return tongue.say(
        "note one {event} in records, or give {cultivar} a window or an offset",
        event=tongue.term(remark.event.value),
        cultivar=remark.cultivar,
    )


@words_of.register(PlantedOnly)
def _planted_only(remark: PlantedOnly, tongue: Tongue) -> str:
    return tongue.say("it is planted only in {year}", year=remark.year)


@words_of.register(TooYoung)
def _too_young(remark: TooYoung, tongue: Tongue) -> str:
    return tongue.say("young tree: no crop looked for before {bears_from}", bears_from=remark.bears_from)


@words_of.register(NoCrop)
def _no_crop(remark: NoCrop, tongue: Tongue) -> str:
    return tongue.say("no crop this season{note}", note=f" ({remark.note})" if remark.note else "")


@words_of.register(CropLost)
def _crop_lost(remark: CropLost, tongue: Tongue) -> str:
    note = f" ({remark.note})" if remark.note else ""
    return tongue.say("the crop was lost, noted {day}{note}", day=week_day(tongue, remark.noted), note=note)


@words_of.register(NotThere)
def _not_there(remark: NotThere, tongue: Tongue) -> str:
    said = {NotThere.TAKEN_OUT: tongue.say("it was taken out"), NotThere.UNSEEN: tongue.say("nobody sees it bloom")}
    return said.get(remark) or tongue.say("nothing is known of it")


# What to ask
# -----------


@words_of.register(EventOf)
def _event_of(remark: EventOf, tongue: Tongue) -> str:
    limb, crop = on_tree(remark.limb, remark.tree), of_crop(tongue, remark.crop)
    return tongue.say("{event} of {limb}{crop}", event=tongue.term(remark.event.value), limb=limb, crop=crop)


def title_words(tongue: Tongue, of: EventOf) -> str:
    """Name an event of a limb, as a heading."""
    return begun(words_of(of, tongue))


def note_words(tongue: Tongue, of: EventOf) -> str:
    """Name an event of a limb as something that can still be noted."""
    word = tongue.say("a bloom date") if of.event is Event.FULL_BLOOM else tongue.say("the first pick")
    crop = tongue.say(" ({crop} crop)", crop=tongue.term(of.crop)) if of.crop else ""
    return tongue.say("{word} for {limb}{crop}", word=word, limb=on_tree(of.limb, of.tree), crop=crop)


@words_of.register(Narrowing)
def _narrowing(remark: Narrowing, tongue: Tongue) -> str:
    return tongue.say(
        "{note} would cut this window from {days_now} to {days_then} days",
        note=note_words(tongue, remark.note),
        days_now=remark.days_now,
        days_then=remark.days_then,
    )


@words_of.register(Overdue)
def _overdue(remark: Overdue, tongue: Tongue) -> str:
    name = on_tree(remark.pick.limb, remark.pick.tree) + of_crop(tongue, remark.pick.crop)
    return tongue.say(
        "{name}: its pick was looked for until {latest}, and none is noted",
        name=name,
        latest=week_day(tongue, remark.latest),
    )


@words_of.register(PerhapsTooYoung)
def _perhaps_too_young(remark: PerhapsTooYoung, tongue: Tongue) -> str:
    said = tongue.say(
        "{fruit} was planted in {year}: perhaps it bears nothing yet.",
        fruit=on_tree(remark.limb, remark.tree),
        year=remark.planted,
    )
    return said + " " + tongue.say("Write bears from: and the year into its note.")


@words_of.register(OutOfTime)
def _out_of_time(remark: OutOfTime, tongue: Tongue) -> str:
    causes = " ".join(tongue.term(cause) for cause in remark.causes)
    return tongue.say(
        "Fruit fell on {day}, outside its usual times. {causes}", day=week_day(tongue, remark.day), causes=causes
    ).strip()


@words_of.register(NotFalling)
def _not_falling(remark: NotFalling, tongue: Tongue) -> str:
    if remark.too_slowly:
        return tongue.say("firmness falls too slowly to say when it will be low enough")
    return tongue.plural(
        "firmness is not falling yet: {n} reading; hot weather can even raise it",
        "firmness is not falling yet: {n} readings; hot weather can even raise it",
        remark.readings,
    )


@words_of.register(MovesNothing)
def _moves_nothing(remark: MovesNothing, tongue: Tongue) -> str:
    if remark.reading is Happening.FIRMNESS:
        return tongue.say("The firmness read moves no date: no “firmness at pick” is known of this kind")
    if remark.reading is Happening.STARCH:
        return tongue.say("The starch read moves no date: nothing tells how it goes from day to day")
    return tongue.say("The sugar read moves no date: nothing tells how it goes from day to day")


@words_of.register(FirmnessStands)
def _firmness(remark: FirmnessStands, tongue: Tongue) -> str:
    return f"{remark.limb}: {words_of(remark.line, tongue)}"
