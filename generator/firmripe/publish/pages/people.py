"""The page of the people: who helps, with what, and how to reach them. It is made for the household alone."""

from __future__ import annotations

import re
from urllib.parse import quote

from firmripe.holding.place import Place
from firmripe.publish.views import Link, View


class PersonLine(View, frozen=True, kw_only=True):
    """Somebody who helps; `phone` and `email` are None where nobody told them."""

    name: str
    household: str
    does: str
    phone: Link | None
    email: Link | None


class PeoplePage(View, frozen=True, kw_only=True):
    """Who helps, and how to reach them: for the household alone."""

    people: tuple[PersonLine, ...]


def people_page(place: Place) -> PeoplePage:
    """Return the page."""
    return PeoplePage(
        people=tuple(
            PersonLine(
                name=person.name,
                household=person.household,
                does=", ".join(person.does),
                phone=Link(text=person.phone, href=f"tel:{_dialed(person.phone)}") if person.phone else None,
                email=Link(text=person.email, href=f"mailto:{quote(person.email, safe='@')}") if person.email else None,
            )
            for person in place.people
        )
    )


def _dialed(phone: str) -> str:
    """Return what a telephone dials: behind a country's code no zero in brackets, as in `+44 (0)20 7946 0018`.

    It is dialed within the country alone (common practice).
    """
    dialed = re.sub(r"\(0\)", "", phone) if phone.startswith("+") else phone
    return re.sub("[^0-9+]", "", dialed)
