"""From jobs to what a calendar shows of them: a reminder on its day or turns, and for several days a window."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Iterator
from datetime import date, timedelta

from msgspec import Struct
from msgspec.structs import replace

from firmripe.calendar.entry import Entry
from firmripe.holding.place import Alarm
from firmripe.holding.task import Stage
from firmripe.publish.feeds.merging import Merged, merged
from firmripe.publish.feeds.names import base_address, clean_text, entry_uid, window_uid
from firmripe.publish.feeds.wording import Words
from firmripe.publish.ledger import Said
from firmripe.publish.paths import Paths
from firmripe.words import begun

_ALARMS = {Alarm.DAY_BEFORE: timedelta(hours=-15), Alarm.SAME_DAY: timedelta(hours=9), Alarm.NONE: None}
"""From the first moment of the day: nine in the morning of the day before, or of the day itself."""


class Appointment(Struct, frozen=True, kw_only=True):
    """What stands in a calendar: whole days from `first` to `last`, both included, with clean texts.

    What comes back stands on each of its `turns` for one day, the first of which is `first`. `alarm` is counted from
    the first moment of the first day, and of no other.
    """

    uid: str
    first: date
    last: date
    title: str
    text: str
    category: str
    url: str = ""
    related_to: str = ""
    alarm: timedelta | None = None
    turns: tuple[date, ...] = ()

    @property
    def over(self) -> date:
        """The last day on which it stands."""
        return self.turns[-1] if self.turns else self.last

    @property
    def content(self) -> str:
        """A hash of all that is shown; it changes when and only when the event does."""
        whole = (self.first, self.last, self.title, self.text, self.category, self.url, self.related_to, self.alarm)
        parts = (*whole, *self.turns)
        return hashlib.sha256("\0".join(map(str, parts)).encode()).hexdigest()[:16]


class Planned(Struct, frozen=True, kw_only=True):
    """Jobs that are one appointment, with their reminder and, where one takes several days, its windows.

    A job has one window, or one on each side of days on which nobody may go to its trees.
    """

    of: Merged
    reminder: Appointment | None
    windows: tuple[Appointment, ...]

    @property
    def entry(self) -> Entry:
        """The job whose identity they have; all of them are for the same hands, and of one task."""
        return self.of.lead

    @property
    def for_ledger(self) -> tuple[Said, ...]:
        """What the ledger keeps of it. Only reminders of everybody's are named to others."""
        season = self.entry.season
        found = []
        if self.reminder is not None:
            title = "" if self.entry.task.only_for else self.reminder.title
            found.append(Said(self.reminder.uid, self.reminder.content, season, self.reminder.first, title))
        found += [Said(window.uid, window.content, season, window.first, "") for window in self.windows]
        return tuple(found)

    @property
    def shown(self) -> tuple[Appointment, ...]:
        """All that calendars may show of it."""
        return (*([self.reminder] if self.reminder else []), *self.windows)


def planned(
    entries: Iterable[Entry], words: Words, paths: Paths, told: Callable[[str], date | None] = lambda _uid: date.min
) -> tuple[Planned, ...]:
    """Return all entries that ask for a reminder, as calendars show them.

    What lies before the day of knowledge is left out unless its day was noted or it was told in a calendar before:
    a plan that is made today for the first time says nothing of days that nobody had. `told` gives the day on which
    an event was said to begin, None for one that was not; without it all were told.
    """
    holding = words.holding

    def shown(one: Merged) -> tuple[date, ...]:
        """Return the days of an appointment that a calendar shows."""
        noted = {entry.span.first for entry in one.entries if entry.is_noted}
        if one.repeats and noted:
            return one.days
        since = told(entry_uid(holding.place, one.lead))
        days = tuple(day for day in one.days if day in noted or day >= (words.as_of if since is None else since))
        return days or (() if since is None else one.days)

    asked = [entry for entry in entries if entry.task.reminder]
    return tuple(
        _planned(one, words, paths, shown(one), told) for one in merged(asked, holding, lambda one: bool(shown(one)))
    )


def _planned(
    of: Merged, words: Words, paths: Paths, days: tuple[date, ...], told: Callable[[str], date | None]
) -> Planned:
    place, whole = words.holding.place, of
    if told(entry_uid(place, of.lead)) is None and not of.repeats:
        # Jobs whose days nobody was told of lend it neither their names nor their identity.
        of = replace(of, entries=tuple(entry for entry in of.entries if entry.span.first in days) or of.entries)
    lead, base = of.lead, base_address(place)
    url = base + _page(of, paths) if base and not lead.task.only_for else ""
    reminder = Appointment(
        uid=entry_uid(place, lead),
        first=(days or of.days)[0],
        last=(days or of.days)[0],
        turns=days if whole.repeats and len(days) > 1 else (),
        title=clean_text(words.title(of)),
        text=clean_text("\n".join([*words.lines(of), url])),
        category=begun(words.tongue.term(lead.task.topic.value)),
        url=url,
        alarm=_ALARMS[place.reminder_alarm],
    )
    seen = all(entry.is_noted for entry in whole.entries)
    windows = (window for entry in whole.entries for window in _windows(entry, reminder, whole, words))
    return Planned(
        of=of,
        reminder=reminder if days else None,
        windows=tuple(one for one in windows if seen or one.last >= words.as_of or told(one.uid) is not None),
    )


def _windows(entry: Entry, reminder: Appointment, of: Merged, words: Words) -> Iterator[Appointment]:
    if entry.span.first == entry.span.last:
        return
    alone = of if len(of.entries) == 1 else Merged(entries=(entry,))
    for number, stretch in enumerate(entry.stretches, start=1):
        yield Appointment(
            uid=window_uid(words.holding.place, entry, number),
            first=stretch.first,
            last=stretch.last,
            title=clean_text(words.title(alone)),
            text=clean_text("\n".join([*words.lines(alone), reminder.url])),
            category=reminder.category,
            url=reminder.url,
            related_to=reminder.uid,
        )


def _page(of: Merged, paths: Paths) -> str:
    lead = of.lead
    if lead.task.when.stage in {Stage.CANNING_DAY, Stage.KITCHEN_DAY}:
        return paths.session(lead.subject)
    tags = {bearing.tree for entry in of.entries for bearing in entry.bearings}
    return paths.tree(tags.pop()) if lead.subject and len(tags) == 1 else paths.task(lead.task.key)
