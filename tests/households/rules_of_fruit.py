"""Weights are conserved, rooms tell when they are full, and shares and kitchen use what is there."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterator
from datetime import timedelta

from agreeing import Broken, batches, differing, name_of, of, rule, said
from forty import Household
from markup import Element
from statements import Card, Site, Statement

PICKINGS = frozenset({"pick", "first pick", "last pick"})


@rule
def a_batch_has_one_weight_and_one_place(site: Site, _household: Household) -> Iterator[Broken]:
    """What a batch weighs and where it lies."""
    told = []
    for cards in batches(site):
        for card in cards:
            about = (*card.batch, f"of {cards[0].day('picked')[:4]}")
            if weight := site.hearing.weight(card.weight):
                told.append(Statement((*about, "weight"), weight, card.file, f"{card.weight} {card.words}"))
            if card.space:
                told.append(Statement((*about, "space"), card.space, card.file, card.words))
    yield from differing(told)


@rule
def a_ripe_part_is_no_more_than_its_batch(site: Site, _household: Household) -> Iterator[Broken]:
    """What the first page calls ripe stands in the store, and weighs no more than its batch."""
    whole: dict[tuple[str, str, str], list[Card]] = defaultdict(list)
    for card in site.cards:
        if not card.is_part and card.file in {"store.html", "rooms.html"}:
            whole[card.batch].append(card)
    for card in site.cards:
        if not card.is_part:
            continue
        boxes = [(site.hearing.weight(other.weight), other) for other in whole[card.batch]]
        part = site.hearing.weight(card.weight)
        if not boxes:
            yield name_of(card), said(card.file, f"{card.weight} {card.words}"), "not in the store"
        elif part and all(box and box[1] < part[1] for box, _ in boxes):
            other = boxes[0][1]
            yield (
                name_of(card),
                said(card.file, f"{card.weight} {card.words}"),
                said(other.file, f"{other.weight} {other.words}"),
            )


@rule
def batches_make_up_the_crop(site: Site, household: Household) -> Iterator[Broken]:
    """A tree's planned batches weigh together what is looked for, to a pound a batch."""
    picked = {cells[1] for cells in household.noted if len(cells) > 4 and cells[4] in PICKINGS}
    for one in site.statements:
        if (
            one.about[0] != "crop"
            or one.about[3] != "weight"
            or one.about[1] in picked
            or not isinstance(one.value, tuple)
        ):
            continue
        tag, name = one.about[1:3]
        cards = [
            card for card in site.cards if card.file.startswith("trees/") and card.tree == tag and _is_of(card, name)
        ]
        weights = [site.hearing.weight(card.weight) for card in cards]
        whole = [sum(weight[end] for weight in weights if weight) for end in (0, 1)]
        if cards and None not in weights and any(abs(whole[end] - one.value[end]) > len(cards) for end in (0, 1)):
            yield (
                f"{tag} {name}",
                of(one),
                said(cards[0].file, "; ".join(f"{card.what} {card.weight}" for card in cards)),
            )


def _is_of(card: Card, name: str) -> bool:
    cultivar, _, crop = name.partition(", ")
    return card.cultivar == cultivar and (not crop or card.what.startswith(crop))


@rule
def the_story_tells_the_weights_that_were_noted(site: Site, household: Household) -> Iterator[Broken]:
    """What the harvest’s page says was picked on a day is what the records say."""
    page = site.pages.get("harvest.html")
    told: dict[tuple[str, str], list[tuple[int, str]]] = defaultdict(list)
    for line in page.every("li") if page else ():
        link = line.first("a")
        if line.days and link is not None and line.first("span", "small") is not None:
            weight = site.hearing.weight(line.text)
            if weight and site.hearing.hears("{name}{amount}: picked", line.text.partition(": ")[2]):
                told[link.text, line.days[0]].append((weight[1], line.text))
    metric = "units: metric" in household.place
    for cells in household.noted:
        if len(cells) < 6 or cells[4] not in PICKINGS or cells[2]:
            continue
        parts = re.findall(r"(\d+) (lb|kg)", cells[5])
        noted = sum(int(number) * _IN_KG[unit] for number, unit in parts) / (1 if metric else _IN_KG["lb"])
        lines = told.get((cells[1], cells[0]), [])
        if noted and lines and abs(sum(weight for weight, _ in lines) - noted) > len(lines):
            words = "; ".join(words for _, words in lines)
            yield f"{cells[1]} {cells[0]}", said("records", ",".join(cells)), said("harvest.html", words)


