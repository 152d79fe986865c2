"""Trees and limbs that stand no more, and tags with signs in them: nothing stops, and only what is gone goes."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from season_notes import estimate, no_date, note, read, season_of

from firmripe.harvest.crop import Crop
from firmripe.holding.pollination import widowed
from firmripe.holding.standing import gone_by
from firmripe.holding.tree import Bearing
from firmripe.plan import Plan, make_plan
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.tree import tree_page
from firmripe.publish.paths import Paths
from firmripe.publish.site import make_site
from firmripe.reading.warnings import warnings_of
from firmripe.season.season import SeasonModel
from firmripe.shipped import theme_folder
from firmripe.tongue import IN_ENGLISH
from firmripe.wording import words_of

PLACE = note("name: Home", "zone: 7b", "latitude: 42 N", "longitude: 72 W", "elevation: 200 m")
PEAR = note(
    "fruit: european-pear",
    "partners: [{value: needs another, mark: M, source: memory}]",
    "windows: [{pick: Aug 20, place: V}, {bloom: Apr 20, place: V}]",
).replace("place: V", "zone: 7b, latitude: 42 N, longitude: 72 W, elevation: 200 m")
COLUMNS = "date,tree,cultivar,crop,what,amount,note\n"


def notes(*rows: str, **trees: str) -> dict[str, str]:
    """Return the notes of a household with these trees and records."""
    return {
        "place.md": PLACE,
        "fruits/european-pear.md": note("name: European pear"),
        "cultivars/early.md": PEAR,
        "cultivars/late.md": PEAR,
        "records/r.csv": COLUMNS + "".join(f"{row}\n" for row in rows),
        **{f"trees/{tag}.md": note(text) for tag, text in trees.items()},
    }


@pytest.mark.parametrize("day", ["2026-11-15", "2027-03-01", "2027-08-20"])
@pytest.mark.parametrize("whose", ["B,,", "B,late,"])
def test_a_whole_site_is_made_where_a_tree_or_a_limb_was_taken_out(tmp_path: Path, day: str, whose: str) -> None:
    """Every page, sheet and feed is made, and no page asks for the pick of what is gone."""
    holding = read(tmp_path, notes(f"{day},{whose},removed,,", A="cultivar: early", B="limbs: [early, late]"))
    made = make_site(make_plan(holding, 2027, date(2027, 8, 28)), theme_folder())
    season = make_plan(holding, 2027, date(2027, 8, 28)).season
    standing = {(bearing.tree, bearing.cultivar) for bearing in season.bearings}

    assert b"late" not in made["sheets/picking.html"]
    assert "cultivars/late.html" not in made, "of what is gone nothing more is told"
    assert not [name for name, page in made.items() if name.endswith(".html") and b"cultivars/late.html" in page]
    assert standing == {("A", "early")} | ({("B", "early")} if "late" in whose else set())


def test_a_limb_that_bore_keeps_its_page(tmp_path: Path) -> None:
    """What was picked of it once is told of as long as it is in the records, and that it is gone."""
    rows = ("2026-08-25,B,late,,pick,20 lb,", "2027-05-01,B,late,,removed,,")
    plan = make_plan(read(tmp_path, notes(*rows, B="limbs: [early, late]")), 2027, date(2027, 8, 28))

    for theme in ("box-tag", "plain"):
        site = make_site(plan, theme_folder(theme))
        gone = [
            kind for kind in ("early", "late") if b"None of it grows here any more." in site[f"cultivars/{kind}.html"]
        ]
        assert gone == ["late"]


def test_fruit_of_a_tree_that_is_gone_is_refused_for_jars_as_before(plan_of: Callable[..., Plan]) -> None:
    """White peaches may still lie there when their tree does not: neither its page nor its fruit's offers a jar."""
    home = {
        "place.md": PLACE,
        "trees/A.md": note("cultivar: bartlett"),
        "trees/B.md": note("cultivar: white-lady"),
        "records/2026.csv": f"{COLUMNS}2026-08-05,B,,,pick,20 lb,\n2026-08-20,B,,,removed,,\n",
    }
    site = make_site(plan_of(home, as_of=date(2027, 6, 1)), theme_folder())
    pages = [site[name].decode() for name in ("cultivars/white-lady.html", "fruits/peach.html")]

    assert all("not into jars: white flesh" in page for page in pages)
    assert not any("in jars, by the published process" in page for page in pages)


