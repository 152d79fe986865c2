"""The kitchen's pages: its season, and each session by the clock."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import date
from fractions import Fraction

from msgspec.structs import replace

from firmripe.calendar.kitchen_days import session_subject
from firmripe.harvest.because import FruitOf
from firmripe.harvest.lots import Batch
from firmripe.holding.preserve import Preserve, PutUp
from firmripe.holding.weight import Weight
from firmripe.kitchen.plan.kitchen_plan import (
    KitchenPlan,
    KitchenSession,
    KitchenTakeOut,
    Making,
    PotUsed,
    WantMet,
)
from firmripe.kitchen.tables.amounts import JarRange
from firmripe.kitchen.tables.ware import Ware
from firmripe.publish.contents import preserves_with_page
from firmripe.publish.job_amounts import to_buy_words
from firmripe.publish.pages.by_kind import Kind, fruit_told, tags_link
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.method_steps import step_quotes
from firmripe.publish.pages.stove_cards import PotLine, StoveCards, height_words, steps_of
from firmripe.publish.paths import SUPPLIES
from firmripe.publish.views import Link, Quote, View
from firmripe.tongue import Tongue
from firmripe.wording import words_of
from firmripe.wording.clock import rate_words, slower_words
from firmripe.wording.holding import jars_words
from firmripe.wording.kitchen import batch_words, pounds_words, units_words, ware_words
from firmripe.wording.measures import mixed, spoons
from firmripe.wording.minutes import acid_words
from firmripe.words import in_own_units, long_day, week_day

NEAR_GAP = 0.01
"""A plan that may lie nearer to the best than this is called as good as the best."""

_FEW_JARS = 7
"""Fruit is told for so many jars, since that of one is no whole number of pounds."""


class MakingView(View, frozen=True, kw_only=True):
    """A product in a session: `may_be` says what its fruit may really make, `hands` how long the work is.

    `page` is the preserve's own, and `steps` are its whole method in the order of work.
    """

    name: str
    page: Link | None
    amount: str
    may_be: str
    fruit: tuple[Link, ...]
    pots: tuple[PotLine, ...]
    headspace: str
    acid: str
    syrup: str
    hands: str
    steps: tuple[Quote, ...]
    whys: tuple[str, ...]
    card: Link | None
    cautions: tuple[Quote, ...]


class SessionPage(View, frozen=True, kw_only=True):
    """A day in a kitchen."""

    title: str
    iso: str
    day: str
    kitchen: str
    height: str
    hands: str
    hours: str
    latest_start: str
    ends: str
    slower: str
    makings: tuple[MakingView, ...]
    steps: tuple[tuple[str, str], ...]
    seals: str
    cautions: tuple[Quote, ...]
    back: Link


class SessionLine(View, frozen=True, kw_only=True):
    """A session on the kitchen's page."""

    page: Link
    iso: str
    kitchen: str
    hands: str
    latest_start: str
    makes: tuple[str, ...]


class WantLine(View, frozen=True, kw_only=True):
    """A want: how much, what is planned, what is short, why, and what would meet it."""

    name: str
    wanted: str
    made: str
    planned: str
    short: str
    reasons: tuple[str, ...]
    remedies: tuple[str, ...]


class TakeOutLine(View, frozen=True, kw_only=True):
    """What leaves one cold space on a day for a day in the kitchen; `way` says out of which and for which."""

    iso: str
    day: str
    way: str
    fruit: tuple[Link, ...]


class KitchenPage(View, frozen=True, kw_only=True):
    """The kitchens' season."""

    sessions: tuple[SessionLine, ...]
    wants: tuple[WantLine, ...]
    take_outs: tuple[TakeOutLine, ...]
    cards: tuple[tuple[Link, PotLine], ...]
    preserves: tuple[Link, ...]
    supplies: Link
    to_buy: tuple[str, ...]
    buy_by: str
    buy_by_iso: str
    left: tuple[Link, ...]
    unweighed: tuple[str, ...]
    waiting: str
    gap: str
    refused: tuple[Quote, ...]
    cautions: tuple[Quote, ...]


