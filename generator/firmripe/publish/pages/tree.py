"""A tree's page: its limbs with their dates, its jobs and what was noted of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import timedelta

from msgspec.structs import replace

from firmripe.days import Span
from firmripe.harvest.allotting import by_house
from firmripe.harvest.because import LookOver
from firmripe.harvest.crop import Unweighed
from firmripe.harvest.lots import Lot
from firmripe.holding.fruit import Event
from firmripe.holding.record import Happening, Record
from firmripe.holding.standing import gone_by, of_those_that_stand
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing, Tree
from firmripe.publish.hazards import together
from firmripe.publish.markdown import to_html
from firmripe.publish.pages.asks import Question, ask_of, questions_about
from firmripe.publish.pages.batches import BatchLine, lying_in_words
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.crop_strip import FirmnessDrawing, Strip, firmness_of, strip_of
from firmripe.publish.pages.dated import Dated, date_of, stage_view
from firmripe.publish.pages.days import day_blocks
from firmripe.publish.pages.plain_reasons import NextDate, next_date, plain_why
from firmripe.publish.pages.record_words import noted_day, noted_words
from firmripe.publish.pages.tests import SignLine, sign_lines
from firmripe.publish.pages.years_of_crop import YearRow, years_of
from firmripe.publish.signs import OF_THE_HAND
from firmripe.publish.verdict_words import prior_words, taught
from firmripe.publish.views import DayBlock, Hazard, Link, PhotoView, Quote, ToNote, View
from firmripe.season.estimate import NoDate, Reason
from firmripe.tongue import mark
from firmripe.wording import words_of
from firmripe.wording.harvest import alert_words
from firmripe.words import begun, week_day, with_year

_AFTER_PICK = (
    (Stage.TAKE_OUT, mark("Take out of the cold")),
    (Stage.READY, mark("Ready")),
    (Stage.USE_BY, mark("Use by")),
    (Stage.KEEP_UNTIL, mark("Take out the last")),
)


class Past(View, frozen=True, kw_only=True):
    """One line of the records."""

    day: str
    iso: str
    what: str
    of: str
    amount: str
    note: str


class PastSeason(View, frozen=True, kw_only=True):
    """The records of one season."""

    title: str
    lines: tuple[Past, ...]


class LimbView(View, frozen=True, kw_only=True):
    """What a limb bears: its dates, the life of its fruit after the pick, and why there is no date.

    `plainly` says in a few sentences why it is picked when it is, `pollen` whose pollen serves it; `signs` are its
    tests.
    """

    cultivar: Link
    crop: str
    next: NextDate | None
    strip: Strip | None
    signs: tuple[SignLine, ...]
    firmness: FirmnessDrawing | None
    plainly: tuple[str, ...]
    pollen: tuple[str, ...]
    years: tuple[YearRow, ...]
    dates: tuple[Dated, ...]
    after_pick: tuple[Dated, ...]
    steps: tuple[Quote, ...]
    why_not: tuple[str, ...]
    expected: str
    batches: tuple[BatchLine, ...]
    alternatives: tuple[Quote, ...]
    alert: str


class TreePage(View, frozen=True, kw_only=True):
    """A tree's page. `taught` is what verdicts on its fruit taught, `prior` what was taken for granted before."""

    title: str
    tag: str
    kinds: str
    drawings: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    limbs: tuple[LimbView, ...]
    questions: tuple[Question, ...]
    coming: tuple[DayBlock, ...]
    hazards: tuple[Hazard, ...]
    past: tuple[PastSeason, ...]
    photos: tuple[PhotoView, ...]
    unsafe: tuple[Quote, ...]
    text: str
    note: ToNote | None = None
    taught: tuple[str, ...] = ()
    prior: str = ""


def _removed(context: PageContext, tree: Tree) -> str:
    """Say when a tree was taken out, or which limbs of it; empty where all of it stands."""
    gone = gone_by([tree], context.holding.noted(tree.tag), context.season.as_of)
    days = {limb: gone[tree.tag, limb.key] for limb in tree.limbs if (tree.tag, limb.key) in gone}
    said = {limb: with_year(context.tongue, week_day(context.tongue, day), day.year) for limb, day in days.items()}
    is_whole = len(days) == len(tree.limbs)
    return ", ".join(dict.fromkeys(day if is_whole else f"{limb.name} {day}" for limb, day in said.items()))


