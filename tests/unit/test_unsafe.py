"""Unsafe words in a household's notes: each is found and said what is published instead, and nothing harmless is."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from datetime import date
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest
from conftest import EXAMPLE, SHELF, write_notes

from firmripe.build import check_notes
from firmripe.holding.holding import Holding
from firmripe.holding.unsafe import RULES, Rule, unsafe_in
from firmripe.reading.unsafe_notes import unsafe_notes

AS_OF = date(2027, 8, 28)
UNSAFE = (
    "Process the pints 20 minutes and the quarts 25.",
    "Boil the jars for twenty minutes.",
    "Hervir 20 minutos los frascos.",
    "Pints 20 min, quarts 25 min in the water bath.",
    "Put the filled jars in the oven at 250 F for an hour.",
    "We can our pears in the oven.",
    "Open kettle works fine for pears.",
    "Pour it in hot, screw the lid on, the jars seal by themselves.",
    "The slow cooker does for canning pears.",
    "Seal the pints in the Instant Pot.",
    "Cook until it plops.",
    "When the lid pings it is safe.",
    "Pour melted paraffin over the jam.",
    "Seal the jelly jars with beeswax.",
    "Reuse the lids if they are not bent.",
    "Last year's lids: old lids are good enough.",
    "Filled jars can go through the dishwasher to seal.",
    "Microwave canning is quick.",
    "Stand the filled jars in the sun for a day.",
    "Turn the jars upside down for ten minutes to seal them.",
    "Voltear los frascos para que sellen.",
    "An aspirin in each quart keeps tomatoes.",
    "Use canning powder in place of lemon.",
    "Grandmother's zinc caps are best.",
    "Figs in jars need no lemon juice.",
    "Can the tomatoes without acid.",
    "Los tomates no necesitan limón.",
    "Half the printed time is plenty.",
    "Process for half the time.",
    "Leave no headspace, it keeps better.",
    "Fill the jars to the brim.",
    "No need to vent the canner first.",
    "Stack the jars in the pressure cooker without a rack.",
    "Envasar los frascos al horno.",
    "Las tapas usadas sirven otra vez.",
    "Poner los frascos boca abajo.",
    "Sellar la mermelada con parafina.",
    "Procesar a baño maría 20 minutos.",
    "Put on the lids. Then boil 30 minutes.",
    "Frascos de medio litro: hervir 25 minutos.",
    "500 ml jars boil for 20 minutes in any pot.",
    "Don't worry, open kettle is fine.",
    "Screw the rings on, and boil for half an hour.",
    "Run cold water over the canner to save time.",
    "Scrape the mold off the jam and eat the rest.",
    "Llenar los frascos hasta el borde.",
    "Olla de presión 10 minutos y listo.",
    "Cocer los frascos cerrados media hora.",
    "Quarts: 25 minutes.",
    "Steam the quarts 20 minutes.",
    "Dunk the jars in ice water to cool them.",
    "Seal them in the electric multi-cooker.",
    "Hasta que haga plop la tapa.",
    "Water bath them ten minutes.",
    "Frascos al microondas tres minutos.",
    "Simmer filled jars at 180 F for 30 min.",
    "Esterilizar los frascos llenos: hervir 20 minutos.",
    "Twenty minutes at a rolling boil for pints.",
    "8 minutes at 5 pounds in the pressure canner.",
    "Use half the lemon juice.",
    "Use the multicooker to can the pears.",
    "Electric multi-cookers make good canners.",
    "Canning in the oven saves gas.",
    "A ping means the seal is good.",
    "We seal ours with wax, jam keeps for years.",
    "Las tapas se pueden reutilizar.",
    "Usar las mismas tapas otra vez.",
    "Llenar hasta el borde los frascos.",
    "Dar vuelta a los frascos para que hagan vacío.",
    "En el lavavajillas, ciclo largo, los frascos llenos.",
    "15 minutes is enough for pints.",
    "Give the jars a 20-minute boil.",
    "BWB 20 min.",
    "Tip the jars over so the lids seal.",
    "Skip the lemon juice, our tomatoes are sour enough.",
    "Sin jugo de limón en los frascos sabe mejor.",
    "Olla de cocción lenta para envasar.",
    "Se llenan los frascos calientes y se sellan solos.",
)
"""Made up, as households say it, in English and Spanish. What is wrong with each: AIB 539 (2015), Guides 1 and 2."""
HARMLESS = (
    "Picking takes 20 minutes.",
    "Pick in 20 minutes, three people.",
    "An oven-baked pie of Bartletts.",
    "Dry in the oven at 140 F.",
    "Boil the syrup 5 minutes.",
    "The jar of seeds stands in the shed.",
    "Stir it more than you think once it plops.",
    "Heat the halves 5 minutes in the syrup and fill the jars hot.",
    "A quart takes 20 minutes to peel and cut.",
    "20 minutes a quart.",
    "9 pints by 2 in 1.5 hours",
    "Wash the jars in the dishwasher.",
    "Boil the empty jars 10 minutes first.",
    "Never turn jars upside down to seal them.",
    "Don't reuse the lids.",
    "Rings can be reused, lids cannot.",
    "No open kettle, oven, microwave or dishwasher canning.",
    "Use a new lid for every jar.",
    "Seal the graft with wax.",
    "Spray paraffin oil before bud break.",
    "Paraffin heater under the Bartletts on frost nights.",
    "Cook the apple butter in the slow cooker, then freeze it in jars.",
    "Keep dried pears in wire-bail jars.",
    "Take an aspirin along for wasp stings.",
    "Half the time the frost comes in May.",
    "Fill the crates to the brim.",
    "Stack the crates in the cellar.",
    "No vent in the cellar: open the door.",
    "Hang the garlic upside down.",
    "Drain the empty jars upside down on a towel.",
    "The pot takes 7 quarts, and three loads take half a day.",
    "Add lemon juice to every jar.",
    "Salad without vinegar.",
    "Let the jars cool 12-24 hours.",
    "Leave an inch of headspace.",
    "Soften the honey in the microwave.",
    "Wait 20 minutes after the spray dries.",
    "Bake the pie 50 minutes.",
    "The drive to the mill takes 45 minutes with the crates and jars.",
    "Simmer the quince for an hour until rosy.",
    "Secar en el horno a 60 grados.",
    "Hervir el almíbar 5 minutos.",
    "Los frascos están en la bodega.",
    "Nunca voltear los frascos.",
    "No reutilizar las tapas.",
    "Cosechar en 20 minutos.",
    "La tarta al horno con peras.",
    "Lavar los frascos en el lavavajillas.",
    "Frascos vacíos boca abajo para escurrir.",
    "Test each lid next morning.",
    "We bought 24 quarts and 60 lids.",
    "Oven canning is not safe.",
    "Vent the cellar for half an hour each evening.",
    "The pressure cooker is for beans.",
    "Freeze in pints with half an inch of headspace.",
    "Ready when the jam wrinkles on a cold plate.",
    "Ten pounds of soft pears cook down to about four pints in three hours.",
    "Zinc spray for little leaf.",
    "Maud can bring the jars at ten.",
    "Thin the clusters in 30 minutes.",
    "Cut mold-spotted fruit off the tree and bury it.",
    "The old lid of the well is loose.",
    "Cook pears 20 minutes, then fill the jars and freeze them.",
    "One minute at a rolling boil, then into the freezer jars.",
    "Peaches are canned with or without added acid, by the recipe.",
    "Too low in acid for jars: freeze them.",
    "Melt the grafting wax in an old jar.",
    "Las tapas no se pueden reutilizar.",
    "A 20-minute walk with a jar of water for the dog.",
    "Jelly bags dry in 30 minutes.",
    "15 minutes is enough for the ladder work.",
    "Roll the barrels over to the press.",
    "Fill the dryer: 12 lb in an hour.",
    "We can pick 20 minutes after the dew dries.",
)
TWENTY = (
    ("cultivars/bartlett.md", "Grandmother's zinc caps are best."),
    ("cultivars/bartlett.md", "Can the windfalls without acid."),
    ("preserves/ours.md", "Boil the jars for twenty minutes."),
    ("preserves/ours.md", "Open kettle works fine for pears."),
    ("preserves/ours.md", "Leave no headspace, it keeps better."),
    ("preserves/ours.md", "Put the filled jars in the oven at 250 F for an hour."),
    ("preserves/ours.md", "Hervir 20 minutos los frascos."),
    ("tasks/jar-day.md", "Seal the pints in the electric multi-cooker."),
    ("tasks/jar-day.md", "The slow cooker does for canning pears."),
    ("tasks/jar-day.md", "Cook until it plops."),
    ("tasks/jar-day.md", "Microwave canning is quick."),
    ("tasks/jar-day.md", "Sellar la mermelada con parafina."),
    ("trees/1.md", "Reuse the lids from these."),
    ("trees/1.md", "Turn the jars upside down to seal them."),
    ("trees/1.md", "Stand the filled jars in the sun for a day."),
    ("place.md", "An aspirin in each quart keeps tomatoes."),
    ("place.md", "No need to vent the canner first."),
    ("place.md", "Stack the jars in the pressure cooker without a rack."),
    ("records/2027.csv", "half the printed time is plenty"),
    ("records/2027.csv", "500 ml jars: hervir 25 minutos"),
)
"""Where each of twenty sentences stands: in texts, in cautions and other keys, and in the notes of records."""


def twenty() -> dict[str, str]:
    """Return the notes of a household that says all twenty."""
    said: dict[str, list[str]] = {}
    for file, sentence in TWENTY:
        said.setdefault(file, []).append(sentence)
    task, own = said["tasks/jar-day.md"], said["preserves/ours.md"]
    first, second = said["records/2027.csv"]
    return {
        "place.md": "---\nname: Home\nzone: 6b\nelevation: 900 ft\n---\n" + "\n".join(said["place.md"]),
        "cultivars/bartlett.md": f'---\nfruit: european-pear\ncautions: ["{said["cultivars/bartlett.md"][0]}"]\n---\n'
        + said["cultivars/bartlett.md"][1],
        "preserves/ours.md": "---\nfruits: [european-pear]\nmethod: freezer\ncautions:\n"
        + "".join(f"  - {line}\n" for line in own[:2])
        + "---\n"
        + "\n\n".join(own[2:]),
        "tasks/jar-day.md": "---\nname: Jar day\nwhen: ready\neach: tree\ncautions:\n"
        + "".join(f"  - {line}\n" for line in task[:3])
        + f"look for: [{task[3]}]\n---\n{task[4]}",
        "trees/1.md": "---\ncultivar: Bartlett\n---\n" + "\n".join(said["trees/1.md"]),
        "records/2027.csv": f"date,tree,what,note\n2027-05-01,1,note,{first}\n2027-05-02,1,note,{second}\n",
    }


@pytest.mark.parametrize("text", UNSAFE)
def test_unsafe_words_are_found(text: str) -> None:
    """Whatever rule finds them, the words are quoted as they stand in the text."""
    found = unsafe_in(text)

    assert found
    assert all(one.words in " ".join(text.split()) for one in found)


@pytest.mark.parametrize("text", UNSAFE)
def test_capitals_accents_and_line_ends_hide_nothing(text: str) -> None:
    """The same words shouted, or broken over two lines, say the same."""
    first, _, rest = text.partition(" ")

    assert unsafe_in(text.upper())
    assert unsafe_in(f"We had a good year.\n{first}\n{rest}")


@pytest.mark.parametrize("text", HARMLESS)
def test_harmless_words_are_left_alone(text: str) -> None:
    """At the oven, the dryer, the freezer, the tree and the sink; and a safe rule said again in one's own words."""
    assert unsafe_in(text) == ()


