"""A job is the same on every page, sheet, table and feed; none for fruit that hangs, trees that are gone, or people away."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from datetime import date, timedelta

from agreeing import Broken, batches, name_of, of, rule, said
from forty import Household
from rules_of_days import asked_after
from statements import Job, Site

SOON_D = 7
"""What may well be done a little early stands in a calendar up to a week before its day."""
AFTER_PICK = frozenset(
    f"jobs/{name}.html"
    for name in ("take-out", "ready", "use-by", "eat-first", "neck-test", "into-the-cold", "keep-until", "sort-at-intake", "weigh-the-pick", "store-check", "turn-the-ripening-box")
)  # fmt: skip
"""Jobs of the shelf that there is nothing to do at before the pick."""
OF_WANTS = frozenset(
    f"jobs/{name}.html" for name in ("take-out-for-a-day", "take-out-for-the-kitchen", "bring-what-is-wanted")
)
PICKS = r"jobs/(pick(-(?!by|up)[a-z-]+)?|gather-[a-z-]+|clip-[a-z-]+|shake-mulberries)\.html"


def _row(row: dict[str, object]) -> str:
    return said("plan.json", f"{row['job']} {row['for']} {row['first_day']} to {row['last_day']}")


def _job(job: Job) -> str:
    return said(job.file, f"{job.day} {job.words}")


@rule
def a_day_has_the_same_jobs_wherever_it_stands(site: Site, _household: Household) -> Iterator[Broken]:
    """Week, month, first page and task page show the same jobs on a day, for the same trees, with the same amounts."""
    pages: dict[str, dict[tuple[str, str], Job]] = defaultdict(dict)
    for job in site.jobs:
        pages[job.file.split("/")[0]][job.day, job.task] = job
    weeks = pages["weeks"]
    for kind in ("months", "index.html", "jobs") if weeks else ():
        for key in pages[kind]:
            if key not in weeks:
                yield " ".join(key), _job(pages[kind][key]), "in no week"
            elif not _agree(pages[kind][key], weeks[key]):
                yield " ".join(key), _job(pages[kind][key]), _job(weeks[key])
    for key in weeks:
        if key not in pages["months"]:
            yield " ".join(key), _job(weeks[key]), "in no month"


def _agree(one: Job, other: Job) -> bool:
    """Say whether two lines tell the same; who does it isn't marked where lines are short."""
    same = (one.tags, one.subjects, one.amount) == (other.tags, other.subjects, other.amount)
    return same and (one.who == other.who or not (one.who and other.who))


@rule
def the_fridge_has_the_jobs_of_the_first_page(site: Site, _household: Household) -> Iterator[Broken]:
    """The sheet for the fridge shows each job of its days as the first page does, which both leave out what is noted."""
    page = site.pages.get("sheets/fridge.html")
    lines: dict[str, list[str]] = defaultdict(list)
    for section in page.every("section") if page else ():
        for li in section.every("li") if len(section.days) == 1 else ():
            lines[section.days[0]].append(li.text)
    for job in site.jobs:
        if job.file != "index.html" or job.day not in lines:
            continue
        verb = job.words.removeprefix(" ".join(sorted(job.tags))).strip()
        if not any(
            all(tag in line for tag in job.tags) and (not job.amount or job.amount in line) for line in lines[job.day]
        ):
            yield f"{job.day} {job.task}", _job(job), said("sheets/fridge.html", f"nothing like {verb}")


@rule
def a_trees_page_has_its_jobs(site: Site, _household: Household) -> Iterator[Broken]:
    """What a tree's page still has to come stands on those days among the weeks, for that tree."""
    weeks = {(job.day, job.task): job for job in site.jobs if job.file.startswith("weeks/")}
    for job in site.jobs:
        if job.file.startswith("trees/") and weeks:
            other = weeks.get((job.day, job.task))
            if other is None or (other.tags and not job.tags <= other.tags):
                yield f"{job.day} {job.task}", _job(job), _job(other) if other else "in no week"


@rule
def pages_and_table_have_the_same_jobs(site: Site, _household: Household) -> Iterator[Broken]:
    """Each row of the table stands on its first day among the weeks, and each job of a week within a row's days."""
    shown = {(job.day, job.task): job for job in site.jobs if job.file.startswith(("weeks/", "year.html"))}
    by_task: dict[str, list[tuple[str, str]]] = defaultdict(list)
    weeks = any(file.startswith("weeks/") for file in site.pages)
    for row in site.plan if weeks else ():
        by_task[row["page"]].append((row["first_day"], row["last_day"]))
        if (row["first_day"], row["page"]) not in shown:
            yield f"{row['job']} {row['for']}", _row(row), "in no week"
    for (day, task), job in shown.items() if weeks else ():
        if not any(first <= day <= last for first, last in by_task[task]):
            yield f"{day} {task}", _job(job), "in no row"


