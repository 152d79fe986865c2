"""What the harvest remarks of picked fruit, in words: what its days rest on, which are lacking, what to look at."""

from __future__ import annotations

from collections.abc import Iterable

from firmripe.harvest.because import (
    AllClaimed,
    BringIn,
    ColdNights,
    Crowded,
    CutShort,
    ForSale,
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
    StraightFromTree,
    ToBeUsedSoon,
    Treated,
    UsedSoon,
)
from firmripe.harvest.own import OwnFruitDays
from firmripe.remark import Remark
from firmripe.tongue import Tongue
from firmripe.wording.remarks import words_of
from firmripe.words import amount, begun, days_words, degrees, on_tree, week_day


def fruit_words(fruit: FruitOf) -> str:
    """Say whose fruit it is, as `Anjou (1-06)`, or `Anjou` where it is that of all trees."""
    return on_tree(fruit.name, fruit.tree)


def fruits_words(fruit: Iterable[FruitOf]) -> str:
    """Say whose fruit it is, each kind once, as `Anjou (1-06, 2-03), Bosc (1-04)`."""
    kinds: dict[str, list[str]] = {}
    for one in fruit:
        kinds.setdefault(one.name, []).append(one.tree)
    return ", ".join(
        on_tree(name, ", ".join(dict.fromkeys(trees)) if all(trees) else "") for name, trees in kinds.items()
    )


def alert_words(tongue: Tongue, alerts: Iterable[Remark]) -> str:
    """Say all that is to be looked at, without a last full stop; empty for nothing."""
    return ". ".join(dict.fromkeys(words_of(one, tongue) for one in alerts))


# What each step rests on


@words_of.register(StepTakes)
def _takes(told: StepTakes, tongue: Tongue) -> str:
    figure = told.figure
    note = _of_own_fruit(tongue, figure) if isinstance(figure, OwnFruitDays) else tongue.term(figure.note)
    at = tongue.say(" at {warm}", warm=degrees(tongue, figure.at_c.low, figure.at_c.high)) if figure.at_c else ""
    return f"{_step(tongue, told)}: {amount(tongue, figure.text)}{at}{f', {note}' if note else ''}"


def _step(tongue: Tongue, told: StepTakes) -> str:
    match told.step:
        case RipeningStep.COLD:
            return tongue.say("In the cold")
        case RipeningStep.COLD_WHEN_LATE:
            days = told.days_past
            return tongue.say("picked {days_past} days after the first, so less; 28 days after", days_past=days)
        case RipeningStep.COUNTER:
            return tongue.say("On the counter")
        case RipeningStep.STAYS_GOOD:
            return tongue.say("Stays good once ready")
        case RipeningStep.KEEPS:
            return tongue.say("Keeps in the cold at most")
        case RipeningStep.WARMER_STORAGE:
            return tongue.say("The space is warmer than that was printed for, so less")


def _of_own_fruit(tongue: Tongue, days: OwnFruitDays) -> str:
    seen = ", ".join(map(str, days.seasons))
    if days.printed is None:
        return tongue.say("your own fruit of {seen}", seen=seen)
    return tongue.say(
        "your own fruit of {seen}, with {printed} as printed", seen=seen, printed=amount(tongue, days.printed)
    )


@words_of.register(RoomUnlike)
def _room_unlike(told: RoomUnlike, tongue: Tongue) -> str:
    room = told.room.name
    if told.is_cooler:
        return tongue.say("The {room} is cooler than that was told for: it takes longer there", room=room)
    return tongue.say("The {room} is warmer than that was told for: it may be ready sooner, so look early", room=room)


@words_of.register(UsedSoon)
def _used_soon(_told: UsedSoon, tongue: Tongue) -> str:
    return tongue.say("Bruised, pecked or stemless fruit lasts 1-3 days (our judgement)")


@words_of.register(Crowded)
def _crowded(told: Crowded, tongue: Tongue) -> str:
    if not told.beside:
        return tongue.say("The {space} is too small for it", space=told.space.name)
    names = ", ".join(map(fruit_words, told.beside))
    return tongue.say("No room for it in the {space} beside {names}", space=told.space.name, names=names)


# Why a day is lacking


@words_of.register(NotKnown)
def _not_known(told: NotKnown, tongue: Tongue) -> str:
    match told:
        case NotKnown.RIPENING:
            return tongue.say("how many days it takes to ripen indoors is not known")
        case NotKnown.STAYS_GOOD:
            return tongue.say("how long it stays good once ready is not known")
        case NotKnown.WARMTH_OF_SPACES:
            return tongue.say("no space told of says how warm it is, and how long fruit keeps hangs on it")
        case NotKnown.KEEPING:
            return tongue.say("no published limit of keeping is on the shelf")
        case NotKnown.YIELD:
            return tongue.say("no own weights, no count with a weight per fruit, no printed yield in pounds or bushels")


@words_of.register(MayNotRipen)
def _may_not_ripen(told: MayNotRipen, tongue: Tongue) -> str:
    room, warm = told.room.name, degrees(tongue, told.at_c)
    return tongue.say("the {room} is {warm}, where it may not ripen: no day is promised", room=room, warm=warm)