def test_the_table_is_whole() -> None:
    """Each rule has patterns, a published way and a source; each is met by a sentence above; no name comes twice."""
    met = {one.rule.name for text in UNSAFE for one in unsafe_in(text)}

    assert {rule.name for rule in RULES if rule.patterns and rule.published and rule.source} == met | {"spoilt food"}
    assert len({rule.name for rule in RULES}) == len(RULES)


def test_each_source_stands_on_the_shelf(holding_of: Callable[..., Holding]) -> None:
    """A rule names a source that pages can lead to."""
    known = holding_of({"place.md": "---\nname: x\n---\n", "trees/1.md": "---\ncultivar: Bartlett\n---\n"}).sources

    assert {rule.source for rule in RULES} <= set(known)


def test_the_shelf_and_the_example_say_nothing_unsafe() -> None:
    """What ships keeps its own rules, and much of it forbids these very things."""
    texts = [path.read_text(encoding="utf-8") for path in [*SHELF.rglob("*.md"), *EXAMPLE.rglob("*.md")]]

    assert len(texts) > 300
    assert [one.words for text in texts for one in unsafe_in(text)] == []


def test_check_names_all_twenty(tmp_path: Path) -> None:
    """Each with its file, its line, its words and what is published; in bodies, cautions, keys and records alike."""
    folder = write_notes(tmp_path, twenty())
    findings = check_notes(folder, AS_OF)
    said = [problem for problem in findings.warnings if "is not the published way" in problem.message]

    assert findings.problems == ()
    assert len(TWENTY) == 20
    for file, sentence in TWENTY:
        line = next(
            number
            for number, text in enumerate((folder / file).read_text(encoding="utf-8").split("\n"), 1)
            if sentence.rstrip(".") in text
        )
        assert [one for one in said if (one.where.file, one.where.line) == (file, line)], sentence
    assert all("take it out" in one.hint and "USDA" in one.hint for one in said)


