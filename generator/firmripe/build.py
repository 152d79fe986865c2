"""One run: notes in, plan worked out, site written."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from firmripe.days import WorkingYear
from firmripe.doubts import doubts_of
from firmripe.gathering import waiting
from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.holding.reader import reader_of
from firmripe.plan import Plan, make_plan
from firmripe.problems import FaultyNotes, Findings, Problem, Problems, Where
from firmripe.publish.audience import names_for_everybody, plan_for
from firmripe.publish.feeds.files import Feeds, make_feeds
from firmripe.publish.folder import write_site
from firmripe.publish.ledger import LEDGER, Ledger, parse_ledger
from firmripe.publish.site import make_site
from firmripe.reading.folder import unread
from firmripe.reading.reader import read_holding
from firmripe.reading.unsafe_notes import unsafe_notes
from firmripe.reading.warnings import warnings_of
from firmripe.season.explaining import Explained, explain_season
from firmripe.season.overdue import overdue
from firmripe.season.season import SeasonModel
from firmripe.shipped import shelf_folder, theme_folder, theme_names


def holding_of(folder: Path) -> Holding:
    """Read a household's notes over the shelf. Raises FaultyNotes."""
    return read_holding(folder, shelf_folder(), theme_names())


def plan_of(folder: Path, season: int | None, known_on: date) -> Plan:
    """Read a household's notes and work out the plan of a season, or of the one that `known_on` lies in.

    Raises FaultyNotes.
    """
    holding = holding_of(folder)
    year = season or WorkingYear.of(known_on, holding.place.hemisphere).year
    return make_plan(holding, year, known_on)


def explained_of(folder: Path, season: int | None, known_on: date) -> Explained:
    """Read a household's notes and explain the dates of one season, working out nothing else. Raises FaultyNotes."""
    holding = holding_of(folder)
    return explain_season(holding, season or WorkingYear.of(known_on, holding.place.hemisphere).year, known_on)


def site_plan_of(folder: Path, season: int | None, known_on: date, reader: str = "") -> Plan:
    """Return what a reader gets of the plan: a name in place.md, `household`, `everybody`; else whom place.md says.

    Raises FaultyNotes, and Unreadable for a reader not known.
    """
    plan = plan_of(folder, season, known_on)
    return plan_for(plan, reader_of(plan.holding.place, reader))


def check_notes(folder: Path, known_on: date, reader: str = "") -> Findings:
    """Read a household's notes and the ledger of its feeds, and return what is wrong and what is odd in them.

    Where the site is for everybody, by `reader` or by place.md, names and telephones that it would print are odd too.
    Raises Unreadable for a reader not known.
    """
    problems: list[Problem] = []
    warnings = [*unread(folder), *unsafe_notes(folder), *waiting(folder)]
    try:
        holding = holding_of(folder)
        warnings += [*warnings_of(holding, known_on), *doubts_of(holding, known_on), *_overdue(holding, known_on)]
        if reader_of(holding.place, reader).is_everybody:
            warnings += names_for_everybody(holding)
    except FaultyNotes as faulty:
        problems += faulty.problems
    try:
        _read_ledger(folder / LEDGER)
    except FaultyNotes as faulty:
        problems += faulty.problems
    return Findings(problems=tuple(sorted(problems)), warnings=tuple(sorted(warnings)))


def _overdue(holding: Holding, known_on: date) -> list[Problem]:
    """Return the picks of the season that were looked for and never noted, as warnings."""
    model = SeasonModel(holding, WorkingYear.of(known_on, holding.place.hemisphere), known_on)
    season = model.season(judge_picks=False)
    hint = "was it picked? Note its first pick in records/, or no crop"
    told = ((s.tree, overdue(s, season.of(s.bearing, Event.PICK), known_on)) for s in model.subjects)
    return [Problem(Where(tree.where.file), odd, hint) for tree, odd in told if odd]


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """What a build wrote: how many files, the feeds, and whether their ledger could be kept with the notes."""

    files: int
    feeds: Feeds
    ledger_kept: bool


def write_plan(plan: Plan, notes: Path, out: Path) -> Written:
    """Write a plan's site, and the ledger of its feeds into the folder of the notes.

    The ledger is kept for the reader whom the notes name, or the household; a site for another reads it at most.
    Raises FaultyNotes where the ledger can't be read, Refused, ThemeFault and OSError; then a former
    site and ledger stand as they were.
    """
    former = _read_ledger(notes / LEDGER)
    is_ours = plan.reader == plan.usual_reader
    feeds = make_feeds(plan, former, plan.season.as_of if is_ours else plan.changed)
    changed = is_ours and feeds.ledger != former
    draft = _draft_beside(notes / LEDGER, str(feeds.ledger)) if changed else None
    kept = draft is not None or not changed
    if not kept:
        feeds = make_feeds(plan, former, plan.changed)
    try:
        files = make_site(plan, theme_folder(plan.holding.place.theme), feeds)
        write_site(out, files, {feed.path for feed in feeds.unlisted}, plan.reader.name)
        if draft is not None:
            draft.replace(notes / LEDGER)
    finally:
        if draft is not None:
            draft.unlink(missing_ok=True)
    return Written(files=len(files), feeds=feeds, ledger_kept=kept)


def _read_ledger(path: Path) -> Ledger:
    problems = Problems()
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        return Ledger()
    except OSError as error:
        hint = "move it away; the build writes it anew"
        problems.add(Where(path.name), f"the file can't be read: {error.strerror}", hint)
        text = ""
    except UnicodeDecodeError:
        problems.add(Where(path.name), "the file is not in UTF-8", "delete it; the build writes it anew")
        text = ""
    ledger = parse_ledger(text, problems)
    problems.stop_if_any()
    return ledger


def _draft_beside(path: Path, text: str) -> Path | None:
    """Write a text beside the file it is to replace; None where the folder takes no files."""
    draft = path.with_name(f".{path.name}.new")
    try:
        draft.write_text(text, encoding="utf-8", newline="\n")
    except OSError:
        return None
    return draft
