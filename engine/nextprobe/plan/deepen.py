"""A policy made better end by end: where the tree ends with most to gain, the base policy's tree goes on.

The minutes of a tree are a sum over its ends, each weighted by its chance. So an end that is followed on takes off
the minutes of the policy exactly what it saves, and U is that of a policy at every moment.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from nextprobe.model.arrays import Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.grown import Node, node_of
from nextprobe.plan.scores import Scores
from nextprobe.plan.tree import ASK, REPAIR, STOP, Start, Trees, grow, start_of

#: The first tree ends its branches below this share, and looks at so many nodes; so do those at its ends.
FIRST = (0.01, 600)
NEXT = (0.05, 60)
#: So many ends are followed on side by side.
BATCH = 128
#: Bytes that the beliefs of open ends may take; beyond it the ends with least to gain stay as they are.
MEMORY = 200_000_000
#: Nodes of the whole policy, for the same reason: some 200 bytes each.
MOST_NODES = 1_500_000
#: Minutes of all jobs that an end must be able to gain.
LEAST_GAIN = 1e-5


@dataclass(frozen=True)
class _Ends:
    """Open ends: their beliefs, weighted by the chance to get there, what each may gain, its minutes, its node.

    room: the minutes above a known cause, times the bits that the belief is short of it: measuring gains the more of
    them the less is known (from a twentieth at 3 bits to a quarter at 5, bundled pack).
    """

    at: Start
    room: Floats
    minutes: Floats
    nodes: list[Node]

    def pick(self, which: Ints) -> _Ends:
        weights, state, measured, tried = self.at
        at = Start(weights[which], state[which], measured[which], tried[which])
        return _Ends(at, self.room[which], self.minutes[which], [self.nodes[i] for i in which.tolist()])


class _Pool:
    """Open ends in blocks as they came, so that none is copied but to be followed on. most: ends kept."""

    def __init__(self, most: int) -> None:
        self.most = most
        self._blocks: list[_Ends] = []
        self._room = np.zeros(0)  # of all blocks side by side; 0 where the end is taken

    def __len__(self) -> int:
        return int(np.count_nonzero(self._room))

    def add(self, ends: _Ends) -> None:
        """Take in a block; where there are too many, those with least to gain stay as they are for good."""
        self._blocks.append(ends)
        self._room = np.concatenate([self._room, ends.room])
        if len(self._room) > self.most:
            kept = np.argsort(-self._room, kind="stable")[: self.most // 2]
            best = self._fetch(np.sort(kept[self._room[kept] > 0]))
            self._blocks, self._room = [best], best.room.copy()

    def take(self, count: int) -> _Ends:
        """The ends that could gain most; they are in the pool no more."""
        best = np.argsort(-self._room, kind="stable")[:count]
        best = best[self._room[best] > 0]
        taken = self._fetch(best)
        self._room[best] = 0.0
        return taken

    def _fetch(self, which: Ints) -> _Ends:
        sizes = np.cumsum([0, *(len(block.nodes) for block in self._blocks)])
        block = np.searchsorted(sizes, which, side="right") - 1
        return _joined([self._blocks[b].pick(which[block == b] - sizes[b]) for b in np.unique(block).tolist()])


class Deepening:
    """The policy in `root` and its exact expected minutes `upper`, better with each `step`.

    start: the belief, bench and steps to begin with; the model's own start unless given. Of several rows `upper` is the
    minutes of all, each times its weight, and `roots` holds the policy from each. batch: ends that are followed on in
    one step.
    """

    def __init__(
        self, model: Model, start: Start | None = None, scores: Scores | None = None, batch: int = BATCH
    ) -> None:
        self.model = model
        self.batch = batch
        self.scores = Scores(model) if scores is None else scores
        if start is None:
            start = start_of(model)
        trees = grow(model, start, self.scores, *FIRST)
        self.upper = float(trees.value.sum())
        self.roots = [node_of(model, trees, number, written=False) for number in range(len(trees.value))]
        self.root = self.roots[0]
        self.size = 0
        each = 8 * len(model.prior) + len(model.minutes) + len(model.fixes) + 64
        self._open = _Pool(max(4 * BATCH, MEMORY // each))
        self._saved: dict[int, float] = {}  # by the id of a node that was an end: what following it on has saved
        self._open.add(self._ends(trees, self.roots))

    @property
    def finished(self) -> bool:
        """Whether no end is left that could gain, or the memory is used."""
        return not len(self._open) or self.size > MOST_NODES

    def step(self) -> None:
        """Follow on from the ends that could gain most."""
        chosen = self._open.take(self.batch)
        least = NEXT[0] * chosen.at.weights.sum(axis=1)
        trees = grow(self.model, chosen.at, self.scores, least, NEXT[1] * len(chosen.nodes))
        self.upper -= float((chosen.minutes - trees.value).sum())
        for number, node in enumerate(chosen.nodes):
            self._saved[id(node)] = float(chosen.minutes[number] - trees.value[number])
            node.become(node_of(self.model, trees, number, written=False))
        self._open.add(self._ends(trees, chosen.nodes))

    def run(self, stop: Callable[[float], bool]) -> None:
        """Step until `stop`, which is asked with the minutes so far, or until it is finished."""
        while not self.finished and not stop(self.upper):
            self.step()

    def policy(self) -> Node:
        """The root, its nodes' minutes told anew."""
        for root in self.roots:
            _take_off(root, self._saved)
        self._saved = {}
        return self.root

    def _ends(self, trees: Trees, roots: list[Node]) -> _Ends:
        """The open ends of grown trees."""
        found: list[list[tuple[int, Node]]] = [[] for _ in trees.levels]
        for number, root in enumerate(roots):
            for depth, place, node in self._stops(trees, number, root):
                if not trees.levels[depth].expand[place]:
                    found[depth].append((place, node))
        parts = []
        for level, ends in zip(trees.levels, found, strict=True):
            places = np.array([place for place, _ in ends], dtype=np.int64)
            weights, state, measured, tried = level.at
            at = Start(weights[places], state[places], measured[places], tried[places])
            most = level.stop[places] - self.scores.known_cause(at.weights, at.state)
            all_ = _Ends(at, most * _missing_bits(at.weights), level.stop[places], [node for _, node in ends])
            parts.append(all_.pick(np.nonzero((most > LEAST_GAIN) & (all_.room > 0))[0]))
        return _joined(parts)

    def _stops(self, trees: Trees, number: int, root: Node) -> Iterator[tuple[int, int, Node]]:
        """Where one tree's policy stops measuring: depth, place and node of each end."""
        below = trees.below
        open_ = [(0, number, root)]
        while open_:
            depth, place, node = open_.pop()
            self.size += 1
            level = trees.levels[depth]
            kind = int(level.kind[place])
            if kind == STOP:
                yield depth, place, node
                continue
            under = trees.levels[depth + 1]
            for child in below[depth].get(place, []):
                if kind == ASK and not under.failed[child]:
                    open_.append((depth + 1, child, node.children[int(under.outcome[child])]))
                elif kind == REPAIR and under.failed[child]:
                    # A repair that wants a measurement told first is that measurement here.
                    follows = node.failed if node.failed is not None else node.children[int(under.outcome[child])]
                    open_.append((depth + 1, child, follows))


