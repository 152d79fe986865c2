"""From the dates of a season to the life of each lot: each batch is put into its space and followed to its last day."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from firmripe.harvest.because import BringIn, Crowded, NothingLeft, RipeApples, StraightFromTree, Treated, UsedSoon
from firmripe.harvest.conditioning import conditioning_for, treatments_for
from firmripe.harvest.crop import Crop
from firmripe.harvest.drafts import Draft
from firmripe.harvest.grades import KEPT_LONG, SHARED, STORED, USE_NOW, graded
from firmripe.harvest.keeping import Kept, kept_until
from firmripe.harvest.leaving import Left
from firmripe.harvest.life import Life
from firmripe.harvest.lots import Alternative, Batch, Lot, Out, loads_of, room_loads_of
from firmripe.harvest.nights import cold_nights
from firmripe.harvest.passes import Picking
from firmripe.harvest.spaces import Occupancy, is_cold, ripening_rooms
from firmripe.harvest.takeouts import is_wanted
from firmripe.holding.fruit import Traits
from firmripe.holding.place import Space
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.holding.weight import NOTHING, Grade, Weight, together, total
from firmripe.remark import Remark
from firmripe.season.estimate import Reach, Reason
from firmripe.season.freezing import freeze_ahead
from firmripe.season.season import Season

LEAST_PART_KG = Fraction(2)
"""A part of a batch smaller than this (kg) is not carried into a room of its own. J."""
SPREAD_FROM_D = 42
"""Fruit that can lie so many days beyond the cold it needs is taken out week by week, other fruit all at once. J."""


def follow(season: Season) -> dict[Bearing, Lot]:
    """Return the lot of every bearing that is going to be picked, or was."""
    drafts = [
        Draft.of(season, tree, limb, bearing, season.picks[bearing])
        for tree in season.holding.trees
        for limb in tree.limbs
        for crop in limb.crops
        if (bearing := Bearing(tree.tag, limb.key, crop)) in season.picks
    ]
    _put_away(drafts, Occupancy(season.holding.place))
    return {draft.bearing: _lot(draft) for draft in drafts}


def _lot(draft: Draft) -> Lot:
    batches = draft.batches
    stored = sorted((b for b in batches if b.grade in STORED), key=lambda b: (b.is_gone, b.picking))
    main = next(iter(stored), batches[0])
    days = {**days_left(main), Stage.PICK: draft.pickings[0].day}
    return Lot(
        bearing=draft.bearing,
        days=days,
        settled=frozenset(main.days.keys() - days.keys()),
        reasons=main.reasons,
        needs_cold=main.needs_cold,
        undated=undated_left(main),
        crop=draft.crop,
        pickings=draft.pickings,
        batches=tuple(sorted(batches, key=lambda b: (b.picking, list(Grade).index(b.grade)))),
        alternatives=_alternatives(draft.traits, main),
        alerts=tuple(dict.fromkeys(_alerts(draft))),
    )


def days_left(batch: Batch) -> dict[Stage, Reach]:
    """Return the days of a batch that jobs hang on: of one that is gone only those before it was.

    What goes from the tree to the table has no last day in the cold.
    """
    if not batch.is_gone:
        return {stage: day for stage, day in batch.days.items() if batch.lies_cold or stage is not Stage.KEEP_UNTIL}
    last = max(out.used or out.day for out in batch.outs)
    return {stage: day for stage, day in batch.days.items() if stage is Stage.PICK or day.likely < last}


def undated_left(batch: Batch) -> dict[Stage, Remark]:
    """Return why a batch has no day of a stage: nobody knows it, nothing is left, or it goes straight to the table."""
    why: Remark = NothingLeft() if batch.is_gone else StraightFromTree()
    left = days_left(batch)
    return {**batch.undated} | {stage: why for stage in batch.days if stage not in left}


def _alerts(draft: Draft) -> Iterator[Remark]:
    """Yield what is to be looked at now: cold nights, a freeze to come, a pick too soon, cold cut short."""
    season, pick = draft.season, draft.pick
    weather = season.holding.weather.until(season.as_of)
    nights = None if pick.is_past else cold_nights(draft.traits, weather, pick.likely)
    if nights is not None:
        yield nights
    freeze = freeze_ahead(season.holding, season.as_of, draft.bearing.tree, draft.traits)
    if freeze is not None and pick.is_past and any(not p.noted for p in draft.pickings):
        yield BringIn(freeze=freeze)
    if draft.early is not None and not draft.tasted:
        yield draft.early
    for batch in draft.batches:
        if not batch.is_gone:
            yield from batch.alerts


def _put_away(drafts: list[Draft], lying: Occupancy) -> None:
    """Give each batch its space, in the order of picking, winter fruit first; what is noted stands as noted.

    What was picked goes before what is planned, what is wanted before what is not, and a crop that only a printed
    page tells of last: it can be anything, and must not push out what is known.
    """
    waiting = [(draft, picking) for draft in drafts for picking in draft.pickings]
    waiting.sort(
        key=lambda pair: (
            _right_to_room(pair[0], pair[1]),
            pair[1].day.likely,
            conditioning_for(pair[0].traits, None) is None,
            pair[0].bearing,
            pair[1].number,
        )
    )
    for draft, picking in waiting:
        for grade, weight in graded(picking, draft.shares):
            by_house = grade in STORED & SHARED and draft.season.holding.place.is_put_away_by_house
            parts = _by_house(draft, picking, grade) if by_house else [("", draft)]
            for house, part in parts:
                mine = _weight_of(part, picking, grade) if by_house and weight is not None else weight
                for batch in _placed(_Sorted(part, picking, grade, mine), lying):
                    draft.batches.append(replace(batch, house=house))
                    lying.put([*loads_of(batch), *room_loads_of(batch)])


def _by_house(draft: Draft, picking: Picking, grade: Grade) -> list[tuple[str, Draft]]:
    """Divide what is left of a batch, and what was noted as leaving it, by the rule of shares; the whole stays whole.

    What was noted for a house is of its part; what names none is of everybody's. Who has had more than its part has
    nothing left, and the others so much less. What the rule gives to nobody is a part without a house.
    """
    shares = draft.season.holding.place.shares
    left = draft.left[picking.number, grade]
    parts = {share.name: share.part for share in shares} | {"": 1 - sum((s.part for s in shares), Fraction(0))}
    had = {
        house: sum((out.weight.middle for out in left.outs if out.house == house and out.weight), Fraction(0))
        for house in parts
    }
    due_of = left.weight.middle + sum(had.values()) - had[""] if left.weight is not None else Fraction(0)
    still = {house: max(Fraction(0), part * due_of - (had[house] if house else 0)) for house, part in parts.items()}
    whole = sum(still.values(), Fraction(0))
    shared = {house: kg / whole for house, kg in still.items()} if whole else parts
    found = []
    for house, part in parts.items():
        if not part:
            continue
        outs = [
            out if out.house else replace(out, weight=out.weight.times(part) if out.weight is not None else None)
            for out in left.outs
            if out.house in {"", house}
        ]
        rest = left.weight.times(shared[house]) if left.weight is not None else None
        if outs or rest is None or rest != NOTHING:
            of_house = {**draft.left, (picking.number, grade): Left(weight=rest, outs=tuple(outs))}
            found.append((house, draft.of_house(house, of_house)))
    return found or [("", draft)]


def _weight_of(draft: Draft, picking: Picking, grade: Grade) -> Weight | None:
    """Return what a batch weighs with all that has left it; None where that is not known."""
    left = draft.left[picking.number, grade]
    return together([left.weight, *(out.weight for out in left.outs)])


def _right_to_room(draft: Draft, picking: Picking) -> int:
    """Return the order in which fruit has a right to room: the lowest comes first."""
    if picking.noted:
        return 0
    if is_wanted(draft.season.holding, draft.bearing):
        return 1
    return 2 if isinstance(draft.crop, Crop) and draft.crop.is_own else 3


class _Sorted(Struct, frozen=True):
    """A grade of a picking that is to be put away, and what it weighs; None where that is not known."""

    draft: Draft
    picking: Picking
    grade: Grade
    weight: Weight | None

    @property
    def left(self) -> Left:
        """What is left of it, and what has left it."""
        return self.draft.left[self.picking.number, self.grade]


def _placed(one: _Sorted, lying: Occupancy) -> list[Batch]:
    """Return a batch in the first space that has room for it; in parts where none has room for all of it."""
    if one.grade not in STORED:
        return [_used_at_once(one)]
    day = one.picking.day.likely
    noted = one.draft.space_noted(day) if one.picking.noted else None
    if noted is not None:
        return [replace(_roomed(one, noted, _in(one, noted), lying), stored_noted=True)]
    tried: list[tuple[Space, Batch]] = []
    full: Crowded | None = None
    for space in _candidates(one.draft, day):
        best = _in(one, space)
        new = loads_of(best)
        if not new or lying.fits(new, space):
            return [_crowded(_roomed(one, space, best, lying), full)]
        full = full or lying.crowded(new, space)
        tried.append((space, best))
    parts = _parted(one, tried, lying)
    if parts:
        return [_crowded(part, full) for part in parts]
    first, best = tried[0] if tried else (None, _in(one, None))
    return [_crowded(_roomed(one, first, best, lying), full)]


def _crowded(batch: Batch, full: Crowded | None) -> Batch:
    """Return a batch that tells what crowds it out of the space that would be best for it, if anything does."""
    if full is None:
        return batch
    return replace(batch, crowded=full, reasons=(*batch.reasons, Reason(why=full)))


def _parted(one: _Sorted, tried: Sequence[tuple[Space, Batch]], lying: Occupancy) -> list[Batch]:
    """Part a batch among spaces that are each too small for all of it; what finds room in none lies in the first.

    Nothing is returned where its weight is not known, or only one space has room for any of it.
    """
    left = one.left.weight
    if one.weight is None or left is None or left.middle <= LEAST_PART_KG or len(tried) < 2:
        return []
    found: list[tuple[Space, Fraction]] = []
    rest = left.middle
    for space, best in tried:
        room = lying.room_left(loads_of(best), space)
        part = rest if room is None else min(rest, room)
        if part >= LEAST_PART_KG:
            found.append((space, part))
            rest -= part
        if rest < LEAST_PART_KG:
            break
    if len(found) < 2 and not (found and rest):
        return []
    first, part = found[0]
    found[0] = first, part + rest
    batches = []
    for number, (space, kg) in enumerate(found, start=1):
        shared = replace(one, draft=replace(one.draft, left=_share_of_left(one, kg / left.middle, number)))
        batch = _roomed(shared, space, _in(shared, space), lying)
        weights = [out.weight for out in batch.outs if out.weight is not None]
        batches.append(replace(batch, part=number, parts=len(found), weight=total(weights)))
    return batches


def _share_of_left(one: _Sorted, share: Fraction, number: int) -> dict[tuple[int, Grade], Left]:
    """Return what is left with one batch's share of it alone; what left it already is of the first part."""
    rest = one.left.weight.times(share) if one.left.weight is not None else None
    mine = Left(weight=rest, outs=one.left.outs if number == 1 else ())
    return {**one.draft.left, (one.picking.number, one.grade): mine}


