"""Pages fit a phone, however many trees there are, and every way between them leads somewhere."""

from __future__ import annotations

import posixpath
from collections.abc import Iterator

from agreeing import Broken, rule, said
from forty import Household
from statements import Site

MOST, MOST_AT_FIRST = 150_000, 60_000
"""Bytes of any page, and of the first."""


@rule
def a_page_fits_a_phone(site: Site, _household: Household) -> Iterator[Broken]:
    """No page weighs more than 150 kB, nor the first page more than 60."""
    for file in site.pages:
        size = site.sizes[file]
        most = MOST_AT_FIRST if file == "index.html" else MOST
        if size > most:
            yield file, said(file, f"{size} bytes"), f"at most {most}"


@rule
def a_way_leads_somewhere(site: Site, _household: Household) -> Iterator[Broken]:
    """Every link from page to page leads to a file of the site."""
    for file, page in site.pages.items():
        there = posixpath.dirname(file)
        for href in dict.fromkeys(a.attrs.get("href", "") for a in page.every("a")):
            path = href.partition("#")[0]
            if path and ":" not in path and posixpath.normpath(posixpath.join(there, path)) not in site.sizes:
                yield href, said(file, href), "no such page"
