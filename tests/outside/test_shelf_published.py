"""The shelf beside the published figures it was filled from: a spot check in numbers, each below its source."""

from __future__ import annotations

from pathlib import Path

import pytest

from firmripe.days import DayCount, MonthDay, Stretch
from firmripe.holding.figures import Figure, Mark
from firmripe.holding.fruit import Chilling, Cultivar, Event, Flesh, FlowerGroup, Fruit, Gives, Ripens, Sets, Traits
from firmripe.holding.holding import Holding
from firmripe.holding.preserve import Preserve, PutUp
from firmripe.reading.names import Names
from firmripe.reading.reader import read_holding
from firmripe.units import NEWTONS_PER_LBF, Interval, celsius

SHELF = Path(__file__).parents[2] / "content" / "reference"
WEEK, MONTH = 7, 30


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Holding:
    """Return the shelf below the smallest household there is: one tree."""
    household = tmp_path_factory.mktemp("one-tree")
    (household / "trees").mkdir()
    (household / "trees" / "bartlett.md").write_text("", encoding="utf-8")
    return read_holding(household, SHELF)


def entry(shelf: Holding, key: str) -> Cultivar | Fruit:
    return shelf.cultivars[key] if key in shelf.cultivars else shelf.fruits[key]


def own(shelf: Holding, key: str) -> Traits:
    """Return what a fruit's or a cultivar's own note says, without what it leans on."""
    found = entry(shelf, key)
    return found.own if isinstance(found, Cultivar) else found.traits


def preserve(shelf: Holding, key: str) -> Preserve:
    return next(one for one in shelf.preserves if one.key == key)


def days(low: float, high: float | None = None) -> DayCount:
    return DayCount(low=low, high=low if high is None else high)


def day(month: int, number: int, last_month: int | None = None, last: int | None = None) -> Stretch:
    first = MonthDay(month, number)
    return Stretch(first=first, last=first if last is None else MonthDay(last_month or month, last))


def at_f(figure: Figure[DayCount], fahrenheit: float) -> bool:
    return figure.at_c is not None and figure.at_c.middle == pytest.approx(celsius(fahrenheit), abs=0.06)


@pytest.mark.parametrize(
    ("cultivar", "fahrenheit", "expected"),
    [
        # Sugar & Einhorn, Acta Hort. 945 (2012), paper 40: fruit at first maturity, at -0.5 C (31 F), 5 C and 10 C
        ("bosc", 31, 15),
        ("bosc", 41, 10),
        ("bosc", 50, 5),
        ("comice", 31, 30),
        ("comice", 41, 18),
        ("comice", 50, 12),
        ("anjou", 31, 60),
        ("anjou", 41, 30),
        ("anjou", 50, 18),
        # Crouch, Holcroft & Huysamer, "Mealiness of Forelle pears" (2005): 12 weeks at -0.5 C
        ("forelle", 31, 12 * WEEK),
        # J. Amer. Pomological Society, Gem pear paper (2016): 30 days
        ("gem-pear", 31, 30),
    ],
)
def test_cold_days_are_the_published_ones(shelf: Holding, cultivar: str, fahrenheit: float, expected: int) -> None:
    """A winter pear waits in the cold as long as was measured at that temperature."""
    found = [figure for figure in own(shelf, cultivar).conditioning if at_f(figure, fahrenheit)]
    assert [figure.value for figure in found] == [days(expected)]
    assert found[0].cited.mark is Mark.READ


@pytest.mark.parametrize(
    ("key", "expected"),
    [
        # Penn State Extension, "Ripening European pears from the home orchard" (2017): a day or two for Bartlett
        ("bartlett", days(1, 2)),
        # The same: 2 to 6 weeks in the refrigerator for winter pears
        ("european-pear", days(2 * WEEK, 6 * WEEK)),
        # OSU Extension, "Pears can be ripened to perfection": 40 to 60 days for Winter Nelis picked early
        ("winter-nelis", days(40, 60)),
        # Ma et al., J. Amer. Pomological Society 54(3):138-147 (2000): a month at 30 or 36 F
        ("cascade-pear", days(30)),
        # UC Davis Postharvest, Produce Facts, "Asian pear": no cold needed
        ("asian-pear", days(0)),
        # OSU Extension, "Pears can be ripened to perfection": Seckel as a summer pear, none
        ("seckel", days(0)),
        # Crisosto, Optimum Procedures for Ripening Kiwifruit: after more than 5 weeks it ripens by itself
        ("kiwifruit", days(5 * WEEK)),
    ],
)
def test_home_cold_days_are_the_published_ones(shelf: Holding, key: str, expected: DayCount) -> None:
    """Home advice for the cold stands on the shelf as it was printed."""
    assert [figure.value for figure in own(shelf, key).conditioning] == [expected]


@pytest.mark.parametrize(
    ("key", "expected"),
    [
        # Penn State Extension (2017): days at room temperature
        ("bartlett", days(5)),
        ("bosc", days(7)),
        ("comice", days(7)),
        ("anjou", days(9)),
        # USDA on the Kieffer pear, relayed by a garden article: 2 to 3 weeks at 60-65 F
        ("kieffer", days(2 * WEEK, 3 * WEEK)),
        # Archbold, Koslanund & Pomper, HortTechnology 13:439-441 (2003): 2 to 4 days
        ("pawpaw", days(2, 4)),
        # Lipton & Uota, USDA-ARS 51-22 (1968): mixed tomatoes, about 10 days at 68 F
        ("tomato", days(10)),
        # Master Gardeners of British Columbia, "Quince": 6 to 8 weeks to mellow
        ("quince", days(6 * WEEK, 8 * WEEK)),
        # UC ANR on preconditioning stone fruit (Crisosto): about 2 days at 68 F
        ("nectarine", days(2)),
    ],
)
def test_counter_days_are_the_published_ones(shelf: Holding, key: str, expected: DayCount) -> None:
    """Days at room temperature stand as printed."""
    counter = own(shelf, key).counter
    assert counter is not None
    assert counter.value == expected