def _roomed(one: _Sorted, space: Space | None, best: Batch, lying: Occupancy) -> Batch:
    """Return a batch in a space with the first room to ripen in that has place for it.

    Where all are full it is the `best` for the fruit; a room in which it fails is never taken for its place.
    """
    if not best.room:
        return best
    place = one.draft.season.holding.place
    for room in ripening_rooms(place, one.draft.limb, best.days[Stage.TAKE_OUT].likely):
        batch = best if room.name == best.room else _in(one, space, room)
        if Stage.READY in best.days and Stage.READY not in batch.days:
            break
        if lying.fits(room_loads_of(batch), room):
            return batch
    return best


def _candidates(draft: Draft, day: date) -> list[Space]:
    """Return the spaces to try, first those of whose warmth it is told how long the fruit keeps.

    Of these the coldest goes first for what needs cold, and the least cold for what only keeps. A house's own go before
    common ones.
    """
    place = draft.season.holding.place
    told = [(at, space) for space in place.spaces if (at := space.at(day)) is not None]
    cold = [pair for pair in told if is_cold(pair[1], day)]
    if not cold:
        return [space for _, space in sorted(told, key=lambda pair: (pair[0], pair[1].name))][:1]
    if len(cold) == 1:
        return [cold[0][1]]
    needs_cold = conditioning_for(draft.traits, None) is not None

    def keeps_there(space: Space) -> bool:
        return isinstance(kept_until(draft.kept_limb, Reach.on(day), space), Kept)

    cold.sort(
        key=lambda pair: (
            place.is_put_away_by_house and not pair[1].house,
            not keeps_there(pair[1]),
            pair[0] if needs_cold else -pair[0],
            pair[1].name,
        )
    )
    return [space for _, space in cold]