@rule
def no_job_for_fruit_that_hangs(site: Site, household: Household) -> Iterator[Broken]:
    """Jobs of the store and of ripe fruit wait for the tree's pick, unless fruit of it lies in store."""
    told = (one for one in site.statements if one.about[0] == "crop" and one.about[3] == "pick")
    picks = {one.about[1]: one for one in sorted(told, key=lambda one: str(one.value), reverse=True)}  # the first crop
    here = {card.tree for card in site.cards if card.noted}
    here |= {cells[1] for cells in household.noted if len(cells) > 4 and "pick" in cells[4]}
    here |= asked_after(site)  # of last season's crop that may still hang, what follows is counted from today
    for row in site.plan:
        tag = row["trees"][0] if len(row["trees"]) == 1 else ""
        pick = picks.get(tag)
        is_after = row["page"] in AFTER_PICK and row["last_day"] >= site.made_on.isoformat()
        if pick and is_after and tag not in here and row["first_day"] < str(pick.value):
            yield f"{tag} {row['job']}", _row(row), of(pick)


@rule
def no_job_after_the_pick_is_asked_for_today_before_it(site: Site, household: Household) -> Iterator[Broken]:
    """Where a pick is overdue and not noted, the days of its fruit are not jobs of today."""
    due = {
        cards[0].tree
        for cards in batches(site)
        if cards[0].noted is False and cards[0].day("picked") < site.made_on.isoformat()
    }
    here = {card.tree for card in site.cards if card.noted}
    here |= {cells[1] for cells in household.noted if len(cells) > 4 and "pick" in cells[4]}
    for job in site.jobs:
        trees = job.tags & (due - here)
        if job.file in {"index.html", "sheets/fridge.html"} and trees and job.task in AFTER_PICK:
            yield f"{job.day} {job.task} {sorted(trees)}", _job(job), "its pick is due and nothing is noted"


@rule
def nothing_is_planned_of_what_waits_for_an_answer(site: Site, household: Household) -> Iterator[Broken]:
    """Once the last good day to pick is over and no pick is noted, no kitchen day, take-out or want has its fruit."""
    here = {cells[1] for cells in household.noted if len(cells) > 4 and "pick" in cells[4]}
    over: dict[str, str] = {}
    for box in site.pages["index.html"].every("div", "must"):
        if site.hearing.hears("{task} {what}, until {day}", box.text):
            tags = (a.text for a in box.every("a", "code"))  # one that bears twice may be picked for its other crop
            over |= {tag: box.text for tag in tags if tag not in here and f"{tag}/" not in box.text}
    for row in site.plan:
        trees = set(row["trees"])
        if (
            row["page"] in AFTER_PICK | OF_WANTS
            and trees
            and trees <= set(over)
            and row["last_day"] >= str(site.made_on)
        ):
            yield f"{row['job']} {row['for']}", _row(row), said("index.html", over[min(trees)])
    for file, page in site.pages.items():
        lines = page.every("li") if re.fullmatch(r"kitchen(/.*)?\.html", file) else ()
        for tree in (one for line in lines for a in line.direct("a") for one in over if f"({one})" in a.text):
            yield f"{tree} in {file}", said(file, page.text), said("index.html", over[tree])


@rule
def every_picking_is_a_job(site: Site, _household: Household) -> Iterator[Broken]:
    """A picking that is planned begins a job of its tree on its day; one due today, or one of a rhythm, lies within one."""
    today = site.made_on.isoformat()
    rows = [row for row in site.plan if re.fullmatch(PICKS, row["page"])]
    asked = asked_after(site)
    for cards in batches(site):
        card = next((card for card in cards if card.noted is False and card.day("picked")), None)
        if card is None or card.day("picked") < today or (card.day("picked") == today and card.tree in asked):
            continue
        day, own = card.day("picked"), [row for row in rows if card.tree in row["trees"]]
        begins = any(row["first_day"] == day for row in own)
        if not begins and not any(
            row["first_day"] <= day <= row["last_day"] for row in own if row["rhythm"] or day == today
        ):
            yield name_of(card), said(card.file, card.words), "; ".join(map(_row, own)) or "no job"


