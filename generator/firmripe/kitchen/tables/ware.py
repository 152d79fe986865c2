"""A ware: a preserve in one jar, with the fruit and the work that it takes."""

from __future__ import annotations

from msgspec import Struct

from firmripe.holding.filling import Makes
from firmripe.holding.jar import Jar
from firmripe.holding.preserve import Preserve
from firmripe.kitchen.tables.work import Rate


class Ware(Struct, frozen=True, kw_only=True):
    """A preserve in one jar, as the plan makes it: what fruit one jar takes and how much work it is.

    `jar` is None for dried fruit, whose unit is a pound. `name` tells it from all others.
    """

    name: str
    preserve: Preserve
    jar: Jar | None
    each: Makes
    rate: Rate
