"""The rules of a kitchen plan told a second time: a checker, every plan of a small kitchen, and another programme."""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, timedelta

import numpy as np
from hypothesis import strategies as st
from scipy import sparse
from scipy.optimize import Bounds, LinearConstraint, milp

from firmripe.kitchen.fit.means import Demand, Lying, Means, Pot, Product, Session, Supply, Use
from firmripe.kitchen.fit.outcome import Fit
from firmripe.kitchen.fit.programme import AS_GOOD

DAY = date(2027, 9, 4)
EPS = 1e-4
LATER = 0.001
WASTE_NEAR = 0.02
"""Waste (kg) of a small kitchen, of 18 kg at most, that is as good: a thousandth of its fruit."""


def day(number: int) -> date:
    """Return a day of the test's season."""
    return DAY + timedelta(days=number)


# -- making ---------------------------------------------------------------------------------------------------------


def supply(name: str = "Bartlett", kg: float = 14, *, on: Mapping[int, float] | None = None, **more: object) -> Supply:
    """Return fruit that is usable on some days, with the worth of each; it is out from the day it was picked."""
    uses = tuple(Use(day=day(n), worth=worth, out=day(-9)) for n, worth in (on or {0: 1.0}).items())
    return Supply(**{"name": name, "kg": kg, "uses": uses, "since": day(-9), **more})  # type: ignore[arg-type]


def product(name: str = "quarts", *takes: str, **more: object) -> Product:
    """Return a product of which a load takes 7 kg and gives 7 units."""
    given = {
        "name": name,
        "takes": frozenset(takes or ("Bartlett",)),
        "kg_per_load": 7.0,
        "units_per_load": 7,
        "hands_hours_per_load": 3.5,
        "jar": "quart",
    }
    return Product(**{**given, **more})  # type: ignore[arg-type]


def session(name: str = "Saturday", number: int = 0, **more: object) -> Session:
    """Return a session of two hands for five hours."""
    given = {
        "name": name,
        "day": day(number),
        "kitchen": "home",
        "hands_hours": 10.0,
        "hours": 5.0,
        "minutes": {"quarts": {"canner": 60.0}},
    }
    return Session(**{**given, **more})  # type: ignore[arg-type]


def pot(name: str = "canner", **more: object) -> Pot:
    """Return a canner that holds seven quarts."""
    return Pot(**{"name": name, "kind": "canner", "kitchen": "home", "holds": {"quart": 7}, **more})  # type: ignore[arg-type]


def means(**more: object) -> Means:
    """Return means of one lot, one session, one pot and one want, or of what is said instead."""
    given = {
        "supplies": (supply(),),
        "products": (product(),),
        "pots": (pot(),),
        "sessions": (session(),),
        "wants": (Demand(name="quarts", product="quarts", units=14, rank=1),),
    }
    return Means(**{**given, **more})  # type: ignore[arg-type]


