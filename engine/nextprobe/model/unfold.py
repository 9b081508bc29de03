"""Noisy-OR arcs unfolded into hypotheses, exactly, for one cause or two at once.

Every arc is one coin: from a present cause or effect it fires with its probability, and an effect
is present when any arc into it fires. So what a cause reaches is a reachable set under the coins,
and what two causes reach together is the union of what each reaches *under the same coins*: an arc
from an effect that both reached is one coin, not two. Each effect therefore carries two bits, reached
by the first cause and reached by the second, and the effects are walked in topological order with all
pairs side by side as rows of one array.
(Noisy-OR: Pearl, Probabilistic Reasoning in Intelligent Systems, 1988, section 4.3.)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from nextprobe.model.arrays import Bits, Floats, Ints, sum_by

if TYPE_CHECKING:
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Graph:
    """Arcs by index: `from_cause` (C, N), `from_node` (N, N), both probabilities.

    Nodes are effects and, last, the symptom; arcs go to later nodes only (topological order).
    """

    causes: tuple[str, ...]
    nodes: tuple[str, ...]
    from_cause: Floats
    from_node: Floats

    @property
    def symptom(self) -> int:
        """The index of the symptom among the nodes."""
        return len(self.nodes) - 1


@dataclass(frozen=True, slots=True)
class Unfolded:
    """Rows of hypotheses of one or two causes that show the symptom.

    `first`, `second` (n,): cause indices, second -1 for one cause. `state` (K, n): for each kept node
    bit 0 reached by the first, bit 1 by the second. `chance` (n,): probability of the row given its
    cause or causes *and the symptom*; the rows of one cause or pair sum to 1.
    `shown` holds P(symptom) for each asked cause or pair, 0 where it cannot produce it.
    """

    nodes: tuple[str, ...]
    first: Ints
    second: Ints
    state: Bits
    chance: Floats
    shown: Floats


def topological(arcs: Mapping[str, Mapping[str, float]], nodes: Sequence[str]) -> list[str]:
    """`nodes` ordered so that every arc leads forward; the order given decides ties. No cycles."""
    waiting = dict.fromkeys(nodes, 0)
    for source in nodes:
        for target in arcs.get(source, {}):
            if target in waiting:
                waiting[target] += 1
    order: list[str] = []
    ready = [node for node in nodes if waiting[node] == 0]
    while ready:
        node = ready.pop(0)
        order.append(node)
        for target in arcs.get(node, {}):
            if target in waiting:
                waiting[target] -= 1
                if waiting[target] == 0:
                    ready.append(target)
    return order


def make_graph(
    causes: Mapping[str, Mapping[str, float]], effects: Mapping[str, Mapping[str, float]], symptom: str
) -> Graph:
    """The graph of the causes and effects that apply; arcs to anything else are left out."""
    order = topological(effects, list(effects))
    nodes = (*order, symptom)
    place = {node: index for index, node in enumerate(nodes)}
    names = tuple(causes)
    from_cause = np.zeros((len(names), len(nodes)))
    from_node = np.zeros((len(nodes), len(nodes)))
    for row, cause in enumerate(names):
        for target, chance in causes[cause].items():
            if target in place:
                from_cause[row, place[target]] = chance
    for effect in order:
        for target, chance in effects[effect].items():
            if target in place:
                from_node[place[effect], place[target]] = chance
    return Graph(names, nodes, from_cause, from_node)


def unfold(graph: Graph, first: Ints, second: Ints, keep: Sequence[str]) -> Unfolded:
    """All hypotheses of each cause (second -1) or pair that show the symptom.

    `keep` names the nodes that a rule reads; all others are summed out exactly. The symptom is kept.
    """
    asked = len(first)
    owner = np.arange(asked)
    chance = np.ones(asked)
    columns: dict[int, Bits] = {}
    symptom = graph.symptom
    wanted = {index for index, node in enumerate(graph.nodes) if node in set(keep)} | {symptom}
    last_use = [max([0, *np.nonzero(graph.from_node[node])[0].tolist()]) for node in range(len(graph.nodes))]
    for node in range(len(graph.nodes)):
        owner, chance, columns = _reach(graph, node, first, second, owner, chance, columns)
        spent = [old for old in columns if old not in wanted and last_use[old] <= node]
        if spent:
            for old in spent:
                del columns[old]
            owner, chance, columns = _merge(owner, chance, columns)
    shows = columns[symptom] > 0
    owner, chance = owner[shows], chance[shows]
    kept = sorted(columns)
    state = np.stack([columns[node][shows] for node in kept])
    shown = sum_by(owner, chance, asked)
    return Unfolded(
        nodes=tuple(graph.nodes[node] for node in kept),
        first=first[owner],
        second=second[owner],
        state=state,
        chance=chance / shown[owner],
        shown=shown,
    )


def _reach(
    graph: Graph, node: int, first: Ints, second: Ints, owner: Ints, chance: Floats, columns: dict[int, Bits]
) -> tuple[Ints, Floats, dict[int, Bits]]:
    """Split every row by whether `node` is reached by its first cause, its second, both, or neither."""
    stays_1 = 1.0 - graph.from_cause[first[owner], node]  # no arc from the first cause fires
    two = second[owner] >= 0
    stays_2 = np.where(two, 1.0 - graph.from_cause[second[owner], node], 1.0)
    stays_both = np.ones(len(owner))  # no arc from an effect that both causes reached fires
    for source in np.nonzero(graph.from_node[:, node])[0].tolist():
        stays = 1.0 - graph.from_node[source, node]
        bits = columns[source]
        stays_1[bits == 1] *= stays
        stays_2[bits == 2] *= stays
        stays_both[bits == 3] *= stays
    neither = stays_1 * stays_2 * stays_both
    not_1 = stays_1 * stays_both
    not_2 = stays_2 * stays_both
    # Rounding may leave a hair below zero where an arc is certain.
    split = np.stack([neither, not_2 - neither, not_1 - neither, 1.0 - not_1 - not_2 + neither])
    split[split < 1e-15] = 0.0
    bit, row = np.nonzero(split)
    new_columns = {old: bits[row] for old, bits in columns.items()}
    new_columns[node] = bit.astype(np.uint8)
    return owner[row], chance[row] * split[bit, row], new_columns


def _merge(owner: Ints, chance: Floats, columns: dict[int, Bits]) -> tuple[Ints, Floats, dict[int, Bits]]:
    """Rows that are alike in everything still kept become one."""
    if not columns:
        merged = sum_by(owner, chance)
        owners: Ints = np.nonzero(merged)[0]
        return owners, merged[owners], {}
    kept = sorted(columns)
    keys = row_keys(np.stack([columns[node] for node in kept]), owner)
    _, index, inverse = np.unique(keys, return_index=True, return_inverse=True)
    merged = sum_by(inverse.ravel(), chance)
    return owner[index], merged, {node: columns[node][index] for node in kept}


def row_keys(state: Bits, owner: Ints) -> NDArray[np.bytes_]:
    """One comparable key a row of `state` (K, n; values 0..3) and `owner` (n,)."""
    low = np.packbits(state & 1, axis=0)
    high = np.packbits(state >> 1, axis=0)
    raw = np.concatenate([low, high], axis=0).T
    joined = np.concatenate([owner.astype(">i8").view(np.uint8).reshape(len(owner), 8), raw], axis=1)
    packed = np.ascontiguousarray(joined)
    # Fixed-width bytes sort and compare; that they drop closing zeros does no harm at one width.
    return packed.view(f"S{packed.shape[1]}").ravel()
