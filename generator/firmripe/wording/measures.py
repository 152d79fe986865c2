"""Spoons and cups in words, in eighths as they are measured."""

from __future__ import annotations

import math
from fractions import Fraction

from firmripe.kitchen.tables.amounts import SPOONS
from firmripe.tongue import Tongue
from firmripe.words import in_own_units


def spoons(tongue: Tongue, teaspoons: Fraction) -> str:
    """Say a number of teaspoons in cups, tablespoons and teaspoons, as `7/8 cup` or `2 1/4 teaspoons`."""
    least = {"cup": Fraction(1, 2), "tablespoon": Fraction(1), "teaspoon": Fraction(0)}
    for word, size in SPOONS.items():
        number = teaspoons / size
        if number >= least[word] and (number * 8).denominator == 1:
            return _measured(tongue, _mixed(number), word, 1 if number <= 1 else 2)
    return _measured(tongue, f"{float(teaspoons):.1f}", "teaspoon", 2)


def _measured(tongue: Tongue, number: str, word: str, form: int) -> str:
    if word == "cup":
        return in_own_units(tongue, tongue.plural("{number} cup", "{number} cups", form, number=number))
    if word == "tablespoon":
        return tongue.plural("{number} tablespoon", "{number} tablespoons", form, number=number)
    return tongue.plural("{number} teaspoon", "{number} teaspoons", form, number=number)


def _mixed(number: Fraction) -> str:
    whole, rest = divmod(number, 1)
    parts = ([str(whole)] if whole else []) + ([f"{rest.numerator}/{rest.denominator}"] if rest else [])
    return " ".join(parts) or "0"


def mixed(number: Fraction) -> str:
    """Say a number with its eighths, as `2 1/4`; rounded up to the next eighth, so that nothing is short."""
    return _mixed(Fraction(math.ceil(number * 8), 8))
