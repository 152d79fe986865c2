"""Who does a job: decided once, for the plan, pages, sheets and feeds alike."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from msgspec import Struct

from firmripe.holding.holding import Holding
from firmripe.holding.place import Person
from firmripe.holding.task import Task
from firmripe.holding.tree import Bearing


class Hands(Struct, frozen=True, kw_only=True):
    """Who does a job: `names` as the notes call them (people, houses, `everyone`), `people` those whom that means.

    Without people it is anyone's.
    """

    names: tuple[str, ...] = ()
    people: frozenset[str] = frozenset()


def hands_of(
    task: Task, bearings: Iterable[Bearing], holding: Holding, days: Iterable[date] = (), house: str = ""
) -> Hands:
    """Return who does a task for some bearings: those who do this kind of work, else those who keep the trees.

    What is about a house's part is done by its own people, where it has any. Of several people those are left out who
    are away on all of the `days`, unless that is everyone.
    """
    own = tuple(person for person in holding.place.people if house and person.household == house)
    if not own:
        return hands_for(task.who, bearings, holding, days)
    able = [person for person in own if task.who and task.who in person.does] or own
    names = tuple(person.name for person in _here(able, tuple(days)))
    return Hands(names=names, people=frozenset(names))


def hands_for(work: str, bearings: Iterable[Bearing], holding: Holding, days: Iterable[date] = ()) -> Hands:
    """Return who does a kind of work for some bearings, in the same way."""
    people, on = holding.place.people, tuple(days)
    able = [person for person in people if work and work in person.does]
    if able:
        names = tuple(person.name for person in _here(able, on))
        return Hands(names=names, people=frozenset(names))
    keepers = dict.fromkeys(holding.tree(bearing.tree).kept_by for bearing in bearings)
    named = tuple(keeper for keeper in keepers if keeper)
    meant = [person for person in people if {person.name, person.household} & set(named)]
    here = frozenset(person.name for person in _here(meant, on))
    away = {person.name for person in meant} - here
    return Hands(names=tuple(name for name in named if name not in away), people=here)


def _here(people: Sequence[Person], days: tuple[date, ...]) -> Sequence[Person]:
    """Return those who are here on one of the days; all where there is none of them, and where no day is asked for."""
    return [one for one in people if not days or not all(one.is_away(day) for day in days)] or people