@pytest.mark.parametrize(
    ("key", "expected"),
    [
        # Tvergyak, Pear maturity indexes used to time harvest date, WSU Postharvest Information Network, 1985
        ("bartlett", days(110, 133)),
        ("bosc", days(130, 145)),
        ("anjou", days(120, 150)),
        ("asian-pear", days(112, 150)),
        # Horticulture New Zealand, nashi cultivars
        ("twentieth-century", days(140, 155)),
        ("kosui", days(125, 135)),
        # UC Davis Produce Facts, Golden Delicious apple (repost)
        ("golden-delicious", days(135, 150)),
        # Plotto, Azarenko, Mattheis & McDaniel, Fruit Varieties Journal 49(3):133-142 (1995)
        ("gala", days(122)),
        ("braeburn", days(168, 175)),
        # MSU Extension predictions 2006 and 2014, worked out from bloom and harvest days
        ("mcintosh", days(121, 128)),
        ("jonathan", days(133, 142)),
        # Peck, Virginia Tech (2013), after Beaudry et al. 1993
        ("red-delicious", days(143)),
        # J. Hort. Res. (2017) and related Isfahan papers
        ("viduja", days(185)),
        ("isfahan-quince", days(193)),
        ("torsh", days(200)),
        # Andrews & Sherman, Proc. Fla. State Hort. Soc. 92 (1979), worked out from bloom and harvest
        ("hood-pear", days(120)),
        # Marini et al., J. Amer. Pomological Society 72(4):231-241 (2018)
        ("redhaven", days(92, 126)),
        # Marini, Rutgers, on Blake (1930): Elberta at Vineland 1910-1919
        ("elberta", days(123, 144)),
        # NC State, Southeast Regional Caneberry Production Guide, Table 12-1, and the Rubus note of July 2014
        ("osage", days(44, 55)),
        ("apache", days(59)),
        ("natchez", days(49, 51)),
        ("navaho", days(51, 55)),
        ("ouachita", days(51, 54)),
        ("von", days(58)),
        # "When do cherries fruit", general science page: 60 to 70 days
        ("sweet-cherry", days(60, 70)),
        # NSW Department of Primary Industries, Agfact H4.1.14, nashi varieties
        ("kikusui", days(135, 145)),
        ("niitaka", days(155, 170)),
        # "Prolong the tomato harvest", Louisiana newspaper (2012): blossom to mature-green
        ("tomato", days(40, 50)),
        # "Know your commodity: Pomegranates", produce trade guide: 6 to 7 months
        ("pomegranate", days(6 * MONTH, 7 * MONTH)),
    ],
)
def test_days_from_bloom_are_the_published_ones(shelf: Holding, key: str, expected: DayCount) -> None:
    """The interval from full bloom to pick stands as printed or as worked out from printed days."""
    assert [figure.value for figure in own(shelf, key).days_from_bloom] == [expected]


def lbf(low: float, high: float | None = None) -> Interval:
    return Interval(low=low * NEWTONS_PER_LBF, high=(low if high is None else high) * NEWTONS_PER_LBF)


@pytest.mark.parametrize(
    ("key", "expected"),
    [
        # UC Davis Produce Facts, "Pear, Anjou, Bosc, Comice" (1996): from best to most
        ("anjou", lbf(13, 15)),
        ("bosc", lbf(13, 16)),
        ("comice", lbf(11, 13)),
        # WSU Postharvest Information Network (1988 seminar), 19.5; HortTechnology 6(1):24-27 (1996), 18
        ("bartlett", lbf(18, 19.5)),
        # Ma et al. (2000): 55.1 to 63.0 N is 12.4 to 14.2 lbf
        ("cascade-pear", lbf(12.4, 14.2)),
        # Garriz et al., Acta Hort. 800:1019-1026 (2008)
        ("abate-fetel", lbf(12, 13.9)),
        # MSU Extension, "Checking apple maturity", Table 1: short to long storage
        ("mcintosh", lbf(14, 16)),
        ("honeycrisp", lbf(15, 17)),
        ("rome", lbf(15, 18)),
        ("gala", lbf(16, 18)),
        ("winesap", lbf(17, 19)),
        # Ward, Rutgers NJAES, New Jersey peaches: ready to pick
        ("peach", lbf(10, 16)),
        # UC Davis Produce Facts, kiwifruit: at least 14 lbf
        ("kiwifruit", lbf(14)),
        # UC Davis Produce Facts, persimmon (1995): Fuyu type above 5 lbf
        ("persimmon-non-astringent", lbf(5)),
    ],
)
def test_firmness_at_pick_is_the_published_one(shelf: Holding, key: str, expected: Interval) -> None:
    """The firmness to pick at stands as printed."""
    figure = own(shelf, key).firmness_at_pick
    assert figure is not None
    assert (figure.value.low, figure.value.high) == pytest.approx((expected.low, expected.high))


@pytest.mark.parametrize(
    ("key", "expected"),
    [
        # UC Davis Produce Facts, "Pear, Bartlett"
        ("bartlett", lbf(2, 4)),
        # UC Davis Produce Facts, "Asian pear"
        ("asian-pear", lbf(7, 10)),
        # UC Davis Produce Facts, kiwifruit; plum; nectarine and peach; apricot
        ("kiwifruit", lbf(2, 3)),
        ("japanese-plum", lbf(2, 3)),
        ("peach", lbf(2, 3)),
        ("apricot", lbf(2, 3)),
    ],
)
def test_firmness_when_ready_is_the_published_one(shelf: Holding, key: str, expected: Interval) -> None:
    """The firmness to eat at stands as printed."""
    figure = own(shelf, key).firmness_when_ready
    assert figure is not None
    assert (figure.value.low, figure.value.high) == pytest.approx((expected.low, expected.high))


