"""What is written for people is true: commands, options, keys and files named there are those of the program."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import click
import pytest
import yaml
from conftest import ROOT, SHELF

from firmripe.cli import main
from firmripe.reading.reader import read_holding

PAGES = [ROOT / "README.md", *sorted((ROOT / "content").glob("*.md")), ROOT / "DEVELOPERS.md"]
ONLINE = (ROOT / "content" / "ONLINE.md").read_text(encoding="utf-8")


def blocks(text: str) -> list[str]:
    """Return what stands in fenced blocks."""
    return re.findall(r"^```[a-z]*\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)


def commands(text: str) -> list[str]:
    """Return every command of ours that is written, in blocks and within lines, without what comes after it."""
    spans = [
        *blocks(text),
        *re.findall(r"`([^`\n]+)`", re.sub(r"^```.*?^```$", "", text, flags=re.MULTILINE | re.DOTALL)),
    ]
    lines = [line for span in spans for line in span.splitlines()]
    found = (re.search(r"(?:^|[\s;(/\\])firmripe(?:\.exe)? +([^&|;)]+)", line) for line in lines)
    words = [match[1].strip() for match in found if match]
    return [one.removesuffix('"') if one.count('"') % 2 else one for one in words]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
def test_every_command_that_is_written_is_understood(page: Path) -> None:
    """Its name and its options are those of the program; what it is given is not looked at."""
    assert isinstance(main, click.Group)
    found = commands(page.read_text(encoding="utf-8"))
    for words in found:
        name, *rest = shlex.split(words.replace("\\", "/"))
        if name.isupper() or name in {"…", "--help"}:
            continue
        assert name in main.commands, words
        command = main.commands[name]
        here = click.Context(command, parent=click.Context(main, **main.context_settings))
        command.make_parser(here).parse_args(list(rest))  # raises for an option that there is not
    assert found or page.name == "DEVELOPERS.md"


def test_the_keys_for_a_site_online_are_read(tmp_path: Path) -> None:
    """The block for place.md, as it stands."""
    (block,) = (block for block in blocks(ONLINE) if block.startswith("site address"))
    (tmp_path / "trees").mkdir()
    (tmp_path / "trees" / "1.md").write_text("---\ncultivar: Bartlett\n---\n", encoding="utf-8")
    (tmp_path / "place.md").write_text(f"---\n{block}---\n", encoding="utf-8")
    place = read_holding(tmp_path, SHELF).place
    assert place.site_address == "https://fruit.example.org/"


def test_the_nightly_job_is_whole() -> None:
    """It is YAML, builds every night and after each note, and keeps the ledger."""
    (block,) = (block for block in blocks(ONLINE) if block.startswith("name: site"))
    job = yaml.load(block, Loader=yaml.BaseLoader)  # noqa: S506 - all scalars stay text
    steps = job["jobs"]["site"]["steps"]
    said = " ".join(step.get("run", "") for step in steps)
    assert set(job["on"]) == {"push", "schedule"}
    assert "firmripe build" in said
    assert "git add feeds.ledger" in said
    assert steps[-2]["with"]["path"] == "site"


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
def test_links_lead_somewhere(page: Path) -> None:
    """To files of this folder, and to headings within them."""
    for target in re.findall(r"\]\((?!https?:)([^)\s]+)\)", page.read_text(encoding="utf-8")):
        name, _, heading = target.partition("#")
        path = page.parent / name if name else page
        assert path.exists(), target
        if heading:
            titles = re.findall(r"^#+ (.+)$", path.read_text(encoding="utf-8"), re.MULTILINE)
            slugs = {re.sub(r"[^a-z0-9 -]", "", title.lower()).replace(" ", "-") for title in titles}
            assert heading in slugs, target
