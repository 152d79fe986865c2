"""Units at their edges: what people write, what is a slip, and what a conversion must give."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from firmripe.problems import Unreadable
from firmripe.units import (
    Interval,
    celsius,
    fahrenheit,
    parse_count,
    parse_firmness,
    parse_height,
    parse_latitude,
    parse_longitude,
    parse_temperature,
    parse_zone,
)

Reader = Callable[[str], object]


@pytest.mark.parametrize(("f", "c"), [(32, 0), (212, 100), (-40, -40), (68, 20)])
def test_the_two_scales_meet_where_they_should(f: float, c: float) -> None:
    """Ice, steam and the point where both are equal are the scales' own definition."""
    assert celsius(f) == pytest.approx(c)
    assert fahrenheit(c) == pytest.approx(f)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("68 F", 20, 20),
        ("65-75 F", 18.333, 23.889),
        ("65 to 75 °F", 18.333, 23.889),
        ("-0.5 C", -0.5, -0.5),
        ("−1 – 0 C", -1, 0),
        ("–1 – 0 C", -1, 0),
        ("1–3 C", 1, 3),
        ("–5 C", -5, -5),
        ("-2--1 C", -2, -1),
        ("3° C", 3, 3),
        ("0 Fahrenheit", -17.778, -17.778),
        ("3 celsius", 3, 3),
    ],
)
def test_a_temperature_is_held_in_celsius(text: str, low: float, high: float) -> None:
    """A dash between two numbers is a range, one before a number is below zero."""
    found = parse_temperature(text)
    assert [found.low, found.high] == pytest.approx([low, high], abs=0.001)


@pytest.mark.parametrize(
    ("text", "newtons"),
    [
        ("58 N", 58),
        ("13-15 lbf", 14 * 4.448),
        ("3 lb", 3 * 4.448),
        ("16.2 pounds", 16.2 * 4.448),
        ("6 kgf", 58.8399),  # exactly 9.80665 N each (NIST Special Publication 811, 2008, appendix B)
        ("6 kg", 58.8399),
    ],
)
def test_a_firmness_is_held_in_newtons(text: str, newtons: float) -> None:
    """Testers are read in pounds of force."""
    assert parse_firmness(text).middle == pytest.approx(newtons)


@pytest.mark.parametrize(
    ("text", "metres"),
    [("2,150 ft", 655.32), ("2150 feet", 655.32), ("655 m", 655), ("-12 m", -12), ("1,000 metres", 1000), ("0 ft", 0)],
)
def test_a_height_is_held_in_metres(text: str, metres: float) -> None:
    """A comma may part the thousands, and some orchards lie below the sea."""
    assert parse_height(text) == pytest.approx(metres)


@pytest.mark.parametrize(
    ("parse", "text", "degrees"),
    [
        (parse_latitude, "41.9 N", 41.9),
        (parse_latitude, "42 S", -42),
        (parse_latitude, "-42", -42),
        (parse_latitude, "−42", -42),
        (parse_latitude, "–42", -42),
        (parse_latitude, " －42.5", -42.5),
        (parse_longitude, "﹣74.2", -74.2),
        (parse_longitude, "− 74.2", -74.2),
        (parse_latitude, "41.9° n", 41.9),
        (parse_longitude, "74.2 W", -74.2),
        (parse_longitude, "173 E", 173),
    ],
)
def test_degrees_are_counted_from_the_equator_and_the_meridian(
    parse: Callable[[str], float], text: str, degrees: float
) -> None:
    """North and east are above zero."""
    assert parse(text) == degrees


