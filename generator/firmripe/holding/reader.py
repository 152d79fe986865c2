"""Readers: for whom a site is made."""

from __future__ import annotations

from msgspec import Struct

from firmripe.holding.place import EVERYBODY, HOUSEHOLD, Place
from firmripe.problems import Unreadable, folded, nearest, or_list


class Reader(Struct, frozen=True, kw_only=True):
    """Whom a site is for: the household as a whole, everybody, or some of the household by `name`.

    `people` are these some, and empty for the other two. `person` is set where the site is for one person.
    """

    name: str
    people: frozenset[str] = frozenset()
    person: str = ""

    @property
    def is_everybody(self) -> bool:
        """Whether strangers may read it."""
        return self.name == EVERYBODY


THE_HOUSEHOLD = Reader(name=HOUSEHOLD)
STRANGERS = Reader(name=EVERYBODY)


def reader_of(place: Place, said: str = "") -> Reader:
    """Return the reader that is meant: a person or a house of the place, the household or everybody.

    Without a word it is whom the place's own note says. A name that is a person's and a house's means the person.
    Raises Unreadable.
    """
    plain = folded(said)
    if not said:
        return STRANGERS if place.is_open else THE_HOUSEHOLD
    if plain in {EVERYBODY, HOUSEHOLD}:
        return STRANGERS if plain == EVERYBODY else THE_HOUSEHOLD
    people = {folded(person.name): person.name for person in place.people}
    houses = {folded(person.household): person.household for person in place.people if person.household}
    if plain in people:
        name = people[plain]
        return Reader(name=name, people=frozenset({name}), person=name)
    if plain in houses:
        members = frozenset(person.name for person in place.people if folded(person.household) == plain)
        return Reader(name=houses[plain], people=members)
    known = [*people.values(), *houses.values(), HOUSEHOLD, EVERYBODY]
    near = nearest(said, known)
    hint = f'did you mean "{near}"?' if near else f"write {or_list(known)}"
    raise Unreadable(f'"{said}" is nobody in place.md', hint)
