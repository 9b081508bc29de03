"""`make_plan` against values from outside the project; each names its source."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from nextprobe import Model, ModelError, make_plan


def binary(failing: list[set[int]], tests: int) -> list[list[list[float]]]:
    """Tests 1..n that fail in the states whose set names them."""
    return [[[0.0, 1.0] if test in one else [1.0, 0.0] for one in failing] for test in range(1, tests + 1)]


SIX = [set(), {2, 5}, {3, 4}, {1, 4, 5}, {1, 2}, {1, 2, 3, 4}]
PRIOR = [0.70, 0.01, 0.02, 0.10, 0.05, 0.12]


def test_six_states_five_tests() -> None:
    """Pattipati & Alexandridis, IEEE Trans. SMC 1990 (inputs from memory, value recomputed): 2.18, first 2 or 4."""
    plan = make_plan(Model.from_arrays(PRIOR, binary(SIX, 5), [1.0] * 5))
    assert plan.expected_cost == pytest.approx(2.18)
    assert plan.first.kind == "measure"
    assert plan.first.index + 1 in (2, 4)
    assert plan.lower_bound <= 2.18
    leaves = plan.leaves()
    assert sorted(leaf.hypotheses for leaf in leaves) == [(n,) for n in range(6)]
    assert sum(leaf.probability for leaf in leaves) == pytest.approx(1.0)
    assert sum(leaf.probability * len(leaf.path) for leaf in leaves) == pytest.approx(2.18)
    assert {leaf.ending for leaf in leaves} == {"found"}


@pytest.mark.parametrize(
    ("prior", "cost"),
    [([0.25, 0.25, 0.2, 0.15, 0.15], 2.3), ([1 / 2, 1 / 4, 1 / 8, 1 / 16, *[1 / 64] * 4], 2.0)],
)
def test_every_binary_partition_reaches_the_huffman_length(prior: list[float], cost: float) -> None:
    """Huffman 1952: with every binary partition at unit cost the optimum is the Huffman length."""
    count = len(prior)
    tests = [
        [[1.0, 0.0] if mask >> state & 1 else [0.0, 1.0] for state in range(count)]
        for mask in range(1, 2 ** (count - 1))
    ]
    plan = make_plan(Model.from_arrays(prior, tests, [1.0] * len(tests)))
    entropy = -sum(p * np.log2(p) for p in prior)
    assert plan.expected_cost == pytest.approx(cost)
    assert entropy - 1e-9 <= plan.lower_bound <= cost


def test_single_perfect_repairs_go_by_chance_over_cost() -> None:
    """Kadane & Simon 1977; Heckerman, Breese & Rommelse 1995: p .5, .3, .2, c 10, 2, 1: order 3, 2, 1, cost 38/5."""
    model = Model.from_arrays([0.5, 0.3, 0.2], [], [], (np.eye(3), [10.0, 2.0, 1.0]), 1000.0)
    plan = make_plan(model)
    assert plan.expected_cost == pytest.approx(38 / 5)
    assert (plan.first.kind, plan.first.index) == ("repair", 2)


def test_four_pegs_six_colours() -> None:
    """A plain greedy rule needs 4746 tests for all 1296 codes (own computation); the tree must not need more."""
    codes = np.array(list(product(range(6), repeat=4)))
    black = (codes[:, None, :] == codes[None, :, :]).sum(-1)
    counts = np.stack([(codes == colour).sum(1) for colour in range(6)])
    both = np.minimum(counts[:, :, None], counts[:, None, :]).sum(0)
    _, outcome = np.unique(black * 5 + both - black, return_inverse=True)
    outcome = outcome.reshape(1296, 1296)
    assert outcome.max() == 13
    tables = [np.eye(14)[row] for row in outcome]
    plan = make_plan(Model.from_arrays(np.ones(1296), tables, np.ones(1296)))
    assert plan.expected_cost * 1296 <= 4746
    assert all(len(leaf.hypotheses) == 1 for leaf in plan.leaves())


def test_the_tree_costs_what_it_says_in_simulated_jobs() -> None:
    """U is the exact cost of the policy in the tree: 20,000 jobs agree within four standard errors."""
    rng = np.random.default_rng(8)
    causes, tests, repairs = 6, 6, 4
    tables = [0.1 + 0.8 * np.eye(2)[rng.integers(0, 2, causes)] for _ in range(tests)]
    fixes = np.where(rng.random((repairs, causes)) < 0.4, 0.8, 0.0)
    model = Model.from_arrays(
        rng.dirichlet(np.ones(causes)), tables, rng.uniform(1, 6, tests), (fixes, rng.uniform(10, 60, repairs)), 120.0
    )
    plan = make_plan(model)
    leaves = plan.leaves()
    assert sum(leaf.probability for leaf in leaves) == pytest.approx(1.0)
    assert plan.lower_bound <= plan.expected_cost
    costs = np.array([follow(model, plan, rng) for _ in range(20_000)])
    assert abs(costs.mean() - plan.expected_cost) < 4 * costs.std() / len(costs) ** 0.5


def follow(model: Model, plan: object, rng: np.random.Generator) -> float:
    """One job by the plan's tree; where the tree ends, repairs in the best order recomputed by hand."""
    from nextprobe.plan.baselines import repair_or_refer
    from nextprobe.plan.plan import Plan

    assert isinstance(plan, Plan)
    hidden = int(rng.choice(len(model.prior), p=model.prior))
    belief, minutes, node = model.prior, 0.0, plan.root
    tried = np.zeros(len(model.fixes), dtype=bool)
    while node.action.kind == "measure":
        test = node.action.index
        minutes += float(model.minutes[test])
        outcome = int(rng.choice(model.likelihoods[test].shape[1], p=model.likelihoods[test][hidden]))
        belief = belief * model.likelihoods[test][:, outcome]
        node = node.children[outcome]
        while node.action.kind == "repair" and node.failed is not None:
            repair = node.action.index
            minutes += float(model.repair_minutes[repair])
            if rng.random() < model.fixes[repair, hidden]:
                return minutes
            belief, tried[repair], node = belief * (1 - model.fixes[repair]), True, node.failed
    while True:
        action = repair_or_refer(model, belief, 0, tried)
        if action.kind == "refer":
            return minutes + float(model.refer[0])
        minutes += float(model.repair_minutes[action.index])
        if rng.random() < model.fixes[action.index, hidden]:
            return minutes
        belief, tried[action.index] = belief * (1 - model.fixes[action.index]), True


def test_a_model_that_never_ends_is_refused() -> None:
    with pytest.raises(ModelError, match="never end: 1"):
        make_plan(Model.from_arrays([0.5, 0.5], [], [], ([[1.0, 0.5]], [10.0])))


def test_an_unknown_effort_is_refused() -> None:
    with pytest.raises(ModelError, match="slow"):
        make_plan(Model.from_arrays([1.0], [], [], refer=1.0), effort="slow")
