"""Fruits and cultivars from their notes."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import TypeVar

from msgspec.structs import replace

from firmripe.days import DayCount, Hemisphere, parse_day_count, parse_stretch
from firmripe.holding.figures import Figure
from firmripe.holding.fruit import (
    Abroad,
    BloomNightsRule,
    Chilling,
    Drop,
    DropPeriod,
    Event,
    Fact,
    FlowerGroup,
    Gives,
    HeatRule,
    Offset,
    Ripens,
    RuleGives,
    Sets,
    Shows,
    Sign,
    SpringHeatRule,
    Traits,
    Treatment,
    Window,
)
from firmripe.holding.picks import parse_picking_days
from firmripe.holding.place import Ground, Place, ReferencePlace
from firmripe.holding.task import Stage
from firmripe.holding.weight import parse_container, parse_fruit_weight, parse_yield
from firmripe.problems import Unreadable, folded, nearest
from firmripe.reading.bounds import amount_within, container_within, number_within, within
from firmripe.reading.fields import SHELF, Fields, one_of, plain_text
from firmripe.reading.keeping import KEEPS_FRUIT, keeps_within
from firmripe.units import (
    Interval,
    celsius,
    parse_count,
    parse_firmness,
    parse_height,
    parse_latitude,
    parse_longitude,
    parse_temperature,
    parse_zone,
    plain_minus,
)

T = TypeVar("T")

EVENT_KEYS = {"bloom": Event.FULL_BLOOM, "pick": Event.PICK, "leaf fall": Event.LEAF_FALL}
FROM_BLOOM = within(parse_day_count, 14, 450, "from full bloom to pick it is 14 to 450 days")
CROP_OF_A_TREE = amount_within(parse_yield, 2_000, 50_000, "a tree gives up to 2,000 kg (4,400 lb), or 50,000 counted")
_OF_FRUIT = within(parse_firmness, 0, 133.5, "fruit is from 0 to 30 lbf (133 N) firm")
IN_COLD = within(parse_day_count, 0, 240, "fruit needs from 0 to 240 days of cold")
COUNTER = within(parse_day_count, 0, 90, "fruit is ready after 0 to 90 days in the room")
_WARMTH = within(parse_temperature, celsius(50), celsius(122), "too warm for ripening is from 50 to 122 F (10 to 50 C)")
_COLD = within(parse_temperature, -15, celsius(68), "cold that fruit minds is from 5 to 68 F (-15 to 20 C)")
_SOFTENS = within(parse_firmness, 0, 44.5, "fruit loses up to 10 lbf (44 N) a day")
_FREEZES = within(parse_temperature, -15, 2, "fruit freezes from 5 to 36 F (-15 to 2 C)")
_BEFORE_PICK = within(parse_day_count, 0, 300, "fruit drops up to 300 days from its bloom or pick")
_PASSES = within(parse_count, 1, 60, "a tree is picked in 1 to 60 goes")
_BETWEEN_PASSES = within(parse_day_count, 0.5, 60, "between two pickings are 12 hours to 60 days")
_ONE_FRUIT = within(parse_fruit_weight, 0.0002, 5, "one fruit weighs from 0.2 g to 5 kg (11 lb)")
_ONE_CONTAINER = container_within(parse_container, 0.1, 60, "a container weighs from 100 g to 60 kg (132 lb)")
_BESIDE = within(parse_day_count, 0, 200, "two cultivars are picked up to 200 days apart")
_RULE_DAYS = within(parse_count, 0, 450, "a rule begins with 0 to 450 days")
_ABOVE = within(parse_temperature, -10, 25, "warmth counts above 14 to 77 F (-10 to 25 C)")
_NIGHTS = within(parse_day_count, 1, 120, "nights are counted over 1 to 120 days")
_WITHIN = within(parse_day_count, 0, 90, "a rule is off by up to 90 days")
"""What these figures can be for any fruit a household grows: wide around all that is on the shelf (our judgement)."""
SENSES = ("touch", "sight", "smell", "taste", "lift", "sound")


def read_traits(
    fields: Fields,
    shelf: Fields | None,
    place: Place,
    places: Mapping[str, ReferencePlace],
    *,
    is_cultivar: bool,
) -> Traits:
    """Read what a fruit's or a cultivar's note says of how it ripens.

    `shelf` is the shelf's own note where the household's lies over it: a storage limit is never made longer.
    """
    traits = _with_days_on_the_tree(fields, Traits(), place, places)
    for part in (_with_picking, _with_ripening, _with_cold, _with_pollen, _with_crop):
        traits = part(fields, traits)
    traits = _with_keeping(fields, traits, shelf, is_cultivar=is_cultivar)
    _check_softening(fields, traits)
    _check_order(fields, traits.windows, place)
    return traits


def _with_days_on_the_tree(
    fields: Fields, traits: Traits, place: Place, places: Mapping[str, ReferencePlace]
) -> Traits:
    """Add what its dates rest on: printed windows, days from bloom, days beside another kind, rules of warmth."""
    return replace(
        traits,
        windows=tuple(w for item in fields.tables("windows") if (w := _window(item, place, places)) is not None),
        offset=_offset(fields),
        days_from_bloom=fields.figures("days from bloom", FROM_BLOOM),
        heat_rule=_heat_rule(fields),
        cold_nights=fields.figure("cold nights", _COLD),
        freezes=fields.figure("freezes", _FREEZES),
        drops=tuple(_drop(item) for item in fields.tables("drops")),
    )


def _with_picking(fields: Fields, traits: Traits) -> Traits:
    """Add how one knows that it is to be picked, and in how many goes it is."""
    return replace(
        traits,
        signs=tuple(sign for item in fields.tables("signs") if (sign := _sign(item)) is not None),
        firmness_at_pick=fields.figure("firmness at pick", _OF_FRUIT),
        passes=fields.figure("passes", _PASSES),
        pass_interval=fields.figure("pass interval", _BETWEEN_PASSES),
        picking_days=fields.figures("picking days", parse_picking_days),
    )


def _with_ripening(fields: Fields, traits: Traits) -> Traits:
    """Add what it does in the room once it is picked."""
    return replace(
        traits,
        ripens_off_the_tree=fields.figure("ripens off the tree", one_of(Ripens)),
        firmness_when_ready=fields.figure("firmness when ready", _OF_FRUIT),
        softens=fields.figure("softens", _firmness_a_day),
        counter=fields.figure("counter", COUNTER),
        counter_after_storage=fields.figure("counter after storage", COUNTER),
        counter_by_room=fields.figures("counter by room", COUNTER),
        too_warm=fields.figure("too warm", _WARMTH),
        ripens_poorly_above=fields.figure("ripens poorly above", _WARMTH),
        ripe_apple=fields.figure("ripe apple", COUNTER),
        treatments=tuple(t for item in fields.tables("treatments") if (t := _treatment(item)) is not None),
    )


def _with_cold(fields: Fields, traits: Traits) -> Traits:
    """Add the cold that it needs before it ripens, and the cold that harms it."""
    return replace(
        traits,
        conditioning=fields.figures("conditioning", IN_COLD),
        conditioning_late=fields.figures("conditioning late", IN_COLD),
        conditioning_early=fields.figures("conditioning early", IN_COLD),
        chilling=fields.figures("chilling", parse_chilling),
        keep_apart=fields.figures("keep apart", plain_text),
    )


def _with_keeping(fields: Fields, traits: Traits, shelf: Fields | None, *, is_cultivar: bool) -> Traits:
    """Add how long it keeps; a published limit is never made longer."""
    limit = shelf.figure("keeps", parse_day_count) if shelf else None
    return replace(
        traits,
        keeps=keeps_within(fields, fields.figure("keeps", KEEPS_FRUIT), limit, strict=is_cultivar),
        keeps_published=_published_keeps(fields, limit),
        warmer_storage=_published_only(fields, "warmer storage", parse_times_shorter),
        keeps_ripe=fields.figure("keeps ripe", KEEPS_FRUIT),
    )


def _with_pollen(fields: Fields, traits: Traits) -> Traits:
    return replace(
        traits,
        partners=fields.figures("partners", plain_text),
        bad_partners=fields.figures("bad partners", plain_text),
        flower_groups=fields.figures("flowering group", parse_flower_group),
        own_pollen=fields.figure("own pollen", one_of(Sets)),
        gives_pollen=fields.figure("gives pollen", one_of(Gives)),
        shows_bloom=fields.figure("shows bloom", one_of(Shows)),
    )


def _with_crop(fields: Fields, traits: Traits) -> Traits:
    """Add how much there is of it, and what it is good for."""
    return replace(
        traits,
        yields=fields.figures("yield", CROP_OF_A_TREE),
        fruit_weight=fields.figure("weight per fruit", _ONE_FRUIT),
        containers=fields.figures("weight per container", _ONE_CONTAINER),
        uses=fields.figures("uses", plain_text),
        facts=tuple(_fact(item) for item in fields.tables("facts")),
        cautions=fields.figures("cautions", plain_text),
    )


def _check_softening(fields: Fields, traits: Traits) -> None:
    picked, ready = traits.firmness_at_pick, traits.firmness_when_ready
    if picked and ready and ready.value.middle > picked.value.middle:
        message = f'fruit is firmer when ready ("{ready.text}") than when it is picked ("{picked.text}")'
        fields.fault("firmness when ready", message, "fruit only softens; were the two exchanged?")


def _check_order(fields: Fields, windows: Iterable[Window], place: Place) -> None:
    """Ask about a pick that lies before the bloom of the same crop on the same ground."""
    year = place.working_year(2027)
    own = [window for window in windows if not window.cited.where.file.startswith(SHELF)]
    for pick in (window for window in own if window.event is Event.PICK):
        for bloom in (window for window in own if window.event is Event.FULL_BLOOM):
            same = (bloom.crop, bloom.ground, bloom.place_name) == (pick.crop, pick.ground, pick.place_name)
            first, picked = (year.place_day(w.stretch.first, w.written_for) for w in (bloom, pick))
            if same and picked <= first:
                message = f'its pick ("{pick.text}") lies before its bloom ("{bloom.text}")'
                fields.ask("windows", message, "were the two exchanged?")


def _published_keeps(fields: Fields, limit: Figure[DayCount] | None) -> Figure[DayCount] | None:
    """Return the shelf's limit of keeping where the household's own stands over it: the shorter of the two holds."""
    over_it = fields.has("keeps") and not fields.place_of("keeps").file.startswith(SHELF)
    return limit if over_it else None


def _published_only(fields: Fields, key: str, parse: Callable[[str], T]) -> Figure[T] | None:
    """Read a figure that belongs to a published limit; a household can't write its own."""
    found = fields.figure(key, parse)
    if found is not None and not fields.place_of(key).file.startswith(SHELF):
        hint = "leave the key out; a shorter time of your own is written as keeps: 30 days"
        fields.fault(key, f'"{key}" belongs to a published limit of keeping', hint)
    return found


