"""The place, and the shelf's reference places and sources, from their notes."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from fractions import Fraction
from urllib.parse import quote, urlsplit

from msgspec.structs import replace

from firmripe.days import Hemisphere, WorkingYear, parse_day, parse_day_of_year, parse_days, parse_stretch
from firmripe.holding.figures import Source
from firmripe.holding.matter import Matter
from firmripe.holding.place import (
    EVERYBODY,
    FORMER_THEME,
    HOUSEHOLD,
    USUAL_THEME,
    Alarm,
    Ground,
    Near,
    NoAccess,
    Person,
    Place,
    ReferencePlace,
    Share,
    Space,
    UsualPick,
    Wanted,
)
from firmripe.holding.weight import NoNumber, Part, parse_fruit_weight, parse_yield
from firmripe.problems import Problems, Unreadable, Where, folded, nearest, or_list
from firmripe.reading.bounds import amount_within, number_within, within
from firmripe.reading.fields import Fields, one_of, plain_text, yes_or_no
from firmripe.reading.folder import Note
from firmripe.reading.frontmatter import Table
from firmripe.reading.kitchen import parse_weekday, read_kitchen_means, read_kitchens
from firmripe.reading.languages import languages, read_tongue
from firmripe.reading.names import as_written
from firmripe.reading.rows import read_rows
from firmripe.reading.usual import read_usual_temperatures
from firmripe.tongue import ENGLISH
from firmripe.units import parse_height, parse_latitude, parse_longitude, parse_temperature, parse_zone

FORMAT = 1
"""The form of a household's notes."""
_MIDSUMMER = 195
"""A day of the working year: the middle of July in the north, of January in the south."""
FEWEST_DIGITS, MOST_DIGITS = 3, 15
"""Digits of a telephone number: the most are those of ITU-T E.164, fewer than three call nobody."""
_LONGEST_ADDRESS = 1_000
"""Characters of the site's address as browsers send it: a QR code with some redundancy (level M) holds 2,331 octets of
the whole address of a page (ISO/IEC 18004)."""
OF_A_PLACE = number_within(parse_height, -430, 4_800, "fruit grows from -430 to 4,800 m (-1,410 to 15,750 ft)")
_OF_A_SPACE = within(parse_temperature, -35, 45, "a store or a room is from -31 to 113 F (-35 to 45 C)")
_HOLDS = amount_within(parse_yield, 50_000, 2_000, "a space holds up to 50,000 kg, or 2,000 boxes or the like")
_IN_A_DAY = amount_within(parse_yield, 20_000, 2_000, "hands pick up to 20,000 kg in a day, or 2,000 boxes or the like")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_PICKING = "picking"
"""What the work of picking is called in what people do."""
_WEEK_STARTS = {"monday": 0, "saturday": 5, "sunday": 6}


def read_sources(note: Note | None, problems: Problems) -> dict[str, Source]:
    """Read the shelf's sources by key."""
    if note is None:
        return {}
    top = Fields(note.table, problems, {})
    found = {}
    for key, (_, fields) in top.named_tables("sources").items():
        found[key] = Source(
            key=key,
            author=fields.text("author"),
            title=fields.text("title"),
            year=fields.text("year"),
            number=fields.text("number"),
        )
        fields.close("a source")
        if not found[key].author:
            fields.fault("author", f'the source "{key}" has no author', "add author: and a person or body")
    top.close("sources.md")
    return found


def read_places(note: Note | None, sources: Mapping[str, Source], problems: Problems) -> dict[str, ReferencePlace]:
    """Read the shelf's reference places by key."""
    if note is None:
        return {}
    top = Fields(note.table, problems, sources)
    found = {}
    for key, (_, fields) in top.named_tables("places").items():
        found[key] = ReferencePlace(
            key=key,
            name=fields.text("name") or key,
            zone=fields.figure("zone", parse_zone),
            zone_map=fields.text("zone map"),
            latitude=fields.figure("latitude", parse_latitude),
            longitude=fields.figure("longitude", parse_longitude),
            elevation_m=fields.figure("elevation", parse_height),
        )
        fields.close("a place")
    top.close("places.md")
    return found


