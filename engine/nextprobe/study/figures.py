"""A deepened plan told for each hypothesis by itself: minutes, how jobs end, steps, and what is asked.

Exact for the policy told: the share of each hypothesis that gets to a place goes down the tree with every outcome.
What is summed over the hypotheses with their prior as weights is the plan's own figure.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from time import monotonic
from typing import NamedTuple

import numpy as np

from nextprobe.model.arrays import Floats, Ints
from nextprobe.model.merge import merged
from nextprobe.model.model import Model
from nextprobe.plan.deepen import Deepening
from nextprobe.plan.exact import can_solve
from nextprobe.plan.grown import Node
from nextprobe.plan.plan import make_plan
from nextprobe.study.follow import tally_of
from nextprobe.study.tally import FOUND, LOOKING, MINUTES, QUOTED, REPAIRED, STEPS, STOPPED, VAIN, Tally

#: Places at which a plan is deep enough where no seconds are given: a count and no clock, so that the same pack gives
#: the same figures everywhere. PATIENCE: seconds after which even so no more is waited for.
ENOUGH, PATIENCE = 30_000, 120.0


@dataclass(frozen=True)
class PolicyFigures:
    """What a policy costs, for one job of each hypothesis of `lean`, and the policy itself.

    All (H,): minutes in all, of which `looking` for measurements and `in_vain` for repairs that left the symptom;
    steps: measurements and repairs; repaired, quoted, stopped (a reading ended the work), found (identified):
    shares that sum to 1. asked (T,), tried (R,): chance that a job comes to each measurement and repair.
    asked_of (T, C), believed (C, C): see tally.py, with the causes that were given. upper: the policy's minutes, as the
    plan tells them. root: the policy's tree, for `lean`, the model whose like hypotheses are one; group (H of the
    model,): which one.
    """

    minutes: Floats
    looking: Floats
    in_vain: Floats
    steps: Floats
    repaired: Floats
    quoted: Floats
    stopped: Floats
    found: Floats
    asked: Floats
    tried: Floats
    asked_of: Floats
    believed: Floats
    upper: float
    optimal: bool
    root: Node = field(repr=False)
    lean: Model = field(repr=False)
    group: Ints = field(repr=False)

    def mean(self, figure: Floats) -> float:
        """A figure (H,) over all jobs."""
        return float(figure @ self.lean.prior / self.lean.prior.sum())


class Policy(NamedTuple):
    """A plan to tell: its tree, its minutes, whether it is proven the best."""

    root: Node
    upper: float
    optimal: bool


def policy_figures(
    model: Model,
    seconds: float | None = None,
    *,
    cause_of: Ints | None = None,
    cancel: Callable[[], bool] = lambda: False,
) -> PolicyFigures:
    """Plan `model`, for about `seconds` where they are given, and tell the policy for each hypothesis.

    Without `seconds` the same model gives the same figures, after some seconds where it is large. Small models are
    solved to the end. cause_of (H,): the cause of each hypothesis, for `believed`, which is of all causes together
    where it is not given. cancel: asked now and then, True ends the planning with the best so far.
    Raises ModelError for a model with two faults, and for one whose jobs would never end.
    """
    lean, group = merged(model)
    return told_of(lean, group, plan_of(lean, seconds, cancel), fold_of(model, lean, group, cause_of))


def plan_of(
    lean: Model,
    seconds: float | None = None,
    cancel: Callable[[], bool] = lambda: False,
    say: Callable[[int, int], None] = lambda places, enough: None,
) -> Policy:
    """The policy that a study tells of. say: told how many places it is deep, and how many are enough."""
    if lean.identify or can_solve(lean):
        plan = make_plan(lean, "exact", None if lean.identify else seconds, cancel=cancel)
        return Policy(plan.root, plan.expected_cost, plan.status == "optimal")
    end = monotonic() + (PATIENCE if seconds is None else seconds)
    policy = Deepening(lean)

    def enough() -> bool:
        if seconds is None:
            say(min(policy.size, ENOUGH), ENOUGH)
        return monotonic() >= end or cancel() or (seconds is None and policy.size >= ENOUGH)

    policy.run(lambda _: enough())
    return Policy(policy.policy(), policy.upper, False)


def fold_of(model: Model, lean: Model, group: Ints, cause_of: Ints | None) -> Floats:
    """(H of lean, C) the share of each cause in each hypothesis of `lean`; rows sum to 1 where anything is there."""
    owner = np.zeros(len(group), dtype=np.int64) if cause_of is None else cause_of
    fold = np.zeros((len(lean.prior), int(owner.max(initial=0)) + 1))
    np.add.at(fold, (group, owner), model.prior)
    return np.asarray(fold / np.maximum(fold.sum(axis=1, keepdims=True), 1e-300))


def told_of(lean: Model, group: Ints, policy: Policy, fold: Floats) -> PolicyFigures:
    """The figures of a policy for `lean`; fold as in `fold_of`."""
    tally: Tally = tally_of(lean, policy.root, fold)
    sums = tally.sums
    return PolicyFigures(
        minutes=sums[MINUTES], looking=sums[LOOKING], in_vain=sums[VAIN], steps=sums[STEPS], repaired=sums[REPAIRED],
        quoted=sums[QUOTED], stopped=sums[STOPPED], found=sums[FOUND], asked=tally.asked.sum(axis=1),
        tried=tally.tried, asked_of=tally.asked,
        believed=tally.believed, upper=policy.upper, optimal=policy.optimal, root=policy.root, lean=lean, group=group,
    )  # fmt: skip
