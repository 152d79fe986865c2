"""What is odd in notes that can be read all the same: the dates would be better if somebody looked at it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from firmripe.holding.fruit import Cultivar, Traits
from firmripe.holding.holding import Holding
from firmripe.holding.matter import Matter
from firmripe.holding.pollination import widowed
from firmripe.holding.record import Happening, Record
from firmripe.holding.standing import gone_by
from firmripe.holding.tree import Tree
from firmripe.problems import Problem, Where, or_list
from firmripe.tongue import IN_ENGLISH
from firmripe.wording import words_of
from firmripe.words import gap_words

_BLOOMS = frozenset({Happening.FIRST_BLOOM, Happening.FULL_BLOOM, Happening.PETAL_FALL})
_SEASONS = 3
"""So many seasons without a bloom note are worth a word, where notes are kept at all (our judgement)."""
_GAPS_NAMED = 3


def warnings_of(holding: Holding, known_on: date) -> tuple[Problem, ...]:
    """Return what is odd in a holding, sorted by file."""
    found = [*holding.asked, *_of_place(holding), *_of_limbs(holding), *_of_blooms(holding, known_on)]
    found += _of_shares(holding)
    if Matter.POLLINATION not in holding.place.without:
        found += _of_partners(holding, known_on)
    if Matter.CANNING not in holding.place.without:
        found += _of_acid(holding)
    return tuple(sorted({*found, *_of_days(holding, known_on), *_of_weather(holding), *_of_doubts(holding)}))


def _of_place(holding: Holding) -> Iterator[Problem]:
    ground, where = holding.place.ground, Where("place.md")
    if ground.zone is None and ground.latitude is None and not holding.place.usual_picks:
        yield Problem(where, "neither zone nor latitude is written", "add latitude: 41.9 N; without it dates are wide")
    if ground.latitude is not None and ground.longitude is None:
        hint = "add longitude: 74.2 W; with it the weather stations around tell how warm the ground is"
        yield Problem(where, "the latitude stands without a longitude", hint)
    elif ground.longitude is not None and ground.latitude is None:
        yield Problem(where, "the longitude stands without a latitude", "add latitude: 41.9 N; one says little alone")
    if ground.elevation_m is None:
        hint = "add elevation: 2,150 ft; it moves dates, and canning times hang on it"
        yield Problem(where, "no elevation is written", hint)
    for kitchen in holding.place.kitchens:
        if kitchen.elevation_m is None:
            message = f'the kitchen "{kitchen.name}" has no elevation'
            yield Problem(where, message, "add elevation: 1,900 ft; canning times hang on it")


def _of_limbs(holding: Holding) -> Iterator[Problem]:
    seen: set[str] = set()
    for tree in holding.trees:
        for limb in tree.limbs:
            if limb.key not in seen and (odd := _of_limb(limb, tree)):
                yield odd
            seen.add(limb.key)


def _of_limb(limb: Cultivar, tree: Tree) -> Problem | None:
    where = Where(tree.where.file)
    if limb.fruit is None:
        hint = "add fruit: and what kind of fruit it is, as fruit: pear"
        return Problem(where, f'no kind of fruit is known for "{limb.name}", so it gets no dates', hint)
    what = "its first pick" if limb.blooms_unseen else "its bloom and its first pick"
    hint = f"note {what} in records/"
    if limb.own == Traits():
        return Problem(where, f'nothing is known of "{limb.name}" itself; it leans on {limb.fruit.name}', hint)
    if limb.dates_lean:
        return Problem(where, f'no date of "{limb.name}" itself is known; its dates lean on {limb.fruit.name}', hint)
    return None


def _of_acid(holding: Holding) -> Iterator[Problem]:
    """Ask what nothing can go into jars without: which pear a pear is, and what color a peach's flesh has."""
    of_flesh = {fruit for row in holding.processes.white_flesh for fruit in row.fruits}
    for tree in holding.trees:
        where = Where(tree.where.file)
        for limb in tree.limbs:
            if limb.unsure or limb.key in tree.unsure:
                fruits = [fruit for row in holding.processes.vague for fruit in row.fruits]
                hint = f"write fruit: {or_list(fruits)}; until then nothing of it goes into jars"
                yield Problem(where, f'which fruit "{limb.name}" is has not been said', hint)
            if limb.fruit and limb.fruit.key in of_flesh and tree.flesh is None and limb.flesh is None:
                hint = "write flesh: yellow or flesh: white; until then nothing of it goes into jars"
                yield Problem(where, f'whether the flesh of "{limb.name}" is yellow or white has not been said', hint)