def _used_at_once(one: _Sorted) -> Batch:
    batch = replace(_as_picked(one), outs=one.left.outs)
    if one.grade is not Grade.USE_NOW:
        return batch
    use_by = one.picking.day.after(USE_NOW.low, USE_NOW.middle, USE_NOW.high)
    return replace(batch, days={**batch.days, Stage.USE_BY: use_by}, reasons=(Reason(why=UsedSoon()),))


def _as_picked(one: _Sorted) -> Batch:
    """Return a grade of a picking as it comes from the tree: nothing is known yet of where it lies."""
    draft, picking = one.draft, one.picking
    return Batch(
        bearing=draft.bearing,
        limb=draft.limb,
        picking=picking.number,
        grade=one.grade,
        weight=one.weight,
        picked=picking.day,
        picked_noted=picking.noted,
        days={Stage.PICK: picking.day},
        reasons=(),
        undated={},
        needs_cold=False,
        several=draft.several,
    )


def _in(one: _Sorted, space: Space | None, room: Space | None = None) -> Batch:
    """Return a batch as it would be in a space, and in a room, otherwise the one that is best for it."""
    picking, left = one.picking, one.left
    taken = [out.day for out in left.outs if out.came_out]
    life = Life(one.draft, picking, space, taken)
    life.work_out(room)
    if one.grade is Grade.SOON:
        life.leave_the_cold_soon()
    outs = [*left.outs]
    if left.weight != NOTHING or not outs:
        outs += _planned_outs(one.draft.season, life, one.grade, left.weight, taken)
    if not outs:  # nothing of it is left to come out: it went as it was picked
        outs = [Out(day=picking.day.likely, weight=left.weight, noted=picking.noted)]
    lies = any(out.day > picking.day.likely for out in outs)
    return replace(
        _as_picked(one),
        days=life.days,
        reasons=tuple(life.reasons),
        undated=life.undated,
        needs_cold=life.needs_cold,
        space=space.name if space and lies else "",
        room=life.room.name if life.room else "",
        outs=tuple(replace(out, ready=life.ready_after(out.day)) if out.came_out else out for out in outs),
        ready_noted=life.ready_noted,
        alerts=tuple(life.alerts),
    )


