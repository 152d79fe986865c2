"""Weather files: what is understood, what is named as wrong, and which gaps are filled."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, timedelta

import pytest

from firmripe.days import Span
from firmripe.holding.holding import Holding
from firmripe.holding.weather import Doubtful, Weather
from firmripe.problems import FaultyNotes, Problems
from firmripe.reading.folder import Sheet
from firmripe.reading.warnings import warnings_of
from firmripe.reading.weather import MOST_ALIKE, read_weather
from firmripe.tongue import IN_ENGLISH
from firmripe.words import gap_words

MARCH = date(2026, 3, 1)


def read(*texts: str) -> tuple[Weather, list[str]]:
    """Read tables, named weather/1.csv and on, and return the weather and what is wrong."""
    problems = Problems()
    sheets = [Sheet(file=f"weather/{n}.csv", key=str(n), text=text) for n, text in enumerate(texts, start=1)]
    weather = read_weather(sheets, problems)
    try:
        problems.stop_if_any()
    except FaultyNotes as faulty:
        return weather, [str(problem) for problem in faulty.problems]
    return weather, []


def rows(header: str, temps: Sequence[tuple[object, object]], first: date = MARCH) -> str:
    """Return a table of consecutive days."""
    lines = [f"{first + timedelta(days=n)},{low},{high}" for n, (low, high) in enumerate(temps)]
    return "\n".join([header, *lines, ""])


def days_on(*days: int) -> Weather:
    """Return weather of some days of March 2026 (32 is 1 April), as warm as the day's number."""
    return Weather.of({MARCH + timedelta(days=day - 1): (float(day), day + 10.0) for day in days})


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("date,tmin_f,tmax_f\n2026-03-01,23,50\n", -5, 10),
        ("date,tmin_c,tmax_c\n1 Mar 2026,-5.0,10\n", -5, 10),
        ("Date, TMIN_F ,tmax-f,rain\n2026-03-01,23,50,0.3\n", -5, 10),
        ("tmax_c,tmin_c,date\n10,−5,2026-03-01\n", -5, 10),
        ("date,tmin_c,tmax_f\n2026-03-01,-5,50\n", -5, 10),
        ('"STATION","DATE","PRCP","TMAX","TMIN","UNITS"\n"A1","2026-03-01","0.1","50","23","standard"\n', -5, 10),
        ('"STATION","DATE","TMAX","TMIN","units"\n"A1","2026-03-01","10.0","-5.0","metric"\n', -5, 10),
        ("DATE,TMIN,TMIN_ATTRIBUTES,TMAX\n2026-03-01,23,W,75\n", -5, 43 / 1.8),
    ],
)
def test_a_day_is_read_in_every_form_of_table(text: str, low: float, high: float) -> None:
    """Both units, both kinds of columns, in any order and with others beside them."""
    weather, wrong = read(text)

    assert not wrong
    assert weather.days == (MARCH,)
    assert weather.tmin_c == pytest.approx([low])
    assert weather.tmax_c == pytest.approx([high])


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("date,tmin,tmax\n2026-03-01,23,50\n", ":1", ["does not say °F or °C", "date,tmin_f,tmax_f"]),
        ("date,tmin_f\n2026-03-01,23\n", ":1", ["column tmax is missing"]),
        ("date,tmin_f,tmin_c,tmax_f\n2026-03-01,23,-5,50\n", ":1", ["column tmin stands twice"]),
        ("day,tmin_f,tmax_f\n2026-03-01,23,50\n", ":1", ['no column "date"']),
        ("DATE,TMIN,tmax_f,units\n2026-03-01,23,50,metric\n", ":1", ["only one of the two"]),
        ("date,tmin_f,tmax_f\n2026-03-01,50,23\n", ":2", ["lowest temperature 50 is above the highest 23"]),
        ("date,tmin_f,tmax_f\n2026-03-01,,50\n", ":2", ["no tmin", "take the line out"]),
        ("date,tmin_f,tmax_f\n2026-03-01\n", ":2", ["no tmin and tmax"]),
        ("date,tmin_f,tmax_f\n,23,50\n", ":2", ["no date"]),
        ("date,tmin_c,tmax_c\n2026-03-01,41,75\n", ":2", ["75 °C is no temperature", "other unit"]),
        ("date,tmin_f,tmax_f\n2026-03-01,-90,50\n", ":2", ["-68 °C is no temperature"]),
        ("date,tmin_f,tmax_f\n2026-03-01,23 F,50\n", ":2", ['"23 F" is not a temperature']),
        ("date,tmin_f,tmax_f\n2026-03-01,nan,50\n", ":2", ['"nan" is not a temperature']),
        ("date,tmin_f,tmax_f\n2026-02-29,23,50\n", ":2", ["not a day of the calendar"]),
        ("date,tmin_f,tmax_f\n2026-03-01,23,50\n2026-03-01,23,51\n", ":3", ["already", "weather/1.csv:2"]),
        ("DATE,TMIN,TMAX,UNITS\n2026-03-01,23,50,imperial\n", ":2", ['"imperial"', "standard (°F) or metric"]),
        ("DATE,TMIN,TMAX\n2026-03-01,23,50\n", ":2", ["may be °F or °C", "add a column units"]),
        ("DATE,TMIN,TMAX\n2026-03-01,-50,256\n", "", ["neither °F nor °C", "tenths"]),
        ("STATION,DATE,TMIN,TMAX\nA1,2026-03-01,23,75\nB2,2026-03-02,23,75\n", ":3", ["several stations: A1 or B2"]),
        ('date,tmin_f,tmax_f\n2026-03-01,"23,50\n', ":2", ["a quote is opened here and never closed"]),
    ],
)
def test_what_is_wrong_is_named_with_its_line(text: str, line: str, words: list[str]) -> None:
    """Each fault stands with file and line, and says what to write; the faulty day is left out."""
    weather, wrong = read(text)

    assert len(wrong) == 1
    assert wrong[0].startswith(f"weather/1.csv{line}")
    for word in words:
        assert word in wrong[0]
    assert len(weather.days) <= 1


