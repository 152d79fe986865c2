"""What a calendar says of a job: a title that fits a narrow line, and the text below it, which must stand alone."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date

from msgspec import Struct, field

from firmripe.calendar.entry import Entry
from firmripe.calendar.kitchen_days import session_subject
from firmripe.harvest.lots import Lot
from firmripe.holding.figures import Figure
from firmripe.holding.hands import hands_of
from firmripe.holding.holding import Holding
from firmripe.holding.record import PICKINGS
from firmripe.holding.task import Each, Stage, Task, Topic
from firmripe.holding.tree import Bearing
from firmripe.kitchen.plan.kitchen_plan import KitchenSession, PotUsed
from firmripe.plan import Plan
from firmripe.problems import folded
from firmripe.publish.feeds.merging import ENDS, Merged
from firmripe.publish.hazards import hazards_of
from firmripe.publish.job_amounts import first_out_words, houses_words, pass_words, picked_words, taken_out_words
from firmripe.publish.own_words import all_caution_words, heeded
from firmripe.publish.signs import pick_tests, ripe_tests
from firmripe.tongue import Tongue
from firmripe.wording.calendar import beside_job
from firmripe.wording.holding import noted_amount
from firmripe.wording.kitchen import units_words
from firmripe.wording.minutes import minutes_words
from firmripe.wording.names import kind_of, name_of, of_house
from firmripe.words import between, in_own_units, of_crop, rhythm_words, short_day, span_words, week_day

_AFTER_PICK = frozenset({Stage.CONDITIONED, Stage.TAKE_OUT, Stage.READY, Stage.USE_BY, Stage.KEEP_UNTIL})
_OF_A_PART = frozenset({Stage.READY, Stage.USE_BY, Stage.KEEP_UNTIL})
"""Days of what left the cold first, or of what is left at the last, where a batch leaves it part by part."""
_TESTED = frozenset({Stage.PICK, Stage.READY})
_FOR_A_DAY = frozenset({Stage.KITCHEN_TAKE_OUT, Stage.TAKE_OUT_WANTED})
_ES = ("x", "ch", "to")
"""Ends of units whose plural adds a syllable."""
_LONGEST_HINT = 400
"""Characters of a why or a hint; cautions are never cut."""
NARROW = 30
"""Characters of a title that narrow lines show; a deadline that takes it past them stands in the text alone. J."""
MOST_NAMED = 4
"""So many trees are named in a title; of more it says how many, and the text names them."""
MOST_KINDS = 2
"""Of so many cultivars the trees' are named beside their tags; of more the tags stand alone."""


