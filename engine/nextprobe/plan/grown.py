"""A grown tree read as a policy: nodes with what to do and where each outcome leads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import NamedTuple

from nextprobe.model.arrays import Bools, Floats
from nextprobe.model.model import Model
from nextprobe.plan.order import Done, order_steps
from nextprobe.plan.policy import Action, action
from nextprobe.plan.tree import ASK, REPAIR, Level, Trees

#: The children of a node that has none; one for all of them.
NOTHING: Mapping[int, Node] = MappingProxyType({})


@dataclass(slots=True)
class Node:
    """What to do, and the node after each outcome of a measurement or after a repair that failed.

    Not frozen: while a plan is deepened an end becomes what follows from it (`become`).

    A node that repairs without `failed` follows the best order of repairs to its end, each repair after what it wants
    told (`order_steps`).
    minutes: expected to the end of the job from here, times the chance of getting here. state: the bench state
    in which the step is made, -1 for the nearest that serves. Where a reading is not waited for, because an order of
    repairs only wants it told, all its outcomes lead to one and the same node.
    """

    action: Action
    children: Mapping[int, Node] = field(default_factory=lambda: NOTHING)
    failed: Node | None = None
    minutes: float = 0.0
    state: int = -1

    def become(self, other: Node) -> None:
        """Take over another node's step and all that follows from it."""
        self.action, self.children, self.failed = other.action, other.children, other.failed
        self.minutes, self.state = other.minutes, other.state


def node_of(model: Model, trees: Trees, root: int = 0, *, written: bool = True) -> Node:
    """The policy of one of the trees' starts.

    written: orders of repairs that want measurements are written out step by step; else such an end is left as it is,
    to be read with `order_steps`.
    """
    return _read(model, trees, 0, root, written)


def _read(model: Model, trees: Trees, depth: int, place: int, written: bool) -> Node:
    # No closure: one that calls itself would keep the whole tree until the garbage collector comes.
    level = trees.levels[depth]
    kind, minutes = int(level.kind[place]), float(level.value[place])
    following = trees.below[depth].get(place, [])
    wanted = int(level.wanted[place])
    if kind == ASK or (kind == REPAIR and wanted >= 0):
        under = trees.levels[depth + 1]
        children = {
            int(under.outcome[one]): _read(model, trees, depth + 1, one, written)
            for one in following
            if under.failed[one] == (kind == REPAIR)
        }
        return Node(action("measure", int(level.ask[place]) if kind == ASK else wanted), children, None, minutes)
    first = int(level.first[place])
    if kind == REPAIR:
        failed = next(one for one in following if trees.levels[depth + 1].failed[one])
        after = _read(model, trees, depth + 1, failed, written)
        return Node(action("repair", first), NOTHING, after, minutes)
    if model.wants is not None and written:
        at = Spot(*(part[place] for part in level.at))
        return written_out(model, at, minutes, trees.scores.repair_price(at.measured[None, :]))
    return Node(action("repair", first) if first >= 0 else action("refer"), NOTHING, None, minutes)


def first_action(model: Model, trees: Trees, root: int = 0) -> Action:
    """The first step of one of the trees' starts."""
    level = trees.levels[0]
    kind, wanted, first = int(level.kind[root]), int(level.wanted[root]), int(level.first[root])
    if kind == ASK:
        return Action("measure", int(level.ask[root]))
    if kind == REPAIR and wanted >= 0:
        return Action("measure", wanted)
    if model.wants is not None and first >= 0:
        done = _steps(model, trees, level, root)[0]
        return Action(done.kind, done.which)
    return Action("repair", first) if first >= 0 else Action("refer")


class Spot(NamedTuple):
    """One belief on a bench: weights (H,), bench state, measured (T,), tried (R,)."""

    weights: Floats
    state: int
    measured: Bools
    tried: Bools


def _steps(model: Model, trees: Trees, level: Level, place: int) -> list[Done]:
    weights, state, measured, tried = (part[place] for part in level.at)
    extra = trees.scores.repair_price(measured[None, :])
    return order_steps(model, weights, int(state), tried, measured, extra)


def written_out(model: Model, at: Spot, minutes: float, extra: Floats | None = None) -> Node:
    """The best order of repairs step by step: where repairs want measurements nobody could follow it from its first.

    minutes: of the whole order. extra (R,): minutes of what each repair wants told first beside what the model says.
    """
    steps = order_steps(model, at.weights, int(at.state), at.tried, at.measured, extra)
    # The minutes from each step on: what was expected of the whole, less what the steps before it cost.
    costs, ahead = [], at.weights[None, :]
    here, left = int(at.state), minutes
    for kind, index, there in steps:
        mass = float(ahead.sum())
        costs.append(left)
        if kind == "measure":
            left -= mass * float(model.ways[here, there] + model.minutes[index])
            on = ahead * model.goes_on[index]
            left -= float((ahead - on).sum()) * float(model.refer[there])
            ahead, here = on, there
            continue
        after = int(model.proof_state[index, there])
        own = model.ways[here, there] + model.repair_minutes[index] + model.proof[index, there]
        failed = model.after_failure(ahead, index)
        left -= mass * float(own) + (mass - float(failed.sum())) * float(model.tail[index, after])
        ahead, here = failed, after
    node = Node(Action("refer"), {}, None, left, here)
    for (kind, index, there), cost in reversed(list(zip(steps, costs, strict=True))):
        if kind == "repair":
            node = Node(Action("repair", index), {}, node, cost, there)
        else:
            outcomes = [o for o, stop in enumerate(model.stops[index].tolist()) if not stop]
            node = Node(Action("measure", index), dict.fromkeys(outcomes, node), None, cost, there)
    return node
