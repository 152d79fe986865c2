"""A freeze that is forecast while fruit still hangs: whether it can take it, and by when it is to be in."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta

from firmripe.holding.fruit import Ripens, Traits
from firmripe.holding.holding import Holding
from firmripe.holding.record import Happening, Record
from firmripe.saying import _
from firmripe.season.estimate import Basis, Estimate, Reason
from firmripe.words import amount, days_words, week_day

FORECAST_D = 10
"""A forecast is looked at for so many days ahead; nobody foretells a night further off. J."""
WORTH_SAVING_D = 30
"""Fruit further than this from the first day of its window is not picked ahead of a freeze. J."""
FREEZING_C = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Freeze:
    """The night that ends on the day of a line, told of on a day before it, and what it does to fruit that hangs."""

    record: Record
    low_c: float
    reason: Reason

    @property
    def last(self) -> date:
        """The last day on which fruit can be brought in ahead of it."""
        return self.record.day - timedelta(days=1)

    def words(self, *, metric: bool) -> str:
        """Say how cold it is to be, and when."""
        us, celsius = f"{round(self.low_c * 1.8 + 32)} °F", f"{round(self.low_c)} °C"
        first, second = (celsius, us) if metric else (us, celsius)
        return _(
            "A freeze of {first} ({second}) is forecast for the night to {day}",
            first=first,
            second=second,
            day=week_day(self.record.day),
        )


def freeze_ahead(holding: Holding, as_of: date, tree: str, traits: Traits) -> Freeze | None:
    """Return the first freeze to come that a tree's fruit can't take; None where there is none.

    Where it is published how cold the fruit must be to freeze, a milder night is none; the warmer end counts.
    """
    last = as_of + timedelta(days=FORECAST_D)
    coming = [r for r in holding.about(tree) if r.what is Happening.FREEZE_FORECAST and as_of < r.day <= last]
    return _that_harms(sorted(coming, key=lambda r: (r.day, r.where)), traits)


def freeze_past(holding: Holding, as_of: date, tree: str, traits: Traits) -> Freeze | None:
    """Return the last forecast freeze whose night is over and that a tree's fruit could not take; None without one."""
    over = [r for r in holding.about(tree) if r.what is Happening.FREEZE_FORECAST and r.day <= as_of]
    return _that_harms(sorted(over, key=lambda r: (r.day, r.where), reverse=True), traits)


def _that_harms(forecasts: Iterable[Record], traits: Traits) -> Freeze | None:
    for record in forecasts:
        low = record.forecast_c
        limit = traits.freezes
        if low is None or low > (limit.value.high + 0.05 if limit else FREEZING_C):
            continue
        if limit:
            reason = Reason(
                why=_("The fruit itself freezes at {limit}", limit=amount(limit.text)), cited=(limit.cited,)
            )
        else:
            reason = Reason(
                why=_("No figure is published of how much cold this fruit stands; a hard freeze spoils fruit")
            )
        return Freeze(record=record, low_c=low, reason=reason)
    return None


def before_a_freeze(
    dated: Estimate, freeze: Freeze, traits: Traits, *, open_from: date | None = None, metric: bool
) -> Estimate:
    """Draw a pick forward to the day before a freeze, and say so; a date fixed by hand or noted stays and is told of.

    Fruit that does not ripen indoors is only picked ahead once it is ripe, other fruit once its window is near.
    The wait that a spray's label asks for, until `open_from`, stands above the freeze, even one that moved nothing.
    """
    last, said = freeze.last, freeze.words(metric=metric)
    short = (dated.earliest - last).days
    if dated.latest <= last or short > WORTH_SAVING_D:
        return dated
    ripens = traits.ripens_off_the_tree
    lost = short > 0 and ripens is not None and ripens.value is Ripens.NO
    if open_from is not None and open_from > last:
        clash = _("{said}: what may not be picked yet stays on the tree.", said=said)
    elif lost and short > FORECAST_D:
        clash = ""
    elif lost:
        clash = _("{said}. It does not ripen off the tree and is not ripe yet: cover it if you can.", said=said)
    else:
        return _drawn_forward(dated, freeze, said, short)
    return replace(dated, clash=f"{dated.clash} {clash}".strip())


def _drawn_forward(dated: Estimate, freeze: Freeze, said: str, short: int) -> Estimate:
    last = freeze.last
    clash = f"{dated.clash} {_('{said}. Pick before that night, by {last}.', said=said, last=week_day(last))}".strip()
    if short > 0:
        clash += " " + _(
            "That is {days} before its window opens: what is not mature may shrivel instead "
            "of ripening, so use that first or cook it.",
            days=days_words(short),
        )
    reasons = (*dated.reasons, freeze.reason)
    if dated.basis is Basis.PINNED:
        return replace(dated, clash=clash, reasons=reasons)
    return replace(
        dated,
        likely=min(dated.likely, last),
        not_before=min(dated.earliest, last),
        not_after=last,
        clash=clash,
        reasons=reasons,
    )
