"""Tasks and preserves from their notes."""

from __future__ import annotations

import re
from collections.abc import Mapping
from collections.abc import Set as AbstractSet
from datetime import date

from msgspec import Struct
from msgspec.structs import replace

from firmripe.days import Hemisphere, Rhythm, parse_day_count, parse_rhythm, parse_stretch
from firmripe.holding.figures import Source
from firmripe.holding.fruit import Habit
from firmripe.holding.jar import Takes, parse_hands_rate, parse_takes
from firmripe.holding.matter import Matter
from firmripe.holding.method import WrittenStep
from firmripe.holding.place import Place
from firmripe.holding.preserve import Preserve, PutUp
from firmripe.holding.task import Anchor, Condition, Each, Stage, Task, Thing, Topic
from firmripe.problems import Problems, Unreadable, Where, folded, name_key, nearest, or_list
from firmripe.reading.bounds import MEANT, within
from firmripe.reading.fields import SHELF, Fields, one_of, plain_text, yes_or_no
from firmripe.reading.folder import Note
from firmripe.reading.keeping import only_shortened
from firmripe.reading.names import Names
from firmripe.reading.processes import read_steps
from firmripe.units import parse_zone

_KEEPS_JAR = within(parse_day_count, 1, 1830, "what is put up keeps from 1 day to 5 years")
_HANDS = within(parse_hands_rate, 0, 240, "one pair of hands needs up to 240 minutes a jar")
_HABITS = {habit.value: habit.key for habit in Habit}
_FARTHEST = {"day": 366, "week": 52, "month": 12}
"""A job further from its stage than a year would stand in another season."""
_WHEN_HINT = "write a stage or a day, as 2 weeks before earliest pick, full bloom or Mar 1"


_TO = re.compile(r"\s(?:-|–|—|to)\s")
"""Between the first and the last day of a stretch."""


def parse_anchor(text: str) -> Anchor:
    """Read the day a task hangs on: `5 weeks after full bloom`, `earliest pick`, `Mar 1`; of a stretch its first day.

    Raises Unreadable.
    """
    return _anchored(text, is_last=False)


def parse_last_anchor(text: str) -> Anchor:
    """Read the last day of a task in the same way; of a stretch its last day. Raises Unreadable."""
    return _anchored(text, is_last=True)


def _anchored(text: str, *, is_last: bool) -> Anchor:
    plain = " ".join(text.casefold().split())
    match = re.fullmatch(r"(\d{1,3})\s+(day|week|month)s?\s+(before|after)\s+(.+)", plain)
    count, unit, side, name = match.groups() if match else ("0", "day", "after", plain)
    if int(count) > _FARTHEST[unit]:
        raise Unreadable(f'"{text}" can\'t be: a job lies at most a year from its stage', _WHEN_HINT)
    sign = -1 if side == "before" else 1
    months = sign * int(count) if unit == "month" else 0
    days = sign * int(count) * {"day": 1, "week": 7, "month": 0}[unit]
    name = re.sub(r"^(?:(?:at|on)\s+)?(?:the\s+)?", "", name)
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
    day = stretch.last if is_last else stretch.first
    return Anchor(day=day, months=months, days=days, text=" ".join(text.split()))


class Subjects(Struct, frozen=True):
    """What tasks and preserves can be for: fruits and cultivars by any name, trees by tag, plants by their habit.

    `tags` holds the tags by their folded spelling, `jobs` the names of the files of all tasks.
    """

    fruits: Names
    cultivars: Names
    tags: Mapping[str, str]
    jobs: frozenset[str] = frozenset()

    def read(self, fields: Fields, key: str) -> frozenset[str]:
        """Read a list of subjects as keys and tags. A tag goes first, but the shelf knows of no tree."""
        found: set[str] = set()
        for name, where in fields.texts_with_places(key):
            tag = None if where.file.startswith(SHELF) else self.tags.get(name_key(name))
            habit = _HABITS.get(folded(name))
            keys = (tag,) if tag else (habit,) if habit else self.fruits.find(name) or self.cultivars.find(name)
            found.update(keys)
            if not keys:
                near = nearest(name, (*self.fruits.shown, *self.cultivars.shown, *self.tags.values()))
                kinds = f"a fruit, a cultivar, the tag of a tree or a habit ({or_list(_HABITS)})"
                hint = f'did you mean "{near}"?' if near else f"name {kinds}"
                fields.fault_at(where, f'"{name}" is no fruit, cultivar or tree', hint)
        return frozenset(found)


def _anchor(fields: Fields, key: str, here: Hemisphere) -> Anchor | None:
    """Read an anchor. A day of the year is written for the north on the shelf, else for the household's half."""
    anchor = fields.read(key, parse_last_anchor if key == "until" else parse_anchor)
    if anchor is None or fields.place_of(key).file.startswith(SHELF):
        return anchor
    return replace(anchor, written_for=here)