def check_format(note: Note | None, problems: Problems) -> None:
    """Note that a household's notes are of a form that is not known here; without a word they are of the first."""
    if note is not None:
        Fields(note.table, problems, {}).read("format", _format)


def read_place(
    note: Note | None, sources: Mapping[str, Source], problems: Problems, themes: Sequence[str] = (USUAL_THEME,)
) -> Place:
    """Read the household's own place; without a note it is a garden of which nothing is known.

    `themes` are the names that its theme may have.
    """
    table = note.table if note else Table(Where("place.md"))
    fields = Fields(table, problems, sources)
    fields.read("format", _format)
    place = replace(_of_the_ground(fields), text=note.body if note else "")
    for part in (_with_season, _with_people, _with_fruit, _with_kitchens, _with_feeds, _with_site):
        place = part(fields, place)
    place = replace(place, theme=fields.read("theme", _theme_among(themes)) or USUAL_THEME)
    fields.close("place.md")
    for check in (_check_frosts, _check_stand, _check_twins, _ask_of_hands):
        check(fields, place)
    return place


def _of_the_ground(fields: Fields) -> Place:
    """Read what the place is called and where it lies."""
    latitude = fields.read("latitude", number_within(parse_latitude, -72, 72, "fruit grows from 72 S to 72 N"))
    ground = Ground(
        zone=fields.read("zone", parse_zone),
        zone_map=fields.read("zone map", _zone_map) or "",
        latitude=latitude,
        longitude=fields.read("longitude", parse_longitude),
        elevation_m=fields.read("elevation", OF_A_PLACE),
    )
    half = _half_of_the_earth(fields, latitude)
    return Place(
        name=fields.text("name") or "Our trees",
        ground=ground,
        hemisphere=half,
        usual_temperatures=read_usual_temperatures(fields, half),
        plan=read_rows(fields),
        up_and_down=fields.read("walk", _up_and_down) or False,
    )


def _half_of_the_earth(fields: Fields, latitude: float | None) -> Hemisphere:
    """Read on which half of the earth it lies: the latitude tells, and what is written must agree."""
    said = fields.read("hemisphere", one_of(Hemisphere))
    by_latitude = None if latitude is None else Hemisphere.SOUTH if latitude < 0 else Hemisphere.NORTH
    if said and by_latitude and said is not by_latitude:
        fields.fault("hemisphere", f'"{said.value}" does not agree with the latitude', "mend one of the two")
    return by_latitude or said or Hemisphere.NORTH


def _with_season(fields: Fields, place: Place) -> Place:
    """Add what is known of its dates."""
    return replace(
        place,
        last_frost=fields.read("last frost", parse_stretch),
        first_frost=fields.read("first frost", parse_stretch),
        usual_picks=tuple(m for item in fields.tables("usual picks") if (m := _usual_pick(item)) is not None),
        season_begins=fields.read("season begins", parse_day_of_year),
        no_access=tuple(_no_access(item) for item in fields.tables("no access")),
    )


def _with_people(fields: Fields, place: Place) -> Place:
    """Add the people and neighbors, who shares, and what hands can pick."""
    shares = _shares(fields)
    return replace(
        place,
        people=_people(fields, [share.name for share in shares]),
        shares=shares,
        neighbors=tuple(n for item in fields.tables("neighbors") if (n := _neighbor(item)) is not None),
        picks=fields.read("picks in a day", _IN_A_DAY),
        notes_to=fields.read("notes to", _email) or "",
    )


def _with_fruit(fields: Fields, place: Place) -> Place:
    """Add where picked fruit goes: boxes, spaces of the houses that the place knows by now, days and the stand."""
    box = within(parse_fruit_weight, 1, 100, "a full box weighs from 1 to 100 kg (2 to 220 lb)")
    return replace(
        place,
        box=fields.read("box", box),
        spaces=tuple(_of_a_house(item, _space(item), place.houses) for item in fields.tables("spaces")),
        wanted=tuple(w for item in fields.tables("wanted") if (w := _wanted(item)) is not None),
        stand=fields.read("farm stand", yes_or_no) or False,
        stand_days=frozenset(fields.each("stand days", parse_weekday)),
    )