def test_a_fault_of_a_whole_file_is_named_a_few_times_and_counted() -> None:
    """Exchanged columns of a month don't bury every other problem."""
    _, wrong = read(rows("date,tmin_f,tmax_f", [(50, 23)] * 31))

    assert len(wrong) == MOST_ALIKE + 1
    assert sum(f"{31 - MOST_ALIKE} more lines" in problem for problem in wrong) == 1


def test_a_quote_that_is_never_closed_swallows_no_days() -> None:
    """Also in a column that is passed over: the line is told, and no day below it goes without a word."""
    text = 'date,tmin_c,tmax_c,note\n2026-03-01,4,15,"hail\n2026-03-02,4,15,\n2026-03-03,4,15,\n'
    _, wrong = read(text)
    assert len(wrong) == 1
    assert wrong[0].startswith("weather/1.csv:2: a quote is opened here and never closed")


def test_the_same_day_in_two_files_is_one_day_if_they_agree() -> None:
    """Downloads overlap; only a disagreement is a problem, and it names both places."""
    one = "date,tmin_f,tmax_f\n2026-03-01,23,50\n2026-03-02,24,51\n"
    agreeing, no_wrong = read(one, "date,tmin_f,tmax_f\n2026-03-02,24,51\n2026-03-03,25,52\n")
    _, wrong = read(one, "date,tmin_f,tmax_f\n2026-03-02,24,60\n")

    assert not no_wrong
    assert agreeing.days == tuple(MARCH + timedelta(days=n) for n in range(3))
    assert len(wrong) == 1
    assert "weather/2.csv:2" in wrong[0]
    assert "weather/1.csv:3" in wrong[0]


def test_a_whole_cool_year_without_a_unit_is_taken_as_metric() -> None:
    """No year where fruit grows stays below 60 °F, so such a year is in °C; a winter alone does not tell."""
    year = rows("DATE,TMIN,TMAX", [(5, 18)] * 330, date(2026, 1, 1))
    winter = rows("DATE,TMIN,TMAX", [(5, 18)] * 90, date(2026, 1, 1))

    weather, wrong = read(year)

    assert not wrong
    assert set(weather.tmax_c) == {18.0}
    assert len(read(winter)[1]) == 1


def test_an_empty_cell_of_a_download_is_a_day_without_weather() -> None:
    """NOAA leaves cells empty; such a day counts as missing, not as a fault."""
    weather, wrong = read(
        "DATE,TMIN,TMAX,UNITS\n2026-03-01,0,10,metric\n2026-03-02,,12,metric\n2026-03-03,4,14,metric\n"
    )

    assert not wrong
    assert weather.filled == {date(2026, 3, 2)}
    assert weather.tmin_c == pytest.approx([0, 2, 4])


@pytest.mark.parametrize("missing", [1, 2, 3])
def test_a_short_gap_is_filled_in_a_straight_line(missing: int) -> None:
    """Up to three days are filled between their neighbours, and are known as filled."""
    weather = days_on(1, missing + 2)

    assert weather.tmin_c == pytest.approx([float(day) for day in range(1, missing + 3)])
    assert weather.tmax_c == pytest.approx([day + 10.0 for day in range(1, missing + 3)])
    assert weather.filled == {MARCH + timedelta(days=n) for n in range(1, missing + 1)}
    assert not weather.gaps


