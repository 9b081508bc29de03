"""The known-cause bound against the planning oracle, which shares no code with the engine.

With one hypothesis only there is nothing to measure, and the bound is the optimum itself.
"""

from __future__ import annotations

import numpy as np
import pytest

from nextprobe import Model
from nextprobe.plan.bounds import known_cause, known_cause_bound
from nextprobe.plan.bounds.known_cause import KnownCause
from tests.oracle.exact_plan import Oracle, optimum
from tests.plan.draw import draw_model


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
    exact = KnownCause(model).minutes()
    monkeypatch.setattr(known_cause, "MOST_IN_ORDER", 2)
    quick = KnownCause(model).minutes()
    assert (quick <= exact + 1e-9).all()
    assert (quick > 0.25 * exact).all()
    assert (KnownCause(model).after_failure(np.zeros(5, dtype=bool)) >= 0).all()


@pytest.mark.parametrize("seed", range(40))
def test_it_never_passes_the_optimum(seed: int) -> None:
    rng = np.random.default_rng(200 + seed)
    arguments = draw_model(rng, int(rng.integers(2, 6)), int(rng.integers(1, 5)), int(rng.integers(1, 5)), 3, 0.1)
    assert known_cause_bound(Model.from_arrays(**arguments)) <= optimum(arguments) + 1e-9
