"""The fast planner: the base policy's tree under every step that may be first, and the cheapest of them.

A one-step rollout (Bertsekas & Castañón 1999): each candidate first step is priced exactly, with the base
policy of `plan/tree.py` followed after it. So the value of the step chosen is never above the base
policy's own, and the figures shown for the other candidates are what they would cost.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints, sum_by
from nextprobe.model.model import Model
from nextprobe.plan.grown import Node, first_action, node_of
from nextprobe.plan.policy import Action
from nextprobe.plan.prices import Prices
from nextprobe.plan.scores import OUT_OF_REACH, Scores
from nextprobe.plan.tree import Start, Trees, grow
from nextprobe.plan.wanting import missing_minutes

#: How many measurements and repairs are priced as the first step, besides the base policy's own.
MEASUREMENTS, REPAIRS = 8, 3
#: A model with more steps than this is wide: cut trees cannot tell its first steps apart well enough to leave the base
#: policy's own for another (simulated jobs cost more when they do), so fewer are priced, to be shown.
WIDE, SHOWN = 60, 3
#: Nodes and levels of a wide model's own tree, and of all that is shown beside it together: simulated jobs cost
#: the same with more, and a step takes twice as long.
OWN_TREE, SHOWN_TREES = (400, 9), (150, 5)
#: A branch below this share of the belief ends in the best order of repairs.
CUT = 0.01
#: The base policy's own step is left only for one that is cheaper by this share of the whole.
MARGIN = 0.05


@dataclass(frozen=True, slots=True)
class Priced:
    """A first step and the exact minutes to the end of the job if the base policy follows it."""

    action: Action
    minutes: float


@dataclass(frozen=True, slots=True)
class FastChoice:
    """The step chosen, every step priced (cheapest first), the base policy's own minutes, and the policy that follows.

    minutes: of the step chosen and that policy.
    """

    action: Action
    priced: tuple[Priced, ...]
    base: float
    minutes: float
    node: Node


def _evened(priced: list[Priced], own: Action, value: float) -> list[Priced]:
    """What each step costs more than the own one, both from small trees, on top of what the own tree says.

    A small tree is dearer than a large one, so that its figure says little beside `value`, and much beside another
    small tree's; quoting is exact. None is told to be cheaper than the step that is asked: small trees cannot say so
    (see `WIDE`).
    """
    same = next((p.minutes for p in priced if p.action == own), value)
    return [p if p.action.kind == "refer" else Priced(p.action, value + max(0.0, p.minutes - same)) for p in priced]


class FastPlanner:
    """Rollouts on one model. prices: what each step wants told first; told (T,): what had been told by then."""

    name = "fast"

    def __init__(
        self,
        model: Model,
        prices: Prices | None = None,
        told: Bools | None = None,
        cut: float = CUT,
        measurements: int = MEASUREMENTS,
        margin: float = MARGIN,
    ) -> None:
        self.model = model
        self.cut = cut
        self.measurements = measurements
        self.margin = margin
        self.wide = len(model.likelihoods) + len(model.fixes) > WIDE
        self.scores = Scores(model, prices, told)

    def choose(self, model: Model, belief: Floats, state: int, measured: Bools, tried: Bools) -> Action:
        """The next step (the protocol of every way of choosing); `model` must be the planner's own."""
        return self.price(belief, state, measured, tried).action

    def price(self, belief: Floats, state: int, measured: Bools, tried: Bools) -> FastChoice:
        """Price the candidates for the first step from `belief` (H,) in bench `state`."""
        belief = belief / belief.sum()
        root = Start(belief[None, :], np.array([state]), measured[None, :], tried[None, :])
        base = self._grow(root, OWN_TREE)
        top = base.levels[0]
        first, own = int(top.first[0]), first_action(self.model, base)
        fixes, wanted = self._repairs(belief, state, measured, tried, first)
        asks = self._asks(belief, state, measured, [int(top.ask[0]), *wanted])
        priced = self._priced(belief, state, measured, tried, asks, fixes)
        priced.append(Priced(Action("refer"), float(self.model.refer[state])))
        value = float(base.value[0])
        priced = _evened(priced, own, value) if self.wide else priced
        # Where the base policy stops, its own order is worth what it says, also where that is less.
        priced = [Priced(p.action, min(p.minutes, value) if p.action == own else p.minutes) for p in priced]
        priced.sort(key=lambda p: (p.minutes, p.action != own))
        best = priced[0]
        if self.wide or best.minutes > value * (1.0 - self.margin):
            # Cut trees flatter some steps more than others: what they differ by must be worth believing.
            best = next((p for p in priced if p.action == own), Priced(own, value))
        if best.action == own:
            return FastChoice(own, tuple(priced), value, value, node_of(self.model, base, written=False))
        node = self.policy(best.action, belief, state, measured, tried)
        return FastChoice(best.action, tuple(priced), value, best.minutes, node)

    def _grow(self, start: Start, wide: tuple[int, int]) -> Trees:
        if self.wide:
            return grow(self.model, start, self.scores, self.cut, *wide)
        return grow(self.model, start, self.scores, self.cut)

    def policy(self, action: Action, belief: Floats, state: int, measured: Bools, tried: Bools) -> Node:
        """The step `action` and the base policy after it, as priced."""
        model = self.model
        gone = tried.copy()
        if action.kind == "measure":
            told = model.told_after(measured[None, :], np.array([action.index]))[0]
            there = int(model.nearest_measurement[1][state, action.index])
            table = model.likelihoods[action.index]
            children = {
                outcome: self._follow(belief * table[:, outcome], there, told, gone)
                for outcome in range(table.shape[1])
                if not model.stops[action.index][outcome] and (belief @ table[:, outcome]) > 0
            }
            return Node(action, children)
        gone[action.index] = True
        there = int(model.nearest_repair[1][state, action.index])
        after = int(model.proof_state[action.index, there])
        left = model.after_failure(belief[None, :], action.index)[0]
        return Node(action, {}, self._follow(left, after, measured, gone))

    def _follow(self, weights: Floats, state: int, measured: Bools, tried: Bools) -> Node:
        start = Start(weights[None, :], np.array([state]), measured[None, :], tried[None, :])
        return node_of(self.model, grow(self.model, start, self.scores, self.cut))

    def _asks(self, belief: Floats, state: int, measured: Bools, own: list[int]) -> Ints:
        """The measurements worth pricing: the most bits a minute, and the most bits.

        In place of one that wants others told first it is the first of these that is priced.
        """
        bits = self.scores.information(belief[None, :])[0]
        minutes = self.model.nearest_measurement[0][state] + self.model.minutes + self.scores.prices.measure
        wants = self.model.wants
        if wants is not None:
            minutes = minutes + missing_minutes(self.model, wants.for_measure, measured[None, :], np.array([state]))
            minutes = minutes.ravel()
        open_ = ~measured & (minutes < OUT_OF_REACH) & (bits > 1e-7)
        a_minute = np.argsort(-np.where(open_, bits / (minutes + 0.5), -1.0), kind="stable")
        bitten = np.argsort(-np.where(open_, bits / np.sqrt(minutes + 5.0), -1.0), kind="stable")
        most = min(self.measurements, SHOWN) if self.wide else self.measurements
        half = most // 2
        wanted = [*a_minute[: most - half].tolist(), *bitten[:half].tolist()]
        found = [t for t in own if t >= 0 and not measured[t]] + [t for t in wanted if open_[t]]
        asks = np.array(found, dtype=np.int64)
        if wants is not None:
            first = wants.next(wants.before_measure[asks], np.repeat(measured[None, :], len(asks), axis=0))
            asks = np.where(first >= 0, first, asks)
        return np.array(list(dict.fromkeys(asks.tolist())), dtype=np.int64)

    def _repairs(self, belief: Floats, state: int, measured: Bools, tried: Bools, own: int) -> tuple[Ints, list[int]]:
        """The repairs worth pricing: the base policy's own, and the best by chance over cost.

        Of those that still want something told it is what they want: the second.
        """
        model = self.model
        if not len(model.fixes):
            return np.zeros(0, dtype=np.int64), []
        way, near = model.nearest_repair
        repairs = np.arange(len(model.fixes))
        cost = way[state] + model.repair_minutes + model.proof[repairs, near[state]]
        chance = model.fixes @ belief
        if model.class_progress is not None:
            chance = chance + model.class_progress @ (belief @ model.fold)
        open_ = ~tried & (cost < OUT_OF_REACH) & (chance > 0)
        order = np.argsort(-np.where(open_, chance / np.maximum(cost, 1e-9), -1.0), kind="stable")
        wanted = [own, *order[: 1 if self.wide else REPAIRS].tolist()]
        found = np.array([r for r in dict.fromkeys(wanted) if r >= 0 and open_[r]], dtype=np.int64)
        if model.wants is None:
            return found, []
        first = model.wants.next(model.wants.before_repair[found], np.repeat(measured[None, :], len(found), axis=0))
        return found[first < 0], first[first >= 0].tolist()

    def _priced(
        self, belief: Floats, state: int, measured: Bools, tried: Bools, asks: Ints, fixes: Ints
    ) -> list[Priced]:
        model = self.model
        rows, _ = model.stacked
        stop = np.concatenate(model.stops) if model.stops else np.zeros(0, dtype=bool)
        weights, states, told, gone, owner = [], [], [], [], []
        fixed = np.zeros(len(asks) + len(fixes))
        for place, ask in enumerate(asks.tolist()):
            way, near = model.nearest_measurement
            fixed[place] = way[state, ask] + model.minutes[ask] + self.scores.prices.measure[ask]
            there = int(near[state, ask])
            now = model.told_after(measured[None, :], np.array([ask]))[0]
            for row in range(int(model.first_row[ask]), int(model.first_row[ask + 1])):
                after = belief * rows[row]
                if stop[row]:
                    fixed[place] += after.sum() * model.refer[there]
                    continue
                weights.append(after)
                states.append(there)
                told.append(now)
                gone.append(tried)
                owner.append(place)
        for place, repair in enumerate(fixes.tolist(), len(asks)):
            way, near = model.nearest_repair
            there = int(near[state, repair])
            after_state = int(model.proof_state[repair, there])
            cured = float(belief @ model.fixes[repair])
            extra = float(self.scores.repair_price(measured[None, :])[0, repair])
            fixed[place] = way[state, repair] + model.repair_minutes[repair] + model.proof[repair, there] + extra
            fixed[place] += cured * model.tail[repair, after_state]
            now = tried.copy()
            now[repair] = True
            weights.append(model.after_failure(belief[None, :], repair)[0])
            states.append(after_state)
            told.append(measured)
            gone.append(now)
            owner.append(place)
        if weights:
            start = Start(np.array(weights), np.array(states), np.array(told), np.array(gone))
            trees = self._grow(start, SHOWN_TREES)
            fixed = fixed + sum_by(np.array(owner), trees.value, len(fixed))
        actions = [Action("measure", t) for t in asks.tolist()] + [Action("repair", r) for r in fixes.tolist()]
        return [Priced(action, float(minutes)) for action, minutes in zip(actions, fixed, strict=True)]
