"""The planning oracle against all policies of tiny models, each priced hypothesis by hypothesis, without any belief."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from typing import Any

import numpy as np
import pytest

from tests.oracle.exact_plan import Oracle, optimum, shortest
from tests.oracle.exact_sorting import fewest
from tests.plan.draw import draw_model, extended

Costs = np.ndarray[Any, np.dtype[np.float64]]


class Policies:
    """Every policy of a model, as its expected minutes for each hypothesis (H,)."""

    def __init__(self, arguments: dict[str, Any]) -> None:
        self.arguments = arguments
        moves, self.at_test, self.at_repair, _, end = arguments["setup"]
        self.ways = np.array(shortest(moves))
        self.back = self.ways[:, end]
        self.fixes, self.costs = (np.array(part) for part in arguments["repairs"])
        self.tables = [np.array(table) for table in arguments["likelihoods"]]

    def quoting(self, state: int) -> Costs:
        return np.full(len(self.arguments["prior"]), self.arguments["refer"] + self.back[state])

    def closed(self, told: frozenset[int]) -> frozenset[int]:
        closes = self.arguments.get("excludes") or [[]] * len(self.tables)
        return frozenset(t for u in told for t, closed in enumerate(closes[u]) if closed)

    def all(self, state: int, told: frozenset[int], tried: frozenset[int]) -> list[Costs]:
        rows = [self.quoting(state), *self.by_test(state, told, tried), *self.by_repair(state, told, tried)]
        # The same costs for every hypothesis are the same policy to anyone who pays.
        return list(np.unique(np.round(rows, 12), axis=0))

    def by_test(self, state: int, told: frozenset[int], tried: frozenset[int]) -> Iterator[Costs]:
        wants = self.arguments.get("wants_measure")
        for t, table in enumerate(self.tables):
            wanted = {u for u in range(len(self.tables)) if wants and wants[t][u]}
            if t in told | self.closed(told) or not wanted <= told | self.closed(told):
                continue
            for there in [s for s, serves in enumerate(self.at_test[t]) if serves]:
                own = self.ways[state, there] + self.arguments["minutes"][t]
                stops = self.arguments.get("stops", [[False] * table.shape[1]] * len(self.tables))[t]
                rests = [[self.quoting(there)] if stop else self.all(there, told | {t}, tried) for stop in stops]
                for rest in product(*rests):
                    yield own + sum(table[:, o] * costs for o, costs in enumerate(rest))

    def by_repair(self, state: int, told: frozenset[int], tried: frozenset[int]) -> Iterator[Costs]:
        wants, still = self.arguments.get("wants_repair"), self.arguments.get("still")
        for r, there in enumerate(self.at_repair):
            wanted = {u for u in range(len(self.tables)) if wants and wants[r][u]}
            if r in tried or not wanted <= told | self.closed(told):
                continue
            after = np.diag(1 - self.fixes[r]) if still is None else np.array(still[r])
            proof, end, tail = 0.0, there, self.back[there]
            if "proof" in self.arguments:
                proof, end = self.arguments["proof"][r][there], self.arguments["proof_state"][r][there]
                tail = self.arguments["tail"][r][end]
            own = self.ways[state, there] + self.costs[r] + proof
            for rest in self.all(end, told, tried | {r}):
                yield own + (1 - after.sum(axis=1)) * tail + after @ rest


def least(arguments: dict[str, Any]) -> float:
    costs = Policies(arguments).all(arguments["setup"][3], frozenset(), frozenset())
    return min(float(np.dot(arguments["prior"], one)) for one in costs)


SHAPES = [(3, 2, 1, 2), (3, 1, 2, 2), (2, 2, 2, 1), (4, 1, 3, 2)]


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("seed", range(8))
def test_the_best_of_all_policies(seed: int, shape: tuple[int, int, int, int]) -> None:
    rng = np.random.default_rng(seed)
    arguments = draw_model(rng, *shape, float(rng.choice([0.0, 0.1, 0.3])))
    assert optimum(arguments) == pytest.approx(least(arguments), abs=1e-9)


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("seed", range(8))
def test_the_best_of_all_policies_of_extended_models(seed: int, shape: tuple[int, int, int, int]) -> None:
    rng = np.random.default_rng(100 + seed)
    features = ("wants", "excludes", "stops", "proof", "still")
    arguments = extended(rng, draw_model(rng, *shape, 0.1), features[: 5 if seed % 2 else 4])
    assert optimum(arguments) == pytest.approx(least(arguments), abs=1e-9)


@pytest.mark.parametrize("seed", range(10))
def test_a_diagonal_two_fault_form_is_the_plain_one(seed: int) -> None:
    arguments = draw_model(np.random.default_rng(seed), 5, 3, 3, 2, 0.1, ternary=True)
    still = [np.diag(1 - np.array(row)).tolist() for row in arguments["repairs"][0]]
    assert optimum({**arguments, "still": still}) == pytest.approx(optimum(arguments), abs=1e-9)


@pytest.mark.parametrize("seed", range(20))
def test_identification_agrees_with_the_recursion_over_sets(seed: int) -> None:
    drawn = draw_model(np.random.default_rng(seed), 6, 5, 1, 1, 0.0, ternary=True)
    arguments = {key: drawn[key] for key in ("prior", "likelihoods", "minutes")}
    assert optimum(arguments) == pytest.approx(fewest(arguments), abs=1e-9)


def test_identification_stops_at_the_confidence() -> None:
    """By hand: one reading that errs in 1 of 10 lifts .5 to .9; asking twice is needed for more."""
    table = [[0.9, 0.1], [0.1, 0.9]]
    arguments = {"prior": [0.5, 0.5], "likelihoods": [table, table], "minutes": [3.0, 5.0]}
    assert optimum({**arguments, "confidence": 0.9}) == pytest.approx(3.0)
    # Two that agree, .82 of the time, give .81/.82; after two that disagree nothing is left to ask.
    assert optimum({**arguments, "confidence": 0.95}) == pytest.approx(8.0)
    assert optimum({**arguments, "confidence": 0.5}) == pytest.approx(0.0)


def test_the_value_from_a_later_belief_is_homogeneous() -> None:
    oracle = Oracle(draw_model(np.random.default_rng(3), 5, 4, 3, 2, 0.1))
    weights = np.random.default_rng(4).random(5)
    once = oracle.value(weights.tolist(), 1, told=[0], tried=[2])
    assert oracle.value((0.25 * weights).tolist(), 1, told=[0], tried=[2]) == pytest.approx(0.25 * once)
    assert once >= oracle.value(weights.tolist(), 1) - 1e-12
