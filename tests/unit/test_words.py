"""How days, spans, shifts and numbers are said."""

from __future__ import annotations

from datetime import date

import pytest

from firmripe import words
from firmripe.calendar.names import OfLimb, StageOf
from firmripe.days import Rhythm, Span
from firmripe.harvest.because import FruitOf
from firmripe.holding.task import Stage
from firmripe.tongue import IN_ENGLISH, Tongue
from firmripe.wording import words_of
from firmripe.wording.harvest import fruit_words, fruits_words


# Saturday 28 August 2027 and the other weekdays: calendar of 2027, in which 1 January is a Friday (ISO 8601 rules).
@pytest.mark.parametrize(
    ("say", "said"),
    [
        (words.short_day, "28 Aug"),
        (words.week_day, "Sat 28 Aug"),
        (words.long_day, "Saturday 28 August 2027"),
        (words.heading_day, "Saturday 28 August"),
    ],
)
def test_a_day_is_said_in_four_lengths(say, said: str) -> None:  # noqa: ANN001 - four functions of one shape
    """Each length of a day's name is fixed."""
    assert say(IN_ENGLISH, date(2027, 8, 28)) == said


def test_every_weekday_and_month_has_its_own_name() -> None:
    """No two weekdays and no two months are said alike."""
    assert len({words.week_day(IN_ENGLISH, date(2027, 3, day)).split()[0] for day in range(1, 8)}) == 7
    assert [words.month_name(IN_ENGLISH, 2027, month) for month in (1, 6, 12)] == [
        "January 2027",
        "June 2027",
        "December 2027",
    ]
    assert len({words.short_day(IN_ENGLISH, date(2027, month, 1)) for month in range(1, 13)}) == 12


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        (date(2027, 8, 28), date(2027, 8, 28), "Sat 28 Aug"),
        (date(2027, 8, 28), date(2027, 9, 3), "28 Aug to 3 Sep"),
        (date(2027, 12, 28), date(2028, 1, 3), "28 Dec 2027 to 3 Jan 2028"),
    ],
)
def test_a_span_names_the_year_only_where_it_changes(first: date, last: date, said: str) -> None:
    """One day is said alone, a span by its ends, and years only over New Year."""
    assert words.span_words(IN_ENGLISH, Span(first=first, last=last)) == said


def test_a_certain_day_has_no_between() -> None:
    """A window is said only where there is one."""
    assert words.between(IN_ENGLISH, date(2027, 8, 26), date(2027, 8, 26)) == ""
    assert words.between(IN_ENGLISH, date(2027, 8, 26), date(2027, 9, 3)) == "between 26 Aug and 3 Sep"


@pytest.mark.parametrize(
    ("days", "said"),
    [
        (-3.84, "3.8 days earlier"),
        (3.84, "3.8 days later"),
        (1.0, "1.0 day later"),
        (-0.96, "1.0 day earlier"),
        (0.04, "no change"),
        (-0.04, "no change"),
        (0.0, "no change"),
    ],
)
def test_a_shift_says_its_side_and_one_place(days: float, said: str) -> None:
    """A shift has a direction, one decimal, and a singular of its own."""
    assert words.shift_words(IN_ENGLISH, days) == said


def test_one_thing_is_said_in_the_singular() -> None:
    """Only the number 1 takes no s."""
    assert [words.counted(n, "tree") for n in (0, 1, 2)] == ["0 trees", "1 tree", "2 trees"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("2 weeks before pick", "2 weeks before pick"),
        ("20 days after", "20 days after"),
        ("at any other time", "at any other time"),
        ("full bloom", "full bloom"),
    ],
)
def test_a_day_that_hangs_on_another_is_said_as_written_in_english(text: str, said: str) -> None:
    """Taken apart and put together again, English stays what it was."""
    assert words.when_words(IN_ENGLISH, text) == said
    assert words.stretch_words(IN_ENGLISH, "late July - Aug 5") == "late July - Aug 5"


@pytest.mark.parametrize(
    ("count", "unit", "said"),
    [(1, "day", "every day"), (2, "day", "every 2 days"), (1, "week", "every week"), (3, "month", "every 3 months")],
)
def test_a_rhythm_is_said_by_its_unit(count: int, unit: str, said: str) -> None:
    """Every unit has a word for one and for many."""
    assert words.rhythm_words(IN_ENGLISH, Rhythm(count=count, unit=unit)) == said


# 65 °F is 18.3 °C and 75 °F 23.9 °C; 1 lbf is 4.448 N (NIST SP 811, appendix B.8), 1 lb 0.45359237 kg exactly.
def test_metric_units_come_first_where_the_household_wants_them() -> None:
    """The printed figure stays beside what it comes to."""
    assert words.degrees(IN_ENGLISH, 18.3, 23.9) == "65–75 °F (18–24 °C)"
    assert words.amount(IN_ENGLISH, "18-19.5 lbf") == "18–19.5 lbf"
    tongue = Tongue(metric=True)
    assert words.degrees(tongue, 18.3, 23.9) == "18–24 °C (65–75 °F)"
    assert words.degrees(tongue, 3.3) == "3 °C (38 °F)"
    assert words.degrees(tongue, -0.3) == "0 °C (31 °F)"
    assert words.amount(tongue, "18-19.5 lbf") == "80–87 N (18–19.5 lbf)"
    assert words.amount(tongue, "28-29 F") == "-2 °C (28–29 F)"
    assert words.amount(tongue, "50 lb") == "22.7 kg (50 lb)"
    assert words.amount(tongue, "4-6 weeks") == "4–6 weeks"


