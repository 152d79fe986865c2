"""Words typed on the command line, and the one place that asks for today's date."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn, TypeVar

import click

from firmripe import __version__
from firmripe.problems import refused_by_system

if TYPE_CHECKING:
    from firmripe.plan import Plan
    from firmripe.preview import Shown

_Made = TypeVar("_Made")


@click.group(
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Example: firmripe build notes --out site --season 2027",
)
@click.version_option(__version__, prog_name="firmripe")
@click.pass_context
def main(context: click.Context) -> None:
    """Make a dated season plan from notes about your fruit."""
    if os.environ.get("NO_COLOR"):
        context.color = False


def _painted(text: str) -> str:
    """Return a report with its marks and places in colour, which a terminal alone gets to see."""
    lines = []
    for line in text.split("\n"):
        if line.strip() and not line.strip(" ^"):
            lines.append(click.style(line, fg="red"))
        elif line[:1].strip() and ": " in line:
            place, colon, rest = line.partition(": ")
            lines.append(click.style(place, bold=True) + colon + rest)
        else:
            lines.append(line)
    return "\n".join(lines)


def _stop(text: str) -> NoReturn:
    """Say what is wrong on the error output and end the run."""
    click.echo(_painted(text), err=True)
    sys.exit(1)


def _on_a_terminal() -> bool:
    return sys.stdin.isatty()


def _today() -> date:
    return date.today()  # noqa: DTZ011 - the day on the household's own wall


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


_for = click.option(
    "--for",
    "reader",
    metavar="NAME",
    default="",
    help="Make it for one person or house of place.md, the household or everybody. [default: household]",
)
_quiet = click.option("--quiet", "-q", is_flag=True, help="Say nothing unless something is wrong.")
_json = click.option("--json", "as_json", is_flag=True, help="For scripts: the same as JSON.")


def _folder_there(folder: Path) -> None:
    if not folder.is_dir():
        raise click.UsageError(f"there is no folder {folder}")


@contextmanager
def _alone(folder: Path) -> Iterator[None]:
    """Hold a household's folder from reading to writing, so that a build of older notes never follows a newer one."""
    from firmripe.publish.locking import Busy, alone

    _folder_there(folder)
    try:
        with alone(folder):
            yield
    except Busy as error:
        _stop(f"{error}\nNothing was written; a former site stands as it was.")


def _plan(
    folder: Path, season: int | None, as_of: date | None, *, quiet: bool = False, reader: str | None = None
) -> Plan:
    """Work out the plan, or what a reader gets of it."""
    from firmripe.build import plan_of, site_plan_of

    def make(day: date) -> Plan:
        return plan_of(folder, season, day) if reader is None else site_plan_of(folder, season, day, reader)

    return _worked_out(folder, make, as_of, quiet=quiet)


def _worked_out(folder: Path, make: Callable[[date], _Made], as_of: date | None, *, quiet: bool = False) -> _Made:
    """Work something out from the notes as known on a day; faulty notes are printed and end the run."""
    from firmripe.problems import FaultyNotes, Unreadable
    from firmripe.progress import working

    _folder_there(folder)
    try:
        with working("Reading the notes and working out the dates", quiet=quiet):
            return make(as_of or _today())
    except Unreadable as error:
        raise click.UsageError(f"{error.message}; {error.hint}") from error
    except FaultyNotes as error:
        _stop(str(error))
    except OSError as error:
        _stop(refused_by_system(error))


def _sound(what: str) -> Callable[[str], str]:
    """Return a check for an answer, which asks again where it can't be read."""

    def check(text: str) -> str:
        from firmripe.problems import Unreadable
        from firmripe.starting import sound

        try:
            return sound(what, text)
        except Unreadable as error:
            raise click.BadParameter(f"{error.message}; {error.hint}") from error

    return check


def _sound_option(_context: click.Context, parameter: click.Parameter, value: str) -> str:
    return _sound(parameter.name or "")(value or "")


def _asked(question: str, example: str, check: Callable[[str], str] | None = None) -> str:
    """Ask a question that may be left unanswered."""
    answer: str = click.prompt(
        f"{question} (as {example}; Enter to leave it out)", "", show_default=False, value_proc=check
    )
    return answer.strip()


