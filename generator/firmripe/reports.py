"""What the command line says: what was built, taken in or found wrong, why a date is as it is, how past dates held."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

from firmripe.gathering import LEFT, Fate, Gathered, Moved, Sorted, Stationed
from firmripe.holding.fruit import Event
from firmripe.plan import Plan
from firmripe.problems import Findings, Problem, Unreadable, name_key, nearest, or_list
from firmripe.publish.audience import has_private
from firmripe.publish.feeds.feed import Feeds
from firmripe.publish.folder import Put
from firmripe.publish.ledger import LEDGER
from firmripe.publish.pages.note import subject_of
from firmripe.publish.pages.scores import off_words, score_words
from firmripe.publish.pages.undated import alike, on_trees
from firmripe.publish.site import FEED
from firmripe.publish.verdict_words import answer, open_verdicts, question, taught
from firmripe.publish.what_if import WhatIf
from firmripe.reading.exports import FEWEST_HOURS
from firmripe.reading.lines import row_of
from firmripe.season.estimate import Estimate, Happens, Reason
from firmripe.season.explaining import Explained, Explanation
from firmripe.season.hindcast import Replay, scores
from firmripe.tongue import IN_ENGLISH, Tongue
from firmripe.wording import words_of
from firmripe.wording.calendar import undated_words
from firmripe.wording.clashes import clash_words
from firmripe.wording.season import note_words, title_words
from firmripe.words import (
    begun,
    between,
    counted,
    days_words,
    degrees,
    on_tree,
    shift_words,
    short_day,
    week_day,
    with_year,
)

_FEW = 5
"""So many days are named one by one, and of more how many there are."""
_NO_LEDGER = {
    WhatIf.ASKED: "as you asked",
    WhatIf.SEASON: "since this is another season than the day's",
    WhatIf.BEFORE: "since calendars have told of later days already",
    WhatIf.AHEAD: "since the day is far ahead of today",
}


def built(  # noqa: PLR0913 - one for each thing to tell
    plan: Plan, out: Path, count: int, feeds: Feeds, *, ledger_kept: bool, what_if: WhatIf | None = None
) -> str:
    """Say what a build wrote, what it could not date, and what the household should know of its feeds."""
    entries = plan.calendar.entries
    as_of = plan.season.as_of
    head = (
        f"{plan.holding.place.name}, season {plan.season.year.year}, as known on {week_day(IN_ENGLISH, as_of)}"
        f" {as_of.year}: {counted(len(plan.season.standing), 'tree')},"
        f" {counted(len(entries), 'dated job')}, {_events(feeds)} in the calendar feed."
    )
    lines = [head, f"Wrote {counted(count, 'file')}. Open {out / 'index.html'}", f"Calendar feed: {out / FEED}"]
    if plan.calendar.undated:
        lines.append("Without a date:")
        lines += _undated(plan)
    if feeds.unlisted:
        lines.append("On no page (hard to find, but no lock: whoever has the address can read it):")
        lines += [f"  {out / feed.path}" for feed in feeds.unlisted]
    if not ledger_kept:
        lines.append(
            f"{LEDGER} can't be written into the folder of the notes: what changed is stamped with the day of the"
            " newest record instead, and some apps may be slow to see it."
        )
    if what_if in _NO_LEDGER:
        lines.append(f"Only tried, {_NO_LEDGER[what_if]}: {LEDGER} stays as it was.")
    return "\n".join([*lines, *feeds.warnings, _made_for(plan)])


def _undated(plan: Plan) -> list[str]:
    """Say what has no date and why, a kind in one line where that is so of many of its trees."""
    lines = []
    tongue = Tongue(metric=plan.holding.place.metric_first)
    for item, tags in alike(plan.calendar.undated, lambda item: undated_words(tongue, item)):
        named = tags if len(tags) <= _FEW + 1 else [*tags[:_FEW], f"{len(tags) - _FEW} more"]
        what = words_of(on_trees(item.what, ", ".join(named)), tongue)
        lines.append(f"  {what}: {undated_words(tongue, item)}")
    return lines


def _events(feeds: Feeds) -> str:
    """Count what the reminders of everything tell; jobs that are past when they are first built are in none."""
    told = sum(
        feed.count for bundle in feeds.groups for feed in bundle.feeds if feed.kind == "reminders" and not feed.of
    )
    return counted(told, "event") if told else "nothing yet"


def put_words(put: Put, out: Path, strays: tuple[str, ...]) -> list[str]:
    """Say what the household should know of how a site was put in its place, and of files that were left alone."""
    lines = []
    if put.completed:
        lines.append("A build before this one had been cut off; it was brought to its end first.")
    if put.in_place:
        lines.append(
            f"{out} can't be replaced as a whole, so its files were put in one by one: old and new pages stood side by"
            " side for a moment. A run that is cut off there is brought to its end by the next build."
        )
    lines += [f"{out / name}: a page had been changed by hand; this is what stood there" for name in put.kept]
    return lines + [f"{name}: this file beside {LEDGER} is not the build's; it was left alone" for name in strays]


def _made_for(plan: Plan) -> str:
    """Say whom a site is for, and what that means for whoever puts it online."""
    reader, place = plan.reader, plan.holding.place
    if reader.is_everybody:
        return "For everybody: without private notes, people, contacts, sprays, shares, rooms, wants and the kitchen."
    if reader.people:
        return f"For {reader.name}: private notes, contacts and sprays are in it. Hand it to nobody else."
    if not has_private(plan.holding):
        return "For the household."
    warned = " Before you put it online for strangers, build it with --for everybody." if place.site_address else ""
    return f"For the household: private notes, contacts or sprays are in it.{warned}"


def gathered(found: Gathered, *, wrote: bool = True) -> str:
    """Say what came of a gathering: what was taken, what was there, what waits and why, and what moved in the plan."""
    taken, there, waiting = found.of(Fate.TAKEN), found.of(Fate.THERE), found.of(Fate.DOUBTFUL, Fate.UNCLEAR)
    parts = [_station(station, wrote=wrote) for station in found.stations]
    if not found.lines and found.stations:
        parts += _moved_part(found, taken=any(one.days.new for one in found.stations))
        return "\n\n".join(parts) + _kept(found, wrote)
    if not found.lines:
        return "No line was found. A line is short: 2027-08-28,1-02,first pick,31 lb,good size" + _kept(found, wrote)
    if taken:
        head = "Taken" if wrote else "Would be taken"
        parts.append("\n".join([f"{head}: {counted(len(taken), 'line')}.", *(f"  {_row(one)}" for one in taken)]))
        parts += [str(problem) for one in taken for problem in one.why]
    if there:
        parts.append(f"There already: {counted(len(there), 'line')}.")
    if waiting:
        head = f"Held back{f' in {LEFT}' if wrote else ''}: {counted(len(waiting), 'line')}."
        parts += [head, *(str(problem) for one in waiting for problem in one.why)]
    parts += _moved_part(found, taken=bool(taken))
    return "\n\n".join(parts) + _kept(found, wrote)


def _moved_part(found: Gathered, *, taken: bool) -> list[str]:
    if found.moved:
        return ["\n".join(["What moved in the plan:", *_moved(found.moved)])]
    return ["No day of the plan moved."] if taken else []


def _station(station: Stationed, *, wrote: bool) -> str:
    """Say what came of a table of weather, with its coldest and its warmest, by which a wrong unit is seen."""
    new, head = station.days.new, "Taken" if wrote else "Would be taken"
    lines = [f"{station.name}: no new day of weather."]
    if new:
        first, last = (with_year(IN_ENGLISH, short_day(IN_ENGLISH, day), day.year) for day in (min(new), max(new)))
        lows, highs = zip(*new.values(), strict=True)
        much = f"{counted(len(new), 'day')} of weather from {station.name}, {first} to {last}"
        lines = [f"{head}: {much}, from {degrees(IN_ENGLISH, min(lows))} to {degrees(IN_ENGLISH, max(highs))}."]
    if station.days.there:
        lines.append(f"There already: {counted(len(station.days.there), 'day')}.")
    if station.days.other:
        days = [day.isoformat() for day in station.days.other[:_FEW]]
        days += [f"{more} more"] if (more := len(station.days.other) - _FEW) > 0 else []
        lines.append(f"In the notes with other temperatures, left as they are: {', '.join(days)}.")
    if station.partial:
        lines.append(f"Left out, with readings in fewer than {FEWEST_HOURS} hours: {counted(station.partial, 'day')}.")
    if station.empty:
        lines.append(f"Without a day or a temperature: {counted(station.empty, 'line')}.")
    return "\n".join(lines)


def _kept(found: Gathered, wrote: bool) -> str:  # noqa: FBT001 - as the caller was told
    if not found.rest:
        return ""
    return f"\n\n{counted(len(found.rest), 'line')} of other words {f'kept in {LEFT}' if wrote else 'around them'}."


def _row(one: Sorted) -> str:
    return row_of(one.line.cells)


def _moved(moved: Sequence[Moved]) -> list[str]:
    """Say what moved, a line for each crop."""
    crops: dict[str, list[str]] = {}
    for one in moved:
        crop = f", {one.bearing.crop} crop" if one.bearing.crop else ""
        season = f", next season, {one.later}" if one.later else ""
        crops.setdefault(f"{one.name} {one.bearing.tree}{crop}{season}", []).append(_shift(one))
    return [f"  {name}: {'; '.join(shifts)}" for name, shifts in crops.items()]


def _shift(moved: Moved) -> str:
    what = moved.what.value
    if moved.after is None:
        return f"{what} has no date any more"
    if moved.before is None:
        return f"{what} {week_day(IN_ENGLISH, moved.after)}, which had no date"
    days = (moved.after - moved.before).days
    much, day = days_words(IN_ENGLISH, abs(days)), week_day(IN_ENGLISH, moved.after)
    return f"{what} {much} {'later' if days > 0 else 'sooner'}, {day}"


def checked(findings: Findings) -> str:
    """Say what a check found, warnings apart, and how much of each."""
    parts = [str(problem) for problem in findings.problems]
    if findings.warnings:
        parts.append("Warnings (a build does not mind them):")
        parts += [str(warning) for warning in findings.warnings]
    problems, warnings = (counted(len(found), noun) for found, noun in _kinds(findings))
    tail = "a build would stop here." if findings.problems else "a build would work."
    return "\n\n".join([*parts, f"{problems}, {warnings}; {tail}"])


def checked_json(findings: Findings) -> str:
    """Return what a check found as JSON; its fields are listed in content/README.md."""
    told = {f"{noun}s": [_as_fields(problem) for problem in found] for found, noun in _kinds(findings)}
    counts = {f"{noun}s": len(found) for found, noun in _kinds(findings)}
    return json.dumps({**told, "counts": counts}, ensure_ascii=False, indent=2)


def _kinds(findings: Findings) -> tuple[tuple[tuple[Problem, ...], str], tuple[tuple[Problem, ...], str]]:
    return (findings.problems, "problem"), (findings.warnings, "warning")


def _as_fields(problem: Problem) -> dict[str, str | int]:
    where = problem.where
    return {
        "file": where.file,
        "line": where.line,
        "column": where.column + 1 if where.text else 0,
        "length": where.length if where.text else 0,
        "text": where.text,
        "message": problem.message,
        "hint": problem.hint,
    }


def explained(found: Explained, tag: str, event_name: str | None) -> str:
    """Explain the dates of a tree, or one of its events, in the household's language.

    Raises Unreadable for a tree or an event not known.
    """
    tree, told = _told(found, tag, event_name)
    return _explained(found, tree, [explanation for _happens, explanation in told])


def _explained(found: Explained, tree: str, told: list[Explanation]) -> str:
    tongue = found.season.holding.place.tongue
    if not told:
        return tongue.say("Tree {tree} stands no more.", tree=tree)
    lines = [_explanation(tongue, explanation) for explanation in told]
    season = found.season
    lines += [
        tongue.say("Learned: {line}", line=line)
        for bearing in season.holding.tree(tree).bearings
        for line in taught(season, bearing)
    ]
    lines += [
        tongue.say("To look into: {asked}", asked=words_of(asked, tongue)) for asked in season.questions.get(tree, ())
    ]
    for one in open_verdicts(season, tree):
        line = answer(tongue, one, subject_of(season.holding, one.bearing))
        asked = question(season.holding, one)
        lines.append(tongue.say("To look into: {asked}", asked=asked) + f"\n  {line}")
    return "\n\n".join(lines)


def explained_json(found: Explained, tag: str, event_name: str | None) -> str:
    """Return the same as JSON; its fields are listed in content/README.md. Raises Unreadable likewise."""
    tree, told = _told(found, tag, event_name)
    season = found.season
    tongue = season.holding.place.tongue
    fields = {
        "tree": tree,
        "season": season.year.year,
        "as_of": season.as_of.isoformat(),
        "events": [_explanation_fields(tongue, happens, explanation) for happens, explanation in told],
        "learned": [line for b in season.holding.tree(tree).bearings for line in taught(season, b)],
        "to_look_into": [
            *(words_of(asked, tongue) for asked in season.questions.get(tree, ())),
            *(question(season.holding, one) for one in open_verdicts(season, tree)),
        ],
    }
    return json.dumps(fields, ensure_ascii=False, indent=2)


def _told(found: Explained, tag: str, event_name: str | None) -> tuple[str, list[tuple[Happens, Explanation]]]:
    tags = {name_key(tree.tag): tree.tag for tree in found.season.holding.trees}
    tree = tags.get(name_key(tag))
    if tree is None:
        near = nearest(tag, tags.values())
        hint = f'did you mean "{near}"?' if near else f"trees are {or_list(tags.values())}"
        raise Unreadable(f'no tree has the tag "{tag}"', hint)
    events = [event for event in Event if event_name is None or event.value.startswith(event_name.casefold().strip())]
    if not events:
        raise Unreadable(f'"{event_name}" is not an event', f"write {or_list([event.value for event in Event])}")
    told = [
        (happens, explanation)
        for happens, explanation in found.explanations.items()
        if happens.bearing.tree == tree and happens.event in events
    ]
    return tree, told


def _explanation_fields(tongue: Tongue, happens: Happens, explanation: Explanation) -> dict[str, object]:
    dated = explanation.dated
    fields: dict[str, object] = {
        "title": title_words(tongue, explanation.of),
        "event": happens.event.value,
        "cultivar": happens.bearing.cultivar,
        "crop": happens.bearing.crop,
    }
    if not isinstance(dated, Estimate):
        return {
            **fields,
            "likely": None,
            "no_date_because": words_of(dated.reason, tongue),
            "to_get_one": words_of(dated.remedy, tongue) if dated.remedy else "",
        }
    return {
        **fields,
        "earliest": dated.earliest.isoformat(),
        "likely": dated.likely.isoformat(),
        "latest": dated.latest.isoformat(),
        "basis": dated.basis.value,
        "rough": dated.rough,
        "clash": clash_words(tongue, dated),
        "reasons": [
            {"text": words_of(reason.why, tongue), "days": reason.days, "sources": _sources(reason)}
            for reason in dated.reasons
        ],
        "would_help": [note_words(tongue, one.note) for one in explanation.narrowings],
    }


def _explanation(tongue: Tongue, explanation: Explanation) -> str:
    dated, title = explanation.dated, title_words(tongue, explanation.of)
    if not isinstance(dated, Estimate):
        remedy = (
            "\n  " + tongue.say("To get one: {remedy}.", remedy=words_of(dated.remedy, tongue)) if dated.remedy else ""
        )
        return tongue.say("{title}: no date, {reason}.", title=title, reason=words_of(dated.reason, tongue)) + remedy
    window = between(tongue, dated.earliest, dated.latest)
    rough = tongue.say(", rough") if dated.rough else ""
    when = f"{week_day(tongue, dated.likely)}{f', {window}' if window else ''}"
    lines = [f"{title}: {when} ({tongue.term(dated.basis.value)}{rough})"]
    if dated.clash:
        lines.append(f"  {words_of(dated.clash, tongue)}")
    lines += [f"  {_reason(tongue, reason)}" for reason in dated.reasons]
    if explanation.printed and not dated.is_past:
        printed = explanation.printed
        window = between(tongue, printed.earliest, printed.latest)
        lines.append("  " + tongue.say("Before anything was noted here: {window}.", window=window))
    lines += [f"  {begun(said)}." for said in (words_of(one, tongue) for one in explanation.narrowings)]
    return "\n".join(lines)


def _reason(tongue: Tongue, reason: Reason) -> str:
    shift = "" if reason.days is None else f": {shift_words(tongue, reason.days)}"
    sources = _sources(reason)
    cited = f" [{'; '.join(sources)}]" if sources else ""
    return f"{words_of(reason.why, tongue)}{shift}{cited}"


def _sources(reason: Reason) -> list[str]:
    named = (cited.source.in_short for cited in reason.cited if cited.source is not None)
    return list(dict.fromkeys(named))


def hindcasted(plan: Plan) -> str:
    """Say how past dates held, over all seasons and one by one."""
    replays = tuple(plan.replays)
    if not replays:
        return "No earlier season has a bloom or a pick on record yet, so there is nothing to play again."
    lines = ["Over all seasons:", *(f"  {line}" for line in score_words(IN_ENGLISH, scores(replays)))]
    for season in sorted({replay.season for replay in replays}):
        lines += ["", f"Season {season}:"]
        lines += [f"  {_replay(plan, replay)}" for replay in replays if replay.season == season]
    return "\n".join(lines)


def _replay(plan: Plan, replay: Replay) -> str:
    name = plan.holding.limb(replay.bearing).name
    crop = f", {replay.bearing.crop} crop" if replay.bearing.crop else ""
    words = [
        f"{moment.value} {off_words(IN_ENGLISH, replay.error_of(said))}" for moment, said in replay.by_moment.items()
    ]
    if replay.plain is not None:
        words.append(f"plain mean {off_words(IN_ENGLISH, replay.error_of(replay.plain))}")
    came = "in full bloom" if replay.event is Event.FULL_BLOOM else "picked"
    of = on_tree(name, replay.bearing.tree)
    return f"{of}{crop}, {came} {week_day(IN_ENGLISH, replay.seen)}: {'; '.join(words) or 'not foretold'}"
