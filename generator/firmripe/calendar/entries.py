"""From the season, its lots and the tasks to dated entries, each of which knows why it stands on its day."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from datetime import date, timedelta
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from firmripe.calendar.absence import with_hands
from firmripe.calendar.among_trees import among_trees
from firmripe.calendar.anchoring import OF_THE_PICK, OF_THE_PLACE, Anchoring, moved, waits_for_all
from firmripe.calendar.because import InStore, NoPicking, NotMet, PickMoved
from firmripe.calendar.conditions import Conditions
from firmripe.calendar.entry import Calendar, Entry, Undated, in_order
from firmripe.calendar.names import CultivarWanted, OfCultivar, OfFruit, OfLimb, OfTree, OfWant, StageOf
from firmripe.calendar.pickings import (
    PICKING,
    Turn,
    comes_with_each,
    is_after_the_pick,
    later_pickings_without_days,
    turns,
)
from firmripe.calendar.reentry import Waiting
from firmripe.days import Span
from firmripe.harvest.allotting import by_house
from firmripe.harvest.lots import Lot
from firmripe.harvest.spaces import warm_room
from firmripe.harvest.takeouts import NoTakeOut, TakeOut
from firmripe.holding.figures import is_meant
from firmripe.holding.fruit import Cultivar, Event
from firmripe.holding.holding import Holding
from firmripe.holding.task import OF_THE_KITCHEN, Anchor, Each, Stage, Task, Topic
from firmripe.holding.tree import Bearing
from firmripe.remark import Remark
from firmripe.season.because import EventOf
from firmripe.season.estimate import Basis, NoDate, Reach
from firmripe.season.season import Season

_WANTED = frozenset({Stage.TAKE_OUT_WANTED, Stage.WANTED})
_OF_A_CROP = OF_THE_PICK | {Stage.FULL_BLOOM, Stage.PETAL_FALL}
_IN_STORE = frozenset({Stage.CONDITIONED, Stage.TAKE_OUT, Stage.KEEP_UNTIL, Stage.USE_BY})
_OF_A_BATCH = frozenset({Stage.CONDITIONED, Stage.TAKE_OUT, Stage.READY, Stage.USE_BY, Stage.KEEP_UNTIL})
ROUNDS_D: Final = 21
"""So long at most after the likeliest day rounds of picking stand that nobody has noted the first of. J."""
ROUND_D: Final = 3
"""Trees whose days lie no farther apart are done in one round. J: nobody walks the same row twice in three days."""


def expand(
    season: Season,
    lots: Mapping[Bearing, Lot],
    take_outs: Iterable[TakeOut | NoTakeOut] = (),
    hanging: AbstractSet[Bearing] = frozenset(),
) -> Calendar:
    """Hang every task on the season, and on what its fruit is wanted for.

    Of the crops `hanging` nobody knows whether they are picked: what follows their pick is not merged with that of
    others.
    """
    answers = tuple(take_outs)
    expansion = _Expansion(season, lots, answers, hanging)
    for task in season.holding.tasks:
        if not _is_of_a_batch(task):
            expansion.add(task)
    for house, part in by_house(lots).items():
        of_house = _Expansion(season, part, (), hanging, house)
        of_house.leave_out(bearing for bearing in season.bearings if bearing not in part and (house or bearing in lots))
        for task in season.holding.tasks:
            if _is_of_a_batch(task):
                of_house.add(task)
        expansion.take_over(of_house)
    unmet = tuple(
        Undated(
            what=CultivarWanted(cultivar=answer.wanted.cultivar, day=answer.wanted.day),
            reason=answer.reason,
            wanted=True,
        )
        for answer in answers
        if isinstance(answer, NoTakeOut) and answer.wanted.day >= season.as_of
    )
    undated = (*_what_has_no_date(season, expansion.missing), *later_pickings_without_days(season, lots), *unmet)
    return Calendar(entries=in_order(expansion.entries), undated=undated)


class _Group(Struct, frozen=True):
    """The bearings that one entry is for, and what they are called by together.

    It `waits` where nobody knows whether they are picked, beside others of the same name that are not asked about.
    """

    subject: str
    name: Remark | None
    crop: str
    bearings: tuple[Bearing, ...]
    waits: bool = False
    house: str = ""

    def lasting(self, number: int) -> str:
        """Return what a round of it is known by; nothing for the first, which has the identity of the whole."""
        later = [
            *([self.house] if self.house else []),
            *(["unanswered"] if self.waits else []),
            *([f"round {number}"] if number > 1 else []),
        ]
        return "/".join((self.subject, *later)) if later else ""


class _Expansion:
    def __init__(
        self,
        season: Season,
        lots: Mapping[Bearing, Lot],
        take_outs: tuple[TakeOut | NoTakeOut, ...],
        hanging: AbstractSet[Bearing],
        house: str = "",
    ) -> None:
        self._season = season
        self._house = house
        self._hanging = hanging
        self._take_outs = take_outs
        self._holding: Holding = season.holding
        self._lots = lots
        self._bearings = season.bearings
        self._conditions = Conditions(season, lots)
        self._anchoring = Anchoring(season, lots)
        self._among_trees = among_trees(season.holding, season.as_of)
        self.entries: list[Entry] = []

    @property
    def missing(self) -> dict[tuple[StageOf, Remark], dict[str, Task]]:
        """What has no day, and the tasks that lack it."""
        return self._anchoring.missing

    def leave_out(self, bearings: Iterable[Bearing]) -> None:
        """Hang nothing on bearings whose fruit is another house's."""
        left_out = set(bearings)
        self._bearings = tuple(bearing for bearing in self._bearings if bearing not in left_out)

    def take_over(self, other: _Expansion) -> None:
        """Take what another expansion has found as its own."""
        self.entries += other.entries
        for what, tasks in other.missing.items():
            self.missing.setdefault(what, {}).update(tasks)

    def add(self, task: Task) -> None:
        anchors = [anchor for anchor in (task.when, task.until) if anchor is not None]
        stages = {anchor.stage for anchor in anchors if anchor.stage}
        if stages & _WANTED:
            self._add_wants(task)
            return
        if stages & OF_THE_KITCHEN:
            return  # the kitchen plan has its own days (see kitchen_days)
        bearings = [bearing for bearing in self._not_replaced(task) if not stages & self._settled(bearing)]
        if not bearings:
            return
        for group in self._groups(task, bearings, stages):
            alone = group.bearings[0] if len(group.bearings) == 1 else None
            if comes_with_each(task) and alone and self._anchoring.pick(alone) is not None:
                self._add_pickings(task, group)
            else:
                self._add_group(task, group)

    def _settled(self, bearing: Bearing) -> frozenset[Stage]:
        """Return the stages that a bearing's fruit has no day of, because all of it goes elsewhere or is gone."""
        lot = self._lots.get(bearing)
        return lot.settled if lot is not None else frozenset()

    def _add_wants(self, task: Task) -> None:
        """Hang a task on each day that fruit is wanted, or is to be taken out for it."""
        found: dict[str, Entry] = {}
        times: Counter[str] = Counter()
        for answer in self._take_outs:
            want, batch = answer.wanted, answer.batch
            if batch is None or not self._is_for(task, batch.bearing):
                continue
            day = want.day if task.when.stage is Stage.WANTED else answer.day if isinstance(answer, TakeOut) else None
            if day is None:
                continue
            reach = moved(Reach(earliest=day, likely=day, latest=day), task.when)
            again = (batch.bearing.tree,) if isinstance(answer, TakeOut) and answer.is_more else ()
            entry = Entry(
                task=task,
                subject="/".join((batch.bearing.cultivar, want.day.isoformat(), want.purpose or want.amount, *again)),
                name=OfWant(
                    limb=batch.limb.name,
                    tree=batch.bearing.tree,
                    amount=answer.amount if isinstance(answer, TakeOut) else want.amount,
                    purpose=want.purpose,
                    day=want.day,
                ),
                crop=batch.bearing.crop,
                season=self._season.year.year,
                span=Span(first=reach.likely, last=reach.likely),
                days=(reach.likely,),
                bearings=(batch.bearing,),
                reach=reach,
                held=() if isinstance(answer, TakeOut) else (NotMet(why=answer.reason),),
            )
            times[entry.identity] += 1
            if isinstance(answer, TakeOut) and entry.identity in found:  # more of one tree, or another want like it
                entry = replace(entry, lasting=f"{entry.subject}/{times[entry.identity]}")
            found.setdefault(entry.identity, entry)
        for entry in found.values():
            self._put(entry)

    def _add_group(self, task: Task, group: _Group) -> None:
        """Hang a job on a group of trees, in rounds where their days lie too far apart for one."""
        rounds = self._rounds(task, group)
        for number, part in enumerate(rounds, 1):
            self._add_round(task, part, group.lasting(number))

    def _rounds(self, task: Task, group: _Group) -> list[_Group]:
        """Part the trees of one cultivar or fruit by their days: who comes while the job is on comes along.

        With picked fruit that is on its own day or while the job lasts, never while it hangs yet.
        """
        stage = task.when.stage
        if task.each not in {Each.CULTIVAR, Each.FRUIT} or task.every or stage is None or stage in OF_THE_PLACE:
            return [group]
        if waits_for_all(task.when):
            return [group]
        of_fruit = is_after_the_pick(task.when, task.topic)
        firsts = self._anchoring.reaches_of(task.when, group.bearings, task)
        lasts = self._lasts(task, {bearing: reach.likely for bearing, reach in firsts.items()})
        days: list[tuple[date, date, Bearing]] = []
        for bearing, reach in firsts.items():
            stays = reach.likely if of_fruit else reach.likely + timedelta(days=ROUND_D)
            days.append((reach.likely, max(stays, lasts.get(bearing, stays)), bearing))
        rounds: list[tuple[date, list[Bearing]]] = []
        for first, end, bearing in sorted(days):
            if rounds and first <= rounds[-1][0]:
                rounds[-1] = min(end, rounds[-1][0]), [*rounds[-1][1], bearing]
            else:
                rounds.append((end, [bearing]))
        if len(rounds) < 2:
            return [group]
        order = {bearing: at for at, bearing in enumerate(group.bearings)}
        return [replace(group, bearings=tuple(sorted(part, key=order.__getitem__))) for _end, part in rounds]

    def _lasts(self, task: Task, firsts: Mapping[Bearing, date]) -> dict[Bearing, date]:
        """Return the last day of a job for each of some bearings, by its first; what lacks a date has none."""
        until = task.until
        if until is None:
            return {}
        if until.day is not None:
            return {of: self._anchoring.end_in_the_calendar(task, until, first) for of, first in firsts.items()}
        return {of: reach.likely for of, reach in self._anchoring.reaches_of(until, firsts, task).items()}

    def _add_round(self, task: Task, group: _Group, lasting: str) -> None:
        firsts = self._anchoring.reaches(task.when, group.bearings, task)
        if not firsts:
            return
        waits = waits_for_all(task.when)
        first = (max if waits else min)(reach.likely for reach in firsts)
        last = first
        if task.until is not None and task.until.day is not None:
            last = max(first, self._anchoring.end_in_the_calendar(task, task.until, first))
        elif task.until is not None:
            lasts = self._anchoring.reaches(task.until, group.bearings, task)
            last = max([first, *(reach.likely for reach in lasts)])
        if task.instead_of and task.every:
            first, last = self._rounds_of_picking(group, first, last)
        span = Span(first=first, last=last)
        reach = Reach(
            earliest=min(reach.earliest for reach in firsts),
            likely=first,
            latest=max([first, *(reach.latest for reach in firsts)]),
        )
        turn = Turn(
            reach=reach,
            last=last,
            days=tuple(task.every.days_in(span)) if task.every else (first,),
            numbers=(),
            seen=self._anchoring.is_seen(task.when, group.bearings),
            every=task.every,
        )
        self._put(replace(self._entry(task, group, turn), lasting=lasting))

    def _rounds_of_picking(self, group: _Group, first: date, last: date) -> tuple[date, date]:
        """Return the first and last day of rounds of picking: from the likeliest day of the pick, and not for long.

        How early or late the pick may come is no length of the harvest: before it the fruit is looked at, and once a
        picking is noted the next is counted from it.
        """
        likely = [pick.likely for bearing in group.bearings if (pick := self._anchoring.pick(bearing)) is not None]
        if not likely:
            return first, last
        return min(likely), max(min(likely), min(last, max(likely) + timedelta(days=ROUNDS_D)))

    def _add_pickings(self, task: Task, group: _Group) -> None:
        """Hang a job on each picking of a crop."""
        (bearing,) = group.bearings
        pick, lot = self._anchoring.pick(bearing), self._lots[bearing]
        for turn in turns(task, lot, pick) if pick is not None else ():
            entry = replace(self._entry(task, group, turn), pickings=turn.numbers, of=len(lot.pickings))
            if entry.follows:
                entry = replace(entry, lasting=f"{group.subject}/picking {turn.numbers[0]}")
            self._put(entry)

    def _entry(self, task: Task, group: _Group, turn: Turn) -> Entry:
        return Entry(
            task=task,
            subject=group.subject,
            name=group.name,
            crop=group.crop,
            season=self._season.year.year,
            span=Span(first=turn.days[0], last=max(turn.days[0], turn.last)),
            days=turn.days,
            bearings=group.bearings,
            reach=turn.reach,
            held=tuple(dict.fromkeys([*self._pick_moved(task.when, group), *self._alerts(task.when, group)])),
            rough=self._anchoring.is_rough(task.when, group.bearings),
            seen=turn.seen,
            waiting=tuple(self._not_to_be_picked(task.when, group, turn.days[0])),
            every=turn.every,
            house=group.house,
        )

    def _not_to_be_picked(self, anchor: Anchor, group: _Group, first: date) -> Iterable[Waiting]:
        """Yield the trees whose days to harvest are not over when a picking of several trees begins."""
        if anchor.stage not in PICKING or anchor.months or anchor.days:
            return  # before it they may go there, and after it nobody picks
        if len({bearing.tree for bearing in group.bearings}) < 2:
            return  # its own day says it
        for bearing in group.bearings:
            pick = self._anchoring.pick(bearing)
            if pick is not None and pick.waits_for_label and pick.not_before is not None and pick.not_before > first:
                yield Waiting(tree=bearing.tree, wait=NoPicking(before=pick.not_before, by_label=True))

    def _put(self, entry: Entry) -> None:
        """Add an entry; one among the trees only for those that stand, and when people may go in."""
        allowed: Entry | None = entry
        if entry.task.topic is Topic.ORCHARD:
            allowed = self._among_trees.allowed(entry)
        if allowed is not None:
            self.entries.append(with_hands(allowed, self._holding, self._season.as_of))

    def _pick_moved(self, anchor: Anchor, group: _Group) -> Iterable[PickMoved]:
        """Yield what a freeze to come or a spray's label has moved, for a job that hangs on the pick."""
        if anchor.stage not in PICKING:
            return
        picks = [pick for bearing in group.bearings if (pick := self._anchoring.pick(bearing)) is not None]
        alone = len({bearing.tree for bearing in group.bearings}) == 1
        drawn = next((pick for pick in picks if pick.not_after is not None or (alone and pick.clash)), None)
        if drawn is not None and drawn.clash is not None:
            yield PickMoved(why=drawn.clash)

    def _alerts(self, anchor: Anchor, group: _Group) -> Iterable[InStore]:
        """Yield what is to be minded of picked fruit, for jobs with it: it lies too warm, or came out too soon."""
        for bearing in group.bearings if anchor.stage in _IN_STORE else ():
            lot = self._lots.get(bearing)
            if lot is not None and lot.alerts:
                yield from (InStore(what=alert) for alert in lot.alerts)
            if lot is not None and anchor.stage in {Stage.CONDITIONED, Stage.TAKE_OUT}:
                for batch in (batch for batch in lot.batches if batch.room and not batch.is_gone):
                    day = batch.days.get(Stage.TAKE_OUT, batch.picked).likely
                    if told := warm_room(self._holding.place, batch.room, batch.limb, day):
                        yield InStore(what=told)

    # Which bearings, and in which groups

    def _due(self, task: Task) -> list[Bearing]:
        """Return the bearings that a task is due for, in walking order."""
        met = self._conditions.met(task)
        is_everybodys = not task.subjects and not task.not_for
        return [b for b in self._bearings if b in met and (is_everybodys or self._is_for(task, b))]

    def _not_replaced(self, task: Task) -> list[Bearing]:
        """Return the bearings that a task is due for without those that another job of picking is done for instead.

        Rounds of picking stand instead of a tree's own picking as long as nobody knows when each tree is picked: not on
        the household's own days, nor once its first picking was noted, from which the next is counted.
        """
        due = self._due(task)
        if task.instead_of:
            return [bearing for bearing in due if not self._has_own_days(bearing)]
        rounds = [one for one in self._holding.tasks if task.key in one.instead_of]
        by_rounds = {bearing for one in rounds for bearing in self._due(one) if not self._has_own_days(bearing)}
        return [bearing for bearing in due if bearing not in by_rounds]

    def _has_own_days(self, bearing: Bearing) -> bool:
        """Say whether it is known when a crop is picked: the household says so, or its first picking was noted."""
        pick = self._anchoring.pick(bearing)
        return pick is not None and (pick.is_over or pick.basis is Basis.OWN_DAYS)

    def _is_for(self, task: Task, bearing: Bearing) -> bool:
        return is_meant(task, self._holding.keys(bearing))

    def _groups(self, task: Task, bearings: list[Bearing], stages: AbstractSet[Stage]) -> Iterable[_Group]:
        grouped: dict[tuple[tuple[str, str, Remark | None], bool], list[Bearing]] = {}
        follows = is_after_the_pick(task.when, task.topic)
        for bearing in bearings:
            hangs = follows and bearing in self._hanging
            grouped.setdefault((self._group_of(task, bearing, stages), hangs), []).append(bearing)
        for (of, hangs), members in grouped.items():
            subject, crop, name = of
            waits = hangs and (of, False) in grouped
            yield _Group(subject, name, crop, tuple(members), waits=waits, house=self._house)

    def _group_of(self, task: Task, bearing: Bearing, stages: AbstractSet[Stage]) -> tuple[str, str, Remark | None]:
        """Return the subject, the crop and the name of the group that a bearing falls into."""
        if task.each is Each.PLACE:
            return "", "", None
        tree, limb = self._holding.tree(bearing.tree), self._holding.limb(bearing)
        crop = bearing.crop if stages & _OF_A_CROP else ""
        if task.each is Each.FRUIT and limb.fruit:
            return limb.fruit.key, crop, OfFruit(fruit=limb.fruit.name, crop=crop)
        if task.each in {Each.FRUIT, Each.CULTIVAR}:
            return limb.key, crop, OfCultivar(limb=limb.name, crop=crop)
        of_limb = OfLimb(limb=limb.name, tree=tree.tag, crop=crop)
        if len(tree.limbs) == 1:
            return tree.tag, crop, of_limb
        if stages & OF_THE_PICK:
            return f"{tree.tag}/{limb.key}", crop, of_limb
        return tree.tag, crop, OfTree(tree=tree.tag, crop=crop)


