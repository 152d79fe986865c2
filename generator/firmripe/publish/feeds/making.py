"""Which calendar files there are, what stands in each, and how they are written from the ledger's stamps."""

from __future__ import annotations

import hashlib
import hmac
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, datetime
from itertools import groupby

from dateutil.relativedelta import relativedelta
from msgspec import Struct

from firmripe.calendar.entry import Entry
from firmripe.holding.hands import hands_of
from firmripe.holding.holding import Holding
from firmripe.holding.place import Person
from firmripe.holding.reader import THE_HOUSEHOLD, Reader
from firmripe.holding.task import Topic
from firmripe.plan import Plan, entries_before_last, past_entries
from firmripe.publish.feeds.appointments import Appointment, Planned, planned
from firmripe.publish.feeds.components import Header, calendar, written
from firmripe.publish.feeds.feed import Feed, FeedBundle, FeedPart, Feeds
from firmripe.publish.feeds.names import base_address, entry_uid, named_uid, plain_name
from firmripe.publish.feeds.wording import Words
from firmripe.publish.ledger import Ledger, Said
from firmripe.publish.paths import Paths
from firmripe.publish.slugs import slug
from firmripe.tongue import Tongue, mark
from firmripe.words import begun, counted

FOLDER = "feeds"
LARGEST = 1_000_000
"""Octets. By report the most that a large calendar service takes; a longer one is silently not read at all."""
LARGE = 900_000
"""Octets of the events of one file, so that the file with its header stays below `LARGEST`."""
LONGEST_ADDRESS = 256
"""Characters. By report the longest address that a large calendar service takes."""

_OWN_AND_HOUSE = mark(
    "Take your own and your house’s: what you do alone is in the one, what the house shares in the other."
)
_COLOURS = {"reminders": ("olivedrab", "#6B8E23"), "windows": ("goldenrod", "#DAA520")}
_ABOUT = {
    "reminders": mark("What is to be done and on which day. Every date is an estimate and moves with what is noted."),
    "windows": mark("How long each job has time. Every date is an estimate and moves with what is noted."),
}


class _Choice(Struct, frozen=True):
    """What one pair of files is for, and which entries it takes."""

    of: str
    identity: str
    takes: Callable[[Entry], bool]


