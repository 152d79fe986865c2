"""Published minutes reach the very food they were published for, and no other, whatever a household calls it.

The rows are those of the USDA Complete Guide to Home Canning (Agriculture Information Bulletin 539, revised 2015),
Guides 2, 3, 6 and 7; later warnings override it: white flesh (University of Wisconsin-Madison 2020), elderberries
(University of Minnesota 2020), persimmons (Alabama Cooperative Extension).
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from firmripe.holding.figures import Mark
from firmripe.holding.fruit import Flesh
from firmripe.holding.holding import Holding
from firmripe.holding.jar import parse_jar
from firmripe.holding.kitchen import PotKind
from firmripe.holding.tree import Bearing
from firmripe.kitchen.admitting import is_made_of, may_be_canned, not_for_jars
from firmripe.kitchen.tables.processes import Minutes, Stove, look_up
from firmripe.kitchen.tables.refusals import NoMinutes, SpokenOf, Unsaid
from firmripe.plan import Plan, make_plan
from firmripe.problems import FaultyNotes
from firmripe.publish.feeds.files import make_feeds
from firmripe.publish.ledger import Ledger
from firmripe.publish.site import make_site
from firmripe.reading.warnings import warnings_of
from firmripe.shipped import theme_folder
from firmripe.tongue import IN_ENGLISH
from firmripe.wording.minutes import instead_words

HoldingOf = Callable[..., Holding]


def note(*lines: str) -> str:
    """Return a note of these lines of front matter."""
    return "\n".join(["---", *lines, "---", ""])


PlanOf = Callable[..., Plan]

JAM, JELLY, PUREE, BABY = "jam or jelly, added pectin", "jelly, no added pectin", "fruit puree", "fruit baby food"
STONE = {"peach", "nectarine"}
PRINTED: dict[str, set[str]] = {
    # product names of the rows that are printed for each fruit; packs are not told apart here
    "apple": {
        *("apple butter", JELLY, "apple juice", "apple pie filling", "apples, sliced", "applesauce", BABY),
        *("peach-apple salsa", "pear-apple jam", "spiced apple rings", "spiced crab apples"),
    },
    "apricot": {"apricots", JAM, BABY, PUREE},
    "asian-pear": {"Asian pears"},
    "blackberry": {"berries, whole", JAM, JELLY, PUREE},
    "blueberry": {"berries, whole", JAM, PUREE, "berry syrup", "blueberry pie filling"},
    "european-pear": {
        *("pears, halved", JAM, BABY, PUREE, "chayote and pear relish", "mixed fruit cocktail", "pear-apple jam"),
    },
    "european-plum": {"plums", JAM, JELLY, PUREE, "grape-plum jelly"},
    "fig": {"figs", JAM},
    "grape": {"grapes, whole", "grape juice", JAM, JELLY, "grape-plum jelly", "mixed fruit cocktail", "berry syrup"},
    "japanese-plum": {"plums", JAM, JELLY, PUREE, "grape-plum jelly"},
    "mulberry": {"berries, whole"},
    # AIB 539, Guide 2, "Berries, whole": currants and gooseberries are named beside blackberries and raspberries
    "black-currant": {"berries, whole"},
    "gooseberry": {"berries, whole"},
    "red-currant": {"berries, whole"},
    "nectarine": {"nectarines", PUREE},
    "peach": {
        *("peaches", JAM, BABY, PUREE, "mixed fruit cocktail", "peach-apple salsa", "peach salsa"),
        *("peach pie filling", "peach-pineapple spread"),
    },
    "raspberry": {"berries, whole", JAM, PUREE, "berry syrup"},
    "strawberry": {JAM, PUREE, "berry syrup"},
    "sweet-cherry": {"cherries", JAM, "berry syrup"},
    "tart-cherry": {"cherries", JAM, "berry syrup", "cherry pie filling"},
    "tomato": {
        *(
            "tomato juice",
            "tomato sauce",
            "tomatoes, crushed",
            "tomatoes, whole, in juice",
            "tomatoes, whole, in water",
        ),
        *("tomatoes, whole, no liquid", "green tomato pie filling"),
    },
}
"""Every other fruit of the shelf has no row."""
HYBRID = {"Asian pears", "chayote and pear relish", "pear-apple jam"}
"""Hybrid pears: the row with acid, and the two recipes that Asian pears go into as well (NCHFP 2014)."""
PLACE = note("zone: 6b", "latitude: 42 N", "elevation: 640 ft")


def products(holding: Holding, tree: str = "a") -> set[str]:
    """Return the products of whose published rows a tree's fruit may have the minutes, in any jar at 640 ft."""
    found = set()
    for bearing in holding.tree(tree).bearings:
        for preserve in holding.preserves:
            process = preserve.process.value if preserve.process else ""
            if not process or not is_made_of(holding, preserve, bearing) or not_for_jars(holding, bearing, process):
                continue
            stove = Stove(height_m=195.0, kind=PotKind.BOILING_WATER)
            made = [
                look_up(holding.processes, process, parse_jar(jar), stove) for jar in ("half pint", "pint", "quart")
            ]
            if any(isinstance(one, Minutes) for one in made):
                found.add(process.rsplit(", ", 1)[0])
    return found


