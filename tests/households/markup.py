"""Pages as trees of elements, read by the standard library's parser: enough to ask what a page says where."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = frozenset({"area", "base", "br", "col", "hr", "img", "input", "link", "meta", "source", "wbr"})
BLOCKS = frozenset(
    {"p", "li", "ul", "ol", "dl", "dt", "dd", "div", "section", "tr", "td", "th", "h1", "h2", "h3", "h4"}
)


@dataclass(eq=False, slots=True)
class Element:
    """An element with its attributes, and what lies in it in order: elements and texts."""

    tag: str
    attrs: dict[str, str]
    inside: list[Element | str] = field(default_factory=list)

    @property
    def classes(self) -> list[str]:
        return self.attrs.get("class", "").split()

    @property
    def text(self) -> str:
        """Its words, without those that only a screen reader hears and without surplus spaces."""
        return " ".join("".join(self.texts()).split())

    def texts(self) -> Iterator[str]:
        """Yield its words as they stand, a space after each block."""
        for part in self.inside:
            if isinstance(part, str):
                yield part
            elif not part.is_unseen:
                yield from part.texts()
                if part.tag in BLOCKS:
                    yield " "

    @property
    def is_unseen(self) -> bool:
        return self.tag in {"svg", "script", "style", "template"} or bool({"hidden", "of"} & set(self.classes))

    def every(self, tag: str = "", of: str = "") -> Iterator[Element]:
        """Yield the elements in it of a tag and a class, in order."""
        for part in self.inside:
            if isinstance(part, Element):
                if (not tag or part.tag == tag) and (not of or of in part.classes):
                    yield part
                yield from part.every(tag, of)

    def first(self, tag: str = "", of: str = "") -> Element | None:
        return next(self.every(tag, of), None)

    def direct(self, *tags: str) -> list[Element]:
        return [part for part in self.inside if isinstance(part, Element) and part.tag in tags]

    @property
    def days(self) -> list[str]:
        """The days that it marks as such, as machines write them."""
        return [one.attrs["datetime"] for one in self.every("time") if "datetime" in one.attrs]


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.top = Element("", {})
        self._open = [self.top]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        made = Element(tag, {name: value or "" for name, value in attrs})
        self._open[-1].inside.append(made)
        if tag not in VOID:
            self._open.append(made)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._open[-1].inside.append(Element(tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        at = next((at for at in range(len(self._open) - 1, 0, -1) if self._open[at].tag == tag), 0)
        if at:
            del self._open[at:]

    def handle_data(self, data: str) -> None:
        self._open[-1].inside.append(data)


def read_page(data: bytes) -> Element:
    """Return the main part of a page, or all of it where none is marked."""
    reader = _Reader()
    text = data.decode("utf-8")
    _head, found, main = text.partition('<main id="main">')
    reader.feed(main.partition("</main>")[0] if found else text)
    reader.close()
    return reader.top
