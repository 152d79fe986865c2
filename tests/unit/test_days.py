"""Calendar arithmetic at its edges: leap days, New Year, the other half of the earth, and what people write."""

from __future__ import annotations

from datetime import date

import pytest

from firmripe.days import (
    DayCount,
    Hemisphere,
    MonthDay,
    Rhythm,
    Span,
    Stretch,
    WorkingYear,
    parse_day,
    parse_day_count,
    parse_rhythm,
    parse_stretch,
)
from firmripe.holding.picks import parse_picking_days
from firmripe.problems import Unreadable

NORTH, SOUTH = Hemisphere.NORTH, Hemisphere.SOUTH


def span(first: date, last: date) -> Span:
    return Span(first=first, last=last)


def stretch(first: tuple[int, int], last: tuple[int, int]) -> Stretch:
    return Stretch(first=MonthDay(*first), last=MonthDay(*last))


def season(year: int = 2027, hemisphere: Hemisphere = NORTH) -> WorkingYear:
    return WorkingYear(year=year, hemisphere=hemisphere)


def fault(parse: object, text: str) -> tuple[str, str]:
    """Return the message and the hint with which a reader turns a text down."""
    assert callable(parse)
    with pytest.raises(Unreadable) as raised:
        parse(text)
    return raised.value.message, raised.value.hint


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2027-08-20", date(2027, 8, 20)),
        ("2027-8-2", date(2027, 8, 2)),
        (" 20 Aug 2027 ", date(2027, 8, 20)),
        ("20 august 2027", date(2027, 8, 20)),
        ("Aug 20, 2027", date(2027, 8, 20)),
        ("Aug. 20 2027", date(2027, 8, 20)),
        ("5 Sept 2027", date(2027, 9, 5)),
        ("29 Feb 2028", date(2028, 2, 29)),
        ("13/04/2027", date(2027, 4, 13)),
        ("04/13/2027", date(2027, 4, 13)),
        ("4.4.2027", date(2027, 4, 4)),
    ],
)
def test_a_day_is_read_as_people_write_it(text: str, day: date) -> None:
    """A slashed day with one reading only is that day."""
    assert parse_day(text) == day


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("03/04/2027", '"03/04/2027" can mean 4 Mar 2027 or 3 Apr 2027'),
        ("12.1.2027", '"12.1.2027" can mean 1 Dec 2027 or 12 Jan 2027'),
        ("2027-02-29", '"2027-02-29" is not a day of the calendar'),
        ("31 Apr 2027", '"31 Apr 2027" is not a day of the calendar'),
        ("13/13/2027", '"13/13/2027" is not a day of the calendar'),
        ("20 Agu 2027", '"20 Agu 2027": no month is called "Agu"'),
        ("0207-04-28", '"0207-04-28": was the year 207 meant?'),
        ("2027-08", '"2027-08" is not a day'),
        ("tomorrow", '"tomorrow" is not a day'),
        ("", '"" is not a day'),
    ],
)
def test_what_is_no_day_is_told_with_its_reason(text: str, message: str) -> None:
    """Nothing is guessed: two readings are both named, and a day that never was is no day."""
    assert fault(parse_day, text) == (message, "write the day as 2027-08-20 or 20 Aug 2027")


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Aug 20", stretch((8, 20), (8, 20))),
        ("20 Aug", stretch((8, 20), (8, 20))),
        ("Feb 29", stretch((2, 29), (2, 29))),
        ("Aug 20 - Sep 5", stretch((8, 20), (9, 5))),
        ("Aug 20 – Sep 5", stretch((8, 20), (9, 5))),
        ("20 Aug to 5 Sep", stretch((8, 20), (9, 5))),
        ("Aug 20 - 25", stretch((8, 20), (8, 25))),
        ("August", stretch((8, 1), (8, 31))),
        ("February", stretch((2, 1), (2, 29))),
        ("early August", stretch((8, 1), (8, 10))),
        ("mid-August", stretch((8, 11), (8, 20))),
        ("Late February", stretch((2, 21), (2, 29))),
        ("late August - early September", stretch((8, 21), (9, 10))),
        ("June - July", stretch((6, 1), (7, 31))),
        ("Dec 20 - Jan 10", stretch((12, 20), (1, 10))),
        ("November - March", stretch((11, 1), (3, 31))),
        ("January - December", stretch((1, 1), (12, 31))),
    ],
)
def test_a_stretch_is_read_as_people_write_it(text: str, found: Stretch) -> None:
    """It may be a day, a part of a month, or run over New Year."""
    assert parse_stretch(text) == found


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("Sep 5 - Aug 20", '"Sep 5 - Aug 20" runs backwards'),
        ("Aug 25 - 20", '"Aug 25 - 20" runs backwards'),
        ("late August - early August", '"late August - early August" runs backwards'),
        ("Feb 30", '"Feb 30": February has no day 30'),
        ("Apr 31 - May 5", '"Apr 31 - May 5": April has no day 31'),
        ("20 Agu", '"20 Agu": no month is called "Agu"'),
        ("Aug 20 - ", '"Aug 20 - " is not a day or a stretch of the year'),
        ("Aug - Sep - Oct", '"Aug - Sep - Oct" is not a day or a stretch of the year'),
        ("end of August", '"end of August" is not a day or a stretch of the year'),
        ("20", '"20" is not a day or a stretch of the year'),
    ],
)
def test_what_is_no_stretch_is_told_with_its_reason(text: str, message: str) -> None:
    """A stretch that leaves out only a few weeks of the year was written the wrong way round."""
    assert fault(parse_stretch, text)[0] == message


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("5 days", 5, 5),
        ("1 day", 1, 1),
        ("0 days", 0, 0),
        ("4-6 weeks", 28, 42),
        ("4 – 6 Weeks", 28, 42),
        ("4 to 6 wks", 28, 42),
        ("2-3 months", 60, 90),
        ("24 hours", 1, 1),
        ("2.5 days", 2.5, 2.5),
        ("1 year", 365, 365),
    ],
)
def test_a_number_of_days_is_read_in_any_unit_of_time(text: str, low: float, high: float) -> None:
    """A month counts as 30 days."""
    assert parse_day_count(text) == DayCount(low=low, high=high)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("14", '"14" is not a number of days'),
        ("days", '"days" is not a number of days'),
        ("-3 days", '"-3 days" is not a number of days'),
        ("5 fortnights", '"5 fortnights" is not a number of days'),
        ("6-4 weeks", '"6-4 weeks" runs backwards'),
        ("400 months", '"400 months" is more than ten years'),
    ],
)
def test_what_is_no_number_of_days_is_told_with_its_reason(text: str, message: str) -> None:
    """A bare number may mean days or weeks."""
    assert fault(parse_day_count, text)[0] == message


