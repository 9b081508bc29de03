"""How near both ends of a plan come on the bundled pack: gap (U - L) / L against seconds, at the start and along walks.

U is the exact minutes of the policy in the plan's tree. Along a walk the policy is the fast one, U that of its small
tree, and L from the start's prices alone (prices used again) or after five rounds on the belief at hand.

    python benchmarks/bench_bounds.py [SECONDS …]
"""

from __future__ import annotations

import resource
import sys
import time

import numpy as np
from bench_ask import reference

from nextprobe import Walk, load_pack, make_plan
from nextprobe.model.merge import merged
from nextprobe.model.model import Model
from nextprobe.plan.bounds import known_cause_bound
from nextprobe.plan.bounds.measure_change import PRICED_AGAIN, MeasureChange, PairPrices
from nextprobe.plan.fast import FastPlanner


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


def _one_walk(
    model: Model, bound: MeasureChange, planner: FastPlanner, prices: PairPrices, seed: int
) -> list[tuple[float, ...]]:
    rng = np.random.default_rng(seed)
    hidden = int(rng.choice(len(model.prior), p=model.prior))
    weights, state = model.prior.copy(), model.start
    measured, tried = np.zeros(len(model.minutes), dtype=bool), np.zeros(len(model.fixes), dtype=bool)
    rows = []
    while True:
        weights = weights / weights.sum()
        choice = planner.price(weights, state, measured, tried)
        first = time.perf_counter()
        again = bound.lower(prices, weights, state, measured, tried)
        second = time.perf_counter()
        more, _ = bound.improve(weights, state, measured, tried, begin=prices, rounds=5, most=PRICED_AGAIN)
        third = time.perf_counter()
        upper, known = choice.minutes, float(bound.known[state] @ weights)
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
        kind, index = choice.action.kind, choice.action.index
        if kind == "refer":
            return rows
        if kind == "measure":
            outcome = int(rng.choice(model.likelihoods[index].shape[1], p=model.likelihoods[index][hidden]))
            state = int(model.nearest_measurement[1][state, index])
            if model.stops[index][outcome]:
                return rows
            weights = weights * model.likelihoods[index][:, outcome]
            measured = model.told_after(measured[None, :], np.array([index]))[0]
            continue
        state = int(model.proof_state[index, model.nearest_repair[1][state, index]])
        if rng.random() < model.fixes[index, hidden]:
            return rows
        weights, tried = model.after_failure(weights[None, :], index)[0], tried.copy()
        tried[index] = True


if __name__ == "__main__":
    beat = min(reference() for _ in range(3))
    print(f"reference loop {beat * 1000:.0f} ms")
    wanted = [float(one) for one in sys.argv[1:]] or [1.0, 10.0, 60.0]
    for name in ("tansy-12", "brindle-14"):
        whole = Walk(load_pack("no-picture", name)).planning_model().model
        at_the_start(name, whole, wanted, beat)
        along_walks(merged(whole)[0], 8)
