"""What content/CHANGES.md promises to leave as it is through all releases of one kind is as it was at the first."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from datetime import date

import click
import pytest
from conftest import ROOT

from firmripe import __version__
from firmripe.cli import main
from firmripe.holding.place import Ground, Place
from firmripe.plan import Plan
from firmripe.publish import ledger, manifest
from firmripe.publish.feeds.components import PRODUCT
from firmripe.publish.feeds.names import named_uid
from firmripe.publish.site import make_site
from firmripe.reading import place as reading_place
from firmripe.reading.records import COLUMNS
from firmripe.shipped import theme_folder

COMMANDS = {
    "add": "--fruit --in --quiet --when",
    "build": "--as-of --for --out --quiet --season --what-if",
    "check": "--as-of --for --json --quiet",
    "explain": "--as-of --in --json --season",
    "gather": "--as-of --dry-run --from --in --quiet --yes",
    "hindcast": "--as-of --season",
    "new-season": "--as-of --in --quiet",
    "note": "--as-of --from --in --quiet --yes",
    "preview": "--as-of --for --lan --port --quiet --season",
    "shelf": "--dates",
    "start": "--height --latitude --longitude --name --quiet --tree --units --zone",
}
"""Each with its options."""
JOB = "uid,first_day,last_day,rhythm,earliest,latest,rough,seen,job,topic,for,trees,crop,work,reminder,page"
"""Columns of plan.csv, in order; later ones may come after them."""
PICK = "fe23aa34-265f-5ea6-ba80-580f1b2498ee"
"""UUID version 5 (RFC 9562) of "pick|1-01|2027" below that of "Home" below the namespace of the first release."""
PLACE = """---
name: Home
people: [{name: Ann, household: upper, does: [picking]}, {name: Ben, household: upper, does: [watch]}]
---
"""
ADDRESSES = {
    *("index.html", "year.html", "trees.html", "jobs.html", "dates.html", "subscribe.html", "sources.html"),
    *("sheets/index.html", "sheets/week.txt", "sheets/record.html", "plan.csv", "plan.json", "changes.atom"),
    *("trees/1-01.html", "trees/1-02.html", "cultivars/bartlett.html", "fruits/european-pear.html"),
    *("jobs/pick.html", "weeks/2027-08-16.html", "months/2027-08.html"),
    *(
        f"feeds/{of}{kind}.ics"
        for of in ("", "orchard-", "store-", "upper-", "ann-")
        for kind in ("reminders", "windows")
    ),
}


@pytest.fixture
def site(plan_of: Callable[..., Plan]) -> dict[str, bytes]:
    """Return the site of a household of two in one house with two pears."""
    trees = {f"trees/1-0{n}.md": "---\ncultivar: Bartlett\n---\n" for n in (1, 2)}
    return make_site(plan_of({"place.md": PLACE, **trees}, as_of=date(2027, 8, 20)), theme_folder())


def test_forms_are_the_first() -> None:
    """Of notes, ledger and manifest; a release that raises one keeps reading the former (see test_kept)."""
    assert (reading_place.FORMAT, ledger.FORMAT, manifest.FORMAT) == (1, 1, 1)


def test_pages_and_calendars_lie_where_they_lay(site: dict[str, bytes]) -> None:
    """What people have on labels, bookmarks and in calendar apps still opens."""
    assert set(site) >= ADDRESSES


def test_events_are_those_they_were() -> None:
    """An identity of a household is reckoned as in the first release; calendars are of the same product."""
    home = Place(name="Home", ground=Ground())
    identity = Place(name="Elsewhere", ground=Ground(), site_address="https://b.example/", calendar_identity="Home")

    assert PRODUCT == "-//Firmripe//Season plan//EN"
    assert named_uid(home, "pick|1-01|2027") == named_uid(identity, "pick|1-01|2027") == PICK


def test_commands_and_options_are_understood() -> None:
    """Each that a script may hold; there may be more."""
    assert isinstance(main, click.Group)
    for name, options in COMMANDS.items():
        known = {word for option in main.commands[name].params for word in option.opts}
        assert known >= {*options.split()}, name


def test_tables_have_their_columns(site: dict[str, bytes]) -> None:
    """Of the records, of plan.csv and plan.json: a script finds what it found."""
    head = next(csv.reader(io.StringIO(site["plan.csv"].decode("utf-8"))))
    whole = json.loads(site["plan.json"])

    assert COLUMNS == ("date", "tree", "cultivar", "crop", "what", "amount", "note")
    assert ",".join(head).startswith(JOB)
    assert whole.keys() >= {"place", "season", "as_of", "jobs"}
    assert whole["jobs"]
    assert all(job.keys() >= {*JOB.split(",")} for job in whole["jobs"])


def test_the_promise_stands_where_people_read_it() -> None:
    """The page names the release that this is."""
    assert f"\n## {__version__}\n" in (ROOT / "content" / "CHANGES.md").read_text(encoding="utf-8")
