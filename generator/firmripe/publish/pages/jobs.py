"""The pages of jobs: each with its days, why it is done and what to look for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec.structs import replace

from firmripe.calendar.entry import Entry
from firmripe.days import Span
from firmripe.holding.figures import Figure, Meant
from firmripe.holding.task import Task
from firmripe.problems import in_order
from firmripe.publish.own_words import heeded, is_of_own_note, is_own
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.days import day_blocks
from firmripe.publish.views import DayBlock, Link, PhotoView, Quote, ToNote, View
from firmripe.wording.names import title_of
from firmripe.words import rhythm_words, when_words


class TaskPage(View, frozen=True, kw_only=True):
    """A task's page; `days` are those that are not over, `gone` the season's others."""

    title: str
    when: str
    topic: str
    who: str
    bring: tuple[str, ...]
    why: tuple[Quote, ...]
    look_for: tuple[Quote, ...]
    cautions: tuple[Quote, ...]
    photos: tuple[PhotoView, ...]
    unsafe: tuple[Quote, ...]
    days: tuple[DayBlock, ...]
    gone: tuple[DayBlock, ...]
    text: str
    note: ToNote | None = None


class JobsPage(View, frozen=True, kw_only=True):
    """The season's tasks by topic; `tasks` are all of them whole, each with its anchor, where no page is theirs."""

    topics: tuple[tuple[str, tuple[Link, ...]], ...]
    tasks: tuple[tuple[str, TaskPage], ...]


def jobs_page(context: PageContext) -> JobsPage:
    """Return the list of tasks that stand in this season's calendar."""
    tongue = context.tongue
    due = {entry.task.key: entry.task for entry in context.plan.calendar.entries}
    topics: dict[str, list[Link]] = {}
    for task in sorted(due.values(), key=lambda t: (in_order(tongue.term(t.name)), t.key)):
        topics.setdefault(tongue.term(task.topic.value), []).append(
            context.link(tongue.term(task.name), context.paths.task(task.key))
        )
    whole = (
        (context.paths.task(task.key).partition("#")[2], task_page(context, task))
        for task in (due.values() if context.paths.folded else ())
    )
    return JobsPage(
        topics=tuple((topic, tuple(links)) for topic, links in sorted(topics.items())),
        tasks=tuple(sorted(whole, key=lambda one: (one[1].topic, in_order(one[1].title)))),
    )


def task_page(context: PageContext, task: Task) -> TaskPage:
    """Return a task's page."""
    tongue = context.tongue
    entries = context.entries_of_task.get(task.key, [])
    when = when_words(tongue, task.when.text)
    if task.until:
        when = tongue.say("{first} until {last}", first=when, last=when_words(tongue, task.until.text))
    every = f", {rhythm_words(tongue, task.every)}" if task.every else ""
    first = min((entry.span.first for entry in entries), default=context.season.year.first)
    last = max((day for entry in entries for day in entry.days), default=first)
    starts = [(entry.span.first, entry) for entry in sorted(entries, key=lambda e: (e.span.first, title_of(tongue, e)))]
    today, blocks = (
        context.season.as_of.isoformat(),
        day_blocks(context, [entry for _, entry in starts], Span(first=first, last=max(first, last))),
    )
    return TaskPage(
        title=tongue.term(task.name),
        when=when + every,
        topic=tongue.term(task.topic.value),
        who=tongue.term(task.who),
        bring=tuple(_brought(context, task)),
        why=tuple(_meant(context, task, task.why)),
        look_for=tuple(_meant(context, task, task.look_for)),
        cautions=tuple(
            replace(quote, note=_left_out(context, task, figure) or quote.note)
            for figure in heeded(context.needed(task, task.cautions))
            for quote in context.cautions([figure])
        ),
        photos=context.photos("tasks", task.key),
        unsafe=context.unsafe(
            task.cautions,
            task.name if is_of_own_note(task.where) else "",
            task.text,
            *(figure.text for figure in (*task.why, *task.look_for) if is_own(figure.cited)),
        ),
        days=tuple(day for day in blocks if day.iso >= today),
        gone=tuple(day for day in blocks if day.iso < today),
        text=context.body(task.text),
        note=context.noting.of_task(task, _soonest(context, entries)),
    )


def _brought(context: PageContext, task: Task) -> Iterator[str]:
    """Yield what is brought to a job, with the fruit that it is not needed for."""
    for thing in context.needed(task, task.bring):
        name, left_out = context.tongue.term(thing.name), _left_out(context, task, thing)
        yield f"{name} ({left_out})" if left_out else name


def _left_out(context: PageContext, task: Task, told: Meant) -> str:
    """Name the fruits among a job's that something is not for; nothing where there is none."""
    bearings = context.bearings_of(task) if told.not_for else ()
    limbs = [context.holding.limb(of) for of in bearings if told.not_for & context.holding.keys(of)]
    names = dict.fromkeys(context.tongue.term(limb.fruit.name) if limb.fruit else limb.name for limb in limbs)
    return context.tongue.say("not for {fruit}", fruit=", ".join(names)) if names else ""


def _meant(context: PageContext, task: Task, figures: Iterable[Figure[str]]) -> Iterable[Quote]:
    """Yield words of a job, those meant for some fruit or cultivar with its name, where any of it is grown."""
    grown = {limb.key: limb.name for limb in context.grown}
    fruits = {fruit.key: context.tongue.term(fruit.name) for fruit in context.grown_fruits}
    tags = {tree.tag: tree.tag for tree in context.holding.trees}
    for figure in figures:
        names = {key: name for key, name in {**tags, **fruits, **grown}.items() if key in figure.subjects}
        if names or (not figure.subjects and context.needed(task, [figure])):
            quote = context.figure(", ".join(dict.fromkeys(names.values())), figure)
            yield replace(quote, note=_left_out(context, task, figure) or quote.note)


def _soonest(context: PageContext, entries: Sequence[Entry]) -> list[Entry]:
    """Return the entries that begin next, or began last where none is ahead."""
    today = context.season.as_of
    ahead = [entry.span.first for entry in entries if entry.span.last >= today]
    day = min(ahead) if ahead else max((entry.span.first for entry in entries), default=None)
    return [entry for entry in entries if entry.span.first == day]
