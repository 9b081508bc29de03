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
#: At this part of its places a plan is looked at for the first time: what it moves from there on is the doubt.
EARLY = 0.25


@dataclass(frozen=True, slots=True)
class Priced:
    """Expected minutes of a step and of all that follows; moved: what the figure may be off.

    rest: of each branch, its chance and the minutes that follow there. exact: nothing could be cheaper.
    """

    minutes: float
    moved: float
    rest: dict[int, tuple[float, float]]
    exact: bool


def price(place: Place, step: Fork, places: int, cancel: Callable[[], bool] = lambda: False) -> Priced:
    """Price a step with so many places of a plan; `cancel`: True ends it with the best so far."""
    known = {branch.key: branch.minutes for branch in step.branches if branch.minutes is not None}
    open_ = [branch for branch in step.branches if branch.minutes is None]
    values, moved, exact = _planned(place, open_, places, cancel)
    rest = {b.key: (b.chance, known[b.key] if b.key in known else values[b.key]) for b in step.branches}
    minutes = step.own + sum(chance * minutes for chance, minutes in rest.values())
    return Priced(minutes, moved, rest, exact)


def _planned(
    place: Place, open_: list[Branch], places: int, cancel: Callable[[], bool]
) -> tuple[dict[int, float], float, bool]:
    """Minutes of each open branch, what their mean may be off, whether that is nothing."""
    if not open_:
        return {}, 0.0, True
    solved = _solved(place, open_)
    if solved is not None:
        return solved
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
    # Too few places to look twice: what was gained since the first tree stands for the doubt.
    moved = (early if early < first else first) - plan.upper
    values = {b.key: root.minutes / b.chance for b, root in zip(open_, plan.roots, strict=True)}
    return values, max(0.0, moved), False


def _solved(place: Place, open_: list[Branch]) -> tuple[dict[int, float], float, bool] | None:
    """The same for a problem small enough to be solved to the end, and for one where the aim is to know the cause."""
    values, doubt = {}, 0.0
    for branch in open_:
        model = next(reduced(place, branch), None)
        if model is None:
            return None
        if model.identify:
            plan = make_plan(model, "fast")
            values[branch.key] = plan.expected_cost
            doubt += branch.chance * (plan.expected_cost - plan.lower_bound)
            continue
        if not can_solve(model) or entries(model) > AT_ONCE:
            return None
        solved = solve(model)
        if solved is None:
            return None
        values[branch.key] = solved.minutes
    return values, doubt, doubt <= 0.0
