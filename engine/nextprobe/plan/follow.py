"""A plan followed to its ends: at each place the share of jobs that get there and the minutes they still cost.

The figures are exact for the policy in the tree: the weights of all hypotheses go down with every outcome, and
where the tree ends the best order of repairs is followed to its own end. So `minutes` of the root is the plan's
expected cost, told a second time by other code.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.grown import Node, Spot, written_out
from nextprobe.plan.order import best_orders
from nextprobe.plan.policy import Action

#: The branch after a repair that left the symptom.
STILL = -1
#: The branch after a reading that is only told because a repair wants it told: whatever it says.
ANY = -2
#: Ends that are followed in one go; it bounds memory.
CHUNK = 400
#: A weight below which nothing is left.
NOTHING = 1e-15


@dataclass(frozen=True, slots=True)
class Tried:
    """One repair of an order: its index, and the share of all jobs that it ends."""

    repair: int
    cured: float


@dataclass(frozen=True, slots=True)
class Branch:
    """Where one outcome leads; STILL: the repair failed, ANY: whatever was read.

    chance: share of all jobs. place: None where the reading stops the work.
    """

    outcome: int
    chance: float
    minutes: float
    place: Place | None


@dataclass(frozen=True, slots=True)
class Place:
    """A step of the plan. state, at: the bench before it and in which it is made; way: minutes of the moves there.

    chance: share of all jobs that get here; minutes: what such a job still costs, expected; own: the step's own
    minutes, of a repair with its proof up to seeing whether the symptom is gone. cured: share of all jobs that
    the repair ends. order: where measuring is over, the repairs in the order in which they are tried; quoted:
    share of all jobs that are quoted after them.
    """

    action: Action
    state: int
    at: int
    chance: float
    minutes: float
    way: float = 0.0
    own: float = 0.0
    cured: float = 0.0
    branches: tuple[Branch, ...] = ()
    order: tuple[Tried, ...] = ()
    quoted: float = 0.0

    @property
    def ends(self) -> int:
        """How many different ends there are from here."""
        if not self.branches:
            return 1
        return sum(1 if branch.place is None else branch.place.ends for branch in self.branches)

    @property
    def steps(self) -> int:
        """How many steps the tree has from here, this one counted."""
        return 1 + sum(branch.place.steps for branch in self.branches if branch.place is not None)


def follow(model: Model, root: Node) -> Place:
    """The tree below `root`, from the model's start, with what each place costs."""
    total = float(model.prior.sum())
    nothing = np.zeros(len(model.likelihoods), dtype=bool), np.zeros(len(model.fixes), dtype=bool)
    if model.wants is not None:
        root = _written(model, root, Spot(model.prior / total, model.start, *nothing))
    ends = _chunked(model, _ends(model, root, model.prior / total, model.start, *nothing))
    return _place(model, root, model.prior / total, model.start, ends)


@dataclass(frozen=True, slots=True)
class _End:
    weights: Floats
    state: int
    measured: Bools
    tried: Bools
    node: Node


@dataclass(frozen=True, slots=True)
class _Priced:
    """minutes are times the weight that gets here."""

    minutes: float
    order: tuple[Tried, ...]
    quoted: float


def where(model: Model, node: Node, state: int) -> int:
    """The bench state in which a node's step is made."""
    if node.state >= 0:
        return node.state
    if node.action.kind == "measure":
        return int(model.nearest_measurement[1][state, node.action.index])
    if node.action.kind == "repair":
        return int(model.nearest_repair[1][state, node.action.index])
    return state


def _outcomes(model: Model, node: Node, weights: Floats) -> Iterator[tuple[int, Floats, Node | None]]:
    """Each possible outcome with the weights after it; None for the node where the reading stops the work."""
    test = node.action.index
    table = model.likelihoods[test]
    same = not model.plain and len(node.children) > 1 and len({id(child) for child in node.children.values()}) == 1
    if same:
        yield ANY, weights * model.goes_on[test], next(iter(node.children.values()))
    for outcome in range(table.shape[1]):
        after = weights * table[:, outcome]
        if after.sum() <= NOTHING:
            continue
        if model.stops[test][outcome]:
            yield outcome, after, None
        elif not same:
            yield outcome, after, node.children.get(outcome, Node(Action("found" if model.identify else "refer")))


def _written(model: Model, node: Node, at: Spot) -> Node:
    """The same tree, its ends written out step by step: their repairs may want measurements told first."""
    there, index = where(model, node, at.state), node.action.index
    if node.action.kind == "measure":
        told = model.told_after(at.measured[None, :], np.array([index]))[0]
        if len(node.children) > 1 and len({id(child) for child in node.children.values()}) == 1:
            return node  # an order already written out, whose readings are not waited for
        children = {
            outcome: _written(
                model, child, Spot(at.weights * model.likelihoods[index][:, outcome], there, told, at.tried)
            )
            for outcome, child in node.children.items()
        }
        return Node(node.action, children, None, node.minutes, node.state)
    if node.action.kind != "repair":
        return node
    if node.failed is None:
        return written_out(model, at, node.minutes)
    gone = at.tried.copy()
    gone[index] = True
    left = model.after_failure(at.weights[None, :], index)[0]
    after = Spot(left, int(model.proof_state[index, there]), at.measured, gone)
    return Node(node.action, {}, _written(model, node.failed, after), node.minutes, node.state)


