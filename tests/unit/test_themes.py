"""A household's own theme over the one it names, and a plain theme as the proof of what a theme may rely on."""

from __future__ import annotations

import html
import os
import posixpath
import re
import sys
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from urllib.parse import unquote, urlsplit
from xml.etree.ElementTree import Element

import html5lib
import jinja2
import jinja2.meta
import pytest
from conftest import EXAMPLE_DAY, ROOT, write_notes
from msgspec import Struct
from msgspec.structs import replace

from firmripe import build
from firmripe.build import check_notes, plan_of, write_plan
from firmripe.holding.theme import OwnTheme
from firmripe.plan import Plan
from firmripe.preview import Preview, Shown, watch
from firmripe.problems import FaultyNotes
from firmripe.publish import bounded, compiled
from firmripe.publish import site as publish_site
from firmripe.publish.compiled import Compiled
from firmripe.publish.pages.asks import Ask
from firmripe.publish.pages.context import PageContext
from firmripe.publish.pages.front import front_page
from firmripe.publish.paths import Paths
from firmripe.publish.sandbox import Sandbox
from firmripe.publish.site import make_site
from firmripe.publish.theming import Theme, ThemeFault
from firmripe.reading import own_theme
from firmripe.shipped import theme_folder, theme_names
from firmripe.tongue import IN_ENGLISH

USUAL, PLAIN = ROOT / "themes" / "box-tag", ROOT / "themes" / "plain"
PLAIN_TEMPLATES = sorted((PLAIN / "templates").glob("*.html"))
DAY = date(2027, 6, 1)
NOTES = {"trees/1-01.md": "---\ncultivar: Bartlett\n---\n", "place.md": "---\nname: Home\n---\n"}
OVER_BASE = '{% extends "box-tag/base.html" %}{% block head %}<meta name="author" content="Wren">{% endblock %}'


@dataclass(frozen=True)
class Household:
    """A small household's folder, and where its site goes."""

    notes: Path
    out: Path

    def build(self) -> dict[str, str]:
        """Build the site and return its text files."""
        plan = plan_of(self.notes, 2027, DAY)
        write_plan(plan, self.notes, self.out)
        return self.site()

    def site(self) -> dict[str, str]:
        """Return the text files of the site as they stand."""
        return {
            path.relative_to(self.out).as_posix(): path.read_text(encoding="utf-8")
            for path in self.out.rglob("*")
            if path.suffix in {".html", ".css", ".txt"}
        }


@pytest.fixture
def household_of(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Household]:
    """Return a function from further notes to a household over a small shelf."""
    monkeypatch.setattr(build, "shelf_folder", lambda: ROOT / "tests" / "shelf_small")

    def household(files: dict[str, str]) -> Household:
        return Household(write_notes(tmp_path / "notes", NOTES | files), tmp_path / "site")

    return household


def told(household: Household) -> str:
    """Return the first line of what is wrong with the notes, as `check` finds it too."""
    with pytest.raises(FaultyNotes) as caught:
        plan_of(household.notes, 2027, DAY)
    assert check_notes(household.notes, DAY).problems == caught.value.problems
    return str(caught.value).split("\n", 1)[0]


# One template, tokens and files of the household's own


def test_a_single_template_goes_before_the_themes(household_of: Callable[..., Household]) -> None:
    """One page is the household's, all others stay as they are, and nothing is said of a wrong folder."""
    without = household_of({}).build()
    household = household_of({"theme/templates/jobs.html": "<!doctype html><title>Own</title>{{ site.name }}"})
    with_own = household.build()

    assert with_own["jobs.html"] == "<!doctype html><title>Own</title>Home"
    assert {name for name in without if without[name] != with_own[name]} == {"jobs.html"}
    assert [said for said in check_notes(household.notes, DAY).warnings if "theme" in str(said)] == []


def test_the_themes_template_is_reached_by_the_themes_name(household_of: Callable[..., Household]) -> None:
    """The household's base goes under every page of the theme, and leans on the theme's own base."""
    site = household_of({"theme/templates/base.html": OVER_BASE}).build()
    whole = [name for name in site if name.endswith(".html") and "<nav" in site[name]]

    assert {"index.html", "trees/1-01.html"} <= set(whole)
    assert [name for name in ("index.html", "jobs.html", "trees/1-01.html") if 'content="Wren"' not in site[name]] == []
    assert '<h1><time datetime="2027-06-01">' in site["index.html"]


