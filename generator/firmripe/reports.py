"""What the command line says: what was built, why a date is what it is, and how past dates held."""

from __future__ import annotations

from pathlib import Path

from firmripe.calendar.plan import Plan
from firmripe.holding.fruit import Event
from firmripe.problems import Unreadable, folded, nearest, or_list
from firmripe.publish.site import FEED
from firmripe.season.estimate import Estimate, Reason
from firmripe.season.explaining import Explanation
from firmripe.season.hindcast import Replay, off_words, score_words
from firmripe.words import between, counted, shift_words, week_day


def built(plan: Plan, out: Path, count: int) -> str:
    """Say what a build wrote and what it could not date."""
    entries = plan.calendar.entries
    sent = sum(entry.task.reminder for entry in entries)
    head = (
        f"{plan.holding.place.name}, season {plan.season.year.year}, as known on {week_day(plan.season.as_of)}"
        f" {plan.season.as_of.year}: {counted(len(plan.holding.trees), 'tree')}, {counted(len(entries), 'dated job')},"
        f" {sent} of them in the calendar feed."
    )
    lines = [head, f"Wrote {counted(count, 'file')}. Open {out / 'index.html'}", f"Calendar feed: {out / FEED}"]
    if plan.calendar.undated:
        lines.append("Without a date:")
        lines += [f"  {item.what}: {item.reason}" for item in plan.calendar.undated]
    return "\n".join(lines)


def explained(plan: Plan, tag: str, event_name: str | None) -> str:
    """Explain the dates of a tree, or one of its events. Raises Unreadable for a tree or an event not known."""
    tags = {folded(tree.tag): tree.tag for tree in plan.holding.trees}
    tree = tags.get(folded(tag))
    if tree is None:
        near = nearest(tag, tags.values())
        hint = f'did you mean "{near}"?' if near else f"trees are {or_list(tags.values())}"
        raise Unreadable(f'no tree has the tag "{tag}"', hint)
    events = [event for event in Event if event_name is None or event.value.startswith(event_name.casefold().strip())]
    if not events:
        raise Unreadable(f'"{event_name}" is not an event', f"write {or_list([event.value for event in Event])}")
    told = [
        explanation
        for happens, explanation in plan.explanations.items()
        if happens.bearing.tree == tree and happens.event in events
    ]
    if not told:
        return f"Tree {tree} stands no more."
    lines = [_explanation(explanation) for explanation in told]
    lines += [f"To look into: {question}" for question in plan.season.questions.get(tree, ())]
    return "\n\n".join(lines)


def _explanation(explanation: Explanation) -> str:
    dated = explanation.dated
    if not isinstance(dated, Estimate):
        remedy = f"\n  To get one: {dated.remedy}." if dated.remedy else ""
        return f"{explanation.title}: no date, {dated.reason}.{remedy}"
    window = between(dated.earliest, dated.latest)
    rough = ", rough" if dated.rough else ""
    lines = [
        f"{explanation.title}: {week_day(dated.likely)}{f', {window}' if window else ''} ({dated.basis.value}{rough})"
    ]
    if dated.clash:
        lines.append(f"  {dated.clash}")
    lines += [f"  {_reason(reason)}" for reason in dated.reasons]
    if explanation.printed and not dated.is_past:
        printed = explanation.printed
        lines.append(f"  Before anything was noted here: {between(printed.earliest, printed.latest)}.")
    lines += [f"  {str(note)[:1].upper()}{str(note)[1:]}." for note in explanation.narrowings]
    return "\n".join(lines)


def _reason(reason: Reason) -> str:
    shift = "" if reason.days is None else f": {shift_words(reason.days)}"
    sources = dict.fromkeys(
        f"{cited.source.author} {cited.source.year}".strip() for cited in reason.cited if cited.source is not None
    )
    cited = f" [{'; '.join(sources)}]" if sources else ""
    return f"{reason.text}{shift}{cited}"


def hindcasted(plan: Plan) -> str:
    """Say how past dates held, season by season."""
    if not plan.replays:
        return "No earlier season has a bloom or a pick on record yet, so there is nothing to play again."
    lines = ["Over all seasons:", *(f"  {line}" for line in score_words(plan.replays))]
    for season in sorted({replay.season for replay in plan.replays}):
        replays = [replay for replay in plan.replays if replay.season == season]
        lines += ["", f"Season {season}:", *(f"  {line}" for line in score_words(replays))]
        lines += [f"    {_replay(plan, replay)}" for replay in replays if replay.event is Event.PICK]
    return "\n".join(lines)


def _replay(plan: Plan, replay: Replay) -> str:
    tree = plan.holding.tree(replay.bearing.tree)
    name = next(limb.name for limb in tree.limbs if limb.key == replay.bearing.cultivar)
    crop = f", {replay.bearing.crop} crop" if replay.bearing.crop else ""
    said = (
        ("before the season", replay.before),
        ("after bloom", replay.after_bloom),
        ("plain mean", replay.plain),
    )
    words = [f"{when} {off_words(replay.error_of(one))}" for when, one in said if one is not None]
    return f"{name} ({tree.tag}){crop}, picked {week_day(replay.seen)}: {'; '.join(words) or 'not foretold'}"
