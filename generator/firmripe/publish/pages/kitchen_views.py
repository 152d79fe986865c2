"""What the kitchen's templates may see. The list in themes/README.md is compared with these classes too."""

from __future__ import annotations

from dataclasses import dataclass

from firmripe.publish.views import Link, PhotoView, Quote, View


@dataclass(frozen=True, slots=True, kw_only=True)
class PotLine(View):
    """A pot for a product in one kitchen: its loads, and what is printed for it, or why nothing is.

    `minutes` has the acid that goes with them; `big` is the number that begins it, where one does, and `rest` what
    follows, so that both together say the same. These and `band`, `water`, `sterilise` and `source` are empty where
    there are none; `refused` says why.
    """

    pot: str
    loads: str
    minutes: str
    big: str
    rest: str
    band: str
    water: str
    sterilise: str
    refused: str
    source: Quote | None


@dataclass(frozen=True, slots=True, kw_only=True)
class MakingView(View):
    """A product in a session: `may_be` says what its fruit may really make, `hands` how long the work is.

    `page` is the preserve's own, and `steps` are its whole method in the order of work.
    """

    name: str
    page: Link | None
    amount: str
    may_be: str
    fruit: tuple[Link, ...]
    pots: tuple[PotLine, ...]
    headspace: str
    acid: str
    syrup: str
    hands: str
    steps: tuple[Quote, ...]
    whys: tuple[str, ...]
    card: Link | None
    cautions: tuple[Quote, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionPage(View):
    """A day in a kitchen."""

    title: str
    iso: str
    day: str
    kitchen: str
    height: str
    hands: str
    hours: str
    latest_start: str
    ends: str
    slower: str
    makings: tuple[MakingView, ...]
    steps: tuple[tuple[str, str], ...]
    seals: str
    cautions: tuple[Quote, ...]
    back: Link


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionLine(View):
    """A session on the kitchen's page."""

    page: Link
    iso: str
    kitchen: str
    hands: str
    latest_start: str
    makes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WantLine(View):
    """A want: how much, what is planned, what is short, why, and what would meet it."""

    name: str
    wanted: str
    made: str
    planned: str
    short: str
    reasons: tuple[str, ...]
    remedies: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeOutLine(View):
    """What leaves one cold space on a day for a day in the kitchen; `way` says out of which and for which."""

    iso: str
    day: str
    way: str
    fruit: tuple[Link, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class KitchenPage(View):
    """The kitchens' season."""

    sessions: tuple[SessionLine, ...]
    wants: tuple[WantLine, ...]
    take_outs: tuple[TakeOutLine, ...]
    cards: tuple[tuple[Link, PotLine], ...]
    preserves: tuple[Link, ...]
    supplies: Link
    to_buy: tuple[str, ...]
    buy_by: str
    buy_by_iso: str
    left: tuple[Link, ...]
    unweighed: tuple[str, ...]
    gap: str
    refused: tuple[Quote, ...]
    cautions: tuple[Quote, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StoveCardSheet(View):
    """A card for the stove: a product in one jar, in one kitchen; `text` leads to the same in short lines."""

    title: str
    text: Link
    jar: str
    kitchen: str
    height: str
    headspace: str
    acid: str
    liquid: str
    pots: tuple[PotLine, ...]
    steps: tuple[tuple[str, str], ...]
    sources: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]
    never: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PreservePage(View):
    """A preserve's page: its method, and the minutes of this household's kitchens.

    `unsafe` is what the household wrote against the published ways.
    """

    title: str
    way: str
    of: tuple[Link, ...]
    process: Quote | None
    acid: str
    figures: tuple[Quote, ...]
    cards: tuple[tuple[Link, PotLine], ...]
    refused: tuple[str, ...]
    steps: tuple[Quote, ...]
    cautions: tuple[Quote, ...]
    photos: tuple[PhotoView, ...]
    unsafe: tuple[Quote, ...]
    sessions: tuple[Link, ...]
    back: Link | None
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyLine(View):
    """A thing that the sessions need."""

    thing: str
    needed: str
    spare: str
    there: str
    to_buy: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SuppliesSheet(View):
    """What has to be there before the first session."""

    iso: str
    buy_by: str
    rows: tuple[SupplyLine, ...]
    stores: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]
