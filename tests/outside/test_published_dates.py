"""Published days and figures, carried through the whole of the package: notes in, dates and feed out."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

import pytest
from msgspec.structs import replace

from firmripe.days import Span, WorkingYear, parse_stretch
from firmripe.harvest.following import follow
from firmripe.harvest.lots import Lot
from firmripe.holding.figures import Mark
from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.holding.task import Stage
from firmripe.holding.tree import Bearing
from firmripe.plan import make_plan
from firmripe.problems import FaultyNotes
from firmripe.publish.feeds.files import make_feeds
from firmripe.publish.ledger import Ledger
from firmripe.reading.reader import read_holding
from firmripe.season.estimate import Basis, Estimate
from firmripe.season.season import Season, SeasonModel
from firmripe.tongue import IN_ENGLISH
from firmripe.units import (
    NEWTONS_PER_LBF,
    celsius,
    fahrenheit,
    parse_firmness,
    parse_temperature,
    parse_zone,
)
from firmripe.wording.clashes import clash_words

SHELF = Path(__file__).parents[2] / "content" / "reference"
PRINTED = 0.0501  # half a unit of the last printed decimal, and a little for binary fractions
COLD_STORE = "spaces: [{name: cold store, temperature: 31 F}]"
COOL_STORE = "spaces: [{name: cool store, temperature: 50 F}]"


@dataclass(slots=True)
class Household:
    """Notes being written into a folder."""

    folder: Path
    place: list[str] = field(default_factory=list)
    lines: list[str] = field(default_factory=list)

    def note(self, folder: str, name: str, *lines: str) -> None:
        """Write one note."""
        path = self.folder / folder / f"{name}.md"
        path.parent.mkdir(exist_ok=True)
        path.write_text("\n".join(["---", *lines, "---", ""]), encoding="utf-8")

    def tree(self, tag: str, *lines: str) -> None:
        """Write the note of a tree."""
        self.note("trees", tag, *lines)

    def record(self, day: str, tag: str, what: str, amount: str = "") -> None:
        """Add a line to the records."""
        self.lines.append(f"{day},{tag},{what},{amount}")

    def read(self) -> Holding:
        """Read what was written, over the shelf."""
        (self.folder / "place.md").write_text("\n".join(["---", *self.place, "---", ""]), encoding="utf-8")
        (self.folder / "records").mkdir(exist_ok=True)
        table = "\n".join(["date,tree,what,amount", *self.lines, ""])
        (self.folder / "records" / "all.csv").write_text(table, encoding="utf-8")
        return read_holding(self.folder, SHELF)

    def season(self, year: int, as_of: date | None = None) -> Season:
        """Work out a season as known on a day, its last where none is named."""
        holding = self.read()
        working = WorkingYear(year=year, hemisphere=holding.place.hemisphere)
        return SeasonModel(holding, working, as_of or working.last).season()


@pytest.fixture
def household(tmp_path: Path) -> Household:
    """Return an empty household."""
    return Household(tmp_path)


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Holding:
    """Return the shelf below a household of one tree."""
    one = Household(tmp_path_factory.mktemp("shelf"))
    one.tree("bartlett")
    return one.read()


def only_pick(season: Season) -> Estimate:
    (bearing,) = season.bearings
    return pick_of(season, bearing)


def pick_of(season: Season, bearing: Bearing) -> Estimate:
    dated = season.of(bearing, Event.PICK)
    assert isinstance(dated, Estimate)
    return dated


def only_lot(season: Season) -> Lot:
    (lot,) = follow(season).values()
    return lot


# Zones and units


@pytest.mark.parametrize(
    ("zone", "lowest_f", "highest_f", "lowest_c", "highest_c"),
    [
        # USDA Plant Hardiness Zone Map: end points 1a = -60 to -55 F and 13b = 65 to 70 F, steps of 5 F
        ("1a", -60, -55, -51.1, -48.3),
        ("1b", -55, -50, -48.3, -45.6),
        ("4a", -30, -25, -34.4, -31.7),
        ("5b", -15, -10, -26.1, -23.3),
        ("6b", -5, 0, -20.6, -17.8),
        ("7a", 0, 5, -17.8, -15.0),
        ("8b", 15, 20, -9.4, -6.7),
        ("9b", 25, 30, -3.9, -1.1),
        ("10a", 30, 35, -1.1, 1.7),
        ("13b", 65, 70, 18.3, 21.1),
        # The same: a whole zone spans its two halves
        ("6", -10, 0, -23.3, -17.8),
    ],
)
def test_a_zone_has_its_published_limits(
    zone: str, lowest_f: float, highest_f: float, lowest_c: float, highest_c: float
) -> None:
    """A hardiness zone names the coldest night of a mean winter."""
    read = parse_zone(zone)
    assert (read.lowest_f, read.highest_f) == (lowest_f, highest_f)
    assert celsius(read.lowest_f) == pytest.approx(lowest_c, abs=PRINTED)
    assert celsius(read.highest_f) == pytest.approx(highest_c, abs=PRINTED)


@pytest.mark.parametrize(
    ("newtons", "pounds"),
    [
        # Sugar & Einhorn (2012) and Chen et al. (1996) give newtons, OSU Extension the same in pounds-force
        ("14 N", 3.1),
        ("23 N", 5.2),
        ("58 N", 13.0),
        ("66.7 N", 15.0),
        ("71 N", 16.0),
    ],
)
def test_newtons_and_pounds_force_agree_as_printed(newtons: str, pounds: float) -> None:
    """A firmness printed in both units is the same reading."""
    assert parse_firmness(newtons).middle / NEWTONS_PER_LBF == pytest.approx(pounds, abs=PRINTED)
    assert parse_firmness(f"{pounds} lbf").middle == pytest.approx(parse_firmness(newtons).middle, abs=0.25)


@pytest.mark.parametrize(
    ("pounds", "low", "high"),
    [
        # Conversion of 1 lbf to 4.448 N, as the trade's tables print it
        ("2-3 lbf", 8.9, 13.3),
        ("14 lbf", 62.3, 62.3),
        # Ma et al., J. Amer. Pomological Society 54(3) (2000): Cascade at 55.1 to 63.0 N
        ("12.4-14.2 lbf", 55.2, 63.2),
    ],
)
def test_pounds_force_convert_as_printed(pounds: str, low: float, high: float) -> None:
    """A range of firmness keeps both its ends."""
    read = parse_firmness(pounds)
    assert (read.low, read.high) == pytest.approx((low, high), abs=PRINTED)


@pytest.mark.parametrize(
    ("printed", "low_c", "high_c"),
    [
        # UC ANR on preconditioning stone fruit: the harmful band
        ("36-50 F", 2.2, 10.0),
        # USDA Agriculture Handbook 66: apples and grapes
        ("31-32 F", -0.6, 0.0),
        # Penn State Extension (2017): room for ripening pears
        ("65-75 F", 18.3, 23.9),
    ],
)
def test_fahrenheit_converts_as_printed(printed: str, low_c: float, high_c: float) -> None:
    """A range of temperatures keeps both its ends."""
    read = parse_temperature(printed)
    assert (read.low, read.high) == pytest.approx((low_c, high_c), abs=PRINTED)


@pytest.mark.parametrize(
    ("printed", "expected_f"),
    [
        # UC Davis: mature-green tomatoes 12.5 C; pomegranates 7.2 C
        ("12.5 C", 54.5),
        ("7.2 C", 45.0),
    ],
)
def test_celsius_converts_as_printed(printed: str, expected_f: float) -> None:
    """A temperature in °C reads the same in °F."""
    assert fahrenheit(parse_temperature(printed).middle) == pytest.approx(expected_f, abs=PRINTED)


# From full bloom to pick


BLOOMS = [
    # MSU Extension predictions for southwest Michigan, 2014
    ("apple", "2014-05-12", 122, date(2014, 9, 11)),
    ("apple", "2014-05-13", 141, date(2014, 10, 1)),
    ("apple", "2014-05-13", 147, date(2014, 10, 7)),
    # The same for Peach Ridge, 2014
    ("apple", "2014-05-21", 121, date(2014, 9, 19)),
    ("apple", "2014-05-22", 133, date(2014, 10, 2)),
    ("apple", "2014-05-23", 140, date(2014, 10, 10)),
    # The same for Deerfield and Romeo, 2014
    ("apple", "2014-05-12", 123, date(2014, 9, 12)),
    ("apple", "2014-05-14", 139, date(2014, 9, 30)),
    ("apple", "2014-05-16", 144, date(2014, 10, 7)),
    ("apple", "2014-05-15", 122, date(2014, 9, 14)),
    ("apple", "2014-05-17", 137, date(2014, 10, 1)),
    ("apple", "2014-05-17", 143, date(2014, 10, 7)),
    # The same for southwest Michigan, 2006
    ("apple", "2006-04-29", 128, date(2006, 9, 4)),
    ("apple", "2006-05-01", 142, date(2006, 9, 20)),
    ("apple", "2006-05-03", 149, date(2006, 9, 29)),
    # Peck, Virginia Tech (2012, 2013): Piney River, Winchester and Batesville
    ("apple", "2013-04-20", 147, date(2013, 9, 14)),
    ("apple", "2012-03-29", 151, date(2012, 8, 27)),
    ("apple", "2012-03-29", 149, date(2012, 8, 25)),
    # UMass Healthy Fruit (2000): Belchertown
    ("apple", "2000-05-08", 137, date(2000, 9, 22)),
    # Tree Top report of 17 March 2015, with Tvergyak (1985): Bartlett 110 to 133 days
    ("european-pear", "2015-03-17", 110, date(2015, 7, 5)),
    ("european-pear", "2015-03-17", 133, date(2015, 7, 28)),
    # Tvergyak (1985): Anjou 120 to 150 days
    ("european-pear", "2027-04-20", 120, date(2027, 8, 18)),
    ("european-pear", "2027-04-20", 150, date(2027, 9, 17)),
    # NC State, Southeast Regional Caneberry Production Guide, Table 12-1: half bloom to peak fruit
    ("blackberry", "2014-05-02", 55, date(2014, 6, 26)),
    ("blackberry", "2014-05-08", 59, date(2014, 7, 6)),
    ("blackberry", "2014-04-29", 49, date(2014, 6, 17)),
    ("blackberry", "2014-05-07", 55, date(2014, 7, 1)),
    ("blackberry", "2014-05-06", 54, date(2014, 6, 29)),
]


@pytest.fixture(scope="module")
def orchard_of_blooms(tmp_path_factory: pytest.TempPathFactory) -> Holding:
    """Return a household with a tree and a noted bloom for each line of the table."""
    orchard = Household(tmp_path_factory.mktemp("blooms"))
    for number, (fruit, bloom, days, _) in enumerate(BLOOMS):
        orchard.tree(f"t{number}", f"fruit: {fruit}", "cultivar: unknown", f"days from bloom: {days} days")
        orchard.record(bloom, f"t{number}", "full bloom")
    return orchard.read()


@pytest.mark.parametrize("number", range(len(BLOOMS)), ids=lambda n: f"{BLOOMS[n][1]} and {BLOOMS[n][2]} days")
def test_a_seen_bloom_and_an_interval_give_the_published_day(orchard_of_blooms: Holding, number: int) -> None:
    """A noted full bloom and the tree's days from bloom date the pick to the day."""
    expected = BLOOMS[number][3]
    alone = replace(orchard_of_blooms, trees=(orchard_of_blooms.tree(f"t{number}"),))
    year = WorkingYear(year=expected.year)
    pick = only_pick(SeasonModel(alone, year, year.last).season())
    assert pick.likely == expected
    assert pick.basis is Basis.STATED_INTERVAL
    assert expected in Span(first=pick.earliest, last=pick.latest)


