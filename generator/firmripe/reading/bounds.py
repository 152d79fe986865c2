"""Bounds: what the value of a key can be at all, written where the key is read, and said when it is passed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol, SupportsFloat, TypeVar

from firmripe.holding.weight import Container, Part
from firmripe.problems import Unreadable

MEANT = "was another number or another unit meant?"


class Ranged(Protocol):
    """A value that runs from a lower to a higher end."""

    @property
    def low(self) -> SupportsFloat:
        """The lower end."""

    @property
    def high(self) -> SupportsFloat:
        """The higher end."""


N = TypeVar("N", bound=SupportsFloat)
R = TypeVar("R", bound=Ranged)


def number_within(parse: Callable[[str], N], least: float, most: float, said: str) -> Callable[[str], N]:
    """Return a reader of a number that is from `least` to `most`, in the unit that `parse` gives; `said` is the bound.

    The reader raises Unreadable, with the bound in its message.
    """

    def read(text: str) -> N:
        value = parse(text)
        _check(text, float(value), float(value), least, most, said)
        return value

    return read


def within(parse: Callable[[str], R], least: float, most: float, said: str) -> Callable[[str], R]:
    """Return a reader of a range whose ends both are from `least` to `most`; else as `number_within`."""

    def read(text: str) -> R:
        value = parse(text)
        _check(text, float(value.low), float(value.high), least, most, said)
        return value

    return read


def container_within(
    parse: Callable[[str], Container], least: float, most: float, said: str
) -> Callable[[str], Container]:
    """Return a reader of what a container weighs full, from `least` to `most` kilograms; else as `number_within`."""

    def read(text: str) -> Container:
        value = parse(text)
        _check(text, float(value.weight.low), float(value.weight.high), least, most, said)
        return value

    return read


def amount_within(
    parse: Callable[[str], Part], most_kg: float, most_counted: float, said: str
) -> Callable[[str], Part]:
    """Return a reader of some fruit, more than none, by weight or counted; else as `number_within`."""

    def read(text: str) -> Part:
        value = parse(text)
        check_amount(value, text, most_kg, most_counted, said)
        return value

    return read


def check_amount(part: Part, text: str, most_kg: float, most_counted: float, said: str) -> None:
    """Raise Unreadable where an amount is nothing, or more than `most_kg` kilograms or `most_counted` containers."""
    if not part.high:
        raise Unreadable(f'"{text}" is nothing', "write how much it is, or leave it out")
    _check(text, 0, float(part.high), 0, most_counted if part.measure else most_kg, said)


def _check(text: str, low: float, high: float, least: float, most: float, said: str) -> None:  # noqa: PLR0913, PLR0917
    slack = 1e-9 * max(1.0, abs(least), abs(most))  # so that 35 F, which is 1.6666… °C, is still from 35 F on
    if low < least - slack or high > most + slack:
        raise Unreadable(f'"{" ".join(text.split())}" can\'t be: {said}', MEANT)
