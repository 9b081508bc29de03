"""A policy told by hypothesis: against the planning oracle, against the plan's own minutes, against simulated jobs."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from nextprobe import Model, make_plan
from nextprobe.errors import ModelError
from nextprobe.model.merge import merged
from nextprobe.plan.deepen import Deepening
from nextprobe.plan.follow import follow
from nextprobe.plan.played import play
from nextprobe.plan.simulate import draw_jobs
from nextprobe.study.figures import Policy, PolicyFigures, fold_of, policy_figures, told_of
from tests.oracle.exact_plan import optimum
from tests.plan.draw import draw_model, extended, model_of

SHARES = ("repaired", "quoted", "stopped", "found")


def drawn(seed: int, features: tuple[str, ...] = ()) -> dict[str, Any]:
    rng = np.random.default_rng(seed)
    shape = [int(rng.integers(low, high)) for low, high in ((2, 5), (0, 5), (1, 4), (1, 4))]
    noise = float(rng.choice([0.0, 0.1, 0.3]))
    return extended(rng, draw_model(rng, shape[0], shape[1], shape[2], shape[3], noise), features)


def told(model: Model, root: Any, upper: float) -> PolicyFigures:
    same = np.arange(len(model.prior))
    return told_of(model, same, Policy(root, upper, False), fold_of(model, model, same, None))


def sums_up(figures: PolicyFigures) -> None:
    ends = sum(getattr(figures, name) for name in SHARES)
    assert ends == pytest.approx(np.ones(len(ends)))
    assert figures.mean(figures.minutes) == pytest.approx(figures.upper, abs=1e-9)
    assert (figures.looking + figures.in_vain <= figures.minutes + 1e-9).all()


@pytest.mark.parametrize("features", [(), ("wants",), ("excludes", "stops"), ("wants", "stops", "proof")])
@pytest.mark.parametrize("seed", range(12))
def test_the_minutes_of_all_hypotheses_are_the_optimum(seed: int, features: tuple[str, ...]) -> None:
    """Against dynamic programming written from the design alone (tests/oracle/exact_plan.py)."""
    arguments = drawn(seed, features)
    figures = policy_figures(model_of(arguments))
    assert figures.optimal
    sums_up(figures)
    assert figures.upper == pytest.approx(optimum(arguments), abs=1e-7)


@pytest.mark.parametrize("features", [(), ("wants", "excludes", "stops", "proof")])
@pytest.mark.parametrize("seed", range(6))
def test_a_deepened_plan_is_told_to_its_last_minute(seed: int, features: tuple[str, ...]) -> None:
    rng = np.random.default_rng(seed)
    model = model_of(extended(rng, draw_model(rng, 12, 10, 8, 3, 0.1), features))
    policy = Deepening(model)
    for steps in (0, 3):
        for _ in range(steps):
            if not policy.finished:
                policy.step()
        sums_up(told(model, policy.policy(), policy.upper))


@pytest.mark.parametrize("effort", ["fast", "exact"])
def test_any_plan_can_be_told(effort: str) -> None:
    for seed in range(8):
        model = model_of(drawn(seed, ("wants", "stops")))
        plan = make_plan(model, effort)
        sums_up(told(model, plan.root, plan.expected_cost))


def test_each_hypothesis_costs_what_simulated_jobs_of_it_cost() -> None:
    """Jobs with one hidden cause each, 4000 of it, led by the same tree; four standard errors."""
    rng = np.random.default_rng(5)
    model = model_of(draw_model(rng, 5, 6, 4, 2, 0.15))
    plan = make_plan(model, "exact")
    figures, root = told(model, plan.root, plan.expected_cost), follow(model, plan.root)
    for hidden in range(5):
        jobs = draw_jobs(model, 4000, np.random.default_rng(hidden))
        jobs.hypotheses[:] = hidden
        costs = play(model, root, jobs)
        assert abs(costs.mean - figures.minutes[hidden]) < 4 * costs.standard_error + 1e-9
        share = costs.repaired.mean()
        assert abs(share - figures.repaired[hidden]) < 4 * np.sqrt(0.25 / 4000)


def test_like_hypotheses_are_told_as_one_and_causes_apart() -> None:
    """Two causes that read alike and are cured alike stand side by side with their own shares."""
    tables = [[[0.9, 0.1], [0.9, 0.1], [0.2, 0.8]]]
    model = Model.from_arrays([0.3, 0.1, 0.6], tables, [2.0], ([[1, 1, 0], [0, 0, 1]], [10.0, 20.0]), 90.0)
    figures = policy_figures(model, cause_of=np.array([0, 1, 2]))
    assert len(figures.lean.prior) == 2
    assert figures.group[0] == figures.group[1] != figures.group[2]
    assert (figures.believed.sum(axis=1) > 0).all()
    assert figures.believed[0, 1] / figures.believed[0, 0] == pytest.approx(1 / 3)


def test_one_cause_is_repaired_at_once() -> None:
    model = Model.from_arrays([1.0], [[[1.0, 0.0]]], [5.0], ([[1.0]], [12.0]), 40.0)
    figures = policy_figures(model)
    assert figures.minutes.tolist() == [12.0]
    assert figures.repaired.tolist() == [1.0]
    assert figures.steps.tolist() == [1.0]
    assert figures.asked.tolist() == [0.0]


def test_a_model_that_only_finds_ends_found() -> None:
    """Six states, five unit-cost tests: 2.18 (Pattipati & Alexandridis 1990; inputs from memory, value recomputed)."""
    signs = [[0, 0, 0, 0, 0], [0, 1, 0, 0, 1], [0, 0, 1, 1, 0], [1, 0, 0, 1, 1], [1, 1, 0, 0, 0], [1, 1, 1, 1, 1]]
    tables = [[[1 - row[t], row[t]] for row in signs] for t in range(5)]
    model = Model.from_arrays([0.7, 0.01, 0.02, 0.1, 0.05, 0.12], tables, [1.0] * 5)
    figures = policy_figures(model)
    assert figures.mean(figures.minutes) == pytest.approx(2.18)
    assert figures.found == pytest.approx(np.ones(6))
    assert figures.mean(figures.steps) == pytest.approx(2.18)


def test_two_faults_are_refused() -> None:
    model = model_of(drawn(3, ("pairs",)))
    plan = make_plan(model, "fast")
    with pytest.raises(ModelError, match="two faults"):
        told(model, plan.root, plan.expected_cost)


def test_without_seconds_the_same_model_gives_the_same_figures() -> None:
    rng = np.random.default_rng(1)
    model, _ = merged(model_of(draw_model(rng, 20, 14, 10, 3, 0.1)))
    one, other = policy_figures(model), policy_figures(model)
    assert one.minutes.tolist() == other.minutes.tolist()


def test_cancelled_at_once_it_tells_what_it_has() -> None:
    rng = np.random.default_rng(2)
    model = model_of(draw_model(rng, 20, 14, 10, 3, 0.1))
    sums_up(policy_figures(model, cancel=lambda: True))
