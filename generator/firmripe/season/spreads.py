"""The season model's spreads: standard deviations in days, each with where it comes from.

One table, so that a backtest can question any of them. Marks as on the shelf: R read, D derived, J our judgement.
"""

from __future__ import annotations

from collections.abc import Mapping

from firmripe.holding.fruit import Event

PLACE_UNKNOWN_D = 25.0
"""Added in quadrature where the household says neither zone nor latitude. J: the same cultivar is picked in July in one
place and in September in another (Bartlett at the Sacramento River Delta and at Las Vegas)."""

NO_WINTER_D = 60.0
"""Added in quadrature where no winter tells a tree when to bloom: near the equator it flowers when it was last stripped
of leaves or dried out, in any month (common practice). J: a third of a year about the middle."""

DAYS_PER_C: Mapping[Event, tuple[float, float, float, float]] = {
    Event.FULL_BLOOM: (-6.0, 0.0, 0.0, 0.0),
    Event.PICK: (0.0, -4.5, -3.0, 0.0),
    Event.LEAF_FALL: (0.0, 0.0, 0.0, 3.0),
}
DAYS_PER_C_SPREAD_D: Mapping[Event, tuple[float, float, float, float]] = {
    Event.FULL_BLOOM: (0.3, 0.0, 0.0, 0.0),
    Event.PICK: (0.0, 2.0, 3.0, 0.0),
    Event.LEAF_FALL: (0.0, 0.0, 0.0, 1.5),
}
"""Days that a °C more of early spring, of spring, of summer and of autumn brings, as far as it counts, and how sure
that is before the printed days are looked at, which have the last word. Bloom: D, 6.05 days over the cherries of 144
Swiss places; the others J, around what is printed; of the fall of leaves nothing is.
"""

DAYS_PER_C_OF_FRUIT_D: Mapping[Event, tuple[float, float, float, float]] = {
    Event.FULL_BLOOM: (0.0, 0.0, 0.0, 0.0),
    Event.PICK: (0.0, 1.2, 1.5, 0.0),
    Event.LEAF_FALL: (0.0, 0.0, 0.0, 0.5),
}
"""How far these differ from fruit to fruit. D, by leaving places out: blooms are told best by one slope for all."""

MIDDLE_DAY: Mapping[Event, float] = {Event.FULL_BLOOM: 110.0, Event.PICK: 220.0, Event.LEAF_FALL: 310.0}
"""Where a fruit's level is looked for first; it moves nothing, since the level is free."""

CULTIVAR_ON_FRUIT_D: Mapping[Event, float] = {Event.FULL_BLOOM: 4.0, Event.PICK: 22.0, Event.LEAF_FALL: 8.0}
"""How far cultivars of one fruit lie apart, early ones and late ones together. Pick: D; the others J."""

SITE_D: Mapping[Event, float] = {Event.FULL_BLOOM: 2.5, Event.PICK: 2.5, Event.LEAF_FALL: 5.0}
SITE_OF_FRUIT_D: Mapping[Event, float] = {Event.FULL_BLOOM: 1.5, Event.PICK: 2.5, Event.LEAF_FALL: 1.0}
SITE_OF_CULTIVAR_D: Mapping[Event, float] = {Event.FULL_BLOOM: 1.5, Event.PICK: 6.0, Event.LEAF_FALL: 2.0}
"""How far a ground's days lie from what its warmth says: for all fruits alike, for one fruit, for one cultivar. D, by
leaving places out; how it parts among the three is J."""

REGION_D: Mapping[Event, float] = {Event.FULL_BLOOM: 0.0, Event.PICK: 4.0, Event.LEAF_FALL: 0.0}
"""How far all days of a region lie from what warmth says: the light of its latitude, the use of its growers, what they
print a day for. D, by leaving places out: with it the windows of grounds far from all that is printed hold more."""

SITE_BLOOM_AND_PICK = 0.5
"""How much of what a site does to bloom it does to picking too (correlation). J: half of a bloom's lead is left."""

SITES_ALIKE_KM = 400.0
"""Sites so far apart share e-fold less of it. D, by leaving places out; from 250 to 800 km dates carry alike."""

REGIONS_ALIKE_KM = 1500.0
"""Regions so far apart share e-fold less. D; from 1,000 to 3,000 km dates carry alike."""

