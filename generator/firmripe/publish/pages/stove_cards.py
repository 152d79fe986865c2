"""The cards for the stove: what is printed for a ware in each pot of a kitchen, step by step."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property

from firmripe.holding.kitchen import Canner, Kitchen
from firmripe.holding.preserve import Preserve, PutUp
from firmripe.holding.process import NotForCanning
from firmripe.kitchen.plan.kitchen_plan import (
    KitchenPlan,
    StoveCard,
)
from firmripe.kitchen.tables.method import Step, method_of
from firmripe.kitchen.tables.processes import Minutes, feet
from firmripe.kitchen.tables.refusals import NoMinutes
from firmripe.kitchen.tables.ware import Ware
from firmripe.plan import Plan
from firmripe.publish.own_words import caution_words, heeded, heeded_text, is_own
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.method_steps import source_words, sources_of, step_words
from firmripe.publish.paths import text_path
from firmripe.publish.views import Link, Quote, View
from firmripe.tongue import Tongue
from firmripe.wording import words_of
from firmripe.wording.kitchen import ware_words
from firmripe.wording.minutes import acid_words, band_words, instead_words, minutes_words
from firmripe.words import in_own_units


class PotLine(View, frozen=True, kw_only=True):
    """A pot for a product in one kitchen: its loads, and what is printed for it, or why nothing is.

    `minutes` has the acid that goes with them; `big` is the number that begins it, where one does, and `rest` what
    follows, so that both together say the same. These and `band`, `water`, `sterilise` and `source` are empty where
    there are none; `refused` says why.
    """

    pot: str
    loads: str
    minutes: str
    big: str
    rest: str
    band: str
    water: str
    sterilise: str
    refused: str
    source: Quote | None


class StoveCardSheet(View, frozen=True, kw_only=True):
    """A card for the stove: a product in one jar, in one kitchen; `text` leads to the same in short lines."""

    title: str
    text: Link
    jar: str
    kitchen: str
    height: str
    headspace: str
    acid: str
    liquid: str
    pots: tuple[PotLine, ...]
    steps: tuple[tuple[str, str], ...]
    sources: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]
    never: tuple[str, ...]


def _water_words(tongue: Tongue, found: Minutes) -> str:
    """Say how deep the water stands over the lids; nothing of a canner without."""
    said = tongue.say("water {inches} in over the lids", inches=found.water_in)
    return in_own_units(tongue, said) if found.water_in else ""


class StoveCards:
    """The cards for the stove of a kitchen plan, with the links of one context: those that have minutes."""

    def __init__(self, kitchen: KitchenPlan, context: PageContext) -> None:
        self._plan = context.plan
        self._context = context
        self._tongue = context.tongue
        self._paths = context.paths
        self.cards = tuple(card for card in kitchen.cards if any(isinstance(m, Minutes) for _, m in card.pots))

    def link(self, ware: Ware, kitchen: Kitchen) -> Link | None:
        """Return the way to the card of a ware in a kitchen; None where it has no minutes."""
        for card in self.cards:
            if card.ware.name == ware.name and card.kitchen.name == kitchen.name:
                return self._context.link(
                    self._tongue.say(
                        "Stove card: {ware}, {kitchen}", ware=ware_words(self._tongue, ware), kitchen=kitchen.name
                    ),
                    self._paths.stove_card(card),
                )
        return None

    def pot_lines(self, card: StoveCard) -> Iterator[PotLine]:
        """Yield the lines of a card's pots."""
        for canner, found in card.pots:
            yield self.pot_line(canner, found, "")

    def pot_line(self, canner: Canner, found: Minutes | NoMinutes | None, loads: str) -> PotLine:
        """Return a pot's line: what is printed for it, why nothing is, and its `loads`."""
        tongue = self._tongue
        if not isinstance(found, Minutes):
            refused = f"{words_of(found, tongue)}; {instead_words(found, tongue)}" if found else ""
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
            tongue.say("Boil the empty jars {minutes} minutes first.", minutes=found.sterilise_min)
            if found.sterilise_min
            else ""
        )
        said = minutes_words(tongue, found)
        big, _space, rest = said.partition(" ") if said[:1].isdigit() else ("", "", said)
        return PotLine(
            pot=f"{canner.name} ({tongue.term(canner.kind.value)})",
            loads=loads,
            minutes=said,
            big=big,
            rest=rest,
            band=tongue.say(
                "{band}, printed for {jars}",
                band=band_words(tongue, found.band),
                jars=tongue.term(f"{found.row_jar.value}s"),
            ),
            water=_water_words(tongue, found),
            sterilise=sterile,
            refused="",
            source=self._context.quote("", tongue.term(found.process), found.cited),
        )

    @cached_property
    def _of_all_canned(self) -> frozenset[str]:
        """The cautions that every preserve of the shelf in jars has; those of canning say the same on each card."""
        told = (
            frozenset(figure.text for figure in preserve.cautions if not is_own(figure.cited))
            for preserve in self._plan.holding.preserves
            if preserve.method is PutUp.CANNER
        )
        each = [texts for texts in told if texts]
        return frozenset.intersection(*each) if each else frozenset()

    def page(self, card: StoveCard) -> StoveCardSheet:
        """Return the card for the stove."""
        tongue = self._tongue
        lines = tuple(self.pot_lines(card))
        founds = [answer for _, answer in card.pots if isinstance(answer, Minutes)]
        found, preserve = founds[0], card.ware.preserve
        steps = steps_of(self._plan, card.ware, founds)
        sources = list(sources_of(steps))
        number = {cited.source: str(at) for at, cited in enumerate(sources, 1)}
        common = self._plan.holding.processes.cautions
        alone = (figure for figure in heeded(preserve.cautions) if figure.text not in self._of_all_canned)
        return StoveCardSheet(
            title=tongue.term(preserve.name),
            text=self._context.link(tongue.say("The same as plain text"), text_path(self._paths.stove_card(card))),
            jar=tongue.term(card.ware.jar.name) if card.ware.jar else "",
            kitchen=card.kitchen.name,
            height=height_words(tongue, card.kitchen),
            headspace=in_own_units(tongue, tongue.term(found.headspace)),
            acid=acid_words(tongue, found),
            liquid=heeded_text(tongue.term(preserve.liquid)),
            pots=lines,
            steps=tuple((step_words(tongue, step), number[step.cited.source]) for step in steps),
            sources=tuple((number[cited.source], source_words(tongue, cited)) for cited in sources),
            cautions=tuple(dict.fromkeys(caution_words(tongue, figure) for figure in (*common, *alone))),
            never=tuple(
                f"{tongue.term(row.what)}: {tongue.term(row.because)}"
                for row in self._plan.holding.processes.refused
                if _is_near(row, preserve)
            ),
        )


def steps_of(plan: Plan, ware: Ware, founds: Sequence[Minutes]) -> tuple[Step, ...]:
    """Return the steps of putting up a ware, with what was looked up for it."""
    return method_of(plan.holding.processes, ware.preserve, ware.jar, founds).steps


def _is_near(row: NotForCanning, preserve: Preserve) -> bool:
    """Say whether what is refused is of the fruit of a preserve; all that is refused stands on the kitchen's page."""
    process = preserve.process.value if preserve.process else preserve.name
    product = process.partition(",")[0].removesuffix("s").casefold()
    return bool(preserve.subjects & set(row.fruits)) or product in row.what.casefold()


def height_words(tongue: Tongue, kitchen: Kitchen) -> str:
    """Say how high a kitchen lies; empty where nobody has said."""
    if kitchen.elevation_m is None:
        return ""
    us, other = f"{tongue.number(feet(kitchen.elevation_m))} ft", f"{tongue.number(kitchen.elevation_m)} m"
    return f"{other} ({us})" if tongue.metric else f"{us} ({other})"
