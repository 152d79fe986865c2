"""The kitchen's pages: its season, each session, the cards for the stove and the supplies."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import date
from fractions import Fraction

from firmripe.calendar.kitchen_days import session_subject
from firmripe.harvest.lots import Batch
from firmripe.holding.kitchen import Canner, Kitchen
from firmripe.holding.preserve import Preserve, PutUp
from firmripe.holding.process import Refused
from firmripe.holding.weight import Weight
from firmripe.kitchen.plan.kitchen_plan import (
    KitchenPlan,
    KitchenSession,
    KitchenTakeOut,
    Making,
    PotUsed,
    StoveCard,
    WantMet,
)
from firmripe.kitchen.tables.amounts import LIDS, JarRange
from firmripe.kitchen.tables.method import Step, method_of
from firmripe.kitchen.tables.processes import Minutes, feet
from firmripe.kitchen.tables.refusals import NoMinutes
from firmripe.kitchen.tables.ware import Ware
from firmripe.plan import Plan
from firmripe.publish.contents import preserves_with_page
from firmripe.publish.job_amounts import to_buy_words
from firmripe.publish.own_words import heeded, heeded_text, is_own, said
from firmripe.publish.pages.kitchen_views import (
    KitchenPage,
    MakingView,
    PotLine,
    SessionLine,
    SessionPage,
    StoveCardSheet,
    SuppliesSheet,
    SupplyLine,
    TakeOutLine,
    WantLine,
)
from firmripe.publish.pages.method_steps import source_words, sources_of, step_quotes, step_words
from firmripe.publish.paths import Paths
from firmripe.publish.slugs import slugs
from firmripe.publish.viewing import PageContext
from firmripe.publish.views import Link, Quote
from firmripe.saying import _, n_, term
from firmripe.wording import words_of
from firmripe.wording.clock import rate_words, slower_words
from firmripe.wording.holding import jars_words, pounds_words
from firmripe.wording.kitchen import batch_words, units_words, ware_words
from firmripe.wording.measures import mixed, spoons
from firmripe.wording.minutes import acid_words, band_words, instead_words, minutes_words
from firmripe.words import long_day, week_day

NEAR_GAP = 0.01
"""A plan that may lie nearer to the best than this is called as good as the best."""

_FEW_JARS = 7
"""Fruit is told for so many jars, since that of one is no whole number of pounds."""


class Kitchens:
    """Makes the views of a kitchen plan, with the links of one context."""

    def __init__(self, plan: Plan, kitchen: KitchenPlan, context: PageContext, paths: Paths) -> None:
        self._plan = plan
        self._kitchen = kitchen
        self._context = context
        self._paths = paths
        self._metric = plan.holding.place.metric_first
        names = [f"{card.ware.name} {card.kitchen.name}" for card in kitchen.cards]
        self._card_slugs = slugs(names)
        self._with_minutes = [card for card in kitchen.cards if any(isinstance(m, Minutes) for _, m in card.pots)]

    # Where pages lie

    def session_path(self, session: KitchenSession) -> str:
        """Return the page of a session; it stays where it is when the day moves."""
        return self._paths.session(session_subject(session))

    def card_path(self, card: StoveCard) -> str:
        """Return the page of a stove card."""
        return f"sheets/stove-{self._card_slugs[f'{card.ware.name} {card.kitchen.name}']}.html"

    @property
    def cards(self) -> tuple[StoveCard, ...]:
        """The cards that have minutes."""
        return tuple(self._with_minutes)

    def _method_page(self, preserve: Preserve) -> Link | None:
        made = {one.key for one in preserves_with_page(self._plan)}
        name = term(preserve.name)
        return self._context.link(name, self._paths.preserve(preserve.key)) if preserve.key in made else None

    def _steps(self, ware: Ware, founds: Sequence[Minutes]) -> tuple[Step, ...]:
        return method_of(self._plan.holding.processes, ware.preserve, ware.jar, founds).steps

    def _card_link(self, ware: Ware, kitchen: Kitchen) -> Link | None:
        for card in self._with_minutes:
            if card.ware.name == ware.name and card.kitchen.name == kitchen.name:
                return self._context.link(
                    _("Stove card: {ware}, {kitchen}", ware=ware_words(ware), kitchen=kitchen.name),
                    self.card_path(card),
                )
        return None

    # The season

    def season(self) -> KitchenPage:
        """Return the kitchens' season."""
        plan = self._kitchen
        return KitchenPage(
            sessions=tuple(
                SessionLine(
                    page=self._context.link(week_day(session.day), self.session_path(session)),
                    iso=session.day.isoformat(),
                    kitchen=session.kitchen.name,
                    hands=n_("{n} pair of hands", "{n} pairs of hands", session.hands),
                    latest_start=f"{session.timetable.latest_start:%H:%M}",
                    makes=tuple(f"{term(making.ware.preserve.name)}: {_amount(making)}" for making in session.makings),
                )
                for session in plan.sessions
            ),
            wants=tuple(_want(met) for met in plan.wants),
            take_outs=self._take_outs(),
            cards=tuple(
                (self._context.link(f"{ware_words(card.ware)}, {card.kitchen.name}", self.card_path(card)), line)
                for card in self._with_minutes
                for line in self.pot_lines(card)
            ),
            preserves=tuple(
                link for preserve in preserves_with_page(self._plan) if (link := self._method_page(preserve))
            ),
            supplies=self._context.link(_("The supplies list"), "sheets/supplies.html"),
            to_buy=tuple(to_buy_words(short.thing, short.to_buy) for short in plan.shorts if short.to_buy),
            buy_by=week_day(plan.buy_by) if plan.buy_by else "",
            buy_by_iso=plan.buy_by.isoformat() if plan.buy_by else "",
            left=tuple(
                self._at_tree(batch, _("{amount} of {fruit}", amount=self._pounds(kg), fruit=batch_words(batch)))
                for batch, kg in plan.wasted
            ),
            unweighed=tuple(batch_words(batch) for batch in plan.unweighed),
            gap=_gap_words(plan),
            refused=self._refused(),
            cautions=self._cautions(),
        )

    def _take_outs(self) -> tuple[TakeOutLine, ...]:
        """Return what leaves the cold, by the day, the space and the session it is for."""
        found: dict[tuple[date, str, date], list[KitchenTakeOut]] = defaultdict(list)
        for out in self._kitchen.take_outs:
            found[out.day, out.cold, out.session.day].append(out)
        return tuple(
            TakeOutLine(
                iso=day.isoformat(),
                day=week_day(day),
                way=_("out of the {space}, for {day}", space=cold, day=week_day(wanted)),
                fruit=tuple(self._at_tree(out.batch, self._taken_out(out)) for out in outs),
            )
            for (day, cold, wanted), outs in found.items()
        )

    def _taken_out(self, out: KitchenTakeOut) -> str:
        return _("{amount} of {fruit}", amount=self._pounds(out.kg), fruit=batch_words(out.batch))

    def _refused(self) -> tuple[Quote, ...]:
        return tuple(
            self._context.quote(term(row.what), f"{term(row.because)}; {term(row.instead)}", row.cited)
            for row in self._plan.holding.processes.refused
        )

    def _cautions(self) -> tuple[Quote, ...]:
        return tuple(
            self._context.quote("", term(figure.text), figure.cited) for figure in self._plan.holding.processes.cautions
        )

    def _at_tree(self, batch: Batch, words: str) -> Link:
        return self._context.link(words, self._paths.tree(batch.bearing.tree))

    def _pounds(self, kg: float) -> str:
        return pounds_words(Weight.of(Fraction(round(kg * 1000), 1000)), metric=self._metric)

    # A session

    def session(self, session: KitchenSession) -> SessionPage:
        """Return the page of a session."""
        clock, seals = session.timetable, session.seals
        told = ""
        if seals is not None:
            first, last = f"{seals.first:%H:%M}", f"{seals.last:%H:%M}"
            again = _("{time} on {day}", time=f"{seals.again_until:%H:%M}", day=week_day(seals.again_until.date()))
            first = _("{time} on {day}", time=first, day=week_day(seals.first.date()))
            last = _("{time} on {day}", time=last, day=week_day(seals.last.date()))
            told = _(
                "Lids can be tested from {first} to {last}. A jar that failed is done again with a new lid within 24 "
                "hours of its own load, the first load’s by {again}, or goes into freezer or refrigerator.",
                first=first,
                last=last,
                again=again,
            )
        return SessionPage(
            title=_("{day} in the {kitchen}", day=week_day(session.day), kitchen=session.kitchen.name),
            iso=session.day.isoformat(),
            day=long_day(session.day),
            kitchen=session.kitchen.name,
            height=height_words(session.kitchen, metric=self._metric),
            hands=n_("{n} pair of hands", "{n} pairs of hands", session.hands),
            hours=_("{first} to {last}", first=f"{session.start:%H:%M}", last=f"{session.last:%H:%M}"),
            latest_start=f"{clock.latest_start:%H:%M}",
            ends=f"{clock.end:%H:%M}",
            slower=slower_words(clock.slower),
            makings=tuple(self._making(making, session) for making in session.makings),
            steps=tuple((f"{step.at:%H:%M}", words_of(step.what)) for step in clock.steps),
            seals=told,
            cautions=self._cautions() if session.is_canning else (),
            back=self._context.link(_("The kitchen’s season"), "kitchen.html"),
        )

    def _making(self, making: Making, session: KitchenSession) -> MakingView:
        ware = making.ware
        first = next((pot.found for pot in making.pots if pot.found), None)
        return MakingView(
            name=term(ware.preserve.name),
            page=self._method_page(ware.preserve),
            amount=_amount(making),
            may_be=_range_words(making.range, ware),
            fruit=tuple(
                self._at_tree(used.batch, self._fruit_words(used.batch, used.kg, used.out)) for used in making.fruit
            ),
            pots=tuple(self._pot_line(pot.canner, pot.found, _loads(pot, ware)) for pot in making.pots),
            headspace=term(first.headspace) if first else "",
            acid=_acid_words(making),
            syrup=_syrup_words(making),
            hands="; ".join(part for part in (rate_words(ware.rate), self._own_fruit(ware)) if part),
            steps=step_quotes(
                self._context, self._steps(ware, [pot.found for pot in making.pots if pot.found is not None])
            ),
            whys=tuple(words_of(why) for why in making.why),
            card=self._card_link(ware, session.kitchen),
            cautions=self._context.cautions(ware.preserve.cautions),
        )

    def _own_fruit(self, ware: Ware) -> str:
        """Say what fruit a jar takes where the household's own lines speak in it."""
        if not ware.each.own or ware.jar is None:
            return ""
        weight = Weight(low=_FEW_JARS * ware.each.low_kg, high=_FEW_JARS * ware.each.high_kg)
        return n_(
            "{weight} of fruit for {jars}, from {n} line of our own beside what is printed",
            "{weight} of fruit for {jars}, from {n} lines of our own beside what is printed",
            ware.each.own,
            weight=pounds_words(weight, metric=self._plan.holding.place.metric_first),
            jars=jars_words(ware.jar, _FEW_JARS),
        )

    def _fruit_words(self, batch: Batch, kg: float, out: date) -> str:
        picked = batch.picked.likely
        waits = _("out on {day}", day=week_day(out)) if out > picked else _("picked {day}", day=week_day(picked))
        return _("{amount} of {fruit}", amount=self._pounds(kg), fruit=batch_words(batch)) + f", {waits}"

    # Minutes

    def pot_lines(self, card: StoveCard) -> Iterator[PotLine]:
        """Yield the lines of a card's pots."""
        for canner, found in card.pots:
            yield self._pot_line(canner, found, "")

    def _pot_line(self, canner: Canner, found: Minutes | NoMinutes | None, loads: str) -> PotLine:
        if not isinstance(found, Minutes):
            refused = f"{words_of(found)}; {instead_words(found)}" if found else ""
            return PotLine(
                pot=canner.name,
                loads=loads,
                minutes="",
                big="",
                rest="",
                band="",
                water="",
                sterilise="",
                refused=refused,
                source=None,
            )
        sterile = (
            _("Boil the empty jars {minutes} minutes first.", minutes=found.sterilise_min)
            if found.sterilise_min
            else ""
        )
        said = minutes_words(found)
        big, _space, rest = said.partition(" ") if said[:1].isdigit() else ("", "", said)
        return PotLine(
            pot=f"{canner.name} ({term(canner.kind.value)})",
            loads=loads,
            minutes=said,
            big=big,
            rest=rest,
            band=_("{band}, printed for {jars}", band=band_words(found.band), jars=term(f"{found.row_jar.value}s")),
            water=_("water {inches} in over the lids", inches=found.water_in) if found.water_in else "",
            sterilise=sterile,
            refused="",
            source=self._context.quote("", term(found.process), found.cited),
        )

    # Paper

    def card(self, card: StoveCard) -> StoveCardSheet:
        """Return the card for the stove."""
        lines = tuple(self.pot_lines(card))
        founds = [answer for _, answer in card.pots if isinstance(answer, Minutes)]
        found, preserve = founds[0], card.ware.preserve
        steps = self._steps(card.ware, founds)
        sources = list(sources_of(steps))
        number = {cited.source: str(at) for at, cited in enumerate(sources, 1)}
        common = [term(figure.text) for figure in self._plan.holding.processes.cautions]
        own = [said(figure) for figure in heeded(preserve.cautions) if is_own(figure.cited)]
        return StoveCardSheet(
            title=term(preserve.name),
            text=self._context.link(_("The same as plain text"), text_path(self.card_path(card))),
            jar=term(card.ware.jar.name) if card.ware.jar else "",
            kitchen=card.kitchen.name,
            height=height_words(card.kitchen, metric=self._metric),
            headspace=term(found.headspace),
            acid=acid_words(found),
            liquid=heeded_text(term(preserve.liquid)),
            pots=lines,
            steps=tuple((step_words(step), number[step.cited.source]) for step in steps),
            sources=tuple((number[cited.source], source_words(cited)) for cited in sources),
            cautions=(*common, *own),
            never=tuple(
                f"{term(row.what)}: {term(row.because)}"
                for row in self._plan.holding.processes.refused
                if _is_near(row, preserve)
            ),
        )

    def supplies(self) -> SuppliesSheet:
        """Return what has to be there before the first session."""
        plan = self._kitchen
        return SuppliesSheet(
            iso=plan.buy_by.isoformat() if plan.buy_by else "",
            buy_by=long_day(plan.buy_by) if plan.buy_by else "",
            rows=tuple(
                SupplyLine(
                    thing=_thing(short.thing),
                    needed=str(short.needed),
                    spare=str(short.spare) if short.spare else "",
                    there=_("not told") if short.there is None else str(short.there),
                    to_buy=str(short.to_buy),
                )
                for short in plan.shorts
            ),
            stores=tuple(_stores(plan)),
            cautions=tuple(term(figure.text) for figure in self._plan.holding.processes.cautions[:1]),
        )


