"""A new season from the last: what goes on by itself, what is to be counted, and what might be wanted."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path

from msgspec import Struct

from firmripe.build import holding_of
from firmripe.gathering import GatheredText, gather, never
from firmripe.harvest.following import follow
from firmripe.harvest.store import keep_store
from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.holding.record import Happening
from firmripe.kitchen.pantry import Shelved, shelved
from firmripe.problems import Unreadable
from firmripe.reading.frontmatter import as_value
from firmripe.reading.lines import row_of
from firmripe.reading.records import COLUMNS
from firmripe.season.estimate import Estimate
from firmripe.season.season import Season, SeasonModel
from firmripe.tongue import IN_ENGLISH, Tongue
from firmripe.wording.holding import weight_words
from firmripe.words import counted, short_day, with_year

_SHORT = ("date", "tree", "what", "amount", "note")


class NewYear(Struct, frozen=True, kw_only=True):
    """What a season begins with. `carried` are lots that still lie in store, in words, `unfinished` lines that lack.

    `shelf` is what was made of the last season, `wants` what might be wanted in this one, `past` settings of place.md
    whose days are over, and `used` what the jars of last season took from the stock.
    """

    season: int
    carried: tuple[str, ...]
    unfinished: tuple[tuple[str, str], ...]
    shelf: tuple[Shelved, ...]
    wants: tuple[str, ...]
    past: tuple[str, ...]
    used: tuple[str, ...]

    @property
    def uncounted(self) -> tuple[Shelved, ...]:
        """Jars of which nobody has counted yet what is left."""
        return tuple(one for one in self.shelf if one.left is None)


def look(folder: Path, season: int | None, known_on: date) -> NewYear:
    """Look at the notes before a season begins; without one, the season of the day. Raises FaultyNotes, Unreadable."""
    holding = holding_of(folder)
    year = season or holding.place.working_year_of(known_on).year
    now = holding.place.working_year_of(known_on).year
    if year not in {now, now + 1}:
        raise Unreadable(f"{year} is no season that begins now", f"write {now} or {now + 1}")
    former = SeasonModel(holding, holding.place.working_year(year - 1), known_on).season(judge_picks=False)
    shelf = shelved(holding, year - 1, known_on)
    return NewYear(
        season=year,
        carried=tuple(_carried(holding, former, year, known_on)),
        unfinished=tuple(_unfinished(holding, former)),
        shelf=shelf,
        wants=tuple(_wants(holding, shelf)),
        past=tuple(_past(holding, known_on)),
        used=tuple(_used(holding, shelf)),
    )


def begin(folder: Path, season: int) -> list[Path]:
    """Give a season its table, where it has none; nothing else is written, and nothing taken away. Raises OSError."""
    path = folder / "records" / f"{season}.csv"
    path.parent.mkdir(exist_ok=True)
    try:
        with path.open("x", encoding="utf-8", newline="\n") as opened:
            opened.write(f"{','.join(COLUMNS)}\n")
    except FileExistsError:
        return []
    return [path]


def left_line(one: Shelved, left: str, known_on: date) -> str:
    """Return the line that says how many jars are left, as it goes into the records; without a number as it begins."""
    jar = f"{left} {one.jar}{'' if left == '1' or one.jar.endswith('l') else 's'}" if left else ""
    cells = {"date": known_on.isoformat(), "tree": one.tree, "what": Happening.LEFT.value, "amount": jar}
    return row_of({**cells, "note": one.name}, _SHORT)


def count(folder: Path, lines: Sequence[str], known_on: date) -> None:
    """Take lines about what is left into the records. Raises as `gather` does."""
    gather(folder, [GatheredText(name="what was counted", text="\n".join(lines))], known_on, agree=never)


def _carried(holding: Holding, former: Season, year: int, known_on: date) -> Iterator[str]:
    season = SeasonModel(holding, holding.place.working_year(year), known_on).season(judge_picks=False)
    for batch in keep_store(season, {}, follow(former)).carried:
        much = f", {weight_words(Tongue(metric=holding.place.metric_first), batch.weight)}" if batch.weight else ""
        where = f" in the {batch.space}" if batch.space else ""
        yield f"{batch.limb.name} {batch.bearing.tree}{much}{where}"


def _unfinished(holding: Holding, former: Season) -> Iterator[tuple[str, str]]:
    """Yield what was looked for last season and never noted, of trees that somebody noted at all, with its line."""
    noted = {record.tree for record in holding.records if record.season == former.year.year}
    for bearing in former.bearings:
        dated = former.of(bearing, Event.PICK)
        if bearing.tree in noted and isinstance(dated, Estimate) and not dated.is_over:
            limb = holding.limb(bearing)
            several = len(holding.tree(bearing.tree).limbs) > 1
            tree = f"{bearing.tree}{f'/{limb.name}' if several else ''}{f'/{bearing.crop}' if bearing.crop else ''}"
            cells = {"date": dated.likely.isoformat(), "tree": tree, "what": Happening.FIRST_PICK.value}
            yield f"{limb.name} {tree}: was it picked in {former.year.year}?", row_of(cells, _SHORT[:3])


def _wants(holding: Holding, shelf: Sequence[Shelved]) -> Iterator[str]:
    """Yield a want for each preserve of which somebody counted what is left: as many as were eaten."""
    names = {preserve.name for preserve in holding.preserves}
    for one in shelf:
        if one.eaten and one.name in names:
            amount = f"{one.eaten} jars of {one.jar}" if one.jar.endswith("l") else f"{one.eaten} {one.jar}s"
            yield f"- {{preserve: {as_value(one.name, in_braces=True)}, amount: {amount}}}"


def _past(holding: Holding, known_on: date) -> Iterator[str]:
    for wanted in holding.place.wanted:
        if wanted.day < known_on:
            yield f"wanted: {wanted.cultivar} on {_day(wanted.day)}"
    for day in holding.place.kitchen_means.days:
        if day.dates and max(day.dates) < known_on:
            yield f"kitchen days: {_day(max(day.dates))} in the {day.kitchen}"


def _day(day: date) -> str:
    return with_year(IN_ENGLISH, short_day(IN_ENGLISH, day), day.year)


def _used(holding: Holding, shelf: Sequence[Shelved]) -> Iterator[str]:
    """Yield what the stock told of and the jars of last season took."""
    stock, used = holding.place.kitchen_means.stock, Counter[str]()
    for one in shelf:
        used[one.jar] += one.made
    for jar, number in sorted(used.items()):
        if stock.jars and jar in stock.jars:
            yield f"{counted(number, jar)} of {stock.jars[jar]} were filled"
    if stock.lids is not None and used:
        yield f"{counted(sum(used.values()), 'lid')} of {stock.lids} were used"


def summary(new: NewYear, written: Sequence[Path], known_on: date) -> str:
    """Say what a season begins with, what goes on by itself, and what is to be written."""
    parts = [f"Season {new.season}.", *(f"Wrote {path}" for path in written)]
    parts += _block("Still in store, and in the plan as before:", new.carried)
    parts += _block("Made last season:", [_shelf_words(one) for one in new.shelf])
    lacking = [left_line(one, "", known_on) for one in new.uncounted]
    parts += _block("Count what is left, and note how many:", lacking)
    asked = [f"{question}\n    {line}" for question, line in new.unfinished]
    parts += _block("Never noted; write the right day, or no crop:", asked)
    parts += _block("Might be wanted, by what was eaten; write it under to put up: in place.md:", new.wants)
    parts += _block("Taken from the stock in place.md since it was told; count it again:", new.used)
    parts += _block("Over by now in place.md; write the new days beside or in place of them:", new.past)
    return "\n".join(parts)


def _block(head: str, lines: Sequence[str]) -> list[str]:
    return [head, *(f"  {line}" for line in lines)] if lines else []


def _shelf_words(one: Shelved) -> str:
    made = f"{one.name or 'jars'}: {counted(one.made, one.jar)} made"
    return made if one.left is None else f"{made}, {one.left} left, {one.eaten} eaten"
