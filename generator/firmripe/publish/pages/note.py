"""The page on which helpers note what happened, and the lines and ways to it beside jobs and trees."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from typing import Final
from urllib.parse import quote, urlencode

from firmripe.calendar.entry import Entry
from firmripe.calendar.states import State, standing_of
from firmripe.days import Span
from firmripe.holding.fruit import Event
from firmripe.holding.holding import Holding
from firmripe.holding.matter import Matter
from firmripe.holding.record import PICKINGS, Happening
from firmripe.holding.task import Each, Stage, Task, Topic
from firmripe.holding.tree import Bearing, Tree
from firmripe.holding.weight import Grade
from firmripe.plan import Plan
from firmripe.publish.job_amounts import pickings_of
from firmripe.publish.pages.by_row import row_parts
from firmripe.publish.views import Choice, ToNote, View
from firmripe.reading.lines import row_of
from firmripe.reading.records import OF_FRUIT
from firmripe.season.because import PlantedOnly, TooYoung
from firmripe.season.estimate import Estimate, NoDate
from firmripe.tongue import mark
from firmripe.words import begun


class TreeToNote(View, frozen=True, kw_only=True):
    """A tree, a limb or a crop as lines name it; `soon` says that a job is due there in the next days."""

    key: str
    text: str
    name: str
    soon: bool


class WhatToNote(View, frozen=True, kw_only=True):
    """Something that can be noted: the word for it, what it is called, and what is asked with it."""

    key: str
    text: str
    asks: str


class WhatGroup(View, frozen=True, kw_only=True):
    """What belongs to one time of the year; `now` says that this is it."""

    title: str
    whats: tuple[WhatToNote, ...]
    now: bool


class UnitToNote(View, frozen=True, kw_only=True):
    """A unit, and which amounts it is for."""

    key: str
    text: str
    asks: str


class NotePage(View, frozen=True, kw_only=True):
    """The page on which helpers note what happened.

    Of very many `trees` it has those with a job in the next days, and with `more` a script of its own has the others.
    """

    trees: tuple[TreeToNote, ...]
    groups: tuple[WhatGroup, ...]
    units: tuple[UnitToNote, ...]
    grades: tuple[Choice, ...]
    verdicts: tuple[Choice, ...]
    example: str
    mail: str
    more: bool = False


PAGE: Final = "note.html"
_SHORT = ("date", "tree", "what", "amount")
_MOST_NAMED = 24
"""Of more trees a job’s way to this page names none, and it offers so many of very many: a code is faster. J."""
_NEAR_D = 21
"""So many days before and after a bloom or a pick it is their time (our judgement)."""
_H = Happening
_BLOOM, _WEIGHING = "note-full-bloom", "weigh-the-pick"
"""Jobs of the shelf that are done with their line."""
_OF_TASK: Final[Mapping[str, Happening]] = {
    **dict.fromkeys((_BLOOM, "let-bees-work"), _H.FULL_BLOOM),
    **dict.fromkeys(("thin-apples", "thin-asian-pears", "thin-pears", "thin-stone-fruit"), _H.THINNED),
    **dict.fromkeys(("look-at-the-set", "estimate-the-crop"), _H.SET),
    "pick-again": _H.PICK,
    **dict.fromkeys(("note-sprays", "green-tip-copper", "guard-against-leaf-curl"), _H.SPRAY),
    **dict.fromkeys(("take-out", "keep-until", "take-out-for-a-day", "take-out-for-the-kitchen"), _H.TAKEN_OUT),
    "ready": _H.READY,
    **dict.fromkeys(("write-verdicts", "use-by", "eat-first", "test-winter-pears", "try-two-pears"), _H.VERDICT),
    **dict.fromkeys(
        (
            *("put-up", "freeze-or-dry", "canning-day", "kitchen-day", "at-the-canner"),
            *("put-jars-away", "put-away-what-was-canned"),
        ),
        _H.JARS,
    ),
    "test-firmness": _H.FIRMNESS,
    "test-starch": _H.STARCH,
    "into-the-cold": _H.STORED,
    _WEIGHING: _H.PICK,
}
"""What a job of the shelf is noted as, where the stage that it hangs on does not say it.

