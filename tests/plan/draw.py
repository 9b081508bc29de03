"""Small random models as arguments of `Model.from_arrays`; the same generator gives the same models.

What a model may have beside them is drawn as the planning oracle takes it: see tests/oracle/exact_plan.py.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

import numpy as np

from nextprobe import Model


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


FEATURES = ("wants", "excludes", "stops", "proof", "still")


def extended(rng: np.random.Generator, arguments: dict[str, Any], features: Collection[str]) -> dict[str, Any]:
    """The drawn model with more of what a model may have: `features`, some of FEATURES or `pairs`."""
    more = dict(arguments)
    if "pairs" in features:
        more = with_pairs(more, float(rng.uniform(0.05, 0.5)))
    tests, repairs, states = len(more["minutes"]), len(more["repairs"][1]), len(more["setup"][0])
    lower = np.tril(np.ones((tests, tests)), -1)
    if "wants" in features:
        more["wants_measure"] = ((rng.random((tests, tests)) < 0.3) * lower > 0).tolist()
        more["wants_repair"] = (rng.random((repairs, tests)) < 0.3).tolist()
    if "excludes" in features:
        more["excludes"] = ((rng.random((tests, tests)) < 0.3) * lower > 0).tolist()
    if "stops" in features:
        more["stops"] = [(rng.random(len(table[0])) < 0.2).tolist() for table in more["likelihoods"]]
    if "proof" in features:
        more["proof"] = rng.uniform(0, 9, (repairs, states)).tolist()
        more["proof_state"] = rng.integers(0, states, (repairs, states)).tolist()
        more["tail"] = rng.uniform(0, 9, (repairs, states)).tolist()
    if "still" in features:
        more = _with_any_transitions(rng, more)
    return more


def _with_any_transitions(rng: np.random.Generator, arguments: dict[str, Any]) -> dict[str, Any]:
    """After each repair what would be cured goes in part over into another hypothesis, still failing."""
    fixes, minutes = arguments["repairs"]
    causes = len(arguments["prior"])
    still, gone = [], []
    for row in fixes:
        left = np.diag(1 - np.array(row))
        for h in range(causes):
            left[h, rng.integers(causes)] += row[h] * float(rng.choice([0.0, 0.5, 1.0]))
        still.append(left.tolist())
        gone.append(np.maximum(1 - left.sum(axis=1), 0.0).tolist())
    return {**arguments, "repairs": (gone, minutes), "still": still}


def with_pairs(arguments: dict[str, Any], share: float) -> dict[str, Any]:
    """The model with every two of its hypotheses at once as another; they share `share` by the product of priors.

    A reading of two is that of the one which shows more of the later outcomes; repairs act on each independently.
    """
    prior, fixes = np.array(arguments["prior"]), np.array(arguments["repairs"][0])
    pairs = [(a, b) for a in range(len(prior)) for b in range(a)]
    if not pairs:
        return arguments
    product = np.array([prior[a] * prior[b] for a, b in pairs])
    count = len(prior) + len(pairs)
    still, gone = np.zeros((len(fixes), count, count)), np.zeros((len(fixes), count))
    for repair, chance in enumerate(fixes):
        gone[repair, : len(prior)] = chance
        still[repair, range(len(prior)), range(len(prior))] = 1 - chance
        for place, (a, b) in enumerate(pairs, len(prior)):
            gone[repair, place] = chance[a] * chance[b]
            still[repair, place, [place, a, b]] = (
                (1 - chance[a]) * (1 - chance[b]),
                chance[b] * (1 - chance[a]),
                chance[a] * (1 - chance[b]),
            )
    tables = []
    for table in arguments["likelihoods"]:
        rows = [table[a] if table[a][0] < table[b][0] else table[b] for a, b in pairs]
        tables.append([*table, *rows])
    shares = [*((1 - share) * prior), *(share * product / product.sum())]
    repairs = (gone.tolist(), arguments["repairs"][1])
    return {**arguments, "prior": shares, "likelihoods": tables, "repairs": repairs, "still": still.tolist()}


def model_of(arguments: dict[str, Any]) -> Model:
    """The model of what the planning oracle takes."""
    more = dict(arguments)
    wants = more.pop("wants_measure", None), more.pop("wants_repair", None)
    proof = more.pop("proof", None), more.pop("proof_state", None), more.pop("tail", None)
    still = more.pop("still", None)
    if still is not None:
        more["repairs"] = (*more["repairs"], still)
    return Model.from_arrays(
        **more, wants=None if wants == (None, None) else wants, proof=None if proof[0] is None else proof
    )