def _with_kitchens(fields: Fields, place: Place) -> Place:
    kitchens = read_kitchens(fields)
    return replace(place, kitchens=kitchens, kitchen_means=read_kitchen_means(fields, kitchens))


def _with_feeds(fields: Fields, place: Place) -> Place:
    """Add what calendars are to know."""
    return replace(
        place,
        site_address=fields.read("site address", _address) or "",
        calendar_identity=fields.text("calendar identity"),
        reminder_alarm=fields.read("reminder alarm", one_of(Alarm)) or Alarm.DAY_BEFORE,
        feed_secret=fields.read("feed secret", _secret) or "",
    )


def _with_site(fields: Fields, place: Place) -> Place:
    """Add for whom pages are, in which words, and what they leave out."""
    metric_first = fields.read("units", _metric) or False
    return replace(
        place,
        metric_first=metric_first,
        week_starts=fields.read("week starts", _week_start) or 0,
        private=fields.read("private", yes_or_no) or False,
        is_open=fields.read("site for", _open) or False,
        without=frozenset(fields.each("without", one_of(Matter))),
        tongue=read_tongue(
            fields.read("language", _language) or ENGLISH,
            month_first=fields.read("dates", _month_first) or False,
            south=place.hemisphere is Hemisphere.SOUTH,
            metric=metric_first,
        ),
    )


def _check_stand(fields: Fields, place: Place) -> None:
    if place.stand and Matter.SELLING in place.without:
        fields.fault("farm stand", "a farm stand is told of, and that nothing is sold", "take out one of the two keys")
    if place.stand_days and not place.stand:
        fields.ask("stand days", "days of a stand are told, and no stand", "add farm stand: yes")


def _format(text: str) -> int:
    if not re.fullmatch(r"[1-9][0-9]{0,8}", text.strip()):
        raise Unreadable(f'"{text}" is no format of notes', f"write {FORMAT}, or leave the key out")
    if int(text) > FORMAT:
        message = f"these notes are of format {int(text)}, and this firmripe reads up to format {FORMAT}"
        raise Unreadable(message, "bring firmripe up to date")
    return int(text)


def _check_frosts(fields: Fields, place: Place) -> None:
    """Note frosts between which no summer lies: the time without frost holds midsummer, wherever one is."""
    if place.last_frost is None or place.first_frost is None:
        return
    year = WorkingYear(year=2027, hemisphere=place.hemisphere)
    frosts = place.last_frost.first, place.first_frost.first
    last, first = (year.day_number(year.place_day(day, place.hemisphere)) for day in frosts)
    has_summer = last < _MIDSUMMER < first if last < first else last < _MIDSUMMER or first > _MIDSUMMER
    in_autumn, in_spring = 215 < last < 305, 60 < first < 182  # a mild winter's only frosts may lie about New Year
    if not has_summer or in_autumn or in_spring:
        message = "no summer lies between the last frost of spring and the first of autumn"
        fields.fault("first frost", message, "were the two exchanged?")


def _check_twins(fields: Fields, place: Place) -> None:
    """Note what stands twice where each is known by its name."""
    told = [("usual picks", "the usual pick of", f"{m.cultivar} {m.crop}".strip()) for m in place.usual_picks]
    told += [("spaces", "the space", space.name) for space in place.spaces]
    told += [("shares", "the share", share.name) for share in place.shares]
    seen = set()
    for key, what, name in told:
        if (key, folded(name)) in seen:
            fields.fault(key, f'{what} "{name}" stands twice', "keep one of the two, or give one another name")
        seen.add((key, folded(name)))


