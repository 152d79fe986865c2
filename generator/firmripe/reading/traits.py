"""Fruits and cultivars from their notes."""

from __future__ import annotations

import re
from collections.abc import Mapping

from firmripe.days import DayCount, Hemisphere, parse_day_count, parse_stretch
from firmripe.holding.figures import Figure
from firmripe.holding.fruit import (
    BloomNightsRule,
    Chilling,
    Drop,
    DropPeriod,
    Event,
    Fact,
    Gives,
    HeatRule,
    Offset,
    Ripens,
    Sign,
    SpringHeatRule,
    Traits,
    Treatment,
    Window,
)
from firmripe.holding.place import Ground, Place, ReferencePlace
from firmripe.holding.task import Stage
from firmripe.holding.weight import parse_container, parse_fruit_weight, parse_yield
from firmripe.problems import Unreadable, nearest
from firmripe.reading.fields import SHELF, Fields, one_of, plain_text
from firmripe.units import (
    Interval,
    parse_count,
    parse_firmness,
    parse_height,
    parse_latitude,
    parse_longitude,
    parse_temperature,
    parse_zone,
    plain_minus,
)

EVENT_KEYS = {"bloom": Event.FULL_BLOOM, "pick": Event.PICK, "leaf fall": Event.LEAF_FALL}
SENSES = ("touch", "sight", "smell", "taste", "lift", "sound")


def read_traits(fields: Fields, shelf: Fields | None, place: Place, places: Mapping[str, ReferencePlace]) -> Traits:
    """Read what a fruit's or a cultivar's note says of how it ripens.

    `shelf` is the shelf's own note where the household's lies over it: a storage limit may only be shortened.
    """
    return Traits(
        ripens_off_the_tree=fields.figure("ripens off the tree", one_of(Ripens)),
        windows=tuple(w for item in fields.tables("windows") if (w := _window(item, place, places)) is not None),
        offset=_offset(fields),
        days_from_bloom=fields.figures("days from bloom", parse_day_count),
        heat_rule=_heat_rule(fields),
        signs=tuple(sign for item in fields.tables("signs") if (sign := _sign(item)) is not None),
        firmness_at_pick=fields.figure("firmness at pick", parse_firmness),
        firmness_when_ready=fields.figure("firmness when ready", parse_firmness),
        passes=fields.figure("passes", parse_count),
        pass_interval=fields.figure("pass interval", parse_day_count),
        conditioning=fields.figures("conditioning", parse_day_count),
        counter=fields.figure("counter", parse_day_count),
        too_warm=fields.figure("too warm", parse_temperature),
        keeps=only_shortened(fields, shelf.figure("keeps", parse_day_count) if shelf else None),
        keeps_ripe=fields.figure("keeps ripe", parse_day_count),
        drops=tuple(_drop(item) for item in fields.tables("drops")),
        uses=fields.figures("uses", plain_text),
        partners=fields.figures("partners", plain_text),
        bad_partners=fields.figures("bad partners", plain_text),
        facts=tuple(_fact(item) for item in fields.tables("facts")),
        cautions=fields.figures("cautions", plain_text),
        yields=fields.figures("yield", parse_yield),
        fruit_weight=fields.figure("weight per fruit", parse_fruit_weight),
        containers=fields.figures("weight per container", parse_container),
        conditioning_late=fields.figures("conditioning late", parse_day_count),
        counter_after_storage=fields.figure("counter after storage", parse_day_count),
        ripe_apple=fields.figure("ripe apple", parse_day_count),
        poor_above=fields.figure("poor above", parse_temperature),
        softens=fields.figure("softens", _firmness_a_day),
        chilling=fields.figures("chilling", parse_chilling),
        treatments=tuple(t for item in fields.tables("treatments") if (t := _treatment(item)) is not None),
        keep_apart=fields.figures("keep apart", plain_text),
        cold_nights=fields.figure("cold nights", parse_temperature),
        freezes=fields.figure("freezes", parse_temperature),
        conditioning_early=fields.figures("conditioning early", parse_day_count),
        counter_by_room=fields.figures("counter by room", parse_day_count),
    )


def _firmness_a_day(text: str) -> Interval:
    match = re.fullmatch(r"(.+?)\s+(?:a|per) day", text.strip())
    if match is None:
        raise Unreadable(f'"{text}" is no firmness lost each day', "write it as 2 lbf a day")
    return parse_firmness(match[1])


def parse_chilling(text: str) -> Chilling:
    """Read the cold that harms, as `36-50 F before ripe` or `below 41 F after more than 4 weeks`. Raises Unreadable."""
    plain = " ".join(text.split())
    match = re.fullmatch(r"(below )?(.+? [FC])( or below)?( before ripe)?(?: after (more than )?(.+))?", plain)
    if match is None:
        hint = "write it as 36-50 F before ripe, 32 F or below after 3 weeks, or below 41 F after more than 4 weeks"
        raise Unreadable(f'"{text}" does not say which cold harms', hint)
    harmful = parse_temperature(match[2])
    return Chilling(
        low_c=None if match[1] or match[3] else harmful.low,
        high_c=harmful.high,
        after_d=parse_day_count(match[6]).low if match[6] else 0.0,
        below=bool(match[1]),
        unripe=bool(match[4]),
        more_than=bool(match[5]),
    )