def _is_of_a_batch(task: Task) -> bool:
    """Say whether a task is done with fruit on a day that it has where it lies, so that each house's part has its own.

    What is done once for the whole place, or gets ready for that day, is no house's.
    """
    when = task.when
    return task.each is not Each.PLACE and when.stage in _OF_A_BATCH and not when.days and not when.months


def _is_bloom_of_none(season: Season, bearing: Bearing, limb: Cultivar) -> bool:
    """Say whether no crop of a limb has a bloom that can be dated."""
    crops = (bearing._replace(crop=crop) for crop in limb.crops)
    return all(isinstance(season.of(one, Event.FULL_BLOOM), NoDate) for one in crops)


def _what_has_no_date(
    season: Season, missing: Mapping[tuple[StageOf, Remark], Mapping[str, Task]]
) -> tuple[Undated, ...]:
    found: list[Undated] = []
    for happens, dated in sorted(season.dates.items()):
        if isinstance(dated, NoDate) and happens.event is not Event.LEAF_FALL:
            limb = season.holding.limb(happens.bearing)
            crop = happens.bearing.crop
            if happens.event is Event.FULL_BLOOM and limb.blooms_unseen:
                continue  # there is nothing for anybody to note
            if happens.event is Event.FULL_BLOOM and _is_bloom_of_none(season, happens.bearing, limb):
                if happens.bearing.crop != limb.crops[0]:
                    continue  # once for all its crops
                crop = ""
            event = EventOf(happens.event, limb.name, happens.bearing.tree, crop)
            found.append(Undated(what=event, reason=dated.reason, remedy=dated.remedy))
    for (what, reason), tasks in sorted(missing.items(), key=lambda item: _in_stages(item[0][0])):
        found.append(Undated(what=what, reason=reason, jobs=tuple(tasks[key] for key in sorted(tasks))))
    return tuple(found)


def _in_stages(what: StageOf) -> tuple[str, str, str]:
    """Return where what has no date stands among others: by stage, cultivar and tree."""
    return what.stage.value, what.of.limb if what.of else "", what.of.tree if what.of else ""
