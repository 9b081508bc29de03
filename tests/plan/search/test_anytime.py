"""The search and its bound against the planning oracle, which shares no code with the engine."""

from __future__ import annotations

import numpy as np
import pytest

from nextprobe import Model, ModelError
from nextprobe.plan.bounds.entropic import EntropicBound
from nextprobe.plan.exact import solve
from nextprobe.plan.search import search
from tests.oracle.exact_plan import optimum
from tests.plan.draw import draw_model


@pytest.mark.parametrize("seed", range(60))
def test_both_ends_hold_the_optimum_between_them(seed: int) -> None:
    rng = np.random.default_rng(seed)
    shape = [int(rng.integers(low, high)) for low, high in ((2, 6), (0, 5), (1, 4), (1, 4))]
    noise = float(rng.choice([0.0, 0.1, 0.3]))
    arguments = draw_model(rng, shape[0], shape[1], shape[2], shape[3], noise, ternary=True)
    best = optimum(arguments)
    model = Model.from_arrays(**arguments)
    for expansions in (0, 3, 30):
        found = search(model, expansions=expansions, gap=0.0)
        assert found.lower <= best + 1e-9
        assert found.upper >= best - 1e-9
    whole = search(model, gap=0.0)
    assert whole.upper == pytest.approx(best, abs=1e-7)
    assert whole.lower == pytest.approx(best, abs=1e-7)


@pytest.mark.parametrize("seed", range(40))
def test_the_bound_stays_below_the_optimum_from_any_belief(seed: int) -> None:
    """The optimum: dynamic programming of the exact effort, itself held against the oracle."""
    rng = np.random.default_rng(500 + seed)
    for _ in range(3):
        model = Model.from_arrays(**draw_model(rng, 6, 4, 3, 3, float(rng.uniform(0.0, 0.3))))
        none = np.zeros((1, 4), dtype=bool), np.zeros((1, 3), dtype=bool)
        solved = solve(model)
        assert solved is not None
        assert EntropicBound(model).lower(model.prior[None, :], *none)[0, model.start] <= solved.minutes + 1e-9


def test_the_same_number_of_expansions_gives_the_same_answer() -> None:
    model = Model.from_arrays(**draw_model(np.random.default_rng(2), 10, 9, 6, 3, 0.15))
    one, two = search(model, expansions=40, gap=0.0), search(model, expansions=40, gap=0.0)
    assert (one.upper, one.lower, one.root) == (two.upper, two.lower, two.root)


def test_cancelled_at_once_it_is_no_worse_than_its_base() -> None:
    model = Model.from_arrays(**draw_model(np.random.default_rng(2), 6, 5, 4, 3, 0.15))
    best = search(model, gap=0.0)
    found = search(model, (best.upper, best.root), cancel=lambda: True)
    assert found.upper == best.upper
    assert found.lower <= found.upper


def test_identification_is_refused() -> None:
    with pytest.raises(ModelError):
        search(Model.from_arrays([0.5, 0.5], [np.eye(2)], [1.0]))