class Kitchens:
    """Makes the views of a kitchen plan, with the links of one context."""

    def __init__(self, kitchen: KitchenPlan, context: PageContext) -> None:
        self._plan = context.plan
        self._kitchen = kitchen
        self._context = context
        self._tongue = context.tongue
        self._paths = context.paths
        self.stove = StoveCards(kitchen, context)

    # Where pages lie

    def session_path(self, session: KitchenSession) -> str:
        """Return the page of a session; it stays where it is when the day moves."""
        return self._paths.session(session_subject(session))

    def _method_page(self, preserve: Preserve) -> Link | None:
        made = {one.key for one in preserves_with_page(self._plan)}
        name = self._tongue.term(preserve.name)
        return self._context.link(name, self._paths.preserve(preserve.key)) if preserve.key in made else None

    # The season

    def season(self) -> KitchenPage:
        """Return the kitchens' season."""
        tongue = self._tongue
        plan = self._kitchen
        return KitchenPage(
            sessions=tuple(self._line(session) for session in plan.sessions),
            wants=tuple(_want(tongue, met) for met in plan.wants),
            take_outs=self._take_outs(),
            cards=tuple(
                (
                    self._context.link(
                        f"{ware_words(tongue, card.ware)}, {card.kitchen.name}", self._paths.stove_card(card)
                    ),
                    line,
                )
                for card in self.stove.cards
                for line in self.stove.pot_lines(card)
            ),
            preserves=tuple(
                link for preserve in preserves_with_page(self._plan) if (link := self._method_page(preserve))
            ),
            supplies=self._context.link(tongue.say("The supplies list"), SUPPLIES),
            to_buy=tuple(to_buy_words(tongue, short.thing, short.to_buy) for short in plan.shorts if short.to_buy),
            buy_by=week_day(tongue, plan.buy_by) if plan.buy_by else "",
            buy_by_iso=plan.buy_by.isoformat() if plan.buy_by else "",
            left=tuple(self._left()),
            unweighed=self._unweighed(),
            waiting=self._whose(plan.waiting),
            gap=_gap_words(tongue, plan),
            refused=self._refused(),
            cautions=self._cautions(),
        )

    def _left(self) -> Iterator[Link]:
        """Yield the fruit that no want takes, batch by batch, or all of a kind together where trees are many."""
        tongue, context = self._tongue, self._context
        kinds: dict[Kind, list[tuple[Batch, float]]] = defaultdict(list)
        for batch, kg in self._kitchen.wasted:
            kinds[batch.bearing.cultivar, batch.bearing.crop].append((batch, kg))
            if not context.is_by_kind:
                fruit = batch_words(tongue, batch)
                yield self._at_tree(batch, tongue.say("{amount} of {fruit}", amount=self._pounds(kg), fruit=fruit))
        for parts in kinds.values() if context.is_by_kind else ():
            batches, weight = [batch for batch, _kg in parts], sum(kg for _batch, kg in parts)
            link = tags_link(context, batches[0].limb, (batch.bearing.tree for batch in batches))
            said = tongue.say("{amount} of {fruit}", amount=self._pounds(weight), fruit=self._whose(batches))
            yield replace(link, text=said)

    def _unweighed(self) -> tuple[str, ...]:
        batches = self._kitchen.unweighed
        if self._context.is_by_kind:
            return (self._whose(batches),) if batches else ()
        return tuple(batch_words(self._tongue, batch) for batch in batches)

    def _whose(self, batches: Iterable[Batch]) -> str:
        return fruit_told(self._context, (FruitOf.on(batch.limb, batch.bearing.tree) for batch in batches))

    def _line(self, session: KitchenSession) -> SessionLine:
        """Return a session as one line of the season."""
        tongue = self._tongue
        return SessionLine(
            page=self._context.link(week_day(tongue, session.day), self.session_path(session)),
            iso=session.day.isoformat(),
            kitchen=session.kitchen.name,
            hands=tongue.plural("{n} pair of hands", "{n} pairs of hands", session.hands),
            latest_start=f"{session.timetable.latest_start:%H:%M}",
            makes=tuple(
                f"{tongue.term(making.ware.preserve.name)}: {_amount(tongue, making)}" for making in session.makings
            ),
        )

    def _take_outs(self) -> tuple[TakeOutLine, ...]:
        """Return what leaves the cold, by the day, the space and the session it is for."""
        tongue = self._tongue
        found: dict[tuple[date, str, date], list[KitchenTakeOut]] = defaultdict(list)
        for out in self._kitchen.take_outs:
            found[out.day, out.cold, out.session.day].append(out)
        return tuple(
            TakeOutLine(
                iso=day.isoformat(),
                day=week_day(tongue, day),
                way=tongue.say("out of the {space}, for {day}", space=cold, day=week_day(tongue, wanted)),
                fruit=tuple(self._at_tree(out.batch, self._taken_out(out)) for out in outs),
            )
            for (day, cold, wanted), outs in found.items()
        )

    def _taken_out(self, out: KitchenTakeOut) -> str:
        return self._tongue.say(
            "{amount} of {fruit}", amount=self._pounds(out.kg), fruit=batch_words(self._tongue, out.batch)
        )

    def _refused(self) -> tuple[Quote, ...]:
        tongue = self._tongue
        return tuple(
            self._context.quote(
                tongue.term(row.what), f"{tongue.term(row.because)}; {tongue.term(row.instead)}", row.cited
            )
            for row in self._plan.holding.processes.refused
        )

    def _cautions(self) -> tuple[Quote, ...]:
        return tuple(
            self._context.quote("", self._tongue.term(figure.text), figure.cited)
            for figure in self._plan.holding.processes.cautions
        )

    def _at_tree(self, batch: Batch, words: str) -> Link:
        return self._context.link(words, self._paths.tree(batch.bearing.tree))

    def _pounds(self, kg: float) -> str:
        return self._context.pounds(Weight.of(Fraction(round(kg * 1000), 1000)))

    # A session

    def session(self, session: KitchenSession) -> SessionPage:
        """Return the page of a session."""
        tongue = self._tongue
        clock, seals = session.timetable, session.seals
        told = ""
        if seals is not None:
            first, last = f"{seals.first:%H:%M}", f"{seals.last:%H:%M}"
            again = tongue.say(
                "{time} on {day}", time=f"{seals.again_until:%H:%M}", day=week_day(tongue, seals.again_until.date())
            )
            first = tongue.say("{time} on {day}", time=first, day=week_day(tongue, seals.first.date()))
            last = tongue.say("{time} on {day}", time=last, day=week_day(tongue, seals.last.date()))
            told = tongue.say(
                "Lids can be tested from {first} to {last}. A jar that failed is done again with a new lid within 24 "
                "hours of its own load, the first load’s by {again}, or goes into freezer or refrigerator.",
                first=first,
                last=last,
                again=again,
            )
        return SessionPage(
            title=tongue.say("{day} in the {kitchen}", day=week_day(tongue, session.day), kitchen=session.kitchen.name),
            iso=session.day.isoformat(),
            day=long_day(tongue, session.day),
            kitchen=session.kitchen.name,
            height=height_words(tongue, session.kitchen),
            hands=tongue.plural("{n} pair of hands", "{n} pairs of hands", session.hands),
            hours=tongue.say("{first} to {last}", first=f"{session.start:%H:%M}", last=f"{session.last:%H:%M}"),
            latest_start=f"{clock.latest_start:%H:%M}",
            ends=f"{clock.end:%H:%M}",
            slower=slower_words(tongue, clock.slower),
            makings=tuple(self._making(making, session) for making in session.makings),
            steps=tuple((f"{step.at:%H:%M}", words_of(step.what, tongue)) for step in clock.steps),
            seals=told,
            cautions=self._for_every_jar(session),
            back=self._context.link(tongue.say("The kitchen’s season"), "kitchen.html"),
        )

    def _for_every_jar(self, session: KitchenSession) -> tuple[Quote, ...]:
        """Return the cautions of canning, and after them those that all products of a session have, each once."""
        if not session.is_canning:
            return ()
        each = [self._context.cautions(making.ware.preserve.cautions) for making in session.makings]
        others = [{quote.text for quote in quotes} for quotes in each[1:]]
        shared = [quote for quote in each[0] if others and all(quote.text in texts for texts in others)]
        return tuple({quote.text: quote for quote in (*self._cautions(), *shared)}.values())

    def _making(self, making: Making, session: KitchenSession) -> MakingView:
        tongue = self._tongue
        ware = making.ware
        first = next((pot.published for pot in making.pots if pot.published), None)
        told = {quote.text for quote in self._for_every_jar(session)}
        return MakingView(
            name=tongue.term(ware.preserve.name),
            page=self._method_page(ware.preserve),
            amount=_amount(tongue, making),
            may_be=_range_words(tongue, making.range, ware),
            fruit=tuple(
                self._at_tree(used.batch, self._fruit_words(used.batch, used.kg, used.out)) for used in making.fruit
            ),
            pots=tuple(
                self.stove.pot_line(pot.canner, pot.published, _loads(tongue, pot, ware)) for pot in making.pots
            ),
            headspace=in_own_units(tongue, tongue.term(first.headspace)) if first else "",
            acid=_acid_words(tongue, making),
            syrup=_syrup_words(tongue, making),
            hands="; ".join(part for part in (rate_words(tongue, ware.rate), self._own_fruit(ware)) if part),
            steps=step_quotes(
                self._context,
                steps_of(self._plan, ware, [pot.published for pot in making.pots if pot.published is not None]),
            ),
            whys=tuple(words_of(why, tongue) for why in making.why),
            card=self.stove.link(ware, session.kitchen),
            cautions=tuple(q for q in self._context.cautions(ware.preserve.cautions) if q.text not in told),
        )

    def _own_fruit(self, ware: Ware) -> str:
        """Say what fruit a jar takes where the household's own lines speak in it."""
        if not ware.each.own or ware.jar is None:
            return ""
        weight = Weight(low=_FEW_JARS * ware.each.low_kg, high=_FEW_JARS * ware.each.high_kg)
        return self._tongue.plural(
            "{weight} of fruit for {jars}, from {n} line of our own beside what is printed",
            "{weight} of fruit for {jars}, from {n} lines of our own beside what is printed",
            ware.each.own,
            weight=self._context.pounds(weight),
            jars=jars_words(self._tongue, ware.jar, _FEW_JARS),
        )

    def _fruit_words(self, batch: Batch, kg: float, out: date) -> str:
        tongue = self._tongue
        picked = batch.picked.likely
        waits = (
            tongue.say("out on {day}", day=week_day(tongue, out))
            if out > picked
            else tongue.say("picked {day}", day=week_day(tongue, picked))
        )
        return (
            tongue.say("{amount} of {fruit}", amount=self._pounds(kg), fruit=batch_words(tongue, batch)) + f", {waits}"
        )