_IN_KG = {"kg": 1.0, "lb": 0.45359237}


@rule
def no_more_is_put_up_than_the_crop(site: Site, _household: Household) -> Iterator[Broken]:
    """What all days in the kitchen use of a tree is no more than it bears, at its highest."""
    crops: Counter[str] = Counter()
    for about, value in {one.about: one.value for one in site.statements if one.about[0] == "crop"}.items():
        if about[3] == "weight" and isinstance(value, tuple):
            crops[about[1]] += value[1]
    used: dict[str, list[tuple[int, str]]] = defaultdict(list)
    for file, page in site.pages.items():
        for dd in page.every("dd") if file.startswith("kitchen/") else ():
            for part in dd.text.split("; "):
                tag = next((a.text for a in dd.every("a") if f"({a.text})" in part and "trees/" in a.attrs["href"]), "")
                weight = site.hearing.weight(part)
                if tag and weight:
                    used[tag].append((weight[0], said(file, part)))
    for tag, parts in used.items():
        if crops[tag] and sum(weight for weight, _ in parts) > crops[tag] + len(parts):
            yield tag, f"crop {crops[tag]}", "; ".join(words for _, words in parts)


@rule
def the_kitchen_takes_fruit_that_lies_there(site: Site, _household: Household) -> Iterator[Broken]:
    """What the kitchen takes out of the cold on a day has not all left it before, by what the store says."""
    page = site.pages.get("kitchen.html")
    rounds = [site.hearing.said(f"{word} time round") for word in ("first", "second", "third")]
    leaving = [(day, line) for day in (page.every("li") if page else ()) for line in day.every("li")]
    for day, line in leaving:
        tag = next((a.text.rpartition("(")[2].partition(")")[0] for a in line.every("a")), "")
        found = next((words for words in rounds if words in line.text), None)
        if not (day.days and tag):
            continue
        for cards in batches(site):
            card = next((card for card in cards if card.day("out")), cards[0])
            goes_on = any(card.day("keep") or "each week" in card.words for card in cards)
            is_it = found in card.what if found else not any(words in card.what for words in rounds)
            if card.tree == tag and is_it and "" < card.day("out") < day.days[0] and not goes_on:
                yield f"{tag} {found or ''}", said("kitchen.html", line.text), said(card.file, card.words)


@rule
def what_is_wanted_on_a_day_still_lies_there(site: Site, _household: Household) -> Iterator[Broken]:
    """What is to be taken out for a wanted day has not all left before, by what the store says of its tree."""
    page = site.pages.get("store.html")
    message = "take out {what}; {n} days later it is ready"
    for line in page.every("li") if page else ():
        tag = next((a.text.rpartition(" ")[2] for a in line.every("a") if "trees/" in a.attrs["href"]), "")
        if not (line.days and tag and site.hearing.hears(message, line.text)):
            continue
        cards = [card for card in site.cards if card.file == "store.html" and card.tree == tag and not card.is_part]
        told = {day.isoformat() for card in cards for day in site.hearing.days(card.words)}
        goes_on = any(card.day("keep") or "each week" in card.words or not card.day("out") for card in cards)
        if cards and not goes_on and line.days[0] not in told and all(card.day("out") < line.days[0] for card in cards):
            yield tag, said("store.html", line.text), said(cards[0].file, cards[0].words)


@rule
def the_kitchens_pages_make_the_same(site: Site, _household: Household) -> Iterator[Broken]:
    """Each day in the kitchen makes on its own page what the season's page says, and all days together what is planned."""
    page = site.pages.get("kitchen.html")
    planned: Counter[str] = Counter()
    for line in page.every("li", "lot") if page else ():
        link, listed = line.first("a"), sorted(p.text for p in line.every("p", "do"))
        if link is None or not listed:
            continue
        planned.update(f"{name}: {_number(much)}" for one in listed for name, _, much in [one.rpartition(": ")])
        own = site.pages[link.attrs["href"]]
        there = sorted(li.text for ul in own.every("ul", "makes") for li in ul.every("li"))
        if listed != there:
            yield link.text, said("kitchen.html", "; ".join(listed)), said(link.attrs["href"], "; ".join(there))


