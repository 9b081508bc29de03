"""One planning problem in plain Python lists, from its definition: moves, measuring, repairing in order, quoting.

Written from the design alone, with no code of the engine, for models of a handful of hypotheses.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

INF = float("inf")


@dataclass(frozen=True)
class Problem:
    """prior (H), tables T × H × O, minutes T, fixes R × H, costs R, ways S × S, the states that serve, the end."""

    prior: tuple[float, ...]
    tables: tuple[tuple[tuple[float, ...], ...], ...]
    minutes: tuple[float, ...]
    fixes: tuple[tuple[float, ...], ...]
    costs: tuple[float, ...]
    refer: float
    moves: tuple[tuple[float, ...], ...]
    at_test: tuple[tuple[int, ...], ...]
    at_repair: tuple[tuple[int, ...], ...]
    end: int

    @property
    def ways(self) -> list[list[float]]:
        """Shortest ways by trying every path of at most S - 1 moves (Bellman & Ford)."""
        count = len(self.moves)
        best = [[0.0 if a == b else INF for b in range(count)] for a in range(count)]
        for _ in range(count):
            for a in range(count):
                for b in range(count):
                    through = [best[a][m] + (0.0 if m == b else self.moves[m][b]) for m in range(count)]
                    best[a][b] = min(best[a][b], *through)
        return best

    def nearest(self, state: int, serving: tuple[int, ...]) -> tuple[float, int]:
        ways = self.ways
        return min((ways[state][there], there) for there in serving)

    def quote(self, state: int) -> float:
        return self.refer + self.ways[state][self.end]

    def in_order(self, weights: list[float], state: int, open_: frozenset[int]) -> float:
        """Repair by chance over cost, recomputed after each failure, and quote at the cheapest moment."""
        paid, best, left = 0.0, sum(weights) * self.quote(state), list(weights)
        while True:
            rated = []
            for r in sorted(open_):
                way, there = self.nearest(state, self.at_repair[r])
                cost = way + self.costs[r]
                cured = sum(w * f for w, f in zip(left, self.fixes[r], strict=True))
                home = self.ways[there][self.end]
                if cured * (self.quote(state) - home) > sum(left) * cost:
                    rated.append((cured / max(cost, 1e-9), -r, cost, cured, there, home))
            if not rated:
                return best
            _, minus, cost, cured, state, home = max(rated)
            paid += sum(left) * cost + cured * home
            left = [w * (1 - f) for w, f in zip(left, self.fixes[-minus], strict=True)]
            open_ = open_ - {-minus}
            best = min(best, paid + sum(left) * self.quote(state))

    def after(self, t: int, outcome: int, weights: list[float]) -> list[float]:
        return [w * row[outcome] for w, row in zip(weights, self.tables[t], strict=True)]

    def measure(self, t: int, weights: list[float], state: int, open_: frozenset[int]) -> float:
        way, there = self.nearest(state, self.at_test[t])
        rest = [self.in_order(self.after(t, o, weights), there, open_) for o in range(len(self.tables[t][0]))]
        return way + self.minutes[t] + sum(rest)

    def repair(self, r: int, weights: list[float], state: int, open_: frozenset[int]) -> float:
        way, there = self.nearest(state, self.at_repair[r])
        cured = sum(w * f for w, f in zip(weights, self.fixes[r], strict=True))
        left = [w * (1 - f) for w, f in zip(weights, self.fixes[r], strict=True)]
        return way + self.costs[r] + cured * self.ways[there][self.end] + self.in_order(left, there, open_ - {r})

    def optimum(self, state: int) -> float:
        """The least expected minutes over all plans, by dynamic programming over what was done and told."""

        @cache
        def value(weights: tuple[float, ...], state: int, tests: frozenset[int], repairs: frozenset[int]) -> float:
            mass = sum(weights)
            if mass <= 0:
                return 0.0
            best = mass * self.quote(state)
            for r in repairs:
                for there in self.at_repair[r]:
                    cured = sum(w * f for w, f in zip(weights, self.fixes[r], strict=True))
                    left = tuple(w * (1 - f) for w, f in zip(weights, self.fixes[r], strict=True))
                    cost = mass * (self.ways[state][there] + self.costs[r]) + cured * self.ways[there][self.end]
                    if cost < best:
                        best = min(best, cost + value(left, there, tests, repairs - {r}))
            for t in tests:
                for there in self.at_test[t]:
                    cost = mass * (self.ways[state][there] + self.minutes[t])
                    if cost < best:
                        rest = [
                            value(tuple(self.after(t, o, list(weights))), there, tests - {t}, repairs)
                            for o in range(len(self.tables[t][0]))
                        ]
                        best = min(best, cost + sum(rest))
            return best

        everything = frozenset(range(len(self.tables))), frozenset(range(len(self.fixes)))
        return value(self.prior, state, *everything)

    def arrays(self) -> dict[str, Any]:
        """The same as the arguments of `Model.from_arrays`."""
        states = len(self.moves)

        def mask(rows: tuple[tuple[int, ...], ...]) -> Any:
            return np.array([[s in row for s in range(states)] for row in rows], dtype=bool).reshape(len(rows), states)

        return {
            "prior": self.prior,
            "likelihoods": self.tables,
            "minutes": self.minutes,
            "repairs": (np.array(self.fixes).reshape(len(self.fixes), len(self.prior)), self.costs),
            "refer": self.refer,
            "setup": (self.moves, mask(self.at_test), mask(self.at_repair), 0, self.end),
        }


def drawn(seed: int) -> Problem:
    """A small noisy problem: 3 or 4 hypotheses, up to 3 tests and repairs, up to 3 bench states."""
    rng = np.random.default_rng(seed)
    h, t, r, s = (int(rng.integers(low, high)) for low, high in ((3, 5), (1, 4), (1, 4), (1, 4)))
    moves = rng.uniform(1, 8, (s, s)).round(1)
    np.fill_diagonal(moves, 0.0)
    if s == 3 and rng.random() < 0.5:
        moves[0, 2] = INF
    fixes = np.where(rng.random((r, h)) < 0.5, rng.choice([0.5, 0.8, 0.9], (r, h)), 0.0)

    def serving(count: int) -> tuple[tuple[int, ...], ...]:
        rows = [rng.choice(s, size=int(rng.integers(1, s + 1)), replace=False) for _ in range(count)]
        return tuple(tuple(sorted(int(x) for x in row)) for row in rows)

    return Problem(
        prior=tuple(float(x) for x in rng.dirichlet(np.ones(h))),
        tables=tuple(
            tuple(tuple(float(x) for x in row) for row in rng.dirichlet(np.full(int(rng.integers(2, 4)), 0.4), h))
            for _ in range(t)
        ),
        minutes=tuple(float(x) for x in rng.uniform(0.5, 5, t).round(1)),
        fixes=tuple(tuple(float(x) for x in row) for row in fixes),
        costs=tuple(float(x) for x in rng.uniform(3, 30, r).round(1)),
        refer=float(rng.choice([30, 80])),
        moves=tuple(tuple(float(x) for x in row) for row in moves),
        at_test=serving(t),
        at_repair=serving(r),
        end=int(rng.integers(0, s)),
    )
