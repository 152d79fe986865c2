"""What a site says of each crop, batch, job and kitchen day: read from its pages, sheets, tables and feeds as a stranger would.

Nothing here knows the program's objects. A statement is about something, says one value, and knows where it stands.
"""

from __future__ import annotations

import csv
import io
import json
import posixpath
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from typing import Any

import icalendar
from markup import Element, read_page
from saying_back import Hearing


@dataclass(frozen=True, slots=True)
class Statement:
    """One value of one thing, the file it stands in, and the words."""

    about: tuple[str, ...]
    value: object
    file: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A job as a page shows it on a day: its task's page, the day, the tags of its trees, and what stands beside."""

    task: str
    day: str
    tags: frozenset[str]
    subjects: frozenset[str]
    amount: str
    who: str
    file: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """A batch of fruit as a card, a row or a tag shows it; days as machines write them, empty where none is told.

    `is_part` is said of what stands for a part of a batch that came out.
    """

    tree: str
    cultivar: str
    what: str
    weight: str
    days: tuple[tuple[str, str], ...]
    noted: bool | None
    file: str
    words: str
    space: str = ""
    is_part: bool = False

    @property
    def batch(self) -> tuple[str, str, str]:
        return self.tree, self.cultivar, self.what

    def day(self, key: str) -> str:
        return dict(self.days).get(key, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """An event of a feed as it stands there."""

    uid: str
    first: date
    last: date
    title: str
    text: str
    rings: bool
    turns: str
    left_out: frozenset[date]
    recurrence: date | None


@dataclass(kw_only=True)
class Site:
    """All that a site says."""

    hearing: Hearing
    made_on: date
    statements: list[Statement] = field(default_factory=list)
    jobs: list[Job] = field(default_factory=list)
    cards: list[Card] = field(default_factory=list)
    plan: list[dict[str, Any]] = field(default_factory=list)
    feeds: dict[str, list[Event]] = field(default_factory=dict)
    pages: dict[str, Element] = field(default_factory=dict)
    sizes: dict[str, int] = field(default_factory=dict)

    @cached_property
    def tasks(self) -> dict[str, str]:
        """The pages of the season's tasks by their names."""
        page = self.pages.get("jobs.html", Element("", {}))
        parts = {part.attrs.get("id", ""): part.first("h3") for part in page.every("section")}
        whole = {title.text: task_of(f"jobs.html#{key}") for key, title in parts.items() if title is not None}
        return whole | {a.text: task_of(a.attrs["href"]) for a in page.every("a") if "job" in a.attrs["href"]}

    def say(self, about: Iterable[str], value: object, file: str, words: str) -> None:
        if value not in ("", None):
            self.statements.append(Statement(tuple(about), value, file, words))


def read_site(files: dict[str, bytes], hearing: Hearing, made_on: date) -> Site:
    """Read every page, sheet, table and feed of a site."""
    site = Site(hearing=hearing, made_on=made_on)
    site.pages = {name: read_page(data) for name, data in files.items() if name.endswith(".html")}
    site.sizes = {name: len(data) for name, data in files.items()}
    site.plan = [{**row, "page": task_of(row["page"])} for row in json.loads(files["plan.json"])["jobs"]]
    for name, data in files.items():
        if name.endswith(".ics"):
            site.feeds[name] = list(_events(data))
    for name, page in site.pages.items():
        for starts, read in _READERS:
            if re.fullmatch(starts, name):
                read(site, name, page)
        _jobs(site, name, page)
    _table(site, files["plan.csv"])
    return site


def task_of(page: str) -> str:
    """Return a task's page; where there is one tree alone all tasks are parts of one page."""
    return re.sub(r"^jobs\.html#job-(.+)$", r"jobs/\1.html", page)


# Trees and kinds

_LABELS = {
    "Full bloom": "bloom",
    "Pick": "pick",
    "Take out of the cold": "out",
    "Ready": "ready",
    "Use by": "use by",
    "Take out the last": "keep",
    "bloom": "bloom",
    "look from": "look",
    "pick": "pick",
    "cold until": "out",
    "ripe": "ready",
    "use by": "use by",
    "keeps cold until": "keep",
}
"""The words for a crop's days, on the tree's page and in its strip."""


def _tree(site: Site, file: str, page: Element) -> None:
    head = page.first("section", "tree-head")
    if head is None or (big := head.first("span", "big")) is None:
        return
    end = f", {site.hearing.said('this season')}"
    sections = [(h2.text.removesuffix(end), h2, s) for s in page.every("section") for h2 in s.direct("h2")]
    sections = [(name, h2, section) for name, h2, section in sections if h2.text.endswith(end)]
    for name, h2, section in sections:
        _crop(site, file, (big.text, name), section)
        link = h2.first("a")
        for card in section.every("li", "lot"):
            site.cards.append(_card(site, file, card, big.text, link.text if link else name))
    nexts = [box for box in head.every("div", "next") if box.days]
    if len(sections) == 1 and len(nexts) == 1:
        text = nexts[0].text
        told = (key for message, key in _NEXT.items() if site.hearing.hears(message, text) is not None)
        site.say(("crop", big.text, sections[0][0], next(told, "other")), nexts[0].days[0], file, text)


def _crop(site: Site, file: str, of: tuple[str, str], section: Element) -> None:
    """Read the days of a crop on its tree's page: the strip, the figures, and how much is looked for."""
    labels = {site.hearing.said(label): key for label, key in _LABELS.items()}
    for step in (li for ul in section.every("ul", "steps-of") for li in ul.every("li")):
        if step.days and (key := labels.get(_text(step, "b"))):
            site.say(("crop", *of, key), step.days[0], file, step.text)
    for dl in section.every("dl", "dates"):
        parts = dl.direct("dt", "dd")
        for dt, dd in zip(parts[::2], parts[1::2], strict=True):
            if (key := labels.get(dt.text)) and dd.days:
                site.say(("crop", *of, key), dd.days[0], file, f"{dt.text} {dd.text[:60]}")
    for expected in section.every("p", "expected"):
        site.say(("crop", *of, "weight"), site.hearing.weight(expected.text), file, expected.text)


_NEXT = {
    "Pick {day}": "pick",
    "Take out the last {day}": "keep",
    "Take out of the cold {day}": "out",
    "Ripe {day}": "ready",
    "Use by {day}": "use by",
}
"""What stands at the head of a tree's page as the next day of its crop."""


def _kind(site: Site, file: str, page: Element) -> None:
    for table in page.every("table", "season"):
        keys = ("bloom", "look", "pick", "out", "ready", "use by", "keep") if "drawn" in table.classes else _PLAIN
        for row in _rows(table):
            tag, name = row[0].text, row[1].text
            for key, cell in zip(keys, row[2:], strict=False):
                if cell.days:
                    site.say(("crop", tag, name, key), cell.days[0], file, cell.text)


_PLAIN = ("bloom", "pick", "ready")


def _rows(table: Element) -> Iterator[list[Element]]:
    for body in table.every("tbody"):
        for row in body.direct("tr"):
            yield row.direct("th", "td")


def _year_sheet(site: Site, file: str, page: Element) -> None:
    hearing = site.hearing
    words = {
        hearing.said("full bloom"): "bloom",
        hearing.said("pick"): "pick",
        hearing.said("ready"): "ready",
        hearing.said("keeps until here at most"): "keep",
    }
    for section in page.every("section"):
        title = next(iter(section.direct("h2")), None)
        if title is None or not (year := re.search(r"20\d\d", title.text)):
            continue
        for line in section.every("li"):
            found = re.fullmatch(r"(.+?) \(([^()]*(?:\([^()]*\))?[^()]*)\): (.+)", line.text.partition(" ")[2])
            day = next(site.hearing.days(line.text), None)
            if found is None or day is None:
                continue
            name = re.sub(r"^(?:\S+ \d+|\d+ \S+) ", "", found[1])
            key = next((key for word, key in words.items() if re.match(rf"{re.escape(word)}(?:,|$)", found[3])), "")
            for tag in found[2].split(", ") if key else ():
                site.say(("year sheet", tag, name, key), day.replace(year=int(year[0])).isoformat(), file, line.text)


def _picking_card(site: Site, file: str, page: Element) -> None:
    rounds = [site.hearing.said(f"{word} time round") for word in ("first", "second", "third", "fourth", "fifth")]
    again = site.hearing.said("Pick again, by test")
    for table in page.every("table"):
        for row in _rows(table):
            tag = row[0].first("span", "tag")
            name = "".join(part for part in row[0].inside if isinstance(part, str))
            strong = row[1].first("strong")
            if tag is not None and strong is not None:
                of = (tag.text, " ".join(name.split()))
                if again in row[1].text:
                    continue  # the first pick is noted, and this is the day of the next look
                site.say(("crop", *of, "pick"), site.hearing.day(strong.text), file, row[1].text)
                if not any(words in row[1].text for words in rounds):  # one of several has a weight of its own
                    site.say(("crop", *of, "weight"), site.hearing.weight(row[5].text), file, row[5].text)


def _slides(site: Site, file: str, page: Element) -> None:
    for section in page.every("section", "slide"):
        for table in section.every("table"):
            for row in _rows(table):
                found = re.fullmatch(r"(.+) \((.+)\)", row[0].text)
                for tag in found[2].split(", ") if found else ():
                    site.say(("slide", tag, found[1]), site.hearing.day(row[1].text), file, row[0].text + row[1].text)  # type: ignore[index]


# Batches


def _cards(site: Site, file: str, page: Element) -> None:
    for card in page.every("li", "lot"):
        link = card.first("a", "n")
        if link is not None:
            name = next((a for a in card.every("a") if "cultivars/" in a.attrs["href"] and a is not link), None)
            part = file == "index.html"
            named = name.text.removesuffix(",") if name else ""  # which part it is stands behind it
            whole = _card(site, file, card, link.text, named, is_part=part)
            site.cards.extend(_of_each(site, whole, link))
    for table in page.every("table", "batches"):
        for row in _rows(table):
            links = row[0].direct("a")
            _, told, rest = row[0].text.rpartition("), ")
            what = rest if told else ""
            days = [("picked", row[2]), ("out", row[4]), ("use by", row[6])]
            found = [(key, cell.days[0]) for key, cell in days if cell.days]
            found.append(("ready", site.hearing.day(row[5].text)))
            whole = Card(
                tree=links[1].text,
                cultivar=links[0].text,
                what=what,
                weight=row[1].text,
                days=tuple(found),
                noted=site.hearing.said("noted") in row[2].text,
                file=file,
                words=" | ".join(cell.text for cell in row),
                space=row[3].text,
            )
            site.cards.extend(_of_each(site, whole, links[1]))


def _of_each(site: Site, card: Card, link: Element) -> Iterator[Card]:
    """Yield a card, or where it is of trees of a kind together one for each of them, whose weight alone it hides.

    Where there are too many to name it tells how many; they are known again where they are all of their kind.
    """
    if "cultivars/" not in link.attrs["href"]:
        yield card
        return
    of_kind = {tag for row in site.plan if row["for"] == card.cultivar for tag in row["trees"]}
    number = re.match(r"\d+ (?!\S*[-\d])", link.text)
    is_all = number is not None and int(number[0]) == len(of_kind)
    for tag in sorted(of_kind) if is_all else () if number else link.text.split(", "):
        yield replace(card, tree=tag, weight="")


_SAID = {
    "out": ("Take out of the {space} {day}: {what}.", "Take out of the {space} {day}.", "Out of the cold {day}."),
    "picked": (
        "Pick {day}.",
        "Pick {day}, then into the {space}.",
        "Picked {day}.",
        "Due {day}: note the day it is picked.",
    ),
    "ready": ("Ripe {day}.", "Ripe since {day}."),
    "use by": (
        "Use by {day}.",
        "Eat now, by {day}.",
        "It was to be used by {day}: look at it, and note what became of it.",
    ),
    "keep": ("What stays cold keeps until {day}.",),
}


def _card(site: Site, file: str, card: Element, tag: str, cultivar: str, *, is_part: bool = False) -> Card:
    hearing = site.hearing
    texts = [p.text for p in card.direct("p")]
    days = []
    for key, messages in _SAID.items():
        told = [hearing.hears(message, text) for message in messages for text in texts]
        named = [hearing.day(found["day"]) for found in told if found]
        days += [(key, day) for day in named if day][:1]
    title = next(iter(card.direct("h3", "h4")), card)
    what = title.text.partition(f"{cultivar}, ")[2]
    weight = card.first("span", "lb")
    return Card(
        tree=tag,
        cultivar=cultivar,
        what=what,
        weight=weight.text if weight else "",
        days=tuple(days),
        noted="later" not in card.classes,
        file=file,
        words=" ".join(texts),
        is_part=is_part,
    )


def _tags(site: Site, file: str, page: Element) -> None:
    labels = {site.hearing.said(label): key for label, key in _TAG_LABELS.items()}
    for one in (li for ul in page.every("ul", "cut") for li in ul.direct("li")):
        big, name = one.first("p", "big"), one.first("p", "cv")
        if big is None or name is None or (strong := name.first("strong")) is None:
            continue
        cells = {
            labels.get(_text(box, "dt"), ""): _text(box, "dd") for dl in one.every("dl") for box in dl.direct("div")
        }
        days = tuple(
            (key, site.hearing.day(cells.get(key, ""))) for key in ("picked", "out", "ready", "use by", "keep")
        )
        site.cards.append(
            Card(
                tree=big.text,
                cultivar=strong.text,
                what=name.text.partition(", ")[2],
                weight=cells.get("weight", ""),
                days=days,
                noted=None,
                file=file,
                words=one.text,
                space=cells.get("space", ""),
            )
        )


_TAG_LABELS = {
    "Picked": "picked",
    "Weight": "weight",
    "Lies in": "space",
    "Out": "out",
    "Ready": "ready",
    "Use by": "use by",
    "Take out the last": "keep",
}


def _text(box: Element, tag: str) -> str:
    found = box.first(tag)
    return found.text if found is not None else ""


# Jobs


def _jobs(site: Site, file: str, page: Element) -> None:
    big = page.first("span", "big") if file.startswith("trees/") else None
    own = frozenset([big.text]) if big is not None else frozenset()
    for block in page.every():
        if "day" in block.classes and block.days and block.tag in {"section", "details"}:
            for line in block.every("li"):
                _job(site, file, block.days[0], line, own)
        elif block.tag == "dl" and "brief" in block.classes:
            day = ""
            for part in block.direct("dt", "dd"):
                day = _day_of(site, part) if part.tag == "dt" else day
                _job(site, file, day, part, own)


def _day_of(site: Site, head: Element) -> str:
    return head.days[0] if head.days else site.hearing.day(head.text)


def _task_on(site: Site, file: str, line: Element) -> str:
    """Return the page of a line's task, to which it leads or whose name it says; nothing where it is no job."""
    here = posixpath.dirname(file)
    for a in line.every("a"):
        page = posixpath.normpath(posixpath.join(here, a.attrs["href"]))
        if "verb" in a.classes or page.startswith(("jobs/", "jobs.html#")):
            return task_of(page)
    verb = line.first("b")
    return site.tasks.get(verb.text, "") if verb is not None else ""


def _job(site: Site, file: str, day: str, line: Element, own: frozenset[str]) -> None:
    """Read a job; where no tag stands beside it, it is that of the page's `own` tree."""
    task = _task_on(site, file, line)
    if not task:
        return
    amount, who = line.first("b", "much"), line.first("span", "who")
    site.jobs.append(
        Job(
            task=task,
            day=day,
            tags=frozenset(a.text for a in line.every("a", "code")) or own,
            subjects=frozenset(
                a.text for a in line.every("a") if "code" not in a.classes and "jobs" not in a.attrs["href"]
            ),
            amount=amount.text if amount else "",
            who=who.text if who else "",
            file=file,
            words=line.text,
        )
    )


def _table(site: Site, data: bytes) -> None:
    rows = list(csv.DictReader(io.StringIO(data.decode("utf-8"), newline="")))
    for at, (row, same) in enumerate(zip(rows, site.plan, strict=True)):
        for key in ("first_day", "last_day", "job", "uid"):
            site.say(("row", str(at), key), row[key].removeprefix("'"), "plan.csv", str(row))
            site.say(("row", str(at), key), same[key].removeprefix("'"), "plan.json", str(same))


def _events(data: bytes) -> Iterator[Event]:
    for event in icalendar.Calendar.from_ical(data).walk("VEVENT"):
        rule = event.get("RRULE")
        again, without = event.get("RECURRENCE-ID"), event.get("EXDATE", [])
        yield Event(
            uid=str(event["UID"]),
            first=event["DTSTART"].dt,
            last=event["DTEND"].dt,
            title=str(event["SUMMARY"]),
            text=str(event.get("DESCRIPTION", "")),
            rings=any(part.name == "VALARM" for part in event.subcomponents),
            turns=rule.to_ical().decode() if rule is not None else "",
            left_out=frozenset(
                day.dt for one in (without if isinstance(without, list) else [without]) for day in one.dts
            ),
            recurrence=again.dt if again is not None else None,
        )


_READERS = (
    (r"trees/.*", _tree),
    (r"(cultivars|fruits)/.*|year\.html", _kind),
    (r"store\.html|rooms\.html|index\.html", _cards),
    (r"sheets/tags\.html", _tags),
    (r"sheets/year\.html", _year_sheet),
    (r"sheets/picking\.html", _picking_card),
    (r"sheets/fridge\.html", _slides),
)
