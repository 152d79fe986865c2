"""Whose word counts: no crop, safety limit, pin, record, own days of picking, stated interval, model."""

from __future__ import annotations

from datetime import date, timedelta

from msgspec.structs import replace

from firmripe.days import Span
from firmripe.holding.fruit import Event
from firmripe.holding.picking_days import picking_days
from firmripe.holding.record import Happening, Record
from firmripe.holding.tree import Pin
from firmripe.season import spreads
from firmripe.season.because import (
    CropLost,
    FixedByHand,
    FromOwnBloom,
    NoCrop,
    NotedOn,
    OwnPicks,
    PlantedOnly,
    TooYoung,
)
from firmripe.season.clashes import Clash, RecordsSay, SprayLabel
from firmripe.season.estimate import Basis, Dated, Estimate, NoDate, Reason
from firmripe.season.freezing import before_a_freeze, freeze_ahead
from firmripe.season.knowledge import Knowledge, Subject
from firmripe.season.labels import free_of_labels, hanging_until


def by_rank(known: Knowledge, subject: Subject, event: Event, modelled: Dated) -> Dated:
    """Return the date that counts for an event, given what the model says of it."""
    seen = known.seen(subject, event) or (_last_pick(known, subject) if event is Event.PICK else None)
    planted = subject.tree.planted
    if planted is not None and planted > known.year.year and seen is None:
        return NoDate(reason=PlantedOnly(planted))
    if event is Event.PICK and seen is None and (none := _no_crop(known, subject)) is not None:
        return none
    dated = _told(known, subject, event, seen) or _stated(known, subject, event, modelled) or modelled
    if event is Event.PICK and isinstance(dated, Estimate) and not dated.is_over:
        return _safe_to_pick(known, subject, dated)
    return dated


def _last_pick(known: Knowledge, subject: Subject) -> Record | None:
    """Return a last pick of this season, which ends the crop also where no other picking is noted.

    The first may have been long before it, so that it tells nothing of other trees and of other seasons.
    """
    if not known.notes(subject, Happening.LAST_PICK):
        return None
    return min(known.this_season(subject, Happening.LAST_PICK), key=lambda record: record.day, default=None)


def _told(known: Knowledge, subject: Subject, event: Event, seen: Record | None) -> Estimate | None:
    """Return a day that the household tells itself: one fixed by hand, one noted, or its days of picking."""
    pin = _pin(known, subject, event)
    if pin is not None:
        reason = Reason(why=FixedByHand(pin.because))
        dated = Estimate(likely=pin.day, spread_d=0.0, basis=Basis.PINNED, reasons=(reason,))
        if seen is None:
            return dated
        return replace(dated, seen=seen.day, clash=None if seen.day == pin.day else Clash((RecordsSay(seen.day),)))
    if seen is not None:
        reason = Reason(why=NotedOn(seen.day, is_about=seen.about))
        return Estimate(likely=seen.day, spread_d=0.0, basis=Basis.RECORDED, reasons=(reason,))
    return _own_days(known, subject) if event is Event.PICK else None


def _safe_to_pick(known: Knowledge, subject: Subject, dated: Estimate) -> Estimate:
    """Return a pick after what its sprays' labels ask for, and before a freeze to come."""
    open_from = None
    if known.notes(subject, Happening.SPRAY):
        until = hanging_until(known.year, dated.latest)
        open_from = free_of_labels(known.about(subject), subject.bearing, known.as_of, until)
    dated = _after_sprays(open_from, dated, known.as_of)
    traits = subject.limb.traits
    freeze = freeze_ahead(known.holding, known.as_of, subject.tree.tag, traits)
    return dated if freeze is None else before_a_freeze(dated, freeze, traits, known.as_of, open_from=open_from)


def _pin(known: Knowledge, subject: Subject, event: Event) -> Pin | None:
    """Return the date fixed by hand for this season, if there is one; of several that which names most."""
    fitting = [
        pin
        for pin in subject.tree.pins
        if pin.event is event
        and pin.cultivar in {"", subject.limb.key}
        and pin.crop in {"", subject.bearing.crop}
        and pin.day in known.year
    ]
    return max(fitting, key=lambda pin: (bool(pin.cultivar), bool(pin.crop)), default=None)


def _own_days(known: Knowledge, subject: Subject) -> Estimate | None:
    """Return the first of the household's own days of picking; None where it tells of none."""
    told = subject.tree.picks_of(subject.limb, subject.bearing.crop)
    days = picking_days(known.holding, subject.bearing, known.year) if told is not None else ()
    if told is None or not days:
        return None
    span = Span(first=days[0], last=days[-1])
    reason = Reason(why=OwnPicks(told.value.every, span), cited=(told.cited,))
    return Estimate(likely=days[0], spread_d=0.0, basis=Basis.OWN_DAYS, reasons=(reason,))


def _no_crop(known: Knowledge, subject: Subject) -> NoDate | None:
    bears_from = subject.tree.bears_from
    if bears_from is not None and bears_from > known.year.year:
        return NoDate(reason=TooYoung(bears_from))
    said = known.crop_said(subject)
    if said is not None and said.what is Happening.NO_CROP:
        return NoDate(reason=NoCrop(said.note))
    lost = next((record for record in known.this_season(subject, Happening.LOST) if not record.amount), None)
    if lost is not None:
        return NoDate(reason=CropLost(lost.day, lost.note))
    return None


def _stated(known: Knowledge, subject: Subject, event: Event, modelled: Dated) -> Estimate | None:
    own = subject.limb.own_interval(subject.bearing.crop)
    bloom = known.seen(subject, Event.FULL_BLOOM)
    if event is not Event.PICK or own is None or bloom is None:
        return None
    likely = bloom.day + timedelta(days=round(own.value.middle))
    width = modelled.spread_d if isinstance(modelled, Estimate) else spreads.STATED_INTERVAL_D
    reason = Reason(why=FromOwnBloom(own.text, bloom.day), cited=(own.cited,))
    return Estimate(likely=likely, spread_d=width, basis=Basis.STATED_INTERVAL, reasons=(reason,))


def _after_sprays(open_from: date | None, dated: Estimate, today: date) -> Estimate:
    """Let no picking fall before the last spray's label interval has run; say where that moves a date.

    From the day on that it has run nothing is said any more.
    """
    if open_from is None:
        return dated
    if open_from <= dated.earliest:
        return replace(dated, not_before=open_from)
    if open_from <= today:
        return replace(dated, likely=max(dated.likely, open_from), not_before=open_from)
    likely = max(dated.likely, open_from)
    return replace(dated, likely=likely, not_before=open_from, clash=Clash((SprayLabel(open_from),)))
