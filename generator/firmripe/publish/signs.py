"""The tests of when to pick: in which order they are made, and which of them are drawn."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from firmripe.calendar.pickings import PICKING
from firmripe.holding.fruit import Cultivar, Sign
from firmripe.holding.task import Task, Topic
from firmripe.tongue import Tongue
from firmripe.words import within

SENSES: Final = ("lift", "touch", "sound", "smell", "taste", "sight")
"""The order in which pick tests are made: what the hand does first, and last what needs eyes."""

_EYES: Final = "sight"
_DRAWN: Final = (
    ("level", "lift", "from hanging to level"),
    ("clip", "lift", "clip the stem"),
    ("turn", "lift", "lift and turn"),
    ("thumb", "touch", "just below the stem gives to a gentle thumb"),
    ("pear-ground", "sight", "ground color goes from deep green to light green or yellow-green"),
    ("ground", "sight", "ground color under the blush goes from"),
    ("dots", "sight", "(lenticels) turn from white or green to brown"),
    ("pear-seeds", "sight", "cut one: the seeds are dark brown to black"),
    ("seeds", "sight", "cut one: the seeds are brown"),
    ("fallen", "sight", "wormy and small pears"),
    ("taste", "taste", "while still crisp"),
    ("press", "touch", "just starting to soften"),
    ("neck", "touch", "the neck wilts"),
    ("quince", "smell", "strongly of quince"),
)
"""Each drawing with the sense and the English words of the test that it shows: it shows no more than they say."""
OF_THE_HAND: Final = ("level", "clip", "turn", "thumb")
"""What is drawn on each tree's page, where the hand is at the fruit; the others stand on the page of tests."""

_TESTING: Final = frozenset(
    {"start-checking", "test-firmness", "test-starch", "look-at-seeds", "neck-test", "clear-windfalls"}
)
"""Tasks of the shelf at which fruit is tested or taken up, beside those that pick it."""


def is_picking(task: Task) -> bool:
    """Say whether a job picks fruit: one among the trees on a day of the pick, whatever it is called.

    What can hurt in it belongs wherever a pick is told of.
    """
    when = task.when
    return task.topic is Topic.ORCHARD and when.stage in PICKING and not when.days and not when.months


def is_testing(task: Task) -> bool:
    """Say whether fruit is tested, picked or taken up in a job: what can hurt in it goes with the tests."""
    return task.key in _TESTING or is_picking(task)


def in_turn(signs: Iterable[Sign]) -> list[Sign]:
    """Return tests in the order in which they are made."""
    return sorted(signs, key=lambda sign: SENSES.index(sign.sense))


def pick_tests(tongue: Tongue, limb: Cultivar) -> tuple[str, ...]:
    """Say the tests of when to pick a cultivar in turn, never those of when to eat it; what needs eyes says so."""
    told = ((sign, tongue.term(sign.text).rstrip(".")) for sign in in_turn(limb.traits.signs) if not sign.of_ripe)
    return tuple(
        tongue.say("by eye: {test}", test=within(tongue, test)) if sign.sense == _EYES else test for sign, test in told
    )


def ripe_tests(tongue: Tongue, limb: Cultivar) -> tuple[str, ...]:
    """Say the tests of when to eat a cultivar, in turn."""
    return tuple(tongue.term(sign.text).rstrip(".") for sign in in_turn(limb.traits.signs) if sign.of_ripe)


def drawing_of(sign: Sign) -> str:
    """Return what the drawing of a test is called; empty where there is none of it."""
    words = " ".join(sign.text.casefold().split())
    return next((key for key, sense, part in _DRAWN if sense == sign.sense and part in words), "")