@st.composite
def small_means(draw: st.DrawFn, *, spaces: bool = True) -> Means:
    """Draw a small kitchen in whole kilograms: up to three lots, two sessions, two products and three wants."""
    lots = [f"lot {n}" for n in range(draw(st.integers(1, 3)))]
    worths = st.sampled_from([0.0, 0.25, 0.5, 0.75, 1.0])
    kinds = ["canner", "steamer"]
    kitchens = st.sampled_from(["home", "home", "home", "hill"])
    products = tuple(
        Product(
            name=name,
            takes=frozenset(draw(st.sets(st.sampled_from(lots), min_size=1))),
            kg_per_load=float(units * draw(st.integers(1, 2))),
            units_per_load=units,
            hands_hours_per_load=units * draw(st.sampled_from([0.0, 0.25, 0.5])),
            in_pot=draw(st.booleans()),
            jar=draw(st.sampled_from(["quart", "pint"])),
            needs=draw(st.sampled_from([{}, {"lid": 1}, {"lid": 1, "litre": 1.5}])),
            part_loads=draw(st.booleans()),
            ripeness=draw(st.sampled_from(["", "firm-ripe", "soft"])),
        )
        for name, units in (("sauce", 2), ("halves", 3))[: draw(st.integers(1, 2))]
    )
    sessions = tuple(
        Session(
            name=f"session {n}",
            day=day(draw(st.integers(0, 2))),
            kitchen=draw(kitchens),
            hands_hours=draw(st.sampled_from([0.5, 1.0, 2.0, 4.0])),
            hours=draw(st.sampled_from([1.0, 2.0])),
            minutes={
                p.name: {
                    kind: float(draw(st.sampled_from([30, 50])))
                    for kind in draw(st.sets(st.sampled_from(kinds), min_size=1))
                }
                for p in products
                if draw(st.integers(0, 5))
            },
        )
        for n in range(draw(st.integers(1, 2)))
    )
    supplies = tuple(
        Supply(
            name=name,
            kg=float(draw(st.integers(1, 6))),
            since=day(-5),
            uses=tuple(
                Use(
                    day=day(n),
                    worth=draw(worths),
                    out=day(n - wait),
                    worths=draw(st.sampled_from([{}, {}, {"firm-ripe": None}, {"firm-ripe": 0.25, "soft": 1.0}])),
                )
                for n in sorted(draw(st.sets(st.integers(0, 2), min_size=2)))
                for wait in sorted(draw(st.sets(st.integers(0, 3), min_size=1, max_size=2)))
            ),
            cold="cold",
            counter=draw(st.sampled_from(["", "counter"])),
            spare_kg=float(draw(st.integers(0, 2))),
            room_from=draw(st.one_of(st.none(), st.integers(-4, 1).map(day))),
        )
        for name in lots
    )
    pots = tuple(
        Pot(
            name=f"pot {n}",
            kind=draw(st.sampled_from(kinds)),
            kitchen=draw(kitchens),
            holds={"quart": draw(st.integers(1, 3)), "pint": draw(st.integers(0, 4))},
            away=frozenset(day(n) for n in draw(st.sets(st.integers(0, 6), max_size=1))),
            first_boil_hours=draw(st.sampled_from([0.0, 0.25])),
        )
        for n in range(draw(st.integers(1, 3)))
    )
    wants = tuple(
        Demand(
            name=f"want {n}",
            product=draw(st.sampled_from([p.name for p in products])),
            units=draw(st.one_of(st.none(), st.integers(1, 6))),
            rank=draw(st.integers(1, 3)),
            supplies=draw(st.one_of(st.none(), st.none(), st.frozensets(st.sampled_from(lots), min_size=1))),
        )
        for n in range(draw(st.integers(1, 3 if len(sessions) == 1 else 2)))
    )
    room = {"cold": float(draw(st.integers(0, 9))), "counter": float(draw(st.integers(0, 6)))}
    with_room = spaces and draw(st.booleans())
    others = tuple(
        Lying(
            space=space, first=day(first), last=day(first + draw(st.integers(0, 4))), kg=float(draw(st.integers(1, 5)))
        )
        for space, first in draw(
            st.lists(st.tuples(st.sampled_from(["cold", "counter"]), st.integers(-5, 2)), max_size=2)
        )
    )
    return Means(
        supplies=supplies,
        products=products,
        pots=pots,
        sessions=sessions,
        wants=wants,
        stock=draw(st.sampled_from([{}, {"lid": 3}, {"lid": 7, "litre": 5.0}])),
        spaces=room if with_room else {},
        lying=others if with_room else (),
    )


# -- checking -------------------------------------------------------------------------------------------------------


