"""The base policy as a tree, for many beliefs at once, level by level: its exact cost from each of them.

At every node the policy either ends the measuring (repairs in the best order, or a quote), asks the measurement
that tells most a minute about the class of hypotheses with the same best repair, or tries the first repair
of the best order and goes on from its failure; it does what is cheapest, which the tree itself tells (the
Bellman stop). A branch whose share is below the cut ends in the best order, so the value of the tree is
the exact cost of a policy that can be followed.

Where steps want others told first, what is missing is asked in their place: before a measurement as one of the
readings asked, before a repair as a node of its own (`wanted`), each of its outcomes followed on.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints, sum_by
from nextprobe.model.model import Model
from nextprobe.plan.order import folded_orders
from nextprobe.plan.scores import Scores
from nextprobe.plan.wanting import best_ask

#: A repair is tried within the measuring only where it is at least this likely to end the job.
LIKELY = 0.1
#: Asking and repairing are both followed on where one step ahead tells them apart by less than these minutes.
NEAR = 3.0
#: Levels after which every branch ends in the best order.
DEEPEST = 24
#: Nodes that are looked at in one call, all its trees together; it bounds time and memory.
MOST_NODES = 600
#: What is left to gain at a node, as a share of its root's value, below which it is not worth a look.
NEGLIGIBLE = 2e-4


class Start(NamedTuple):
    """Beliefs to evaluate: weights (N, H), bench state (N,), measured (N, T), tried (N, R)."""

    weights: Floats
    state: Ints
    measured: Bools
    tried: Bools


def start_of(model: Model) -> Start:
    """The model's own start, one row."""
    return Start(
        model.prior[None, :],
        np.array([model.start]),
        np.zeros((1, len(model.likelihoods)), dtype=bool),
        np.zeros((1, len(model.fixes)), dtype=bool),
    )


@dataclass
class Level:
    """Nodes of one depth. `parent` in the level above; `failed`: reached by the node's repair, that left the symptom.

    wanted: the measurement that the node's repair still wants told, -1 for none; `failed` is then reached by it.
    """

    at: Start
    root: Ints
    parent: Ints
    failed: Bools
    outcome: Ints
    expand: Bools
    stop: Floats
    first: Ints
    ask: Ints
    ask_cost: Floats
    repair_cost: Floats
    value: Floats
    kind: Ints
    dead: Bools
    wanted: Ints


#: Kinds of what a node does.
STOP, ASK, REPAIR = 0, 1, 2


@dataclass(frozen=True)
class Trees:
    """Evaluated trees: `value` (N,) of each start, in minutes times its weight; `levels` to read them from."""

    value: Floats
    levels: list[Level]
    scores: Scores

    @cached_property
    def below(self) -> list[dict[int, list[int]]]:
        """Of each level: by place, the places of its children in the next."""
        below: list[dict[int, list[int]]] = [{} for _ in self.levels]
        for depth, level in enumerate(self.levels[1:]):
            for place, parent in enumerate(level.parent.tolist()):
                below[depth].setdefault(parent, []).append(place)
        return below


def grow(
    model: Model,
    start: Start,
    scores: Scores,
    least: float | Floats,
    nodes: int | None = None,
    deepest: int = DEEPEST,
) -> Trees:
    """The base policy's tree from each start.

    least: a branch of less weight than this, one for all or one a start (N,), ends in the best order. nodes: how many
    are looked at in all. deepest: levels after which every branch ends in the best order.
    """
    roots = np.arange(len(start.weights))
    level = _level(model, start, roots, roots, np.zeros(len(roots), bool), np.full(len(roots), -1), scores)
    whole, least = np.maximum(level.stop, 1e-12), np.broadcast_to(np.asarray(least), len(roots))
    levels = [level]
    left = MOST_NODES if nodes is None else nodes
    for _ in range(deepest):
        _choose(model, level, scores, least, whole, left)
        left -= int(level.expand.sum())
        following = _children(model, level, scores)
        if following is None:
            break
        _rule_out(level, following)
        levels.append(following)
        level = following
    _back_up(levels)
    return Trees(levels[0].value, levels, scores)


