"""Identification without noise: tests that sort hypotheses into parts, until every part is one group.

The greedy rule asks for the most bits a minute (Shannon 1948; its mean is within a logarithm of the optimum:
Garey & Graham 1974, Kosaraju et al. 1999). Where few hypotheses are left, the best few tests by that rule
are each followed to the end, which is a one-step rollout of the greedy rule and so never worse than it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints

#: How many tests are followed to the end at a node, by how many hypotheses it holds.
WIDTHS = ((12, 60), (60, 20), (200, 8), (2000, 3))


@dataclass(frozen=True, slots=True)
class Sorted:
    """A node of the tree: the hypotheses it holds, the test it asks (-1: none) and the nodes by outcome.

    minutes: expected to the end of the tests, times the weight of the node.
    """

    hypotheses: Ints
    test: int
    minutes: float
    parts: dict[int, Sorted] = field(default_factory=dict)


class Sorter:
    """Sorts the hypotheses of one problem.

    outcomes (T, H): the outcome of each test for each hypothesis. weights (H,). minutes (T,), all above 0.
    group (H,): hypotheses of one group need not be told apart. stop: called now and then; True ends the search
    for better trees, and the greedy rule goes on alone.
    """

    def __init__(
        self,
        outcomes: Ints,
        weights: Floats,
        minutes: Floats,
        group: Ints,
        stop: Callable[[], bool] = lambda: False,
    ) -> None:
        self._outcomes = outcomes
        self._weights = weights
        self._minutes = np.maximum(minutes, 1e-9)
        self._group = group
        self._count = int(outcomes.max(initial=0)) + 1
        self._stop = stop
        self._best: dict[bytes, Sorted] = {}
        self._greedy: dict[bytes, float] = {}

    def tree(self, hypotheses: Ints, open_: Bools) -> Sorted:
        """The best tree found for these hypotheses with the tests `open_` (T,)."""
        tests = np.nonzero(open_)[0]
        return self._node(np.sort(hypotheses), tests)

    def _done(self, held: Ints) -> bool:
        return len(held) == 1 or bool((self._group[held] == self._group[held[0]]).all())

    def _node(self, held: Ints, tests: Ints) -> Sorted:
        key = held.tobytes()
        if key in self._best:
            return self._best[key]
        ranked = np.zeros(0, dtype=np.int64) if self._done(held) else self._ranked(held, tests)
        if not len(ranked):
            node = Sorted(held, -1, 0.0)
        else:
            width = next((many for size, many in WIDTHS if len(held) <= size), 1)
            node = self._ask(held, tests, self._choose(held, tests, ranked[:width]))
        self._best[key] = node
        return node

    def _choose(self, held: Ints, tests: Ints, ranked: Ints) -> int:
        if len(ranked) == 1 or self._stop():
            return int(ranked[0])
        return int(ranked[np.argmin([self._price(held, tests, int(test)) for test in ranked])])

    def _ask(self, held: Ints, tests: Ints, test: int) -> Sorted:
        parts = {outcome: self._node(part, tests) for outcome, part in self._parts(held, test)}
        own = float(self._weights[held].sum() * self._minutes[test])
        return Sorted(held, test, own + sum(part.minutes for part in parts.values()), parts)

    def _price(self, held: Ints, tests: Ints, test: int) -> float:
        """Minutes times weight of asking `test` and then following the greedy rule."""
        own = float(self._weights[held].sum() * self._minutes[test])
        return own + sum(self._greedy_minutes(part, tests) for _, part in self._parts(held, test))

    def _greedy_minutes(self, held: Ints, tests: Ints) -> float:
        if self._done(held):
            return 0.0
        key = held.tobytes()
        if key not in self._greedy:
            ranked = self._ranked(held, tests)
            self._greedy[key] = self._price(held, tests, int(ranked[0])) if len(ranked) else 0.0
        return self._greedy[key]

    def _parts(self, held: Ints, test: int) -> list[tuple[int, Ints]]:
        outcome = self._outcomes[test, held]
        return [(int(value), held[outcome == value]) for value in np.unique(outcome)]

    def _ranked(self, held: Ints, tests: Ints) -> Ints:
        """Tests that tell anything, most bits a minute first; of equal ones that which sorts finer, then in order."""
        outcome = self._outcomes[np.ix_(tests, held)].astype(np.int64)
        outcome += (np.arange(len(tests)) * self._count)[:, None]
        share = np.bincount(
            outcome.ravel(),
            weights=np.tile(self._weights[held], len(tests)),
            minlength=len(tests) * self._count,
        ).reshape(len(tests), self._count)
        total = self._weights[held].sum()
        share = share / total if total > 0 else share
        bits = -np.where(share > 0, share * np.log2(np.where(share > 0, share, 1.0)), 0.0).sum(axis=1)
        parts = (share > 0).sum(axis=1)
        score = bits / self._minutes[tests]
        by_bits = np.argsort(-(score + 1e-9 * parts), kind="stable")
        # The most parts often leave more hypotheses alone than the most bits do, so both stand in front.
        by_parts = np.argsort(-(parts / self._minutes[tests] + 1e-3 * score), kind="stable")
        order = np.column_stack([by_bits, by_parts]).ravel()
        _, first = np.unique(order, return_index=True)
        order = order[np.sort(first)]
        telling: Ints = tests[order[parts[order] > 1]]
        return telling
