"""Ways over the bench in the known-cause problem: which states are passed, where it ends, and the minutes.

A job passes some set of states and, before the step that ends it, stands in one of them. For each set and end the
shortest walk is kept; what can be collected depends on the set alone. A repair may leave the bench in
another state, so its change of state counts as a way without minutes, which only lowers the walk. With more than
`MOST` states every set is taken as passed for nothing: only the way to the end is paid.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise, permutations

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model

#: States up to which every set of them has its own walks.
MOST = 4


@dataclass(frozen=True)
class Walks:
    """sets (X, S): the sets of states. From each state s, C walks: minutes (S, C), their set and end (S, C)."""

    sets: Bools
    minutes: Floats
    passes: Ints
    end: Ints


def make_walks(model: Model) -> Walks:
    """All walks of the model's bench."""
    way = free_ways(model)
    states = len(way)
    if states > MOST:
        here = np.arange(states)
        every = np.zeros((states, states), dtype=np.int64)
        return Walks(np.ones((1, states), dtype=bool), way, every, np.broadcast_to(here, way.shape).copy())
    sets = (np.arange(1, 2**states)[:, None] >> np.arange(states) & 1).astype(bool)
    found: list[list[tuple[float, int, int]]] = []
    for start in range(states):
        found.append([])
        for number, among in enumerate(sets):
            if among[start]:
                found[start] += [(m, number, e) for e, m in _ends(way, start, np.nonzero(among)[0].tolist()).items()]
    widest = max(len(one) for one in found)
    minutes = np.full((states, widest), np.inf)
    passes, end = np.zeros((states, widest), dtype=np.int64), np.zeros((states, widest), dtype=np.int64)
    for start, walks in enumerate(found):
        for place, (walk, number, last) in enumerate(walks):
            minutes[start, place], passes[start, place], end[start, place] = walk, number, last
    return Walks(sets, minutes, passes, end)


def _ends(way: Floats, start: int, among: list[int]) -> dict[int, float]:
    """The shortest walk from `start` through all of `among`, by its end."""
    best: dict[int, float] = {}
    for order in permutations([one for one in among if one != start]):
        # The start itself may be come back to.
        for path in ((start, *order), (start, *order, start)):
            minutes = float(sum(way[a, b] for a, b in pairwise(path)))
            best[path[-1]] = min(minutes, best.get(path[-1], np.inf))
    return best


def free_ways(model: Model) -> Floats:
    """(S, S) shortest ways where a repair's own change of state costs nothing."""
    way = np.array(model.ways, dtype=np.float64)
    for repair, serving in enumerate(model.at_repair):
        here = np.nonzero(serving)[0]
        way[here, model.proof_state[repair, here]] = 0.0
    for middle in range(len(way)):
        way = np.minimum(way, way[:, middle, None] + way[None, middle, :])
    return way