class Words(Struct, frozen=True):
    """What is known when a job is put into words: the household, the day of knowledge, each crop, each kitchen's days.

    The lots of crops are by the year of their season and bearing, the sessions by their subject.
    """

    holding: Holding
    as_of: date
    lots: Mapping[int, Mapping[Bearing, Lot]] = field(default_factory=dict)
    sessions: Mapping[str, KitchenSession] = field(default_factory=dict)

    @property
    def tongue(self) -> Tongue:
        """The household's language."""
        return self.holding.place.tongue

    @classmethod
    def of(cls, plan: Plan) -> Words:
        """Return what a plan knows."""
        sessions = plan.kitchen.sessions if plan.kitchen else ()
        by_subject = {session_subject(session): session for session in sessions}
        return cls(plan.holding, plan.season.as_of, plan.lots_by_season, by_subject)

    def title(self, of: Merged) -> str:
        """Return what is to be done, to which, how much of it, and, where the line has room for it, by when."""
        tongue = self.tongue
        name = _name(tongue, of.lead.task)
        which = self._which(of.entries)
        is_sentence = of.lead.task.instead_of and not of.lead.task.calendar_name
        sign = ":" if is_sentence else ""  # as `Pick figs daily: main crop`
        head = f"{name}{sign} {which}" if which else name
        if all(entry.follows for entry in of.entries):
            head = tongue.say("{job} again", job=head)
        parts = [head]
        if len(of.entries) == 1 and (much := self._amount(of.entries[0])):
            parts.append(much)
        ends = [entry for entry in of.deadlines if entry.task.when.stage in ENDS]
        days = {entry.span.first for entry in ends}
        title = ", ".join(parts)
        if len(days) == 1:
            (deadline,) = {entry.task.when.stage for entry in ends}
            whole = f"{title}, {_said_by(tongue, deadline, days.pop())}"
            return whole if len(whole) <= NARROW else title
        return title

    def lines(self, of: Merged) -> list[str]:
        """Return what stands below the title."""
        tongue = self.tongue
        task = of.lead.task
        lines = self._of_one(of.entries[0]) if len(of.entries) == 1 else list(self._of_each(of))
        if of.lead.task.when.stage is Stage.CANNING_DAY and of.lead.subject in self.sessions:
            lines += self._of_the_session(self.sessions[of.lead.subject])
        for end in of.deadlines:
            day = week_day(tongue, end.span.first)
            lines.append(
                tongue.say("{job} {day}: {which}.", job=tongue.term(end.task.name), day=day, which=name_of(tongue, end))
            )
        lines += [
            _sentence(in_own_units(tongue, tongue.term(figure.text)))
            for figure in (*self._told(of, task.why), *self._told(of, task.look_for))
        ]
        if bring := self.holding.needed_for(task.bring, of.bearings):
            lines.append(tongue.say("Bring: {bring}.", bring=", ".join(tongue.term(thing.name) for thing in bring)))
        return lines + [tongue.say("Caution: {figure}", figure=words) for words in dict.fromkeys(self._cautions(of))]

    def _told(self, of: Merged, figures: Iterable[Figure[str]]) -> tuple[Figure[str], ...]:
        """Return the first of some words that is meant for all that the jobs are about."""
        return heeded(self.holding.meant_for(figures, of.bearings))[:1]

    def _cautions(self, of: Merged) -> Iterator[str]:
        jobs: dict[str, list[Entry]] = {}
        for entry in (*of.entries, *of.deadlines):
            jobs.setdefault(entry.task.key, []).append(entry)
        for entries in jobs.values():
            bearings = (bearing for entry in entries for bearing in entry.bearings)
            yield from all_caution_words(self.tongue, self.holding.needed_for(entries[0].task.cautions, bearings))

    def _of_one(self, entry: Entry) -> list[str]:
        tongue = self.tongue
        lines = [_sentence(name_of(tongue, entry))] if _is_for_a_day(entry) else []
        lines += [line] if (line := self._work(entry)) else []
        lines += self._each_house(entry)
        if entry.span.first != entry.span.last:
            rhythm = f", {rhythm_words(tongue, entry.every)}" if entry.every else ""
            lines.append(f"{span_words(tongue, entry.span)}{rhythm}.")
        if entry.seen:
            lines.append(tongue.say("Counted from a day that was seen and noted."))
        if reach := between(tongue, entry.reach.earliest, entry.reach.latest):
            rough = tongue.say("A rough estimate: {reach}.", reach=reach)
            lines.append(rough if entry.rough else tongue.say("An estimate: {reach}.", reach=reach))
        return [*lines, told] if (told := beside_job(tongue, entry)) else lines

    def _of_each(self, of: Merged) -> Iterator[str]:
        """Yield a line for each job of several, with its days."""
        tongue = self.tongue
        for entry in of.entries:
            reach = between(tongue, entry.reach.earliest, entry.reach.latest)
            whose = name_of(tongue, entry) if _is_for_a_day(entry) else self._one(entry)
            parts = [whose, span_words(tongue, entry.span), self._amount(entry), pass_words(tongue, entry), reach]
            yield _sentence(", ".join(part for part in parts if part))
            if work := self._work(entry, with_amount=False):
                yield work
            yield from self._each_house(entry)
            if told := beside_job(tongue, entry):
                yield told

    def _work(self, entry: Entry, *, with_amount: bool = True) -> str:
        """Say in one line what is to be known at the tree: how much, the fruit's own test, who, where to, what hurts.

        Of fruit that is ripe it is the test of when to eat it; of other jobs nothing.
        """
        tongue = self.tongue
        stage = entry.task.when.stage
        if stage not in _TESTED or entry.task.when.days or not self._is_of_a_tree(entry):
            return ""
        limb = self.holding.limb(entry.bearings[0])
        tests = pick_tests(tongue, limb) if stage is Stage.PICK else ripe_tests(tongue, limb)
        test = tongue.say("Test: {test}.", test=tests[0]) if tests else ""
        if stage is not Stage.PICK or entry.task.topic is not Topic.ORCHARD:
            return test if stage is Stage.READY else ""
        who = ", ".join(hands_of(entry.task, entry.bearings, self.holding, entry.days, entry.house).names)
        space = self._space(entry)
        where = tongue.say("to: {space}", space=space) if space else ""
        much = [self._amount(entry), pass_words(tongue, entry)] if with_amount else []
        parts = (_listed(much), test, _listed([who, where]))
        cautions = self.holding.needed_for(entry.task.cautions, entry.bearings)
        words = ", ".join(hazard.word for hazard in hazards_of(tongue, cautions))
        care = tongue.say("Take care: {words}.", words=words) if words else ""
        return " ".join(part for part in (*parts, care) if part)

    def _each_house(self, entry: Entry) -> list[str]:
        """Say each house's part of what is picked or taken out, where houses share."""
        parts = houses_words(self.tongue, self.holding.place.shares, self.lots, entry)
        return [self.tongue.say("Each house’s part: {parts}.", parts=parts)] if parts else []

    def _space(self, entry: Entry) -> str:
        """Say where what is picked goes."""
        lot = self.lots.get(entry.season, {}).get(entry.bearings[0])
        batches = [batch for batch in lot.batches if batch.picking in entry.pickings] if lot else []
        return next((batch.space or batch.room for batch in batches if batch.space or batch.room), "")

    def _which(self, entries: Iterable[Entry]) -> str:
        """Say which trees or cultivars; trees of one cultivar are named together, and of many it is said how many."""
        jobs = list(entries)
        if all(self._is_of_a_tree(entry) for entry in jobs):
            return self._which_trees(jobs)
        names = list(dict.fromkeys(name for entry in jobs if (name := self._called(entry))))
        if len(names) <= MOST_KINDS or all(entry.task.each is Each.CULTIVAR for entry in jobs):
            return ", ".join(names)
        return self.tongue.say("{first} and {n} more", first=names[0], n=len(names) - 1)

    def _which_trees(self, jobs: Iterable[Entry]) -> str:
        by_kind: dict[str, list[str]] = {}
        for entry in jobs:
            tags = by_kind.setdefault(self._kind(entry), [])
            if entry.bearings[0].tree not in tags:
                tags.append(entry.bearings[0].tree)
        trees = list(dict.fromkeys(tag for tags in by_kind.values() for tag in tags))
        if len(trees) > MOST_NAMED:
            return self.tongue.plural("{n} tree", "{n} trees", len(trees))
        if len(by_kind) > MOST_KINDS:
            return ", ".join(trees)
        return ", ".join(_tags_and_kind(tags, kind) for kind, tags in by_kind.items())

    def _called(self, entry: Entry) -> str:
        """Return what a job is for; nothing where its task is about that one fruit and says so itself."""
        if entry.subject in self.sessions and not entry.task.when.days:
            return self._made(self.sessions[entry.subject])
        itself = not entry.task.calendar_name
        if itself and entry.task.each is Each.FRUIT and len(entry.task.subjects) == 1:
            return (of_crop(self.tongue, entry.crop) + of_house(entry)).lstrip(", ")
        return name_of(self.tongue, entry)

    def _made(self, session: KitchenSession) -> str:
        """Say what a session makes first, how much of it, and where, if there is more than one kitchen."""
        tongue = self.tongue
        makings = session.makings
        first = f"{units_words(tongue, makings[0].ware, makings[0].units)} {tongue.term(makings[0].ware.preserve.name)}"
        if len(makings) > 1:
            first = tongue.say("{first} and {n} more", first=first, n=len(makings) - 1)
        kitchens = self.holding.place.kitchens
        return f"{first}, {session.kitchen.name}" if len(kitchens) > 1 else first

    def _of_the_session(self, session: KitchenSession) -> Iterator[str]:
        """Yield where and when a session begins, and each of its products with its loads and their minutes."""
        tongue = self.tongue
        yield tongue.say("{kitchen}, from {start}.", kitchen=session.kitchen.name, start=f"{session.start:%H:%M}")
        for making in session.makings:
            what = f"{units_words(tongue, making.ware, making.units)} {tongue.term(making.ware.preserve.name)}"
            loads = "; ".join(self._pot(pot) for pot in making.pots if pot.published)
            yield _sentence(f"{what}: {loads}" if loads else what)

    def _pot(self, pot: PotUsed) -> str:
        loads = " + ".join(str(load) for load in pot.loads)
        said = minutes_words(self.tongue, pot.published) if pot.published else ""
        return self.tongue.say("{pot}, loads of {loads}, {minutes}", pot=pot.canner.name, loads=loads, minutes=said)

    def _one(self, entry: Entry) -> str:
        return self._which([entry]) or _name(self.tongue, entry.task)

    def _is_of_a_tree(self, entry: Entry) -> bool:
        """Say whether it is the job of one limb of one tree, so that a tag and a cultivar name it."""
        if _is_for_a_day(entry):
            return len(entry.bearings) == 1
        if entry.task.each is not Each.TREE or not entry.subject or len({b.tree for b in entry.bearings}) != 1:
            return False
        return entry.subject.split("/")[0] == entry.bearings[0].tree and len({b.cultivar for b in entry.bearings}) == 1

    def _kind(self, entry: Entry) -> str:
        return kind_of(self.tongue, entry, self.holding.limb(entry.bearings[0]).name)

    def _amount(self, entry: Entry) -> str:
        """Say how much fruit a job is about: what was picked, as noted, what is looked for, or how many trees."""
        tongue = self.tongue
        if len(entry.bearings) != 1 or not entry.subject:
            return ""
        (bearing,) = entry.bearings
        tree, stage = self.holding.tree(bearing.tree), entry.task.when.stage
        if stage not in _AFTER_PICK:
            if stage is Stage.PICK and not entry.task.when.days and bearing in self.lots.get(entry.season, {}):
                return picked_words(tongue, self.lots, [entry])
            return tongue.plural("{n} tree", "{n} trees", tree.count) if tree.count > 1 else ""
        if stage is Stage.TAKE_OUT and not entry.task.when.days:
            return taken_out_words(tongue, self.lots, [entry])
        lot = self.lots.get(entry.season, {}).get(bearing)
        if stage in _OF_A_PART and lot is not None and any(len(batch.outs) > 1 for batch in lot.batches):
            return first_out_words(tongue, lot, entry.house) if stage is not Stage.KEEP_UNTIL else ""
        noted = [
            noted_amount(record)
            for record in self.holding.noted(bearing.tree)
            if record.what in PICKINGS
            and (record.cultivar or len(tree.limbs) == 1)
            and record.is_about(bearing.tree, bearing.cultivar, bearing.crop)
            and record.season == entry.season
            and record.day <= self.as_of
        ]
        return _sum(noted) if all(noted) else ""