@words_of.register(KeepingNotTold)
def _keeping_not_told(told: KeepingNotTold, tongue: Tongue) -> str:
    space = told.space.name
    if told.at_c is None:
        return tongue.say("how warm the {space} is has not been said, and how long it keeps hangs on it", space=space)
    warm, at = degrees(tongue, told.at_c), told.limit.at_c
    if at is None:
        return tongue.say("the {space} is {warm}, and nothing is printed for so warm a place", space=space, warm=warm)
    said = {
        "space": space,
        "warm": warm,
        "limit": amount(tongue, told.limit.text),
        "at": degrees(tongue, at.low, at.high),
    }
    if told.limit.cited.is_own:
        return tongue.say("the {space} is {warm}, too warm for your {limit}, told for {at}", **said)
    return tongue.say("the {space} is {warm}, too warm for the {limit} printed for {at}", **said)


@words_of.register(LimitTooShort)
def _limit_too_short(told: LimitTooShort, tongue: Tongue) -> str:
    keeps = amount(tongue, told.limit.text)
    if told.limit.cited.is_own:
        return tongue.say("your own limit, {keeps}, is shorter than the cold it needs", keeps=keeps)
    return tongue.say(
        "the published limit, {keeps}, is shorter than the cold it needs: that limit is for other kinds", keeps=keeps
    )


@words_of.register(NothingLeft)
def _nothing_left(_told: NothingLeft, tongue: Tongue) -> str:
    return tongue.say("nothing of it is left")


@words_of.register(ForSale)
def _for_sale(told: ForSale, tongue: Tongue) -> str:
    if told.is_untold:
        return tongue.say("for the stand, and for whoever eats of it at home")
    return tongue.say("more than is eaten, for the stand")


@words_of.register(StraightFromTree)
def _straight_from_tree(_told: StraightFromTree, tongue: Tongue) -> str:
    return tongue.say("it needs no cold, and goes to the table straight after picking")


@words_of.register(ToBeUsedSoon)
def _to_be_used_soon(_told: ToBeUsedSoon, tongue: Tongue) -> str:
    return tongue.say("it was sorted to be used soon, and leaves the cold as soon as it may")


@words_of.register(AllClaimed)
def _all_claimed(told: AllClaimed, tongue: Tongue) -> str:
    return tongue.say("all of it is spoken for by then, the last on {day}", day=week_day(tongue, told.last))


# What is to be looked at


@words_of.register(CutShort)
def _cut_short(told: CutShort, tongue: Tongue) -> str:
    beside = (
        tongue.say(", or ripe apples lie beside it for {apple}", apple=amount(tongue, told.apple.text))
        if told.apple
        else ""
    )
    return tongue.say(
        "Taken out on {day} after {days} in the cold, where {figure} are told: it may "
        "stay hard or shrivel. What stays hard can go back into the cold{beside}",
        day=week_day(tongue, told.day),
        days=days_words(tongue, told.lain_d),
        figure=amount(tongue, told.cold.text),
        beside=beside,
    )


@words_of.register(LookOver)
def _look_over(told: LookOver, tongue: Tongue) -> str:
    said = tongue.say("{why}: look it over every week", why=words_of(told.why, tongue))
    return begun(said)


@words_of.register(ColdNights)
def _cold_nights(told: ColdNights, tongue: Tongue) -> str:
    return tongue.say(
        "Two nights running at {cold_nights} or below, up to {day}: fruit may ripen and drop "
        "on the tree before its time. Test it now",
        cold_nights=amount(tongue, told.limit.text),
        day=week_day(tongue, told.day),
    )


@words_of.register(BringIn)
def _bring_in(told: BringIn, tongue: Tongue) -> str:
    words = words_of(told.freeze.coming, tongue)
    return tongue.say("{words}. Bring in what is left by {last}", words=words, last=week_day(tongue, told.freeze.last))


@words_of.register(PickedEarly)
def _picked_early(told: PickedEarly, tongue: Tongue) -> str:
    return tongue.say(
        "Picked on {picked}, {days} before its window opened: fruit that was not mature may "
        "shrivel instead of ripening. Give it all its days in the cold, try a few first, and "
        "cook what stays hard",
        picked=week_day(tongue, told.picked),
        days=days_words(tongue, (told.mature_from - told.picked).days),
    )


# Other ways, where it goes, and what it must not become


@words_of.register(RipeApples)
def _ripe_apples(told: RipeApples, tongue: Tongue) -> str:
    return tongue.say("ripe apples beside it for {apple}, instead of the cold", apple=amount(tongue, told.figure.text))


@words_of.register(Treated)
def _treated(told: Treated, tongue: Tongue) -> str:
    treatment = told.treatment
    then = tongue.say(", then {then_text}", then_text=tongue.term(treatment.then_text)) if treatment.then_text else ""
    return f"{tongue.term(treatment.what)}, {amount(tongue, treatment.takes.text)}{then}"


@words_of.register(ForWant)
def _for_want(told: ForWant, tongue: Tongue) -> str:
    return told.purpose or week_day(tongue, told.day)


@words_of.register(NotEaten)
def _not_eaten(_told: NotEaten, tongue: Tongue) -> str:
    return tongue.say("more than is eaten by its last day")


@words_of.register(NotForIt)
def _not_for_it(told: NotForIt, tongue: Tongue) -> str:
    match told:
        case NotForIt.CULLS:
            return tongue.say("culls are moldy, rotten or worm-eaten: they go out")
        case NotForIt.WINDFALLS_IN_JARS:
            return tongue.say("windfalls are not for jars")
        case NotForIt.BRUISED_IN_JARS:
            return tongue.say("bruised or pecked fruit is not for jars: eat, freeze or dry it")
        case NotForIt.WINDFALLS_IN_JUICE:
            return tongue.say("windfalls are not for juice")
