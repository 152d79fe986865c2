"""What stands against a job or has moved a day of it, and why something has no date: facts, no words."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, time
from fractions import Fraction

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Closed(Held):
    """Nobody goes in before a `day`, or an hour `at` of it."""

    day: date
    at: time | None = None

    def opened(self) -> Closed:
        """Return it as it is: it says nothing of why."""
        return self


@dataclass(frozen=True, slots=True, kw_only=True)
class Sprayed(Held):
    """A spray by whose label nobody goes in until its re-entry time is over, which is on the day `until`."""

    spray: Record
    until: date

    def opened(self) -> Closed:
        """Return until when nobody goes in, without a word of why."""
        again = self.spray.open_again
        return Closed(day=again.date(), at=again.time()) if again is not None else Closed(day=self.until)


@dataclass(frozen=True, slots=True, kw_only=True)
class NoPicking(Held):
    """No fruit may be picked before a day: by a spray's label, or it is not said why."""

    before: date
    by_label: bool

    def opened(self) -> NoPicking:
        """Return it without a word of why."""
        return replace(self, by_label=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class PickMoved(Held):
    """A freeze to come or a spray's label has moved the pick."""

    why: Clash

    def opened(self) -> PickMoved:
        """Return it without a word of sprays."""
        return PickMoved(why=self.why.openly)


@dataclass(frozen=True, slots=True, kw_only=True)
class InStore(Held):
    """What is to be minded of picked fruit: it lies too warm, or came out too soon."""

    what: Remark


@dataclass(frozen=True, slots=True, kw_only=True)
class NotMet(Held):
    """What is wanted on a day can't be ready by then, and why."""

    why: Remark


@dataclass(frozen=True, slots=True, kw_only=True)
class Away(Held):
    """Who does a job is away on days of it."""

    days: tuple[date, ...]
    people: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NoAccessThen(Held):
    """Nobody gets to the trees on days of a job, for the reasons that the household gave."""

    days: tuple[date, ...]
    because: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PutOff(Held):
    """A job was put off from its own day, for want of people, or because nobody may go in."""

    day: date
    lacking: Away | NoAccessThen | None = None

    def opened(self) -> PutOff | None:
        """Return the bare day; who is away is nobody else's business."""
        return self if self.lacking is None else None


@dataclass(frozen=True, slots=True, kw_only=True)
class DayBefore(Held):
    """The nearest day before on which a job could be done that can't wait."""

    day: date


@dataclass(frozen=True, slots=True, kw_only=True)
class MoreThanHands(Held):
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


@dataclass(frozen=True, slots=True, kw_only=True)
class NotTold(Remark):
    """A day of the place that its note does not tell."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NoSuchDay(Remark):
    """Fruit that has no day of a stage."""

    stage: Stage


@dataclass(frozen=True, slots=True, kw_only=True)
class NextPickUnknown(Remark):
    """A first pick is noted on a tree, more is to come, and nothing tells when."""

    tree: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstPickAlone(Remark):
    """So many pickings are usual, and the first alone is planned, as nothing tells how many days they are apart."""

    usual: int


@dataclass(frozen=True, slots=True, kw_only=True)
class GivePassInterval(Remark):
    """What to write to have later pickings planned, into the note of a cultivar by its `key`."""

    key: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NoKitchenDays(Remark):
    """No day in the kitchen is told of."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GiveKitchenDays(Remark):
    """What to write to have a plan for the kitchen."""
