"""What hypothesis draws notes, tables and days from."""

from __future__ import annotations

from datetime import date

from hypothesis import strategies as st

from firmripe.days import Hemisphere, MonthDay, Rhythm, WorkingYear
from firmripe.holding.record import Happening
from firmripe.units import HardinessZone

KEYS = (
    *("tree", "cultivar", "limbs", "fruit", "where", "walk", "count", "planted", "bears from", "kept by", "pinned"),
    *("name", "also", "crops", "windows", "offset", "days from bloom", "signs", "firmness at pick", "passes"),
    *("pass interval", "conditioning", "counter", "too warm", "keeps", "keeps ripe", "drops", "uses", "partners"),
    *("facts", "cautions", "ripens off the tree", "topic", "for", "each", "when", "until", "every", "zone", "only if"),
    *("reminder", "who", "bring", "why", "look for", "skip", "fruits", "method", "stage", "process", "acid"),
    *(
        "zone map",
        "latitude",
        "longitude",
        "elevation",
        "hemisphere",
        "units",
        "week starts",
        "last frost",
        "usual picks",
    ),
    *("spaces", "kitchens", "people", "site address", "sources", "places"),
)
INNER = ("value", "at", "mark", "source", "page", "note", "crop", "pick", "bloom", "place", "from", "touch", "because")
VALUES = (
    *("6b", "14 days", "4-6 weeks", "65-75 F", "2,150 ft", "41.9 N", "Aug 20", "Aug 20 - Sep 5", "late August", "yes"),
    *("Bartlett", "pear", "fig", "unknown", "here", "low-valley", "bosc", "14 days after", "2027-09-01", "R", "memory"),
    *("boiling-water canner", "freezer", "pears, halved, hot pack", "2 weeks before earliest pick", "full bloom", "M"),
    *(
        "1 week",
        "tree",
        "bears",
        "13-15 lbf",
        "2-3",
        "2010",
        "south",
        "main",
        "0-3 weeks after petal fall",
        "",
        "9" * 40,
    ),
)
COLUMNS = ("date", "tree", "cultivar", "crop", "what", "amount", "note")

odd_text = st.text(max_size=40) | st.text(alphabet="-:#{}[]&*!|>'\"%@`,? \t\n\\0aé\x07\x85\u2028", max_size=40)
values = st.sampled_from(VALUES) | odd_text
tables = st.lists(st.tuples(st.sampled_from(INNER), values), max_size=4).map(
    lambda pairs: "{" + ", ".join(f"{key}: {value}" for key, value in pairs) + "}"
)
nodes = values | tables | st.lists(values | tables, max_size=3).map(lambda items: "[" + ", ".join(items) + "]")
lines = st.tuples(st.sampled_from(KEYS) | odd_text, nodes).map(lambda pair: f"{pair[0]}: {pair[1]}")
notes = st.lists(lines, max_size=8).map(lambda front: "\n".join(["---", *front, "---", ""])) | odd_text
"""Notes as a grower might mistype them, and any text at all."""

cells = (
    st.sampled_from([happening.value for happening in Happening])
    | st.sampled_from(("2027-08-20", "about 28 Apr 2027", "2026", "03/04/2027", "9999-12-31", "1-01", "fig", "main"))
    | st.sampled_from(("14 days", "16.2 lbf", "44 lb", "Bosc", "", '"', '"a"b', "9" * 40))
    | odd_text
)
rows = st.lists(cells, max_size=9).map(",".join)
sheets = st.tuples(
    st.permutations(COLUMNS).map(",".join) | st.lists(st.sampled_from(COLUMNS) | odd_text, max_size=8).map(",".join),
    st.lists(rows, max_size=5),
).map(lambda parts: "\n".join([parts[0], *parts[1]]))
"""Tables of records, whole and broken."""

days = st.dates(date(1800, 1, 1), date(2199, 12, 31))
month_days = st.dates(date(2000, 1, 1), date(2000, 12, 31)).map(lambda day: MonthDay(day.month, day.day))
hemispheres = st.sampled_from(Hemisphere)
seasons = st.builds(WorkingYear, year=st.integers(1801, 2198), hemisphere=hemispheres)
zones = st.integers(0, 25).map(lambda half: HardinessZone(float(half))) | st.integers(0, 12).map(
    lambda whole: HardinessZone(2 * whole + 0.5)
)
rhythms = st.builds(Rhythm, count=st.integers(1, 999), unit=st.sampled_from(("day", "week", "month")))
