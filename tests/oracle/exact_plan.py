"""The optimum of a small model by plain recursion over beliefs, sharing no code with the engine.

Takes the arguments of `Model.from_arrays` as plain lists. Slow and simple on purpose: every belief is a tuple of
weights, every way over the bench is found by trying all moves, every step is tried in every state that serves.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any

INF = float("inf")


def shortest(moves: Sequence[Sequence[float]]) -> list[list[float]]:
    """Shortest ways by relaxing every edge as often as there are states (Bellman & Ford)."""
    states = range(len(moves))
    ways = [[0.0 if a == b else INF for b in states] for a in states]
    for start in states:
        for _ in states:
            for a in states:
                for b in states:
                    ways[start][b] = min(ways[start][b], ways[start][a] + moves[a][b])
    return ways


def optimum(arguments: dict[str, Any]) -> float:
    """The least expected minutes of any policy."""
    prior = [float(p) for p in arguments["prior"]]
    tables = arguments["likelihoods"]
    minutes = arguments["minutes"]
    fixes, repair_minutes = arguments.get("repairs") or ([], [])
    refer = arguments.get("refer")
    moves, at_test, at_repair, start, *end = arguments.get("setup") or ([[0.0]], None, None, 0)
    ways = shortest(moves)
    states = range(len(ways))

    def serving(which: Any, index: int) -> list[int]:
        if which is None:
            return list(states)
        one = which[index]
        return [s for s in states if one[s]] if hasattr(one, "__len__") else [int(one)]

    def back(state: int) -> float:
        return ways[state][end[0]] if end else 0.0

    @cache
    def value(weights: tuple[float, ...], state: int, told: frozenset[int], tried: frozenset[int]) -> float:
        mass = sum(weights)
        if mass <= 0.0:
            return 0.0
        best = mass * (refer + back(state)) if refer is not None else INF
        if refer is None and len(tried) == len(fixes):
            # Nothing is left to try; by construction nothing is left over either.
            best = 0.0 if mass < 1e-12 else INF
        for test in range(len(tables)):
            if test in told:
                continue
            after = [tuple(w * tables[test][h][o] for h, w in enumerate(weights)) for o in range(len(tables[test][0]))]
            for there in serving(at_test, test):
                cost = mass * (ways[state][there] + minutes[test])
                if cost < best:
                    best = min(best, cost + sum(value(one, there, told | {test}, tried) for one in after))
        for repair in range(len(fixes)):
            if repair in tried:
                continue
            cured = sum(w * fixes[repair][h] for h, w in enumerate(weights))
            left = tuple(w * (1.0 - fixes[repair][h]) for h, w in enumerate(weights))
            for there in serving(at_repair, repair):
                cost = mass * (ways[state][there] + repair_minutes[repair]) + cured * back(there)
                if cost < best:
                    best = min(best, cost + value(left, there, told, tried | {repair}))
        return best

    total = sum(prior)
    return value(tuple(p / total for p in prior), int(start), frozenset(), frozenset())