def tree(*lines: str, text: str = "", **more: str) -> dict[str, str]:
    """Return a household of one tree."""
    return {"place.md": PLACE, "trees/a.md": note(*lines) + text, **more}


def test_every_fruit_and_state_gets_just_the_rows_printed_for_it(holding_of: HoldingOf) -> None:
    """All fruits of the shelf by all its preserves, as a plain tree of that fruit, with every color of flesh."""
    keys = sorted(holding_of(tree("cultivar: Bartlett")).fruits)

    assert len(keys) >= 30
    trees = {f"{key}-{flesh.value if flesh else 'x'}": (key, flesh) for key in keys for flesh in (None, *Flesh)}
    notes = {
        f"trees/{tag}.md": note("cultivar: unknown", f"fruit: {key}", *([f"flesh: {flesh.value}"] if flesh else []))
        for tag, (key, flesh) in trees.items()
    }
    holding = holding_of({"place.md": PLACE, **notes})

    for tag, (key, flesh) in trees.items():
        printed = PRINTED.get(key, set()) if key not in STONE or flesh is Flesh.YELLOW else set()
        assert products(holding, tag) == printed, (key, flesh)


def test_every_cultivar_of_the_shelf_gets_just_the_rows_of_its_kind(holding_of: HoldingOf) -> None:
    """Peaches and nectarines by the color their source gives; hybrid pears with acid alone."""
    shelf = holding_of(tree("cultivar: Bartlett"))
    hybrids = {"kieffer", "orient-pear", "leconte", "ayers", "baldwin-pear", "pineapple-pear", "flordahome"}
    hybrids |= {"hood-pear", "maxine", "tenn"}
    names = [key for key, cultivar in shelf.cultivars.items() if cultivar.fruit]
    household = {
        f"trees/{key}.md": note(
            f"cultivar: {shelf.cultivars[key].name}", f"tree: {key}", f"fruit: {shelf.cultivars[key].fruit.key}"
        )
        for key in names
    }
    holding = holding_of({"place.md": PLACE, **household})

    for key in names:
        cultivar = shelf.cultivars[key]
        fruit = cultivar.fruit.key if cultivar.fruit else ""
        is_yellow = cultivar.flesh is not None and cultivar.flesh.value is Flesh.YELLOW
        printed = PRINTED.get(fruit, set()) if fruit not in STONE or is_yellow else set()
        assert products(holding, key) == (HYBRID if key in hybrids else printed), key


def test_the_color_of_flesh_on_the_shelf_was_read(holding_of: HoldingOf) -> None:
    """It decides about jars, so it ships only where its source was read."""
    told = [c.flesh for c in holding_of(tree("cultivar: Bartlett")).cultivars.values() if c.flesh]

    assert len(told) >= 12
    assert all(figure.cited.mark is Mark.READ and figure.cited.source for figure in told)


WHITE = (
    "Its flesh is white.",
    "White-fleshed and very sweet",
    "our white peach",
    "WHITE   FLESH",
    "De carne blanca, muy dulce",
    "durazno blanco de la abuela",
    "pulpa blanca",
    "Pêche blanche",
    "à chair blanche",
    "weißfleischig, reift früh",
    "polpa bianca",
    "a white freestone",
)


PLACES_OF_WORDS = ("tree", "cultivar", "fruit", "caution", "fact", "record", "pin", "tag", "place")
"""Where a household can write words about a tree or a cultivar."""