@pytest.mark.parametrize(
    ("key", "expected"),
    [
        # USDA Agriculture Information Bulletin 410 (1977): do not exceed
        ("bartlett", days(3 * MONTH)),
        ("anjou", days(6 * MONTH)),
        # USDA report on humidity and intermittent warming: core breakdown after 4 months at 32 F
        ("moonglow", days(4 * MONTH)),
        ("magness", days(4 * MONTH)),
        # USDA variety developments of 2013; Bell et al. (2004); Gem paper (2016); Ma et al. (2000)
        ("blakes-pride", days(3 * MONTH, 4 * MONTH)),
        ("shenandoah-pear", days(4 * MONTH)),
        ("gem-pear", days(5 * MONTH)),
        ("cascade-pear", days(5 * MONTH)),
        # Iowa State University Extension, home storage of pears: 1 to 3 months
        ("european-pear", days(1 * MONTH, 3 * MONTH)),
        ("asian-pear", days(1 * MONTH, 3 * MONTH)),
        # Iowa State University Extension, PM 1078, at 30-32 F
        ("lodi", days(1 * WEEK, 2 * WEEK)),
        ("wealthy", days(3 * WEEK, 10 * WEEK)),
        ("mcintosh", days(3 * MONTH, 4 * MONTH)),
        ("jonathan", days(3 * MONTH, 5 * MONTH)),
        ("chieftain", days(3 * MONTH, 6 * MONTH)),
        # Isfahan quince papers: 4 months best
        ("quince", days(4 * MONTH)),
        # OSU Extension column on kiwifruit (2011): 4 to 6 months at home
        ("kiwifruit", days(4 * MONTH, 6 * MONTH)),
        # UC Davis, feijoa (Kader): 4 to 5 weeks at 5 C
        ("feijoa", days(4 * WEEK, 5 * WEEK)),
        # University of Georgia, fig release (Omahen): 7 to 10 days
        ("fig", days(7, 10)),
        # UC Davis, bushberries: 2 to 5 days
        ("blackberry", days(2, 5)),
        ("raspberry", days(2, 5)),
        # Penn State Extension, blueberries: up to 14 days
        ("blueberry", days(14)),
        # Iowa State University, homegrown strawberries: 5 to 7 days
        ("strawberry", days(5, 7)),
        # UC Davis, pomegranate chilling injury (1984): 8 weeks at 5 C
        ("pomegranate", days(8 * WEEK)),
        # UC Davis, pawpaw (Archbold, Pomper): 4 weeks at most
        ("pawpaw", days(4 * WEEK)),
        # UC Davis, mandarin (Arpaia, Kader 1999): 2 to 6 weeks
        ("mandarin", days(2 * WEEK, 6 * WEEK)),
        # K-State: American grapes up to 8 weeks at home
        ("grape", days(8 * WEEK)),
        # Upham, K-State, "Stores apples", in the Rural Messenger: about so many days at 35 F
        ("paulared", days(90)),
        ("gala", days(120)),
        ("empire", days(150)),
        ("braeburn", days(180)),
        ("idared", days(200)),
        ("rome", days(220)),
        ("winesap", days(220)),
        ("fuji", days(240)),
        ("granny-smith", days(240)),
        # Western Australia, Storage of fresh fruit and vegetables, Table 1 (2016): sweet and sour cherries
        ("sweet-cherry", days(2 * WEEK, 4 * WEEK)),
        ("tart-cherry", days(3, 7)),
        # The same: currants, gooseberries, grapefruit, and lemons that are colored
        ("red-currant", days(1 * WEEK, 2 * WEEK)),
        ("black-currant", days(1 * WEEK, 2 * WEEK)),
        ("gooseberry", days(1 * WEEK, 4 * WEEK)),
        ("grapefruit", days(4 * WEEK, 10 * WEEK)),
        ("lemon", days(2 * WEEK, 3 * WEEK)),
        # Aomori Prefecture, apples of Aomori: Tsugaru, three months in a refrigerator
        ("tsugaru", days(3 * MONTH)),
    ],
)
def test_storage_limits_are_the_published_ones(shelf: Holding, key: str, expected: DayCount) -> None:
    """No fruit is kept longer in the cold than was printed."""
    keeps = own(shelf, key).keeps
    assert keeps is not None
    assert keeps.value == expected
    assert keeps.cited.mark is Mark.READ


@pytest.mark.parametrize(
    ("key", "expected"),
    [
        # UC Davis Produce Facts, "Tomato": below 10 C for longer than 2 weeks, at 5 C for longer than 6 to 8 days
        ("tomato", Chilling(low_c=None, high_c=10, after_d=14, below=True, unripe=True, more_than=True)),
        ("tomato", Chilling(low_c=None, high_c=5, after_d=6, below=False, unripe=True, more_than=True)),
        # UC Davis, pomegranate chilling injury (1984): below 5 C for more than 4 weeks
        ("pomegranate", Chilling(low_c=None, high_c=5, after_d=28, below=True, unripe=False, more_than=True)),
        # UC ANR on preconditioning stone fruit (Crisosto): 36 to 50 F before it is ripe
        ("nectarine", Chilling(low_c=celsius(36), high_c=10, after_d=0, below=False, unripe=True, more_than=False)),
    ],
)
def test_harmful_cold_is_the_published_one(shelf: Holding, key: str, expected: Chilling) -> None:
    """The cold that harms, and after how long, stands as printed."""
    assert expected in [figure.value for figure in own(shelf, key).chilling]