def _until(fields: Fields, when: Anchor | None, here: Hemisphere) -> Anchor | None:
    """Read the last day of a task; without the key it is the end of a stretch that `when` tells, as Aug 20 - Sep 5."""
    told = _anchor(fields, "until", here)
    if fields.has("until") or when is None or when.day is None or not _TO.search(when.text):
        return told
    return replace(parse_last_anchor(when.text), written_for=when.written_for)


def _only_for(fields: Fields, place: Place) -> str:
    """Read the one person a task is for, as place.md writes the name."""
    said = fields.text("only for")
    if not said:
        return ""
    names = {folded(person.name): person.name for person in place.people}
    person = names.get(folded(said), "")
    if not person:
        near = nearest(said, names.values())
        hint = f'did you mean "{near}"?' if near else "name one of the people in place.md"
        fields.fault("only for", f'"{said}" is none of the people in place.md', hint)
    return person


def _instead_of(fields: Fields, keys: AbstractSet[str]) -> frozenset[str]:
    """Read the jobs that one takes the place of, by the names of their files."""
    found = set()
    for name, where in fields.texts_with_places("instead of"):
        if name not in keys:
            near = nearest(name, keys)
            hint = f'did you mean "{near}"?' if near else "write the name of a file in tasks/ without .md, as pick"
            fields.fault_at(where, f'there is no job in a file "{name}"', hint)
        found.add(name)
    return frozenset(found)


def _conditions(fields: Fields) -> frozenset[Condition]:
    """Read when alone a task is to be done; each line that is none of these is a fault of its own."""
    found = set()
    for text, where in fields.texts_with_places("only if"):
        try:
            found.add(one_of(Condition)(text))
        except Unreadable as error:
            fields.fault_at(where, error.message, error.hint)
    return frozenset(found)


def read_task(
    note: Note, subjects: Subjects, place: Place, sources: Mapping[str, Source], problems: Problems
) -> Task | None:
    """Read one task of a household at `place`; None where it is skipped or faulty."""
    fields, here = Fields(note.table, problems, sources), place.hemisphere
    when = _anchor(fields, "when", here)
    skip = fields.read("skip", yes_or_no) or False
    task, until, conditions = None, _until(fields, when, here), _conditions(fields)
    _check_order(fields, when, until)
    values = {
        "name": fields.text("name") or note.key.replace("-", " ").capitalize(),
        "calendar_name": fields.text("calendar name"),
        "topic": fields.read("topic", one_of(Topic)) or Topic.ORCHARD,
        "about": fields.read("about", one_of(Matter)),
        "subjects": subjects.read(fields, "for"),
        "not_for": subjects.read(fields, "not for"),
        "each": fields.read("each", one_of(Each)) or Each.TREE,
        "until": until,
        "every": fields.read("every", _every),
        "zone": fields.read("zone", parse_zone),
        "reminder": fields.read("reminder", yes_or_no) or False,
        "who": fields.text("who"),
        "instead_of": _instead_of(fields, subjects.jobs),
        "only_for": _only_for(fields, place),
        "private": fields.read("private", yes_or_no) or False,
        "bring": _things(fields, subjects),
        "why": fields.figures("why", plain_text, subjects.read),
        "look_for": fields.figures("look for", plain_text, subjects.read),
        "cautions": fields.figures("cautions", plain_text, subjects.read),
    }
    if when is not None and not skip:
        task = Task(
            key=note.key,
            when=when,
            only_if=conditions,
            text=note.body,
            where=Where(note.file),
            **values,  # type: ignore[arg-type]
        )
    elif when is None and not skip and not fields.has("when"):
        problems.add(Where(note.file), "a task does not say when", f"add when: and {_WHEN_HINT.removeprefix('write ')}")
    fields.close("a task")
    return task


def _things(fields: Fields, subjects: Subjects) -> tuple[Thing, ...]:
    """Read what is brought to a job; a thing that is not needed for all its fruit is a table."""
    found = []
    for name, _where, of in fields.named("bring", "value"):
        meant, not_for = (subjects.read(of, key) if of else frozenset() for key in ("for", "not for"))
        found.append(Thing(name=name, subjects=meant, not_for=not_for))
        if of is not None:
            of.close("a thing to bring")
    return tuple(found)


def _every(text: str) -> Rhythm:
    rhythm = parse_rhythm(text)
    if rhythm.count > _FARTHEST[rhythm.unit]:
        raise Unreadable(f'"{text}" can\'t be: a job comes back within a year', "write it as 2 days, 1 week or 1 month")
    return rhythm


def _takes(text: str) -> Takes:
    """Read what fruit makes, where it is near what a jar holds: 0.1 to 10 kg of fruit for a litre, or a pound dried."""
    takes = parse_takes(text)
    litres = takes.jar.millilitres / 1000 if takes.jar else 1.0
    least, most = float(takes.fruit.low / takes.high) / litres, float(takes.fruit.high / takes.low) / litres
    if not (least >= 0.1 and most <= 10):
        said = "a quart takes from 0.2 to 20 lb of fruit, and so does a pound dried"
        raise Unreadable(f'"{text}" can\'t be: {said}', MEANT)
    return takes


