"""Jobs on their days: one line for each, day by day, week by week and month by month."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, timedelta
from functools import partial

from dateutil.relativedelta import relativedelta
from msgspec.structs import replace

from firmripe.calendar.entry import Entry
from firmripe.calendar.minding import minded_on
from firmripe.calendar.names import OfLimb
from firmripe.days import Rhythm, Span
from firmripe.holding.hands import hands_of
from firmripe.holding.task import Each, Stage, Task, Topic
from firmripe.publish.hazards import hazards_of, together
from firmripe.publish.job_amounts import amount_words, kinds_words, pass_words, weight_of
from firmripe.publish.own_words import all_caution_words
from firmripe.publish.pages.by_kind import tags_link
from firmripe.publish.pages.context import PageContext
from firmripe.publish.views import DayBlock, Hazard, Item, Link, View
from firmripe.tongue import Tongue
from firmripe.wording import words_of
from firmripe.wording.calendar import beside_job
from firmripe.wording.names import kind_of, name_of
from firmripe.words import heading_day, long_day, month_name, on_tree, rhythm_words, span_words

_LONG_D = 14
"""A longer stretch tells what can hurt once for all its days."""
_MOST_TAGS = 4
"""A job for more trees than these says how many they are."""
_MANY_PEOPLE = 4
"""Among so many people and more it is shorter to say who does not do a job that nearly all do."""


class Period(View, frozen=True, kw_only=True):
    """A week or a month: days with tasks, and what goes on through it; `last_iso` is its last day.

    `folded` are the same days, shut, `jobs` how many there are on them. `hazards` are those of a whole month; a week's
    days tell theirs, and `minded` are those of what goes on through it.
    """

    title: str
    iso: str
    days: tuple[DayBlock, ...]
    going_on: tuple[Item, ...]
    hazards: tuple[Hazard, ...] = ()
    minded: tuple[Hazard, ...] = ()
    before: Link | None = None
    after: Link | None = None
    last_iso: str = ""
    folded: tuple[Folded, ...] = ()
    jobs: int = 0


class Folded(View, frozen=True, kw_only=True):
    """A later day, shut: its day of the week cut short, its first task, and how many more there are.

    `again` are its hazards that today has too, `day` has the others.
    """

    day: DayBlock
    again: tuple[Hazard, ...]
    weekday: str
    chief: str
    more: int


def what_of(context: PageContext, entry: Entry, day: date | None = None) -> str:
    """Say what an entry is for, without the tag that stands beside it, and which picking it is."""
    which = pass_words(context.tongue, entry, day)
    return f"{_whose(context, entry)} ({which})" if which else _whose(context, entry)


def who_words(context: PageContext, names: Sequence[str]) -> str:
    """Say who does a job; where nearly all do, who does not."""
    everybody = [person.name for person in context.holding.place.people]
    others = [name for name in everybody if name not in names]
    if len(everybody) < _MANY_PEOPLE or len(others) > 1 or not set(names) <= set(everybody):
        return ", ".join(names)
    return context.tongue.say("all but {name}", name=others[0]) if others else context.tongue.say("everybody")


def day_blocks(
    context: PageContext, entries: Iterable[Entry], span: Span, *, to_do: bool = False
) -> tuple[DayBlock, ...]:
    """Return the days of a span that have tasks, each with its lines; without what is noted if it is `to_do`."""
    by_day: dict[date, list[Entry]] = {}
    for entry in entries:
        for day in entry.days:
            if day in span and not (to_do and context.noting.is_noted(entry, day)):
                by_day.setdefault(day, []).append(entry)
    return tuple(day_block(context, day, by_day[day]) for day in sorted(by_day))


def days_of(context: PageContext, span: Span) -> tuple[DayBlock, ...]:
    """Return the days of a span that have tasks, each with all its lines; its week shows a day, and its month."""
    return tuple(
        context.once(("day", day), partial(day_block, context, day, entries))
        for day, entries in context.entries_of_day.items()
        if day in span
    )


def day_block(context: PageContext, day: date, entries: Sequence[Entry]) -> DayBlock:
    """Return a day with a line for each task of these entries."""
    tongue = context.tongue
    items = _items(context, entries, day)
    return DayBlock(
        iso=day.isoformat(),
        heading=heading_day(tongue, day),
        items=items,
        weekday=tongue.days[day.weekday()],
        number=str(day.day),
        month=tongue.months[day.month - 1],
        hazards=together(tongue, (hazard for item in items for hazard in item.hazards)),
    )


def going_on_in(context: PageContext, span: Span, but: Sequence[Entry] = ()) -> tuple[Item, ...]:
    """Return what began before a span and is still to be done, without a rhythm of its own."""
    return _items(
        context,
        (
            entry
            for entry in context.lasting
            if entry.span.first < span.first <= entry.span.last
            and any(stretch.meets(span) for stretch in entry.stretches)
            and entry not in but
        ),
    )


def stretch_of(context: PageContext, span: Span, title: str) -> Period:
    """Return the days of a span that have tasks, and what goes on through it."""
    tongue = context.tongue
    going_on, days = going_on_in(context, span), days_of(context, span)
    is_long = span.last - span.first > timedelta(days=_LONG_D)
    minded = [hazard for item in going_on for hazard in item.hazards]
    return Period(
        title=title,
        iso=span.first.isoformat(),
        days=days,
        going_on=going_on,
        hazards=together(tongue, [*(h for day in days for item in day.items for h in item.hazards), *minded])
        if is_long
        else (),
        minded=() if is_long else together(tongue, minded),
        last_iso=span.last.isoformat(),
        folded=tuple(folded(tongue, day, tagged=not is_long) for day in (_told_once(days) if is_long else days)),
        jobs=sum(len(day.items) for day in days),
    )


def week_of(context: PageContext, day: date) -> Span:
    """Return the week that a day lies in, as the household counts weeks."""
    first = day - timedelta(days=(day.weekday() - context.holding.place.week_starts) % 7)
    return Span(first=first, last=first + timedelta(days=6))


def all_weeks(context: PageContext) -> list[Span]:
    """Return every week that has something in it."""
    firsts = {week_of(context, day).first for day in context.entries_of_day}
    return [week_of(context, first) for first in sorted(firsts)]


def all_months(context: PageContext) -> list[Span]:
    """Return every month that has something in it."""
    firsts = {day.replace(day=1) for day in context.entries_of_day}
    return [Span(first=first, last=first + relativedelta(months=1) - timedelta(days=1)) for first in sorted(firsts)]


def week_page(context: PageContext, span: Span, around: Sequence[Span]) -> Period:
    """Return a week's view, with the ways to the weeks before and after."""
    return _between(
        context,
        span,
        around,
        context.tongue.say("Week of {day}", day=long_day(context.tongue, span.first)),
        lambda s: context.paths.week(s.first),
    )


