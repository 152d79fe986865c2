"""Pages fit a phone, however many trees there are, and every way between them leads somewhere."""

from __future__ import annotations

import posixpath
import re
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


TWICE = re.compile(r"(?<!\w)([^\W\d_][\w ’'-]*) \(\1\)", re.IGNORECASE)


@rule
def a_tree_called_like_its_fruit_is_named_once(site: Site, _household: Household) -> Iterator[Broken]:
    """No name stands again in the brackets behind it, but where each of the two leads to a page of its own."""
    for file, page in site.pages.items():
        for one in page.every():
            found = TWICE.search(one.text) if "(" in one.text else None
            pages = {a.attrs.get("href") for a in one.every("a") if found and a.text == found[1]}
            if found and len(pages) < 2:
                yield f"{found[0]} in {file}", said(file, found[0]), "the name once"


US = re.compile(
    r"(?<![\w/])[\d¼½¾⅓⅔⅛][\d.,/ ¼½¾⅓⅔⅛–-]*[ -]"
    r"(?:°?F|lbf?|oz|psi|ft|in(?=$|[.;)]| (?:over|apart|across)\b)|inch(?:es)?|feet|pounds?|cups?|gallons?|ounces?"
    r"|pulg\.|pulgadas?|pies?|libras?|tazas?|onzas?|galones|Zoll|Fuß|Tassen?|Cups?|Unzen?)(?!\w)"
)
METRIC = r"(?:°C|\b(?:kg|g|cm|mm|m|ml|l|kPa|N))"
OF_DEGREE_DAYS = ("degree-days", "grados-día", "grados día", "Gradtag")


@rule
def a_metric_reader_is_told_metric_units(site: Site, household: Household) -> Iterator[Broken]:
    """Where metric units come first no figure of the shelf is in US ones alone: the metric one stands beside it.

    Sums of warmth are told as printed, and so are jars, which are called quarts and pints; a record's words stand as
    they were written.
    """
    if "units: metric" not in household.place:
        return
    for file, page in site.pages.items():
        for one in page.every():
            text = one.text if one.tag in {"p", "li", "dt", "dd", "td", "th", "h1", "h2", "h3", "b"} else ""
            for found in US.finditer(text) if not any(word in text for word in OF_DEGREE_DAYS) else ():
                before, after = text[: found.start()], text[found.end() :]
                is_beside = re.search(rf"{METRIC} \([^()]*$", before) or re.match(rf" ?\([^()]*{METRIC}(?!\w)", after)
                if not is_beside and found[0] not in household.records:
                    yield (
                        f"{found[0]} in {file}",
                        said(file, text[max(0, found.start() - 60) : found.end() + 60]),
                        "no metric unit",
                    )


@rule
def a_way_leads_somewhere(site: Site, _household: Household) -> Iterator[Broken]:
    """Every link from page to page leads to a file of the site."""
    for file, page in site.pages.items():
        there = posixpath.dirname(file)
        for href in dict.fromkeys(a.attrs.get("href", "") for a in page.every("a")):
            path = href.partition("#")[0]
            if path and ":" not in path and posixpath.normpath(posixpath.join(there, path)) not in site.sizes:
                yield href, said(file, href), "no such page"
