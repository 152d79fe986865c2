"""Finding what is called by a name, however that is typed: a cultivar or a fruit by any of its names, a person."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Protocol, TypeVar

from msgspec import Struct

from firmripe.problems import folded, nearest
from firmripe.tongue import Tongue


class Named(Protocol):
    """Something with a key, a shown name and other names."""

    @property
    def key(self) -> str:
        """The file's name."""

    @property
    def name(self) -> str:
        """The name shown."""

    @property
    def also(self) -> tuple[str, ...]:
        """Other names."""


N = TypeVar("N", bound=Named)


def as_written(name: str, known: Iterable[str]) -> str:
    """Return a name as it stands among those `known`, the first that differs by no more than capitals and signs.

    One that is none of them is returned as it is.
    """
    plain = folded(name)
    return next((one for one in known if plain and folded(one) == plain), name)


def as_kept(name: str, known: Iterable[str], tongue: Tongue) -> str:
    """Return the one among `known` that a household calls so, as the notes have it or in its language.

    What the notes call it goes first. A name of none of them is returned as it is.
    """
    things = tuple(known)
    own = {folded(called): thing for thing in reversed(things) for called in tongue.names_of(thing)}
    kept = as_written(name, things)
    return kept if kept in things else own.get(folded(name), name)


class Called(Struct, frozen=True):
    """What something is called, and nothing else of it."""

    key: str
    name: str
    also: tuple[str, ...] = ()


class Names(Struct, frozen=True):
    """All names of a set of things, folded, with the keys that each could mean."""

    keys_by_name: Mapping[str, tuple[str, ...]]
    shown: tuple[str, ...]

    @classmethod
    def of(cls, things: Iterable[Named]) -> Names:
        """Gather the names. A thing's own key or name goes before another's alias."""
        first: dict[str, list[str]] = {}
        second: dict[str, list[str]] = {}
        shown = []
        for thing in things:
            shown += [thing.name, *thing.also]
            for own in {folded(thing.key), folded(thing.name)}:
                first.setdefault(own, []).append(thing.key)
            for alias in {folded(other) for other in thing.also}:
                second.setdefault(alias, []).append(thing.key)
        merged = {name: tuple(dict.fromkeys(keys)) for name, keys in {**second, **first}.items()}
        return cls(merged, tuple(shown))

    def find(self, name: str) -> tuple[str, ...]:
        """Return the keys that a name can mean: none, one, or the choices."""
        return self.keys_by_name.get(folded(name), ())

    def near(self, name: str) -> str | None:
        """Return a known name that is spelt much the same."""
        return nearest(name, self.shown)

    def longer(self, name: str) -> tuple[str, ...]:
        """Return the known names that begin or end with these very words and hold more."""
        words = name.strip().casefold()
        return tuple(
            shown
            for shown in self.shown
            if words and (shown.casefold().startswith(f"{words} ") or shown.casefold().endswith(f" {words}"))
        )

    def hint(self, name: str, otherwise: str) -> str:
        """Return what to write for a name that is not known: one spelt much the same, or `otherwise`."""
        near = self.near(name)
        return f'did you mean "{near}"?' if near else otherwise
