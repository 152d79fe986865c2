"""Small words that were once said wrong: units of the other kind, names with articles, seasons without a day."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from kitchen_notes import POT, QUARTS, SATURDAYS, household, place
from season_notes import note, table

from firmripe.holding.figures import Cited, Mark
from firmripe.holding.holding import Holding
from firmripe.holding.place import USUAL_THEME
from firmripe.kitchen.fit.outcome import Lack, Remedy
from firmripe.kitchen.plan.because import Helps
from firmripe.kitchen.tables.ware import Ware
from firmripe.plan import Plan
from firmripe.problems import Where
from firmripe.publish.pages.context import short_source
from firmripe.publish.pages.kitchen import _want
from firmripe.publish.pages.stand import stand_page
from firmripe.publish.site import make_site
from firmripe.reports import explained
from firmripe.season.explaining import explain_season
from firmripe.shipped import theme_folder
from firmripe.tongue import IN_ENGLISH, Tongue
from firmripe.wording import words_of
from firmripe.wording.kitchen import units_words, ware_words
from firmripe.words import in_own_units, on_tree

ROOT = Path(__file__).resolve().parent.parent.parent
HoldingOf = Callable[..., Holding]
PlanOf = Callable[..., Plan]
PLACE = note("zone: 7b", "latitude: 42 N", "longitude: 72 W", "elevation: 200 m")
TREE = {"place.md": PLACE, "trees/anna.md": note("cultivar: Bartlett")}


# An inch is 2.54 cm and a pound 0.45359237 kg exactly (NIST Handbook 44, appendix C, 2023); 28 °F is -2.2 °C.
@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("lost below 28 F held for half an hour", "lost below -2 °C (28 F) held for half an hour"),
        ("keep it at 30-31 F.", "keep it at -1 °C (30-31 F)."),
        ("cut 8-12 inches below", "cut 20–30 cm (8-12 inches) below"),
        ("2-3 lb of fruit", "0.9–1.4 kg (2-3 lb) of fruit"),
        ("-1 °C (30–31 °F) at most", "-1 °C (30–31 °F) at most"),
        ("250 degree-days over 50 F", "250 degree-days over 50 F"),
        ("the 5/16 inch tip", "the 0.8 cm (5/16 inch) tip"),
        ("se pierden por debajo de 28 °F", "se pierden por debajo de -2 °C (28 °F)"),
    ],
)
def test_sentences_of_the_shelf_have_metric_units_where_those_come_first(text: str, said: str) -> None:
    """Beside the printed number, never in its place; sums of warmth and fractions of an inch stay as they are."""
    assert in_own_units(Tongue(metric=True), text) == said
    assert in_own_units(IN_ENGLISH, text) == text


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("blue pot", "into the blue pot"),
        ("Thea's pot", "into Thea's pot"),
        ("grandma’s pot", "into grandma’s pot"),
        ("our pot", "into our pot"),
        ("the old pot", "into the old pot"),
    ],
)
def test_a_name_that_needs_no_article_gets_none(name: str, said: str) -> None:
    """Whichever message it stands in."""
    assert IN_ENGLISH.say("into the {pot}", pot=name) == said


def test_a_tree_called_like_its_cultivar_is_named_once(plan_of: PlanOf) -> None:
    """As in `Look at Anna`, on pages and in calendars."""
    assert (on_tree("Anna", "anna"), on_tree("Anna", "1-01")) == ("Anna", "Anna (1-01)")
    site = make_site(
        plan_of({**TREE, "trees/bartlett.md": note("cultivar: Bartlett")}, as_of=date(2027, 6, 1)),
        theme_folder(USUAL_THEME),
    )

    assert b"bartlett Bartlett" not in site["feeds/reminders.ics"]
    assert b"anna" in site["feeds/reminders.ics"]


def test_a_source_is_named_with_its_year_once(example_plan: Plan) -> None:
    """Also one of several papers, whose names have each its own year."""
    cited = [
        Cited(mark=Mark.READ, source=source, page="", where=Where(""))
        for source in example_plan.holding.sources.values()
        if source.year
    ]

    assert len(cited) > 100
    assert [said for one in cited if (said := short_source(one)).count(one.source.year) != 1] == []


def test_a_line_about_a_season_has_no_day(plan_of: PlanOf) -> None:
    """`2025, light crop` is about that season, and not a note of 1 January."""
    files = {**TREE, "records/2025.csv": table("2025,anna,light crop,,")}
    page = make_site(plan_of(files, as_of=date(2027, 6, 1)), theme_folder(USUAL_THEME))["trees/anna.html"].decode()

    assert "that season" in page
    assert "1 Jan" not in page
    assert 'datetime="2025"' in page


def test_saturdays_and_one_date_have_their_own_hours(holding_of: HoldingOf) -> None:
    """A date on a workday is an evening of four hours, and takes nothing from the Saturdays' eight."""
    days = "kitchen days: [{on: [Saturday, 2027-09-01], kitchen: upper kitchen}]"
    told = holding_of({"place.md": place(days), "trees/1.md": note("cultivar: Bartlett")}).place.kitchen_means.days

    assert [(sorted(day.weekdays), day.dates, day.hours) for day in told] == [
        ([], (date(2027, 9, 1),), 4.0),
        ([5], (), 8.0),
    ]