def test_a_page_leans_on_the_themes_page_and_on_the_households_base(household_of: Callable[..., Household]) -> None:
    """Own over the theme over own: each name is looked for anew."""
    own = '{% extends "box-tag/jobs.html" %}{% block title %}Our jobs{% endblock %}'
    site = household_of({"theme/templates/jobs.html": own, "theme/templates/base.html": OVER_BASE}).build()

    assert "<title>Our jobs – Home</title>" in site["jobs.html"]
    assert 'content="Wren"' in site["jobs.html"]


def test_own_tokens_come_after_the_themes(household_of: Callable[..., Household]) -> None:
    """They stand at the end of the theme's style sheet, so every page that has it has them."""
    theirs = (USUAL / "static" / "box-tag.css").read_text(encoding="utf-8")
    site = household_of({"theme/tokens.css": ":root { --ink: navy; }\n"}).build()

    assert site["static/box-tag.css"] == f"{theirs}\n:root {{ --ink: navy; }}\n"


def test_own_files_are_copied_beside_the_themes(household_of: Callable[..., Household]) -> None:
    """A file of the theme's name takes its place; hidden files and a note on the folder are left out."""
    files = {"static/sub/a.txt": "A", "static/box-tag.css": "/* own */", "static/.hidden.txt": "x", "README.md": "x"}
    site = household_of({f"theme/{name}": text for name, text in files.items()}).build()

    assert site["static/sub/a.txt"] == "A"
    assert site["static/box-tag.css"] == "/* own */"
    assert "static/.hidden.txt" not in site


