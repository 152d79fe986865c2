"""From the season, its lots and the tasks to dated entries, each of which knows why it stands on its day."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from collections.abc import Set as AbstractSet
from datetime import date, timedelta
from typing import Final

from dateutil.relativedelta import relativedelta
from msgspec import Struct
from msgspec.structs import replace

from firmripe.calendar.absence import with_hands
from firmripe.calendar.because import Held, InStore, NoPicking, NoSuchDay, NotMet, NotTold, PickMoved, PutOff
from firmripe.calendar.entry import Calendar, Entry, Undated, in_order
from firmripe.calendar.names import CultivarWanted, OfCultivar, OfFruit, OfLimb, OfTree, OfWant, StageOf
from firmripe.calendar.pickings import (
    AFTER_THE_PICK,
    PICKING,
    Turn,
    comes_with_each,
    due,
    is_after_the_pick,
    later_pickings_without_days,
    turns,
)
from firmripe.calendar.reentry import Waiting, days_closed, days_touched, first_open, sprayed
from firmripe.days import Span
from firmripe.harvest.allotting import by_house
from firmripe.harvest.lots import Lot, lies_until
from firmripe.harvest.passes import has_no_next_day, more_is_to_come
from firmripe.harvest.spaces import warm_room
from firmripe.harvest.takeouts import NoTakeOut, TakeOut
from firmripe.holding.figures import is_meant
from firmripe.holding.fruit import Cultivar, Event, Ripens
from firmripe.holding.holding import Holding
from firmripe.holding.preserve import PutUp
from firmripe.holding.record import Happening, Record
from firmripe.holding.standing import gone_by, may_be_unsettled
from firmripe.holding.task import OF_THE_KITCHEN, Anchor, Condition, Each, Stage, Task, Topic
from firmripe.holding.tree import Bearing
from firmripe.kitchen.admitting import ways_to_put_up
from firmripe.remark import Remark
from firmripe.season.because import EventOf
from firmripe.season.estimate import Basis, Estimate, NoDate, Reach
from firmripe.season.season import Season
from firmripe.season.spreads import PETAL_FALL_AFTER_D
from firmripe.season.usual import usual_of

_WANTED = frozenset({Stage.TAKE_OUT_WANTED, Stage.WANTED})
OF_THE_PICK = PICKING | (AFTER_THE_PICK - _WANTED - OF_THE_KITCHEN)
_OF_A_CROP = OF_THE_PICK | {Stage.FULL_BLOOM, Stage.PETAL_FALL}
_IN_STORE = frozenset({Stage.CONDITIONED, Stage.TAKE_OUT, Stage.KEEP_UNTIL, Stage.USE_BY})
_OF_THE_PLACE = frozenset({Stage.LAST_FROST, Stage.FIRST_FROST})
_NO_NEWS = frozenset({Stage.FULL_BLOOM, Stage.PETAL_FALL, Stage.LEAF_FALL})
"""Stages without a date that nobody misses a job for: of a bloom it is told elsewhere, and leaves are seen to fall."""
_PICKING_FROM, _LEAVES_FALL_FROM = 165, 273
"""Season days from which a day of the calendar moves with warmth as picking does, and as the fall of leaves (our
judgement: mid-June and October in the north)."""
_WINTER_FRUIT_UNTIL, _FROSTS_FROM = 105, 244
"""What is picked until mid-April hangs through the frosts before; no frost comes before September. J."""
FROST_NEAR_D: Final = 14
"""So many days before the first frost fruit is looked at that hangs late. J."""
ROUNDS_D: Final = 21
"""So long at most after the likeliest day rounds of picking stand that nobody has noted the first of. J."""
ROUND_D = 3
"""Trees whose days lie no farther apart are done in one round. J: nobody walks the same row twice in three days."""
_EVENTS = {
    Stage.FULL_BLOOM: Event.FULL_BLOOM,
    Stage.PETAL_FALL: Event.FULL_BLOOM,
    **dict.fromkeys(OF_THE_PICK, Event.PICK),
    Stage.LEAF_FALL: Event.LEAF_FALL,
}
"""The event of a bearing that the day of a stage is reckoned from."""


_OF_A_BATCH: Final = frozenset({Stage.CONDITIONED, Stage.TAKE_OUT, Stage.READY, Stage.USE_BY, Stage.KEEP_UNTIL})


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
        self._ways_of: dict[Bearing, frozenset[PutUp]] = {}
        self._tests = self._conditions()
        self._closing = [
            record
            for record in season.holding.records
            if record.what is Happening.SPRAY and record.re_entry_h and record.day <= season.as_of
        ]
        self._gone = gone_by(season.holding.trees, season.holding.records, season.as_of)
        self.entries: list[Entry] = []
        self.missing: dict[tuple[StageOf, Remark], dict[str, Task]] = {}

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
        bearings = [b for b in self._due(task) if not self._is_replaced(task, b)]
        bearings = [bearing for bearing in bearings if not stages & self._settled(bearing)]
        if not bearings:
            return
        for group in self._groups(task, bearings, stages):
            if comes_with_each(task) and len(group.bearings) == 1 and self._pick(group.bearings[0]) is not None:
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
        for answer in self._take_outs:
            want, batch = answer.wanted, answer.batch
            if batch is None or not self._is_for(task, batch.bearing):
                continue
            day = want.day if task.when.stage is Stage.WANTED else answer.day if isinstance(answer, TakeOut) else None
            if day is None:
                continue
            reach = _moved(Reach(earliest=day, likely=day, latest=day), task.when)
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
        if task.each not in {Each.CULTIVAR, Each.FRUIT} or task.every or stage is None or stage in _OF_THE_PLACE:
            return [group]
        if _waits_for_all(task.when):
            return [group]
        of_fruit = is_after_the_pick(task.when, task.topic)
        days: list[tuple[date, date, Bearing]] = []
        for bearing in group.bearings:
            reach = self._reach_of(task.when, bearing, task)
            if reach is not None:
                last = self._reach_of(task.until, bearing, task) if task.until is not None else None
                stays = reach.likely if of_fruit else reach.likely + timedelta(days=ROUND_D)
                days.append((reach.likely, max(stays, last.likely) if last else stays, bearing))
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

    def _add_round(self, task: Task, group: _Group, lasting: str) -> None:
        firsts = self._reaches(task.when, group, task)
        if not firsts:
            return
        waits = _waits_for_all(task.when)
        first = (max if waits else min)(reach.likely for reach in firsts)
        last = first
        if task.until is not None:
            lasts = [reach.likely for reach in self._reaches(task.until, group, task)]
            if task.until.day is not None:
                lasts = [_over_new_year(first, day) for day in lasts]
            last = max([first, *lasts])
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
            seen=all(self._is_seen(task.when, bearing) for bearing in group.bearings),
            every=task.every,
        )
        self._put(replace(self._entry(task, group, turn), lasting=lasting))

    def _rounds_of_picking(self, group: _Group, first: date, last: date) -> tuple[date, date]:
        """Return the first and last day of rounds of picking: from the likeliest day of the pick, and not for long.

        How early or late the pick may come is no length of the harvest: before it the fruit is looked at, and once a
        picking is noted the next is counted from it.
        """
        likely = [pick.likely for bearing in group.bearings if (pick := self._pick(bearing)) is not None]
        if not likely:
            return first, last
        return min(likely), max(min(likely), min(last, max(likely) + timedelta(days=ROUNDS_D)))

    def _add_pickings(self, task: Task, group: _Group) -> None:
        """Hang a job on each picking of a crop."""
        (bearing,) = group.bearings
        pick, lot = self._pick(bearing), self._lots[bearing]
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
            rough=any(self._is_rough(task.when, bearing) for bearing in group.bearings),
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
            pick = self._pick(bearing)
            if pick is not None and pick.waits_for_label and pick.not_before is not None and pick.not_before > first:
                yield Waiting(tree=bearing.tree, wait=NoPicking(before=pick.not_before, by_label=True))

    def _put(self, entry: Entry) -> None:
        """Add an entry; one among the trees only for those that stand, and when people may go in."""
        allowed: Entry | None = entry
        if entry.task.topic is Topic.ORCHARD:
            standing = self._while_they_stand(entry)
            allowed = standing and self._when_people_may_go_in(standing)
        if allowed is not None:
            self.entries.append(with_hands(allowed, self._holding, self._season.as_of))

    def _stands_until(self, bearing: Bearing) -> date:
        return self._gone.get((bearing.tree, bearing.cultivar), date.max)

    def _while_they_stand(self, entry: Entry) -> Entry | None:
        """Return a job without its days and trees from the day on that they were taken out; None where none is left.

        A job of the whole place needs no tree.
        """
        end = max(self._stands_until(bearing) for bearing in entry.bearings)
        if end == date.max or not entry.subject:
            days, last, latest = entry.days, entry.span.last, entry.reach.latest
        else:
            days = tuple(day for day in entry.days if day < end)
            if not days:
                return None
            eve = end - timedelta(days=1)
            last, latest = min(entry.span.last, eve), max(entry.reach.likely, min(entry.reach.latest, eve))
        bearings = tuple(bearing for bearing in entry.bearings if self._stands_until(bearing) > days[0])
        return replace(
            entry,
            days=days,
            span=Span(first=entry.span.first, last=last),
            reach=replace(entry.reach, latest=latest),
            bearings=bearings or entry.bearings,
            waiting=tuple(one for one in entry.waiting if one.tree in {bearing.tree for bearing in bearings}),
        )

    def _when_people_may_go_in(self, entry: Entry) -> Entry | None:
        """Return a job on days on which one of its trees at least may be gone to, and say which may not.

        A day on which none may moves to the first on which one may; the others have a day of their own where the job
        would be over before theirs. None is returned where the trees are taken out before they are open again.
        """
        ends: dict[str, date] = {}
        for bearing in entry.bearings:
            ends[bearing.tree] = max(ends.get(bearing.tree, date.min), self._stands_until(bearing))
        if not entry.subject and max(ends.values()) <= entry.days[-1]:
            ends[""] = date.max  # nobody's tree: a job of the place goes on when all are gone
        sprays = self._sprays(ends)
        if not sprays:
            return entry
        closed = {
            tree: {day: spray for spray in sprays if spray.tree in {"", tree} for day in days_closed(spray)}
            for tree in ends
        }
        days: set[date] = set()
        late: set[date] = set()
        for day in entry.days:
            opens = {first_open(closed[tree], day) for tree, end in ends.items() if first_open(closed[tree], day) < end}
            if opens:
                days.add(min(opens))
                late |= {other for other in opens if other > max(min(opens), entry.span.last)}
        days |= {day for day in late if day > max(days)}
        if not days:
            return None
        moved = entry.on(tuple(sorted(days)))
        if entry.task.every is None and moved.days[0] > entry.days[0]:
            moved = moved.with_held(PutOff(day=entry.days[0]))
        shut = frozenset.intersection(*(frozenset(of_tree) for of_tree in closed.values()))
        moved = replace(moved, closed=frozenset(day for day in shut if day in moved.span))
        return self._told_of(moved, sprays, {*entry.days, *days}, len(ends))

    def _told_of(self, entry: Entry, sprays: Iterable[Record], days: AbstractSet[date], trees: int) -> Entry:
        """Return a job that tells of the sprays that touch its days, and of those not over that touch its span."""
        held, waiting = list[Held](), [*entry.waiting]
        today = self._season.as_of
        for spray in sprays:
            touched = days_touched(spray)
            if touched[-1] < today <= entry.span.last:
                continue  # people may go in again, and the job goes on
            to_come = [day for day in touched if day in entry.span] if touched[-1] >= today else []
            if not to_come and not days & set(touched):
                continue
            if spray.tree and trees > 1:
                waiting.append(Waiting(tree=spray.tree, wait=sprayed(spray)))
            else:
                held.append(sprayed(spray))
        return replace(entry.with_held(*held), waiting=tuple(waiting))

    def _sprays(self, trees: Iterable[str]) -> list[Record]:
        """Return the sprays with a re-entry time of the whole place and of some trees."""
        tags = {"", *trees}
        return [record for record in self._closing if record.tree in tags]

    def _pick_moved(self, anchor: Anchor, group: _Group) -> Iterable[PickMoved]:
        """Yield what a freeze to come or a spray's label has moved, for a job that hangs on the pick."""
        if anchor.stage not in PICKING:
            return
        picks = [pick for bearing in group.bearings if (pick := self._pick(bearing)) is not None]
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
        return [b for b in self._bearings if self._is_for(task, b) and self._is_due(task, b)]

    def _is_replaced(self, task: Task, bearing: Bearing) -> bool:
        """Say whether rounds of picking stand instead of a tree's own picking, or that instead of rounds.

        Rounds are gone as long as nobody knows when each tree is picked: not on the household's own days, nor once its
        first picking was noted, from which the next is counted.
        """
        pick = self._pick(bearing)
        own = pick is not None and (pick.is_over or pick.basis is Basis.OWN_DAYS)
        if task.instead_of:
            return own
        rounds = (one for one in self._holding.tasks if task.key in one.instead_of)
        return not own and any(self._is_for(one, bearing) and self._is_due(one, bearing) for one in rounds)

    def _is_for(self, task: Task, bearing: Bearing) -> bool:
        return is_meant(task, self._holding.keys(bearing))

    def _is_due(self, task: Task, bearing: Bearing) -> bool:
        return all(self._tests[condition](bearing) for condition in task.only_if)

    def _conditions(self) -> dict[Condition, Callable[[Bearing], bool]]:
        """Return what each condition of a task asks of a bearing."""
        year, means = self._season.year.year, self._holding.place.kitchen_means
        return {
            Condition.BEARS: self._season.bears,
            Condition.RIPENS_OFF: lambda of: self._ripens_off(of) not in {None, Ripens.NO},
            Condition.RIPENS_ON: lambda of: self._ripens_off(of) is Ripens.NO,
            Condition.NEEDS_COLD: lambda of: of in self._lots and self._lots[of].needs_cold,
            Condition.CAN_BE_PUT_UP: lambda of: bool(self._ways(of)),
            Condition.CAN_BE_CANNED: lambda of: PutUp.CANNER in self._ways(of),
            Condition.CANNOT_BE_CANNED: lambda of: PutUp.CANNER not in self._ways(of),
            Condition.NOT_FIXED: lambda of: not self._is_fixed(of),
            Condition.NO_KITCHEN_PLAN: lambda _: not means.is_planned,
            Condition.DRIES: lambda _: means.dries,
            Condition.NEWLY_PLANTED: lambda of: self._holding.tree(of.tree).planted == year,
            Condition.YOUNG: lambda of: may_be_unsettled(self._holding.tree(of.tree), year),
            Condition.HANGS_LATE: self._hangs_late,
            Condition.MORE_HANGS: self._more_hangs,
        }

    def _ripens_off(self, bearing: Bearing) -> Ripens | None:
        """Return whether fruit of a bearing goes on ripening off the tree; None where that is not told."""
        ripens = self._holding.limb(bearing).traits.ripens_off_the_tree
        return ripens.value if ripens is not None else None

    def _more_hangs(self, bearing: Bearing) -> bool:
        """Say whether more of a crop is to be picked, and nothing tells when the next picking comes."""
        lot = self._lots.get(bearing)
        return lot is not None and has_no_next_day(self._season, bearing, lot.pickings)

    def _hangs_late(self, bearing: Bearing) -> bool:
        """Say whether fruit of a bearing may still hang when the first frost is near, of this crop or the next.

        Where nobody knows when it is picked it may; what was all picked, or is before autumn, does not.
        """
        lot, year, place = self._lots.get(bearing), self._season.year, self._holding.place
        if lot is None:
            return True
        last = max(picking.day.latest for picking in lot.pickings)
        if year.day_number(last) < _WINTER_FRUIT_UNTIL:
            return True
        if all(picking.noted for picking in lot.pickings) and not more_is_to_come(self._season, bearing):
            return False
        if place.first_frost is None:
            return max(year.day_number(picking.due) for picking in lot.pickings) >= _FROSTS_FROM
        return last >= year.place_day(place.first_frost.first, place.hemisphere) - timedelta(days=FROST_NEAR_D)

    def _ways(self, bearing: Bearing) -> frozenset[PutUp]:
        """Return the ways in which the fruit of a bearing can be put up; into jars only where a process admits it."""
        if bearing not in self._ways_of:
            self._ways_of[bearing] = ways_to_put_up(self._holding, bearing)
        return self._ways_of[bearing]

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
        of_the_pick = bool(stages & OF_THE_PICK)
        tree, limb = self._holding.tree(bearing.tree), self._holding.limb(bearing)
        crop = bearing.crop if stages & _OF_A_CROP else ""
        if task.each is Each.PLACE:
            return "", "", None
        if task.each is Each.FRUIT and limb.fruit:
            return limb.fruit.key, crop, OfFruit(fruit=limb.fruit.name, crop=crop)
        if task.each in {Each.FRUIT, Each.CULTIVAR}:
            return limb.key, crop, OfCultivar(limb=limb.name, crop=crop)
        of_limb = OfLimb(limb=limb.name, tree=tree.tag, crop=crop)
        if len(tree.limbs) == 1:
            return tree.tag, crop, of_limb
        if of_the_pick:
            return f"{tree.tag}/{limb.key}", crop, of_limb
        return tree.tag, crop, OfTree(tree=tree.tag, crop=crop)

    # On which day

    def _reaches(self, anchor: Anchor, group: _Group, task: Task) -> list[Reach]:
        if anchor.stage is None or anchor.stage in _OF_THE_PLACE:
            of_place = self._of_the_place(anchor, task)
            return [of_place] if of_place else []
        found: list[Reach] = []
        over: list[Reach] = []
        lacking: list[tuple[Bearing, NoDate]] = []
        for bearing in group.bearings:
            reach = self._of_bearing(anchor, bearing, task)
            if isinstance(reach, NoDate):
                lacking.append((bearing, reach))
                continue
            into = over if self._is_over(anchor, bearing) else found
            into.append(self._not_before_the_pick(_moved(reach, anchor), anchor, bearing, task))
        if found and task.each is Each.PLACE:
            found += over  # what is done once for all before the first pick comes no second time before the next
        if not found and anchor.stage not in _NO_NEWS:
            for bearing, reach in lacking:
                if self._season.bears(bearing):
                    of = OfLimb(limb=self._holding.limb(bearing).name, tree=bearing.tree)
                    self._lacks(StageOf(stage=anchor.stage, of=of), reach.reason, task)
        return found

    def _reach_of(self, anchor: Anchor, bearing: Bearing, task: Task) -> Reach | None:
        """Return when a job comes for one bearing; None where nothing says, or it is over."""
        if anchor.stage is None or anchor.stage in _OF_THE_PLACE:
            return self._of_the_place(anchor, task)
        reach = self._of_bearing(anchor, bearing, task)
        if isinstance(reach, NoDate) or self._is_over(anchor, bearing):
            return None
        return self._not_before_the_pick(_moved(reach, anchor), anchor, bearing, task)

    def _not_before_the_pick(self, reach: Reach, anchor: Anchor, bearing: Bearing, task: Task) -> Reach:
        """Return a day of work with stored fruit on no day on which that still hangs."""
        lot = self._lots.get(bearing)
        if lot is None or task.topic is not Topic.STORE or not is_after_the_pick(anchor, task.topic):
            return reach
        picked = lot.days[Stage.PICK]
        return Reach(
            earliest=max(reach.earliest, picked.earliest),
            likely=max(reach.likely, picked.likely),
            latest=max(reach.latest, picked.latest),
        )

    def _lacks(self, what: StageOf, reason: Remark, task: Task) -> None:
        """Note that a day is missing, and for which task."""
        self.missing.setdefault((what, reason), {})[task.key] = task

    def _of_the_place(self, anchor: Anchor, task: Task) -> Reach | None:
        place, year = self._holding.place, self._season.year
        if anchor.day is not None:
            day = year.place_day(anchor.day, anchor.written_for)
            if task.zone and place.ground.zone:
                event = _event_about(year.day_number(day))
                later = usual_of(self._holding).between_zones(event, task.zone, place.ground.zone)
                day += timedelta(days=round(later))
            return _moved(Reach(earliest=day, likely=day, latest=day), anchor)
        stage = anchor.stage or Stage.FIRST_FROST
        frost = place.last_frost if stage is Stage.LAST_FROST else place.first_frost
        if frost is None:
            self._lacks(StageOf(stage=stage), NotTold(), task)
            return None
        first = year.place_day(frost.first, place.hemisphere)
        last = _over_new_year(first, year.place_day(frost.last, place.hemisphere))
        return _moved(Reach(earliest=first, likely=first + (last - first) / 2, latest=last), anchor)

    def _of_bearing(self, anchor: Anchor, bearing: Bearing, task: Task) -> Reach | NoDate:
        stage = anchor.stage or Stage.PICK
        if anchor is task.until and stage is Stage.KEEP_UNTIL and task.each is Each.PLACE and bearing in self._lots:
            lies = lies_until(self._lots[bearing])  # the round is over when nothing lies there any more
            if lies is not None:
                return lies
        if stage in OF_THE_PICK:
            before = anchor is task.when and not is_after_the_pick(anchor, task.topic)
            return self._after_pick(stage, bearing, before=before)
        if stage is Stage.PETAL_FALL and (noted := self._noted_petal_fall(bearing)) is not None:
            return noted
        dated = self._season.of(bearing, _EVENTS[stage])
        if isinstance(dated, NoDate):
            return dated
        after = PETAL_FALL_AFTER_D
        return dated.reach.after(after, after, after) if stage is Stage.PETAL_FALL else dated.reach

    def _after_pick(self, stage: Stage, bearing: Bearing, *, before: bool) -> Reach | NoDate:
        """Return a day of the pick or after it; what is done `before` it stays on its day while fruit hangs."""
        pick = self._season.of(bearing, Event.PICK)
        if isinstance(pick, NoDate):
            return pick
        lot = self._lots[bearing]
        last = max([pick.latest, *(picking.day.latest for picking in lot.pickings[1:])])
        ends = {Stage.EARLIEST_PICK: pick.earliest, Stage.LATEST_PICK: last}
        if stage in ends:
            return Reach(earliest=ends[stage], likely=ends[stage], latest=ends[stage])
        if stage is Stage.PICK and before:
            return due(lot.pickings[0], pick)
        return lot.days.get(stage) or NoDate(reason=lot.undated.get(stage, NoSuchDay(stage=stage)))

    def _noted_petal_fall(self, bearing: Bearing) -> Reach | None:
        for record in self._holding.noted(bearing.tree):
            if (
                record.what is Happening.PETAL_FALL
                and record.is_about(bearing.tree, bearing.cultivar, bearing.crop)
                and record.season == self._season.year.year
                and record.day <= self._season.as_of
            ):
                return Reach(earliest=record.day, likely=record.day, latest=record.day)
        return None

    def _pick(self, bearing: Bearing) -> Estimate | None:
        pick = self._season.of(bearing, Event.PICK)
        return pick if isinstance(pick, Estimate) else None

    def _is_over(self, anchor: Anchor, bearing: Bearing) -> bool:
        """Say whether looking out for the pick is over: for the first when it is noted, for the last when all are."""
        pick = self._pick(bearing)
        if pick is None or not pick.is_over or max(anchor.months, anchor.days) > 0:
            return False
        all_picked = all(picking.noted for picking in self._lots[bearing].pickings)
        return anchor.stage is Stage.EARLIEST_PICK or (anchor.stage is Stage.LATEST_PICK and all_picked)

    def _is_fixed(self, bearing: Bearing) -> bool:
        """Say whether its only picking has a day that the household fixed."""
        pick, lot = self._pick(bearing), self._lots.get(bearing)
        return pick is not None and pick.basis is Basis.PINNED and (lot is None or len(lot.pickings) == 1)

    def _hangs_on(self, anchor: Anchor, bearing: Bearing) -> Estimate | None:
        """Return the date of the bearing that an anchor hangs on; None for a day of the calendar or the place."""
        event = _EVENTS.get(anchor.stage) if anchor.stage else None
        dated = self._season.of(bearing, event) if event else None
        return dated if isinstance(dated, Estimate) else None

    def _is_rough(self, anchor: Anchor, bearing: Bearing) -> bool:
        dated = self._hangs_on(anchor, bearing)
        return dated is not None and dated.rough

    def _is_seen(self, anchor: Anchor, bearing: Bearing) -> bool:
        dated = self._hangs_on(anchor, bearing)
        return dated is not None and dated.basis is Basis.RECORDED


