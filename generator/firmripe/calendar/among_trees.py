"""Jobs among the trees: only for those that stand, and only on days on which people may go in."""

from __future__ import annotations

from collections.abc import Iterable
from collections.abc import Set as AbstractSet
from datetime import date, timedelta

from msgspec.structs import replace

from firmripe.calendar.because import Held, PutOff
from firmripe.calendar.entry import Entry
from firmripe.calendar.reentry import Waiting, days_closed, days_touched, first_open, sprayed
from firmripe.days import Span
from firmripe.holding.holding import Holding
from firmripe.holding.record import Happening, Record
from firmripe.holding.standing import gone_by
from firmripe.holding.tree import Bearing
from firmripe.lately import answered_once


@answered_once
def among_trees(holding: Holding, as_of: date) -> AmongTrees:
    """Return where and when people may work among a household's trees, the same for every season and house."""
    return AmongTrees(holding, as_of)


class AmongTrees:
    """Where and when people may work among a household's trees, as known on a day."""

    def __init__(self, holding: Holding, as_of: date) -> None:
        self._as_of = as_of
        self._gone = gone_by(holding.trees, holding.records, as_of)
        self._closing: dict[str, list[tuple[int, Record]]] = {}
        for at, record in enumerate(holding.records):
            if record.what is Happening.SPRAY and record.re_entry_h and record.day <= as_of:
                self._closing.setdefault(record.tree, []).append((at, record))

    def allowed(self, entry: Entry) -> Entry | None:
        """Return a job for the trees that stand, on days on which people may go in; None where none is left."""
        standing = self._while_they_stand(entry) if self._gone else entry
        return self._when_people_may_go_in(standing) if standing and self._closing else standing

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
        sprays = self._sprays(ends, min(entry.days[0], entry.span.first))
        if not sprays:
            return entry
        closed: dict[str, set[date]] = {tree: set() for tree in ends}
        for spray in sprays:
            for tree in [spray.tree] if spray.tree else closed:
                closed[tree].update(days_closed(spray))
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
        shut = set.intersection(*closed.values())
        moved = replace(moved, closed=frozenset(day for day in shut if day in moved.span))
        return self._told_of(moved, sprays, {*entry.days, *days}, len(ends))

    def _told_of(self, entry: Entry, sprays: Iterable[Record], days: AbstractSet[date], trees: int) -> Entry:
        """Return a job that tells of the sprays that touch its days, and of those not over that touch its span."""
        held, waiting = list[Held](), [*entry.waiting]
        today = self._as_of
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

    def _sprays(self, trees: Iterable[str], since: date) -> list[Record]:
        """Return the sprays of the whole place and of some trees that keep anybody out on a day from one on."""
        lines = (line for tag in {"", *trees} for line in self._closing.get(tag, ()))
        return [spray for _, spray in sorted(line for line in lines if days_touched(line[1])[-1] >= since)]
