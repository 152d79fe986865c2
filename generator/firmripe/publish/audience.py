"""What a reader gets of a plan. What is not for them is taken out here, before any page, table or feed is made."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping
from typing import Any, TypeVar

from msgspec.structs import replace

from firmripe.calendar.entry import Entry, Undated
from firmripe.harvest.accounts import Account
from firmripe.harvest.because import PrintedYields
from firmripe.harvest.crop import Crop, Unweighed
from firmripe.harvest.lots import Batch, Goes, Lot, Out, undivided
from firmripe.harvest.store import Store
from firmripe.holding.figures import Cited, Figure, Mark
from firmripe.holding.fruit import Cultivar, Fruit, Traits
from firmripe.holding.holding import Holding
from firmripe.holding.kitchen import KitchenMeans
from firmripe.holding.place import Ground, Place, PlanRow, stands_in
from firmripe.holding.preserve import Preserve
from firmripe.holding.private import is_private, open_text, reached_in
from firmripe.holding.reader import Reader
from firmripe.holding.record import PICKINGS, Happening, Record
from firmripe.holding.standing import OFF_THE_TREE
from firmripe.holding.task import OF_THE_KITCHEN, Stage, Task
from firmripe.holding.tree import Bearing, Tree
from firmripe.plan import Plan
from firmripe.problems import Problem
from firmripe.publish.hidden import Hidden, cited_in
from firmripe.reading.fields import SHELF
from firmripe.remark import Remark
from firmripe.season.because import CropLost, NoCrop, SomethingNoted
from firmripe.season.estimate import Dated, Estimate, Reason
from firmripe.season.explaining import Explanation
from firmripe.season.forecast import Forecast, NoForecast
from firmripe.season.season import Season
from firmripe.wording.names import as_read

T = TypeVar("T")
NoteT = TypeVar("NoteT", Task, Preserve)
FiguresT = TypeVar("FiguresT", Traits, Task, Preserve)

_SAYS = frozenset({"text", "what", "then_text", "name"})
"""The parts of a figure, a test or a window that say what it is: with one of them gone there is nothing left."""
_REMARKS = frozenset({"note", "page"})
_SHORTEST = 3
"""Signs of a tag that is looked for in prose: a shorter one stands there as a word or a number. J."""
_THE_HOUSEHOLDS_OWN = OF_THE_KITCHEN | {Stage.TAKE_OUT_WANTED, Stage.WANTED}
"""Days on which people come together or fruit is asked for: nobody else's business."""
_PRIVATE_ENDS = {Goes.WANTED: Goes.TABLE, Goes.KITCHEN: Goes.TABLE, Goes.SHARED: Goes.USED, Goes.SOLD: Goes.USED}
_NOT_TOLD = frozenset({Happening.SPRAY, Happening.SHARED, Happening.SOLD, Happening.JARS, Happening.LEFT})
_MEASURED = frozenset(
    {Happening.FIRMNESS, Happening.STARCH, Happening.BRIX, Happening.FROST, Happening.FREEZE_FORECAST}
)
"""Happenings whose amount is one figure, and is refused where it is none."""


def _openly(out: Out) -> Out:
    """Return what leaves the store without whom or what it is for."""
    return replace(out, to=_PRIVATE_ENDS.get(out.to, out.to), why=None)


def plan_for(plan: Plan, reader: Reader) -> Plan:
    """Return what of a plan is for a reader. No date of what is left in it is another than the household's.

    The household gets all of it, and what is for one person alone only in that person's feed. Some of the household
    get the same without what is for others, and without their telephone and address. Everybody gets neither private
    notes, people, contacts, sprays, shares, rooms, wants and the kitchen, nor anything that hangs on a private note.
    """
    told = plan if plan.reader == reader else replace(plan, reader=reader)
    if reader.people:
        entries = [entry for entry in plan.calendar.entries if entry.task.only_for in {"", reader.person}]
        past = tuple(entry for entry in plan.past if entry.task.only_for in {"", reader.person})
        calendar = replace(plan.calendar, entries=tuple(entries))
        return replace(told, holding=_reached_by(plan.holding, reader), calendar=calendar, past=past)
    if not reader.is_everybody:
        return told
    return _Open(told).plan()


def _reached_by(holding: Holding, reader: Reader) -> Holding:
    """Return a household without the telephone numbers and mail addresses of people that a reader is not one of."""
    people = tuple(
        person if person.name in reader.people else replace(person, phone="", email="")
        for person in holding.place.people
    )
    return replace(holding, place=replace(holding.place, people=people))


