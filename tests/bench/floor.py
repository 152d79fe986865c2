"""The floor under a build: the same reads, Markdown, templates, events and writes, without any planning.

Run by `bench_builds.py`, in a process of its own: python tests/bench/floor.py NOTES SHELF SITE OUT
SITE is what a build made of NOTES; its pages are rendered again from their lines by a template, its events are put
together again and its files written. This script stays as it is, so that ratios of different years can be compared.
"""

from __future__ import annotations

import csv
import io
import sys
from pathlib import Path

import icalendar
import jinja2
import markdown
import nh3
import yaml

_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_PAGE = jinja2.Environment(autoescape=True).from_string(
    "{% for line in lines %}{{ line }}\n{% endfor %}",
)


def read_notes(folder: Path) -> int:
    """Read every note and table below a folder as a build does; return how many there are."""
    count = 0
    for path in sorted(folder.rglob("*")):
        if path.suffix == ".md":
            _, front, body = (*path.read_text(encoding="utf-8").split("---\n", 2), "", "")[:3]
            yaml.load(front, Loader=_LOADER)  # noqa: S506 - a safe loader, in C where there is one
            if body.strip() and folder.name != "reference":
                nh3.clean(markdown.markdown(body))
            count += 1
        elif path.suffix == ".csv":
            list(csv.reader(io.StringIO(path.read_text(encoding="utf-8"))))
            count += 1
    return count


def page_again(data: bytes) -> bytes:
    """Render a page from its lines."""
    lines = [jinja2.utils.markupsafe.Markup(line) for line in data.decode("utf-8").split("\n")]
    return _PAGE.render(lines=lines).encode("utf-8")


def feeds_again(feeds: dict[str, bytes]) -> dict[str, bytes]:
    """Put every event together once and serialise it once, however many feeds it stands in."""
    made: dict[str, bytes] = {}
    found = {}
    for path, data in feeds.items():
        uids = []
        for block in data.split(b"BEGIN:VEVENT\r\n")[1:]:
            text = block.split(b"END:VEVENT")[0]
            uid = text.split(b"UID:", 1)[1].split(b"\r\n", 1)[0]
            uids.append(uid)
            made.setdefault(uid, text)
        found[path] = uids
    written = {}
    for uid, text in made.items():
        event = icalendar.Event()
        for line in text.replace(b"\r\n ", b"").decode("utf-8").split("\r\n"):
            name, _, value = line.partition(":")
            key = name.split(";")[0]
            if key in {"SUMMARY", "DESCRIPTION", "UID", "LOCATION", "TRANSP"} and key not in event:
                event.add(key, value)
        written[uid] = event.to_ical()
    return {path: b"BEGIN:VCALENDAR\r\n" + b"".join(written[uid] for uid in uids) for path, uids in found.items()}


def main() -> None:
    """Do the floor's work once."""
    notes, shelf, site, out = map(Path, sys.argv[1:5])
    read_notes(notes)
    read_notes(shelf)
    files = {path.relative_to(site).as_posix(): path.read_bytes() for path in sorted(site.rglob("*")) if path.is_file()}
    feeds = feeds_again({name: data for name, data in files.items() if name.endswith(".ics")})
    for name, data in files.items():
        target = out / name
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(feeds.get(name) or (page_again(data) if name.endswith(".html") else data))


if __name__ == "__main__":
    main()
