"""The same proof over the whole way: rehearsals led with wrong weights, recorded, read back, learnt from."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from ruamel.yaml import YAML

from nextprobe.learn.gather import REHEARSAL, gather
from nextprobe.learn.learn import learn
from nextprobe.pack.load import load_pack
from nextprobe.pack.pack import Pack
from nextprobe.rehearse.follow import follow
from nextprobe.rehearse.make import Hidden
from nextprobe.rehearse.rehearsal import Setting, start_rehearsal
from nextprobe.study.subject import subject_of
from tests.learn.simulated import cost_on, weights_of
from tests.learn.small import drawn_data
from tests.learn.workshop import store_in


def two_packs(folder: Path, seed: int) -> tuple[Pack, Pack]:
    """The pack as it is, and with each weight wrong by a factor of 3 either way; both in files."""
    packs = []
    for name, factor in (("true", 1.0), ("wrong", 3.0)):
        rng = np.random.default_rng([7, seed])
        data = drawn_data(rng)
        for cause in data["causes"].values():
            cause["weight"] = round(cause["weight"] * factor ** float(rng.choice([-1.0, 1.0])), 3)
        where = folder / name
        where.mkdir()
        with (where / "pack.yaml").open("w", encoding="utf-8") as file:
            YAML().dump(data, file)
        packs.append(load_pack(where))
    return packs[0], packs[1]


def rehearse(folder: Path, jobs: int, seed: int) -> tuple[float, float]:
    """Minutes a job that the wrong weights lose, and that are lost after learning."""
    true, wrong = two_packs(folder, seed)
    rng = np.random.default_rng(seed)
    causes = list(true.causes)
    weights = np.array([true.causes[cause].weight for cause in causes])
    with store_in(folder) as store:
        for number in range(jobs):
            cause = str(rng.choice(causes, p=weights / weights.sum()))
            begun = start_rehearsal(store, wrong, Setting(Hidden(1000 * seed + number, (cause,))))
            follow(begun.walk, begun.machine)
        assert gather(store, wrong).left_out == {REHEARSAL: jobs}
        gathered = gather(store, wrong, rehearsals=True)
    assert len(gathered.cases) == jobs
    truth = subject_of(true)
    best = cost_on(truth.model, truth)
    after = weights_of(wrong, learn(wrong, gathered))
    return cost_on(truth.model, subject_of(wrong)) - best, cost_on(truth.model, subject_of(after)) - best


def test_recorded_rehearsals_are_learnt_from(tmp_path: Path) -> None:
    lost, left = rehearse(tmp_path, 40, 3)
    assert lost > 3.0
    assert left < 0.5 * lost


@pytest.mark.soak
def test_300_recorded_rehearsals_bring_back_most(tmp_path: Path) -> None:
    told = []
    for seed in range(4):
        folder = tmp_path / str(seed)
        folder.mkdir()
        told.append(rehearse(folder, 300, seed))
    lost, left = np.array(told).sum(axis=0)
    print(f"brought back {1 - left / lost:.3f} of {lost / 4:.2f} minutes a job")
    assert left <= 0.2 * lost
