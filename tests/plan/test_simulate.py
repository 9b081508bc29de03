"""Simulated jobs against the exact cost of the policy that they follow: told by dynamic programming."""

from __future__ import annotations

import numpy as np
import pytest

from nextprobe.model.arrays import Bools, Floats
from nextprobe.model.model import Model
from nextprobe.plan.exact import solve
from nextprobe.plan.gain import OneStepAhead
from nextprobe.plan.grown import Node
from nextprobe.plan.policy import Action
from nextprobe.plan.simulate import draw_jobs, simulate
from tests.oracle.exact_plan import optimum
from tests.plan.draw import FEATURES, draw_model, extended, model_of

EVERYTHING = ("wants", "excludes", "stops", "proof")


class ByTree:
    """The optimal policy's tree as a way of choosing, found again from what was told and tried."""

    name = "by tree"

    def __init__(self, model: Model, root: Node) -> None:
        self.places: list[tuple[Node, Floats, int]] = []
        self._keep(model, root, model.prior, model.start)

    def _keep(self, model: Model, node: Node, weights: Floats, state: int) -> None:
        self.places.append((node, weights / max(weights.sum(), 1e-300), state))
        for outcome, child in node.children.items():
            self._keep(model, child, weights * model.likelihoods[node.action.index][:, outcome], node.state)
        if node.failed is not None:
            after = int(model.proof_state[node.action.index, node.state])
            self._keep(model, node.failed, model.after_failure(weights[None, :], node.action.index)[0], after)

    def choose(self, model: Model, belief: Floats, state: int, measured: Bools, tried: Bools) -> Action:
        share = belief / belief.sum()
        return min(self.places, key=lambda place: float(abs(place[1] - share).sum()) + 10 * (place[2] != state))[
            0
        ].action


@pytest.mark.parametrize("two", ["pairs", "still"])
@pytest.mark.parametrize("seed", range(3))
def test_jobs_of_the_optimal_policy_cost_the_optimum(seed: int, two: str) -> None:
    """20,000 jobs agree within four standard errors. One bench state, so that the nearest is the best."""
    rng = np.random.default_rng(seed)
    drawn = draw_model(rng, 3, 3, 3, 1, 0.1)
    arguments = extended(rng, {**drawn, "refer": 4 * drawn["refer"]}, (*EVERYTHING, two))
    model = model_of(arguments)
    solved = solve(model)
    assert solved is not None
    assert solved.minutes == pytest.approx(optimum(arguments))
    costs = simulate(model, ByTree(model, solved.root), draw_jobs(model, 20_000, rng))
    assert abs(costs.mean - solved.minutes) < 4 * costs.standard_error + 1e-9


@pytest.mark.parametrize("seed", range(6))
def test_no_way_of_choosing_beats_the_optimum(seed: int) -> None:
    rng = np.random.default_rng(seed)
    drawn = draw_model(rng, 4, 4, 3, 2, 0.1)
    arguments = extended(rng, {**drawn, "refer": 4 * drawn["refer"]}, FEATURES)
    model = model_of(arguments)
    costs = simulate(model, OneStepAhead(), draw_jobs(model, 3000, rng))
    assert costs.mean >= optimum(arguments) - 4 * costs.standard_error - 1e-9
