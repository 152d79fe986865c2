"""What the harvest remarks: every kind has words, and two things to mind of one batch stay two facts."""

from __future__ import annotations

import importlib
import inspect
from datetime import date
from enum import Enum
from pathlib import Path
from pkgutil import walk_packages

import pytest
from one_tree import plan_of_notes
from season_notes import note, table

from firmripe import calendar, harvest, holding, kitchen, season
from firmripe.calendar.because import Held, NoPicking
from firmripe.harvest.because import CutShort, FruitOf, KeepingNotTold, LookOver
from firmripe.holding.task import Stage
from firmripe.kitchen.tables.refusals import NoMinutes, Unsaid
from firmripe.plan import Plan
from firmripe.remark import Remark
from firmripe.tongue import IN_ENGLISH
from firmripe.wording import words_of
from firmripe.wording.harvest import alert_words

MODULES = [
    importlib.import_module(one.name)
    for room in (holding, season, harvest, kitchen, calendar)
    for one in walk_packages(room.__path__, f"{room.__name__}.")
]
NOT_SAID_ALONE = {Held, NoMinutes, Unsaid, NoPicking}
"""What several kinds have in common, and what is said of trees that a job leaves out, within its own sentence."""
KINDS = [
    kind
    for module in MODULES
    for _name, kind in inspect.getmembers(module, inspect.isclass)
    if issubclass(kind, Remark) and kind.__module__ == module.__name__ and kind not in NOT_SAID_ALONE
]
ONE_OF = [kind for kind in KINDS if issubclass(kind, Enum)]


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: f"{kind.__module__}.{kind.__name__}")
def test_every_kind_has_words(kind: type[Remark]) -> None:
    """One that nobody gave words would stop the build of whoever comes upon it."""
    assert words_of.dispatch(kind) is not words_of.dispatch(object)


@pytest.mark.parametrize("kind", ONE_OF, ids=lambda kind: f"{kind.__module__}.{kind.__name__}")
def test_each_of_a_kind_has_words_of_its_own(kind: type[Enum]) -> None:
    """None of them is said by nothing, or like another."""
    said = [words_of(one, IN_ENGLISH) for one in kind if isinstance(one, Remark)]

    assert all(said)
    assert len(set(said)) == len(kind)


def cellared(folder: Path) -> Plan:
    """Return pears that came out of a cellar, whose warmth nobody told, before they had their cold."""
    notes = {
        "place.md": note("zone: 6a", "spaces: [{name: cellar, temperature: 60 F}, {name: Vault}]"),
        "cultivars/hardpear.md": note(
            "name: Hardpear",
            "fruit: pear",
            "conditioning: 30 days",
            "counter: 7 days",
            "keeps: {value: 100 days, at: 31 F}",
        ),
        "trees/A.md": note("cultivar: Hardpear", "crop: 44 lb", "pinned: [{pick: 2027-09-01}]"),
        "records/2027.csv": table(
            "2027-09-01,A,pick,44 lb,", "2027-09-01,A,stored,,Vault", "2027-09-06,A,taken out,10 lb,"
        ),
    }
    return plan_of_notes(folder, notes, as_of=date(2027, 9, 8))


def test_two_things_to_mind_of_one_batch_stay_two_facts(tmp_path: Path) -> None:
    """Each is a warning of its own about that fruit, and they are joined only where they are said together."""
    found = cellared(tmp_path)
    (lot,) = found.lots.values()
    short, over = lot.alerts

    assert isinstance(short, CutShort)
    assert (short.day, short.lain_d) == (date(2027, 9, 6), 5)
    assert isinstance(over, LookOver)
    assert isinstance(over.why, KeepingNotTold)
    assert over.why == lot.undated[Stage.KEEP_UNTIL]
    assert (over.why.space.name, over.why.at_c) == ("Vault", None)
    fruit = FruitOf(cultivar="hardpear", name="Hardpear", tree="A")
    assert {w.what for w in found.store.warnings if w.fruit == fruit and w.space == "Vault"} >= {short, over}
    assert alert_words(IN_ENGLISH, lot.alerts) == f"{words_of(short, IN_ENGLISH)}. {words_of(over, IN_ENGLISH)}"


def test_a_household_name_has_no_article_and_other_spaces_have(tmp_path: Path) -> None:
    """The space is a part of its own, so its name is put in by the rules of the language."""
    (lot,) = cellared(tmp_path).lots.values()

    assert words_of(lot.undated[Stage.KEEP_UNTIL], IN_ENGLISH).startswith("how warm Vault is has not been said")
