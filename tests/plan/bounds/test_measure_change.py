"""The change-of-measure bound against the planning oracle, which shares no code with the engine."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from nextprobe import Model
from nextprobe.plan.bounds import known_cause_bound
from nextprobe.plan.bounds.measure_change import MeasureChange
from nextprobe.plan.bounds.measure_change import bound as bound_module
from nextprobe.plan.bounds.measure_change import tours as tours_module
from nextprobe.plan.bounds.measure_change.pairs import owed
from nextprobe.plan.bounds.measure_change.tours import needs_of, tours
from tests.oracle.exact_plan import Oracle, optimum
from tests.plan.draw import draw_model


def drawn(seed: int, noise: float | None = None) -> dict[str, Any]:
    rng = np.random.default_rng(seed)
    shape = [int(rng.integers(low, high)) for low, high in ((2, 7), (1, 6), (1, 5), (1, 4))]
    mess = float(rng.choice([0.0, 0.02, 0.1, 0.3])) if noise is None else noise
    return draw_model(rng, shape[0], shape[1], shape[2], shape[3], mess, ternary=True)


def nothing(model: Model) -> tuple[Any, Any]:
    return np.zeros(len(model.minutes), dtype=bool), np.zeros(len(model.fixes), dtype=bool)


@pytest.mark.parametrize("seed", range(100))
def test_it_never_passes_the_optimum(seed: int) -> None:
    arguments = drawn(seed)
    best, model = optimum(arguments), Model.from_arrays(**arguments)
    found, _ = MeasureChange(model).improve(model.prior, model.start, *nothing(model), rounds=60)
    assert known_cause_bound(model) - 0.05 * best <= found <= best + 1e-9


@pytest.mark.parametrize("seed", range(60))
def test_prices_found_once_hold_for_every_later_belief(seed: int) -> None:
    """After readings and failed repairs, from another bench state, with the steps that are left."""
    arguments = drawn(1000 + seed)
    rng = np.random.default_rng(seed)
    model, oracle = Model.from_arrays(**arguments), Oracle(arguments)
    bound = MeasureChange(model)
    _, prices = bound.improve(model.prior, model.start, *nothing(model), rounds=30)
    for _ in range(4):
        weights, (measured, tried) = model.prior.copy(), nothing(model)
        for test in rng.permutation(len(model.minutes))[: int(rng.integers(0, len(model.minutes) + 1))].tolist():
            table = model.likelihoods[test]
            weights, measured[test] = weights * table[:, int(rng.integers(table.shape[1]))], True
        for repair in rng.permutation(len(model.fixes))[: int(rng.integers(0, 2))].tolist():
            weights, tried[repair] = weights * (1.0 - model.fixes[repair]), True
        if weights.sum() <= 0:
            continue
        state = int(rng.integers(len(model.ways)))
        told, done = np.nonzero(measured)[0].tolist(), np.nonzero(tried)[0].tolist()
        best = oracle.value(weights.tolist(), state, told, done)
        assert bound.lower(prices, weights, state, measured, tried) <= best + 1e-9
        again, _ = bound.improve(weights, state, measured, tried, begin=prices, rounds=10)
        assert again <= best + 1e-9


def test_it_is_far_nearer_than_knowing_the_cause_at_once() -> None:
    """Mean over 40 drawn noisy models of 5 to 7 causes, a share of the optimum."""
    known, changed = [], []
    for seed in range(40):
        arguments = draw_model(np.random.default_rng(seed), 5 + seed % 3, 5, 4, 3, 0.1)
        model, best = Model.from_arrays(**arguments), optimum(arguments)
        found, _ = MeasureChange(model).improve(model.prior, model.start, *nothing(model), rounds=80)
        known.append(best / known_cause_bound(model) - 1)
        changed.append(best / found - 1)
    assert np.mean(changed) < 0.3 * np.mean(known)


def test_a_pair_owes_the_least_over_a_grid_of_chances() -> None:
    """Against brute force over alpha and beta."""
    rng = np.random.default_rng(0)
    grid = np.linspace(1e-9, 1 - 1e-9, 801)
    alpha, beta = grid[:, None], grid[None, :]
    relative = alpha * np.log(alpha / (1 - beta)) + (1 - alpha) * np.log((1 - alpha) / beta)
    for _ in range(60):
        nat, repair, end = np.exp(rng.uniform(-3, 4, 3))
        least = float((nat * relative + repair * alpha + end * beta).min())
        found = owed(np.array(nat), np.array(repair), np.array(end))
        assert least - 0.02 * min(repair, end) - 1e-9 <= found.minutes <= least + 1e-12
        assert found.minutes == pytest.approx(
            nat * found.nat + repair * found.wrong_repair + end * found.wrong_end, rel=1e-6, abs=1e-9
        )
    nothing_ = owed(np.array([0.0, 0.0, 3.0, 3.0]), np.array([0.0, 2.0, 0.0, 2.0]), np.array([1.0, 3.0, 2.0, 0.0]))
    assert nothing_.minutes == pytest.approx([0, 0, 0, 0], abs=1e-12)


def test_tours_are_the_shortest_walks() -> None:
    """Three places on a line, A(start) - B - C, worked by hand: through B and C it is 3 + 4 minutes."""
    moves = [[0, 3, np.inf], [3, 0, 4], [np.inf, 4, 0]]
    tables = [[[1.0, 0.0], [0.0, 1.0]]] * 2
    model = Model.from_arrays(
        [0.5, 0.5], tables, [1, 1], ([[1.0, 0.0], [0.0, 1.0]], [10, 10]), 100, (moves, [1, 2], [0, 0], 0, 0)
    )
    needs = needs_of(model)
    trips = tours(model, needs, 0)
    both = (trips.member[:, needs.measurement] > 0).all(axis=1)
    first = (trips.member[:, needs.measurement[0]] > 0) & ~(trips.member[:, needs.measurement[1]] > 0)
    # To the repairs in A: there and back. To a quote from C: the way there (the way back is the quote's own).
    assert trips.ending[both, 0] == pytest.approx([14])
    assert trips.ending[both, -1] == pytest.approx([14])
    assert trips.ending[first, 0] == pytest.approx([6])


@pytest.mark.parametrize("seed", range(40))
def test_where_needs_are_merged_and_few_hypotheses_priced_it_stays_below(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As on a bench of many places and with more hypotheses than there is time to price."""
    rng = np.random.default_rng(3000 + seed)
    arguments = draw_model(rng, 5, 5, 4, 5, 0.1, ternary=True)
    best, model = optimum(arguments), Model.from_arrays(**arguments)
    monkeypatch.setattr(tours_module, "MOST_SETS", 4)
    monkeypatch.setattr(tours_module, "FEWEST", 2)
    monkeypatch.setattr(bound_module, "PRODUCTS", 200 if seed % 2 else 10**9)
    bound = MeasureChange(model)
    assert len(tours(model, bound.needs, model.start).ending) <= 4
    assert (len(bound.among) < len(model.prior)) == bool(seed % 2)
    found, _ = bound.improve(model.prior, model.start, *nothing(model), rounds=60)
    assert 0.5 * best <= found <= best + 1e-9


def test_a_bench_of_many_places_has_few_tours() -> None:
    """Every one of 70 measurements in a place of its own: 2 to the power of 70 sets, if all were gone through."""
    rng = np.random.default_rng(0)
    places = 71
    moves = rng.uniform(1, 9, (places, places))
    tables = [rng.dirichlet(np.ones(2), 6) for _ in range(70)]
    repairs = rng.uniform(0, 1, (3, 6)), [20, 30, 40]
    setup = (moves, list(range(1, 71)), [0, 0, 0], 0, 0)
    model = Model.from_arrays(rng.dirichlet(np.ones(6)), tables, [1.0] * 70, repairs, 90, setup)
    trips = tours(model, needs_of(model), 0)
    assert 1 < len(trips.ending) <= tours_module.MOST_SETS
    assert np.isfinite(trips.ending).all()
