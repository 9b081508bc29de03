"""Small models whose failed repairs change the hypothesis, solved to the end: beliefs level by level.

With two faults what is left after a repair depends on what had been told before it, so the weights are no function
of the outcomes and repairs alone (see exact.py). But readings between two repairs still come in any order, and most
ways meet: the beliefs that can be reached are kept by what was told and tried, each once, and their values filled
in from the end. (Reachable beliefs, as in Washburn's and Sondik's enumeration: Sondik 1971; Bellman 1957.)
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.grown import Node
from nextprobe.plan.policy import Action

#: Beliefs are the same where their shares agree to so many digits.
DIGITS = 11
#: Beliefs in all times hypotheses, above which this gives up.
MOST_NUMBERS = 12_000_000
Key = tuple[int, int]


@dataclass
class _Step:
    """One step from all beliefs of a group: the rows each outcome leads on from, their place in the child, and mass."""

    action: Action
    branches: list[_Branch] = field(default_factory=list)
    ended: Floats = field(default_factory=lambda: np.zeros(0))  # (n,) cured, or stopped for safety


@dataclass
class _Branch:
    outcome: int
    child: Key
    rows: Ints
    mass: Floats
    place: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.int64))


@dataclass
class _Group:
    """Beliefs (n, H), each summing to 1, after the same measurements were told and repairs tried."""

    told: Bools
    tried: Bools
    measured: Bools
    waiting: list[tuple[_Branch, Floats]] = field(default_factory=list)
    beliefs: Floats = field(default_factory=lambda: np.zeros((0, 0)))
    steps: list[_Step] = field(default_factory=list)
    value: Floats = field(default_factory=lambda: np.zeros((0, 0)))
    best: Ints = field(default_factory=lambda: np.zeros((0, 0), dtype=np.int64))
    where: Ints = field(default_factory=lambda: np.zeros((0, 0), dtype=np.int64))


def solve_still(model: Model, cancel: Callable[[], bool] | None = None) -> tuple[float, Node] | None:
    """The optimum in minutes and an optimal policy; None where it was cancelled or there are too many beliefs."""
    found = _Beliefs(model)
    if not found.reach(cancel):
        return None
    for group in reversed(list(found.groups.values())):
        if cancel is not None and cancel():
            return None
        found.fill(group)
    return float(found.root.value[0, model.start]), found.node(found.root, 0, model.start, 1.0)


class _Beliefs:
    def __init__(self, model: Model) -> None:
        self.model = model
        nothing = np.zeros(len(model.likelihoods), dtype=bool), np.zeros(len(model.fixes), dtype=bool)
        self.root = _Group(nothing[0], nothing[1], nothing[0], beliefs=model.prior[None, :])
        self.groups: dict[Key, _Group] = {(0, 0): self.root}  # in the order in which they are first reached

    def reach(self, cancel: Callable[[], bool] | None) -> bool:
        """Find every belief that can be reached. Whether there were few enough of them, and time."""
        level, count = [self.root], 0
        while level:
            following: dict[Key, _Group] = {}
            for group in level:
                self._meet(group)
                count += group.beliefs.size
                if count > MOST_NUMBERS or (cancel is not None and cancel()):
                    return False
                self._steps(group, following)
            self.groups.update(following)
            level = list(following.values())
        return True

    def _meet(self, group: _Group) -> None:
        """Each belief once, and its place for every branch that leads to it."""
        if not group.waiting:
            return
        rows = np.concatenate([weights for _, weights in group.waiting])
        _, first, place = np.unique(np.round(rows, DIGITS), axis=0, return_index=True, return_inverse=True)
        group.beliefs = rows[first]
        ends = np.cumsum([len(weights) for _, weights in group.waiting])[:-1]
        for (branch, _), part in zip(group.waiting, np.split(place.ravel(), ends), strict=True):
            branch.place = part
        group.waiting = []

    def _steps(self, group: _Group, following: dict[Key, _Group]) -> None:
        model = self.model
        for test in np.nonzero(model.askable(group.measured[None, :])[0])[0].tolist():
            step = _Step(Action("measure", test), ended=np.zeros(len(group.beliefs)))
            told = group.told.copy()
            told[test] = True
            measured = model.told_after(group.measured[None, :], np.array([test]))[0]
            for outcome in range(model.likelihoods[test].shape[1]):
                weights = group.beliefs * model.likelihoods[test][:, outcome]
                if model.stops[test][outcome]:
                    step.ended += weights.sum(axis=1)
                else:
                    self._branch(step, outcome, weights, following, (told, group.tried, measured))
            group.steps.append(step)
        for repair in np.nonzero(model.repairable(group.measured[None, :], group.tried[None, :])[0])[0].tolist():
            weights = model.after_failure(group.beliefs, repair)
            step = _Step(Action("repair", repair), ended=np.maximum(1.0 - weights.sum(axis=1), 0.0))
            tried = group.tried.copy()
            tried[repair] = True
            self._branch(step, -1, weights, following, (group.told, tried, group.measured))
            group.steps.append(step)

    @staticmethod
    def _branch(
        step: _Step, outcome: int, weights: Floats, following: dict[Key, _Group], known: tuple[Bools, Bools, Bools]
    ) -> None:
        mass = weights.sum(axis=1)
        rows = np.nonzero(mass > 0)[0]
        if not len(rows):
            return
        key = _bits(known[0]), _bits(known[1])
        child = following.setdefault(key, _Group(*known))
        branch = _Branch(outcome, key, rows, mass[rows])
        step.branches.append(branch)
        child.waiting.append((branch, weights[rows] / mass[rows, None]))

    def fill(self, group: _Group) -> None:
        """The value of each belief of a group in each bench state, and the step that has it."""
        model, count, states = self.model, len(group.beliefs), len(self.model.ways)
        group.value = np.tile(model.refer, (count, 1))
        group.best = np.full((count, states), -1)
        group.where = np.tile(np.arange(states), (count, 1))
        for number, step in enumerate(group.steps):
            index = step.action.index
            after = np.zeros((count, states))
            for branch in step.branches:
                after[branch.rows] += branch.mass[:, None] * self.groups[branch.child].value[branch.place]
            if step.action.kind == "measure":
                serves = model.at_measurement[index]
                there = model.minutes[index] + after + step.ended[:, None] * model.refer
            else:
                serves, end = model.at_repair[index], model.proof_state[index]
                own = model.repair_minutes[index] + model.proof[index]
                there = own + after[:, end] + step.ended[:, None] * model.tail[index, end]
            at = np.nonzero(serves)[0]
            cost = model.ways[None, :, at] + there[:, None, at]
            pick = cost.argmin(axis=2)
            cheapest = np.take_along_axis(cost, pick[:, :, None], axis=2)[:, :, 0]
            better = cheapest < group.value - 1e-12
            np.copyto(group.value, cheapest, where=better)
            np.copyto(group.best, number, where=better)
            np.copyto(group.where, at[pick], where=better)

    def node(self, group: _Group, row: int, state: int, mass: float) -> Node:
        """The optimal policy from one belief, reached with chance `mass`."""
        code, there = int(group.best[row, state]), int(group.where[row, state])
        minutes = mass * float(group.value[row, state])
        if code < 0:
            return Node(Action("refer"), {}, None, minutes, there)
        step = group.steps[code]
        measuring = step.action.kind == "measure"
        after = there if measuring else int(self.model.proof_state[step.action.index, there])
        following: dict[int, Node] = {}
        for branch in step.branches:
            at = int(np.searchsorted(branch.rows, row))
            if at < len(branch.rows) and branch.rows[at] == row:
                child, share = self.groups[branch.child], mass * float(branch.mass[at])
                following[branch.outcome] = self.node(child, int(branch.place[at]), after, share)
        if measuring:
            return Node(step.action, following, None, minutes, there)
        # A failure that cannot be has no belief after it: whatever is done then costs nothing.
        failed = following.get(-1, Node(Action("refer"), {}, None, 0.0, after))
        return Node(step.action, {}, failed, minutes, there)


def _bits(mask: Bools) -> int:
    return sum(1 << int(place) for place in np.nonzero(mask)[0])
