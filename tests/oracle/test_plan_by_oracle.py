"""Every effort of the planner against the planning oracle, which shares no code with it, on drawn models."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from nextprobe import Model, make_plan
from tests.oracle.exact_plan import optimum
from tests.plan.draw import draw_model

EFFORTS = ("fast", "deep", "exact")


def agree(arguments: dict[str, Any], effort: str, best: float) -> None:
    plan = make_plan(Model.from_arrays(**arguments), effort, seconds=1.0)
    if plan.status == "optimal":
        assert plan.expected_cost == pytest.approx(best, abs=1e-7)
    assert plan.lower_bound <= best + 1e-7
    assert plan.expected_cost >= best - 1e-7


@pytest.mark.parametrize("seed", range(60))
def test_repairs_over_a_bench_with_moves(seed: int) -> None:
    rng = np.random.default_rng(seed)
    shape = [int(rng.integers(low, high)) for low, high in ((2, 6), (0, 5), (1, 4), (1, 4))]
    noise = float(rng.choice([0.0, 0.1, 0.3]))
    arguments = draw_model(rng, shape[0], shape[1], shape[2], shape[3], noise, ternary=True)
    best = optimum(arguments)
    for effort in EFFORTS:
        agree(arguments, effort, best)


@pytest.mark.parametrize("seed", range(40))
def test_identification_over_a_bench_with_moves(seed: int) -> None:
    rng = np.random.default_rng(seed)
    drawn = draw_model(rng, int(rng.integers(2, 6)), int(rng.integers(1, 5)), 1, int(rng.integers(1, 4)), 0.0)
    moves, at_test, *_ = drawn["setup"]
    arguments = {key: drawn[key] for key in ("prior", "likelihoods", "minutes")} | {"setup": (moves, at_test, None, 0)}
    best = optimum(arguments)
    for effort in EFFORTS:
        agree(arguments, effort, best)


def test_the_largest_that_the_oracle_takes() -> None:
    arguments = draw_model(np.random.default_rng(0), 8, 7, 5, 3, 0.15)
    agree(arguments, "exact", optimum(arguments))
