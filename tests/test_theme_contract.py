"""What a theme may rely on: the list in themes/README.md is what the views are, and the templates keep to it."""

from __future__ import annotations

import importlib
import inspect
import re
import shutil
from pathlib import Path
from pkgutil import walk_packages

import jinja2
import jinja2.meta
import pytest
from conftest import ROOT
from msgspec import Struct

import firmripe.publish
from firmripe.plan import Plan
from firmripe.publish.site import make_site
from firmripe.publish.theming import ThemeFault
from firmripe.publish.views import View

README = ROOT / "themes" / "README.md"
USUAL = ROOT / "themes" / "box-tag"
MODULES = [importlib.import_module(one.name) for one in walk_packages(firmripe.publish.__path__, "firmripe.publish.")]
CLASSES = {
    name: found
    for module in MODULES
    for name, found in vars(module).items()
    if isinstance(found, type) and issubclass(found, View) and found is not View
}
TEMPLATES = sorted((USUAL / "templates").glob("*.html"))


def kind_words(kind: str) -> str:
    """Return a field's type as the list says it."""
    if match := re.fullmatch(r"(.+) \| None", kind):
        return f"{kind_words(match[1])} or none"
    if match := re.fullmatch(r"tuple\[(.+), \.\.\.\]", kind):
        return f"list of {kind_words(match[1])}"
    if match := re.fullmatch(r"tuple\[(.+)\]", kind):
        return f"({', '.join(kind_words(part) for part in re.split(r', (?![^[]*])', match[1]))})"
    return {"str": "text", "bool": "yes or no", "int": "number"}.get(kind, f"`{kind}`")


def fields_of(view: type[View]) -> dict[str, str]:
    """Return the kind of each field of a view, as its module has it, in order."""
    told = {name: kind for of in reversed(view.__mro__) for name, kind in inspect.get_annotations(of).items()}
    return {name: told[name] for name in view.__struct_fields__}


def listed() -> dict[str, list[tuple[str, str, str]]]:
    """Return the fields that the list names for each class: name, kind and meaning."""
    found: dict[str, list[tuple[str, str, str]]] = {}
    for line in README.read_text(encoding="utf-8").splitlines():
        if line.startswith("### "):
            found[line[4:]] = []
        elif match := re.fullmatch(r"\| `(\w+)` \| (.+?) \| (.+) \|", line):
            found[list(found)[-1]].append((match[1], match[2], match[3]))
    return found


def test_the_list_names_every_view() -> None:
    """No view is left out, and none is made up."""
    assert set(listed()) == set(CLASSES)


@pytest.mark.parametrize("name", CLASSES)
def test_the_list_names_every_field_of_a_view(name: str) -> None:
    """Field by field, in order, each with its kind and a meaning."""
    rows = listed().get(name, [])

    assert [(field, kind) for field, kind, _ in rows] == [
        (field, kind_words(kind)) for field, kind in fields_of(CLASSES[name]).items()
    ]
    assert all(meaning.strip() for _, _, meaning in rows)


@pytest.mark.parametrize("name", CLASSES)
def test_views_are_frozen(name: str) -> None:
    """No template can change what another sees."""
    assert CLASSES[name].__struct_config__.frozen


@pytest.mark.parametrize("name", CLASSES)
def test_a_view_tells_all_of_itself(name: str) -> None:
    """What a view shows of itself is all that a template can see of it: by that a page is found again."""
    kinds_of = {word for kind in fields_of(CLASSES[name]).values() for word in re.findall(r"\w+", kind)}

    assert CLASSES[name].__repr__ is Struct.__repr__
    assert kinds_of <= {"str", "int", "bool", "None", "tuple", *CLASSES}


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda p: p.name)
def test_a_template_asks_for_nothing_but_site_and_view(path: Path) -> None:
    """A template is given two names, and a function for its words."""
    text = path.read_text(encoding="utf-8")
    asked = jinja2.meta.find_undeclared_variables(jinja2.Environment(autoescape=True).parse(text))

    assert asked - set(re.findall(r"\{% import \S+ as (\w+) %\}", text)) <= {"site", "view", "_", "ngettext", "self"}


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda p: p.name)
def test_a_template_works_nothing_out(path: Path) -> None:
    """No sorting, filtering or choosing by value stands in a template, only joining words and their capitals."""
    text = path.read_text(encoding="utf-8")

    assert set(re.findall(r"\|\s*([a-z_]+)", text)) <= {"safe", "join", "lower", "upper", "length"}
    assert re.findall(r"<script[^>]*>[^<]", text) == []
    assert [tag for tag in re.findall(r"<script[^>]*>", text) if " src=" not in tag or " defer" not in tag] == []
    assert text.count("<script") == (path.name == "base.html")
    assert re.findall(r"https?:", text) == []


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda p: p.name)
def test_only_clean_html_goes_unescaped(path: Path) -> None:
    """The filter that lifts escaping is used on the notes' cleaned text and on nothing else."""
    found = re.findall(r"\{\{(.*?)\|\s*safe", path.read_text(encoding="utf-8"))

    assert {expression.strip() for expression in found} <= {"view.text"}


def test_the_list_says_which_texts_are_clean_html() -> None:
    """The text of a page, and nothing else, is said to be finished markup."""
    clean = {(name, field) for name, rows in listed().items() for field, _, said in rows if "clean HTML" in said}

    assert clean == {(name, "text") for name in CLASSES if name.endswith("Page") and ("text", "text") in kinds(name)}


def kinds(name: str) -> set[tuple[str, str]]:
    """Return name and kind of a view's fields."""
    return {(field, kind) for field, kind, _ in listed()[name]}


def test_every_page_of_the_list_has_its_template() -> None:
    """The templates that the list names are those that the theme has."""
    text = README.read_text(encoding="utf-8")
    named = set(re.findall(r"^`(\w+\.html)`", text, re.MULTILINE))

    shared = {"base.html", "sheet.html", *(path.name for path in TEMPLATES if path.name.startswith("_"))}

    assert named | shared == {path.name for path in TEMPLATES}


@pytest.mark.parametrize(
    ("template", "text", "said"),
    [
        ("front.html", "{{ view.weather }}", "has no attribute 'weather'"),
        ("front.html", "{% if %}", "front.html:1: "),
        ("tree.html", None, "tree.html"),
        ("base.html", "{{ nothing }}", "'nothing' is undefined"),
    ],
)
def test_a_broken_theme_is_named(
    example_plan: Plan, tmp_path: Path, template: str, text: str | None, said: str
) -> None:
    """A wrong name, a slip in the syntax or a missing template ends the build and says where."""
    theme = tmp_path / "odd"
    shutil.copytree(USUAL, theme)
    path = theme / "templates" / template
    path.unlink()
    if text is not None:
        path.write_text(text, encoding="utf-8")

    with pytest.raises(ThemeFault, match=r"^odd/templates/") as caught:
        make_site(example_plan, theme)
    assert said in str(caught.value)


def test_everything_static_is_copied_as_it_is(example_plan: Plan, tmp_path: Path) -> None:
    """What a theme brings in static/ stands in the site's own, in whatever depth."""
    theme = tmp_path / "odd"
    shutil.copytree(USUAL, theme)
    (theme / "static" / "more").mkdir()
    (theme / "static" / "more" / "a.woff2").write_bytes(b"\x00\x01")

    assert make_site(example_plan, theme)["static/more/a.woff2"] == b"\x00\x01"
