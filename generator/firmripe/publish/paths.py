"""Where each page lies."""

from __future__ import annotations

from datetime import date

from firmripe.calendar.kitchen_days import session_subject
from firmripe.holding.figures import Source
from firmripe.holding.photo import Photo
from firmripe.kitchen.plan.kitchen_plan import StoveCard
from firmripe.plan import Plan
from firmripe.publish.slugs import slugs

WEEK_TEXT = "sheets/week.txt"
CALENDARS = "sheets/calendars.html"
SUPPLIES = "sheets/supplies.html"


class Paths:
    """Where each page lies, from the top of the site. Names from notes are made safe and kept apart.

    Where there is one tree alone the site is `folded`: jobs, weeks and months are parts of one page each, and rooms
    and past dates parts of the store's and the review's.
    """

    def __init__(self, plan: Plan) -> None:
        holding = plan.holding
        self.folded = len(holding.trees) == 1
        self._trees = slugs([tree.tag for tree in holding.trees])
        self._cultivars = slugs(sorted(holding.cultivars))
        self._fruits = slugs(sorted(holding.fruits))
        self._tasks = slugs(sorted(task.key for task in holding.tasks))
        self._sources = slugs(sorted(holding.sources))
        self._preserves = slugs(sorted(preserve.key for preserve in holding.preserves))
        sessions = plan.kitchen.sessions if plan.kitchen else ()
        self._stove_cards = slugs([_name_of(card) for card in (plan.kitchen.cards if plan.kitchen else ())])
        self._sessions = slugs([session_subject(session) for session in sessions])

    def tree(self, tag: str) -> str:
        """Return the page of a tree."""
        return f"trees/{self._trees[tag]}.html"

    def row(self, first: str) -> str:
        """Return the page of those rows, of an orchard with too many trees for one page, that begin with a tree."""
        return f"rows/{self._trees[first]}.html"

    def cultivar(self, key: str) -> str:
        """Return the page of a cultivar."""
        return f"cultivars/{self._cultivars[key]}.html"

    def fruit(self, key: str) -> str:
        """Return the page of a fruit."""
        return f"fruits/{self._fruits[key]}.html"

    def task(self, key: str) -> str:
        """Return the page of a task, or its part of the page of jobs."""
        return f"jobs.html#job-{self._tasks[key]}" if self.folded else f"jobs/{self._tasks[key]}.html"

    def preserve(self, key: str) -> str:
        """Return the page of a preserve."""
        return f"preserves/{self._preserves[key]}.html"

    def session(self, subject: str) -> str:
        """Return the page of a session in a kitchen; that of the kitchen where it is in no plan."""
        return f"kitchen/{self._sessions[subject]}.html" if subject in self._sessions else "kitchen.html"

    def stove_card(self, card: StoveCard) -> str:
        """Return the page of a stove card."""
        return f"sheets/stove-{self._stove_cards[_name_of(card)]}.html"

    def week(self, first: date) -> str:
        """Return the page of the week that begins on a day, or the part of the year's that it lies in."""
        return self.month(first) if self.folded else f"weeks/{first.isoformat()}.html"

    def month(self, first: date) -> str:
        """Return the page of a month, or its part of the year's."""
        month = first.isoformat()[:7]
        return f"year.html#month-{month}" if self.folded else f"months/{month}.html"

    def moves(self, season: int, first: str) -> str:
        """Return the page of a season's moves of fruit from a day on (ISO), where these have pages of their own."""
        return f"harvest/{season}-{first}.html"

    @property
    def hindcast(self) -> str:
        """Return the page of how past dates held, or its part of the year in review."""
        return "review.html#hindcast" if self.folded else "hindcast.html"

    def source(self, source: Source) -> str:
        """Return where a source stands on the page of sources; nowhere for one that only a note names."""
        return f"sources.html#{self._sources[source.key]}" if source.key in self._sources else ""


def _name_of(card: StoveCard) -> str:
    return f"{card.ware.name} {card.kitchen.name}"


def text_path(page: str) -> str:
    """Return where the plain text of a page lies: beside it."""
    return page.removesuffix(".html") + ".txt"


def photo_path(photo: Photo) -> str:
    """Return where a photo lies; its name says nothing of what the household calls it."""
    return f"photos/{photo.name}"