def breaches(means: Means, fit: Fit) -> list[str]:
    """Return every rule that a plan breaks."""
    found: list[str] = []
    products = {p.name: p for p in means.products}
    sessions = {s.name: s for s in means.sessions}
    supplies = {s.name: s for s in means.supplies}
    pots = {p.name: p for p in means.pots}
    wants = {w.name: w for w in means.wants}
    used: dict[str, float] = defaultdict(float)
    hands: dict[str, float] = defaultdict(float)
    minutes: dict[tuple[str, str], float] = defaultdict(float)
    stock: dict[str, float] = defaultdict(float)
    met: dict[str, int] = defaultdict(int)
    surplus: dict[str, int] = defaultdict(int)
    lying: list[tuple[str, date, date, float]] = []

    def need(claim: bool, text: str) -> None:  # noqa: FBT001 -- a claim and its words
        if not claim:
            found.append(text)

    for up in fit.assigned:
        held, made = sessions[up.session], products[up.product]
        need(made.name in held.minutes, f"{made.name} is not made on {held.name}")
        need(up.units > 0 and up.day == held.day and up.kitchen == held.kitchen, "the put-up is not its session's")
        need(abs(up.kg - up.units * made.kg_per_load / made.units_per_load) < EPS, "jars and fruit differ")
        need(abs(sum(t.kg for t in up.taken) - up.kg) < EPS, "the fruit does not add up")
        for taken in up.taken:
            one = supplies[taken.supply]
            need(one.name in made.takes, f"{made.name} is not made of {one.name}")
            need(
                any(u.day == up.day and u.out == taken.out and worth_as(u, made) is not None for u in one.uses),
                f"{one.name} is not usable so",
            )
            used[one.name] += taken.kg
            lying.append(
                (one.cold, max(one.since, one.room_from or one.since), taken.out - timedelta(days=1), taken.kg)
            )
            lying.append((one.counter, taken.out, up.day, taken.kg))
        hands[held.name] += up.units * made.hands_hours_per_load / made.units_per_load
        for thing, amount in made.needs.items():
            stock[thing] += amount * up.units
        for want, units in up.wants.items():
            met[want] += units
            need(wants[want].product == made.name and units >= 0, f"{want} is not of {made.name}")
        surplus[made.name] += up.units - sum(up.wants.values())
        if made.in_pot:
            need(sum(p.units for p in up.pot_loads) == up.units, "the pots hold another number of jars")
            for loads in up.pot_loads:
                one_pot = pots[loads.pot]
                holds = one_pot.holds[made.jar]
                kinds = held.minutes[made.name]
                need(one_pot.kitchen == held.kitchen and held.day not in one_pot.away, f"{loads.pot} is not there")
                need(kinds[one_pot.kind] == loads.minutes_per_load, "the minutes are not those of the kitchen")
                least = holds * loads.loads if not made.part_loads else holds * (loads.loads - 1) + 1
                need(least <= loads.units <= holds * loads.loads, "a load is too full, or idle")
                minutes[held.name, loads.pot] += loads.loads * loads.minutes_per_load
        else:
            need(not up.pot_loads, "pots for what needs none")
    for name, kg in used.items():
        need(kg <= supplies[name].kg + EPS, f"more {name} than there is")
    for name, hours in hands.items():
        need(hours <= sessions[name].hands_hours + EPS, f"too few hands on {name}")
    for (name, pot_name), taken_minutes in minutes.items():
        limit = 60 * (sessions[name].hours - pots[pot_name].first_boil_hours)
        need(taken_minutes <= limit + EPS, f"{pot_name} has no time on {name}")
    for thing, amount in stock.items():
        need(amount <= means.stock.get(thing, float("inf")) + EPS, f"too few of {thing}")
    for want in means.wants:
        need(fit.met[want.name] == met[want.name], f"{want.name} is told wrong")
        need(want.units is None or met[want.name] <= want.units, f"more than wanted of {want.name}")
        need(fit.unmet.get(want.name, 0) == max(0, (want.units or 0) - met[want.name]), "unmet is told wrong")
    for name, units in surplus.items():
        most = max((p.holds.get(products[name].jar, 0) for p in means.pots), default=1) - 1
        allowed = most if products[name].in_pot and not products[name].part_loads else 0
        need(0 <= units <= allowed, f"{units} {name} for no want")
    for space in means.spaces:
        days = {first for where, first, _, _ in lying if where == space} | {o.first for o in means.lying}
        for on in days:
            kg = sum(kg for where, first, last, kg in lying if where == space and first <= on <= last)
            need(kg <= room_on(means, space, on) + EPS, f"{space} is overfull on {on}")
    for one in means.supplies:
        wasted = max(0.0, one.kg - one.spare_kg - used[one.name])
        need(abs(fit.wasted.get(one.name, 0.0) - wasted) < EPS, f"the waste of {one.name} is told wrong")
    need(set(fit.sessions) == {up.session for up in fit.assigned}, "sessions are told wrong")
    return found