def parse_times_shorter(text: str) -> Interval:
    """Read how many times shorter something lasts, as `2-3 times shorter`. Raises Unreadable."""
    match = re.fullmatch(r"(.+?) times shorter", " ".join(text.split()))
    found = parse_count(match[1]) if match else None
    if found is None or found.low < 1:
        raise Unreadable(f'"{text}" does not say how many times shorter', "write it as 2-3 times shorter")
    return found


def _firmness_a_day(text: str) -> Interval:
    match = re.fullmatch(r"(.+?)\s+(?:a|per) day", text.strip())
    if match is None:
        raise Unreadable(f'"{text}" is no firmness lost each day', "write it as 2 lbf a day")
    return _SOFTENS(match[1])


_SEASONS_OF_BLOOM = {"very early": 0, "early": 1, "middle": 2, "late": 3, "very late": 4}
_MOST_GROUPS = 30


def parse_flower_group(text: str) -> FlowerGroup:
    """Read when a kind blooms beside others, as `3 of 7`, `2-3 of 7`, `middle` or `early to middle`. Raises Unreadable.

    Words are a scale of their own; "very early" is its 0.
    """
    plain = " ".join(text.casefold().split())
    words = [_SEASONS_OF_BLOOM.get(word) for word in plain.split(" to ")]
    numbered = re.fullmatch(r"(\d{1,2})(?:\s?[-–]\s?(\d{1,2}))? of (\d{1,2})", plain)
    if numbered:
        low, of = int(numbered[1]), int(numbered[3])
        group = FlowerGroup(low=low, high=int(numbered[2] or low), of=of)
        if 1 <= group.low <= group.high <= of <= _MOST_GROUPS:
            return group
    elif len(words) <= 2 and None not in words:
        places = sorted(word for word in words if word is not None)
        return FlowerGroup(low=places[0], high=places[-1])
    hint = "write it as 3 of 7, or in words as early, middle, late or early to middle"
    raise Unreadable(f'"{text}" is no flowering group', hint)