def names_for_everybody(holding: Holding) -> tuple[Problem, ...]:
    """Return each name of a person or a house, telephone number and mail address that a site for everybody would print.

    It stands in what the household wrote itself and did not mark as private. So does what a private tree, kind, job or
    preserve is called, where that stands in prose or in a name: elsewhere it is taken out.
    """
    people = holding.place.people
    names = {name for person in people for name in (person.name, person.household) if name}
    names |= {share.name for share in holding.place.shares}
    hint = "begin the paragraph with private:, add private: yes to the note, or leave it out"
    found: list[Problem] = []
    private = sorted(set(_private_names(holding)) - names)
    prose = frozenset(_prose(holding)) if private else frozenset()
    for passage in holding.passages:
        told = [name for name in sorted(names) if stands_in(name, passage.text)]
        told += [name for name in private if passage.text in prose and stands_in(name, passage.text)]
        told += reached_in(passage.text)
        found += [Problem(passage.where, f'everybody would read "{name}"', hint) for name in told]
    return tuple(found)


def _kinds(holding: Holding) -> tuple[Cultivar | Fruit, ...]:
    """Return all kinds that are known here, those of single limbs and of neighbors among them."""
    limbs = (*(limb for tree in holding.trees for limb in tree.limbs), *(near.limb for near in holding.neighbors))
    return (*holding.cultivars.values(), *holding.fruits.values(), *limbs)


def _notes(holding: Holding) -> tuple[Tree | Cultivar | Fruit | Task | Preserve, ...]:
    """Return what there are notes on, but for the place."""
    return (*holding.trees, *_kinds(holding), *holding.tasks, *holding.preserves)


def _private_names(holding: Holding) -> Iterator[str]:
    """Yield what private notes are called, without tags that could be any word or number."""
    yield from (tree.tag for tree in holding.trees if tree.private and len(tree.tag) >= _SHORTEST)
    for kind in _kinds(holding):
        if kind.private:
            yield from (kind.name, *kind.also)
    yield from (task.name for task in holding.tasks if task.private or task.only_for)
    yield from (preserve.name for preserve in holding.preserves if preserve.private)


def _prose(holding: Holding) -> Iterator[str]:
    """Yield the lines of the open notes, and what jobs and preserves are called."""
    for note in (holding.place, *_notes(holding)):
        yield from note.text.split("\n")
    for task in holding.tasks:
        yield from (task.name, task.calendar_name)
    yield from (preserve.name for preserve in holding.preserves)


def on_pages(plan: Plan) -> Plan:
    """Return a plan as its pages and tables show it: without what stands in another's feed alone, as jobs are read."""
    tongue = plan.holding.place.tongue
    shown = (entry for entry in plan.calendar.entries if entry.task.only_for in {"", plan.reader.person})
    asked = tuple(replace(one, waiting=as_read(tongue, one.waiting)) for one in plan.asked)
    return replace(plan, asked=asked, calendar=replace(plan.calendar, entries=as_read(tongue, shown)))


def has_private(holding: Holding) -> bool:
    """Say whether the notes hold anything that strangers should not read."""
    place = holding.place
    return (
        (place.private and bool(place.text))
        or is_private(place.text)
        or any(person.phone or person.email for person in place.people)
        or any(note.private or is_private(note.text) for note in _notes(holding))
        or any(task.only_for for task in holding.tasks)
        or any(not photo.is_open for photos in holding.photos.values() for photo in photos)
        or any(record.is_private or record.what is Happening.SPRAY for record in holding.records)
    )