def test_what_a_build_makes_of_the_notes_is_no_file_of_a_theme(
    household_of: Callable[..., Household], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The names and trees that the pages' scripts look up are the plan's, whatever a household calls its files."""
    monkeypatch.setattr(publish_site, "trees_script", lambda _context: b"made")
    household = household_of({"theme/static/trees.js": "own", "theme/static/names.js": "own"})
    household.build()

    assert (household.out / "static" / "trees.js").read_text(encoding="utf-8") == "made"
    assert "firmripeNames" in (household.out / "static" / "names.js").read_text(encoding="utf-8")


# What goes wrong


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("jobs.html", "\n\n{% if %}", "theme/templates/jobs.html:3: Expected an expression"),
        ("jobs.html", "\n{{ view.weather }}", "theme/templates/jobs.html:2: "),
        ("jobs.html", "{{ 1 // 0 }}", "theme/templates/jobs.html:1: "),
        ("jobs.html", "\n{{ 1 + 'a' }}", "theme/templates/jobs.html:2: "),
        ("jobs.html", '\n{% extends "nowhere.html" %}', "theme/templates/jobs.html:2: nowhere.html"),
        ("jobs.html", '{% extends "jobs.html" %}', "theme/templates/jobs.html:1: the templates lead back"),
        ("base.html", "\n{{ nothing }}{% block main %}{% endblock %}", "theme/templates/base.html:2: 'nothing' is"),
        ("_parts.html", "{% macro window(dated) %}\n{{ dated.nothing }}{% endmacro %}", ""),
        ("jobs.html", "{{ ''.__class__.__mro__ }}", "theme/templates/jobs.html:1: access to attribute '__class__'"),
        ("jobs.html", '{% include "../../place.md" %}', "theme/templates/jobs.html:1: ../../place.md"),
        ("jobs.html", '{% include "box-tag/../place.md" %}', "theme/templates/jobs.html:1: box-tag/../place.md"),
        (
            "jobs.html",
            '\n{% extends "ledger/base.html" %}',
            "theme/templates/jobs.html:2: ledger/base.html: this theme is called box-tag now: write box-tag/base.html",
        ),
        ("jobs.html", '{% include "\x1b[2J" %}', "theme/templates/jobs.html:1:  [2J"),
        ("jobs.html", "{% for i in range(1000000) %}{% endfor %}", "theme/templates/jobs.html:1: Range too big"),
    ],
)
def test_a_broken_template_of_the_household_is_named_and_the_former_site_stands(
    household_of: Callable[..., Household], name: str, text: str, said: str
) -> None:
    """File and line are told, nothing is reached that no view holds, and nothing is written."""
    household = household_of({})
    former = household.build()
    write_notes(household.notes, {f"theme/templates/{name}": text})

    with pytest.raises(ThemeFault) as caught:
        household.build()
    assert str(caught.value).startswith(said)
    assert re.match(r"(theme|box-tag)/templates/\w+\.html:\d+: ", str(caught.value))
    assert household.site() == former


TWICE = (
    "{% set n = namespace(x=(1,), y=(1,)) %}"
    "{% for i in range(60) %}{% set n.x = (n.x, n.x) %}{% set n.y = (n.y, n.y) %}{% endfor %}"
)
"""Two things with little in them that are sixty times doubled, and take for ever to look through."""


@pytest.mark.parametrize(
    "text",
    [
        "{% for a in range(90000) %}{% for b in range(90000) %}{% endfor %}{% endfor %}",
        "{% for a in range(90000) %}{% for b in range(90000) if b < 0 %}{% endfor %}{% endfor %}",
        "{% macro m(n) %}{% if n %}{{ m(n - 1) }}{{ m(n - 1) }}{% endif %}{% endmacro %}{{ m(60) }}",
        "{% for a in [[[[1]]]] recursive %}{{ loop([[[[1]]]]) }}{{ loop([[[[1]]]]) }}{% endfor %}",
        "{% for a in range(9000) %}" + "x" * 9000 + "{% endfor %}",
        "{{ 10 ** 10 ** 10 }}",
        "{{ 'x' * 10 ** 10 }}",
        "{{ [1] * 10 ** 9 }}",
        "{{ 9 ** 60 * 'x' }}",
        "{{ '%1000000000d' % 1 }}",
        "{{ '%*d' % (1000000000, 1) }}",
        "{{ '{:1000000000}'.format(1) }}",
        "{{ '%1000000000d'|format(1) }}",
        "{{ 'x'.ljust(1000000000) }}",
        "{{ 'x'|center(1000000000) }}",
        "{{ '\\t'.expandtabs(1000000000) }}",
        "{% set ns = namespace(x='xx') %}{% for i in range(60) %}{% set ns.x = ns.x ~ ns.x %}{% endfor %}",
        "{% set ns = namespace(x='xx') %}{% for i in range(60) %}{% set ns.x = ns.x + ns.x %}{% endfor %}",
        "{% set ns = namespace(x=[1]) %}{% for i in range(60) %}{% set ns.x = [ns.x, ns.x] %}{% endfor %}{{ ns.x }}",
        "{% set n = namespace(x=[1]) %}{% for i in range(60) %}{% set n.x = [n.x, n.x] %}{% endfor %}{{ n.x|string }}",
        "{% set t = 'x' * 100000 %}{{ t.replace('x', t) }}",
        "{% set t = 'x' * 100000 %}{{ t|replace('x', t) }}",
        "{% set t = 'x' * 100000 %}{{ range(99999)|join(t) }}",
        "{% set t = 'x' * 100000 %}{{ t.join(t) }}",
        "{% for i in range(99999) %}{{ range(99999)|sum }}{% endfor %}",
        "{% for i in range(99999) %}{{ range(99999)|map('string')|map('upper')|list|length }}{% endfor %}",
        "{{ '{:900000000}'['format'](1) }}",
        "{{ (['{:900000000}']|map(attribute='format')|first)(1) }}",
        "{{ '{:{w}}'.format(1, w='900000000') }}",
        "{{ '{:{a}{b}}'.format(1, a=9999, b=9999) }}",
        "{{ '{:{w}}'.format_map({'w': 900000000}) }}",
        "{{ ('{x}' * 1000).format(x='x' * 1000000) }}",
        "{{ ('%(x)s' * 1000) % {'x': 'x' * 1000000} }}",
        "{{ ('%(x)s' * 1000)|format(x='x' * 1000000) }}",
        "{{ '%s%s%s%s%s%s%s%s%s%s%s'|format(*(['x' * 1000000] * 11)) }}",
        "{{ _('%(n)900000000d', n=1) }}",
        "{{ ngettext('%(n)900000000d', '%(n)900000000d', 1, n=1) }}",
        "{% set x = 'x' * 1000000 %}{% trans x=x %}" + "{{ x }}" * 1000 + "{% endtrans %}",
        "{{ ('\t' * 100000)['expandtabs'](99999) }}",
        "{{ ('a' * 100000)['translate']({97: 'x' * 1000000}) }}",
        "{{ ('é' * 100000)['encode']('punycode') }}",
        "{{ ('x' * 1900000)|wordwrap(1) }}",
        "{% set t = 'x' * 1900000 %}{% for i in range(99999) %}{{ 'y' in t }}{% endfor %}",
        "{% set t = 'x' * 1900000 %}{% for i in range(99999) %}{{ 'y' is in t }}{% endfor %}",
        "{% set t = 'x' * 1900000 %}{% for i in range(99999) %}{% set u = t[1:] %}{% endfor %}",
        TWICE + "{{ n.x == n.y }}",
        TWICE + "{{ {n.x: 1} }}",
        TWICE + "{{ {1: 1}[n.x] }}",
        TWICE + "{{ {1: 1}.get(n.x) }}",
        TWICE + "{% for i in range(2) %}{{ loop.changed(n.x) }}{% endfor %}",
        TWICE + "{{ '%s' % (n.x,) }}",
    ],
)  # fmt: skip
def test_a_template_that_runs_on_and_on_is_named(text: str) -> None:
    """It ends after so many turns or signs, on every computer at the same place, and takes neither hours nor memory."""
    sandbox = Theme(IN_ENGLISH, USUAL, OwnTheme(templates={"loop.html": text}))

    with pytest.raises(ThemeFault) as caught:
        sandbox.render("loop.html")
    assert re.match(r"theme/templates/loop\.html:1: ", str(caught.value))


def test_what_pages_need_is_to_be_had() -> None:
    """The bounds leave forms, comparisons, parts and large numbers as they are."""
    text = (
        "{{ 1000000 ~ ' ' }}{{ 150000 > 9 }} {{ 'abcd'[1:] }} {{ 'b' in 'abc' }} {{ 3 is odd }} {{ {'a': 7}['a'] }}"
        " {{ '.w{{top:{t}}}'.format(t=3) }} {{ '%.1f lb' % 2.25 }} {{ _('%(n)s lb', n=1000000) }} {{ x is defined }}"
    )
    own = OwnTheme(templates={"page.html": text})

    assert Theme(IN_ENGLISH, USUAL, own).render("page.html") == (
        "1000000 True bcd True True 7 .w{top:3} 2.2 lb 1000000 lb False"
    )


def test_pages_of_a_household_as_large_as_any_stay_within_the_bounds(example_plan: Plan) -> None:
    """The shipped pages, laid over themselves as a household's own, come to the same bytes at a tenth of the most."""
    own = OwnTheme(templates={p.name: p.read_text(encoding="utf-8") for p in (USUAL / "templates").iterdir()})
    plain = replace(example_plan, holding=replace(example_plan.holding, own_theme=OwnTheme()))
    laid = replace(example_plan, holding=replace(example_plan.holding, own_theme=own))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(bounded, "MOST_WORK", bounded.MOST_WORK // 10)
        over = make_site(laid, USUAL)

    assert over == make_site(plain, USUAL)


def test_what_one_sandbox_compiled_is_not_taken_by_the_other(tmp_path: Path) -> None:
    """Or a page that was shown without bounds would be without them beside a household's own templates as well."""
    text = "{% for a in range(90000) %}{% for b in range(30) %}{% endfor %}{% endfor %}."
    theme = write_notes(tmp_path / "box-tag", {"templates/loop.html": text})

    assert Theme(IN_ENGLISH, theme, OwnTheme()).render("loop.html") == "."
    with pytest.raises(ThemeFault, match="goes on and on"):
        Theme(IN_ENGLISH, theme, OwnTheme(templates={"other.html": ""})).render("loop.html")


def test_what_is_drawn_by_lot_is_not_to_be_had() -> None:
    """The same notes give the same pages."""
    for text in ("{{ [1, 2]|random }}", "{{ lipsum(1) }}"):
        with pytest.raises(ThemeFault):
            Theme(IN_ENGLISH, USUAL, OwnTheme(templates={"chance.html": text})).render("chance.html")


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("theme/templates/jobs.txt", "theme/templates/jobs.txt: this is no template"),
        ("theme/templates/sub/jobs.html", "theme/templates/sub: this is no template"),
        ("theme/templates/jobs.html/x", "theme/templates/jobs.html: this is a folder where a template belongs"),
        ("theme/tokens.css/x", "theme/tokens.css: this is a folder where a style sheet belongs"),
        ("theme/tokens.scss", "theme/tokens.scss: nothing of this name is read here"),
        ("theme/static", "theme/static: this is a file where a folder belongs"),
        ("theme", "theme: this is a file where a folder belongs"),
        ("Themes/templates/jobs.html", 'Themes: the folder "Themes" is not read'),
    ],
)
def test_what_no_theme_has_is_told(household_of: Callable[..., Household], name: str, said: str) -> None:
    """A file that would silently be nothing is named."""
    assert told(household_of({name: "x"})) == said


