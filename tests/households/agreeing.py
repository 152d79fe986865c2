"""What a rule is: a check that a site keeps, and the two sentences that break it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from forty import Household
from statements import Card, Site, Statement


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Two sentences that can't both be true, or one that breaks a rule: what it is about, and each with its file."""

    rule: str
    about: str
    first: str
    second: str = ""

    def __str__(self) -> str:
        return f"{self.rule}: {self.about}\n    {self.first}\n    {self.second}"


Broken = tuple[str, str, str]
"""What it is about, and the two sentences."""
Rule = Callable[[Site, Household], Iterator[Broken]]
RULES: dict[str, Rule] = {}


def rule(check: Rule) -> Rule:
    """Enter a rule under its name."""
    RULES[check.__name__.replace("_", " ")] = check
    return check


def contradictions(site: Site, household: Household) -> list[Contradiction]:
    """Return everything in a site that breaks a rule, each once."""
    found = (Contradiction(name, *broken) for name, check in RULES.items() for broken in check(site, household))
    return list({(one.rule, one.about): one for one in found}.values())


def said(file: str, words: str) -> str:
    """Return a sentence with its file."""
    return f"{file}: {words[:200]}"


def of(one: Statement) -> str:
    return said(one.file, one.words)


def differing(statements: Iterable[Statement]) -> Iterator[Broken]:
    """Yield each thing of which two values are told."""
    by_thing: dict[tuple[str, ...], dict[object, Statement]] = defaultdict(dict)
    for one in statements:
        by_thing[one.about].setdefault(one.value, one)
    for about, values in by_thing.items():
        first, *others = values.values()
        for other in others[:1]:
            yield " ".join(about), of(first), of(other)


APART_D = 150
"""Two pickings of one name so far apart are of different seasons."""


def batches(site: Site) -> list[list[Card]]:
    """Return the whole batches of a site, each as all that stands of it anywhere."""
    by_name: dict[tuple[str, str, str], list[Card]] = defaultdict(list)
    for card in site.cards:
        if not card.is_part:
            by_name[card.batch].append(card)
    found = []
    for cards in by_name.values():
        ordered = sorted(cards, key=lambda card: card.day("picked"))
        here = [ordered[0]]
        for one, other in pairwise(ordered):
            if _apart(one, other):
                found.append(here)
                here = []
            here.append(other)
        found.append(here)
    return found


def _apart(one: Card, other: Card) -> bool:
    days = one.day("picked"), other.day("picked")
    return all(days) and (date.fromisoformat(days[1]) - date.fromisoformat(days[0])).days > APART_D


def name_of(card: Card) -> str:
    """Return how a batch is called."""
    return ", ".join(card.batch)
