"""A policy deepened end by end costs what it says at every moment, and only gets better."""

from __future__ import annotations

import numpy as np
import pytest

from nextprobe import Model, make_plan
from nextprobe.model.merge import merged
from nextprobe.plan import deepen
from nextprobe.plan.deepen import Deepening
from nextprobe.plan.exact import solve
from tests.plan.by_tree import Followed
from tests.plan.draw import draw_model, extended, model_of
from tests.plan.test_tree import order_of


@pytest.mark.parametrize("features", [(), ("excludes", "stops", "proof"), ("pairs",)], ids="-".join)
@pytest.mark.parametrize("seed", range(6))
def test_the_minutes_are_those_of_the_policy(
    seed: int, features: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Told a second time by following the tree in plain Python."""
    monkeypatch.setattr(deepen, "FIRST", (0.2, 2))
    monkeypatch.setattr(deepen, "NEXT", (0.2, 3))
    monkeypatch.setattr(deepen, "BATCH", 2)
    rng = np.random.default_rng(seed)
    drawn = draw_model(rng, 6, 6, 4, 3, 0.1)
    arguments = extended(rng, {**drawn, "refer": 6 * drawn["refer"]}, features)
    model = model_of(arguments)
    followed, policy = Followed(arguments, order_of(model)), Deepening(model)
    seen = [policy.upper]
    for _ in range(5):
        assert followed.minutes(policy.root) == pytest.approx(policy.upper, rel=1e-9)
        if policy.finished:
            break
        policy.step()
        seen.append(policy.upper)
    assert seen == sorted(seen, reverse=True)
    assert policy.policy().minutes == pytest.approx(policy.upper, rel=1e-9)


def test_a_large_model_gets_both_ends_and_each_better_with_time() -> None:
    model = Model.from_arrays(**draw_model(np.random.default_rng(4), 60, 40, 20, 4, 0.1))
    told: list[tuple[float, float]] = []
    plan = make_plan(model, "deep", 2.0, progress=lambda upper, lower: told.append((upper, lower)))
    fast = make_plan(model, "fast")
    assert plan.expected_cost <= fast.expected_cost
    assert plan.lower_bound >= fast.lower_bound - 1e-9
    uppers, lowers = zip(*told, strict=True)
    assert list(uppers) == sorted(uppers, reverse=True)
    policy = Deepening(model)
    before = policy.upper
    policy.step()
    assert policy.upper < before
    assert list(lowers) == sorted(lowers)
    assert plan.root.minutes == pytest.approx(plan.expected_cost)


@pytest.mark.parametrize("seed", range(10))
def test_merging_changes_no_optimum(seed: int) -> None:
    """Some hypotheses stand twice, with other weights: the same least minutes by exact dynamic programming."""
    rng = np.random.default_rng(seed)
    arguments = draw_model(rng, 4, 4, 3, 2, 0.1)
    twice = [0, 1, 2, 3, 1, 3]
    arguments["prior"] = rng.dirichlet(np.ones(6)).tolist()
    arguments["likelihoods"] = [[table[h] for h in twice] for table in arguments["likelihoods"]]
    fixes, minutes = arguments["repairs"]
    arguments["repairs"] = ([[row[h] for h in twice] for row in fixes], minutes)
    model = Model.from_arrays(**arguments)
    lean, group = merged(model)
    assert len(lean.prior) == 4
    assert group[1] == group[4]
    whole, small = solve(model), solve(lean)
    assert whole is not None
    assert small is not None
    assert small.minutes == pytest.approx(whole.minutes)