@rule
def the_last_day_to_pick_follows_the_last_picking(site: Site, _household: Household) -> Iterator[Broken]:
    """Pick by is no day before a picking that is planned."""
    last: dict[str, list[dict[str, object]]] = defaultdict(list)
    for row in site.plan:
        for tag in row["trees"] if row["page"] == "jobs/pick-by.html" and len(row["trees"]) == 1 else ():
            last[tag].append(row)
    for cards in batches(site):
        card = next((card for card in cards if card.noted is False and card.day("picked")), None)
        own = [row for row in last[card.tree] if card.cultivar in str(row["for"])] if card else []
        if card and own and all(str(row["last_day"]) < card.day("picked") for row in own):
            yield name_of(card), said(card.file, card.words), _row(own[-1])


@rule
def what_is_to_be_picked_weighs_what_its_batches_weigh(site: Site, _household: Household) -> Iterator[Broken]:
    """The amount beside a picking to come is that of the batches picked on that day, to a pound a batch."""
    planned = {name_of(cards[0]): cards for cards in batches(site) if all(card.noted is not True for card in cards)}
    for job in site.jobs:
        weight = site.hearing.weight(job.amount)
        if (
            job.task != "jobs/pick.html"
            or weight is None
            or not job.tags
            or not job.file.startswith(("weeks/", "year"))
        ):
            continue
        cards = [
            cards[0] for cards in planned.values() if cards[0].tree in job.tags and cards[0].day("picked") == job.day
        ]
        known = [one for card in cards if (one := site.hearing.weight(card.weight))]
        whole = [sum(one[end] for one in known) for end in (0, 1)]
        trees = {card.tree for card in cards}
        if (
            trees == job.tags
            and len(known) == len(cards)
            and any(abs(whole[end] - weight[end]) > len(known) for end in (0, 1))
        ):
            yield (
                f"{job.day} {sorted(job.tags)}",
                _job(job),
                "; ".join(f"{name_of(card)} {card.weight}" for card in cards),
            )


@rule
def nobody_does_a_job_while_away(site: Site, household: Household) -> Iterator[Broken]:
    """Who is away stands beside no job of those days, unless it is said that another hand is wanted."""
    for found in re.finditer(r"name: (\w+)[^}]*?away: \[?(\w{3} \d+ - \w{3} \d+)", household.place):
        name, (first, last) = found[1], (site.hearing.day(part) for part in found[2].split(" - "))
        wanted = site.hearing.said("Another hand is wanted then.")
        for job in site.jobs:
            is_named = name in re.findall(r"\w+", job.who) and not job.who.startswith("all but")
            if first <= job.day <= last and is_named and wanted not in job.words:
                yield f"{name} {job.day} {job.task}", _job(job), f"away {found[2]}"


def _happened(household: Household, what: str) -> Iterator[tuple[date, list[str]]]:
    for cells in household.noted:
        if len(cells) > 4 and cells[4] == what and re.fullmatch(r"\d{4}-\d\d-\d\d", cells[0]):
            yield date.fromisoformat(cells[0]), cells


@rule
def no_job_among_absent_trees(site: Site, household: Household) -> Iterator[Broken]:
    """A tree that was removed has no job in the orchard from that day on, and is listed nowhere as standing."""
    orchard = {row["page"] for row in site.plan if row["topic"] == "orchard"}
    gone = site.hearing.said("stands no more")
    for day, cells in _happened(household, "removed"):
        tag = cells[1]
        if cells[2] or any(other[1] == tag and other[0] > cells[0] for other in household.noted):
            continue
        for row in site.plan:
            if tag in row["trees"] and row["topic"] == "orchard" and row["first_day"] > day.isoformat():
                yield f"{tag} in the table", _row(row), f"removed {day}"
        for job in site.jobs:
            if tag in job.tags and job.day > day.isoformat() and job.task in orchard:
                yield f"{tag} among jobs", _job(job), f"removed {day}"
        for file, label in (("sheets/labels.html", "tag"), ("sheets/picking.html", "tag"), ("trees.html", "tree")):
            page = site.pages.get(file) if day <= site.made_on else None
            listed = (one.text for one in page.every(of=label)) if page else ()
            if any(re.match(rf"{re.escape(tag)}(?: |$)", text) and gone not in text for text in listed):
                yield f"{tag} in {file}", said(file, f"{tag} is listed"), f"removed {day}"