def _ask_of_hands(fields: Fields, place: Place) -> None:
    """Ask what the others pick in a day where some who pick have told it: of all together it is then not known."""
    pickers = [person for person in place.people if _PICKING in map(folded, person.does)]
    silent = [person.name for person in pickers if person.picks is None]
    if place.picks is None and 0 < len(silent) < len(pickers):
        verb = "picks too, and what they pick" if len(silent) == 1 else "pick too, and what each picks"
        message = f"{', '.join(silent)} {verb} in a day has not been said, so no day can be told as too full"
        hint = "add picks in a day: 6 boxes to each who picks, or what all pick together to place.md"
        fields.ask("people", message, hint)


def _open(text: str) -> bool:
    plain = folded(text)
    if plain not in {EVERYBODY, HOUSEHOLD}:
        hint = f"write {HOUSEHOLD} or {EVERYBODY}; for one person build with --for and the name"
        raise Unreadable(f'"{text}" is not whom a site can be for', hint)
    return plain == EVERYBODY


def _zone_map(text: str) -> str:
    plain = plain_text(text)
    if plain not in {"1990", "2012", "2023"}:
        raise Unreadable(f'"{text}" is not the year of a zone map', "write 1990, 2012 or 2023")
    return plain


def _metric(text: str) -> bool:
    plain = text.strip().casefold()
    if plain not in {"us", "metric"}:
        raise Unreadable(f'"{text}" is no set of units known here', "write US or metric")
    return plain == "metric"


def _up_and_down(text: str) -> bool:
    plain = " ".join(text.casefold().split())
    if plain not in {"up and down", "one way"}:
        raise Unreadable(f'"{text}" is no way to walk the rows', "write up and down, or one way")
    return plain == "up and down"


def _week_start(text: str) -> int:
    found = _WEEK_STARTS.get(text.strip().casefold())
    if found is None:
        raise Unreadable(f'"{text}" is no first day of a week', "write Monday, Sunday or Saturday")
    return found


def _language(text: str) -> str:
    found = folded(text)
    if found == ENGLISH:
        return found
    names = languages()
    if found not in names:
        near = nearest(text, names.values())
        code = next((code for code, name in names.items() if name == near), "")
        named = or_list([f"{code} for {name}" for code, name in names.items()])
        raise Unreadable(f'there is no language "{text}"', f"write {code} for {near}" if near else f"write {named}")
    return found


def _month_first(text: str) -> bool:
    first = re.fullmatch(r"(\d{1,2}\s+)?[^\W\d_]+(\s+\d{1,2})?", text.strip())
    if not first or (first[1] is None) == (first[2] is None):
        raise Unreadable(f'"{text}" shows no order of day and month', "write 28 Aug or Aug 28")
    return first[1] is None


def _theme_among(themes: Sequence[str]) -> Callable[[str], str]:
    def theme(text: str) -> str:
        named = {folded(name): name for name in themes}.get(folded(text))
        if named is None:
            if folded(text) == FORMER_THEME:
                raise Unreadable(
                    f'the theme "{text}" is called {USUAL_THEME} now', f"write {USUAL_THEME}, or leave the line out"
                )
            raise Unreadable(f'there is no theme "{text}"', f"write {or_list(themes)}")
        return named

    return theme


def _address(text: str) -> str:
    plain = plain_text(text)
    if not re.fullmatch(r"https?://[^\s/\"<>?#]+(/[^\s\"<>?#]*)?", plain, re.IGNORECASE) or not _is_of_a_host(plain):
        raise Unreadable(f'"{text}" is no address of a site', "write it as https://fruit.example.org/")
    if len(quote(plain)) > _LONGEST_ADDRESS:
        raise Unreadable(
            f"this address has more than the {_LONGEST_ADDRESS:,} characters that a code on paper holds",
            "write a shorter one, or none",
        )
    return plain


def _is_of_a_host(address: str) -> bool:
    """Say whether an address names a host, and a port that there can be."""
    try:
        parts = urlsplit(address)
        return bool(parts.hostname) and parts.port != 0
    except ValueError:
        return False


def _secret(text: str) -> str:
    plain = plain_text(text)
    if len(plain) < 16:
        raise Unreadable("a secret of less than 16 characters can be guessed", "write at least 16 characters")
    return plain