class Maker:
    """Writes every feed of a plan after a ledger; what has changed since is stamped with `now`."""

    def __init__(self, plan: Plan, former: Ledger, now: date) -> None:
        self._plan, self._former, self._now = plan, former, now
        self._tongue = plan.holding.place.tongue
        self._holding = plan.holding
        self._base = base_address(plan.holding.place)
        self._names: set[str] = set()

    def feeds(self) -> Feeds:
        """Return all feeds, with the ledger after them."""
        plan = self._plan
        past = (*self._older(), *past_entries(plan))
        known = {entry.identity for entry in past}
        entries = (*(entry for entry in plan.calendar.entries if entry.identity not in known), *past)
        items = planned(entries, Words.of(plan), Paths(plan), self._was_told)
        year = plan.season.year.year
        said = {one.uid: one for item in items for one in item.for_ledger}
        ledger = self._former.advanced(said.values(), self._now, (year - 1, year))
        octets = {
            one.uid: written(one, ledger.lines[one.uid].sequence, ledger.lines[one.uid].changed)
            for item in items
            for one in item.shown
        }
        secret = self._holding.place.feed_secret
        drafts = [
            (title, about, listed, [draft for choice in choices for draft in self._pair(choice, items, octets, listed)])
            for title, about, listed, choices in self._groups(listed_people=not secret)
        ]
        calendars = [draft for *_, pair in drafts for draft in pair]
        ledger = ledger.advanced([draft.said for draft in calendars], self._now)
        groups = tuple(
            FeedBundle(
                title=title, about=about, listed=listed, feeds=tuple(self._feed(draft, ledger) for draft in pair)
            )
            for title, about, listed, pair in drafts
        )
        return Feeds(
            groups=groups, ledger=ledger, shown=frozenset(octets), warnings=tuple(_warnings(groups, self._base))
        )

    def _was_told(self, uid: str) -> date | None:
        """Return the day on which an event was said to begin when it was told last; None where it was not."""
        line = self._former.lines.get(uid)
        return None if line is None or line.is_gone else line.said.day

    def _older(self) -> tuple[Entry, ...]:
        """Return what was told of the season before the former one, within the twelve months that calendars keep."""
        plan = self._plan
        year, since = plan.season.year.year, plan.season.as_of - relativedelta(years=1)
        told = {
            line.said.uid
            for line in self._former.lines.values()
            if line.said.season == year - 2 and line.said.day >= since and not line.is_gone
        }
        if not told or plan.reader != THE_HOUSEHOLD:
            return ()
        return tuple(entry for entry in entries_before_last(plan) if entry_uid(self._holding.place, entry) in told)

    def _groups(self, *, listed_people: bool) -> Iterable[tuple[str, str, bool, list[_Choice]]]:
        tongue = self._tongue
        yield (
            tongue.say("Everything"),
            tongue.say("All there is to do, in one calendar."),
            True,
            [_Choice("", "all", lambda entry: not entry.task.only_for)],
        )
        yield (
            tongue.say("By where the work is"),
            tongue.say("Take one or several; no day stands in two of them."),
            True,
            [_Choice(topic.value, f"topic|{topic.value}", _of_topic(topic)) for topic in Topic],
        )
        if people := _people(self._holding, self._plan.reader):
            yield (
                tongue.say("By person and house"),
                " ".join([tongue.term(_OWN_AND_HOUSE), *_of_one(tongue, self._holding.place.people)]),
                listed_people,
                people,
            )

    def _pair(self, choice: _Choice, items: Iterable[Planned], octets: dict[str, bytes], listed: bool) -> list[_Draft]:  # noqa: FBT001
        mine = [item for item in items if choice.takes(item.entry)]
        base = self._file_name(choice, listed=listed)
        return [
            *self._drafts(choice, base, "reminders", [item.reminder for item in mine if item.reminder], octets),
            *self._drafts(choice, base, "windows", [window for item in mine for window in item.windows], octets),
        ]

    def _drafts(
        self, choice: _Choice, base: str, kind: str, shown: list[Appointment], octets: dict[str, bytes]
    ) -> Iterator[_Draft]:
        ordered = sorted(shown, key=lambda one: (one.first, one.uid))
        parts = _parted(ordered, lambda one: len(octets[one.uid]), self._plan.season.as_of.replace(day=1))
        for number, part in enumerate(parts, start=1):
            body = [octets[one.uid] for one in part]
            yield self._draft(choice, base, kind, body, FeedPart(number=number, of=len(parts)))

    def _file_name(self, choice: _Choice, *, listed: bool) -> str:
        """Return what the names of a pair of files begin with, each only once."""
        if not choice.of:
            return ""
        plain = name = slug(choice.of)
        number = 2
        while name in self._names:
            name = f"{plain}-{number}"
            number += 1
        self._names.add(name)
        if listed:
            return f"{name}-"
        secret = self._holding.place.feed_secret.encode()
        return f"{name}-{hmac.new(secret, choice.identity.encode(), hashlib.sha256).hexdigest()[:24]}-"

    def _draft(self, choice: _Choice, base: str, kind: str, body: list[bytes], part: FeedPart) -> _Draft:
        tongue = self._tongue
        numbered = f"-{part.number}" if part.number > 1 else ""
        path = f"{FOLDER}/{base}{kind}{numbered}.ics"
        place = self._holding.place
        name = plain_name(
            tongue.say(
                "{of} {kind} {place}",
                of=begun(tongue.term(choice.of)),
                kind=tongue.term(kind),
                place=place.name,
            )
            if choice.of
            else tongue.say("{place} {kind}", place=place.name, kind=tongue.term(kind))
        )
        name = name or tongue.term(kind)
        if part.of > 1:
            name = tongue.say("{name}, part {number} of {all}", name=name, number=part.number, all=part.of)
        address = self._base + path if self._base else ""
        header = Header(
            name=name,
            about=tongue.term(_ABOUT[kind]),
            colour=_COLOURS[kind],
            source=address,
            url=f"{self._base}subscribe.html" if address else "",
        )
        content = hashlib.sha256(calendar(header, body)).hexdigest()[:16]
        uid = named_uid(place, f"feed|{choice.identity}|{kind}{numbered}")
        return _Draft(path, kind, choice.of, part, header, body, Said(uid, content, 0, self._now, ""))

    def _feed(self, draft: _Draft, ledger: Ledger) -> Feed:
        changed: datetime = ledger.lines[draft.said.uid].changed
        data = calendar(draft.header.with_change(changed), draft.body)
        return Feed(path=draft.path, kind=draft.kind, of=draft.of, part=draft.part, count=len(draft.body), data=data)