@rule
def nobody_goes_in_before_the_re_entry_time_is_over(site: Site, household: Household) -> Iterator[Broken]:
    """No job among sprayed trees between the spray and the end of the label's re-entry time."""
    orchard = {row["page"] for row in site.plan if row["topic"] == "orchard"}
    for day, cells in _happened(household, "spray"):
        found = re.search(r"re-entry (\d+) (day|hour)s?", ",".join(cells))
        if not found or day > site.made_on:
            continue
        closed = int(found[1]) if found[2] == "day" else -(-int(found[1]) // 24)
        days = {(day + timedelta(days=at)).isoformat() for at in range(1, closed)}
        for job in site.jobs:
            is_there = cells[1] in job.tags if cells[1] else bool(job.tags)
            left_out = site.hearing.hears("Leave out {trees}: {wait}", job.words)
            if left_out and cells[1] in left_out["trees"].split(", "):
                continue
            if is_there and job.day in days and job.task in orchard:
                yield f"{cells[1] or 'all'} {job.day} {job.task}", _job(job), ",".join(cells)


# Feeds


@rule
def a_feed_says_what_the_table_says(site: Site, _household: Household) -> Iterator[Broken]:
    """An event of a feed is a job of the table, on its day or, with others of its task, up to a week before."""
    pages = {row["uid"]: row["page"] for row in site.plan}
    for event in site.feeds.get("feeds/reminders.ics", ()):
        rows = [row for row in site.plan if row["page"] == pages.get(event.uid)]
        if not rows or event.recurrence:
            continue
        starts = (date.fromisoformat(row["first_day"]) - timedelta(days=SOON_D) for row in rows)
        ends = (date.fromisoformat(row["last_day"]) for row in rows)
        if not any(first <= event.first <= last for first, last in zip(starts, ends, strict=True)):
            words = said("feeds/reminders.ics", f"{event.first} {event.title}")
            yield event.title, words, "; ".join(map(_row, rows[:3]))


@rule
def every_reminder_of_the_table_is_in_the_feed(site: Site, _household: Household) -> Iterator[Broken]:
    """Rows that ask for a reminder and lie ahead are told in the feed within a week before their day."""
    events = [event for event in site.feeds.get("feeds/reminders.ics", ()) if not event.recurrence]
    uids = {event.uid for event in events}
    for row in site.plan:
        if not row["reminder"] or row["first_day"] < site.made_on.isoformat() or row["uid"] in uids:
            continue
        day = date.fromisoformat(row["first_day"])
        near = (f"{event.title} {event.text}" for event in events if abs((event.first - day).days) <= SOON_D)
        if not any(
            row["for"] in text or any(tag in text for tag in row["trees"][:1]) or re.search(r"\d (trees|árboles)", text)
            for text in near
        ):
            yield f"{row['job']} {row['for']}", _row(row), "in no event"


@rule
def a_feed_weighs_what_the_pages_weigh(site: Site, _household: Household) -> Iterator[Broken]:
    """The weight in the title of an event of one tree is the amount of that job on its day."""
    rows = {row["uid"]: row for row in site.plan}
    jobs = {(job.task, job.day): job for job in site.jobs if job.file.startswith(("weeks/", "year.html"))}
    for event in site.feeds.get("feeds/reminders.ics", ()):
        row, weight = rows.get(event.uid), site.hearing.weight(event.title)
        several = [
            one for one in site.plan if row and all(one[key] == row[key] for key in ("page", "first_day", "trees"))
        ]
        alone = row and len(row["trees"]) == 1 and len(several) == 1  # pages add up what houses do on one day
        job = jobs.get((row["page"], event.first.isoformat())) if row and alone else None
        amount = site.hearing.weight(job.amount) if job and row and job.tags == frozenset(row["trees"]) else None
        if job and weight and amount and amount != weight:
            yield event.title, said("feeds/reminders.ics", f"{event.first} {event.title}"), _job(job)


@rule
def a_feed_has_no_ghosts(site: Site, household: Household) -> Iterator[Broken]:
    """A first build tells of no day before today, unless a record says that something was on it."""
    noted = {cells[0] for cells in household.noted}
    for event in site.feeds.get("feeds/reminders.ics", ()):
        once = not event.turns and not event.recurrence
        if once and event.last <= site.made_on and event.first.isoformat() not in noted:
            yield (
                f"{event.first} {event.title}",
                said("feeds/reminders.ics", f"{event.first} {event.title}"),
                "no record of that day",
            )