def tree_page(context: PageContext, tree: Tree) -> TreePage:
    """Return a tree's page."""
    tongue = context.tongue
    entries = context.entries_of_tree.get(tree.tag, [])
    year = context.season.year
    coming = Span(first=context.season.as_of, last=max(year.last, context.season.as_of) + timedelta(days=365))
    facts = (
        (tongue.say("Where"), tree.place),
        (tongue.say("Trees"), str(tree.count) if tree.count > 1 else ""),
        (tongue.say("Planted"), str(tree.planted) if tree.planted else ""),
        (tongue.say("Bears from"), str(tree.bears_from) if tree.bears_from else ""),
        (tongue.say("Kept by"), tree.kept_by),
        (begun(tongue.term(Happening.REMOVED.value)), _removed(context, tree)),
    )
    blocks = day_blocks(context, entries, coming, to_do=True)
    limbs = tuple(_limb_view(context, bearing, tree) for bearing in tree.bearings if context.season.stands(bearing))
    return TreePage(
        title=tongue.say(
            "Tree {tag}: {cultivars}", tag=tree.tag, cultivars=", ".join(limb.name for limb in tree.limbs)
        ),
        tag=tree.tag,
        kinds=", ".join(limb.name for limb in tree.limbs),
        facts=tuple((name, value) for name, value in facts if value),
        drawings=tuple(dict.fromkeys(line.drawing for limb in limbs for line in limb.signs if line.drawing)),
        limbs=limbs,
        questions=(*_unanswered(context, tree), *questions_about(context, tree)),
        coming=blocks,
        hazards=together(tongue, (hazard for block in blocks for item in block.items for hazard in item.hazards)),
        past=_past(context, tree),
        photos=context.photos("trees", tree.where.file.rpartition("/")[2].removesuffix(".md")),
        unsafe=context.unsafe((), tree.place, tree.text, *(r.note for r in _noted(context, tree))),
        text=to_html(tree.text),
        note=context.noting.of_tree(tree),
        taught=(lessons := tuple(line for bearing in tree.bearings for line in taught(context.season, bearing))),
        prior=prior_words(tongue) if lessons else "",
    )


def _crop_words(context: PageContext, lot: Lot) -> str:
    tongue = context.tongue
    if isinstance(lot.crop, Unweighed):
        return tongue.say("how much there will be is not known: {reason}", reason=words_of(lot.crop.reason, tongue))
    why = "; ".join(words_of(reason.why, tongue) for reason in lot.crop.reasons)
    return f"{context.pounds(lot.crop.weight)}. {why}"


def _unanswered(context: PageContext, tree: Tree) -> Iterable[Question]:
    """Yield the questions about a tree's pickings, which stand before all else on the first page."""
    for asked, entry in context.unnoted_of_tree.get(tree.tag, ()):
        ask = ask_of(context, asked, entry)
        parts = (f"{ask.title}, {ask.since}.", ask.question, ask.waits)
        yield Question(text=" ".join(part for part in parts if part), note=ask.note)


def _limb_view(context: PageContext, bearing: Bearing, tree: Tree) -> LimbView:
    tongue = context.tongue
    limb, lot = context.holding.limb(bearing), context.plan.lots.get(bearing)
    labels = (
        (Event.FULL_BLOOM, tongue.say("Full bloom")),
        (Event.PICK, tongue.say("Pick")),
        (Event.LEAF_FALL, tongue.say("Leaf fall")),
    )
    dates = [d for event, label in labels if (d := date_of(context, bearing, event, label)) is not None]
    return LimbView(
        cultivar=context.link(limb.name, context.paths.cultivar(limb.key)),
        crop=tongue.term(bearing.crop),
        next=next_date(context.season, bearing, lot),
        strip=strip_of(context.plan, bearing, lot),
        signs=tuple(
            replace(line, drawing=line.drawing if line.drawing in OF_THE_HAND else "")
            for line in sign_lines(context, limb.traits, limb.own)
        ),
        firmness=firmness_of(context.plan, bearing, _noted(context, tree)),
        years=years_of(context.plan, bearing),
        plainly=plain_why(tongue, context.season.of(bearing, Event.PICK)),
        pollen=context.pollen.of(bearing),
        dates=tuple(dates),
        after_pick=tuple(_after_pick(context, bearing, lot)) if lot else (),
        steps=tuple(quote for reason in (lot.reasons if lot else ()) for quote in _step(context, reason)),
        why_not=tuple(_why_not(context, bearing, lot)),
        expected=_crop_words(context, lot) if lot else "",
        batches=lying_in_words(context, lot.batches if lot else ()),
        alternatives=tuple(
            context.quote(f"{week_day(tongue, way.ready.likely)}", words_of(way.what, tongue), way.cited)
            for way in (lot.alternatives if lot else ())
            if way.ready.likely >= context.season.as_of
        ),
        alert=alert_words(tongue, lot.alerts) if lot else "",
    )


