"""The best order of repairs from many beliefs at once, told for each class of hypotheses by itself.

`plan/order.py` gives what an order costs in all, with the belief as the weights; that sum cannot be taken apart
afterwards. Here the same order is followed once more, and what each class pays on it is kept.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.order import LEFT, LONGEST
from nextprobe.plan.wanting import missing_minutes
from nextprobe.study.tally import LOOKING, MINUTES, QUOTED, REPAIRED, ROWS, STEPS, STOPPED, VAIN


@dataclass(frozen=True)
class OrdersTold:
    """values (8, N, K): what one job of each class pays and how it ends, from each of N beliefs (rows of tally.py).

    asked: rows (n,), a measurement, and the share of each class (n, K) that comes to it from these rows. tried (R,):
    chance of all jobs, by the weights given.
    """

    values: Floats
    asked: list[tuple[Ints, int, Floats]]
    tried: Floats


@dataclass
class _Jobs:
    """Orders that still go on: their rows, the share of each class still there (n, K), the bench, what is closed."""

    row: Ints
    reach: Floats
    here: Ints
    told: Bools
    open: Bools
    paid: Floats

    def only(self, going: Bools) -> _Jobs:
        return _Jobs(
            self.row[going], self.reach[going], self.here[going], self.told[going], self.open[going], self.paid[going]
        )


@dataclass
class Step:
    """What one repair of the orders, with what it wanted told, adds: rows (n,), and (8, n, K) of them."""

    row: Ints
    adds: Floats
    repair: Ints
    reach: Floats  # (n, K) when the repair is made
    after: Floats  # (n, K) of which the symptom is still there
    here: Ints  # the bench then
    asks: list[tuple[Ints, Ints, Floats]] = field(default_factory=list)  # rows, tests, share (m, K)


def orders_told(model: Model, weights: Floats, states: Ints, measured: Bools, tried: Bools) -> OrdersTold:
    """Follow the order from each belief: weights (N, K) by class, bench states (N,), measured (N, T), tried (N, R)."""
    count, classes = weights.shape
    told = OrdersTold(np.zeros((ROWS, count, classes)), [], np.zeros(len(model.fixes)))
    steps, cut = greedy(model, weights, states, measured, tried)
    left, here = np.ones((count, classes)), states.copy()
    for number, step in enumerate(steps, 1):
        kept = cut[step.row] >= number
        row = step.row[kept]
        told.values[:, row] += step.adds[:, kept]
        left[row], here[row] = step.after[kept], step.here[kept]
        np.add.at(told.tried, step.repair[kept], (step.reach[kept] * weights[row]).sum(axis=1))
        for asked_by, tests, share in step.asks:
            for test in np.unique(tests[cut[asked_by] >= number]).tolist():
                which = (tests == test) & (cut[asked_by] >= number)
                told.asked.append((asked_by[which], test, share[which]))
    told.values[MINUTES] += left * model.refer[here][:, None]
    told.values[QUOTED] += left
    return told


def greedy(model: Model, weights: Floats, states: Ints, measured: Bools, tried: Bools) -> tuple[list[Step], Ints]:
    """The steps of chance over cost, and after how many of them (N,) it is cheapest to quote."""
    count = len(weights)
    whole = weights.sum(axis=1)
    best, cut = whole * model.refer[states], np.zeros(count, dtype=np.int64)
    jobs = _Jobs(np.arange(count), np.ones_like(weights), states, measured, ~tried, np.zeros(count))
    cost_from = model.repair_from[0]
    steps: list[Step] = []
    mass = whole
    for number in range(1, LONGEST + 1):
        jobs = jobs.only(mass > LEFT * whole[jobs.row])
        if not len(jobs.row) or not len(model.fixes):
            break
        left = jobs.reach * weights[jobs.row]
        mass = left.sum(axis=1)
        cured = left @ model.class_fixes.T
        cost = cost_from[jobs.here]
        if model.wants is not None:
            cost = cost + missing_minutes(model, model.wants.for_repair, jobs.told, jobs.here)
        gain = cured * (model.refer[jobs.here][:, None] - model.repair_from[2][jobs.here]) - mass[:, None] * cost
        usable = jobs.open & np.isfinite(cost) & (gain > 0)
        score = np.where(usable, cured / np.maximum(cost, 1e-9), -1.0)
        pick = score.argmax(axis=1)
        going = score[np.arange(len(pick)), pick] >= 0
        if not going.any():
            break
        jobs, pick = jobs.only(going), pick[going]
        steps.append(_made(model, weights, jobs, pick))
        left = jobs.reach * weights[jobs.row]
        mass = left.sum(axis=1)
        total = jobs.paid + mass * model.refer[jobs.here]
        better = total < best[jobs.row]
        best[jobs.row[better]] = total[better]
        cut[jobs.row[better]] = number
    return steps, cut


def _made(model: Model, weights: Floats, jobs: _Jobs, pick: Ints) -> Step:
    """Make the picked repairs, what they want told first; `jobs` stands after them then."""
    jobs.open = jobs.open.copy()
    adds = np.zeros((ROWS, *jobs.reach.shape))
    asks = [] if model.wants is None else _wanted(model, jobs, pick, adds)
    rows = np.arange(len(pick))
    at = jobs.here, pick
    cost, after, tail = model.repair_from[0][at], model.repair_from[1][at], model.repair_from[2][at]
    fixes = model.class_fixes[pick]
    cured, left = jobs.reach * fixes, jobs.reach * (1.0 - fixes)
    adds[MINUTES] += jobs.reach * cost[:, None] + cured * tail[:, None]
    adds[VAIN] += left * cost[:, None]
    adds[STEPS] += jobs.reach
    adds[REPAIRED] += cured
    step = Step(jobs.row, adds, pick, jobs.reach, left, after, asks)
    jobs.paid = jobs.paid + (adds[MINUTES] * weights[jobs.row]).sum(axis=1)
    jobs.reach, jobs.here = left, after
    jobs.open[rows, pick] = False
    return step


def _wanted(model: Model, jobs: _Jobs, pick: Ints, adds: Floats) -> list[tuple[Ints, Ints, Floats]]:
    """Measure what the picked repairs want told; its reading is not waited for, save where it ends the work."""
    wants = model.wants
    asks: list[tuple[Ints, Ints, Floats]] = []
    if wants is None:
        return asks
    jobs.reach, jobs.here, jobs.told = jobs.reach.copy(), jobs.here.copy(), jobs.told.copy()
    before = wants.before_repair[pick]
    way, near = model.nearest_measurement
    while True:
        ask = wants.next(before, jobs.told)
        now = np.nonzero(ask >= 0)[0]
        if not len(now):
            return asks
        tests, here, reach = ask[now], jobs.here[now], jobs.reach[now]
        asks.append((jobs.row[now], tests, reach))
        own = reach * (way[here, tests] + model.minutes[tests])[:, None]
        there = near[here, tests]
        stopped = reach * (1.0 - model.class_goes_on[tests])
        adds[MINUTES, now] += own + stopped * model.refer[there][:, None]
        adds[LOOKING, now] += own
        adds[STEPS, now] += reach
        adds[STOPPED, now] += stopped
        jobs.reach[now], jobs.here[now] = reach - stopped, there
        jobs.told[now] = model.told_after(jobs.told[now], tests)
