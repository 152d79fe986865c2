"""How full a space is and how long fruit keeps there is what one finds who looks at every load on every day."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from firmripe.days import DayCount
from firmripe.harvest.keeping import MOST_D, Kept, NotPrintedForSpace, kept_until, limit_at
from firmripe.harvest.spaces import Load, Occupancy, overflows
from firmripe.holding.figures import Cited, Figure, Mark
from firmripe.holding.fruit import Cultivar, Traits
from firmripe.holding.place import Ground, Place, Space
from firmripe.holding.weight import NOTHING, Part, Weight, total
from firmripe.problems import Where
from firmripe.season.estimate import Reach
from firmripe.units import Interval

FIRST = date(2027, 8, 1)
CITED = Cited(mark=Mark.READ, source=None, page="", where=Where("x"))
KINDS = [Cultivar(key=key, name=key, fruit=None, own=Traits(), traits=Traits()) for key in ("one", "two")]
SPACES = (
    Space(name="cellar", temperature_c=3, capacity=Part(low=Fraction(60), high=Fraction(60))),
    Space(name="shed", temperature_c=9),
)
PLACE = Place(name="", ground=Ground(), spaces=SPACES)
KG = st.none() | st.fractions(min_value=0, max_value=70, max_denominator=9).map(Weight.of)


@st.composite
def loads(draw: st.DrawFn) -> Load:
    """Draw a load that lies somewhere for some days."""
    first = FIRST + timedelta(days=draw(st.integers(0, 20)))
    last = first + timedelta(days=draw(st.integers(0, 9)))
    space = draw(st.sampled_from(["cellar", "cellar", "shed"]))
    limb = draw(st.sampled_from(KINDS))
    return Load(space=space, first=first, last=last, weight=draw(KG), limb=limb, tree=draw(st.sampled_from("AB")))


def kg_on(among: list[Load], day: date) -> Fraction:
    """Return what lies in the cellar on a day, as far as its weight is known."""
    here = (one for one in among if one.space == "cellar" and one.first <= day <= one.last)
    return sum((one.weight.middle for one in here if one.weight is not None), Fraction(0))


def days_between(first: date, last: date) -> list[date]:
    """Return all days from one to another."""
    return [first + timedelta(days=day) for day in range((last - first).days + 1)]


@given(among=st.lists(loads(), max_size=12), new=st.lists(loads(), min_size=1, max_size=4))
def test_a_space_has_the_room_that_it_has_on_its_fullest_day(among: list[Load], new: list[Load]) -> None:
    """Loads fit where the cellar holds them on each of their days, and the room left is that of the worst of these."""
    cellar, lying = SPACES[0], Occupancy(PLACE)
    for load in among:
        lying.put([load])
    mine = [load for load in new if load.space == "cellar"]
    if not mine:
        return
    days = days_between(min(load.first for load in mine), max(load.last for load in mine))
    weighs = any(load.weight is not None and load.weight != NOTHING for load in mine)
    assert lying.fits(mine, cellar) == (not weighs or all(kg_on([*among, *mine], day) <= 60 for day in days))
    assert lying.room_left(mine, cellar) == max(Fraction(0), 60 - max(kg_on(among, day) for day in days))
    assert lying.room_left(mine, SPACES[1]) is None
    beside = {load.fruit for load in among if load.space == "cellar" and load.weight and load.last >= days[0]}
    assert set(lying.crowded(mine, cellar).beside) <= beside


@given(among=st.lists(loads(), max_size=12))
def test_a_space_is_over_full_on_the_days_on_which_too_much_lies_there(among: list[Load]) -> None:
    """Each stretch of days on which more lies there than it holds is told once, with the most that is too much."""
    too_much = {day: kg_on(among, day) - 60 for day in days_between(FIRST, FIRST + timedelta(days=40))}
    found = overflows(among, PLACE)
    told = [day for one in found for day in days_between(one.what.first, one.what.last)]
    assert told == [day for day, kg in too_much.items() if kg > 0]
    for one in found:
        worst = max(too_much[day] for day in days_between(one.what.first, one.what.last))
        assert one.what.too_much == Weight.of(worst)


MONTHS = st.dictionaries(st.integers(1, 12), st.sampled_from([-0.5, 3.0, 8.0, 12.0]), max_size=12)


@given(
    least=st.integers(1, 300),
    more=st.integers(0, 200),
    usual=st.none() | st.sampled_from([-0.5, 3.0, 8.0]),
    months=MONTHS,
    since=st.dates(date(2027, 6, 1), date(2028, 5, 31)),
)
def test_fruit_keeps_as_long_as_one_day_after_another_leaves_it(
    least: int, more: int, usual: float | None, months: dict[int, float], since: date
) -> None:
    """Each day takes its part of the life that fruit would have at that day's temperature, whatever the month."""
    keeps = Figure(
        value=DayCount(low=least, high=least + more), text="", cited=CITED, at_c=Interval(low=-1.0, high=0.0)
    )
    rule = Figure(value=Interval(low=1.5, high=3.5), text="", cited=CITED, at_c=Interval(low=5.0, high=9.0))
    traits = Traits(keeps=keeps, warmer_storage=rule)
    limb = Cultivar(key="k", name="K", fruit=None, own=traits, traits=traits)
    space = Space(name="room", temperature_c=usual, months_c=tuple(months.items()))
    expected = [_day_by_day(limb, since, space, part) for part in ("low", "middle", "high")]
    found = kept_until(limb, Reach.on(since), space)
    refused = [day for day in expected if isinstance(day, tuple)]
    if refused:
        assert isinstance(found, NotPrintedForSpace)
        assert (found.space_c, found.day) == refused[0]
    else:
        assert isinstance(found, Kept)
        assert [found.until.earliest, found.until.likely, found.until.latest] == expected


def _day_by_day(limb: Cultivar, since: date, space: Space, part: str) -> date | tuple[float | None, date]:
    used, day = 0.0, since
    while used < 1 - 1e-9 and (day - since).days < MOST_D:
        at = dict(space.months_c).get(day.month, space.temperature_c)
        found = limit_at(limb, at) if at is not None else None
        if found is None:
            return at, day
        used += 1 / getattr(found[0], part)
        day += timedelta(days=1)
    return day


@given(st.lists(st.tuples(st.fractions(0, 90), st.fractions(0, 9)), max_size=4))
def test_a_sum_of_weights_is_that_of_its_ends(ranges: list[tuple[Fraction, Fraction]]) -> None:
    """Least and most add up, each by itself, and the middle lies between them."""
    whole = total([Weight(low=low, high=low + more) for low, more in ranges])
    assert whole.low == sum(low for low, _ in ranges)
    assert whole.high == sum(low + more for low, more in ranges)
    assert whole.middle - whole.low == whole.high - whole.middle
