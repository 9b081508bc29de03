"""The exact effort against an oracle that shares no code with it, and against values from outside."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from nextprobe import Model, make_plan
from nextprobe.plan.grown import Node
from tests.oracle.exact_plan import optimum
from tests.plan.draw import draw_model

DEPENDENT = np.array([[1, 1, 1, 0, 0, 0], [0, 0, 0, 1, 1, 1], [0, 0, 1, 1, 0, 0]], dtype=float)


@pytest.mark.parametrize("seed", range(60))
def test_the_optimum_is_the_oracles_and_the_bounds_hold(seed: int) -> None:
    """Own oracle: plain recursion over beliefs."""
    rng = np.random.default_rng(seed)
    size = [int(rng.integers(2, 5)), int(rng.integers(1, 4)), int(rng.integers(1, 4)), int(rng.integers(1, 4))]
    arguments = draw_model(rng, size[0], size[1], size[2], size[3], float(rng.uniform(0, 0.3)))
    model = Model.from_arrays(**arguments)
    exact, fast = make_plan(model, "exact"), make_plan(model)
    assert exact.status == "optimal"
    assert exact.expected_cost == pytest.approx(optimum(arguments), abs=1e-9)
    assert exact.lower_bound == exact.expected_cost
    assert fast.lower_bound <= exact.expected_cost + 1e-9 <= fast.expected_cost + 2e-9
    assert sum(leaf.probability for leaf in exact.leaves()) == pytest.approx(1.0)


def test_dependent_repairs() -> None:
    """Six equally likely faults, repairs {1,2,3} c=3, {4,5,6} c=3, {3,4} c=1.9: the optimum is 4.5, p/c takes 4.9.

    Source: worked example in the troubleshooting literature on dependent actions (recomputed by independent code).
    """
    model = Model.from_arrays([1 / 6] * 6, [], [], (DEPENDENT, [3.0, 3.0, 1.9]), 1000.0)
    plan = make_plan(model, "exact")
    assert plan.expected_cost == pytest.approx(4.5)
    assert plan.first.index in (0, 1)


def test_opening_once_before_two_of_four_repairs() -> None:
    """Opening cost 6 before repairs 3 and 4, p = .14, .20, .36, .30, c = 1, 4, 2, 3: 509/50 in the order 1, 3, 4, 2."""
    moves = [[0.0, 6.0], [0.0, 0.0]]
    serves = np.array([[True, True], [True, True], [False, True], [False, True]])
    arguments: dict[str, Any] = {
        "prior": [0.14, 0.20, 0.36, 0.30],
        "likelihoods": [],
        "minutes": [],
        "repairs": (np.eye(4).tolist(), [1.0, 4.0, 2.0, 3.0]),
        "refer": 1000.0,
        "setup": (moves, None, serves, 0),
    }
    plan = make_plan(Model.from_arrays(**arguments), "exact")
    assert plan.expected_cost == pytest.approx(509 / 50)
    order: list[int] = []
    node: Node | None = plan.root
    while node is not None and node.action.kind == "repair":
        order.append(node.action.index + 1)
        node = node.failed
    assert order == [1, 3, 4, 2]
    assert optimum(arguments) == pytest.approx(509 / 50)


@pytest.mark.parametrize(("p", "first", "second"), [(0.7, 3.0, 1.0), (0.4, 2.0, 2.0), (0.2, 1.0, 3.0)])
def test_two_causes_one_check_each(p: float, first: float, second: float) -> None:
    """Check 1 first exactly when p / C1 >= (1 - p) / C2 (textbook result, attributed to Ross, from memory)."""
    model = Model.from_arrays([p, 1 - p], [], [], (np.eye(2), [first, second]), 1000.0)
    assert make_plan(model, "exact").first.index == (0 if p / first >= (1 - p) / second else 1)


def test_a_measurement_that_costs_nothing_never_raises_the_optimum() -> None:
    for seed in range(20):
        rng = np.random.default_rng(1000 + seed)
        arguments = draw_model(rng, 4, 3, 3, 1, 0.1)
        less = {**arguments, "likelihoods": arguments["likelihoods"][:2], "minutes": arguments["minutes"][:2]}
        less["setup"] = ([[0.0]], None, None, 0)
        free = {**arguments, "minutes": [*arguments["minutes"][:2], 0.0], "setup": ([[0.0]], None, None, 0)}
        with_it = make_plan(Model.from_arrays(**free), "exact").expected_cost
        assert with_it <= make_plan(Model.from_arrays(**less), "exact").expected_cost + 1e-9


def test_a_model_too_large_for_it_is_planned_fast_and_says_so() -> None:
    arguments = draw_model(np.random.default_rng(5), 8, 16, 6, 2, 0.15)
    plan = make_plan(Model.from_arrays(**arguments), "exact", seconds=0.0)
    assert plan.status in ("stopped", "within_gap")
    assert plan.lower_bound <= plan.expected_cost