@pytest.mark.parametrize(
    ("key", "event", "place", "stretch"),
    [
        # Hood River News: long-term average of the lower valley, records from 1944
        ("bartlett", Event.PICK, "Hood River", day(8, 16)),
        ("anjou", Event.PICK, "Hood River", day(9, 5)),
        # Farm Progress and Perishable News (2024): the Delta, Ukiah, Kelseyville
        ("bartlett", Event.PICK, "Courtland", day(7, 4)),
        ("bartlett", Event.PICK, "Ukiah", day(8, 4, 8, 5)),
        ("bartlett", Event.PICK, "Kelseyville", day(8, 11, 8, 12)),
        ("seckel", Event.PICK, "Kelseyville", day(8, 28)),
        ("comice", Event.PICK, "Kelseyville", day(9, 5)),
        # UNH Cooperative Extension, tree fruit for New Hampshire home orchards
        ("bartlett", Event.PICK, "New Hampshire", day(9, 5)),
        ("clapps-favorite", Event.PICK, "New Hampshire", day(8, 25)),
        ("magness", Event.PICK, "New Hampshire", day(9, 15)),
        ("flemish-beauty", Event.PICK, "New Hampshire", day(9, 25)),
        ("bosc", Event.PICK, "New Hampshire", day(10, 1)),
        ("macoun", Event.PICK, "New Hampshire", day(10, 1)),
        # Hunter, Compact Fruit Tree (1999): third week of August
        ("harvest-queen", Event.PICK, "Harrow", day(8, 15, 8, 21)),
        # Ontario pear publication, relayed: average first harvest
        ("gifford", Event.PICK, "Ontario", day(8, 6)),
        # Kitsap Sun (1991): September around Bremerton
        ("bartlett", Event.PICK, "Bremerton", day(9, 1, 9, 30)),
        # LSU AgCenter dates, relayed: late September to October
        ("kieffer", Event.PICK, "Louisiana", day(9, 21, 10, 31)),
        # Tree Top crop report: Sacramento Bartlett about 17 March 2015
        ("bartlett", Event.FULL_BLOOM, "Courtland", day(3, 17)),
        # Capital Press (2014): average full bloom at Wenatchee
        ("red-delicious", Event.FULL_BLOOM, "Wenatchee", day(4, 27)),
        # MSU Extension (Grand Rapids 2020): normal peaks
        ("gala", Event.PICK, "Grand Rapids", day(9, 10)),
        ("mcintosh", Event.PICK, "Grand Rapids", day(9, 15)),
        ("honeycrisp", Event.PICK, "Grand Rapids", day(9, 18)),
        ("golden-delicious", Event.PICK, "Grand Rapids", day(10, 2)),
        ("red-delicious", Event.PICK, "Grand Rapids", day(10, 5)),
        ("fuji", Event.PICK, "Grand Rapids", day(10, 25)),
        # Virginia Cooperative Extension ripening dates, relayed
        ("lodi", Event.PICK, "Virginia west", day(7, 1)),
        ("winesap", Event.PICK, "Virginia west", day(10, 20)),
        # MSU Extension (2016): Redhaven in Berrien County, mean since 1995
        ("redhaven", Event.PICK, "southwest Michigan", day(8, 3)),
        # Rutgers (2012): 10-year means of August Prince
        ("august-prince", Event.PICK, "Southern New Jersey", day(8, 31, 9, 3)),
        # NC State caneberry guide, Table 12-1, Clarksville: half bloom
        ("osage", Event.FULL_BLOOM, "Clarksville", day(5, 2)),
        ("apache", Event.FULL_BLOOM, "Clarksville", day(5, 8)),
        # LSU AgCenter (Ferguson 2022): two weeks from about the Fourth of July
        ("celeste", Event.PICK, "Hammond", day(7, 4, 7, 18)),
        # LSU AgCenter (2013): Owari in the second week of November
        ("owari", Event.PICK, "Hammond", day(11, 8, 11, 14)),
        # Georgia muscadine production guide: early August to mid-October
        ("muscadine", Event.PICK, "Georgia", day(8, 1, 10, 20)),
        # OSU Extension column on PNW 507 (2018): fuzzy kiwifruit about 1 November
        ("hayward", Event.PICK, "Aurora", day(11, 1)),
        # Isfahan quince trial picks of 6, 14 and 21 October
        ("quince", Event.PICK, "Isfahan", day(10, 6, 10, 21)),
        # INTA, Argentina: harvest calendar of the Alto Valle for the summer of 2013, in FreshFruitPortal, 28 Dec 2012
        ("bartlett", Event.PICK, "Rio Negro", day(1, 4)),
        ("abate-fetel", Event.PICK, "Rio Negro", day(1, 29)),
        ("packhams-triumph", Event.PICK, "Rio Negro", day(2, 1)),
        ("bosc", Event.PICK, "Rio Negro", day(2, 12)),
        ("gala", Event.PICK, "Rio Negro", day(1, 17)),
        ("granny-smith", Event.PICK, "Rio Negro", day(3, 1)),
        ("fuji", Event.PICK, "Rio Negro", day(3, 11)),
        ("cripps-pink", Event.PICK, "Rio Negro", day(3, 28)),
        # HortWatch, Hawke's Bay: opening dates, Royal Gala 1993-1997, Braeburn and Fuji
        ("gala", Event.PICK, "Hawke's Bay", day(2, 15, 2, 23)),
        ("braeburn", Event.PICK, "Hawke's Bay", day(3, 15, 3, 24)),
        ("fuji", Event.PICK, "Hawke's Bay", day(3, 20, 4, 4)),
        # Balhannah Nurseries: ripening times in the Adelaide Hills
        ("bartlett", Event.PICK, "Adelaide", day(2, 1, 2, 20)),
        ("bosc", Event.PICK, "Adelaide", day(2, 21, 2, 29)),
        # Aomori Prefecture, apples of Aomori: Fuji early November, Tsugaru early to mid-September
        ("fuji", Event.PICK, "Aomori", day(11, 1, 11, 10)),
        ("tsugaru", Event.PICK, "Aomori", day(9, 1, 9, 20)),
        # National Fruit Collection, Brogdale, 2017: ten-year means of full flower
        ("victoria-plum", Event.FULL_BLOOM, "Faversham", day(4, 8)),
        # A nursery at Cesena: Redhaven in Emilia-Romagna; FreshPlaza (2018): Abate at Modena and Ferrara
        ("redhaven", Event.PICK, "Emilia", day(7, 15, 7, 17)),
        ("abate-fetel", Event.PICK, "Emilia", day(8, 23, 8, 27)),
        # Fruit Research Institute, Čačak
        ("cacanska-lepotica", Event.PICK, "Čačak", day(7, 21, 8, 10)),
        # NC State, HIL-302 (1998): Red Delicious at Raleigh and Asheville
        ("red-delicious", Event.PICK, "Raleigh", day(9, 1)),
        ("red-delicious", Event.FULL_BLOOM, "Asheville", day(4, 20)),
        # Kelowna blossom dates
        ("apricot", Event.FULL_BLOOM, "Kelowna", day(4, 10, 4, 25)),
        ("peach", Event.FULL_BLOOM, "Kelowna", day(4, 20, 5, 2)),
        ("european-pear", Event.FULL_BLOOM, "Kelowna", day(4, 25, 5, 10)),
        ("apple", Event.FULL_BLOOM, "Kelowna", day(5, 5, 5, 20)),
        # Cereza del Jerte: the last ten days of March and the first ten of April
        ("sweet-cherry", Event.FULL_BLOOM, "Jerte", day(3, 21, 4, 10)),
        # A cherry exporter in Turkey: 0900 Ziraat, third to last week of June at 900-1,000 m
        ("ziraat-0900", Event.PICK, "Isparta", day(6, 15, 6, 30)),
        # MeteoSwiss, cherry bloom at Wädenswil, mean of 1991-2020 (29 years, day 103.7)
        ("sweet-cherry", Event.FULL_BLOOM, "Wädenswil", day(4, 13)),
        # Le Quotidien (2016): mirabelles of Lorraine from 10 to 15 August
        ("mirabelle", Event.PICK, "Lorraine", day(8, 10, 8, 15)),
        # FreshPlaza on Loughgall, County Armagh: Bramley from the middle of September
        ("bramley", Event.PICK, "Loughgall", day(9, 11, 9, 30)),
        # NC State Extension, Yancey County: Contender's harvest begins 8 to 15 August
        ("contender", Event.PICK, "Yancey", day(8, 8, 8, 15)),
        # Fruit Research Station Iași: the walnut Anica, 11 to 16 September
        ("anica", Event.PICK, "Iași", day(9, 11, 9, 16)),
        # Michigan plum growers: Methley in mid-July, Early Golden in the second part of July
        ("methley", Event.PICK, "West Michigan", day(7, 11, 7, 20)),
        ("early-golden", Event.PICK, "West Michigan", day(7, 16, 7, 31)),
        # Portal Agro Chile (2025): D'Agen between 8 and 10 February in usual years
        ("french-prune", Event.PICK, "Colchagua", day(2, 8, 2, 10)),
    ],
)
def test_dated_places_carry_the_published_date(
    shelf: Holding, key: str, event: Event, place: str, stretch: Stretch
) -> None:
    """The date printed for a place stands at that place."""
    windows = own(shelf, key).windows
    found = [window.stretch for window in windows if window.event is event and place in window.place_name]
    assert found == [stretch]


