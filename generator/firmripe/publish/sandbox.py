"""The sandboxes in which templates run: that of the shipped themes, and one with bounds for a household's own."""

from __future__ import annotations

import functools
from collections import defaultdict
from collections.abc import Callable, Collection, Iterator
from typing import Any, ClassVar, Final

from jinja2 import nodes
from jinja2.environment import TemplateModule
from jinja2.runtime import Context, LoopContext, Macro
from jinja2.sandbox import ImmutableSandboxedEnvironment
from markupsafe import Markup
from msgspec import Struct

from firmripe.publish.bounded import (
    Meter,
    TooMuch,
    check_form,
    check_given,
    check_operation,
    check_product,
    check_wrapped,
)
from firmripe.publish.generating import Shortening, shown

_PRODUCTS = frozenset({"indent", "join", "replace", "wordwrap", "tojson", "sum", "xmlattr"})
"""Filters and methods that may give each part of a value as much more as they are given."""
_FORMS = frozenset({"format", "format_map"})
_MESSAGES = ("_", "gettext", "ngettext")
_NOT_TO_BE_HAD = frozenset({"expandtabs", "translate", "encode", "decode"})
"""Methods of texts that make them longer, or take longer, than what they are given tells; no page needs them."""
_BY_CHANCE = ("random", "lipsum")
"""The same notes give the same pages."""
_NUMBERS = frozenset({int, float})
MOST_MESSAGES: Final = 2000
"""Messages of templates that are kept as they were said last: more than all that ship have."""
_WITHIN = (nodes.For, nodes.Macro, nodes.CallBlock, nodes.Block)


class Sandbox(ImmutableSandboxedEnvironment):
    """The sandbox. A page of another theme than the chosen one takes its base and its parts from there too."""

    chosen = ""
    code_generator_class = Shortening
    shown = staticmethod(shown)
    known: ClassVar[defaultdict[str, set[type]]] = defaultdict(set)
    """The kinds of things of which a public attribute is plainly harmless, by its name: as many as were asked for."""

    def begin(self) -> None:
        """Begin a page."""

    def join_path(self, template: str, parent: str) -> str:
        """Return the name under which a template that another one names is looked for."""
        theme = parent.rpartition("/")[0]
        return f"{theme}/{template}" if theme not in {"", self.chosen} and "/" not in template else template

    def getattr(self, obj: Any, attribute: str) -> Any:  # noqa: ANN401 - as the sandbox has it
        """Return what a thing has, as far as the sandbox lets it; what is plainly harmless is not looked at again."""
        kind: Any = type(obj)
        if kind is TemplateModule and type(macro := vars(obj).get(attribute)) is Macro:
            return macro
        if not _is_safe(kind, attribute):
            return super().getattr(obj, attribute)
        self.known[attribute].add(kind)
        return getattr(obj, attribute)

    def speak(self, term: Callable[[str], str], form: Callable[[str, str, int], str]) -> None:
        """Let templates say messages by `_` and numbers of things by `ngettext`."""
        self.install_gettext_callables(term, form, newstyle=True)  # type: ignore[attr-defined]
        self._say = self.globals["_"]
        self._term = functools.lru_cache(maxsize=MOST_MESSAGES)(term)
        self._message = functools.lru_cache(maxsize=MOST_MESSAGES)(self._said)

    def call(self, context: Context, obj: Any, /, *given: Any, **named: Any) -> Any:  # noqa: ANN401
        """Call a function for a template: a macro or a message without more ado, for pages call thousands of them."""
        is_macro = type(obj) is Macro
        if not is_macro and (obj is not self._say or not context.eval_ctx.autoescape):
            return super().call(context, obj, *given, **named)
        named.pop("_loop_vars", None)
        named.pop("_block_vars", None)
        if is_macro:
            return obj(context.eval_ctx, *given, **named)
        return self._said(*given, **named) if named else self._message(*given)

    def _said(self, message: str, /, **fields: Any) -> Markup:  # noqa: ANN401 - whatever a template fills in
        """Say a message, which is markup as the catalogue has it, with its fields filled in."""
        safe = {name: one if type(one) in _NUMBERS else shown(one) for name, one in fields.items()}
        return Markup(self._term(message) % safe)  # noqa: S704 - of fields that are safe


def _is_safe(of: type, attr: str) -> bool:
    """Say whether an attribute is there and plainly harmless: a public one of a view, a struct of ours.

    What else there is goes the sandbox's own way.
    """
    is_harmless = of is LoopContext or (of.__module__.startswith("firmripe.") and issubclass(of, Struct))
    return is_harmless and not attr.startswith("_") and hasattr(of, attr)


