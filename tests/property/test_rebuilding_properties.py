"""What is kept while the program runs changes nothing: after any edits the site is what a first build makes of them."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from conftest import SHELF, made_anew, write_notes
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from two_trees import NOTES, PEACH, PLACE

from firmripe import plan as plan_module
from firmripe.caching import ASKED
from firmripe.holding.reader import reader_of
from firmripe.lately import Lately
from firmripe.past_runs import kept_between_runs
from firmripe.plan import make_plan
from firmripe.problems import FaultyNotes
from firmripe.publish.audience import plan_for
from firmripe.publish.feeds.files import make_feeds
from firmripe.publish.ledger import LEDGER
from firmripe.publish.ledger_file import read_ledger
from firmripe.publish.rendered import Rendered
from firmripe.publish.site import make_site
from firmripe.publish.theming import Theme
from firmripe.reading.reader import read_holding
from firmripe.shipped import theme_folder, theme_names

DAY = date(2027, 8, 20)
MADE_OF = Lately.made_of
GONE = ""
"""Stands for the text of a file that is taken away."""
EDITS = (
    ("trees/1-01.md", "---\ncultivar: Bartlett\n---\nBy the gate, **in the wind**.\n"),
    ("trees/1-01.md", "---\ncultivar: Bartlett\nplanted: 2001\n---\nBy the gate.\n"),
    ("trees/1-01.md", "---\n# moved down a line\ncultivar: Bartlett\n---\nBy the gate.\n"),
    ("trees/1-01.md", "---\ncultivar: Bosc\n---\nAn Asian pear, says Wren.\n"),
    ("trees/1-02.md", f"{PEACH}Its flesh is white this year.\n"),
    ("trees/1-02.md", f"{PEACH}Boil the jars for five minutes and turn them over to seal.\n"),
    ("trees/1-03.md", "---\ncultivar: Stanley\n---\n"),
    ("place.md", f"{PLACE}A word about the place.\n"),
    ("place.md", PLACE.replace("7 quarts},", "14 quarts},")),
    ("place.md", PLACE.replace("zone: 6b", "zone: 7a")),
    ("place.md", PLACE.replace("zone: 6b", "zone: 6b\nlanguage: de")),
    ("place.md", PLACE.replace("zone: 6b", "zone: 6b\ntheme: plain")),
    ("records/2026.csv", f"{NOTES['records/2026.csv']}2026-05-01,1-02,full bloom,,\n"),
    ("records/2027.csv", f"{NOTES['records/2027.csv']}2027-08-19,1-02,first pick,20 lb,\n"),
    ("records/2027.csv", f"{NOTES['records/2027.csv']}2027-08-19,1-02,note,,white flesh\n"),
    ("theme/tokens.css", ":root { --ink: navy; }\n"),
    ("theme/templates/jobs.html", '{% extends "box-tag/jobs.html" %}{% block title %}Ours{% endblock %}\n'),
    ("tasks/pick.md", "---\nwhy: It drops when the wind turns.\n---\n"),
    ("trees/1-02.md", GONE),
    ("records/2026.csv", GONE),
    ("tasks/look.md", "---\nname: Look at it\ndo: 1 week before earliest pick\n---\nHave a look.\n"),
    *((name, text) for name, text in NOTES.items()),
)


def edit(notes: Path, name: str, text: str) -> None:
    """Write a file of the notes, or take it away."""
    if text == GONE:
        (notes / name).unlink(missing_ok=True)
    else:
        write_notes(notes, {name: text})


def site_of(notes: Path, reader: str = "") -> dict[str, bytes] | str:
    """Return the site of some notes with feeds that go on from the ledger beside them, or what is wrong with them."""
    try:
        plan = make_plan(read_holding(notes, SHELF, theme_names()), 2027, DAY)
        plan = plan_for(plan, reader_of(plan.holding.place, reader))
    except FaultyNotes as faulty:
        return str(faulty)
    former = read_ledger(notes / LEDGER)
    feeds = make_feeds(plan, former, DAY)
    return {**make_site(plan, theme_folder(plan.holding.place.theme), feeds), LEDGER: str(feeds.ledger).encode()}


@settings(max_examples=3, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(st.sampled_from(EDITS), min_size=1, max_size=2))
def test_after_any_edits_a_site_is_what_a_first_build_makes(edits: list[tuple[str, str]]) -> None:
    """Prose, records, keys, trees, tasks and looks, one after another: to the byte, and to the word where faulty."""
    with tempfile.TemporaryDirectory() as folder:
        notes = write_notes(Path(folder), NOTES)
        assert isinstance(site_of(notes), dict)
        for name, text in edits:
            edit(notes, name, text)
            kept = site_of(notes)
        with pytest.MonkeyPatch.context() as patched:
            patched.setattr(Lately, "made_of", made_anew)
            patched.setattr("firmripe.publish.site.PAGES", Rendered())
            anew = site_of(notes)

    assert kept == anew


def of_earlier_runs_alone(
    self: Lately[Any, Any], of: object, make: Callable[[], Any], *, keep: Callable[[Any], bool] = lambda _: True
) -> object:
    """Find what earlier runs made, as a new run does, which has nothing in memory."""
    self._kept = ()
    return MADE_OF(self, of, make, keep=keep)


def built(notes: Path, reader: str = "") -> dict[str, bytes] | str:
    """Return the site that a new run makes of some notes, or what is wrong with them."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(Lately, "made_of", of_earlier_runs_alone)
        patched.setattr("firmripe.publish.site.PAGES", Rendered())
        with kept_between_runs(notes, lambda: b"this program"):
            return site_of(notes, reader)


