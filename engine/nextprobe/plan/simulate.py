"""Simulated jobs on a model: what a policy costs, on the same hidden causes and the same luck for every policy.

What a step wants told first is told first, whatever the policy says; with two faults a repair that leaves the symptom
may leave another hypothesis hidden.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.policy import Action, Policy


@dataclass(frozen=True, slots=True)
class Jobs:
    """Hidden hypotheses (n,) and the luck of each job: one uniform number a measurement and a repair."""

    hypotheses: Ints
    readings: Floats
    repairs: Floats


@dataclass(frozen=True, slots=True)
class Costs:
    """What a policy cost: minutes (n,), repaired (n,), steps (n,)."""

    minutes: Floats
    repaired: Bools
    steps: Ints

    @property
    def mean(self) -> float:
        """Mean minutes a job."""
        return float(self.minutes.mean())

    @property
    def standard_error(self) -> float:
        """Standard error of the mean."""
        return float(self.minutes.std(ddof=1) / np.sqrt(len(self.minutes)))


def draw_jobs(model: Model, count: int, rng: np.random.Generator) -> Jobs:
    """`count` jobs drawn from the model's prior."""
    return Jobs(
        rng.choice(len(model.prior), size=count, p=model.prior / model.prior.sum()),
        rng.random((count, len(model.likelihoods))),
        rng.random((count, len(model.fixes))),
    )


class _Played:
    """One policy on one model; what was chosen once after the same readings is not chosen again."""

    def __init__(self, model: Model, policy: Policy) -> None:
        self.model = model
        self.policy = policy
        self.chosen: dict[tuple[tuple[str, int, int], ...], Action] = {}
        self.steps_of = [np.cumsum(table, axis=1) for table in model.likelihoods]

    def job(self, jobs: Jobs, number: int) -> tuple[float, bool, int]:
        model = self.model
        hidden = int(jobs.hypotheses[number])
        belief, state, minutes = model.prior, model.start, 0.0
        measured = np.zeros(len(model.likelihoods), dtype=bool)
        tried = np.zeros(len(model.fixes), dtype=bool)
        told: tuple[tuple[str, int, int], ...] = ()
        while True:
            if told not in self.chosen:
                self.chosen[told] = self.policy.choose(model, belief, state, measured, tried)
            action = allowed(model, self.chosen[told], measured)
            index = action.index
            if action.kind == "refer":
                return minutes + float(model.refer[state]), False, len(told) + 1
            if action.kind == "measure":
                way, near = model.nearest_measurement
                minutes += float(way[state, index] + model.minutes[index])
                state = int(near[state, index])
                table = self.steps_of[index][hidden]
                outcome = min(int(np.searchsorted(table, jobs.readings[number, index])), len(table) - 1)
                if model.stops[index][outcome]:
                    return minutes + float(model.refer[state]), False, len(told) + 1
                belief = belief * model.likelihoods[index][:, outcome]
                measured = model.told_after(measured[None, :], np.array([index]))[0]
                told = (*told, ("measure", index, outcome))
                continue
            way, near = model.nearest_repair
            at = int(near[state, index])
            minutes += float(way[state, index] + model.repair_minutes[index] + model.proof[index, at])
            state = int(model.proof_state[index, at])
            luck = float(jobs.repairs[number, index])
            if luck < model.fixes[index, hidden]:
                return minutes + float(model.tail[index, state]), True, len(told) + 1
            hidden = left_hidden(model, index, hidden, luck)
            belief = model.after_failure(belief[None, :], index)[0]
            tried = tried.copy()
            tried[index] = True
            told = (*told, ("repair", index, 0))


def allowed(model: Model, action: Action, measured: Bools) -> Action:
    """`action`, or the measurement that it still wants told first; measured (T,): told or closed."""
    wants = model.wants
    if wants is None or action.index < 0:
        return action
    before = wants.before_measure if action.kind == "measure" else wants.before_repair
    first = int(wants.next(before[[action.index]], measured[None, :])[0])
    return action if first < 0 else Action("measure", first)


def left_hidden(model: Model, repair: int, hidden: int, luck: float) -> int:
    """The hypothesis after a repair that left the symptom; luck: the job's uniform number, at least `fixes` of it."""
    if model.still is None:
        return hidden
    becomes, chance = model.still.chances(repair, hidden)
    place = int(np.searchsorted(np.cumsum(chance) + model.fixes[repair, hidden], luck, side="right"))
    return int(becomes[min(place, len(becomes) - 1)])


def simulate(model: Model, policy: Policy, jobs: Jobs) -> Costs:
    """Play every job with `policy`."""
    played = _Played(model, policy)
    rows = [played.job(jobs, number) for number in range(len(jobs.hypotheses))]
    minutes, repaired, steps = zip(*rows, strict=True)
    return Costs(np.array(minutes), np.array(repaired, dtype=bool), np.array(steps, dtype=np.int64))
