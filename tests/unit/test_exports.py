"""A weather station's own table: asked about once, looked at in a dry run, then kept as days in the notes."""

from __future__ import annotations

import contextlib
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from conftest import ROOT, write_notes
from hypothesis import given
from hypothesis import strategies as st
from test_lines import WORDS

from firmripe import cli
from firmripe.cli import main
from firmripe.gathering import WEATHER
from firmripe.problems import Problems, Unreadable
from firmripe.reading.exports import compared, read_export, with_days
from firmripe.reading.folder import Sheet
from firmripe.reading.headings import Asked, Headings, guess_of, parse_headings, questions, rows_of_table
from firmripe.reading.weather import read_weather

NOTES = {"place.md": "---\nzone: 6b\nlatitude: 42 N\n---\n", "trees/1-02.md": "---\ncultivar: Bartlett\n---\n"}
TABLE = (
    "Day;Low outside;High outside (°C);Rain\n03/04/2027;1,5;12,25;0\n04/04/2027;-2,0;9;1,2\n;;;\n05/04/2027;--;8;0\n"
)
SAID = "Day = date\nLow outside = tmin_c\nHigh outside (°C) = tmax_c\nRain = nothing\ndate order = day first\n"
DAY = date(2027, 4, 10)


def known(text: str) -> Headings:
    """Return headings that were kept without a fault."""
    problems = Problems()
    found = parse_headings(text, WORDS, problems)
    problems.stop_if_any()
    return found


def test_a_unit_is_asked_and_never_guessed() -> None:
    """A heading that says its unit is proposed; one that says none is not, whatever it is called."""
    assert guess_of("High outside (°C)") == ""
    assert [guess_of(h) for h in ("Low (°F)", "temp_max_c", "Outdoor Temperature, deg F")] == [
        "tmin_f",
        "tmax_c",
        "temperature_f",
    ]
    assert [guess_of(h) for h in ("Low", "Max temp", "Temperature")] == ["", "", ""]
    columns = known("\n".join(SAID.splitlines()[:4]))
    assert [(q.asked, q.guess) for q in questions(TABLE, columns, WORDS)] == [(Asked.ORDER, "")]
    assert questions(TABLE, known(SAID), WORDS) == ()


def test_days_are_read_as_was_said() -> None:
    """With decimal commas; a line without a day or without a value is counted, and no day is made of it."""
    found = read_export(TABLE, known(SAID))
    assert found.days == {date(2027, 4, 3): (1.5, 12.25), date(2027, 4, 4): (-2.0, 9.0)}
    assert found.empty == 1
    fahrenheit = read_export("d,lo,hi\n2027-04-03,32 F,212\n", known("d = date\nlo = tmin_f\nhi = tmax_f\n"))
    assert fahrenheit.days == {date(2027, 4, 3): (0.0, 100.0)}


def test_readings_through_the_day_make_its_lowest_and_highest() -> None:
    """Of whole days alone: the export of a morning knows no highest."""
    rows = [f"2027-04-0{3 + hour // 24} {hour % 24:02d}:30,{hour}" for hour in range(36)]
    table = "\n".join(["Time,Outdoor", *rows])
    found = read_export(table, known("Time = date\nOutdoor = temperature_c\n"))
    assert found.days == {date(2027, 4, 3): (0.0, 23.0)}
    assert found.partial == [date(2027, 4, 4)]
    american = "\n".join(
        ["Time,Outdoor", *(f"4/3/2027 {hour % 12 or 12}:05 {'PM' if hour > 11 else 'AM'},50" for hour in range(24))]
    )
    said = known("Time = date\nOutdoor = temperature_f\ndate order = month first\n")
    assert read_export(american, said).days == {date(2027, 4, 3): (10.0, 10.0)}


@pytest.mark.parametrize(
    ("table", "said", "message"),
    [
        ("d,lo\n2027-04-03,3\n", "d = date\nlo = tmin_c\n", "no column of the table is the highest temperature"),
        ("lo,hi\n1,3\n", "lo = tmin_c\nhi = tmax_c\n", "no column of the table is the date"),
        ("d,t\n2027-04-03,3 F\n", "d = date\nt = temperature_c\n", '"3 F" is in another unit than its column'),
    ],
)
def test_a_table_that_makes_no_days_is_refused(table: str, said: str, message: str) -> None:
    """In words that say what lacks."""
    with pytest.raises(Unreadable) as caught:
        read_export(table, known(said))
    assert message in caught.value.message


def test_days_that_stand_are_left_as_they_are() -> None:
    """Rounded in another unit they are the same; other temperatures are told and not taken."""
    days = {date(2027, 4, n): (n / 1.8, 10.0) for n in (1, 2, 3)}
    there = {date(2027, 4, 1): (0.56, 10.0), date(2027, 4, 2): (4.0, 10.0)}
    found = compared(days, there)
    assert (list(found.new), found.there, found.other) == (
        [date(2027, 4, 3)],
        (date(2027, 4, 1),),
        (date(2027, 4, 2),),
    )


cells = st.one_of(
    st.sampled_from(("2027-04-03", "03/04/2027 14:05", "1,5", "-40 C", "999", "--", "", "31 F")), st.text(max_size=6)
)
tables = st.lists(st.lists(cells, max_size=4).map(";".join), max_size=8).map("\n".join)


