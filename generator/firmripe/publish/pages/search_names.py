"""The names that a page can be found by: a small script that gives them to the search, so that it works from disk."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from firmripe.publish.characters import readable
from firmripe.publish.contents import preserves_with_page
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.days import all_weeks
from firmripe.publish.pages.places import StandingSite
from firmripe.tongue import mark

NAMES = "static/names.js"
TREES = "static/trees.js"

Name = tuple[str, str, tuple[str, ...], str, str]
"""What it is (tree, cultivar, fruit, job, preserve or page), its name, other names, a word more, and its page."""
_SOUGHT: Final = {
    "index.html": (mark("ripe"), mark("this week")),
    "year.html": (mark("calendar"), mark("months")),
    "note.html": (mark("records"),),
    "store.html": (mark("ripe"), mark("in the cold"), mark("boxes")),
    "kitchen.html": (mark("canning"), mark("jars")),
    "harvest.html": (mark("picked"), mark("weights")),
    "sheets/index.html": (mark("print"), mark("labels")),
    "subscribe.html": (mark("calendar"), mark("reminders")),
    "safety.html": (mark("cautions"), mark("danger")),
}
"""Words that people look for a main page by, beside its title."""


def names_script(context: PageContext) -> bytes:
    """Return a script of ASCII alone that sets `firmripeNames`: the names, and the first days of weeks with a page.

    `context` makes pages at the top of the site, from where all paths go. The plan holds what the pages show and no
    more, and so does the script.
    """
    weeks = [] if context.paths.folded else [span.first.isoformat() for span in all_weeks(context)]
    return _script(_names(context), weeks)


def trees_script(context: PageContext) -> bytes:
    """Return a script of ASCII alone that sets `firmripeTrees`: how lines name a tree, its tag and its name.

    Empty where the page that notes what happened has them all.
    """
    others = [(one.key, one.text, one.name) for one in context.noting.others()]
    data = json.dumps(others, separators=(",", ":"))
    return f'"use strict";\nself.firmripeTrees=Object.freeze({readable(data)});\n'.encode("ascii") if others else b""


def places_script(sites: Iterable[StandingSite]) -> bytes:
    """Return such a script for the page of many places, with the name of each."""
    return _script((("page", site.name, (), "", site.page) for site in sites), [])


def _script(names: Iterable[Name], weeks: Sequence[str]) -> bytes:
    data = json.dumps({"names": list(names), "weeks": weeks}, separators=(",", ":"))
    return f'"use strict";\nself.firmripeNames=Object.freeze({readable(data)});\n'.encode("ascii")


def _names(context: PageContext) -> Iterator[Name]:
    tongue = context.tongue
    plan, paths = context.plan, context.paths
    for tree in plan.holding.trees:
        kinds = ", ".join(limb.name for limb in tree.limbs)
        yield "tree", tree.tag, (), f"{kinds}; {tree.place}" if tree.place else kinds, paths.tree(tree.tag)
    for limb in context.grown:
        yield (
            "cultivar",
            limb.name,
            limb.also,
            tongue.term(limb.fruit.name) if limb.fruit else "",
            paths.cultivar(limb.key),
        )
    for fruit in context.grown_fruits:
        yield "fruit", tongue.term(fruit.name), fruit.also, "", paths.fruit(fruit.key)
    for task in {entry.task.key: entry.task for entry in plan.calendar.entries}.values():
        yield "job", tongue.term(task.name), (), "", paths.task(task.key)
    yield from _preserves(context)
    for path, title in context.main_pages.items():
        yield "page", tongue.term(title), tuple(tongue.term(word) for word in _SOUGHT.get(path, ())), "", path


def _preserves(context: PageContext) -> Iterator[Name]:
    """Give each preserve of what grows here with its own page, or that of its fruit or its first cultivar."""
    plan, paths = context.plan, context.paths
    own = {preserve.key for preserve in preserves_with_page(plan)}
    pages = {fruit.key: (context.tongue.term(fruit.name), paths.fruit(fruit.key)) for fruit in context.grown_fruits}
    pages |= {limb.key: (limb.name, paths.cultivar(limb.key)) for limb in context.grown}
    for preserve in plan.holding.preserves:
        of = next((page for key, page in pages.items() if key in preserve.subjects), None)
        if of is not None:
            page = paths.preserve(preserve.key) if preserve.key in own else of[1]
            yield "preserve", context.tongue.term(preserve.name), (), of[0], page
