"""Words typed on the command line, and the one place that asks for today's date."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, nullcontext
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn, TypeVar

import click

from firmripe import __version__
from firmripe.spreading import cores_here, settle_in

if TYPE_CHECKING:
    from firmripe.gathering import GatheredText
    from firmripe.holding.holding import Holding
    from firmripe.kitchen.pantry import Shelved
    from firmripe.many import Outcome
    from firmripe.plan import Plan
    from firmripe.preview import Shown
    from firmripe.problems import Problem
    from firmripe.reading.headings import TableQuestion
    from firmripe.reading.lines import FoundLine

_Made = TypeVar("_Made")


@click.group(
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Example: firmripe build notes --out site --season 2027",
)
@click.version_option(__version__, prog_name="firmripe")
@click.pass_context
def main(context: click.Context) -> None:
    """Make a dated season plan from notes about your fruit."""
    settle_in()
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


def _refused(error: OSError) -> str:
    """Say what the system refused."""
    from firmripe.problems import refused_by_system

    return refused_by_system(error)


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
        raise click.BadParameter(str(error)) from error


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
        raise click.UsageError(str(error)) from error
    except FaultyNotes as error:
        _stop(str(error))
    except OSError as error:
        _stop(_refused(error))


def _sound(what: str) -> Callable[[str], str]:
    """Return a check for an answer, which asks again where it can't be read."""

    def check(text: str) -> str:
        from firmripe.problems import Unreadable
        from firmripe.starting import sound

        try:
            return sound(what, text)
        except Unreadable as error:
            raise click.BadParameter(str(error)) from error

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
        raise click.UsageError(str(error)) from error
    except OSError as error:
        _stop(_refused(error))
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
        raise click.UsageError(str(error)) from error
    except OSError as error:
        _stop(_refused(error))
    if not quiet:
        click.echo(f"Wrote {written[0]}")


_in = click.option("--in", "folder", type=_FOLDER, default=Path(), help="Folder of the notes. [default: this one]")
_by = click.option("--from", "by", metavar="NAME", default="", help="Who noted it, where no line says so.")
_take_all = click.option("--yes", "-y", "take_all", is_flag=True, help="Take lines that can hardly be meant as well.")


@main.command(epilog='Example: firmripe note "2024-08-28,1-01,first pick,31 lb" --in notes')
@click.argument("line", nargs=-1)
@_in
@_by
@_take_all
@_as_of
@_quiet
def note(  # noqa: PLR0913 - one for each option
    line: tuple[str, ...], folder: Path, by: str, as_of: date | None, *, take_all: bool, quiet: bool
) -> None:
    """Note what happened: LINE is day, tree, what, how much and a word, with commas; without a day it was today.

    What happened is a word of the records (full bloom, first pick, stored …), a limb or crop stands with its tree, as
    2-01/Comice. On a terminal and without LINE each is asked for.
    """
    from firmripe.gathering import GatheredText, words_of
    from firmripe.reading.lines import find_lines, row_of

    today = as_of or _today()
    holding = _holding(folder, quiet=quiet)
    words = words_of(holding)
    text = " ".join(line) or (_asked_for_a_line(holding, today) if _on_a_terminal() else "")
    if text and not find_lines(text, "", words).lines:
        text = f"{today.isoformat()},{text}"
    if not find_lines(text, "", words).lines:
        hint = row_of({"date": today.isoformat(), "tree": holding.trees[0].tag, "what": "full bloom"}, _SHORT)
        raise click.UsageError(f"no line is in these words; write day, tree and what, as {hint}")
    _gather(
        folder,
        [GatheredText(name="what was typed", text=text, by=f"{by}, {today}" if by else "")],
        today,
        take_all=take_all,
        quiet=quiet,
    )


_SHORT = ("date", "tree", "what")
_MOST_SHOWN = 50
"""So many choices of an answer are shown; more would push the question off the screen."""


def _holding(folder: Path, *, quiet: bool) -> Holding:
    from firmripe.build import holding_of

    return _worked_out(folder, lambda _day: holding_of(folder), None, quiet=quiet)


