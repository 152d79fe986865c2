"""Why a date is what it is, or why there is none, and what to ask about it, in words."""

from __future__ import annotations

from typing import Final

from firmripe.holding.fruit import Event
from firmripe.holding.record import Happening
from firmripe.saying import _, mark, n_, term
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
    UsualPick,
    Whose,
    Windows,
)
from firmripe.season.explaining import Narrowing
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


@words_of.register
def _own_windows(remark: OwnWindows) -> str:
    return _("Your own note: {windows}", windows="; ".join(stretch_words(text) for text in remark.windows))


@words_of.register
def _windows(remark: Windows) -> str:
    shown = "; ".join(_placed(window) for window in remark.windows)
    if remark.more:
        shown += _("; and {number} more", number=remark.more)
    if remark.is_own:
        return _("Your own note: {windows}", windows=shown)
    of_fruit = _(" for {fruit} in general", fruit=term(remark.fruit)) if remark.fruit else ""
    return _("Printed{of_fruit}: {shown}", of_fruit=of_fruit, shown=shown)


def _placed(window: PlacedWindow) -> str:
    return _(
        "{window} in {place}",
        window=stretch_words(window.text),
        place=window.place or _("the zone given"),
    )


@words_of.register
def _in_order(remark: PlaceInOrder) -> str:
    after = when_words(remark.offset)
    if remark.is_own:
        return _("Your own note: {offset} {base}", offset=after, base=remark.base)
    return _("Printed: {offset} {base}", offset=after, base=remark.base)


@words_of.register
def _interval(remark: IntervalFromBloom) -> str:
    words = _("after full bloom") if remark.event is Event.PICK else _("before picking")
    if remark.is_own:
        return _("Your own interval: {interval} {words}", interval=amount(remark.interval), words=words)
    return _("Printed: {interval} {words}", interval=amount(remark.interval), words=words)


@words_of.register
def _own_interval(remark: OwnInterval) -> str:
    return _("Your own interval: {own} after full bloom", own=amount(remark.interval))


@words_of.register
def _of_fruit(remark: KnownOfFruit) -> str:
    fruit = term(remark.fruit) if remark.fruit else remark.cultivar
    return _("Printed of others: what is known of {fruit}", fruit=fruit)


@words_of.register
def _usual_pick(remark: UsualPick) -> str:
    return _("Your own word: the usual pick of {cultivar} here", cultivar=remark.cultivar)


@words_of.register
def _of_the_ground(remark: OfTheGround) -> str:
    if remark is OfTheGround.NOT_KNOWN:
        return _("Taken as printed: nothing says where this is")
    if remark is OfTheGround.NO_WINTER:
        return _("No winter here tells trees when to bloom: they may in any month")
    return _("Set beside what else is printed, near and far")


@words_of.register
def _reckoned(remark: Reckoned) -> str:
    if remark.event is Event.LEAF_FALL:
        return _("Reckoned for this ground: an autumn of {here}", here=degrees(remark.mean_c))
    if remark.event is Event.FULL_BLOOM:
        return _("Reckoned for this ground: {here} in the first two months of spring", here=degrees(remark.mean_c))
    return _("Reckoned for this ground: a spring of {here}", here=degrees(remark.mean_c))


@words_of.register
def _carried(remark: CarriedByWarmth) -> str:
    """Say which seasons' warmth a date was carried by, here and where it is printed."""
    early, spring, summer, autumn = (degrees(mean_c) for mean_c in remark.there_c)
    early_here, here, summer_here, autumn_here = (degrees(mean_c) for mean_c in remark.here_c)
    if remark.event is Event.LEAF_FALL:
        return _(
            "Carried to this ground by warmth: an autumn of {here} here, {there} there", here=autumn_here, there=autumn
        )
    if remark.event is Event.FULL_BLOOM:
        return _(
            "Carried to this ground by warmth: {here} here in the first two months of spring, {there} there",
            here=early_here,
            there=early,
        )
    return _(
        "Carried to this ground by warmth: a spring of {here} and a summer of {summer_here} here, {there} and "
        "{summer_there} there",
        here=here,
        summer_here=summer_here,
        there=spring,
        summer_there=summer,
    )


@words_of.register
def _own_records(_remark: OwnRecordsAlone) -> str:
    return _("No printed date: only your own records speak for it")


# What was noted
# --------------

_OF_ITS_FRUIT: Final = {
    Evidence.VERDICTS: mark("What verdicts say of earlier picks"),
    Evidence.FIRMNESS: mark("Firmness readings, carried to the firmness at the pick"),
    Evidence.FIRST_DROP: mark("The first sound fruit on the ground"),
}


@words_of.register
def _from_notes(remark: FromNotes) -> str:
    whose = _whose(remark)
    if remark.evidence in _OF_ITS_FRUIT:
        return _("{what}, of {whose}", what=term(_OF_ITS_FRUIT[remark.evidence]), whose=whose)
    if remark.evidence is Evidence.WARMTH:
        return _("Warmth this spring, reckoned for {whose}", whose=whose)
    if remark.evidence is Evidence.INTERVAL:
        return _("The interval from full bloom to pick, of {whose}", whose=whose)
    event = term(remark.event.value)
    if remark.evidence is Evidence.THIS_SEASON:
        return _("This season’s {event} of {whose}", event=event, whose=whose)
    return _("Noted in {when}: {event} of {whose}", when=_("earlier seasons"), event=event, whose=whose)


def _whose(remark: FromNotes) -> str:
    if remark.whose is Whose.OWN:
        return _("this tree")
    return _("other {limb}", limb=remark.limb) if remark.whose is Whose.KIN else _("other trees")


