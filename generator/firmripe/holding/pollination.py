"""Who pollinates whom among the trees that stand, the household's own and those over the fence; whose partners went.

A fruit of which most kinds need another is served by any other kind of it, unless the two are told not to set, or its
pollen is told to be of no use. What is printed of two kinds goes before that. A household that tells of its own kinds
in words is understood as well as the shelf, which has keys for it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import date
from enum import Enum

from msgspec import Struct

from firmripe.holding.figures import Figure, Mark
from firmripe.holding.fruit import Cultivar, Gives, Sets
from firmripe.holding.holding import Holding
from firmripe.holding.standing import gone_by
from firmripe.holding.tree import Tree
from firmripe.remark import Remark

_ANY_OTHER = re.compile(
    r"\bneeds? (?:a |an )?(?:second|another|two other|male)\b|\bdoes not set with its own pollen\b", re.IGNORECASE
)
"""Words that ask for some other kind of the same fruit, whichever."""
_TWO = re.compile(r"\bneeds? two\b", re.IGNORECASE)
_ALONE = re.compile(r"\bown pollen\b|\bself-?\s?fertile\b|\bcrop alone\b|\bsets? without pollen\b", re.IGNORECASE)
"""Words for a kind that sets fruit with no other near."""
_SOMEWHERE = re.compile(r"\bin [A-Z]")
_NO_POLLEN = re.compile(r"\bno useful pollen\b|\bpollen is sterile\b|\bsterile pollen\b", re.IGNORECASE)
_OF_FLOWERS = frozenset({"flowers", "pollen"})
"""Names of facts that tell whether a kind sets alone."""


class Serves(Enum):
    """What is known of one kind's pollen on another."""

    TOLD = "told"
    LIKELY = "likely"
    NEVER = "never"


class Partner(Struct, frozen=True, kw_only=True):
    """A kind that stands near a limb, on a tree of the household's (`tag`) or a neighbor's (`place`).

    `gone` is when it was taken out, None where it stands.
    """

    limb: Cultivar
    tag: str
    place: str
    serves: Serves
    gone: date | None

    @property
    def whose(self) -> str:
        """Its tag, or where the neighbor's tree stands; empty where nobody has said."""
        return self.tag or self.place


class Widowed(Remark, Struct, frozen=True, kw_only=True):
    """A limb on a tree whose partners are all gone: the last of them, and when it was taken out."""

    tree: Tree
    limb: Cultivar
    partner: Partner


def serves(giver: Cultivar, taker: Cultivar) -> Serves | None:
    """Say what one kind's pollen is to another; None where nothing is told and none is needed."""
    if giver.fruit is None or taker.fruit is None or giver.fruit.key != taker.fruit.key or giver.key == taker.key:
        return None
    if gives_no_pollen(giver):
        return Serves.NEVER
    if _names(taker.traits.bad_partners, giver) or _names(giver.traits.bad_partners, taker):
        return Serves.NEVER
    if _names(taker.traits.partners, giver) or _names(giver.own.partners, taker):
        return Serves.TOLD
    return Serves.LIKELY if asks_for_another(taker) or _sets(taker) is Sets.PARTLY else None


class Pairs:
    """What kinds are to each other, each two of them looked up once: an orchard has many trees of few kinds.

    Limbs are of one kind where all that is told of them is the same, so that a tree with words of its own counts apart.
    """

    def __init__(self) -> None:
        self._kinds: dict[str, list[Cultivar]] = {}
        self._known: dict[int, tuple[Cultivar, Cultivar]] = {}
        self._told: dict[tuple[int, int], Serves | None] = {}

    def serves(self, giver: Cultivar, taker: Cultivar) -> Serves | None:
        """Say what one kind's pollen is to another, as `serves` does."""
        one, other = self.kind(giver), self.kind(taker)
        pair = id(one), id(other)
        if pair not in self._told:
            self._told[pair] = serves(one, other)
        return self._told[pair]

    def kind(self, limb: Cultivar) -> Cultivar:
        """Return the first limb of its kind. Both are kept, so that nothing else takes their numbers."""
        if id(limb) not in self._known:
            alike = self._kinds.setdefault(limb.key, [])
            first = next((kind for kind in alike if kind == limb), limb)
            if first is limb:
                alike.append(limb)
            self._known[id(limb)] = limb, first
        return self._known[id(limb)][1]


def gives_no_pollen(limb: Cultivar) -> bool:
    """Say whether a kind's pollen is told to be of no use to any."""
    gives = limb.traits.gives_pollen
    words = any(_NO_POLLEN.search(figure.text) for figure in limb.traits.bad_partners)
    return words if gives is None else gives.value is Gives.NO


def _sets(limb: Cultivar) -> Sets | None:
    return limb.traits.own_pollen.value if limb.traits.own_pollen else None