@pytest.mark.parametrize(
    ("words", "where"), [*((words, "tree") for words in WHITE), *((WHITE[0], where) for where in PLACES_OF_WORDS[1:])]
)
def test_words_about_white_flesh_win_over_a_yellow_one(holding_of: HoldingOf, words: str, where: str) -> None:
    """Wherever the household wrote them, and in whatever language: refused (UW-Madison 2020)."""
    files = tree("cultivar: Redhaven", "flesh: yellow")
    if where == "tree":
        files = tree("cultivar: Redhaven", "flesh: yellow", text=words)
    elif where == "cultivar":
        files["cultivars/redhaven.md"] = note("flesh: yellow") + words
    elif where == "fruit":
        files["fruits/peach.md"] = note("private: no") + words
    elif where == "caution":
        files["cultivars/redhaven.md"] = note(f'cautions: ["{words}"]')
    elif where == "fact":
        files["cultivars/redhaven.md"] = note(f'facts: [{{what: seen, value: "{words}"}}]')
    elif where == "record":
        files["records/2027.csv"] = f'date,tree,what,amount,note\n2027-07-20,a,note,,"{words}"\n'
    elif where == "pin":
        files = tree("cultivar: Redhaven", f'pinned: [{{pick: 2027-07-20, because: "{words}"}}]')
    elif where == "tag":
        files = tree("cultivar: Redhaven", f'tree: "{words}"')
    elif where == "place":
        files = tree("cultivar: Redhaven", f'where: "{words}"')
    holding = holding_of(files)

    assert products(holding, holding.trees[0].tag) == set()


@pytest.mark.parametrize(
    "line",
    [
        'facts: [{what: seen, value: "WORDS"}]',
        'cautions: ["WORDS"]',
        'uses: ["WORDS"]',
        'signs: [{touch: "WORDS"}]',
    ],
)
def test_words_about_another_fruit_refuse_it_in_every_key_of_a_cultivar(holding_of: HoldingOf, line: str) -> None:
    """What a household says to be a nashi has no minutes of European pears (AIB 539, Guide 2: acid for Asian ones)."""
    bearing = Bearing("a", "bartlett")
    for words, is_refused in (("it is a nashi", True), ("it is a good pear", False)):
        own = {"cultivars/bartlett.md": note(line.replace("WORDS", words))}
        found = not_for_jars(holding_of(tree("cultivar: Bartlett", **own)), bearing, "pears, halved, hot pack")
        assert (found is not None) is is_refused, words


@pytest.mark.parametrize(
    ("lines", "asks"),
    [
        (("cultivar: Babcock", "fruit: peach"), True),
        (("cultivar: unknown", "fruit: nectarine"), True),
        (("cultivar: Babcock", "fruit: peach", "flesh: white"), False),
        (("cultivar: Babcock", "fruit: peach", "flesh: red"), False),
        (("cultivar: White Lady", "flesh: yellow"), False),
        (("cultivar: Old White", "fruit: peach", "flesh: yellow"), False),
    ],
)
def test_a_peach_is_refused_until_its_flesh_is_known_to_be_yellow(
    holding_of: HoldingOf,
    lines: tuple[str, ...],
    asks: bool,  # noqa: FBT001
) -> None:
    """Unknown flesh is asked about and the freezer offered; white and red flesh are refused, jam and salsa included."""
    holding = holding_of(tree(*lines))
    (bearing,) = holding.trees[0].bearings
    told = not_for_jars(holding, bearing, "jam or jelly, added pectin, hot pack")

    assert isinstance(told, NoMinutes)
    assert isinstance(told, Unsaid) is asks
    assert "freeze" in instead_words(told, IN_ENGLISH)
    assert products(holding) == set()
    assert products(holding_of(tree("cultivar: Babcock", "fruit: peach", "flesh: yellow"))) == PRINTED["peach"]


ASIAN = ("Nashi", "Korean Giant", "Olympic", "Singo", "Asian pear", "Japanese pear", "apple pear", "Hosui", "Shinseiki")
ABROAD = ("pera asiática", "Nashi-Birne", "old nashi by the gate")


