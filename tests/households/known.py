"""What is known to be told two ways, by rule: why, and in which of the forty households.

A rule that a household keeps again is struck here; the test says so.
"""

from __future__ import annotations

KNOWN: dict[str, tuple[str, frozenset[str]]] = {
    "nothing comes before its cause": (
        "what is left of a batch in the cold is told the day on which the part that came out was ready",
        frozenset(["most-taken-out"]),
    ),
    "a ripe part is no more than its batch": (
        "the store tells what is left in the cold and not what came out of it and is ripe",
        frozenset(["most-taken-out"]),
    ),
    "what is wanted on a day still lies there": (
        "the kitchen claims a whole batch of which a dozen is wanted later: what is counted in fruits is not weighed",
        frozenset(["kitchen-and-table"]),
    ),
    "no job among absent trees": (
        "a tree removed in the season that is shown still has its label, and its mark says nothing of it",
        frozenset(["felled-with-fruit-in-store"]),
    ),
}
