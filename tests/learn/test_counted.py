"""Expectation and maximisation: by hand where every cause is proven, never falling where it is not."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from nextprobe.learn.case import Case
from nextprobe.learn.counted import believed_worth, count, explained, posterior, worth
from nextprobe.learn.gather import Gathered
from nextprobe.learn.learn import learn, with_learned
from nextprobe.learn.tables import Parameters, make_blocks
from nextprobe.pack.build import build_pack
from nextprobe.pack.pack import Pack
from nextprobe.study.subject import subject_of
from nextprobe.walk import Walk
from nextprobe.walk.state import Evidence
from tests.learn.simulated import Bench, wrong_weights
from tests.learn.small import drawn_data, drawn_pack


def gone(repair: str) -> Evidence:
    return Evidence(repair, "repair", "gone")


def still(repair: str) -> Evidence:
    return Evidence(repair, "repair", "still")


def case(*evidence: Evidence, options: tuple[tuple[str, str], ...] = (), ending: str = "repaired") -> Case:
    return Case("j", "dark", options, evidence, ending, "2026-03-02")


def changes_of(pack: Pack, cases: list[Case], jobs: float = 50.0) -> dict[str, Any]:
    found = learn(pack, Gathered(tuple(cases), {}), jobs)
    return {".".join(map(str, one.path)): one for one in found.changes}


def test_proven_jobs_count_as_dirichlet_and_beta_say() -> None:
    """Each repair of the drawn pack cures one cause, so that a cured job is a counted one.

    Dirichlet and beta updates by hand: (worth x share + seen) / (worth + all). Fewer jobs than the pack is worth, so
    that its worth stands.
    """
    pack = drawn_pack(0)
    cases = [case(gone("repair_2")) for _ in range(12)] + [case(gone("repair_3")) for _ in range(8)]
    cases += [case(still("repair_2"), gone("repair_3")) for _ in range(4)]
    found = changes_of(pack, cases)
    total = sum(cause.weight for cause in pack.causes.values())
    for cause, seen in (("cause_2", 12), ("cause_3", 12), ("cause_0", 0)):
        share = pack.causes[cause].weight / total
        assert found[f"causes.{cause}.weight"].after == pytest.approx(total * (50 * share + seen) / (50 + 24), rel=1e-6)
        assert found[f"causes.{cause}.weight"].seen == pytest.approx(seen, abs=1e-6)
    assert found["unlisted"].after == pytest.approx(50 * 0.02 / (50 + 24), rel=1e-6)
    share = pack.causes["cause_3"].weight / total * 0.98
    trials = max(5.0, 50 * share)
    before = pack.repairs["repair_3"].fixes["cause_3"]
    after = found["repairs.repair_3.fixes.cause_3"].after
    assert after == pytest.approx((trials * before + 12) / (trials + 12), rel=1e-6)


def test_a_job_that_tells_nothing_moves_nothing() -> None:
    """Quoted without a reading: it counts for every cause by the pack's own share, and all stays (by hand)."""
    pack = drawn_pack(1)
    found = changes_of(pack, [case(ending="referred") for _ in range(40)])
    for cause in pack.causes:
        one = found[f"causes.{cause}.weight"]
        assert one.after == pytest.approx(one.before, rel=1e-5)


def test_what_a_job_counts_for_is_the_belief_at_its_end() -> None:
    """The walk's own belief, told the same: another implementation of the same definition."""
    pack = drawn_pack(2)
    walk = Walk(pack, "dark")
    walk.tell("look_0", "odd")
    walk.tell("look_1", "normal")
    walk.tell("repair_1", "still")
    told = [Evidence(key, "measure", out, ((out, 1.0),)) for key, out in (("look_0", "odd"), ("look_1", "normal"))]
    known = Parameters.of(pack)
    blocks, _ = make_blocks(pack, [case(*told, still("repair_1"), ending="left")], known)
    weights, _ = posterior(blocks[0], known)
    belief = walk.belief()
    for place, cause in enumerate(known.causes):
        assert float(weights[0, blocks[0].cause_of == place].sum()) == pytest.approx(belief[cause], abs=1e-9)
    assert float(weights[0, -1]) == pytest.approx(belief["unlisted"], abs=1e-9)


