"""A plan that is followed: the part meant for each answer is found, and nothing else is taken for it."""

from __future__ import annotations

import numpy as np
import pytest

from nextprobe import Model
from nextprobe.plan.deepen import Deepening
from nextprobe.plan.follow import follow
from nextprobe.plan.following import Followed
from nextprobe.plan.tree import start_of
from tests.plan.draw import draw_model, extended, model_of


def planned(seed: int = 5) -> tuple[Model, Followed]:
    drawn = draw_model(np.random.default_rng(seed), 12, 10, 6, 3, 0.1)
    model = Model.from_arrays(**{**drawn, "refer": 4 * drawn["refer"]})
    policy, start = Deepening(model), start_of(model)
    for _ in range(2):
        policy.step()
    root = policy.policy()
    plan = Followed(model, model.prior, model.start, start.measured[0], start.tried[0], root, policy.upper)
    assert root.action.kind == "measure"
    return model, plan


def test_each_outcome_leads_to_its_part_and_the_minutes_add_up() -> None:
    """The step's own minutes and those of each outcome, weighted by its chance, are those of the whole."""
    model, plan = planned()
    test = plan.node.action.index
    there = int(model.nearest_measurement[1][model.start, test])
    told = plan.measured.copy()
    told[test] = True
    total = float(model.ways[model.start, there] + model.minutes[test])
    for outcome, child in plan.node.children.items():
        after = model.prior * model.likelihoods[test][:, outcome]
        part = plan.at(3.0 * after, there, told, plan.tried)
        assert part is not None
        assert part.node is child
        total += float(after.sum()) * part.minutes
    assert total == pytest.approx(plan.minutes)
    assert plan.at(model.prior, model.start, plan.measured, plan.tried) is plan


def test_what_was_not_foreseen_is_planned_anew() -> None:
    model, plan = planned()
    test = plan.node.action.index
    there = int(model.nearest_measurement[1][model.start, test])
    told = plan.measured.copy()
    told[test] = True
    after = model.prior * model.likelihoods[test][:, 0]
    other = told.copy()
    other[(test + 1) % len(told)] = True
    elsewhere = (there + 1) % len(model.ways)
    assert plan.at(after * np.linspace(1, 2, len(after)), there, told, plan.tried) is None
    assert plan.at(after, elsewhere, told, plan.tried) is None
    assert plan.at(after, there, other, plan.tried) is None
    assert plan.at(after, there, told, ~plan.tried) is None


@pytest.mark.parametrize("seed", range(8))
def test_a_deepened_plan_costs_what_it_says_where_repairs_want_measurements(seed: int) -> None:
    """Followed to its ends by other code, its orders written out."""
    rng = np.random.default_rng(seed)
    drawn = draw_model(rng, 8, 7, 4, 3, 0.1)
    model = model_of(extended(rng, {**drawn, "refer": 4 * drawn["refer"]}, ("wants", "excludes", "stops", "proof")))
    policy = Deepening(model)
    policy.run(lambda _: policy.size > 3000)
    assert follow(model, policy.policy()).minutes == pytest.approx(policy.upper, rel=1e-9)
