"""The page of what can hurt: every caution of the plan, by topic, with its source and what it belongs to."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Final

from msgspec import Struct

from firmripe.holding.figures import Figure
from firmripe.holding.preserve import Preserve
from firmripe.problems import in_order
from firmripe.publish.own_words import is_own
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.kitchen import Kitchens
from firmripe.publish.views import Link, Quote, View
from firmripe.tongue import mark
from firmripe.wording.kitchen import ware_words


class CautionLine(View, frozen=True, kw_only=True):
    """A caution, and the pages of what it belongs to."""

    caution: Quote
    belongs: tuple[Link, ...]


class CautionTopic(View, frozen=True, kw_only=True):
    """Cautions of one kind."""

    title: str
    cautions: tuple[CautionLine, ...]


class SafetyPage(View, frozen=True, kw_only=True):
    """All cautions of this household's plan, by topic, and what must never go into jars."""

    topics: tuple[CautionTopic, ...]
    never: tuple[Quote, ...]


_TOPICS: Final = (
    (mark("Ladders"), r"ladder|climb|top two steps|reach out|carry nothing that takes a hand|heavy"),
    (mark("Sprays"), r"\bspray|\blicen[cs]e|\bthe label\b|\blabel's"),
    (mark("Fruit on the ground"), r"fallen|windfall|from the ground|off the ground"),
    (mark("Knives, heat and poisons"), r"\bburns?\b|\bblade|cut away from yourself|bleach|iodine|irritates|dry ice"),
    (
        mark("Not for jars"),
        (
            r"\bno (?:tested|published|canning) |not (?:for|acid enough for) jars|never can\b|must not be canned"
            r"|no part of this|frost-killed|keep it out of jars|untested|for the freezer only|not be canned"
        ),
    ),
    (
        mark("Canning: only what is tested"),
        r"tested process|printed recipe|process|recipe|full boil|steam canner|open kettle",
    ),
    (mark("Canning: acid"), r"\bacid|lemon juice|acidify"),
    (mark("Spoilt: don’t taste it"), r"suspect|spurting|m[o]u?ld|when in doubt|bulging|diseased|spoil"),
    (mark("The morning after: seals"), r"\bseal|test (?:every|each) lid"),
    (mark("Canning: jars"), r"\bjars?\b|sterilised"),
    (mark("Freezer and refrigerator"), r"freez|swells|refrigerator|chill"),
    (mark("Bees and wasps"), r"\bbee|wasp|stings?|nest"),
)
_OTHERS: Final = mark("And also")


def topic_of(text: str) -> str:
    """Return the topic of a caution by the English words of it; what names none of them stands under the last."""
    return next((title for title, pattern in _TOPICS if re.search(pattern, text, re.IGNORECASE)), _OTHERS)


class _Told(Struct, frozen=True):
    caution: Figure[str]
    belongs: Link | None


class Safety:
    """Makes the page of one plan, with the links of one context. `kitchens` is None where there is no kitchen plan."""

    def __init__(self, context: PageContext, kitchens: Kitchens | None) -> None:
        self._plan = context.plan
        self._context = context
        self._tongue = context.tongue
        self._paths = context.paths
        self._kitchens = kitchens

    def page(self) -> SafetyPage:
        """Return the page: each caution once, however many things it belongs to."""
        tongue = self._tongue
        quotes: dict[str, Quote] = {}
        belongs: dict[str, dict[Link, None]] = {}
        for told in sorted(self._told(), key=lambda told: is_own(told.caution.cited)):
            text = told.caution.text
            if text not in quotes:
                kept = self._context.cautions([told.caution])
                if not kept:
                    continue
                quotes[text] = kept[0]
            links = belongs.setdefault(text, {})
            if told.belongs is not None:
                links[told.belongs] = None
        lines: dict[str, list[CautionLine]] = {}
        for text, quote in quotes.items():
            lines.setdefault(topic_of(text), []).append(CautionLine(caution=quote, belongs=tuple(belongs[text])))
        titles = [title for title, _ in _TOPICS] + [_OTHERS]
        return SafetyPage(
            topics=tuple(
                CautionTopic(title=tongue.term(title), cautions=tuple(lines[title]))
                for title in titles
                if title in lines
            ),
            never=tuple(
                self._context.quote(
                    tongue.term(row.what), f"{tongue.term(row.because)}; {tongue.term(row.instead)}", row.cited
                )
                for row in (self._plan.holding.processes.refused if self._kitchens else ())
            ),
        )

    def _told(self) -> Iterator[_Told]:
        tongue = self._tongue
        plan = self._plan
        for task in sorted(
            {e.task.key: e.task for e in plan.calendar.entries}.values(), key=lambda task: in_order(task.name)
        ):
            link = self._context.link(tongue.term(task.name), self._paths.task(task.key))
            yield from (_Told(caution, link) for caution in self._context.needed(task, task.cautions))
        for fruit in self._context.grown_fruits:
            link = self._context.link(tongue.term(fruit.name), self._paths.fruit(fruit.key))
            yield from (_Told(caution, link) for caution in fruit.traits.cautions)
        for limb in self._context.grown:
            link = self._context.link(limb.name, self._paths.cultivar(limb.key))
            yield from (_Told(caution, link) for caution in limb.own.cautions)
        for preserve in self._made():
            for caution in preserve.cautions:
                links = [*self._cards_of(preserve), *self._page_of(preserve)]
                yield from (_Told(caution, link) for link in links)
        if self._kitchens is not None:
            link = self._context.link(tongue.term("Kitchen"), "kitchen.html")
            yield from (_Told(caution, link) for caution in plan.holding.processes.cautions)

    def _made(self) -> Iterable[Preserve]:
        """Return the preserves that the kitchen's wants ask for."""
        keys = {met.want.preserve for met in self._plan.kitchen.wants} if self._plan.kitchen else set()
        return [preserve for preserve in self._plan.holding.preserves if preserve.key in keys]

    def _page_of(self, preserve: Preserve) -> list[Link]:
        return [self._context.link(self._tongue.term(preserve.name), self._paths.preserve(preserve.key))]

    def _cards_of(self, preserve: Preserve) -> list[Link]:
        if self._kitchens is None:
            return []
        cards = [card for card in self._kitchens.stove.cards if card.ware.preserve.key == preserve.key]
        return [
            self._context.link(
                f"{ware_words(self._tongue, card.ware)}, {card.kitchen.name}", self._paths.stove_card(card)
            )
            for card in cards
        ]
