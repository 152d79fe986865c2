"""What should have happened and was not noted, and what is to be looked into."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator
from typing import Final

from msgspec.structs import replace

from firmripe.calendar.entry import Entry
from firmripe.calendar.unanswered import Open
from firmripe.harvest.unknowns import FruitQuestion, Unknown
from firmripe.holding.hands import hands_of
from firmripe.holding.record import Happening
from firmripe.holding.tree import Bearing, Tree
from firmripe.problems import in_order
from firmripe.publish.hazards import hazards_of
from firmripe.publish.pages.batches import part_words
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.days import held_of, what_of, who_words
from firmripe.publish.pages.note import Noting, subject_of
from firmripe.publish.verdict_words import answer, open_verdicts, question
from firmripe.publish.views import Hazard, Link, ToNote, View
from firmripe.tongue import Tongue, mark
from firmripe.wording import words_of
from firmripe.words import of_crop, week_day

_TITLES: Final = {
    FruitQuestion.USED: mark("{fruit}: to be used by {day}"),
    FruitQuestion.RIPE: mark("{fruit}: ripe since {day}"),
    FruitQuestion.STILL_COLD: mark("{fruit}: it keeps in the cold until {day}"),
    FruitQuestion.FROZEN: mark("{fruit}: a freeze came on {day}"),
}
_PICKINGS: Final = {
    (False, False): mark("{task} {what} by {day}"),
    (False, True): mark("{task} {what}, until {day}"),
    (True, False): mark("{task}: {what} by {day}"),
    (True, True): mark("{task}: {what}, until {day}"),
}
"""How a picking is named, by whether the job is a round, whose name is a sentence of its own, and is past."""
_WAS_IT_USED: Final = mark("Was it used? Nothing is noted yet. Look at it before you eat it; what is moldy goes out.")
_QUESTIONS: Final = {
    FruitQuestion.USED: _WAS_IT_USED,
    FruitQuestion.RIPE: _WAS_IT_USED,
    FruitQuestion.STILL_COLD: mark("Is any of it left? Nothing is noted yet. Look it over; what is moldy goes out."),
    FruitQuestion.FROZEN: mark(
        "What became of its fruit? Nothing is noted yet. Until it is, all plans go on as if the fruit were sound."
    ),
}
_NOTED_AS: Final = {
    FruitQuestion.USED: Happening.USED_UP,
    FruitQuestion.RIPE: Happening.USED_UP,
    FruitQuestion.STILL_COLD: Happening.USED_UP,
    FruitQuestion.FROZEN: Happening.LOST,
}


class Question(View, frozen=True, kw_only=True):
    """Something to look into: `note` is what to note if it is answered, None where nobody is to."""

    text: str
    note: ToNote | None


class Ask(View, frozen=True, kw_only=True):
    """What should have happened and was not noted: `note` is what to note if it did, None where nobody is to.

    `waits` says which jobs wait for the answer; it is empty where none does. It is `open` as long as there is time
    to do it: it is a job of today then, whatever the answer. `more` are further trees of which the same is asked.
    Where trees are very many, `others` says of how many of a kind it is asked as well, and leads to where they stand.
    """

    tree: Link
    title: str
    since: str
    open: bool
    who: str
    hazards: tuple[Hazard, ...]
    held: tuple[str, ...]
    question: str
    waits: str
    note: ToNote | None
    more: tuple[tuple[Link, ToNote | None], ...] = ()
    others: Link | None = None


def asked_once(asks: Iterable[Ask]) -> tuple[Ask, ...]:
    """Return questions, those that differ in nothing but their tree as one."""
    found: dict[Ask, list[Ask]] = {}
    for ask in asks:
        found.setdefault(replace(ask, tree=Link(text="", href=""), note=None), []).append(ask)
    told = (sorted(alike, key=lambda ask: in_order(ask.tree.text)) for alike in found.values())
    return tuple(replace(first, more=tuple((one.tree, one.note) for one in rest)) for first, *rest in told)


def all_asks(context: PageContext) -> tuple[Ask, ...]:
    """Return the questions about what should have happened by now and was not noted."""
    return (*asks_of_picks(context, context.unnoted), *asks_of_fruit(context))


def asks_of_picks(context: PageContext, asked: Iterable[tuple[Open, Entry]]) -> Iterator[Ask]:
    """Yield the questions about pickings that are not noted."""
    told = ((ask_of(context, one, entry), one.bearing, (entry.task.key, one.rests)) for one, entry in asked)
    return _first_of_kind(context, told)


def asks_of_fruit(context: PageContext) -> Iterator[Ask]:
    """Yield the questions about fruit of which nobody noted what became of it."""
    told = (
        (
            _ask_of_fruit(
                context.tongue,
                one,
                context.noting,
                context.link(one.bearing.tree, context.paths.tree(one.bearing.tree)),
            ),
            one.bearing,
            one.question,
        )
        for one in context.plan.store.unknowns
    )
    return _first_of_kind(context, told)


def _first_of_kind(context: PageContext, told: Iterable[tuple[Ask, Bearing, Hashable]]) -> Iterator[Ask]:
    """Yield questions, each about a bearing; where trees are very many the first of those that are the same of a kind.

    That tells how many more there are. Another danger, or something else that stands against it, makes it another.
    """
    found: dict[Hashable, list[Ask]] = {}
    for at, (ask, bearing, about) in enumerate(told):
        kind = about, bearing.cultivar, bearing.crop, ask.open, ask.who, ask.hazards, ask.held
        found.setdefault(kind if context.rows else at, []).append(ask)
    for first, *rest in found.values():
        more = context.tongue.plural("and {n} more tree", "and {n} more trees", len(rest)) if rest else ""
        yield replace(first, others=context.link(more, "trees.html")) if more else first


def ask_of(context: PageContext, asked: Open, entry: Entry) -> Ask:
    """Return the question whether a picking was done, with the line of the records that says so."""
    tongue = context.tongue
    holding = context.holding
    is_round = bool(entry.task.instead_of)
    until = max(asked.until, entry.days[-1]) if is_round else asked.until  # it goes on over all its pickings
    tree, day = holding.tree(asked.bearing.tree), week_day(tongue, until)
    task, what = tongue.term(entry.task.name), what_of(context, entry, asked.picking.due)
    jobs = dict.fromkeys(tongue.term(one.task.name) for one in asked.waiting if one.task.reminder)
    kitchen = context.plan.kitchen
    if kitchen and any(batch.bearing == asked.bearing for batch in kitchen.waiting):
        jobs[tongue.say("Put up")] = None
    return Ask(
        tree=context.link(tree.tag, context.paths.tree(tree.tag)),
        title=tongue.say(_PICKINGS[is_round, asked.is_past], task=task, what=what, day=day),
        since=tongue.say("due since {day}", day=week_day(tongue, asked.since)),
        open=not asked.is_past,
        who=who_words(context, hands_of(entry.task, [asked.bearing], holding, house=entry.house).names),
        hazards=hazards_of(tongue, holding.needed_for(entry.task.cautions, [asked.bearing])) if asked.may_hang else (),
        held=held_of(tongue, [entry]),
        question=_not_noted(tongue, asked),
        waits=tongue.say("Waits for the answer: {jobs}.", jobs=", ".join(jobs)) if jobs and not asked.rests else "",
        note=context.noting.of_pick(entry.task, asked.bearing),
    )


def _not_noted(tongue: Tongue, asked: Open) -> str:
    if asked.rests:
        return tongue.say("Not noted: whether it was picked.")
    if asked.bars:
        return tongue.say("Was it picked? Nothing is noted yet.")
    return tongue.say("Was it picked again? Nothing is noted yet.")


def questions_about(context: PageContext, tree: Tree) -> Iterable[Question]:
    """Yield what is to be looked into at a tree, each with the line that answers it."""
    for asked in context.season.questions.get(tree.tag, ()):
        yield Question(text=words_of(asked, context.tongue), note=context.noting.of_tree(tree))
    for one in open_verdicts(context.season, tree.tag):
        subject = subject_of(context.holding, one.bearing)
        note = context.noting.of_line(subject, Happening.VERDICT, answer(context.tongue, one, subject))
        yield Question(text=question(context.holding, one), note=note)


def _ask_of_fruit(tongue: Tongue, one: Unknown, noting: Noting, tree: Link) -> Ask:
    """Return a question about a crop's fruit, with the line that answers it."""
    part = (
        ", ".join(part_words(tongue, one.batch))
        if one.batch is not None
        else of_crop(tongue, one.bearing.crop).removeprefix(", ")
    )
    fruit, day = f"{one.limb.name}, {part}".removesuffix(", "), week_day(tongue, one.since)
    return Ask(
        tree=tree,
        title=tongue.term(_TITLES[one.question]).format(fruit=fruit, day=day),
        since=tongue.say("since {day}", day=day),
        open=False,
        who="",
        hazards=(),
        held=(),
        question=tongue.term(_QUESTIONS[one.question]),
        waits="",
        note=noting.of_fruit(one.bearing, _NOTED_AS[one.question]),
    )
