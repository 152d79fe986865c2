"""What would meet what is not met: the plan is made again with one thing more of each that could be short.

Only wants up to the last unmet one are counted; what would gain nothing for them is not told.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from datetime import date
from functools import partial

from msgspec import Struct
from msgspec.structs import replace

from firmripe.kitchen.fit.best import Wanting
from firmripe.kitchen.fit.means import Demand, Means, Pot, Session, Supply, Use
from firmripe.kitchen.fit.outcome import Fit, Lack, Remedy
from firmripe.kitchen.fit.ways import CLOSE, Ways

TIME_LIMIT_S = 120.0
"""Seconds for one search, by the clock, which the limit of steps comes long before."""
MOST_SEARCHES = 60
"""So many searches are made for what would help. A limit that is the same on every machine. J."""
MOST_HANDS, MOST_HOURS, HOURS_STEP = 6, 4.0, 0.5
"""So many more hands, and hours longer, are tried at most. J."""
MOST_DAYS = 6
"""On so many days another session is tried in each kitchen: those with the most fruit. J."""


class _Trial(Struct, frozen=True):
    """One thing more: what it is, the amounts of it to try (least first), and how means grow by so much of it."""

    lack: Lack
    name: str
    amounts: Sequence[float]
    grow: Callable[[Means, float], Means]
    day: date | None = None


def relax(means: Means, fit: Fit, *, searches: int = MOST_SEARCHES) -> tuple[Remedy, ...]:
    """Return what would meet more of the wants, the greatest gain first, each in the smallest amount that does it all.

    After so many searches what has not been tried is left out.
    """
    ways = Ways(means)
    unmet = [number for number, want in enumerate(ways.wants) if want.name in fit.unmet]
    if not unmet:
        return ()
    wants = ways.wants[: unmet[-1] + 1]
    relaxer = _Relaxer(replace(means, wants=wants), [fit.met[want.name] for want in wants], searches)
    found: list[tuple[list[int], Remedy]] = []
    for trials in _groups(relaxer.means, [(want, fit.unmet[want.name]) for want in wants if want.name in fit.unmet]):
        if relaxer.may_gain_by_all(trials):
            found += [pair for trial in trials if (pair := relaxer.tried(trial)) is not None]
    best: dict[tuple[Lack, str, date | None], tuple[list[int], Remedy]] = {}
    for met, remedy in sorted(found, key=_rank):
        best.setdefault((remedy.lack, remedy.name, None if remedy.lack is Lack.SESSION else remedy.day), (met, remedy))
    return tuple(remedy for _, remedy in best.values())


def _rank(pair: tuple[list[int], Remedy]) -> tuple[object, ...]:
    met, remedy = pair
    kinds = list(Lack)
    return [-units for units in met], kinds.index(remedy.lack), remedy.amount, remedy.day or date.min, remedy.name


class _Relaxer:
    """Tries one thing after another against what the plan met, for so many searches.

    A search without whole numbers comes first, which costs little and rules most things out.
    """

    def __init__(self, means: Means, met: list[int], searches: int) -> None:
        self.means = means
        self._met = met
        self._left = searches

    def tried(self, trial: _Trial) -> tuple[list[int], Remedy] | None:
        """Return what is met with all of a thing, and the least of it that gives as much; None where nothing gains."""
        if not trial.amounts or self._left <= 0:
            return None
        wanting = self._with(trial, len(trial.amounts) - 1)
        if not wanting.may_gain(self._met):
            return None
        self._left -= 1
        most = wanting.most()
        if most <= self._met:
            return None
        low, high = 0, len(trial.amounts) - 1
        while low < high and self._left > 0:
            middle = (low + high) // 2
            self._left -= 1
            if self._with(trial, middle).reaches(most):
                high = middle
            else:
                low = middle + 1
        names = [want.name for want in self.means.wants]
        gains = {n: now - was for n, now, was in zip(names, most, self._met, strict=True) if now != was}
        amount = trial.amounts[high]
        return most, Remedy(lack=trial.lack, name=trial.name, amount=amount, gains=gains, day=trial.day)

    def may_gain_by_all(self, trials: Sequence[_Trial]) -> bool:
        """Say whether all of some things together could gain anything; if not, none of them does."""
        means = self.means
        for trial in trials:
            means = trial.grow(means, trial.amounts[-1])
        return bool(trials) and Wanting(means, TIME_LIMIT_S).may_gain(self._met)

    def _with(self, trial: _Trial, number: int) -> Wanting:
        """Return what is wanted of means with an amount of a thing."""
        return Wanting(trial.grow(self.means, trial.amounts[number]), TIME_LIMIT_S)


def _groups(means: Means, unmet: Sequence[tuple[Demand, int]]) -> Iterable[list[_Trial]]:
    """Return everything that could be short, what is easily come by first."""
    sessions = sorted(means.sessions, key=lambda session: (session.day, session.name))
    hands = range(1, MOST_HANDS + 1)
    hours = [HOURS_STEP * step for step in range(1, round(MOST_HOURS / HOURS_STEP) + 1)]
    yield list(_stock(means))
    yield list(_pots_away(means))
    yield [_Trial(Lack.HANDS, s.name, hands, partial(_more_hands, session=s.name), s.day) for s in sessions]
    yield [_Trial(Lack.HOURS, s.name, hours, partial(_longer, session=s.name), s.day) for s in sessions]
    yield list(_sessions(means, [want for want, _ in unmet]))
    yield list(_pots(means))
    most_kg = math.ceil(sum(supply.kg for supply in means.supplies))
    yield [
        _Trial(Lack.SPACE, space, range(1, most_kg + 1), partial(_more_space, space=space))
        for space in sorted(means.spaces)
        if most_kg
    ]
    products = {product.name: product for product in means.products}
    for want, short in unmet:
        most_kg = math.ceil(short * products[want.product].kg_per_unit - CLOSE)
        yield [_Trial(Lack.FRUIT, want.product, range(1, most_kg + 1), partial(_more_fruit, want=want))]


def _stock(means: Means) -> Iterable[_Trial]:
    """Try more of each thing that is counted, up to what all wants together need."""
    ways, needed = Ways(means), dict.fromkeys(means.stock, 0.0)
    for want in means.wants:
        units = want.units if want.units is not None else ways.most_wanted(want)
        for thing, amount in ways.product(want).needs.items():
            if thing in needed:
                needed[thing] += units * amount
    for thing, amount in sorted(needed.items()):
        short = math.ceil(amount - means.stock[thing] - CLOSE)
        if short > 0:
            yield _Trial(Lack.STOCK, thing, range(1, short + 1), partial(_more_stock, thing=thing))


def _pots_away(means: Means) -> Iterable[_Trial]:
    """Try each pot on each day on which it is missed in its kitchen."""
    held = {(session.kitchen, session.day) for session in means.sessions}
    for pot in sorted(means.pots, key=lambda pot: pot.name):
        for day in sorted(pot.away):
            if (pot.kitchen, day) in held:
                yield _Trial(Lack.POT_AWAY, pot.name, [1], partial(_pot_there, pot=pot.name, day=day), day)


def _pots(means: Means) -> Iterable[_Trial]:
    """Try one more pot like each kind that a kitchen has."""
    kinds: dict[tuple[str, str], Pot] = {}
    for pot in sorted(means.pots, key=lambda pot: pot.name):
        kinds.setdefault((pot.kitchen, pot.kind), pot)
    for pot in kinds.values():
        yield _Trial(Lack.POT, pot.name, [1], partial(_one_more_pot, pot=pot))


def _sessions(means: Means, unmet: Sequence[Demand]) -> Iterable[_Trial]:
    """Try one more session in each kitchen on the days with the most fruit, those on a day of the week in use first."""
    ways = Ways(means)
    kg: dict[date, float] = defaultdict(float)
    for supply in means.supplies:
        if any(ways.takes(want, supply) for want in unmet):
            for day in {use.day for use in supply.uses}:
                kg[day] += supply.kg
    usual = {session.day.weekday() for session in means.sessions}
    for kitchen in sorted({session.kitchen for session in means.sessions}):
        there = [session for session in ways.sessions if session.kitchen == kitchen]
        free = sorted(set(kg) - {session.day for session in there}, key=lambda day: (-kg[day], day))
        days = sorted(free, key=lambda day: day.weekday() not in usual)[:MOST_DAYS]
        for day in days:
            like = min(there, key=lambda session: (abs((session.day - day).days), session.day, session.name))
            yield _Trial(Lack.SESSION, kitchen, [1], partial(_one_more_session, like=like, day=day), day)


def _more_stock(means: Means, more: float, *, thing: str) -> Means:
    return replace(means, stock={**means.stock, thing: means.stock[thing] + more})


def _more_space(means: Means, more: float, *, space: str) -> Means:
    return replace(means, spaces={**means.spaces, space: means.spaces[space] + more})


def _pot_there(means: Means, _more: float, *, pot: str, day: date) -> Means:
    pots = tuple(replace(one, away=one.away - {day}) if one.name == pot else one for one in means.pots)
    return replace(means, pots=pots)


def _one_more_pot(means: Means, _more: float, *, pot: Pot) -> Means:
    return replace(means, pots=(*means.pots, replace(pot, name=f"{pot.name}, one more", away=frozenset())))


def _one_more_session(means: Means, _more: float, *, like: Session, day: date) -> Means:
    return replace(means, sessions=(*means.sessions, replace(like, name=f"{like.name}, again on {day}", day=day)))


def _more_hands(means: Means, more: float, *, session: str) -> Means:
    """Add hands that stay for the whole session."""
    sessions = [
        replace(one, hands_hours=one.hands_hours + more * one.hours) if one.name == session else one
        for one in means.sessions
    ]
    return replace(means, sessions=tuple(sessions))


def _longer(means: Means, more: float, *, session: str) -> Means:
    """Let the same hands stay longer."""
    sessions = [
        replace(one, hours=one.hours + more, hands_hours=one.hands_hours * (one.hours + more) / one.hours)
        if one.name == session and one.hours
        else one
        for one in means.sessions
    ]
    return replace(means, sessions=tuple(sessions))


def _more_fruit(means: Means, more: float, *, want: Demand) -> Means:
    """Add fruit that is usable in every session, for one want only."""
    if not means.sessions:
        return means
    name = f"more fruit for {want.name}"
    first = min(session.day for session in means.sessions)
    days = sorted({session.day for session in means.sessions})
    fruit = Supply(name=name, kg=more, uses=tuple(Use(day=d, worth=0.0, out=first) for d in days), since=first)
    products = tuple(replace(p, takes=p.takes | {name}) if p.name == want.product else p for p in means.products)
    wants = tuple(
        one
        if one.supplies is None and one.name == want.name
        else replace(one, supplies=_own(means, one) | ({name} if one.name == want.name else frozenset()))
        for one in means.wants
    )
    return replace(means, supplies=(*means.supplies, fruit), products=products, wants=wants)


def _own(means: Means, want: Demand) -> frozenset[str]:
    return frozenset(supply.name for supply in means.supplies) if want.supplies is None else want.supplies
