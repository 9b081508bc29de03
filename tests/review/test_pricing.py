"""Steps priced beside one another: against the exact answer of code that shares nothing with the engine."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from nextprobe.model.model import Model
from nextprobe.plan.policy import Action
from nextprobe.plan.scores import Scores
from nextprobe.review import pricing
from nextprobe.review.lottery import Lottery
from nextprobe.review.place import Place, fork
from tests.oracle.exact_plan import INF, Known, Oracle


def problem(seed: int) -> dict[str, Any]:
    """A small noisy problem with repairs that may fail, on one bench state."""
    rng = np.random.default_rng(seed)
    causes, tests, repairs = 5, 4, 3
    hits = rng.random((tests, causes)) < 0.5
    tables = [[[0.93, 0.07] if hit else [0.05, 0.95] for hit in row] for row in hits]
    fixes = np.zeros((repairs, causes))
    fixes[rng.integers(0, repairs, causes), np.arange(causes)] = rng.choice([0.8, 1.0], causes)
    return {
        "prior": rng.dirichlet(np.ones(causes)).tolist(),
        "likelihoods": tables,
        "minutes": rng.choice([1.0, 3.0, 8.0], tests).tolist(),
        "repairs": (fixes.tolist(), rng.choice([10.0, 30.0, 60.0], repairs).tolist()),
        "refer": 200.0,
    }


def place_of(arguments: dict[str, Any]) -> Place:
    model = Model.from_arrays(**arguments)
    nothing = np.zeros(len(model.likelihoods), dtype=bool), np.zeros(len(model.fixes), dtype=bool)
    return Place(model, model.prior, model.start, *nothing, Scores(model))


@pytest.mark.parametrize("seed", range(12))
def test_every_first_step_costs_what_exact_dynamic_programming_says(seed: int) -> None:
    """Bellman 1957: a step, and the optimum after each of its outcomes; reckoned by the oracle."""
    arguments = problem(seed)
    oracle, place = Oracle(arguments), place_of(arguments)
    steps = list(oracle._steps(Known(oracle.prior, 0, 0, 0), 1.0, [INF]))
    assert len(steps) == len(place.model.likelihoods) + len(place.model.fixes)
    for kind, index, _, ahead in steps:
        priced = pricing.price(place, fork(place, Action(kind, index)), 1)
        assert priced.exact
        assert priced.minutes == pytest.approx(ahead[0], abs=1e-9)
    least = min(ahead[0] for *_, ahead in steps)
    assert min(least, 200.0) == pytest.approx(oracle.value(), abs=1e-9)


def test_the_doubt_of_deepened_plans_holds_the_exact_difference(monkeypatch: pytest.MonkeyPatch) -> None:
    """Too large a problem is deepened: how often the exact difference lies within the doubt, over random problems.

    A doubt that is called a doubt should hold nine times in ten (the house's own promise).
    """
    held = []
    for seed in range(16):
        place = place_of(problem(300 + seed))
        actions = [Action("measure", t) for t in range(4)] + [Action("repair", r) for r in range(3)]
        exact = {one: pricing.price(place, fork(place, one), 1) for one in actions}
        with monkeypatch.context() as patched:
            patched.setattr(pricing, "AT_ONCE", 0)
            deep = {one: pricing.price(place, fork(place, one), 400) for one in actions}
        assert not any(one.exact for one in deep.values())
        best = min(actions, key=lambda one: deep[one].minutes)
        for one in actions:
            told = deep[one].minutes - deep[best].minutes
            off = abs(told - (exact[one].minutes - exact[best].minutes))
            held.append(off <= pricing.doubt(place, deep[one], deep[best]) + 1e-9)
            assert deep[one].minutes >= exact[one].minutes - 1e-9
    assert np.mean(held) >= 0.9


@pytest.mark.parametrize("seed", range(6))
def test_what_comes_of_a_step_is_a_fair_lottery(seed: int) -> None:
    """The expectation of an expectation to come is the expectation now (law of total expectation)."""
    place = place_of(problem(seed))
    for repair in range(3):
        priced = pricing.price(place, fork(place, Action("repair", repair)), 50)
        chances = {key == -1: chance for key, (chance, _) in priced.rest.items()}
        turned = {gone: Lottery(priced).seen(gone=gone) or 0.0 for gone in chances}
        assert sum(chances[gone] * turned[gone] for gone in chances) == pytest.approx(0.0, abs=1e-9)
        assert turned.get(True, 0.0) <= 0.0 <= turned.get(False, 0.0)