@pytest.mark.parametrize("seed", range(4))
def test_the_likelihood_never_falls(seed: int) -> None:
    """Dempster, Laird & Rubin 1977, theorem 1 (from memory)."""
    rng = np.random.default_rng(seed)
    true = drawn_pack(seed)
    believed = wrong_weights(true, rng)
    bench = Bench(subject_of(true), subject_of(believed), {})
    cases = [bench.case(rng) for _ in range(60)]
    known = Parameters.of(believed)
    blocks, _ = make_blocks(believed, cases, known)
    told = count(blocks, known, worth(known, 20.0, blocks)).likelihood
    assert len(told) > 3
    assert (np.diff(told) >= -1e-8).all()


def test_a_cause_that_cannot_be_there_keeps_its_share() -> None:
    """By hand from the stationary point: share = (a_c + n_c) / (A + n / (1 - s_x)) with x the cause that cannot be."""
    data = drawn_data(np.random.default_rng(3))
    data["options"] = {"kind": {"ask": "Which?", "values": ["a", "b"]}}
    data["causes"]["cause_6"]["only_if"] = {"kind": "b"}
    pack = build_pack(data, files={}, content_hash="x")
    cases = [case(gone("repair_1"), options=(("kind", "a"),)) for _ in range(30)]
    found = changes_of(pack, cases)
    total = sum(cause.weight for cause in pack.causes.values())
    closed = pack.causes["cause_6"].weight / total
    assert found["causes.cause_6.weight"].after == pytest.approx(pack.causes["cause_6"].weight, rel=1e-4)
    share = pack.causes["cause_1"].weight / total
    assert found["causes.cause_1.weight"].after == pytest.approx(
        total * (50 * share + 30) / (50 + 30 / (1 - closed)), rel=1e-4
    )


def test_what_nothing_explains_is_counted_apart() -> None:
    pack = drawn_pack(0)
    odd = replace(pack, repairs={**pack.repairs, "repair_0": replace(pack.repairs["repair_0"], fixes={"cause_0": 0.0})})
    known = Parameters.of(odd)
    blocks, _ = make_blocks(odd, [case(gone("repair_0")), case(gone("repair_1"))], known)
    kept, out = explained(blocks[0], known)
    assert out == (0,)
    assert kept.count.sum() == 1
    learned = learn(odd, Gathered((case(gone("repair_0")),), {}))
    assert learned.jobs == 0
    assert sum(learned.left_out.values()) == 1
    assert not learned.changes


def test_weights_far_off_are_worth_less() -> None:
    """300 jobs of the least likely cause cannot be squared with 50 jobs' worth of the pack; jobs by its shares can."""
    pack = drawn_pack(4)
    known = Parameters.of(pack)
    least = min(pack.causes, key=lambda cause: pack.causes[cause].weight)
    repair = f"repair_{least[-1]}"
    blocks, _ = make_blocks(pack, [case(gone(repair)) for _ in range(300)], known)
    prior = worth(known, 50.0, blocks)
    assert believed_worth(blocks, known, count(blocks, known, prior), prior) < 10.0
    share = known.weight / known.weight.sum()
    fair = [case(gone(f"repair_{n}")) for n, part in enumerate(share) for _ in range(round(300 * part))]
    blocks, _ = make_blocks(pack, fair, known)
    prior = worth(known, 50.0, blocks)
    assert believed_worth(blocks, known, count(blocks, known, prior), prior) == 50.0


def test_the_pack_takes_what_was_learnt() -> None:
    pack = drawn_pack(0)
    learned = learn(pack, Gathered(tuple(case(gone("repair_2")) for _ in range(20)), {}))
    after = with_learned(pack, learned)
    assert sum(one.weight for one in after.causes.values()) == pytest.approx(
        sum(one.weight for one in pack.causes.values())
    )
    assert after.causes["cause_2"].weight > pack.causes["cause_2"].weight
    assert after.unlisted < pack.unlisted
    assert after.repairs["repair_2"].fixes["cause_2"] > pack.repairs["repair_2"].fixes["cause_2"]


def test_the_same_cases_give_the_same_figures() -> None:
    pack = drawn_pack(5)
    cases = tuple(case(gone("repair_4")) for _ in range(9))
    assert learn(pack, Gathered(cases, {})).as_dict() == learn(pack, Gathered(cases, {})).as_dict()
