"""The page of each preserve that a household has to do with: its method, its minutes here, and its note."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from firmripe.calendar.kitchen_days import session_subject
from firmripe.holding.method import Act
from firmripe.holding.preserve import Preserve
from firmripe.kitchen.plan.kitchen_plan import StoveCard
from firmripe.kitchen.tables.method import method_of
from firmripe.kitchen.tables.processes import Minutes
from firmripe.kitchen.tables.refusals import NoMinutes
from firmripe.publish.own_words import is_of_own_note, is_own
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.kitchen import Kitchens
from firmripe.publish.pages.method_steps import step_quotes
from firmripe.publish.pages.stove_cards import PotLine
from firmripe.publish.views import Link, PhotoView, Quote, View
from firmripe.reading.fields import SHELF
from firmripe.wording import words_of
from firmripe.wording.kitchen import ware_words
from firmripe.wording.minutes import instead_words
from firmripe.words import week_day

_BY_THE_POT = frozenset({Act.STERILISE, Act.ACID, Act.WATER, Act.COUNT})
"""Steps whose figures hang on jar, height and pot."""


class PreservePage(View, frozen=True, kw_only=True):
    """A preserve's page: its method, and the minutes of this household's kitchens.

    `unsafe` is what the household wrote against the published ways.
    """

    title: str
    way: str
    of: tuple[Link, ...]
    process: Quote | None
    acid: str
    figures: tuple[Quote, ...]
    cards: tuple[tuple[Link, PotLine], ...]
    refused: tuple[str, ...]
    steps: tuple[Quote, ...]
    cautions: tuple[Quote, ...]
    photos: tuple[PhotoView, ...]
    unsafe: tuple[Quote, ...]
    sessions: tuple[Link, ...]
    back: Link | None
    text: str


class Preserves:
    """Makes the pages of one plan, with the links of one context. `kitchens` is None where nothing is planned."""

    def __init__(self, context: PageContext, kitchens: Kitchens | None) -> None:
        self._plan = context.plan
        self._context = context
        self._tongue = context.tongue
        self._paths = context.paths
        self._kitchens = kitchens

    def page(self, preserve: Preserve) -> PreservePage:
        """Return the page of a preserve."""
        tongue = self._tongue
        cards = self._cards(preserve)
        founds = [[one for _pot, one in card.pots if isinstance(one, Minutes)] for card in cards]
        canned = [(card, found) for card, found in zip(cards, founds, strict=True) if found]
        first = canned[0] if canned else None
        several = len(canned) > 1
        method = method_of(
            self._plan.holding.processes, preserve, first[0].ware.jar if first else None, first[1] if first else ()
        )
        steps = [replace(one, above=True) if several and one.act in _BY_THE_POT else one for one in method.steps]
        own_words = (preserve.name, preserve.liquid) if is_of_own_note(preserve.where) else ()
        own_steps = [step.words.text for step in preserve.steps if is_own(step.words.cited)]
        return PreservePage(
            title=tongue.term(preserve.name),
            way=tongue.term(preserve.method.value),
            of=tuple(self._of(preserve)),
            process=self._process(preserve),
            acid=tongue.term(preserve.acid.text) if preserve.acid else "",
            figures=tuple(self._figures(preserve)),
            cards=tuple(self._lines(card for card, _found in canned)),
            refused=tuple(self._refused(cards)),
            steps=step_quotes(self._context, steps),
            cautions=self._context.cautions(preserve.cautions),
            photos=self._context.photos("preserves", preserve.key),
            unsafe=self._context.unsafe(preserve.cautions, *own_words, preserve.text, *own_steps),
            sessions=tuple(self._sessions(preserve)),
            back=self._context.link(tongue.say("The kitchen’s season"), "kitchen.html") if self._kitchens else None,
            text=self._context.body(preserve.text),
        )

    def _cards(self, preserve: Preserve) -> list[StoveCard]:
        cards = self._plan.kitchen.cards if self._plan.kitchen else ()
        return [card for card in cards if card.ware.preserve.key == preserve.key]

    def _of(self, preserve: Preserve) -> Iterator[Link]:
        for fruit in self._context.grown_fruits:
            if fruit.key in preserve.subjects:
                yield self._context.link(self._tongue.term(fruit.name), self._paths.fruit(fruit.key))
        for limb in self._context.grown:
            if limb.key in preserve.subjects and limb.key not in self._plan.holding.fruits:
                yield self._context.link(limb.name, self._paths.cultivar(limb.key))

    def _process(self, preserve: Preserve) -> Quote | None:
        process = preserve.process
        return self._context.quote("", self._tongue.term(process.text), process.cited) if process else None

    def _figures(self, preserve: Preserve) -> Iterator[Quote]:
        tongue = self._tongue
        label = tongue.say("Fruit and what it makes")
        for takes in preserve.takes:
            yield self._context.figure(label, takes)
        if not preserve.takes and preserve.where.file.startswith(SHELF):
            yield Quote(label=label, text=tongue.say("found printed nowhere"), mark="", source="", source_href="")
        if preserve.hands:
            yield self._context.figure(tongue.say("Work"), preserve.hands)
        if preserve.keeps:
            yield self._context.figure(tongue.say("Keeps"), preserve.keeps)

    def _lines(self, cards: Iterator[StoveCard]) -> Iterator[tuple[Link, PotLine]]:
        if self._kitchens is not None:
            for card in cards:
                link = self._context.link(
                    f"{ware_words(self._tongue, card.ware)}, {card.kitchen.name}", self._paths.stove_card(card)
                )
                yield from ((link, line) for line in self._kitchens.stove.pot_lines(card))

    def _refused(self, cards: list[StoveCard]) -> Iterator[str]:
        """Say why there are no minutes in a kitchen that has none at all; what one pot lacks stands with the others."""
        tongue = self._tongue
        for card in cards:
            answers = [answer for _pot, answer in card.pots]
            if all(isinstance(answer, NoMinutes) for answer in answers):
                for answer in answers:
                    if isinstance(answer, NoMinutes):
                        yield tongue.say(
                            "{ware}, {kitchen}: {reason}; {instead}",
                            ware=ware_words(tongue, card.ware),
                            kitchen=card.kitchen.name,
                            reason=words_of(answer, tongue),
                            instead=instead_words(answer, tongue),
                        )

    def _sessions(self, preserve: Preserve) -> Iterator[Link]:
        for session in self._plan.kitchen.sessions if self._plan.kitchen else ():
            if any(making.ware.preserve.key == preserve.key for making in session.makings):
                said = self._tongue.say(
                    "{day} in the {kitchen}", day=week_day(self._tongue, session.day), kitchen=session.kitchen.name
                )
                yield self._context.link(said, self._paths.session(session_subject(session)))
