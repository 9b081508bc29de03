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
    """Jobs whose order still goes on, by their row in the question (n,): what is left (n, K), the state (n,), the
    minutes paid (n,), what was told (n, T), the repairs open (n, R) and what they cost beside (n, R)."""

    row: Ints
    left: Floats
    here: Ints
    paid: Floats
    told: Bools
    open: Bools
    extra: Floats
    trail: list[tuple[int, Done]] | None = field(default=None)

    def only(self, going: Bools) -> _Jobs:
        """Those that go on."""
        if going.all():
            return self
        return _Jobs(
            self.row[going],
            self.left[going],
            self.here[going],
            self.paid[going],
            self.told[going],
            self.open[going],
            self.extra[going] if self.extra.ndim == 2 else self.extra,
            self.trail,
        )


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
    mass = left.sum(axis=1)
    best = mass * model.refer[states]  # the cheapest cut of the order so far
    first, cut = np.full(count, -1), np.zeros(count, dtype=np.int64)
    if repairs == 0:
        return best, first, cut
    known = np.ones(len(model.likelihoods), dtype=bool) if measured is None else measured
    told = np.broadcast_to(known, (count, len(model.likelihoods)))
    own = np.zeros(repairs) if extra is None else extra
    open_ = np.broadcast_to(~tried, (count, repairs))  # tried may be (R,) or (N, R)
    enough = mass * LEFT
    jobs = _Jobs(np.arange(count), left, states, np.zeros(count), told, open_, own, trail)
    cost_from, after_from, tail_from = model.repair_from
    for step in range(1, LONGEST + 1):
        jobs = jobs.only(mass > enough[jobs.row])
        mass = jobs.left.sum(axis=1)
        cured = jobs.left @ model.class_fixes.T
        cost = cost_from[jobs.here] + jobs.extra
        if model.wants is not None:
            cost += missing_minutes(model, model.wants.for_repair, jobs.told, jobs.here)
        refer = model.refer[jobs.here]
        gain = cured * (refer[:, None] - tail_from[jobs.here]) - mass[:, None] * cost
        worth = cured
        if model.class_progress is not None:
            brought = jobs.left @ model.class_progress.T
            gain += brought * refer[:, None]
            worth = cured + brought
        usable = jobs.open & np.isfinite(cost) & (gain > 0)
        score = np.where(usable, worth / np.maximum(cost, 1e-9), -1.0)
        pick = score.argmax(axis=1)
        going = score[np.arange(len(pick)), pick] >= 0
        if not going.any():
            break
        jobs, pick, cost, cured = jobs.only(going), pick[going], cost[going], cured[going]
        rows = np.arange(len(pick))
        if model.wants is None:
            at = jobs.here, pick
            price, cures, after, tail = cost[rows, pick], cured[rows, pick], after_from[at], tail_from[at]
        else:
            price, cures, after, tail = _measured_first(model, jobs, pick, step)
        if trail is not None:
            there = int(model.nearest_repair[1][jobs.here[0], pick[0]])
            trail.append((step, Done("repair", int(pick[0]), there)))
        jobs.paid = jobs.paid + jobs.left.sum(axis=1) * price + cures * tail
        jobs.left = _failed(model, jobs.left, pick)
        jobs.here = after
        jobs.open = jobs.open.copy()
        jobs.open[rows, pick] = False
        if step == 1:
            first[jobs.row] = pick
        mass = jobs.left.sum(axis=1)
        total = jobs.paid + mass * model.refer[jobs.here]
        better = total < best[jobs.row]
        best[jobs.row[better]] = total[better]
        cut[jobs.row[better]] = step
    return best, np.where(cut > 0, first, -1), cut


def _failed(model: Model, left: Floats, pick: Ints) -> Floats:
    if model.still is None:
        return np.asarray(left * (1.0 - model.class_fixes[pick]))
    return model.class_after_failure(left, pick)


def _measured_first(model: Model, jobs: _Jobs, pick: Ints, step: int) -> tuple[Floats, Floats, Ints, Floats]:
    """Measure what the picked repairs want; then their minutes, what they cure, the state after and the tail."""
    wants, rows = model.wants, np.arange(len(pick))
    if wants is not None:
        before = wants.before_repair[pick]
        way, near = model.nearest_measurement
        while True:
            ask = wants.next(before, jobs.told)
            now = np.nonzero(ask >= 0)[0]
            if not len(now):
                break
            tests, here = ask[now], jobs.here[now]
            jobs.paid, jobs.here = jobs.paid.copy(), jobs.here.copy()
            jobs.left, jobs.told = jobs.left.copy(), jobs.told.copy()
            jobs.paid[now] += jobs.left[now].sum(axis=1) * (way[here, tests] + model.minutes[tests])
            jobs.here[now] = near[here, tests]
            left = jobs.left[now] * model.class_goes_on[tests]
            stopped = (jobs.left[now] - left).sum(axis=1)
            jobs.paid[now] += stopped * model.refer[jobs.here[now]]
            jobs.left[now] = left
            jobs.told[now] = model.told_after(jobs.told[now], tests)
            if jobs.trail is not None:
                jobs.trail.append((step, Done("measure", int(tests[0]), int(jobs.here[0]))))
    at = jobs.here, pick
    cost, after, tail = model.repair_from
    own = jobs.extra[rows, pick] if jobs.extra.ndim == 2 else jobs.extra[pick]
    return cost[at] + own, (jobs.left * model.class_fixes[pick]).sum(axis=1), after[at], tail[at]