class _Open:
    """A plan being opened to everybody."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._holding = plan.holding
        self._hidden = Hidden(plan.holding)
        self._with_hidden_limbs = frozenset(
            tree.tag for tree in plan.holding.trees if any(limb.private for limb in tree.limbs)
        )
        self._lines_of_hidden = frozenset(
            record.where for record in plan.holding.records if record.of_row and record.tree in self._hidden.trees
        )

    def _kept(self, told: Mapping[Bearing, T]) -> dict[Bearing, T]:
        return {bearing: value for bearing, value in told.items() if not self._hidden.is_about(bearing)}

    def plan(self) -> Plan:
        """Return the plan as everybody may see it."""
        plan, holding = self._plan, self._opened_holding()
        calendar = plan.calendar
        undated = [told for item in calendar.undated if (told := self._undated(item)) is not None]
        return replace(
            plan,
            holding=holding,
            season=self._season(plan.season, holding),
            former=self._season(plan.former, holding),
            lots=self._lots(plan.lots),
            store=self._store(plan.store),
            asked=tuple(
                replace(one, waiting=self._entries(one.waiting))
                for one in plan.asked
                if not self._hidden.is_about(one.bearing)
            ),
            calendar=replace(calendar, entries=self._entries(calendar.entries), undated=tuple(undated)),
            explanations={
                h: self._explanation(e) for h, e in plan.explanations.items() if not self._hidden.is_about(h.bearing)
            },
            replays=plan.replays.without(lambda replay: self._hidden.is_about(replay.bearing)),
            kitchen=None,
            waiting=(),
            past=self._entries(plan.past),
        )

    def _undated(self, item: Undated) -> Undated | None:
        """Return what has no date without the private jobs that hang on it; None where nothing else does."""
        jobs = tuple(task for task in item.jobs if not task.private and not task.only_for)
        if item.wanted or (item.jobs and not jobs) or self._hidden.tells((item.what, item.reason, item.remedy)):
            return None
        return replace(item, jobs=jobs)

    # The notes

    def _opened_holding(self) -> Holding:
        holding = self._holding
        trees = tuple(self._tree(tree) for tree in holding.trees if tree.tag not in self._hidden.trees)
        shown = {tree.tag for tree in trees}
        return replace(
            holding,
            place=self._place(holding.place, shown),
            trees=trees,
            neighbors=tuple(
                replace(near, place="", limb=self._limb(near.limb))
                for near in holding.neighbors
                if not near.limb.private
            ),
            cultivars={key: self._limb(limb) for key, limb in holding.cultivars.items() if not limb.private},
            fruits={key: self._fruit(fruit) for key, fruit in holding.fruits.items() if not fruit.private},
            tasks=tuple(self._task(task) for task in holding.tasks if not task.private and not task.only_for),
            preserves=tuple(self._open_note(preserve) for preserve in holding.preserves if not preserve.private),
            records=tuple(self._record(record) for record in holding.records if self._is_told(record)),
            photos={
                note: tuple(photo for photo in photos if photo.is_open and not self._hidden.tells(photo.alt))
                for note, photos in holding.photos.items()
            },
            asked=names_for_everybody(holding),
            passages=(),
        )

    def _place(self, place: Place, trees: Container[str]) -> Place:
        return replace(
            place,
            plan=tuple(self._rows(place.plan, trees)),
            ground=Ground(zone=place.ground.zone),
            usual_picks=tuple(usual for usual in place.usual_picks if usual.cultivar not in self._hidden.cultivars),
            spaces=(),
            kitchens=(),
            people=(),
            notes_to="",
            text="" if place.private else open_text(place.text),
            shares=(),
            wanted=(),
            neighbors=(),
            no_access=(),
            kitchen_means=KitchenMeans(),
        )

    def _rows(self, rows: Iterable[PlanRow], trees: Container[str]) -> Iterator[PlanRow]:
        """Yield the rows with the trees that everybody may know of; another's place is empty."""
        for row in rows:
            tags = tuple(tag if tag in trees else "" for tag in row.tags)
            if any(tags):
                yield replace(row, name="" if self._hidden.tells(row.name) else row.name, tags=tags)

    def _tree(self, tree: Tree) -> Tree:
        limbs = tuple(self._limb(limb) for limb in tree.limbs if not limb.private)
        place = "" if self._hidden.tells(tree.place) else tree.place
        return replace(
            tree,
            limbs=limbs,
            kept_by="",
            place=place,
            picking_days=self._opened(tree.picking_days),
            text=open_text(tree.text),
        )

    def _limb(self, limb: Cultivar) -> Cultivar:
        """Return a cultivar that names no private one, and with it its fruit."""
        fruit = self._fruit(limb.fruit) if limb.fruit else None
        return replace(
            limb,
            fruit=fruit,
            own=self._traits(limb.own),
            traits=self._traits(limb.traits),
            from_bloom=self._opened(limb.from_bloom),
            flesh=self._opened(limb.flesh),
            text=open_text(limb.text),
        )

    def _fruit(self, fruit: Fruit) -> Fruit:
        abroad = self._opened(fruit.abroad)
        return replace(fruit, traits=self._traits(fruit.traits), abroad=abroad, text=open_text(fruit.text))

    def _traits(self, traits: Traits) -> Traits:
        offset = traits.offset
        hidden = offset is not None and offset.base in self._hidden.cultivars
        return self._open_figures(replace(traits, offset=None) if hidden else traits)

    def _task(self, task: Task) -> Task:
        """Return a task with those of its figures and things to bring that name nothing private.

        A kind of work is told where it is no more than that: some call theirs by who does it.
        """
        bring = tuple(thing for thing in task.bring if not self._hidden.names_private(thing.name))
        who = "" if self._hidden.tells(task.who) else task.who
        return self._open_note(replace(task, bring=bring, who=who))

    def _open_note(self, note: NoteT) -> NoteT:
        return replace(self._open_figures(note), text=open_text(note.text))

    def _open_figures(self, told: FiguresT) -> FiguresT:
        """Return something without what the household wrote in it that names something private.

        A value or a test goes as a whole, a source, a page or a remark by itself. What the shelf says stays: it was
        published, and knows of nobody's notes.
        """
        return replace(told, **{name: self._opened(getattr(told, name)) for name in told.__struct_fields__})

    def _opened(self, value: Any) -> Any:  # noqa: ANN401 - whatever a note's keys become
        """Return a value of a note as everybody may read it; None where its own words name something private."""
        if isinstance(value, tuple):
            opened = [self._opened(item) for item in value]
            return tuple(item for item in opened if item is not None)
        cited = next(cited_in(value), None)
        if cited is None or cited.where.file.startswith(SHELF):
            return value
        return self._opened_parts(value)

    def _opened_parts(self, value: Any) -> Any:  # noqa: ANN401 - a figure, a test, a window and the like
        kept: dict[str, Any] = {}
        for name in value.__struct_fields__:
            part = getattr(value, name)
            if isinstance(part, Cited):
                kept[name] = self._opened_source(part)
            elif isinstance(part, str) and self._hidden.names_private(part):
                if name in _SAYS:
                    return None
                kept[name] = "" if name in _REMARKS else part
            elif isinstance(part, Remark) and self._hidden.names_private(part):
                return None
            elif isinstance(part, Figure):
                kept[name] = self._opened_parts(part)
                if kept[name] is None:
                    return None
        return replace(value, **kept)

    def _opened_source(self, cited: Cited) -> Cited:
        """Return where a figure comes from; the household's own word where its source is nobody else's business."""
        if cited.source is not None and self._hidden.names_private(str(cited.source)):
            return Cited(mark=Mark.OWN, source=None, page="", where=cited.where)
        return replace(cited, page="") if self._hidden.names_private(cited.page) else cited

    def _is_told(self, record: Record) -> bool:
        if record.what in _NOT_TOLD or (record.what is Happening.NOTE and record.is_private):
            return False
        if record.tree in self._hidden.trees or record.cultivar in self._hidden.cultivars:
            return False
        is_of_fruit = record.what in PICKINGS | OFF_THE_TREE
        return bool(record.cultivar) or not is_of_fruit or record.tree not in self._hidden.parted

    def _record(self, record: Record) -> Record:
        amount = "" if self._hides_amount(record) else record.amount
        return replace(record, note="" if self._hidden.tells(record.note) else record.note, amount=amount)

    def _hides_amount(self, record: Record) -> bool:
        """Say whether an amount tells of anything hidden: in its words, or because it is a hidden tree's as well.

        What is measured is a figure with its unit and no word: a person called 28 hides no frost.
        """
        if record.parts:
            return self._is_of_hidden(record)
        is_measured = record.what in _MEASURED and any(map(str.isdigit, record.amount))
        return not is_measured and self._hidden.tells(record.amount)

    def _is_of_hidden(self, record: Record) -> bool:
        """Say whether a line is of several trees, a hidden one among them or in a row named by what is."""
        return record.of_many and (record.where in self._lines_of_hidden or self._hidden.names_tree(record.of_row))

    # What was worked out from them

    def _season(self, season: Season, holding: Holding) -> Season:
        questions = {
            tag: tuple(q for q in asked if not self._hidden.tells(q)) for tag, asked in season.questions.items()
        }
        return replace(
            season,
            holding=holding,
            dates={h: self._dated(dated) for h, dated in season.dates.items() if not self._hidden.is_about(h.bearing)},
            questions={tag: asked for tag, asked in questions.items() if asked and tag not in self._hidden.trees},
            forecasts=tuple(forecast for forecast in season.forecasts if self._may_tell(forecast)),
            expected={b: self._estimate(e) for b, e in self._kept(season.expected).items()},
            verdicts={},
        )

    def _may_tell(self, forecast: Forecast | NoForecast) -> bool:
        if isinstance(forecast, Forecast):
            return not self._hidden.is_about(forecast.bearing)
        return not self._hidden.tells(forecast)

    def _dated(self, dated: Dated) -> Dated:
        if isinstance(dated, Estimate):
            return self._estimate(dated)
        return replace(dated, reason=self._remark(dated.reason))

    def _estimate(self, dated: Estimate) -> Estimate:
        reasons = tuple(self._reason(reason) for reason in dated.reasons)
        return replace(dated, reasons=reasons, clash=dated.clash.openly if dated.clash else None)

    def _reason(self, reason: Reason) -> Reason:
        return Reason(why=SomethingNoted(), days=reason.days) if self._hidden.tells(reason.why) else reason

    def _remark(self, told: Remark) -> Remark:
        """Return a remark as everybody may know it: without what was noted beside it, or only that something was."""
        if not self._hidden.tells(told):
            return told
        return replace(told, note="") if isinstance(told, NoCrop | CropLost) else SomethingNoted()

    def _explanation(self, told: Explanation) -> Explanation:
        narrowings = tuple(narrowing for narrowing in told.narrowings if not self._hidden.tells(narrowing))
        return replace(told, dated=self._dated(told.dated), narrowings=narrowings)

    def _lots(self, lots: Mapping[Bearing, Lot]) -> dict[Bearing, Lot]:
        return {bearing: self._lot(lot) for bearing, lot in self._kept(lots).items()}

    def _lot(self, lot: Lot) -> Lot:
        return replace(
            lot,
            reasons=tuple(self._reason(reason) for reason in lot.reasons),
            undated=self._reasons_why_not(lot.undated),
            crop=self._crop(lot),
            batches=self._batches(lot.batches),
            alternatives=self._opened(lot.alternatives),
            alerts=self._alerts(lot.alerts),
        )

    def _crop(self, lot: Lot) -> Crop | Unweighed:
        """Return how much a lot will be, without among how many limbs it is parted where one of them is hidden."""
        if isinstance(lot.crop, Unweighed) or lot.bearing.tree not in self._with_hidden_limbs:
            return lot.crop
        reasons = (
            replace(one, why=SomethingNoted(), cited=()) if isinstance(one.why, PrintedYields) else one
            for one in lot.crop.reasons
        )
        return replace(lot.crop, reasons=tuple(reasons))

    def _reasons_why_not(self, undated: Mapping[Stage, Remark]) -> dict[Stage, Remark]:
        return {stage: why for stage, why in undated.items() if not self._hidden.tells(why)}

    def _alerts(self, alerts: Iterable[Remark]) -> tuple[Remark, ...]:
        return tuple(alert for alert in alerts if not self._hidden.tells(alert))

    def _batches(self, batches: Iterable[Batch]) -> tuple[Batch, ...]:
        """Return batches that lie nowhere in particular, and whole: the parts of houses are nobody else's business."""
        return tuple(
            replace(
                batch,
                limb=self._limb(batch.limb),
                space="",
                room="",
                reasons=tuple(self._reason(reason) for reason in batch.reasons),
                undated=self._reasons_why_not(batch.undated),
                crowded=None,
                alerts=self._alerts(batch.alerts),
                outs=tuple(_openly(out) for out in batch.outs),
            )
            for batch in undivided(batches)
            if not self._hidden.is_about(batch.bearing)
        )

    def _store(self, store: Store) -> Store:
        return replace(
            store,
            batches=self._batches(store.batches),
            former=self._lots(store.former),
            carried=self._batches(store.carried),
            finished=self._batches(store.finished),
            lapsed=self._batches(store.lapsed),
            warnings=(),
            take_outs=(),
            former_take_outs=(),
            divisions=(),
            account=Account(seasons=()),
            unknowns=(),
        )

    def _entries(self, entries: Iterable[Entry]) -> tuple[Entry, ...]:
        found: dict[str, Entry] = {}
        for entry in entries:
            task = entry.task
            bearings = tuple(bearing for bearing in entry.bearings if not self._hidden.is_about(bearing))
            lost = entry.bearings and not bearings
            if lost or task.private or task.only_for or task.when.stage in _THE_HOUSEHOLDS_OWN:
                continue
            shown = {bearing.tree for bearing in bearings}
            opened = entry.opened(shown)
            held = tuple(one for one in opened.held if not self._hidden.tells(one))
            one = replace(opened, task=self._task(task), bearings=bearings, held=held)
            found.setdefault(one.identity, one)  # what houses do on days of their own is told once, on the first
        return tuple(found.values())