def _amount(tongue: Tongue, making: Making) -> str:
    return units_words(tongue, making.ware, making.units)


def _range_words(tongue: Tongue, jars: JarRange | None, ware: Ware) -> str:
    """Say what the fruit may really make, where that is a range."""
    if jars is None or round(jars.low) == round(jars.high):
        return ""
    is_printed = ware.jar and ware.jar.size and ware.jar.name == ware.jar.size.value
    low, high = int(jars.low), -int(-jars.high // 1)
    if ware.jar is None:
        few, many = pounds_words(tongue, low), units_words(tongue, ware, high)
        return tongue.say("The fruit may make {low} to {high}", low=few, high=many)
    unit = tongue.term(f"{ware.jar.name}s") if is_printed else tongue.say("of them")
    return tongue.say("The fruit may make {low} to {high} {unit}", low=low, high=high, unit=unit)


def _loads(tongue: Tongue, pot: PotUsed, ware: Ware) -> str:
    if ware.preserve.method is PutUp.DRYER:
        return tongue.say("one filling")
    sizes = " + ".join(str(size) for size in pot.loads)
    return tongue.plural("{n} load of {sizes}", "{n} loads: {sizes}", len(pot.loads), sizes=sizes)


def _acid_words(tongue: Tongue, making: Making) -> str:
    found = next((pot.published for pot in making.pots if pot.published and pot.published.acid), None)
    if found is None:
        return ""
    doses = [
        tongue.say("{amount} of {what}", amount=spoons(tongue, dose.teaspoons), what=tongue.term(dose.what))
        for dose in making.acids
    ]
    said = acid_words(tongue, found)
    if not doses:
        return said
    return tongue.say(
        "{each}; for all {number} together {doses}",
        each=said,
        number=making.units,
        doses=tongue.say(" or ").join(doses),
    )


def _syrup_words(tongue: Tongue, making: Making) -> str:
    if making.syrup is None:
        return ""
    water, sugar = mixed(making.syrup.water), mixed(making.syrup.sugar)
    said = tongue.say(
        "{liquid}: {water} cups of water and {sugar} cups of sugar; "
        "water or juice serves too, sugar is not needed for safety",
        liquid=tongue.term(making.ware.preserve.liquid),
        water=water,
        sugar=sugar,
    )
    return in_own_units(tongue, said)


def _want(tongue: Tongue, met: WantMet) -> WantLine:
    want = met.want
    jar = want.jar

    def unit(number: int) -> str:
        return jars_words(tongue, jar, number) if jar else pounds_words(tongue, number)

    return WantLine(
        name=ware_words(tongue, met.of) if isinstance(met.of, Ware) else tongue.term(met.of.name),
        wanted=unit(want.count) if want.count is not None else tongue.say("as many as can be had"),
        made=unit(met.made) if met.made else "",
        planned=unit(met.planned),
        short=unit(met.short) if met.short else "",
        reasons=tuple(words_of(reason, tongue) for reason in met.reasons),
        remedies=tuple(words_of(remedy, tongue) for remedy in met.remedies),
    )


def _gap_words(tongue: Tongue, plan: KitchenPlan) -> str:
    if not plan.is_searched:
        return tongue.say(
            "This computer has no solver for the kitchen plan (the package highspy is not made for it), so no day is "
            "chosen. Everything else stands; build the site on another computer to have the plan."
        )
    gap = plan.gap
    if plan.ran_out:
        return tongue.say(
            "The search was ended by the clock, so a faster computer may find another plan; "
            "this one is within {gap} of the best there can be.",
            gap=f"{gap:.0%}",
        )
    if gap == 0:
        return tongue.say("More than this can’t be made with these pots, days and fruit.")
    if gap < NEAR_GAP:
        return tongue.say("The plan is within a hundredth of the best there can be.")
    return tongue.say(
        "The search ended before the best plan was proven; this one is within {gap} of it.", gap=f"{gap:.0%}"
    )
