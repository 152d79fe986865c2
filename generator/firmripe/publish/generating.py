"""Templates as Python code: as the template library writes it, with shorter ways for what pages do most."""

from __future__ import annotations

import re
from keyword import iskeyword
from typing import Any, Final

from jinja2 import nodes
from jinja2.compiler import CodeGenerator, Frame, optimizeconst
from markupsafe import Markup, escape

_IN_MARKUP: Final = re.compile("[&<>'\"]")
"""Signs that mean something else in markup than in a text; most texts have none of them."""


class Shortening(CodeGenerator):
    """Writes what a thing has, and what is shown, in code that mostly needs no call of ours.

    Of a kind of thing of which the sandbox let an attribute once (see `Sandbox.known`) it is taken straight away;
    whatever else is asked for goes the sandbox's own way.
    """

    def __init__(self, *given: Any, **named: Any) -> None:  # noqa: ANN401 - what the library gives
        super().__init__(*given, **named)
        self._asked: dict[str, None] = {}

    def visit_Template(self, node: nodes.Template, frame: Frame | None = None) -> None:  # noqa: N802 - the library's
        """Write a whole template, and at its end what its functions look up."""
        super().visit_Template(node, frame)
        self.writeline("_shown = environment.shown")
        for name in self._asked:
            self.writeline(f"_has_{name} = environment.known[{name!r}]")

    @optimizeconst
    def visit_Getattr(self, node: nodes.Getattr, frame: Frame) -> None:  # noqa: N802
        """Write what a thing has by a name."""
        name = node.attr
        if name.startswith("_") or iskeyword(name) or not name.isascii():
            super().visit_Getattr(node, frame)
            return
        self._asked[name] = None
        self.write(f"(_v.{name} if type(_v := ")
        self.visit(node.node, frame)
        self.write(f") in _has_{name} else environment.getattr(_v, {name!r}))")

    def _output_child_pre(self, node: nodes.Expr, frame: Frame, finalize: Any) -> None:  # noqa: ANN401
        """Begin what is shown: by the short way where it is simply put into markup."""
        if frame.eval_ctx.autoescape and not frame.eval_ctx.volatile and finalize.src is None:
            self.write("_shown(")
        else:
            super()._output_child_pre(node, frame, finalize)


def shown(value: object) -> str:
    """Return a value as it stands in a page, to be joined with the markup around it."""
    if type(value) is str:
        return escape(value) if _IN_MARKUP.search(value) else value
    return value if type(value) is Markup else escape(value)
