"""Marks of what is private: in doubt it is, and a check says where."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from conftest import EXAMPLE, SHELF, write_notes

from firmripe.build import check_notes
from firmripe.holding.private import is_plainly_private, is_private, open_text, telephones_in
from firmripe.holding.reader import STRANGERS
from firmripe.plan import make_plan
from firmripe.publish.audience import names_for_everybody, plan_for
from firmripe.reading.reader import read_holding

NEARLY = (
    "private : the key", "(private) the key", "**private:** the key", "private\uff1a the key", "Privado: la llave",
    "privé : la clé", "privat: der Schlüssel", "- private: the key", "sound ones; private: the key", "prviate: the key",
    "\uff30\uff52\uff49\uff56\uff41\uff54\uff45: the key",
)  # fmt: skip


@pytest.mark.parametrize("text", NEARLY)
def test_a_mark_that_is_nearly_right_hides_all_the_same(text: str) -> None:
    """It is not the plain mark, so it is pointed out."""
    assert (is_private(text), is_plainly_private(text)) == (True, False)


@pytest.mark.parametrize("text", ["", "sound ones", "picked at 9:00: sound", "privet hedge trimmed", "note: primate"])
def test_other_words_hide_nothing(text: str) -> None:
    """A hedge is no mark."""
    assert not is_private(text)


def test_a_paragraph_and_what_stands_below_a_heading_can_be_private() -> None:
    """The rest of the text stays as it is."""
    text = "One.\n\nprivate: the key\nis there.\n\nTwo.\n\n## Private\n\nThree.\n\n## Open\n\nFour."
    assert open_text(text) == "One.\n\nTwo.\n\n## Open\n\nFour."


@pytest.mark.parametrize(
    ("text", "many"), [("call 555 010 0199", 1), ("2026-08-24 to 2026-09-01", 0), ("1,200 lb in 2027", 0)]
)
def test_telephones_are_known_from_days_and_weights(text: str, many: int) -> None:
    """Seven digits and more, and no date."""
    assert len(telephones_in(text)) == many


def test_what_everybody_would_read_is_named_with_its_line(tmp_path: Path) -> None:
    """A name in a figure, a telephone in a text; what is marked is hidden, and a figure that names it goes too."""
    notes = write_notes(
        tmp_path,
        {
            "place.md": (
                "---\nzone: 6b\nsite for: everybody\npeople: [{name: Maud}]\n---\nOurs.\n\n555 010 0199\n\n"
                "private: the gate\n"
            ),
            "trees/A.md": "---\ntree: A\ncultivar: Bartlett\n---\nA tree.\n\n(private) the key hangs here\n",
            "trees/B.md": "---\ntree: Hid\ncultivar: Bosc\nprivate: yes\n---\n",
            "tasks/look.md": "---\nname: Look\nwhen: Aug 1\neach: place\nwhy: [Maud asks beside Hid]\n---\n",
            "records/2027.csv": "date,tree,what,note\n2027-05-01,A,full bloom,seen (private) by us\n",
        },
    )
    warned = {(w.where.file, w.where.line): w.message for w in check_notes(notes, date(2027, 8, 1)).warnings}
    assert warned["tasks/look.md", 5] == 'everybody would read "Maud"'
    assert warned["place.md", 8] == 'everybody would read "555 010 0199"'
    assert warned["trees/A.md", 7] == '"private" keeps this from everybody'
    assert warned["records/2027.csv", 2] == '"private" keeps this from everybody'
    opened = plan_for(make_plan(read_holding(notes, SHELF), 2027, date(2027, 8, 1)), STRANGERS)
    assert opened.holding.tree("A").text == "A tree."
    assert opened.holding.place.text == "Ours.\n\n555 010 0199"
    assert next(task for task in opened.holding.tasks if task.key == "look").why == ()
    assert {entry.task.why for entry in opened.calendar.entries if entry.task.key == "look"} == {()}


def test_a_name_in_the_source_of_a_figure_is_asked_about(tmp_path: Path) -> None:
    """It is printed behind the figure, and so is the page; the name of a book is nobody's."""
    days = "days from bloom: {value: 110-120 days, mark: R, source: SAID, page: WHERE}"
    people = "---\nzone: 6b\nsite for: everybody\npeople: [{name: Maud, household: lane house}]\n---\n"

    def asked(said: str, where: str) -> list[tuple[str, int, str]]:
        own = f"---\nfruit: european-pear\n{days.replace('SAID', said).replace('WHERE', where)}\n---\n"
        files = {"place.md": people, "trees/A.md": "---\ncultivar: Gate pear\n---\n", "cultivars/gate-pear.md": own}
        folder = tmp_path / f"{said} {where}"
        folder.mkdir()
        notes = read_holding(write_notes(folder, files), SHELF)
        return [(one.where.file, one.where.line, one.message) for one in names_for_everybody(notes)]

    assert asked("what Maud told me", "p. 3") == [("cultivars/gate-pear.md", 3, 'everybody would read "Maud"')]
    assert asked("an old book", "in the lane house") == [
        ("cultivars/gate-pear.md", 3, 'everybody would read "lane house"')
    ]
    assert asked("ask 555 010 0199", "p. 3") == [("cultivars/gate-pear.md", 3, 'everybody would read "555 010 0199"')]
    assert asked("an old book", "p. 3") == []


def test_the_example_tells_strangers_of_nobody() -> None:
    """Neither who is away nor where the key hangs."""
    assert names_for_everybody(read_holding(EXAMPLE, SHELF)) == ()
