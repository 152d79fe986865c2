"""What a kitchen plan takes of the store: a claim on a batch for each session that uses it."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction

from firmripe.harvest.allotting import Claim, key_of
from firmripe.harvest.lots import Goes
from firmripe.harvest.takeouts import counter_days
from firmripe.kitchen.plan.because import ForSession
from firmripe.kitchen.plan.kitchen_plan import FruitUsed, KitchenPlan, KitchenSession


def kitchen_claims(plan: KitchenPlan) -> list[Claim]:
    """Return the fruit of every session as claims, in the order of the sessions."""
    return [_claim(session, used) for session in plan.sessions for making in session.makings for used in making.fruit]


def _claim(session: KitchenSession, used: FruitUsed) -> Claim:
    ripens_d = counter_days(used.batch.limb, used.batch) or 0
    return Claim(
        of=key_of(used.batch),
        day=used.out,
        used=session.day,
        ready=min(session.day, used.out + timedelta(days=ripens_d)),
        kg=Fraction(round(used.kg * 1000), 1000),
        to=Goes.KITCHEN,
        why=ForSession(kitchen=session.kitchen.name, day=session.day),
        cold=used.cold,
        came_out=any(out.noted and not out.gone and out.day == used.out for out in used.batch.outs),
    )
