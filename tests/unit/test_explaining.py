"""Why a date is what it is, and which note would make it surer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace
from season_notes import NORTH, VALLEY, note, read, table

from firmripe.holding.fruit import Event
from firmripe.holding.tree import Bearing
from firmripe.season import explaining
from firmripe.season.because import EventOf
from firmripe.season.estimate import Basis, Estimate, Happens, Reach
from firmripe.season.explaining import Explanation, Narrowing, explain
from firmripe.season.laws import Posterior
from firmripe.season.model import Observation, Occurrence, condition
from firmripe.season.season import SeasonModel
from firmripe.tongue import IN_ENGLISH
from firmripe.wording import words_of
from firmripe.wording.season import note_words, title_words

NOTES = {
    "place.md": note("zone: 7a", "latitude: 42.5 N", "elevation: 250 m"),
    "fruits/pear.md": note(f"windows: [{{bloom: Apr 20, {VALLEY}}}, {{leaf fall: Nov 1, {VALLEY}}}]"),
    "cultivars/early.md": note(
        "fruit: pear", f"windows: [{{pick: Aug 10, {VALLEY}}}]", "days from bloom: 110-120 days"
    ),
    "cultivars/bosc.md": note("fruit: pear", f"windows: [{{pick: Sep 8, {VALLEY}}}]"),
    "cultivars/comice.md": note("fruit: pear", "offset: {from: bosc, value: 14 days after}"),
    "trees/1.md": note("cultivar: bosc"),
    "trees/2.md": note("cultivar: bosc"),
    "trees/3.md": note("cultivar: comice"),
    "trees/4.md": note("cultivar: early"),
}
OWN = (
    "2024-08-22,4,first pick,,",
    "2024-09-20,1,first pick,,",
    "2025-04-12,1,full bloom,,",
    "2025-09-02,1,first pick,,",
    "2026-05-03,2,full bloom,,",
    "2026-09-14,2,first pick,,",
)
BLOOMED = "2027-04-10,4,full bloom,,"
HOUSEHOLDS = {
    "nothing noted": (),
    "bloom of one tree": (BLOOMED,),
    "own years": OWN,
    "own years and bloom": (*OWN, BLOOMED),
    "a part crop": (*OWN, BLOOMED, "2027-05-20,1,part crop,,"),
    "the first picked": (*OWN, BLOOMED, "2027-08-03,4,first pick,,"),
}
NOTED = {
    f"a bloom date for {name} ({tree})": ("full bloom", tree, name.casefold(), Event.FULL_BLOOM)
    for name, tree in (("Bosc", "1"), ("Bosc", "2"), ("Comice", "3"), ("Early", "4"))
} | {
    f"the first pick for {name} ({tree})": ("first pick", tree, name.casefold(), Event.PICK)
    for name, tree in (("Bosc", "1"), ("Bosc", "2"), ("Comice", "3"), ("Early", "4"))
}
"""What each note that may be asked for is in the records."""

Explained = Mapping[Happens, Explanation]


def explained(top: Path, *rows: str, as_of: date | None = None, **other: str) -> Explained:
    """Return the explanations of a household's season, with these trees in place of its own.

    They are as known on the day of the last of these rows, or on another day.
    """
    last = max((row[:10] for row in rows if row.startswith("2027-")), default="2027-01-01")
    notes = {**NOTES, **{f"trees/{name.removeprefix('tree')}.md": text for name, text in other.items()}}
    known_on = as_of or date.fromisoformat(last)
    model = SeasonModel(read(top, {**notes, "records/a.csv": table(*rows)}), NORTH, known_on)
    return explain(model, model.season())


def of(found: Explained, tree: str, cultivar: str, event: Event = Event.PICK) -> Explanation:
    """Return the explanation of one event."""
    return found[Happens.of(Bearing(tree, cultivar), event)]


def estimated(explanation: Explanation) -> Estimate:
    """Return the date that is explained; fails where there is none."""
    assert isinstance(explanation.dated, Estimate)
    return explanation.dated


def days_of(reach: Reach) -> int:
    """Return how many days a window holds."""
    return (reach.latest - reach.earliest).days + 1


@pytest.mark.parametrize("household", HOUSEHOLDS)
def test_a_note_narrows_a_window_to_the_width_that_was_promised(tmp_path: Path, household: str) -> None:
    """Each note asked for, added on its likely day, leaves the window as wide as was said, within a day."""
    rows = HOUSEHOLDS[household]
    found = explained(tmp_path / "now", *rows)
    promised = {
        (note_words(IN_ENGLISH, narrowing.note), happens): narrowing
        for happens, each in found.items()
        for narrowing in each.narrowings
    }
    assert promised
    added = {}
    for number, (asked, happens) in enumerate(promised):
        what, tree, cultivar, event = NOTED[asked]
        if asked not in added:
            likely = estimated(of(found, tree, cultivar, event)).likely
            added[asked] = explained(tmp_path / str(number), *rows, f"{likely},{tree},{what},,", as_of=NORTH.last)
        now, then = estimated(found[happens]), estimated(added[asked][happens])
        narrowing = promised[asked, happens]
        assert narrowing.days_now == days_of(now.reach)
        assert abs(narrowing.days_then - days_of(then.reach)) <= 1, (asked, happens)


@pytest.mark.parametrize("household", HOUSEHOLDS)
def test_only_what_is_still_to_come_and_comes_no_later_is_asked_for(tmp_path: Path, household: str) -> None:
    """Nothing that is noted already, nothing of after the date itself, and not the date itself."""
    found = explained(tmp_path, *HOUSEHOLDS[household])
    for happens, each in found.items():
        for narrowing in each.narrowings:
            _, tree, cultivar, event = NOTED[note_words(IN_ENGLISH, narrowing.note)]  # no leaf fall is among them
            asked = estimated(of(found, tree, cultivar, event))
            assert not asked.is_past
            assert asked.likely <= estimated(each).likely
            assert Happens.of(Bearing(tree, cultivar), event) != happens


def test_a_window_that_is_over_is_not_asked_for(tmp_path: Path) -> None:
    """In August nobody is asked for a bloom."""
    found = explained(tmp_path, *OWN, as_of=date(2027, 8, 1))
    notes = [note_words(IN_ENGLISH, narrowing.note) for each in found.values() for narrowing in each.narrowings]
    assert notes
    assert not [note for note in notes if note.startswith("a bloom")]


def test_the_notes_that_narrow_most_stand_first_and_three_at_most(tmp_path: Path) -> None:
    """The tree's own bloom and its twin's pick; a note that takes less than a day off is left out."""
    found = explained(tmp_path, *OWN)
    narrowings = [each.narrowings for each in found.values()]
    assert max(len(each) for each in narrowings) == 3
    for each in narrowings:
        widths = [narrowing.days_then for narrowing in each]
        assert widths == sorted(widths)
        assert all(narrowing.days_now - narrowing.days_then >= 1 for narrowing in each)
    assert note_words(IN_ENGLISH, of(found, "3", "comice").narrowings[0].note).startswith("the first pick for Bosc")


@pytest.mark.parametrize("row", ["2027,1,no crop,,", "2027-09-01,1,first pick,,"])
def test_what_is_over_needs_no_note(tmp_path: Path, row: str) -> None:
    """No crop or a noted pick: its window asks for nothing, and no other asks for it."""
    found = explained(tmp_path, *OWN, row)
    assert of(found, "1", "bosc").narrowings == ()
    assert not any(
        "first pick for Bosc 1" in note_words(IN_ENGLISH, n.note) for each in found.values() for n in each.narrowings
    )


def test_a_day_fixed_by_hand_asks_for_nothing(tmp_path: Path) -> None:
    """It has no window."""
    found = explained(tmp_path, tree1=note("cultivar: bosc", "pinned: [{pick: 2027-09-01}]"))
    assert estimated(of(found, "1", "bosc")).basis is Basis.PINNED
    assert of(found, "1", "bosc").narrowings == ()


def test_a_narrowing_is_said_in_words() -> None:
    """The page and the command line say it alike."""
    narrowing = Narrowing(note=EventOf(Event.FULL_BLOOM, "Bosc", "1", ""), days_now=27, days_then=19)
    assert words_of(narrowing, IN_ENGLISH) == "a bloom date for Bosc (1) would cut this window from 27 to 19 days"


# Reasons

CARRIED = ("Carried to this ground", "Set beside what else is printed")
"""Reasons that bring a printed day to the ground: they stand before anything that was noted."""


@pytest.mark.parametrize("household", HOUSEHOLDS)
def test_reasons_add_up_to_what_moved_the_date(tmp_path: Path, household: str) -> None:
    """The likely day is the printed one carried here and the days of all further reasons, rounded once."""
    found = explained(tmp_path, *HOUSEHOLDS[household])
    modelled = [each for each in found.values() if estimated(each).basis is Basis.MODEL]
    assert len(modelled) > 4
    for each in modelled:
        dated = estimated(each)
        moved = sum(r.days or 0.0 for r in dated.reasons if not words_of(r.why, IN_ENGLISH).startswith(CARRIED))
        assert each.printed is not None
        assert abs((dated.likely - each.printed.likely).days - moved) <= 1 + 1e-6, each.of  # both are rounded
        assert not any(
            0 < abs(r.days or 0.0) < 0.05 for r in dated.reasons if words_of(r.why, IN_ENGLISH).startswith("Noted")
        )


def test_what_is_printed_stays_whatever_is_noted(tmp_path: Path) -> None:
    """The window before anything was noted is that of a household without records."""
    bare, full = explained(tmp_path / "bare"), explained(tmp_path / "full", BLOOMED, "2027-08-03,4,first pick,,")
    for happens, each in bare.items():
        printed = full[happens].printed
        assert printed == each.printed
        assert printed is not None
        if happens.event is Event.LEAF_FALL:
            assert printed == estimated(each).reach
    assert of(full, "1", "bosc").printed is not None


def test_how_much_years_differ_here_is_no_part_of_what_is_printed(tmp_path: Path) -> None:
    """The window before anything was noted is as wide whatever the own years were like."""
    bare, full = (explained(tmp_path / str(len(rows)), *rows) for rows in ((), OWN))
    assert [each.printed for each in full.values()] == [each.printed for each in bare.values()]


def test_what_own_records_alone_tell_of_has_no_window_before_them(tmp_path: Path) -> None:
    """A seedling's date is the middle of what was noted: no window is shown as if it had stood there before."""
    rows = ("2025-09-10,5,first pick,,", "2026-09-14,5,first pick,,", "2026-04-20,5,full bloom,,")
    notes = {"tree5": note("cultivar: foundling"), "tree6": note("cultivar: foundling")}
    found = explained(tmp_path, *rows, **notes)
    for tag in ("5", "6"):
        assert of(found, tag, "foundling").printed is None
        assert isinstance(of(found, tag, "foundling").dated, Estimate)