class BoundedSandbox(Sandbox):
    """The sandbox for templates of a household: what runs on and on, or makes something huge, raises TooMuch.

    It is counted in turns and signs and never by the clock, so that a slow computer makes the same site.
    """

    intercepted_binops = frozenset({"+", "*", "**", "%"})

    def __init__(self, *given: Any, **named: Any) -> None:  # noqa: ANN401 - what an environment takes
        super().__init__(*given, **named)
        self._meter = Meter()
        self.finalize = self.weighed
        for name in _BY_CHANCE:
            self.filters.pop(name, None)
            self.globals.pop(name, None)
        self.filters = {name: self._filter(name, made) for name, made in self.filters.items()}
        self.tests = {name: self._test(made) for name, made in self.tests.items()}

    def begin(self) -> None:
        """Begin a page."""
        self._meter.begin()

    def turn(self, signs: int) -> bool:
        """Count a turn; templates call it in each loop and macro."""
        self._meter.turn(signs)
        return True

    def weighed(self, value: object) -> object:
        """Count a value and return it."""
        self._meter.value(value)
        return value

    def call_binop(self, context: Context, operator: str, left: Any, right: Any) -> Any:  # noqa: ANN401
        """Do an operation, unless it makes something huge."""
        check_operation(operator, left, right)
        return self.weighed(super().call_binop(context, operator, left, right))

    def getitem(self, obj: Any, argument: Any) -> Any:  # noqa: ANN401
        """Return what a thing holds under a key, and count that: things in things take long to look up."""
        return super().getitem(obj, self.weighed(argument))

    def call(self, context: Context, obj: Any, /, *given: Any, **named: Any) -> Any:  # noqa: ANN401
        """Call a function for a template, and count what it is given and what it makes."""
        if obj in (self.turn, self.weighed):
            return obj(*given)
        method = getattr(obj, "__wrapped__", obj)  # forms of texts stand in a function of the library's
        owner = getattr(method, "__self__", None)
        if isinstance(owner, str | bytes):
            given = tuple(list(one) if isinstance(one, Iterator) else one for one in given)
        whole = [*given, *named.values()]
        for one in whole:
            self.weighed(one)
        if any(obj is self.globals[name] for name in _MESSAGES):
            for form in (one for one in given if isinstance(one, str)):
                check_form(form, named.values())
        elif type(obj) is not Macro and obj != self.globals["range"]:  # which has bounds of its own
            check_given(whole)
        if isinstance(owner, str | bytes):
            self._check_method(method.__name__, owner, whole)
        return self._meter.metered(super().call(context, obj, *given, **named))

    @staticmethod
    def _check_method(name: str, owner: str | bytes, given: Collection[object]) -> None:
        """Raise TooMuch for a method of a text that would make something huge."""
        if name in _NOT_TO_BE_HAD:
            raise TooMuch(f"{name} is not to be had here")
        if name in _PRODUCTS:
            check_product(owner, given)
        if name in _FORMS:
            check_form(str(owner), given)

    def _filter(self, name: str, made: Callable[..., Any]) -> Callable[..., Any]:
        """Return a filter that counts what it is given and what it makes."""
        skipped = int(hasattr(made, "jinja_pass_arg"))

        @functools.wraps(made)
        def counted(*given: Any, **named: Any) -> Any:  # noqa: ANN401
            first, *values = given[: skipped + 1] if skipped else (None, *given[:1])
            more = [*given[skipped + 1 :], *named.values()]
            values = [list(one) if name == "join" and isinstance(one, Iterator) else one for one in values]
            check_given(more)
            for one in (*values, *more):
                self.weighed(one)
            if name == "format":
                check_form(str(values[0]), more)
            if name == "wordwrap":
                check_wrapped(values[0])
            if name in _PRODUCTS and values:
                check_product(values[0], more)
            rest = given[skipped + 1 :]
            return self._meter.metered(made(*((first,) if skipped else ()), *values, *rest, **named))

        return counted

    def _test(self, made: Any) -> Callable[..., Any]:  # noqa: ANN401 - a function, as the library has it
        """Return a test that counts what it is given."""

        @functools.wraps(made)
        def counted(*given: Any, **named: Any) -> Any:  # noqa: ANN401
            for one in (*given, *named.values()):
                self.weighed(one)
            return made(*given, **named)

        return counted

    def _parse(self, source: str, name: str | None, filename: str | None) -> nodes.Template:
        """Read a template, with a turn counted in each loop, macro, block and template of it."""
        tree = super()._parse(source, name, filename)
        parts: list[Any] = [*tree.find_all(_WITHIN), tree]
        for part in parts:
            count = self._turn(sum(len(signs) for signs in _signs(part.body)), part.lineno)
            if isinstance(part, nodes.For) and part.test is not None:
                part.test = nodes.And(self._turn(0, part.lineno), part.test, lineno=part.lineno)
            part.body.insert(0, nodes.ExprStmt(count, lineno=part.lineno))
        for joined in [*tree.find_all(nodes.Concat)]:
            joined.nodes = [self._weighed(one) for one in joined.nodes]
        for compared in [*tree.find_all(nodes.Compare)]:
            compared.expr = self._weighed(compared.expr)
        for operand in [*tree.find_all(nodes.Operand)]:
            operand.expr = self._weighed(operand.expr)
        for pair in [*tree.find_all(nodes.Pair)]:
            pair.key = self._weighed(pair.key)
        for part in [*tree.find_all(nodes.Getitem)]:
            if isinstance(part.arg, nodes.Slice):
                part.node = self._weighed(part.node)
        return tree

    def _weighed(self, value: nodes.Expr) -> nodes.Expr:
        """Return what gives a value and counts it: what is done with it takes as long as it is large."""
        return self._call("weighed", [value], value.lineno)

    def _turn(self, signs: int, line: int) -> nodes.Expr:
        return self._call("turn", [nodes.Const(signs, lineno=line)], line)

    def _call(self, name: str, given: list[nodes.Expr], line: int) -> nodes.Expr:
        called = nodes.EnvironmentAttribute(name, lineno=line)
        call = nodes.Call(called, given, [], None, None, lineno=line)
        call.set_environment(self)
        return call


def _signs(body: list[nodes.Node]) -> Iterator[str]:
    """Give the plain text of a template's part, without that of the parts in it that count their own."""
    for node in body:
        if isinstance(node, nodes.TemplateData):
            yield node.data
        elif not isinstance(node, _WITHIN):
            yield from _signs(list(node.iter_child_nodes()))
