"""Small models solved to the end: dynamic programming over everything that can have been told and tried.

The unnormalised weights of a belief depend only on the outcome of each measurement told and on the repairs
that failed, in whatever order, and the value of a policy is homogeneous in them. So V is one array over
(outcomes told, repairs tried, bench state), filled from the end: with every further measurement or repair
done, then without. No belief is ever compared with another. (Smallwood & Sondik 1973 for the homogeneity of the
value in unnormalised beliefs; Bellman 1957.) What must be told first and what a reading closes only takes steps and
combinations away. Where a failed repair changes the hypothesis (two faults) order matters: see exact_still.py.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations
from math import log2, perm

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.exact_still import solve_still
from nextprobe.plan.grown import Node
from nextprobe.plan.policy import Action

#: A model with more entries than this is not solved to the end.
MOST_ENTRIES = 4_000_000
#: Weights that it may keep: of every hypothesis after all that can have been told.
MOST_WEIGHTS = 20_000_000
#: With two faults most ways meet, and there is one belief where this counts many.
MOST_WITH_ORDER = 40_000_000
#: Codes of the best step: quoting (or, in identification, stopping), then measurements, then repairs.
END = 0


def entries(model: Model) -> float:
    """The size of the table: outcomes told x repairs tried x bench states; with two faults also between which repairs.

    Between repairs that change the hypothesis in k + 1 spells a reading has k + 1 places, and they have an order.
    """
    outcomes = [table.shape[1] for table in model.likelihoods]
    moving = 0 if model.still is None else sum(len(moves.source) > 0 for moves in model.still.moves)
    total = 0.0
    for spells in range(moving + 1):
        logs = sum(log2(1 + number * (spells + 1)) for number in outcomes) + log2(perm(moving, spells))
        total += 2.0 ** min(1000.0, logs + len(model.fixes) - moving + log2(len(model.ways)))
    return total


def can_solve(model: Model) -> bool:
    """Whether the model is small enough, and of a kind that has an end."""
    if model.identify and model.sorting is None:
        return False
    if model.still is not None:
        return entries(model) <= MOST_WITH_ORDER
    told = sum(log2(1 + table.shape[1]) for table in model.likelihoods)
    return entries(model) <= MOST_ENTRIES and told + log2(len(model.prior)) <= log2(MOST_WEIGHTS)


@dataclass(frozen=True)
class Solved:
    """The optimum in minutes and an optimal policy."""

    minutes: float
    root: Node


def solve(model: Model, cancel: Callable[[], bool] | None = None) -> Solved | None:
    """The optimum, or None where it was cancelled. The model must pass `can_solve`."""
    if model.still is not None:
        solved = solve_still(model, cancel)
        return None if solved is None else Solved(*solved)
    table = _Table(model)
    for told in table.sets_from_the_end():
        if cancel is not None and cancel():
            return None
        table.fill(told)
    return Solved(float(table.value[0, 0, model.start]), table.node(0, 0, model.start))


class _Table:
    def __init__(self, model: Model) -> None:
        self.model = model
        sizes = [likelihood.shape[1] for likelihood in model.likelihoods]
        # A place value for each measurement: digit 0 is untold, digit o + 1 is outcome o.
        self.stride = np.cumprod([1, *[size + 1 for size in sizes]])[:-1].astype(np.int64)
        self.sizes = sizes
        count = int(np.prod([size + 1 for size in sizes])) if sizes else 1
        tried = 2 ** len(model.fixes)
        self.weights = self._weights(count)  # (told, H)
        self.left = self._left(tried)  # (tried, H)
        self.mass = self.left @ self.weights.T  # (tried, told)
        self.value = np.zeros((count, tried, len(model.ways)))
        self.best = np.zeros((count, tried, len(model.ways)), dtype=np.int32)
        self.where = np.zeros((count, tried, len(model.ways)), dtype=np.int32)
        self._levels = self._by_number(len(model.fixes))

    def _weights(self, count: int) -> Floats:
        weights = np.ones((count, len(self.model.prior))) * self.model.prior
        digits = np.arange(count)
        for test, size in enumerate(self.sizes):
            digit = digits // self.stride[test] % (size + 1)
            told = digit > 0
            weights[told] *= self.model.likelihoods[test].T[digit[told] - 1]
        return weights

    def _left(self, tried: int) -> Floats:
        left = np.ones((tried, len(self.model.prior)))
        for repair, fixes in enumerate(self.model.fixes):
            left[(np.arange(tried) >> repair & 1) == 1] *= 1.0 - fixes
        return left

    @staticmethod
    def _by_number(repairs: int) -> list[Ints]:
        """Sets of repairs tried, most repairs first."""
        sets = np.arange(2**repairs)
        number = np.array([bin(one).count("1") for one in sets])
        return [sets[number == n] for n in range(repairs, -1, -1)]

    def sets_from_the_end(self) -> list[tuple[int, ...]]:
        """Sets of measurements that can have been told, most first."""
        tests = range(len(self.sizes))
        if self.model.plain:
            return [one for n in range(len(self.sizes), -1, -1) for one in combinations(tests, n)]
        level: set[tuple[int, ...]] = {()}
        levels = [level]
        while level:
            level = {tuple(sorted((*told, test))) for told in level for test in self._askable(told)}
            levels.append(level)
        return [told for level in reversed(levels) for told in sorted(level)]

    def _measured(self, told: tuple[int, ...]) -> Bools:
        """(1, T) what is told or closed."""
        measured = np.zeros((1, len(self.sizes)), dtype=bool)
        for test in told:
            measured = self.model.told_after(measured, np.array([test]))
        return measured

    def _askable(self, told: tuple[int, ...]) -> list[int]:
        return list(np.nonzero(self.model.askable(self._measured(told))[0])[0].tolist())

    def fill(self, told: tuple[int, ...]) -> None:
        """The values of every combination of outcomes of exactly these measurements."""
        model = self.model
        places = np.zeros(1, dtype=np.int64)
        for test in told:
            digit = (np.arange(self.sizes[test]) + 1) * self.stride[test]
            places = (places[:, None] + digit[None, :]).ravel()
        mass = self.mass[:, places]  # (tried, n)
        measured = self._measured(told)
        value, best, where = self._end(places, mass, ~measured[0])
        for test in np.nonzero(model.askable(measured)[0])[0].tolist():
            there = mass[:, :, None] * model.minutes[test] + self._after(test, places)
            self._offer(value, best, where, mass, there, model.at_measurement[test], 1 + test)
        none = np.zeros((1, len(model.fixes)), dtype=bool)
        repairs = np.nonzero(model.repairable(measured, none)[0])[0].tolist()
        for tried in self._levels:
            for repair in repairs:
                self._repair(repair, tried, places, value, best, where, mass)
            self.value[places[:, None], tried[None, :]] = value[tried].transpose(1, 0, 2)
        self.best[places] = best.transpose(1, 0, 2)
        self.where[places] = where.transpose(1, 0, 2)

    def _end(self, places: Ints, mass: Floats, open_: Bools) -> tuple[Floats, Ints, Ints]:
        """Quoting now; in identification: stopping, where one group is left or nothing more can be told."""
        states = len(self.model.ways)
        best = np.zeros((*mass.shape, states), dtype=np.int64)
        where = np.broadcast_to(np.arange(states), best.shape).copy()
        if not self.model.identify:
            return mass[:, :, None] * self.model.refer, best, where
        alone = self._one_group(places, open_)
        return np.where(alone[None, :, None], 0.0, np.full(best.shape, np.inf)), best, where

    def _one_group(self, places: Ints, open_: Bools) -> Bools:
        """(n,) whether no measurement that is still open (T,) tells what is left apart."""
        sorting = self.model.sorting
        if sorting is None:
            return np.ones(len(places), dtype=bool)
        if not open_.any():
            return np.ones(len(places), dtype=bool)
        _, group = np.unique(sorting[open_], axis=1, return_inverse=True)
        held = self.weights[places] > 0
        labels = np.where(held, group.ravel()[None, :], -1)
        lowest = np.where(held, group.ravel()[None, :], len(self.model.prior)).min(axis=1)
        return np.asarray(labels.max(axis=1) <= lowest)

    def _after(self, test: int, places: Ints) -> Floats:
        """(tried, n, S) what comes after each outcome, summed."""
        total = np.zeros((self.value.shape[1], len(places), self.value.shape[2]))
        for outcome in range(self.sizes[test]):
            child = places + (outcome + 1) * self.stride[test]
            if self.model.stops[test][outcome]:
                total += self.mass[:, child][:, :, None] * self.model.refer
            else:
                total += self.value[child].transpose(1, 0, 2)
        return total

    def _offer(
        self, value: Floats, best: Ints, where: Ints, mass: Floats, there: Floats, serves: Bools, code: int
    ) -> None:
        """Take a step where it is cheaper: `there` (…, S) is its cost once the bench is in each state."""
        for state in np.nonzero(serves)[0].tolist():
            ways = self.model.ways[:, state]
            cost = mass[..., None] * np.where(np.isfinite(ways), ways, 1e12) + there[..., state, None]
            better = cost < value - 1e-12
            np.copyto(value, cost, where=better)
            np.copyto(best, code, where=better)
            np.copyto(where, state, where=better)

    def _repair(
        self, repair: int, tried: Ints, places: Ints, value: Floats, best: Ints, where: Ints, mass: Floats
    ) -> None:
        model = self.model
        open_ = tried[(tried >> repair & 1) == 0]
        if not len(open_):
            return
        cured = (self.left[open_] * model.fixes[repair]) @ self.weights[places].T
        end = model.proof_state[repair]
        failed = self.value[places[:, None], (open_ | 1 << repair)[None, :]].transpose(1, 0, 2)
        own = model.repair_minutes[repair] + model.proof[repair]
        there = mass[open_][:, :, None] * own + cured[:, :, None] * model.tail[repair, end] + failed[:, :, end]
        part = value[open_], best[open_], where[open_]
        self._offer(*part, mass[open_], there, model.at_repair[repair], 1 + len(self.sizes) + repair)
        value[open_], best[open_], where[open_] = part

    def node(self, told: int, tried: int, state: int) -> Node:
        """The optimal policy from one entry of the table."""
        code, there = int(self.best[told, tried, state]), int(self.where[told, tried, state])
        minutes = float(self.value[told, tried, state])
        if code == END:
            return Node(Action("found" if self.model.identify else "refer"), {}, None, minutes, there)
        test = code - 1
        if test < len(self.sizes):
            children = {
                outcome: self.node(told + (outcome + 1) * int(self.stride[test]), tried, there)
                for outcome in range(self.sizes[test])
                if self.mass[tried, told + (outcome + 1) * self.stride[test]] > 0
                and not self.model.stops[test][outcome]
            }
            return Node(Action("measure", test), children, None, minutes, there)
        repair = test - len(self.sizes)
        after = int(self.model.proof_state[repair, there])
        return Node(Action("repair", repair), {}, self.node(told, tried | 1 << repair, after), minutes, there)
