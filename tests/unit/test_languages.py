"""The words of the site in one catalogue: complete, said everywhere, and never part of what a thing is."""

from __future__ import annotations

import html
import re
import string
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from enum import Enum
from functools import cache
from gettext import NullTranslations
from pathlib import Path

import icalendar
import pytest
from babel.messages.catalog import Catalog, Message
from babel.messages.pofile import read_po
from conftest import EXAMPLE, EXAMPLE_DAY, ROOT, SHELF, script, write_notes
from msgspec import Struct
from msgspec.structs import replace

from firmripe import words
from firmripe.days import Span
from firmripe.holding.holding import Holding
from firmripe.holding.process import Band
from firmripe.holding.weight import KILOGRAM, Weight
from firmripe.plan import Plan, make_plan
from firmripe.publish.feeds.files import make_feeds
from firmripe.publish.ledger import Ledger
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.dates import dates_page
from firmripe.publish.pages.front import front_page
from firmripe.publish.pages.jobs import jobs_page
from firmripe.publish.pages.trees import Orchard
from firmripe.publish.pages.year import year_page
from firmripe.publish.paths import Paths
from firmripe.publish.site import make_site
from firmripe.reading.languages import FOLDER, languages, read_tongue
from firmripe.reading.reader import read_holding
from firmripe.tongue import IN_ENGLISH, Tongue
from firmripe.wording.holding import weight_words
from firmripe.wording.minutes import band_words
from firmripe.words import amount, is_foreign, with_ranges

THEMES = ROOT / "themes"
DAY = date(2027, 8, 28)
TREE = "---\ncultivar: Bartlett\n---\n"
CATALOGUES = sorted(FOLDER.glob("*.po"))
SPANISH = read_tongue("es", month_first=False, south=False)


@cache
def collected() -> Catalog:
    """Return the messages that code, templates and shelf hold now."""
    found: Catalog = script("catalogue").collect()
    return found


def po(path: Path) -> Catalog:
    """Read a catalogue file."""
    with path.open("rb") as file:
        return read_po(file, locale=None if path.suffix == ".pot" else path.stem)


def forms(message: Message) -> tuple[str, ...]:
    """Return a message's text or texts."""
    return tuple(message.id) if isinstance(message.id, list | tuple) else (message.id,)


def said(message: Message) -> tuple[str, ...]:
    """Return a message's translations, one for each form."""
    told = message.string
    return tuple(told) if isinstance(told, list | tuple) else (told,)


def fields(text: str, message: Message) -> set[str]:
    """Return the names of the fields in a text, by the way in which its message has them."""
    if "python-format" in message.flags:
        return set(re.findall(r"%\((\w+)\)s", text))
    if "python-brace-format" in message.flags:
        return {name for _text, name, _spec, _way in string.Formatter().parse(text) if name}
    return set()


# The catalogue


def test_every_message_stands_in_the_template() -> None:
    """What code, templates and shelf say is what translators get: run `python generator/catalogue.py`."""
    keys = script("catalogue").keys

    assert keys(po(FOLDER / "messages.pot")) == keys(collected())


def test_there_are_messages_of_every_kind() -> None:
    """The collection reaches code, both themes, the words kept as data, the shelf and the southern words."""
    found = {text for message in collected() for text in forms(message)}

    assert found >= {
        "Nothing is due.",
        "Tree by tree",
        "Ripe to eat now",
        "{n} day earlier",
        "full bloom",
        "Start checking",
        "European pear",
        "quarts",
    } - {"{n} day earlier"}
    assert any(text.startswith("The drop after bloom") for text in found)


@pytest.mark.parametrize("path", CATALOGUES, ids=lambda path: path.stem)
def test_a_catalogue_is_complete(path: Path) -> None:
    """Each language has every message and no other, none doubtful, none empty, in every form of its plural."""
    theirs = po(path)
    keys = script("catalogue").keys

    assert keys(theirs) == keys(collected())
    assert not theirs.obsolete
    assert [m.id for m in theirs if m.id and m.fuzzy] == []
    assert [m.id for m in theirs if m.id and not all(said(m))] == []
    assert [m.id for m in theirs if m.pluralizable and len(said(m)) != theirs.num_plurals] == []


@pytest.mark.parametrize("path", CATALOGUES, ids=lambda path: path.stem)
def test_a_translation_keeps_the_fields_of_its_message(path: Path) -> None:
    """What is filled in stays filled in; the form for one may leave its number out."""

    def wanted(message: Message) -> set[str]:
        return {name for text in forms(message) for name in fields(text, message)} | {"n"}

    wrong = [
        (message.id, translation)
        for message in po(path)
        if message.id
        for translation in filter(None, said(message))
        if fields(translation, message) | {"n"} != wanted(message)
    ]

    assert wrong == []


