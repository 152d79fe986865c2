"""The page on how dates are made: what deviates by how much, and what has no date."""

from __future__ import annotations

from firmripe.holding.fruit import Event
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.undated import undated_together
from firmripe.publish.views import View
from firmripe.season import spreads
from firmripe.season.forecast import NoForecast
from firmripe.season.usual import usual_of
from firmripe.units import HardinessZone
from firmripe.wording import words_of
from firmripe.wording.calendar import undated_words
from firmripe.words import begun, gap_words, on_tree, whole_shift_words

_ZONES = tuple(HardinessZone(number) for number in range(4, 20))
"""From 3a to 10b, in which the fruits of the shelf grow."""


class Spread(View, frozen=True, kw_only=True):
    """A line of the table of spreads: what deviates, and by how many days (one standard deviation)."""

    name: str
    value: str


class ZoneShift(View, frozen=True, kw_only=True):
    """What a hardiness zone is worth: how its ground's events lie beside those of the place's own zone, in words."""

    zone: str
    bloom: str
    pick: str
    leaf_fall: str


class DatesPage(View, frozen=True, kw_only=True):
    """How these dates are made. `zones` and `within_zone` are empty where the place names no zone."""

    spreads: tuple[Spread, ...]
    zones: tuple[ZoneShift, ...]
    within_zone: str
    undated: tuple[tuple[str, str, str], ...]
    zone: str
    warmth: tuple[str, ...]


def dates_page(context: PageContext) -> DatesPage:
    """Return the page on how dates are made."""
    tongue = context.tongue
    days = [
        (tongue.say("A printed pick against what it is meant for"), spreads.PRINTED_D),
        (tongue.say("A ground’s picking against its warmth, one cultivar"), spreads.SITE_OF_CULTIVAR_D[Event.PICK]),
        (tongue.say("the same, one fruit"), spreads.SITE_OF_FRUIT_D[Event.PICK]),
        (tongue.say("the same, all fruits"), spreads.SITE_D[Event.PICK]),
        (tongue.say("A cultivar that leans on its fruit"), spreads.CULTIVAR_ON_FRUIT_D[Event.PICK]),
        (tongue.say("A tree against its cultivar"), spreads.TREE_D),
        (tongue.say("A year against the mean, at bloom"), spreads.YEAR_AT_BLOOM_D),
        (tongue.say("A year against the mean, at picking"), spreads.YEAR_AT_PICK_D),
        (tongue.say("Chance, for one event"), spreads.NOISE_D),
    ]
    zone = context.holding.place.ground.zone
    return DatesPage(
        spreads=tuple(Spread(name=name, value=tongue.plural("{n:g} day", "{n:g} days", value)) for name, value in days),
        zones=_zones(context),
        within_zone=tongue.plural(
            "{n} day", "{n} days", round(usual_of(context.holding, context.season.year).within_zone_d(Event.PICK, zone))
        )
        if zone
        else "",
        undated=tuple(
            (what, undated_words(tongue, item), words_of(item.remedy, tongue) if item.remedy else "")
            for what, item in undated_together(context, lambda item: (undated_words(tongue, item), item.remedy))
        ),
        warmth=_warmth(context),
        zone=tongue.say("{zone} on the {zone_map} map", zone=zone, zone_map=context.holding.place.ground.zone_map)
        if zone and context.holding.place.ground.zone_map
        else str(zone or ""),
    )


def _zones(context: PageContext) -> tuple[ZoneShift, ...]:
    """Return what each hardiness zone is worth beside the place's own."""
    tongue = context.tongue
    here = context.holding.place.ground.zone
    if here is None or not len(context.holding.stations):
        return ()
    usual = usual_of(context.holding, context.season.year)
    return tuple(
        ZoneShift(
            zone=str(zone),
            bloom=whole_shift_words(tongue, usual.between_zones(Event.FULL_BLOOM, here, zone)),
            pick=whole_shift_words(tongue, usual.between_zones(Event.PICK, here, zone)),
            leaf_fall=whole_shift_words(tongue, usual.between_zones(Event.LEAF_FALL, here, zone)),
        )
        for zone in _ZONES
    )


def _warmth(context: PageContext) -> tuple[str, ...]:
    """Say what warmth foretold and where it could not, if there is weather at all."""
    tongue = context.tongue
    weather = context.holding.weather
    if not weather.days:
        return ()
    said = []
    for told in context.season.forecasts:
        if isinstance(told, NoForecast):
            said.append(
                tongue.say(
                    "{of}, {event}: nothing is foretold, {reason}.",
                    of=told.of,
                    event=tongue.term(told.event.value),
                    reason=words_of(told, tongue),
                )
            )
        else:
            name = context.holding.limb(told.bearing).name
            said.append(
                tongue.say(
                    "{event} of {fruit}: {told}.",
                    event=begun(tongue.term(told.event.value)),
                    fruit=on_tree(name, told.bearing.tree),
                    told=words_of(told, tongue),
                )
            )
    return (*said, *(f"{begun(gap_words(tongue, gap))}." for gap in weather.gaps))
