"""Who pollinates whom among the household's own trees, and whose only partner is gone."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from firmripe.holding.figures import Figure, Mark
from firmripe.holding.fruit import Cultivar
from firmripe.holding.record import Record
from firmripe.holding.standing import gone_by
from firmripe.holding.tree import Tree
from firmripe.saying import _

_ANY_OTHER = re.compile(
    r"\bneeds? (?:a |an )?(?:second|another|two other|male)\b|\bdoes not set with its own pollen\b", re.IGNORECASE
)
"""Words that ask for some other kind of the same fruit, whichever."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Widowed:
    """A limb on a tree whose partners are all gone: the last of them, and when it was taken out."""

    tree: Tree
    limb: Cultivar
    partner: Tree
    partner_limb: Cultivar
    day: date

    @property
    def text(self) -> str:
        """What follows from it, in words."""
        return _(
            "{partner_limb} ({tag}), the last partner of {limb} here, was taken out: from the "
            "next bloom on little will set, unless another that blooms with it grows near",
            partner_limb=self.partner_limb.name,
            tag=self.partner.tag,
            limb=self.limb.name,
        )


def widowed(trees: Iterable[Tree], records: Iterable[Record], as_of: date) -> tuple[Widowed, ...]:
    """Return every standing limb of which a partner stood here, and none does any more.

    A household that has written partners of its own knows better: it is told nothing.
    """
    trees = tuple(trees)
    gone = gone_by(trees, records, as_of)
    found = []
    for tree in trees:
        for limb in tree.limbs:
            if (tree.tag, limb.key) in gone or any(figure.cited.mark is Mark.OWN for figure in limb.traits.partners):
                continue
            partners = [(other, o) for other in trees for o in other.limbs if o.key != limb.key and _pair(limb, o)]
            if partners and all((other.tag, o.key) in gone for other, o in partners):
                partner, of = max(partners, key=lambda pair: (gone[pair[0].tag, pair[1].key], pair[0].tag))
                day = gone[partner.tag, of.key]
                found.append(Widowed(tree=tree, limb=limb, partner=partner, partner_limb=of, day=day))
    return tuple(found)


def by_tree(found: Iterable[Widowed]) -> Mapping[str, tuple[str, ...]]:
    """Return the words about each tree, by tag."""
    said: dict[str, tuple[str, ...]] = {}
    for one in found:
        said[one.tree.tag] = (*said.get(one.tree.tag, ()), one.text)
    return said


def _pair(one: Cultivar, other: Cultivar) -> bool:
    """Say whether one is told to set by the other's pollen."""
    if one.fruit is None or other.fruit is None or one.fruit.key != other.fruit.key:
        return False
    if _names(one.traits.bad_partners, other) or _names(other.traits.bad_partners, one):
        return False
    if _names(one.traits.partners, other) or _names(other.traits.partners, one):
        return True
    return any(_ANY_OTHER.search(figure.text) for figure in one.traits.partners)


def _names(figures: Iterable[Figure[str]], limb: Cultivar) -> bool:
    text = " ".join(figure.text for figure in figures).casefold()
    return any(re.search(rf"\b{re.escape(name.casefold())}\b", text) for name in (limb.name, *limb.also))
