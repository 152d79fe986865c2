"""Pages as they were rendered last, found again by the content of all that they are rendered from."""

from __future__ import annotations

from collections.abc import Callable


class Rendered:
    """Keeps the pages of the last two sites that were made, so that one whose view is the same is not rendered anew.

    A page is asked for by its path and by all that it hangs on: its template with all others of its look, the
    language, what the template is given, and what is done to the text afterwards. These are kept as they are and
    compared, for to make a mark of them would cost a first site more than it saves.
    """

    def __init__(self) -> None:
        self._now: dict[str, tuple[object, bytes]] = {}
        self._before: dict[str, tuple[object, bytes]] = {}

    def begin(self) -> None:
        """Begin another site: pages that neither it nor the last one has are forgotten."""
        self._before, self._now = self._now, {}

    def page(self, path: str, of: object, make: Callable[[], bytes]) -> bytes:
        """Return the page that was made of the same for a path, or make it."""
        former = (self._now.get(path), self._before.get(path))
        found = next((page for page in former if page is not None and page[0] == of), None)
        self._now[path] = made = found or (of, make())
        return made[1]


PAGES = Rendered()
"""Those of this run of the program."""