def test_wants_without_a_day_in_the_kitchen_are_told_of(plan_of: PlanOf) -> None:
    """With what to write, on the first page and by the build."""
    plan = plan_of({"place.md": place(QUARTS), "trees/1.md": note("cultivar: Bartlett")}, as_of=date(2027, 6, 1))
    told = {words_of(item.what, IN_ENGLISH): words_of(item.reason, IN_ENGLISH) for item in plan.calendar.undated}

    assert told["Pear halves in jars, wanted"] == "no day in the kitchen is told of, so it is in no plan"


def test_a_space_of_which_nobody_says_how_warm_it_is_is_asked_about(holding_of: HoldingOf) -> None:
    """It would count for nothing without a word; one whose months are told is known."""
    spaces = "spaces: [{name: shed, holds: 3 boxes}, {name: cellar, Oct: 50 F}, {name: fridge, temperature: 31 F}]"
    asked = holding_of({"place.md": note("zone: 7b", spaces), "trees/1.md": note("cultivar: Bartlett")}).asked

    assert [problem.message for problem in asked] == [
        "how warm the shed is has not been said, so no fruit is planned to lie there"
    ]


def test_ripe_fruit_that_lies_in_the_store_is_told_to_everybody(plan_of: PlanOf) -> None:
    """Plums picked on Tuesday stand on the page for everybody as they do on the store's."""
    files = {
        "place.md": PLACE.replace("zone: 7b", "zone: 7b\nfarm stand: yes"),
        "trees/plum.md": note("cultivar: Stanley"),
        "records/2027.csv": table("2027-08-17,plum,pick,9 lb,"),
    }
    for day in (18, 19, 20):
        plan = plan_of(files, as_of=date(2027, 8, day))
        assert [batch.limb.name for batch in plan.store.batches] == ["Stanley"]
        assert [name for name, *_rest in stand_page(plan).fruits] == ["Stanley"]


@pytest.mark.parametrize("lack", [Lack.SPACE, Lack.FRUIT])
@pytest.mark.parametrize(("tongue", "said"), [(IN_ENGLISH, "33 lb"), (Tongue(metric=True), "15 kg")])
def test_what_would_help_is_weighed_in_the_households_unit(
    plan_of: PlanOf, lack: Lack, tongue: Tongue, said: str
) -> None:
    """14.6 kg are 32.2 lb (NIST): whole ones, and upwards, since a little less would not do."""
    kitchen = plan_of(household(POT, SATURDAYS, QUARTS), as_of=date(2027, 9, 1)).kitchen
    assert kitchen is not None
    ware = kitchen.wants[0].of
    assert isinstance(ware, Ware)
    remedy = Remedy(lack=lack, name="cellar", amount=14.6, gains={})
    text = words_of(Helps(remedy=remedy, ware=ware, more=7, day=None, kitchen=""), tongue)

    assert said in text
    assert ("kg" in text, " lb" in text) == (tongue.metric, not tongue.metric)