@pytest.mark.parametrize(
    ("name", "size", "said"),
    [
        ("templates/jobs.html", 200_001, "the file is longer than 200 kB"),
        ("tokens.css", 200_001, "the file is longer than 200 kB"),
        ("static/a.txt", 2_000_001, "the file is longer than 2,000 kB"),
    ],
)
def test_a_file_has_its_greatest_length(
    household_of: Callable[..., Household], name: str, size: int, said: str
) -> None:
    """One byte more is told; as many as that are read."""
    household = household_of({f"theme/{name}": "x" * size})

    assert told(household) == f"theme/{name}: {said}"
    write_notes(household.notes, {f"theme/{name}": "x" * (size - 1)})
    assert plan_of(household.notes, 2027, DAY).holding.own_theme != OwnTheme()


def test_all_files_together_have_a_greatest_length_and_number(
    household_of: Callable[..., Household], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever names their whole music folder static/ is told so."""
    household = household_of({f"theme/static/{n}.txt": "x" * 10 for n in range(5)})

    monkeypatch.setattr(own_theme, "MOST_FILES", 4)
    assert told(household) == "theme/static: more than 4 files and folders lie here"
    monkeypatch.setattr(own_theme, "MOST_FILES", 5)
    assert len(plan_of(household.notes, 2027, DAY).holding.own_theme.static) == 5
    monkeypatch.setattr(own_theme, "LARGEST_ALL", 49)
    assert told(household) == "theme/static: the files here are longer than 0 kB"


@pytest.mark.parametrize(
    "name", ["theme", "theme/templates", "theme/templates/jobs.html", "theme/static/a", "theme/tokens.css"]
)
def test_a_link_out_of_the_folder_is_refused(household_of: Callable[..., Household], tmp_path: Path, name: str) -> None:
    """Whoever publishes notes of others would publish what it leads to."""
    household = household_of({})
    outside = tmp_path / "outside"
    if Path(name).suffix:
        outside.write_text("secret", encoding="utf-8")
    else:
        outside.mkdir()
    link = household.notes / name
    link.parent.mkdir(parents=True, exist_ok=True)
    link.symlink_to(outside)

    assert told(household) == f"{name}: this link leads out of the notes' folder"
    link.unlink()
    link.symlink_to(tmp_path / "gone")
    assert told(household) == f"{name}: this link leads nowhere"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no such files here")
def test_what_is_no_file_is_not_waited_for(household_of: Callable[..., Household]) -> None:
    """A pipe among the files would never end."""
    household = household_of({"theme/static/a.txt": "A"})
    os.mkfifo(household.notes / "theme" / "static" / "b")

    assert told(household) == "theme/static/b: this is neither a file nor a folder where a file belongs"


# The preview


def test_the_preview_follows_the_households_theme(household_of: Callable[..., Household]) -> None:
    """A saved template is shown, and a broken one told above the last good page."""
    household = household_of({"theme/templates/jobs.html": "<body>first"})
    preview = Preview(lambda: plan_of(household.notes, 2027, DAY))
    preview.rebuild()
    assert b"first" in preview.page("/jobs.html")[2]
    told_of: list[Shown] = []
    stop = threading.Event()

    def tell(shown: Shown) -> None:
        told_of.append(shown)

    thread = threading.Thread(target=watch, args=(household.notes, preview, tell, stop))
    thread.start()
    try:
        for attempt in range(40):  # the watch may not have begun at the first
            write_notes(household.notes, {"theme/templates/jobs.html": f"<body>second {attempt}"})
            if stop.wait(0.5) or any(b"second" in preview.page("/jobs.html")[2] for _ in told_of):
                break
    finally:
        stop.set()
        thread.join()
    assert b"second" in preview.page("/jobs.html")[2]
    write_notes(household.notes, {"theme/templates/jobs.html": "{% if %}"})
    assert preview.rebuild().fault.startswith("theme/templates/jobs.html:1: ")
    assert b"second" in preview.page("/jobs.html")[2]


# The theme by name


def test_place_names_the_theme(household_of: Callable[..., Household]) -> None:
    """Without a name it is the usual one; capitals don't matter."""
    assert "static/box-tag.css" in household_of({}).build()
    site = household_of({"place.md": "---\nname: Home\ntheme: Plain\n---\n"}).build()

    assert 'href="static/plain.css"' in site["index.html"]
    assert theme_names() == ("box-tag", "plain")
    assert theme_folder("plain") == PLAIN


def test_a_theme_that_is_not_there_is_told_with_those_that_are(household_of: Callable[..., Household]) -> None:
    """The line is shown, and what can be written."""
    household = household_of({"place.md": "---\nname: Home\ntheme: ../secret\n---\n"})

    assert told(household) == 'place.md:3: there is no theme "../secret"'
    with pytest.raises(FaultyNotes, match="write box-tag or plain"):
        plan_of(household.notes, 2027, DAY)


def test_the_former_name_of_the_usual_theme_is_told_with_its_new_one(household_of: Callable[..., Household]) -> None:
    """In place.md, in an own template (above) and in the name of an own file, none of which would be read as meant."""
    household = household_of({"place.md": "---\nname: Home\ntheme: Ledger\n---\n"})
    assert told(household) == 'place.md:3: the theme "Ledger" is called box-tag now'
    household = household_of({"theme/static/ledger.css": "/* own */"})
    assert told(household) == "theme/static/ledger.css: the theme's file is called box-tag.css now"


def test_a_preview_has_the_theme_of_the_place(household_of: Callable[..., Household]) -> None:
    """It looks as the site will."""
    household = household_of({"place.md": "---\ntheme: plain\n---\n"})
    preview = Preview(lambda: plan_of(household.notes, 2027, DAY))
    preview.rebuild()

    assert b"static/plain.css" in preview.page("/")[2]


# A theme that has not every page


def test_a_page_that_a_theme_has_not_is_the_usual_ones_whole(
    example_plan: Plan, example_site: dict[str, bytes], tmp_path: Path
) -> None:
    """With that theme's base, parts and style, so that a new page breaks no theme; other pages stay the theme's."""
    (tmp_path / "box-tag").symlink_to(USUAL)
    bare = tmp_path / "bare"
    write_notes(bare, {"templates/base.html": "<p>bare", "templates/front.html": '{% extends "base.html" %}'})
    plan = replace(example_plan, holding=replace(example_plan.holding, own_theme=OwnTheme(tokens="/* own */")))
    site, whole = make_site(plan, bare), example_site

    assert site["index.html"] == b"<p>bare"
    assert site["jobs.html"] == whole["jobs.html"]
    assert site["static/box-tag.css"] == whole["static/box-tag.css"] + b"\n/* own */"
    assert set(site) - {"static/bare.css"} == set(whole)


def test_the_usual_style_comes_only_with_its_pages(tmp_path: Path) -> None:
    """A theme that has its page brings nothing else along."""
    (tmp_path / "box-tag").symlink_to(USUAL)
    write_notes(tmp_path / "bare", {"templates/front.html": "x", "static/bare.css": "y"})
    theme = Theme(IN_ENGLISH, tmp_path / "bare", OwnTheme())

    assert theme.render("front.html") == "x"
    assert theme.static() == {"bare.css": b"y"}


def test_a_page_that_nobody_has_is_named(tmp_path: Path) -> None:
    """Without the usual theme beside it a theme must have every page."""
    write_notes(tmp_path / "bare", {"templates/front.html": "x"})

    with pytest.raises(ThemeFault, match=r"^bare/templates/jobs\.html: "):
        Theme(IN_ENGLISH, tmp_path / "bare", OwnTheme()).render("jobs.html")


# The plain theme


NEAR = {"place.md": "---\nname: Home\nzone: 6b\nlatitude: 42 N\nelevation: 600 ft\n---\n"}


@dataclass(frozen=True)
class Rendered:
    """The files of the plain site, and each template with what it was given and what it made."""

    files: dict[str, bytes]
    pages: list[tuple[str, object, str]]


@pytest.fixture(scope="module")
def plain(example_plan: Plan) -> Rendered:
    """Return the example in the plain theme."""
    pages: list[tuple[str, object, str]] = []
    render = Theme.render

    def noting(self: Theme, page: str, **given: object) -> str:
        text = render(self, page, **given)
        pages.append((page, given["view"], text))
        return text

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Theme, "render", noting)
        files = make_site(example_plan, PLAIN)
    return Rendered(files, pages)