@pytest.mark.parametrize(
    ("cultivar", "bloom", "pick"),
    [
        # NC State, Southeast Regional Caneberry Production Guide, Table 12-1: 55, 59, 49, 55 and 54 days
        ("osage", "May 2", "Jun 26"),
        ("apache", "May 8", "Jul 6"),
        ("natchez", "Apr 29", "Jun 17"),
        ("navaho", "May 7", "Jul 1"),
        ("ouachita", "May 6", "Jun 29"),
    ],
)
def test_the_shelf_dates_blackberries_as_the_table_adds_up(
    shelf: Holding, cultivar: str, bloom: str, pick: str
) -> None:
    """The bloom and the peak of fruit printed for Clarksville stand on the shelf."""
    windows = {window.event: window.stretch for window in shelf.cultivars[cultivar].own.windows}
    assert windows == {Event.FULL_BLOOM: parse_stretch(bloom), Event.PICK: parse_stretch(pick)}


# Beside another cultivar, and with the crop


@pytest.mark.parametrize(
    ("cultivar", "expected"),
    [
        # UNH Cooperative Extension: Bartlett 5 September; USDA varieties (2013): Blake's Pride 14 days later
        ("blakes-pride", date(2027, 9, 19)),
        # Bell, van der Zwet & Miller (2004): Shenandoah 28 days later
        ("shenandoah-pear", date(2027, 10, 3)),
    ],
)
def test_an_offset_counts_from_the_pick_of_its_base(household: Household, cultivar: str, expected: date) -> None:
    """Where Bartlett is picked on 5 September, a cultivar of a printed offset follows by as many days, or nearly."""
    household.note("cultivars", "bartlett", "windows: [{pick: Sep 5, place: here}]")
    household.tree("t", f"cultivar: {cultivar}")
    assert abs((only_pick(household.season(2027)).likely - expected).days) <= 1


