"""Templates and style of the site: the theme's, with the household's own laid over them."""

from __future__ import annotations

import hashlib
import traceback
from collections.abc import Callable
from functools import cached_property
from pathlib import Path
from typing import Final

import jinja2

from firmripe.holding.place import FORMER_THEME, USUAL_THEME
from firmripe.holding.theme import OwnTheme
from firmripe.publish.compiled import Compiled
from firmripe.publish.sandbox import BoundedSandbox, Sandbox
from firmripe.tongue import Tongue

LEAN: Final = USUAL_THEME
"""The theme whose page stands in where another has none."""
OWN: Final = "theme/templates"
LONGEST: Final = 600
"""Characters of a message that are shown."""


class ThemeFault(Exception):  # noqa: N818 - it is the fault
    """A template can't be used; the text names it, with the line."""


_COMPILED: Final = {Sandbox: Compiled(is_kept=True), BoundedSandbox: Compiled(is_kept=False)}
"""What one sandbox made of a text is nothing for the other: the one counts and the other does not. Nothing of a
household's is kept beside the program, nor of the shipped theme that its own lies over."""


class Theme:
    """A theme's folder, beside which other themes lie, under a household's own.

    A template is looked for in the household's own, then in the theme; `plain/base.html` is that of a theme whatever
    the household has. A page that neither has is the usual theme's, with all that goes with it there.
    """

    def __init__(self, tongue: Tongue, folder: Path, own: OwnTheme) -> None:
        self._name = folder.name
        self._own = own
        self._folders = {LEAN: folder.parent / LEAN, self._name: folder}
        self._used = {self._name}
        self._listed: dict[str, dict[str, Path]] = {}
        kind = BoundedSandbox if own.templates else Sandbox  # the themes that are shipped need no bounds
        self._environment = kind(
            loader=jinja2.FunctionLoader(self._source),
            autoescape=True,
            undefined=jinja2.StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
            keep_trailing_newline=True,
            extensions=["jinja2.ext.i18n"],
            bytecode_cache=_COMPILED[kind],
        )
        self._environment.chosen = self._name
        self._environment.speak(tongue.term, tongue.form)

    def render(self, page: str, **given: object) -> str:
        """Return a page as its template makes it. Raises ThemeFault."""
        known = page in self._own.templates or self._path(self._name, page) or not self._path(LEAN, page)
        self._environment.begin()
        try:
            return self._environment.get_template(page if known else f"{LEAN}/{page}").render(given)
        except RecursionError as error:
            message = "the templates lead back to one another without end"
            raise ThemeFault(f"{self._place(error, page)}: {message}") from error
        except Exception as error:  # whatever goes wrong while a template is at work is the template's fault
            said = "".join(c if c.isprintable() else " " for c in str(error))[:LONGEST]
            raise ThemeFault(f"{self._place(error, page)}: {said}") from error

    @cached_property
    def look(self) -> str | None:
        """A mark of all texts that pages are rendered by; None where the household has templates of its own.

        Those are what is being written, and may lead to any theme.
        """
        if self._own.templates:
            return None
        for theme in self._folders:
            self._path(theme, "")
        texts = [(theme, name, path.read_bytes()) for theme in self._listed for name, path in self._files_of(theme)]
        return hashlib.sha256(repr(texts).encode()).hexdigest()

    def use(self, page: str) -> None:
        """Let what goes with a page be among the static files, though it is not rendered anew."""
        self._used.add(self._name if self._path(self._name, page) or not self._path(LEAN, page) else LEAN)

    def _files_of(self, theme: str) -> list[tuple[str, Path]]:
        return sorted(self._listed[theme].items())

    def static(self) -> dict[str, bytes]:
        """Return the files that go with the pages rendered so far, by their names below static/.

        The household's tokens go at the end of the theme's style sheet, which bears the theme's name.
        """
        files: dict[str, bytes] = {}
        for name in sorted(self._used, key=lambda name: name == self._name):
            folder = self._folders[name] / "static"
            files |= {
                path.relative_to(folder).as_posix(): path.read_bytes()
                for path in sorted(folder.rglob("*"))
                if path.is_file()
            }
        files |= self._own.static
        if self._own.tokens:
            for name in self._used:
                files[f"{name}.css"] = files.get(f"{name}.css", b"") + b"\n" + self._own.tokens.encode()
        return files

    def worker(self) -> str:
        """Return the code that keeps the site for when there is no signal; empty where no theme in use has any.

        It is the theme's own, or that of the usual theme where its pages stand in.
        """
        for name in sorted(self._used, key=lambda name: name != self._name):
            path = self._folders[name] / "worker.js"
            if path.is_file():
                return path.read_text(encoding="utf-8")
        return ""

    def _source(self, name: str) -> tuple[str, str, Callable[[], bool]] | None:
        theme, _, file = name.rpartition("/")
        if theme == FORMER_THEME and theme not in self._folders:
            raise jinja2.TemplateNotFound(name, f"{name}: this theme is called {LEAN} now: write {LEAN}/{file}")
        if not theme and file in self._own.templates:
            return self._own.templates[file], f"{OWN}/{file}", lambda: True
        path = self._path(theme or self._name, file)
        if path is None:
            return None
        self._used.add(path.parent.parent.name)
        return path.read_text(encoding="utf-8"), f"{path.parent.parent.name}/templates/{file}", lambda: True

    def _path(self, theme: str, file: str) -> Path | None:
        """Return where a theme's template lies; it is looked up, so that no name leads elsewhere."""
        if theme not in self._listed:
            folder = self._folders.get(theme)
            paths = (folder / "templates").iterdir() if folder is not None and folder.is_dir() else ()
            self._listed[theme] = {path.name: path for path in paths if path.is_file()}
        return self._listed[theme].get(file)

    def _place(self, error: BaseException, page: str) -> str:
        """Return the template and line where an error arose: the last of ours on the way to it."""
        if isinstance(error, jinja2.TemplateSyntaxError):
            return f"{error.filename}:{error.lineno}"
        steps = [(frame.f_code.co_filename, line) for frame, line in traceback.walk_tb(error.__traceback__)]
        heads = (f"{OWN}/", *(f"{name}/templates/" for name in self._folders))
        places = [f"{file}:{line}" for file, line in steps if file.startswith(heads)]
        own = page in self._own.templates
        return places[-1] if places else f"{OWN}/{page}" if own else f"{self._name}/templates/{page}"
