"""The pages of cultivars and fruits: tests, figures, printed windows and what is put up of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec.structs import replace

from firmripe.holding.figures import Figure
from firmripe.holding.fruit import Abroad, Cultivar, Event, Fruit, Traits, Window
from firmripe.holding.matter import Matter
from firmripe.holding.preserve import Preserve, PutUp
from firmripe.holding.tree import Bearing
from firmripe.kitchen.admitting import is_made_of, named_by, not_for_jars
from firmripe.kitchen.tables.refusals import NoMinutes
from firmripe.publish.contents import offered, preserves_with_page
from firmripe.publish.own_words import is_own
from firmripe.publish.pages.context import PageContext, language_of
from firmripe.publish.pages.season_table import Row, kind_rows, rows_of_cultivar, season_rows
from firmripe.publish.pages.tests import signs_of
from firmripe.publish.pages.years_of_crop import HistoryOfTree
from firmripe.publish.views import Link, PhotoView, Quote, View
from firmripe.tongue import Tongue, mark
from firmripe.wording import words_of
from firmripe.wording.minutes import instead_words
from firmripe.words import amount, begun, of_crop, stretch_words, when_words

_FIGURES = (
    ("ripens_off_the_tree", mark("Ripens off the tree")),
    ("days_from_bloom", mark("From full bloom to pick")),
    ("offset", mark("Picked")),
    ("firmness_at_pick", mark("Firmness at the pick")),
    ("firmness_when_ready", mark("Firmness when ready")),
    ("passes", mark("Pickings")),
    ("pass_interval", mark("Between pickings")),
    ("conditioning", mark("In the cold before it ripens")),
    ("conditioning_early", mark("The same, picked before it is mature")),
    ("counter", mark("On the counter until ready")),
    ("counter_by_room", mark("The same in another room")),
    ("too_warm", mark("Too warm to ripen")),
    ("keeps", mark("Keeps in the cold at most")),
    ("keeps_ripe", mark("Stays good once ready")),
    ("freezes", mark("The fruit itself freezes at")),
    ("uses", mark("Good for")),
    ("own_pollen", mark("Sets with its own pollen")),
    ("partners", mark("Pollinated by")),
    ("bad_partners", mark("Not pollinated by")),
    ("flower_groups", mark("In bloom beside others of its kind")),
    ("gives_pollen", mark("Pollen for others")),
)
_OF_POLLINATION = frozenset({"own_pollen", "partners", "bad_partners", "flower_groups", "gives_pollen"})


class KindPage(View, frozen=True, kw_only=True):
    """A cultivar's or a fruit's page. `fruit` is None on a fruit's own.

    `history` are the years of a cultivar's trees together, None where it has one tree alone or was never picked;
    `months` and `width` are of its drawing, as on the page of the year in review.
    """

    title: str
    also: tuple[str, ...]
    fruit: Link | None
    rows: tuple[Row, ...]
    kinds: tuple[Link, ...]
    signs: tuple[Quote, ...]
    figures: tuple[Quote, ...]
    windows: tuple[Quote, ...]
    drops: tuple[Quote, ...]
    facts: tuple[Quote, ...]
    preserves: tuple[Quote, ...]
    methods: tuple[Link, ...]
    cautions: tuple[Quote, ...]
    photos: tuple[PhotoView, ...]
    unsafe: tuple[Quote, ...]
    text: str
    history: HistoryOfTree | None = None
    months: tuple[tuple[int, str], ...] = ()
    width: int = 0


def cultivar_page(context: PageContext, limb: Cultivar) -> KindPage:
    """Return a cultivar's page."""
    bearings = [bearing for bearing in _all_bearings(context) if bearing.cultivar == limb.key]
    page, fruit = _kind(context, limb, limb.own, bearings), limb.fruit
    if fruit is None:
        return page
    return replace(page, fruit=context.link(context.tongue.term(fruit.name), context.paths.fruit(fruit.key)))


