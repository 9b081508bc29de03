"""An order of questions under several stops at once, on simulated jobs, all histories of one depth in one pass.

Which question comes next does not depend on when measuring stops, so one pass down serves every stop: at each
history each stop says whether measuring is over; the jobs there then are repaired in the best order, with the
same luck for all.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints, sum_by
from nextprobe.model.model import Model
from nextprobe.plan.order import best_orders
from nextprobe.plan.played import cured_by, outcomes_of
from nextprobe.plan.scores import OUT_OF_REACH
from nextprobe.plan.simulate import Jobs

#: Stop as soon as one class of hypotheses with the same repairs holds this share of the belief.
CONFIDENCES = (0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99)
#: Stop where the next question and the best order after it are not cheaper than the best order now (Bellman 1957).
BELLMAN = "while that is cheaper than repairing in the best order now"
STOPS = (*(f"until one class of repairs is {confidence:.0%} sure" for confidence in CONFIDENCES), BELLMAN)


class Question(Protocol):
    """Which measurement is next, whatever the stop."""

    def ask(self, model: Model, weights: Floats, state: Ints, open_: Bools) -> Ints:
        """(N,) the next of the `open_` (N, T) for beliefs (N, H) in bench states (N,); -1 where there is none."""


@dataclass(frozen=True)
class Histories:
    """Distinct pasts of one depth: weights (N, H), state (N,), measured (N, T); `jobs` and the row of each."""

    weights: Floats
    state: Ints
    measured: Bools
    jobs: Ints
    row: Ints
    #: (stops, N) whether measuring still goes on under each stop.
    going: Bools


@dataclass(frozen=True)
class Minutes:
    """Minutes of each job (stops, n) under each stop, and the stops' names."""

    minutes: Floats
    stops: tuple[str, ...] = STOPS


def under_stops(model: Model, question: Question, jobs: Jobs, cancel: Callable[[], bool]) -> Minutes | None:
    """The minutes of all `jobs` under every stop; None where it was cancelled."""
    count = len(jobs.hypotheses)
    spent = np.zeros(count)
    result = Minutes(np.zeros((len(CONFIDENCES) + 1, count)))
    now = Histories(
        model.prior[None, :], np.array([model.start]), np.zeros((1, len(model.likelihoods)), dtype=bool),
        np.arange(count), np.zeros(count, dtype=np.int64), np.ones((len(CONFIDENCES) + 1, 1), dtype=bool),
    )  # fmt: skip
    cumulated: dict[int, Floats] = {}
    while len(now.jobs):
        if cancel():
            return None
        pick = question.ask(model, now.weights, now.state, _open(model, now.state, now.measured))
        over = _over(model, now, pick)
        stops_here = now.going & over
        _repair_where(model, now, stops_here, jobs, spent, result)
        going = now.going & ~over
        now = _told(model, now, pick, going, jobs, spent, result, cumulated)
    return result


def _open(model: Model, state: Ints, measured: Bools) -> Bools:
    return np.asarray(model.askable(measured) & (model.nearest_measurement[0][state] < OUT_OF_REACH))


def _over(model: Model, now: Histories, pick: Ints) -> Bools:
    """(stops, N) where each stop ends the measuring."""
    classes = now.weights @ model.fold
    held = classes.max(axis=1) / np.maximum(classes.sum(axis=1), 1e-300)
    over = np.vstack([held[None, :] >= np.array(CONFIDENCES)[:, None], np.zeros((1, len(held)), dtype=bool)])
    rows = np.nonzero(now.going[-1] & (pick >= 0))[0]
    over[-1, rows] = _not_cheaper(model, now, rows, pick[rows])
    return np.asarray(over | (pick < 0)[None, :])


def _not_cheaper(model: Model, now: Histories, rows: Ints, test: Ints) -> Bools:
    """(n,) whether the question (n,) and the best order after it cost no less than the best order now, on `rows`."""
    weights, state, measured = now.weights[rows], now.state[rows], now.measured[rows]
    untried = np.zeros((len(rows), len(model.fixes)), dtype=bool)
    stop = best_orders(model, weights, state, ~model.repairable(measured, untried)).minutes
    way, near = model.nearest_measurement
    at = near[state, test]
    value = weights.sum(axis=1) * (way[state, test] + model.minutes[test])
    sizes = model.first_row[test + 1] - model.first_row[test]
    owner = np.repeat(np.arange(len(test)), sizes)
    if len(owner):
        line = np.concatenate([np.arange(model.first_row[t], model.first_row[t + 1]) for t in test.tolist()])
        after = weights[owner] * model.stacked[0][line]
        closed = ~model.repairable(model.told_after(measured, test), untried)
        minutes = best_orders(model, after, at[owner], closed[owner]).minutes
        ended = np.concatenate(model.stops)[line]
        minutes = np.where(ended, after.sum(axis=1) * model.refer[at[owner]], minutes)
        value = value + sum_by(owner, minutes, len(test))
    return np.asarray(value >= stop - 1e-9)