@pytest.mark.parametrize(
    ("crop", "expected"),
    [
        # MSU Extension: a light crop 3 to 4 days sooner, a heavy crop 7 days later than predicted
        ("light crop", {date(2027, 9, 16), date(2027, 9, 17)}),
        ("heavy crop", {date(2027, 9, 27)}),
    ],
)
def test_the_crop_moves_the_pick_as_published(household: Household, crop: str, expected: set[date]) -> None:
    """An apple expected on 20 September comes sooner with few fruits and later with many."""
    household.note("cultivars", "yard-apple", "fruit: apple", "windows: [{pick: Sep 20, place: here}]")
    household.tree("t", "cultivar: yard-apple")
    household.record("2027", "t", crop)
    assert only_pick(household.season(2027)).likely in expected


@pytest.mark.parametrize(
    ("ground", "cultivar", "published"),
    [
        # Hood River News: lower valley average of Bartlett 16 August and of d'Anjou 5 September
        ("zone: 7b\nlatitude: 45.7 N\nelevation: 500 ft", "bartlett", date(2027, 8, 16)),
        ("zone: 7b\nlatitude: 45.7 N\nelevation: 500 ft", "anjou", date(2027, 9, 5)),
        # UNH Cooperative Extension: Bartlett 5 September, Flemish Beauty 25 September
        ("zone: 5b", "bartlett", date(2027, 9, 5)),
        ("zone: 5b", "flemish-beauty", date(2027, 9, 25)),
        # MSU Extension: normal peaks at Grand Rapids
        ("zone: 6a\nlatitude: 43.0 N\nelevation: 700 ft", "mcintosh", date(2027, 9, 15)),
        ("zone: 6a\nlatitude: 43.0 N\nelevation: 700 ft", "golden-delicious", date(2027, 10, 2)),
        # Virginia Cooperative Extension, relayed: Gala 20 August west of the Blue Ridge
        ("zone: 6b\nlatitude: 37.2 N\nelevation: 2,100 ft", "gala", date(2027, 8, 20)),
        # MSU Extension (2016): Redhaven 3 August in Berrien County
        ("zone: 6b\nlatitude: 42.1 N\nelevation: 700 ft", "redhaven", date(2027, 8, 3)),
        # LSU AgCenter (2013): Owari in the second week of November
        ("zone: 9a\nlatitude: 30.5 N\nelevation: 0 ft", "owari", date(2027, 11, 11)),
    ],
)
def test_a_published_date_lies_in_the_window_on_its_own_ground(
    household: Household, ground: str, cultivar: str, published: date
) -> None:
    """Carried to the ground it was printed for, a date is found again."""
    household.place.append(ground)
    household.tree("t", f"cultivar: {cultivar}")
    pick = only_pick(household.season(2027))
    assert published in Span(first=pick.earliest, last=pick.latest)