A job that looks or tests is none of them, nor one that clears what lies on the ground: that a fruit fell, that it is
ready or that it froze is noted by whoever saw it, and by nobody who sends the line of a job that is done.
"""
_OF_STAGE: Final = {
    **dict.fromkeys((Stage.EARLIEST_PICK, Stage.PICK, Stage.LATEST_PICK), _H.PICK),
    Stage.FULL_BLOOM: _H.FULL_BLOOM,
    Stage.LEAF_FALL: _H.LEAF_FALL,
}
_NEXT: Final = {
    **dict.fromkeys((State.NOT_YET, State.LOOK, State.OPEN), _H.FIRST_PICK),
    State.PICKING: _H.PICK,
    State.STORED: _H.TAKEN_OUT,
    State.OUT: _H.READY,
    State.READY: _H.VERDICT,
    State.USED_UP: _H.VERDICT,
}
"""What is noted next of fruit by how far it is, the least far first."""
_GROUPS: Final = (
    (mark("At bloom"), (_H.FIRST_BLOOM, _H.FULL_BLOOM, _H.PETAL_FALL, _H.FROST, _H.FREEZE_FORECAST)),
    (
        mark("While it grows"),
        (_H.SET, _H.THINNED, _H.DROP, _H.WORMY_DROP, _H.SPRAY, _H.HEAVY_CROP, _H.LIGHT_CROP, _H.PART_CROP, _H.NO_CROP),
    ),
    (
        mark("At the pick"),
        (_H.FIRST_PICK, _H.PICK, _H.LAST_PICK, _H.LOST, _H.FIRMNESS, _H.STARCH, _H.BRIX),
    ),
    (
        mark("After the pick"),
        (_H.STORED, _H.TAKEN_OUT, _H.READY, _H.VERDICT, _H.USED_UP, _H.JARS, _H.LEFT, _H.SHARED, _H.SOLD),
    ),
    (mark("At any time"), (_H.LEAF_FALL, _H.REMOVED, _H.NOTE)),
)
_OF_MATTER: Final = {_H.FROST: Matter.FROST, _H.FREEZE_FORECAST: Matter.FROST, _H.SPRAY: Matter.SPRAYING}
"""What is not offered to a household that has nothing to do with it; its line counts all the same."""
_ASKS: Final = {
    **dict.fromkeys(OF_FRUIT, "fruit"),
    **dict.fromkeys((_H.SET, _H.THINNED, _H.DROP, _H.WORMY_DROP), "count"),
    _H.FIRMNESS: "firmness",
    _H.STARCH: "starch",
    _H.BRIX: "brix",
    _H.SPRAY: "days",
    **dict.fromkeys((_H.JARS, _H.LEFT), "jars"),
    _H.FROST: "cold",
    _H.FREEZE_FORECAST: "degrees",
    _H.VERDICT: "verdict",
}
_UNITS: Final = (
    ("fruit", ("lb", "kg", "boxes", "bushels", "lugs", "pints", "fruits")),
    ("count", ("fruits", "lb", "kg")),
    ("jars", ("quarts", "pints", "half pints")),
    ("firmness", ("lbf", "N")),
    ("days", ("days",)),
    ("cold", ("F", "C")),
    ("degrees", ("F", "C")),
)
_METRIC_FIRST: Final = {"lb": "kg", "kg": "lb", "lbf": "N", "N": "lbf", "F": "C", "C": "F"}
_WORDS_OF_UNITS: Final = (
    mark("boxes"),
    mark("bushels"),
    mark("lugs"),
    mark("pints"),
    mark("fruits"),
    mark("quarts"),
    mark("half pints"),
    mark("days"),
)
_VERDICTS: Final = (
    mark("perfect"),
    mark("good"),
    mark("mealy"),
    mark("shriveled"),
    mark("brown at the core"),
    mark("never softened"),
    mark("picked too early"),
)


class Noting:
    """The lines to write in one plan, for pages that lie `top` below the top of the site."""

    def __init__(self, plan: Plan, top: str) -> None:
        self._plan = plan
        self._tongue = plan.holding.place.tongue
        self._holding = plan.holding
        self._top = top
        self._of_jobs: dict[tuple[str, tuple[Bearing, ...]], ToNote | None] = {}

    @property
    def is_for_reader(self) -> bool:
        """Whether the reader has anything to note: everybody has not."""
        return not self._plan.reader.is_everybody

    def of_tree(self, tree: Tree) -> ToNote | None:
        """Return what is likeliest to be noted of a tree: its bloom, its first pick, a later one, what became of it.

        Of a tree that was taken out nothing is.
        """
        if not any(self._plan.season.stands(bearing) for bearing in tree.bearings):
            return None
        bearings, what = self._next(tree)
        return self._note((subject_of(self._holding, bearing) for bearing in bearings), what)

    def of_fruit(self, bearing: Bearing, what: Happening) -> ToNote | None:
        """Return the line that answers a question about a crop's fruit."""
        return self._note([subject_of(self._holding, bearing)], what)

    def of_pick(self, task: Task, bearing: Bearing) -> ToNote | None:
        """Return what is noted once one crop is picked, of a picking that may be of several trees together."""
        return self._of_job(task, [bearing])

    def of_task(self, task: Task, entries: Sequence[Entry]) -> ToNote | None:
        """Return what is noted once a job is done; it is the same on each of its days."""
        bearings = tuple(dict.fromkeys(bearing for entry in entries for bearing in entry.bearings))
        if (task.key, bearings) not in self._of_jobs:
            self._of_jobs[task.key, bearings] = self._of_job(task, bearings)
        return self._of_jobs[task.key, bearings]

    def _of_job(self, task: Task, bearings: Sequence[Bearing]) -> ToNote | None:
        subjects = [subject_of(self._holding, bearing) for bearing in bearings]
        what = self._happening(task, bearings)
        if task.each is Each.PLACE and what is not Happening.NOTE and len(set(subjects)) > 1:
            what = Happening.NOTE  # what is seen at all trees at once is no line of one of them
        if what is not Happening.NOTE:
            return self._note(subjects, what)
        return self._note(() if task.each is Each.PLACE else subjects, what, self._tongue.term(task.name))

    def is_noted(self, entry: Entry, day: date) -> bool:
        """Say whether the records hold what a job asks for on one of its days: a picking, its weight, a bloom."""
        if entry.task.key == _BLOOM:
            return entry.is_noted
        what = self._happening(entry.task, entry.bearings)
        if entry.task.when.stage is not Stage.PICK or what not in {*PICKINGS, Happening.STORED}:
            return False
        lots = [lot for b in entry.bearings if (lot := self._plan.lots_by_season.get(entry.season, {}).get(b))]
        of = [one for lot in lots for one in pickings_of(entry, lot, day)]
        if what is Happening.STORED:
            numbers = {one.number for one in of}
            lying = [batch for lot in lots for batch in lot.batches if batch.picking in numbers]
            return bool(lying) and all(batch.stored_noted for batch in lying)
        weighs = entry.task.key == _WEIGHING
        return bool(of) and all(one.noted and not (weighs and one.weight is None) for one in of)

    def of_line(self, subject: str, what: Happening, line: str) -> ToNote | None:
        """Return a line that answers a question as it stands, with the way to note another instead."""
        if not self.is_for_reader:
            return None
        asked = urlencode({"tree": subject, "what": self._tongue.term(what.value)}, quote_via=quote)
        return ToNote(line=line, href=f"{self._top}{PAGE}#{asked}", mail=self._mail(line))

    def _note(self, subjects: Iterable[str], what: Happening, word: str = "") -> ToNote | None:
        if not self.is_for_reader:
            return None
        trees = list(dict.fromkeys(subjects))
        named = trees if len(trees) <= _MOST_NAMED else []
        asked = urlencode({"tree": "|".join(named), "what": self._tongue.term(what.value)}, quote_via=quote)
        line = self._line(trees[0] if trees else "", what, word)
        return ToNote(line=line, href=f"{self._top}{PAGE}#{asked}", mail=self._mail(line))

    def _line(self, tree: str, what: Happening, word: str) -> str:
        told = {
            "date": self._plan.season.as_of.isoformat(),
            "tree": tree,
            "what": self._tongue.term(what.value),
            "note": word,
        }
        return row_of(told, (*_SHORT, "note") if word else _SHORT if what in _ASKS else _SHORT[:-1])

    def _mail(self, line: str) -> str:
        address = self._holding.place.notes_to
        if not address:
            return ""
        asked = urlencode({"subject": self._holding.place.name, "body": line}, quote_via=quote)
        return f"mailto:{quote(address, safe='@')}?{asked}"

    def _next(self, tree: Tree) -> tuple[Sequence[Bearing], Happening]:
        """Return what comes next at a tree, and at which of its crops."""
        of_picks = [self._plan.season.of(bearing, Event.PICK) for bearing in tree.bearings]
        of_blooms = [self._plan.season.of(bearing, Event.FULL_BLOOM) for bearing in tree.bearings]
        if any(isinstance(dated, Estimate) and dated.is_over for dated in of_picks):
            return self._next_of_fruit(tree)
        today = self._plan.season.as_of
        bloomed = any(isinstance(d, Estimate) and (d.is_over or d.latest < today) for d in of_blooms)
        none_coming = tree.blooms_unseen and not any(isinstance(d, Estimate) for d in of_blooms)
        if not bloomed and not none_coming:
            return tree.bearings, Happening.FULL_BLOOM
        bearing = [b for b in tree.bearings if not self._bears_none(b)]
        return (bearing, Happening.FIRST_PICK) if bearing else (tree.bearings, Happening.NOTE)

    def _bears_none(self, bearing: Bearing) -> bool:
        """Say whether a crop is none this season: so it was noted, or it was lost, or its tree is too young."""
        pick = self._plan.season.of(bearing, Event.PICK)
        if isinstance(pick, NoDate) and isinstance(pick.reason, TooYoung | PlantedOnly):
            return True
        standing = standing_of(self._plan.season, self._plan.lots.get(bearing), bearing)
        return standing.noted and standing.state in {State.NONE, State.LOST}

    def _next_of_fruit(self, tree: Tree) -> tuple[Sequence[Bearing], Happening]:
        """Return what comes next of fruit that is picked, or of the part of it that is least far."""
        plan = self._plan
        states = {b: standing_of(plan.season, plan.lots.get(b), b).state for b in tree.bearings}
        state = next((state for state in _NEXT if state in states.values()), State.USED_UP)
        of = [bearing for bearing, its in states.items() if its is state] or tree.bearings
        lots = [lot for bearing in of if (lot := plan.lots.get(bearing))]
        if state is State.STORED and not any(batch.stored_noted for lot in lots for batch in lot.batches):
            return of, Happening.STORED
        return of, _NEXT[state]

    def _happening(self, task: Task, bearings: Sequence[Bearing]) -> Happening:
        found = _OF_TASK.get(task.key)
        if found is None:
            is_on_the_day = task.topic is Topic.ORCHARD and not task.when.days
            found = (_OF_STAGE.get(task.when.stage) if task.when.stage and is_on_the_day else None) or Happening.NOTE
        if found not in PICKINGS:
            return found
        picked = [self._plan.season.of(bearing, Event.PICK) for bearing in bearings]
        if not picked or not all(isinstance(dated, Estimate) and dated.is_over for dated in picked):
            return Happening.FIRST_PICK
        to_come = [one for b in bearings if (lot := self._plan.lots.get(b)) for one in lot.pickings if not one.noted]
        return Happening.LAST_PICK if len(to_come) == len(bearings) else Happening.PICK

    # The page

    def page(self) -> NotePage:
        """Return the page."""
        tongue = self._tongue
        near, others = self._trees()
        return NotePage(
            trees=near,
            more=bool(others),
            groups=self._groups(),
            units=self._units(),
            grades=tuple(
                Choice(key=grade.value, text=tongue.term(grade.value)) for grade in Grade if grade is not Grade.UNSORTED
            ),
            verdicts=tuple(Choice(key=verdict, text=tongue.term(verdict)) for verdict in _VERDICTS),
            example=row_of(
                {
                    "date": self._plan.season.as_of.isoformat(),
                    "tree": self._holding.trees[0].tag,
                    "what": tongue.term(Happening.FIRST_PICK.value),
                    "amount": "14 kg" if self._holding.place.metric_first else "31 lb",
                    "note": tongue.say("good size"),
                },
                (*_SHORT, "note"),
            ),
            mail=self._mail(f"{self._plan.season.as_of.isoformat()},"),
        )

    def others(self) -> tuple[TreeToNote, ...]:
        """Return the trees that are too many for the page and that it leaves to its script; none where it has all."""
        return self._trees()[1]

    def _trees(self) -> tuple[tuple[TreeToNote, ...], tuple[TreeToNote, ...]]:
        """Return the trees that the page lists and those that it leaves to its script."""
        soon = list(dict.fromkeys(b.tree for entry in self._soon() for b in entry.bearings))
        is_parted = bool(row_parts(self._holding.trees))
        due = set(soon[:_MOST_NAMED] if is_parted else soon)
        told = [(one, tree.tag in due) for tree in self._told_of() for one in self._tree(tree, soon=tree.tag in due)]
        here = tuple(one for one, is_due in told if is_due or not is_parted)
        return here, tuple(one for one, is_due in told if is_parted and not is_due)

    def _told_of(self) -> list[Tree]:
        """Return the trees of which something can still be noted: those that stand, and those whose fruit is kept."""
        store = self._plan.store
        kept = {batch.bearing.tree for batch in (*store.carried, *store.batches)}
        standing = {tree.tag for tree in self._plan.season.standing}
        return [tree for tree in self._holding.trees if tree.tag in standing | kept]

    def _soon(self) -> list[Entry]:
        today = self._plan.season.as_of
        ahead = Span(first=today, last=today + timedelta(days=7))
        return [e for e in self._plan.calendar.entries if len(e.bearings) < 4 and any(day in ahead for day in e.days)]

    def _tree(self, tree: Tree, *, soon: bool) -> list[TreeToNote]:
        """Return a tree and, where it has several, each of its limbs and crops."""
        names = ", ".join(limb.name for limb in tree.limbs)
        found = [TreeToNote(key=tree.tag, text=tree.tag, name=names, soon=soon)]
        bearings = tree.bearings if len(tree.bearings) > 1 else ()
        for bearing in bearings:
            key = subject_of(self._holding, bearing)
            name = self._tongue.term(bearing.crop) or self._holding.limb(bearing).name
            found.append(TreeToNote(key=key, text=tree.tag, name=name, soon=soon))
        return found

    def _groups(self) -> tuple[WhatGroup, ...]:
        """Return what can be noted, the present time of the year first."""
        tongue = self._tongue
        now = self._time()
        groups = (
            WhatGroup(
                title=tongue.term(title),
                whats=tuple(
                    WhatToNote(key=tongue.term(h.value), text=begun(tongue.term(h.value)), asks=_ASKS.get(h, ""))
                    for h in whats
                    if _OF_MATTER.get(h) not in self._holding.place.without
                ),
                now=title == now,
            )
            for title, whats in _GROUPS
        )
        return tuple(sorted(groups, key=lambda group: not group.now))

    def _time(self) -> str:
        today = self._plan.season.as_of
        for event, group in ((Event.PICK, _GROUPS[2]), (Event.FULL_BLOOM, _GROUPS[0])):
            dates = [self._plan.season.of(bearing, event) for bearing in self._plan.season.bearings]
            if any(isinstance(d, Estimate) and abs((d.likely - today).days) <= _NEAR_D for d in dates):
                return group[0]
        return _GROUPS[3][0] if self._plan.store.batches or self._plan.store.carried else _GROUPS[1][0]

    def _units(self) -> tuple[UnitToNote, ...]:
        metric = self._holding.place.metric_first
        return tuple(
            UnitToNote(key=unit, text=self._tongue.term(unit) if unit in _WORDS_OF_UNITS else unit, asks=asks)
            for asks, units in _UNITS
            for unit in ((_METRIC_FIRST.get(unit, unit) for unit in units) if metric else units)
        )


def subject_of(holding: Holding, bearing: Bearing) -> str:
    """Return how a line names a bearing: `1-02`, `2-01/Comice` or `T-01/main`."""
    tree = holding.tree(bearing.tree)
    limb = f"/{holding.limb(bearing).name}" if len(tree.limbs) > 1 else ""
    return f"{tree.tag}{limb}{f'/{bearing.crop}' if bearing.crop else ''}"
