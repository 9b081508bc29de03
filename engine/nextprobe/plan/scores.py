"""Which measurement tells most a minute about the repair to make, for many beliefs in one pass."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.prices import Prices

if TYPE_CHECKING:
    from numpy.typing import NDArray

#: Every step takes a moment beside its own minutes; it keeps a free reading from being infinitely good.
MOMENT = 0.05
#: Bits are set against the minutes to this power: a dear measurement that tells much is worth more than its bits a
#: minute say, for what is left to tell is cheaper then. In simulated jobs of the bundled pack .7 cost less than 1.
POWER = 0.7
#: A measurement is open only below this many minutes; more stands for "cannot be reached".
OUT_OF_REACH = 1e6


class Scores:
    """Scores of one model. prices: what each step wants told first; told (T,): what had been told by then."""

    def __init__(self, model: Model, prices: Prices | None = None, told: Bools | None = None) -> None:
        self.model = model
        self.prices = Prices.none(model) if prices is None else prices
        self._told = np.zeros(len(model.likelihoods), dtype=bool) if told is None else told
        self._known = _known_cause(model)  # (S, K)
        self._order, self._starts = _classes(model, self._known)
        rows, self._owner = model.stacked
        self._rows = np.ascontiguousarray(rows[:, self._order].astype(np.float32))
        self._cost = model.nearest_measurement[0] + model.minutes + self.prices.measure  # (S, T)

    def repair_price(self, measured: Bools) -> Floats:
        """(N, R) minutes of what each repair still wants told, `measured` (N, T) by then."""
        return self.prices.repair_after(measured & ~self._told)

    def known_cause(self, weights: Floats, state: Ints) -> Floats:
        """(N,) minutes times weight if the cause were known at once: a lower bound of every policy."""
        folded = self.model.folded(weights)
        return np.asarray((folded * self._known[state]).sum(axis=1))

    def best(self, weights: Floats, state: Ints, measured: Bools, room: Floats) -> tuple[Ints, Floats]:
        """The measurement (N,) with the most bits for its minutes, -1 where none tells anything, and its minutes (N,).

        room (N,): minutes times weight that could still be gained; a dearer measurement is not open.
        """
        bits = self.information(weights)
        mass = weights.sum(axis=1)
        cost = self._cost[state]
        open_ = ~measured & (cost < OUT_OF_REACH) & (cost * mass[:, None] < room[:, None])
        score = np.where(open_ & (bits > 1e-7), bits / (cost + MOMENT) ** POWER, -1.0)
        pick = score.argmax(axis=1) if score.shape[1] else np.zeros(len(weights), dtype=np.int64)
        rows = np.arange(len(weights))
        if not score.shape[1]:
            return np.full(len(weights), -1), np.zeros(len(weights))
        found = score[rows, pick] > 0
        return np.where(found, pick, -1), np.where(found, cost[rows, pick], 0.0)

    def information(self, weights: Floats) -> Floats:
        """(N, T) expected bits about the class of the best repair, per unit of the belief's weight."""
        scaled = (weights / np.maximum(weights.sum(axis=1, keepdims=True), 1e-300))[:, self._order].astype(np.float32)
        total = np.zeros((len(self._rows), len(weights)), dtype=np.float32)
        joint_plogp = np.zeros_like(total)
        now = np.zeros(len(weights), dtype=np.float32)
        for begin, end in zip(self._starts[:-1], self._starts[1:], strict=True):
            part = scaled[:, begin:end]
            share = part.sum(axis=1)
            if not share.any():
                continue
            joint = self._rows[:, begin:end] @ part.T
            total += joint
            joint_plogp += _plogp(joint)
            now += _plogp(share)
        gained = joint_plogp - _plogp(total)
        heads = np.searchsorted(self._owner, np.arange(len(self.model.likelihoods)))
        by_measurement = np.add.reduceat(gained, heads, axis=0) if len(heads) else np.zeros((0, len(weights)))
        return np.asarray((by_measurement - now).T, dtype=np.float64)


def _plogp(p: NDArray[np.float32]) -> NDArray[np.float32]:
    return np.asarray(p * np.log2(np.maximum(p, np.float32(1e-30))), dtype=np.float32)


def _known_cause(model: Model) -> Floats:
    """(S, K) a lower bound of the minutes to the end from each state if the class of the cause were known."""
    way, near = model.nearest_repair  # (S, R)
    repairs = np.arange(len(model.fixes))
    after = model.proof_state[repairs, near]
    cost = way + model.repair_minutes + model.proof[repairs, near] + model.tail[repairs, after]
    usable = model.class_fixes > 0  # (R, K)
    best = np.where(usable[None, :, :], cost[:, :, None], np.inf).min(axis=1, initial=np.inf)
    return np.asarray(np.minimum(best, model.refer[:, None]))


def _classes(model: Model, known: Floats) -> tuple[Ints, Ints]:
    """Hypotheses ordered by the repair made first if the cause were known, and where each class begins."""
    way, near = model.nearest_repair
    repairs = np.arange(len(model.fixes))
    start = model.start
    if len(repairs):
        at = near[start]
        cost = way[start] + model.repair_minutes + model.proof[repairs, at]
        after = model.proof_state[repairs, at]
        fixes = model.class_fixes
        # The expected cost of this repair and then a quote; the class with no repair worth it quotes.
        value = cost[:, None] + fixes * model.tail[repairs, after][:, None] + (1 - fixes) * model.refer[after][:, None]
        value = np.where(fixes > 0, value, np.inf)
        best = np.where(value.min(axis=0) < model.refer[start], value.argmin(axis=0), len(repairs))
    else:
        best = np.zeros(known.shape[1], dtype=np.int64)
    label = best[model.fold.argmax(axis=1)]
    order = np.argsort(label, kind="stable")
    ordered = label[order]
    starts = np.concatenate([[0], np.nonzero(np.diff(ordered))[0] + 1, [len(ordered)]])
    return order, starts
