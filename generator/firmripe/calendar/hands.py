"""Who does a job: decided once, for pages, sheets and feeds alike."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from firmripe.holding.holding import Holding
from firmripe.holding.task import Task
from firmripe.holding.tree import Bearing


@dataclass(frozen=True, slots=True, kw_only=True)
class Hands:
    """Who does a job: `names` as the notes call them (people, houses, `everyone`), `people` those whom that means.

    Without people it is anyone's.
    """

    names: tuple[str, ...] = ()
    people: frozenset[str] = frozenset()


def hands_of(task: Task, bearings: Iterable[Bearing], holding: Holding) -> Hands:
    """Return who does a task for some bearings: those who do this kind of work, else those who keep the trees."""
    people = holding.place.people
    able = dict.fromkeys(person.name for person in people if task.who and task.who in person.does)
    if able:
        return Hands(names=tuple(able), people=frozenset(able))
    keepers = dict.fromkeys(holding.tree(bearing.tree).kept_by for bearing in bearings)
    named = tuple(keeper for keeper in keepers if keeper)
    meant = (person.name for person in people if {person.name, person.household} & set(named))
    return Hands(names=named, people=frozenset(meant))
