"""The anytime search: ratio to the optimum on small drawn models, gap and seconds on middle ones.

python benchmarks/bench_search.py [MODELS]
"""

from __future__ import annotations

import sys
import time

import numpy as np
from bench_ask import reference
from bench_plan import drawn

from nextprobe.plan.exact import solve
from nextprobe.plan.search import search


def ratios(count: int, loop: float) -> None:
    """Up to 300 expansions against the optimum."""
    rng = np.random.default_rng(41)
    found, gaps, took = [], [], []
    for _ in range(count):
        size = [int(rng.integers(low, high)) for low, high in ((5, 9), (5, 9), (3, 6), (2, 5))]
        model = drawn(rng, size[0], size[1], size[2], size[3], float(rng.uniform(0.02, 0.2)))
        solved = solve(model)
        begun = time.perf_counter()
        result = search(model, expansions=300, gap=0.0001)
        took.append(time.perf_counter() - begun)
        if solved is None or not result.lower - 1e-9 <= solved.minutes <= result.upper + 1e-9:
            raise SystemExit("the optimum lies outside the two ends")
        found.append(result.upper / solved.minutes)
        gaps.append(result.upper / result.lower - 1.0)
    print(
        f"{count} models: mean / worst ratio {np.mean(found):.5f} / {np.max(found):.4f}, mean gap {np.mean(gaps):.2%}"
    )
    print(f"  {np.mean(took) * 1000:.0f} ms, worst {np.max(took) * 1000:.0f} ms; {np.mean(took) / loop:.2f} loops")


def middle(loop: float) -> None:
    """Ten models of each size and noise, the search alone: the gap after so many seconds, how many were closed."""
    for size, noise, seconds in (((12, 12, 8), 0.15, 1.0), ((20, 20, 10), 0.15, 3.0), ((20, 20, 10), 0.05, 3.0)):
        gaps, opened, proven = [], [], 0
        for seed in range(10):
            model = drawn(np.random.default_rng(seed), *size, 3, noise)
            result = search(model, seconds=seconds, gap=0.0)
            gaps.append(result.upper / result.lower - 1.0)
            opened.append(result.expansions)
            proven += result.status == "optimal"
        each = ", ".join(f"{gap:.2%}" for gap in gaps)
        print(f"{size}, noise {noise}, in {seconds:.0f} s ({seconds / loop:.0f} loops): mean gap {np.mean(gaps):.2%}")
        print(f"  {each}; {proven} proven optimal, {np.mean(opened):.0f} opened")


if __name__ == "__main__":
    beat = min(reference() for _ in range(3))
    ratios(int(sys.argv[1]) if len(sys.argv) > 1 else 200, beat)
    middle(beat)
