"""At the stove: the whole method on page, session and card, no minutes without acid, own words after published ones."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from conftest import SHELF, write_notes
from one_tree import plan_of_notes
from stove_notes import stove_household

from firmripe.holding.figures import Mark
from firmripe.holding.jar import Jar, JarSize
from firmripe.holding.kitchen import PotKind
from firmripe.holding.method import Act
from firmripe.holding.preserve import PutUp
from firmripe.holding.process import Gauge
from firmripe.kitchen.tables.method import Method, method_of
from firmripe.kitchen.tables.processes import DEEP_ABOVE_MIN, STERILE_BELOW_MIN, Minutes, Stove, look_up
from firmripe.plan import Plan, make_plan
from firmripe.publish.pages.method_steps import step_words
from firmripe.publish.site import make_site
from firmripe.reading.reader import read_holding
from firmripe.shipped import theme_folder
from firmripe.tongue import IN_ENGLISH

AS_OF = date(2027, 8, 25)
PACKAGE = Path(make_plan.__code__.co_filename).parent
ACID = "lemon juice"
ONLY_ACID = (
    "to put up: [{preserve: Asian pears in jars, amount: 9 pints}, {preserve: Figs in jars, amount: 7 quarts}, "
    "{preserve: Crushed tomatoes in jars, amount: 9 pints}, {preserve: Tomato juice in jars, amount: 7 quarts}]"
)
OWN = """---
cautions:
  - {value: "The blue pot has a loose handle.", mark: R, source: usda-aib539-guide1}
  - Boil the jars for twenty minutes and no longer.
---
Ours are best with a vanilla pod.

Reuse the lids from last year.
"""
TASK = """---
name: Talk it over
when: ready
each: place
cautions: [Take the long spoon., Open kettle works fine.]
---
Turn the jars upside down to seal them.
"""


def planned(top: Path, notes: dict[str, str]) -> Plan:
    return make_plan(read_holding(write_notes(top, notes), SHELF), 2027, AS_OF)


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    """Return the plan of the household of the stove, with words of its own on pears."""
    notes = stove_household(preserves__pear_halves="")
    notes.pop("preserves/pear_halves.md")
    notes |= {"preserves/pear-halves.md": OWN, "tasks/talk.md": TASK}
    return planned(tmp_path_factory.mktemp("notes"), notes)


@pytest.fixture(scope="module")
def files(plan: Plan) -> dict[str, str]:
    """Return the text files of its site."""
    return texts_of(plan)


def texts_of(plan: Plan) -> dict[str, str]:
    made = make_site(plan, theme_folder())
    return {name: data.decode() for name, data in made.items() if not name.startswith("static/")}


def blocks(name: str, text: str) -> Iterator[str]:
    """Yield the smallest parts of a file that stand by themselves: elements that begin a line, or lines."""
    if not name.endswith(".html"):
        joined = text.replace("\r\n ", "").replace("\\n", "\n")
        yield from re.split(r"\n\s*\n|\r\n" if name.endswith((".txt", ".ics")) else r"\n", joined)
        return
    parts = re.split(r"</?(?:li|dd|dt|td|th|tr|p|h\d|ul|ol|dl|table|section|div|main|caption)\b[^>]*>", text)
    for part in parts:
        yield " ".join(html.unescape(re.sub(r"<[^>]+>", "", part)).split())


# Acid beside every minute


@pytest.fixture(scope="module")
def acid_plan(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    """Return the plan of a household that wants only what takes acid (AIB 539, Guides 2 and 3)."""
    notes = stove_household()
    notes["place.md"] = re.sub(r"to put up: .*", ONLY_ACID, notes["place.md"])
    return planned(tmp_path_factory.mktemp("acid"), notes)


def test_no_minutes_stand_anywhere_without_their_acid(acid_plan: Plan) -> None:
    """Page, session, card, feed, plain text, CSV, JSON, tags, year: wherever looked-up minutes stand, acid stands."""
    assert acid_plan.kitchen is not None
    found = [m for card in acid_plan.kitchen.cards for _, m in card.pots if isinstance(m, Minutes)]
    numbers = {way.minutes for m in found for way in m.pressures} | {m.minutes for m in found}
    says = re.compile(
        rf"\b(?:{'|'.join(map(str, sorted(numbers)))}) (?:min\b|minutes\b(?! a (?:quart|pint|half pint)| at most))"
    )
    met = 0
    for name, text in texts_of(acid_plan).items():
        for block in blocks(name, text):
            if says.search(block):
                met += 1
                assert ACID in block, f"{name}: {block}"

    assert all(m.acid for m in found)
    assert len(numbers) > 5
    assert met > 60


def test_a_card_as_text_says_all_that_its_page_says(acid_plan: Plan) -> None:
    """In lines of 40 characters: each caution, step and refusal whole, no number apart from what it counts."""
    texts = texts_of(acid_plan)
    cards = [name for name in texts if name.startswith("sheets/stove-") and name.endswith(".html")]
    assert len(cards) > 2
    minutes = re.compile(r"\b\d+ minutes of a full boil")
    for name in cards:
        lines = texts[name.removesuffix("html") + "txt"].splitlines()
        assert max(map(len, lines)) <= 40, name
        assert not [line for line in lines if re.search(r"\d$", line) and not re.search(r"[–\d] ?\d$|\W\d+$", line)]
        text = " ".join(" ".join(lines).split())
        page = texts[name].partition('<main id="main">')[2].partition("</main>")[0]
        parts = re.findall(r"<li>(.*?)</li>", page, re.DOTALL)
        said = [" ".join(html.unescape(re.sub(r"<[^>]+>", "", part)).split()) for part in parts]
        assert [part for part in said if part not in text] == [], name
        paragraphs = [" ".join(part.split()) for part in "\n".join(lines).split("\n\n")]
        told = [part for part in paragraphs if minutes.search(part)]
        assert len(told) == len(minutes.findall(re.sub(r"<[^>]+>", "", page)))
        assert [part for part in told if ACID not in part] == []


def test_every_surface_with_minutes_was_walked(acid_plan: Plan) -> None:
    """The walk above met the kitchen's page, sessions with their clock, cards and preserves."""
    said = {name for name, text in texts_of(acid_plan).items() if " minutes of a full boil" in text}

    assert "kitchen.html" in said
    for folder in ("kitchen/", "sheets/stove-", "preserves/"):
        assert [name for name in said if name.startswith(folder)]