def test_a_longer_gap_stays_and_is_said_once() -> None:
    """Four days and more are one gap, in words."""
    weather = days_on(1, 2, 10, 11, 16)

    assert weather.days == days_on(1, 2, 10, 11, 16).days
    assert not weather.filled
    assert [gap_words(IN_ENGLISH, gap) for gap in weather.gaps] == [
        "no weather from 3 Mar to 9 Mar 2026",
        "no weather from 12 Mar to 15 Mar 2026",
    ]
    assert gap_words(IN_ENGLISH, Span(first=date(2025, 12, 30), last=date(2026, 1, 4))) == (
        "no weather from 30 Dec 2025 to 4 Jan 2026"
    )


def test_what_is_known_on_a_day_holds_nothing_of_later_days() -> None:
    """Days filled with the help of a later day are not known before it."""
    weather = days_on(1, 2, 5, 6)

    assert weather.until(date(2026, 3, 4)).days == days_on(1, 2).days
    assert weather.until(date(2026, 3, 5)) == days_on(1, 2, 5)
    assert weather.until(date(2026, 2, 1)) == Weather()


def test_days_out_of_order_are_no_weather() -> None:
    """A record holds its days in order, each once, each with two temperatures."""
    with pytest.raises(ValueError, match="order"):
        Weather(days=(MARCH, MARCH), tmin_c=(1.0, 1.0), tmax_c=(2.0, 2.0))
    with pytest.raises(ValueError, match="number"):
        Weather(days=(MARCH,), tmin_c=(), tmax_c=(2.0,))


def test_a_household_has_its_weather(holding_of: Callable[..., Holding]) -> None:
    """The folder weather is read with the notes; without it there is none."""
    tree = {"trees/1.md": "---\ncultivar: Bartlett\n---\n"}

    with_weather = holding_of({**tree, "weather/2026.csv": "date,tmin_c,tmax_c\n2026-03-01,1,2\n"})

    assert with_weather.weather.days == (MARCH,)


def test_weather_that_is_wrong_stops_the_build(holding_of: Callable[..., Holding]) -> None:
    """Faults of weather stand among all others."""
    notes = {
        "trees/1.md": "---\ncultivar: Bartlett\n---\n",
        "weather/2026.csv": "date,tmin_f,tmax_f\n2026-03-01,50,23\n",
    }

    with pytest.raises(FaultyNotes, match=r"weather/2026\.csv:2"):
        holding_of(notes)


def a_year(changed: dict[int, tuple[float, float]]) -> str:
    """Return a year that warms by a tenth of a degree a day, some of its days changed."""
    temps = [changed.get(n, (round(-5 + n / 10, 1), round(5 + n / 10, 1))) for n in range(300)]
    return rows("date,tmin_c,tmax_c", temps)


def test_days_that_can_not_be_are_set_aside_and_counted() -> None:
    """Crossed, impossible and stuck days of a station stop nothing: they are left out, and short gaps filled."""
    stuck = dict.fromkeys(range(100, 109), (2.0, 9.0))
    weather, wrong = read(a_year({10: (9.0, 2.0), 20: (-99.9, 5.0), 30: (3.0, 999.0), **stuck}))

    assert not wrong
    assert weather.doubtful == (Doubtful(file="weather/1.csv", crossed=1, impossible=2, stuck=8),)
    day = MARCH + timedelta(days=10)
    assert day in weather.filled
    assert weather.tmin_c[10] == pytest.approx(-4.0)
    assert weather.gaps == (Span(first=MARCH + timedelta(days=101), last=MARCH + timedelta(days=108)),)


def test_check_counts_what_is_set_aside_in_one_line(holding_of: Callable[..., Holding]) -> None:
    """However many days, one warning a file."""
    changed = dict.fromkeys(range(0, 200, 9), (30.0, 20.0))
    holding = holding_of({"trees/1.md": "---\ncultivar: Bartlett\n---\n", "weather/a.csv": a_year(changed)})

    said = [problem for problem in warnings_of(holding, date(2027, 1, 1)) if problem.where.file == "weather/a.csv"]

    assert [one.message for one in said] == ["23 days are set aside: 23 with the lowest temperature above the highest"]


def test_a_file_with_many_days_that_can_not_be_is_wrong_itself() -> None:
    """More than a tenth of it crossed: the columns were exchanged."""
    _, wrong = read(a_year(dict.fromkeys(range(100), (30.0, 20.0))))

    assert len(wrong) == MOST_ALIKE + 1
    assert "were the two exchanged?" in wrong[0] + wrong[-1]