@pytest.mark.parametrize(("units", "said"), [("US", "4 lb"), ("metric", "1.8 kg")])
def test_what_is_dried_is_weighed_in_the_households_unit(plan_of: PlanOf, units: str, said: str) -> None:
    """Four pounds are 1.81 kg (NIST), on the page of the kitchen and beside what would help."""
    dried = "to put up: [{preserve: Dried pears, amount: 4 lb}]"
    kitchen = plan_of(household(f"units: {units}", SATURDAYS, dried), as_of=date(2027, 9, 1)).kitchen
    assert kitchen is not None
    (met,) = kitchen.wants
    tongue = Tongue(metric=units == "metric")

    assert _want(tongue, met).wanted == said
    assert isinstance(met.of, Ware)
    assert units_words(tongue, met.of, 4) == f"{said} dried"
    assert ("pound" in ware_words(tongue, met.of)) is not tongue.metric


def test_bus_are_bushels(plan_of: PlanOf) -> None:
    """As growers write them: three bus of apples at 42-48 lb a bushel."""
    files = {
        **TREE,
        "trees/anna.md": note("cultivar: McIntosh"),
        "records/2027.csv": table("2027-09-17,anna,pick,3 bus,"),
    }
    (batch,) = plan_of(files, as_of=date(2027, 9, 18)).store.batches

    assert 120 < float(batch.weight.middle) * 2.20462 < 150


def test_explaining_speaks_one_language(holding_of: HoldingOf) -> None:
    """In a Spanish household no line of it is in English: days, spans, shifts and the words around them."""
    holding = holding_of({**TREE, "place.md": PLACE.replace("zone: 7b", "zone: 7b\nlanguage: es")})
    text = explained(explain_season(holding, 2027, date(2027, 3, 1)), "anna", None)

    for english in (" days later", " days earlier", "between", "estimated", "Wed ", "Sep,", "Aug"):
        assert english not in text
    assert "ago" in text or "sept" in text


def test_a_day_fixed_by_hand_is_no_deadline_of_itself(plan_of: PlanOf) -> None:
    """The pick stands on it once; what ends with the last pick keeps its days."""
    tree = note("cultivar: Bartlett", "pinned: [{pick: 2027-09-01}]")
    fixed = plan_of({**TREE, "trees/anna.md": tree}, as_of=date(2027, 6, 1)).calendar.entries
    usual = plan_of({**TREE, "trees/anna.md": note("cultivar: Bartlett")}, as_of=date(2027, 6, 1)).calendar.entries
    keys = {entry.task.key for entry in fixed}

    assert {entry.task.key for entry in usual} - keys == {"pick-by"}
    assert [entry.days for entry in fixed if entry.task.key == "pick"] == [(date(2027, 9, 1),)]
    assert all(e.span.last == date(2027, 9, 1) for e in fixed if e.task.until and e.task.until.text == "latest pick")


def test_what_comes_out_later_is_never_ready_before(plan_of: PlanOf) -> None:
    """A box taken out in July and ready then says nothing of those that come out in August."""
    files = {
        "place.md": PLACE.replace("zone: 7b", "zone: 7b\nspaces: [{name: fridge, temperature: 31 F}]"),
        "trees/anna.md": note("cultivar: Bartlett"),
        "records/2027.csv": table(
            "2027-08-10,anna,first pick,60 lb,", "2027-08-20,anna,taken out,20 lb,", "2027-08-24,anna,ready,,"
        ),
    }
    for day in (21, 25, 28):
        for batch in plan_of(files, as_of=date(2027, 8, day)).store.batches:
            for out in batch.outs:
                ready = batch.ready_after(out)
                assert ready is None or ready.likely >= out.day


FAMILIAR = r"\b(?:tú|tu|tus|contigo|tienes|puedes|quieres|debes|añade|fíjate)\b"


def test_spanish_says_usted_everywhere() -> None:
    """No form of tú stands in the catalogue."""
    catalogue = (ROOT / "generator" / "firmripe" / "languages" / "es.po").read_text(encoding="utf-8")

    assert re.findall(FAMILIAR, catalogue, re.IGNORECASE) == []
