"""A grown tree read as a policy: nodes with what to do and where each outcome leads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from nextprobe.model.model import Model
from nextprobe.plan.policy import Action
from nextprobe.plan.tree import ASK, REPAIR, Trees


@dataclass(frozen=True, slots=True)
class Node:
    """What to do, and the node after each outcome of a measurement or after a repair that failed.

    A node that repairs without `failed`, or refers, follows the best order of repairs to its end.
    minutes: expected to the end of the job from here, times the chance of getting here. state: the bench state
    in which the step is made, -1 for the nearest that serves.
    """

    action: Action
    children: Mapping[int, Node] = field(default_factory=dict)
    failed: Node | None = None
    minutes: float = 0.0
    state: int = -1


def node_of(model: Model, trees: Trees, root: int = 0) -> Node:
    """The policy of one of the trees' starts."""
    below: list[dict[int, list[int]]] = [{} for _ in trees.levels]
    for depth, level in enumerate(trees.levels[1:], 1):
        for place, parent in enumerate(level.parent.tolist()):
            below[depth - 1].setdefault(parent, []).append(place)

    def read(depth: int, place: int) -> Node:
        level = trees.levels[depth]
        kind, minutes = int(level.kind[place]), float(level.value[place])
        following = below[depth].get(place, [])
        if kind == ASK:
            children = {
                int(trees.levels[depth + 1].outcome[one]): read(depth + 1, one)
                for one in following
                if not trees.levels[depth + 1].failed[one]
            }
            return Node(Action("measure", int(level.ask[place])), children, None, minutes)
        first = int(level.first[place])
        if kind == REPAIR:
            failed = next(one for one in following if trees.levels[depth + 1].failed[one])
            return Node(Action("repair", first), {}, read(depth + 1, failed), minutes)
        return Node(Action("repair", first) if first >= 0 else Action("refer"), {}, None, minutes)

    return read(0, root)
