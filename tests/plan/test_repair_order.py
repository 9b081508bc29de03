"""Orders of repair against values from outside the project."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest

from nextprobe import Model
from nextprobe.plan.myopic import step_values

DEAR = 1000.0


def followed(model: Model) -> tuple[list[int], float]:
    """The order of repairs that the planner takes step by step, and its expected minutes by plain addition."""
    weights, state, cost = model.prior.copy(), model.start, 0.0
    tried = np.zeros(len(model.fixes), dtype=bool)
    order: list[int] = []
    while weights.sum() > 1e-12 and not tried.all():
        values = step_values(model, weights, state, measured=np.zeros(0, dtype=bool), tried=tried)
        kind, index = values.best
        if kind != "repair":
            return order, cost + float(weights.sum() * model.refer[state])
        serving = np.nonzero(model.at_repair[index])[0]
        there = int(serving[model.ways[state, serving].argmin()])
        cost += float(weights.sum()) * (model.ways[state, there] + model.repair_minutes[index])
        weights = weights * (1 - model.fixes[index])
        state, tried[index] = there, True
        order.append(index + 1)
    return order, cost


@pytest.mark.parametrize("refer", [DEAR, None])
def test_by_chance_over_cost(refer: float | None) -> None:
    """Kadane & Simon 1977; Kalagnanam & Henrion 1990; Heckerman, Breese & Rommelse 1995.

    p = .5, .3, .2, c = 10, 2, 1: order 3, 2, 1, cost 38/5.
    """
    model = Model.from_arrays([0.5, 0.3, 0.2], [], [], repairs=(np.eye(3), [10, 2, 1]), refer=refer)
    order, cost = followed(model)
    assert order == [3, 2, 1]
    assert cost == pytest.approx(38 / 5)


@pytest.mark.parametrize("seed", range(20))
def test_by_chance_over_cost_is_the_best_of_all_orders(seed: int) -> None:
    """The same sources, on drawn problems: no permutation is cheaper."""
    rng = np.random.default_rng(seed)
    p, c = rng.dirichlet(np.ones(4)), rng.uniform(1, 9, 4)
    model = Model.from_arrays(p, [], [], repairs=(np.eye(4), c), refer=DEAR)
    order, cost = followed(model)

    def expected(one: tuple[int, ...]) -> float:
        left, total = 1.0, 0.0
        for r in one:
            total += left * c[r]
            left -= p[r]
        return total

    assert cost == pytest.approx(min(expected(one) for one in permutations(range(4))))
    assert order == [int(r) + 1 for r in np.argsort(-p / c)]


def test_dependent_repairs() -> None:
    """Six equally likely faults; repairs {1,2,3} c=3, {4,5,6} c=3, {3,4} c=1.9: by p/c alone 4.9, the optimum 4.5."""
    fixes = np.array([[1, 1, 1, 0, 0, 0], [0, 0, 0, 1, 1, 1], [0, 0, 1, 1, 0, 0]], dtype=float)
    model = Model.from_arrays(np.full(6, 1 / 6), [], [], repairs=(fixes, [3, 3, 1.9]), refer=DEAR)
    order, cost = followed(model)
    assert cost == pytest.approx(4.5)
    assert set(order) == {1, 2}


def test_an_opening_cost_that_is_paid_once() -> None:
    """Opening cost 6 before repairs 3 and 4, closing free; repairs 1 and 2 are possible opened too.

    p = .14,.20,.36,.30, c = 1,4,2,3: best order 1,3,4,2, cost 509/50; by plain p/c 547/50 (recomputed by
    independent code).
    """
    closed, opened = 0, 1
    moves = [[0, 6], [0, 0]]
    serves = np.array([[True, True], [True, True], [False, True], [False, True]])
    model = Model.from_arrays(
        [0.14, 0.20, 0.36, 0.30],
        [],
        [],
        repairs=(np.eye(4), [1, 4, 2, 3]),
        refer=DEAR,
        setup=(moves, None, serves, closed),
    )
    order, cost = followed(model)
    assert cost == pytest.approx(509 / 50)
    assert order == [1, 3, 4, 2]
    assert model.ways[opened, closed] == 0


@pytest.mark.parametrize("seed", range(20))
def test_two_checks_where_the_second_is_still_needed(seed: int) -> None:
    """Check 1 first exactly when p/C1 >= (1-p)/C2 (textbook result, attributed to Ross, from memory)."""
    rng = np.random.default_rng(seed)
    p, c1, c2 = float(rng.uniform(0.1, 0.9)), float(rng.uniform(1, 9)), float(rng.uniform(1, 9))
    model = Model.from_arrays([p, 1 - p], [], [], repairs=(np.eye(2), [c1, c2]), refer=DEAR)
    order, _ = followed(model)
    assert (order[0] == 1) is (p / c1 >= (1 - p) / c2)
