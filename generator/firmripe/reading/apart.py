"""Fruits whose acid differs are not taken for each other, whatever a note calls them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from firmripe.holding.fruit import Cultivar, Fruit
from firmripe.holding.process import ProcessTable
from firmripe.problems import Problems, Where, folded


def names_of_another_fruit(
    names: Iterable[str],
    fruit: Fruit,
    shelf: Mapping[str, Cultivar],
    table: ProcessTable,
) -> tuple[str, str] | None:
    """Return what is wrong and what to write where one of these names belongs to another fruit; None where none does.

    The names of a fruit that is told apart are those of the table and of all its cultivars on the shelf.
    """
    names = [name for name in names if name.strip()]
    row = table.other_fruit(names, fruit.key)
    if row is not None:
        hint = f"write fruit: {row.fruits[0]}, or leave the name out if it is none"
        return f'"{names[0]}" is a name of {row.name}, not of {fruit.name}: {row.because}', hint
    apart = {key: row for row in table.told_apart if fruit.key not in row.fruits for key in row.fruits}
    ours = {folded(name) for name in names}
    for cultivar in shelf.values():
        key = cultivar.fruit.key if cultivar.fruit else ""
        if key in apart and not ours.isdisjoint(map(folded, (cultivar.key, cultivar.name, *cultivar.also))):
            hint = f"write fruit: {key}, or leave the name out if it is none"
            return f'"{cultivar.name}" is a name of {apart[key].name}, not of {fruit.name}: {apart[key].because}', hint
    return None


def refuse_another_fruit(
    names: Iterable[str],
    fruit: Fruit | None,
    where: Where,
    known: tuple[Mapping[str, Cultivar], ProcessTable],
    problems: Problems,
) -> None:
    """Note a problem where one of these names belongs to another fruit."""
    if fruit is not None and (wrong := names_of_another_fruit(names, fruit, *known)) is not None:
        problems.add(where, *wrong)
