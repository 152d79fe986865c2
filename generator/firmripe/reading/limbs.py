"""What a household knows of one tree, or of one limb of it, that differs from others of its cultivar."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct
from msgspec.structs import replace

from firmripe.days import DayCount
from firmripe.holding.figures import Figure, Mark
from firmripe.holding.fruit import Cultivar, Traits
from firmripe.reading.fields import Fields
from firmripe.reading.keeping import KEEPS_FRUIT, keeps_within
from firmripe.reading.traits import COUNTER, FROM_BLOOM, IN_COLD


class OwnDays(Struct, frozen=True):
    """The days that a note tells of a tree or a limb: from bloom to pick, in the cold, on the counter, kept at most."""

    fields: Fields
    from_bloom: Figure[DayCount] | None
    keeps: Figure[DayCount] | None
    conditioning: tuple[Figure[DayCount], ...]
    counter: Figure[DayCount] | None

    @classmethod
    def read(cls, fields: Fields) -> OwnDays:
        """Read them."""
        return cls(
            fields=fields,
            from_bloom=fields.figure("days from bloom", FROM_BLOOM),
            keeps=fields.figure("keeps", KEEPS_FRUIT),
            conditioning=fields.figures("conditioning", IN_COLD),
            counter=fields.figure("counter", COUNTER),
        )


def with_own_days(limb: Cultivar, told: Iterable[OwnDays]) -> Cultivar:
    """Return a limb with what its own tree's note tells; what stands first in `told` is nearest and goes first.

    Where the note tells nothing it is the limb itself, so that trees of a kind share it and it is looked up once.
    """
    for own in reversed(list(told)):
        days: dict[str, object] = {"conditioning": own.conditioning, "counter": own.counter}
        if own.keeps is not None:
            days |= _keeping(limb, own.fields, own.keeps)
        days = {name: value for name, value in days.items() if value}
        from_bloom = own.from_bloom if own.from_bloom and own.from_bloom.crop in {"", *limb.crops} else None
        if not days and not from_bloom:
            continue
        limb = replace(
            limb,
            from_bloom=from_bloom or limb.from_bloom,
            own=_replaced(limb.own, days),
            traits=_replaced(limb.traits, days),
        )
    return limb


def _replaced(traits: Traits, days: dict[str, object]) -> Traits:
    return replace(traits, **days)


def _keeping(limb: Cultivar, fields: Fields, keeps: Figure[DayCount]) -> dict[str, object]:
    """Return how long a limb's fruit keeps, and the published limit that stays above it."""
    own = limb.own.published_limit
    limit = own or (limb.fruit.traits.published_limit if limb.fruit else None)
    kept = keeps_within(fields, keeps, limit, strict=own is not None)
    if kept is not None and kept.cited.mark is not Mark.OWN:
        kept = replace(kept, cited=replace(kept.cited, mark=Mark.OWN))  # a book of the household's is no limit here
    return {"keeps": kept, "keeps_published": limit}