def _asked_for_a_line(holding: Holding, today: date) -> str:
    """Ask for each part of a line, with what is likeliest offered."""
    from firmripe.gathering import likeliest, words_of
    from firmripe.reading.lines import row_of

    words = words_of(holding)

    def known(text: str) -> str:
        if words.happening(text) is None:
            raise click.BadParameter("write a word of the records, as full bloom, first pick, pick, stored or note")
        return text

    tree = _asked("Which tree?", f"{holding.trees[0].tag}; 2-01/Comice for a limb")
    what = click.prompt("What happened?", likeliest(holding, tree, today).value, value_proc=known)
    day = click.prompt("On which day?", today.isoformat())
    amount = _asked("How much?", "31 lb")
    word = _asked("A word?", "good size")
    return row_of(
        {"date": day, "tree": tree, "what": what, "amount": amount, "note": word},
        ("date", "tree", "what", "amount", "note"),
    )


@main.command(epilog="Example: firmripe gather wren.txt --in notes")
@click.argument("files", nargs=-1, type=click.Path(path_type=Path, exists=True, allow_dash=True), metavar="FILE...")
@_in
@_by
@_take_all
@click.option("--dry-run", is_flag=True, help="Say what would be taken, and write nothing.")
@_as_of
@_quiet
def gather(  # noqa: PLR0913 - one for each option
    files: tuple[Path, ...],
    folder: Path,
    by: str,
    as_of: date | None,
    *,
    take_all: bool,
    dry_run: bool,
    quiet: bool,
) -> None:
    """Bring lines that others noted into the records: from files, folders, or what is pasted (no FILE, or -).

    A table under any headings is taken as well, also a weather station's: what each heading means is asked once.
    Words around the lines do no harm, and a line that stands there already is not taken twice. What can't be read or
    can hardly be meant is asked about on a terminal, and otherwise kept in left-over.txt; mend it there and gather that
    file. Ends with 1 where anything was held back.
    """
    from firmripe.gathering import PASTED, GatheredText, decoded, texts_of

    _folder_there(folder)
    sources: list[GatheredText] = []
    today = as_of or _today()
    told = f"{by}, {today}" if by else ""
    try:
        for path in files or (Path("-"),):
            if str(path) == "-":
                if _on_a_terminal():
                    click.echo("Paste the lines, then end with Ctrl-D (Ctrl-Z and Enter on Windows).", err=True)
                sources.append(GatheredText(name=PASTED, text=decoded(sys.stdin.buffer.read()), by=told))
            else:
                sources += texts_of(path, told)
    except OSError as error:
        _stop(_refused(error))
    pasted = any(source.path is None for source in sources)
    is_new = _ask_of_tables(folder, sources, ask=not pasted)
    if is_new:
        click.echo("The headings are new, so this is a dry run; run it again to take the lines.\n")
    dry = dry_run or is_new
    _gather(folder, sources, today, take_all=take_all, ask=not pasted, write=not dry, quiet=quiet)


def _ask_of_tables(folder: Path, sources: list[GatheredText], *, ask: bool) -> bool:
    """Ask what the headings of tables mean, keep the answers and say whether there were any.

    Where nobody can answer, say what to write.
    """
    from firmripe.gathering import asked_of, keep_answers
    from firmripe.problems import FaultyNotes
    from firmripe.reading.headings import KEPT, kept_line

    before: tuple[TableQuestion, ...] = ()
    try:
        while asked := asked_of(folder, sources):
            if asked == before or not (ask and _on_a_terminal()):
                lines = "\n".join(f"  {kept_line(one, one.guess or '…')}" for one in asked)
                said = (
                    f"A table has headings or words of its own. Write into {folder / KEPT} what is meant, line by line:"
                )
                _stop(f"{said}\n{lines}")
            keep_answers(folder, [kept_line(one, _answer(one)) for one in asked])
            before = asked
    except FaultyNotes as error:
        _stop(f"{error}\nMend the notes first; no line is lost.")
    except OSError as error:
        _stop(_refused(error))
    return bool(before)


