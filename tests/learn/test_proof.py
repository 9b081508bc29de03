"""The proof by simulation: jobs led by a pack with wrong weights bring back most of the minutes that these lose."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

import numpy as np
import pytest

from nextprobe.learn.gather import Gathered
from nextprobe.learn.learn import learn
from nextprobe.pack.load import load_pack
from nextprobe.pack.pack import Pack
from nextprobe.study.subject import subject_of
from tests.learn.simulated import OPTIONS, Bench, cost_on, on_machine, weights_of, wrong_weights
from tests.learn.small import drawn_pack

JOBS = 300


@dataclass
class Told:
    """Minutes lost a job by wrong weights, and after they were learnt; how often the intervals hold the truth."""

    lost: float = 0.0
    left: float = 0.0
    held: dict[str, list[bool]] = field(default_factory=lambda: defaultdict(list))

    @property
    def brought_back(self) -> float:
        return 1.0 - self.left / self.lost

    @property
    def coverage(self) -> float:
        return float(np.mean([one for found in self.held.values() for one in found]))


def play(told: Told, true: Pack, seed: int, options: dict[str, str], *, coin: bool) -> None:
    rng = np.random.default_rng([11, seed])
    believed = wrong_weights(true, rng, coin=coin)
    truth, wrong = subject_of(true), subject_of(believed)
    bench = Bench(truth, wrong, options)
    learned = learn(believed, Gathered(tuple(bench.case(rng) for _ in range(JOBS)), {}))
    best = cost_on(truth.model, truth)
    told.lost += cost_on(truth.model, wrong) - best
    told.left += cost_on(truth.model, subject_of(weights_of(believed, learned))) - best
    open_ = [cause for cause in truth.causes if cause != "unlisted"]
    scale = sum(believed.causes[one].weight for one in open_) / sum(true.causes[one].weight for one in open_)
    for one in learned.changes:
        match one.path:
            case ("causes", str(cause), "weight"):
                value = true.causes[cause].weight * scale
                if cause not in open_:
                    continue
            case ("repairs", str(repair), "fixes", str(cause)):
                value = true.repairs[repair].fixes[cause]
            case ("unlisted",):
                value = true.unlisted
            case ("misread",):
                value = true.misread
            case _:
                value = one.before
        told.held[one.kind].append(one.low <= value <= one.high)


def test_300_jobs_bring_back_most_of_what_wrong_weights_lose() -> None:
    """Weights wrong by a factor of up to 3, and by exactly 3; plans are solved to the end: every minute is theirs."""
    told = Told()
    for seed in range(6):
        play(told, drawn_pack(seed), seed, {}, coin=bool(seed % 2))
    assert told.lost > 3.0
    assert told.brought_back >= 0.8
    # 120 intervals that should hold 9 times in 10: a standard error of 3 in 100.
    assert 0.82 <= told.coverage <= 0.98


@pytest.mark.soak
def test_the_long_proof() -> None:
    told = Told()
    for seed in range(60):
        play(told, drawn_pack(seed), seed, {}, coin=bool(seed % 2))
    print(f"brought back {told.brought_back:.3f}; coverage {told.coverage:.3f}")
    for kind, found in told.held.items():
        print(f"  {kind}: {np.mean(found):.3f} of {len(found)}")
    assert told.brought_back >= 0.8
    assert 0.85 <= told.coverage <= 0.95
    assert 0.85 <= np.mean(told.held["weight"]) <= 0.95


@pytest.mark.soak
def test_the_bundled_pack_of_a_bicycle() -> None:
    """Here the planner's own distance from the best blurs what is lost: the bound is the same, over fewer draws."""
    told = Told()
    true = on_machine(load_pack("dynamo-light"), OPTIONS)
    for seed in range(12):
        play(told, true, seed, OPTIONS, coin=True)
    print(f"brought back {told.brought_back:.3f} of {told.lost / 12:.2f} minutes a job; coverage {told.coverage:.3f}")
    assert told.brought_back >= 0.8
    assert told.coverage >= 0.85