@pytest.mark.parametrize("path", CATALOGUES, ids=lambda path: path.stem)
def test_a_translation_in_a_template_can_be_filled_in(path: Path) -> None:
    """Templates take `%` for a field, so a plain one is written twice."""
    theirs = [m for m in po(path) if m.id and any(file.startswith("themes/") for file, _line in m.locations)]

    for message in theirs:
        for translation in filter(None, said(message)):
            assert "%(" not in translation % dict.fromkeys(fields(translation, message), "x")
    assert theirs


@pytest.mark.parametrize("path", CATALOGUES, ids=lambda path: path.stem)
def test_a_translation_keeps_the_spaces_at_its_ends(path: Path) -> None:
    """Parts of sentences are put together as they are: a space lost would join two words."""

    def ends(text: str) -> tuple[bool, bool]:
        return text[:1] == " ", text[-1:] == " "

    pairs = [(forms(m)[-1], s) for m in po(path) if m.id for s in filter(None, said(m))]

    assert [pair for pair in pairs if ends(pair[0]) != ends(pair[1])] == []


# Saying


class Marked(NullTranslations):
    """A made-up language: every message that is in the catalogue stands between marks."""

    def gettext(self, message: str) -> str:
        """Mark a message."""
        return f"⟦{message}⟧" if message in known() else message

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        """Mark the form that English takes."""
        return f"⟦{msgid1 if n == 1 else msgid2}⟧" if msgid1 in known() else msgid1


@cache
def known() -> frozenset[str]:
    """Return all texts of the catalogue."""
    return frozenset(text for message in collected() for text in forms(message))


def marked(names: tuple[str, ...]) -> tuple[str, ...]:
    """Mark names."""
    return tuple(f"⟦{name}⟧" for name in names)


ENGLISH = Tongue()
PSEUDO = Tongue(
    code="qq",
    translations=Marked(),
    months=marked(ENGLISH.months),
    short_months=marked(ENGLISH.short_months),
    days=marked(ENGLISH.days),
    short_days=marked(ENGLISH.short_days),
)


def test_a_language_says_its_own_words_beside_another() -> None:
    """One that is handed down says its own, after a fault as well; English beside it stays English."""
    assert PSEUDO.say("Nothing is due.") == "⟦Nothing is due.⟧"
    with pytest.raises(KeyError):
        PSEUDO.say("Tree {tag}", tree="1-01")

    assert IN_ENGLISH.say("Nothing is due.") == "Nothing is due."


def test_numbers_take_the_form_of_their_language() -> None:
    """English knows one and many; what is not whole is many."""
    assert [IN_ENGLISH.plural("{n:g} hour", "{n:g} hours", n) for n in (0, 1, 1.0, 1.5, 2)] == [
        "0 hours",
        "1 hour",
        "1 hour",
        "1.5 hours",
        "2 hours",
    ]


def test_thousands_are_apart_without_a_comma_where_that_is_the_decimal_sign() -> None:
    """ISO 80000-1, 7.3.2: a small space, neither a point nor a comma; English keeps its own, and all have the point."""
    german = read_tongue("de", month_first=False, south=False, metric=True)

    assert [tongue.number(1234.56, 1) for tongue in (IN_ENGLISH, german)] == ["1,234.6", "1\u202f234.6"]
    assert weight_words(german, Weight(low=840 * KILOGRAM, high=2475 * KILOGRAM)) == "840–2\u202f475 kg"
    band = Band(low_ft=1001, high_ft=3000)
    assert band_words(german, band) == "305–914 m (1\u202f001–3\u202f000 ft)"
    assert band_words(replace(german, metric=False), Band(low_ft=6001, high_ft=None)) == "über 6\u202f000 ft"
    assert [s for path in CATALOGUES for m in po(path) for s in said(m) if re.search(r"\d,\d{3}(?!\d)", s)] == []


def test_braces_in_a_household_s_words_are_text() -> None:
    """What a household wrote is never taken for a field, and nothing is said of nothing."""
    assert IN_ENGLISH.term("{name} of {0}") == "{name} of {0}"
    assert IN_ENGLISH.term("") == ""
    assert IN_ENGLISH.say("Tree {tag}", tag="{tag}") == "Tree {tag}"


