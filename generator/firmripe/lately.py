"""What was made before, found again by what it was made of: never by a name or a time."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, ClassVar, Generic, Protocol, TypeVar, TypeVarTuple

Of = TypeVar("Of")
Made = TypeVar("Made")
Asked = TypeVarTuple("Asked")


def answered_once(answer: Callable[[Of, *Asked], Made]) -> Callable[[Of, *Asked], Made]:
    """Keep the answers to a question about a value with the value itself, so that each is worked out once.

    The value is frozen and has room beside its fields (`dict=True`); an answer hangs on it and on what is asked alone,
    and nobody changes it. One that was made of the value with a change is another, and has answered nothing yet.
    """
    name = f"{answer.__module__}.{answer.__qualname__}"

    @wraps(answer)
    def answered(of: Of, *asked: *Asked) -> Made:
        answers: dict[tuple[*Asked], Made] = vars(of).setdefault(name, {})
        if asked not in answers:
            answers[asked] = answer(of, *asked)
        return answers[asked]

    return answered


class Keeper(Protocol):
    """Keeps what was made beyond this run of the program, by its name and all it was made of."""

    def begin(self, name: str, of: object) -> None:
        """Look at what all that goes on from it is made of as well, so that it is looked at once."""

    def find(self, name: str, of: object, after: str = "") -> Any:  # noqa: ANN401 - whatever has that name
        """Return what an earlier run made of an equal thing, or None; `after` names what it goes on from."""

    def keep(self, name: str, made: object, most: int) -> None:
        """Keep what was made of the thing that was last asked for by this name; the last `most` are kept."""


class Lately(Generic[Of, Made]):
    """Keeps the last `most` things that were made, each with what it was made of, while the program runs.

    What is made must hang on nothing but what it is made of, and neither may be changed afterwards. Nothing is kept of
    what is made of something else, however little differs. With a name it is kept beyond the run too, where there is a
    keeper; `after` names what it goes on from, whose parts it is mostly made of, so that these are looked at once.
    """

    keeper: ClassVar[Keeper | None] = None

    def __init__(self, most: int = 1, name: str = "", *, after: str = "") -> None:
        self._most = most
        self._name = name
        self._after = after
        self._kept: tuple[tuple[Of, Made], ...] = ()

    def made_of(self, of: Of, make: Callable[[], Made], *, keep: Callable[[Made], bool] = lambda _: True) -> Made:
        """Return what was made of an equal thing, or what is made now; that is kept if `keep` says so."""
        for other, former in self._kept:
            if other == of:
                return former
        keeper = Lately.keeper if self._name else None
        found = keeper.find(self._name, of, self._after) if keeper else None
        made: Made = make() if found is None else found
        if keep(made):
            if keeper and found is None:
                keeper.keep(self._name, made, self._most)
            self._kept = ((of, made), *self._kept)[: self._most]
        return made
