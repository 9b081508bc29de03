"""`make_plan`: the policy for a model, what it costs, and what no policy can go below.

expected_cost (U) is the exact expected cost of the policy in `root`; lower_bound (L) holds for every policy.
Status: optimal (U = L), within_gap (U - L at most `gap` of L), stopped (neither could be shown).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from time import monotonic

import numpy as np

from nextprobe.errors import ModelError
from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.bounds import identification_bound
from nextprobe.plan.deep import AT_ONCE_ROUNDS, Told, deepened, lower_bound
from nextprobe.plan.exact import can_solve, entries, solve
from nextprobe.plan.fast import FastPlanner
from nextprobe.plan.grown import Node, node_of
from nextprobe.plan.policy import Action
from nextprobe.plan.scores import Scores
from nextprobe.plan.search import search
from nextprobe.plan.sorting import Sorted, Sorter
from nextprobe.plan.tree import Start, grow

EFFORTS = ("fast", "deep", "exact")
#: fast solves a model to the end where its table has no more entries than this.
AT_ONCE = 60_000
#: Branches of the first tree below this share end in the best order of repairs; it has so many nodes at most.
COARSE, NODES = 0.002, 4_000
#: Rounds of the bound before a search.
SEARCH_ROUNDS = 60
#: The search goes first where its leaves have at most so many outcomes x hypotheses x bench states; up to the second
#: figure it takes what time is left once a deepened policy can gain no more.
SEARCHABLE, SEARCHABLE_AT_ALL = 20_000, 400_000
#: Seconds that deep takes where none are given.
PATIENCE = 10.0
EXACT = 1e-9


@dataclass(frozen=True, slots=True)
class Leaf:
    """Where measuring ends. path: (measurement, outcome) in order; hypotheses: the indices still possible there.

    ending: repair (in the best order, then a quote), refer, stopped or found (identification).
    """

    path: tuple[tuple[int, int], ...]
    probability: float
    hypotheses: tuple[int, ...]
    ending: str


@dataclass(frozen=True)
class Plan:
    """A policy as a tree, its expected minutes, and the bound."""

    expected_cost: float
    lower_bound: float
    status: str
    root: Node
    model: Model = field(repr=False)

    @property
    def first(self) -> Action:
        """The first step."""
        return self.root.action

    def leaves(self) -> list[Leaf]:
        """Where measuring ends, in the order of the tree."""
        return list(_leaves(self.model, self.root, (), self.model.prior))


def make_plan(
    model: Model,
    effort: str = "fast",
    seconds: float | None = None,
    gap: float = 0.01,
    cancel: Callable[[], bool] | None = None,
    progress: Told | None = None,
) -> Plan:
    """Plan the model from its start.

    effort: fast answers at once; deep and exact solve small models to the end, and where a model is too large for
    that go on for `seconds` (10 unless given), which the status then says. gap: deep is content once U - L is at
    most this share of L. cancel: called now and then, True stops the search. progress: called now and then with the
    expected cost and the lower bound so far.
    Raises ModelError for an unknown effort, and for a model without `refer` whose repairs leave hypotheses over.
    """
    if effort not in EFFORTS:
        raise ModelError(f"There is no effort {effort!r}.", f"Give one of: {', '.join(EFFORTS)}.")
    if not model.identify:
        _refuse_endless(model)
    begun, stop = monotonic(), _deadline(seconds, cancel)
    if can_solve(model) and (effort != "fast" or entries(model) <= AT_ONCE):
        solved = solve(model, stop)
        if solved is not None:
            return _plan(model, solved.minutes, solved.minutes, solved.root, gap)
    if model.identify:
        patience = PATIENCE if seconds is None and effort != "fast" else seconds
        return _identify(model, gap, _deadline(patience, cancel), effort != "fast")
    upper, root = _first_tree(model, COARSE, NODES)
    if effort == "fast":
        return _plan(model, upper, lower_bound(model, AT_ONCE_ROUNDS, lambda _: stop()), root, gap)
    end = begun + (PATIENCE if seconds is None else seconds)

    def left() -> float:
        return max(0.0, end - monotonic())

    if _size(model) > SEARCHABLE:
        upper, lower, root = deepened(model, (upper, root), seconds=left(), gap=gap, cancel=cancel, told=progress)
    else:
        lower = lower_bound(model, SEARCH_ROUNDS, lambda _: stop())
    if progress is not None:
        progress(upper, lower)
    if upper - lower > gap * lower and left() > 0 and _size(model) <= SEARCHABLE_AT_ALL:
        result = search(model, (upper, root), seconds=left(), gap=gap, cancel=cancel)
        upper, lower, root = result.upper, max(lower, result.lower), result.root
    return _plan(model, upper, lower, root, gap)


def _size(model: Model) -> float:
    """How large one leaf of the search is: outcomes x hypotheses x bench states; inf with two faults, which it does not
    know."""
    rows = sum(table.shape[1] for table in model.likelihoods)
    return np.inf if model.still is not None else rows * len(model.prior) * len(model.ways)


def _deadline(seconds: float | None, cancel: Callable[[], bool] | None) -> Callable[[], bool]:
    end = None if seconds is None else monotonic() + seconds
    return lambda: (end is not None and monotonic() >= end) or (cancel is not None and cancel())


def _first_tree(model: Model, cut: float, nodes: int) -> tuple[float, Node]:
    """The base policy's tree from the start, or the tree after another first step where that is cheaper."""
    scores = Scores(model)
    start = Start(
        model.prior[None, :],
        np.array([model.start]),
        np.zeros((1, len(model.likelihoods)), dtype=bool),
        np.zeros((1, len(model.fixes)), dtype=bool),
    )
    base = grow(model, start, scores, cut, nodes)
    upper, root = float(base.value[0]), node_of(model, base)
    planner = FastPlanner(model, cut=cut, measurements=2 * len(model.likelihoods), margin=0.0)
    if planner.wide:
        return upper, root
    best = planner.price(model.prior, model.start, start.measured[0], start.tried[0]).priced[0]
    if best.minutes >= upper or best.action.kind == "refer":
        return upper, root
    return best.minutes, planner.policy(best.action, model.prior, model.start, start.measured[0], start.tried[0])