def test_a_figure_with_a_unit_is_said_by_its_unit() -> None:
    """The shelf's amounts need no message each."""
    assert amount(PSEUDO, "4-6 weeks") == "⟦4–6 weeks⟧"
    assert amount(PSEUDO, "18-19.5 lbf") == "⟦18–19.5 lbf⟧"
    assert amount(PSEUDO, "full bloom") == "⟦full bloom⟧"
    assert amount(PSEUDO, "a wheelbarrow") == "a wheelbarrow"
    assert is_foreign(PSEUDO, "a wheelbarrow")
    assert not is_foreign(PSEUDO, "4-6 weeks")
    assert not is_foreign(PSEUDO, "12")
    assert not is_foreign(IN_ENGLISH, "a wheelbarrow")


@pytest.mark.parametrize(
    ("tongue", "expected"),
    [
        (ENGLISH, ("28 Aug", "Sat 28 Aug", "Saturday 28 August 2027", "Saturday 28 August", "August 2027")),
        (
            Tongue(month_first=True),
            ("Aug 28", "Sat Aug 28", "Saturday, August 28, 2027", "Saturday, August 28", "August 2027"),
        ),
    ],
    ids=["day first", "month first"],
)
def test_the_order_of_day_and_month_is_the_household_s(tongue: Tongue, expected: tuple[str, ...]) -> None:
    """`dates: Aug 28` turns every day round."""
    assert (
        words.short_day(tongue, DAY),
        words.week_day(tongue, DAY),
        words.long_day(tongue, DAY),
        words.heading_day(tongue, DAY),
        words.month_name(tongue, 2027, 8),
    ) == expected


def test_a_span_over_new_year_keeps_its_years_when_the_month_comes_first() -> None:
    """The year stands behind a comma there."""
    assert (
        words.span_words(Tongue(month_first=True), Span(first=date(2027, 12, 28), last=date(2028, 1, 3)))
        == "Dec 28, 2027 to Jan 3, 2028"
    )


# Names of days and months in Spanish: Unicode CLDR, file common/main/es.xml (cldr.unicode.org), the format names.
def test_spanish_days_bear_spanish_names() -> None:
    """Months and weekdays come from CLDR, each with the day it belongs to."""
    assert words.short_day(SPANISH, DAY) == "28 ago"
    assert words.week_day(SPANISH, DAY) == "sáb 28 ago"
    assert words.stretch_words(SPANISH, "Aug 16 - Sep 5") == "16 ago - 5 sept"
    assert SPANISH.months[0] == "enero"
    assert SPANISH.months[11] == "diciembre"
    assert SPANISH.days[0] == "lunes"


def test_german_days_bear_a_point_and_its_nouns_their_capitals() -> None:
    """DIN 5008: the day's number has a point; CLDR: the names; a noun begins with a capital wherever it stands."""
    tongue = read_tongue("de", month_first=False, south=False)
    assert words.short_day(tongue, date(2027, 9, 8)) == "8. Sept."
    assert words.long_day(tongue, date(2027, 9, 8)) == "Mittwoch, 8. September 2027"
    assert words.stretch_words(tongue, "Aug 16 - Sep 5") == "16. Aug. - 5. Sept."
    assert words.within(tongue, "Vollblüte von Anjou") == "Vollblüte von Anjou"
    assert tongue.say("Picked {day}.", day=words.short_day(tongue, date(2027, 9, 8))).endswith("8. Sept.")
    assert words.within(IN_ENGLISH, "Full bloom of Anjou") == "full bloom of Anjou"


def test_what_begins_a_sentence_keeps_the_capitals_within_it() -> None:
    """A gap keeps its months, and a German syrup its noun: a capital is given in one place, and takes none away."""
    gap = words.gap_words(IN_ENGLISH, Span(first=date(2026, 3, 3), last=date(2026, 3, 9)))
    assert words.begun(gap) == "No weather from 3 Mar to 9 Mar 2026"
    assert words.begun(read_tongue("de", month_first=False, south=False).term("light syrup")) == "Leichter Sirup"
    said = [*(ROOT / "generator/firmripe/wording").rglob("*.py"), *(ROOT / "generator/firmripe/publish").rglob("*.py")]
    assert not [path.name for path in said if ".capitalize()" in path.read_text(encoding="utf-8")]