# From the pick to the table


@pytest.mark.parametrize(
    ("cultivar", "store", "picked", "conditioned", "ready"),
    [
        # Sugar & Einhorn, Acta Hort. 945 (2012), for the cold; Penn State Extension (2017) for the counter
        ("comice", COLD_STORE, "2027-09-20", date(2027, 10, 20), date(2027, 10, 27)),
        ("anjou", COLD_STORE, "2027-09-05", date(2027, 11, 4), date(2027, 11, 13)),
        ("bosc", COLD_STORE, "2027-09-15", date(2027, 9, 30), date(2027, 10, 7)),
        ("bosc", COOL_STORE, "2027-09-15", date(2027, 9, 20), date(2027, 9, 27)),
    ],
)
def test_a_picked_pear_is_conditioned_and_ready_on_the_published_days(
    household: Household, *, cultivar: str, store: str, picked: str, conditioned: date, ready: date
) -> None:
    """From a noted first pick the shelf's cold and counter days lead to the printed dates."""
    household.place.append(store)
    household.tree("t", f"cultivar: {cultivar}")
    household.record(picked, "t", "first pick")
    days = only_lot(household.season(2027)).days
    assert days[Stage.PICK].likely == date.fromisoformat(picked)
    assert days[Stage.CONDITIONED].likely == days[Stage.TAKE_OUT].likely == conditioned
    assert days[Stage.READY].likely == ready


