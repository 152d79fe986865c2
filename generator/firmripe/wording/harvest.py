"""What the harvest remarks of picked fruit, in words: what its days rest on, which are lacking, what to look at."""

from __future__ import annotations

from collections.abc import Iterable

from firmripe.harvest.because import (
    AllClaimed,
    BringIn,
    ColdNights,
    Crowded,
    CutShort,
    ForWant,
    FruitOf,
    KeepingNotTold,
    LimitTooShort,
    LookOver,
    MayNotRipen,
    NotEaten,
    NotForIt,
    NothingLeft,
    NotKnown,
    PickedEarly,
    RipeApples,
    RipeningStep,
    RoomUnlike,
    StepTakes,
    Treated,
    UsedSoon,
)
from firmripe.harvest.own import OwnFruitDays
from firmripe.remark import Remark
from firmripe.saying import _, term
from firmripe.wording.remarks import words_of
from firmripe.words import amount, begun, days_words, degrees, week_day


def fruit_words(fruit: FruitOf) -> str:
    """Say whose fruit it is, as `Anjou (1-06)`, or `Anjou` where it is that of all trees."""
    return f"{fruit.name} ({fruit.tree})" if fruit.tree else fruit.name


def fruits_words(fruit: Iterable[FruitOf]) -> str:
    """Say whose fruit it is, each kind once, as `Anjou (1-06, 2-03), Bosc (1-04)`."""
    kinds: dict[str, list[str]] = {}
    for one in fruit:
        kinds.setdefault(one.name, []).append(one.tree)
    return ", ".join(
        f"{name} ({', '.join(dict.fromkeys(trees))})" if all(trees) else name for name, trees in kinds.items()
    )


def alert_words(alerts: Iterable[Remark]) -> str:
    """Say all that is to be looked at, without a last full stop; empty for nothing."""
    return ". ".join(dict.fromkeys(map(words_of, alerts)))


# What each step rests on


@words_of.register
def _takes(told: StepTakes) -> str:
    figure = told.figure
    note = _of_own_fruit(figure) if isinstance(figure, OwnFruitDays) else term(figure.note)
    at = _(" at {warm}", warm=degrees(figure.at_c.low, figure.at_c.high)) if figure.at_c else ""
    return f"{_step(told)}: {amount(figure.text)}{at}{f', {note}' if note else ''}"


def _step(told: StepTakes) -> str:
    match told.step:
        case RipeningStep.COLD:
            return _("In the cold")
        case RipeningStep.COLD_WHEN_LATE:
            days = told.days_past
            return _("picked {days_past} days after the first, so less; 28 days after", days_past=days)
        case RipeningStep.COUNTER:
            return _("On the counter")
        case RipeningStep.STAYS_GOOD:
            return _("Stays good once ready")
        case RipeningStep.KEEPS:
            return _("Keeps in the cold at most")
        case RipeningStep.KEEPS_WARMER:
            return _("The space is warmer than that was printed for, so less")


def _of_own_fruit(days: OwnFruitDays) -> str:
    seen = ", ".join(map(str, days.seasons))
    if days.printed is None:
        return _("your own fruit of {seen}", seen=seen)
    return _("your own fruit of {seen}, with {printed} as printed", seen=seen, printed=amount(days.printed))


@words_of.register
def _room_unlike(told: RoomUnlike) -> str:
    room = told.room.name
    if told.is_cooler:
        return _("The {room} is cooler than that was told for: it takes longer there", room=room)
    return _("The {room} is warmer than that was told for: it may be ready sooner, so look early", room=room)


@words_of.register
def _used_soon(_told: UsedSoon) -> str:
    return _("Bruised, pecked or stemless fruit lasts 1-3 days (our judgement)")


@words_of.register
def _crowded(told: Crowded) -> str:
    if not told.beside:
        return _("The {space} is too small for it", space=told.space.name)
    names = ", ".join(map(fruit_words, told.beside))
    return _("No room for it in the {space} beside {names}", space=told.space.name, names=names)


# Why a day is lacking


@words_of.register
def _not_known(told: NotKnown) -> str:
    match told:
        case NotKnown.RIPENING:
            return _("how many days it takes to ripen indoors is not known")
        case NotKnown.STAYS_GOOD:
            return _("how long it stays good once ready is not known")
        case NotKnown.WARMTH_OF_SPACES:
            return _("no space told of says how warm it is, and how long fruit keeps hangs on it")
        case NotKnown.KEEPING:
            return _("no published limit of keeping is on the shelf")
        case NotKnown.YIELD:
            return _("no own weights, no count with a weight per fruit, no printed yield in pounds or bushels")


