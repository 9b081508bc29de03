"""Two faults in the planner's model against the belief, which unfolds every pair and has tests of its own."""

from __future__ import annotations

import numpy as np
import pytest

from nextprobe import Walk, load_pack
from nextprobe import belief as b
from nextprobe.model.compile import Compiled
from nextprobe.model.hypotheses import Hypotheses, make_hypotheses, rule_table
from nextprobe.model.pairs import with_pairs
from nextprobe.walk.evidence import fixes_of
from nextprobe.walk.open_steps import effective_options

PACK = load_pack("no-picture", "brindle-14")


@pytest.fixture(scope="module")
def known() -> tuple[Compiled, Hypotheses]:
    walk = Walk(PACK)
    return walk.planning_model(), make_hypotheses(PACK, "no_picture", effective_options(PACK, walk._state))


def test_what_is_left_after_a_repair_is_what_the_belief_says(known: tuple[Compiled, Hypotheses]) -> None:
    """Beliefs with 300 pairs alone, all repairs of the bundled pack."""
    compiled, hypotheses = known
    rng = np.random.default_rng(3)
    singles = hypotheses.singles
    weights = np.where(np.arange(len(hypotheses.first)) < singles, hypotheses.prior, 0.0)
    rows = np.sort(rng.choice(np.arange(singles, len(weights)), 300, replace=False))
    weights[rows] = rng.uniform(0.1, 1.0, 300) / 300
    extended, own = with_pairs(compiled, hypotheses, weights, 0.02)
    assert len(own) == singles + 1 + 300
    before = b.Belief(weights, 0.02)
    for index, id_ in enumerate(extended.repairs):
        after = b.still_after(before, hypotheses, fixes_of(PACK.repairs[id_], hypotheses))
        left = extended.model.after_failure(own[None, :], index)[0]
        gone = extended.model.fixes[index] @ own
        assert left.sum() + gone == pytest.approx(own.sum())
        wanted = np.concatenate([after.weights[:singles], [after.unlisted], after.weights[rows]])
        assert left / left.sum() == pytest.approx(wanted, abs=1e-12)


def test_pairs_read_as_their_rules_say(known: tuple[Compiled, Hypotheses]) -> None:
    compiled, hypotheses = known
    belief = b.start(hypotheses)
    extended, own = with_pairs(compiled, hypotheses, belief.weights, belief.unlisted, 40)
    rows = np.sort(np.argsort(-belief.weights[hypotheses.singles :], kind="stable")[:40]) + hypotheses.singles
    first, second = hypotheses.first[rows], hypotheses.second[rows]
    for one, two in {*zip(first.tolist(), second.tolist(), strict=True)}:
        both = (hypotheses.first == one) & (hypotheses.second == two)
        held = own[hypotheses.singles + 1 :][(first == one) & (second == two)]
        assert held.sum() == pytest.approx(belief.weights[both].sum())
    for act, table in zip(extended.acts, extended.model.likelihoods, strict=True):
        if len(act) == 1 and act[0].id in PACK.measurements:
            measurement = PACK.measurements[act[0].id]
            wanted = rule_table(measurement)[hypotheses.rule_index(measurement)[rows]]
            assert table[hypotheses.singles + 1 :] == pytest.approx(wanted)


def test_what_stays_folded_is_said(known: tuple[Compiled, Hypotheses]) -> None:
    compiled, hypotheses = known
    belief = b.start(hypotheses)
    share = float(belief.weights[hypotheses.singles :].sum())
    extended, own = with_pairs(compiled, hypotheses, belief.weights, belief.unlisted, 100)
    assert extended.folded + own[hypotheses.singles + 1 :].sum() == pytest.approx(share)
    none, alone = with_pairs(compiled, hypotheses, belief.weights, belief.unlisted, 0)
    assert none.folded == pytest.approx(share)
    assert len(alone) == hypotheses.singles + 1


def test_what_the_pack_wants_told_first_is_in_the_model(known: tuple[Compiled, Hypotheses]) -> None:
    """By the pack's own file: the resistances before a short is removed, and two readings of one fact."""
    compiled, _ = known
    model = compiled.model
    assert model.wants is not None
    assert model.excludes is not None
    before = model.wants.repair[compiled.repairs.index("remove_short")]
    assert [compiled.measurements[t] for t in np.nonzero(before)[0]] == ["resistance_sweep"]
    one, other = compiled.measurements.index("current_pattern"), compiled.measurements.index("start_current")
    assert model.excludes[one, other]
    assert model.excludes[other, one]
