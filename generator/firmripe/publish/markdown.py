"""From a note's Markdown to clean HTML."""

from __future__ import annotations

import html
from functools import cache

import markdown
import nh3
from markdown.extensions.sane_lists import SaneListExtension
from markdown.extensions.tables import TableExtension

_TAGS = {
    "p", "br", "hr", "em", "strong", "code", "pre", "blockquote", "ul", "ol", "li", "a", "h2", "h3", "h4", "h5", "h6",
    "table", "thead", "tbody", "tr", "th", "td", "dl", "dt", "dd", "sup", "sub",
}  # fmt: skip
_ATTRIBUTES = {"a": {"href", "title"}, "th": {"align"}, "td": {"align"}}
_SCHEMES = {"http", "https", "mailto", "tel"}


@cache
def _reader() -> markdown.Markdown:
    """Return the reader of Markdown; to make one takes longer than it takes to read a note."""
    return markdown.Markdown(extensions=[SaneListExtension(), TableExtension()], output_format="html")


def to_html(text: str) -> str:
    """Return a note's body as HTML in which only plain prose is left: no scripts, styles, images or frames.

    A text nested too deep for Markdown is shown as it was written.
    A heading of the first level becomes one of the second, since the page has its own.
    """
    if not text.strip():
        return ""
    try:
        raw = _reader().reset().convert(text)
    except RecursionError:  # lists in lists, hundreds deep; what was being read is left half read
        _reader.cache_clear()
        raw = f"<pre>{html.escape(text)}</pre>"
    raw = raw.replace("<h1>", "<h2>").replace("</h1>", "</h2>")
    return nh3.clean(raw, tags=_TAGS, attributes=_ATTRIBUTES, url_schemes=_SCHEMES, link_rel="noopener noreferrer")
