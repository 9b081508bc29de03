"""Asking by information a minute, against outside values."""

from __future__ import annotations

import numpy as np
import pytest

from nextprobe import Model
from nextprobe.plan.identify import best_question, information

FAILS = [(), (2, 5), (3, 4), (1, 4, 5), (1, 2), (1, 2, 3, 4)]
PRIOR = [0.70, 0.01, 0.02, 0.10, 0.05, 0.12]


def six_states() -> Model:
    tables = [np.array([[0.0, 1.0] if t in failing else [1.0, 0.0] for failing in FAILS]) for t in range(1, 6)]
    return Model.from_arrays(PRIOR, tables, np.ones(5))


def test_greedy_information_on_the_six_states_costs_286() -> None:
    """Greedy information gain gives 2.86, where the optimum is 2.18 (Pattipati & Alexandridis, IEEE Trans. SMC 1990;
    inputs from memory, value recomputed)."""
    model = six_states()
    owner = np.arange(6)

    def expected(weights: np.ndarray[tuple[int], np.dtype[np.float64]], measured: frozenset[int]) -> float:
        done = np.array([t in measured for t in range(5)], dtype=bool)
        question = best_question(model, weights, 0, owner, done) if (weights > 0).sum() > 1 else None
        if question is None:
            return 0.0
        outcomes = model.likelihoods[question].T * weights
        return float(weights.sum()) + sum(expected(left, measured | {question}) for left in outcomes if left.sum() > 0)

    assert expected(model.prior, frozenset()) == pytest.approx(2.86)


@pytest.mark.parametrize("seed", range(10))
def test_information_of_one_step_by_a_general_library(seed: int) -> None:
    """pyagrum, mutual information of cause and reading, tolerance 1e-6."""
    from tests.oracle.networks import gum

    rng = np.random.default_rng(seed)
    causes, states = 3, 5
    owner = np.array([0, 0, 1, 2, 2])
    prior = rng.dirichlet(np.ones(states))
    table = rng.dirichlet(np.ones(3), states)
    model = Model.from_arrays(prior, [table], [1.0])
    net = gum.BayesNet()
    net.add(gum.RangeVariable("state", "", 0, states - 1))
    net.add(gum.RangeVariable("cause", "", 0, causes - 1))
    net.add(gum.RangeVariable("reading", "", 0, 2))
    net.addArc("state", "cause")
    net.addArc("state", "reading")
    net.cpt("state").fillWith(prior.tolist())
    net.cpt("cause").fillWith(np.eye(causes)[owner].ravel().tolist())
    net.cpt("reading").fillWith(table.ravel().tolist())
    inference = gum.LazyPropagation(net)
    wanted = float(inference.jointMutualInformation({"cause", "reading"}))
    assert information(model, prior, owner)[0] == pytest.approx(wanted, abs=1e-6)
