"""A freeze that is forecast while fruit still hangs: whether it can take it, and by when it is to be in."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from msgspec import Struct
from msgspec.structs import replace

from firmripe.holding.fruit import Ripens, Traits
from firmripe.holding.holding import Holding
from firmripe.holding.record import Record
from firmripe.season.because import FreezesAt, NoFreezingFigure
from firmripe.season.clashes import Clash, FreezeClash, FreezeForecast, InAFreeze
from firmripe.season.estimate import Basis, Estimate, Reason
from firmripe.season.labels import OVER_AFTER_D

FORECAST_D = 10
"""A forecast is looked at for so many days ahead; nobody foretells a night further off. J."""
WORTH_SAVING_D = 30
"""Fruit further than this from the first day of its window is not picked ahead of a freeze. J."""
FREEZING_C = 0.0


class Freeze(Struct, frozen=True, kw_only=True):
    """The night that ends on the day of a line, told of on a day before it, and what it does to fruit that hangs."""

    record: Record
    low_c: float
    reason: Reason

    @property
    def last(self) -> date:
        """The last day on which fruit can be brought in ahead of it."""
        return self.record.day - timedelta(days=1)

    @property
    def coming(self) -> FreezeForecast:
        """How cold it is to be, and when."""
        return FreezeForecast(self.low_c, self.record.day)


def freeze_ahead(holding: Holding, as_of: date, tree: str, traits: Traits) -> Freeze | None:
    """Return the first freeze to come that a tree's fruit can't take; None where there is none.

    Where it is published how cold the fruit must be to freeze, a milder night is none; the warmer end counts.
    """
    last = as_of + timedelta(days=FORECAST_D)
    coming = [r for r in holding.freeze_forecasts if r.tree in {"", tree} and as_of < r.day <= last]
    return _that_harms(sorted(coming, key=lambda r: (r.day, r.where)), traits)


def freeze_past(holding: Holding, as_of: date, tree: str, traits: Traits) -> Freeze | None:
    """Return the last forecast freeze whose night is over and that a tree's fruit could not take; None without one."""
    over = [r for r in holding.freeze_forecasts if r.tree in {"", tree} and r.day <= as_of]
    return _that_harms(sorted(over, key=lambda r: (r.day, r.where), reverse=True), traits)


def _that_harms(forecasts: Iterable[Record], traits: Traits) -> Freeze | None:
    for record in forecasts:
        low = record.forecast_c
        limit = traits.freezes
        if low is None or low > (limit.value.high + 0.05 if limit else FREEZING_C):
            continue
        reason = Reason(why=FreezesAt(limit.text), cited=(limit.cited,)) if limit else Reason(why=NoFreezingFigure())
        return Freeze(record=record, low_c=low, reason=reason)
    return None


def before_a_freeze(
    dated: Estimate, freeze: Freeze, traits: Traits, as_of: date, *, open_from: date | None = None
) -> Estimate:
    """Draw a pick forward to the day before a freeze, and say so; a date fixed by hand or noted stays and is told of.

    Fruit that does not ripen indoors is only picked ahead once it is ripe, other fruit once its window is near.
    A pick whose window is over on the day of knowledge, `as_of`, and that nobody noted is told of: it may hang still.
    The wait that a spray's label asks for, until `open_from`, stands above the freeze, even one that moved nothing.
    """
    short = (dated.earliest - freeze.last).days
    may_hang = dated.latest < as_of <= dated.latest + timedelta(days=OVER_AFTER_D)
    if (dated.latest <= freeze.last and not may_hang) or short > WORTH_SAVING_D:
        return dated
    ripens = traits.ripens_off_the_tree
    lost = short > 0 and ripens is not None and ripens.value is Ripens.NO
    if open_from is not None and open_from > freeze.last:
        return replace(dated, clash=_clash(dated, freeze, InAFreeze.STAYS, short))
    if lost:
        return dated if short > FORECAST_D else replace(dated, clash=_clash(dated, freeze, InAFreeze.COVER, short))
    return _drawn_forward(dated, freeze, short)


def _clash(dated: Estimate, freeze: Freeze, what_to_do: InAFreeze, short: int) -> Clash:
    return (dated.clash or Clash(())).with_another(FreezeClash(freeze.coming, what_to_do, freeze.last, max(0, short)))


def _drawn_forward(dated: Estimate, freeze: Freeze, short: int) -> Estimate:
    last = freeze.last
    told = replace(dated, clash=_clash(dated, freeze, InAFreeze.PICK, short), reasons=(*dated.reasons, freeze.reason))
    if dated.basis is Basis.PINNED:
        return told
    return replace(told, likely=min(dated.likely, last), not_before=min(dated.earliest, last), not_after=last)