def parse_chilling(text: str) -> Chilling:
    """Read the cold that harms, as `36-50 F before ripe` or `below 41 F after more than 4 weeks`. Raises Unreadable."""
    plain = " ".join(text.split())
    match = re.fullmatch(r"(below )?(.+? [FC])( or below)?( before ripe)?(?: after (more than )?(.+))?", plain)
    if match is None:
        hint = "write it as 36-50 F before ripe, 32 F or below after 3 weeks, or below 41 F after more than 4 weeks"
        raise Unreadable(f'"{text}" does not say which cold harms', hint)
    harmful = _COLD(match[2])
    return Chilling(
        low_c=None if match[1] or match[3] else harmful.low,
        high_c=harmful.high,
        after_d=parse_day_count(match[6]).low if match[6] else 0.0,
        below=bool(match[1]),
        unripe=bool(match[4]),
        more_than=bool(match[5]),
    )


def _treatment(fields: Fields) -> Treatment | None:
    what, then, text = fields.text("what"), fields.read("then", COUNTER), fields.text("then")
    at, stored = fields.text("then at"), fields.read("stored at most", KEEPS_FRUIT)
    value, value_text = fields.read("value", IN_COLD), fields.text("value")
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
    told = Ground(zone=zone, latitude=latitude, longitude=longitude, elevation_m=elevation_m)
    found = _ground_of(fields, named, told, place, places)
    if found is None:
        return None
    name, ground, half = found
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


