"""A plan followed to its ends costs what the plan says, told by other code; and so do simulated jobs."""

from __future__ import annotations

import numpy as np
import pytest

from nextprobe import Model, make_plan
from nextprobe.plan.baselines import FixedOrder, InformationPerMinute
from nextprobe.plan.follow import follow
from nextprobe.plan.played import play
from nextprobe.plan.simulate import draw_jobs, simulate
from nextprobe.plan.stops import CONFIDENCES, under_stops


def drawn(seed: int, causes: int, tests: int, repairs: int) -> Model:
    rng = np.random.default_rng(seed)
    tables = [0.1 + 0.8 * np.eye(2)[rng.integers(0, 2, causes)] for _ in range(tests)]
    fixes = np.where(rng.random((repairs, causes)) < 0.4, 0.8, 0.0)
    moves = rng.uniform(1, 5, (2, 2)) * (1 - np.eye(2))
    setup = (moves, rng.integers(0, 2, tests), rng.integers(0, 2, repairs), 0)
    prior, minutes = rng.dirichlet(np.ones(causes)), rng.uniform(1, 6, tests)
    return Model.from_arrays(prior, tables, minutes, (fixes, rng.uniform(10, 60, repairs)), 120.0, setup)


@pytest.mark.parametrize("size", [(6, 5, 3), (12, 14, 8)])
@pytest.mark.parametrize("seed", range(3))
def test_the_tree_costs_what_the_plan_says(seed: int, size: tuple[int, int, int]) -> None:
    model = drawn(seed, *size)
    plan = make_plan(model)
    root = follow(model, plan.root)
    assert root.minutes == pytest.approx(plan.expected_cost, rel=1e-3)
    costs = play(model, root, draw_jobs(model, 20_000, np.random.default_rng(1)))
    assert abs(costs.mean - root.minutes) < 4 * costs.standard_error


@pytest.mark.parametrize("question", [FixedOrder, InformationPerMinute])
def test_many_stops_at_once_are_each_stop_alone(question: type[FixedOrder] | type[InformationPerMinute]) -> None:
    """Against the same policies played one job after another."""
    model = drawn(7, 8, 7, 5)
    jobs = draw_jobs(model, 100, np.random.default_rng(2))
    found = under_stops(model, question(), jobs, lambda: False)
    assert found is not None
    for number, confidence in enumerate(CONFIDENCES):
        alone = simulate(model, question(confidence=confidence), jobs)
        assert found.minutes[number] == pytest.approx(alone.minutes)