def _plan(model: Model, upper: float, lower: float, root: Node, gap: float) -> Plan:
    lower = min(lower, upper)
    if upper - lower <= EXACT * max(1.0, upper):
        status = "optimal"
    else:
        status = "within_gap" if upper - lower <= gap * lower else "stopped"
    return Plan(upper, lower, status, root, model)


def _refuse_endless(model: Model) -> None:
    """Without `refer` every hypothesis must be removed for certain by some repair, or a job never ends."""
    if model.can_refer:
        return
    over = np.nonzero(_left_over(model) & (model.prior > 0))[0]
    if len(over):
        names = ", ".join(map(str, over[:8].tolist()))
        raise ModelError(
            f"Without refer these hypotheses would never end: {names}.",
            "Give refer, or repairs that remove them for certain.",
        )


def _left_over(model: Model) -> Bools:
    """(H,) the hypotheses of which something may be left once every repair was tried, one way round or the other."""
    if model.still is None:
        return np.asarray(np.prod(1.0 - model.fixes, axis=0) > 1e-12)
    over = np.zeros(len(model.prior), dtype=bool)
    for order in (range(len(model.fixes)), reversed(range(len(model.fixes)))):
        left = np.eye(len(model.prior))
        for repair in order:
            left = model.after_failure(left, repair)
        over |= left.sum(axis=1) > 1e-12
    return over


def _identify(model: Model, gap: float, stop: Callable[[], bool], whole: bool) -> Plan:
    """Measure until what is left is one group, or the likeliest hypothesis passes the confidence."""
    table = model.sorting
    if table is None or len(model.ways) > 1 or model.confidence < 1.0:
        from nextprobe.plan.noisy import identify_noisy

        upper, root = identify_noisy(model, stop, whole)
        return _plan(model, upper, identification_bound(model), root, gap)
    _, group = np.unique(table, axis=1, return_inverse=True)
    sorter = Sorter(table, model.prior, model.minutes, group.ravel(), stop)
    held = np.nonzero(model.prior > 0)[0]
    tree = sorter.tree(held, np.ones(len(table), dtype=bool))
    return _plan(model, tree.minutes, identification_bound(model), _sorted_node(tree), gap)


def _sorted_node(tree: Sorted) -> Node:
    if tree.test < 0:
        return Node(Action("found"), {})
    return Node(
        Action("measure", tree.test), {outcome: _sorted_node(part) for outcome, part in sorted(tree.parts.items())}
    )


def _leaves(model: Model, node: Node, path: tuple[tuple[int, int], ...], weights: Floats) -> Iterator[Leaf]:
    action = node.action
    if action.kind == "measure":
        table = model.likelihoods[action.index]
        for outcome in range(table.shape[1]):
            after = weights * table[:, outcome]
            if after.sum() <= 0:
                continue
            here = (*path, (action.index, outcome))
            if model.stops[action.index][outcome]:
                yield _leaf(here, after, "stopped")
            elif outcome in node.children:
                yield from _leaves(model, node.children[outcome], here, after)
        return
    if action.kind == "repair" and node.failed is not None:
        # Measuring goes on after a failure: what is cured ends here, the rest further down.
        yield _leaf(path, weights * model.fixes[action.index], "repair")
        yield from _leaves(model, node.failed, path, model.after_failure(weights[None, :], action.index)[0])
        return
    yield _leaf(path, weights, action.kind)


def _leaf(path: tuple[tuple[int, int], ...], weights: Floats, ending: str) -> Leaf:
    held: Ints = np.nonzero(weights > 0)[0]
    return Leaf(path, float(weights.sum()), tuple(held.tolist()), ending)
