"""What warmth foretells, or why it can't, in words."""

from __future__ import annotations

from firmripe.saying import _, n_, tongue
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
from firmripe.units import fahrenheit
from firmripe.wording.remarks import words_of
from firmripe.words import gap_words, short_day, with_year

_WORTH_SAYING_D = 0.5
"""That it has not bloomed yet is said where it moves the day by so much."""


@words_of.register
def _forecast(forecast: Forecast) -> str:
    """Say what a forecast rests on, in the degrees of the place."""
    by, metric = forecast.by, tongue().metric
    if isinstance(by, BySprings):
        said = _of_springs(forecast, by)
    elif isinstance(by, BySpringHeat):
        heat = by.heat_c_days if metric else degree_days_f(by.heat_c_days)
        said = _(
            "Warmth from {first} to {last}: {heat} degree-days above {base}, by the printed rule "
            "a first pick about {day}",
            first=short_day(by.during.first),
            last=short_day(by.during.last),
            heat=f"{heat:,.0f}",
            base=_temperature(by.above_c),
            day=short_day(forecast.day),
        )
    else:
        said = _(
            "The {nights} nights after full bloom: {mean} on average beside {usual}, by the "
            "printed rule {days} days from bloom",
            nights=by.nights,
            mean=_temperature(by.mean_low_c),
            usual=_temperature(by.usual_low_c),
            days=round(by.days),
        )
    if forecast.ahead:
        ahead = n_(
            "the days ahead as in {n} earlier season", "the days ahead as in {n} earlier seasons", forecast.ahead
        )
        said = _("{said}; {more}", said=said, more=ahead)
    return said


@words_of.register
def _why_none(none: NoForecast) -> str:
    """Say why there is no forecast."""
    why = none.why
    if isinstance(why, FewSprings):
        few = _("no spring has both, full bloom noted and weather")
        return "; ".join([few, *(f"{year}: {_missing(lack)}" for year, lack in why.missing)])
    if isinstance(why, NoWeather):
        return _missing(why)
    if isinstance(why, NoSeasonYet):
        return _("there is no weather of the season {year} yet", year=why.year)
    if isinstance(why, FewAhead):
        return _(
            "{found} other seasons have weather for the days ahead, of the {needed} needed",
            found=why.found,
            needed=why.needed,
        )
    if isinstance(why, NoBloomNoted):
        return _("it counts from full bloom, and none is noted this season of a tree without your own interval")
    return _("the season may go on in a way in which the heat is never enough")


def _of_springs(forecast: Forecast, by: BySprings) -> str:
    said = _(
        "Warmth up to {known}: full bloom about {day}, by {springs} of your own springs and {ways} ways of counting",
        known=short_day(forecast.known_to),
        day=short_day(forecast.day),
        springs=by.springs,
        ways=by.ways,
    )
    if forecast.not_yet is not None and forecast.mean_and_spread[0] - forecast.season_day >= _WORTH_SAYING_D:
        return _("{said}; {more}", said=said, more=_("not yet in bloom on {day}", day=short_day(forecast.not_yet)))
    return said


def _missing(lack: NoWeather) -> str:
    if lack.gap is not None:
        return gap_words(lack.gap)
    if lack.begins is not None:
        return _("the weather begins on {day}", day=with_year(short_day(lack.begins), lack.begins.year))
    if lack.ends is not None:
        return _("the weather ends on {day}", day=with_year(short_day(lack.ends), lack.ends.year))
    return _("there is no weather")


def _temperature(temp_c: float) -> str:
    return f"{round(temp_c, 1):g} °C" if tongue().metric else f"{fahrenheit(temp_c):.0f} °F"
