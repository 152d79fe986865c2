"""The season model's spreads: standard deviations in days, each with where it comes from.

One table, so that a backtest can question any of them. Marks as on the shelf: R read, D derived, J our judgement.
"""

from __future__ import annotations

PLACE_D = 7.0
"""A published date carried to other ground, at the same zone. J, from the residuals of several cultivars seen in
several places (Redhaven on latitude 6.0 days, on zones 8.8; D)."""

PLACE_UNKNOWN_D = 25.0
"""Added in quadrature where the household says neither zone nor latitude. J: the same cultivar is picked in July in one
place and in September in another (Bartlett at the Sacramento River Delta and at Las Vegas)."""

PLACE_PER_HALF_ZONE_D = 3.0
"""Added in quadrature for each half zone moved. J: no published rule in days per zone was found."""

PER_HALF_ZONE_D = 5.0
"""Days later per half zone colder. J; within one state a half zone is worth 3 to 8 days (D)."""

MOST_HALF_ZONES = 4
"""A date is carried over no more half zones than this. J."""

MOST_MOVED_D = 60.0
"""Days that a printed date is moved at most by zone, latitude and height together; half of what is cut off is added to
the spread. J: further away the chart is of another climate."""

PER_DEGREE_D, PER_DEGREE_SPREAD_D = 4.0, 1.5
"""Days later per degree of latitude away from the equator: Hopkins' law, as relayed by Richardson and others 2019 (R);
the spread is J."""

HIGH_PLACE_M = 500.0
"""Where the household's height is not known, the latitude of a place higher than this moves nothing: it would carry a
mountain's lateness to the plain. J."""

PER_100_M_D, PER_100_M_SPREAD_D = 3.0, 1.0
"""Days later per 100 m of height: Hopkins gives 3.28 (R), Swiss cherries 3.3 (D from open records); the spread is J."""

PLACE_FADES_D = 720.0
"""How far apart in a season two dates lose e-fold of the place's lateness that they share. J: slowly."""

CULTIVAR_D = 4.0
"""A cultivar against its own printed date. J."""

CULTIVAR_ON_FRUIT_D = 20.0
"""A cultivar whose date leans on its fruit's, early kinds and late ones together. J."""

CULTIVAR_UNKNOWN_D = 45.0
"""A cultivar of which only this household's own records speak. J: wide, so that the records decide."""

CULTIVAR_FADES_D = 180.0
"""Two dates of a cultivar so many days apart share e-fold less of its earliness. J."""

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
"""A marker cultivar's usual date as the household states it. J."""

INTERVAL_LEAST_D = 5.0
"""The least spread of a printed interval from bloom to pick: 5 days for early fruit to 7 for late. J, after working
spreads of harvest from an observed bloom."""

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