PRINTED_D, PRINTED_BLOOM_D, PRINTED_WEAK_D = 7.0, 4.0, 12.0
"""How far a printed pick and a printed bloom may be off what they are meant for, and one from memory, judgement or
common practice. D, by leaving places out; the last J."""

MIDDLE_OF_FRUIT_D: Mapping[Event, float] = {Event.FULL_BLOOM: 2.0, Event.PICK: 7.0, Event.LEAF_FALL: 3.0}
"""How far the middle of a stretch printed for a fruit in general may lie from the middle of its kinds. Pick: D; the
others J."""

ORDER_D = 4.0
"""How far a printed order may be off, as "11 days after Bartlett". J."""

T_DEGREES = 6.0
"""Degrees of freedom of Student's t for what a printed window is off: windows that their neighbours belie weigh less.
D: from 4 to 100 dates carry alike."""

BREADTH_WORTH = 10.0
"""How many windows of a fruit the spreads of all fruits are worth against how far its own lie off. D, by the log score
of left-out windows other than peaches: blooms are told best by 10, picks by 2 to 20 alike."""

CULTIVAR_UNKNOWN_D = 45.0
"""A cultivar of which only this household's own records speak. J: wide, so that the records decide."""

TREE_D = 2.0
"""A tree against its cultivar. J."""

YEAR_AT_BLOOM_D, YEAR_AT_PICK_D = 7.5, 5.0
"""A year against the mean at one place. Bloom: the mean of three open series, Wenatchee 7.4, Washington 7.1 and what
Swiss cherries share 7.9; harvest 4 to 6 (Vineland peaches 5.5); D. With it the 80 % window holds 79 to 85 % of Swiss
cherry blooms and 83 to 88 % of Washington's, where years differ less."""

YEARS_WORTH = 6.0
"""How many years of record the table's spread of years is worth against the household's own. J; with 3 to 6 the
windows of both series hold between 79 and 88 % of the days, and years of record tell one place from another slowly."""

YEAR_BLOOM_DAY, YEAR_PICK_DAY = 120.0, 240.0
"""Season days at which these two hold; in a line between, level outside. J."""

YEAR_FADES_D = 400.0
"""Two dates of a season so many days apart share e-fold less of its earliness. D: Elberta at Vineland 1910-19 (Marini
on Blake 1930, R2) bloomed with a spread of about 10 days, ripened with 5.5, and took 123 to 144 days between, which
makes a correlation of 0.7 over some 130 days. About half of a bloom's lead is then left at harvest; growers report half
to all."""

TREE_YEAR_D = 1.5
"""A tree in one year, beyond what its neighbours do. J."""

NOISE_D = 2.0
"""One event, beyond all of these. J; with the tree and the tree-year it makes 3.2 in quadrature, which is how far
four blueberry plants at Petersham stray from their mean bloom (3.2; D from open records)."""

NOTE_D, NOTE_ABOUT_D = 0.5, 2.0
"""A noted day, and one noted as "about". J."""

MARKER_D = 3.0
"""A cultivar's usual pick as the household states it. J."""

INTERVAL_LEAST_D = 5.0
"""The least spread of an interval from bloom to pick. J, after working spreads of harvest from an observed bloom: 5
days for early fruit to 7 for late."""

INTERVAL_WEAK_D = 12.0
"""The same for an interval from memory or judgement. J: it may nudge a date, not pull it."""

STATED_INTERVAL_D = 5.0
"""The household's own interval from bloom to pick. J: no surer than a printed one, since what it stands for differs
from year to year however well its mean is known (Elberta at Vineland took 123 to 144 days in ten years; Marini on
Blake 1930, R2)."""

PART_CROP_D = 3.0
"""Added in quadrature where only part of the crop set, often from late bloom. J: widens, does not move."""

LIGHT_CROP_D, HEAVY_CROP_D = -3.5, 7.0
"""A light crop ripens 3 to 4 days sooner, a heavy one up to 7 later (apple; Michigan State University Extension, R)."""

PETAL_FALL_AFTER_D = 10
"""Days from full bloom to petal fall, where it is not noted. J."""

EIGHTY_PERCENT = 1.2815515655446004
"""Half the width of the central 80 % of a normal distribution, in standard deviations: norm.ppf(0.9)."""