@pytest.mark.parametrize(
    "fruit", ["european-pear", "apple", "peach", "european-plum", "sweet-cherry", ("tart-cherry", "apricot")]
)
def test_bloom_is_anchored_on_six_grounds(shelf: Holding, fruit: str | tuple[str, ...]) -> None:
    """Full bloom of each of the six chief fruits is printed for six places or more, by the fruit or its cultivars."""
    fruits = (fruit,) if isinstance(fruit, str) else fruit
    kinds = [kind.own for kind in shelf.cultivars.values() if kind.fruit and kind.fruit.key in fruits]
    traits = [*kinds, *(shelf.fruits[key].traits for key in fruits)]
    places = {w.place_name for one in traits for w in one.windows if w.event is Event.FULL_BLOOM}
    assert len(places) >= 6


@pytest.mark.parametrize(
    ("place", "longitude_east", "height_m"),
    [
        # Deutscher Wetterdienst, CLIMAT stations: Manston 49 m, Konstanz 444 m, Malatya 948 m, Isparta 997 m
        ("Kent", 1.34, 49),
        ("Lake Constance", 9.19, 444),
        ("Malatya", 38.22, 948),
        ("Isparta", 30.57, 997),
        # The same: Aomori 4 m, Curicó 230 m, Neuquén 271 m, Nuriootpa 276 m, Hobart 27 m
        ("Aomori", 140.77, 4),
        ("Curicó", -71.22, 230),
        ("Rio Negro", -68.13, 271),
        ("Adelaide", 139.01, 276),
        ("Tasmania", 147.50, 27),
    ],
)
def test_places_abroad_lie_where_their_weather_is_measured(
    shelf: Holding, place: str, longitude_east: float, height_m: float
) -> None:
    """A place remembered a hemisphere or a kilometre off would show beside the weather station of its district."""
    traits = [*(fruit.traits for fruit in shelf.fruits.values()), *(kind.own for kind in shelf.cultivars.values())]
    ground = next(w.ground for one in traits for w in one.windows if place in w.place_name)
    assert ground.longitude == pytest.approx(longitude_east, abs=1)
    assert ground.elevation_m == pytest.approx(height_m, abs=130)


@pytest.mark.parametrize(
    ("key", "base", "expected"),
    [
        # Hunter, Compact Fruit Tree (1999)
        ("harvest-queen", "bartlett", -7),
        # New pear varieties, developments from USDA, Mid-Atlantic convention of 2013
        ("blakes-pride", "bartlett", 14),
        # Bell, van der Zwet & Miller, HortScience 39(4):805A (2004)
        ("shenandoah-pear", "bartlett", 28),
        # A Colorado orchard's pear list
        ("harrow-sweet", "bartlett", 21),
        # UNH Cooperative Extension list, differences from its Bartlett
        ("clapps-favorite", "bartlett", -11),
        ("moonglow", "bartlett", -11),
        ("seckel", "bartlett", 10),
        ("flemish-beauty", "bartlett", 20),
        ("bosc", "bartlett", 26),
        # Hood River averages of 16 August and 5 September
        ("anjou", "bartlett", 20),
        # Clemson (2003): 16 days after Redhaven; Rutgers (2012): 37 days
        ("bounty", "redhaven", 16),
        ("august-prince", "redhaven", 37),
        # Fedco: Contender three weeks after Redhaven; OMAFRA: Enterprise two weeks after Red Delicious
        ("contender", "redhaven", 21),
        ("enterprise", "red-delicious", 14),
        # MSU normal peaks at Grand Rapids: 24, 10, 18 and 26 September beside 15 September
        ("empire", "mcintosh", 9),
        ("gala", "mcintosh", -5),
        ("honeycrisp", "mcintosh", 3),
        ("jonathan", "mcintosh", 11),
        # NC State, HIL-302 (1998): weeks before and after Red Delicious
        ("liberty", "red-delicious", -7),
        ("arkansas-black", "red-delicious", 21),
    ],
)
def test_offsets_are_the_published_ones(shelf: Holding, key: str, base: str, expected: int) -> None:
    """A cultivar stands as many days from its neighbor as the lists have it."""
    offset = own(shelf, key).offset
    assert offset is not None
    assert (offset.base, offset.days) == (base, expected)


@pytest.mark.parametrize(
    ("key", "expected"),
    [
        # OSU Extension, "Pears can be ripened to perfection"
        ("european-pear", Ripens.YES),
        # UC Davis Produce Facts: kiwifruit; nectarine and peach; feijoa; tomato
        ("kiwifruit", Ripens.YES),
        ("peach", Ripens.YES),
        ("feijoa", Ripens.YES),
        ("tomato", Ripens.YES),
        # University of Georgia, fig release: a firm fig does not ripen once picked
        ("fig", Ripens.NO),
        # UC Davis Produce Facts: bushberries; strawberry; pomegranate
        ("blackberry", Ripens.NO),
        ("strawberry", Ripens.NO),
        ("pomegranate", Ripens.NO),
        # WSU Tree Fruit, sweet cherry harvest
        ("sweet-cherry", Ripens.NO),
        # UC Davis, jujube (Kader): from whitish-green onward only
        ("jujube", Ripens.PARTLY),
    ],
)
def test_ripening_off_the_tree_is_as_published(shelf: Holding, key: str, expected: Ripens) -> None:
    """What ripens off the tree is waited for, and what doesn't is picked ripe."""
    figure = own(shelf, key).ripens_off_the_tree
    assert figure is not None
    assert figure.value is expected


@pytest.mark.parametrize(
    ("key", "fahrenheit"),
    [
        # Colorado State University PlantTalk 1220 and MSU Extension 01600657 (1997): 85 F and over
        ("european-pear", 85),
        # MSU Extension 01600657 (1997): Kieffer breaks down as low as 70-75 F
        ("kieffer", 70),
        # UC IPM, "Harvesting and storing tomatoes": red stops above about 86 F
        ("tomato", 86),
    ],
)
def test_too_warm_is_the_published_temperature(shelf: Holding, key: str, fahrenheit: float) -> None:
    """The room in which ripening fails is as warm as printed."""
    figure = own(shelf, key).too_warm
    assert figure is not None
    assert figure.value.low == pytest.approx(celsius(fahrenheit))


