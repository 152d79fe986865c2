"""How long 10,000 events take, beside what the calendar library alone takes to serialise them once.

Run: PYTHONPATH=generator:tests python tests/bench/bench_feed.py
"""

from __future__ import annotations

import time
from datetime import UTC, date, datetime, timedelta

import icalendar

from firmripe.publish.feeds.appointments import Appointment
from firmripe.publish.feeds.components import Header, calendar, written

EVENTS = 10_000
FILES = 9
STAMP = datetime(2027, 8, 28, tzinfo=UTC)
TEXT = (
    "28 Aug to 6 Sep, every 2 days.\nAn estimate: between 25 Aug and 31 Aug.\nLift it: a ripe one parts – “click”.\n"
    "Caution: Never stand on the top two steps of an orchard ladder.\nhttps://example.org/pears/trees/1-01.html"
)


def appointments() -> list[Appointment]:
    """Return events like a household's."""
    return [
        Appointment(
            uid=f"48c2207b-52ea-5318-85f2-{n:012d}",
            first=date(2027, 1, 1) + timedelta(days=n % 365),
            last=date(2027, 1, 1) + timedelta(days=n % 365),
            title=f"Start checking: Bartlett ({n}), 44 lb",
            text=TEXT,
            category="Orchard",
            url="https://example.org/pears/trees/1-01.html",
            alarm=timedelta(hours=-15),
        )
        for n in range(EVENTS)
    ]


def main() -> None:
    """Print both times and how they compare."""
    ones = appointments()
    start = time.perf_counter()
    blocks = [written(one, 0, STAMP) for one in ones]
    files = [calendar(Header(name="Home"), blocks) for _ in range(FILES)]
    ours = time.perf_counter() - start
    parsed = icalendar.Calendar.from_ical(files[0])
    start = time.perf_counter()
    parsed.to_ical()
    theirs = time.perf_counter() - start
    size = len(files[0]) / EVENTS
    print(f"{EVENTS} events of {size:.0f} octets, built, written once and put into {FILES} files: {ours:.2f} s")
    print(f"the library alone, serialising them once: {theirs:.2f} s; ratio {ours / theirs:.2f}")


if __name__ == "__main__":
    main()
