"""How long the next step takes on the bundled pack, two faults in the belief: every ask of simulated walks.

Given beside a reference loop (numpy: 100 products of two 300 x 300 matrices), so that a figure can be read on
another machine.

    python benchmarks/bench_ask.py [WALKS]
"""

from __future__ import annotations

import sys
import time

import numpy as np

from nextprobe import Walk, load_pack


def reference() -> float:
    """Seconds of the reference loop."""
    matrix = np.random.default_rng(0).random((300, 300))
    begun = time.perf_counter()
    for _ in range(100):
        matrix = matrix @ matrix
        matrix /= matrix.max()
    return time.perf_counter() - begun


def one_walk(walk: Walk, rng: np.random.Generator) -> list[float]:
    """The seconds of each ask of a walk that is answered at random."""
    took = []
    for _ in range(60):
        begun = time.perf_counter()
        ask = walk.ask()
        took.append(time.perf_counter() - begun)
        if ask.kind == "done":
            break
        if not ask.choices or ask.kind == "option":
            walk.skip(ask.id)
        elif ask.kind == "repair":
            walk.tell(ask.id, "done")
        elif ask.id == "seen":
            walk.tell("seen", "still" if rng.random() < 0.7 else "gone")
        else:
            walk.tell(ask.id, ask.choices[int(rng.integers(len(ask.choices)))].id)
    return took


def main() -> None:
    """Print the figures."""
    walks = int(sys.argv[1]) if len(sys.argv) > 1 else 8
    loop = min(reference() for _ in range(3))
    pack = load_pack("no-picture", "brindle-14")
    begun = time.perf_counter()
    Walk(pack)
    unfold = time.perf_counter() - begun
    rng = np.random.default_rng(7)
    took = np.array([seconds for _ in range(walks) for seconds in one_walk(Walk(pack), rng)])
    print(f"reference loop                 {loop * 1000:7.1f} ms")
    print(f"all hypotheses, pairs unfolded {unfold * 1000:7.1f} ms  {unfold / loop:6.2f}")
    for name, value in (("median", np.median(took)), ("p95", np.quantile(took, 0.95)), ("worst", took.max())):
        print(f"an ask, {name:<22} {value * 1000:7.1f} ms  {value / loop:6.2f}   ({len(took)} asks)")


if __name__ == "__main__":
    main()