def _after_pick(context: PageContext, bearing: Bearing, lot: Lot) -> Iterator[Dated]:
    """Yield the days after a pick; where houses have parts that come out or ripen on other days, those of each."""
    tongue = context.tongue
    parts = {house: part[bearing] for house, part in by_house({bearing: lot}).items() if bearing in part}
    of_houses = {house: part for house, part in parts.items() if house} or {"": lot}
    known = context.plan.days_of(bearing)
    for stage, label in _AFTER_PICK:
        told = {
            house: part.days[stage]
            for house, part in of_houses.items()
            if stage in known and stage in part.days and (part.lies_cold or stage is not Stage.TAKE_OUT)
        }
        alike = len(told) == len(of_houses) and len(set(told.values())) == 1
        for house, reach in list(told.items())[:1] if alike else told.items():
            whose = f", {house}" if house and not alike else ""
            yield stage_view(tongue, f"{tongue.term(label)}{whose}", reach, context.season.as_of)


def _why_not(context: PageContext, bearing: Bearing, lot: Lot | None) -> Iterable[str]:
    """Yield why bloom, pick and the days after it have no date, those that have none; an alert's reason once."""
    tongue = context.tongue
    unseen = context.holding.limb(bearing).blooms_unseen
    for event in (Event.PICK,) if unseen else (Event.FULL_BLOOM, Event.PICK):
        dated = context.season.of(bearing, event)
        if isinstance(dated, NoDate):
            yield words_of(dated.reason, tongue) + (f"; {words_of(dated.remedy, tongue)}" if dated.remedy else "")
    if lot:
        told = {alert.why for alert in lot.alerts if isinstance(alert, LookOver)}
        labels = dict(_AFTER_PICK)
        for stage, reason in lot.undated.items():
            if reason not in told:
                yield f"{tongue.term(labels.get(stage, stage.value))}: {words_of(reason, tongue)}"


def _step(context: PageContext, reason: Reason) -> Iterable[Quote]:
    """Yield a step in a lot's life with each that says so, or once without where nobody is named."""
    if not reason.cited:
        yield Quote(label="", text=words_of(reason.why, context.tongue), mark="", source="", source_href="")
    for cited in reason.cited:
        yield context.quote("", words_of(reason.why, context.tongue), cited)


def _past(context: PageContext, tree: Tree) -> tuple[PastSeason, ...]:
    tongue = context.tongue
    by_season: dict[int, list[Past]] = {}
    names = {limb.key: limb.name for limb in tree.limbs}
    for record in _noted(context, tree):
        of = ", ".join(part for part in (names.get(record.cultivar, ""), tongue.term(record.crop)) if part)
        (much, word), (day, iso) = noted_words(tongue, record), noted_day(tongue, record)
        by_season.setdefault(record.season, []).append(
            Past(
                day=day,
                iso=iso,
                what=tongue.term(record.what.value),
                of=of,
                amount=much,
                note=word,
            )
        )
    return tuple(
        PastSeason(title=str(season), lines=tuple(by_season[season])) for season in sorted(by_season, reverse=True)
    )


def _noted(context: PageContext, tree: Tree) -> list[Record]:
    """Return what is known of a tree, without what another in its place did before it."""
    return list(of_those_that_stand(r for r in context.holding.noted(tree.tag) if r.day <= context.season.as_of))
