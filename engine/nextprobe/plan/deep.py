"""Models too large for a search: first the bound, then a policy that is deepened where most is left to gain."""

from __future__ import annotations

from collections.abc import Callable
from time import monotonic

import numpy as np

from nextprobe.model.merge import merged
from nextprobe.model.model import Model
from nextprobe.plan.bounds import known_cause_bound
from nextprobe.plan.bounds.measure_change import PRICED, MeasureChange
from nextprobe.plan.deepen import Deepening
from nextprobe.plan.grown import Node

#: The share of the time that the bound may take, and its rounds at most: beyond these it hardly rises.
BOUND_SHARE, BOUND_ROUNDS = 0.4, 250
#: Rounds that pay more than pricing all hypotheses does, and the fewest hypotheses that are priced for it.
ENOUGH, FEWEST = 100, 100
#: Rounds of the bound where an answer is wanted at once.
AT_ONCE_ROUNDS = 6
#: What is told while planning: U and L so far.
Told = Callable[[float, float], None]


def lower_bound(
    model: Model, rounds: int, stop: Callable[[float], bool] = lambda _: False, seconds: float | None = None
) -> float:
    """Minutes that no policy goes below: the better of a known cause and a change of measure.

    stop: asked after each round but the first few. seconds: how long it may take about; then so few hypotheses are
    priced, the likeliest, that there is time for `ENOUGH` rounds.
    """
    if model.still is not None or model.identify or not len(model.fixes):
        return known_cause_bound(model)
    lean, _ = merged(model)
    bound = MeasureChange(lean)
    known = float(bound.cause.minutes()[lean.start] @ lean.prior)
    nothing = np.zeros(len(lean.minutes), dtype=bool), np.zeros(len(lean.fixes), dtype=bool)
    most, least = len(lean.prior), known

    def told(lower: float) -> bool:
        return stop(max(least, lower))

    if seconds is not None:
        begun = monotonic()
        # As many as the quick plan makes whatever the time, so that the bound is never below its.
        at_once, _ = bound.improve(lean.prior, lean.start, *nothing, rounds=AT_ONCE_ROUNDS)
        least = max(known, at_once)
        # A round takes its time by pairs.
        rounds_left = (seconds / max(monotonic() - begun, 1e-6) - 1.0) * AT_ONCE_ROUNDS
        if rounds_left < 1.0 or told(least):
            return least
        most = int(most * min(1.0, (rounds_left / ENOUGH) ** 0.5))
    most = min(PRICED, max(most, FEWEST))
    changed, _ = bound.improve(lean.prior, lean.start, *nothing, most=most, rounds=rounds, stop=told)
    return max(least, changed)


def deepened(
    model: Model,
    base: tuple[float, Node],
    *,
    seconds: float,
    gap: float,
    cancel: Callable[[], bool] | None,
    told: Told | None,
) -> tuple[float, float, Node]:
    """U, L and the policy, no worse than `base`; told: called with U and L now and then."""
    begun, (upper, root) = monotonic(), base

    def over(share: float) -> bool:
        return monotonic() - begun >= share * seconds or (cancel is not None and cancel())

    def bounded(lower: float) -> bool:
        if told is not None:
            told(upper, lower)
        return over(BOUND_SHARE) or upper - lower <= gap * lower

    lower = lower_bound(model, BOUND_ROUNDS, bounded, BOUND_SHARE * seconds)
    lean, _ = merged(model)
    policy = Deepening(lean)

    def near(minutes: float) -> bool:
        if told is not None:
            told(min(upper, minutes), lower)
        return over(1.0) or minutes - lower <= gap * lower

    policy.run(near)
    if policy.upper < upper:
        upper, root = policy.upper, policy.policy()
    return upper, lower, root
