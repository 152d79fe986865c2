"""What a hardiness zone is worth in warmth, and so in days."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from one_tree import plan_of_notes
from season_notes import NORTH, note, read

from firmripe.holding.fruit import Event
from firmripe.publish.feeds.files import make_feeds
from firmripe.publish.ledger import Ledger
from firmripe.publish.site import make_site
from firmripe.season import carrying, spreads
from firmripe.season.climates import Climates
from firmripe.season.usual import Usual, usual_of
from firmripe.shipped import theme_folder
from firmripe.units import parse_zone

NOTES = {"place.md": note("zone: 6b"), "fruits/pear.md": note("name: Pear"), "trees/1.md": note("fruit: pear")}


@pytest.fixture
def usual(tmp_path: Path) -> Usual:
    """Return the usual days of a household that gives a zone alone, on a shelf that prints nothing."""
    return usual_of(read(tmp_path, NOTES), NORTH)


@pytest.mark.parametrize(("there", "here"), [("5a", "5b"), ("4b", "6a"), ("6a", "4b"), ("6b", "6b")])
def test_zones_are_worth_the_warmth_of_their_springs(tmp_path: Path, usual: Usual, there: str, here: str) -> None:
    """Where springs count whole, half a zone moves bloom by their first months over all stations, six days a °C."""
    climates = Climates(read(tmp_path / "other", NOTES).stations)
    springs = [climate.early_spring_mean() for zone in (here, there) if (climate := climates.by_zone(parse_zone(zone)))]
    days = (springs[0] - springs[1]) * spreads.DAYS_PER_C[Event.FULL_BLOOM][0]
    moved = usual.between_zones(Event.FULL_BLOOM, parse_zone(there), parse_zone(here))
    assert moved == pytest.approx(days, rel=0.12, abs=0.01)


def test_a_zone_is_worth_less_where_springs_are_warm(usual: Usual) -> None:
    """Beyond 15 °C more warmth brings nothing, and leaves go on falling later."""
    cold, warm = (("4a", "5a"), ("10a", "11a"))
    bloom, leaves = (
        [usual.between_zones(event, parse_zone(one), parse_zone(other)) for one, other in (cold, warm)]
        for event in (Event.FULL_BLOOM, Event.LEAF_FALL)
    )
    assert bloom[0] < 2 * bloom[1] < 0
    assert leaves[0] == pytest.approx(leaves[1])
    assert leaves[0] > 0


def test_one_ground_of_a_zone_lies_weeks_off_the_mean_of_all(usual: Usual) -> None:
    """A zone tells of winter: springs within one differ by 3.7 °C (standard deviation)."""
    assert 12 < usual.within_zone_d(Event.PICK, parse_zone("6b")) < 25


@pytest.mark.parametrize("zone", ["zone: 6b", "latitude: 42 N"])
def test_the_page_on_dates_shows_what_each_zone_is_worth(tmp_path: Path, zone: str) -> None:
    """Sixteen half zones beside the household's own, where it names one."""
    plan = plan_of_notes(tmp_path, {"place.md": note("name: Home", zone)})
    feeds = make_feeds(plan, Ledger(), plan.changed)
    page = make_site(plan, theme_folder(), feeds)["dates.html"].decode()
    named = zone.startswith("zone")
    assert ("What a hardiness zone is worth" in page) is named
    assert page.count(" days later</td>") + page.count(" days earlier</td>") >= (40 if named else 0)
    assert ("no change" in page) is named


def test_the_points_of_a_bell_curve_are_those_of_gauss_and_hermite() -> None:
    """Fifteen points, worked out anew by their polynomial."""
    points, shares = np.polynomial.hermite_e.hermegauss(15)

    assert pytest.approx(points, rel=1e-12) == carrying._POINTS  # noqa: SLF001
    assert pytest.approx(shares, rel=1e-12) == carrying._SHARES  # noqa: SLF001