def _check_order(fields: Fields, when: Anchor | None, until: Anchor | None) -> None:
    """Note a last day that lies before the first, where both hang on one stage or on days of the year."""
    if when is None or until is None or when.stage is not until.stage:
        return
    back = _days_on(when) - _days_on(until)
    if back > 0 and (when.stage is not None or back < 60):
        hint = "write the first day as when, the last as until"
        fields.fault("until", f'"{until.text}" lies before "{when.text}"', hint)


def _days_on(anchor: Anchor) -> int:
    """Return about how many days after its stage, or after New Year, an anchor lies."""
    day = (anchor.day.in_year(2000) - date(2000, 1, 1)).days if anchor.day else 0
    return day + anchor.days + 30 * anchor.months


def name_of_preserve(note: Note, fields: Fields) -> str:
    """Return what a preserve is called; empty where it does not say how it is put up, so that it is none."""
    named = fields.text("name") or note.key.replace("-", " ").capitalize()
    return named if fields.read("method", one_of(PutUp)) else ""


def _check_told(fields: Fields, note: Note) -> None:
    """Ask for what every preserve tells: how it is put up, and of what."""
    if not fields.has("method"):
        hint = f"add method: {or_list([way.value for way in PutUp])}"
        fields.fault_at(Where(note.file), "a preserve does not say how it is put up", hint)
    if not fields.has("fruits"):
        fields.fault_at(Where(note.file), "a preserve names no fruit", "add fruits: and what it is made of")


def read_preserve(
    note: Note, under: Fields | None, named: Names, subjects: Subjects, fields: Fields
) -> Preserve | None:
    """Read one preserve from its fields; None where it is faulty.

    `under` holds the fields of the shelf's note that this one lies over, `named` the names of the shelf's preserves. A
    process was published for a product: a household may say how much fruit that takes and how long the work is, and
    add words, but neither change what it is nor give its process to another.
    """
    method, names = fields.read("method", one_of(PutUp)), subjects.read(fields, "fruits")
    _check_told(fields, note)
    process, acid = fields.figure("process", plain_text), fields.figure("acid", plain_text)
    limit = under.figure("keeps", parse_day_count) if under else None
    name, stage, keeps = fields.text("name"), fields.text("stage"), only_shortened(fields, limit, _KEEPS_JAR)
    takes, hands = fields.figures("takes", _takes, subjects.read), fields.figure("hands", _HANDS)
    liquid, cautions = fields.text("packed in"), fields.figures("cautions", plain_text)
    private = fields.read("private", yes_or_no) or False
    steps = read_steps(fields)
    if under is not None:
        _leave_as_published(fields)
    elif not note.file.startswith(SHELF):
        _keep_out_of_jars(note, method, named, fields)
    elif method is PutUp.CANNER and process is None:
        fields.fault("process", "a canner needs a published process", "add process: with its source")
    if method is PutUp.CANNER:
        _check_steps(fields, steps)
    fields.close("a preserve")
    if method is None:
        return None
    return Preserve(
        key=note.key,
        name=name or note.key.replace("-", " ").capitalize(),
        subjects=names,
        method=method,
        stage=stage,
        process=process,
        acid=acid,
        keeps=keeps,
        takes=takes,
        hands=hands,
        liquid=liquid,
        cautions=cautions,
        steps=steps,
        text=note.body,
        private=private,
        where=Where(note.file),
    )


_AS_PUBLISHED = ("name", "fruits", "method", "stage", "process", "acid", "packed in")
"""What makes a product what it was published as; a household's note over the shelf's leaves these out."""


def _leave_as_published(fields: Fields) -> None:
    """Note each key by which a household's note over one of the shelf makes another product of it."""
    for key in _AS_PUBLISHED:
        if fields.has(key) and not fields.place_of(key).file.startswith(SHELF):
            hint = "leave the key out; a product of your own gets a note of its own, with method: freezer"
            message = f'"{key}" of a preserve of the shelf can\'t be changed: it belongs to what was tested'
            fields.fault(key, message, hint)


def _keep_out_of_jars(note: Note, method: PutUp | None, named: Names, fields: Fields) -> None:
    """Note where a household's own product takes a published process, or the name of what has one."""
    if method is PutUp.CANNER:
        hint = "write method: freezer, dryer or refrigerator, or want the shelf's preserve by its own name"
        fields.fault("method", "a canning process is published for its own product, and not for another", hint)
        return
    for key in ("process", "acid"):
        if fields.has(key):
            hint = "leave the key out; what goes into jars stands on the shelf"
            fields.fault(key, f'"{key}" belongs to a published canning process', hint)
            return
    name = fields.text("name") or note.key.replace("-", " ")
    if named.find(name):
        fields.fault("name", f'a preserve of the shelf is called "{name}"', "give yours another name")


def _check_steps(fields: Fields, steps: tuple[WrittenStep, ...]) -> None:
    """Note steps of canning that are not the shelf's."""
    places = (fields.place_of("steps"), *(step.words.cited.where for step in steps))
    if fields.has("steps") and not all(place.file.startswith(SHELF) for place in places):
        hint = "write it in the text of the note, or as a caution"
        fields.fault("steps", "the steps of canning are the published ones", hint)