@pytest.mark.parametrize(
    ("cold", "counter", "picked", "conditioned", "ready"),
    [
        # The same figures as a household would copy them into a note of its own
        ("30 days", "7 days", "2027-09-20", date(2027, 10, 20), date(2027, 10, 27)),
        ("60 days", "9 days", "2027-09-05", date(2027, 11, 4), date(2027, 11, 13)),
        ("15 days", "7 days", "2027-09-15", date(2027, 9, 30), date(2027, 10, 7)),
        # Sugar & Einhorn (2012), straight line: Bosc picked 7 days on, 11.25 days, and 14 days on, 7.5 (rounded up)
        ("11.25 days", "7 days", "2027-09-22", date(2027, 10, 4), date(2027, 10, 11)),
        ("7.5 days", "7 days", "2027-09-29", date(2027, 10, 7), date(2027, 10, 14)),
    ],
)
def test_a_households_own_figures_lead_to_the_same_days(
    household: Household, *, cold: str, counter: str, picked: str, conditioned: date, ready: date
) -> None:
    """A household's own cultivar file gives the dates that its figures add up to."""
    lines = [f"conditioning: [{{value: {cold}, at: 31 F}}]", f"counter: {{value: {counter}, at: 68 F}}"]
    household.note("cultivars", "gate-pear", "fruit: european-pear", *lines)
    household.tree("t", "cultivar: gate-pear")
    household.record(picked, "t", "first pick")
    days = only_lot(household.season(2027)).days
    assert days[Stage.CONDITIONED].likely == conditioned
    assert days[Stage.READY].likely == ready


@pytest.mark.parametrize(
    ("cultivar", "room_f", "fails"),
    [
        # Colorado State PlantTalk 1220 and MSU Extension 01600657: from 85 F; Kieffer from 70 F
        ("bartlett", 86, True),
        ("bartlett", 72, False),
        ("kieffer", 72, True),
        ("kieffer", 65, False),
    ],
)
def test_a_room_too_warm_for_a_pear_is_known(shelf: Holding, cultivar: str, room_f: float, *, fails: bool) -> None:
    """Most pears bear a summer kitchen and Kieffer doesn't."""
    too_warm = shelf.cultivars[cultivar].traits.too_warm
    assert too_warm is not None
    assert (celsius(room_f) >= too_warm.value.low) is fails


# MSU Extension 01600773: 17.5 lb of pears for a load of 7 quarts, 2.5 lb a quart
def test_seven_quarts_of_pears_take_seventeen_and_a_half_pounds(shelf: Holding) -> None:
    """The page of pears in jars says how much fruit a load takes."""
    jars = next(one for one in shelf.preserves if one.key == "pear-halves")
    assert "17 1/2 lb to 7 quarts" in jars.text
    quarts = [fact.text for fact in shelf.fruits["european-pear"].traits.facts if fact.what == "Quarts from a bushel"]
    assert quarts == ["16-25 qt, about 2.5 lb a quart"]


# Sprays


SPRAYS = [
    # NPIC, "Preharvest interval" (2023): the days run from the last spray; its day is day 0
    ("peach", "Jun 20", [("2026-06-28", "7 days")], date(2026, 7, 5), ""),
    # The same over New Year, where summer lies there
    ("peach", "Jan 1", [("2026-12-28", "14 days")], date(2027, 1, 11), "south"),
    # The same over the end of February, in a leap year and in a common one
    ("mandarin", "Feb 20", [("2028-02-27", "3 days")], date(2028, 3, 1), ""),
    ("mandarin", "Feb 20", [("2026-02-27", "3 days")], date(2026, 3, 2), ""),
    # Nita, Virginia Tech (2019): 66 days on grape, so 27 June for 1 September
    ("grape", "Aug 1", [("2026-06-27", "66 days")], date(2026, 9, 1), ""),
    # NPIC (2023): of several sprays the later day counts
    ("peach", "Aug 10", [("2026-08-20", "7 days"), ("2026-08-25", "1 day")], date(2026, 8, 27), ""),
    # NPIC (2023): no days at all allow the same day
    ("peach", "Aug 10", [("2026-08-20", "0 days")], date(2026, 8, 20), ""),
]