def _answer(question: TableQuestion) -> str:
    """Ask one thing about a table, again until it is a word that can be kept."""
    from firmripe.holding.record import Happening
    from firmripe.reading.headings import TEMPERATURES, Asked
    from firmripe.reading.records import COLUMNS

    happenings = [happening.value for happening in Happening]
    columns = [*COLUMNS, "amount in lb", "amount in kg", *TEMPERATURES, "nothing"]
    asked: dict[Asked, tuple[str, list[str]]] = {
        Asked.HEADING: (f'Which column is "{question.subject}"?', columns),
        Asked.EVERY: ("No column says what happened. What does every line tell?", happenings),
        Asked.ORDER: (f"How is {question.subject} meant?", ["day first", "month first"]),
        Asked.WHAT: (f'What is "{question.subject}"?', happenings),
        Asked.TREE: (f'Which tree is "{question.subject}"? Its tag', [*question.tags]),
    }
    text, choices = asked[question.asked]
    is_few = len(choices) <= _MOST_SHOWN
    answer: str = click.prompt(
        text, question.guess or None, type=click.Choice(choices, case_sensitive=False), show_choices=is_few
    )
    return answer


def _gather(  # noqa: PLR0913 - one for each option
    folder: Path,
    sources: list[GatheredText],
    today: date,
    *,
    take_all: bool,
    quiet: bool,
    ask: bool = True,
    write: bool = True,
) -> None:
    from firmripe import gathering
    from firmripe.problems import FaultyNotes, Unreadable
    from firmripe.publish.locking import Busy
    from firmripe.reports import gathered

    def agree(_line: FoundLine, why: Sequence[Problem]) -> bool:
        for problem in why:
            click.echo(_painted(str(problem)), err=True)
        return click.confirm("Take it all the same?", default=False, err=True)

    asking = agree if ask and write and _on_a_terminal() else gathering.never
    chosen = gathering.always if take_all else asking
    try:
        found = gathering.gather(folder, sources, today, agree=chosen, write=write)
    except FaultyNotes as error:
        _stop(f"{error}\nMend the notes first; no line is lost.")
    except (Unreadable, Busy, OSError) as error:
        said = _refused(error) if isinstance(error, OSError) else str(error)
        _stop(f"{said}\nNothing was written.")
    held = found.of(gathering.Fate.DOUBTFUL, gathering.Fate.UNCLEAR)
    if held or not quiet:
        click.echo(gathered(found, wrote=write))
    sys.exit(1 if held or not (found.lines or found.stations) else 0)


@main.command("new-season", epilog="Example: firmripe new-season --in notes")
@click.argument("season", type=click.IntRange(1900, 2200), required=False)
@_in
@_as_of
@_quiet
def new_season(season: int | None, folder: Path, as_of: date | None, *, quiet: bool) -> None:
    """Begin a SEASON: its table of records, what goes on from the last, and what is to be counted and wanted.

    Fruit in store, stock and settings go on by themselves. On a terminal it asks how many jars are left, and notes
    that. Nothing is taken away, and a second run changes nothing.
    """
    from firmripe import new_year
    from firmripe.problems import FaultyNotes, Unreadable
    from firmripe.publish.locking import Busy

    today = as_of or _today()
    new = _worked_out(folder, lambda day: new_year.look(folder, season, day), today, quiet=quiet)
    try:
        written = new_year.begin(folder, new.season)
        lines = [line for one in new.uncounted if (line := _asked_how_many(one, today))] if _on_a_terminal() else []
        if lines:
            new_year.count(folder, lines, today)
            new = new_year.look(folder, season, today)
    except (FaultyNotes, Unreadable, Busy, OSError) as error:
        _stop(_refused(error) if isinstance(error, OSError) else str(error))
    if not quiet:
        click.echo(new_year.summary(new, written, today))


def _asked_how_many(one: Shelved, today: date) -> str:
    """Ask how many jars are left, and return the line that says so; empty where nobody knows."""
    from firmripe.new_year import left_line

    def number(text: str) -> str:
        if text.strip() and not (text.strip().isdecimal() and int(text) <= one.made):
            raise click.BadParameter(f"write a number from 0 to {one.made}, or nothing")
        return text.strip()

    left = _asked(f"{one.name or 'Jars'}: of {one.made} {one.jar}s made, how many are left?", "4", number)
    return left_line(one, left, today) if left else ""


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
        raise click.UsageError(str(error)) from error
    if as_json:
        click.echo(checked_json(findings))
    elif findings.problems or not quiet:
        click.echo(_painted(checked(findings)))
    sys.exit(1 if findings.problems else 0)


