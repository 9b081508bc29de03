"""Simulated jobs led by a plan's tree, whole groups of jobs at once."""

from __future__ import annotations

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.follow import ANY, Place
from nextprobe.plan.simulate import Costs, Jobs


def play(model: Model, root: Place, jobs: Jobs) -> Costs:
    """What each of `jobs` costs if the plan is followed; the same hidden causes and luck give the same costs."""
    count = len(jobs.hypotheses)
    costs = Costs(np.zeros(count), np.zeros(count, dtype=bool), np.zeros(count, dtype=np.int64))
    hidden = jobs.hypotheses.copy()
    cumulated: dict[int, Floats] = {}
    waiting: list[tuple[Place, Ints]] = [(root, np.arange(count))]
    while waiting:
        place, here = waiting.pop()
        costs.steps[here] += 1
        if not place.branches:
            _finish(model, place, jobs, hidden, here, costs)
            continue
        costs.minutes[here] += place.way + place.own
        if place.action.kind == "repair":
            at = int(model.proof_state[place.action.index, place.at])
            left = here[~_cure(model, jobs, hidden, here, place.action.index, at, costs)]
            waiting += [(branch.place, left) for branch in place.branches if branch.place is not None and len(left)]
            continue
        told = outcomes_of(model, jobs, hidden, here, place.action.index, cumulated)
        for branch in place.branches:
            any_ = branch.outcome == ANY
            there = here[~model.stops[place.action.index][told] if any_ else told == branch.outcome]
            if branch.place is None:
                costs.minutes[there] += branch.minutes
            elif len(there):
                waiting.append((branch.place, there))
    return costs


def outcomes_of(model: Model, jobs: Jobs, hidden: Ints, here: Ints, test: int, cumulated: dict[int, Floats]) -> Ints:
    """The outcome (n,) of one measurement on the jobs `here`, whose hypotheses now are `hidden` (all jobs).

    `cumulated` keeps what was summed before.
    """
    if test not in cumulated:
        cumulated[test] = np.cumsum(model.likelihoods[test], axis=1)
    steps = cumulated[test][hidden[here]]
    told = (steps <= jobs.readings[here, test][:, None]).sum(axis=1)
    return np.asarray(np.minimum(told, steps.shape[1] - 1))


def cured_by(model: Model, jobs: Jobs, hidden: Ints, here: Ints, repair: int) -> Bools:
    """Which of the jobs `here` a repair ends; `hidden` becomes what is left in the others, in place."""
    of, luck = hidden[here], jobs.repairs[here, repair]
    fixes = model.fixes[repair, of]
    gone: Bools = luck < fixes
    if model.still is not None and len(model.still.moves[repair].source):
        for number in np.nonzero(~gone)[0].tolist():
            # What is left of the same uniform number, scaled to 0..1, says what the hypothesis is now.
            rest = (luck[number] - fixes[number]) / (1.0 - fixes[number])
            targets, chances = model.still.chances(repair, int(of[number]))
            steps = np.cumsum(chances) / chances.sum()
            hidden[here[number]] = targets[min(int((steps <= rest).sum()), len(targets) - 1)]
    return gone


def _cure(model: Model, jobs: Jobs, hidden: Ints, here: Ints, repair: int, state: int, costs: Costs) -> Bools:
    """Which jobs the repair ends, their last minutes added."""
    gone = cured_by(model, jobs, hidden, here, repair)
    costs.minutes[here[gone]] += float(model.tail[repair, state])
    costs.repaired[here[gone]] = True
    return gone


def _finish(model: Model, place: Place, jobs: Jobs, hidden: Ints, here: Ints, costs: Costs) -> None:
    """The order of repairs of an end, then the quote."""
    if model.identify:
        return
    state, at = place.state, place.at
    for number, tried in enumerate(place.order):
        repair = tried.repair
        at = at if number == 0 else int(model.nearest_repair[1][state, repair])
        after = int(model.proof_state[repair, at])
        own = float(model.repair_minutes[repair] + model.proof[repair, at])
        costs.minutes[here] += float(model.ways[state, at]) + own
        costs.steps[here] += number > 0
        here = here[~_cure(model, jobs, hidden, here, repair, after, costs)]
        state = after
    there = state if place.order else at
    costs.minutes[here] += float(model.ways[state, there] + model.refer[there])