def test_every_event_has_its_title(tmp_path: Path) -> None:
    """The event, the cultivar and the tree's tag."""
    found = explained(tmp_path)
    assert title_words(IN_ENGLISH, of(found, "1", "bosc").of) == "Pick of Bosc (1)"
    assert title_words(IN_ENGLISH, of(found, "4", "early", Event.FULL_BLOOM).of) == "Full bloom of Early (4)"
    assert len(found) == 4 * len(Event)


def test_where_nothing_is_known_nothing_is_printed(tmp_path: Path) -> None:
    """No window, and no note can narrow it."""
    found = explained(tmp_path, tree5=note("cultivar: foundling"))
    each = of(found, "5", "foundling")
    assert not isinstance(each.dated, Estimate)
    assert (each.printed, each.narrowings) == (None, ())
    assert date(2027, 8, 1) < estimated(of(found, "1", "bosc")).likely


def test_the_order_of_notes_to_make_hangs_on_no_last_digit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Twelve trees alike narrow one another's windows by the same; whatever way the sums are done, names decide."""
    trees = {f"tree{tag}": note("cultivar: bosc") for tag in range(10, 22)}
    rows = [
        f"{year}-{month}-{day + (year + tag) % 3},{tag},{what},,"
        for tag in range(10, 22)
        for year in (2024, 2025, 2026)
        for month, day, what in (("04", 20, "full bloom"), ("09", 10, "first pick"))
    ]
    told = [explained(tmp_path / "as it is", *rows, **trees)]

    def turned(
        occurrences: Sequence[Occurrence], observations: Sequence[Observation], year_scale: float = 1.0
    ) -> Posterior:
        """Return the same with other shared unknowns, whose covariances are the same but for their last digits."""
        found = condition(occurrences, observations, year_scale)
        shared = found.law.shared
        turn, _ = np.linalg.qr(np.random.default_rng(1).normal(size=(shared.shape[1], shared.shape[1])))
        return replace(found, law=replace(found.law, shared=shared @ turn))

    monkeypatch.setattr(explaining, "condition", turned)
    told.append(explained(tmp_path / "turned", *rows, **trees))
    notes = [{happens: one.narrowings for happens, one in by_date.items()} for by_date in told]

    assert any(len(narrowings) == 3 for narrowings in notes[0].values())
    assert notes[0] == notes[1]
