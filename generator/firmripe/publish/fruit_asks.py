"""Questions in words about fruit of which nobody noted what became of it."""

from __future__ import annotations

from typing import Final

from firmripe.harvest.whereabouts import Question, Unknown
from firmripe.holding.record import Happening
from firmripe.publish.noting import Noting
from firmripe.publish.views import Ask, Link
from firmripe.saying import _, mark, term
from firmripe.words import of_crop, week_day

_TITLES: Final = {
    Question.USED: mark("{fruit}: to be used by {day}"),
    Question.STILL_COLD: mark("{fruit}: it keeps in the cold until {day}"),
    Question.FROZEN: mark("{fruit}: a freeze came on {day}"),
}
_QUESTIONS: Final = {
    Question.USED: mark("Was it used? Nothing is noted yet. Look at it before you eat it; what is moldy goes out."),
    Question.STILL_COLD: mark("Is any of it left? Nothing is noted yet. Look it over; what is moldy goes out."),
    Question.FROZEN: mark(
        "What became of its fruit? Nothing is noted yet, and its plans wait on that: they still count it as sound."
    ),
}
_NOTED_AS: Final = {
    Question.USED: Happening.USED_UP,
    Question.STILL_COLD: Happening.USED_UP,
    Question.FROZEN: Happening.LOST,
}


def ask_of_fruit(one: Unknown, noting: Noting, tree: Link) -> Ask:
    """Return a question about a crop's fruit, with the line that answers it."""
    fruit, day = f"{one.limb.name}{of_crop(one.bearing.crop)}", week_day(one.since)
    return Ask(
        tree=tree,
        title=term(_TITLES[one.question]).format(fruit=fruit, day=day),
        since=_("since {day}", day=day),
        open=False,
        who="",
        hazards=(),
        held=(),
        question=term(_QUESTIONS[one.question]),
        waits="",
        note=noting.of_fruit(one.bearing, _NOTED_AS[one.question]),
    )