@pytest.mark.parametrize(
    ("text", "rhythm", "shown"),
    [
        ("2 days", Rhythm(count=2, unit="day"), "every 2 days"),
        ("1 week", Rhythm(count=1, unit="week"), "every week"),
        ("every month", Rhythm(count=1, unit="month"), "every month"),
        ("Day", Rhythm(count=1, unit="day"), "every day"),
    ],
)
def test_a_rhythm_is_read_and_said_again(text: str, rhythm: Rhythm, shown: str) -> None:
    """What is printed is the rhythm that was written."""
    assert (parse_rhythm(text), str(parse_rhythm(text))) == (rhythm, shown)


@pytest.mark.parametrize("text", ["0 days", "00 months", "2-3 days", "weekly", "1000 weeks", ""])
def test_what_is_no_rhythm_is_told(text: str) -> None:
    """A rhythm of nothing would never end."""
    assert fault(parse_rhythm, text) == (f'"{text}" is not a rhythm', "write it as 2 days, 1 week or 1 month")


@pytest.mark.parametrize(
    ("rhythm", "within", "days"),
    [
        (
            Rhythm(count=1, unit="month"),
            span(date(2027, 1, 31), date(2027, 4, 30)),
            [date(2027, 1, 31), date(2027, 2, 28), date(2027, 3, 31), date(2027, 4, 30)],
        ),
        (
            Rhythm(count=1, unit="month"),
            span(date(2028, 1, 30), date(2028, 3, 1)),
            [date(2028, 1, 30), date(2028, 2, 29)],
        ),
        (
            Rhythm(count=2, unit="week"),
            span(date(2027, 12, 20), date(2028, 1, 20)),
            [date(2027, 12, 20), date(2028, 1, 3), date(2028, 1, 17)],
        ),
        (
            Rhythm(count=3, unit="day"),
            span(date(2028, 2, 27), date(2028, 3, 4)),
            [date(2028, 2, 27), date(2028, 3, 1), date(2028, 3, 4)],
        ),
        (Rhythm(count=9, unit="day"), span(date(2027, 8, 1), date(2027, 8, 1)), [date(2027, 8, 1)]),
    ],
)
def test_a_rhythm_falls_on_days_of_the_calendar(rhythm: Rhythm, within: Span, days: list[date]) -> None:
    """A month after the 31st is the last day of the next, and does not drift for the months that follow."""
    assert list(rhythm.days_in(within)) == days


def test_a_span_never_ends_before_it_starts() -> None:
    """A span of nothing can't be made by mistake."""
    with pytest.raises(ValueError, match="span ends 2027-08-19, before it starts 2027-08-20"):
        span(date(2027, 8, 20), date(2027, 8, 19))


@pytest.mark.parametrize(
    ("other", "meets"),
    [
        (span(date(2027, 8, 1), date(2027, 8, 19)), False),
        (span(date(2027, 8, 1), date(2027, 8, 20)), True),
        (span(date(2027, 8, 22), date(2027, 8, 22)), True),
        (span(date(2027, 8, 26), date(2027, 9, 1)), False),
    ],
)
def test_spans_meet_where_they_share_a_day(other: Span, meets: bool) -> None:  # noqa: FBT001
    """Both ends belong to a span, and meeting is mutual."""
    this = span(date(2027, 8, 20), date(2027, 8, 25))
    assert (this.meets(other), other.meets(this)) == (meets, meets)


