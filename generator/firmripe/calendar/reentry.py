"""Re-entry times of sprays: which days are closed, which trees wait, and how that is said."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from firmripe.holding.record import Record
from firmripe.saying import _, n_
from firmripe.words import week_day


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """A tree that a job for several trees leaves out for now.

    Either nobody may go to it before the re-entry time of a `spray` is over, or no fruit of it may be picked before the
    day `picks_from`, as days to harvest run; exactly one of the two is set.
    """

    tree: str
    spray: Record | None = None
    picks_from: date | None = None

    def __post_init__(self) -> None:
        if (self.spray is None) == (self.picks_from is None):
            raise ValueError("a tree waits for a re-entry time or for days to harvest, one of the two")


def waiting_words(waiting: Iterable[Waiting], *, openly: bool = False) -> tuple[str, ...]:
    """Say which trees are left out until when, those with the same wait together; openly without a word of why."""
    together: dict[str, list[str]] = {}
    for one in waiting:
        trees = together.setdefault(_wait(one, openly=openly), [])
        if one.tree not in trees:
            trees.append(one.tree)
    return tuple(
        _("Leave out {trees}: {wait}", trees=", ".join(sorted(trees)), wait=wait) for wait, trees in together.items()
    )


def _wait(one: Waiting, *, openly: bool) -> str:
    if one.picks_from is not None:
        day = week_day(one.picks_from)
        if openly:
            return _("no picking there before {day}.", day=day)
        return _("by a spray's label no picking there before {day}. The label is the law.", day=day)
    spray = one.spray
    if spray is None:
        return ""
    if not openly:
        return _(
            "sprayed on {day}, by its label nobody goes there {until}. The label is the law.",
            day=week_day(spray.day),
            until=_until(spray),
        )
    if spray.open_again is not None:
        hour, day = f"{spray.open_again:%H:%M}", week_day(spray.open_again.date())
        return _("nobody goes there before {hour} on {day}.", hour=hour, day=day)
    return _("nobody goes there before {day}.", day=week_day(open_from(spray)))


def re_entry_words(spray: Record) -> str:
    """Say by which day or hour a spray's label lets people in."""
    return _(
        "Sprayed on {day}: by its label nobody goes in {until}. The label is the law.",
        day=week_day(spray.day),
        until=_until(spray),
    )


def _until(spray: Record) -> str:
    hours = n_("{n:g} hour", "{n:g} hours", spray.re_entry_h)
    if spray.open_again is not None:
        return _(
            "before {time} on {day}, {hours} after it",
            time=f"{spray.open_again:%H:%M}",
            day=week_day(spray.open_again.date()),
            hours=hours,
        )
    return _("for {hours} after it, and not before {day}", hours=hours, day=week_day(open_from(spray)))


def closed_words(spray: Record) -> str:
    """Say until when nobody goes in, without a word of why."""
    if spray.open_again is not None:
        hour, day = f"{spray.open_again:%H:%M}", week_day(spray.open_again.date())
        return _("Nobody goes in before {hour} on {day}.", hour=hour, day=day)
    return _("Nobody goes in before {day}.", day=week_day(open_from(spray)))


def open_from(spray: Record) -> date:
    """Return the first day on which people may work among the trees again."""
    return spray.day + timedelta(days=spray.re_entry_d)


def days_closed(spray: Record) -> list[date]:
    """Return the days on which a spray lets nobody have a job among its trees."""
    return [spray.day + timedelta(days=day) for day in range(spray.re_entry_d)]


def days_touched(spray: Record) -> list[date]:
    """Return the days on a part of which a spray keeps people out: those closed, and one it ends on before work."""
    closed = days_closed(spray)
    ends = spray.open_again.date() if spray.open_again is not None else spray.day
    return closed if ends < open_from(spray) else [*closed, ends]


def first_open(closed: Mapping[date, Record], day: date) -> date:
    """Return the day itself, or the first one after it that is not closed."""
    while day in closed:
        day += timedelta(days=1)
    return day