class _Draft(Struct, frozen=True):
    path: str
    kind: str
    of: str
    part: FeedPart
    header: Header
    body: list[bytes]
    said: Said


def _parted(
    ordered: Sequence[Appointment], octets_of: Callable[[Appointment], int], since: date
) -> list[list[Appointment]]:
    """Part events in order of time so that no part is longer than `LARGE`, between months where that can be.

    What goes on or comes since a day stands before what is over, so that the first part is the one that helps most.
    """
    if sum(map(octets_of, ordered)) <= LARGE:
        return [list(ordered)]
    by_need = sorted(ordered, key=lambda one: one.over < since)
    months = [list(month) for _, month in groupby(by_need, key=lambda one: (one.first.year, one.first.month))]
    parts: list[list[Appointment]] = [[]]
    octets = 0
    for month in months:
        size = sum(map(octets_of, month))
        for chunk in [month] if size <= LARGE else [[one] for one in month]:
            more = sum(map(octets_of, chunk))
            if parts[-1] and octets + more > LARGE:
                parts.append([])
                octets = 0
            parts[-1] += chunk
            octets += more
    return parts


def _of_topic(topic: Topic) -> Callable[[Entry], bool]:
    return lambda entry: entry.task.topic is topic and not entry.task.only_for


def _of_one(tongue: Tongue, people: Sequence[Person]) -> Iterator[str]:
    """Yield why a house of one person has no calendar of its own."""
    houses: dict[str, list[str]] = {}
    for person in people:
        if person.household:
            houses.setdefault(person.household, []).append(person.name)
    for house, members in sorted(houses.items()):
        if len(members) == 1:
            yield tongue.say(
                "{house} is {person} alone, whose own calendar has all of it.", house=house, person=members[0]
            )


def _people(holding: Holding, reader: Reader) -> list[_Choice]:
    """Return the choices of houses and people, so parted that a person's own and their house's share no day.

    A site for some of the household has theirs alone.
    """
    people = list({person.name: person for person in holding.place.people}.values())
    houses: dict[str, frozenset[str]] = {}
    for person in people:
        houses[person.household] = houses.get(person.household, frozenset()) | {person.name}
    shared = {name: members for name, members in houses.items() if name and len(members) > 1}
    found = [
        _Choice(name, f"house|{name}", _shared_by(members, holding))
        for name, members in sorted(shared.items())
        if not reader.people or reader.people & members
    ]
    for person in people:
        if reader.people and person.name not in reader.people:
            continue
        members = shared.get(person.household, frozenset({person.name}))
        found.append(_Choice(person.name, f"person|{person.name}", _alone(person, members, holding)))
    return found


def _shared_by(members: frozenset[str], holding: Holding) -> Callable[[Entry], bool]:
    def takes(entry: Entry) -> bool:
        hands = hands_of(entry.task, entry.bearings, holding, entry.days, entry.house).people
        return not entry.task.only_for and (not hands or len(hands & members) > 1)

    return takes


def _alone(person: Person, members: frozenset[str], holding: Holding) -> Callable[[Entry], bool]:
    def takes(entry: Entry) -> bool:
        if entry.task.only_for:
            return entry.task.only_for == person.name
        hands = hands_of(entry.task, entry.bearings, holding, entry.days, entry.house).people
        return hands & members == {person.name} or (not hands and len(members) == 1)

    return takes


def _warnings(groups: Iterable[FeedBundle], base: str) -> Iterable[str]:
    for group in groups:
        for feed in group.feeds:
            if feed.part.of > 1 and feed.part.number == 1:
                yield (
                    f"{feed.path} would be longer than the {LARGEST:,} bytes that calendar services take, so it comes"
                    f" in {counted(feed.part.of, 'part')}; who subscribes takes each of them."
                )
            if base and len(base + feed.path) > LONGEST_ADDRESS:
                yield f"The address of {feed.path} is longer than {LONGEST_ADDRESS} characters, too long for some apps."
