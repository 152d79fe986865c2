"""The plan of the ground: rows as seen from the gate, with the trees that stand in them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec.structs import replace

from firmripe.holding.place import PlanRow
from firmripe.holding.tree import Tree
from firmripe.problems import Problems, Where, folded, name_key, nearest
from firmripe.reading.fields import Fields

GAP = "gap"
"""What stands for a place without a tree."""
MOST_ROWS, MOST_PLACES = 200, 200
"""A plan of more rows, or of longer ones, fits no page. J."""


def read_rows(place: Fields) -> tuple[PlanRow, ...]:
    """Read the rows of the plan, the farthest from the gate first; what they name is looked up once trees are known."""
    found = []
    for fields in place.tables("plan"):
        row = PlanRow(name=fields.text("row"), tags=fields.texts("trees"), where=fields.where)
        fields.close("a row of the plan")
        if not row.tags:
            hint = f"write trees: with their tags from left to right, and {GAP} where none stands"
            place.fault_at(row.where, "this row of the plan holds no tree", hint)
        elif len(row.tags) > MOST_PLACES:
            place.fault_at(row.where, f"a row of the plan has up to {MOST_PLACES} places", "make it two rows")
        else:
            found.append(row)
    if len(found) > MOST_ROWS:
        place.fault("plan", f"a plan has up to {MOST_ROWS} rows", "leave fewer")
    return tuple(found[:MOST_ROWS])


def with_trees(rows: Sequence[PlanRow], trees: Iterable[Tree], problems: Problems) -> tuple[PlanRow, ...]:
    """Return the rows with the tags of trees; what is no tree, and a tree that stands twice, is a problem."""
    tags = {name_key(tree.tag): tree.tag for tree in trees}
    seen: set[str] = set()
    return tuple(
        replace(row, tags=tuple(_tag(text, row.where, tags, seen, problems) for text in row.tags)) for row in rows
    )


def _tag(text: str, where: Where, tags: dict[str, str], seen: set[str], problems: Problems) -> str:
    tag = tags.get(name_key(text), "")
    if tag in seen:
        problems.add(where, f'the tree "{tag}" stands twice in the plan', "leave it in one place")
    elif not tag and folded(text) != GAP:
        near = nearest(text, tags.values())
        hint = f"did you mean {near}? Where no tree stands write {GAP}"
        problems.add(where, f'there is no tree "{text}"', hint if near else f"write the tag of a tree, or {GAP}")
    seen |= {tag} if tag else set()
    return tag
