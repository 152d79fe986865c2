"""What stands against a job or has moved a day of it, and why something has no date: facts, no words."""

from __future__ import annotations

from datetime import date, time
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from firmripe.holding.record import Record
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.remark import Remark
from firmripe.season.clashes import Clash


class Held(Remark):
    """What is told beside a job: what stands against it, or has moved a day of it."""

    __slots__ = ()

    def opened(self) -> Held | None:
        """Return what everybody may know of it; nothing, where a kind says no more."""
        return None


class Closed(Held, Struct, frozen=True, kw_only=True):
    """Nobody goes in before a `day`, or an hour `at` of it."""

    day: date
    at: time | None = None

    def opened(self) -> Closed:
        """Return it as it is: it says nothing of why."""
        return self


class Sprayed(Held, Struct, frozen=True, kw_only=True):
    """A spray by whose label nobody goes in until its re-entry time is over, which is on the day `until`."""

    spray: Record
    until: date

    def opened(self) -> Closed:
        """Return until when nobody goes in, without a word of why."""
        again = self.spray.open_again
        return Closed(day=again.date(), at=again.time()) if again is not None else Closed(day=self.until)


class NoPicking(Held, Struct, frozen=True, kw_only=True):
    """No fruit may be picked before a day: by a spray's label, or it is not said why."""

    before: date
    by_label: bool

    def opened(self) -> NoPicking:
        """Return it without a word of why."""
        return replace(self, by_label=False)


class PickMoved(Held, Struct, frozen=True, kw_only=True):
    """A freeze to come or a spray's label has moved the pick."""

    why: Clash

    def opened(self) -> PickMoved:
        """Return it without a word of sprays."""
        return PickMoved(why=self.why.openly)


class InStore(Held, Struct, frozen=True, kw_only=True):
    """What is to be minded of picked fruit: it lies too warm, or came out too soon."""

    what: Remark


class NotMet(Held, Struct, frozen=True, kw_only=True):
    """What is wanted on a day can't be ready by then, and why."""

    why: Remark


class Away(Held, Struct, frozen=True, kw_only=True):
    """Who does a job is away on days of it."""

    days: tuple[date, ...]
    people: tuple[str, ...]


class NoAccessThen(Held, Struct, frozen=True, kw_only=True):
    """Nobody gets to the trees on days of a job, for the reasons that the household gave."""

    days: tuple[date, ...]
    because: tuple[str, ...]


class PutOff(Held, Struct, frozen=True, kw_only=True):
    """A job was put off from its own day, for want of people, or because nobody may go in."""

    day: date
    lacking: Away | NoAccessThen | None = None

    def opened(self) -> PutOff | None:
        """Return the bare day; who is away is nobody else's business."""
        return self if self.lacking is None else None


class DayBefore(Held, Struct, frozen=True, kw_only=True):
    """The nearest day before on which a job could be done that can't wait."""

    day: date


class MoreThanHands(Held, Struct, frozen=True, kw_only=True):
    """A picking of a cultivar is more than hands can pick on its `day`: `weight` (kg) of it waits.

    It may hang `until` a day. `then` hands are free for it; where that is None, `late` (kg) is left after it, and
    another hand is wanted.
    """

    limb: str
    bearing: Bearing
    day: date
    until: date
    weight: Fraction
    late: Fraction
    then: date | None


class NotTold(Remark, Struct, frozen=True, kw_only=True):
    """A day of the place that its note does not tell."""


class NoSuchDay(Remark, Struct, frozen=True, kw_only=True):
    """Fruit that has no day of a stage."""

    stage: Stage


class NextPickUnknown(Remark, Struct, frozen=True, kw_only=True):
    """A first pick is noted on a tree, more is to come, and nothing tells when."""

    tree: str


class FirstPickAlone(Remark, Struct, frozen=True, kw_only=True):
    """So many pickings are usual, and the first alone is planned, as nothing tells how many days they are apart."""

    usual: int


class GivePassInterval(Remark, Struct, frozen=True, kw_only=True):
    """What to write to have later pickings planned, into the note of a cultivar by its `key`."""

    key: str


class NoKitchenDays(Remark, Struct, frozen=True, kw_only=True):
    """No day in the kitchen is told of."""


class GiveKitchenDays(Remark, Struct, frozen=True, kw_only=True):
    """What to write to have a plan for the kitchen."""