def test_a_limb_goes_alone(tmp_path: Path) -> None:
    """The other limb keeps its dates and its records, whatever is noted on the tree later."""
    rows = ("2026-08-25,B,early,,first pick,,", "2027-05-01,B,late,,removed,,", "2027-06-01,B,,,note,,pruned")
    season = season_of(tmp_path, notes(*rows, B="limbs: [early, late]"))

    assert any(
        "Noted in earlier seasons" in words_of(reason.why, IN_ENGLISH)
        for reason in estimate(season, "B", "early").reasons
    )
    assert "taken out" in words_of(no_date(season, "B", "late").reason, IN_ENGLISH)


def test_a_limb_grafted_anew_stands(tmp_path: Path) -> None:
    """A later line that names the limb means that another grows there."""
    rows = ("2026-05-01,B,late,,removed,,", "2027-04-20,B,late,,full bloom,,")
    assert estimate(season_of(tmp_path, notes(*rows, B="limbs: [early, late]")), "B", "late")


def test_the_limb_that_was_the_last_partner_is_missed(tmp_path: Path) -> None:
    """A limb taken off its tree pollinates nobody."""
    holding = read(tmp_path, notes("2027-05-01,B,late,,removed,,", A="cultivar: early", B="limbs: [early, late]"))

    assert gone_by(holding.trees, holding.records, date(2027, 6, 1)) == {("B", "late"): date(2027, 5, 1)}
    assert {(one.tree.tag, one.partner.limb.key) for one in widowed(holding, date(2027, 6, 1))} == {
        ("A", "late"),
        ("B", "late"),
    }


@pytest.mark.parametrize("tag", ["A|1", "N: 2 (by the wall)", "a/b", "a, b", "|", "this season: pick|x"])
def test_a_tag_with_signs_in_it_is_a_tag(tmp_path: Path, tag: str) -> None:
    """Reasons, which are counted by whose note they come from, find their tree again."""
    rows = (f'2026-04-18,"{tag}",,,full bloom,,', f'2026-08-25,"{tag}",,,first pick,,', "2026-09-05,C,,,first pick,,")
    written = notes(*rows, C="cultivar: early")
    season = season_of(tmp_path, written | {"trees/t.md": note("cultivar: early", f'tree: "{tag}"')})
    own = [words_of(reason.why, IN_ENGLISH) for reason in estimate(season, tag, "early").reasons]

    assert "Noted in earlier seasons: pick of this tree" in own
    assert "Noted in earlier seasons: pick of other Early" in own


def test_a_cultivar_file_with_a_sign_in_its_name(tmp_path: Path) -> None:
    """The name of the file is the cultivar's key, whatever signs it holds."""
    written = notes("2026-08-25,A,,,first pick,,", A='cultivar: "odd|pear"') | {"cultivars/odd|pear.md": PEAR}
    holding = read(tmp_path, written)
    season = SeasonModel(holding, make_plan(holding, 2027, date(2027, 6, 1)).season.year, date(2027, 6, 1)).season()

    assert any("this tree" in words_of(reason.why, IN_ENGLISH) for reason in estimate(season, "A", "odd|pear").reasons)


def test_a_felled_tree_is_neither_labelled_nor_counted_nor_asked_about(tmp_path: Path) -> None:
    """Its page keeps its records and says that it was taken out."""
    rows = ("2025-05-01,B,,,full bloom,,", "2025-08-20,B,,,first pick,,", "2026-11-15,B,,,removed,,canker")
    holding = read(tmp_path, notes(*rows, A="cultivar: early", B="cultivar: late"))
    plan = make_plan(holding, 2027, date(2027, 3, 1))
    made = {path: data.decode() for path, data in make_site(plan, theme_folder()).items() if path.endswith(".html")}

    assert [tree.tag for tree in plan.season.standing] == ["A"]
    assert "Late" not in made["sheets/labels.html"]
    assert 'value="B"' not in made["note.html"]
    assert ",B,full bloom" not in made["trees/b.html"]
    assert "canker" in made["trees/b.html"]
    assert "stands no more" in made["trees.html"]
    assert not any("tree B" in warning.message for warning in warnings_of(holding, date(2027, 3, 1)))


