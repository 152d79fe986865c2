"""How much a bearing will give: own weights first, then count times weight, then what is printed; always a range."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from firmripe.harvest.alternating import Year, turn_of
from firmripe.harvest.because import (
    Counted,
    CropNoted,
    InTurn,
    LostOnTheTree,
    NoteExpects,
    NotKnown,
    OwnWeights,
    PerhapsNoneYet,
    PrintedYields,
)
from firmripe.harvest.weighing import containers_of, weigh
from firmripe.holding.fruit import Cultivar
from firmripe.holding.holding import Holding
from firmripe.holding.record import PICKINGS, Happening, Record, last_word
from firmripe.holding.standing import OFF_THE_TREE, gone_by, may_be_too_young, of_the_tree_of, of_those_that_stand
from firmripe.holding.tree import Bearing, Tree
from firmripe.holding.weight import Weight, together, total
from firmripe.lately import answered_once
from firmripe.remark import Remark
from firmripe.season.estimate import Reason
from firmripe.season.season import Season

_SMALL = frozenset({Happening.PART_CROP, Happening.LIGHT_CROP})
_COUNTS = frozenset({Happening.SET, Happening.THINNED})
_OF_ALL_LIMBS = PICKINGS | _COUNTS
"""What hung on a tree, of whatever kinds; how what leaves the store is parted hangs on what had been picked by then."""
ONE_SEASON = (Fraction(1, 2), Fraction(3, 2))
"""A tree weighed in one season only may give so little or so much of that the next time. J: trees told of differ
two- to threefold from year to year."""


class Crop(Struct, frozen=True, kw_only=True):
    """What a bearing is expected to give this season, in kilograms, and why.

    `is_own` says that the household has weighed, counted or written it, and not only a printed page.
    """

    weight: Weight
    reasons: tuple[Reason, ...]
    is_own: bool = True


class Unweighed(Struct, frozen=True, kw_only=True):
    """Why nothing can be said of how much there will be."""

    reason: Remark


@answered_once
def records_of(season: Season, bearing: Bearing) -> tuple[Record, ...]:
    """Return the lines about a bearing alone, oldest first, none of another tree that stood in its place."""
    of_tree = [r for r in season.holding.noted(bearing.tree) if r.day <= season.as_of]
    return _about(season.holding, bearing, of_the_tree_of(of_tree, season.year.year))


def history_of(holding: Holding, bearing: Bearing, as_of: date) -> tuple[Record, ...]:
    """Return the lines about a bearing alone, oldest first, also of one that is gone for good.

    What is noted of the whole tree once the limb is gone is no line of it, unless it is of fruit that was picked.
    """
    lines = of_those_that_stand(record for record in holding.noted(bearing.tree) if record.day <= as_of)
    gone = gone_by([holding.tree(bearing.tree)], lines, as_of).get((bearing.tree, bearing.cultivar), date.max)
    own = (r for r in lines if r.day <= gone or r.cultivar or r.what in OFF_THE_TREE)
    return _about(holding, bearing, own)


def _about(holding: Holding, bearing: Bearing, lines: Iterable[Record]) -> tuple[Record, ...]:
    """Return the lines about a bearing; a picking or a count that names no limb with an equal part for each."""
    own = (record for record in lines if record.is_about(*bearing))
    about = (_part_of(holding, record) if record.what in _OF_ALL_LIMBS else record for record in own)
    return tuple(sorted(about, key=lambda record: record.day))


def _part_of(holding: Holding, record: Record) -> Record:
    """Return a line with a bearing's part of its amount: an equal one for each that it means and that stood then."""
    tree = holding.tree(record.tree)
    meant = [one.cultivar for one in tree.bearings if record.is_about(*one)]
    if len(meant) < 2 or not record.parts:
        return record
    gone = gone_by([tree], holding.noted(tree.tag), record.day)
    many = sum((tree.tag, cultivar) not in gone for cultivar in meant) or len(meant)
    return replace(record, parts=tuple(replace(p, low=p.low / many, high=p.high / many) for p in record.parts))


@answered_once
def picked(season: Season, bearing: Bearing) -> Mapping[int, Weight]:
    """Return what was picked in each season whose every picking was weighed."""
    containers = containers_of(season.holding.limb(bearing).traits, season.holding.place)
    lines: dict[int, list[Record]] = {}
    for record in records_of(season, bearing):
        lines.setdefault(record.season, []).append(record)
    weights = ((year, all_weighed(of, containers)) for year, of in lines.items())
    return {year: weight for year, weight in weights if weight is not None}


def all_weighed(lines: Iterable[Record], containers: Mapping[str, Weight]) -> Weight | None:
    """Return what the pickings among some lines weigh together; None where there are none, or one was not weighed."""
    weights = [weigh(record.parts, containers) for record in lines if record.what in PICKINGS]
    return together(weights) if weights else None


def expect(season: Season, tree: Tree, limb: Cultivar, bearing: Bearing) -> Crop | Unweighed:
    """Return what a bearing is expected to give this season."""
    found = _own(season, bearing) or _counted(season, tree, limb, bearing) or _printed(season, tree, limb)
    if found is None:
        return Unweighed(reason=NotKnown.YIELD)
    return _less_the_lost(season, limb, bearing, _as_said(season, bearing, _as_young(season, tree, bearing, found)))


