"""What can hurt, sorted by kind: a short mark for each job, and the words once for all jobs of a day."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache
from typing import Final

from firmripe.holding.figures import Figure
from firmripe.publish.own_words import caution_words, heeded
from firmripe.publish.views import Hazard
from firmripe.tongue import Tongue, mark

_KINDS: Final = (
    ("blade", mark("blade"), r"\bblades?\b|cut away from yourself|mowers|\bkni(?:fe|ves)\b"),
    ("wasp", mark("bees and wasps"), r"\bbees?\b|wasp|\bstings?\b|\bnest\b"),
    ("poison", mark("poison"), r"iodine|bleach|irritates|dry ice|poison"),
    (
        "label",
        mark("the label"),
        r"\bspray|\blicen[cs]e|\bthe label\b|\blabel's|both labels|never on apricots|home uses",
    ),
    ("ladder", mark("ladder"), r"ladder|climb|top two steps|reach out|takes a hand|heavy|power line"),
    ("ground", mark("fruit from the ground"), r"fallen|windfall|from the ground|off the ground|out of jars too"),
    ("mold", mark("mold"), r"suspect|spurting|mou?ld|when in doubt|bulging|diseased|spoil"),
    ("hot", mark("hot"), r"\bburns?\b|scald|\bhot\b"),
    ("acid", mark("acid"), r"\bacid|lemon juice"),
    ("lid", mark("lids"), r"\bseals?\b|\blids?\b"),
    ("jar", mark("jars"), r"\bjars?\b|\bcan(?:ned|ning)?\b|tested|recipe|process|full boil|canner|kettle"),
    ("cold", mark("cold"), r"freez|refrigerator|chill"),
)
"""Each kind with its word and the English words it is known by; the first that fits is meant."""
LADDER: Final = "ladder"
_OTHER: Final = ("care", mark("take care"))
_WORDS: Final = dict((*((key, word) for key, word, _ in _KINDS), _OTHER))
_ORDER: Final = ("ladder", "label", "blade", *(key for key in _WORDS if key not in {"ladder", "label", "blade"}))
"""The order in which they are told: what hurts most people first. J."""


@lru_cache(maxsize=4096)
def kind_of(text: str) -> str:
    """Return the kind of a caution by its English words: the key of its drawing; `care` where none is named."""
    return next((key for key, _, pattern in _KINDS if re.search(pattern, text, re.IGNORECASE)), _OTHER[0])


def hazards_of(tongue: Tongue, figures: Iterable[Figure[str]]) -> tuple[Hazard, ...]:
    """Return cautions by kind, the published ones of each first, and nothing unsafe."""
    return _by_kind(tongue, ((kind_of(figure.text), caution_words(tongue, figure)) for figure in heeded(figures)))


def together(tongue: Tongue, hazards: Iterable[Hazard]) -> tuple[Hazard, ...]:
    """Return the hazards of several jobs by kind: what each job says first of one, each text once."""
    return _by_kind(tongue, ((hazard.key, hazard.texts[0]) for hazard in hazards))


def _by_kind(tongue: Tongue, told: Iterable[tuple[str, str]]) -> tuple[Hazard, ...]:
    found: dict[str, dict[str, None]] = {}
    for key, text in told:
        found.setdefault(key, {})[text if text.endswith((".", "!", "?")) else f"{text}."] = None
    return tuple(
        Hazard(key=key, word=tongue.term(_WORDS[key]), texts=tuple(found[key]))
        for key in sorted(found, key=_ORDER.index)
    )