def test_a_new_trees_page_prints_nothing_of_the_old_one(tmp_path: Path) -> None:
    """Neither its records nor its years nor its readings."""
    rows = (
        *(f"{year}-08-20,B,,,first pick,40 lb,sweet" for year in (2024, 2025)),
        "2025-10-01,B,,,removed,,",
        "2026-04-01,B,,,note,,planted anew",
    )
    plan = make_plan(read(tmp_path, notes(*rows, A="cultivar: early", B="cultivar: late")), 2027, date(2027, 3, 1))
    page = make_site(plan, theme_folder())["trees/b.html"].decode()

    assert "planted anew" in page
    assert "sweet" not in page
    assert "2025" not in page


@pytest.mark.parametrize(
    ("more", "rows", "young"),
    [
        (("planted: 2026",), (), True),
        (("planted: 2024",), (), False),
        (("planted: 2026", "bears from: 2027"), (), False),
        (("planted: 2026",), ("2027-05-20,A,,,set,80 fruits,",), False),
        (
            ("planted: 2026",),
            ("2025-08-01,A,,,first pick,,", "2025-11-01,A,,,removed,,", "2026-04-01,A,,,note,,"),
            True,
        ),
    ],
)
def test_a_tree_of_a_year_or_two_is_asked_about(
    tmp_path: Path, more: tuple[str, ...], rows: tuple[str, ...], *, young: bool
) -> None:
    """It bears perhaps nothing, until its note or its fruit says that it does."""
    yields = "yield: [{value: 80-120 lb, mark: M, source: memory}]"
    home = {**notes(*rows), "trees/A.md": note("cultivar: early", *more)}
    home["fruits/european-pear.md"] = note("name: European pear", yields)
    plan = make_plan(read(tmp_path, home), 2027, date(2027, 6, 1))
    crop = plan.lots[Bearing("A", "early")].crop

    assert (
        any(
            "perhaps it bears nothing yet" in words_of(asked, IN_ENGLISH)
            for asked in plan.season.questions.get("A", ())
        )
        is young
    )
    assert isinstance(crop, Crop)
    assert (crop.weight.low == 0) is young


def test_a_tree_taken_out_this_season_is_listed_nowhere_as_standing(tmp_path: Path) -> None:
    """It has days in the season, and no label any more; the list of trees says that it is gone."""
    rows = ("2027-09-02,B,,,pick,40 lb,", "2027-11-05,B,,,removed,,")
    holding = read(tmp_path, notes(*rows, A="cultivar: early", B="cultivar: late"))
    made = make_site(make_plan(holding, 2027, date(2027, 11, 20)), theme_folder())

    assert [tree.tag for tree in make_plan(holding, 2027, date(2027, 11, 20)).season.standing] == ["A"]
    assert b"late" not in made["sheets/labels.html"]
    assert b"stands no more" in made["trees.html"]
    assert "trees/B.html" in made or "trees/b.html" in made


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (("2027-08-14,B,,,removed,,",), "Sat 14 Aug 2027"),
        (("2027-08-14,B,late,,removed,,",), "Late Sat 14 Aug 2027"),
        (("2027-08-29,B,,,removed,,",), ""),
    ],
)
def test_the_page_of_a_tree_says_at_once_that_it_was_taken_out(
    tmp_path: Path, rows: tuple[str, ...], said: str
) -> None:
    """Whoever finds its tag, or looks for its limb, reads the day beside where it stood, and nothing ahead of time."""
    plan = make_plan(read(tmp_path, notes(*rows, B="limbs: [early, late]")), 2027, date(2027, 8, 28))
    page = tree_page(PageContext(plan, Paths(plan), "", set()), plan.holding.tree("B"))

    assert dict(page.facts).get("Removed", "") == said
