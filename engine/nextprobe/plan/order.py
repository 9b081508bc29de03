"""Repairing in the best order, and when to quote instead: the value of stopping to measure.

Single fault, independent: the order by chance over cost is optimal where each cause has one perfect
repair (Kadane & Simon 1977). With dependent repairs and moves it is a heuristic, so the order is
recomputed after each failure and cut where quoting becomes cheaper; the value returned is the exact
expected cost of the order that is described, an upper bound of the optimum.

What a repair wants told first is measured before it and its reading is not waited for: whatever it says, the order
goes on, save where it ends the work. So the value stays that of a policy which can be followed.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.wanting import missing_minutes

#: An order is cut when so little of the belief is left; what is left is quoted.
LEFT = 1e-4
#: No order is longer than this.
LONGEST = 16


@dataclass(frozen=True, slots=True)
class Orders:
    """For N beliefs: the minutes (N,) and the first repair (N,), -1 where quoting at once is best."""

    minutes: Floats
    first: Ints


class Done(NamedTuple):
    """One step of an order: kind measure or repair, which of them, and the bench state in which it is done."""

    kind: str
    which: int
    state: int


def best_orders(
    model: Model,
    beliefs: Floats,
    states: Ints,
    tried: Bools,
    extra: Floats | None = None,
    measured: Bools | None = None,
) -> Orders:
    """The repair order from each belief (N, H), which need not be normalised, in its state (N,).

    tried (R,) or (N, R): repairs that are not available. extra (R,) or (N, R): minutes of what each repair wants told
    first beside what the model says. measured (T,) or (N, T): what was told or is closed; None: all that any repair
    wants. Minutes are weighted by each belief's mass.
    """
    return folded_orders(model, beliefs @ model.fold, states, tried, extra, measured)


def folded_orders(
    model: Model,
    left: Floats,
    states: Ints,
    tried: Bools,
    extra: Floats | None = None,
    measured: Bools | None = None,
) -> Orders:
    """As `best_orders`, for beliefs that are already folded into the model's classes (N, K)."""
    best, first, _ = _orders(model, left, states, tried, extra, measured)
    return Orders(best, first)


def order_steps(
    model: Model, weights: Floats, state: int, tried: Bools, measured: Bools, extra: Floats | None = None
) -> list[Done]:
    """The steps of the best order from one belief (H,), what its repairs want told among them; then it is quoted."""
    trail: list[tuple[int, Done]] = []
    folded = (weights @ model.fold)[None, :]
    _, _, cut = _orders(model, folded, np.array([state]), tried, extra, measured[None, :], trail)
    return [done for step, done in trail if step <= cut[0]]


@dataclass
class _Jobs:
    """N jobs in their order: what is left (N, K), the state (N,), the minutes paid (N,), what was told (N, T)."""

    left: Floats
    here: Ints
    paid: Floats
    told: Bools
    trail: list[tuple[int, Done]] | None = field(default=None)


