"""Inference and conflict against values from outside the project."""

from __future__ import annotations

from math import log2
from typing import Any

import numpy as np
import pytest

from nextprobe import Pack, Walk
from nextprobe.belief import explains
from nextprobe.pack.build import build_pack


def pack_of(data: dict[str, Any]) -> Pack:
    defaults = {"unlisted": 0, "misread": 0, "symptoms": {"asked": {}}}
    return build_pack({**defaults, **data}, files={}, content_hash="")


def caller(says: float, falsely: float) -> dict[str, Any]:
    return {
        "outcomes": {"calls": {}, "silent": {}},
        "reads": [
            {"when": "alarm", "gives": {"calls": says, "silent": 1 - says}},
            {"otherwise": {"calls": falsely, "silent": 1 - falsely}},
        ],
    }


@pytest.fixture
def burglary() -> Walk:
    """Two-caller burglary network: Pearl 1988; figures as in common textbooks.

    The four states of burglary and earthquake are four causes, so that the prior is the network's own.
    """
    b, e = 0.001, 0.002
    states = {
        "both": (b * e, 0.95),
        "burglary": (b * (1 - e), 0.94),
        "earthquake": ((1 - b) * e, 0.29),
        "neither": ((1 - b) * (1 - e), 0.001),
    }
    causes = {name: {"weight": w, "leads_to": {"asked": 1, "alarm": p}} for name, (w, p) in states.items()}
    measurements = {"caller_1": caller(0.90, 0.05), "caller_2": caller(0.70, 0.01)}
    return Walk(pack_of({"effects": {"alarm": {}}, "causes": causes, "measurements": measurements}))


def test_burglary_when_both_call(burglary: Walk) -> None:
    """Pearl 1988: P(burglary | both call) = .284172; conflict log2(ΠP(e_i)/P(e)) = -1.768007."""
    burglary.tell("caller_1", "calls")
    burglary.tell("caller_2", "calls")
    belief = burglary.belief()
    assert belief["burglary"] + belief["both"] == pytest.approx(0.284172, abs=5e-7)
    assert burglary.conflict() == pytest.approx(-1.768007, abs=5e-7)


def test_readings_that_support_each_other_and_readings_that_disagree(burglary: Walk) -> None:
    """Jensen, Chamberlain, Nordahl & Jensen, UAI 1990: conf <= 0 support, > 0 disagreement; one reading: 0."""
    burglary.tell("caller_1", "calls")
    assert burglary.conflict() == pytest.approx(0.0, abs=1e-12)
    burglary.tell("caller_2", "silent")
    assert burglary.conflict() > 0


FAILS = {"s0": (), "s1": (2, 5), "s2": (3, 4), "s3": (1, 4, 5), "s4": (1, 2), "s5": (1, 2, 3, 4)}
PRIOR = {"s0": 0.70, "s1": 0.01, "s2": 0.02, "s3": 0.10, "s4": 0.05, "s5": 0.12}


@pytest.fixture
def six_states() -> Walk:
    """Six states and five tests: Pattipati & Alexandridis, IEEE Trans. SMC 1990 (inputs from memory)."""
    causes = {state: {"weight": p, "leads_to": {"asked": 1}} for state, p in PRIOR.items()}
    tests = {
        f"test_{t}": {
            "outcomes": {"passes": {}, "fails": {}},
            "misread": 0.02,
            "reads": [
                {"when": [state for state, failing in FAILS.items() if t in failing], "gives": {"fails": 1}},
                {"otherwise": {"passes": 1}},
            ],
        }
        for t in range(1, 6)
    }
    return Walk(pack_of({"causes": causes, "measurements": tests}))


def test_six_states_with_one_reading_that_does_not_fit(six_states: Walk) -> None:
    """Flip rate .02, readings (0,1,0,0,0): conflict 2.4577, P(reading of test 2 is wrong) = .92099."""
    for t, reading in enumerate((0, 1, 0, 0, 0), 1):
        six_states.tell(f"test_{t}", "fails" if reading else "passes")
    doubt = six_states.doubt()
    assert doubt.conflict == pytest.approx(2.4577, abs=5e-5)
    assert doubt.reading == "test_2"
    assert doubt.chance == pytest.approx(0.92099, abs=5e-6)


