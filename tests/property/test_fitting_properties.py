"""What holds of every kitchen plan: no rule broken, none better, never worse for more, the same in any order."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from kitchen_rules import best_by_milp, best_of_all, breaches, goals_of, is_no_worse, small_means
from msgspec.structs import replace

from firmripe.kitchen.fit.best import fit
from firmripe.kitchen.fit.means import Means

MORE = ("hands", "hours", "pot", "stock", "space", "session", "there", "known")


@settings(max_examples=300)
@given(small_means(spaces=False))
def test_no_plan_of_a_small_kitchen_is_better(means: Means) -> None:
    """The goals are those of the best of all plans, each one of which is tried."""
    found = goals_of(fit(means))
    best = best_of_all(means)

    assert is_no_worse(found, best)
    assert is_no_worse(best, found)


@settings(max_examples=150)
@given(small_means())
def test_no_plan_with_spaces_is_better(means: Means) -> None:
    """The goals are those that another programme, built in another way, comes to."""
    found = goals_of(fit(means))
    best = best_by_milp(means)

    assert is_no_worse(found, best)
    assert is_no_worse(best, found)


@settings(max_examples=300)
@given(small_means())
def test_no_plan_breaks_a_rule(means: Means) -> None:
    """Fruit, hands, pots, stock, spaces and wants are all kept, and what is told adds up."""
    assert breaches(means, fit(means)) == []


@settings(max_examples=300)
@given(small_means(), st.sampled_from(MORE), st.data())
def test_more_of_anything_never_makes_the_plan_worse(means: Means, what: str, data: st.DataObject) -> None:
    """With one thing more the goals, in their order, are at least as good."""
    assert is_no_worse(goals_of(fit(more(means, what, data))), goals_of(fit(means)))


@settings(max_examples=300)
@given(small_means(), st.randoms(use_true_random=False))
def test_the_order_of_listing_plays_no_part(means: Means, random: object) -> None:
    """The same means in another order give the same plan."""
    shuffled = {
        name: tuple(random.sample(getattr(means, name), len(getattr(means, name))))  # type: ignore[attr-defined]
        for name in ("supplies", "products", "pots", "sessions", "wants")
    }
    other = replace(means, **shuffled, stock=dict(reversed(means.stock.items())))

    assert fit(other) == fit(means)


def more(means: Means, what: str, data: st.DataObject) -> Means:
    """Return means with one thing more."""
    number = data.draw(st.integers(0, 2))
    sessions = list(means.sessions)
    at = number % len(sessions)
    if what == "hands":
        sessions[at] = replace(sessions[at], hands_hours=sessions[at].hands_hours + 1)
    elif what == "hours":
        sessions[at] = replace(sessions[at], hours=sessions[at].hours + 0.5)
    elif what == "pot" and means.pots:
        return replace(means, pots=(*means.pots, replace(means.pots[number % len(means.pots)], name="pot more")))
    elif what == "there":
        return replace(means, pots=tuple(replace(pot, away=frozenset()) for pot in means.pots))
    elif what == "stock":
        return replace(means, stock={thing: amount + 2 for thing, amount in means.stock.items()})
    elif what == "known":
        return replace(means, stock={})
    elif what == "space":
        return replace(means, spaces={space: kg + 2 for space, kg in means.spaces.items()})
    elif what == "session":
        # The last by name on its day, so that it takes no earlier session's place in the order.
        last = max(sessions, key=lambda one: one.day)
        sessions.append(replace(last, name="session more"))
    return replace(means, sessions=tuple(sessions))