def _is_end(node: Node) -> bool:
    return node.action.kind != "measure" and node.failed is None


def _ends(model: Model, node: Node, weights: Floats, state: int, measured: Bools, tried: Bools) -> Iterator[_End]:
    """The ends in the order of the tree."""
    at, index = where(model, node, state), node.action.index
    if node.action.kind == "measure":
        told = model.told_after(measured[None, :], np.array([index]))[0]
        for _, after, child in _outcomes(model, node, weights):
            if child is not None:
                yield from _ends(model, child, after, at, told, tried)
    elif node.failed is not None:
        gone = tried.copy()
        gone[index] = True
        left = model.after_failure(weights[None, :], index)[0]
        yield from _ends(model, node.failed, left, int(model.proof_state[index, at]), measured, gone)
    else:
        yield _End(weights, state, measured, tried, node)


def _place(model: Model, node: Node, weights: Floats, state: int, ends: Iterator[_Priced]) -> Place:
    """The place and all below it; `ends` are taken in the order of the tree."""
    action, chance = node.action, float(weights.sum())
    at = where(model, node, state)
    way = float(model.ways[state, at])
    if _is_end(node):
        end = next(ends)
        own = _own(model, action, at)
        return Place(
            action, state, at, chance, _each(end.minutes, chance), way, own, order=end.order, quoted=end.quoted
        )
    if action.kind == "measure":
        own, spent = float(model.minutes[action.index]), 0.0
        branches = []
        for outcome, after, child in _outcomes(model, node, weights):
            share = float(after.sum())
            place = None if child is None else _place(model, child, after, at, ends)
            minutes = float(model.refer[at]) if place is None else place.minutes
            spent += share * minutes
            branches.append(Branch(outcome, share, minutes, place))
        return Place(action, state, at, chance, way + own + _each(spent, chance), way, own, branches=tuple(branches))
    repair = action.index
    own, after_state = _own(model, action, at), int(model.proof_state[repair, at])
    left = model.after_failure(weights[None, :], repair)[0]
    cured = chance - float(left.sum())
    failed = _place(model, node.failed or Node(Action("refer")), left, after_state, ends)
    spent = cured * float(model.tail[repair, after_state]) + failed.chance * failed.minutes
    branch = Branch(STILL, failed.chance, failed.minutes, failed)
    return Place(action, state, at, chance, way + own + _each(spent, chance), way, own, cured, (branch,))


def _each(minutes: float, chance: float) -> float:
    return minutes / chance if chance > NOTHING else 0.0


def _own(model: Model, action: Action, at: int) -> float:
    if action.kind == "repair":
        return float(model.repair_minutes[action.index] + model.proof[action.index, at])
    return float(model.refer[at]) if action.kind == "refer" else 0.0


def _chunked(model: Model, ends: Iterator[_End]) -> Iterator[_Priced]:
    chunk: list[_End] = []
    for end in ends:
        chunk.append(end)
        if len(chunk) == CHUNK:
            yield from _price(model, chunk)
            chunk = []
    if chunk:
        yield from _price(model, chunk)


def _price(model: Model, ends: list[_End]) -> list[_Priced]:
    """Each end by its own first step, then by the best order recomputed after each failure."""
    left = np.array([end.weights for end in ends])
    here = np.array([end.state for end in ends])
    measured = np.array([end.measured for end in ends]).reshape(len(ends), -1)
    tried = np.array([end.tried for end in ends]).reshape(len(ends), -1)
    minutes = np.zeros(len(ends))
    quoted = np.zeros(len(ends))
    order: list[list[Tried]] = [[] for _ in ends]
    first = np.array([end.node.action.index if end.node.action.kind == "repair" else -1 for end in ends])
    at = np.array([where(model, end.node, end.state) for end in ends])
    rows: Ints = np.arange(0 if model.identify else len(ends))
    while len(rows):
        mass, way = left[rows].sum(axis=1), model.ways[here[rows], at]
        quote = first < 0
        minutes[rows[quote]] += (mass * (way + model.refer[at]))[quote]
        quoted[rows[quote]] = mass[quote]
        rows, first, at, mass, way = rows[~quote], first[~quote], at[~quote], mass[~quote], way[~quote]
        after = model.proof_state[first, at]
        left[rows] = model.after_failure(left[rows], first)
        cured = mass - left[rows].sum(axis=1)
        own = way + model.repair_minutes[first] + model.proof[first, at]
        minutes[rows] += mass * own + cured * model.tail[first, after]
        for row, repair, share in zip(rows.tolist(), first.tolist(), cured.tolist(), strict=True):
            order[row].append(Tried(repair, share))
        tried[rows, first], here[rows] = True, after
        rows = rows[left[rows].sum(axis=1) > NOTHING]
        first = best_orders(model, left[rows], here[rows], ~model.repairable(measured[rows], tried[rows])).first
        at = np.where(first >= 0, model.nearest_repair[1][here[rows], first], here[rows])
    return [_Priced(float(m), tuple(o), float(q)) for m, o, q in zip(minutes, order, quoted, strict=True)]