def parsed(page: bytes) -> Element:
    """Return a page's tree. Raises html5lib's ParseError at the first fault."""
    tree: Element = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page.decode("utf-8"))
    return tree


def cautions(view: object, name: str = "") -> Iterator[str]:
    """Yield every text of a view that must be shown because something can hurt, spoil or be forbidden."""
    if name in {"clash", "alert"} and isinstance(view, str):
        yield view
    elif name in {"cautions", "warnings"} and isinstance(view, tuple):
        for one in view:
            yield one if isinstance(one, str) else one[-1] if isinstance(one, tuple) else one.text
    elif isinstance(view, Ask):
        yield from (*view.held, *(text for hazard in view.hazards for text in hazard.texts))
    elif isinstance(view, Struct):
        for field in view.__struct_fields__:
            yield from cautions(getattr(view, field), field)
    elif isinstance(view, tuple):
        for one in view:
            yield from cautions(one)


def even(text: str) -> str:
    """Return a text with its spaces evened out."""
    return " ".join(text.split())


def test_the_plain_theme_has_every_page(plain: Rendered, example_site: dict[str, bytes]) -> None:
    """The same pages as in the usual theme, each strictly valid, with a heading and the day it was made on."""
    trees = {name: parsed(data) for name, data in plain.files.items() if name.endswith(".html")}

    assert set(trees) == {name for name in example_site if name.endswith(".html")}
    assert [name for name, tree in trees.items() if not tree.findall(".//h1")] == []
    made = EXAMPLE_DAY.isoformat()
    assert [name for name, tree in trees.items() if f'datetime="{made}"' not in plain.files[name].decode()] == []