def test_notes_that_cannot_be_read_are_searched_all_the_same(tmp_path: Path) -> None:
    """A fault elsewhere hides nothing."""
    notes = {"trees/1.md": "---\ncultivar: [\n---\nBoil the jars for twenty minutes.\n"}

    assert unsafe_notes(write_notes(tmp_path, notes))


def test_a_long_note_is_searched_in_time() -> None:
    """The largest note that may be, of nothing but jars, is read through in seconds."""
    start = time.perf_counter()
    unsafe_in(("no boil jars minutes or " * 10_000)[:200_000])

    assert time.perf_counter() - start < 20


def test_what_a_rule_finds_is_found_by_all_in_two() -> None:
    """All ways of a pattern that begins a word begin one, so it may be looked for at words alone."""
    begun = [pattern for rule in RULES for pattern in rule.patterns if pattern.startswith(r"\b")]

    assert len(begun) > 50
    assert [pattern for pattern in begun if re.search(r"(?<!\\)\|(?!\\b)", _outside(pattern))] == []


def _outside(pattern: str) -> str:
    """Return what of a pattern stands in no group and no class."""
    while (less := re.sub(r"\[(?:[^\]\\]|\\.)*\]|\((?:[^()\\]|\\.)*\)", "", pattern)) != pattern:
        pattern = less
    return pattern


@pytest.mark.parametrize("rule", RULES, ids=[rule.name for rule in RULES])
def test_whatever_a_rule_finds_has_one_of_its_stems(rule: Rule) -> None:
    """Texts without any of them are not looked into; so no way through a pattern may do without."""
    parts = import_module("re._parser")
    for pattern in rule.patterns:
        assert has_stem(list(parts.parse(pattern)), rule.stems.split()), pattern


def has_stem(parts: list[Any], stems: list[str], before: str = "") -> bool:
    """Say whether one of some stems surely stands in whatever these parts of a pattern match, after plain signs."""
    plain = before
    for kind, of in parts:
        match str(kind):
            case "LITERAL":
                plain += chr(of)
                if any(stem in plain for stem in stems):
                    return True
                continue
            case "AT" | "ASSERT" | "ASSERT_NOT":
                continue
            case "BRANCH":
                ways = of[1]
            case "SUBPATTERN":
                ways = [of[3]]
            case "MAX_REPEAT" | "MIN_REPEAT" | "POSSESSIVE_REPEAT" if of[0]:
                ways = [of[2]]
            case _:
                ways = []
        if ways and all(has_stem(list(way), stems, plain) for way in ways):
            return True
        plain = ""
    return False
