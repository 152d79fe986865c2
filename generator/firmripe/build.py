"""One run: notes in, plan worked out, site written."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

from msgspec import Struct

from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.holding.reader import reader_of
from firmripe.plan import Plan, make_plan
from firmripe.problems import FaultyNotes, Findings, Problem, Where
from firmripe.publish.audience import names_for_everybody, plan_for
from firmripe.publish.feeds.feed import Feeds
from firmripe.publish.feeds.files import make_feeds
from firmripe.publish.folder import Put, write_site
from firmripe.publish.ledger import LEDGER
from firmripe.publish.ledger_file import draft_beside, put, read_ledger, strays_beside
from firmripe.publish.locking import Busy, alone
from firmripe.publish.refusing import Refused
from firmripe.publish.site import make_site
from firmripe.publish.what_if import WhatIf, what_if
from firmripe.reading.folder import NOTE_FOLDERS, TABLE_FOLDERS, THEME_FOLDER, Folder, unread
from firmripe.reading.reader import read_holding
from firmripe.season.explaining import Explained, explain_season
from firmripe.season.overdue import overdue
from firmripe.season.season import SeasonModel
from firmripe.shipped import shelf_folder, theme_folder, theme_names
from firmripe.tongue import IN_ENGLISH
from firmripe.wording import words_of


def holding_of(folder: Path, at: Callable[[Folder], Folder] | None = None) -> Holding:
    """Read a household's notes over the shelf; `at` makes them those of another place. Raises FaultyNotes."""
    return read_holding(folder, shelf_folder(), theme_names(), at)


def plan_of(folder: Path, season: int | None, known_on: date, at: Callable[[Folder], Folder] | None = None) -> Plan:
    """Read a household's notes and work out the plan of a season, or of the one that `known_on` lies in.

    `at` makes the notes those of another place. Raises FaultyNotes.
    """
    holding = holding_of(folder, at)
    year = season or holding.place.working_year_of(known_on).year
    return make_plan(holding, year, known_on)


def is_site(name: str) -> bool:
    """Say whether a folder among the notes is by its name one that builds put a site into where they are told no other.

    It is no part of the notes, whatever it holds.
    """
    return name == "site" or name.startswith("site-")


def explained_of(folder: Path, season: int | None, known_on: date) -> Explained:
    """Read a household's notes and explain the dates of one season, working out nothing else. Raises FaultyNotes."""
    holding = holding_of(folder)
    return explain_season(holding, season or holding.place.working_year_of(known_on).year, known_on)


def site_plan_of(
    folder: Path,
    season: int | None,
    known_on: date,
    reader: str = "",
    at: Callable[[Folder], Folder] | None = None,
) -> Plan:
    """Return what a reader gets of the plan: a name in place.md, `household`, `everybody`; else whom place.md says.

    `at` makes the notes those of another place. Raises FaultyNotes, and Unreadable for a reader not known.
    """
    plan = plan_of(folder, season, known_on, at)
    return plan_for(plan, reader_of(plan.holding.place, reader))


def check_notes(folder: Path, known_on: date, reader: str = "") -> Findings:
    """Read a household's notes and the ledger of its feeds, and return what is wrong and what is odd in them.

    Where the site is for everybody, by `reader` or by place.md, names and telephones that it would print are odd too.
    Raises Unreadable for a reader not known.
    """
    from firmripe.doubts import doubts_of  # noqa: PLC0415 - what checks notes is not needed to build of them
    from firmripe.gathering import waiting  # noqa: PLC0415
    from firmripe.reading.unsafe_notes import unsafe_notes  # noqa: PLC0415
    from firmripe.reading.warnings import warnings_of  # noqa: PLC0415

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
        read_ledger(folder / LEDGER)
    except FaultyNotes as faulty:
        problems += faulty.problems
    return Findings(problems=tuple(sorted(problems)), warnings=tuple(sorted(warnings)))


def _overdue(holding: Holding, known_on: date) -> list[Problem]:
    """Return the picks of the season that were looked for and never noted, as warnings."""
    model = SeasonModel(holding, holding.place.working_year_of(known_on), known_on)
    season = model.season(judge_picks=False)
    hint = "was it picked? Note its first pick in records/, or no crop"
    told = ((s.tree, overdue(s, season.of(s.bearing, Event.PICK), known_on)) for s in model.subjects)
    return [Problem(Where(tree.where.file), words_of(odd, IN_ENGLISH), hint) for tree, odd in told if odd is not None]


class Written(Struct, frozen=True, kw_only=True):
    """What a build wrote: how many files, how they were put, the feeds, and whether their ledger could be kept.

    `strays` are files beside the ledger that look like a build's and are none; they were left alone.
    """

    files: int
    put: Put
    feeds: Feeds
    ledger_kept: bool
    strays: tuple[str, ...] = ()


def what_if_of(plan: Plan, notes: Path, today: date, *, asked: bool, dated: bool) -> WhatIf | None:
    """Return why a build would be none of the folder's own (see `what_if`). Raises FaultyNotes for the ledger."""
    return what_if(plan, read_ledger(notes / LEDGER), today, asked=asked, dated=dated)


def write_plan(plan: Plan, notes: Path, out: Path, *, trial: bool = False, ledger: Path | None = None) -> Written:
    """Write a plan's site, and the ledger of its feeds into the folder of the notes, or into the folder `ledger`.

    The ledger is kept for the reader whom the notes name, or the household; a site for another, or one that is a
    `trial`, reads it at most. Builds of one folder come one after another.
    Raises FaultyNotes where the ledger can't be read, Refused, ThemeFault and OSError; then a former
    site and ledger stand as they were.
    """
    keeping = ledger or notes
    try:
        with alone(keeping):
            _refuse_among_notes(out, notes)
            return _write_alone(plan, keeping, out, trial=trial)
    except Busy as error:
        raise Refused(str(error)) from error


def _write_alone(plan: Plan, keeping: Path, out: Path, *, trial: bool) -> Written:
    former = read_ledger(keeping / LEDGER)
    is_ours = plan.reader == plan.usual_reader and not trial
    feeds = make_feeds(plan, former, plan.season.as_of if is_ours else plan.changed)
    changed = is_ours and feeds.ledger != former
    draft = draft_beside(keeping / LEDGER, feeds.ledger) if changed else None
    kept = draft is not None or not changed
    if not kept:
        feeds = make_feeds(plan, former, plan.changed)
    try:
        files = make_site(plan, theme_folder(plan.holding.place.theme), feeds)
        how = write_site(out, files, {feed.path for feed in feeds.unlisted}, plan.reader.name)
        if draft is not None:
            kept = put(draft, keeping / LEDGER)
    finally:
        if draft is not None:
            draft.unlink(missing_ok=True)
    strays = strays_beside(keeping / LEDGER)
    return Written(files=len(files), put=how, feeds=feeds, ledger_kept=kept, strays=strays)


def _refuse_among_notes(out: Path, notes: Path) -> None:
    """Raise Refused for a site that would lie where notes are read, or be mixed with them."""
    top, place = notes.resolve(), out.resolve()
    parts = place.relative_to(top).parts if place.is_relative_to(top) else ("",)
    if not parts or parts[0].casefold() in {*NOTE_FOLDERS, *TABLE_FOLDERS, THEME_FOLDER}:
        raise Refused(f"{out} is a folder of the notes; name another one for the site")