texts = st.one_of(tables, tables.map(f"{TABLE}{{}}".format), st.text(max_size=40))


@given(texts, st.sampled_from(("\n", "\r\n", "\r")))
def test_any_table_gives_days_or_words(table: str, end: str) -> None:
    """Whatever stands in it, with any line ends, and its days taken twice are no new ones."""
    days = {}
    with contextlib.suppress(Unreadable):
        days = read_export(table.replace("\n", end), known(SAID)).days
    kept = read_export(with_days("", days), known("date = date\n")).days
    assert not compared(days, kept).new
    assert not compared(days, kept).other


def test_a_quote_that_is_never_closed_makes_no_table() -> None:
    """A cell longer than any is told of, in words."""
    with pytest.raises(Unreadable):
        read_export(f'{TABLE}"{"x" * 200_000}', known(SAID))


@pytest.mark.parametrize(("cell", "rows"), [('"gusty', 0), ('"gusty" later', 4), ('"gusty"', 4)])
def test_an_open_quote_hides_no_rows(cell: str, rows: int) -> None:
    """A table with one is none, so that it is told; a stray one beside other words does no harm."""
    table = f"Date;Low;High;Wind\n01.04.2027;1;9;{cell}\n02.04.2027;2;9;\n03.04.2027;3;9;\n"
    assert len(rows_of_table(table)) == rows


def gather(notes: Path, *args: str, text: str = "") -> Result:
    return CliRunner().invoke(main, ["gather", *args, "--in", str(notes), "--as-of", str(DAY)], input=text)


def test_a_station_is_asked_about_once_tried_and_taken(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The run that asks writes no day and says the coldest and warmest; the next takes them, a third finds none."""
    notes = write_notes(tmp_path / "notes", NOTES)
    sent = tmp_path / "station.csv"
    sent.write_text(TABLE, encoding="utf-8")
    monkeypatch.setattr(cli, "_on_a_terminal", lambda: True)
    first = gather(notes, str(sent), text="date\ntmin_c\ntmax_c\nnothing\nday first\n")

    assert "so this is a dry run" in first.output
    assert "Would be taken: 2 days of weather" in first.output
    assert "from 28 °F (-2 °C) to 54 °F (12 °C)" in first.output
    assert not (notes / WEATHER).exists()
    assert "Low outside = tmin_c" in (notes / "headings.txt").read_text(encoding="utf-8")

    taken = gather(notes, str(sent))
    assert taken.exit_code == 0, taken.output
    assert (notes / WEATHER).read_text() == "date,tmin_c,tmax_c\n2027-04-03,1.5,12.25\n2027-04-04,-2,9\n"
    again = gather(notes, str(sent))
    assert "no new day of weather" in again.output
    assert (notes / WEATHER).read_text().count("2027") == 2


def test_a_wrong_unit_writes_nothing(tmp_path: Path) -> None:
    """Temperatures that can't be are told, and the notes stay as they are."""
    notes = write_notes(tmp_path / "notes", {**NOTES, "headings.txt": "d = date\nlo = tmin_c\nhi = tmax_c\n"})
    sent = tmp_path / "station.csv"
    sent.write_text("d,lo,hi\n" + "".join(f"2027-07-{n:02d},60,8{n % 10}\n" for n in range(1, 20)))
    found = gather(notes, str(sent))

    assert found.exit_code == 1
    assert "was the other unit meant?" in found.output
    assert not (notes / "weather").exists()


@pytest.mark.parametrize(
    ("before", "row"),
    [
        ("date,tmin_f,tmax_f\n2027-05-01,40,60\n", "2027-05-02,41,59"),
        ("Date,TMAX C,note,TMIN C\n2027-05-01,15,,4\n", "2027-05-02,15,,5"),
        ("", "2027-05-02,5,15"),
    ],
)
def test_new_days_go_into_a_table_in_its_own_columns_and_unit(before: str, row: str) -> None:
    """Whoever began the table chose them; 5 to 15 °C are 41 to 59 °F."""
    assert with_days(before, {date(2027, 5, 2): (5.0, 15.0)}).splitlines()[-1] == row


def test_a_year_of_open_weather_comes_back_as_it_was_read() -> None:
    """Seattle 2012 (NOAA, by way of the open data set in tests/data), under headings of a station."""
    whole = (ROOT / "tests" / "data" / "weather_seattle_newyork_2012_2015.csv").read_text(encoding="utf-8")
    rows = [line.split(",") for line in whole.splitlines() if line.startswith("Seattle,2012")]
    days = {date.fromisoformat(row[1]): (float(row[4]), float(row[3])) for row in rows}
    told = (f"{day:%d.%m.%Y};{f'{low:g};{high:g}'.replace('.', ',')}" for day, (low, high) in days.items())
    said = known("Date = date\nMin = tmin_c\nMax = tmax_c\ndate order = day first\n")
    read = read_export("\n".join(["Date;Min;Max", *told]), said)
    assert read.days == days
    assert len(days) == 366
    problems = Problems()
    again = read_weather([Sheet(file=WEATHER, key="", text=with_days("", read.days))], problems)
    problems.stop_if_any()
    assert dict(zip(again.days, zip(again.tmin_c, again.tmax_c, strict=True), strict=True)) == days