def _ground_of(
    fields: Fields, named: str, told: Ground, place: Place, places: Mapping[str, ReferencePlace]
) -> tuple[str, Ground, Hemisphere] | None:
    """Return the place of a window by its name, its ground and its half of the earth; None where nobody knows it.

    `told` is what the window says of its ground itself, which counts where it names no place.
    """
    on_shelf = fields.where.file.startswith(SHELF)
    if named.casefold() == "here" and not on_shelf:
        return place.name, place.ground, place.hemisphere
    if named:
        reference = places.get(named)
        if reference is None:
            near = nearest(named, places)
            hint = f'did you mean "{near}"?' if near else "name a place that stands in places.md, or here"
            fields.fault("place", f'the place "{named}" is not known', hint)
            return None
        return reference.name, reference.ground, _half(reference.ground.latitude or 0)
    if on_shelf:
        fields.fault("place", "a window of the shelf has no place", "add place: and its key in places.md")
    return "", told, place.hemisphere if told.latitude is None else _half(told.latitude)


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
    days = _BESIDE(match[1]).middle
    return days if match[2].casefold() == "after" else -days


def _heat_rule(fields: Fields) -> HeatRule | None:
    for item in fields.tables("heat rule"):
        gives, value = item.read("gives", one_of(RuleGives)), item.read("value", _RULE_DAYS)
        less, above = item.read("less", _LESS), item.read("above", _ABOVE)
        stretch = item.read("during", parse_stretch) if gives is RuleGives.DAY_OF_YEAR else None
        nights = item.read("during", _NIGHTS) if gives is RuleGives.DAYS_FROM_BLOOM else None
        within = item.figure("within", _WITHIN)
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


_LESS = number_within(_days_per_c, -54, 54, "a degree moves the pick by up to 30 days (F) or 54 days (C)")


def _sign(fields: Fields) -> Sign | None:
    written = [sense for sense in SENSES if fields.has(sense)]
    texts = {sense: fields.text(sense) for sense in SENSES}
    of_ripe = fields.read("when", _ripe) or False
    cited = fields.cited()
    fields.text("note")
    fields.close("a sign")
    if len(written) != 1:
        fields.fault("", "a sign has one sense", "write touch:, sight:, smell:, taste:, lift: or sound:")
        return None
    return Sign(sense=written[0], text=texts[written[0]], cited=cited, of_ripe=of_ripe)


def _ripe(text: str) -> bool:
    if folded(text) != "ripe":
        raise Unreadable(f'"{text}" is no time for a sign', "leave it out for a pick test, or write when: ripe")
    return True


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
    count = _BEFORE_PICK(match[1])
    return DropPeriod(low=count.low, high=count.high, stage=Stage(match[3]), before=match[2] == "before")


def read_abroad(fields: Fields) -> tuple[Abroad, ...]:
    """Read what a fruit is called in other languages."""
    return tuple(name for item in fields.tables("in other languages") if (name := _abroad(item)) is not None)


def _abroad(fields: Fields) -> Abroad | None:
    name, languages = fields.text("name"), fields.texts("language")
    cited = fields.cited()
    fields.close("a name in another language")
    unfit = [code for code in languages if not re.fullmatch(r"[a-z]{2,3}", code)]
    if not name or not languages or unfit:
        fields.fault(
            "language", "a name in another language has a name and its language", "write {name: poire, language: fr}"
        )
        return None
    return Abroad(name=name, languages=languages, cited=cited)


def _fact(fields: Fields) -> Fact:
    value, note, at = fields.text("value"), fields.text("note"), fields.text("at")
    text = value + (f" at {at}" if at else "") + (f" ({note})" if note else "")
    fact = Fact(what=fields.text("what"), text=text, cited=fields.cited())
    fields.close("a fact")
    return fact
