"""A method's steps in words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from typing import Final

from msgspec.structs import replace

from firmripe.holding.figures import Cited, Mark, Source
from firmripe.holding.jar import Jar
from firmripe.holding.method import Act
from firmripe.holding.unsafe import is_unsafe
from firmripe.kitchen.tables.method import Step
from firmripe.kitchen.tables.processes import Minutes
from firmripe.publish.own_words import is_own
from firmripe.publish.pages.context import PageContext
from firmripe.publish.views import Quote
from firmripe.tongue import ENGLISH, Tongue, mark
from firmripe.wording.holding import jars_words
from firmripe.wording.measures import mixed
from firmripe.wording.minutes import acid_words, minutes_words
from firmripe.words import amount, begun, in_own_units, is_foreign

_ABOVE: Final = {
    Act.STERILISE: mark("Boil the empty jars first, where it says so above."),
    Act.ACID: mark("Acid, always, into each jar: the dose that stands above."),
    Act.WATER: mark("Keep the water over the lids as deep as it says above, all the time."),
    Act.COUNT: mark("Count the minutes that stand above for this jar, kitchen and pot, and no others."),
}
"""Steps whose figures differ between the jars and kitchens of a page."""


def step_words(tongue: Tongue, step: Step) -> str:
    """Say a step. The household's own is marked as that."""
    if step.words is not None:
        words = amount(tongue, step.words.text)
        words = tongue.say("You wrote: {words}", words=words) if is_own(step.cited) else words
    elif step.above:
        words = tongue.term(_ABOVE[step.act])
    elif step.published is not None:
        words = _looked_up(tongue, step.act, step.published)
    else:
        words = _liquid(tongue, step)
    return tongue.say("{pot}: {words}", pot=begun(tongue.term(step.pot.value)), words=words) if step.pot else words


def _looked_up(tongue: Tongue, act: Act, found: Minutes) -> str:
    if act is Act.STERILISE:
        return tongue.say("Boil the empty jars {minutes} minutes first.", minutes=found.sterilise_min)
    if act is Act.ACID:
        return tongue.say("Acid, always: {acid}.", acid=acid_words(tongue, found))
    if act is Act.HEADSPACE:
        headspace = in_own_units(tongue, tongue.term(found.headspace))
        return tongue.say("Leave a headspace of {headspace}.", headspace=headspace)
    if act is Act.WATER:
        return in_own_units(tongue, tongue.say("Water {inches} in over the lids, all the time.", inches=found.water_in))
    return tongue.say("Count {minutes}.", minutes=minutes_words(tongue, found, vented=True))


def _liquid(tongue: Tongue, step: Step) -> str:
    if step.syrup is None or step.load is None:
        return ""
    count, water, sugar = step.syrup.loads[step.load]
    said = tongue.say(
        "{liquid} for {jars}: {water} cups of water and {sugar} cups of sugar; "
        "water or juice serves too, sugar is not needed for safety.",
        liquid=begun(tongue.term(step.syrup.name)),
        jars=jars_words(tongue, Jar.of(step.load), count),
        water=mixed(Fraction(water)),
        sugar=mixed(Fraction(sugar)),
    )
    return in_own_units(tongue, said)


def step_quotes(context: PageContext, steps: Iterable[Step]) -> tuple[Quote, ...]:
    """Return steps with where each comes from, without those in which a household wrote against a published way."""
    return tuple(
        replace(
            context.quote("", step_words(context.tongue, step), step.cited),
            lang=ENGLISH
            if step.words and not is_own(step.cited) and is_foreign(context.tongue, step.words.text)
            else "",
        )
        for step in steps
        if not (is_own(step.cited) and step.words and is_unsafe(step.words.text))
    )


def source_words(tongue: Tongue, cited: Cited) -> str:
    """Say a source in short, for paper: who, when and which number, or how it is known where nobody printed it."""
    source = cited.source
    if source is None or cited.mark in {Mark.PRACTICE, Mark.JUDGEMENT, Mark.MEMORY}:
        return tongue.term(cited.mark.value)
    return ", ".join(part for part in (source.author, source.title, source.year) if part)


def sources_of(steps: Iterable[Step]) -> Iterator[Cited]:
    """Yield where steps come from, each source once, in order."""
    seen: dict[Source | None, None] = {}
    for step in steps:
        if step.cited.source not in seen:
            seen[step.cited.source] = None
            yield step.cited