@words_of.register
def _may_not_ripen(told: MayNotRipen) -> str:
    room, warm = told.room.name, degrees(told.at_c)
    return _("the {room} is {warm}, where it may not ripen: no day is promised", room=room, warm=warm)


@words_of.register
def _keeping_not_told(told: KeepingNotTold) -> str:
    space = told.space.name
    if told.at_c is None:
        return _("how warm the {space} is has not been said, and how long it keeps hangs on it", space=space)
    warm, at = degrees(told.at_c), told.limit.at_c
    if at is None:
        return _("the {space} is {warm}, and nothing is printed for so warm a place", space=space, warm=warm)
    said = {"space": space, "warm": warm, "limit": amount(told.limit.text), "at": degrees(at.low, at.high)}
    if told.limit.cited.is_own:
        return _("the {space} is {warm}, too warm for your {limit}, told for {at}", **said)
    return _("the {space} is {warm}, too warm for the {limit} printed for {at}", **said)


@words_of.register
def _limit_too_short(told: LimitTooShort) -> str:
    keeps = amount(told.limit.text)
    if told.limit.cited.is_own:
        return _("your own limit, {keeps}, is shorter than the cold it needs", keeps=keeps)
    return _(
        "the published limit, {keeps}, is shorter than the cold it needs: that limit is for other kinds", keeps=keeps
    )


@words_of.register
def _nothing_left(_told: NothingLeft) -> str:
    return _("nothing of it is left")


@words_of.register
def _all_claimed(told: AllClaimed) -> str:
    return _("all of it is spoken for by then, the last on {day}", day=week_day(told.last))


# What is to be looked at


@words_of.register
def _cut_short(told: CutShort) -> str:
    beside = _(", or ripe apples lie beside it for {apple}", apple=amount(told.apple.text)) if told.apple else ""
    return _(
        "Taken out on {day} after {days} in the cold, where {figure} are told: it may "
        "stay hard or shrivel. What stays hard can go back into the cold{beside}",
        day=week_day(told.day),
        days=days_words(told.lain_d),
        figure=amount(told.cold.text),
        beside=beside,
    )


@words_of.register
def _look_over(told: LookOver) -> str:
    said = _("{why}: look it over every week", why=words_of(told.why))
    return begun(said)


@words_of.register
def _cold_nights(told: ColdNights) -> str:
    return _(
        "Two nights running at {cold_nights} or below, up to {day}: fruit may ripen and drop "
        "on the tree before its time. Test it now",
        cold_nights=amount(told.limit.text),
        day=week_day(told.day),
    )


@words_of.register
def _bring_in(told: BringIn) -> str:
    words = words_of(told.freeze.coming)
    return _("{words}. Bring in what is left by {last}", words=words, last=week_day(told.freeze.last))


@words_of.register
def _picked_early(told: PickedEarly) -> str:
    return _(
        "Picked on {picked}, {days} before its window opened: fruit that was not mature may "
        "shrivel instead of ripening. Give it all its days in the cold, try a few first, and "
        "cook what stays hard",
        picked=week_day(told.picked),
        days=days_words((told.mature_from - told.picked).days),
    )


# Other ways, where it goes, and what it must not become


@words_of.register
def _ripe_apples(told: RipeApples) -> str:
    return _("ripe apples beside it for {apple}, instead of the cold", apple=amount(told.figure.text))


@words_of.register
def _treated(told: Treated) -> str:
    treatment = told.treatment
    then = _(", then {then_text}", then_text=term(treatment.then_text)) if treatment.then_text else ""
    return f"{term(treatment.what)}, {amount(treatment.takes.text)}{then}"


@words_of.register
def _for_want(told: ForWant) -> str:
    return told.purpose or week_day(told.day)


@words_of.register
def _not_eaten(_told: NotEaten) -> str:
    return _("more than is eaten by its last day")


@words_of.register
def _not_for_it(told: NotForIt) -> str:
    match told:
        case NotForIt.CULLS:
            return _("culls are moldy, rotten or worm-eaten: they go out")
        case NotForIt.WINDFALLS_IN_JARS:
            return _("windfalls are not for jars")
        case NotForIt.BRUISED_IN_JARS:
            return _("bruised or pecked fruit is not for jars: eat, freeze or dry it")
        case NotForIt.WINDFALLS_IN_JUICE:
            return _("windfalls are not for juice")
