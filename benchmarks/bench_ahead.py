"""How soon the next step is there after an answer, where the time of the step before was used to think ahead.

Every step of simulated walks, two faults in the belief: first as it is without, then with a few seconds of thinking
while the step is done. Beside it a reference loop (numpy: 100 products of two 300 x 300 matrices).

    python benchmarks/bench_ahead.py [WALKS [SECONDS]]
"""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable
from functools import partial

import numpy as np
from bench_ask import Answer, as_one_fault, at_random, reference, show

from nextprobe import Walk, load_pack
from nextprobe.pack.pack import Pack


def one_walk(walk: Walk, answer: Answer, seconds: float) -> list[float]:
    """Seconds from each answer to the next step."""
    took: list[float] = []
    ask = walk.ask()
    for _ in range(60):
        if ask.kind == "done":
            break
        over = threading.Event()
        if seconds:
            ahead = threading.Thread(target=walk.foresight().run, args=(over.is_set, seconds), daemon=True)
            ahead.start()
            time.sleep(seconds)
        told = answer(ask)
        over.set()
        begun = time.perf_counter()
        if told:
            walk.tell(ask.id, told)
        else:
            walk.skip(ask.id)
        ask = walk.ask()
        took.append(time.perf_counter() - begun)
    return took


def main() -> None:
    """Print the figures."""
    walks = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    seconds = float(sys.argv[2]) if len(sys.argv) > 2 else 3.0
    loop = min(reference() for _ in range(3))
    print(f"reference loop {loop * 1000:.1f} ms")
    for name, board in (("no-picture", "tansy-12"), ("no-picture", "brindle-14"), ("no-reaction", "brindle-14")):
        pack = load_pack(name, board)
        print(f"{name} on {board}")
        for thinking in (0.0, seconds):
            words = f"{thinking:g} s thought ahead" if thinking else "nothing thought ahead"
            rng = np.random.default_rng(11)
            show(f"one fault, {words}", _walks(pack, walks, partial(as_one_fault, rng=rng), thinking), loop)
            show(f"any answer, {words}", _walks(pack, walks, _fought(rng), thinking), loop)


def _fought(rng: np.random.Generator) -> Callable[[Walk], Answer]:
    answer = at_random(rng)
    return lambda _: answer


def _walks(pack: Pack, walks: int, answer: Callable[[Walk], Answer], seconds: float) -> list[float]:
    took: list[float] = []
    for _ in range(walks):
        walk = Walk(pack)
        took += one_walk(walk, answer(walk), seconds)
    return took


if __name__ == "__main__":
    main()
