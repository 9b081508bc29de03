"""Small random models as arguments of `Model.from_arrays`; the same generator gives the same models."""

from __future__ import annotations

from typing import Any

import numpy as np


def draw_model(
    rng: np.random.Generator, causes: int, tests: int, repairs: int, states: int, noise: float
) -> dict[str, Any]:
    """Binary tests flipped with `noise`, repairs of one or two causes, a random tree of bench moves."""
    tables = []
    for _ in range(tests):
        high = np.where(rng.random(causes) < 0.4, 1.0 - noise, noise)
        tables.append(np.stack([1.0 - high, high], axis=1).tolist())
    fixes = np.zeros((repairs, causes))
    for repair in range(repairs):
        fixes[repair, rng.choice(causes, int(rng.integers(1, 3)), replace=False)] = rng.uniform(0.6, 1.0)
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
        "setup": (moves.tolist(), at_test, rng.integers(0, states, repairs).tolist(), 0, 0),
    }