def _level(model: Model, at: Start, root: Ints, parent: Ints, failed: Bools, outcome: Ints, scores: Scores) -> Level:
    orders = _orders(model, at, scores.repair_price(at.measured))
    count = len(root)
    return Level(
        at, root, parent, failed, outcome,
        expand=np.zeros(count, dtype=bool),
        stop=orders[0],
        first=orders[1],
        ask=np.full(count, -1),
        ask_cost=np.zeros(count),
        repair_cost=np.full(count, np.inf),
        value=orders[0].copy(),
        kind=np.zeros(count, dtype=np.int64),
        dead=np.zeros(count, dtype=bool),
        wanted=np.full(count, -1),
    )  # fmt: skip


def _orders(model: Model, at: Start, extra: Floats) -> tuple[Floats, Ints]:
    orders = folded_orders(model, model.folded(at.weights), at.state, at.tried, extra, at.measured)
    return orders.minutes, orders.first


def _choose(model: Model, level: Level, scores: Scores, least: Floats, whole: Floats, most: int) -> None:
    """Which nodes are worth a look, and what each would ask or repair."""
    at = level.at
    mass = at.weights.sum(axis=1)
    room = level.stop - scores.known_cause(at.weights, at.state)
    level.expand = ~level.dead & (mass > least[level.root]) & (room > NEGLIGIBLE * whole[level.root])
    if level.expand.sum() > most:
        # The budget goes to the branches with most to gain; the others end in the best order.
        gain = np.where(level.expand, room, -1.0)
        level.expand[np.argsort(-gain, kind="stable")[max(0, most) :]] = False
    nodes = np.nonzero(level.expand)[0]
    if not len(nodes):
        return
    ask, cost = best_ask(model, scores, at.weights[nodes], at.state[nodes], at.measured[nodes], room[nodes])
    level.ask[nodes] = ask
    level.ask_cost[nodes] = mass[nodes] * cost
    _repairs(model, level, nodes, mass, scores)


def _repairs(model: Model, level: Level, nodes: Ints, mass: Floats, scores: Scores) -> None:
    at = level.at
    nodes = nodes[level.first[nodes] >= 0]
    repair = level.first[nodes]
    cured = np.einsum("nh,nh->n", at.weights[nodes], model.fixes[repair])
    hoped = cured
    if model.class_progress is not None:
        hoped = cured + np.einsum("nk,nk->n", model.folded(at.weights[nodes]), model.class_progress[repair])
    likely = hoped > LIKELY * mass[nodes]
    nodes, repair, cured = nodes[likely], repair[likely], cured[likely]
    if model.wants is not None:
        met = _want(model, level, nodes, repair, mass, scores)
        nodes, repair, cured = nodes[met], repair[met], cured[met]
    way, near = model.nearest_repair
    there = near[at.state[nodes], repair]
    cost = way[at.state[nodes], repair] + model.repair_minutes[repair] + model.proof[repair, there]
    cost = cost + scores.repair_price(at.measured[nodes])[np.arange(len(nodes)), repair]
    after = model.proof_state[repair, there]
    level.repair_cost[nodes] = mass[nodes] * cost + cured * model.tail[repair, after]


def _want(model: Model, level: Level, nodes: Ints, repair: Ints, mass: Floats, scores: Scores) -> Bools:
    """Where a repair still wants something told, that is made first; (n,) where it wants nothing more."""
    wants, at = model.wants, level.at
    if wants is None:
        return np.ones(len(nodes), dtype=bool)
    wanted = wants.next(wants.before_repair[repair], at.measured[nodes])
    # Asked already as the reading that tells most: one and the same node.
    ask = np.nonzero((wanted >= 0) & (wanted != level.ask[nodes]))[0]
    where, tests = nodes[ask], wanted[ask]
    cost = model.nearest_measurement[0][at.state[where], tests] + model.minutes[tests] + scores.prices.measure[tests]
    level.wanted[where] = tests
    level.repair_cost[where] = mass[where] * cost
    return np.asarray(wanted < 0)


