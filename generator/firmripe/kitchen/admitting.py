"""Whether the fruit of a bearing may go into jars by a published process: decided here, and nowhere else.

A process is published for a fruit, not for a name: a tomato called Grape and a fig whose tree is called apple are what
they are. What is not known to be that fruit is refused, with the question that would settle it; what a household has
written can close this door and never open it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from firmripe.holding.fruit import Cultivar, Flesh
from firmripe.holding.holding import Holding
from firmripe.holding.matter import Matter
from firmripe.holding.preserve import Preserve, PutUp
from firmripe.holding.process import ProcessTable, ToldApart, WhiteFlesh, folded_texts, holds_any
from firmripe.holding.tree import Bearing, Tree
from firmripe.kitchen.tables.processes import refused_fruit
from firmripe.kitchen.tables.refusals import FleshUnsaid, FleshWhite, FruitRefused, FruitUnsaid, NoMinutes, SpokenOf
from firmripe.lately import answered_once


def not_for_jars(holding: Holding, bearing: Bearing, process: str) -> NoMinutes | None:
    """Return why fruit of a bearing must not go into jars by a process; None where it may."""
    refused = refused_fruit(holding.processes, holding.limb(bearing), process)
    if refused is not None:
        return FruitRefused(row=refused, cited=refused.cited)
    return _not_known_for_it(holding, bearing)


@answered_once
def _not_known_for_it(holding: Holding, bearing: Bearing) -> NoMinutes | None:
    """Return why fruit of a bearing must not go into jars by any process: it may not be what it is called."""
    tree, limb = holding.tree(bearing.tree), holding.limb(bearing)
    return _which_fruit(holding, tree, limb) or _white_flesh(holding, tree, limb)


def may_be_canned(holding: Holding, preserve: Preserve, cultivar: str = "") -> bool:
    """Say whether fruit of any tree here, or of one cultivar of it, may go into the jars of a preserve."""
    if preserve.method is not PutUp.CANNER or preserve.process is None:
        return False
    return any(
        not_for_jars(holding, bearing, preserve.process.value) is None
        for tree in holding.trees
        for bearing in tree.bearings
        if is_made_of(holding, preserve, bearing) and cultivar in {"", bearing.cultivar}
    )


@answered_once
def ways_to_put_up(holding: Holding, bearing: Bearing) -> frozenset[PutUp]:
    """Return the ways in which the fruit of a bearing may be put up.

    The canner is one only where a process admits the fruit, and the household has not said that it does not can.
    """
    cans = Matter.CANNING not in holding.place.without
    made = [preserve for preserve in holding.preserves if is_made_of(holding, preserve, bearing)]
    return frozenset(
        preserve.method
        for preserve in made
        if preserve.method is not PutUp.CANNER
        or (cans and preserve.process is not None and not_for_jars(holding, bearing, preserve.process.value) is None)
    )


def is_made_of(holding: Holding, preserve: Preserve, bearing: Bearing) -> bool:
    """Say whether a preserve is made of the fruit of a bearing at all; what goes into jars is of no tree by its tag."""
    named = is_of(holding, bearing, by_tag=preserve.method is not PutUp.CANNER)
    return bool(named & preserve.subjects)


def is_of(holding: Holding, bearing: Bearing, *, by_tag: bool = True) -> frozenset[str]:
    """Return by what keys notes can name the fruit of a bearing: its fruit, its cultivar and, `by_tag`, its tree.

    A cultivar or a tree that is called like a fruit is not named by that: the fruit is.
    """
    tag = {bearing.tree} - holding.fruits.keys() if by_tag else set()
    return frozenset(named_by(holding, holding.limb(bearing)) | tag)


def named_by(holding: Holding, limb: Cultivar) -> set[str]:
    """Return by what keys notes can name the fruit of a cultivar: its fruit, and itself unless a fruit is called so."""
    return ({limb.key} - holding.fruits.keys()) | ({limb.fruit.key} if limb.fruit else set())


def _which_fruit(holding: Holding, tree: Tree, limb: Cultivar) -> NoMinutes | None:
    """Refuse fruit that is not known to be what it is called, or of which a text says that it is another."""
    table = holding.processes
    if limb.unsure or limb.key in tree.unsure:
        row = next(iter(table.vague), None)
        return FruitUnsaid(cited=row.cited if row else None)
    other = _spoken_of(table.told_apart, holding, tree, limb)
    return None if other is None else SpokenOf(other=other, cited=other.cited)


def speaks_of_fruit(table: ProcessTable, text: str) -> bool:
    """Say whether a household's text has a word that decides whether fruit may be canned (see `may_be_canned`)."""
    words = [row.words for row in table.told_apart] + [row.words for row in table.white_flesh]
    told = folded_texts((text,))
    return any(holds_any(told, some) for some in words)


def _spoken_of(rows: Iterable[ToldApart], holding: Holding, tree: Tree, limb: Cultivar) -> ToldApart | None:
    fruit = limb.fruit.key if limb.fruit else ""
    told = folded_texts(_household_texts(holding, tree, limb))
    return next((row for row in rows if fruit not in row.fruits and holds_any(told, row.words)), None)


def _white_flesh(holding: Holding, tree: Tree, limb: Cultivar) -> NoMinutes | None:
    """Refuse a peach or nectarine unless its flesh is known to be yellow and nothing here speaks of another."""
    row = next((row for row in holding.processes.white_flesh if limb.fruit and limb.fruit.key in row.fruits), None)
    if row is None:
        return None
    told = {color for color in (tree.flesh, limb.flesh.value if limb.flesh else None) if color is not None}
    if told == {Flesh.YELLOW} and not _speaks_of_white(row, holding, tree, limb):
        return None
    if told <= {Flesh.YELLOW} and not _speaks_of_white(row, holding, tree, limb):
        return FleshUnsaid(row=row, cited=row.cited)
    return FleshWhite(row=row, cited=row.cited)


def _speaks_of_white(row: WhiteFlesh, holding: Holding, tree: Tree, limb: Cultivar) -> bool:
    told = folded_texts((*_shelf_texts(limb), *_household_texts(holding, tree, limb)))
    return holds_any(told, row.words) or any(
        "white" in name.casefold().replace("-", " ").split() for name in (limb.key, limb.name, *limb.also)
    )


def _shelf_texts(limb: Cultivar) -> Iterator[str]:
    yield limb.text
    for fact in limb.own.facts:
        yield f"{fact.what} {fact.text}"
    for figure in (*limb.own.cautions, *limb.own.uses):
        yield figure.text


def _household_texts(holding: Holding, tree: Tree, limb: Cultivar) -> Iterator[str]:
    """Yield every text of the household's about a limb: its tree's note, its own, its fruit's, and the records."""
    yield from (tree.tag, tree.text, tree.place, limb.key.replace("-", " "), limb.name, *limb.also)
    yield from (pin.because for pin in tree.pins)
    for text in (limb.text, limb.fruit.text if limb.fruit else ""):
        if text not in holding.shelf_texts:
            yield text
    own = (fact for fact in limb.own.facts if fact.cited.source is None)
    yield from (f"{fact.what} {fact.text}" for fact in own)
    for figure in (*limb.own.cautions, *limb.own.uses):
        if figure.cited.source is None:
            yield figure.text
    for sign in limb.own.signs:
        if sign.cited.source is None:
            yield sign.text
    for record in holding.noted(tree.tag):
        if record.cultivar in {"", limb.key}:
            yield f"{record.amount} {record.note}"
