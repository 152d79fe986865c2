"""What is known to be told two ways, by rule: why, and in which of the forty households.

A rule that a household keeps again is struck here; the test says so.
"""

from __future__ import annotations

KNOWN: dict[str, tuple[str, frozenset[str]]] = {
    "nothing comes before its cause": (
        "what is left of a batch in the cold is told the day on which the part that came out was ready",
        frozenset(["most-taken-out"]),
    ),
    "nothing is planned in the past": (
        "the card of a batch whose pick is overdue goes on to tell its other days",
        frozenset(
            [
                "all-away",
                "cold-not-told",
                "cold-too-small",
                "every-kind",
                "felled-with-fruit-in-store",
                "freezes",
                "kitchen-wants-all",
                "lost-shared-sold",
                "never-cans",
                "no-cold",
                "nothing-noted-after-harvest",
                "nothing-noted-at-harvest",
                "orchard-after-harvest",
                "orchard-at-harvest",
                "put-up-and-left",
                "six-score-rows",
                "southern-in-march",
                "three-houses",
                "tropical-two-blooms",
                "warm-room-only",
            ]
        ),
    ),
    "a ripe part is no more than its batch": (
        "the store tells what is left in the cold and not what came out of it and is ripe",
        frozenset(["most-taken-out"]),
    ),
    "no job among absent trees": (
        "the list of trees shows trees that were removed",
        frozenset(["felled", "felled-with-fruit-in-store"]),
    ),
    "a phone rings for what has to be done": (
        "twenty kinds of fruit on twenty trees, or a kitchen's days for one, ask for more",
        frozenset(["every-kind"]),
    ),
    "a title says what and which at its start": (
        "some names of jobs are long, the more so in Spanish; a take-out for a day begins with how much",
        frozenset(
            [
                "every-kind",
                "kitchen-and-table",
                "kitchen-wants-all",
                "lost-shared-sold",
                "nothing-noted-at-harvest",
                "nothing-noted-at-new-year",
                "orchard-after-harvest",
                "orchard-at-bloom",
                "orchard-at-harvest",
                "orchard-at-new-year",
                "orchard-in-march",
                "put-up-and-left",
                "second-passes",
                "southern-in-spanish",
                "three-houses",
                "twenty-trees-in-march",
            ]
        ),
    ),
}