def test_the_order_asked_for_holds_in_another_language_too() -> None:
    """Spanish usually says the day first; a household that asks for the month first gets it."""
    tongue = read_tongue("es", month_first=True, south=False)
    assert words.short_day(tongue, DAY) == "ago 28"
    assert words.long_day(tongue, DAY) == "sábado, agosto 28, 2027"
    assert words.long_day(SPANISH, DAY) == "sábado 28 de agosto de 2027"


def test_english_is_read_without_a_catalogue() -> None:
    """English is what the messages are written in."""
    assert read_tongue("en", month_first=False, south=False) == Tongue()
    assert list(languages()) == ["en", "de", "es"]


def test_a_drop_in_june_is_said_by_bloom_in_the_south() -> None:
    """June is winter there."""
    text = "The June drop: fruit falls"

    tongue = Tongue(south=True)
    assert tongue.term(text) == "The drop after bloom: fruit falls"
    assert tongue.term("June drop") == "drop after bloom"
    assert IN_ENGLISH.term(text) == text


# The example household in other languages


def small(top: Path, language: str) -> Plan:
    """Return the plan of a household of one tree that speaks a language."""
    place = f"---\nname: Hill\nzone: 7a\nlanguage: {language}\n---\n"
    holding = read_holding(write_notes(top / language, {"place.md": place, "trees/1-01.md": TREE}), SHELF)
    return make_plan(holding, 2027, EXAMPLE_DAY)


def test_households_made_in_turns_or_at_once_say_each_its_own(tmp_path: Path) -> None:
    """A page hangs on its household alone, not on whose was made before or is made at once."""
    plans = [small(tmp_path, language) for language in ("es", "de")]
    makers = (front_page, year_page, lambda viewing: Orchard(viewing, viewing).trees(), jobs_page, dates_page)
    alone = [[maker(PageContext(plan, Paths(plan), "", set())) for maker in makers] for plan in plans]
    contexts = [PageContext(plan, Paths(plan), "", set()) for plan in plans]
    in_turns = [[maker(context) for context in contexts] for maker in makers]
    by_one = [make_site(plan, THEMES / "box-tag") for plan in plans]
    with ThreadPoolExecutor(len(plans)) as pool:
        at_once = [*pool.map(lambda plan: make_site(plan, THEMES / "box-tag"), plans)]

    assert [*map(list, zip(*in_turns, strict=True))] == alone
    assert at_once == by_one
    assert len({site["index.html"] for site in by_one}) == len(plans)


def spoken(tongue: Tongue, **changes: object) -> Plan:
    """Return the example's plan in a language."""
    return make_plan(holding_in(tongue, **changes), 2027, EXAMPLE_DAY)


def holding_in(tongue: Tongue, **changes: object) -> Holding:
    """Return the example household as it would be in a language."""
    holding = read_holding(EXAMPLE, SHELF, ("box-tag", "plain"))
    return replace(holding, place=replace(holding.place, tongue=tongue, **changes))


@pytest.fixture(scope="module")
def marked_plan() -> Plan:
    """Return the example's plan in the made-up language."""
    return spoken(PSEUDO)


@pytest.fixture(scope="module")
def english() -> dict[str, bytes]:
    """Return the example's site in English."""
    return make_site(spoken(ENGLISH), THEMES / "box-tag")