@pytest.mark.parametrize(
    ("name", "fruit"),
    [*((name, "pear") for name in (*ASIAN, *ABROAD)), ("Nashi", "european-pear"), ("Singo", "European pear")],
)
def test_an_asian_pear_under_another_name_is_refused(holding_of: HoldingOf, name: str, fruit: str) -> None:
    """They need acid in each jar (Guide 2, p. 2-20); the note is a problem by file and line."""
    files = tree(f"cultivar: {name}", f"fruit: {fruit}")
    with pytest.raises(FaultyNotes, match=r"trees/a.md:2: .*"):
        holding_of(files)
    own = {"cultivars/mine.md": note(f"name: {name}", f"fruit: {fruit}"), **tree("cultivar: Bartlett")}
    with pytest.raises(FaultyNotes, match=r"cultivars/mine.md:3: .*asian pear"):
        holding_of(own)


@pytest.mark.parametrize(
    ("name", "fruit"),
    [
        ("Black elder", "blueberry"),
        ("elderberry", "blackberry"),
        ("Elder\u00adberry by the gate", "blackberry"),  # with a soft hyphen, as web pages have them
        ("Holunder", "raspberry"),
        ("saúco", "blueberry"),
        ("Fuyu", "apple"),
        ("persimmon", "apricot"),
        ("fig", "european-plum"),
        ("tomato", "apple"),
        ("banana", "apple"),
        ("melon", "apricot"),
        ("papaya", "peach"),
        ("mango", "peach"),
    ],
)
def test_fruit_of_another_acid_is_not_taken_for_what_has_a_row(holding_of: HoldingOf, name: str, fruit: str) -> None:
    """Elder is no blueberry, and what the rows leave out has no other fruit's."""
    with pytest.raises(FaultyNotes, match=r"is a name of|is known as"):
        holding_of(tree(f"cultivar: {name}", f"fruit: {fruit}"))


@pytest.mark.parametrize("name", ["Winter Banana", "Melon apple", "Elder Smith", "Pineapple", "Figue d'Alençon"])
def test_names_that_only_sound_so_are_names(holding_of: HoldingOf, name: str) -> None:
    """Old cultivars called after other fruits are what they are."""
    assert holding_of(tree(f"cultivar: {name}", "fruit: apple")).trees[0].limbs[0].name == name


@pytest.mark.parametrize(
    "lines",
    [
        ("cultivar: unknown", "fruit: pear"),
        ("cultivar: pear",),
        ("cultivar: Gate Pear", "fruit: pear"),
        ("fruit: pear",),
    ],
)
def test_a_pear_of_unknown_kind_gets_no_minutes(holding_of: HoldingOf, lines: tuple[str, ...]) -> None:
    """Until it is said which pear it is, nothing goes into jars, and check asks."""
    holding = holding_of(tree(*lines))
    (bearing,) = holding.trees[0].bearings
    told = not_for_jars(holding, bearing, "pears, halved, hot pack")

    assert isinstance(told, Unsaid)
    assert products(holding) == set()
    assert any("which fruit" in warning.message for warning in warnings_of(holding, date(2027, 6, 1)))
    sure = holding_of(tree("cultivar: Gate Pear", "fruit: european-pear"))
    assert products(sure) == PRINTED["european-pear"]
    assert not any("which fruit" in warning.message for warning in warnings_of(sure, date(2027, 6, 1)))


def test_a_note_speaks_of_the_fruit_of_a_tree_that_nobody_named(holding_of: HoldingOf) -> None:
    """A tree without a kind takes no row, and a note that calls it a nashi says why."""
    holding = holding_of({"trees/a.md": note("tree: A") + "A nashi, we think.\n"})
    (bearing,) = holding.trees[0].bearings

    assert isinstance(not_for_jars(holding, bearing, "pears, halved, hot pack"), SpokenOf)
    assert products(holding, "A") == set()


def test_a_known_cultivar_is_known_however_its_fruit_is_called(holding_of: HoldingOf) -> None:
    """`fruit: pear` beside Bartlett says nothing that is not known."""
    assert products(holding_of(tree("cultivar: Bartlett", "fruit: pear"))) == PRINTED["european-pear"]


@pytest.mark.parametrize("name", ["Garber", "Le Conte", "Keiffer", "Orient"])
def test_a_hybrid_pear_takes_no_row_without_acid(holding_of: HoldingOf, name: str) -> None:
    """No source gives their acidity, so the tighter of the two published processes holds."""
    assert products(holding_of(tree(f"cultivar: {name}", "fruit: european-pear"))) <= HYBRID