def fruit_page(context: PageContext, fruit: Fruit) -> KindPage:
    """Return a fruit's page."""
    bearings = [b for b in _all_bearings(context) if (of := context.holding.limb(b).fruit) and of.key == fruit.key]
    grown = [limb for limb in context.grown if limb.fruit and limb.fruit.key == fruit.key]
    foreign = {one.name for one in fruit.abroad}
    page = _kind(context, fruit, fruit.traits, bearings)
    return replace(
        page,
        also=tuple(name for name in fruit.also if name not in foreign),
        kinds=tuple(context.link(limb.name, context.paths.cultivar(limb.key)) for limb in grown),
        facts=(*page.facts, *_abroad(context, fruit.abroad)),
    )


def _all_bearings(context: PageContext) -> Iterator[Bearing]:
    """Yield every bearing, also those that stand no more."""
    return (bearing for tree in context.holding.trees for bearing in tree.bearings)


def _abroad(context: PageContext, names: Iterable[Abroad]) -> tuple[Quote, ...]:
    """Return what a fruit is called in other languages, those of one source together."""
    together: dict[tuple[object, ...], list[Abroad]] = {}
    for one in names:
        together.setdefault((one.cited.mark, one.cited.source), []).append(one)
    return tuple(
        context.quote(
            context.tongue.say("In other languages"),
            ", ".join(f"{one.name} ({', '.join(one.languages)})" for one in of),
            of[0].cited,
        )
        for of in together.values()
    )


def _kind(
    context: PageContext,
    kind: Cultivar | Fruit,
    own: Traits,
    bearings: Sequence[Bearing],
) -> KindPage:
    """Return the page of a kind with its preserves, a cultivar's with its fruit's.

    Traits beyond its `own` are its fruit's. Its table has those of its `bearings` that stand; where none does, jars are
    for the fruit of those that did, which may still lie there.
    """
    standing = [bearing for bearing in bearings if context.season.stands(bearing)]
    tongue, traits = context.tongue, kind.traits
    is_cultivar = isinstance(kind, Cultivar)
    keys = named_by(context.holding, kind) if isinstance(kind, Cultivar) else {kind.key}
    table = rows_of_cultivar if is_cultivar else kind_rows if context.is_by_kind else season_rows
    return KindPage(
        title=kind.name if is_cultivar else tongue.term(kind.name),
        also=kind.also,
        fruit=None,
        rows=table(context, standing),
        kinds=(),
        signs=signs_of(context, traits, own),
        figures=_trait_figures(context, traits, own),
        windows=_windows(context, traits, own),
        drops=tuple(
            context.quote(begun(when_words(tongue, drop.when)), tongue.term(drop.text), drop.cited)
            for drop in traits.drops
        ),
        facts=_facts(context, traits, own),
        preserves=tuple(
            _preserve(context, p, standing or bearings) for p in offered(context.plan) if p.subjects & keys
        ),
        methods=tuple(
            context.link(tongue.term(preserve.name), context.paths.preserve(preserve.key))
            for preserve in preserves_with_page(context.plan)
            if preserve.subjects & keys
        ),
        cautions=context.cautions(traits.cautions),
        photos=context.photos("cultivars" if is_cultivar else "fruits", kind.key),
        unsafe=context.unsafe(
            traits.cautions,
            kind.text,
            *(fact.text for fact in traits.facts if is_own(fact.cited)),
            *(sign.text for sign in traits.signs if is_own(sign.cited)),
        ),
        text=context.body(kind.text),
    )


def _windows(context: PageContext, traits: Traits, own: Traits) -> tuple[Quote, ...]:
    """Return the printed windows, those of an event together."""
    tongue = context.tongue
    events = list(Event)
    return tuple(
        context.quote(
            begun(tongue.term(window.event.value)) + of_crop(tongue, window.crop),
            f"{stretch_words(tongue, window.text)}, {window.place_name}"
            if window.place_name
            else stretch_words(tongue, window.text),
            window.cited,
            _note_words(tongue, window),
            leans=window not in own.windows,
        )
        for window in sorted(traits.windows, key=lambda w: (events.index(w.event), w.crop))
    )


