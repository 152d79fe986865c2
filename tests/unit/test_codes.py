"""Codes of trees stay in one piece in running text, and nothing else of a page changes."""

from __future__ import annotations

import re
import time
from html.parser import HTMLParser

import pytest
from conftest import ROOT

from firmripe.plan import Plan
from firmripe.publish.codes import in_one_piece, whole_codes

CODES = whole_codes(["1-02", "G-01", "7", "A&B-1", "old-pear-by-the-gate"])


class Text(HTMLParser):
    """All text of a page, and that which stands where a line may break."""

    def __init__(self) -> None:
        super().__init__()
        self.all, self.loose, self.open = "", "", [("", "")]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Begin an element."""
        if tag not in {"meta", "link", "input", "br", "img", "hr", "wbr"}:
            self.open.append((tag, dict(attrs).get("class") or ""))

    def handle_endtag(self, tag: str) -> None:
        """End it, with what was left open in it."""
        while self.open[-1][0] != tag and self.open[-1][0]:
            self.open.pop()
        self.open.pop()

    def handle_data(self, data: str) -> None:
        """Take text, and see what holds it."""
        self.all += data
        held = any(
            name in {"svg", "title", "script", "option"} or {"code", "w"} & {*kind.split()} for name, kind in self.open
        )
        self.loose += "\n" if held else data


def read(page: str) -> Text:
    """Return a page's text."""
    text = Text()
    text.feed(page)
    text.close()
    return text


@pytest.mark.parametrize(
    ("page", "made"),
    [
        ("<p>Pick 1-02.", '<p>Pick <span class="w">1-02</span>.'),
        ("<p>(G-01)</p>", '<p>(<span class="w">G-01</span>)</p>'),
        ("<p>A&amp;B-1</p>", '<p><span class="w">A&amp;B-1</span></p>'),
        ('<a class="code" href="1-02.html">1-02</a>', '<a class="code" href="1-02.html">1-02</a>'),
        ('<p title="a > 1-02">x</p>', '<p title="a > 1-02">x</p>'),
        ("<!-- 'twas 1-02 --><svg><text>1-02</text></svg><title>1-02</title>", ""),
        ("<p>2027-1-02, 1-02-3, 11-02 and old-pear-by-the-gate</p>", ""),
    ],
)
def test_a_code_is_wrapped_and_nothing_else(page: str, made: str) -> None:
    """In sentences alone: not in an attribute, a drawing, a title, a longer word, nor where the element is whole."""
    assert in_one_piece(page, CODES) == (made or page)


def test_no_code_of_the_example_can_break(example_plan: Plan, example_site: dict[str, bytes]) -> None:
    """On no page does a tree's code stand where a line may break at its hyphen, and the text is that of the code."""
    tags = [re.escape(tree.tag) for tree in example_plan.holding.trees]
    code = re.compile(rf"(?<![\w-])(?:{'|'.join(tags)})(?![\w-])")
    seen = 0
    for name, data in example_site.items():
        if name.endswith(".html"):
            text = read(data.decode("utf-8"))
            seen += len(code.findall(text.all))
            assert code.findall(text.loose) == [], name
    assert seen > 1000


def test_every_theme_keeps_them_in_one_piece() -> None:
    """Each theme's styles say that neither breaks; sheets have a style of their own."""
    for name in ("box-tag/static/box-tag.css", "box-tag/static/sheets.css", "plain/static/plain.css"):
        style = (ROOT / "themes" / name).read_text(encoding="utf-8")
        assert re.search(r"\.w\b[^{}]*\{[^}]*white-space: nowrap", style), name


def test_one_long_word_is_gone_over_once() -> None:
    """A page of a hundred thousand letters without a gap takes no longer than any other."""
    page = f"<p>{'a' * 200_000}</p><p>{'a-' * 100_000}</p>"
    began = time.process_time()
    assert in_one_piece(page, whole_codes(["1-02"])) == page
    assert time.process_time() - began < 2


@pytest.mark.parametrize(
    "sign", ["<!--", "<!-- - ", "<script><!--", "<a '", '<option "', "<textarea <", "<svg>", "</title"]
)
def test_what_is_begun_and_never_ended_is_gone_over_once(sign: str) -> None:
    """A household's template may forget as many ends as it likes: the page stays as it is and takes no longer."""
    page = sign * 100_000
    began = time.process_time()
    assert in_one_piece(page, whole_codes(["1-02"])) == page
    assert time.process_time() - began < 2
