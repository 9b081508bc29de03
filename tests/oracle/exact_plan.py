"""The optimum of a small model by dynamic programming over what was told and tried, sharing no code with the engine.

Takes the arguments of `Model.from_arrays` as plain lists or arrays, and beside them, where a model has them:

- `wants_measure` (T, T), `wants_repair` (R, T): the measurements that must have been told first;
- `excludes` (T, T): the measurements that are closed once this one was told, and then count as told where they are
  wanted: the same fact was told by another way;
- `stops`: for each measurement, per outcome, whether it ends the work, which then costs what quoting costs;
- `proof` (R, S), `proof_state` (R, S), `tail` (R, S): as the model says, in place of the way to the end state;
- `still` (R, H, H): where the weight goes that a repair leaves still failing, for a machine with two faults; what is
  missing from a row is gone. Without it the repair leaves 1 - fixes of each hypothesis where it is;
- `confidence`: identification stops once one hypothesis holds this share (1 unless given).

All steps from one state of knowledge are tried in every bench state that serves. Bellman 1957.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

INF = float("inf")
Weights = tuple[float, ...]


def shortest(moves: Sequence[Sequence[float]]) -> list[list[float]]:
    """Shortest ways by relaxing every edge as often as there are states (Bellman & Ford)."""
    states = range(len(moves))
    ways = [[0.0 if a == b else INF for b in states] for a in states]
    for start in states:
        for _ in states:
            for a in states:
                for b in states:
                    ways[start][b] = min(ways[start][b], ways[start][a] + float(moves[a][b]))
    return ways


def optimum(arguments: dict[str, Any]) -> float:
    """The least expected minutes of any policy from the start."""
    return Oracle(arguments).value()


def first_steps(arguments: dict[str, Any], tolerance: float = 1e-9) -> set[tuple[str, int]]:
    """All steps that begin an optimal policy: ("measure" | "repair" | "end", index)."""
    return Oracle(arguments).first_steps(tolerance)


@dataclass(frozen=True)
class Known:
    """Weights not normalised; bit sets of measurements told and of repairs tried; all outcomes told, as a code."""

    weights: Weights
    told: int
    tried: int
    code: int


class Oracle:
    """The values of one model, kept from one question to the next."""

    def __init__(self, arguments: dict[str, Any]) -> None:
        rows = [float(p) for p in arguments["prior"]]
        self.prior = tuple(p / sum(rows) for p in rows)
        # Outcome first: columns[t][o] is the chance of the outcome for each hypothesis.
        self.columns = [list(zip(*([float(x) for x in row] for row in table), strict=True))
                        for table in arguments["likelihoods"]]  # fmt: skip
        # So many bits of the code hold one measurement: 0 where it is not told, else its outcome and one.
        self.bits = max((len(outcomes) for outcomes in self.columns), default=1).bit_length()
        self.minutes = [float(c) for c in arguments["minutes"]]
        fixes, costs = arguments.get("repairs") or ([], [])
        self.fixes = [tuple(float(x) for x in row) for row in fixes]
        self.repair_minutes = [float(c) for c in costs]
        moves, at_test, at_repair, start, *end = arguments.get("setup") or ([[0.0]], None, None, 0)
        self.ways, self.start = shortest(moves), int(start)
        self.states = range(len(self.ways))
        self.at_test = [self._serving(at_test, t) for t in range(len(self.minutes))]
        self.at_repair = [self._serving(at_repair, r) for r in range(len(self.fixes))]
        refer = arguments.get("refer")
        self.identify = refer is None and arguments.get("repairs") is None
        back = [self.ways[s][int(end[0])] if end else 0.0 for s in self.states]
        self.refer = [INF if refer is None else float(refer) + back[s] for s in self.states]
        self.confidence = float(arguments.get("confidence", 1.0))
        self._read_extended(arguments, back)
        self.kept: dict[object, list[float]] = {}

    def _serving(self, which: Any, index: int) -> list[int]:
        if which is None:
            return list(self.states)
        one = which[index]
        return [s for s in self.states if one[s]] if hasattr(one, "__len__") else [int(one)]

    def _read_extended(self, arguments: dict[str, Any], back: list[float]) -> None:
        tests, repairs = range(len(self.minutes)), range(len(self.fixes))
        none = [[False] * len(tests)] * max(len(tests), len(repairs))
        wants, for_repair = arguments.get("wants_measure", none), arguments.get("wants_repair", none)
        closes = arguments.get("excludes", none)
        self.wants = [sum(1 << u for u in tests if wants[t][u]) for t in tests]
        self.wants_repair = [sum(1 << u for u in tests if for_repair[r][u]) for r in repairs]
        self.closed_by = [sum(1 << u for u in tests if closes[u][t]) for t in tests]
        self.stops = arguments.get("stops") or [[False] * len(outcomes) for outcomes in self.columns]
        self.proof = arguments.get("proof", [[0.0] * len(self.states)] * len(repairs))
        self.proof_state = arguments.get("proof_state", [list(self.states)] * len(repairs))
        self.tail = arguments.get("tail", [back] * len(repairs))
        self.still = arguments.get("still")

    def value(
        self,
        weights: Sequence[float] | None = None,
        state: int | None = None,
        told: Sequence[int] = (),
        tried: Sequence[int] = (),
    ) -> float:
        """Least expected minutes from here, times the mass of `weights`; told and tried are indices, used up."""
        at = self.start if state is None else state
        if weights is None and not told and not tried:
            return self._values(Known(self.prior, 0, 0, 0))[at]
        other = Oracle.__new__(Oracle)
        other.__dict__ = {**self.__dict__, "kept": {}}
        start = self.prior if weights is None else tuple(float(w) for w in weights)
        return other._values(Known(start, sum(1 << t for t in told), sum(1 << r for r in tried), 0))[at]

    def first_steps(self, tolerance: float = 1e-9) -> set[tuple[str, int]]:
        """As the function of this name."""
        start, found = Known(self.prior, 0, 0, 0), []
        here = self._stop(start, 1.0)[self.start]
        found.append((here, ("end", 0)))
        for kind, index, serving, ahead in self._steps(start, 1.0, [INF]):
            found.append((min(self.ways[self.start][s] + ahead[s] for s in serving), (kind, index)))
        least = min(cost for cost, _ in found)
        return {step for cost, step in found if cost <= least + tolerance}

    def _values(self, known: Known) -> list[float]:
        """By bench state, times the mass."""
        mass = sum(known.weights)
        if mass <= 0.0:
            return [0.0 for _ in self.states]
        # With two faults the weights depend on the order of readings and repairs; else they follow from the code.
        key = (known.code, known.tried) if self.still is None else (known.told, known.tried, known.weights)
        if key in self.kept:
            return self.kept[key]
        best = self._stop(known, mass)
        for _, _, serving, ahead in self._steps(known, mass, best):
            for s in self.states:
                ways = self.ways[s]
                for there in serving:
                    cost = mass * ways[there] + ahead[there]
                    if cost < best[s]:
                        best[s] = cost
        self.kept[key] = best
        return best

    def _steps(
        self, known: Known, mass: float, best: list[float]
    ) -> Iterator[tuple[str, int, list[int], dict[int, float]]]:
        """Every open step, the states that serve, and its cost with all that follows once the bench is there.

        A step that costs as much by itself as the best that is known so far is left out.
        """
        had = known.told | sum(1 << t for t in range(len(self.minutes)) if known.told & self.closed_by[t])
        for r in range(len(self.fixes)):
            own = mass * self.repair_minutes[r]
            if not known.tried >> r & 1 and not self.wants_repair[r] & ~had and own < max(best):
                yield "repair", r, self.at_repair[r], self._repaired(known, mass, r)
        for t in range(len(self.minutes)):
            if self._open(known.told, t) and not self.wants[t] & ~had and mass * self.minutes[t] < max(best):
                yield "measure", t, self.at_test[t], self._measured(known, mass, t)

    def _open(self, told: int, test: int) -> bool:
        return not told >> test & 1 and not told & self.closed_by[test]

    def _measured(self, known: Known, mass: float, test: int) -> dict[int, float]:
        ahead = dict.fromkeys(self.at_test[test], mass * self.minutes[test])
        for o, column in enumerate(self.columns[test]):
            weights = tuple([w * c for w, c in zip(known.weights, column, strict=True)])
            if self.stops[test][o]:
                after = [sum(weights) * cost if any(weights) else 0.0 for cost in self.refer]
            else:
                code = known.code | (o + 1) << self.bits * test
                after = self._values(Known(weights, known.told | 1 << test, known.tried, code))
            for s in ahead:
                ahead[s] += after[s]
        return ahead

    def _repaired(self, known: Known, mass: float, repair: int) -> dict[int, float]:
        if self.still is None:
            weights = tuple([w * (1.0 - f) for w, f in zip(known.weights, self.fixes[repair], strict=True)])
        else:
            matrix, causes = self.still[repair], range(len(self.prior))
            weights = tuple(float(sum(known.weights[h] * matrix[h][k] for h in causes)) for k in causes)
        after = self._values(Known(weights, known.told, known.tried | 1 << repair, known.code))
        gone, ahead = mass - sum(weights), {}
        for s in self.at_repair[repair]:
            end = int(self.proof_state[repair][s])
            closing = gone * self.tail[repair][end] if gone > 0.0 else 0.0
            ahead[s] = mass * (self.repair_minutes[repair] + self.proof[repair][s]) + closing + after[end]
        return ahead

    def _stop(self, known: Known, mass: float) -> list[float]:
        """What ending here costs, by bench state: quoting, or in identification nothing where the aim is met."""
        if not self.identify:
            return [mass * cost for cost in self.refer]
        left = [h for h, w in enumerate(known.weights) if w > 0.0]
        sure = max(known.weights) >= self.confidence * mass * (1.0 - 1e-12)
        alike = all(
            column[h] == column[left[0]]
            for t, columns in enumerate(self.columns)
            if self._open(known.told, t)
            for column in columns
            for h in left
        )
        return [0.0 if sure or alike else INF for _ in self.states]
