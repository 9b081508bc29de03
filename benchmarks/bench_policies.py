"""What a job costs by each way of choosing: the same hidden causes and the same luck for every one.

Minutes are the model's (moves, hands-on, weighted waiting, parts and risk at the shop's rate), one fault a
job, drawn from the pack's own weights. Differences are paired, so their standard error is small where two ways
mostly do the same.

    python benchmarks/bench_policies.py [JOBS] [BOARD …]
"""

from __future__ import annotations

import sys
import time

import numpy as np

from nextprobe import Walk, load_pack
from nextprobe.model.merge import merged
from nextprobe.plan.baselines import FixedOrder, InformationPerMinute, RepairsOnly
from nextprobe.plan.fast import FastPlanner
from nextprobe.plan.gain import GainPerMinute, OneStepAhead
from nextprobe.plan.policy import Policy
from nextprobe.plan.simulate import draw_jobs, simulate


def compare(board: str | None, count: int) -> None:
    """Print one line a policy for the no-picture pack on one board."""
    model, _ = merged(Walk(load_pack("no-picture", board)).planning_model().model)
    jobs = draw_jobs(model, count, np.random.default_rng(2026))
    print(f"no-picture on {board or 'an unknown machine'}: {count} jobs")
    first: np.ndarray | None = None
    policies: list[Policy] = [
        FastPlanner(model), GainPerMinute(), OneStepAhead(), InformationPerMinute(), FixedOrder(), RepairsOnly(),
    ]  # fmt: skip
    for policy in policies:
        begun = time.perf_counter()
        costs = simulate(model, policy, jobs)
        seconds = time.perf_counter() - begun
        first = costs.minutes if first is None else first
        more = costs.minutes - first
        print(
            f"  {policy.name:28} {costs.mean:7.1f} ± {costs.standard_error:5.1f} min"
            f"   more than the first {more.mean():7.1f} ± {more.std(ddof=1) / len(more) ** 0.5:5.1f}"
            f"   repaired {costs.repaired.mean():4.0%}   steps {costs.steps.mean():5.1f}"
            f"   {1000 * seconds / costs.steps.sum():6.2f} ms a step",
            flush=True,
        )


if __name__ == "__main__":
    jobs_wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 150
    for name in sys.argv[2:] or ["brindle-14", "tansy-12"]:
        compare(name, jobs_wanted)
