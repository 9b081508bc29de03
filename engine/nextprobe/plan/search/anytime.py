"""Best-first search over what was told and tried, with both ends of the cost at every place.

A place is the outcomes told and the repairs tried, in whatever order, so permuted orders meet; it holds U and
L for every bench state at once. From the root the step with the least L is followed to the outcome with the
widest U - L, the leaf there is opened, and both ends are backed up along the way (AO*: Nilsson 1980; with both
ends, as in heuristic search value iteration: Smith & Simmons 2004). U of a leaf is the best order of repairs
from it, so U at the root is the exact cost of a policy. L of a leaf is the entropic bound.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from time import monotonic

import numpy as np

from nextprobe.errors import ModelError
from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.bounds.entropic import EntropicBound
from nextprobe.plan.grown import Node
from nextprobe.plan.order import best_orders
from nextprobe.plan.policy import Action

#: Bytes that all places together may take by their sizes.
MEMORY = 500_000_000
#: Walks down that changed nothing, after which the search ends.
IDLE = 200
#: Minutes below which two ends count as one.
CLOSED = 1e-9


@dataclass(frozen=True)
class SearchResult:
    """upper: minutes of the policy in `root`; lower: what no policy goes below; optimal, within_gap or stopped."""

    upper: float
    lower: float
    status: str
    root: Node
    expansions: int


@dataclass
class _Step:
    action: Action
    fixed: Floats  # (S,) its own minutes when made in each state, infinite where that does not serve
    children: list[tuple[int, _Place]]
    after: Ints  # (S,) the state that follows


@dataclass
class _Place:
    weights: Floats
    measured: Bools
    tried: Bools
    key: tuple[int, ...]
    upper: Floats
    lower: Floats
    first: Ints
    steps: list[_Step] | None = None
    low: Floats = field(default_factory=lambda: np.zeros((0, 0)))  # (steps, S) L once there
    high: Floats = field(default_factory=lambda: np.zeros((0, 0)))


def search(
    model: Model,
    base: tuple[float, Node] | None = None,
    *,
    seconds: float | None = None,
    expansions: int | None = None,
    gap: float = 0.01,
    cancel: Callable[[], bool] | None = None,
) -> SearchResult:
    """Search from the model's start; never worse than `base`, a policy and its exact minutes.

    A model without repairs and quoting (`identify`) has no such search: ModelError. Ends when U - L is at most
    `gap` of L, after `seconds`, after so many `expansions`, when `cancel` says so, or when the memory is used.
    """
    if model.identify:
        raise ModelError("The search needs an ending.", "Give the model repairs or the minutes of quoting.")
    tree = _Search(model)
    end = None if seconds is None else monotonic() + seconds
    opened, idle = 0, 0
    while not tree.within(gap) and (expansions is None or opened < expansions):
        if (end is not None and monotonic() >= end) or (cancel is not None and cancel()):
            break
        grew = tree.walk()
        opened += grew
        idle = 0 if grew else idle + 1
        if idle > IDLE or len(tree.places) > tree.most:
            break
    upper, lower = tree.ends()
    root = tree.node(tree.root, model.start)
    if base is not None and base[0] < upper:
        upper, root = base
    lower = min(lower, upper)
    near = "within_gap" if upper - lower <= gap * lower else "stopped"
    return SearchResult(upper, lower, "optimal" if upper - lower <= 1e-9 * upper else near, root, opened)


class _Search:
    def __init__(self, model: Model) -> None:
        self.model = model
        self.bound = EntropicBound(model)
        self.places: dict[tuple[int, ...], _Place] = {}
        self.most = MEMORY // (8 * (len(model.prior) + 5 * len(model.ways)) + 2000)
        key = (-1,) * len(model.minutes) + (0,) * len(model.fixes)
        nothing = np.zeros(len(model.minutes), dtype=bool), np.zeros(len(model.fixes), dtype=bool)
        self.root = self._evaluate([(key, model.prior, *nothing)])[0]

    def ends(self) -> tuple[float, float]:
        return float(self.root.upper[self.model.start]), float(self.root.lower[self.model.start])

    def within(self, gap: float) -> bool:
        upper, lower = self.ends()
        return upper - lower <= max(gap * lower, 1e-10 * upper)

    def walk(self) -> int:
        """Go down once, open the leaf, back up. The number of leaves opened."""
        path: list[tuple[_Place, int]] = []
        place, state, opened = self.root, self.model.start, 0
        while True:
            if place.steps is None:
                self._open(place)
                self._back_up(place)
                opened = 1
                break
            mass = place.weights.sum()
            total = place.low + mass * self.model.ways[state][None, :]
            if not total.size:
                break
            pick, there = divmod(int(total.argmin()), total.shape[1])
            path.append((place, pick))
            step = place.steps[pick]
            after = int(step.after[there])
            wide = [float(child.upper[after] - child.lower[after]) for _, child in step.children]
            if not wide or max(wide) <= CLOSED * mass:
                break
            place, state = step.children[int(np.argmax(wide))][1], after
        for above, pick in reversed(path):
            self._refresh(above, pick)
            self._back_up(above)
        return opened

    def _refresh(self, place: _Place, pick: int) -> None:
        step = (place.steps or [])[pick]
        place.low[pick] = step.fixed + sum((c.lower[step.after] for _, c in step.children), np.zeros(len(step.fixed)))
        place.high[pick] = step.fixed + sum((c.upper[step.after] for _, c in step.children), np.zeros(len(step.fixed)))

    def _back_up(self, place: _Place) -> None:
        if not place.steps:
            np.maximum(place.lower, np.minimum(place.upper, place.weights.sum() * self.model.refer), out=place.lower)
            return
        ways = place.weights.sum() * self.model.ways
        low = (ways + place.low.min(axis=0)[None, :]).min(axis=1)
        high = (ways + place.high.min(axis=0)[None, :]).min(axis=1)
        quote = place.weights.sum() * self.model.refer
        np.minimum(place.upper, high, out=place.upper)
        np.maximum(place.lower, np.minimum(low, quote), out=place.lower)
        np.minimum(place.lower, place.upper, out=place.lower)

    def _open(self, place: _Place) -> None:
        model, asked, drafts = self.model, [], []
        mass = float(place.weights.sum())
        same = np.arange(len(model.ways))
        for test in np.nonzero(~place.measured)[0].tolist():
            fixed = np.where(model.at_measurement[test], mass * model.minutes[test], np.inf)
            told = place.measured.copy()
            told[test] = True
            keys = []
            for outcome in range(model.likelihoods[test].shape[1]):
                weights = place.weights * model.likelihoods[test][:, outcome]
                if model.stops[test][outcome]:
                    fixed = fixed + weights.sum() * model.refer
                elif weights.sum() > 0:
                    key = (*place.key[:test], outcome, *place.key[test + 1 :])
                    keys.append((outcome, key))
                    drafts.append((key, weights, told, place.tried))
            asked.append((Action("measure", test), fixed, keys, same))
        for repair in np.nonzero(~place.tried)[0].tolist():
            cured = float(place.weights @ model.fixes[repair])
            if cured <= 0:
                continue
            after = model.proof_state[repair]
            own = mass * (model.repair_minutes[repair] + model.proof[repair]) + cured * model.tail[repair, after]
            gone = place.tried.copy()
            gone[repair] = True
            at = len(model.minutes) + repair
            weights = place.weights * (1.0 - model.fixes[repair])
            keys = []
            if weights.sum() > 0:
                keys.append((-1, (*place.key[:at], 1, *place.key[at + 1 :])))
                drafts.append((keys[0][1], weights, place.measured, gone))
            asked.append((Action("repair", repair), np.where(model.at_repair[repair], own, np.inf), keys, after))
        self._evaluate([draft for draft in drafts if draft[0] not in self.places])
        place.steps = [
            _Step(action, fixed, [(outcome, self.places[key]) for outcome, key in keys], after)
            for action, fixed, keys, after in asked
        ]
        place.low = np.zeros((len(place.steps), len(model.ways)))
        place.high = np.zeros_like(place.low)
        for pick in range(len(place.steps)):
            self._refresh(place, pick)

    def _evaluate(self, drafts: list[tuple[tuple[int, ...], Floats, Bools, Bools]]) -> list[_Place]:
        if not drafts:
            return []
        states = len(self.model.ways)
        weights = np.array([draft[1] for draft in drafts])
        measured, tried = np.array([draft[2] for draft in drafts]), np.array([draft[3] for draft in drafts])
        here = np.tile(np.arange(states), len(drafts))
        orders = best_orders(self.model, np.repeat(weights, states, axis=0), here, np.repeat(tried, states, axis=0))
        upper = orders.minutes.reshape(-1, states)
        lower = np.minimum(self.bound.lower(weights, measured, tried), upper)
        first = orders.first.reshape(-1, states)
        made = []
        for row, (key, weight, told, gone) in enumerate(drafts):
            self.places[key] = _Place(weight, told, gone, key, upper[row].copy(), lower[row].copy(), first[row])
            made.append(self.places[key])
        return made

    def node(self, place: _Place, state: int) -> Node:
        """The policy with the least U from here; where it ends, the best order of repairs."""
        first = int(place.first[state])
        minutes = float(place.upper[state])
        order = Node(Action("repair", first) if first >= 0 else Action("refer"), {}, None, minutes)
        if not place.steps:
            return order
        for pick in range(len(place.steps)):
            self._refresh(place, pick)
        total = place.high + place.weights.sum() * self.model.ways[state][None, :]
        pick, there = divmod(int(total.argmin()), total.shape[1])
        if total[pick, there] > minutes + 1e-9:
            return order
        step = place.steps[pick]
        after = int(step.after[there])
        children = {outcome: self.node(child, after) for outcome, child in step.children}
        if step.action.kind == "repair":
            return Node(step.action, {}, children.get(-1), minutes, there)
        return Node(step.action, children, None, minutes, there)
