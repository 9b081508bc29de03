"""How long the next step takes on the bundled pack, two faults in the belief: every ask of simulated walks.

Given beside a reference loop (numpy: 100 products of two 300 x 300 matrices), so that a figure can be read on
another machine.

    python benchmarks/bench_ask.py [WALKS]
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import numpy as np

from nextprobe import Walk, load_pack
from nextprobe.walk import Ask

Answer = Callable[[Ask], str]


def reference() -> float:
    """Seconds of the reference loop."""
    matrix = np.random.default_rng(0).random((300, 300))
    begun = time.perf_counter()
    for _ in range(100):
        matrix = matrix @ matrix
        matrix /= matrix.max()
    return time.perf_counter() - begun


def one_walk(walk: Walk, answer: Answer) -> list[tuple[float, bool]]:
    """The seconds of each ask of a walk, and whether two faults may be planned for by then: a repair has failed."""
    took, failed = [], False
    for _ in range(60):
        begun = time.perf_counter()
        ask = walk.ask()
        took.append((time.perf_counter() - begun, failed))
        if ask.kind == "done":
            break
        told = answer(ask)
        failed = failed or told == "still"
        if told:
            walk.tell(ask.id, told)
        else:
            walk.skip(ask.id)
    return took


def at_random(rng: np.random.Generator) -> Answer:
    """Any answer: readings fight each other, so that two faults are soon planned for."""

    def answer(ask: Ask) -> str:
        if not ask.choices or ask.kind == "option":
            return ""
        if ask.kind == "repair":
            return "done"
        if ask.id == "seen":
            return "still" if rng.random() < 0.7 else "gone"
        return ask.choices[int(rng.integers(len(ask.choices)))].id

    return answer


def as_one_fault(walk: Walk, rng: np.random.Generator) -> Answer:
    """As a machine with one fault of the pack would read, drawn by its weights; repairs do not help."""
    compiled = walk.planning_model()
    hidden = int(rng.choice(len(compiled.model.prior), p=compiled.model.prior))

    def answer(ask: Ask) -> str:
        if ask.kind == "repair":
            return "done"
        if ask.id == "seen":
            return "still"
        if ask.id in compiled.measurements and ask.kind in ("measure", "history"):
            chances = compiled.model.likelihoods[compiled.measurements.index(ask.id)][hidden]
            ids = ["reported", "denied"]
            if ask.kind == "measure":
                ids = list(walk.pack.measurements[ask.id].outcomes)
            # What is read beside it in the same act comes after it in the planner's table.
            first = chances.reshape(len(ids), -1).sum(axis=1)
            return ids[int(rng.choice(len(ids), p=first / first.sum()))]
        return ask.choices[0].id if ask.choices and ask.kind != "option" else ""

    return answer


def main() -> None:
    """Print the figures."""
    walks = int(sys.argv[1]) if len(sys.argv) > 1 else 8
    loop = min(reference() for _ in range(3))
    print(f"reference loop {loop * 1000:.1f} ms")
    for board in ("tansy-12", "brindle-14"):
        pack = load_pack("no-picture", board)
        begun = time.perf_counter()
        Walk(pack).belief()
        unfold = time.perf_counter() - begun
        print(f"{board}: all hypotheses, pairs unfolded {unfold * 1000:.1f} ms, {unfold / loop:.2f} loops")
        rng = np.random.default_rng(7)
        took: list[tuple[float, bool]] = []
        for _ in range(walks):
            walk = Walk(pack)
            took += one_walk(walk, as_one_fault(walk, rng))
        show("one fault, until a repair fails", [seconds for seconds, failed in took if not failed], loop)
        show("one fault, after that", [seconds for seconds, failed in took if failed], loop)
        fought = [one[0] for _ in range(walks) for one in one_walk(Walk(pack), at_random(rng))]
        show("any answer: two faults soon planned", fought, loop)


def show(name: str, took: list[float], loop: float) -> None:
    """Print one line."""
    median, high, worst = np.median(took), np.quantile(took, 0.95), max(took)
    print(
        f"  an ask, {name:36} median {median * 1000:6.1f} ms   p95 {high * 1000:6.1f} ms,"
        f" {high / loop:5.2f} loops   worst {worst * 1000:6.1f} ms   ({len(took)} asks)",
        flush=True,
    )


if __name__ == "__main__":
    main()