@pytest.mark.parametrize(
    ("text", "half_zones", "shown", "lowest_f", "highest_f"),
    [
        ("1a", 0, "1a", -60, -55),
        ("6b", 11, "6b", -5, 0),
        ("6", 10.5, "6", -10, 0),
        ("Zone 7A", 12, "7a", 0, 5),
        ("13b", 25, "13b", 65, 70),
    ],
)
def test_a_zone_is_a_step_of_five_degrees(
    text: str, half_zones: float, shown: str, lowest_f: float, highest_f: float
) -> None:
    """The limits are those printed on the map; a whole zone spans both its halves."""
    zone = parse_zone(text)
    assert (zone.half_zones, str(zone), zone.lowest_f, zone.highest_f) == (half_zones, shown, lowest_f, highest_f)


@pytest.mark.parametrize(("text", "low", "high"), [("2", 2, 2), ("2-3", 2, 3), ("2 to 3", 2, 3), ("1.5", 1.5, 1.5)])
def test_a_count_may_be_a_range(text: str, low: float, high: float) -> None:
    """A tree is picked over two or three times."""
    assert parse_count(text) == Interval(low=low, high=high)


@pytest.mark.parametrize(
    ("parse", "text", "message"),
    [
        (parse_temperature, "46", '"46" has no unit of temperature'),
        (parse_temperature, "46 feet", '"feet" is no unit of temperature'),
        (parse_temperature, "65 F - 75 F", '"f - 75 f" is no unit of temperature'),
        (parse_temperature, "68 C", '"68 C" is no temperature for fruit; was the other unit meant?'),
        (parse_temperature, "-50 F", '"-50 F" is no temperature for fruit; was the other unit meant?'),
        (parse_temperature, "75-65 F", '"75-65 F" runs backwards'),
        (parse_temperature, "7,5 C", '"7,5 C" has a comma inside a number'),
        (parse_temperature, "cool", '"cool" is not a temperature'),
        (parse_temperature, " ", "a temperature is missing"),
        (parse_firmness, "16.2", '"16.2" has no unit of firmness'),
        (parse_firmness, "58 lbf", '"58 lbf" is firmer than any fruit; was the other unit meant?'),
        (parse_firmness, "-3 lbf", '"-3 lbf" is below zero'),
        (parse_firmness, "15-13 lbf", '"15-13 lbf" runs backwards'),
        (parse_height, "2150", '"2150" has no unit of height'),
        (parse_height, "7200 m", '"7200 m" is no height where fruit grows; was the other unit meant?'),
        (parse_height, "900-1,000 ft", '"900-1,000 ft" is two heights'),
        (parse_height, "1.200 m", '"1.200 m" can mean 1200 or 1.200'),
        (parse_height, "-1.200 m", '"-1.200 m" can mean 1200 or 1.200'),
        (parse_height, "6 miles", '"miles" is no unit of height'),
        (parse_count, "two", '"two" is not a number'),
        (parse_count, "2 passes", '"2 passes" is not a plain number'),
        (parse_count, "3-2", '"3-2" runs backwards'),
        (parse_count, "-1", '"-1" is below zero'),
        (parse_count, "9" * 400, f'"{"9" * 400}" is not a number'),
        (parse_latitude, "91 N", '"91 N" is not a latitude'),
        (parse_latitude, "74.2 W", '"74.2 W" is not a latitude'),
        (parse_latitude, "-42 S", '"-42 S" is not a latitude'),
        (parse_longitude, "181", '"181" is not a longitude'),
        (parse_zone, "0a", '"0a" is not a hardiness zone'),
        (parse_zone, "14", '"14" is not a hardiness zone'),
        (parse_zone, "6c", '"6c" is not a hardiness zone'),
        (parse_zone, "60", '"60" is not a hardiness zone'),
    ],
)
def test_a_slip_is_told_and_never_guessed_at(parse: Reader, text: str, message: str) -> None:
    """A missing unit, the other unit, a range the wrong way round: each has its own words and a hint."""
    with pytest.raises(Unreadable) as raised:
        parse(text)
    assert raised.value.message == message
    assert raised.value.hint.startswith("write ")


def test_the_middle_of_an_interval_is_halfway() -> None:
    """A range is drawn at its middle."""
    assert Interval(low=2, high=5).middle == 3.5
