"""From entries to what a calendar shows of them: a reminder on one day, and for several days a window."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from firmripe.calendar.entry import Entry
from firmripe.holding.holding import Holding
from firmripe.holding.place import Alarm
from firmripe.holding.record import Happening
from firmripe.holding.task import Stage
from firmripe.publish.feeds.names import base_address, clean_text, entry_uid, window_uid
from firmripe.publish.ledger import Said
from firmripe.publish.paths import Paths
from firmripe.publish.wary import cautions_said, heeded
from firmripe.saying import _, n_, term
from firmripe.words import between, rhythm_words, span_words

_ALARMS = {Alarm.DAY_BEFORE: timedelta(hours=-15), Alarm.SAME_DAY: timedelta(hours=9), Alarm.NONE: None}
"""From the first moment of the day: nine in the morning of the day before, or of the day itself."""

_AFTER_PICK = frozenset({Stage.CONDITIONED, Stage.TAKE_OUT, Stage.READY, Stage.USE_BY, Stage.KEEP_UNTIL})
_PICKINGS = frozenset({Happening.FIRST_PICK, Happening.PICK, Happening.LAST_PICK})
_LONGEST_HINT = 400
"""Characters of a why or a hint; cautions are never cut."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Appointment:
    """What stands in a calendar: whole days from `first` to `last`, both included, with clean texts.

    `alarm` is counted from the first moment of the first day.
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

    @property
    def content(self) -> str:
        """A hash of all that is shown; it changes when and only when the event does."""
        parts = (self.first, self.last, self.title, self.text, self.category, self.url, self.related_to, self.alarm)
        return hashlib.sha256("\0".join(map(str, parts)).encode()).hexdigest()[:16]


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """An entry with its reminder and, where it takes several days, its windows.

    It has one, or one on each side of days on which nobody may go to its trees.
    """

    entry: Entry
    reminder: Appointment | None
    windows: tuple[Appointment, ...]

    @property
    def said(self) -> tuple[Said, ...]:
        """What the ledger keeps of it. Only reminders of everybody's are named to others."""
        season, day = self.entry.season, self.entry.span.first
        found = []
        if self.reminder is not None:
            title = "" if self.entry.task.only_for else self.reminder.title
            found.append(Said(self.reminder.uid, self.reminder.content, season, day, title))
        found += [Said(window.uid, window.content, season, day, "") for window in self.windows]
        return tuple(found)

    @property
    def shown(self) -> tuple[Appointment, ...]:
        """All that calendars may show of it."""
        return (*([self.reminder] if self.reminder else []), *self.windows)

    def without_ghosts(self, as_of: date, told: Callable[[str], bool]) -> Planned:
        """Return it without what lies before a day, unless its day was noted or it was told in a calendar before.

        A plan that is made today for the first time says nothing of days that nobody had.
        """

        def stays(one: Appointment) -> bool:
            return one.last >= as_of or self.entry.seen or told(one.uid)

        return Planned(
            entry=self.entry,
            reminder=self.reminder if self.reminder and stays(self.reminder) else None,
            windows=tuple(filter(stays, self.windows)),
        )


def planned(entries: Iterable[Entry], holding: Holding, paths: Paths, as_of: date) -> tuple[Planned, ...]:
    """Return all entries that ask for a reminder, as calendars show them."""
    return tuple(_planned(entry, holding, paths, as_of) for entry in entries if entry.task.reminder)


def _planned(entry: Entry, holding: Holding, paths: Paths, as_of: date) -> Planned:
    place, span = holding.place, entry.span
    base = base_address(place)
    url = base + _page(entry, paths) if base and not entry.task.only_for else ""
    amount = _amount(entry, holding, as_of)
    reminder = Appointment(
        uid=entry_uid(place, entry),
        first=span.first,
        last=span.first,
        title=clean_text(f"{entry.title}, {amount}" if amount else entry.title),
        text=clean_text("\n".join([*_lines(entry), url])),
        category=term(entry.task.topic.value).capitalize(),
        url=url,
        alarm=_ALARMS[place.reminder_alarm],
    )
    stretches = entry.stretches if span.first != span.last else ()
    windows = tuple(
        Appointment(
            uid=window_uid(place, entry, number),
            first=stretch.first,
            last=stretch.last,
            title=reminder.title,
            text=reminder.text,
            category=reminder.category,
            url=url,
            related_to=reminder.uid,
        )
        for number, stretch in enumerate(stretches, start=1)
    )
    return Planned(entry=entry, reminder=reminder, windows=windows)


def _page(entry: Entry, paths: Paths) -> str:
    if entry.task.when.stage in {Stage.CANNING_DAY, Stage.KITCHEN_DAY}:
        return paths.session(entry.subject)
    tags = {bearing.tree for bearing in entry.bearings}
    return paths.tree(tags.pop()) if entry.subject and len(tags) == 1 else paths.task(entry.task.key)


def _lines(entry: Entry) -> list[str]:
    """Return what the reminder says below its title, so that it stands alone."""
    task, lines = entry.task, []
    if entry.span.first != entry.span.last:
        rhythm = f", {rhythm_words(task.every)}" if task.every else ""
        lines.append(f"{span_words(entry.span)}{rhythm}.")
    if entry.seen:
        lines.append(_("Counted from a day that was seen and noted."))
    if reach := between(entry.reach.earliest, entry.reach.latest):
        lines.append(
            _("A rough estimate: {reach}.", reach=reach) if entry.rough else _("An estimate: {reach}.", reach=reach)
        )
    if entry.told:
        lines.append(entry.told)
    lines += [_sentence(term(figure.text)) for figure in (*heeded(task.why)[:1], *heeded(task.look_for)[:1])]
    if task.bring:
        lines.append(_("Bring: {bring}.", bring=", ".join(term(thing) for thing in task.bring)))
    return lines + [_("Caution: {figure}", figure=words) for words in cautions_said(task.cautions)]


def _sentence(text: str) -> str:
    short = text if len(text) <= _LONGEST_HINT else f"{text[:_LONGEST_HINT].rstrip()}…"
    return short + ("" if short.endswith((".", "!", "?", "…")) else ".")


def _amount(entry: Entry, holding: Holding, as_of: date) -> str:
    """Say how much fruit an entry is about: what was picked, as noted, or how many trees there are to pick."""
    if len(entry.bearings) != 1 or not entry.subject:
        return ""
    (bearing,) = entry.bearings
    tree = holding.tree(bearing.tree)
    if entry.task.when.stage not in _AFTER_PICK:
        return n_("{n} tree", "{n} trees", tree.count) if tree.count > 1 else ""
    noted = [
        record.amount
        for record in holding.records
        if record.what in _PICKINGS
        and record.tree == bearing.tree
        and (record.cultivar or len(tree.limbs) == 1)
        and record.is_about(bearing.tree, bearing.cultivar, bearing.crop)
        and record.season == entry.season
        and record.day <= as_of
    ]
    return _sum(noted) if all(noted) else ""


def _sum(amounts: list[str]) -> str:
    """Return amounts of one unit added up; nothing where they don't add up."""
    matches = [re.fullmatch(r"(\d{1,6}(?:\.\d{1,3})?) ?([a-z ]{1,12})", amount.casefold()) for amount in amounts]
    known = [(float(match[1]), match[2].rstrip("s")) for match in matches if match]
    if not known or len(known) < len(amounts) or len({unit for _, unit in known}) > 1:
        return ""
    total = sum(number for number, _ in known)
    unit = known[0][1]
    return f"{total:g} {unit}" if unit in {"lb", "kg", "g", "oz"} or total == 1 else f"{total:g} {unit}s"
