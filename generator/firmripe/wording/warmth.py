"""What warmth foretells, or why it can't, in words."""

from __future__ import annotations

from firmripe.season.forecast import (
    BySpringHeat,
    BySprings,
    FewAhead,
    FewSprings,
    Forecast,
    NoBloomNoted,
    NoForecast,
    NoSeasonYet,
    NoWeather,
)
from firmripe.season.heat import degree_days_f
from firmripe.tongue import Tongue
from firmripe.units import fahrenheit
from firmripe.wording.remarks import words_of
from firmripe.words import gap_words, short_day, with_year

_WORTH_SAYING_D = 0.5
"""That it has not bloomed yet is said where it moves the day by so much."""


@words_of.register(Forecast)
def _forecast(forecast: Forecast, tongue: Tongue) -> str:
    """Say what a forecast rests on, in the degrees of the place."""
    by, metric = forecast.by, tongue.metric
    if isinstance(by, BySprings):
        said = _of_springs(tongue, forecast, by)
    elif isinstance(by, BySpringHeat):
        heat = by.heat_c_days if metric else degree_days_f(by.heat_c_days)
        said = tongue.say(
            "Warmth from {first} to {last}: {heat} degree-days above {base}, by the printed rule "
            "a first pick about {day}",
            first=short_day(tongue, by.during.first),
            last=short_day(tongue, by.during.last),
            heat=tongue.number(heat),
            base=_temperature(tongue, by.above_c),
            day=short_day(tongue, forecast.day),
        )
    else:
        said = tongue.say(
            "The {nights} nights after full bloom: {mean} on average beside {usual}, by the "
            "printed rule {days} days from bloom",
            nights=by.nights,
            mean=_temperature(tongue, by.mean_low_c),
            usual=_temperature(tongue, by.usual_low_c),
            days=round(by.days),
        )
    if forecast.ahead:
        ahead = tongue.plural(
            "the days ahead as in {n} earlier season", "the days ahead as in {n} earlier seasons", forecast.ahead
        )
        said = tongue.say("{said}; {more}", said=said, more=ahead)
    return said


@words_of.register(NoForecast)
def _why_none(none: NoForecast, tongue: Tongue) -> str:
    """Say why there is no forecast."""
    why = none.why
    if isinstance(why, FewSprings):
        few = tongue.say("no spring has both, full bloom noted and weather")
        return "; ".join([few, *(f"{year}: {_missing(tongue, lack)}" for year, lack in why.missing)])
    if isinstance(why, NoWeather):
        return _missing(tongue, why)
    if isinstance(why, NoSeasonYet):
        return tongue.say("there is no weather of the season {year} yet", year=why.year)
    if isinstance(why, FewAhead):
        return tongue.say(
            "{found} other seasons have weather for the days ahead, of the {needed} needed",
            found=why.found,
            needed=why.needed,
        )
    if isinstance(why, NoBloomNoted):
        return tongue.say(
            "it counts from full bloom, and none is noted this season of a tree without your own interval"
        )
    return tongue.say("the season may go on in a way in which the heat is never enough")


def _of_springs(tongue: Tongue, forecast: Forecast, by: BySprings) -> str:
    said = tongue.say(
        "Warmth up to {known}: full bloom about {day}, by {springs} of your own springs and {ways} ways of counting",
        known=short_day(tongue, forecast.known_to),
        day=short_day(tongue, forecast.day),
        springs=by.springs,
        ways=by.ways,
    )
    if forecast.not_yet is not None and forecast.mean_and_spread[0] - forecast.season_day >= _WORTH_SAYING_D:
        return tongue.say(
            "{said}; {more}",
            said=said,
            more=tongue.say("not yet in bloom on {day}", day=short_day(tongue, forecast.not_yet)),
        )
    return said


def _missing(tongue: Tongue, lack: NoWeather) -> str:
    if lack.gap is not None:
        return gap_words(tongue, lack.gap)
    if lack.begins is not None:
        return tongue.say(
            "the weather begins on {day}", day=with_year(tongue, short_day(tongue, lack.begins), lack.begins.year)
        )
    if lack.ends is not None:
        return tongue.say(
            "the weather ends on {day}", day=with_year(tongue, short_day(tongue, lack.ends), lack.ends.year)
        )
    return tongue.say("there is no weather")


def _temperature(tongue: Tongue, temp_c: float) -> str:
    return f"{round(temp_c, 1):g} °C" if tongue.metric else f"{fahrenheit(temp_c):.0f} °F"