def _children(model: Model, level: Level, scores: Scores) -> Level | None:
    at = level.at
    asked = np.nonzero(level.ask >= 0)[0]
    tried = np.nonzero(np.isfinite(level.repair_cost) & (level.wanted < 0))[0]
    wanting = np.nonzero(level.wanted >= 0)[0]
    if not len(asked) and not len(tried) and not len(wanting):
        return None
    told = _told(model, at, np.concatenate([asked, wanting]), np.concatenate([level.ask[asked], level.wanted[wanting]]))
    second = np.searchsorted(told.place, len(asked))  # from here on: asked because a repair wants it
    repair = level.first[tried]
    there = model.nearest_repair[1][at.state[tried], repair]
    gone = at.tried[tried].copy()
    gone[np.arange(len(tried)), repair] = True
    start = Start(
        np.concatenate([told.at.weights, model.after_failure(at.weights[tried], repair)]),
        np.concatenate([told.at.state, model.proof_state[repair, there]]),
        np.concatenate([told.at.measured, at.measured[tried]]),
        np.concatenate([told.at.tried, gone]),
    )
    parents = np.concatenate([told.parent, tried])
    failed = np.ones(len(parents), dtype=bool)
    failed[:second] = False
    number = np.concatenate([told.outcome, np.zeros(len(tried), dtype=np.int64)])
    stops = told.stops
    below = _level(model, start, level.root[parents], parents, failed, number, scores)
    ended = np.nonzero(stops)[0]
    if len(ended):
        # The reading ends the job for safety: quoted from where it was taken, nothing more is asked.
        below.stop[ended] = start.weights[ended].sum(axis=1) * model.refer[start.state[ended]]
        below.value[ended] = below.stop[ended]
        below.at.weights[ended] *= 0.0
    return below


class _Told(NamedTuple):
    """All outcomes of one measurement at each of n nodes: their place (m,) among the n, and which end the work."""

    at: Start
    place: Ints
    parent: Ints
    outcome: Ints
    stops: Bools


def _told(model: Model, at: Start, nodes: Ints, tests: Ints) -> _Told:
    rows, _ = model.stacked
    outcomes = model.first_row[tests + 1] - model.first_row[tests]
    place = np.repeat(np.arange(len(nodes)), outcomes)
    outcome = np.concatenate([np.arange(n) for n in outcomes.tolist()]) if len(nodes) else np.zeros(0, dtype=np.int64)
    parent, test = nodes[place], tests[place]
    row = model.first_row[test] + outcome
    measured = model.told_after(at.measured[parent], test)
    state = model.nearest_measurement[1][at.state[parent], test]
    stops = np.concatenate(model.stops)[row] if len(row) else np.zeros(0, dtype=bool)
    return _Told(
        Start(at.weights[parent] * rows[row], state, measured, at.tried[parent]), place, parent, outcome, stops
    )


def _rule_out(level: Level, below: Level) -> None:
    """Where asking and repairing are far apart one step ahead, only the cheaper of the two is followed on."""
    count = len(level.stop)
    asked = np.where(level.ask >= 0, level.ask_cost, np.inf)
    asked = asked + sum_by(below.parent[~below.failed], below.stop[~below.failed], count)
    repaired = level.repair_cost + sum_by(below.parent[below.failed], below.stop[below.failed], count)
    near = NEAR * level.at.weights.sum(axis=1)
    dead_ask, dead_repair = asked > repaired + near, repaired > asked + near
    below.dead = np.where(below.failed, dead_repair[below.parent], dead_ask[below.parent])


def _back_up(levels: list[Level]) -> None:
    for depth in range(len(levels) - 1, -1, -1):
        level = levels[depth]
        count = len(level.stop)
        ask = np.where(level.ask >= 0, level.ask_cost, np.inf)
        repair = level.repair_cost.copy()
        if depth + 1 < len(levels):
            below = levels[depth + 1]
            ask = ask + sum_by(below.parent[~below.failed], below.value[~below.failed], count)
            repair = repair + sum_by(below.parent[below.failed], below.value[below.failed], count)
        options = np.stack([level.stop, ask, repair])
        level.kind = options.argmin(axis=0)
        level.value = options.min(axis=0)
