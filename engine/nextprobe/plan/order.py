"""Repairing in the best order, and when to quote instead: the value of stopping to measure.

Single fault, independent: the order by chance over cost is optimal where each cause has one perfect
repair (Kadane & Simon 1977). With dependent repairs and moves it is a heuristic, so the order is
recomputed after each failure and cut where quoting becomes cheaper; the value returned is the exact
expected cost of the order that is described, an upper bound of the optimum.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model

#: An order is cut when so little of the belief is left; what is left is quoted.
LEFT = 1e-4
#: No order is longer than this.
LONGEST = 16


@dataclass(frozen=True, slots=True)
class Orders:
    """For N beliefs: the minutes (N,) and the first repair (N,), -1 where quoting at once is best."""

    minutes: Floats
    first: Ints


def best_orders(model: Model, beliefs: Floats, states: Ints, tried: Bools, extra: Floats | None = None) -> Orders:
    """The repair order from each belief (N, H), which need not be normalised, in its state (N,).

    tried (R,) or (N, R): repairs that are not available. extra (R,) or (N, R): minutes of what each repair wants told
    first. Minutes are weighted by each belief's mass.
    """
    return folded_orders(model, beliefs @ model.fold, states, tried, extra)


def folded_orders(model: Model, left: Floats, states: Ints, tried: Bools, extra: Floats | None = None) -> Orders:
    """As `best_orders`, for beliefs that are already folded into the model's classes (N, K)."""
    count, repairs = len(left), len(model.fixes)
    rows = np.arange(count)
    here = states.copy()
    quote = left.sum(axis=1) * model.refer[here]
    if repairs == 0:
        return Orders(quote, np.full(count, -1))
    open_ = np.broadcast_to(~tried, (count, repairs)).copy()  # tried may be (R,) or (N, R)
    first = np.full(count, -1)
    # paid (N,): minutes of the order so far; best (N,): the cheapest cut of it.
    paid = np.zeros(count)
    best = quote.copy()
    cut = np.zeros(count, dtype=np.int64)
    enough = left.sum(axis=1) * LEFT
    going = np.ones(count, dtype=bool)
    way, way_state = model.nearest_repair
    repair_range = np.arange(repairs)
    for step in range(1, LONGEST + 1):
        mass = left.sum(axis=1)
        cured = left @ model.class_fixes.T
        at = way_state[here]
        cost = way[here] + model.repair_minutes + model.proof[repair_range, at]
        if extra is not None:
            cost = cost + extra
        after = model.proof_state[repair_range, at]
        tail = model.tail[repair_range, after]
        gain = cured * (model.refer[here][:, None] - tail) - mass[:, None] * cost
        usable = open_ & np.isfinite(cost) & (gain > 0)
        with np.errstate(divide="ignore", invalid="ignore"):
            score = np.where(usable, cured / np.maximum(cost, 1e-9), -1.0)
        pick = score.argmax(axis=1)
        going &= (score[rows, pick] >= 0) & (mass > enough)
        if not going.any():
            break
        paid = np.where(going, paid + mass * cost[rows, pick] + cured[rows, pick] * tail[rows, pick], paid)
        left = np.where(going[:, None], left * (1.0 - model.class_fixes[pick]), left)
        here = np.where(going, after[rows, pick], here)
        open_[rows[going], pick[going]] = False
        if step == 1:
            first = np.where(going, pick, -1)
        total = paid + left.sum(axis=1) * model.refer[here]
        better = going & (total < best)
        best = np.where(better, total, best)
        cut = np.where(better, step, cut)
    return Orders(best, np.where(cut > 0, first, -1))
