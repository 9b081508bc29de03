"""The entropic bound against the planning oracle, which shares no code with the engine."""

from __future__ import annotations

import numpy as np
import pytest

from nextprobe.plan.bounds.entropic import EntropicBound, Usage
from nextprobe.plan.exact import solve
from tests.oracle.exact_plan import optimum
from tests.plan.draw import draw_model, extended, model_of

#: Each of what a model of one fault may have beside plain steps, and all together.
TOGETHER = [(), ("wants",), ("excludes",), ("stops",), ("proof",), ("wants", "excludes", "stops", "proof")]


@pytest.mark.parametrize("features", TOGETHER, ids="-".join)
@pytest.mark.parametrize("seed", range(40))
def test_it_stays_below_the_optimum_whatever_the_rates(seed: int, features: tuple[str, ...]) -> None:
    rng = np.random.default_rng(seed)
    shape = [int(rng.integers(low, high)) for low, high in ((2, 6), (0, 5), (1, 4), (1, 6))]
    drawn = draw_model(rng, shape[0], shape[1], shape[2], shape[3], float(rng.choice([0.0, 0.1, 0.3])), ternary=True)
    arguments = extended(rng, drawn, features)
    best = optimum(arguments)
    model = model_of(arguments)
    bound = EntropicBound(model)
    weights = model.prior[None, :]
    none = np.zeros((1, shape[1]), dtype=bool), np.zeros((1, shape[2]), dtype=bool)
    assert bound.lower(weights, *none)[0, model.start] <= best + 1e-9
    for _ in range(6):
        usage = Usage(rng.random((1, shape[1] + shape[2] + 1, shape[0])) ** 3)
        rates = bound.rates(weights, usage, rng.uniform(0.0, 150.0, 1))
        known = bound.known.solve(rates, *none)
        value = bound.value(weights, bound.table.entropy(weights), known, rates.rho)
        assert value[0, model.start] <= best + 1e-9


@pytest.mark.parametrize("seed", range(20))
def test_rates_of_one_belief_hold_for_others(seed: int) -> None:
    """The optimum: dynamic programming of the exact effort, itself held against the oracle."""
    rng = np.random.default_rng(700 + seed)
    arguments = draw_model(rng, 5, 4, 3, 3, 0.15)
    model = model_of(arguments)
    bound = EntropicBound(model)
    none = np.zeros((1, 4), dtype=bool), np.zeros((1, 3), dtype=bool)
    tuned = bound.from_nothing(model.prior[None, :], *none, np.array([model.start]))
    rates = bound.rates(model.prior[None, :], tuned.usage, tuned.rho)
    known = bound.known.solve(rates, *none)
    for _ in range(4):
        other = rng.dirichlet(np.full(5, 0.5))
        solved = solve(model_of({**arguments, "prior": other.tolist()}))
        assert solved is not None
        value = bound.value(other[None, :], bound.table.entropy(other[None, :]), known, rates.rho)
        assert value[0, model.start] <= solved.minutes + 1e-9


def test_tuning_raises_it_above_the_known_cause() -> None:
    """With rho 0 it is a known-cause bound (perfect information: Raiffa & Schlaifer 1961); a price of nats must pay."""
    for seed in range(5):
        model = model_of(draw_model(np.random.default_rng(seed), 10, 10, 6, 3, 0.15))
        none = np.zeros((1, 10), dtype=bool), np.zeros((1, 6), dtype=bool)
        bound = EntropicBound(model)
        weights = model.prior[None, :]
        rates = bound.rates(weights, Usage.all(model), np.zeros(1))
        free = bound.value(weights, np.zeros(1), bound.known.solve(rates, *none), np.zeros(1))
        assert bound.lower(weights, *none)[0, model.start] > 1.02 * free[0, model.start]