@pytest.mark.parametrize("name", ["Kieffer pear", "Old Kieffer", "Grandma's LeConte", "Pineapple", "Orient pear"])
def test_a_name_that_holds_a_hybrid_pear_s_is_refused_with_it(holding_of: HoldingOf, name: str) -> None:
    """Whoever writes more than the name still grows that pear, whose acid no source tells."""
    assert products(holding_of(tree(f"cultivar: {name}", "fruit: european-pear"))) <= HYBRID


@pytest.mark.parametrize(("name", "fruit"), [("Baldwin", "apple"), ("Hood", "strawberry"), ("Spalding", "grape")])
def test_a_hybrid_pear_s_name_refuses_no_other_fruit(holding_of: HoldingOf, name: str, fruit: str) -> None:
    """An apple, a strawberry and a grape that are called like a hybrid pear take the rows of their own fruit."""
    assert products(holding_of(tree(f"cultivar: {name}", f"fruit: {fruit}"))) == PRINTED[fruit]


@pytest.mark.parametrize("fruit", ["tomato", "fig", "quince", "asian-pear"])
@pytest.mark.parametrize("called", ["by its tag", "as a cultivar", "by its own note"])
def test_fruit_that_is_called_like_another_takes_no_row_of_that(holding_of: HoldingOf, called: str, fruit: str) -> None:
    """A grape tomato is no grape, nor a nashi whose tree is called apple an apple (AIB 539, Guides 2 and 3).

    Each goes by the name of every other fruit of the shelf; names that are told apart are refused as they are read.
    """
    known = holding_of(tree("cultivar: Bartlett"))
    apart = {key for row in known.processes.told_apart for key in row.fruits}
    others = sorted(known.fruits.keys() - apart - {fruit})
    notes = {f"cultivars/{other}.md": note(f"fruit: {fruit}") for other in others if called == "by its own note"}
    for number, other in enumerate(others):
        tag, name = (other, "unknown") if called == "by its tag" else (f"t{number}", other.replace("-", " "))
        notes[f"trees/{tag}.md"] = note(f"cultivar: {name}", f"fruit: {fruit}")
    holding = holding_of({"place.md": PLACE, **notes})

    assert len(others) > 20
    for one in holding.trees:
        if one.tag != "a":
            assert products(holding, one.tag) == PRINTED.get(fruit, set()), one.tag


def test_limbs_of_one_tree_take_the_rows_of_their_own_fruit(holding_of: HoldingOf) -> None:
    """Bartlett and Hosui on a tree that is called european-pear: halves without acid are of Bartlett alone."""
    holding = holding_of({"place.md": PLACE, "trees/european-pear.md": note("limbs: [Bartlett, Hosui]")})
    made = {
        bearing.cultivar: {one.key for one in holding.preserves if is_made_of(holding, one, bearing)}
        for bearing in holding.trees[0].bearings
    }

    assert "pear-halves" in made["bartlett"] - made["hosui"]
    assert "asian-pears-jars" in made["hosui"] - made["bartlett"]


def test_a_tree_called_like_a_hybrid_pear_takes_no_row_by_that(holding_of: HoldingOf) -> None:
    """No tag names what goes into jars: an apple whose tree is called Kieffer has the apple's rows."""
    assert (
        products(holding_of(tree("tree: kieffer", "cultivar: unknown", "fruit: apple")), "kieffer") == PRINTED["apple"]
    )


def test_what_is_made_of_tomatoes_in_jars_warns_of_dead_vines(holding_of: HoldingOf) -> None:
    """AIB 539, Guide 3: none from dead or frost-killed vines, green ones of late autumn before all."""
    made = [one for one in holding_of(tree("cultivar: Bartlett")).preserves if "tomato" in one.subjects]
    canned = [one for one in made if one.process is not None]

    assert len(canned) > 5
    assert all(any("frost-killed vines" in told.text for told in one.cautions) for one in canned)


def test_no_fruit_of_a_household_is_called_like_a_cultivar(holding_of: HoldingOf) -> None:
    """Whatever it is, it would be put up as hybrid pears are."""
    files = {"fruits/kieffer.md": note("name: Old kind"), **tree("cultivar: Gate", "fruit: kieffer")}
    with pytest.raises(FaultyNotes, match=r"fruits/kieffer.md: Kieffer is a cultivar of the shelf"):
        holding_of(files)


