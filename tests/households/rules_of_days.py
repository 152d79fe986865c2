"""One thing has one day everywhere, and nothing comes before its cause."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise

from agreeing import Broken, batches, differing, name_of, of, rule, said
from forty import Household
from statements import Site, Statement

STEPS = (
    ("bloom", "pick"),
    ("look", "pick"),
    ("pick", "out"),
    ("out", "ready"),
    ("pick", "ready"),
    ("ready", "use by"),
    ("pick", "keep"),
)


@rule
def a_crop_has_one_day_for_each_step(site: Site, _household: Household) -> Iterator[Broken]:
    """Bloom, first look, pick, take-out, ready, use by, keep, and the weight looked for: the same wherever they stand."""
    told = [one for one in site.statements if one.about[0] == "crop"]
    known = {one.about[1:] for one in told}
    for one in site.statements:
        if one.about[0] == "slide":
            told.append(Statement(("crop", *one.about[1:], "pick"), one.value, one.file, one.words))
        if one.about[0] == "year sheet" and one.about[1:] in known:
            told.append(Statement(("crop", *one.about[1:]), one.value, one.file, one.words))
    yield from differing(told)


@rule
def a_row_of_the_plan_is_the_same_in_both_tables(site: Site, _household: Household) -> Iterator[Broken]:
    """plan.csv and plan.json."""
    yield from differing(one for one in site.statements if one.about[0] == "row")


@rule
def a_batch_has_one_day_for_each_step(site: Site, _household: Household) -> Iterator[Broken]:
    """Picked, out, ready, use by and keep of a batch, on cards, in rows and on tags."""
    yield from differing(
        Statement((*card.batch, f"of {cards[0].day('picked')[:4]}", key), day, card.file, card.words)
        for cards in batches(site)
        for card in cards
        for key, day in card.days
        if day
    )


@rule
def nothing_comes_before_its_cause(site: Site, _household: Household) -> Iterator[Broken]:
    """Bloom, pick, out, ready, use by: each after the one before."""
    crops: dict[tuple[str, ...], dict[str, Statement]] = defaultdict(dict)
    for one in site.statements:
        if one.about[0] == "crop":
            crops[one.about[1:3]][one.about[3]] = one
    for crop, steps in crops.items():
        for a, b in STEPS:
            if a in steps and b in steps and str(steps[a].value) > str(steps[b].value):
                about = f"{' '.join(crop)}: {a} {steps[a].value} and {b} {steps[b].value}"
                yield about, of(steps[a]), of(steps[b])
    for card in (card for cards in batches(site) for card in cards):
        # what goes to the table at once is ripe before the rest is out
        straight = site.hearing.hears("{weight} straight after picking", card.words)
        for a, b in pairwise(key for key in ("picked", "out", "ready", "use by") if card.day(key)):
            if card.day(a) > card.day(b) and not (a == "out" and straight):
                yield f"{name_of(card)}: {a} {card.day(a)} and {b} {card.day(b)}", said(card.file, card.words), ""


@rule
def nothing_is_planned_in_the_past(site: Site, _household: Household) -> Iterator[Broken]:
    """A batch that nobody picked isn't taken out, ripe or used up before today."""
    today = site.made_on.isoformat()
    for card in (card for cards in batches(site) for card in cards):
        past = [key for key in ("out", "ready", "use by") if "" < card.day(key) < today]
        if card.noted is False and past:
            yield f"{name_of(card)}: {', '.join(past)}", said(card.file, card.words), f"made on {today}"


def asked_after(site: Site) -> set[str]:
    """Return the tags of the trees that a question on the first page is about."""
    return {a.text for box in site.pages["index.html"].every("div", "must") for a in box.every("a", "code")}


@rule
def what_is_overdue_is_asked_after(site: Site, _household: Household) -> Iterator[Broken]:
    """A pick whose day has passed without a note is a question on the first page."""
    asked = asked_after(site)
    for cards in batches(site):
        card = cards[0]
        if card.noted is False and "" < card.day("picked") < site.made_on.isoformat() and card.tree not in asked:
            yield name_of(card), said(card.file, card.words), "no question on the first page"