def month_page(context: PageContext, span: Span, around: Sequence[Span]) -> Period:
    """Return a month's view, with the ways to the months before and after."""
    title = month_name(context.tongue, span.first.year, span.first.month)
    return _between(context, span, around, title, lambda s: context.paths.month(s.first))


def this_and_next(context: PageContext) -> tuple[tuple[Span, str], ...]:
    """Return the week that the day it is made lies in and the next, with their titles."""
    tongue = context.tongue
    this = week_of(context, context.season.as_of)
    following = week_of(context, this.last + timedelta(days=1))
    return (
        (this, tongue.say("This week, {days}", days=span_words(tongue, this))),
        (following, tongue.say("Next week, {days}", days=span_words(tongue, following))),
    )


def fortnight(context: PageContext) -> tuple[Period, ...]:
    """Return this week and the next."""
    return tuple(stretch_of(context, week, title) for week, title in this_and_next(context))


def folded(tongue: Tongue, day: DayBlock, *, tagged: bool = True) -> Folded:
    """Return a day in one line: its weightiest job, with the tags of its trees if `tagged`, and how many more."""
    first = day.items[0]
    told = not tagged or all(re.search(rf"(?<!\w){re.escape(tag.text)}(?!\w)", first.what) for tag in first.tags)
    names = "" if told else ", ".join(tag.text for tag in first.tags)
    of = on_tree(first.what, names) if first.what else names and f"({names})"
    chief = tongue.say("{task}: {what}", task=first.task.text, what=of) if of else first.task.text
    weekday = tongue.short_days[date.fromisoformat(day.iso).weekday()]
    return Folded(day=day, again=(), weekday=weekday, chief=chief, more=len(day.items) - 1)