def test_the_step_of_acid_names_the_source_of_its_dose(tmp_path: Path) -> None:
    """Which is printed elsewhere than the minutes: whoever looks it up finds the dose there."""
    holding = read_holding(write_notes(tmp_path, stove_household()), SHELF)
    stove, jar, met = Stove(height_m=100, kind=PotKind.BOILING_WATER), Jar.of(JarSize.PINT), 0
    for preserve in (one for one in holding.preserves if one.process is not None):
        found = look_up(holding.processes, preserve.process.value if preserve.process else "", jar, stove)
        if isinstance(found, Minutes) and found.acid_cited is not None:
            steps = method_of(holding.processes, preserve, jar, [found]).steps
            (acid,) = (step for step in steps if step.act is Act.ACID and step.published is not None)
            assert acid.cited == found.acid_cited
            met += found.acid_cited != found.cited

    assert met


def test_a_jar_under_pressure_takes_the_headspace_of_the_same_way_in_boiling_water(tmp_path: Path) -> None:
    """It is printed once for both; another process's would let a jar boil over under its lid."""
    table, met = read_holding(write_notes(tmp_path, stove_household()), SHELF).processes, list[Minutes]()
    stoves = [Stove(height_m=100, kind=kind, gauge=Gauge.DIAL) for kind in (PotKind.BOILING_WATER, PotKind.PRESSURE)]
    for name, size in [(row.name, size) for row in table.pressed for size in row.jars]:
        boiled, pressed = (look_up(table, name, Jar.of(size), stove) for stove in stoves)
        if isinstance(boiled, Minutes) and isinstance(pressed, Minutes):
            met.append(pressed)
            assert (pressed.headspace, pressed.recipe_only) == (boiled.headspace, boiled.recipe_only), (name, size)

    assert len(met) > 10
    assert len({one.headspace for one in met}) > 1


