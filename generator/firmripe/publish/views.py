"""What a template may see: plain, finished values. Here are those that all kinds of pages share."""

from __future__ import annotations

from msgspec import Struct


class View(Struct, frozen=True):
    """What a template sees; the list of them in themes/README.md is compared with all that are derived from this."""


class Link(View, frozen=True, kw_only=True):
    """A text that leads somewhere; `href` is relative to the page."""

    text: str
    href: str


class Choice(View, frozen=True, kw_only=True):
    """What a list of jobs can be narrowed to: a key, or several apart by a space, and what that is called."""

    key: str
    text: str


class Quote(View, frozen=True, kw_only=True):
    """A figure in words: what it says, how it is known, and from where (empty for the household's own).

    `lang`, `label_lang` and `note_lang` name the language of a part that is not in the page's; empty where it is.
    """

    label: str
    text: str
    mark: str
    source: str
    source_href: str
    note: str = ""
    leans: bool = False
    lang: str = ""
    label_lang: str = ""
    note_lang: str = ""


class Hazard(View, frozen=True, kw_only=True):
    """A kind of harm: `key` names its drawing, `word` is its short mark, `texts` say what to mind.

    Of a task these are all of its kind, of several tasks what each says first.
    """

    key: str
    word: str
    texts: tuple[str, ...]


class ToNote(View, frozen=True, kw_only=True):
    """A line to write about something, the way to the page that writes it, and a mail that carries it, or empty."""

    line: str
    href: str
    mail: str


class Item(View, frozen=True, kw_only=True):
    """A task on a day: one line for all it is for.

    `tags` are its trees where they are few, `place` says where it is done otherwise; `what` says what it is for without
    the tags. Of `many` `subjects` a page shows at first how many they are. `held` is what stands against it, `hazards`
    its other cautions by kind; `cautions` are all of them.
    `ticks` are what it stays known by when its date moves; `people` and `parts` the keys of who can do it and of where
    in the orchard it is, both empty where that is everybody and the whole place. `note` is the way to note it.
    """

    task: Link
    subjects: tuple[Link, ...]
    topic: str
    span: str
    who: str
    rough: bool
    seen: bool
    cautions: tuple[str, ...]
    tags: tuple[Link, ...] = ()
    place: str = ""
    what: str = ""
    many: bool = False
    amount: str = ""
    held: tuple[str, ...] = ()
    hazards: tuple[Hazard, ...] = ()
    ticks: tuple[str, ...] = ()
    people: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    note: ToNote | None = None


class DayBlock(View, frozen=True, kw_only=True):
    """The tasks that begin, or come round again, on one day.

    `weekday`, `number` and `month` are its heading in parts. `hazards` are those of all its tasks, each once.
    """

    iso: str
    heading: str
    items: tuple[Item, ...]
    weekday: str = ""
    number: str = ""
    month: str = ""
    hazards: tuple[Hazard, ...] = ()


class PhotoView(View, frozen=True, kw_only=True):
    """A photo of the household's, in pixels; `alt` says what it shows."""

    href: str
    alt: str
    width: int
    height: int