@main.command(
    epilog='Example: firmripe start notes --zone 6b --latitude "42 N" --longitude "74 W" --tree Bartlett --tree Bosc'
)
@click.argument("folder", type=_FOLDER)
@click.option("--name", default="", help="What the place is called.")
@click.option("--zone", default="", callback=_sound_option, help="Hardiness zone, as 6b.")
@click.option("--latitude", default="", callback=_sound_option, help="As 41.9 N.")
@click.option("--longitude", default="", callback=_sound_option, help="As 74.2 W.")
@click.option("--height", default="", callback=_sound_option, help="Above the sea, as 2,150 ft.")
@click.option("--units", type=click.Choice(["US", "metric"], case_sensitive=False), help="Which are shown first.")
@click.option(
    "--tree", "trees", multiple=True, help="A cultivar, or a name and its fruit: Gate Pear, pear. Again for more."
)
@_quiet
def start(  # noqa: PLR0913, PLR0917 - one for each question
    folder: Path,
    name: str,
    zone: str,
    latitude: str,
    longitude: str,
    height: str,
    units: str | None,
    trees: tuple[str, ...],
    *,
    quiet: bool,
) -> None:
    """Write first notes into a new FOLDER: a place, your trees, a table for records.

    On a terminal, what is not given as an option is asked for.
    """
    from firmripe.days import WorkingYear
    from firmripe.problems import Unreadable
    from firmripe.starting import Beginning, half_of
    from firmripe.starting import start as start_notes

    if _on_a_terminal() and not trees:
        name = name or _asked("What is the place called?", "The upper garden")
        zone = zone or _asked("Hardiness zone?", "6b", _sound("zone"))
        latitude = latitude or _asked("Latitude?", "41.9 N", _sound("latitude"))
        longitude = longitude or _asked("Longitude?", "74.2 W", _sound("longitude"))
        height = height or _asked("Height above the sea?", "2,150 ft", _sound("height"))
        while answer := _asked("The next tree?" if trees else "A tree?", "Bartlett; or Gate Pear, pear"):
            trees = (*trees, answer)
    beginning = Beginning(
        name=name,
        zone=zone,
        latitude=latitude,
        longitude=longitude,
        height=height,
        units=units or "",
        trees=trees,
    )
    year = WorkingYear.of(_today(), half_of(latitude)).year
    try:
        written = start_notes(folder, beginning, year)
    except Unreadable as error:
        raise click.UsageError(f"{error.message}; {error.hint}") from error
    except OSError as error:
        _stop(refused_by_system(error))
    if not quiet:
        click.echo("\n".join(["Wrote", *(f"  {path}" for path in written), f"Next: firmripe preview {folder}"]))


@main.command(epilog="Example: firmripe add tree Bosc --in notes")
@click.argument("kind", type=click.Choice(["tree", "cultivar", "task", "preserve"]))
@click.argument("name")
@click.option("--in", "folder", type=_FOLDER, default=Path(), help="Folder of the notes. [default: this one]")
@click.option("--fruit", default="", help="What fruit it is, for a name the shelf does not know.")
@click.option("--when", default="", help='When a new task is due, as "2 weeks before earliest pick".')
@_quiet
def add(kind: str, name: str, folder: Path, fruit: str, when: str, *, quiet: bool) -> None:  # noqa: PLR0913
    """Write a note for one more tree, cultivar, task or preserve; NAME is looked up on the shelf."""
    from firmripe.problems import Unreadable
    from firmripe.starting import add as add_note

    _folder_there(folder)
    try:
        written = add_note(folder, kind, name, fruit, when)
    except Unreadable as error:
        raise click.UsageError(f"{error.message}; {error.hint}") from error
    except OSError as error:
        _stop(refused_by_system(error))
    if not quiet:
        click.echo(f"Wrote {written[0]}")


@main.command(epilog="Example: firmripe check notes")
@click.argument("folder", type=_FOLDER, default=Path())
@_for
@_as_of
@_quiet
@_json
def check(folder: Path, reader: str, as_of: date | None, *, quiet: bool, as_json: bool) -> None:
    """Say what is wrong and what is odd in the notes in FOLDER; nothing is written.

    With --for everybody it also names the people and telephones that strangers would read.
    Ends with 0 where a build would work, with 1 where it would stop.
    """
    from firmripe.build import check_notes
    from firmripe.problems import Unreadable
    from firmripe.progress import working
    from firmripe.reports import checked, checked_json

    _folder_there(folder)
    try:
        with working("Reading the notes", quiet=quiet):
            findings = check_notes(folder, as_of or _today(), reader)
    except Unreadable as error:
        raise click.UsageError(f"{error.message}; {error.hint}") from error
    if as_json:
        click.echo(checked_json(findings))
    elif findings.problems or not quiet:
        click.echo(_painted(checked(findings)))
    sys.exit(1 if findings.problems else 0)


