"""How near both ends of a plan come on the bundled pack: gap (U - L) / L against seconds, at the start and along walks.

U is the exact minutes of the policy in the plan's tree. Along a walk the policy is the fast one, U that of its small
tree, and L from the start's prices alone (prices used again) or after five rounds on the belief at hand; last as a
walk has it that plans on for a few seconds while each step is done.

    python benchmarks/bench_bounds.py [SECONDS …]
"""

from __future__ import annotations

import resource
import sys
import time
from dataclasses import dataclass

import numpy as np
from bench_ask import reference

from nextprobe import Walk, load_pack, make_plan
from nextprobe.model.arrays import Bools, Floats
from nextprobe.model.merge import merged
from nextprobe.model.model import Model
from nextprobe.plan.bounds import known_cause_bound
from nextprobe.plan.bounds.measure_change import PRICED_AGAIN, MeasureChange, PairPrices
from nextprobe.plan.fast import FastPlanner
from nextprobe.plan.policy import Action
from nextprobe.plan.prices import Prices
from nextprobe.walk.planning import Planning
from nextprobe.walk.question import Question


def at_the_start(board: str, model: Model, seconds: list[float], loop: float) -> None:
    """One line an effort."""
    known = known_cause_bound(model)
    print(f"no-picture on {board}: known cause alone {known:.1f} min")
    for effort, limit in [("fast", None), *(("deep", one) for one in seconds)]:
        begun = time.perf_counter()
        plan = make_plan(model, effort, limit)
        took = time.perf_counter() - begun
        gap = plan.expected_cost / plan.lower_bound - 1
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000
        name = effort if limit is None else f"{effort} {limit:g} s"
        print(
            f"  {name:10} U {plan.expected_cost:7.1f}  L {plan.lower_bound:7.1f}"
            f"  gap {gap:6.1%}  in {took:5.1f} s, {took / loop:6.1f} loops  peak {peak:.0f} MB",
            flush=True,
        )


def along_walks(model: Model, jobs: int) -> None:
    """Median gaps at every step of simulated jobs."""
    bound, planner = MeasureChange(model), FastPlanner(model)
    nothing = np.zeros(len(model.minutes), dtype=bool), np.zeros(len(model.fixes), dtype=bool)
    _, prices = bound.improve(model.prior, model.start, *nothing, rounds=150)
    rows = [row for job in range(jobs) for row in _one_walk(model, bound, planner, prices, job)]
    gaps, again, rounds = np.array(rows).T.reshape(3, 2, -1)
    print(
        f"  along {jobs} walks, {len(rows)} steps, median (and 95 of 100): from a known cause {np.median(gaps[0]):.0%}"
    )
    for name, (gap, took) in (("prices used again", again), ("five rounds more", rounds)):
        print(f"    {name}: gap {np.median(gap):.0%} in {np.median(took):.1f} ({np.quantile(took, 0.95):.1f}) ms")


def thinking_walks(model: Model, jobs: int, seconds: float) -> None:
    """Median gap at the steps of simulated jobs, each planned on for `seconds` while the step before it was done."""
    gaps = []
    for job in range(jobs):
        rng, planning = np.random.default_rng(job), Planning()
        hidden = int(rng.choice(len(model.prior), p=model.prior))
        place: Place | None = Place.first(model)
        while place is not None:
            asked = Question(place.measured, place.tried, Prices.none(model))
            chosen = planning.choose(model, asked, place.weights, place.state)
            gaps.append(chosen.expected / chosen.at_least - 1)
            planning.deepen(seconds)
            place = place.after(model, chosen.action, hidden, rng)
    print(f"    planned on for {seconds:g} s a step: gap {np.median(gaps):.0%} over {len(gaps)} steps", flush=True)


def _one_walk(
    model: Model, bound: MeasureChange, planner: FastPlanner, prices: PairPrices, seed: int
) -> list[tuple[float, ...]]:
    rng = np.random.default_rng(seed)
    hidden = int(rng.choice(len(model.prior), p=model.prior))
    place: Place | None = Place.first(model)
    rows = []
    while place is not None:
        here = (place.weights, place.state, place.measured, place.tried)
        choice = planner.price(*here)
        first = time.perf_counter()
        again = bound.lower(prices, *here)
        second = time.perf_counter()
        more, _ = bound.improve(*here, begin=prices, rounds=5, most=PRICED_AGAIN)
        third = time.perf_counter()
        upper, known = choice.minutes, float(bound.cause.minutes(place.tried)[place.state] @ place.weights)
        rows.append(
            (
                upper / known - 1,
                0.0,
                upper / again - 1,
                1000 * (second - first),
                upper / more - 1,
                1000 * (third - second),
            )
        )
        place = place.after(model, choice.action, hidden, rng)
    return rows


@dataclass(frozen=True)
class Place:
    """Where a simulated job stands."""

    weights: Floats
    state: int
    measured: Bools
    tried: Bools

    @classmethod
    def first(cls, model: Model) -> Place:
        """At the start."""
        return cls(model.prior, model.start, np.zeros(len(model.minutes), bool), np.zeros(len(model.fixes), bool))

    def after(self, model: Model, action: Action, hidden: int, rng: np.random.Generator) -> Place | None:
        """After a step, with `hidden` the case; None where the job has ended."""
        index = action.index
        if action.kind == "measure":
            table = model.likelihoods[index]
            outcome = int(rng.choice(table.shape[1], p=table[hidden]))
            if model.stops[index][outcome]:
                return None
            left = self.weights * table[:, outcome]
            told = model.told_after(self.measured[None, :], np.array([index]))[0]
            state = int(model.nearest_measurement[1][self.state, index])
            return Place(left / left.sum(), state, told, self.tried)
        if action.kind == "refer" or rng.random() < model.fixes[index, hidden]:
            return None
        tried = self.tried.copy()
        tried[index] = True
        state = int(model.proof_state[index, model.nearest_repair[1][self.state, index]])
        left = model.after_failure(self.weights[None, :], index)[0]
        return Place(left / left.sum(), state, self.measured, tried)


if __name__ == "__main__":
    beat = min(reference() for _ in range(3))
    print(f"reference loop {beat * 1000:.0f} ms")
    wanted = [float(one) for one in sys.argv[1:]] or [1.0, 10.0, 60.0]
    for name in ("tansy-12", "brindle-14"):
        whole = Walk(load_pack("no-picture", name)).planning_model().model
        at_the_start(name, whole, wanted, beat)
        lean, _ = merged(whole)
        along_walks(lean, 8)
        thinking_walks(lean, 4, 3.0)