def test_the_plain_theme_shows_every_caution(plain: Rendered) -> None:
    """Whatever a view tells of that can hurt stands on the page, in the theme's own templates."""
    own = {path.name for path in PLAIN_TEMPLATES}
    wanted = [
        (page, caution, even(html.unescape(text)))
        for page, view, text in plain.pages
        if page in own
        for caution in cautions(view)
        if caution
    ]

    assert len({caution for _, caution, _ in wanted}) > 40
    assert {page for page, _, _ in wanted} >= {"front.html", "stretch.html", "task.html", "kind.html", "tree.html"}
    assert [(page, caution) for page, caution, text in wanted if even(caution) not in text] == []


def test_the_plain_theme_says_what_can_hurt_at_a_pick_that_is_asked_after(plan_of: Callable[..., Plan]) -> None:
    """The day it was due on is over, so that no other line of the page tells of ladders."""
    plan = plan_of({"trees/A.md": "---\ncultivar: bartlett\n---\n", **NEAR}, as_of=date(2027, 9, 12))
    (ask,) = front_page(PageContext(plan, Paths(plan), "", set())).asks
    page = even(html.unescape(make_site(plan, PLAIN)["index.html"].decode()))

    assert ask.hazards
    assert [text for text in cautions(ask) if text not in page] == []