def test_moonglow_needs_no_acid(holding_of: HoldingOf) -> None:
    """K-State Research and Extension (2022) names Moonglow with Bartlett among pears that are not acidified."""
    assert products(holding_of(tree("cultivar: Moonglow"))) == PRINTED["european-pear"]


@pytest.mark.parametrize(
    "words", ["the nashi by the gate", "una pera asiática", "a sand pear, we think", "an Asi\u00adan\u200b pear"]
)
def test_a_note_that_speaks_of_a_nashi_closes_the_row_of_european_pears(holding_of: HoldingOf, words: str) -> None:
    """Whatever the front matter says."""
    assert products(holding_of(tree("cultivar: Gate Pear", "fruit: european-pear", text=words))) == set()


OWN = (
    ("Pear butter", "method: boiling-water canner", 'process: "pears, halved, hot pack"'),
    ("Pear and banana butter", "method: boiling-water canner", 'process: "fruit puree, hot pack"'),
    (
        "Jam with flour",
        "method: boiling-water canner",
        'process: "jam or jelly, added pectin, hot pack"',
    ),
    ("Peach chutney of ours", "method: boiling-water canner", 'process: "peaches, hot pack"'),
    ("Pie filling with flour and butter", "method: boiling-water canner", 'process: "apple pie filling, hot pack"'),
    ("Pear sauce", "method: boiling-water canner"),
    ("Pear sauce", "method: freezer", 'process: "pears, halved, hot pack"'),
    ("Pear halves in jars", "method: freezer"),
)


@pytest.mark.parametrize("lines", OWN, ids=lambda lines: f"{lines[0]}, {len(lines)}")
def test_a_households_product_borrows_no_row(holding_of: HoldingOf, lines: tuple[str, ...]) -> None:
    """Guide 1: an untested recipe gets no process time."""
    own = note(f"name: {lines[0]}", "fruits: [european-pear]", *lines[1:])
    with pytest.raises(FaultyNotes, match=r"preserves/ours.md:\d+: "):
        holding_of(tree("cultivar: Bartlett", **{"preserves/ours.md": own}))


@pytest.mark.parametrize(
    "line",
    [
        *("name: Pear halves our way", "fruits: [european-pear, banana]", "method: freezer", "stage: soft"),
        *('process: "fruit puree, hot pack"', "acid: none", "packed in: water"),
    ],
)
def test_a_preserve_of_the_shelf_stays_what_was_tested(holding_of: HoldingOf, line: str) -> None:
    """A household may say how much it takes and how long, and add words."""
    with pytest.raises(FaultyNotes, match="can't be changed"):
        holding_of(tree("cultivar: Bartlett", **{"preserves/pear-halves.md": note(line)}))
    allowed = note("takes: 16 lb for 7 quarts", "hands: 10 minutes a quart", "keeps: 9 months") + "Mind the wasps.\n"
    holding = holding_of(tree("cultivar: Bartlett", **{"preserves/pear-halves.md": allowed}))
    assert "pears, halved" in products(holding)


@pytest.mark.parametrize(
    ("kind", "name"),
    [
        *((kind, "pot") for kind in ("electric multi-cooker", "oven", "dishwasher", "microwave", "slow cooker")),
        *(
            (kind, "pot")
            for kind in ("Multicooker", "horno", "olla eléctrica", "electric pressure canner", "instant pot")
        ),
        *(("pressure", name) for name in ("the multi-cooker", "electric pressure pot", "our oven")),
        *(("boiling water", name) for name in ("dishwasher", "the microwave")),
    ],
)
def test_what_is_no_canner_is_refused(holding_of: HoldingOf, kind: str, name: str) -> None:
    """NCHFP on multi-cookers; Guide 1 on ovens, microwaves and dishwashers."""
    pot = f"{{name: {name}, kind: {kind}, gauge: dial, holds: [7 quarts], kitchen: k}}".replace(
        "gauge: dial, " if kind != "pressure" else "\0", ""
    )
    place = note("latitude: 42 N", "kitchens: [{name: k, elevation: 640 ft}]", f"canners: [{pot}]")
    with pytest.raises(FaultyNotes, match="is no canner"):
        holding_of({**tree("cultivar: Bartlett"), "place.md": place})


