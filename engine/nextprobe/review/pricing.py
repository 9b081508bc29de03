"""What a step costs to the end of the job: small problems to the end, large ones by a plan deepened step beside step.

Two steps are priced alike: from the same belief, bench and masks, and with as many places of the plan each.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from nextprobe.plan.deepen import Deepening
from nextprobe.plan.exact import can_solve, entries, solve
from nextprobe.plan.plan import AT_ONCE, make_plan
from nextprobe.plan.tree import Start
from nextprobe.review.place import Branch, Fork, Place, reduced

#: Ends followed on at a time, so that a plan stops near its number of places.
AT_A_TIME = 16
#: At this part of its places a plan is looked at, beside its first tree: what it moved since tells the doubt.
EARLY = 0.25
#: The part of what knowing the cause would save by which two deepened plans may tell a difference wrong that never
#: moved: of 480 pairs of steps of random small models the exact difference lay within the doubt in 96 of 100 with it.
SHARE = 0.02


@dataclass(frozen=True, slots=True)
class Priced:
    """Expected minutes of a step and of all that follows.

    earlier: the same by the plan's first tree and by a part of its places. slack: minutes by which it may be off at
    most, where that is known. rest: of each branch, its chance and the minutes that follow there. exact: no plan that
    begins so is cheaper.
    """

    minutes: float
    earlier: tuple[float, float]
    slack: float
    rest: dict[int, tuple[float, float]]
    exact: bool


def price(place: Place, step: Fork, places: int, cancel: Callable[[], bool] = lambda: False) -> Priced:
    """Price a step with so many places of a plan; `cancel`: True ends it with the best so far."""
    known = {branch.key: branch.minutes for branch in step.branches if branch.minutes is not None}
    open_ = [branch for branch in step.branches if branch.minutes is None]
    values, gained, slack = _planned(place, open_, places, cancel)
    rest = {b.key: (b.chance, known[b.key] if b.key in known else values[b.key]) for b in step.branches}
    minutes = step.own + sum(chance * minutes for chance, minutes in rest.values())
    exact = gained is None and slack <= 0.0
    first, early = gained or (0.0, 0.0)
    return Priced(minutes, (minutes + first, minutes + early), slack, rest, exact)


def doubt(place: Place, one: Priced, other: Priced) -> float:
    """What the difference of two steps may be off: how far it has moved while both plans were deepened.

    What both have in common, because much the same follows on either, moves both alike and is no doubt about them. A
    share of what could be gained by knowing the cause at `place` is added where not both could be solved to the end.
    """
    if one is other:
        return 0.0
    now = one.minutes - other.minutes
    moved = (abs(a - b - now) for a, b in zip(one.earlier, other.earlier, strict=True))
    found = max(moved) + one.slack + other.slack
    if (one.exact and other.exact) or place.model.identify:
        return found
    known = float(place.scores.known_cause(place.share[None, :], np.array([place.state]))[0])
    return found + SHARE * max(0.0, other.minutes - known)


def _planned(
    place: Place, open_: list[Branch], places: int, cancel: Callable[[], bool]
) -> tuple[dict[int, float], tuple[float, float] | None, float]:
    """Minutes of each open branch; what was gained in all since the first tree and since part of the places; slack.

    Nothing is gained where the branches were solved to the end.
    """
    if not open_:
        return {}, None, 0.0
    solved = _solved(place, open_)
    if solved is not None:
        return solved[0], None, solved[1]
    start = Start(
        np.array([branch.weights for branch in open_]),
        np.array([branch.state for branch in open_]),
        np.array([branch.measured for branch in open_]),
        np.array([branch.tried for branch in open_]),
    )
    plan = Deepening(place.model, start, place.scores, AT_A_TIME)
    first = plan.upper
    plan.run(lambda _: plan.size >= EARLY * places or cancel())
    early = plan.upper
    plan.run(lambda _: plan.size >= places or cancel())
    plan.policy()
    values = {b.key: root.minutes / b.chance for b, root in zip(open_, plan.roots, strict=True)}
    return values, (first - plan.upper, early - plan.upper), 0.0


def _solved(place: Place, open_: list[Branch]) -> tuple[dict[int, float], float] | None:
    """Minutes of each branch, and slack, where all are small enough to be solved or the aim is to know the cause."""
    values, slack = {}, 0.0
    for branch in open_:
        model = next(reduced(place, branch), None)
        if model is None:
            return None
        if model.identify:
            plan = make_plan(model, "fast")
            values[branch.key] = plan.expected_cost
            slack += branch.chance * (plan.expected_cost - plan.lower_bound)
            continue
        if not can_solve(model) or entries(model) > AT_ONCE:
            return None
        solved = solve(model)
        if solved is None:
            return None
        values[branch.key] = solved.minutes
    return values, slack
