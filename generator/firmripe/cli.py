"""Words typed on the command line, and the one place that asks for today's date."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from firmripe import __version__

if TYPE_CHECKING:
    from firmripe.calendar.plan import Plan


@click.group(
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Example: firmripe build notes --out site --season 2027",
)
@click.version_option(__version__, prog_name="firmripe")
def main() -> None:
    """Make a dated season plan from notes about your fruit."""


def _day(_context: click.Context, _parameter: click.Parameter, value: str | None) -> date | None:
    if value is None:
        return None
    from firmripe.days import parse_day
    from firmripe.problems import Unreadable

    try:
        return parse_day(value)
    except Unreadable as error:
        raise click.BadParameter(f"{error.message}; {error.hint}") from error


_FOLDER = click.Path(path_type=Path)
_season = click.option("--season", type=click.IntRange(1900, 2200), help="Year of the harvest. [default: this one]")
_as_of = click.option(
    "--as-of", callback=_day, metavar="DAY", help="Plan as known on this day, as 2027-08-28. [default: today]"
)


def _plan(folder: Path, season: int | None, as_of: date | None) -> Plan:
    """Work out the plan; faulty notes are printed and end the run."""
    from firmripe.build import plan_of
    from firmripe.problems import FaultyNotes

    if not folder.is_dir():
        raise click.UsageError(f"there is no folder {folder}")
    try:
        return plan_of(folder, season, as_of or date.today())  # noqa: DTZ011 - the day on the household's own wall
    except (FaultyNotes, OSError) as error:
        click.echo(str(error), err=True)
        sys.exit(1)


@main.command(epilog="Example: firmripe build notes --out site --season 2027")
@click.argument("folder", type=_FOLDER, default=Path())
@click.option("--out", type=_FOLDER, help="Folder for the site. [default: FOLDER/site]")
@_season
@_as_of
def build(folder: Path, out: Path | None, season: int | None, as_of: date | None) -> None:
    """Build the site and the calendar feeds from the notes in FOLDER.

    One file is written into FOLDER itself: feeds.ledger, by which a feed moves only when the notes do.
    """
    from firmripe.build import write_plan
    from firmripe.problems import FaultyNotes
    from firmripe.publish.feeds.files import FeedTooLong
    from firmripe.publish.folder import Refused
    from firmripe.publish.site import ThemeFault
    from firmripe.reports import built

    plan = _plan(folder, season, as_of)
    target = out or folder / "site"
    try:
        written = write_plan(plan, folder, target)
    except FaultyNotes as error:
        click.echo(str(error), err=True)
        sys.exit(1)
    except (Refused, ThemeFault, FeedTooLong, OSError) as error:
        click.echo(f"{error}\nNothing was written; a former site stands as it was.", err=True)
        sys.exit(1)
    click.echo(built(plan, target, written.files, written.feeds, ledger_kept=written.ledger_kept))


@main.command(epilog="Example: firmripe explain 1-01 pick --in notes")
@click.argument("tree")
@click.argument("event", required=False)
@click.option("--in", "folder", type=_FOLDER, default=Path(), help="Folder of the notes. [default: this one]")
@_season
@_as_of
def explain(tree: str, event: str | None, folder: Path, season: int | None, as_of: date | None) -> None:
    """Say why the dates of TREE are what they are: all of them, or one EVENT (full bloom, pick, leaf fall)."""
    from firmripe.problems import Unreadable
    from firmripe.reports import explained

    plan = _plan(folder, season, as_of)
    try:
        click.echo(explained(plan, tree, event))
    except Unreadable as error:
        raise click.UsageError(f"{error.message}; {error.hint}") from error


@main.command(epilog="Example: firmripe hindcast notes")
@click.argument("folder", type=_FOLDER, default=Path())
@_season
@_as_of
def hindcast(folder: Path, season: int | None, as_of: date | None) -> None:
    """Play past seasons again and say how far off their dates would have been."""
    from firmripe.reports import hindcasted

    click.echo(hindcasted(_plan(folder, season, as_of)))