def worth_as(use: Use, made: Product) -> float | None:
    """Return what a use is worth for a product, by how ripe it asks its fruit to be."""
    return use.worths.get(made.ripeness, use.worth)


def room_on(means: Means, space: str, on: date) -> float:
    """Return the room (kg) that other fruit leaves in a space on a day."""
    taken = sum(o.kg for o in means.lying if o.space == space and o.first <= on <= o.last)
    return max(0.0, means.spaces[space] - taken)


def worth_of(means: Means, supply: Supply, held: Session, made: Product) -> float | None:
    """Return the best worth of fruit for a product in a session, less what later sessions cost; None if unusable."""
    told = [worth_as(u, made) for u in supply.uses if u.day == held.day]
    worths = [worth for worth in told if worth is not None]
    order = sorted(means.sessions, key=lambda s: (s.day, s.name))
    return max(worths) - LATER * order.index(held) if worths else None


def goals_of(fit: Fit) -> tuple[float, ...]:
    """Return what a plan's goals came to."""
    return tuple(goal.value for goal in fit.goals)


def is_no_worse(one: tuple[float, ...], other: tuple[float, ...], *, near: float = 0.002) -> bool:
    """Say whether goals are at least as good as others, in their order; waste and the last by all but a small part."""
    for number, (a, b) in enumerate(zip(one, other, strict=True)):
        slack = {len(one) - 1: WASTE_NEAR + near * max(1.0, abs(b)), len(one) - 3: WASTE_NEAR}.get(number, EPS)
        if abs(a - b) > slack:
            return a > b
    return True


# -- every plan -----------------------------------------------------------------------------------------------------


def _pots_can(means: Means, held: Session, units: Mapping[str, int]) -> bool:
    """Say whether some whole numbers of loads make these units, by trying all of them."""
    products = {p.name: p for p in means.products if p.in_pot and units.get(p.name)}
    pots = [p for p in means.pots if p.kitchen == held.kitchen and held.day not in p.away]

    def fill(left: dict[str, int], rest: list[Pot], slots: list[tuple[str, int, float]], minutes: float) -> bool:
        if not slots:
            if not rest:
                return all(n == 0 if not products[p].part_loads else n <= 0 for p, n in left.items())
            here = rest[0]
            options = [
                (p.name, here.holds.get(p.jar, 0), held.minutes[p.name][here.kind])
                for p in products.values()
                if here.kind in held.minutes[p.name] and here.holds.get(p.jar, 0)
            ]
            time = 60 * (held.hours - here.first_boil_hours)
            return fill(left, rest[1:], options, time)
        name, holds, each = slots[0]
        most = int(minutes / each + 1e-9)
        return any(
            fill({**left, name: left[name] - holds * n}, rest, slots[1:], minutes - n * each) for n in range(most + 1)
        )

    return fill({p: units[p] for p in products}, pots, [], 0.0)


