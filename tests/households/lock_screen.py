"""A household's feed read as on a lock screen: what rings and stands on each day, and how much of a title is seen.

Run as a script it tells the counts month by month: `python tests/households/lock_screen.py [NAME …]`.
"""

from __future__ import annotations

import re
import sys
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from agreeing import Broken, rule, said
from dateutil.rrule import rrulestr
from forty import Household, lines_of
from statements import Event, Site

SEEN, FIRST = 25, 15
"""Characters of a title that a lock screen shows, and those within which what and which have to stand."""
MOST_A_DAY, MOST_A_YEAR, MOST_OF_ONE_TREE = 3, 90, 15
"""Entries that begin on a day without a pick or a session, and entries of a year, for 20 trees; and those of one."""
FEED = "feeds/reminders.ics"


@dataclass(frozen=True, slots=True)
class Shown:
    """An event on one of its days, and whether it rings then."""

    day: date
    event: Event
    rings: bool


def expanded(events: Iterable[Event]) -> Iterator[Shown]:
    """Yield every event on each day it stands on, those that come back on each of their turns."""
    everything = list(events)
    instead = {(event.uid, event.recurrence): event for event in everything if event.recurrence}
    for event in everything:
        if event.recurrence:
            continue
        for day in _turns(event):
            other = instead.get((event.uid, day), event)
            yield Shown(other.first if other is not event else day, other, other.rings)


def _turns(event: Event) -> Iterator[date]:
    if not event.turns:
        yield event.first
        return
    start = datetime(event.first.year, event.first.month, event.first.day)  # noqa: DTZ001 - days, no hours
    rule_ = rrulestr(re.sub(r"UNTIL=(\d{8})(?!T)", r"UNTIL=\1T000000", event.turns), dtstart=start)
    yield from (moment.date() for moment in rule_ if moment.date() not in event.left_out)


def of_the_year(site: Site) -> list[Shown]:
    """Return what a feed shows in the year from the day it is made."""
    last = site.made_on + timedelta(days=364)
    return [one for one in expanded(site.feeds.get(FEED, ())) if site.made_on <= one.day <= last]


def is_of_the_pick(one: Shown, site: Site) -> bool:
    """Say whether an event is a picking or a session in the kitchen, planned or where no kitchen days are told of."""
    pages = {row["uid"]: row["page"] for row in site.plan}
    return bool(re.search(r"jobs/(pick|gather|clip|canning-day|kitchen-day|put-up)", pages.get(one.event.uid, "")))


@rule
def a_phone_rings_for_what_has_to_be_done(site: Site, household: Household) -> Iterator[Broken]:
    """For up to 20 trees at most three entries ring on a day without a pick or a session, and 90 in a year; 15 for one tree."""
    shown = of_the_year(site)
    rings = Counter(one.day for one in shown if one.rings)
    busy = {one.day for one in shown if is_of_the_pick(one, site)}
    trees = len(lines_of(household.trees))
    entries = {one.event.uid for one in shown}
    most = MOST_OF_ONE_TREE if trees == 1 else MOST_A_YEAR
    if trees <= 20 and len(entries) > most:
        yield f"{len(entries)} entries in a year of {trees} trees", said(FEED, f"at most {most}"), ""
    for day, number in sorted(rings.items()):
        if trees <= 20 and number > MOST_A_DAY and day not in busy:
            titles = "; ".join(one.event.title for one in shown if one.day == day and one.rings)
            yield f"{day}", said(FEED, f"{number} ring: {titles}"), f"at most {MOST_A_DAY} without a pick or a session"


@rule
def a_title_says_what_and_which_at_its_start(site: Site, _household: Household) -> Iterator[Broken]:
    """The first tree or cultivar of a title begins within its first 15 characters; of longer words than English within 25."""
    first = FIRST if site.hearing.is_english else SEEN
    pages = {row["uid"]: row["page"] for row in site.plan}
    names: dict[str, set[str]] = defaultdict(set)
    for row in site.plan:
        if row["for"]:
            names[row["page"]] |= {*row["trees"], *re.findall(r"^[^\W\d_]{3,}", row["for"])}
    for one in of_the_year(site):
        title = one.event.title
        known = "|".join(map(re.escape, names[pages.get(one.event.uid, "")]))
        found = re.search(rf"(?<![\w-])(?:{known})(?![\w-])", title) if known else None
        if found and found.start() >= first:
            yield title, said(FEED, title), f"which begins at character {found.start() + 1}"


@rule
def a_repeating_job_rings_once(site: Site, _household: Household) -> Iterator[Broken]:
    """What comes back rings on its first day alone."""
    rings = Counter(one.event.uid for one in expanded(site.feeds.get(FEED, ())) if one.rings)
    for event in site.feeds.get(FEED, ()):
        if event.turns and rings[event.uid] > 1:
            yield event.title, said(FEED, f"rings {rings[event.uid]} times"), ""


def told(site: Site, household: Household) -> str:
    """Return one household's counts: entries, what rings, month by month, and how long titles are."""
    shown = of_the_year(site)
    rings = Counter(one.day for one in shown if one.rings)
    months = Counter(f"{day:%Y-%m}" for day in rings.elements())
    plain = {
        day: n for day, n in rings.items() if not any(one.day == day and is_of_the_pick(one, site) for one in shown)
    }
    titles = {one.event.uid: one.event.title for one in shown}
    whole = sum(len(title) <= SEEN for title in titles.values())
    return (
        f"{household.name}: {len(titles)} entries, {sum(rings.values())} ring, at most {max(rings.values(), default=0)} on a day "
        f"and {max(plain.values(), default=0)} on one without a pick or a session; {whole} of {len(titles)} titles within {SEEN}; "
        + ", ".join(f"{month} {n}" for month, n in sorted(months.items()))
    )


if __name__ == "__main__":
    from building import site_of
    from forty import HOUSEHOLDS

    for one in HOUSEHOLDS:
        if len(sys.argv) == 1 or one.name in sys.argv[1:]:
            print(told(site_of(one), one))
