"""How near the optimum the planner comes, and how long it takes, on drawn models and puzzles.

Seconds stand beside a reference loop (see bench_ask.py), ratios are to the exact optimum of the same model.

    python benchmarks/bench_plan.py [MODELS]
"""

from __future__ import annotations

import sys
import time
from itertools import product

import numpy as np
from bench_ask import reference

from nextprobe import Model, Plan, make_plan


def drawn(rng: np.random.Generator, causes: int, tests: int, repairs: int, states: int, noise: float) -> Model:
    """Binary tests flipped with `noise`, repairs of one or two causes, a random tree of bench moves, a dear refer."""
    tables = []
    for _ in range(tests):
        high = np.where(rng.random(causes) < 0.4, 1.0 - noise, noise)
        tables.append(np.stack([1.0 - high, high], axis=1))
    fixes = np.zeros((repairs, causes))
    for repair in range(repairs):
        fixes[repair, rng.choice(causes, int(rng.integers(1, 3)), replace=False)] = rng.uniform(0.6, 1.0)
    moves = np.full((states, states), np.inf)
    for state in range(1, states):
        other = int(rng.integers(state))
        moves[state, other], moves[other, state] = rng.uniform(1, 15, 2)
    minutes = rng.uniform(10, 80, repairs)
    at = rng.integers(0, states, tests), rng.integers(0, states, repairs)
    setup = (moves, at[0], at[1], 0, 0)
    prior = rng.dirichlet(np.ones(causes))
    return Model.from_arrays(
        prior, tables, rng.uniform(1, 20, tests), (fixes, minutes), float(minutes.sum() / 2), setup
    )


def timed(model: Model, effort: str, seconds: float | None = None) -> tuple[Plan, float]:
    """The plan and the seconds it took."""
    begun = time.perf_counter()
    plan = make_plan(model, effort, seconds)
    return plan, time.perf_counter() - begun


def ratios(count: int, loop: float) -> None:
    """Fast and deep against the optimum of small noisy models."""
    rng = np.random.default_rng(41)
    found: dict[str, list[float]] = {"fast": [], "deep": []}
    took: dict[str, list[float]] = {"fast": [], "deep": [], "exact": []}
    for _ in range(count):
        size = [int(rng.integers(low, high)) for low, high in ((5, 9), (5, 9), (3, 6), (2, 5))]
        model = drawn(rng, size[0], size[1], size[2], size[3], float(rng.uniform(0.02, 0.2)))
        exact, seconds = timed(model, "exact")
        took["exact"].append(seconds)
        for effort, list_ in found.items():
            plan, seconds = timed(model, effort)
            took[effort].append(seconds)
            list_.append(plan.expected_cost / exact.expected_cost)
            if not plan.lower_bound <= exact.expected_cost + 1e-9:
                raise SystemExit("a lower bound lies above the optimum")
    print(f"{count} drawn noisy models (5-8 causes, 5-8 tests, 3-5 repairs, 2-4 bench states)")
    for effort, list_ in found.items():
        mean, worst, seconds = np.mean(list_), np.max(list_), np.mean(took[effort])
        print(
            f"  {effort:6} mean / worst ratio {mean:.4f} / {worst:.4f}   {seconds * 1000:6.1f} ms, {seconds / loop:.2f}"
        )
    print(f"  exact  {np.mean(took['exact']) * 1000:.1f} ms a model")


def sizes(loop: float) -> None:
    """One model of each larger size: gap and seconds."""
    for causes, tests, repairs, effort in ((12, 12, 8, "deep"), (20, 20, 10, "deep"), (300, 300, 100, "fast")):
        model = drawn(np.random.default_rng(3), causes, tests, repairs, 3, 0.15)
        plan, seconds = timed(model, effort, 3.0)
        gap = plan.expected_cost / plan.lower_bound - 1
        print(
            f"{causes}x{tests}x{repairs} {effort}: gap {gap:.1%}, {plan.status}, {seconds:.2f} s, {seconds / loop:.1f}"
        )


def growth() -> None:
    """The slope of seconds against causes, all else in proportion, on log-log axes."""
    counts, took = [50, 100, 200, 400], []
    for causes in counts:
        model = drawn(np.random.default_rng(5), causes, causes, causes // 3, 3, 0.1)
        took.append(min(timed(model, "fast")[1] for _ in range(3)))
    slope = np.polyfit(np.log(counts), np.log(took), 1)[0]
    print("fast at 50, 100, 200, 400 causes: " + ", ".join(f"{t:.3f}" for t in took) + f" s, slope {slope:.2f}")


def codes() -> None:
    """Four pegs of six colours: tests until each of the 1296 codes is known."""
    all_ = np.array(list(product(range(6), repeat=4)))
    black = (all_[:, None, :] == all_[None, :, :]).sum(-1)
    counts = np.stack([(all_ == colour).sum(1) for colour in range(6)])
    both = np.minimum(counts[:, :, None], counts[:, None, :]).sum(0)
    _, outcome = np.unique(black * 5 + both - black, return_inverse=True)
    tables = [np.eye(14)[row] for row in outcome.reshape(1296, 1296)]
    plan, seconds = timed(Model.from_arrays(np.ones(1296), tables, np.ones(1296)), "fast")
    print(f"4 pegs, 6 colours: {plan.expected_cost * 1296:.0f} tests in all, {seconds:.1f} s")


if __name__ == "__main__":
    beat = min(reference() for _ in range(3))
    print(f"reference loop {beat * 1000:.0f} ms")
    ratios(int(sys.argv[1]) if len(sys.argv) > 1 else 200, beat)
    sizes(beat)
    growth()
    codes()
