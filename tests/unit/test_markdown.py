"""Clean HTML from a note's body."""

from __future__ import annotations

import re

import markdown
import pytest
from hypothesis import given
from hypothesis import strategies as st

from firmripe.publish.markdown import to_html

HOSTILE = [
    "<script>alert(1)</script>",
    "<SCRIPT SRC=x.js></SCRIPT>",
    "<img src=x onerror=alert(1)>",
    "![alt](https://example.org/a.png)",
    "<iframe src='https://example.org'></iframe>",
    "<svg onload=alert(1)><script>1</script></svg>",
    "<p onclick='alert(1)'>text</p>",
    '<a href="javascript:alert(1)">x</a>',
    "[x](javascript:alert(1))",
    "[x](JaVaScRiPt:alert(1))",
    "[x](java&#10;script:alert(1))",
    "[x](data:text/html,<script>1</script>)",
    "[x](vbscript:msgbox)",
    "<style>body{display:none}</style>",
    "<p style='position:fixed'>x</p>",
    "<form action=x><input name=a><button>b</button></form>",
    "<object data=x></object><embed src=x>",
    "<link rel=stylesheet href=x><meta http-equiv=refresh content=0><base href=x>",
    "<math><mtext><table><mglyph><style><img src=x onerror=1>",
    "<details open ontoggle=alert(1)>",
    "<video><source onerror=alert(1)></video>",
    "<b <script>alert(1)</script>",
    '"><script>alert(1)</script>',
]
ACTIVE = re.compile(
    r"<\s*(script|img|iframe|svg|style|form|input|button|object|embed|link|meta|base|math|video|source|details)\b"
    r"|<[^>]*\s(on\w+|style|src)\s*="
    r"|href\s*=\s*[\"']?\s*(javascript|data|vbscript)",
    re.IGNORECASE,
)


@pytest.mark.parametrize("text", HOSTILE)
def test_nothing_active_survives(text: str) -> None:
    """Scripts, handlers, frames, images, styles, forms and script links are taken out."""
    assert not ACTIVE.search(to_html(text))
    assert not ACTIVE.search(to_html(f"- item\n\n{text}\n\n| a |\n|---|\n| {text} |"))


@pytest.mark.parametrize("text", HOSTILE)
def test_the_check_for_active_markup_can_fail(text: str) -> None:
    """Each hostile text, or the HTML that plain Markdown makes of it, is active before it is cleaned."""
    import markdown  # noqa: PLC0415 - only this counter-check needs the raw form

    raw = markdown.markdown(text)
    assert ACTIVE.search(raw) or "java&#10;script" in text


@pytest.mark.parametrize(
    "target",
    [
        "http://example.org/a",
        "https://example.org/a?b=c",
        "mailto:a@example.org",
        "tel:+15550100",
        "../trees/1-01.html",
    ],
)
def test_plain_links_survive(target: str) -> None:
    """Links to pages, letters and telephones stay, and tell the other side nothing."""
    html = to_html(f"See [there]({target}).")

    assert f'href="{target}"' in html
    assert 'rel="noopener noreferrer"' in html


def test_prose_survives() -> None:
    """Paragraphs, lists, emphasis and tables stay."""
    html = to_html("Some *soft* **pears**.\n\n- one\n- two\n\n| a | b |\n|---|---|\n| 1 | 2 |\n")

    for part in ("<p>Some <em>soft</em> <strong>pears</strong>.</p>", "<li>one</li>", "<td>2</td>"):
        assert part in html


def test_a_page_keeps_one_first_heading() -> None:
    """A note's own first-level heading goes one level down, since the page has one."""
    html = to_html("# Top\n\n## Below\n\n<h1 class=x>Raw</h1>")

    assert "<h1" not in html
    assert "<h2>Top</h2>" in html


def test_no_text_makes_no_html() -> None:
    """Empty and blank bodies give nothing at all."""
    assert to_html("") == to_html(" \n\t\n") == ""


@given(st.text(alphabet="<>/=\"'` abconclickjavscript:imgsvg()[]!&#;\n", max_size=120))
def test_no_jumble_of_markup_becomes_active(text: str) -> None:
    """Random pieces of markup never come out active."""
    assert not ACTIVE.search(to_html(text))


def test_a_text_nested_too_deep_is_shown_as_written() -> None:
    """Nobody wrote it, and it must not end the run."""
    assert to_html("1. " * 500 + "<b>x") == f"<pre>{'1. ' * 500}&lt;b&gt;x</pre>"


@pytest.mark.parametrize(
    "before", ["[a]: https://a.example\n\n<div>raw", "> - " * 2000 + "x", "| a |\n|---|\n| 1 |", "- a\n\n    - b"]
)
def test_what_was_read_before_changes_nothing(before: str) -> None:
    """A note is read as if it were the first: no link, list or half-read depth of another is left."""
    text = "See [a] and [b][a].\n\n- one\n\n    two\n\n<div>"
    to_html(before)

    raw = markdown.markdown(text, extensions=["sane_lists", "tables"], output_format="html")
    assert to_html(text) == to_html(text + "\n")
    assert ("<a" in to_html(text)) == ("<a" in raw)
    assert to_html(text).count("<li>") == raw.count("<li>") == 1