def _treatment(fields: Fields) -> Treatment | None:
    what, then, text = fields.text("what"), fields.read("then", parse_day_count), fields.text("then")
    at, stored = fields.text("then at"), fields.read("stored at most", parse_day_count)
    value, value_text = fields.read("value", parse_day_count), fields.text("value")
    at_c, note, cited = fields.read("at", parse_temperature), fields.text("note"), fields.cited()
    fields.close("a treatment")
    if not what or value is None:
        fields.fault("", "a treatment says what is done and how long", "write {what: dry ice, value: 5-6 days}")
        return None
    return Treatment(
        what=what,
        takes=Figure(value=value, text=value_text, cited=cited, at_c=at_c, note=note),
        then=then,
        then_text=f"{text} at {at}" if at else text,
        stored_at_most=stored,
    )


def only_shortened(fields: Fields, limit: Figure[DayCount] | None) -> Figure[DayCount] | None:
    """Read `keeps`; where the shelf has a limit, a longer one of the household's is a problem."""
    keeps = fields.figure("keeps", parse_day_count)
    if keeps and limit and keeps.value.high > limit.value.high:
        fields.fault("keeps", *stretched(keeps, limit))
    return keeps


def stretched(keeps: Figure[DayCount], limit: Figure[DayCount]) -> tuple[str, str]:
    """Return message and hint for a time of keeping that is longer than the published one."""
    return (
        f'"{keeps.text}" is longer than the published limit of {limit.text}',
        "a household may only shorten how long something is kept",
    )


def _window(fields: Fields, place: Place, places: Mapping[str, ReferencePlace]) -> Window | None:
    written = [key for key in EVENT_KEYS if fields.has(key)]
    stretches = {key: fields.read(key, parse_stretch) for key in EVENT_KEYS}
    crop, note = fields.text("crop"), fields.text("note")
    named = fields.text("place")
    zone = fields.read("zone", parse_zone)
    latitude = fields.read("latitude", parse_latitude)
    longitude = fields.read("longitude", parse_longitude)
    elevation_m = fields.read("elevation", parse_height)
    cited = fields.cited()
    text = fields.text(written[0]) if written else ""
    fields.close("a window")
    if len(written) != 1:
        key = written[1] if written else ""
        fields.fault(key, "a window has one event", "write one of bloom:, pick: or leaf fall:")
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
        name, ground = "", Ground(zone=zone, latitude=latitude, longitude=longitude, elevation_m=elevation_m)
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
            hint = "add from: and the cultivar's file name"
            item.fault("from", "an offset has no cultivar to count from", hint)
        elif days is not None:
            return Offset(base=base, days=days, text=text, cited=cited)
    return None


def _days_beside(text: str) -> float:
    match = re.fullmatch(r"(.*\S)\s+(before|after)", text.strip(), re.IGNORECASE)
    if match is None:
        hint = "write it as 14 days after or 7 days before"
        raise Unreadable(f'"{text}" does not say before or after', hint)
    days = parse_day_count(match[1]).middle
    return days if match[2].casefold() == "after" else -days


def _heat_rule(fields: Fields) -> HeatRule | None:
    for item in fields.tables("heat rule"):
        gives, value = item.read("gives", one_of(Gives)), item.read("value", parse_count)
        less, above = item.read("less", _days_per_c), item.read("above", parse_temperature)
        stretch = item.read("during", parse_stretch) if gives is Gives.DAY_OF_YEAR else None
        nights = item.read("during", parse_day_count) if gives is Gives.DAYS_FROM_BLOOM else None
        within = item.figure("within", parse_day_count)
        item.text("note")
        cited = item.cited()
        absent = [key for key in ("gives", "value", "less", "above", "during", "within") if not item.has(key)]
        if absent:
            hint = "a heat rule takes gives, value, less, above, during and within"
            item.fault("", f"a heat rule has no {absent[0]}", hint)
        if gives is not None:
            item.close("a heat rule")
        if value is None or less is None or above is None or within is None:
            return None
        if stretch is not None:
            return SpringHeatRule(
                day_of_year=value.middle, less_d=less, above_c=above.middle, during=stretch, within=within, cited=cited
            )
        if nights is not None:
            return BloomNightsRule(
                days_from_bloom=value.middle,
                less_d=less,
                above_c=above.middle,
                nights=round(nights.middle),
                within=within,
                cited=cited,
            )
    return None


def _days_per_c(text: str) -> float:
    """Read `1 day per degree F`; the result is in days per °C (or per C-day)."""
    match = re.fullmatch(
        r"(-?\d{1,4}(?:\.\d{1,6})?) days? per degree(?:-day)? ([FC])", plain_minus(text.strip()), re.IGNORECASE
    )
    if match is None:
        raise Unreadable(f'"{text}" is no number of days a degree', "write it as 1 day per degree F")
    return float(match[1]) * (1.8 if match[2].upper() == "F" else 1.0)


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
    period = fields.read("when", _drop_period)
    drop = Drop(when=fields.text("when"), period=period, text=fields.text("value"), cited=fields.cited())
    fields.text("note")
    fields.close("a drop")
    return drop


def _drop_period(text: str) -> DropPeriod | None:
    plain = " ".join(text.casefold().split())
    if plain == "at any other time":
        return None
    match = re.fullmatch(r"(.+) (after|before) (full bloom|petal fall|pick)", plain)
    if match is None:
        hint = "write 0-3 weeks after petal fall, 0-4 weeks before pick, or at any other time"
        raise Unreadable(f'"{text}" is not a time of dropping', hint)
    count = parse_day_count(match[1])
    return DropPeriod(low=count.low, high=count.high, stage=Stage(match[3]), before=match[2] == "before")


def _fact(fields: Fields) -> Fact:
    value, note, at = fields.text("value"), fields.text("note"), fields.text("at")
    text = value + (f" at {at}" if at else "") + (f" ({note})" if note else "")
    fact = Fact(what=fields.text("what"), text=text, cited=fields.cited())
    fields.close("a fact")
    return fact