@pytest.mark.parametrize(
    ("key", "expected"),
    [
        # Penn State Extension, blueberries: every 7 to 10 days
        ("blueberry", days(7, 10)),
        # Iowa State University, strawberries: every second day when warm, third or fourth when cool
        ("strawberry", days(2, 4)),
        # Georgia muscadine production guide: about every 7 days
        ("muscadine", days(7)),
        # Nursery guide to blackberries: every 2 to 3 days
        ("raspberry", days(2, 3)),
    ],
)
def test_pass_intervals_are_the_published_ones(shelf: Holding, key: str, expected: DayCount) -> None:
    """Berries are picked over as often as printed."""
    figure = own(shelf, key).pass_interval
    assert figure is not None
    assert figure.value == expected


@pytest.mark.parametrize(
    ("key", "expected"),
    [
        # University of Georgia, approximate yields for canned or frozen fruits: pounds for one quart
        ("apricots-frozen", "2-2.5 lb for 1 quart"),
        ("nectarines-frozen", "2-3 lb for 1 quart"),
        ("plums-frozen", "2-2.5 lb for 1 quart"),
        ("figs-frozen", "2-2.5 lb for 1 quart"),
        ("tomatoes-frozen", "2.5-3.5 lb for 1 quart"),
        ("applesauce-frozen", "2.5-3.5 lb for 1 quart"),
        # University of Georgia, weights and processed yields, table 2: 1 lb of strawberries is a pint frozen
        ("strawberries-frozen", "1 lb for 1 pint"),
        # Colorado State University Extension, 9.309, table 1: 12 lb of peaches, 12 lb of grapes
        ("peaches-dried", "12 lb for 1-1.5 lb"),
        ("raisins", "12 lb for 2 lb"),
        # USDA's peach jam with powdered pectin: about 3 lb, about 6 half pints
        ("peach-jam", "3 lb for 6 half pints"),
        # National Center for Home Food Preservation: 3 lb of sour cherries, 6 half pints; 2.5 lb of plums, 8
        ("cherry-jam", "3 lb for 6 half pints"),
        ("plum-jam", "2.5 lb for 8 half pints"),
    ],
)
def test_fruit_for_a_product_is_the_published_amount(shelf: Holding, key: str, expected: str) -> None:
    """What a product takes stands as printed, so that it can be planned."""
    assert [figure.text for figure in preserve(shelf, key).takes] == [expected]


def test_most_preserves_say_how_much_fruit_they_take(shelf: Holding) -> None:
    """Three in five products can be planned (46 of 104 could before)."""
    assert sum(bool(one.takes) for one in shelf.preserves) / len(shelf.preserves) >= 0.6


@pytest.mark.parametrize(
    "key",
    [
        # NC State, Potential peach varieties for North Carolina (2006): flesh Y
        "candor",
        "redhaven",
        "challenger",
        "intrepid",
    ],
)
def test_peaches_printed_as_yellow_are_yellow(shelf: Holding, key: str) -> None:
    """A peach goes into jars on a page that says that its flesh is yellow."""
    flesh = shelf.cultivars[key].flesh
    assert flesh is not None
    assert flesh.value is Flesh.YELLOW
    assert flesh.cited.mark is Mark.READ


def test_the_white_peach_of_fukushima_is_white(shelf: Holding) -> None:
    """Japan Harvest (2018): Akatsuki belongs to the white peaches, so it never goes into jars."""
    flesh = shelf.cultivars["akatsuki"].flesh
    assert flesh is not None
    assert flesh.value is Flesh.WHITE


@pytest.mark.parametrize(
    ("key", "words"),
    [
        # Upham, K-State, "Dormant oil sprays for fruit trees": at least 40 F, dry before it freezes, in the morning
        ("dormant-oil", ("scale", "40 F", "morning", "35 F")),
        # UC Master Gardeners of Sacramento County and UF/IFAS, Nassau County: citrus
        ("feed-citrus", ("March", "August", "October to February")),
    ],
)
def test_jobs_say_what_was_published(shelf: Holding, key: str, words: tuple[str, ...]) -> None:
    """The figures that a job hangs on stand in its text, each read in its source."""
    task = next(one for one in shelf.tasks if one.key == key)
    figures = (*task.why, *task.look_for)
    said = " ".join(figure.value for figure in figures)
    assert not [word for word in words if word.casefold() not in said.casefold()]
    assert {figure.cited.mark for figure in figures} == {Mark.READ}


@pytest.mark.parametrize(
    ("key", "source", "expected"),
    [
        # NC State, HIL-302 (1998): bloom beside other apples
        ("lodi", "nc-hil-302", FlowerGroup(low=1, high=1)),
        ("cortland", "nc-hil-302", FlowerGroup(low=2, high=2)),
        ("york", "nc-hil-302", FlowerGroup(low=3, high=3)),
        ("gala", "nc-hil-302", FlowerGroup(low=1, high=2)),
        ("arkansas-black", "nc-hil-302", FlowerGroup(low=1, high=3)),
        # Wafler Nursery, "Pollination guidelines"
        ("honeycrisp", "wafler-pollination", FlowerGroup(low=3, high=3)),
        ("golden-delicious", "wafler-pollination", FlowerGroup(low=2, high=3)),
        # BBC Gardeners' World Magazine (2021) and the RHS: flowering groups, of seven
        ("gala", "gardeners-world-2021", FlowerGroup(low=4, high=4, of=7)),
        ("bramley", "rhs-agm-apples", FlowerGroup(low=3, high=3, of=7)),
        ("egremont-russet", "gardeners-world-2021", FlowerGroup(low=2, high=2, of=7)),
        # Real English Fruit, "Pear tree pollination": groups A to E
        ("conference", "english-fruit-pears", FlowerGroup(low=3, high=3, of=5)),
        ("comice", "english-fruit-pears", FlowerGroup(low=4, high=4, of=5)),
        # Marks, "Plum pollination groups"
        ("victoria-plum", "marks-plums", FlowerGroup(low=3, high=3, of=5)),
        ("oullins-gage", "marks-plums", FlowerGroup(low=4, high=4, of=5)),
        # New South Wales DPI, Agfact H4.1.14: "very early", "early mid season", "mid to late season"
        ("ya-li", "nsw-nashi", FlowerGroup(low=0, high=0)),
        ("hosui", "nsw-nashi", FlowerGroup(low=1, high=2)),
        ("kosui", "nsw-nashi", FlowerGroup(low=2, high=3)),
    ],
)
def test_flowering_groups_are_the_published_ones(shelf: Holding, key: str, source: str, expected: FlowerGroup) -> None:
    """Each scale is kept as it was printed, beside its own source."""
    told = {group.cited.source.key: group.value for group in own(shelf, key).flower_groups if group.cited.source}
    assert told[source] == expected