def test_one_function_alone_puts_looked_up_minutes_into_words() -> None:
    """It can't say them without their acid; no other module that makes words can reach the bare number."""
    bare = re.compile(r"(?<!firmripe\.wording)\.(?:minutes|pressures)\b")
    modules = {path: path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.py")}
    said = {
        path.relative_to(PACKAGE).as_posix()
        for path, text in modules.items()
        if "firmripe.tongue import" in text and bare.search(text)
    }
    of_minutes = modules[PACKAGE / "wording" / "minutes.py"]

    assert said == {"wording/minutes.py"}
    assert not [path for path in (PACKAGE / "publish").rglob("*.py") if bare.search(modules[path])]
    assert re.findall(r"def (\w+)\([^)]*\bfound: Minutes", of_minutes) == ["minutes_words", "acid_words"]


# The method


def methods(plan: Plan, key: str, jar: JarSize, *kinds: PotKind, height_ft: float = 940) -> Method:
    holding = plan.holding
    preserve = next(one for one in holding.preserves if one.key == key)
    process = preserve.process.value if preserve.process else ""
    stoves = [Stove(height_m=height_ft * 0.3048, kind=kind, gauge=Gauge.DIAL) for kind in kinds]
    found = [look_up(holding.processes, process, Jar.of(jar), stove) for stove in stoves]
    return method_of(holding.processes, preserve, Jar.of(jar), [one for one in found if isinstance(one, Minutes)])


def words(method: Method) -> list[str]:
    return [step_words(IN_ENGLISH, step) for step in method.steps]


def test_asian_pears_have_their_whole_method_in_order(plan: Plan) -> None:
    """AIB 539, Guide 2, p. 2-20 (5 minutes in syrup, a tablespoon a pint, 20 minutes) and p. 2-5, and Guide 1."""
    method = methods(plan, "asian-pears-jars", JarSize.PINT, PotKind.BOILING_WATER)

    assert [step.act for step in method.steps] == [
        Act.SORT, Act.JARS, Act.LIDS, Act.PREPARE, Act.BROWNING, Act.LIQUID, Act.HEAT, Act.ACID, Act.FILL, Act.BUBBLES,
        Act.HEADSPACE, Act.RIM, Act.LID, Act.POT, Act.WATER, Act.COUNT, Act.AGAIN, Act.REST, Act.OUT, Act.UNTOUCHED,
        Act.TEST, Act.FAILED, Act.LABEL, Act.KEEP, Act.DOUBT,
    ]  # fmt: skip
    said = " ".join(words(method))
    for figure in (
        "1 teaspoon (3 g) of ascorbic acid",
        "5 minutes in the boiling syrup",
        "9 pints: 5 3/4 cups of water and 1 1/2 cups of sugar",
        "1 tablespoon bottled lemon juice in each jar",
        "headspace of 1/2 in",
        "180 F",
        "Water 1 in over the lids",
        "20 minutes of a full boil, with 1 tablespoon bottled lemon juice in each jar",
        "begin the whole time again",
        "wait 5 minutes",
        "12–24 hours",
        "within 24 hours of its own load",
        "within a year",
    ):
        assert figure in said


@pytest.mark.parametrize(
    ("key", "jar", "height_ft", "told"),
    [
        ("apple-butter", JarSize.HALF_PINT, 500, (5, 10)),
        ("apple-butter", JarSize.HALF_PINT, 2000, (10, 0)),
        ("apple-butter", JarSize.QUART, 500, (10, 0)),
        ("apple-juice", JarSize.PINT, 999, (5, 10)),
        ("pear-halves", JarSize.QUART, 500, (25, 0)),
    ],
)
def test_jars_are_boiled_first_below_ten_minutes(
    plan: Plan, key: str, jar: JarSize, height_ft: float, told: tuple[int, int]
) -> None:
    """AIB 539, Guide 1: processed less than 10 minutes, empty jars are sterilised; 10 minutes below 1,000 ft."""
    minutes, sterilise = told
    said = words(methods(plan, key, jar, PotKind.BOILING_WATER, height_ft=height_ft))

    assert any(f"{minutes} minutes of a full boil" in line for line in said)
    below, above = plan.holding.processes.sterilise_below, plan.holding.processes.deep_water_above
    assert below is not None
    assert above is not None
    assert (below.value, above.value) == (STERILE_BELOW_MIN, DEEP_ABOVE_MIN)
    assert [line for line in said if "empty jars" in line] == (
        [f"Boil the empty jars {sterilise} minutes first."] if sterilise else []
    )


@pytest.mark.parametrize(("height_ft", "inches"), [(1000, 1), (3000, 1), (3001, 2), (6001, 2)])
def test_water_stands_two_inches_over_jars_above_thirty_minutes(plan: Plan, height_ft: float, inches: int) -> None:
    """Pear quarts take 30 minutes to 3,000 ft and 35 above (AIB 539, Guide 2, p. 2-20; Guide 1 for the depth)."""
    said = words(methods(plan, "pear-halves", JarSize.QUART, PotKind.BOILING_WATER, height_ft=height_ft))

    assert [line for line in said if "over the lids" in line] == [f"Water {inches} in over the lids, all the time."]


def test_each_pot_has_its_own_steps_and_no_other_s(plan: Plan) -> None:
    """Steam: a full column, never opened. Pressure: vented 10 minutes, falls by itself, 10 more (AIB 539; NCHFP)."""
    alone = {
        kind: " ".join(words(methods(plan, "tomatoes-crushed", JarSize.PINT, kind)))
        for kind in (PotKind.BOILING_WATER, PotKind.STEAM, PotKind.PRESSURE)
    }

    assert "full column of pure steam" in alone[PotKind.STEAM]
    assert "Never open it" in alone[PotKind.STEAM]
    assert "take the lid off the pot and wait 5 minutes" not in alone[PotKind.STEAM]
    assert "stream out for 10 minutes" in alone[PotKind.PRESSURE]
    assert "fall by itself" in alone[PotKind.PRESSURE]
    assert "then wait 10 minutes" in alone[PotKind.PRESSURE]
    assert "over the lids" not in alone[PotKind.PRESSURE]
    assert "boil stops" in alone[PotKind.BOILING_WATER]
    assert "column" not in alone[PotKind.BOILING_WATER]
    both = methods(plan, "tomatoes-crushed", JarSize.PINT, *alone)
    assert {step.pot for step in both.steps if step.act is Act.COUNT} == set(alone)


def test_what_has_no_minutes_has_no_steps(plan: Plan) -> None:
    """No jar of figs as large as a half gallon is printed: no half of a method is told for it."""
    assert methods(plan, "figs-jars", JarSize.HALF_GALLON, PotKind.BOILING_WATER).steps == ()


def test_no_bubbles_are_freed_in_jams_and_raw_jars_go_into_cooler_water(plan: Plan) -> None:
    """AIB 539, Guide 1: bubbles, and 140 F for raw packs."""
    jam = words(methods(plan, "plum-jam", JarSize.PINT, PotKind.BOILING_WATER))
    raw = words(methods(plan, "plums-jars-raw-pack", JarSize.PINT, PotKind.BOILING_WATER))

    assert not [line for line in jam if "bubbles" in line]
    assert [line for line in raw if "bubbles" in line]
    assert [line for line in raw if "140 F" in line]
    assert not [line for line in raw if "180 F" in line]


@pytest.mark.parametrize(
    ("key", "is_covered"),
    [
        ("pear-halves", True),  # in a syrup
        ("tomatoes-in-juice", True),
        ("spiced-apple-rings", True),
        ("applesauce", False),
        ("plum-jam", False),
    ],
)
def test_what_is_put_up_in_a_liquid_is_covered_with_it(plan: Plan, key: str, *, is_covered: bool) -> None:
    """AIB 539, Guides 2 and 3: fruit stands below its syrup, water or juice; sauces and jams have nothing to cover."""
    said = words(methods(plan, key, JarSize.PINT, PotKind.BOILING_WATER))

    assert any("cover it with the boiling liquid" in line for line in said) is is_covered
    assert any(line.startswith("Fill the hot jars while") for line in said) is not is_covered


def test_dried_and_frozen_fruit_have_theirs(plan: Plan) -> None:
    """Hours, heat, the test for done and conditioning (MSU 1997, Missouri, Utah); pack, headspace and syrup (NCHFP)."""
    table = plan.holding.processes
    by_key = {preserve.key: preserve for preserve in plan.holding.preserves}
    dried = " ".join(words(method_of(table, by_key["pears-dried"], None, ())))
    frozen = " ".join(words(method_of(table, by_key["pears-frozen"], Jar.of(JarSize.PINT), ())))

    for figure in ("135–140 F", "24–36 hours", "leathery", "1–2 weeks", "48 hours"):
        assert figure in dried
    for figure in ("2 3/4 cups for 40", "1–2 minutes", "3/4 teaspoon", "1/2 inch a wide-mouth pint", "2–3 lb"):
        assert figure in frozen
    assert "jar that failed" not in dried + frozen


def test_a_sheet_of_leather_has_its_own_test_and_no_jars_to_shake(plan: Plan) -> None:
    """NDSU FN1586 (2022): 160 F before it is dried; NCHFP: a dent in the middle; Missouri: a month."""
    leather = next(preserve for preserve in plan.holding.preserves if preserve.key == "fruit-leather")
    said = " ".join(words(method_of(plan.holding.processes, leather, None, ())))

    for figure in ("160 F", "140 F it takes 6–8 hours", "no dent", "a month at room temperature"):
        assert figure in said
    for other in ("two thirds full", "leathery and bends", "a year at 60 F"):
        assert other not in said


def test_every_step_of_the_shelf_has_a_source_and_figures_of_canning_are_read(plan: Plan) -> None:
    """Minutes, degrees, inches and hours of canning ship only where they were read at their source."""
    table = plan.holding.processes
    canned = [step for p in plan.holding.preserves if p.method is PutUp.CANNER for step in p.steps]
    written = [*canned, *(step for step in table.steps if not step.needs & {"dryer", "freezer"})]
    figures = re.compile(r"\d[\d /-]*(?:minutes?|F\b|inch|hours?|degrees|lb)")

    assert len(written) > 150
    assert all(step.words.cited.source for step in written)
    loose = {
        step.words.text
        for step in written
        if figures.search(step.words.text) and step.words.cited.mark is not Mark.READ
    }
    assert loose <= {"Peel and pit the peaches, peel and core the pears, stem the grapes; cut to half-inch cubes."}


# Pages


def test_each_want_has_a_page_with_its_steps_and_its_note(plan: Plan, files: dict[str, str]) -> None:
    """Led to from the kitchen's page and from each session that makes it."""
    assert plan.kitchen is not None
    wanted = {met.want.preserve for met in plan.kitchen.wants}
    pages = {f"preserves/{key}.html" for key in wanted}

    assert {name for name in files if name.startswith("preserves/")} == pages
    for name in pages:
        assert f'href="{name}"' in files["kitchen.html"]
        assert '<ol class="method">' in files[name]
        assert "<h2>Notes</h2>" in files[name]
    for session in plan.kitchen.sessions:
        page = next(t for n, t in files.items() if n.startswith("kitchen/") and session.day.isoformat() in n)
        for making in session.makings:
            assert f'href="../preserves/{making.ware.preserve.key}.html"' in page
        assert page.count('<ol class="method">') == len(session.makings)


def test_each_card_has_its_steps_with_their_sources(files: dict[str, str]) -> None:
    """Numbered, each number among those below."""
    cards = {name: text for name, text in files.items() if re.fullmatch(r"sheets/stove-.*\.html", name)}

    assert len(cards) > 8
    for text in cards.values():
        steps = re.search(r'<ol class="stove-steps">(.*?)</ol>', text, re.DOTALL)
        assert steps is not None
        assert steps[1].count("<li>") > 20
        below = text[steps.end() :].partition("</p>")[0]
        assert set(re.findall(r"\[(\d)\]", steps[1])) == set(re.findall(r"\[(\d)\]", below))


def test_a_household_without_a_kitchen_has_no_page_of_a_preserve(tmp_path: Path) -> None:
    """One tree makes no more pages than it did."""
    plan = plan_of_notes(tmp_path, {"trees/1.md": "---\ncultivar: Bartlett\n---\n"})

    assert not [name for name in texts_of(plan) if name.startswith("preserves/")]


# Own words after the published ones


def test_own_cautions_come_last_and_say_so(plan: Plan, files: dict[str, str]) -> None:
    """Whatever source a household names for them."""
    for name in ("preserves/pear-halves.html", "sheets/stove-pear-halves-in-jars-quart-low.html", "safety.html"):
        text = files[name]
        assert "You wrote: The blue pot has a loose handle." in text, name
    page = files["preserves/pear-halves.html"]
    care = page[page.index("<h2>Take care</h2>") :].partition("</section>")[0]
    assert care.rindex("<li>") < care.index("You wrote: The blue pot")
    assert plan.kitchen is not None
    sessions = [text for name, text in files.items() if name.startswith("kitchen/") and "blue pot" in text]
    assert sessions
    assert all("You wrote: The blue pot" in text for text in sessions)


def test_a_card_has_what_is_published_of_its_own_product(tmp_path: Path) -> None:
    """On paper and as text, after what all canning asks: the starch of a filling (UMN 2015), the fruit of a juice."""
    notes = stove_household()
    wants = ", ".join(f"{{preserve: Apple {one} in jars, amount: 7 quarts}}" for one in ("pie filling", "juice"))
    notes["place.md"] = re.sub(r"to put up: .*", f"to put up: [{wants}]", notes["place.md"])
    made = texts_of(planned(tmp_path, notes))
    told = {
        "sheets/stove-apple-pie-filling-in-jars-quart-low": "Cook-type modified corn starch only, and not the instant",
        "sheets/stove-apple-juice-in-jars-quart-low": "Never from fallen fruit.",
    }
    for name, words_ in told.items():
        for text in (made[f"{name}.html"], " ".join(made[f"{name}.txt"].split())):
            care = text[text.index("Take care") :]
            assert words_ in care, name
            assert care.index("The minutes are those of a full boil") < care.index(words_), name
            assert care.count("Follow current local guidance") == 1
            assert "Use this tested process only" not in care  # what all products have, canning says itself


def test_unsafe_words_stand_on_their_own_page_alone_and_marked(files: dict[str, str]) -> None:
    """Nowhere a hand at the stove looks; nothing of them is lost either."""
    for words_ in (
        "Boil the jars for twenty minutes",
        "Reuse the lids",
        "Open kettle works fine",
        "upside down to seal",
    ):
        where = {name for name, text in files.items() if words_ in html.unescape(text)}
        own = "jobs/talk.html" if words_.startswith(("Open", "upside")) else "preserves/pear-halves.html"
        assert where == {own}, words_
        assert "Against the published way" in files[own]
    page = html.unescape(files["preserves/pear-halves.html"])
    assert "You wrote “Boil the jars for twenty minutes and no longer”" in page
    assert "Each jar takes a new flat lid" in page
    assert page.index("Against the published way") < page.index("Reuse the lids from last year.</p>")
    assert "Take the long spoon." in files["jobs/talk.html"]


def test_unsafe_words_of_trees_cultivars_and_records_are_marked_on_their_pages(tmp_path: Path) -> None:
    """The same box on the page of each kind of note, in both themes."""
    notes = {
        "place.md": "---\nname: Home\nzone: 6b\n---\nHervir 20 minutos los frascos.\n",
        "trees/1.md": "---\ncultivar: Bartlett\n---\nReuse the lids from these.\n",
        "trees/2.md": "---\ncultivar: Bosc\n---\n",
        "cultivars/bosc.md": "---\nfruit: european-pear\n---\nOpen kettle works fine for these.\n",
        "records/2027.csv": "date,tree,what,note\n2027-05-01,2,note,turn the jars upside down to seal\n",
    }
    plan = planned(tmp_path, notes)
    for theme in ("box-tag", "plain"):
        made = {
            name: data.decode() for name, data in make_site(plan, theme_folder(theme)).items() if name.endswith(".html")
        }
        for name in ("index.html", "trees/1.html", "trees/2.html", "cultivars/bosc.html"):
            assert "Against the published way" in made[name], (theme, name)
        assert "Against the published way" not in made["cultivars/bartlett.html"]