@main.command(epilog="Example: firmripe shelf pear")
@click.argument("fruit", default="")
@click.option(
    "--dates",
    "table",
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
    metavar="FILE",
    help="Judge a place's table of dates by those of other places, before it goes on the shelf.",
)
def shelf(fruit: str, table: Path | None) -> None:
    """Say what the shelf knows: how much of each fruit, or of each cultivar of FRUIT, with its sources and its gaps.

    With --dates it names what in a place's table can hardly be meant, beside all other places carried there by warmth,
    and the lines to put it on the shelf; ends with 1 where there is any.
    """
    from firmripe.problems import FaultyNotes, Unreadable
    from firmripe.progress import working
    from firmripe.shelving import counts, known_of_fruit, look_over, looked_words, shelf_alone

    try:
        if table is None:
            click.echo(known_of_fruit(shelf_alone(), fruit) if fruit else counts(shelf_alone()))
            return
        with working("Reading the shelf and carrying its dates", quiet=False):
            looked = look_over(table)
    except Unreadable as error:
        raise click.UsageError(str(error)) from error
    except FaultyNotes as error:
        _stop(str(error))
    except OSError as error:
        _stop(_refused(error))
    click.echo(_painted(looked_words(looked)))
    sys.exit(1 if looked.is_odd else 0)


@main.command(epilog="Example: firmripe build notes --out site --season 2027")
@click.argument("folder", type=_FOLDER, default=Path())
@click.option("--out", type=_FOLDER, help="Folder for the site. [default: FOLDER/site, or FOLDER/site-for-NAME]")
@_for
@_season
@_as_of
@click.option("--what-if", "trial", is_flag=True, help="Only try something: the folder's site and ledger stay.")
@click.option("--afresh", is_flag=True, help="Work everything out anew, and keep nothing for the next build.")
@_quiet
def build(  # noqa: PLR0913 - one for each option
    folder: Path,
    out: Path | None,
    reader: str,
    season: int | None,
    as_of: date | None,
    *,
    trial: bool,
    afresh: bool,
    quiet: bool,
) -> None:
    """Build the site and the calendar feeds from the notes in FOLDER.

    The household's site holds what is private; --for everybody leaves out private notes, people, contacts and sprays.
    One file is written into FOLDER itself: feeds.ledger, by which a feed moves only when the notes do. Another season
    or reader, a day before the ledger's newest or far ahead of today, and --what-if write none, and FOLDER/site-what-if
    unless --out names a folder.
    """
    from firmripe.build import what_if_of, write_plan
    from firmripe.past_runs import kept_between_runs
    from firmripe.problems import FaultyNotes
    from firmripe.progress import working
    from firmripe.publish.refusing import Refused, Unfinished
    from firmripe.publish.slugs import slug
    from firmripe.publish.theming import ThemeFault
    from firmripe.publish.what_if import WhatIf
    from firmripe.reports import built, put_words
    from firmripe.shipped import program_mark

    with _alone(folder), nullcontext() if afresh else kept_between_runs(folder, program_mark):
        plan = _plan(folder, season, as_of, quiet=quiet, reader=reader)
        usual = "site" if plan.reader == plan.usual_reader else f"site-for-{slug(plan.reader.name)}"
        try:
            why = what_if_of(plan, folder, _today(), asked=trial, dated=as_of is not None)
            target = out or folder / (usual if why in {None, WhatIf.READER} else f"{usual}-what-if")
            with working("Writing the site", quiet=quiet):
                written = write_plan(plan, folder, target, trial=why is not None)
        except (FaultyNotes, Unfinished) as error:
            _stop(str(error))
        except (Refused, ThemeFault, OSError) as error:
            said = _refused(error) if isinstance(error, OSError) else str(error)
            _stop(f"{said}\nNothing was written; a former site stands as it was.")
    for told in plan.holding.asked if plan.reader.is_everybody else ():
        click.echo(_painted(str(told)), err=True)
    if not quiet:
        click.echo(built(plan, target, written.files, written.feeds, ledger_kept=written.ledger_kept, what_if=why))
    for line in put_words(written.put, target, written.strays):
        click.echo(line, err=True)


