"""Fruits and cultivars from their notes."""

from __future__ import annotations

import re
from collections.abc import Mapping

from firmripe.days import DayCount, Hemisphere, parse_day_count, parse_stretch
from firmripe.holding.figures import Figure
from firmripe.holding.fruit import Drop, Event, Fact, Offset, Ripens, Sign, Traits, Window
from firmripe.holding.place import Ground, Place, ReferencePlace
from firmripe.problems import Unreadable, nearest
from firmripe.reading.fields import SHELF, Fields, one_of, plain_text
from firmripe.units import (
    parse_count,
    parse_firmness,
    parse_height,
    parse_latitude,
    parse_temperature,
    parse_zone,
)

EVENT_KEYS = {"bloom": Event.FULL_BLOOM, "pick": Event.PICK, "leaf fall": Event.LEAF_FALL}
SENSES = ("touch", "sight", "smell", "taste", "lift", "sound")


def read_traits(
    fields: Fields, shelf: Fields | None, place: Place, places: Mapping[str, ReferencePlace]
) -> Traits:
    """Read what a fruit's or a cultivar's note says of how it ripens.

    `shelf` is the shelf's own note where the household's lies over it: a storage limit may only be shortened.
    """
    return Traits(
        ripens_off_the_tree=fields.figure("ripens off the tree", one_of(Ripens)),
        windows=tuple(w for item in fields.tables("windows") if (w := _window(item, place, places)) is not None),
        offset=_offset(fields),
        days_from_bloom=fields.figures("days from bloom", parse_day_count),
        signs=tuple(sign for item in fields.tables("signs") if (sign := _sign(item)) is not None),
        firmness_at_pick=fields.figure("firmness at pick", parse_firmness),
        firmness_when_ready=fields.figure("firmness when ready", parse_firmness),
        passes=fields.figure("passes", parse_count),
        pass_interval=fields.figure("pass interval", parse_day_count),
        conditioning=fields.figures("conditioning", parse_day_count),
        counter=fields.figure("counter", parse_day_count),
        too_warm=fields.figure("too warm", parse_temperature),
        keeps=only_shortened(fields, shelf),
        keeps_ripe=fields.figure("keeps ripe", parse_day_count),
        drops=tuple(_drop(item) for item in fields.tables("drops")),
        uses=fields.figures("uses", plain_text),
        partners=fields.figures("partners", plain_text),
        bad_partners=fields.figures("bad partners", plain_text),
        facts=tuple(_fact(item) for item in fields.tables("facts")),
        cautions=fields.figures("cautions", plain_text),
    )


def only_shortened(fields: Fields, shelf: Fields | None) -> Figure[DayCount] | None:
    """Read `keeps`; where the shelf has a limit, a longer one of the household's is a problem."""
    keeps = fields.figure("keeps", parse_day_count)
    limit = shelf.figure("keeps", parse_day_count) if shelf else None
    if keeps and limit and keeps.value.high > limit.value.high:
        fields.fault(
            "keeps",
            f'"{keeps.text}" is longer than the published limit of {limit.text}',
            "a household may only shorten how long fruit is kept",
        )
    return keeps


def _window(fields: Fields, place: Place, places: Mapping[str, ReferencePlace]) -> Window | None:
    written = [key for key in EVENT_KEYS if fields.has(key)]
    stretches = {key: fields.read(key, parse_stretch) for key in EVENT_KEYS}
    crop, note = fields.text("crop"), fields.text("note")
    named = fields.text("place")
    zone = fields.read("zone", parse_zone)
    latitude = fields.read("latitude", parse_latitude)
    elevation_m = fields.read("elevation", parse_height)
    cited = fields.cited()
    text = fields.text(written[0]) if written else ""
    fields.close("a window")
    if len(written) != 1:
        fields.fault(written[1] if written else "", "a window has one event", "write bloom:, pick: or leaf fall:")
        return None
    stretch = stretches[written[0]]
    if stretch is None:
        return None
    on_shelf = fields.where.file.startswith(SHELF)
    if named.casefold() == "here" and not on_shelf:
        name, ground, half = place.name, place.ground, place.hemisphere
    elif named:
        reference = places.get(named)
        if reference is None:
            near = nearest(named, places)
            hint = f'did you mean "{near}"?' if near else "name a place that stands in places.md, or here"
            fields.fault("place", f'the place "{named}" is not known', hint)
            return None
        name, ground = reference.name, reference.ground
        half = Hemisphere.SOUTH if (ground.latitude or 0) < 0 else Hemisphere.NORTH
    else:
        if on_shelf:
            fields.fault("place", "a window of the shelf has no place", "add place: and its key in places.md")
        name, ground = "", Ground(zone=zone, latitude=latitude, elevation_m=elevation_m)
        half = place.hemisphere if latitude is None else _half(latitude)
    return Window(
        event=EVENT_KEYS[written[0]],
        stretch=stretch,
        crop=crop,
        place_name=name,
        ground=ground,
        written_for=half,
        cited=cited,
        text=text,
        note=note,
    )


def _half(latitude: float) -> Hemisphere:
    return Hemisphere.SOUTH if latitude < 0 else Hemisphere.NORTH


def _offset(fields: Fields) -> Offset | None:
    for item in fields.tables("offset"):
        base = item.text("from")
        days = item.read("value", _days_beside)
        text = item.text("value")
        item.text("note")
        cited = item.cited()
        item.close("an offset")
        if not base:
            item.fault("from", "an offset has no cultivar to count from", "add from: and the cultivar's file name")
        elif days is not None:
            return Offset(base=base, days=days, text=text, cited=cited)
    return None


def _days_beside(text: str) -> float:
    match = re.fullmatch(r"(.*\S)\s+(before|after)", text.strip(), re.IGNORECASE)
    if match is None:
        raise Unreadable(f'"{text}" does not say before or after', "write it as 14 days after or 7 days before")
    days = parse_day_count(match[1]).middle
    return days if match[2].casefold() == "after" else -days


def _sign(fields: Fields) -> Sign | None:
    written = [sense for sense in SENSES if fields.has(sense)]
    texts = {sense: fields.text(sense) for sense in SENSES}
    cited = fields.cited()
    fields.text("note")
    fields.close("a sign")
    if len(written) != 1:
        fields.fault("", "a sign has one sense", "write touch:, sight:, smell:, taste:, lift: or sound:")
        return None
    return Sign(sense=written[0], text=texts[written[0]], cited=cited)


def _drop(fields: Fields) -> Drop:
    drop = Drop(when=fields.text("when"), text=fields.text("value"), cited=fields.cited())
    fields.text("note")
    fields.close("a drop")
    return drop


def _fact(fields: Fields) -> Fact:
    value, note, at = fields.text("value"), fields.text("note"), fields.text("at")
    text = value + (f" at {at}" if at else "") + (f" ({note})" if note else "")
    fact = Fact(what=fields.text("what"), text=text, cited=fields.cited())
    fields.close("a fact")
    return fact