def _event_about(season_day: float) -> Event:
    """Return the event that moves with warmth as days of that time of the season do."""
    if season_day < _PICKING_FROM:
        return Event.FULL_BLOOM
    return Event.PICK if season_day < _LEAVES_FALL_FROM else Event.LEAF_FALL


def _is_of_a_batch(task: Task) -> bool:
    """Say whether a task is done with fruit on a day that it has where it lies, so that each house's part has its own.

    What is done once for the whole place, or gets ready for that day, is no house's.
    """
    when = task.when
    return task.each is not Each.PLACE and when.stage in _OF_A_BATCH and not when.days and not when.months


def _waits_for_all(anchor: Anchor) -> bool:
    """Say whether a job comes after the last pick of them all."""
    return anchor.stage is Stage.LATEST_PICK and max(anchor.months, anchor.days) > 0


def _over_new_year(first: date, last: date) -> date:
    """Return the last day of a stretch of the calendar: one half a year and more before its first is next year's."""
    return last + relativedelta(years=1) if last + relativedelta(months=6) <= first else last


def _moved(reach: Reach, anchor: Anchor) -> Reach:
    if not anchor.months and not anchor.days:
        return reach
    step = relativedelta(months=anchor.months, days=anchor.days) if anchor.months else timedelta(days=anchor.days)
    return Reach(earliest=reach.earliest + step, likely=reach.likely + step, latest=reach.latest + step)


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
