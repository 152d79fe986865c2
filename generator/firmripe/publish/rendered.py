"""Pages as they were rendered last, found again by the content of all that they are rendered from."""

from __future__ import annotations

from collections.abc import Callable, Hashable


class Rendered:
    """Keeps the pages of the last two sites that were made, so that one whose view is the same is not rendered anew.

    A page is asked for by all that it hangs on: its template with all others of its look, the language, what the
    template is given, and what is done to the text afterwards. The pages themselves are those that the site holds.
    """

    def __init__(self) -> None:
        self._now: dict[Hashable, bytes] = {}
        self._before: dict[Hashable, bytes] = {}

    def begin(self) -> None:
        """Begin another site: pages that neither it nor the last one has are forgotten."""
        self._before, self._now = self._now, {}

    def page(self, of: Hashable, make: Callable[[], bytes]) -> bytes:
        """Return the page that was made of the same, or make it."""
        made = self._now.get(of) or self._before.get(of)
        self._now[of] = made = make() if made is None else made
        return made


PAGES = Rendered()
"""Those of this run of the program."""
