"""What stands against a date or has moved it, in words."""

from __future__ import annotations

from firmripe.saying import _, tongue
from firmripe.season.clashes import Clash, FreezeClash, FreezeForecast, InAFreeze, RecordsSay, SprayLabel
from firmripe.season.estimate import Estimate
from firmripe.units import fahrenheit
from firmripe.wording.remarks import words_of
from firmripe.words import days_words, week_day


@words_of.register
def _clash(remark: Clash) -> str:
    return " ".join(words_of(thing) for thing in remark.things)


def clash_words(dated: Estimate) -> str:
    """Say what stands against a date or has moved it; empty where nothing does."""
    return words_of(dated.clash) if dated.clash else ""


@words_of.register
def _records_say(remark: RecordsSay) -> str:
    return _("The records say {day}: take out the day fixed by hand, or mend the record.", day=week_day(remark.day))


@words_of.register
def _spray_label(remark: SprayLabel) -> str:
    open_from = week_day(remark.open_from)
    if remark.is_told:
        return _("Spray label: no picking before {open_from}. The label is the law.", open_from=open_from)
    return _("No picking before {open_from}.", open_from=open_from)


@words_of.register
def _freeze_forecast(remark: FreezeForecast) -> str:
    us, celsius = f"{round(fahrenheit(remark.low_c))} °F", f"{round(remark.low_c)} °C"
    first, second = (celsius, us) if tongue().metric else (us, celsius)
    return _(
        "A freeze of {first} ({second}) is forecast for the night to {day}",
        first=first,
        second=second,
        day=week_day(remark.night_to),
    )


@words_of.register
def _freeze_clash(remark: FreezeClash) -> str:
    said = words_of(remark.coming)
    if remark.what_to_do is InAFreeze.STAYS:
        return _("{said}: what may not be picked yet stays on the tree.", said=said)
    if remark.what_to_do is InAFreeze.COVER:
        return _("{said}. It does not ripen off the tree and is not ripe yet: cover it if you can.", said=said)
    pick = _("{said}. Pick before that night, by {last}.", said=said, last=week_day(remark.last))
    if not remark.short_d:
        return pick
    return f"{pick} " + _(
        "That is {days} before its window opens: what is not mature may shrivel instead "
        "of ripening, so use that first or cook it.",
        days=days_words(remark.short_d),
    )
