"""The kitchen plan as a mixed-integer programme: its columns, what binds them, and its aims in their order.

Columns: the fruit (kg) on each way; the units made for each want in each session; the units that count as met; the
loads in each pot, by product and session, and the longest time that one is in use; whether a session is held; and
what is wasted of each supply.
Whole numbers are jars, loads and sessions, all of them small; everything else is a weight.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Mapping, Sequence
from itertools import pairwise

from msgspec.structs import replace

from firmripe.kitchen.fit.means import Demand, Product, Session
from firmripe.kitchen.fit.outcome import PEAK, SESSIONS, WASTE
from firmripe.kitchen.fit.solving import INFINITE, NEAR, TOLERANCE, Aim, Programme, SessionColumns
from firmripe.kitchen.fit.ways import CLOSE, Chosen, Way, Ways, spans

AS_GOOD = 0.001
"""Plans whose waste differs by no more than this part of all the fruit are as good: no day is kept for a spoonful."""

FEW = 500
"""So many ways for fruit to go are few: those of a household's own kitchen, not those of dozens of lots. J."""


class KitchenProgramme:
    """Builds the programme of some ways, names its aims and reads its values back."""

    def __init__(self, ways: Ways) -> None:
        self.ways = ways
        self.programme = Programme()
        self._kg = {way: self.programme.column(way.supply.kg) for way in ways.all}
        self._made = {
            (want.name, session.name): self.programme.column(ways.most_made(want, session), whole=True)
            for want, session in {(v.name, w.session.name): (v, w.session) for w in ways.all for v in w.wants}.values()
        }
        self._loads: dict[tuple[str, str, str], int] = {}
        self._longest = {session.name: self.programme.column(60 * session.hours) for session in ways.sessions}
        self._held = {session.name: self.programme.column(1, whole=True) for session in ways.sessions}
        self._met = {want.name: self.programme.column(ways.most_wanted(want), whole=True) for want in ways.wants}
        self._wasted = {
            supply.name: self.programme.column(supply.kg, idle=max(0.0, supply.kg - supply.spare_kg))
            for supply in ways.supplies
        }
        self._weigh()
        self._count()
        for session in ways.sessions:
            self._work(session)
        for thing in ways.stock:
            self._draw_on(thing)
        for space in ways.spaces:
            self._lie_in(space)

    def _weigh(self) -> None:
        """Put into jars the fruit they hold, and take from no supply more than it has; what is left is wasted.

        Jars of wants that can take each other's fruit are filled together: any share of it among them will do.
        """
        out_of: dict[str, dict[int, float]] = defaultdict(dict)
        for (wants, session), ways in self._filling().items():
            fruit = {self._kg[way]: 1.0 for way in ways}
            held = {self._made[want.name, session]: -self.ways.product(want).kg_per_unit for want in wants}
            self.programme.row({**fruit, **held}, low=0.0, high=0.0)
        for way, column in self._kg.items():
            out_of[way.supply.name][column] = 1.0
        for supply in self.ways.supplies:
            taken = out_of[supply.name]
            self.programme.row(taken, high=supply.kg)
            self.programme.row({**taken, self._wasted[supply.name]: 1.0}, low=supply.kg - supply.spare_kg)

    def _filling(self) -> dict[tuple[tuple[Demand, ...], str], list[Way]]:
        """Return the ways by the wants and the session they fill, each in the order of supplies and take-outs."""
        found: dict[tuple[str, str], list[Way]] = defaultdict(list)
        for way in self._kg:
            found[way.want.name, way.session.name].append(way)
        return {
            (ways[0].wants, session): sorted(ways, key=lambda way: (way.supply.name, way.use.out))
            for (_, session), ways in found.items()
        }

    def _count(self) -> None:
        """Count what is made as met; only whole loads may go beyond what is wanted, and by less than a load."""
        for product in self.ways.products.values():
            surplus: dict[int, float] = {}
            for want in self.ways.wants:
                if want.product == product.name:
                    made = {c: 1.0 for (name, _), c in self._made.items() if name == want.name}
                    self.programme.row({**made, self._met[want.name]: -1.0}, low=0.0)
                    surplus |= {**made, self._met[want.name]: -1.0}
            self.programme.row(surplus, high=self.ways.surplus(product))

    def _made_of(self, product: Product, session: Session | None = None) -> dict[int, float]:
        """Return the columns of what is made of a product, in one session or in all."""
        names = {want.name for want in self.ways.wants if want.product == product.name}
        return {
            column: 1.0
            for (want, held), column in self._made.items()
            if want in names and (session is None or held == session.name)
        }

    def _work(self, session: Session) -> None:
        """Give hands and pots their hours: pots work side by side, and all of it only where the session is held."""
        held = self._held[session.name]
        hands: dict[int, float] = {}
        minutes: dict[str, dict[int, float]] = defaultdict(dict)
        kinds: dict[str, list[tuple[str, float]]] = defaultdict(list)
        for product in self.ways.products.values():
            made = self._made_of(product, session)
            if not made:
                continue
            if product.hands_hours_per_unit:
                hands |= dict.fromkeys(made, product.hands_hours_per_unit)
            for column in made:
                self.programme.row({column: 1.0, held: -self.programme.uppers[column]}, high=0.0)
            capacity = dict.fromkeys(made, -1.0)
            for choice in self.ways.pots_for(session, product):
                loads = self.programme.column(choice.most, whole=True)
                self._loads[session.name, product.name, choice.pot.name] = loads
                capacity[loads] = choice.holds
                minutes[choice.pot.name][loads] = choice.minutes
                kinds[choice.pot.name] += [(product.name, choice.holds), ("", choice.pot.first_boil_hours)]
                self.programme.row({loads: 1.0, held: -choice.most}, high=0.0)
            if product.in_pot:
                self.programme.row(capacity, low=0.0, high=INFINITE if product.part_loads else 0.0)
        self.programme.row({**hands, held: -session.hands_hours} if hands else {}, high=0.0)
        for pot, terms in minutes.items():
            boil = next(p.first_boil_hours for p in self.ways.pots if p.name == pot)
            self.programme.row({**terms, held: -60 * (session.hours - boil)}, high=0.0)
            self.programme.row({**terms, self._longest[session.name]: -1.0}, high=0.0)
            if not self.is_small:
                self._load_whole(terms, held, 60 * (session.hours - boil))
        self._order_like_pots(minutes, kinds)

    def _load_whole(self, terms: Mapping[int, float], held: int, minutes: float) -> None:
        """Say how many whole loads that take so long or longer a pot has minutes for, which bounds parts of loads."""
        for least in sorted({each for each in terms.values() if each > 0}):
            longer = {column: 1.0 for column, each in terms.items() if each >= least}
            if len(longer) > 1:
                self.programme.row({**longer, held: -math.floor(minutes / least + CLOSE)}, high=0.0)

    def _order_like_pots(
        self, minutes: Mapping[str, Mapping[int, float]], kinds: Mapping[str, list[tuple[str, float]]]
    ) -> None:
        """Let the first by name of pots that are alike work the longest, or each plan would be there many times."""
        by_kind = sorted(minutes, key=lambda pot: (kinds[pot], list(minutes[pot].values()), pot))
        for one, other in pairwise(by_kind):
            if kinds[one] == kinds[other] and list(minutes[one].values()) == list(minutes[other].values()):
                self.programme.row({**minutes[one], **{c: -m for c, m in minutes[other].items()}}, low=0.0)

    def _draw_on(self, thing: str) -> None:
        """Use no more of a thing than there is."""
        terms: dict[int, float] = {}
        for product in self.ways.products.values():
            if product.needs.get(thing):
                terms |= dict.fromkeys(self._made_of(product), product.needs[thing])
        self.programme.row(terms, high=self.ways.stock[thing])

    def _lie_in(self, space: str) -> None:
        """Let no space be overfull on any day; that can begin only on a day on which fruit comes to it.

        What lies there is carried from one such day to the next, so that fruit is told of as it comes and goes alone.
        """
        lying = [(column, *span) for way, column in self._kg.items() for span in spans(way, space)]
        others = {other.first for other in self.ways.lying if other.space == space}
        days = sorted({first for _, first, _ in lying} | others)
        comes: list[dict[int, float]] = [defaultdict(float) for _ in days]
        for column, first, last in lying:
            comes[bisect_left(days, first)][column] += 1.0
            gone = bisect_right(days, last)
            if gone < len(days):
                comes[gone][column] -= 1.0
        there: dict[int, float] = {}
        for day, change in zip(days, comes, strict=True):
            full = self.programme.column(self.ways.free(space, day))
            self.programme.row({**there, **change, full: -1.0}, low=0.0, high=0.0)
            there = {full: 1.0}

    def by_session(self) -> list[SessionColumns]:
        """Return the columns of each session that anything is made in."""
        jars, loads = defaultdict(list), defaultdict(list)
        for (_, session), column in self._made.items():
            jars[session].append(column)
        for (session, _, _), column in self._loads.items():
            loads[session].append(column)
        return [
            SessionColumns(jars=tuple(jars[name]), loads=tuple(loads[name]), held=held)
            for name, held in self._held.items()
            if name in jars
        ]

    def wanted(self) -> list[Aim]:
        """Return the aims of the wants, in the household's order."""
        return [
            Aim(want.name, {self._met[want.name]: 1.0}, self._most_met(want.name), whole=True)
            for want in self.ways.wants
        ]

    def _most_met(self, want: str) -> float:
        made = sum(self.programme.uppers[column] for (name, _), column in self._made.items() if name == want)
        return min(self.programme.uppers[self._met[want]], made)

    def together(self) -> Aim:
        """Return the aim of all wants at once."""
        wanted = self.wanted()
        terms = {column: factor for aim in wanted for column, factor in aim.terms.items()}
        return Aim("together", terms, sum(aim.most for aim in wanted), whole=True)

    def good(self) -> list[Aim]:
        """Return the aims that follow the wants: waste least, fewest sessions, near the peak.

        Half of what is as good in waste may be missed by a search, the other half given up for a session less: once the
        sessions stand, the least is sought again.
        """
        least = 1 if self._made else 0
        fruit = sum(supply.kg for supply in self.ways.supplies)
        wasted = dict.fromkeys(self._wasted.values(), -1.0)
        return [
            Aim(WASTE, wasted, 0.0, missed=AS_GOOD / 2 * fruit, given=AS_GOOD / 2 * fruit),
            Aim(SESSIONS, dict.fromkeys(self._held.values(), -1.0), -least, whole=True),
            Aim(WASTE, wasted, 0.0, missed=AS_GOOD / 2 * fruit),
            Aim(
                PEAK,
                {c: way.worth for way, c in self._kg.items()},
                self._best_peak(),
                near=TOLERANCE if self.is_small else NEAR,
            ),
        ]

    @property
    def is_small(self) -> bool:
        """Say whether the ways are few: of these the very best are found, the same in whatever order."""
        return len(self._kg) <= FEW

    def _best_peak(self) -> float:
        best: dict[str, float] = {}
        for way in self._kg:
            best[way.supply.name] = max(best.get(way.supply.name, 0.0), way.supply.kg * way.worth)
        return sum(best.values())

    def fewest_loads(self) -> tuple[Aim, list[int]]:
        """Return the aim that parts plans which are as good as each other, and the columns that are settled by then."""
        aim = Aim("fewest loads", dict.fromkeys(self._loads.values(), -1.0), 0.0, whole=True)
        return aim, [*self._made.values(), *self._met.values(), *self._held.values()]

    def side_by_side(self) -> tuple[Aim, list[int]]:
        """Return the aim that parts loads evenly over a session's pots, so that none stands idle beside a busy one."""
        aim = Aim("side by side", dict.fromkeys(self._longest.values(), -1.0), 0.0)
        return aim, self.fewest_loads()[1]

    def by_name(self) -> tuple[Aim, list[int]]:
        """Return the aim that settles the last ties, fruit by name and take-out day, and all whole numbers."""
        days = sorted({way.use.out for way in self._kg})
        order = {key: number for number, key in enumerate((s.name, day) for s in self.ways.supplies for day in days)}
        aim = Aim("by name", {c: -float(order[w.supply.name, w.use.out]) for w, c in self._kg.items()}, 0.0)
        return aim, [*self.fewest_loads()[1], *self._loads.values()]

    def chosen(self, values: Sequence[float]) -> Chosen:
        """Read a plan from the columns' values."""
        return Chosen(
            kg=self._shared(values),
            made={key: round(values[c]) for key, c in self._made.items() if round(values[c])},
            met={want: round(values[c]) for want, c in self._met.items()},
            loads={key: round(values[c]) for key, c in self._loads.items() if round(values[c])},
        )

    def _shared(self, values: Sequence[float]) -> dict[Way, float]:
        """Share fruit among the wants it fills together: in their order they take the supplies by name and take-out."""
        shared: dict[Way, float] = {}
        for (wants, session), ways in self._filling().items():
            units = {want: round(values[self._made[want.name, session]]) for want in wants}
            lacking = {want: n * self.ways.product(want).kg_per_unit for want, n in units.items()}
            for way in ways:
                left = values[self._kg[way]]
                for want in wants:
                    part = min(left, lacking[want])
                    left -= part
                    lacking[want] -= part
                    if round(part, 6) > 0:
                        shared[replace(way, wants=(want,))] = round(part, 6)
        return shared
