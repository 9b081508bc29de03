"""Orders of repairs written out as rows of a policy, each repair after what it wants told."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.study.doubts_rows import CURED, MEASURE, QUOTE, STOPPED, TRY, Factors, Rows, factor_table
from nextprobe.study.orders import greedy

#: So many ends are written in one go, which bounds memory.
BATCH = 1024
#: An end that a smaller share of jobs gets to is quoted: it weighs nothing.
NOTHING = 1e-15

End = tuple[int, int, Bools, Bools]


def write_orders(model: Model, rows: Rows, ends: Sequence[End]) -> None:
    """Write what follows at each end: its row, the bench state, what is told and tried."""
    if not ends:
        return
    parent, factor, *_ = rows.arrays()
    weights = _weights(model, parent, factor, np.array([end[0] for end in ends]))
    for begin in range(0, len(ends), BATCH):
        part = ends[begin : begin + BATCH]
        _write(model, rows, part, weights[begin : begin + BATCH])


def _weights(model: Model, parent: Ints, factor: Ints, ends: Ints) -> Floats:
    """(n, K) the belief at each end by class, weighted by the chance to get there."""
    stacked, _ = model.stacked
    table = factor_table(model, stacked, model.fixes)
    ways: list[Ints] = [ends]
    while (ways[-1] > 0).any():  # from the ends up, one factor a step
        ways.append(parent[ways[-1]])
    reach = np.broadcast_to(model.prior / model.prior.sum(), (len(ends), len(model.prior))).copy()
    for way in ways[:-1]:
        going = way > 0
        reach[going] *= table[factor[way[going]]]
    return model.folded(reach)


def _write(model: Model, rows: Rows, ends: Sequence[End], weights: Floats) -> None:
    states = np.array([end[1] for end in ends])
    measured, tried = np.array([end[2] for end in ends]), np.array([end[3] for end in ends])
    kept = np.nonzero(weights.sum(axis=1) > NOTHING)[0]
    steps, cut = greedy(model, weights[kept], states[kept], measured[kept], tried[kept])
    chains = [_Chain(model, rows, end[0], end[1]) for end in ends]
    for number, step in enumerate(steps, 1):
        for asked_by, tests, _ in step.asks:
            for row, test in zip(asked_by.tolist(), tests.tolist(), strict=True):
                if cut[row] >= number:
                    chains[kept[row]].measure(test)
        for row, repair in zip(step.row.tolist(), step.repair.tolist(), strict=True):
            if cut[row] >= number:
                chains[kept[row]].repair(repair)
    for chain in chains:
        chain.quote()


class _Chain:
    """One order as it is written: the row to come, its place or how it is come to, and the bench."""

    def __init__(self, model: Model, rows: Rows, row: int, here: int) -> None:
        self.model, self.rows, self.here = model, rows, here
        self.factors = Factors(model)
        self._own, self._parent, self._factor = row, -1, -1

    def measure(self, test: int) -> None:
        """A measurement that the repair to come wants told."""
        at = int(self.model.nearest_measurement[1][self.here, test])
        row = self._next(MEASURE, test, at)
        for outcome in np.nonzero(self.model.stops[test])[0].tolist():
            self.rows.add(row, self.factors.reads(test, outcome), STOPPED, -1, at)
        self.here, self._parent, self._factor = at, row, self.factors.goes_on(test)

    def repair(self, repair: int) -> None:
        """The next repair."""
        at = int(self.model.nearest_repair[1][self.here, repair])
        row = self._next(TRY, repair, at)
        self.here = int(self.model.proof_state[repair, at])
        self.rows.add(row, self.factors.cures(repair), CURED, repair, self.here)
        self._parent, self._factor = row, self.factors.leaves(repair)

    def quote(self) -> None:
        """The end of the order."""
        self._next(QUOTE, -1, self.here)

    def _next(self, kind: int, index: int, at: int) -> int:
        if self._parent < 0:
            self.rows.become(self._own, kind, index, at)
            return self._own
        return self.rows.add(self._parent, self._factor, kind, index, at)