@pytest.mark.parametrize(
    ("key", "sets"),
    [
        # Penn State Extension, "Pollination characteristics"
        ("apple", Sets.NO),
        ("peach", Sets.YES),
        ("apricot", Sets.YES),
        ("quince", Sets.YES),
        # Fruit Research Institute, Čačak: self-fertile, self-sterile
        ("cacanska-lepotica", Sets.YES),
        ("cacanski-secer", Sets.NO),
        # British Columbia Ministry of Agriculture: Stella, Lapins and Sweetheart alone among sweet cherries
        ("lapins", Sets.YES),
        # Marks, "Plum pollination groups": yes, partially, no
        ("czar", Sets.YES),
        ("cambridge-gage", Sets.PARTLY),
        ("green-gage", Sets.NO),
        # Agfact H4.1.14: partly self-fertile
        ("shinseiki", Sets.PARTLY),
    ],
)
def test_what_sets_alone_is_as_published(shelf: Holding, key: str, sets: Sets) -> None:
    """Whether a kind sets with its own pollen stands as printed."""
    own_pollen = own(shelf, key).own_pollen
    assert own_pollen is not None
    assert own_pollen.value is sets


def test_pollen_of_no_use_is_that_of_the_published_kinds(shelf: Holding) -> None:
    """NC State, HIL-302: Winesap, Stayman, Mutsu and Jonagold; the RHS: Bramley; Beutel: Niitaka; and others."""
    none = {
        key for key, one in shelf.cultivars.items() if one.own.gives_pollen and one.own.gives_pollen.value is Gives.NO
    }
    assert none == {
        *("winesap", "stayman", "mutsu", "jonagold", "bramley", "gravenstein", "rhode-island-greening"),
        *("niitaka", "magness", "luscious"),
    }


@pytest.mark.parametrize(
    ("name", "key"),
    [
        # Unicode Common Locale Data Repository 48.2, annotations of the pear, the peach, the cherries and the tomato
        *(("poire", "european-pear"), ("Birne", "european-pear"), ("pera", "european-pear"), ("peer", "european-pear")),
        *(("hruška", "european-pear"), ("hruska", "european-pear"), ("洋ナシ", "european-pear")),
        *(("Pfirsich", "peach"), ("peche", "peach"), ("ciliegia", "sweet-cherry"), ("pomodoro", "tomato")),
        ("nashi", "asian-pear"),
    ],
)
def test_fruits_are_found_by_their_names_in_other_languages(shelf: Holding, name: str, key: str) -> None:
    """With and without accents."""
    assert Names.of(shelf.fruits.values()).find(name) == (key,)


@pytest.mark.parametrize("name", ["pear", "pera", "poire", "Birnen", "hruska", "peer"])
def test_a_pear_in_any_language_leaves_open_which_pear(shelf: Holding, name: str) -> None:
    """USDA Complete Guide: Asian pears need acid, European pears take none; the bare word names no row."""
    assert shelf.processes.is_vague(name)


@pytest.mark.parametrize(
    ("key", "what", "expected"),
    [
        # University of Tennessee and Arizona yields, relayed by a web page
        ("european-pear", "Yield of a mature standard tree", "3-4 bu"),
        ("european-pear", "Yield of a mature dwarf tree", "0.5-1 bu"),
        ("apple", "Yield of a mature semi-dwarf tree", "4 bu"),
        # University of Missouri Extension MG6 (Warmund), Table 1
        ("peach", "Yield of a mature tree", "3-6 bushels"),
        ("european-plum", "Yield of a mature tree", "3-5 bushels"),
        ("tart-cherry", "Yield of a mature tree", "60-80 quarts"),
        # Penn State Extension, blueberries
        ("blueberry", "Yield of a plant", "7-10 pints"),
        # NMSU release (2023): mean 40 lb a tree in year 5
        ("jujube", "Yield", "mean 40 lb a tree in year 5"),
        # MSU Extension 01600773 "Pears, halved"
        ("european-pear", "Weight of a bushel", "50 lb"),
        ("european-pear", "Quarts from a bushel", "16-25 qt"),
        # Iowa Code 210.10 and Michigan Compiled Laws 290.71 against Indiana Code 24-6-1-1
        ("apple", "Weight of a bushel", "48 lb in Iowa and Michigan, 42 lb in Indiana"),
        # UC Davis Produce Facts, "Pear, Anjou, Bosc, Comice" (1996): -1.5 to -2 C
        ("european-pear", "Freezing point of the fruit", "28-29 F"),
        # UC Davis Produce Facts, "Pear, Bartlett": the California standard
        ("bartlett", "Firmest allowed in California, fruit over 2 1/2 in", "20 lbf below 10 % sugar"),
        # Agar, Biasi & Mitcham, HortScience 35(4):687-690 (2000)
        ("bartlett", "To soft ripe at 68 F", "2.5-7 days"),
        # OSU Extension FS 241 (1995)
        ("bartlett", "Early ripening on the tree", "two nights running near 45 F"),
        # USDA on the Kieffer pear, relayed: 16 to 20 days
        ("kieffer", "Ripening at 60 F, fruit near full grown", "16-20 days"),
        # MSU Extension, "Checking apple maturity", Table 1
        ("mcintosh", "Starch index at pick (Cornell 1-8)", "5 for long storage, 7 when over-mature"),
        ("red-delicious", "Starch index at pick (Cornell 1-8)", "2.5 for long storage, 5 when over-mature"),
        # DuPont and Smith, WSU Extension, "Full bloom dates for Red Delicious apples": first bloom
        ("red-delicious", "Heat to first bloom at Wenatchee", "920 degree-days F over 43 F from 1 January"),
        # WSU Postharvest Information Network, "Harvest maturity and storage regime for pears" (1988)
        ("anjou", "How long picking is right for long storage", "7-10 days"),
        # Huazhong Agricultural University, thesis on ethanol treatment (2010)
        ("persimmon-astringent", "With spirit", "35 % spirit in a sealed bag at 68 F, 4 days"),
        # Lysiak, Agriculture 12(11) 1803 (2022)
        ("conference", "Heat from full bloom to best harvest", "2,469 degree-days C over 0 C"),
        # UC Davis Produce Facts, kiwifruit: softens at 5-10 ppb of ethylene
        ("kiwifruit", "Ethylene", "5-10 parts per billion"),
        # UC Davis, persimmon chilling injury: 2 to 15 C
        ("persimmon-non-astringent", "Chilling harm", "36-59 F"),
        # UC ANR on preconditioning (Crisosto): the harmful band
        ("nectarine", "Cold that harms", "36-50 F before it is ripe"),
    ],
)
def test_facts_are_the_published_ones(shelf: Holding, key: str, what: str, expected: str) -> None:
    """What else is worth printing is printed as it was read."""
    texts = [fact.text for fact in own(shelf, key).facts if fact.what == what]
    assert len(texts) == 1
    assert expected in texts[0]