def bloom_groups_apart(one: Cultivar, other: Cultivar) -> bool:
    """Say whether two kinds are told by one scale of bloom, and by none as meeting.

    "Early" is early beside the other kinds of one list, so words of two lists are not compared.
    """
    meet = [
        group.value.blooms_with(beside.value)
        for group in one.traits.flower_groups
        for beside in other.traits.flower_groups
        if group.value.of == beside.value.of and (group.value.of or group.cited.source == beside.cited.source)
    ]
    return bool(meet) and not any(meet)


def sets_alone(limb: Cultivar) -> bool:
    """Say whether a kind is told to set fruit with its own pollen, or with none; what it does in one place is not."""
    told = limb.own.own_pollen
    words = [figure.text for figure in limb.own.partners]
    words += [fact.text for fact in limb.own.facts if fact.what.casefold() in _OF_FLOWERS]
    if any(_ALONE.search(text) and not _ANY_OTHER.search(text) and not _SOMEWHERE.search(text) for text in words):
        return told is None or told.value is Sets.YES
    return _sets(limb) is Sets.YES


def asks_for_another(limb: Cultivar) -> bool:
    """Say whether a kind is told to need some other kind, or most of its fruit where nothing is told of itself."""
    if sets_alone(limb):
        return False
    if limb.own.own_pollen is not None:
        return limb.own.own_pollen.value is Sets.NO
    general = limb.fruit.traits.partners if limb.fruit else ()
    words = any(_ANY_OTHER.search(figure.text) for figure in (*limb.traits.partners, *general))
    return words or _sets(limb) is Sets.NO


def partners_of(holding: Holding, limb: Cultivar, gone: Mapping[tuple[str, str], date], pairs: Pairs) -> list[Partner]:
    """Return the kinds near a limb that are of use to it, or are told to be of none, in walking order.

    `gone` is what stands no more (see `gone_by`). The limb's own tree counts too: bees go from limb to limb.
    """
    found = [
        Partner(limb=o, tag=other.tag, place=other.place, serves=told, gone=gone.get((other.tag, o.key)))
        for other in holding.trees
        for o in other.limbs
        if (told := pairs.serves(o, limb)) is not None
    ]
    return found + [
        Partner(limb=near.limb, tag="", place=near.place, serves=told, gone=near.removed)
        for near in holding.neighbors
        if (told := pairs.serves(near.limb, limb)) is not None
    ]


def widowed(holding: Holding, as_of: date) -> tuple[Widowed, ...]:
    """Return every standing limb of which partners enough stood here, and do no more.

    A household that has written partners of its own knows better: it is told nothing.
    """
    gone = gone_by(holding.trees, holding.records, as_of)
    if not gone and all(near.removed is None for near in holding.neighbors):
        return ()
    pairs = Pairs()
    lost: dict[int, Partner | None] = {}
    found = []
    for tree in holding.trees:
        for limb in tree.limbs:
            kind = pairs.kind(limb)
            if id(kind) not in lost:
                lost[id(kind)] = _last_lost(holding, kind, gone, pairs, as_of)
            partner = lost[id(kind)]
            if partner is not None and (tree.tag, limb.key) not in gone:
                found.append(Widowed(tree=tree, limb=limb, partner=partner))
    return tuple(found)


def _last_lost(
    holding: Holding, limb: Cultivar, gone: Mapping[tuple[str, str], date], pairs: Pairs, as_of: date
) -> Partner | None:
    """Return the last partner that a kind has lost, where too few are left: the same for each tree of the kind."""
    if any(figure.cited.mark is Mark.OWN for figure in limb.traits.partners) or sets_alone(limb):
        return None
    near = [one for one in partners_of(holding, limb, gone, pairs) if one.serves is not Serves.NEVER]
    left = {one.limb.key for one in near if one.gone is None or one.gone > as_of}
    lost = [(one.gone, one.whose, one) for one in near if one.gone is not None and one.gone <= as_of]
    if not lost or len(left) >= min(_least(limb), len({one.limb.key for one in near})):
        return None
    return max(lost, key=lambda one: one[:2])[2]


def _least(limb: Cultivar) -> int:
    return 2 if any(_TWO.search(figure.text) for figure in limb.traits.partners) else 1


def by_tree(found: Iterable[Widowed]) -> Mapping[str, tuple[Widowed, ...]]:
    """Return what is so of each tree, by tag."""
    of: dict[str, tuple[Widowed, ...]] = {}
    for one in found:
        of[one.tree.tag] = (*of.get(one.tree.tag, ()), one)
    return of


def _names(figures: Iterable[Figure[str]], limb: Cultivar) -> bool:
    text = " ".join(figure.text for figure in figures).casefold()
    return any(re.search(rf"\b{re.escape(name.casefold())}\b", text) for name in (limb.name, *limb.also))
