"""A plan costs what it says and may be followed, whatever a model may have; told by other code."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from nextprobe import make_plan
from nextprobe.plan.bounds import known_cause_bound
from tests.oracle.exact_plan import optimum
from tests.plan.by_tree import Followed
from tests.plan.draw import draw_model, extended, model_of
from tests.plan.test_tree import TOGETHER, order_of


def drawn(seed: int, features: tuple[str, ...], causes: int, tests: int, repairs: int) -> dict[str, Any]:
    rng = np.random.default_rng(seed)
    arguments = draw_model(rng, causes, tests, repairs, 3, 0.1)
    return extended(rng, {**arguments, "refer": 4 * arguments["refer"]}, features)


@pytest.mark.parametrize("features", TOGETHER, ids="-".join)
@pytest.mark.parametrize("seed", range(3))
def test_a_plan_too_large_to_solve_costs_what_it_says(
    seed: int, features: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    arguments = drawn(seed, features, 5, 6, 4)
    model = model_of(arguments)
    monkeypatch.setattr("nextprobe.plan.plan.AT_ONCE", 0)
    plan = make_plan(model)
    assert plan.lower_bound <= plan.expected_cost
    assert Followed(arguments, order_of(model)).minutes(plan.root) == pytest.approx(plan.expected_cost, rel=1e-9)
    assert sum(leaf.probability for leaf in plan.leaves()) == pytest.approx(1.0)


@pytest.mark.parametrize("features", TOGETHER, ids="-".join)
@pytest.mark.parametrize("effort", ["fast", "deep"])
def test_both_ends_hold_the_optimum_between_them(
    effort: str, features: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """As if the model were too large to be solved to the end."""
    monkeypatch.setattr("nextprobe.plan.plan.can_solve", lambda _: False)
    for seed in range(2):
        arguments = drawn(seed, features, 4, 4, 3)
        model, best = model_of(arguments), optimum(arguments)
        plan = make_plan(model, effort, seconds=0.3)
        assert plan.lower_bound <= best + 1e-7
        assert plan.expected_cost >= best - 1e-7
        assert Followed(arguments, order_of(model)).minutes(plan.root) == pytest.approx(plan.expected_cost, rel=1e-9)


@pytest.mark.parametrize("features", TOGETHER, ids="-".join)
@pytest.mark.parametrize("seed", range(15))
def test_no_policy_goes_below_the_bound_of_the_known_cause(seed: int, features: tuple[str, ...]) -> None:
    arguments = drawn(seed, features, 4, 3, 3)
    assert known_cause_bound(model_of(arguments)) <= optimum(arguments) + 1e-9