def _missing_bits(weights: Floats) -> Floats:
    """(N,) bits that each belief, weights (N, H), is short of a known hypothesis."""
    shares = weights / np.maximum(weights.sum(axis=1, keepdims=True), 1e-300)
    return np.asarray(-(shares * np.log2(np.maximum(shares, 1e-300))).sum(axis=1))


def _joined(parts: list[_Ends]) -> _Ends:
    return _Ends(
        Start(
            np.concatenate([part.at.weights for part in parts]),
            np.concatenate([part.at.state for part in parts]),
            np.concatenate([part.at.measured for part in parts]),
            np.concatenate([part.at.tried for part in parts]),
        ),
        np.concatenate([part.room for part in parts]),
        np.concatenate([part.minutes for part in parts]),
        [node for part in parts for node in part.nodes],
    )


def _take_off(root: Node, saved: dict[int, float]) -> None:
    """Take off every node's minutes what was saved further down; `saved` is by the id of a node, without itself."""
    order, open_ = [], [root]
    while open_:
        node = open_.pop()
        order.append(node)
        open_ += _following(node)
    off: dict[int, float] = {}
    for node in reversed(order):
        less = sum(off[id(one)] + saved.get(id(one), 0.0) for one in _following(node))
        off[id(node)] = less
        node.minutes -= less


def _following(node: Node) -> list[Node]:
    """The nodes right below, each once."""
    below = {id(child): child for child in node.children.values()}
    return [*below.values(), *([] if node.failed is None else [node.failed])]
