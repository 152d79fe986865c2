"""A day in words: how sure it is, the reasons for it and what would make it surer."""

from __future__ import annotations

from datetime import date

from msgspec.structs import replace

from firmripe.holding.fruit import Event
from firmripe.holding.tree import Bearing
from firmripe.publish.pages.context import PageContext, short_source
from firmripe.publish.views import Link, View
from firmripe.season.estimate import Basis, Estimate, Happens, Reach, Reason
from firmripe.tongue import Tongue
from firmripe.wording import words_of
from firmripe.wording.clashes import clash_words
from firmripe.words import between, far_day, shift_words, week_day


class Why(View, frozen=True, kw_only=True):
    """One line of a date's reasons; `shift` says how far it moves the date, empty where it moves nothing."""

    text: str
    shift: str
    sources: tuple[Link, ...]


class Dated(View, frozen=True, kw_only=True):
    """A dated event or stage.

    `iso` is the likely day; `window` how early or late, empty where certain; `printed` the window before anything was
    noted here; `narrowings` say which notes would make it surer.
    """

    label: str
    iso: str
    likely: str
    window: str
    basis: str
    rough: bool
    clash: str
    whys: tuple[Why, ...] = ()
    printed: str = ""
    narrowings: tuple[str, ...] = ()


def stage_view(tongue: Tongue, label: str, reach: Reach, as_of: date) -> Dated:
    """Return a day that was worked out, such as one after the pick; with its year where it is far from `as_of`."""
    return Dated(
        label=label,
        iso=reach.likely.isoformat(),
        likely=far_day(tongue, reach.likely, as_of),
        window=between(tongue, reach.earliest, reach.latest),
        basis=tongue.term(Basis.MODEL.value),
        rough=False,
        clash="",
    )


def date_of(context: PageContext, bearing: Bearing, event: Event, label: str) -> Dated | None:
    """Return the date of an event with its reasons; None where it has none."""
    happens = Happens.of(bearing, event)
    return context.once(("date", happens, label), lambda: _date_of(context, happens, label))


def _date_of(context: PageContext, happens: Happens, label: str) -> Dated | None:
    dated = context.season.dates.get(happens)
    if not isinstance(dated, Estimate):
        return None
    told = context.plan.explanations[happens]
    printed = (
        between(context.tongue, told.printed.earliest, told.printed.latest)
        if told.printed and not dated.is_past
        else ""
    )
    return replace(
        _dated(context, label, dated),
        printed=printed,
        narrowings=tuple(words_of(note, context.tongue) for note in told.narrowings),
    )


def _why(context: PageContext, reason: Reason) -> Why:
    tongue = context.tongue
    links = []
    for cited in reason.cited:
        if cited.source is not None:
            context.cited.add(cited.source.key)
            path = context.paths.source(cited.source)
            text = f"{short_source(cited)} ({tongue.term(cited.mark.value)})"
            links.append(Link(text=text, href=context.top + path if path else ""))
    shift = "" if reason.days is None else shift_words(tongue, reason.days)
    return Why(text=words_of(reason.why, tongue), shift=shift, sources=tuple(dict.fromkeys(links)))


def _dated(context: PageContext, label: str, dated: Estimate) -> Dated:
    tongue = context.tongue
    return Dated(
        label=label,
        iso=dated.likely.isoformat(),
        likely=week_day(tongue, dated.likely),
        window=between(tongue, dated.earliest, dated.latest),
        basis=tongue.term(dated.basis.value),
        rough=dated.rough,
        clash=clash_words(tongue, dated),
        whys=tuple(_why(context, reason) for reason in dated.reasons),
    )