def put(notes: Path, kept: dict[str, bytes] | str) -> None:
    """Put the ledger of a build among the notes, where one was made."""
    if isinstance(kept, dict):
        (notes / LEDGER).write_bytes(kept[LEDGER])


@settings(max_examples=3, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(st.tuples(st.sampled_from(EDITS), st.sampled_from(["", "everybody"])), min_size=1, max_size=2))
def test_after_any_edits_a_later_run_makes_what_a_first_one_makes(edits: list[tuple[tuple[str, str], str]]) -> None:
    """Each run finds what those before it kept on disk, and makes the same to the byte as one without any."""
    with tempfile.TemporaryDirectory() as folder, pytest.MonkeyPatch.context() as patched:
        patched.setenv(ASKED, str(Path(folder) / "cache"))
        notes = write_notes(Path(folder) / "notes", NOTES)
        kept = built(notes)
        assert isinstance(kept, dict)
        for (name, text), reader in edits:
            put(notes, kept)
            edit(notes, name, text)
            kept = built(notes, reader)
        assert built(notes, reader) == kept
        patched.setenv(ASKED, "")
        assert built(notes, reader) == kept


def test_prose_makes_no_new_plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A word about a tree or the place changes no date, so none is worked out again, but one on which canning hangs."""
    made: list[int] = []
    work_out = plan_module._worked_out  # noqa: SLF001
    monkeypatch.setattr(plan_module, "_worked_out", lambda *of: made.append(1) or work_out(*of))
    texts = ("", "Some prose.", "Other prose: a **wall**.", "Its flesh is white.")
    counts = []
    for text in texts:
        notes = write_notes(tmp_path, {**NOTES, "trees/1-02.md": PEACH + text, "place.md": PLACE + text})
        plan = make_plan(read_holding(notes, SHELF, theme_names()), 2027, DAY)
        counts.append(len(made))
        assert plan.holding.tree("1-02").text == plan.season.holding.tree("1-02").text == text
        assert plan.former.holding.place.text == text

    assert counts == [counts[0]] * 3 + [counts[0] + 1]


def test_the_last_few_are_kept_and_what_may_not_be_is_not() -> None:
    """An equal thing finds what was made of it; of more than are kept the oldest goes."""
    kept: Lately[int, str] = Lately(2)
    made: list[int] = []

    def asked(number: int, *, keep: bool = True) -> str:
        return kept.made_of(number, lambda: made.append(number) or str(number), keep=lambda _: keep)

    assert [asked(number) for number in (1, 2, 1, 3, 1, 2)] == ["1", "2", "1", "3", "1", "2"]
    assert made == [1, 2, 3, 1, 2]
    asked(9, keep=False)
    asked(9)
    assert made[-2:] == [9, 9]


def test_a_word_about_a_tree_changes_its_page_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """All other pages are those that were made before, not even rendered again; the new ones are as a first build's."""
    monkeypatch.setattr("firmripe.publish.site._sites", Lately())  # a site of another test is as good, and not asked
    rendered: list[str] = []
    render = Theme.render
    monkeypatch.setattr(
        Theme, "render", lambda self, page, **given: rendered.append(page) or render(self, page, **given)
    )
    notes = write_notes(tmp_path, NOTES)
    before = site_of(notes)
    assert isinstance(before, dict)
    del rendered[:]
    after = site_of(write_notes(notes, {"trees/1-02.md": f"{PEACH}By the *wall*.\n"}))
    assert isinstance(after, dict)

    assert rendered == ["tree.html"]
    assert {name for name, data in after.items() if before.get(name) != data} == {"trees/1-02.html", "sw.js"}
    assert b"By the <em>wall</em>." in after["trees/1-02.html"]
    del rendered[:]
    moved = site_of(write_notes(notes, {"place.md": PLACE.replace("zone: 6b", "zone: 7a")}))
    assert len(rendered) > len(before) / 3
    monkeypatch.setattr(Lately, "made_of", made_anew)
    monkeypatch.setattr("firmripe.publish.site.PAGES", Rendered())
    assert site_of(notes) == moved