def _usual_pick(fields: Fields) -> UsualPick | None:
    cultivar, pick, crop = fields.text("cultivar"), fields.read("pick", parse_stretch), fields.text("crop")
    fields.close("a usual pick")
    if not cultivar:
        fields.fault("cultivar", "a usual pick has no cultivar", "write {cultivar: Bartlett, pick: Aug 28}")
    if not cultivar or pick is None:
        return None
    return UsualPick(cultivar=cultivar, pick=pick, crop=crop, where=fields.place_of("cultivar"))


def _neighbor(fields: Fields) -> Near | None:
    named = "fruit" if fields.has("fruit") and not fields.has("cultivar") else "cultivar"
    near = Near(
        cultivar=fields.text("cultivar"),
        fruit=fields.text("fruit"),
        place=fields.text("where"),
        removed=fields.read("removed", parse_day),
        where=fields.place_of(named),
    )
    fields.close("a neighbor's tree")
    if near.cultivar or near.fruit:
        return near
    hint = "write {cultivar: Bosc, where: over the fence}, or fruit: and what it is"
    fields.fault("cultivar", "a neighbor's tree has neither cultivar nor fruit", hint)
    return None


def _no_access(fields: Fields) -> NoAccess:
    """Read days on which nobody can get to the trees."""
    found = NoAccess(days=fields.each("on", parse_days), because=fields.text("because"))
    fields.close("days on which nobody gets to the trees")
    if not fields.has("on"):
        fields.fault("on", "days are missing", "write {on: [Dec 25, 2027-05-01], because: no bus}")
    return found


def _space(fields: Fields) -> Space:
    temperature = fields.read("temperature", _OF_A_SPACE)
    months = [fields.read(name.casefold(), _OF_A_SPACE) for name in _MONTHS]
    space = Space(
        name=fields.text("name") or "store",
        temperature_c=temperature.middle if temperature else None,
        holds=fields.text("holds"),
        months_c=tuple((at + 1, told.middle) for at, told in enumerate(months) if told),
        capacity=_capacity(fields),
        beside=fields.texts("beside"),
        eats=fields.read("eats", parse_a_week),
        house=fields.text("house"),
    )
    fields.close("a space")
    if temperature is None and not any(months):
        message = f"how warm the {space.name} is has not been said, so no fruit is planned to lie there"
        fields.ask("name", message, "add temperature: 46 F, or that of single months, as Oct: 50 F")
    return space


def _of_a_house(fields: Fields, space: Space, houses: Sequence[str]) -> Space:
    """Return a space with its house as that is written where houses are told of; one that is nobody's is a problem."""
    named = {folded(house): house for house in houses}
    if not space.house or folded(space.house) in named:
        return replace(space, house=named.get(folded(space.house), ""))
    near = nearest(space.house, houses)
    told = f"write {or_list(houses)}" if houses else "tell of it under shares, as {name: lane house, part: 1/3}"
    hint = f'did you mean "{near}"?' if near else told
    fields.fault("house", f'there is no house "{space.house}" among the shares and the people', hint)
    return replace(space, house="")


def parse_a_week(text: str) -> Part:
    """Read what is eaten in a week, as `half a bushel a week` or `10 lb a week`. Raises Unreadable."""
    plain = re.fullmatch(r"(.+?)\s+(?:a|per|each|every)\s+week", text.strip(), re.IGNORECASE)
    if plain is None:
        raise Unreadable(f'"{text}" does not say how much is eaten in a week', "write it as half a bushel a week")
    part = parse_yield(plain[1])
    if not part.low:
        raise Unreadable(f'"{text}" can\'t be: nothing is eaten', "leave the key out")
    return part


def _capacity(fields: Fields) -> Part | None:
    """Understand how much a space holds; None, and asked about, where it is said in words without a number."""
    text = fields.text("holds")
    try:
        return _HOLDS(text) if text else None
    except NoNumber as words:
        fields.ask("holds", f"{words.message}, so nobody can say when it is full", "write it as 20 boxes or 400 lb")
    except Unreadable as error:
        fields.fault("holds", error.message, error.hint)
    return None


