"""The value of each first step against a one-step lookahead written in plain Python, and against the optimum."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from nextprobe import Model
from nextprobe.plan.myopic import Values, step_values
from nextprobe.plan.prices import Prices
from tests.plan.by_hand import Problem, drawn


def values_of(problem: Problem, measured: frozenset[int] = frozenset(), tried: frozenset[int] = frozenset()) -> Values:
    model = Model.from_arrays(**problem.arrays())
    return step_values(
        model,
        model.prior,
        model.start,
        measured=np.array([t in measured for t in range(len(problem.tables))], dtype=bool),
        tried=np.array([r in tried for r in range(len(problem.fixes))], dtype=bool),
    )


@pytest.mark.parametrize("seed", range(150))
def test_each_first_step_is_worth_what_the_lookahead_says(seed: int) -> None:
    problem = drawn(seed)
    tried = frozenset({0}) if seed % 3 == 0 and len(problem.fixes) > 1 else frozenset[int]()
    open_ = frozenset(range(len(problem.fixes))) - tried
    values = values_of(problem, tried=tried)
    weights = list(problem.prior)
    assert values.refer == pytest.approx(problem.quote(0))
    for t in range(len(problem.tables)):
        assert values.measure[t] == pytest.approx(problem.measure(t, weights, 0, open_), rel=1e-9)
    for r in range(len(problem.fixes)):
        wanted = problem.repair(r, weights, 0, open_) if r in open_ else float("inf")
        assert values.repair[r] == pytest.approx(wanted, rel=1e-9)


@pytest.mark.parametrize("seed", range(40))
def test_no_step_promises_less_than_the_optimum(seed: int) -> None:
    """Each value is the cost of a plan that can be followed, so none lies below the best plan's.

    The best plan's by dynamic programming over everything that can be done and told.
    """
    problem = drawn(seed)
    values = values_of(problem)
    best = problem.optimum(0)
    assert min(values.refer, *values.measure, *values.repair) >= best - 1e-9


@pytest.mark.parametrize("seed", range(40))
def test_a_free_measurement_never_raises_the_value(seed: int) -> None:
    """More information for nothing cannot hurt: the value by it is at most that of repairing in order or quoting."""
    problem = drawn(seed)
    everywhere = tuple(range(len(problem.moves)))
    free = replace(problem, minutes=(0.0, *problem.minutes[1:]), at_test=(everywhere, *problem.at_test[1:]))
    open_ = frozenset(range(len(free.fixes)))
    ordered = free.in_order(list(free.prior), 0, open_)
    by_measuring = values_of(free).measure[0]
    without = replace(free, tables=free.tables[1:], minutes=free.minutes[1:], at_test=free.at_test[1:])
    assert free.optimum(0) <= without.optimum(0) + 1e-9
    # Order by chance over cost is itself no optimum, so a slip of the order may cost a little after an outcome.
    assert by_measuring <= ordered * 1.25 + 1e-9


def test_what_was_measured_or_tried_is_not_open() -> None:
    problem = drawn(3)
    everything = frozenset(range(9))
    values = values_of(problem, measured=everything, tried=everything)
    assert np.isinf(values.measure).all()
    assert np.isinf(values.repair).all()
    assert values.best == ("refer", -1)


@pytest.mark.parametrize("seed", range(60))
def test_the_price_of_what_comes_first_is_part_of_the_step(seed: int) -> None:
    """A repair that wants something told first is dearer by it wherever it stands; a reading that is it saves it."""
    problem = drawn(seed)
    tests, repairs = len(problem.tables), len(problem.fixes)
    rng = np.random.default_rng(seed)
    prices = Prices(rng.uniform(0, 6, tests), rng.uniform(0, 6, repairs), rng.uniform(0, 3, (tests, repairs)))
    model = Model.from_arrays(**problem.arrays())
    open_ = frozenset(range(repairs))
    values = step_values(
        model,
        model.prior,
        0,
        measured=np.zeros(tests, dtype=bool),
        tried=np.zeros(repairs, dtype=bool),
        first=prices,
    )

    def dearer(by: list[float]) -> Problem:
        return replace(problem, costs=tuple(c + max(0.0, more) for c, more in zip(problem.costs, by, strict=True)))

    weights = list(problem.prior)
    for t in range(tests):
        after = dearer((prices.repair - prices.credit[t]).tolist())
        assert values.measure[t] == pytest.approx(prices.measure[t] + after.measure(t, weights, 0, open_), rel=1e-9)
    for r in range(repairs):
        assert values.repair[r] == pytest.approx(dearer(prices.repair.tolist()).repair(r, weights, 0, open_), rel=1e-9)
