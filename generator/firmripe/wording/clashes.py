"""What stands against a date or has moved it, in words."""

from __future__ import annotations

from firmripe.season.clashes import Clash, FreezeClash, FreezeForecast, InAFreeze, RecordsSay, SprayLabel
from firmripe.season.estimate import Estimate
from firmripe.tongue import Tongue
from firmripe.units import fahrenheit
from firmripe.wording.remarks import words_of
from firmripe.words import days_words, week_day


@words_of.register(Clash)
def _clash(remark: Clash, tongue: Tongue) -> str:
    return " ".join(words_of(thing, tongue) for thing in remark.things)


def clash_words(tongue: Tongue, dated: Estimate) -> str:
    """Say what stands against a date or has moved it; empty where nothing does."""
    return words_of(dated.clash, tongue) if dated.clash else ""


@words_of.register(RecordsSay)
def _records_say(remark: RecordsSay, tongue: Tongue) -> str:
    return tongue.say(
        "The records say {day}: take out the day fixed by hand, or mend the record.", day=week_day(tongue, remark.day)
    )


@words_of.register(SprayLabel)
def _spray_label(remark: SprayLabel, tongue: Tongue) -> str:
    open_from = week_day(tongue, remark.open_from)
    if remark.is_told:
        return tongue.say("Spray label: no picking before {open_from}. The label is the law.", open_from=open_from)
    return tongue.say("No picking before {open_from}.", open_from=open_from)


@words_of.register(FreezeForecast)
def _freeze_forecast(remark: FreezeForecast, tongue: Tongue) -> str:
    us, celsius = f"{round(fahrenheit(remark.low_c))} °F", f"{round(remark.low_c)} °C"
    first, second = (celsius, us) if tongue.metric else (us, celsius)
    return tongue.say(
        "A freeze of {first} ({second}) is forecast for the night to {day}",
        first=first,
        second=second,
        day=week_day(tongue, remark.night_to),
    )


@words_of.register(FreezeClash)
def _freeze_clash(remark: FreezeClash, tongue: Tongue) -> str:
    said = words_of(remark.coming, tongue)
    if remark.what_to_do is InAFreeze.STAYS:
        return tongue.say("{said}: what may not be picked yet stays on the tree.", said=said)
    if remark.what_to_do is InAFreeze.COVER:
        return tongue.say("{said}. It does not ripen off the tree and is not ripe yet: cover it if you can.", said=said)
    pick = tongue.say("{said}. Pick before that night, by {last}.", said=said, last=week_day(tongue, remark.last))
    if not remark.short_d:
        return pick
    return f"{pick} " + tongue.say(
        "That is {days} before its window opens: what is not mature may shrivel instead "
        "of ripening, so use that first or cook it.",
        days=days_words(tongue, remark.short_d),
    )