def _repair_where(model: Model, now: Histories, stops: Bools, jobs: Jobs, spent: Floats, result: Minutes) -> None:
    """Repair the jobs of the histories where some stop ends, and note the minutes under these stops."""
    rows: Bools = np.asarray(stops.any(axis=0))
    here = rows[now.row]
    if not here.any():
        return
    place = np.cumsum(rows) - 1
    numbers, row = now.jobs[here], now.row[here]
    beliefs = now.weights[rows], now.state[rows], now.measured[rows]
    minutes = spent[numbers] + repaired(model, *beliefs, jobs, numbers, place[row])
    for stop in range(len(stops)):
        ended = stops[stop][row]
        result.minutes[stop, numbers[ended]] = minutes[ended]


def repaired(
    model: Model, weights: Floats, state: Ints, measured: Bools, jobs: Jobs, numbers: Ints, row: Ints
) -> Floats:
    """The minutes (n,) of repairing the jobs `numbers` in the best order from the belief of their `row`."""
    left, here, hidden = weights.copy(), state.copy(), jobs.hypotheses.copy()
    tried = np.zeros((len(left), len(model.fixes)), dtype=bool)
    minutes = np.zeros(len(numbers))
    going = np.arange(len(numbers))
    way, near = model.nearest_repair
    while len(going):
        first = best_orders(model, left, here, ~model.repairable(measured, tried)).first
        quoted: Bools = first[row[going]] < 0
        minutes[going[quoted]] += model.refer[here[row[going[quoted]]]]
        going = going[~quoted]
        rows = np.nonzero(first >= 0)[0]
        pick = first[rows]
        at = near[here[rows], pick]
        after = model.proof_state[pick, at]
        own, tail = np.zeros(len(left)), np.zeros(len(left))
        own[rows] = way[here[rows], pick] + model.repair_minutes[pick] + model.proof[pick, at]
        tail[rows] = model.tail[pick, after]
        minutes[going] += own[row[going]]
        gone = np.zeros(len(going), dtype=bool)
        for repair in np.unique(first[row[going]]).tolist():
            these = np.nonzero(first[row[going]] == repair)[0]
            gone[these] = cured_by(model, jobs, hidden, numbers[going[these]], repair)
        minutes[going[gone]] += tail[row[going[gone]]]
        going = going[~gone]
        left[rows] = model.after_failure(left[rows], pick)
        tried[rows, pick], here[rows] = True, after
    return minutes


def _told(
    model: Model, now: Histories, pick: Ints, going: Bools, jobs: Jobs, spent: Floats, result: Minutes,
    cumulated: dict[int, Floats],
) -> Histories:  # fmt: skip
    """The histories after the question of each row on which some stop goes on."""
    asked: Bools = np.asarray(going.any(axis=0))
    here = asked[now.row]
    numbers, row = now.jobs[here], now.row[here]
    way, near = model.nearest_measurement
    cost = way[now.state, pick] + model.minutes[pick]
    at = near[now.state, pick]
    spent[numbers] += cost[row]
    outcome = np.zeros(len(numbers), dtype=np.int64)
    ended = np.zeros(len(numbers), dtype=bool)
    for test in np.unique(pick[row]).tolist():
        these = np.nonzero(pick[row] == test)[0]
        outcome[these] = outcomes_of(model, jobs, jobs.hypotheses, numbers[these], test, cumulated)
        ended[these] = model.stops[test][outcome[these]]
    for stop in range(len(going)):
        under = ended & going[stop][row]
        result.minutes[stop, numbers[under]] = spent[numbers[under]] + model.refer[at[row[under]]]
    numbers, row, outcome = numbers[~ended], row[~ended], outcome[~ended]
    most = int(outcome.max(initial=0)) + 1
    past, new_row = np.unique(row * most + outcome, return_inverse=True)
    parent, told = past // most, past % most
    weights = now.weights[parent] * model.stacked[0][model.first_row[pick[parent]] + told]
    weights /= np.maximum(weights.sum(axis=1, keepdims=True), 1e-300)
    measured = model.told_after(now.measured[parent], pick[parent])
    return Histories(weights, at[parent], measured, numbers, new_row.ravel(), going[:, parent])