def best_of_all(means: Means) -> tuple[float, ...]:
    """Return the goals of the best of all plans of a small kitchen without spaces, in whole kilograms.

    With whole jars fixed, sharing out fruit is a transport of whole kilograms, so that whole amounts are enough.
    """
    products = {p.name: p for p in means.products}
    wants = sorted(means.wants, key=lambda w: (w.rank, w.name))
    cells = [(w, s) for w in wants for s in means.sessions if w.product in s.minutes]
    states: dict[tuple[int, ...], tuple[float, float]] = {(0,) * len(cells): (0.0, 0.0)}
    for one in means.supplies:
        worths = [
            worth_of(means, one, s, products[w.product])
            if one.name in products[w.product].takes and (w.supplies is None or one.name in w.supplies)
            else None
            for w, s in cells
        ]
        following: dict[tuple[int, ...], tuple[float, float]] = {}
        ranges = [range(int(one.kg) + 1) if worth is not None else range(1) for worth in worths]
        for given in itertools.product(*ranges):
            if sum(given) > one.kg:
                continue
            waste = max(0.0, one.kg - one.spare_kg - sum(given))
            peak = sum(kg * worth for kg, worth in zip(given, worths, strict=True) if worth is not None)
            for before, (bad, good) in states.items():
                key = tuple(a + b for a, b in zip(before, given, strict=True))
                value = (bad - waste, good + peak)
                if key not in following or value > following[key]:
                    following[key] = value
        states = following
    best: tuple[float, ...] | None = None
    for kg, (waste, peak) in states.items():
        goals = _goals(means, wants, cells, kg)
        if goals is not None:
            met, held = goals
            value = (*met, waste, -held, peak)
            best = value if best is None or value > best else best
    assert best is not None
    return best


def _goals(
    means: Means, wants: list[Demand], cells: list[tuple[Demand, Session]], kg: tuple[int, ...]
) -> tuple[list[int], int] | None:
    """Return the units met by want and the sessions held by some fruit in each cell; None where that breaks a rule."""
    products = {p.name: p for p in means.products}
    made: dict[tuple[str, str], int] = {}
    for (want, held), amount in zip(cells, kg, strict=True):
        each = products[want.product].kg_per_load / products[want.product].units_per_load
        if amount % each:
            return None
        made[want.name, held.name] = int(amount / each)
    by_session = {
        s.name: {
            p: sum(n for (want, at), n in made.items() if at == s.name and _product(wants, want) == p) for p in products
        }
        for s in means.sessions
    }
    for held in means.sessions:
        units = by_session[held.name]
        hours = sum(n * products[p].hands_hours_per_load / products[p].units_per_load for p, n in units.items())
        if hours > held.hands_hours + 1e-9 or not _pots_can(means, held, units):
            return None
    for thing, there in means.stock.items():
        if sum(n * products[p].needs.get(thing, 0) for units in by_session.values() for p, n in units.items()) > there:
            return None
    totals = {w.name: sum(n for (want, _), n in made.items() if want == w.name) for w in wants}
    met = {w.name: totals[w.name] if w.units is None else min(w.units, totals[w.name]) for w in wants}
    for name, made_of in products.items():
        over = sum(totals[w.name] - met[w.name] for w in wants if w.product == name)
        if over > _surplus(means, made_of):
            return None
    return [met[w.name] for w in wants], sum(1 for units in by_session.values() if any(units.values()))


def _product(wants: Iterable[Demand], name: str) -> str:
    return next(w.product for w in wants if w.name == name)


def _surplus(means: Means, made: Product) -> int:
    """Return the jars that whole loads may make beyond the wants: fewer than one load of the largest pot in use."""
    if made.part_loads or not made.in_pot:
        return 0
    holds = [
        p.holds.get(made.jar, 0)
        for s in means.sessions
        for p in means.pots
        if p.kitchen == s.kitchen and s.day not in p.away and p.kind in s.minutes.get(made.name, {})
        if 60 * (s.hours - p.first_boil_hours) >= s.minutes[made.name][p.kind]
    ]
    return max([h for h in holds if h], default=1) - 1