def _planned_outs(season: Season, life: Life, grade: Grade, rest: Weight | None, taken: list[date]) -> list[Out]:
    """Return when the rest of a batch leaves the cold: week by week over its keeping life, or all at once."""
    if rest == NOTHING and (taken or life.weighed):
        return []
    out, keep = life.days[Stage.TAKE_OUT].likely, life.days.get(Stage.KEEP_UNTIL)
    first = out
    if taken:
        last = keep.likely if keep else season.as_of
        first = max(out, max(taken) + timedelta(days=1), min(season.as_of, last))
    if keep is None or keep.likely <= first:
        return [Out(day=first, weight=rest, noted=False)]
    spread = (keep.likely - out).days >= SPREAD_FROM_D and grade in KEPT_LONG and life.is_winter_fruit
    if not spread:
        return [Out(day=first, weight=rest, noted=False)]
    many = (keep.likely - first).days // 7 + 1
    share = rest.times(Fraction(1, many)) if rest is not None else None
    return [Out(day=first + timedelta(days=7 * week), weight=share, noted=False) for week in range(many)]


def _alternatives(traits: Traits, batch: Batch) -> tuple[Alternative, ...]:
    """Return the other ways to have a batch ready, counted from its pick."""
    found = []
    apple, counter = traits.ripe_apple, traits.counter
    if apple is not None and counter is not None and batch.needs_cold:
        days = (apple.value.low + counter.value.low, apple.value.high + counter.value.high)
        found.append(
            Alternative(
                what=RipeApples(figure=apple),
                ready=batch.picked.after(days[0], sum(days) / 2, days[1]),
                cited=apple.cited,
            )
        )
    for treatment in treatments_for(traits, 0):
        days = (treatment.days.low, treatment.days.high)
        found.append(
            Alternative(
                what=Treated(treatment=treatment),
                ready=batch.picked.after(days[0], sum(days) / 2, days[1]),
                cited=treatment.takes.cited,
            )
        )
    return tuple(found)
