"""What a template sees of the page on which helpers note what happened."""

from __future__ import annotations

from dataclasses import dataclass

from firmripe.publish.views import Choice, View


@dataclass(frozen=True, slots=True, kw_only=True)
class TreeToNote(View):
    """A tree, a limb or a crop as lines name it; `soon` says that a job is due there in the next days."""

    key: str
    text: str
    name: str
    soon: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatToNote(View):
    """Something that can be noted: the word for it, what it is called, and what is asked with it."""

    key: str
    text: str
    asks: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatGroup(View):
    """What belongs to one time of the year; `now` says that this is it."""

    title: str
    whats: tuple[WhatToNote, ...]
    now: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitToNote(View):
    """A unit, and which amounts it is for."""

    key: str
    text: str
    asks: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NotePage(View):
    """The page on which helpers note what happened."""

    trees: tuple[TreeToNote, ...]
    groups: tuple[WhatGroup, ...]
    units: tuple[UnitToNote, ...]
    grades: tuple[Choice, ...]
    verdicts: tuple[Choice, ...]
    example: str
    mail: str