def _trees_of(task: Task, entries: Iterable[Entry]) -> frozenset[str]:
    """Return the trees that a job is done at, or whose boxes it is about; none for work in the kitchen or all over."""
    if task.topic is Topic.KITCHEN or task.each is Each.PLACE:
        return frozenset()
    return frozenset(bearing.tree for entry in entries for bearing in entry.bearings)


def held_of(tongue: Tongue, entries: Iterable[Entry]) -> tuple[str, ...]:
    """Say what stands against jobs, each thing once."""
    return tuple(dict.fromkeys(told for entry in entries if (told := beside_job(tongue, entry))))


def _held_on(context: PageContext, entries: Sequence[Entry], day: date | None) -> tuple[str, ...]:
    """Say what stands against jobs on one of their days, or on none in particular."""
    told = entries if day is None else (minded_on(one, day, context.season.as_of) for one in entries)
    return held_of(context.tongue, told)


def _span_note(tongue: Tongue, every: Rhythm | None, span: Span) -> str:
    if span.first == span.last:
        return ""
    rhythm = f", {rhythm_words(tongue, every)}" if every else ""
    return f"{span_words(tongue, span)}{rhythm}"


def _told_once(days: Iterable[DayBlock]) -> Iterator[DayBlock]:
    """Yield days of which each job tells the stretch it lies in once, on the first of them."""
    told: set[tuple[str, str, str]] = set()
    for day in days:
        spans = [(item.task.href, item.what, item.span) for item in day.items]
        again = zip(day.items, spans, strict=True)
        yield replace(day, items=tuple(replace(item, span="") if of in told else item for item, of in again))
        told.update(spans)


def _items(context: PageContext, entries: Iterable[Entry], day: date | None = None) -> tuple[Item, ...]:
    """Return one line for each task, with all it is for; on one of its days, or on none in particular."""
    grouped: dict[str, list[Entry]] = {}
    for entry in entries:
        grouped.setdefault(entry.task.key, []).append(entry)
    jobs = sorted(grouped.values(), key=lambda members: weight_of(members[0], day))
    return tuple(_item(context, members, day) for members in jobs)


def _item(context: PageContext, members: Sequence[Entry], day: date | None) -> Item:
    """Return the line of jobs of one task; a day's line stands on the pages of its week, its month and its task."""
    of = tuple(map(id, members))  # the members are kept, so that none other gets its id
    return context.once(("item", of, day), lambda: (members, _said_item(context, members, day)))[1]


def _said_item(context: PageContext, members: Sequence[Entry], day: date | None) -> Item:
    tongue, task = context.tongue, members[0].task
    alike = context.once(("job", tuple(map(id, members))), lambda: (members, _on_any_day(context, members)))[1]
    who = _hands(context, members, [] if day is None else [day])
    turns = [(entry, entry.days.index(day) if day in entry.days else 0) for entry in members]
    held = _held_on(context, members, day)
    return replace(
        alike,
        what=kinds_words((_whose(context, entry), entry, pass_words(tongue, entry, day)) for entry in members),
        amount=amount_words(context.plan, members, day),
        who=who_words(context, who),
        cautions=(*held, *alike.cautions),
        held=held,
        ticks=context.choosing.ticks(turns),
        people=context.choosing.who(task, who),
    )


def _on_any_day(context: PageContext, members: Sequence[Entry]) -> Item:
    """Return what of a line is the same on each day of the jobs."""
    tongue, task = context.tongue, members[0].task
    cautions = context.holding.needed_for(task.cautions, (of for entry in members for of in entry.bearings))
    told, hazards = context.once(  # they are the task's, which lives as long as the plan
        ("cautions", *map(id, cautions)), lambda: (all_caution_words(tongue, cautions), hazards_of(tongue, cautions))
    )
    spans = {entry.span for entry in members}
    span = spans.pop() if len(spans) == 1 else None
    subjects = _subjects(context, members)
    return Item(
        task=context.link(tongue.term(task.name), context.paths.task(task.key)),
        tags=_tags(context, task, members),
        place=_place_of(tongue, task, members),
        subjects=tuple(subjects),
        many=max(len(subjects), len(members) if context.is_by_kind else 0) > _MOST_TAGS,
        topic=task.topic.value,
        span=_span_note(tongue, members[0].every, span) if span else "",
        who="",
        rough=any(entry.rough for entry in members),
        seen=all(entry.seen for entry in members),
        cautions=told,
        hazards=hazards,
        parts=context.choosing.parts_of(members),
        note=context.noting.of_task(task, members),
    )


