"""What of the site's looks a household has made its own."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct, field


class OwnTheme(Struct, frozen=True, kw_only=True):
    """Templates and further files by name, and the tokens, the style that goes after the theme's."""

    templates: Mapping[str, str] = field(default_factory=dict)
    tokens: str = ""
    static: Mapping[str, bytes] = field(default_factory=dict)