@pytest.mark.parametrize(
    ("day", "year", "found"),
    [
        (MonthDay(2, 29), 2028, date(2028, 2, 29)),
        (MonthDay(2, 29), 2027, date(2027, 2, 28)),
        (MonthDay(2, 29), 2100, date(2100, 2, 28)),
        (MonthDay(2, 29), 2000, date(2000, 2, 29)),
        (MonthDay(12, 31), 2027, date(2027, 12, 31)),
    ],
)
def test_a_leap_day_is_the_last_of_february_in_a_common_year(day: MonthDay, year: int, found: date) -> None:
    """The century rule holds too."""
    assert day.in_year(year) == found


@pytest.mark.parametrize(
    ("day", "moved"),
    [
        (MonthDay(8, 16), MonthDay(2, 16)),
        (MonthDay(2, 16), MonthDay(8, 16)),
        (MonthDay(8, 31), MonthDay(2, 28)),
        (MonthDay(2, 29), MonthDay(8, 29)),
        (MonthDay(12, 31), MonthDay(6, 30)),
        (MonthDay(6, 30), MonthDay(12, 30)),
    ],
)
def test_the_other_half_of_the_earth_is_half_a_year_on(day: MonthDay, moved: MonthDay) -> None:
    """A day that the other month lacks is its last."""
    assert day.half_a_year_on() == moved


@pytest.mark.parametrize(
    ("year", "first", "last", "days"),
    [
        (season(2027), date(2027, 1, 1), date(2027, 12, 31), 365),
        (season(2028), date(2028, 1, 1), date(2028, 12, 31), 366),
        (season(2027, SOUTH), date(2026, 7, 1), date(2027, 6, 30), 365),
        (season(2028, SOUTH), date(2027, 7, 1), date(2028, 6, 30), 366),
    ],
)
def test_a_season_runs_from_midwinter_to_midwinter(year: WorkingYear, first: date, last: date, days: int) -> None:
    """In the south it begins in the year before the harvest it is named for."""
    assert (year.first, year.last, year.day_number(year.last) + 1) == (first, last, days)


@pytest.mark.parametrize(
    ("day", "hemisphere", "year"),
    [
        (date(2027, 12, 31), NORTH, 2027),
        (date(2028, 1, 1), NORTH, 2028),
        (date(2027, 6, 30), SOUTH, 2027),
        (date(2027, 7, 1), SOUTH, 2028),
        (date(2027, 12, 31), SOUTH, 2028),
        (date(2028, 2, 29), SOUTH, 2028),
    ],
)
def test_every_day_belongs_to_one_season(day: date, hemisphere: Hemisphere, year: int) -> None:
    """The season that a day is given to holds it, and its neighbours do not."""
    found = WorkingYear.of(day, hemisphere)
    assert found.year == year
    assert [day in season(y, hemisphere) for y in (year - 1, year, year + 1)] == [False, True, False]


@pytest.mark.parametrize(
    ("day", "written_for", "year", "found"),
    [
        (MonthDay(8, 16), NORTH, season(2027), date(2027, 8, 16)),
        (MonthDay(8, 16), NORTH, season(2027, SOUTH), date(2027, 2, 16)),
        (MonthDay(2, 16), SOUTH, season(2027, SOUTH), date(2027, 2, 16)),
        (MonthDay(10, 1), SOUTH, season(2027, SOUTH), date(2026, 10, 1)),
        (MonthDay(10, 1), SOUTH, season(2027), date(2027, 4, 1)),
        (MonthDay(7, 1), SOUTH, season(2027, SOUTH), date(2026, 7, 1)),
        (MonthDay(6, 30), SOUTH, season(2027, SOUTH), date(2027, 6, 30)),
        (MonthDay(8, 31), NORTH, season(2028, SOUTH), date(2028, 2, 28)),
    ],
)
def test_a_day_of_the_year_finds_its_place_in_a_season(
    day: MonthDay, written_for: Hemisphere, year: WorkingYear, found: date
) -> None:
    """A northern August is a southern February of the same harvest."""
    assert year.place_day(day, written_for) == found


def test_a_season_day_is_the_nearest_date() -> None:
    """An estimate of half days is shown as a day, also over a leap day."""
    leap = season(2028)
    assert [leap.date_of(day) for day in (58.4, 58.6, 60)] == [date(2028, 2, 28), date(2028, 2, 29), date(2028, 3, 1)]


def test_the_middle_of_a_count_is_halfway() -> None:
    """A range is dated by its middle."""
    assert parse_day_count("110-133 days").middle == 121.5


@pytest.mark.parametrize(("year", "last"), [(2027, date(2028, 2, 29)), (2028, date(2029, 2, 28))])
def test_picking_into_the_next_year_ends_on_its_own_leap_day(year: int, last: date) -> None:
    """A picking that runs to 29 February has that day wherever the year it ends in has one."""
    days = parse_picking_days("every 1 day, Dec 20 - Feb 29").days(season(year))
    assert (days[0], days[-1]) == (date(year, 12, 20), last)