def _tags(context: PageContext, task: Task, entries: Sequence[Entry]) -> tuple[Link, ...]:
    """Return the tags of the trees that a job is for, in walking order; none where it is for the place or many."""
    meant = _trees_of(task, entries)
    if len(meant) > _MOST_TAGS:
        return ()
    tags = sorted((tag for tag in meant if tag in context.walk), key=context.walk.__getitem__)
    return tuple(context.link(tag, context.paths.tree(tag)) for tag in tags)


def _place_of(tongue: Tongue, task: Task, entries: Sequence[Entry]) -> str:
    """Say where a job is done that has no tag: in which room, or at how many trees."""
    many = len(_trees_of(task, entries))
    return tongue.plural("{n} tree", "{n} trees", many) if many else tongue.term(task.topic.value)


def _hands(context: PageContext, members: Sequence[Entry], days: Sequence[date]) -> tuple[str, ...]:
    """Name who does jobs of one task, those of each house by its own people."""
    names: dict[str, None] = {}
    for house in dict.fromkeys(entry.house for entry in members):
        bearings = (bearing for entry in members if entry.house == house for bearing in entry.bearings)
        names.update(dict.fromkeys(hands_of(members[0].task, bearings, context.holding, days, house).names))
    return tuple(names)


def _whose(context: PageContext, entry: Entry) -> str:
    alone = len({(bearing.tree, bearing.cultivar, bearing.crop) for bearing in entry.bearings}) == 1
    if not alone or entry.name is None or entry.task.topic is Topic.KITCHEN:
        return name_of(context.tongue, entry)
    return kind_of(context.tongue, entry, context.holding.limb(entry.bearings[0]).name)


def _subjects(context: PageContext, entries: Iterable[Entry]) -> list[Link]:
    """Return what a job is for, one by one, or with the trees of each kind together where these are many."""
    found: dict[tuple[str, ...], list[Entry]] = {}
    for at, entry in enumerate(entries):
        is_of_kind = context.is_by_kind and isinstance(entry.name, OfLimb)
        of = (entry.bearings[0].cultivar, entry.bearings[0].crop) if is_of_kind else (str(at),)
        found.setdefault(of, []).append(entry)
    told = (_subject(context, of[0]) if len(of) == 1 else _kind(context, of) for of in found.values())
    return [subject for subject in told if subject is not None]


def _kind(context: PageContext, entries: Sequence[Entry]) -> Link:
    """Return trees of a kind together by their tags, leading to its page."""
    bearing = entries[0].bearings[0]
    limb = context.holding.limb(bearing)
    tags = tags_link(context, limb, (one.tree for entry in entries for one in entry.bearings))
    return replace(tags, text=words_of(OfLimb(limb=limb.name, tree=tags.text, crop=bearing.crop), context.tongue))


def _subject(context: PageContext, entry: Entry) -> Link | None:
    name = name_of(context.tongue, entry)
    if not name:
        return None
    if entry.task.when.stage in {Stage.CANNING_DAY, Stage.KITCHEN_DAY}:
        return context.link(name, context.paths.session(entry.subject))
    tags = {bearing.tree for bearing in entry.bearings}
    if len(tags) == 1:
        return context.link(name, context.paths.tree(tags.pop()))
    cultivars = {bearing.cultivar for bearing in entry.bearings}
    if len(cultivars) == 1:
        return context.link(name, context.paths.cultivar(cultivars.pop()))
    fruit = context.holding.limb(entry.bearings[0]).fruit
    return context.link(name, context.paths.fruit(fruit.key)) if fruit else None


def _between(
    context: PageContext, span: Span, around: Sequence[Span], title: str, path: Callable[[Span], str]
) -> Period:
    tongue = context.tongue
    plain = stretch_of(context, span, title)
    at = list(around).index(span)
    before = around[at - 1] if at > 0 else None
    after = around[at + 1] if at + 1 < len(around) else None
    return replace(
        plain,
        before=context.link(tongue.say("Before: {days}", days=span_words(tongue, before)), path(before))
        if before
        else None,
        after=context.link(tongue.say("After: {days}", days=span_words(tongue, after)), path(after)) if after else None,
    )