def text_path(page: str) -> str:
    """Return where the plain text of a card lies: beside its page."""
    return page.removesuffix(".html") + ".txt"


def _is_near(row: Refused, preserve: Preserve) -> bool:
    """Say whether what is refused is of the fruit of a preserve; all that is refused stands on the kitchen's page."""
    process = preserve.process.value if preserve.process else preserve.name
    product = process.partition(",")[0].removesuffix("s").casefold()
    return bool(preserve.subjects & set(row.fruits)) or product in row.what.casefold()


def height_words(kitchen: Kitchen, *, metric: bool) -> str:
    """Say how high a kitchen lies; empty where nobody has said."""
    if kitchen.elevation_m is None:
        return ""
    us, other = f"{round(feet(kitchen.elevation_m)):,} ft", f"{round(kitchen.elevation_m):,} m"
    return f"{other} ({us})" if metric else f"{us} ({other})"


def _amount(making: Making) -> str:
    return units_words(making.ware, making.units)


def _range_words(jars: JarRange | None, ware: Ware) -> str:
    """Say what the fruit may really make, where that is a range."""
    if jars is None or round(jars.low) == round(jars.high):
        return ""
    is_printed = ware.jar and ware.jar.size and ware.jar.name == ware.jar.size.value
    unit = term(f"{ware.jar.name}s") if ware.jar and is_printed else _("of them")
    low, high = int(jars.low), -int(-jars.high // 1)
    return _("the fruit may make {low} to {high} {unit}", low=low, high=high, unit=unit if ware.jar else _("lb dried"))


def _loads(pot: PotUsed, ware: Ware) -> str:
    if ware.preserve.method is PutUp.DRYER:
        return _("one filling")
    sizes = " + ".join(str(size) for size in pot.loads)
    return n_("{n} load of {sizes}", "{n} loads: {sizes}", len(pot.loads), sizes=sizes)


def _acid_words(making: Making) -> str:
    found = next((pot.found for pot in making.pots if pot.found and pot.found.acid), None)
    if found is None:
        return ""
    doses = [_("{amount} of {what}", amount=spoons(dose.teaspoons), what=term(dose.what)) for dose in making.acids]
    said = acid_words(found)
    if not doses:
        return said
    return _("{each}; for all {number} together {doses}", each=said, number=making.units, doses=_(" or ").join(doses))


def _syrup_words(making: Making) -> str:
    if making.syrup is None:
        return ""
    water, sugar = mixed(making.syrup.water), mixed(making.syrup.sugar)
    return _(
        "{liquid}: {water} cups of water and {sugar} cups of sugar; "
        "water or juice serves too, sugar is not needed for safety",
        liquid=term(making.ware.preserve.liquid),
        water=water,
        sugar=sugar,
    )


def _want(met: WantMet) -> WantLine:
    want = met.want
    jar = want.jar

    def unit(number: int) -> str:
        return jars_words(jar, number) if jar else _("{number} lb", number=number)

    return WantLine(
        name=ware_words(met.of) if isinstance(met.of, Ware) else term(met.of.name),
        wanted=unit(want.count) if want.count is not None else _("as many as can be had"),
        made=unit(met.made) if met.made else "",
        planned=unit(met.planned),
        short=unit(met.short) if met.short else "",
        reasons=tuple(words_of(reason) for reason in met.reasons),
        remedies=tuple(words_of(remedy) for remedy in met.remedies),
    )


def _thing(thing: str) -> str:
    return term(thing) if thing.endswith(LIDS) else _("{size} jars", size=term(thing))


def _gap_words(plan: KitchenPlan) -> str:
    if not plan.is_searched:
        return _(
            "This computer has no solver for the kitchen plan (the package highspy is not made for it), so no day is "
            "chosen. Everything else stands; build the site on another computer to have the plan."
        )
    gap = plan.gap
    if plan.ran_out:
        return _(
            "The search was ended by the clock, so a faster computer may find another plan; "
            "this one is within {gap} of the best there can be.",
            gap=f"{gap:.0%}",
        )
    if gap == 0:
        return _("More than this can’t be made with these pots, days and fruit.")
    if gap < NEAR_GAP:
        return _("The plan is within a hundredth of the best there can be.")
    return _("The search ended before the best plan was proven; this one is within {gap} of it.", gap=f"{gap:.0%}")


def _stores(plan: KitchenPlan) -> Iterator[tuple[str, str]]:
    """Yield sugar and acid for all sessions together."""
    sugar = Fraction(0)
    acids: dict[str, Fraction] = defaultdict(Fraction)
    for session in plan.sessions:
        for making in session.makings:
            if making.syrup is not None:
                sugar += making.syrup.sugar
            for dose in making.acids[:1]:
                acids[dose.what] += dose.teaspoons
    if sugar:
        yield _("sugar for syrup, where syrup is wanted"), _("{number} cups", number=mixed(sugar))
    for what, teaspoons in sorted(acids.items()):
        yield term(what), spoons(teaspoons)