def _orders(
    model: Model,
    left: Floats,
    states: Ints,
    tried: Bools,
    extra: Floats | None,
    measured: Bools | None,
    trail: list[tuple[int, Done]] | None = None,
) -> tuple[Floats, Ints, Ints]:
    """Minutes (N,), first repair (N,) and number of repairs (N,) of the best order."""
    count, repairs = len(left), len(model.fixes)
    rows = np.arange(count)
    quote = left.sum(axis=1) * model.refer[states]
    if repairs == 0:
        return quote, np.full(count, -1), np.zeros(count, dtype=np.int64)
    known = np.ones(len(model.likelihoods), dtype=bool) if measured is None else measured
    told = known if model.wants is None else np.broadcast_to(known, (count, len(model.likelihoods))).copy()
    jobs = _Jobs(left, states.copy(), np.zeros(count), told, trail)
    open_ = np.broadcast_to(~tried, (count, repairs)).copy()  # tried may be (R,) or (N, R)
    first = np.full(count, -1)
    # best (N,): the cheapest cut of the order so far.
    best = quote.copy()
    cut = np.zeros(count, dtype=np.int64)
    enough = left.sum(axis=1) * LEFT
    going = np.ones(count, dtype=bool)
    way, way_state = model.nearest_repair
    repair_range = np.arange(repairs)
    for step in range(1, LONGEST + 1):
        here = jobs.here
        mass = jobs.left.sum(axis=1)
        cured = jobs.left @ model.class_fixes.T
        at = way_state[here]
        cost = way[here] + model.repair_minutes + model.proof[repair_range, at]
        if extra is not None:
            cost = cost + extra
        if model.wants is not None:
            cost = cost + missing_minutes(model, model.wants.before_repair, jobs.told, here)
        after = model.proof_state[repair_range, at]
        tail = model.tail[repair_range, after]
        gain = cured * (model.refer[here][:, None] - tail) - mass[:, None] * cost
        worth = cured
        if model.class_progress is not None:
            brought = jobs.left @ model.class_progress.T
            gain = gain + brought * model.refer[here][:, None]
            worth = cured + brought
        usable = open_ & np.isfinite(cost) & (gain > 0)
        with np.errstate(divide="ignore", invalid="ignore"):
            score = np.where(usable, worth / np.maximum(cost, 1e-9), -1.0)
        pick = score.argmax(axis=1)
        going &= (score[rows, pick] >= 0) & (mass > enough)
        if not going.any():
            break
        chosen = cost[rows, pick], cured[rows, pick], after[rows, pick], tail[rows, pick]
        if model.wants is not None:
            own = np.zeros(repairs) if extra is None else extra
            chosen = _measured_first(model, jobs, pick, going, step, np.broadcast_to(own, (count, repairs))[rows, pick])
            mass = jobs.left.sum(axis=1)
        price, cures, then, closing = chosen
        if trail is not None and going[0]:
            trail.append((step, Done("repair", int(pick[0]), int(way_state[jobs.here[0], pick[0]]))))
        jobs.paid = np.where(going, jobs.paid + mass * price + cures * closing, jobs.paid)
        jobs.left = _failed(model, jobs.left, pick, going)
        jobs.here = np.where(going, then, jobs.here)
        open_[rows[going], pick[going]] = False
        if step == 1:
            first = np.where(going, pick, -1)
        total = jobs.paid + jobs.left.sum(axis=1) * model.refer[jobs.here]
        better = going & (total < best)
        best = np.where(better, total, best)
        cut = np.where(better, step, cut)
    return best, np.where(cut > 0, first, -1), cut


def _failed(model: Model, left: Floats, pick: Ints, going: Bools) -> Floats:
    if model.still is None:
        return np.where(going[:, None], left * (1.0 - model.class_fixes[pick]), left)
    left, rows = left.copy(), np.nonzero(going)[0]
    left[rows] = model.class_after_failure(left[rows], pick[rows])
    return left


def _measured_first(
    model: Model, jobs: _Jobs, pick: Ints, going: Bools, step: int, extra: Floats
) -> tuple[Floats, Floats, Ints, Floats]:
    """Measure what the picked repairs want; then their minutes, what they cure, the state after and the tail."""
    wants = model.wants
    if wants is not None:
        before = wants.before_repair[pick] & going[:, None]
        way, near = model.nearest_measurement
        while True:
            ask = wants.next(before, jobs.told)
            now = np.nonzero(ask >= 0)[0]
            if not len(now):
                break
            tests, here = ask[now], jobs.here[now]
            jobs.paid[now] += jobs.left[now].sum(axis=1) * (way[here, tests] + model.minutes[tests])
            jobs.here[now] = near[here, tests]
            left = jobs.left[now] * model.class_goes_on[tests]
            stopped = (jobs.left[now] - left).sum(axis=1)
            jobs.paid[now] += stopped * model.refer[jobs.here[now]]
            jobs.left = jobs.left.copy()
            jobs.left[now] = left
            jobs.told[now] = model.told_after(jobs.told[now], tests)
            if jobs.trail is not None:
                jobs.trail.append((step, Done("measure", int(tests[0]), int(jobs.here[0]))))
    repair_way, repair_near = model.nearest_repair
    at = repair_near[jobs.here, pick]
    after = model.proof_state[pick, at]
    cost = repair_way[jobs.here, pick] + model.repair_minutes[pick] + model.proof[pick, at] + extra
    return cost, (jobs.left * model.class_fixes[pick]).sum(axis=1), after, model.tail[pick, after]
