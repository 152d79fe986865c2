"""What a template may see: plain, finished values. The list in themes/README.md is compared with these classes."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A text that leads somewhere; `href` is relative to the page."""

    text: str
    href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A link of the way through the site; `current` is `page` on the page itself, `true` below it, else empty."""

    text: str
    href: str
    current: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """What a list of jobs can be narrowed to: a key, or several apart by a space, and what that is called."""

    key: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Quote:
    """A figure in words: what it says, how it is known, and from where (empty for the household's own).

    `lang`, `label_lang` and `note_lang` name the language of a part that is not in the page's; empty where it is.
    """

    label: str
    text: str
    mark: str
    source: str
    source_href: str
    note: str = ""
    leans: bool = False
    lang: str = ""
    label_lang: str = ""
    note_lang: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Why:
    """One line of a date's reasons; `shift` says how far it moves the date, empty where it moves nothing."""

    text: str
    shift: str
    sources: tuple[Link, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Dated:
    """A dated event or stage.

    `iso` is the likely day; `window` how early or late, empty where certain; `printed` the window before anything was
    noted here; `narrowings` say which notes would make it surer.
    """

    label: str
    iso: str
    likely: str
    window: str
    basis: str
    rough: bool
    clash: str
    whys: tuple[Why, ...] = ()
    printed: str = ""
    narrowings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Hazard:
    """A kind of harm: `key` names its drawing, `word` is its short mark, `texts` say what to mind.

    Of a task these are all of its kind, of several tasks what each says first.
    """

    key: str
    word: str
    texts: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToNote:
    """A line to write about something, the way to the page that writes it, and a mail that carries it, or empty."""

    line: str
    href: str
    mail: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """A task on a day: one line for all it is for.

    `tags` are its trees where they are few, `place` says where it is done otherwise; `what` says what it is for without
    the tags. `held` is what stands against it, `hazards` its other cautions by kind; `cautions` are all of them.
    `ticks` are what it stays known by when its date moves; `people` and `parts` the keys of who can do it and of where
    in the orchard it is, both empty where that is everybody and the whole place. `note` is the way to note it.
    """

    task: Link
    subjects: tuple[Link, ...]
    topic: str
    span: str
    who: str
    rough: bool
    seen: bool
    cautions: tuple[str, ...]
    tags: tuple[Link, ...] = ()
    place: str = ""
    what: str = ""
    amount: str = ""
    held: tuple[str, ...] = ()
    hazards: tuple[Hazard, ...] = ()
    ticks: tuple[str, ...] = ()
    people: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    note: ToNote | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DayBlock:
    """The tasks that begin, or come round again, on one day.

    `weekday`, `number` and `month` are its heading in parts. `hazards` are those of all its tasks, each once.
    """

    iso: str
    heading: str
    items: tuple[Item, ...]
    weekday: str = ""
    number: str = ""
    month: str = ""
    hazards: tuple[Hazard, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A week or a month: days with tasks, and what goes on through it; `last_iso` is its last day.

    `folded` are the same days, shut, `jobs` how many there are on them. `hazards` are those of a whole month; a week's
    days tell theirs, and `minded` are those of what goes on through it.
    """

    title: str
    iso: str
    days: tuple[DayBlock, ...]
    going_on: tuple[Item, ...]
    hazards: tuple[Hazard, ...] = ()
    minded: tuple[Hazard, ...] = ()
    before: Link | None = None
    after: Link | None = None
    last_iso: str = ""
    folded: tuple[Folded, ...] = ()
    jobs: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A line of the season's table."""

    tree: Link
    cultivar: Link
    crop: str
    where: str
    bloom: Dated | None
    pick: Dated | None
    ready: Dated | None
    why_not: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Past:
    """One line of the records."""

    day: str
    iso: str
    what: str
    of: str
    amount: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PastSeason:
    """The records of one season."""

    title: str
    lines: tuple[Past, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchLine:
    """One grade of one picking, from the tree to the day it is used.

    `step` says how far it has come: look, pick, cold, counter or eat; `doing` what is next, `story` its other days.
    """

    tree: Link
    cultivar: Link
    what: str
    weight: str
    picked: str
    picked_iso: str
    space: str
    out: str
    out_iso: str
    room: str
    ready: str
    use_by: str
    use_by_iso: str
    keep: str
    alert: str
    noted: bool
    step: str
    doing: str
    story: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SignLine:
    """A test of when to pick; `drawing` names its drawing, empty where it has none."""

    sign: Quote
    drawing: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FruitTests:
    """The tests of a fruit."""

    fruit: Link
    signs: tuple[SignLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TestsPage:
    """How each fruit is known to be ready; `drawings` are those that are drawn, each once."""

    drawings: tuple[str, ...]
    fruits: tuple[FruitTests, ...]
    hazards: tuple[Hazard, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StripStep:
    """A step of a crop's season: `key` names its mark, `window` says how early or late it may come."""

    key: str
    label: str
    iso: str
    day: str
    window: str
    seen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """A crop's season as one strip, 360 units wide. The same days stand in `steps`."""

    bloom: bool
    bloom_seen: bool
    pick: int
    pick_first: int
    pick_last: int
    pick_seen: bool
    today: int | None
    bars: tuple[DrawnBar, ...]
    steps: tuple[StripStep, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A firmness reading."""

    x: int
    y: int
    value: str
    day: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FirmnessDrawing:
    """Firmness readings and the band in which fruit is picked, 360 units wide and 166 high; `words` say where it is."""

    readings: tuple[Reading, ...]
    band: int
    band_height: int
    band_text: str
    today: int
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class YearRow:
    """A year of a crop: its bloom, its pickings and what it bore, `y` down a drawing that is 360 units wide."""

    year: str
    y: int
    bloom_x: int | None
    bloom: str
    picks: tuple[int, ...]
    first: str
    expected_x: int | None
    expected: str
    weight: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NextDate:
    """What comes next for a crop: what and when, how sure that is, and a stamp where something presses."""

    text: str
    iso: str
    sure: str
    stamp: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LimbView:
    """What a limb bears: its dates, the life of its fruit after the pick, and why there is no date.

    `plainly` says in a few sentences why it is picked when it is, `pollen` whose pollen serves it; `signs` are its
    tests.
    """

    cultivar: Link
    crop: str
    next: NextDate | None
    strip: Strip | None
    signs: tuple[SignLine, ...]
    firmness: FirmnessDrawing | None
    plainly: tuple[str, ...]
    pollen: tuple[str, ...]
    years: tuple[YearRow, ...]
    dates: tuple[Dated, ...]
    after_pick: tuple[Dated, ...]
    steps: tuple[Quote, ...]
    why_not: tuple[str, ...]
    expected: str
    batches: tuple[BatchLine, ...]
    alternatives: tuple[Quote, ...]
    alert: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """Something to look into: `note` is what to note if it is answered, None where nobody is to."""

    text: str
    note: ToNote | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """What should have happened and was not noted: `note` is what to note if it did, None where nobody is to.

    `waits` says which jobs wait for the answer; it is empty where none does. It is `open` as long as there is time
    to do it: it is a job of today then, whatever the answer.
    """

    tree: Link
    title: str
    since: str
    open: bool
    who: str
    hazards: tuple[Hazard, ...]
    held: tuple[str, ...]
    question: str
    waits: str
    note: ToNote | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Folded:
    """A later day, shut: its day of the week cut short, its first task, and how many more there are.

    `again` are its hazards that today has too, `day` has the others.
    """

    day: DayBlock
    again: tuple[Hazard, ...]
    weekday: str
    chief: str
    more: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FrontPage:
    """The first page.

    `soon` is the day it is made with the seven after it; the same days stand in `today`, `tomorrow` and `later`, and
    what goes on all the while in `going_on`, without what `asks` ask after. `again` are hazards of both days. `stored`
    is what came over from last season and is not all out and ripe yet, `stored_names` its cultivars.
    So many `asks` as `shown` must stand open.
    """

    asks: tuple[Ask, ...]
    shown: int
    today: DayBlock
    tomorrow: DayBlock
    again: tuple[Hazard, ...]
    later: tuple[Folded, ...]
    going_on: tuple[Item, ...]
    minded: tuple[Hazard, ...]
    ripe: tuple[BatchLine, ...]
    stored: tuple[BatchLine, ...]
    stored_names: str
    soon: Stretch
    weeks: tuple[Link, ...]
    rows: tuple[Row, ...]
    questions: tuple[tuple[Link, Question], ...]
    undated: tuple[str, ...]
    tree: TreePage | None
    unsafe: tuple[Quote, ...]
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoView:
    """A photo of the household's, in pixels; `alt` says what it shows."""

    href: str
    alt: str
    width: int
    height: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TreePage:
    """A tree's page. `taught` is what verdicts on its fruit taught, `prior` what was taken for granted before."""

    title: str
    tag: str
    kinds: str
    drawings: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    limbs: tuple[LimbView, ...]
    questions: tuple[Question, ...]
    coming: tuple[DayBlock, ...]
    hazards: tuple[Hazard, ...]
    past: tuple[PastSeason, ...]
    photos: tuple[PhotoView, ...]
    unsafe: tuple[Quote, ...]
    text: str
    note: ToNote | None = None
    taught: tuple[str, ...] = ()
    prior: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class YearOfTree:
    """A year of a crop: bloom, first pick and what lay between, weight, and how it was. Empty where nothing was noted.

    `at_bloom`, `at_pick` and `bar` are its places in the drawing; `row` is how far down it stands.
    """

    year: str
    bloom: str
    pick: str
    between: str
    weight: str
    verdict: str
    at_bloom: int | None
    at_pick: int | None
    bar: int
    row: int


@dataclass(frozen=True, slots=True, kw_only=True)
class HistoryOfTree:
    """The years of a crop of a tree, or of all trees of a cultivar, oldest first.

    `turns` says where it bears by turns, `taught` what verdicts on its fruit taught.
    """

    tree: Link
    name: str
    turns: str
    years: tuple[YearOfTree, ...]
    height: int
    taught: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class KindPage:
    """A cultivar's or a fruit's page. `fruit` is None on a fruit's own.

    `history` are the years of a cultivar's trees together, None where it has one tree alone or was never picked;
    `months` and `width` are of its drawing, as on the page of the year in review.
    """

    title: str
    also: tuple[str, ...]
    fruit: Link | None
    rows: tuple[Row, ...]
    kinds: tuple[Link, ...]
    signs: tuple[Quote, ...]
    figures: tuple[Quote, ...]
    windows: tuple[Quote, ...]
    drops: tuple[Quote, ...]
    facts: tuple[Quote, ...]
    preserves: tuple[Quote, ...]
    methods: tuple[Link, ...]
    cautions: tuple[Quote, ...]
    photos: tuple[PhotoView, ...]
    unsafe: tuple[Quote, ...]
    text: str
    history: HistoryOfTree | None = None
    months: tuple[tuple[int, str], ...] = ()
    width: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskPage:
    """A task's page; `next` is the first of its days that is not over, None where all are."""

    title: str
    when: str
    topic: str
    who: str
    bring: tuple[str, ...]
    why: tuple[Quote, ...]
    look_for: tuple[Quote, ...]
    cautions: tuple[Quote, ...]
    photos: tuple[PhotoView, ...]
    unsafe: tuple[Quote, ...]
    days: tuple[DayBlock, ...]
    text: str
    note: ToNote | None = None
    next: DayBlock | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TreeMark:
    """A tree in its part of the orchard.

    `state` is now, look, later, picked or none; `short` says it in two words, `words` in a sentence.
    """

    tree: Link
    kinds: str
    where: str
    state: str
    short: str
    words: str
    clashes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TreePart:
    """A part of the orchard, its trees in walking order."""

    name: str
    trees: tuple[TreeMark, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TreeRow:
    """A row of the plan as one sees it from the gate: what stands at each place from left to right, if anything."""

    name: str
    places: tuple[TreeMark | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TreesPage:
    """All trees part by part, cultivars and fruits; `rows` are the plan that is told, `beside` what is not in it."""

    parts: tuple[TreePart, ...]
    rows: tuple[TreeRow, ...]
    beside: tuple[TreePart, ...]
    cultivars: tuple[Link, ...]
    fruits: tuple[Link, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class JobsPage:
    """The season's tasks by topic; `tasks` are all of them whole, each with its anchor, where no page is theirs."""

    topics: tuple[tuple[str, tuple[Link, ...]], ...]
    tasks: tuple[tuple[str, TaskPage], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class YearPage:
    """Every month with its weeks, and the season's table; `stretches` are the months whole, each with its anchor."""

    months: tuple[tuple[Link, tuple[Link, ...]], ...]
    stretches: tuple[tuple[str, Stretch], ...]
    rows: tuple[Row, ...]
    drawing: Drawing | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """A line of the table of spreads: what deviates, and by how many days (one standard deviation)."""

    name: str
    value: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneShift:
    """What a hardiness zone is worth: how its ground's events lie beside those of the place's own zone, in words."""

    zone: str
    bloom: str
    pick: str
    leaf_fall: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DatesPage:
    """How these dates are made. `zones` and `within_zone` are empty where the place names no zone."""

    spreads: tuple[Spread, ...]
    zones: tuple[ZoneShift, ...]
    within_zone: str
    undated: tuple[tuple[str, str, str], ...]
    zone: str
    warmth: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReplayLine:
    """One event of a past season: what came, and how far off it was foretold at each moment (empty: not foretold)."""

    tree: Link
    what: str
    seen: str
    iso: str
    before: str
    days_30: str
    days_14: str
    days_7: str
    after_bloom: str
    plain: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReplaySeason:
    """One past season played again, with its scores in words."""

    title: str
    scores: tuple[str, ...]
    lines: tuple[ReplayLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HindcastPage:
    """How past dates would have held: over all seasons, and season by season."""

    scores: tuple[str, ...]
    seasons: tuple[ReplaySeason, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceLine:
    """A source as its page lists it."""

    anchor: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CrateWeek:
    """A week of a space: where its stack stands, and the outlines of its crates, those that don't fit apart."""

    x: int
    y: int
    day: str
    month: str
    count: str
    is_over: bool
    crates: str
    over: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Crates:
    """How full a space gets, week by week; `full` is the line up to which crates fit, `words` tell the same."""

    full: int
    full_text: str
    weeks: tuple[CrateWeek, ...]
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomWarning:
    """What is wrong in a room, once for all fruit it is so of: day for machines, day, and the fruit of that day."""

    text: str
    whose: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomView:
    """A space, and what lies in it in the course of the season; `warnings` are what is wrong with that."""

    name: str
    temperature: str
    holds: str
    beside: str
    warnings: tuple[RoomWarning, ...]
    crates: Crates | None
    lying: tuple[BatchLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomsPage:
    """Where picked fruit lies, and what is wrong with that."""

    warnings: tuple[RoomWarning, ...]
    rooms: tuple[RoomView, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareLine:
    """A cultivar's grade divided among the households; `loose` is what fills no box and evens out the parts."""

    what: str
    whole: str
    dues: tuple[tuple[str, str], ...]
    rest: str
    loose: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareSeason:
    """A season of the running account: what each household was due and what it had."""

    title: str
    picked: str
    lines: tuple[tuple[str, str, str], ...]
    rest: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StorePage:
    """What is in store, in the order of eating, and what is still to come into it: within a week, and after.

    Of what is `unsure` the last good day to pick is over, and nobody noted whether it was.
    """

    carried: tuple[BatchLine, ...]
    here: tuple[BatchLine, ...]
    unsure: tuple[BatchLine, ...]
    soon: tuple[BatchLine, ...]
    later: tuple[BatchLine, ...]
    wanted: tuple[tuple[str, str, str, Link | None], ...]
    shares: tuple[ShareLine, ...]
    accounts: tuple[tuple[str, str], ...]
    taken: tuple[ShareSeason, ...]
    balances: tuple[tuple[str, str], ...]
    stand: Link | None


@dataclass(frozen=True, slots=True, kw_only=True)
class StoryLine:
    """What happens to a box of fruit on a day."""

    iso: str
    day: str
    tree: Link
    text: str
    noted: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class StoryMonth:
    """A month of a season's fruit, from day to day."""

    title: str
    lines: tuple[StoryLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StorySeason:
    """A season's fruit from month to month; `packed` are cultivars with the share of each grade in what came in."""

    title: str
    crops: tuple[tuple[Link, str, str], ...]
    packed: tuple[tuple[str, str], ...]
    months: tuple[StoryMonth, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StoryPage:
    """Where each box lay and when it moved. `hands` are days that bring more than hands can pick, and what waits."""

    seasons: tuple[StorySeason, ...]
    hands: tuple[StoryLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StandPage:
    """What is ripe when the stand is next open, for everybody to read: it tells of fruit and of nothing else.

    `days` are its days after that, with what is likely there and what perhaps; `seasons` when there is what.
    """

    heading: str
    title: str
    iso: str
    fruits: tuple[tuple[str, str, str], ...]
    days: tuple[tuple[str, str, str, str], ...]
    seasons: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SourcesPage:
    """The sources that the site's figures rest on."""

    lines: tuple[SourceLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedLine:
    """A calendar feed and the ways to it; `subscribe` and `address` are None where the site has no address.

    `code` is the address of reminders as a QR code, an SVG path within a square of `side`; empty where there is none.
    """

    name: str
    count: str
    download: Link
    subscribe: Link | None
    address: Link | None
    code: str
    side: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedGroup:
    """Feeds that go together."""

    title: str
    about: str
    feeds: tuple[FeedLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SubscribePage:
    """How to get the plan into one's own calendar; `parted` says that some calendar comes in parts."""

    kinds: tuple[tuple[str, str], ...]
    groups: tuple[FeedGroup, ...]
    parted: bool
    unlisted: str
    alarm: str
    forms: tuple[tuple[Link, str], ...]
    cards: Link | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetsPage:
    """The sheets for paper, each with what is on it."""

    sheets: tuple[tuple[Link, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SlideLine:
    """A printed day, and the same day moved by each shift of the slide table."""

    name: str
    printed: str
    shifted: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FridgeSheet:
    """The day it is made and the seven after it on paper; `shifts` head the columns of the slide table.

    `asks` are what should have been done before it.
    """

    large: bool
    asks: tuple[Ask, ...]
    crowded: bool
    title: str
    days: tuple[DayBlock, ...]
    shifts: tuple[str, ...]
    slides: tuple[SlideLine, ...]
    hazards: tuple[Hazard, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonLine:
    """A crop's days on the sheet of the season, a dash where there is none. `clash` is of a spray's label."""

    tree: str
    name: str
    look: str
    pick: str
    out: str
    ready: str
    use_by: str
    clash: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonSheet:
    """One crop to five on one side in 18 points; `tests` are of the crops named before them.

    `heads` are the tags of those still to be picked, whose days `slides` move; `dense`: smaller type is needed.
    """

    lines: tuple[SeasonLine, ...]
    tests: tuple[tuple[str, str], ...]
    heads: tuple[str, ...]
    slides: tuple[SlideLine, ...]
    hazards: tuple[Hazard, ...]
    to_write: tuple[str, ...]
    dense: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PickLine:
    """A picking that may soon be done, with its tests; `which` says which of several it is, or how often it comes."""

    tree: str
    cultivar: str
    crop: str
    where: str
    likely: str
    which: str
    window: str
    clash: str
    signs: tuple[str, ...]
    expected: str
    space: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PickingCard:
    """What may be picked in the next two weeks, in walking order."""

    lines: tuple[PickLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TagSheet:
    """A tag for each batch."""

    batches: tuple[BatchLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TreeLabel:
    """A tree's label; `code` is an SVG path within a square of `side`, empty where the site has no address."""

    tag: str
    cultivars: str
    where: str
    code: str
    side: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelSheet:
    """A label for each tree."""

    coded: bool
    labels: tuple[TreeLabel, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarSheet:
    """A card for each calendar of reminders, to be cut out and handed to a helper."""

    cards: tuple[FeedLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordSheet:
    """An empty sheet in the shape of the records."""

    columns: tuple[str, ...]
    whats: tuple[str, ...]
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteView:
    """What every page knows: names, the way to the top, the day it was made on."""

    name: str
    season: str
    made_on: str
    made_on_iso: str
    made_for: str
    language: str
    top: str
    find: Link
    nav: tuple[Way, ...]
    about: tuple[Way, ...]
    safety: Link | None
    preset: str
    worker: str
    people: tuple[Choice, ...]
    houses: tuple[Choice, ...]
    parts: tuple[Choice, ...]
    note: Link | None = None
    is_private: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """The season as one drawing: a line for each bearing in order of pick. All numbers are in its own units."""

    width: int
    height: int
    left: int
    top: int
    right: int
    bottom: int
    months: tuple[DrawnMonth, ...]
    has_sessions: bool
    today: int | None
    today_text: str
    first: str
    last: str
    lines: tuple[DrawnLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnMonth:
    """Where a month begins."""

    x: int
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnLine:
    """A bearing's season as it is drawn, and the days that the drawing adds to its row."""

    y: int
    name: str
    crop: str
    row: Row
    windows: tuple[DrawnWindow, ...]
    checks: tuple[int, ...]
    sessions: tuple[int, ...]
    bars: tuple[DrawnBar, ...]
    label: str
    label_x: int
    label_ends: bool
    check: Dated | None
    needs_cold: bool
    out: Dated | None
    use_by: Dated | None
    keep: Dated | None
    put_up: tuple[Link, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnWindow:
    """How early or late a day may come, in three steps of likelihood."""

    kind: str
    x: int
    width: int
    inner_x: int
    inner_width: int
    likely: int
    seen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnBar:
    """A stretch after the pick, between its likely days."""

    kind: str
    x: int
    width: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonLine:
    """Somebody who helps; `phone` and `email` are None where nobody told them."""

    name: str
    household: str
    does: str
    phone: Link | None
    email: Link | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PeoplePage:
    """Who helps, and how to reach them: for the household alone."""

    people: tuple[PersonLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionLine:
    """A caution, and the pages of what it belongs to."""

    caution: Quote
    belongs: tuple[Link, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionTopic:
    """Cautions of one kind."""

    title: str
    cautions: tuple[CautionLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SafetyPage:
    """All cautions of this household's plan, by topic, and what must never go into jars."""

    topics: tuple[CautionTopic, ...]
    never: tuple[Quote, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SinceLine:
    """An event of a tree this season and the last; `change` says by how much it moved."""

    tree: Link
    what: str
    now: Dated
    then: Dated
    change: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SinceNote:
    """What was noted last season about this time of the year; `tree` is None for the whole place."""

    iso: str
    day: str
    tree: Link | None
    what: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SincePage:
    """This season beside the last."""

    season: str
    former: str
    dates: tuple[SinceLine, ...]
    gone: tuple[tuple[Link, str], ...]
    new: tuple[tuple[Link, str], ...]
    crops: tuple[tuple[Link, str, str, str], ...]
    notes: tuple[SinceNote, ...]
    taught: tuple[str, ...]
    hindcast: Link | None
    wanted: tuple[str, ...]
    put_up: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class YearMonth:
    """A month on the sheet of the whole year: its days in words, each with what it brings."""

    title: str
    lines: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class YearSheet:
    """The whole year on one side; `density` is roomy, full or dense, and `goes_on` says that one side is too small."""

    first: str
    last: str
    months: tuple[YearMonth, ...]
    density: str
    goes_on: bool