def _less_the_lost(season: Season, limb: Cultivar, bearing: Bearing, crop: Crop) -> Crop:
    """Take off what was lost this season before anything was picked: what is lost later was picked already."""
    containers = containers_of(limb.traits, season.holding.place)
    now = [r for r in records_of(season, bearing) if r.season == season.year.year]
    begun = min((r.day for r in now if r.what in PICKINGS), default=date.max)
    before = [_part_of(season.holding, r) for r in now if r.what is Happening.LOST and r.day < begun]
    lost = [w for r in before if (w := weigh(r.parts, containers))]
    if not lost:
        return crop
    return _with(crop, crop.weight.less(total(lost)), LostOnTheTree(weight=total(lost)))


def _own(season: Season, bearing: Bearing) -> Crop | None:
    past = {year: weight for year, weight in picked(season, bearing).items() if year < season.year.year}
    if not past:
        return None
    low, high = min(w.low for w in past.values()), max(w.high for w in past.values())
    if len(past) == 1:
        low, high = low * ONE_SEASON[0], high * ONE_SEASON[1]
    told = OwnWeights(seasons=tuple(sorted(past.items(), key=lambda one: one[0])))
    return Crop(weight=Weight(low=low, high=high), reasons=(Reason(why=told),))


def _counted(season: Season, tree: Tree, limb: Cultivar, bearing: Bearing) -> Crop | None:
    containers = containers_of(limb.traits, season.holding.place)
    counts = [r for r in records_of(season, bearing) if r.season == season.year.year and r.what in _COUNTS and r.parts]
    counted = weigh(counts[-1].parts, containers) if counts else None
    if counted is not None:
        return Crop(weight=counted, reasons=(Reason(why=Counted(amount=counts[-1].amount)),))
    if tree.crop is not None and len(tree.bearings) == 1 and (usual := weigh((tree.crop,), containers)) is not None:
        return Crop(weight=usual, reasons=(Reason(why=NoteExpects()),))
    return None


def _printed(season: Season, tree: Tree, limb: Cultivar) -> Crop | None:
    containers = containers_of(limb.traits, season.holding.place)
    if limb.crops != ("",):
        return None  # a printed yield does not say how it falls to the crops of a year
    told = [(figure, w) for figure in limb.traits.yields if (w := weigh((figure.value,), containers)) is not None]
    if not told:
        return None
    each = Weight(low=min(w.low for _, w in told), high=max(w.high for _, w in told))
    share = Fraction(tree.count, len(tree.limbs))
    yields = PrintedYields(yields=tuple(figure.text for figure, _ in told), limbs=len(tree.limbs))
    bushels = [figure.cited for figure in limb.traits.containers]
    cited = tuple(dict.fromkeys([*(figure.cited for figure, _ in told), *bushels]))
    return Crop(weight=each.times(share), reasons=(Reason(why=yields, cited=cited),), is_own=False)


def _as_young(season: Season, tree: Tree, bearing: Bearing, crop: Crop) -> Crop:
    """Take from nothing to the least of the range where a tree may be too young to bear (our judgement)."""
    is_young = may_be_too_young(tree, records_of(season, bearing), season.year.year)
    if tree.planted is None or not is_young:
        return crop
    return _with(crop, Weight(low=Fraction(0), high=crop.weight.low), PerhapsNoneYet(planted=tree.planted))


def _as_said(season: Season, bearing: Bearing, crop: Crop) -> Crop:
    """Take the part of the range that this season's records tell of: a share, the lower or the upper half.

    The last line counts, also one of the whole place; of one day that which names most. Where they say nothing, heavy
    and light years that took turns before do.
    """
    of_all = (r for r in season.holding.noted("") if r.day <= season.as_of and r.is_about(*bearing))
    last = last_word(
        r
        for r in (*of_all, *records_of(season, bearing))
        if r.season == season.year.year and r.what in {*_SMALL, Happening.HEAVY_CROP}
    )
    if last is None:
        return _in_turn(season, bearing, crop)
    weight = crop.weight
    if last.what in _SMALL and last.share is not None:
        return _with(crop, weight.times(last.share), CropNoted(what=last.what, share=last.amount))
    if last.what in _SMALL:
        half = Weight(low=Fraction(0), high=weight.middle)
    else:
        half = Weight(low=weight.middle, high=weight.high)
    return _with(crop, half, CropNoted(what=last.what))


def _in_turn(season: Season, bearing: Bearing, crop: Crop) -> Crop:
    """Take the half of the range that the turn of heavy and light years foretells; a count of this year says more."""
    records = records_of(season, bearing)
    if any(r.season == season.year.year and r.what in _COUNTS and r.parts for r in records):
        return crop
    turn = turn_of(records, picked(season, bearing), season.year.year)
    if turn is None or not (turn.is_sure or (turn.noted and turn.after is Year.HEAVY)):
        return crop
    weight = crop.weight
    if not turn.is_sure:
        part = Weight(low=weight.low / 2, high=weight.high)
    elif turn.heavy:
        part = Weight(low=weight.middle, high=weight.high)
    else:
        part = Weight(low=Fraction(0) if turn.may_be_none else weight.low, high=weight.middle)
    return _with(crop, part, InTurn(turn=turn))


def _with(crop: Crop, weight: Weight, why: Remark) -> Crop:
    return replace(crop, weight=weight, reasons=(*crop.reasons, Reason(why=why)))
