"""The page of tests: how each fruit is known to be ready."""

from __future__ import annotations

from firmripe.holding.fruit import Traits
from firmripe.problems import in_order
from firmripe.publish.hazards import hazards_of, together
from firmripe.publish.pages.context import PageContext
from firmripe.publish.signs import drawing_of, in_turn, is_testing
from firmripe.publish.views import Hazard, Link, Quote, View
from firmripe.words import begun


class SignLine(View, frozen=True, kw_only=True):
    """A test of when to pick; `drawing` names its drawing, empty where it has none."""

    sign: Quote
    drawing: str


class FruitTests(View, frozen=True, kw_only=True):
    """The tests of a fruit."""

    fruit: Link
    signs: tuple[SignLine, ...]


class TestsPage(View, frozen=True, kw_only=True):
    """How each fruit is known to be ready; `drawings` are those that are drawn, each once."""

    drawings: tuple[str, ...]
    fruits: tuple[FruitTests, ...]
    hazards: tuple[Hazard, ...]


def signs_of(context: PageContext, traits: Traits, own: Traits) -> tuple[Quote, ...]:
    """Return the tests of when to pick, in the order in which they are made."""
    return tuple(
        context.quote(
            begun(context.tongue.term(sign.sense)),
            context.tongue.term(sign.text),
            sign.cited,
            leans=sign not in own.signs,
        )
        for sign in in_turn(traits.signs)
    )


def sign_lines(context: PageContext, traits: Traits, own: Traits) -> tuple[SignLine, ...]:
    """Return the tests of when to pick with the names of their drawings, in the same order."""
    return tuple(
        SignLine(sign=quote, drawing=drawing_of(sign))
        for quote, sign in zip(signs_of(context, traits, own), in_turn(traits.signs), strict=True)
    )


def tests_page(context: PageContext) -> TestsPage:
    """Return the page of how each fruit that grows here is known to be ready, with every drawing there is."""
    tongue = context.tongue
    fruits = {fruit.key: fruit for fruit in context.grown_fruits if fruit.traits.signs}
    lines = {key: sign_lines(context, fruit.traits, fruit.traits) for key, fruit in fruits.items()}
    tasks = {entry.task.key: entry.task for entry in context.plan.calendar.entries if is_testing(entry.task)}
    cautions = (context.needed(task, task.cautions) for task in tasks.values())
    return TestsPage(
        drawings=tuple(dict.fromkeys(line.drawing for of in lines.values() for line in of if line.drawing)),
        fruits=tuple(
            FruitTests(fruit=context.link(tongue.term(fruit.name), context.paths.fruit(key)), signs=lines[key])
            for key, fruit in sorted(fruits.items(), key=lambda pair: in_order(tongue.term(pair[1].name)))
        ),
        hazards=together(tongue, (hazard for told in cautions for hazard in hazards_of(tongue, told))),
    )
