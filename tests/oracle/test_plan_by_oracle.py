"""Every effort of the planner against the planning oracle, which shares no code with it, on drawn models."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from nextprobe import make_plan
from tests.oracle.exact_plan import optimum
from tests.plan.draw import FEATURES, draw_model, extended, model_of

EFFORTS = ("fast", "deep", "exact")


def agree(arguments: dict[str, Any], effort: str, best: float) -> None:
    plan = make_plan(model_of(arguments), effort, seconds=1.0)
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


def extended_model(seed: int, features: tuple[str, ...]) -> dict[str, Any]:
    rng = np.random.default_rng(seed)
    shape = [int(rng.integers(low, high)) for low, high in ((2, 5), (0, 5), (1, 4), (1, 4))]
    noise = float(rng.choice([0.0, 0.1, 0.3]))
    drawn = draw_model(rng, shape[0], shape[1], shape[2], shape[3], noise, ternary=True)
    return extended(rng, drawn, features)


#: Each feature of a model alone, all but one of the two-fault forms, and all together.
TOGETHER = [(one,) for one in (*FEATURES, "pairs")] + [("wants", "excludes", "stops", "proof", "pairs"), FEATURES]


@pytest.mark.parametrize("features", TOGETHER, ids="-".join)
@pytest.mark.parametrize("seed", range(40))
def test_what_a_model_may_have_beside_is_solved_to_the_end(seed: int, features: tuple[str, ...]) -> None:
    arguments = extended_model(seed, features)
    plan = make_plan(model_of(arguments), "exact")
    assert plan.status == "optimal"
    assert plan.expected_cost == pytest.approx(optimum(arguments), abs=1e-8)
    assert sum(leaf.probability for leaf in plan.leaves()) == pytest.approx(1.0)


@pytest.mark.parametrize("seed", range(20))
def test_identification_where_readings_want_and_close_others(seed: int) -> None:
    rng = np.random.default_rng(seed)
    drawn = draw_model(rng, int(rng.integers(2, 6)), int(rng.integers(1, 5)), 1, 1, 0.0, ternary=True)
    arguments = extended(rng, drawn, ("wants", "excludes"))
    for key in ("repairs", "refer", "setup", "wants_repair"):
        del arguments[key]
    plan = make_plan(model_of(arguments), "exact")
    assert plan.status == "optimal"
    assert plan.expected_cost == pytest.approx(optimum(arguments), abs=1e-8)


def test_the_largest_that_the_oracle_takes() -> None:
    arguments = draw_model(np.random.default_rng(0), 8, 7, 5, 3, 0.15)
    agree(arguments, "exact", optimum(arguments))
