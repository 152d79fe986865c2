"""Tasks and preserves from their notes."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from firmripe.days import Hemisphere, parse_rhythm, parse_stretch
from firmripe.holding.figures import Source
from firmripe.holding.preserve import Preserve, PutUp
from firmripe.holding.task import Anchor, Condition, Each, Stage, Task, Topic
from firmripe.problems import Problems, Unreadable, Where, nearest, or_list
from firmripe.reading.fields import SHELF, Fields, one_of, plain_text, yes_or_no
from firmripe.reading.folder import Note
from firmripe.reading.traits import only_shortened
from firmripe.units import parse_zone

_WHEN_HINT = "write a stage or a day, as 2 weeks before earliest pick, full bloom or Mar 1"


def parse_anchor(text: str) -> Anchor:
    """Read the day a task hangs on: `5 weeks after full bloom`, `earliest pick`, `Mar 1`. Raises Unreadable."""
    plain = " ".join(text.casefold().split())
    match = re.fullmatch(r"(\d+)\s+(day|week|month)s?\s+(before|after)\s+(.+)", plain)
    count, unit, side, name = match.groups() if match else ("0", "day", "after", plain)
    sign = -1 if side == "before" else 1
    months = sign * int(count) if unit == "month" else 0
    days = sign * int(count) * {"day": 1, "week": 7, "month": 0}[unit]
    name = re.sub(r"^(?:at|the|on)\s+", "", name)
    for stage in Stage:
        if stage.value == name:
            return Anchor(stage=stage, months=months, days=days, text=" ".join(text.split()))
    try:
        stretch = parse_stretch(name)
    except Unreadable as error:
        stages = [stage.value for stage in Stage]
        near = nearest(name, stages)
        hint = f'did you mean "{near}"?' if near else f"{_WHEN_HINT}; stages are {or_list(stages)}"
        raise Unreadable(f'"{text}" is neither a stage nor a day of the year', hint) from error
    return Anchor(day=stretch.first, months=months, days=days, text=" ".join(text.split()))


@dataclass(frozen=True, slots=True)
class Subjects:
    """What tasks and preserves can be for: fruits and cultivars by any name, trees by tag."""

    find: Callable[[str], tuple[str, ...]]
    known: tuple[str, ...]

    def read(self, fields: Fields, key: str, problems: Problems) -> frozenset[str]:
        """Read a list of subjects as keys and tags."""
        found: set[str] = set()
        for name, where in fields.texts_with_places(key):
            keys = self.find(name)
            if keys:
                found.update(keys)
                continue
            near = nearest(name, self.known)
            hint = f'did you mean "{near}"?' if near else "name a fruit, a cultivar or the tag of a tree"
            problems.add(where, f'"{name}" is no fruit, cultivar or tree', hint)
        return frozenset(found)


def _anchor(fields: Fields, key: str, here: Hemisphere) -> Anchor | None:
    """Read an anchor; a day of the year on the shelf is written for the north, the household's for its own half."""
    anchor = fields.read(key, parse_anchor)
    if anchor is None or fields.place_of(key).file.startswith(SHELF):
        return anchor
    return replace(anchor, written_for=here)


def read_task(
    note: Note, subjects: Subjects, here: Hemisphere, sources: Mapping[str, Source], problems: Problems
) -> Task | None:
    """Read one task; None where it is skipped or faulty. `here` is the household's half of the earth."""
    fields = Fields(note.table, problems, sources)
    when = _anchor(fields, "when", here)
    skip = fields.read("skip", yes_or_no) or False
    conditions = set()
    for text, where in fields.texts_with_places("only if"):
        try:
            conditions.add(one_of(Condition)(text))
        except Unreadable as error:
            problems.add(where, error.message, error.hint)
    task = None
    values = {
        "name": fields.text("name") or note.key.replace("-", " ").capitalize(),
        "topic": fields.read("topic", one_of(Topic)) or Topic.ORCHARD,
        "subjects": subjects.read(fields, "for", problems),
        "each": fields.read("each", one_of(Each)) or Each.TREE,
        "until": _anchor(fields, "until", here),
        "every": fields.read("every", parse_rhythm),
        "zone": fields.read("zone", parse_zone),
        "reminder": fields.read("reminder", yes_or_no) or False,
        "who": fields.text("who"),
        "bring": fields.texts("bring"),
        "why": fields.figures("why", plain_text),
        "look_for": fields.figures("look for", plain_text),
        "cautions": fields.figures("cautions", plain_text),
    }
    if when is not None and not skip:
        task = Task(
            key=note.key,
            when=when,
            only_if=frozenset(conditions),
            text=note.body,
            where=Where(note.file),
            **values,  # type: ignore[arg-type]
        )
    elif when is None and not skip and not fields.has("when"):
        problems.add(Where(note.file), "a task does not say when", f"add when: ({_WHEN_HINT})")
    fields.close("a task")
    return task


def read_preserve(
    note: Note,
    shelf_note: Note | None,
    shelf: Mapping[str, Preserve],
    subjects: Subjects,
    sources: Mapping[str, Source],
    problems: Problems,
) -> Preserve | None:
    """Read one preserve.

    `shelf_note` is the shelf's note that this one lies over, `shelf` the shelf's preserves by key. A household may
    name a published process of the shelf for its own product of the same fruit; it can't make one up.
    """
    fields = Fields(note.table, problems, sources)
    under = Fields(shelf_note.table, Problems(), sources) if shelf_note and shelf_note is not note else None
    method = fields.read("method", one_of(PutUp))
    if not fields.has("method"):
        words = or_list([way.value for way in PutUp])
        problems.add(Where(note.file), "a preserve does not say how it is put up", f"add method: {words}")
    names = subjects.read(fields, "fruits", problems)
    process, acid = fields.figure("process", plain_text), fields.figure("acid", plain_text)
    values = {
        "name": fields.text("name") or note.key.replace("-", " ").capitalize(),
        "stage": fields.text("stage"),
        "keeps": only_shortened(fields, under),
        "cautions": fields.figures("cautions", plain_text),
    }
    fields.close("a preserve")
    if method is None:
        return None
    if method is PutUp.CANNER and (under is not None or note.key not in shelf) and shelf:
        like = [
            p for p in shelf.values() if process is not None and p.process and p.process.value == process.value
        ]
        if not like:
            fields.fault(
                "process",
                "no published canning process is known by this name" if process else "a canner needs a process",
                "name one that stands on the shelf, or put it up in the freezer (method: freezer)",
            )
            return None
        process = like[0].process
        acid = like[0].acid or acid
    return Preserve(
        key=note.key,
        subjects=names,
        method=method,
        process=process,
        acid=acid,
        text=note.body,
        where=Where(note.file),
        **values,  # type: ignore[arg-type]
    )
