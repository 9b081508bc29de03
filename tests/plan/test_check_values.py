"""Optima that were stated elsewhere, by every solver; the source of each is named in tests/oracle/plan_values.py."""

from __future__ import annotations

from collections.abc import Callable
from math import log2
from typing import Any

import pytest

from nextprobe import Model, make_plan
from tests.oracle.exact_plan import first_steps, optimum
from tests.oracle.exact_sorting import fewest, worst
from tests.oracle.plan_values import (
    DEPENDENT,
    DYADIC,
    HUFFMAN_FIVE,
    HUFFMAN_TABLE,
    OPENING,
    SINGLE,
    SIX,
    coins,
    every_partition,
    repairing,
)

Solver = Callable[[dict[str, Any]], tuple[float, set[tuple[str, int]]]]


def oracle(arguments: dict[str, Any]) -> tuple[float, set[tuple[str, int]]]:
    return optimum(arguments), first_steps(arguments)


def engine(effort: str) -> Solver:
    def solve(arguments: dict[str, Any]) -> tuple[float, set[tuple[str, int]]]:
        plan = make_plan(Model.from_arrays(**arguments), effort=effort, seconds=5.0)
        assert plan.lower_bound <= plan.expected_cost + 1e-9
        return plan.expected_cost, {(plan.first.kind, plan.first.index)}

    return solve


solvers = pytest.mark.parametrize(
    "solver",
    [
        pytest.param(oracle, id="oracle"),
        pytest.param(engine("exact"), id="exact"),
        pytest.param(engine("deep"), id="deep"),
    ],
)


@solvers
def test_six_states_five_tests(solver: Solver) -> None:
    """Pattipati & Alexandridis, IEEE Trans. SMC 1990 (inputs from memory, value recomputed): 2.18, first 2 or 4."""
    cost, first = solver(SIX)
    assert cost == pytest.approx(2.18)
    assert first <= {("measure", 1), ("measure", 3)}


def test_six_states_first_tests_are_a_tie() -> None:
    """The same source: tests 2 and 4 are equally good to begin with."""
    assert first_steps(SIX) == {("measure", 1), ("measure", 3)}


@pytest.mark.parametrize(("prior", "cost"), [(HUFFMAN_TABLE, 3.42), (HUFFMAN_FIVE, 2.3), (DYADIC, 2.0)])
def test_every_partition_costs_the_huffman_length(prior: tuple[float, ...], cost: float) -> None:
    """Huffman 1952; always entropy <= optimum < entropy + 1."""
    entropy = -sum(p * log2(p) for p in prior)
    assert fewest(every_partition(prior)) == pytest.approx(cost)
    assert entropy <= cost + 1e-12
    assert cost < entropy + 1
    if prior is HUFFMAN_TABLE:
        assert entropy == pytest.approx(3.354561, abs=1e-6)


@pytest.mark.parametrize("effort", ["exact", "deep"])
@pytest.mark.parametrize(("prior", "cost"), [(HUFFMAN_FIVE, 2.3), (DYADIC, 2.0)])
def test_the_engine_reaches_the_huffman_length(prior: tuple[float, ...], cost: float, effort: str) -> None:
    """Huffman 1952."""
    assert engine(effort)(every_partition(prior))[0] == pytest.approx(cost)


@pytest.mark.parametrize("none_false", [False, True])
def test_twelve_coins(none_false: bool) -> None:
    """Classic puzzle: three weighings name the coin and its sign, on average and at worst, also where none is false."""
    assert fewest(coins(none_false=none_false)) == pytest.approx(3.0)
    assert worst(coins(none_false=none_false)) == 3.0
    assert optimum(coins(none_false=none_false)) == pytest.approx(3.0)


@pytest.mark.parametrize("effort", ["exact", "deep"])
def test_twelve_coins_by_the_engine(effort: str) -> None:
    """Classic puzzle: three weighings."""
    assert engine(effort)(coins())[0] == pytest.approx(3.0)


def test_twelve_coins_naming_the_coin_only() -> None:
    """Classic puzzle, the coin without its sign: mean 70/24."""
    labels = [h // 2 for h in range(24)]
    assert fewest(coins(spared=1), labels) == pytest.approx(70 / 24)


@solvers
def test_single_perfect_repairs(solver: Solver) -> None:
    """Kadane & Simon 1977; Kalagnanam & Henrion 1990; Heckerman, Breese & Rommelse 1995: order 3, 2, 1, cost 38/5."""
    cost, first = solver(SINGLE)
    assert cost == pytest.approx(38 / 5)
    assert first == {("repair", 2)}


@solvers
def test_dependent_repairs(solver: Solver) -> None:
    """Six equally likely faults: p/c recomputed at each step costs 4.9, the optimum is 4.5."""
    cost, first = solver(DEPENDENT)
    assert cost == pytest.approx(4.5)
    assert first <= {("repair", 0), ("repair", 1)}


@solvers
def test_an_opening_cost_paid_once(solver: Solver) -> None:
    """Best order 1, 3, 4, 2, cost 509/50, where plain p/c costs 547/50."""
    cost, first = solver(OPENING)
    assert cost == pytest.approx(509 / 50)
    assert first == {("repair", 0)}


@solvers
@pytest.mark.parametrize(
    ("p", "first_cost", "second_cost"), [(0.7, 3.0, 1.0), (0.4, 2.0, 2.0), (0.2, 1.0, 3.0), (0.5, 2.0, 3.0)]
)
def test_two_causes_where_the_second_is_still_checked(
    solver: Solver, p: float, first_cost: float, second_cost: float
) -> None:
    """Check 1 first exactly when p/C1 >= (1-p)/C2 (textbook result, attributed to Ross, from memory)."""
    cost, first = solver(repairing((p, 1 - p), [{1}, {2}], (first_cost, second_cost)))
    one_first, two_first = first_cost + (1 - p) * second_cost, second_cost + p * first_cost
    assert (("repair", 0) in first) is (p / first_cost >= (1 - p) / second_cost)
    assert cost == pytest.approx(min(one_first, two_first))
