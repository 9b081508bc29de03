"""What a plan's tree costs, told from the tree alone in plain Python, and whether it may be followed as it stands.

Takes what the planning oracle takes; shares no code with the engine but the nodes it reads. Where the tree leaves an
order of repairs to the reader ("the best order"), `order` says the next repair of a belief, in a bench state, with
repairs tried and measurements told or closed; -1 for quoting.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from nextprobe.plan.grown import Node
from tests.oracle.exact_plan import Oracle

Order = Callable[[Sequence[float], int, Sequence[int], Sequence[int]], int]


class Followed:
    """One plan of one model, followed through every outcome and failure."""

    def __init__(self, arguments: dict[str, Any], order: Order) -> None:
        self.of = Oracle(arguments)
        self.order = order

    def minutes(self, root: Node) -> float:
        """The expected minutes of the whole plan."""
        return self._from(root, self.of.prior, self.of.start, frozenset(), frozenset())

    def _from(
        self, node: Node | None, weights: Sequence[float], here: int, told: frozenset[int], tried: frozenset[int]
    ) -> float:
        of, mass = self.of, sum(weights)
        if mass <= 0.0:
            return 0.0
        if node is None:
            pick = self.order(weights, here, sorted(tried), self._had(told))
            if pick < 0:
                return mass * of.refer[here]
            return self._repaired(pick, -1, None, weights, here, told, tried)
        action = node.action
        if action.kind == "refer":
            return mass * of.refer[here]
        if action.kind == "repair":
            # Without a node for the failure the best order goes on, from this repair.
            return self._repaired(action.index, node.state, node.failed, weights, here, told, tried)
        test = action.index
        had = self._had(told)
        if test in had or any(of.wants[test] >> t & 1 for t in range(len(of.minutes)) if t not in had):
            raise ValueError(f"measurement {test} is not open after {sorted(told)}")
        there = self._there(here, of.at_test[test], node.state)
        total = mass * (of.ways[here][there] + of.minutes[test])
        for o, column in enumerate(of.columns[test]):
            after = [w * c for w, c in zip(weights, column, strict=True)]
            if of.stops[test][o]:
                total += sum(after) * of.refer[there]
            elif sum(after) > 0.0:
                total += self._from(node.children[o], after, there, told | {test}, tried)
        return total

    def _repaired(
        self,
        repair: int,
        state: int,
        failed: Node | None,
        weights: Sequence[float],
        here: int,
        told: frozenset[int],
        tried: frozenset[int],
    ) -> float:
        of, mass = self.of, sum(weights)
        had = self._had(told)
        if repair in tried or any(of.wants_repair[repair] >> t & 1 for t in range(len(of.minutes)) if t not in had):
            raise ValueError(f"repair {repair} is not open after {sorted(told)} and {sorted(tried)}")
        there = self._there(here, of.at_repair[repair], state)
        if of.still is None:
            left = [w * (1.0 - f) for w, f in zip(weights, of.fixes[repair], strict=True)]
        else:
            rows = range(len(weights))
            left = [sum(weights[h] * of.still[repair][h][k] for h in rows) for k in rows]
        after = int(of.proof_state[repair][there])
        own = of.ways[here][there] + of.repair_minutes[repair] + of.proof[repair][there]
        closing = (mass - sum(left)) * of.tail[repair][after]
        return float(mass * own + closing + self._from(failed, left, after, told, tried | {repair}))

    def _there(self, here: int, serving: Sequence[int], state: int) -> int:
        if state >= 0:
            if state not in serving:
                raise ValueError(f"bench state {state} does not serve")
            return state
        return min(serving, key=lambda s: (self.of.ways[here][s], s))

    def _had(self, told: frozenset[int]) -> list[int]:
        """What is told, and what is closed by it."""
        mask = sum(1 << t for t in told)
        return [t for t in range(len(self.of.minutes)) if t in told or mask & self.of.closed_by[t]]
