"""The belief of a walk against plain enumeration of every coin and every set of causes, to 1e-9.

Source: the pack format's section on what it means, enumerated in worlds.py, which shares no code with
the engine.
"""

from __future__ import annotations

from math import log2
from typing import Any

import numpy as np
import pytest

from nextprobe import Walk
from tests.oracle.packs import ENDS, small_pack, typed
from tests.oracle.worlds import Told, Worlds, figure_weights

TOLERANCE = 1e-9


class Job:
    """The same told to the engine and to the oracle, compared after every step."""

    def __init__(self, rng: np.random.Generator, data: dict[str, Any]) -> None:
        self.rng, self.data = rng, data
        self.options = {"fitted": str(rng.choice(["one", "two"]))} if rng.random() < 0.4 else {}
        if rng.random() < 0.3:
            self.options["kind"] = str(rng.choice(["old", "new", "odd"]))
        self.walk = Walk(typed(data), "dark", options=self.options)
        self.told: list[Told] = []
        self.repairs = 0
        self.steps = 0

    def compare(self) -> None:
        wanted = Worlds(self.data, "dark", self.options).posterior(self.told).present()
        found = self.walk.belief()
        for cause, chance in found.items():
            assert chance == pytest.approx(wanted.get(cause, 0.0), abs=TOLERANCE), (cause, self.told)
        assert set(wanted) <= set(found)
        self.steps += 1

    def possible(self, told: list[Told]) -> bool:
        return Worlds(self.data, "dark", self.options).posterior(told).total > 1e-12

    def tell(self, item: Told, text: str) -> None:
        told = [
            old
            for old in self.told
            if not (old.id == item.id and (item.kind == "history" or old.repairs_before == item.repairs_before))
        ]
        if self.possible([*told, item]):
            self.told = [*told, item]
            self.walk.tell(item.id, text)
            self.compare()

    def measure(self) -> None:
        id_ = str(self.rng.choice(list(self.data["measurements"])))
        if id_ == "volts" and self.rng.random() < 0.7:
            text = f"{self.rng.choice([0.4, 0.97, 0.99, 1.0, 1.02, 1.5, 1.98, 2.0, 2.03, 5.0]):.2f}"
            shares = figure_weights(text, 1.0, 3, 6000, ENDS)
            self.tell(Told("measure", id_, text, shares, self.repairs), text)
            return
        outcome = str(self.rng.choice(list(self.data["measurements"][id_]["outcomes"])))
        self.tell(Told("measure", id_, outcome, {outcome: 1.0}, self.repairs), outcome)

    def history(self) -> None:
        if self.repairs == 0:
            told = str(self.rng.choice(["reported", "denied", "not_known"]))
            self.tell(Told("history", "dropped", told), told)

    def option(self) -> None:
        option = str(self.rng.choice(["fitted", "kind"]))
        value = str(self.rng.choice(self.data["options"][option]["values"]))
        before = dict(self.options)
        self.options = {**before, option: value}
        if self.possible(self.told):
            self.walk.tell(option, value)
            self.compare()
        else:
            self.options = before

    def repair(self, result: str) -> None:
        untried = [id_ for id_ in self.data["repairs"] if all(old.id != id_ for old in self.told)]
        if not untried:
            return
        item = Told("repair", str(self.rng.choice(untried)), result, repairs_before=self.repairs)
        if self.possible([*self.told, item]):
            self.told.append(item)
            self.walk.tell(item.id, result)
            self.repairs += 1
            self.compare()


def run(seed: int) -> Job:
    rng = np.random.default_rng(seed)
    job = Job(rng, small_pack(rng))
    job.compare()
    for _ in range(int(rng.integers(3, 9))):
        dice = rng.random()
        if dice < 0.55:
            job.measure()
        elif dice < 0.7:
            job.history()
        elif dice < 0.8:
            job.option()
        else:
            job.repair("still")
    if rng.random() < 0.3:
        job.repair("gone")
    return job


@pytest.mark.parametrize("block", range(20))
def test_the_belief_is_that_of_the_enumeration(block: int) -> None:
    jobs = [run(seed) for seed in range(block * 20, block * 20 + 20)]
    assert sum(job.steps for job in jobs) > 60


def test_the_generated_jobs_hold_what_they_are_meant_to_hold() -> None:
    jobs = [run(seed) for seed in range(1000, 1060)]
    retakes = [item for job in jobs for item in job.told if sum(other.id == item.id for other in job.told) > 1]
    assert any(job.data["pairs"] > 0 and job.repairs > 1 for job in jobs)
    assert any(item.repairs_before > 0 for item in retakes)
    assert any(1 in row["leads_to"].values() for job in jobs for row in job.data["causes"].values())
    assert any(row.get("only_if") for job in jobs for row in job.data["effects"].values())
    assert any(len(item.outcomes) > 1 for job in jobs for item in job.told)
    assert any(job.told and job.told[-1].told == "gone" for job in jobs)


@pytest.mark.soak
def test_many_more_beliefs_are_those_of_the_enumeration() -> None:
    for seed in range(10_000, 14_000):
        run(seed)


@pytest.mark.parametrize("seed", range(2000, 2060))
def test_conflict_and_the_odds_of_what_the_pack_does_not_know(seed: int) -> None:
    """Jensen, Chamberlain, Nordahl & Jensen, UAI 1990; the odds of `unlisted` rise by exactly the conflict."""
    rng = np.random.default_rng(seed)
    job = Job(rng, {**small_pack(rng), "unlisted": 0.02})
    for _ in range(4):
        job.measure()
    job.history()
    posterior = Worlds(job.data, "dark", job.options).posterior(job.told)
    assert job.walk.conflict() == pytest.approx(posterior.conflict, abs=1e-9)
    unlisted = job.walk.belief()["unlisted"]
    if 0.0 < unlisted < 1.0:
        rise = log2(unlisted / (1 - unlisted)) - log2(0.02 / 0.98)
        assert rise == pytest.approx(job.walk.conflict(), abs=1e-7)
