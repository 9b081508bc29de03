"""The known-cause bound against the planning oracle, which shares no code with the engine.

With one hypothesis only there is nothing to measure, and the bound is the optimum itself.
"""

from __future__ import annotations

import numpy as np
import pytest

from nextprobe import Model
from nextprobe.plan.bounds import known_cause, known_cause_bound
from nextprobe.plan.bounds.known_cause import KnownCause, known_cause_minutes
from tests.oracle.exact_plan import Oracle, optimum
from tests.plan.draw import draw_model, extended, model_of, with_pairs


@pytest.mark.parametrize("seed", range(60))
def test_it_is_the_optimum_of_each_known_cause_from_every_state_whatever_was_tried(seed: int) -> None:
    rng = np.random.default_rng(seed)
    causes, repairs, states = int(rng.integers(1, 5)), int(rng.integers(1, 6)), int(rng.integers(1, 4))
    arguments = draw_model(rng, causes, 2, repairs, states, 0.1)
    fixes, *rest = arguments["repairs"]
    chances = np.where(np.array(fixes) > 0, rng.uniform(0.3, 1.0, (repairs, causes)), 0.0)
    arguments["repairs"] = (chances.tolist(), *rest)
    model, oracle = Model.from_arrays(**arguments), Oracle(arguments)
    known = KnownCause(model)
    for state in range(states):
        tried = rng.random(repairs) < 0.3
        minutes = known.minutes(tried)[state]
        for cause in range(causes):
            weights = [float(cause == one) for one in range(causes)]
            best = oracle.value(weights, state, [], np.nonzero(tried)[0].tolist())
            assert minutes[cause] == pytest.approx(best, abs=1e-9)


@pytest.mark.parametrize("seed", range(20))
def test_with_very_many_useful_repairs_it_stays_below(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    rng = np.random.default_rng(100 + seed)
    arguments = draw_model(rng, 3, 2, 5, 3, 0.1)
    fixes, *rest = arguments["repairs"]
    arguments["repairs"] = (rng.uniform(0.2, 0.9, np.shape(fixes)).tolist(), *rest)
    model = Model.from_arrays(**arguments)
    untried = np.zeros(5, dtype=bool)
    exact, left = KnownCause(model).minutes(), KnownCause(model).after_failure(untried)
    monkeypatch.setattr(known_cause, "MOST_IN_ORDER", 2)
    quick = KnownCause(model).minutes()
    assert (quick <= exact + 1e-9).all()
    assert (quick > 0.25 * exact).all()
    after = KnownCause(model).after_failure(untried)
    assert (after <= left + 1e-9).all()
    assert ((after > 0) == (left > 0)).all()


@pytest.mark.parametrize("seed", range(40))
def test_it_never_passes_the_optimum(seed: int) -> None:
    rng = np.random.default_rng(200 + seed)
    arguments = draw_model(rng, int(rng.integers(2, 6)), int(rng.integers(1, 5)), int(rng.integers(1, 5)), 3, 0.1)
    assert known_cause_bound(Model.from_arrays(**arguments)) <= optimum(arguments) + 1e-9


@pytest.mark.parametrize("seed", range(60))
def test_with_two_faults_it_stays_below_each_known_pair(seed: int) -> None:
    """Of each hypothesis, pairs among them, from every state and after some repairs; near it where they are few."""
    rng = np.random.default_rng(300 + seed)
    states = int(rng.integers(1, 4))
    arguments = with_pairs(draw_model(rng, 3, 1, 3, states, 0.1), 0.3)
    model, oracle = model_of(arguments), Oracle(arguments)
    tried = rng.random(len(model.fixes)) < 0.2
    minutes = known_cause_minutes(model, tried)
    count = len(model.prior)
    for state in range(states):
        best = [
            oracle.value([float(h == one) for one in range(count)], state, [], np.nonzero(tried)[0].tolist())
            for h in range(count)
        ]
        assert (minutes[state] <= np.array(best) + 1e-9).all()
        assert minutes[state].sum() >= 0.7 * sum(best)


@pytest.mark.parametrize("seed", range(40))
def test_with_any_transitions_proofs_and_wants_it_never_passes_the_optimum(seed: int) -> None:
    rng = np.random.default_rng(400 + seed)
    drawn = draw_model(rng, int(rng.integers(2, 5)), int(rng.integers(1, 4)), int(rng.integers(1, 4)), 3, 0.1)
    arguments = extended(rng, drawn, ("wants", "excludes", "stops", "proof", "still")[seed % 2 * 3 :])
    model = model_of(arguments)
    bound = float(known_cause_minutes(model)[model.start] @ model.prior)
    assert bound <= optimum(arguments) + 1e-9
