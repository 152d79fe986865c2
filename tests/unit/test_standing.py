"""Trees and limbs that stand no more, and tags with signs in them: nothing stops, and only what is gone goes."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from season_notes import estimate, no_date, note, read, season_of

from firmripe.holding.pollination import widowed
from firmripe.holding.standing import gone_by
from firmripe.plan import make_plan
from firmripe.publish.site import make_site
from firmripe.season.season import SeasonModel
from firmripe.shipped import theme_folder

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
    assert standing == {("A", "early")} | ({("B", "early")} if "late" in whose else set())


def test_a_limb_goes_alone(tmp_path: Path) -> None:
    """The other limb keeps its dates and its records, whatever is noted on the tree later."""
    rows = ("2026-08-25,B,early,,first pick,,", "2027-05-01,B,late,,removed,,", "2027-06-01,B,,,note,,pruned")
    season = season_of(tmp_path, notes(*rows, B="limbs: [early, late]"))

    assert any("Noted in earlier seasons" in reason.text for reason in estimate(season, "B", "early").reasons)
    assert "taken out" in no_date(season, "B", "late").reason


def test_a_limb_grafted_anew_stands(tmp_path: Path) -> None:
    """A later line that names the limb means that another grows there."""
    rows = ("2026-05-01,B,late,,removed,,", "2027-04-20,B,late,,full bloom,,")
    assert estimate(season_of(tmp_path, notes(*rows, B="limbs: [early, late]")), "B", "late")


def test_the_limb_that_was_the_last_partner_is_missed(tmp_path: Path) -> None:
    """A limb taken off its tree pollinates nobody."""
    holding = read(tmp_path, notes("2027-05-01,B,late,,removed,,", A="cultivar: early", B="limbs: [early, late]"))

    assert gone_by(holding.trees, holding.records, date(2027, 6, 1)) == {("B", "late"): date(2027, 5, 1)}
    assert {
        (one.tree.tag, one.partner_limb.key) for one in widowed(holding.trees, holding.records, date(2027, 6, 1))
    } == {
        ("A", "late"),
        ("B", "late"),
    }


@pytest.mark.parametrize("tag", ["A|1", "N: 2 (by the wall)", "a/b", "a, b", "|", "this season: pick|x"])
def test_a_tag_with_signs_in_it_is_a_tag(tmp_path: Path, tag: str) -> None:
    """Reasons, which are counted by whose note they come from, find their tree again."""
    rows = (f'2026-04-18,"{tag}",,,full bloom,,', f'2026-08-25,"{tag}",,,first pick,,', "2026-08-25,C,,,first pick,,")
    written = notes(*rows, C="cultivar: early")
    season = season_of(tmp_path, written | {"trees/t.md": note("cultivar: early", f'tree: "{tag}"')})
    own = [reason.text for reason in estimate(season, tag, "early").reasons]

    assert "Noted in earlier seasons: pick of this tree" in own
    assert "Noted in earlier seasons: pick of other Early" in own


def test_a_cultivar_file_with_a_sign_in_its_name(tmp_path: Path) -> None:
    """The name of the file is the cultivar's key, whatever signs it holds."""
    written = notes("2026-08-25,A,,,first pick,,", A='cultivar: "odd|pear"') | {"cultivars/odd|pear.md": PEAR}
    holding = read(tmp_path, written)
    season = SeasonModel(holding, make_plan(holding, 2027, date(2027, 6, 1)).season.year, date(2027, 6, 1)).season()

    assert any("this tree" in reason.text for reason in estimate(season, "A", "odd|pear").reasons)
