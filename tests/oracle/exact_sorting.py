"""The optimum of identification without noise, by sets of hypotheses, for many hypotheses and tests.

Where no reading errs, a belief is the set of hypotheses that are left, kept as the bits of one number, and a test
already told tells nothing more. One bench state. Shares no code with the engine. (Garey 1972, for the recursion;
from memory.)
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache
from typing import Any


def fewest(arguments: dict[str, Any], labels: Sequence[int] | None = None) -> float:
    """Least expected minutes until nothing more can be told apart, or all that is left has one label."""
    prior = [p / sum(arguments["prior"]) for p in arguments["prior"]]
    splits = _splits(arguments, labels)

    @cache
    def value(left: int) -> float:
        mass = sum(p for h, p in enumerate(prior) if left >> h & 1)
        costs = [mass * cost + sum(value(part) for part in parts) for parts, cost in splits(left)]
        return min(costs, default=0.0)

    return value((1 << len(prior)) - 1)


def worst(arguments: dict[str, Any]) -> float:
    """Least minutes of the longest path, by the policy that is best at that."""
    splits = _splits(arguments, None)

    @cache
    def value(left: int) -> float:
        return min((cost + max(value(part) for part in parts) for parts, cost in splits(left)), default=0.0)

    return value((1 << len(arguments["prior"])) - 1)


def _splits(
    arguments: dict[str, Any], labels: Sequence[int] | None
) -> Callable[[int], list[tuple[tuple[int, ...], float]]]:
    """For a set: every way of dividing it, with the minutes of the cheapest test that does."""
    count = len(arguments["prior"])
    full = (1 << count) - 1
    outcomes = max(len(table[0]) for table in arguments["likelihoods"])
    tests = []
    for table, cost in zip(arguments["likelihoods"], arguments["minutes"], strict=True):
        # The sets of all outcomes side by side in one number, so that one `and` divides.
        where = [max(range(len(row)), key=row.__getitem__) for row in table]
        tests.append((sum(1 << (h + count * o) for h, o in enumerate(where)), float(cost)))
    tests.sort(key=lambda one: -one[1])  # the cheapest is written last and stays
    every = sum(1 << count * o for o in range(outcomes))

    def splits(left: int) -> list[tuple[tuple[int, ...], float]]:
        if labels is not None and len({label for h, label in enumerate(labels) if left >> h & 1}) == 1:
            return []
        wide, found = left * every, []
        for division, cost in {wide & sets: cost for sets, cost in tests}.items():
            parts = tuple(part for o in range(outcomes) if (part := division >> count * o & full))
            if len(parts) > 1:
                found.append((parts, cost))
        return found

    return splits