def test_the_links_of_the_plain_theme_hold(plain: Rendered) -> None:
    """Each leads to a file of the site, each fragment to an id, and nothing to another host but what was noted."""
    ids = {
        name: {e.attrib["id"] for e in parsed(data).iter() if "id" in e.attrib}
        for name, data in plain.files.items()
        if name.endswith(".html")
    }
    broken = []
    for page, data in plain.files.items():
        if not page.endswith(".html"):
            continue
        for href in (v for e in parsed(data).iter() for k, v in e.attrib.items() if k in {"href", "src"}):
            parts = urlsplit(href)
            if parts.scheme:
                continue
            path = posixpath.normpath(posixpath.join(posixpath.dirname(page), unquote(parts.path)))
            target = path if parts.path else page
            if target not in plain.files or (parts.fragment and parts.fragment not in ids[target]):
                broken.append((page, href))
    assert broken == []


def test_the_plain_theme_shares_nothing_with_the_usual_one() -> None:
    """It leans on the usual theme for pages it has not, and takes nothing from it by name."""
    names = {path.name for path in PLAIN_TEMPLATES}

    assert "dates.html" not in names
    assert [path.name for path in PLAIN_TEMPLATES if "box-tag" in path.read_text(encoding="utf-8")] == []
    assert len((PLAIN / "static" / "plain.css").read_text(encoding="utf-8").splitlines()) < 20


