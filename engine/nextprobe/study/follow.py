"""A policy's tree followed for all hypotheses side by side, blocks of places at a time."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from nextprobe.errors import ModelError
from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.grown import Node
from nextprobe.plan.policy import action
from nextprobe.study.orders import orders_told
from nextprobe.study.tally import FOUND, LOOKING, MINUTES, QUOTED, REPAIRED, STEPS, STOPPED, VAIN, Tally

#: Places followed in one go, which bounds memory: a place takes 8 bytes a hypothesis.
BLOCK = 256
#: Ends of the tree that are repaired from in one go.
ENDS = 1024
#: A place that a smaller share of jobs gets to is left out.
NOTHING = 1e-15


class _Block(NamedTuple):
    """Places: their nodes; reach (N, H): share of each hypothesis that gets there; bench, what is told, tried."""

    nodes: list[Node]
    reach: Floats
    state: Ints
    measured: Bools
    tried: Bools

    def pick(self, which: Ints) -> _Block:
        return _Block(
            [self.nodes[n] for n in which.tolist()],
            self.reach[which],
            self.state[which],
            self.measured[which],
            self.tried[which],
        )


def tally_of(model: Model, root: Node, fold: Floats) -> Tally:
    """Follow `root` from the model's start. fold (H, C): the share of each cause in each hypothesis."""
    if model.still is not None:
        raise ModelError("A model with two faults cannot be told by its hypotheses.", "Study one fault.")
    return _Followed(model, fold).run(root)