def _shares(fields: Fields) -> tuple[Share, ...]:
    found = []
    for item in fields.tables("shares"):
        name, part = item.text("name"), item.read("part", _part)
        item.close("a share")
        if not name:
            item.fault("name", "a share has no name", "write {name: lane house, part: 1/3}")
        elif part is not None:
            found.append(Share(name=name, part=part))
    if sum(share.part for share in found) > 1:
        fields.fault("shares", "the shares are more than the whole", "write parts that add up to 1 or less")
    return tuple(found)


def _wanted(fields: Fields) -> Wanted | None:
    cultivar, day = fields.text("cultivar"), fields.read("on", parse_day)
    amount, purpose = fields.text("amount"), fields.text("for")
    fields.close("what is wanted")
    if not cultivar or not fields.has("on"):
        hint = "write {cultivar: Anjou, on: 2027-12-20, amount: 10 lb, for: the table}"
        fields.fault("cultivar", "what is wanted has a cultivar and a day", hint)
    if not cultivar or day is None:
        return None
    return Wanted(cultivar=cultivar, day=day, amount=amount, purpose=purpose, where=fields.place_of("on"))


def _part(text: str) -> Fraction:
    plain = text.strip()
    match = re.fullmatch(r"(\d{1,4})\s*/\s*(\d{1,4})|(\d{1,3}(?:\.\d{1,3})?)\s*%|(half)", plain, re.IGNORECASE)
    part = Fraction(0)
    if match and match[4]:
        part = Fraction(1, 2)
    elif match and match[3]:
        part = Fraction(match[3]) / 100
    elif match and int(match[2]):
        part = Fraction(int(match[1]), int(match[2]))
    if not 0 < part <= 1:
        raise Unreadable(f'"{text}" is no part of a whole', "write it as 1/3, 25 % or half")
    return part


def _phone(text: str) -> str:
    plain = plain_text(text)
    digits = sum(sign.isdigit() for sign in plain)
    if not re.fullmatch(r"\+?[0-9 ()./-]+", plain) or not FEWEST_DIGITS <= digits <= MOST_DIGITS:
        raise Unreadable(
            f'"{text}" is no telephone number', "write digits and spaces, as 555 010 0199 or +1 555 010 0199"
        )
    return plain


def _email(text: str) -> str:
    plain = plain_text(text)
    if not re.fullmatch(r"[^\s@<>\"?&,;:]+@[^\s@<>\"?&,;:]+\.[^\s@<>\"?&,;:.]+", plain):
        raise Unreadable(f'"{text}" is no e-mail address', "write it as maud@example.org")
    return plain


def _people(fields: Fields, houses: Iterable[str]) -> tuple[Person, ...]:
    """Read the people. Each has a name that no other's could be taken for: what is for one alone hangs on it.

    A house is written in one way throughout: as among those that share (`houses`), or else where it first stands.
    """
    found: dict[str, Person] = {}
    told = list(houses)
    for item in fields.tables("people"):
        person = Person(
            name=item.text("name"),
            does=item.texts("does"),
            household=as_written(item.text("household"), told),
            phone=item.read("phone", _phone) or "",
            email=item.read("email", _email) or "",
            away=item.each("away", parse_days),
            picks=item.read("picks in a day", _IN_A_DAY),
        )
        item.close("a person")
        told.append(person.household)
        name = folded(person.name)
        if not person.name:
            item.fault("name", "a person has no name", "write {name: Wren, does: [picking]}")
        elif not name:
            item.fault("name", f'"{person.name}" is no name of a person', "write it with a letter or a digit")
        elif name in {EVERYBODY, HOUSEHOLD} or folded(person.household) in {EVERYBODY, HOUSEHOLD}:
            message = f'"{EVERYBODY}" and "{HOUSEHOLD}" are whom a site can be for, and no names'
            item.fault("name" if name in {EVERYBODY, HOUSEHOLD} else "household", message, "write another name")
        elif name in found:
            message = f'"{person.name}" can\'t be told from "{found[name].name}" above'
            item.fault("name", message, "give each person a name of their own")
        else:
            found[name] = person
    return tuple(found.values())
