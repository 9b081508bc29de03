"""Seconds to the optimum: the exact effort, the oracle of the tests and a probabilistic model checker from outside.

The same models one after another in one run: 8 causes, 7 tests, 5 repairs, 3 bench states, readings that err in 15 of
100. The three values must be the same to 1e-6.
The model checker, stormpy, is no part of this project (GPL, 161 MB): `pip install --target DIR stormpy`, then

    PYTHONPATH=DIR python benchmarks/bench_outside_solver.py [MODELS]
"""

from __future__ import annotations

import sys
import time
from importlib.util import find_spec
from pathlib import Path
from statistics import median

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from nextprobe import Model, make_plan
from tests.oracle.exact_plan import optimum
from tests.oracle.goal_program import outside_value
from tests.plan.draw import draw_model


def compare(models: int) -> None:
    """Print one line a model, then the medians."""
    seconds: list[tuple[float, float, float]] = []
    for seed in range(models):
        arguments = draw_model(np.random.default_rng(seed), 8, 7, 5, 3, 0.15)
        model = Model.from_arrays(**arguments)
        first = time.perf_counter()
        plan = make_plan(model, "exact")
        begun = time.perf_counter()
        own = optimum(arguments)
        between = time.perf_counter()
        outside = outside_value(arguments)
        seconds.append((begun - first, between - begun, time.perf_counter() - between))
        print(
            f"  model {seed}: {own:10.4f} min   exact {seconds[-1][0]:6.3f} s   oracle {seconds[-1][1]:6.2f} s"
            f"   outside {seconds[-1][2]:6.2f} s   apart {max(abs(own - outside), abs(own - plan.expected_cost)):.1e}",
            flush=True,
        )
        if max(abs(own - outside), abs(own - plan.expected_cost)) > 1e-6:
            sys.exit(f"They do not agree: {plan.expected_cost}, {own} and {outside}.")
    exact, own, outside = (median(column) for column in zip(*seconds, strict=True))
    print(
        f"  median: exact {exact:.3f} s, oracle {own:.2f} s, outside {outside:.2f} s: {outside / exact:.0f} times exact"
    )


if __name__ == "__main__":
    if find_spec("stormpy") is None:
        print("  stormpy is not installed: nothing to compare with (the head of this file says how).")
    else:
        compare(int(sys.argv[1]) if len(sys.argv) > 1 else 3)