# 1 in is 2.54 cm, 1 ft 0.3048 m, a US cup 236.588 ml, 1 psi 6.894757 kPa, a degree of difference 5/9 °C (the same).
@pytest.mark.parametrize(
    ("said", "metric"),
    [
        ("Leave a headspace of 1/2 in.", "Leave a headspace of 1.3 cm (1/2 in)."),
        ("Water 1 in over the lids", "Water 2.5 cm (1 in) over the lids"),
        ("at 135-140 F (University of Missouri, read)", "at 57–60 °C (135-140 F) (University of Missouri, read)"),
        ("advises 35 to 38 F, nearer 32 F", "advises 2 to 3 °C (35 to 38 F), nearer 0 °C (32 F)"),
        ("down to -10 F", "down to -23 °C (-10 F)"),
        ("220 F, 2 F less for each 1,000 ft", "104 °C (220 F), 1.1 °C (2 F) less for each 305 m (1,000 ft)"),
        ("32 F, give or take 2 F", "0 °C (32 F), give or take 1.1 °C (2 F)"),
        ("at 50 F less than a week", "at 10 °C (50 F) less than a week"),
        ("5 3/4 cups of water", "1,360 ml (5 3/4 cups) of water"),
        ("13 by 15 inches", "33 by 38 cm (13 by 15 inches)"),
        ("1½-2 lb a quart", "0.7–0.9 kg (1½-2 lb) a quart"),
        ("Leave jars an inch apart", "Leave jars an inch (2.5 cm) apart"),
        ("Half a cup of hot syrup", "Half a cup (118 ml) of hot syrup"),
        ("10 minutes at 6 psi", "10 minutes at 41 kPa (6 psi)"),
        ("6 quarts in 2 loads, 9 in a row", "6 quarts in 2 loads, 9 in a row"),
        ("250 degree-days over 50 F", "250 degree-days over 50 F"),
        ("31 °F (-1 °C) or 2.5 cm (1 inch)", "31 °F (-1 °C) or 2.5 cm (1 inch)"),
    ],
)
def test_sentences_of_the_shelf_tell_metric_units_beside_the_printed_ones(said: str, metric: str) -> None:
    """Each figure once, as printed within the brackets; said again it stays as it is, and without metric as written."""
    tongue = Tongue(metric=True)

    assert words.in_own_units(tongue, said) == metric
    assert words.in_own_units(tongue, metric) == metric
    assert words.in_own_units(IN_ENGLISH, said) == said


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("4-6 weeks", "4–6 weeks"),
        ("4 - 6 weeks", "4–6 weeks"),
        ("48-50 lb a bushel", "48–50 lb a bushel"),
        ("bears from year 4-6; lives 15-20 years", "bears from year 4–6; lives 15–20 years"),
        ("steamed 1 1/2-2 minutes", "steamed 1 1/2–2 minutes"),
        ("90-95 % humidity", "90–95 % humidity"),
        ("as read, Guide 2, p. 2-26", "as read, Guide 2, p. 2-26"),
        ("a 3-year-old tree, fed 10-20-20", "a 3-year-old tree, fed 10-20-20"),
        ("like 1-02, since 2027-08-28", "like 1-02, since 2027-08-28"),
    ],
)
def test_a_range_is_set_as_one_and_nothing_else_with_a_hyphen_is(written: str, said: str) -> None:
    """Beside ranges that were worked out, which have a dash; pages, days and tags of trees stay as they are."""
    assert words.amount(IN_ENGLISH, written) == said
    assert words.amount(IN_ENGLISH, said) == said


@pytest.mark.parametrize(
    ("said", "metric"),
    [
        ("-4 F", "-20 °C (-4 F)"),
        ("-13 - -4 F", "-25–-20 °C (-13–-4 F)"),
        ("1,000-2,000 lb", "453.6–907.2 kg (1,000–2,000 lb)"),
        ("3.. lb", "3.. lb"),
        ("1/0 lb", "1/0 lb"),
        ("take 1/0 cups, 2 1/0 cups and 1/2 cup", "take 1/0 cups, 2 1/0 cups and 118 ml (1/2 cup)"),
    ],
)
def test_an_amount_below_zero_is_turned_and_what_is_no_number_is_left(said: str, metric: str) -> None:
    """A household may write what it likes beside a figure: none of it ends a build."""
    assert words.amount(Tongue(metric=True), said) == metric


def test_a_day_without_a_date_is_named_after_its_fruit() -> None:
    """As a line of a list reads: whose it is, then which day."""
    of = StageOf(stage=Stage.USE_BY, of=OfLimb(limb="unknown Quince", tree="4-01", crop=""))
    assert words_of(of, IN_ENGLISH) == "unknown Quince (4-01), use by"


def test_a_tree_that_is_called_like_its_fruit_is_named_once() -> None:
    """As by the names of files that `firmripe start` writes; another of the kind is told by its tag."""
    fruit = [FruitOf(cultivar="bosc", name="Bosc", tree=tree) for tree in ("bosc", "bosc-2", "")]
    assert [fruit_words(one) for one in fruit] == ["Bosc", "Bosc (bosc-2)", "Bosc"]
    assert fruits_words(fruit[:1]) == "Bosc"
    assert fruits_words(fruit[:2]) == "Bosc (bosc, bosc-2)"
    of = StageOf(stage=Stage.USE_BY, of=OfLimb(limb="Bosc", tree="bosc", crop=""))
    assert words_of(of, IN_ENGLISH) == "Bosc, use by"