@pytest.mark.parametrize(
    ("key", "process", "page"),
    [
        # USDA Complete Guide to Home Canning, AIB 539 (2015), Guide 2
        ("pear-halves", "pears, halved, hot pack", "2-20"),
        ("asian-pears-jars", "Asian pears, hot pack", "2-20"),
        ("apple-slices", "apples, sliced, hot pack", "2-7"),
        ("applesauce", "applesauce, hot pack", "2-8"),
        ("apple-butter", "apple butter, hot pack", "2-6"),
        ("peaches-jars", "peaches, hot pack", "2-19"),
        ("plums-jars-raw-pack", "plums, raw pack", "2-22"),
        ("cherries-jars", "cherries, hot pack", "2-13"),
        ("figs-jars", "figs, hot pack", "2-14"),
        ("grapes-jars", "grapes, whole, hot pack", "2-16"),
        ("blueberries-jars", "berries, whole, hot pack", "2-10"),
        ("fruit-cocktail", "mixed fruit cocktail, raw pack", "2-18"),
        ("apple-pie-filling", "apple pie filling, hot pack", "2-26"),
        ("pear-puree", "fruit puree, hot pack", "2-14"),
        # Guide 3
        ("tomatoes-crushed", "tomatoes, crushed, hot pack", "3-8"),
        ("tomato-juice", "tomato juice, hot pack", "3-6"),
        # Guide 7
        ("pear-apple-jam", "pear-apple jam, hot pack", "7-8"),
        ("apple-jelly", "jelly, no added pectin, hot pack", "7-6"),
    ],
)
def test_processes_are_named_as_published(shelf: Holding, key: str, process: str, page: str) -> None:
    """A jar names the published process it is put up by, and its page."""
    found = preserve(shelf, key)
    assert found.method is PutUp.CANNER
    assert found.process is not None
    assert found.process.value == process
    assert page in found.process.cited.page


@pytest.mark.parametrize(
    ("key", "expected"),
    [
        # AIB 539 Guide 2 p. 2-14, figs; Guide 3 p. 3-5, tomatoes: a pint, then a quart
        (
            "figs-jars",
            ("1 tablespoon bottled lemon juice", "1/4 teaspoon citric acid", "2 tablespoons", "1/2 teaspoon"),
        ),
        ("tomatoes-crushed", ("1 tablespoon bottled lemon juice", "1/4 teaspoon citric acid", "2 tablespoons")),
        ("tomato-juice", ("1 tablespoon bottled lemon juice", "1/4 teaspoon citric acid", "2 tablespoons")),
        # AIB 539 Guide 2 p. 2-20, Asian pears: no citric acid is printed
        ("asian-pears-jars", ("1 tablespoon bottled lemon juice", "2 tablespoons")),
    ],
)
def test_acid_is_the_published_dose(shelf: Holding, key: str, expected: tuple[str, ...]) -> None:
    """Where a jar needs acid, the dose for a pint and for a quart stands as printed."""
    acid = preserve(shelf, key).acid
    assert acid is not None
    assert acid.cited.mark is Mark.READ
    assert not [part for part in expected if part not in acid.text]
    assert ("citric" in acid.text) == any("citric" in part for part in expected)


# AIB 539 Guide 2 p. 2-14 (no puree of Asian pear or fig) and p. 2-19 (no pear butter in its index); Alabama
# Extension (persimmons); no process was found for pawpaw, quince, kiwifruit, feijoa or pomegranate either.
@pytest.mark.parametrize(
    "key",
    [
        "pear-butter-frozen",
        "fig-puree-frozen",
        "persimmon-pulp-frozen",
        "american-persimmon-pulp-frozen",
        "white-peaches-frozen",
        "pawpaw-pulp-frozen",
        "quince-frozen",
        "kiwifruit-frozen",
    ],
)
def test_what_has_no_published_process_goes_into_the_freezer(shelf: Holding, key: str) -> None:
    """No jar is offered where no tested process is printed."""
    found = preserve(shelf, key)
    assert found.method is PutUp.FREEZER
    assert found.process is None


# Alabama Extension on persimmons; AIB 539 prints no process for pawpaw
@pytest.mark.parametrize(
    "fruit",
    # University of Minnesota Extension (2020): elderberries are too low in acid for the rows of berries
    ["persimmon-astringent", "persimmon-non-astringent", "american-persimmon", "pawpaw", "elderberry"],
)
def test_no_canner_takes_a_fruit_without_a_process(shelf: Holding, fruit: str) -> None:
    """Persimmons, pawpaws and elderberries never come near a canner."""
    taking = [one for one in shelf.preserves if fruit in one.subjects]
    assert taking
    assert not [one.key for one in taking if one.method is PutUp.CANNER]


# AIB 539 Guide 1: can no more than a year's use; MSU Extension (1997): 8 to 12 months at 0 F, citrus 4 to 6;
# University of Georgia, drying: 4 to 12 months; AIB 539 Guide 7: gelatin spreads 4 weeks in the refrigerator
@pytest.mark.parametrize(
    ("key", "expected"),
    [
        ("pear-halves", days(12 * MONTH)),
        ("pears-frozen", days(8 * MONTH, 12 * MONTH)),
        ("citrus-juice-frozen", days(4 * MONTH, 6 * MONTH)),
        ("pears-dried", days(4 * MONTH, 12 * MONTH)),
        ("apple-spread", days(4 * WEEK)),
    ],
)
def test_finished_jars_and_packets_keep_as_published(shelf: Holding, key: str, expected: DayCount) -> None:
    """What was put up is used up in the time that was printed for it."""
    keeps = preserve(shelf, key).keeps
    assert keeps is not None
    assert keeps.value == expected