@pytest.mark.parametrize(("fruit", "usual", "sprays", "free", "half"), SPRAYS)
def test_no_pick_falls_before_the_label_allows(
    household: Household, *, fruit: str, usual: str, sprays: list[tuple[str, str]], free: date, half: str
) -> None:
    """A spray pushes the whole window to the first day that its label leaves open, and says so."""
    if half:
        household.place.append(f"hemisphere: {half}")
    household.note("cultivars", "yard-kind", f"fruit: {fruit}", f"windows: [{{pick: {usual}, place: here}}]")
    household.tree("t", "cultivar: yard-kind")
    for day, days in sprays:
        household.record(day, "t", "spray", days)
    pick = only_pick(household.season(free.year, max(date.fromisoformat(day) for day, _ in sprays)))
    assert pick.earliest == pick.not_before == free
    assert pick.likely >= free
    assert ("label" in clash_words(IN_ENGLISH, pick)) is (free > max(date.fromisoformat(day) for day, _ in sprays))
    assert only_pick(household.season(free.year)).clash is None


def test_a_spray_over_before_the_window_moves_nothing(household: Household) -> None:
    """An interval that has run before the first day of the window leaves the dates alone."""
    household.note("cultivars", "yard-kind", "fruit: peach", "windows: [{pick: Aug 10, place: here}]")
    household.tree("t", "cultivar: yard-kind")
    unsprayed = only_pick(household.season(2026))
    household.record("2026-06-01", "t", "spray", "7 days")
    sprayed = only_pick(household.season(2026))
    assert (sprayed.earliest, sprayed.likely, sprayed.latest) == (
        unsprayed.earliest,
        unsprayed.likely,
        unsprayed.latest,
    )
    assert not sprayed.clash


# NPIC (2023): 28 December and 21 days is 18 January, whichever season the fruit belongs to
def test_a_december_spray_still_counts_in_january(household: Household) -> None:
    """Winter fruit sprayed before New Year isn't picked before the label allows after it."""
    household.note("cultivars", "yard-kind", "fruit: mandarin", "windows: [{pick: Jan 5, place: here}]")
    household.tree("t", "cultivar: yard-kind")
    household.record("2026-12-28", "t", "spray", "21 days")
    assert only_pick(household.season(2027)).earliest >= date(2027, 1, 18)


# NPIC (2023): the days stand on the label of the product in hand, and none is ever assumed
@pytest.mark.parametrize("amount", ["", "soon", "7"])
def test_a_spray_without_its_days_stops_the_build(household: Household, amount: str) -> None:
    """A spray line that doesn't say its days to harvest is a fault and never zero days."""
    household.tree("bartlett")
    household.record("2026-07-01", "bartlett", "spray", amount)
    with pytest.raises(FaultyNotes, match=r"label"):
        household.read()


# What every grower knows


def shown(shelf: Holding, key: str, what: str) -> tuple[str, Mark]:
    facts = [fact for fact in shelf.cultivars[key].traits.facts if fact.what == what]
    assert len(facts) == 1
    return facts[0].text, facts[0].cited.mark


# Common practice; Penn State Extension (2017) prints the same room
@pytest.mark.parametrize("cultivar", ["bartlett", "bosc", "comice", "anjou"])
def test_pears_are_picked_firm_and_ripened_indoors(shelf: Holding, cultivar: str) -> None:
    """A pear is several times as hard at picking as when ready, and ripens in a room of 65 to 75 °F."""
    traits = shelf.cultivars[cultivar].traits
    assert traits.ripens_off_the_tree is not None
    assert traits.ripens_off_the_tree.text == "yes"
    assert traits.firmness_at_pick is not None
    assert traits.firmness_when_ready is not None
    assert traits.firmness_at_pick.value.middle > 2.5 * traits.firmness_when_ready.value.middle
    assert traits.counter is not None
    assert traits.counter.at_c is not None
    assert fahrenheit(traits.counter.at_c.low) == pytest.approx(65)
    assert fahrenheit(traits.counter.at_c.high) == pytest.approx(75)