def _of_blooms(holding: Holding, known_on: date) -> Iterator[Problem]:
    """Name trees whose bloom nobody has noted for long, in a household that keeps records for so long."""
    this = holding.place.working_year_of(known_on).year
    if min((record.season for record in holding.records), default=this) > this - _SEASONS:
        return
    gone = gone_by(holding.trees, holding.records, known_on)
    for tree in holding.trees:
        young = tree.bears_from is not None and tree.bears_from > this - _SEASONS
        last = max((r.season for r in holding.records if r.tree == tree.tag and r.what in _BLOOMS), default=None)
        if (
            young
            or tree.blooms_unseen
            or all((tree.tag, limb.key) in gone for limb in tree.limbs)
            or (last is not None and last > this - _SEASONS)
        ):
            continue
        said = "has never been noted" if last is None else f"was last noted in {last}"
        hint = "note its day of full bloom: nothing else makes its dates so much surer"
        yield Problem(Where(tree.where.file), f"the bloom of tree {tree.tag} {said}", hint)


def _of_partners(holding: Holding, known_on: date) -> Iterator[Problem]:
    hint = "where one does, write it in the cultivar's own file as partners: and what it is"
    for lost in widowed(holding, known_on):
        yield Problem(Where(lost.tree.where.file), words_of(lost, IN_ENGLISH), hint)


def _of_shares(holding: Holding) -> Iterator[Problem]:
    """Name lines about fruit that somebody took, of which it can't be said who, or how much."""
    shares = holding.place.shares
    for record in holding.records:
        if record.what is not Happening.SHARED:
            continue
        if not any(share.is_named_in(record.note) for share in shares):
            hint = f"write {or_list([share.name for share in shares])} in the note" if shares else "add shares: there"
            yield Problem(record.where, "the note names none of the households that share in place.md", hint)
        if not record.parts:
            yield Problem(record.where, f'"{record.amount}" is no amount of fruit', "write it as 22 lb or 2 boxes")


def _of_days(holding: Holding, known_on: date) -> Iterator[Problem]:
    late: list[Record] = [
        record for record in holding.records if record.day > known_on and record.what is not Happening.FREEZE_FORECAST
    ]
    for record in late:
        if record.season > holding.place.working_year_of(known_on).year or not record.about:
            hint = "was another day meant?"
            if record.what is Happening.FROST:
                hint = 'was another day meant? A frost that is forecast is written "freeze forecast", as 26 F'
            yield Problem(record.where, f"{record.day} is still to come", hint)


def _of_doubts(holding: Holding) -> Iterator[Problem]:
    """Count in one line what is set aside of each station file."""
    for doubt in holding.weather.doubtful:
        kinds = (
            (doubt.crossed, "with the lowest temperature above the highest"),
            (doubt.impossible, "with an impossible temperature"),
            (doubt.stuck, "with the very same temperatures as the days before"),
        )
        days = "; ".join(f"{count} {why}" for count, why in kinds if count)
        count = doubt.crossed + doubt.impossible + doubt.stuck
        hint = "short gaps are filled; where you know better, put the right ones in"
        yield Problem(Where(doubt.file), f"{count} days are set aside: {days}", hint)


def _of_weather(holding: Holding) -> Iterator[Problem]:
    gaps = holding.weather.gaps
    hint = "put the days in if you have them; a spring with a gap does not help to foretell bloom"
    for gap in gaps[-_GAPS_NAMED:]:
        yield Problem(Where("weather"), gap_words(IN_ENGLISH, gap), hint)
    if len(gaps) > _GAPS_NAMED:
        yield Problem(Where("weather"), f"{len(gaps) - _GAPS_NAMED} earlier gaps", hint)
