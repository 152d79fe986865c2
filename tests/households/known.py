"""What is known to be told two ways, by rule: why, and in which of the forty households.

A rule that a household keeps again is struck here; the test says so.
"""

from __future__ import annotations

KNOWN: dict[str, tuple[str, frozenset[str]]] = {}