@main.command(epilog="Example: firmripe build notes --out site --season 2027")
@click.argument("folder", type=_FOLDER, default=Path())
@click.option("--out", type=_FOLDER, help="Folder for the site. [default: FOLDER/site, or FOLDER/site-for-NAME]")
@_for
@_season
@_as_of
@click.option("--what-if", "trial", is_flag=True, help="Only try something: the folder's site and ledger stay.")
@_quiet
def build(  # noqa: PLR0913 - one for each option
    folder: Path, out: Path | None, reader: str, season: int | None, as_of: date | None, *, trial: bool, quiet: bool
) -> None:
    """Build the site and the calendar feeds from the notes in FOLDER.

    The household's site holds what is private; --for everybody leaves out private notes, people, contacts and sprays.
    One file is written into FOLDER itself: feeds.ledger, by which a feed moves only when the notes do. Another season
    or reader, a day before the ledger's newest or far ahead of today, and --what-if write none, and FOLDER/site-what-if
    unless --out names a folder.
    """
    from firmripe.build import what_if_of, write_plan
    from firmripe.problems import FaultyNotes
    from firmripe.progress import working
    from firmripe.publish.refusing import Refused
    from firmripe.publish.slugs import slug
    from firmripe.publish.theming import ThemeFault
    from firmripe.publish.what_if import WhatIf
    from firmripe.reports import built, put_words

    with _alone(folder):
        plan = _plan(folder, season, as_of, quiet=quiet, reader=reader)
        usual = "site" if plan.reader == plan.usual_reader else f"site-for-{slug(plan.reader.name)}"
        try:
            why = what_if_of(plan, folder, _today(), asked=trial, dated=as_of is not None)
            target = out or folder / (usual if why in {None, WhatIf.READER} else f"{usual}-what-if")
            with working("Writing the site", quiet=quiet):
                written = write_plan(plan, folder, target, trial=why is not None)
        except FaultyNotes as error:
            _stop(str(error))
        except (Refused, ThemeFault, OSError) as error:
            said = refused_by_system(error) if isinstance(error, OSError) else str(error)
            _stop(f"{said}\nNothing was written; a former site stands as it was.")
    for told in plan.holding.asked if plan.reader.is_everybody else ():
        click.echo(_painted(str(told)), err=True)
    if not quiet:
        click.echo(built(plan, target, written.files, written.feeds, ledger_kept=written.ledger_kept, what_if=why))
    for line in put_words(written.put, target, written.strays):
        click.echo(line, err=True)


@main.command(epilog="Example: firmripe preview notes")
@click.argument("folder", type=_FOLDER, default=Path())
@_for
@_season
@_as_of
@click.option("--port", type=click.IntRange(0, 65535), default=8000, show_default=True, help="0 takes any free one.")
@click.option("--lan", is_flag=True, help="Let everybody on your network read it, not this computer alone.")
@_quiet
def preview(  # noqa: PLR0913 - one for each option
    folder: Path, reader: str, season: int | None, as_of: date | None, port: int, *, lan: bool, quiet: bool
) -> None:
    """Show the site while you write: built in memory, made new on each change, on this computer alone.

    Where the notes can't be read, the page says why above the last good one. Nothing is written. Ctrl-C ends it. The
    address is a new one each time, and no other page that your browser shows can read it.
    """
    import threading

    from firmripe.build import site_plan_of
    from firmripe.preview import HERE, Preview, server_of, watch

    _folder_there(folder)

    def tell(shown: Shown) -> None:
        if shown.fault:
            click.echo(_painted(shown.fault), err=True)
        elif not quiet:
            click.echo("The site is up to date.")

    shown = Preview(lambda: site_plan_of(folder, season, as_of or _today(), reader))
    try:
        server = server_of(shown, port, lan=lan)
    except OSError as error:
        _stop(f"port {port} can't be used: {error.strerror}; try --port 0")
    if lan:
        click.echo("Everybody on your network can read these pages now, notes and names with them.", err=True)
    stop = threading.Event()
    with server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        click.echo(f"Open http://{HERE}:{server.server_port}{shown.top} (Ctrl-C ends it)")
        try:
            tell(shown.rebuild())
            watch(folder, shown, tell, stop)
        except KeyboardInterrupt:
            stop.set()
        finally:
            server.shutdown()


@main.command(epilog="Example: firmripe explain 1-01 pick --in notes")
@click.argument("tree")
@click.argument("event", required=False)
@click.option("--in", "folder", type=_FOLDER, default=Path(), help="Folder of the notes. [default: this one]")
@_season
@_as_of
@_json
def explain(  # noqa: PLR0913 - one for each option
    tree: str, event: str | None, folder: Path, season: int | None, as_of: date | None, *, as_json: bool
) -> None:
    """Say why the dates of TREE are what they are: all of them, or one EVENT (full bloom, pick, leaf fall)."""
    from firmripe.build import explained_of
    from firmripe.problems import Unreadable
    from firmripe.reports import explained, explained_json

    found = _worked_out(folder, lambda day: explained_of(folder, season, day), as_of)
    try:
        click.echo((explained_json if as_json else explained)(found, tree, event))
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