@pytest.mark.parametrize("name", ["four quart pot", "Sunday pot", "big blue", "stove pot"])
def test_pots_with_plain_names_are_canners(holding_of: HoldingOf, name: str) -> None:
    """No word of a plain name is taken for an appliance."""
    place = note(
        "latitude: 42 N",
        "kitchens: [{name: k, elevation: 640 ft}]",
        f"canners: [{{name: {name}, kind: boiling water, holds: [7 quarts], kitchen: k}}]",
    )
    assert holding_of({**tree("cultivar: Bartlett"), "place.md": place}).place.kitchen_means.canners[0].name == name


def test_a_kitchen_below_the_sea_counts_as_at_its_level(holding_of: HoldingOf) -> None:
    """Water boils hotter there, so the row of the lowest band is long enough."""
    table = holding_of(tree("cultivar: Bartlett")).processes
    told = [
        look_up(
            table, "pears, halved, hot pack", parse_jar("quart"), Stove(height_m=height, kind=PotKind.BOILING_WATER)
        )
        for height in (-350.0, 0.0)
    ]

    assert told[0] == told[1]
    assert isinstance(told[0], Minutes)
    assert told[0].minutes == 25


KITCHEN = note(
    *("latitude: 42 N", "zone: 6b", "elevation: 640 ft", "kitchens: [{name: kitchen, elevation: 640 ft}]"),
    "spaces: [{name: fridge, temperature: 31 F}, {name: floor, temperature: 66 F}]",
    "canners: [{name: pot, kind: boiling water, holds: [7 quarts, 9 pints, 12 half pints], kitchen: kitchen}]",
    "kitchen days: [{on: Saturday, hours: 8, hands: 3, kitchen: kitchen}]",
    "to put up:",
    "  - {preserve: Peaches in jars, amount: 7 quarts}",
    "  - {preserve: Peach jam with pectin, amount: 4 half pints}",
)


@pytest.mark.parametrize(("flesh", "makes"), [("flesh: yellow", True), ("walk: 1", False), ("flesh: white", False)])
def test_no_session_card_or_calendar_speaks_of_minutes_for_what_is_refused(
    plan_of: PlanOf,
    flesh: str,
    makes: bool,  # noqa: FBT001
) -> None:
    """A Babcock peach with 60 lb picked, wanted in jars: minutes everywhere or nowhere."""
    plan = plan_of(
        {
            "place.md": KITCHEN,
            "trees/a.md": note("cultivar: Babcock", "fruit: peach", flesh),
            "cultivars/babcock.md": note("fruit: peach", "counter: 3 days", "keeps ripe: 5 days"),
            "records/r.csv": "date,tree,what,amount,note\n2027-08-18,a,pick,60 lb,\n",
        },
        as_of=date(2027, 8, 19),
    )
    assert plan.kitchen is not None
    files = make_site(plan, theme_folder())
    files |= make_feeds(plan, Ledger(), plan.changed).files
    said = {path for path, data in files.items() if b"25 minutes" in data or b"20 minutes" in data}

    assert bool(plan.kitchen.sessions) is makes
    assert bool(plan.kitchen.cards) is makes
    assert {path for path in said if path.startswith(("kitchen", "sheets/stove", "feeds/"))} == set() or makes
    assert may_be_canned(plan.holding, next(p for p in plan.holding.preserves if p.key == "peaches-jars")) is makes
    assert Bearing("a", "babcock") in plan.lots


@pytest.mark.parametrize(
    ("lines", "canned"),
    [
        (("cultivar: unknown", "fruit: peach", "flesh: yellow"), True),
        # UW 2020, UC 2024: white-fleshed peaches have no tested process; unsaid flesh is asked about
        (("cultivar: unknown", "fruit: peach", "flesh: white"), False),
        (("cultivar: unknown", "fruit: peach"), False),
        (("cultivar: White Lady",), False),
        (("cultivar: unknown", "fruit: pear"), False),
        (("cultivar: unknown", "fruit: european-pear"), True),
    ],
)
def test_no_job_leads_fruit_to_the_canner_that_may_not_go_into_jars(
    holding_of: HoldingOf, lines: tuple[str, ...], *, canned: bool
) -> None:
    """What is refused at the stove is refused in the list of jobs: no laying out, no canner, no seals."""
    plan = make_plan(holding_of(tree(*lines)), 2027, date(2027, 6, 1))
    jobs = {entry.task.key for entry in plan.calendar.entries}

    assert bool(jobs & {"evening-before-canning", "at-the-canner", "check-seals", "put-jars-away"}) is canned
