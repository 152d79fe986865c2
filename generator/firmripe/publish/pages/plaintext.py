"""The week and the stove’s cards as plain text in short lines, to emboss, to send or to have read out."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Iterator

from firmripe.publish.pages.days import Period
from firmripe.publish.pages.stove_cards import PotLine, StoveCardSheet
from firmripe.publish.views import Item
from firmripe.tongue import Tongue
from firmripe.words import begun

WIDTH = 40
"""The cells of a braille line on common paper; common practice."""
_NUMBER = re.compile(r"(?<=\d) (?=\w)")
_HELD = "\N{NO-BREAK SPACE}"


def week_text(tongue: Tongue, name: str, made_on: str, weeks: Iterable[Period]) -> str:
    """Return weeks in lines of at most 40 characters; a word longer than that is broken.

    What is what is said by words and order alone, and cautions stand below their job.
    """
    lines = [*_fold(name), *_fold(tongue.say("Made on {day}.", day=made_on))]
    for week in weeks:
        lines += ["", *_fold(week.title)]
        if not week.days and not week.going_on:
            lines += _fold(tongue.say("Nothing is due."))
        for day in week.days:
            lines += ["", *_fold(day.heading)]
            lines += [line for item in day.items for line in _item(tongue, item)]
        if week.going_on:
            lines += ["", *_fold(tongue.say("Still going on"))]
            lines += [line for item in week.going_on for line in _item(tongue, item)]
    return "\n".join(lines) + "\n"


def _item(tongue: Tongue, item: Item) -> Iterator[str]:
    """Return a job's lines, those after the first set in by two."""
    subjects = ", ".join(subject.text for subject in item.subjects)
    said = f"{item.task.text}: {subjects}" if subjects else item.task.text
    rough = [tongue.say("The date is rough.")] if item.rough else []
    told = [*rough, *([item.span] if item.span else []), *([item.who] if item.who else [])]
    yield from _fold(said, later="  ")
    for part in told:
        yield from _fold(part, first="  ", later="  ")
    for caution in item.cautions:
        yield from _fold(tongue.say("Take care: {caution}", caution=caution), first="  ", later="  ")


def stove_text(tongue: Tongue, card: StoveCardSheet, name: str, made_on: str) -> str:
    """Return a stove card in lines of at most 40 characters: all that its page says, a paragraph for each thing.

    No line parts a number from what it counts, and each paragraph with minutes has the acid that goes with them.
    """
    where = f"{card.kitchen}, {card.height}" if card.height else card.kitchen
    parts = [f"{name}. {tongue.say('Made on {day}.', day=made_on)}", f"{card.title}, {card.jar}. {begun(where)}"]
    parts.append(tongue.say("Minutes at this kitchen’s height and nowhere else") + ":")
    parts += [_pot(line) for line in card.pots]
    facts = [(tongue.say("Headspace"), card.headspace), (tongue.say("Acid, always"), card.acid)]
    facts.append((tongue.say("Liquid"), f"{card.liquid}, {tongue.say('juice or water')}" if card.liquid else ""))
    parts += [f"{what}: {said}" for what, said in facts if said]
    if card.steps:
        parts.append(tongue.say("Step by step") + ":")
        parts += [f"{number}. {text} [{source}]" for number, (text, source) in enumerate(card.steps, 1)]
        parts.append("; ".join(f"[{number}] {source}" for number, source in card.sources))
    parts.append(tongue.say("Take care") + ":")
    parts += card.cautions
    if card.never:
        parts.append(tongue.say("Never into jars") + ":")
        parts += card.never
    return "\n\n".join("\n".join(_fold(_whole(part), later="  ")) for part in parts).replace(_HELD, " ") + "\n"


def _pot(line: PotLine) -> str:
    if not line.rest:
        return f"{line.pot}: {line.refused}"
    source = f"{line.source.text} ({line.source.mark}: {line.source.source})" if line.source else ""
    parts = (f"{line.pot}: {line.big} {line.rest}".replace("  ", " "), line.band, line.sterilise, line.water, source)
    return ". ".join(begun(part.rstrip(".")) for part in parts if part)


def _whole(text: str) -> str:
    """Hold each number to the word after it."""
    return _NUMBER.sub(_HELD, text)


def _fold(text: str, first: str = "", later: str = "") -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=later)