class _Followed:
    def __init__(self, model: Model, fold: Floats) -> None:
        self.model = model
        self.fold = fold
        self.prior = model.prior / model.prior.sum()
        self.tally = Tally.empty(model, fold.shape[1])
        self._open: list[_Block] = []
        self._ends: list[_Block] = []
        self._waiting = 0

    def run(self, root: Node) -> Tally:
        nothing = np.zeros((1, len(self.model.likelihoods)), dtype=bool), np.zeros((1, len(self.model.fixes)), bool)
        self._open.append(_Block([root], np.ones((1, len(self.prior))), np.array([self.model.start]), *nothing))
        while self._open:
            self._step(self._open.pop())
        self._repair()
        return self.tally

    def _step(self, block: _Block) -> None:
        by_act: dict[tuple[str, int], list[int]] = {}
        for number, node in enumerate(block.nodes):
            kind = node.action.kind
            if kind == "repair" and node.failed is None:
                kind = "order"
            by_act.setdefault((kind, node.action.index if kind in ("measure", "repair") else -1), []).append(number)
        after: list[_Block] = []
        for (kind, index), numbers in by_act.items():
            part = block.pick(np.array(numbers))
            if kind == "measure":
                after += self._measure(part, index)
            elif kind == "repair":
                after.append(self._try(part, index))
            else:
                self._end(part, kind)
        whole = _joined([part for part in after if len(part.nodes)])
        for begin in range(0, len(whole.nodes), BLOCK):
            self._open.append(whole.pick(np.arange(begin, min(begin + BLOCK, len(whole.nodes)))))

    def _measure(self, block: _Block, test: int) -> Iterator[_Block]:
        model, sums = self.model, self.tally.sums
        at = _where(block, model.nearest_measurement[1][block.state, test])
        own = (model.ways[block.state, at] + model.minutes[test]) @ block.reach
        arrived = block.reach.sum(axis=0)
        sums[MINUTES] += own
        sums[LOOKING] += own
        sums[STEPS] += arrived
        self.tally.asked[test] += (arrived * self.prior) @ self.fold
        measured = model.told_after(block.measured, np.full(len(block.nodes), test))
        same: Bools = np.array([_not_waited_for(model, node) for node in block.nodes])
        if same.any():
            which = np.nonzero(same)[0]
            stopped = block.reach[which] * (1.0 - model.goes_on[test])
            self._stopped(stopped, at[which])
            nodes = [next(iter(block.nodes[n].children.values())) for n in which.tolist()]
            yield self._kept(
                _Block(nodes, block.reach[which] - stopped, at[which], measured[which], block.tried[which])
            )
        which = np.nonzero(~same)[0]
        block, at, measured = block.pick(which), at[which], measured[which]
        for outcome, chance in enumerate(model.likelihoods[test].T):
            reach = block.reach * chance
            if model.stops[test][outcome]:
                self._stopped(reach, at)
                continue
            over = Node(action("found" if model.identify else "refer"))
            nodes = [node.children.get(outcome, over) for node in block.nodes]
            yield self._kept(_Block(nodes, reach, at, measured, block.tried))

    def _stopped(self, reach: Floats, at: Ints) -> None:
        """A reading that ends the work: what is left is quoted from where it was taken."""
        self.tally.sums[MINUTES] += self.model.refer[at] @ reach
        self.tally.sums[STOPPED] += reach.sum(axis=0)

    def _try(self, block: _Block, repair: int) -> _Block:
        model, sums = self.model, self.tally.sums
        at = _where(block, model.nearest_repair[1][block.state, repair])
        own = model.ways[block.state, at] + model.repair_minutes[repair] + model.proof[repair, at]
        self._believe(block.reach, own[:, None] * block.reach)
        after = model.proof_state[repair, at]
        cured, left = block.reach * model.fixes[repair], block.reach * (1.0 - model.fixes[repair])
        sums[MINUTES] += own @ block.reach + model.tail[repair, after] @ cured
        sums[VAIN] += own @ left
        sums[REPAIRED] += cured.sum(axis=0)
        arrived = block.reach.sum(axis=0)
        sums[STEPS] += arrived
        self.tally.tried[repair] += float(arrived @ self.prior)
        tried = block.tried.copy()
        tried[:, repair] = True
        nodes = [node.failed or Node(action("refer")) for node in block.nodes]
        return self._kept(_Block(nodes, left, after, block.measured, tried))

    def _end(self, block: _Block, kind: str) -> None:
        sums = self.tally.sums
        if kind == "found":
            sums[FOUND] += block.reach.sum(axis=0)
            self._believe(block.reach, block.reach)
        elif kind == "refer":
            at = _where(block, block.state)
            own = self.model.ways[block.state, at] + self.model.refer[at]
            self._believe(block.reach, own[:, None] * block.reach)
            sums[MINUTES] += own @ block.reach
            sums[QUOTED] += block.reach.sum(axis=0)
        else:
            self._ends.append(block)
            self._waiting += len(block.nodes)
            if self._waiting >= ENDS:
                self._repair()

    def _repair(self) -> None:
        """Repair in the best order from the ends that wait."""
        if not self._ends:
            return
        block, self._ends, self._waiting = _joined(self._ends), [], 0
        weights = self.model.folded(block.reach * self.prior)
        told = orders_told(self.model, weights, block.state, block.measured, block.tried)
        for row, value in enumerate(told.values):
            self.tally.sums[row] += np.einsum("nh,nh->h", block.reach, value[:, self.model.classes])
        for rows, test, share in told.asked:
            arrived = np.einsum("nh,nh->h", block.reach[rows], share[:, self.model.classes])
            self.tally.asked[test] += (arrived * self.prior) @ self.fold
        self.tally.tried[:] += told.tried
        self._believe(block.reach, block.reach * told.values[MINUTES][:, self.model.classes])

    def _believe(self, reach: Floats, spent: Floats) -> None:
        """What is believed where a repair or the quote is chosen: reach (N, H), spent (N, H) minutes for each."""
        causes = (reach * self.prior) @ self.fold
        mass = np.maximum(causes.sum(axis=1, keepdims=True), 1e-300)
        self.tally.believed[:] += ((spent * self.prior) @ self.fold).T @ (causes / mass)

    def _kept(self, block: _Block) -> _Block:
        kept = np.nonzero(block.reach @ self.prior > NOTHING)[0]
        return block if len(kept) == len(block.nodes) else block.pick(kept)


def _where(block: _Block, nearest: Ints) -> Ints:
    """The bench state in which each node's step is made."""
    own = np.array([node.state for node in block.nodes], dtype=np.int64)
    return np.where(own >= 0, own, nearest)


def _not_waited_for(model: Model, node: Node) -> bool:
    """Whether all readings lead to one and the same node: a repair wanted it told, whatever it says."""
    return not model.plain and len(node.children) > 1 and len({id(child) for child in node.children.values()}) == 1


def _joined(parts: list[_Block]) -> _Block:
    if not parts:
        return _Block(
            [], np.zeros((0, 0)), *(np.zeros(0, dtype=np.int64),), np.zeros((0, 0), bool), np.zeros((0, 0), bool)
        )
    return _Block(
        [node for part in parts for node in part.nodes],
        np.concatenate([part.reach for part in parts]),
        np.concatenate([part.state for part in parts]),
        np.concatenate([part.measured for part in parts]),
        np.concatenate([part.tried for part in parts]),
    )
