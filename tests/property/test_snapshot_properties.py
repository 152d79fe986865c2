"""Values as plain data come back equal and as shared as they were, and spoilt data are no values of ours."""

from __future__ import annotations

import gettext
from datetime import date, datetime, time, timedelta
from fractions import Fraction

import numpy as np
import pytest
from conftest import made_anew
from hypothesis import given
from hypothesis import strategies as st
from msgspec import Struct

from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.holding.tree import Bearing
from firmripe.lately import Lately
from firmripe.plan import Plan, make_plan, without_prose
from firmripe.problems import Problem, Where
from firmripe.snapshot import NotPlain, Snapshot
from firmripe.tongue import Tongue

ATOMS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(allow_nan=False),
    st.text(max_size=9),
    st.binary(max_size=9),
    st.dates(),
    st.datetimes(),
    st.times(),
    st.timedeltas(),
    st.fractions(),
    st.sampled_from(Event),
    st.builds(Where, st.text(max_size=5), st.integers(0, 9)),
    st.builds(Bearing, st.text(max_size=5), st.text(max_size=5)),
)
VALUES = st.recursive(
    ATOMS,
    lambda inner: st.one_of(
        st.lists(inner, max_size=4),
        st.lists(inner, max_size=4).map(tuple),
        st.frozensets(ATOMS, max_size=4),
        st.dictionaries(ATOMS, inner, max_size=4),
        st.builds(Problem, st.builds(Where, st.text(max_size=5)), st.text(max_size=5), st.text(max_size=5)),
    ),
    max_leaves=12,
)


@given(VALUES, VALUES)
def test_what_is_read_is_what_was_written(first: object, value: object) -> None:
    """Alone and after another value, with the kind of each part; the same values give the same bytes."""
    writing, reading = Snapshot(), Snapshot()
    assert writing.written(first) == reading.written(first)
    data = writing.copy().written(value)
    found = reading.read(data)
    assert found == value
    assert type(found) is type(value)
    alone = Snapshot().written(value)
    assert Snapshot().written(Snapshot().read(alone)) == alone
    assert writing.written(value) == data


@given(VALUES, st.data())
def test_spoilt_data_are_no_crash(value: object, data: st.DataObject) -> None:
    """Whatever was changed in it, something is read or it is told that it is nothing of ours."""
    written = bytearray(Snapshot().written(value))
    for _ in range(data.draw(st.integers(1, 3))):
        written[data.draw(st.integers(0, len(written) - 1))] = data.draw(st.integers(0, 255))
    for one in (bytes(written), bytes(written[: data.draw(st.integers(0, len(written)))])):
        try:
            Snapshot().read(one)
        except NotPlain:
            continue


@given(st.sampled_from(["os:system", "builtins:eval", "firmripe.cli:main", "firmripe.days:date", "firmripe.x:Y", "os"]))
def test_nothing_but_our_nouns_is_made(kind: str) -> None:
    """A name of anything else is refused, wherever it leads."""
    written = Snapshot().written(Where("a", 1))
    own = b"firmripe.problems:Where"
    assert own in written
    other = written.replace(bytes([0xA0 | len(own)]) + own, bytes([0xA0 | len(kind)]) + kind.encode())
    assert other != written
    with pytest.raises(NotPlain):
        Snapshot().read(other)


def test_what_is_shared_stays_shared_and_what_was_there_is_taken() -> None:
    """Two places of one thing are one thing again; a thing of the first value is that very thing."""
    where = Where("a", 1)
    twice = Snapshot().read(Snapshot().written((where, where, Where("a", 1))))
    assert twice[0] is twice[1]
    assert twice[0] is not twice[2]
    writing, reading, there = Snapshot(), Snapshot(), (where, Where("b", 2))
    writing.written(there)
    reading.written(there)
    assert reading.read(writing.written([there[1]]))[0] is there[1]


class Outside(Struct, frozen=True):
    """A noun that is none of the program's."""

    of: int


@pytest.mark.parametrize("value", [object(), Outside(1), {1, 2}, bytearray(b"x"), print, Holding, 1j])
def test_what_is_not_plain_is_told(value: object) -> None:
    """So that it is made anew each time, and never half kept."""
    with pytest.raises(NotPlain):
        Snapshot().written((1, value))


@pytest.mark.parametrize("value", [np.zeros(3), Tongue(), gettext.NullTranslations()])
def test_arrays_and_catalogues_tell_values_apart_and_are_not_read(value: object) -> None:
    """In what something is made of they count by what they hold; in what is made they can't be."""
    assert Snapshot().written(np.zeros(3)) != Snapshot().written(np.ones(3))
    first = Snapshot()
    data = first.written(value)
    with pytest.raises(NotPlain):
        Snapshot().read(data)
    with pytest.raises(NotPlain):
        first.written(np.ones(9))


def test_every_value_of_a_day_is_told_from_its_like() -> None:
    """Equal numbers of other kinds, zeros of either sign, days and moments are not taken for one another."""
    alike = (1, True, 1.0, Fraction(1), 0.0, -0.0, date(1, 1, 1), datetime(1, 1, 1), time(), timedelta())  # noqa: DTZ001
    found = Snapshot().read(Snapshot().written(alike))
    assert [repr(one) for one in found] == [repr(one) for one in alike]
    assert len({Snapshot().written(one) for one in alike}) == len(alike)


def test_the_examples_plan_comes_back_whole(example_plan: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    """Equal to the one that is worked out, over the facts that are there."""
    monkeypatch.setattr(Lately, "made_of", made_anew)
    facts = without_prose(example_plan.holding)
    plan = make_plan(facts, 2027, example_plan.season.as_of).of(facts)
    writing, reading = Snapshot(), Snapshot()
    assert writing.written(facts) == reading.written(facts)
    found = reading.read(writing.written(plan))
    assert found == plan
    assert found.holding is facts
