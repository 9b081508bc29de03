"""What comes of steps, over many simulated machines: neither good nor bad luck in the long run."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from nextprobe import Walk
from nextprobe.review.judge import Judge
from tests.oracle.packs import typed
from tests.review.made import Kept, chained, written
from tests.study.small import LAMP
from tests.walk.drive import step
from tests.walk.packs import whole_pack

#: The lamp's causes by weight 2 : 1 : 1 of all but the unlisted 2 in 100; each fault shows the symptom for certain.
CAUSES = {"fuse": 0.49, "bulb": 0.245, "holder": 0.245, "unlisted": 0.02}
REPAIRS = {"replace_fuse": "fuse", "replace_bulb": "bulb", "replace_holder": "holder"}
STEPS = ("current", "smell", *REPAIRS)
JOBS = 100


def read(rng: np.random.Generator, what: str, cause: str) -> str:
    """A reading with the pack's default misread chance of 1 in 100, which is part of every reading of two outcomes."""
    if what == "smell":
        chance = 0.1
    elif cause == "unlisted":
        chance = (2 * 0.95 + 2 * 0.05) / 4  # as over all causes
    else:
        chance = 0.95 if cause == "fuse" else 0.05
    first = rng.random() < 0.99 * chance + 0.01 * (1 - chance)
    return (("burnt", "clean") if what == "smell" else ("none", "flowing"))[0 if first else 1]


def test_luck_sums_to_nothing_over_many_machines(tmp_path: Path) -> None:
    """A martingale: the mean of what turned out is 0 within 4 standard errors, for steps good and bad at random."""
    pack = written(tmp_path, LAMP)
    rng = np.random.default_rng(11)
    turned = []
    for _ in range(JOBS):
        cause = str(rng.choice(list(CAUSES), p=list(CAUSES.values())))
        walk = Walk(pack)
        for one in rng.permutation(STEPS)[:3].tolist():
            if one in REPAIRS:
                walk.tell(one, "done")
                gone = REPAIRS[one] == cause and rng.random() < 0.95
                walk.tell("seen", "gone" if gone else "still")
                if gone:
                    break
            else:
                walk.tell(one, read(rng, one, cause))
        judge = Judge(Kept(pack))
        for event in chained(walk):
            judge.take(event)
        turned.append(sum(one.turned or 0.0 for one in judge.steps))
    assert np.std(turned) > 5.0
    assert abs(np.mean(turned)) < 4.0 * np.std(turned) / np.sqrt(JOBS)


def test_the_engines_own_path_has_no_regret_on_random_packs() -> None:
    """Whatever the answers, who does what was asked loses nothing by choice."""
    for seed in range(4):
        rng = np.random.default_rng(seed)
        pack = typed(whole_pack(rng))
        walk = Walk(pack)
        for _ in range(12):
            if walk.ask().kind == "done":
                break
            step(walk, rng)
        judge = Judge(Kept(pack))
        for event in chained(walk):
            judge.take(event)
        told = [one for one in judge.steps if not one.skipped]
        assert all(one.regret == 0.0 for one in told)
        assert all(one.verdict == "paid" for one in told)