@pytest.fixture(scope="module")
def spanish(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """Return the site of the example whose place says `language: es`."""
    notes = tmp_path_factory.mktemp("es") / "notes"
    copied = {path.relative_to(EXAMPLE): path.read_bytes() for path in EXAMPLE.rglob("*") if path.is_file()}
    for name, data in copied.items():
        (notes / name).parent.mkdir(parents=True, exist_ok=True)
        (notes / name).write_bytes(data)
    place = (notes / "place.md").read_text(encoding="utf-8")
    (notes / "place.md").write_text(place.replace("---\n", "---\nlanguage: es\n", 1), encoding="utf-8")
    plan = make_plan(read_holding(notes, SHELF, ("box-tag", "plain")), 2027, EXAMPLE_DAY)
    return make_site(plan, THEMES / "box-tag")


def pages(site: dict[str, bytes]) -> Iterator[tuple[str, str]]:
    """Yield each page of a site by its name."""
    yield from ((name, data.decode()) for name, data in site.items() if name.endswith(".html"))


PROBES = ("Season", "Nothing is due", "Made on", "Pick by", "Full bloom", "Take care", "eight times in ten", "between ")


def test_a_spanish_site_is_spanish_on_every_page(spanish: dict[str, bytes]) -> None:
    """Each page says which language it is in, and none has the words of the English one."""
    for name, page in pages(spanish):
        text = re.sub(SAID_TO_BE_ENGLISH, "", page, flags=re.DOTALL)
        assert '<html lang="es">' in page, name
        assert [probe for probe in PROBES if re.search(rf">[^<]*\b{re.escape(probe)}", text)] == [], name
    assert "sábado 28 de agosto de 2027" in spanish["index.html"].decode()


def test_another_language_changes_no_name_of_a_file(spanish: dict[str, bytes], english: dict[str, bytes]) -> None:
    """Links that somebody keeps lead to the same page in any language."""
    assert set(spanish) == set(english)


def events(site: dict[str, bytes]) -> dict[str, dict[str, tuple[date, date]]]:
    """Return of each feed its events by identity, with their first day and the one after the last."""
    return {
        name: {
            str(event["UID"]): (event["DTSTART"].dt, event["DTEND"].dt if "DTEND" in event else event["DTSTART"].dt)
            for event in icalendar.Calendar.from_ical(data).walk("VEVENT")
        }
        for name, data in site.items()
        if name.endswith(".ics")
    }


def test_another_language_changes_no_identity_and_no_day(spanish: dict[str, bytes], english: dict[str, bytes]) -> None:
    """A calendar that is subscribed to keeps its days when the household changes its language."""
    assert events(spanish) == events(english)
    assert any(events(english).values())


def test_what_machines_read_keeps_its_columns(spanish: dict[str, bytes], english: dict[str, bytes]) -> None:
    """The heads of the table and its days are the same in any language."""

    def columns(site: dict[str, bytes]) -> list[str]:
        return [line.split(",")[1] for line in site["plan.csv"].decode().splitlines()[1:] if line.count(",") > 5]

    assert spanish["plan.csv"].splitlines()[0] == english["plan.csv"].splitlines()[0]
    assert sorted(columns(spanish)) == sorted(columns(english))


def test_the_reminders_are_spanish_too(spanish: dict[str, bytes]) -> None:
    """What a phone shows is in the language of the household, task names of the shelf included."""
    feed = spanish["feeds/reminders.ics"].decode().replace("\r\n ", "")

    assert "SUMMARY:" in feed
    assert "Look at" not in feed
    assert "Counted from a day" not in feed


def test_a_week_that_begins_on_sunday_has_other_pages() -> None:
    """`week starts` moves the pages of the weeks and what stands on them."""
    files = make_site(spoken(ENGLISH, week_starts=6), THEMES / "box-tag")
    firsts = {date.fromisoformat(name[6:16]) for name in files if name.startswith("weeks/")}

    assert {day.weekday() for day in firsts} == {6}


def test_a_southern_site_says_the_drop_after_bloom() -> None:
    """No page of a place in the south speaks of a drop in June; what is there says it by bloom."""
    files = make_site(spoken(Tongue(south=True)), THEMES / "box-tag")
    whole = "\n".join(page for _name, page in pages(files))

    assert "The drop after bloom" in whole
    assert "June drop" not in whole.replace("June drop and premature apple drop", "")  # the title of a source


# The strongest check: what is not in the catalogue shows


def strings(thing: object, seen: set[int]) -> Iterator[str]:
    """Yield every text in a value and all that hangs on it."""
    if isinstance(thing, str):
        yield thing
    elif isinstance(thing, Enum) or id(thing) in seen:
        return
    elif isinstance(thing, Struct):
        seen.add(id(thing))
        for field in thing.__struct_fields__:
            if field not in {"tongue", "where", "own_theme"}:
                yield from strings(getattr(thing, field), seen)
    elif isinstance(thing, dict):
        for key, value in thing.items():
            yield from (*strings(key, seen), *strings(value, seen))
    elif isinstance(thing, list | tuple | set | frozenset):
        for part in thing:
            yield from strings(part, seen)


SAID_TO_BE_ENGLISH = r"<(\w+)[^>]*\blang=\"en\"[^>]*>.*?</\1>"
UNMARKED = re.compile(r"[^\W\d_]{2,}")
ALLOWED = {
    "place.md",  # names of files and keys, which stay as they are written
    "records",
    "plan.csv",
    "plan.json",
    "changes.atom",
    "lb",  # units that are the same in every language
    "psi",
    "lbf",
    "kg",
    "ft",
    "site address",
    ".ics",
    "text/calendar; charset=utf-8",
    ".atom",
    "application/atom+xml",
    ".nojekyll",
    "feeds/",
    "robots.txt",
    "Google Calendar",  # names of calendar apps
    "Firmripe",
}


SPOKEN_OF = r"(?:aria-label|title|alt|placeholder|data-(?!who|at|ticks|note|asks|for)[a-z]+)=\"([^\"]*)\""
TO_NOTE = r'<code class="line">.*?</code>'


def without_marked(text: str) -> str:
    """Take out what stands between marks, from the inside out."""
    while (shorter := re.sub(r"⟦[^⟦⟧]*⟧", " ", text)) != text:
        text = shorter
    return text


@pytest.mark.parametrize("theme", ["box-tag", "plain"])
def test_no_word_of_the_site_is_forgotten(theme: str, marked_plan: Plan) -> None:
    """In a made-up language all words of pages are marked but the household's own, names, and what says it is English.

    The household's own words are all texts of its holding that are no messages, and parts of them; `ALLOWED` are names.
    A line to note is in the records' own words.
    The drawing's names are cut short, and stand whole in its table; names of feeds are names of files.
    """
    plan = marked_plan
    own = {
        part.strip()
        for text in (*strings(plan.holding, set()), *map(str, plan.holding.sources.values()))
        for part in (text, *text.splitlines(), *re.split("[,;]", text), text[:1].upper() + text[1:])
    }
    own |= {with_ranges(text) for text in own}
    own = {text for text in own | ALLOWED if UNMARKED.search(text) and text not in known()}
    pattern = re.compile("|".join(rf"(?<!\w){re.escape(text)}(?!\w)" for text in sorted(own, key=len, reverse=True)))
    lines: dict[str, str] = {}
    for name, page in pages(make_site(plan, THEMES / theme)):
        whole = re.sub(r'<span class="w">([^<]*)</span>', r"\1", page)  # a code in one piece is a part of its sentence
        shown = re.sub(r"<(script|style)[^>]*>.*?</\1>", "", whole, flags=re.DOTALL)
        shown = re.sub(
            rf"{SAID_TO_BE_ENGLISH}|<text class=\"name\".*?</text>|{TO_NOTE}|[\w-]+\.ics", "", shown, flags=re.DOTALL
        )
        spoken_of = re.findall(SPOKEN_OF, shown)
        for part in (re.sub(r"</?(?:time|strong|code)\b[^>]*>", "", shown), *spoken_of):
            lines |= {line.strip(): name for line in re.split(r"<[^>]*>|\n", without_marked(part))}
    left = {pattern.sub(" ", html.unescape(line)): name for line, name in lines.items() if UNMARKED.search(line)}
    forgotten = {line: name for line, name in left.items() if UNMARKED.search(line)}

    assert forgotten == {}


def test_the_example_in_english_says_what_it_always_said(english: dict[str, bytes]) -> None:
    """English pages are marked as such and have no field left open."""
    for name, page in pages(english):
        assert '<html lang="en">' in page, name
        assert not re.search(r">[^<]*(?:%\(\w+\)s|\{\w+\})[^<]*<", page), name


def test_feeds_are_made_in_the_household_s_language(marked_plan: Plan) -> None:
    """Titles, notes and the names of the calendars themselves."""
    plan = marked_plan
    feeds = make_feeds(plan, Ledger(), plan.changed)
    text = feeds.files["feeds/reminders.ics"].decode().replace("\r\n ", "")

    assert "SUMMARY:⟦Look at⟧" in text
    assert "⟦An estimate: " in text


@pytest.mark.parametrize(
    ("lines", "code", "month_first"),
    [
        ("", "en", False),
        ("language: en\n", "en", False),
        ("language: ES\n", "es", False),
        ("dates: Aug 28\n", "en", True),
    ],
    ids=["nothing said", "English", "Spanish", "month first"],
)
def test_the_place_says_which_language_and_order(
    lines: str,
    code: str,
    month_first: bool,  # noqa: FBT001 - a value of the table
    holding_of: Callable[..., Holding],
) -> None:
    """Capitals don't matter; without the keys it is English with the day first."""
    tongue = holding_of({"place.md": f"---\nname: Home\n{lines}---\n", "trees/A.md": TREE}).place.tongue

    assert (tongue.code, tongue.month_first, tongue.metric) == (code, month_first, False)


def test_the_place_says_units_and_hemisphere_to_the_language(holding_of: Callable[..., Holding]) -> None:
    """Metric first and southern words follow from what the place says anyway."""
    place = "---\nunits: metric\nlatitude: 42 S\n---\n"
    tongue = holding_of({"place.md": place, "trees/A.md": TREE}).place.tongue

    assert (tongue.metric, tongue.south) == (True, True)
