"""The page of the sources that the site's figures rest on."""

from __future__ import annotations

from firmripe.problems import in_order
from firmripe.publish.pages.context import PageContext
from firmripe.publish.views import View


class SourceLine(View, frozen=True, kw_only=True):
    """A source as its page lists it."""

    anchor: str
    text: str


class SourcesPage(View, frozen=True, kw_only=True):
    """The sources that the site's figures rest on."""

    lines: tuple[SourceLine, ...]


def sources_page(context: PageContext) -> SourcesPage:
    """Return the sources cited by the pages made so far, and those of the stations, whose licence asks for it."""
    cited = context.cited | set(context.holding.stations.sources)
    known = [context.holding.sources[key] for key in sorted(cited) if key in context.holding.sources]
    lines = [SourceLine(anchor=context.paths.source(source).partition("#")[2], text=str(source)) for source in known]
    return SourcesPage(lines=tuple(sorted(lines, key=lambda line: in_order(line.text))))