# Common practice: about 3 days; Penn State Extension (2017) 5, OSU Extension (relayed) 4-5
def test_a_bartlett_takes_some_days_on_the_counter(shelf: Holding) -> None:
    """The published days stand as the figure, and what households find stands beside them."""
    counter = shelf.cultivars["bartlett"].traits.counter
    assert counter is not None
    assert (counter.value.low, counter.value.high) == (5, 5)
    assert shown(shelf, "bartlett", "On the counter, by another page")[0] == "4-5 days"
    assert shown(shelf, "bartlett", "On the counter, as some households find") == ("about 3 days", Mark.PRACTICE)


# Common practice: 4 to 6 weeks; USDA, relayed: 2-3 weeks at 60-65 F
def test_a_kieffer_takes_weeks_on_the_counter(shelf: Holding) -> None:
    """The slowest pear is told of in weeks, in the cool and on a warm counter."""
    counter = shelf.cultivars["kieffer"].traits.counter
    assert counter is not None
    assert (counter.value.low, counter.value.high) == (14, 21)
    assert shown(shelf, "kieffer", "On a warm counter, as households find") == ("4-6 weeks", Mark.PRACTICE)


# Common practice: pears of zone 8b are picked from late July to early August
def test_a_pear_of_zone_8b_is_picked_in_high_summer(household: Household) -> None:
    """The window of a Bartlett in zone 8b, of which nothing else is known, meets late July to early August."""
    household.place.append("zone: 8b")
    household.tree("bartlett")
    pick = only_pick(household.season(2027))
    usual = Span(first=date(2027, 7, 21), last=date(2027, 8, 10))
    assert usual.meets(Span(first=pick.earliest, last=pick.latest))


# Common practice; Penn State Extension (2017) and Colorado State PlantTalk 1220 print it
def test_the_neck_tells_that_a_pear_is_ready(shelf: Holding) -> None:
    """Every pear's page and the daily test in the kitchen ask for the flesh beside the stem."""
    touch = [sign.text for sign in shelf.fruits["european-pear"].traits.signs if sign.sense == "touch"]
    assert any("below the stem gives to a gentle thumb" in text for text in touch)
    test = next(task for task in shelf.tasks if task.key == "neck-test")
    assert any("below the stem gives to a gentle thumb" in figure.text for figure in test.look_for)


# Common practice; the causes are listed by Penn State Extension and eXtension (Peck, 2012)
@pytest.mark.parametrize("fruit", ["european-pear", "asian-pear", "apple"])
def test_a_drop_out_of_its_time_is_a_warning(shelf: Holding, fruit: str) -> None:
    """Fruit falls in three known periods; at any other time look for disease and drought."""
    traits = shelf.fruits[fruit].traits
    assert [drop.when for drop in traits.drops] == [
        "0-3 weeks after petal fall",
        "4-9 weeks after full bloom",
        "0-4 weeks before pick",
        "at any other time",
    ]
    warning = traits.drops[-1]
    assert "disease" in warning.text
    assert "drought" in warning.text
    assert warning.cited.mark is Mark.PRACTICE


# The feed


# Sugar & Einhorn (2012) with Penn State Extension (2017): Anjou picked 5 September, out on 4, ready on 13 November
def test_the_published_days_reach_the_feed(household: Household) -> None:
    """From a noted pick to the reminder in the calendar the printed dates come through unchanged."""
    household.place.append(COLD_STORE)
    household.tree("1-06", "cultivar: anjou")
    household.record("2027-09-05", "1-06", "first pick")
    season = household.season(2027)
    plan = make_plan(season.holding, 2027, date(2027, 9, 6))
    feed = make_feeds(plan, Ledger(), plan.changed).files["feeds/reminders.ics"].decode()
    events = {
        part.split("SUMMARY:")[1].split("\r\n")[0]: part for part in feed.split("BEGIN:VEVENT") if "SUMMARY" in part
    }
    assert "DTSTART;VALUE=DATE:20271104" in events["Take out 1-06 Anjou"]
    (ready,) = (part for title, part in events.items() if title.startswith("Ready 1-06 Anjou"))
    assert "DTSTART;VALUE=DATE:20271113" in ready
    assert "DTSTART;VALUE=DATE:20280303" in events["Last out 1-06 Anjou"]
