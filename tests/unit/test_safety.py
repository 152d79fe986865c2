"""The page of what can hurt: every caution of the plan once, by topic, with its source and where it belongs."""

from __future__ import annotations

import re

import pytest

from firmripe.plan import Plan
from firmripe.publish.pages.safety import topic_of


@pytest.fixture(scope="module")
def page(example_site: dict[str, bytes]) -> str:
    """Return the example's page."""
    return example_site["safety.html"].decode()


def plain(text: str) -> str:
    """Return a text as a page escapes it."""
    return text.replace("&", "&amp;").replace("'", "&#39;").replace('"', "&#34;")


def test_no_caution_of_a_job_is_missing(example_plan: Plan, page: str) -> None:
    """Each that stands with a job of this season stands here."""
    said = {caution.text for entry in example_plan.calendar.entries for caution in entry.task.cautions}

    assert said
    assert {text for text in said if plain(text) not in page} == set()


def test_no_caution_of_canning_is_missing(example_plan: Plan, page: str) -> None:
    """Nor of what the kitchen makes, nor what must never go into jars."""
    assert example_plan.kitchen is not None
    keys = {met.want.preserve for met in example_plan.kitchen.wants}
    made = [preserve for preserve in example_plan.holding.preserves if preserve.key in keys]
    said = {caution.text for preserve in made for caution in preserve.cautions}
    said |= {caution.text for caution in example_plan.holding.processes.cautions}
    said |= {row.because for row in example_plan.holding.processes.refused}

    assert {text for text in said if plain(text) not in page} == set()


def test_each_stands_once(page: str) -> None:
    """However many jobs share it."""
    said = re.findall(r'<li>(?:<span lang="\w+">)?([^<\n]+?)(?:</span>)?\s*<(?:cite|details)>', page)

    assert len(said) == len(set(said))
    assert len(said) > 20


def test_a_caution_leads_to_its_jobs_and_stove_cards(page: str) -> None:
    """By links of their own names."""
    assert 'href="jobs/pick.html"' in page
    assert 'href="sheets/stove-' in page
    assert 'href="kitchen.html"' in page


def test_every_published_caution_names_its_source(page: str) -> None:
    """A figure without a source is the household's own word, and says so."""
    cites = re.findall(r"<cite>(.*?)</cite>", page, re.DOTALL)

    assert cites
    assert all("sources.html#" in cite or "own word" in cite for cite in cites)


def test_the_page_gives_way_to_labels_and_local_rules(page: str) -> None:
    """It says so before anything else."""
    assert page.index("The label on a spray goes before this page") < page.index('class="cautions"')


@pytest.mark.parametrize(
    ("text", "topic"),
    [
        ("Never stand on the top two steps of an orchard ladder.", "Ladders"),
        ("The label is the law: use a spray only on crops it names.", "Sprays"),
        ("Fallen fruit is not for fresh juice or cider.", "Fruit on the ground"),
        ("Steam, syrup and hot jars burn.", "Knives, heat and poisons"),
        ("Fig puree must not be canned: no tested process.", "Not for jars"),
        ("Use this tested process only, for this fruit, pack and jar.", "Canning: only what is tested"),
        ("Bottled lemon juice, not fresh.", "Canning: acid"),
        ("When a jar is suspect, don't taste it; throw it out.", "Spoilt: don’t taste it"),
        ("Next morning, 12-24 hours out of the pot, test every lid.", "The morning after: seals"),
        ("Freeze no more than 2-3 lb for each cubic foot of freezer in a day.", "Freezer and refrigerator"),
        ("Bee stings: know who is allergic.", "Bees and wasps"),
        ("Mind the goat.", "And also"),
    ],
)
def test_a_caution_falls_under_its_topic(text: str, topic: str) -> None:
    """By its words; what nobody foresaw stands under the last."""
    assert topic_of(text) == topic


def test_the_kitchen_names_what_never_goes_into_jars_and_leads_to_why(
    example_plan: Plan, example_site: dict[str, bytes]
) -> None:
    """The reasons stand once, on the page of cautions; the kitchen's page names each thing and leads there."""
    kitchen, safety = (example_site[page].decode() for page in ("kitchen.html", "safety.html"))
    refused = example_plan.holding.processes.refused

    assert refused
    assert [row.what for row in refused if row.what not in kitchen or row.because not in safety] == []
    assert "pears, raw pack; apples, raw pack; figs, raw pack" in " ".join(re.sub("<[^>]+>", "", kitchen).split())
    assert "safety.html#never" in kitchen
    assert 'id="never"' in safety


def test_a_kitchen_day_tells_each_caution_once_and_leaves_none_out(
    example_plan: Plan, example_site: dict[str, bytes]
) -> None:
    """What all its products share stands once for every jar, what is of one with it; no minutes are in a fold."""
    pages = [text.decode() for name, text in example_site.items() if re.fullmatch(r"kitchen/.+\.html", name)]
    general = {figure.text for figure in example_plan.holding.processes.cautions}
    preserves = {preserve.name: preserve for preserve in example_plan.holding.preserves}
    several = 0
    for page in pages:
        open_page = re.sub(r"<details.*?</details>", "", page, flags=re.DOTALL)
        names = [name for name in preserves if f">{plain(name)}</a>: " in page]
        several += len(names) > 1
        each = [{caution.text for caution in preserves[name].cautions} for name in names]
        shared = set.intersection(*each) if len(each) > 1 else set()
        assert [text for text in general | set.union(*each) if plain(text) not in open_page] == []
        assert [text for text in general | shared if open_page.count(plain(text)) != 1] == []
        assert open_page.index('class="clock"') < open_page.index('id="every-jar"') < open_page.index('class="stove"')
        assert open_page.count('class="min"') == page.count('class="min"') > 0
    assert several