def _listed(parts: Iterable[str]) -> str:
    """Return parts as a sentence; nothing where there is none."""
    said = ", ".join(part for part in parts if part)
    return f"{said}." if said else ""


def _tags_and_kind(tags: Sequence[str], kind: str) -> str:
    """Say trees and their cultivar; a tree that is called like it is not named twice."""
    name = kind.partition(",")[0]
    return kind if [folded(tag) for tag in tags] == [folded(name)] else f"{', '.join(tags)} {kind}"


def _is_for_a_day(entry: Entry) -> bool:
    """Say whether fruit leaves the cold for the kitchen or for a wanted day: its name says how much of it for which."""
    return entry.task.when.stage in _FOR_A_DAY and not entry.task.when.days


def _name(tongue: Tongue, task: Task) -> str:
    return tongue.term(task.calendar_name or task.name)


def _said_by(tongue: Tongue, stage: Stage | None, day: date) -> str:
    if stage is Stage.LATEST_PICK:
        return tongue.say("by {day}", day=short_day(tongue, day))
    return tongue.say("use by {day}", day=short_day(tongue, day))


def _sentence(text: str) -> str:
    short = text if len(text) <= _LONGEST_HINT else f"{text[:_LONGEST_HINT].rstrip()}…"
    return short + ("" if short.endswith((".", "!", "?", "…")) else ".")


def _sum(amounts: list[str]) -> str:
    """Return amounts of one unit added up; nothing where they don't add up."""
    matches = [re.fullmatch(r"(\d{1,6}(?:\.\d{1,3})?) ?([a-z ]{1,12})", amount.casefold()) for amount in amounts]
    known = [(float(match[1]), match[2].strip()) for match in matches if match]
    units = {_one_of(unit) for _, unit in known}
    if len(known) < len(amounts) or len(units) != 1:
        return ""
    total, unit = sum(number for number, _ in known), units.pop()
    if total != 1 and unit not in {"lb", "kg", "g", "oz"}:
        unit = next(
            (noted for number, noted in known if number != 1), f"{unit}es" if unit.endswith(_ES) else f"{unit}s"
        )
    return f"{total:g} {unit}"


def _one_of(unit: str) -> str:
    """Return what one of a unit is called, as `box` of `boxes`."""
    if unit.endswith("ies"):
        return f"{unit.removesuffix('ies')}y"
    return unit.removesuffix("es") if unit.removesuffix("es").endswith(_ES) else unit.removesuffix("s")