@words_of.register
def _usual_day(remark: UsualDayStated) -> str:
    if remark.event is Event.FULL_BLOOM:
        return _("The usual bloom of {name} here", name=remark.cultivar)
    return _("The usual pick of {name} here", name=remark.cultivar)


@words_of.register
def _all_else(_remark: AllElseNoted) -> str:
    return _("Everything else that was noted, together")


@words_of.register
def _something(_remark: SomethingNoted) -> str:
    return _("Something noted here")


@words_of.register
def _crop_size(remark: CropSize) -> str:
    if remark.size is Happening.LIGHT_CROP:
        return _("A light crop ripens 3 to 4 days sooner")
    if remark.size is Happening.HEAVY_CROP:
        return _("A heavy crop ripens up to a week later")
    return _("Only part of the crop set: the window is wider")


# Whose word counts
# -----------------


@words_of.register
def _fixed(remark: FixedByHand) -> str:
    because = f": {remark.because}" if remark.because else ""
    return _("Fixed by hand in the tree's note{because}", because=because)


@words_of.register
def _noted_on(remark: NotedOn) -> str:
    return _("Noted in the records: {day}", day=about_day(week_day(remark.day), is_about=remark.is_about))


@words_of.register
def _own_picks(remark: OwnPicks) -> str:
    rhythm, days = rhythm_words(remark.every), span_words(remark.days)
    return _("Your own days of picking: {rhythm}, {days}", rhythm=rhythm, days=days)


@words_of.register
def _from_own_bloom(remark: FromOwnBloom) -> str:
    own, day = amount(remark.interval), week_day(remark.bloom)
    return _("Your own interval, {own}, from full bloom on {day}", own=own, day=day)


@words_of.register
def _freezes_at(remark: FreezesAt) -> str:
    return _("The fruit itself freezes at {limit}", limit=amount(remark.limit))


@words_of.register
def _no_freezing_figure(_remark: NoFreezingFigure) -> str:
    return _("No figure is published of how much cold this fruit stands; a hard freeze spoils fruit")


# Why there is no date
# --------------------


@words_of.register
def _nothing_says(remark: NothingSays) -> str:
    return _(
        "neither the shelf nor the records say when the {event} of {cultivar} is",
        event=term(remark.event.value),
        cultivar=remark.cultivar,
    )


@words_of.register
def _note_it(remark: NoteIt) -> str:
    return _(
        "note one {event} in records, or give {cultivar} a window or an offset",
        event=term(remark.event.value),
        cultivar=remark.cultivar,
    )


@words_of.register
def _planted_only(remark: PlantedOnly) -> str:
    return _("it is planted only in {year}", year=remark.year)


@words_of.register
def _too_young(remark: TooYoung) -> str:
    return _("young tree: no crop looked for before {bears_from}", bears_from=remark.bears_from)


@words_of.register
def _no_crop(remark: NoCrop) -> str:
    return _("no crop this season{note}", note=f" ({remark.note})" if remark.note else "")


@words_of.register
def _crop_lost(remark: CropLost) -> str:
    note = f" ({remark.note})" if remark.note else ""
    return _("the crop was lost, noted {day}{note}", day=week_day(remark.noted), note=note)


@words_of.register
def _not_there(remark: NotThere) -> str:
    said = {NotThere.TAKEN_OUT: _("it was taken out"), NotThere.UNSEEN: _("nobody sees it bloom")}
    return said.get(remark) or _("nothing is known of it")


# What to ask
# -----------


@words_of.register
def _event_of(remark: EventOf) -> str:
    limb, crop = on_tree(remark.limb, remark.tree), of_crop(remark.crop)
    return _("{event} of {limb}{crop}", event=term(remark.event.value), limb=limb, crop=crop)


def title_words(of: EventOf) -> str:
    """Name an event of a limb, as a heading."""
    return begun(words_of(of))


def note_words(of: EventOf) -> str:
    """Name an event of a limb as something that can still be noted."""
    word = _("a bloom date") if of.event is Event.FULL_BLOOM else _("the first pick")
    crop = _(" ({crop} crop)", crop=term(of.crop)) if of.crop else ""
    return _("{word} for {limb}{crop}", word=word, limb=on_tree(of.limb, of.tree), crop=crop)


@words_of.register
def _narrowing(remark: Narrowing) -> str:
    return _(
        "{note} would cut this window from {days_now} to {days_then} days",
        note=note_words(remark.note),
        days_now=remark.days_now,
        days_then=remark.days_then,
    )


@words_of.register
def _overdue(remark: Overdue) -> str:
    name = f"{remark.pick.limb} ({remark.pick.tree}){of_crop(remark.pick.crop)}"
    return _(
        "{name}: its pick was looked for until {latest}, and none is noted", name=name, latest=week_day(remark.latest)
    )


@words_of.register
def _perhaps_too_young(remark: PerhapsTooYoung) -> str:
    said = _(
        "{limb} ({tag}) was planted in {year}: perhaps it bears nothing yet.",
        limb=remark.limb,
        tag=remark.tree,
        year=remark.planted,
    )
    return said + " " + _("Write bears from: and the year into its note.")


@words_of.register
def _out_of_time(remark: OutOfTime) -> str:
    causes = " ".join(term(cause) for cause in remark.causes)
    return _("Fruit fell on {day}, outside its usual times. {causes}", day=week_day(remark.day), causes=causes).strip()


@words_of.register
def _not_falling(remark: NotFalling) -> str:
    if remark.too_slowly:
        return _("firmness falls too slowly to say when it will be low enough")
    return n_(
        "firmness is not falling yet: {n} reading; hot weather can even raise it",
        "firmness is not falling yet: {n} readings; hot weather can even raise it",
        remark.readings,
    )


@words_of.register
def _firmness(remark: FirmnessStands) -> str:
    return f"{remark.limb}: {words_of(remark.line)}"
