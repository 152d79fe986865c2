"""Templates say to the sign what the template library's own sandbox makes of them, and reach no more."""

from __future__ import annotations

import pytest
from jinja2 import StrictUndefined
from jinja2.sandbox import ImmutableSandboxedEnvironment
from markupsafe import Markup

from firmripe.publish.sandbox import BoundedSandbox, Sandbox
from firmripe.publish.views import Link
from firmripe.tongue import IN_ENGLISH

TEXTS = (
    "{{ to.text }}{{ to.href }}",
    "{{ to.missing }}",
    "{{ to.missing is defined }}{{ to.missing|default('none') }}{{ none.of.these }}",
    "{% for link in links %}{{ link.text }}{{ loop.last }}{{ loop.index }}{{ loop.nothing }}{% endfor %}",
    "{% for one in links + [words, 3, none] %}{{ one.text|default('') }}{% endfor %}",
    "{{ words.text }}{{ words['text'] }}{{ words.items()|list }}",
    "{{ to.__class__ }}",
    "{{ to._private }}{{ ''.__class__.__mro__ }}",
    "{% for one in [to, shown] %}{{ one.text.format(1) }}{{ one.text.upper() }}{% endfor %}",
    "{{ '{0.__class__}'.format(to) }}",
    "{{ words.update({'a': 1}) }}",
    "{{ [].append(1) }}{{ to.text.append }}",
    "{{ loud.mro }}{{ loud.gi_frame }}{{ loud.text }}",
    "{{ 1 < 2 }}{{ none }}{{ 1.50 }}{{ marked }}{{ marked ~ '<' }}{{ '<' ~ to.text }}{{ [to.text, marked] }}",
    (
        "{% macro m(a, b='<b>') %}{{ a }}{{ b }}{{ caller() if caller else '' }}{% endmacro %}"
        "{{ m('<') }}{{ m(to.text, b=marked) }}{% call m(1) %}<i>{{ to.text }}</i>{% endcall %}"
    ),
    "{% macro m(a) %}{{ a }}{% endmacro %}{{ m(1, 2) }}",
    "{% macro m(a) %}{{ a }}{% endmacro %}{{ m(c=1) }}{{ m.name }}",
    "{% macro m(a) %}{{ a }}{% endmacro %}{{ m() }}",
    "{% for at in [1, 2] %}{% set b = at %}{{ _('a %(n)s of <b>%(of)s</b>', n=b, of=to.text) }}{% endfor %}",
    "{{ _('100%% plain & simple') }}{{ _('%(n)d', n=3) }}{{ _('%(n)s', n=marked) }}{{ _('%(n)s', n=none) }}",
    "{{ _('%(n)s') }}",
    "{{ _('50%') }}",
    "{{ _('a') }}{{ _(to.text) }}{{ gettext('<') }}{{ ngettext('%(num)s <', '%(num)s <<', 2) }}",
    "{% autoescape false %}{{ to.text }}{{ _('<') }}{{ _('%(a)s', a='<') }}{% endautoescape %}{{ to.text|safe }}",
    "{% set a = namespace(n=1) %}{% set a.n = '<' %}{{ a.n }}{% set b %}<{{ to.text }}{% endset %}{{ b }}",
    "{{ to.text if to.href else '' }}{{ links|map(attribute='text')|join(', ') }}{{ to }}{{ view.class }}",
)
LINKS = (Link(text="<one> & 'two'", href="a.html"), Link(text="plain", href='"'))


class Loud(list[object]):
    """Nothing of ours."""

    text = "aloud"


def said_by(environment: ImmutableSandboxedEnvironment, text: str) -> str:
    """Return what a template makes, or what is wrong with it."""
    given = {"to": LINKS[0], "links": [*LINKS], "words": {"text": "<a>"}, "marked": Markup("<b>&amp;</b>")}
    try:
        return environment.from_string(text).render(**given, shown=LINKS[1], loud=Loud())
    except Exception as error:  # noqa: BLE001 - whatever it is, it is compared
        return f"{type(error).__name__}: {error}"


@pytest.mark.parametrize("text", TEXTS)
def test_the_short_ways_say_the_same(text: str) -> None:
    """Of views, texts, tables and loops; safe, unsafe and missing; whatever was asked for before."""
    own = ImmutableSandboxedEnvironment(extensions=["jinja2.ext.i18n"], autoescape=True, undefined=StrictUndefined)
    own.install_gettext_callables(IN_ENGLISH.term, IN_ENGLISH.form, newstyle=True)  # type: ignore[attr-defined]
    expected = said_by(own, text)
    for kind in (Sandbox, BoundedSandbox):
        environment = kind(extensions=["jinja2.ext.i18n"], autoescape=True, undefined=StrictUndefined)
        environment.speak(IN_ENGLISH.term, IN_ENGLISH.form)
        for other in TEXTS:
            said_by(environment, other)

        assert said_by(environment, text) == expected
        assert said_by(environment, text) == expected
