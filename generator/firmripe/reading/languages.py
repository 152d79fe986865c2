"""The languages that ship: catalogues beside the code, names of days and months from CLDR."""

from __future__ import annotations

import gettext
import io
from functools import cache
from pathlib import Path
from typing import Final

from firmripe.tongue import ENGLISH, Tongue

FOLDER: Final = Path(__file__).resolve().parent.parent / "languages"


def languages() -> dict[str, str]:
    """Return the two letters of each language there is, English first, with what the language calls itself."""
    from babel import Locale  # noqa: PLC0415 - loaded only where the site is not in English

    codes = sorted(path.stem for path in FOLDER.glob("*.po"))
    return {ENGLISH: "English", **{code: Locale(code).get_display_name() or code for code in codes}}


def read_tongue(code: str, *, month_first: bool, south: bool, metric: bool = False) -> Tongue:
    """Return a language of `languages`, as one household uses it."""
    if code == ENGLISH:
        return Tongue(month_first=month_first, south=south, metric=metric)
    from babel import Locale  # noqa: PLC0415 - loaded only where the site is not in English

    locale = Locale(code)

    def names(what: str, width: str, numbers: range) -> tuple[str, ...]:
        return tuple(getattr(locale, what)["format"][width][number] for number in numbers)

    return Tongue(
        code=code,
        translations=read_catalogue(FOLDER / f"{code}.po"),
        months=names("months", "wide", range(1, 13)),
        short_months=names("months", "abbreviated", range(1, 13)),
        days=names("days", "wide", range(7)),
        short_days=names("days", "abbreviated", range(7)),
        month_first=month_first,
        south=south,
        metric=metric,
    )


@cache
def read_catalogue(path: Path) -> gettext.GNUTranslations:
    """Read a catalogue; what has no translation yet is said in English."""
    from babel.messages.mofile import write_mo  # noqa: PLC0415 - see above
    from babel.messages.pofile import read_po  # noqa: PLC0415

    with path.open("rb") as file:
        catalogue = read_po(file, locale=path.stem)
    compiled = io.BytesIO()
    write_mo(compiled, catalogue)
    compiled.seek(0)
    return gettext.GNUTranslations(compiled)
