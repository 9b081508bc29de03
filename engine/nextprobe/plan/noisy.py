"""Identification with noise, or with a bench to move: most bits a minute, followed as a tree, the likeliest branch
first."""

from __future__ import annotations

from collections.abc import Callable
from heapq import heappop, heappush
from itertools import count

import numpy as np

from nextprobe.model.arrays import Bools, Floats
from nextprobe.model.model import Model
from nextprobe.plan.grown import Node
from nextprobe.plan.identify import best_question
from nextprobe.plan.policy import Action

#: A branch below this share is not followed on: what is likeliest there is taken.
CUT = 1e-4
#: Chances that the questions of a plan made at once may look at in all, about a second; then the likeliest is taken.
AT_ONCE = 100_000_000


def identify_noisy(model: Model, stop: Callable[[], bool], whole: bool) -> tuple[float, Node]:
    """The expected minutes of the measurements asked, and the tree.

    whole: whether every branch above the cut is followed; else only as many as can be at once. stop: called at each
    branch, True ends it.
    """
    owner = np.arange(len(model.prior))
    each = max(1, len(model.stacked[0]) * len(owner))
    most = None if whole else max(1, AT_ONCE // each)
    way, near = model.nearest_measurement
    root = Node(Action("found"), {})
    open_: list[tuple[float, int, Node, Floats, int, Bools]] = []

    def reached(node: Node, weights: Floats, state: int, measured: Bools) -> None:
        mass = float(weights.sum())
        if mass > CUT and weights.max() < model.confidence * mass * (1 - 1e-12):
            # The second figure is the node's own, so that no two are ever compared further.
            heappush(open_, (-mass, next(number), node, weights, state, measured))

    number, followed = count(), list[Node]()
    reached(root, model.prior, model.start, np.zeros(len(model.likelihoods), dtype=bool))
    while open_ and (most is None or len(followed) < most) and not stop():
        _, _, node, weights, state, measured = heappop(open_)
        index = best_question(model, weights, state, owner, measured)
        if index is None:
            continue
        told = measured.copy()
        told[index] = True
        children = {}
        for outcome, chances in enumerate(model.likelihoods[index].T):
            after = weights * chances
            if after.sum() > 0:
                children[outcome] = Node(Action("found"), {})
                reached(children[outcome], after, int(near[state, index]), told)
        minutes = float(weights.sum()) * float(way[state, index] + model.minutes[index])
        node.become(Node(Action("measure", index), children, None, minutes))
        followed.append(node)
    for node in reversed(followed):
        node.minutes += sum(child.minutes for child in node.children.values())
    return root.minutes, root
