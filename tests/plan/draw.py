"""Small random models as arguments of `Model.from_arrays`; the same generator gives the same models."""

from __future__ import annotations

from typing import Any

import numpy as np


def draw_model(
    rng: np.random.Generator,
    causes: int,
    tests: int,
    repairs: int,
    states: int,
    noise: float,
    *,
    ternary: bool = False,
) -> dict[str, Any]:
    """A model that can be solved by hand or by an oracle.

    Tests of two outcomes (or, with `ternary`, some of three) whose reading is another one with chance `noise`;
    repairs that fix one or two causes each with chance .6 to 1; quoting as dear as half of all repairs; a random
    tree of bench moves of 1 to 15 minutes; start and hand back in state 0.
    """
    tables = []
    for _ in range(tests):
        outcomes = int(rng.integers(2, 4)) if ternary else 2
        # Most causes read as a good machine does; a few of them show.
        true = np.where(rng.random(causes) < 0.4, rng.integers(1, outcomes, causes), 0)
        table = np.full((causes, outcomes), noise / (outcomes - 1))
        table[np.arange(causes), true] = 1.0 - noise
        tables.append(table.tolist())
    fixes = np.zeros((repairs, causes))
    for repair in range(repairs):
        of = rng.choice(causes, min(causes, int(rng.integers(1, 3))), replace=False)
        fixes[repair, of] = rng.uniform(0.6, 1.0, len(of))
    moves = np.full((states, states), np.inf)
    for state in range(1, states):
        other = int(rng.integers(state))
        moves[state, other], moves[other, state] = rng.uniform(1, 15, 2)
    minutes = rng.uniform(10, 80, repairs)
    at_test = rng.random((tests, states)) < 0.5
    at_test[np.arange(tests), rng.integers(0, states, tests)] = True
    return {
        "prior": rng.dirichlet(np.ones(causes)).tolist(),
        "likelihoods": tables,
        "minutes": rng.uniform(1, 20, tests).tolist(),
        "repairs": (fixes.tolist(), minutes.tolist()),
        "refer": float(minutes.sum() / 2),
        "setup": (moves.tolist(), at_test.tolist(), rng.integers(0, states, repairs).tolist(), 0, 0),
    }