@main.command("build-many", epilog="Example: firmripe build-many households --out sites")
@click.argument("folder", type=_FOLDER)
@click.option(
    "--places",
    "table",
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
    metavar="TABLE",
    help="Build the notes in FOLDER at each place of a table: name, latitude, longitude, elevation, zone.",
)
@click.option("--out", type=_FOLDER, help="Folder for all sites. [default: sites in FOLDER, or beside TABLE]")
@_for
@_season
@_as_of
@click.option("--part", default="", metavar="N/OF", help="Build one part alone, as 3/40, on one of many machines.")
@click.option("--index", is_flag=True, help="Build nothing; make the page of all places from the sites that stand.")
@click.option("--cores", type=click.IntRange(min=1), help="So many at once. [default: as there are]")
@click.option("--dask", "cluster", default="", metavar="ADDRESS", help="Build on a dask cluster, as tcp://head:8786.")
@_quiet
def build_many(  # noqa: PLR0913, PLR0917 - one for each option
    folder: Path,
    table: Path | None,
    out: Path | None,
    reader: str,
    season: int | None,
    as_of: date | None,
    part: str,
    *,
    index: bool,
    cores: int | None,
    cluster: str,
    quiet: bool,
) -> None:
    """Build the sites of many places: of each household in FOLDER, or of the notes in FOLDER at each place of a table.

    A place that stands as it would be built is left alone, so a run that was cut off goes on where it ended. A place
    that can't be built is named, and the others are built; then it ends with 1. Parts of one order (give --as-of) make
    together what one run makes, and --index the page of all places after them.
    """
    from firmripe import many

    if index and part:
        raise click.UsageError("--index is for all places; leave out --part")
    _folder_there(folder)
    order = many.Order(
        out=out or (table.parent if table else folder) / "sites",
        season=season,
        known_on=as_of or _today(),
        today=_today(),
        dated=as_of is not None,
        reader=reader,
        made_by=many.made_by(),
    )
    with _refusals():
        units = many.places_of(table, folder, order) if table else many.households_of(folder, order)
        chosen = () if index else many.part_of(units, part) if part else units
        done = _outcomes(many.build_all(chosen, cores or cores_here(), cluster), len(chosen), quiet=quiet)
        listed = None if part else many.write_index(units, folder)
    for one in done:
        if one.fault:
            click.echo(_painted(f"{one.key} is not built:\n{one.fault}\n"), err=True)
    if not quiet:
        click.echo(many.report(done, order.out, listed))
    sys.exit(1 if any(one.fault for one in done) else 0)


@contextmanager
def _refusals() -> Iterator[None]:
    """Tell what stands in the way of many places as a whole, and end the run."""
    from firmripe.problems import FaultyNotes, Unreadable
    from firmripe.publish.refusing import Refused, Unfinished
    from firmripe.publish.theming import ThemeFault
    from firmripe.spreading import NoCluster

    try:
        yield
    except Unreadable as error:
        raise click.UsageError(str(error)) from error
    except (FaultyNotes, Refused, Unfinished, ThemeFault, NoCluster) as error:
        _stop(str(error))
    except OSError as error:
        _stop(_refused(error))


def _outcomes(ahead: Iterator[Outcome], number: int, *, quiet: bool) -> list[Outcome]:
    """Let all places be built, with a bar on a terminal, and return what became of them, by name."""
    if quiet or not sys.stderr.isatty():
        return sorted(ahead, key=lambda one: one.key)
    with click.progressbar(ahead, length=number, label="Building", file=sys.stderr, show_pos=True) as shown:
        return sorted(shown, key=lambda one: one.key)


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
        raise click.UsageError(str(error)) from error


@main.command(epilog="Example: firmripe hindcast notes")
@click.argument("folder", type=_FOLDER, default=Path())
@_season
@_as_of
def hindcast(folder: Path, season: int | None, as_of: date | None) -> None:
    """Play past seasons again and say how far off their dates would have been."""
    from firmripe.reports import hindcasted

    click.echo(hindcasted(_plan(folder, season, as_of)))