def _number(text: str) -> str:
    return text.split(" ", maxsplit=1)[0]


@rule
def a_room_too_full_is_told(site: Site, _household: Household) -> Iterator[Broken]:
    """Where a room's boxes are more than fit, the room says so."""
    page = site.pages.get("rooms.html") or site.pages.get("store.html")  # of one tree a part of the store
    for room in page.every("section", "room") if page else ():
        words = next((p.text for p in room.every("p", "small") if re.search(r": \d+, ", p.text)), "")
        found = re.search(r": ([\d, ]+)\. (\d+)", words)
        if found and max(map(int, found[1].split(", "))) > int(found[2]) and room.first(of="full") is None:
            yield (room.first("h2") or room).text, said("rooms.html", words), "no warning"


@rule
def the_stand_offers_what_is_ripe(site: Site, _household: Household) -> Iterator[Broken]:
    """What is ripe on the first page and lasts over the weekend stands on the page for everybody."""
    stand = site.pages.get("stand.html")
    saturday = (site.made_on + timedelta(days=(5 - site.made_on.weekday()) % 7)).isoformat()
    claimed = site.hearing.said("Ripe, {what}.").partition("{")[0]
    for card in site.cards if stand else ():
        if card.words.startswith(claimed):
            continue  # it is ripe for a wanted day or the kitchen
        is_offered = not card.what.endswith(("use now", "culls", "windfalls"))
        lasts = (card.day("use by") or "9") >= saturday
        if stand and card.is_part and is_offered and lasts and card.cultivar not in stand.text:
            yield card.cultivar, said(card.file, card.words), said("stand.html", stand.text)


@rule
def what_houses_have_makes_up_the_picking(site: Site, household: Household) -> Iterator[Broken]:
    """Where houses have rooms of their own, each has its part of a picking of which nobody took anything."""
    shares = re.findall(r"name: ([\w ]+), part: (\d+)/(\d+)", household.place) if ", house: " in household.place else []
    gone = {cells[1] for cells in household.noted if len(cells) > 4 and cells[4] in _LEAVES}
    pickings: dict[tuple[str, str, str], dict[str, list[Card]]] = defaultdict(lambda: defaultdict(list))
    for card in site.cards if shares else ():
        if card.file.startswith("trees/") and card.tree not in gone:
            told = card.what.split(", ")
            house = next((name for name, _, _ in shares if name in told), "")
            what = ", ".join(told[: told.index(house)] if house else told)
            pickings[card.tree, card.cultivar, what][house].append(card)
    for picking, by_house in pickings.items():
        weights = {
            house: [sum(weight[end] for one in cards if (weight := site.hearing.weight(one.weight))) for end in (0, 1)]
            for house, cards in by_house.items()
        }
        whole = [sum(weight[end] for weight in weights.values()) for end in (0, 1)]
        for name, upper, lower in shares if any(whole) and set(by_house) != {""} else ():
            due = [weight * int(upper) / int(lower) for weight in whole]
            if any(abs(weights.get(name, [0, 0])[end] - due[end]) > 2 for end in (0, 1)):
                words = "; ".join(f"{house or 'nobody'}: {weight}" for house, weight in weights.items())
                yield ", ".join((*picking, name)), said(f"trees/{picking[0]}", words), f"{upper}/{lower} of it"


_LEAVES = frozenset({"taken out", "lost", "shared", "sold", "used up", "jars"})


@rule
def shares_make_up_the_whole(site: Site, _household: Household) -> Iterator[Broken]:
    """The parts of a weight that is shared out are together the whole, to a pound a house."""
    page = site.pages.get("store.html")
    lists = [dl for dl in page.every("dl", "shares") if dl.direct("dt")] if page else []
    for dl in lists[:1]:
        whole: Element | None = None
        parts: list[Element] = []
        for part in (*dl.direct("dt", "dd"), Element("dt", {})):
            if part.tag == "dd":
                parts.append(part)
                continue
            if whole is not None:
                told, dues = site.hearing.weight(whole.text), [site.hearing.weight(dd.text) for dd in parts]
                together = [sum(due[end] for due in dues if due) for end in (0, 1)]
                if told and any(abs(together[end] - told[end]) > len(parts) for end in (0, 1)):
                    yield whole.text, said("store.html", whole.text), "; ".join(dd.text for dd in parts)
            whole, parts = part, []