def _note_words(tongue: Tongue, window: Window) -> str:
    """Return what is noted of a printed window; a place that stands for the whole region around it says so."""
    if window.note and window.place_name.endswith(f", {window.note}"):
        return tongue.say("printed for {region} as a whole", region=window.note)
    return window.note


def _facts(context: PageContext, traits: Traits, own: Traits) -> tuple[Quote, ...]:
    tongue = context.tongue
    return tuple(
        replace(
            context.quote(tongue.term(fact.what), amount(tongue, fact.text), fact.cited, leans=fact not in own.facts),
            lang=language_of(tongue, fact.text, fact.cited),
            label_lang=language_of(tongue, fact.what, fact.cited),
        )
        for fact in traits.facts
    )


def _trait_figures(context: PageContext, traits: Traits, own: Traits) -> tuple[Quote, ...]:
    """Return the figures of a kind under their labels, without those that the household can do without."""
    tongue = context.tongue
    found = []
    for name, label in _FIGURES:
        if name in _OF_POLLINATION and Matter.POLLINATION in context.holding.place.without:
            continue
        value, mine = getattr(traits, name), getattr(own, name)
        leans = bool(value) and value != mine
        for figure in value if isinstance(value, tuple) else (value,):
            if figure is None:
                continue
            if isinstance(figure, Figure):
                crop = of_crop(tongue, figure.crop)
                found.append(context.figure(tongue.term(label) + crop, figure, leans=leans))
            else:
                base = context.holding.cultivars.get(figure.base)
                text = f"{when_words(tongue, figure.text)} {base.name if base else figure.base}"
                found.append(context.quote(tongue.term(label), text, figure.cited, leans=leans))
    return tuple(found)


def _preserve(context: PageContext, preserve: Preserve, bearings: Sequence[Bearing]) -> Quote:
    tongue = context.tongue
    if preserve.method is PutUp.CANNER and preserve.process is not None:
        barred = _barred(context, preserve, bearings)
        if barred is not None:
            text = tongue.say(
                "not into jars: {reason}; {instead}",
                reason=words_of(barred, tongue),
                instead=instead_words(barred, tongue),
            )
            return context.quote(tongue.term(preserve.name), text, barred.cited or preserve.process.cited)
        text = tongue.say("in jars, by the published process “{process}”.", process=tongue.term(preserve.process.text))
        if context.plan.kitchen is None:
            text += " " + tongue.say(
                "The minutes hang on jar and height: tell of your kitchen in place.md to have them here."
            )
        else:
            text += " " + tongue.say(
                "The minutes for jar and height stand with each kitchen and on the cards for the stove."
            )
        if preserve.acid is not None:
            text += " " + tongue.say("Acid: {acid}.", acid=tongue.term(preserve.acid.text))
        return context.quote(tongue.term(preserve.name), text, preserve.process.cited)
    cited = preserve.keeps.cited if preserve.keeps else None
    text = tongue.say("in the {method}", method=tongue.term(preserve.method.value))
    if preserve.keeps:
        text = tongue.say("{way}; keeps {keeps}", way=text, keeps=amount(tongue, preserve.keeps.text))
    if cited is not None:
        return context.quote(tongue.term(preserve.name), text, cited)
    return Quote(label=tongue.term(preserve.name), text=text, mark="", source="", source_href="")


def _barred(context: PageContext, preserve: Preserve, bearings: Sequence[Bearing]) -> NoMinutes | None:
    """Return why none of these bearings' fruit may go into the jars of a preserve; None where some may."""
    process = preserve.process.value if preserve.process else ""
    first: NoMinutes | None = None
    for bearing in bearings:
        if is_made_of(context.holding, preserve, bearing):
            barred = not_for_jars(context.holding, bearing, process)
            if barred is None:
                return None
            first = first or barred
    return first