@pytest.mark.parametrize("path", PLAIN_TEMPLATES, ids=lambda p: p.name)
def test_the_plain_theme_keeps_to_the_contract(path: Path) -> None:
    """Two names and the words' own are asked for, nothing is worked out, only clean HTML goes unescaped."""
    text = path.read_text(encoding="utf-8")
    asked = jinja2.meta.find_undeclared_variables(jinja2.Environment(autoescape=True).parse(text))

    assert asked - set(re.findall(r"\{% import \S+ as (\w+) %\}", text)) <= {"site", "view", "_"}
    assert set(re.findall(r"\|\s*([a-z_]+)", text)) <= {"safe", "join"}
    assert {found.strip() for found in re.findall(r"\{\{(.*?)\|\s*safe", text)} <= {"view.text"}
    assert re.search(r"<script|https?:", text) is None


# Code that is kept
# -----------------


@pytest.fixture
def _code_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Let code be kept in a folder of the test's own."""
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    monkeypatch.setattr(sys, "pycache_prefix", str(tmp_path / "kept"))
    yield
    compiled.made_by.cache_clear()


def compiled_page(text: str, *, is_kept: bool = True, name: str = "front.html") -> str:
    """Return what a fresh program makes of a template."""
    others = {"part.html": "mine", "box-tag/part.html": "theirs"}
    loader = jinja2.FunctionLoader(
        lambda asked: (others.get(asked, text), f"box-tag/templates/{asked.rpartition('/')[2]}", lambda: True)
    )
    environment = Sandbox(loader=loader, bytecode_cache=Compiled(is_kept=is_kept), autoescape=True)
    environment.chosen = "plain"
    return environment.get_template(name).render(name="<b>")


def kept_files(top: Path) -> list[Path]:
    """Return the files that are kept."""
    return [path for path in (top / "kept").rglob("*") if path.is_file()]


def compile_nothing(*_given: object) -> None:
    """Stand in for what must not be asked."""
    raise AssertionError


@pytest.mark.usefixtures("_code_is_kept")
def test_a_template_is_compiled_once_and_says_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Kept or not, from a file or afresh."""
    assert compiled_page("for {{ name }}", is_kept=False) == "for &lt;b&gt;"
    assert not kept_files(tmp_path)
    assert compiled_page("for {{ name }}") == "for &lt;b&gt;"
    (path,) = kept_files(tmp_path)
    assert path.suffix == ".pyc"
    monkeypatch.setattr(Sandbox, "compile", compile_nothing)
    assert compiled_page("for {{ name }}") == "for &lt;b&gt;"
    with pytest.raises(AssertionError):
        compiled_page("for {{ name }}", is_kept=False)


@pytest.mark.usefixtures("_code_is_kept")
def test_another_text_another_program_or_a_damaged_file_is_compiled_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is kept is used for its own text alone, by the program that made it, and whole."""
    assert compiled_page("one {{ name }}") == "one &lt;b&gt;"
    assert compiled_page("two {{ name }}") == "two &lt;b&gt;"
    (path,) = kept_files(tmp_path)
    whole = path.read_bytes()
    for damaged in (b"", whole[:20], whole[:-9], whole[:-1] + b"\0", whole.replace(b"name", b"mane")):
        path.write_bytes(damaged)
        assert compiled_page("two {{ name }}") == "two &lt;b&gt;"
        assert path.read_bytes() == whole

    asked = []
    compile_it = Sandbox.compile

    def counted(*given: object, **named: object) -> object:
        asked.append(1)
        return compile_it(*given, **named)  # type: ignore[call-overload]

    monkeypatch.setattr(Sandbox, "compile", counted)
    monkeypatch.setattr(jinja2, "__version__", "0.0")
    compiled.made_by.cache_clear()
    assert compiled_page("two {{ name }}") == "two &lt;b&gt;"
    assert asked == [1]


@pytest.mark.usefixtures("_code_is_kept")
def test_nothing_is_written_where_python_is_told_so_or_nobody_may(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The page is made all the same."""
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    assert compiled_page("for {{ name }}") == "for &lt;b&gt;"
    assert not kept_files(tmp_path)
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    (tmp_path / "kept").write_text("no folder")
    assert compiled_page("for {{ name }}") == "for &lt;b&gt;"


@pytest.mark.usefixtures("_code_is_kept")
def test_a_template_under_two_names_finds_the_others_of_each() -> None:
    """A page that stands in takes its parts from its own theme, whichever of the two was kept first."""
    for _ in range(2):
        assert compiled_page('{% include "part.html" %}') == "mine"
        assert compiled_page('{% include "part.html" %}', name="box-tag/front.html") == "theirs"
