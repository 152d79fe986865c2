"""What amounts weigh: boxes by the household's own box, bushels and fruits by the fruit's figures."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from firmripe.holding.fruit import Traits
from firmripe.holding.place import Place
from firmripe.holding.weight import Part, Weight, together


def containers_of(traits: Traits, place: Place) -> dict[str, Weight]:
    """Return what each container weighs full of this fruit. Where figures differ, the range spans them all."""
    found: dict[str, Weight] = {}
    for figure in traits.containers:
        name, new = figure.value.name, figure.value.weight
        old = found.get(name, new)
        found[name] = Weight(low=min(old.low, new.low), high=max(old.high, new.high))
    if place.box:
        found["box"] = place.box
    if traits.fruit_weight:
        found["fruit"] = traits.fruit_weight.value
    return found


def weigh(parts: Iterable[Part], containers: Mapping[str, Weight]) -> Weight | None:
    """Return what parts weigh together; None where there are none, or one has no known weight."""
    weights = [part.weight(containers) for part in parts]
    return together(weights) if weights else None