def test_taking_the_doubtful_reading_again_ends_the_conflict(six_states: Walk) -> None:
    """A retake replaces the reading: what is left is P(s0 | all pass) by Bayes' rule, worked out here."""
    for t, reading in enumerate((0, 1, 0, 0, 0), 1):
        six_states.tell(f"test_{t}", "fails" if reading else "passes")
    six_states.tell("test_2", "passes")
    weight = {s: PRIOR[s] * 0.98 ** (5 - len(fails)) * 0.02 ** len(fails) for s, fails in FAILS.items()}
    assert six_states.belief()["s0"] == pytest.approx(weight["s0"] / sum(weight.values()), abs=1e-12)
    assert six_states.conflict() < 0


def test_a_rare_case_may_explain_a_conflict() -> None:
    """UAI 1990: conf(e) - log2[P(h|e)/P(h)] <= 0 means that h explains the disagreement.

    One reading speaks for a, the other for b; only the rare cause gives both as a rule. The figures are
    worked out beside the engine's.
    """
    shares = {"a": (0.60, 0.9, 0.1), "b": (0.39, 0.1, 0.9), "rare": (0.01, 0.95, 0.95)}
    causes = {name: {"weight": w, "leads_to": {"asked": 1}} for name, (w, _, _) in shares.items()}

    def reading(place: int) -> dict[str, Any]:
        rules: list[dict[str, Any]] = [
            {"when": name, "gives": {"seen": row[place], "not": 1 - row[place]}} for name, row in shares.items()
        ]
        return {"outcomes": {"seen": {}, "not": {}}, "reads": [*rules, {"otherwise": {"not": 1}}]}

    walk = Walk(pack_of({"causes": causes, "measurements": {"hot": reading(1), "low": reading(2)}}))
    before = walk.belief()
    walk.tell("hot", "seen")
    walk.tell("low", "seen")
    after = walk.belief()
    hot = sum(w * p for w, p, _ in shares.values())
    low = sum(w * p for w, _, p in shares.values())
    both = sum(w * p * q for w, p, q in shares.values())
    conflict = log2(hot * low / both)
    assert walk.conflict() == pytest.approx(conflict, abs=1e-12)
    assert conflict > 1
    for cause, (w, p, q) in shares.items():
        rise = log2((w * p * q / both) / w)
        assert explains(walk.conflict(), before[cause], after[cause]) is (conflict - rise <= 0)
    assert explains(walk.conflict(), before["rare"], after["rare"])
    assert not explains(walk.conflict(), before["a"], after["a"])


@pytest.mark.parametrize(("conflict", "rise"), [(2.0, 2.0), (2.0, 2.5), (-1.0, 0.0)])
def test_explains_from_its_own_inequality_on(conflict: float, rise: float) -> None:
    """The border belongs to it: conf - log2[P(h|e)/P(h)] = 0 explains."""
    assert explains(conflict, 0.01, 0.01 * 2**rise)
    assert not explains(rise + 1e-6, 0.01, 0.01 * 2**rise)


def test_posteriors_of_the_six_states_by_a_general_library(six_states: Walk) -> None:
    """pyagrum, general-purpose Bayesian networks, tolerance 1e-6."""
    from tests.oracle.networks import gum

    net = gum.BayesNet()
    net.add(gum.LabelizedVariable("state", "state", list(PRIOR)))
    net.cpt("state").fillWith(list(PRIOR.values()))
    for t in range(1, 6):
        net.add(gum.LabelizedVariable(f"test_{t}", "", ["passes", "fails"]))
        net.addArc("state", f"test_{t}")
        chances = [0.98 if t in FAILS[state] else 0.02 for state in PRIOR]
        net.cpt(f"test_{t}").fillWith([share for p in chances for share in (1 - p, p)])
    inference = gum.LazyPropagation(net)
    for t in (2, 4, 5):
        inference.addEvidence(f"test_{t}", "fails")
        six_states.tell(f"test_{t}", "fails")
    wanted = np.array(inference.posterior("state").tolist())
    found = six_states.belief()
    assert np.array([found[state] for state in PRIOR]) == pytest.approx(wanted, abs=1e-6)


def test_conflict_of_the_impossible_is_no_nan() -> None:
    """Nothing listed can survive its own perfect repair: the readings disagree without measure, and say so."""
    causes = {"a": {"leads_to": {"asked": 1}}, "b": {"leads_to": {"asked": 1}}}
    repairs = {"fix": {"fixes": {"a": 1, "b": 1}}}
    walk = Walk(pack_of({"unlisted": 0.02, "causes": causes, "repairs": repairs}))
    walk.tell("fix", "still")
    assert walk.belief() == {"a": 0.0, "b": 0.0, "unlisted": 1.0}
    assert walk.conflict() > 0