# -- another programme ----------------------------------------------------------------------------------------------


def best_by_milp(means: Means) -> tuple[float, ...]:
    """Return the goals of the best plan, by scipy and a programme built in another way: one dense table of days."""
    products = {p.name: p for p in means.products}
    wants = sorted(means.wants, key=lambda w: (w.rank, w.name))
    fruit = [
        (w, s, one, u)
        for w in wants
        for s in means.sessions
        if w.product in s.minutes
        for one in means.supplies
        if one.name in products[w.product].takes and (w.supplies is None or one.name in w.supplies)
        for u in one.uses
        if u.day == s.day and worth_as(u, products[w.product]) is not None
    ]
    jars = [(w, s) for w in wants for s in means.sessions if w.product in s.minutes]
    loads = [
        (p, s, k)
        for p in means.products
        if p.in_pot
        for s in means.sessions
        for k in means.pots
        if k.kitchen == s.kitchen and s.day not in k.away and k.kind in s.minutes.get(p.name, {})
        if k.holds.get(p.jar) and s.hours >= k.first_boil_hours
    ]
    names = [*("f", "j", "l", "s", "m", "q")]
    sizes = [len(fruit), len(jars), len(loads), len(means.sessions), len(wants), len(means.supplies)]
    start = dict(zip(names, np.cumsum([0, *sizes])[:-1], strict=True))
    total = sum(sizes)
    rows: list[tuple[dict[int, float], float, float]] = []
    inf = np.inf
    each = {p.name: p.kg_per_load / p.units_per_load for p in means.products}
    most_units = sum(one.kg for one in means.supplies) // min(each.values()) + 1

    def most_jars(want: Demand, held: Session) -> float:
        """Return a bound on the jars of one session no looser than it must be, which keeps the reference exact."""
        usable = {id(o): o.kg for w, s, o, _ in fruit if w is want and s is held}
        return math.floor(sum(usable.values()) / each[want.product] + EPS)

    for n, (w, s) in enumerate(jars):
        row = {start["f"] + i: 1.0 for i, (w2, s2, _, _) in enumerate(fruit) if w2 is w and s2 is s}
        rows.append(({**row, start["j"] + n: -each[w.product]}, 0, 0))
        rows.append(({start["j"] + n: 1.0, start["s"] + means.sessions.index(s): -most_jars(w, s)}, -inf, 0))
    for n, one in enumerate(means.supplies):
        row = {start["f"] + i: 1.0 for i, (_, _, o, _) in enumerate(fruit) if o is one}
        rows.append((row, -inf, one.kg))
        rows.append(({**row, start["q"] + n: 1.0}, one.kg - one.spare_kg, inf))
    for n, w in enumerate(wants):
        rows.append(
            ({start["m"] + n: 1.0, **{start["j"] + i: -1.0 for i, (v, _) in enumerate(jars) if v is w}}, -inf, 0)
        )
    for p in means.products:
        row = {start["j"] + i: 1.0 for i, (w, _) in enumerate(jars) if w.product == p.name}
        row |= {start["m"] + n: -1.0 for n, w in enumerate(wants) if w.product == p.name}
        rows.append((row, -inf, _surplus(means, p)))
    for s in means.sessions:
        hands = {
            start["j"] + i: products[w.product].hands_hours_per_load / products[w.product].units_per_load
            for i, (w, s2) in enumerate(jars)
            if s2 is s
        }
        rows.append((hands, -inf, s.hands_hours))
        for k in means.pots:
            row = {
                start["l"] + i: s.minutes[p.name][k.kind] for i, (p, s2, k2) in enumerate(loads) if s2 is s and k2 is k
            }
            rows.append((row, -inf, 60 * max(0.0, s.hours - k.first_boil_hours)))
        for p in means.products:
            if p.in_pot:
                row = {
                    start["l"] + i: float(k.holds[p.jar]) for i, (p2, s2, k) in enumerate(loads) if p2 is p and s2 is s
                }
                row |= {start["j"] + i: -1.0 for i, (w, s2) in enumerate(jars) if w.product == p.name and s2 is s}
                rows.append((row, 0, inf if p.part_loads else 0))
    for thing, there in means.stock.items():
        row = {start["j"] + i: float(products[w.product].needs.get(thing, 0)) for i, (w, _) in enumerate(jars)}
        rows.append((row, -inf, there))
    days = sorted({d for _, _, o, u in fruit for d in (o.since, u.out, u.day)})
    for space in means.spaces:
        for n in range((days[-1] - days[0]).days + 1 if days else 0):
            on = days[0] + timedelta(days=n)
            row = {
                start["f"] + i: 1.0
                for i, (_, _, o, u) in enumerate(fruit)
                if (o.cold == space and max(o.since, o.room_from or o.since) <= on < u.out)
                or (o.counter == space and u.out <= on <= u.day)
            }
            rows.append((row, -inf, room_on(means, space, on)))
    order = sorted(means.sessions, key=lambda s: (s.day, s.name))
    upper = np.full(total, inf)
    for i, (_, _, one, _) in enumerate(fruit):
        upper[start["f"] + i] = one.kg
    for n, (w, s) in enumerate(jars):
        upper[start["j"] + n] = most_jars(w, s)
    for i, (p, s, k) in enumerate(loads):
        each_load = s.minutes[p.name][k.kind]
        upper[start["l"] + i] = 60 * (s.hours - k.first_boil_hours) // each_load if each_load else most_units
    upper[start["s"] : start["s"] + sizes[3]] = 1
    for n, w in enumerate(wants):
        upper[start["m"] + n] = most_units if w.units is None else w.units
    for n, one in enumerate(means.supplies):
        upper[start["q"] + n] = one.kg
    whole = np.zeros(total)
    whole[start["j"] : start["q"]] = 1
    slack = AS_GOOD / 2 * sum(one.kg for one in means.supplies)
    aims: list[tuple[dict[int, float], float, float]] = [({start["m"] + n: 1.0}, 0.0, 0.0) for n in range(len(wants))]
    aims.append(({start["q"] + n: -1.0 for n in range(sizes[5])}, 0.0, slack))
    aims.append(({start["s"] + n: -1.0 for n in range(sizes[3])}, 0.0, 0.0))
    peak = {
        start["f"] + i: (worth_as(u, products[w.product]) or 0.0) - LATER * order.index(s)
        for i, (w, s, _, u) in enumerate(fruit)
    }
    aims.append((aims[len(wants)][0], 0.0, 0.0))  # once the sessions stand, no more is wasted than must be
    aims.append((peak, 1e-4, 0.0))
    reached = []
    for aim, gap, missed in aims:
        if not aim:
            reached.append(0.0)
            continue
        matrix = sparse.lil_matrix((len(rows), total))
        for r, (row, _, _) in enumerate(rows):
            for c, value in row.items():
                matrix[r, c] = value
        cost = np.zeros(total)
        for c, value in aim.items():
            cost[c] = -value
        done = milp(
            cost,
            integrality=whole,
            bounds=Bounds(np.zeros(total), upper),
            constraints=LinearConstraint(matrix.tocsr(), [r[1] for r in rows], [r[2] for r in rows]),
            options={"mip_rel_gap": gap, "presolve": False},  # presolving in scipy 1.17 held a session for nothing
        )
        assert done.success, done.message
        is_whole = all(whole[c] for c in aim)
        value = round(-done.fun) if is_whole else -done.fun
        reached.append(float(value))
        rows.append((aim, value - (0.5 if is_whole else max(missed, 1e-5 * max(1.0, abs(value)))), inf))
    del reached[len(wants)]
    waste = reached.pop(len(wants) + 1)
    return (*reached[: len(wants)], waste, *reached[len(wants) :])
