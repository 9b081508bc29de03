"""A policy written out step by step as arrays, its orders of repairs among it, so that it can be told again at once.

Every step is a row; what leads to it from the row before is a factor: the chance of an outcome, of a repair that cures
or leaves the symptom. So the share of a hypothesis that gets to a row is a product of factors, and a policy's minutes
are a sum over rows of that share times the row's own minutes. Steps and bench states stay as they are, whatever the
numbers of the model are made to be.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from nextprobe.errors import ModelError
from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.grown import Node
from nextprobe.plan.policy import action
from nextprobe.study.doubts_orders import write_orders
from nextprobe.study.doubts_rows import CURED, FOUND, MEASURE, ORDER, QUOTE, STOPPED, TRY, Factors, Rows


class Layer(NamedTuple):
    """Rows [begin, end) that follow on rows before them; by parent and by factor, for sums."""

    begin: int
    end: int
    parents: Ints
    parent_starts: Ints
    by_factor: Ints
    factors: Ints
    factor_starts: Ints


@dataclass(frozen=True)
class Written:
    """Rows of a policy, parents first. parent, factor, kind, index, at: (N,), at: the bench state of the step."""

    parent: Ints
    factor: Ints
    kind: Ints
    index: Ints
    at: Ints

    def minutes(self, model: Model) -> Floats:
        """(N,) the minutes of each row by itself, with the costs of `model`."""
        here = self._here(model)
        own = np.zeros(len(self.kind))
        for kind in (MEASURE, TRY, CURED, STOPPED, QUOTE):
            rows = np.nonzero(self.kind == kind)[0]
            index, at, begun = self.index[rows], self.at[rows], here[rows]
            if kind == MEASURE:
                own[rows] = model.ways[begun, at] + model.minutes[index]
            elif kind == TRY:
                own[rows] = model.ways[begun, at] + model.repair_minutes[index] + model.proof[index, at]
            elif kind == CURED:
                own[rows] = model.tail[index, begun]
            elif kind == STOPPED:
                own[rows] = model.refer[begun]
            else:
                own[rows] = model.ways[begun, at] + model.refer[at]
        return own

    def _here(self, model: Model) -> Ints:
        """(N,) the bench state in which each row begins."""
        here = self.at[self.parent]
        tried = np.nonzero(self.kind[self.parent] == TRY)[0]
        of = self.parent[tried]
        here[tried] = model.proof_state[self.index[of], self.at[of]]
        here[0] = model.start
        return here

    @cached_property
    def layers(self) -> tuple[Layer, ...]:
        """The rows after the first, depth by depth."""
        depth = np.zeros(len(self.parent), dtype=np.int64)
        found, begin = [], 1
        while begin < len(depth):
            # Parents stand before the layer, so it ends where a parent stands in it.
            inside = np.nonzero(self.parent[begin:] >= begin)[0]
            end = begin + int(inside[0]) if len(inside) else len(depth)
            parents, starts = np.unique(self.parent[begin:end], return_index=True)
            order = np.argsort(self.factor[begin:end], kind="stable")
            factors, factor_starts = np.unique(self.factor[begin:end][order], return_index=True)
            found.append(Layer(begin, end, parents, starts, order, factors, factor_starts))
            begin = end
        return tuple(found)


def written(model: Model, root: Node) -> Written:
    """`root`, a policy for `model`, written out. Raises ModelError for a model with two faults."""
    if model.still is not None:
        raise ModelError("A model with two faults cannot be told by its hypotheses.", "Study one fault.")
    rows = Rows()
    ends = _tree(model, root, rows)
    write_orders(model, rows, ends)
    return Written(*rows.sorted())


class _Open(NamedTuple):
    """A step still to be written: how it is come to, the bench, and what is told and tried."""

    node: Node
    parent: int
    factor: int
    here: int
    measured: Bools
    tried: Bools


def _tree(model: Model, root: Node, rows: Rows) -> list[tuple[int, int, Bools, Bools]]:
    """Write the tree; where it ends in an order of repairs: the row, the bench state, what is told and tried."""
    factors = Factors(model)
    orders: list[tuple[int, int, Bools, Bools]] = []
    start = np.zeros(len(model.likelihoods), dtype=bool), np.zeros(len(model.fixes), dtype=bool)
    open_ = [_Open(root, 0, 0, model.start, *start)]
    while open_:
        one = open_.pop()
        node, here = one.node, one.here
        kind, index = node.action.kind, node.action.index
        if kind == "measure":
            at = node.state if node.state >= 0 else int(model.nearest_measurement[1][here, index])
            row = rows.add(one.parent, one.factor, MEASURE, index, at)
            open_ += _outcomes(model, factors, one, row, at, rows)
        elif kind == "repair" and node.failed is not None:
            at = node.state if node.state >= 0 else int(model.nearest_repair[1][here, index])
            row = rows.add(one.parent, one.factor, TRY, index, at)
            after = int(model.proof_state[index, at])
            rows.add(row, factors.cures(index), CURED, index, after)
            tried = one.tried.copy()
            tried[index] = True
            open_.append(_Open(node.failed, row, factors.leaves(index), after, one.measured, tried))
        elif kind == "repair":
            row = rows.add(one.parent, one.factor, ORDER, -1, here)
            orders.append((row, here, one.measured, one.tried))
        else:
            at = node.state if node.state >= 0 else here
            rows.add(one.parent, one.factor, QUOTE if kind == "refer" else FOUND, -1, at)
    return orders


def _outcomes(model: Model, factors: Factors, one: _Open, row: int, at: int, rows: Rows) -> list[_Open]:
    """What follows a measurement; a reading that ends the work is written at once."""
    node, test = one.node, one.node.action.index
    measured = model.told_after(one.measured[None, :], np.array([test]))[0]
    stops = model.stops[test]
    for outcome in np.nonzero(stops)[0].tolist():
        rows.add(row, factors.reads(test, outcome), STOPPED, -1, at)
    # All readings lead to one and the same node where a repair only wanted it told.
    same = len(node.children) > 1 and len({id(child) for child in node.children.values()}) == 1 and not model.plain
    if same:
        child = next(iter(node.children.values()))
        return [_Open(child, row, factors.goes_on(test), at, measured, one.tried)]
    over = Node(action("found" if model.identify else "refer"))
    return [
        _Open(node.children.get(outcome, over), row, factors.reads(test, outcome), at, measured, one.tried)
        for outcome in range(len(stops))
        if not stops[outcome]
    ]
