"""Best-first search over what was told and tried, with both ends of the cost at every place.

From the root the steps with the least L are followed down to leaves; those with the widest U - L are touched (a
bound of their own), then opened, many at once, and both ends are backed up along the way (AO*: Nilsson 1980; with both
ends, as in heuristic search value iteration: Smith & Simmons 2004). U of a leaf is the best order of repairs from
it, so U at the root is the exact cost of a policy. L of a leaf is the entropic bound.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from time import monotonic

import numpy as np

from nextprobe.errors import ModelError
from nextprobe.model.model import Model
from nextprobe.plan.grown import Node
from nextprobe.plan.search.backing import Backing
from nextprobe.plan.search.opening import open_places
from nextprobe.plan.search.places import TOUCHED, Places
from nextprobe.plan.search.reach import Reach
from nextprobe.plan.search.written import Writer

#: Bytes that all places may take; growing takes up to half as much again for a moment.
MEMORY = 600_000_000
#: Leaves looked at in one round, and numbers that the largest array of a round may have.
MOST_LEAVES, MOST_NUMBERS = 128, 4_000_000
#: Rounds that changed nothing, after which the search ends.
IDLE = 40


@dataclass(frozen=True)
class SearchResult:
    """upper: minutes of the policy in `root`; lower: what no policy goes below; optimal, within_gap or stopped."""

    upper: float
    lower: float
    status: str
    root: Node
    expansions: int


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

    A model without repairs and quoting (`identify`), or whose failed repairs change the hypothesis (`still`), has no
    such search: ModelError; the latter gives its base back where it has one, and 0. Ends when U - L is at most `gap`
    of L, after `seconds`, after so many `expansions`, when `cancel` says so, or when the memory is used.
    """
    if model.identify:
        raise ModelError("The search needs an ending.", "Give the model repairs or the minutes of quoting.")
    if model.still is not None and base is not None:
        return SearchResult(base[0], 0.0, "stopped", base[1], 0)
    if model.still is not None:
        raise ModelError("The search follows one fault at a time.", "Plan two faults with effort fast.")
    end = None if seconds is None else monotonic() + seconds
    tree = _Search(model)
    idle = 0
    while not tree.within(gap) and (expansions is None or tree.opened < expansions) and idle < IDLE:
        if (end is not None and monotonic() >= end) or (cancel is not None and cancel()):
            break
        if tree.places.bytes > MEMORY:
            break
        idle = 0 if tree.round(None if expansions is None else expansions - tree.opened) else idle + 1
    upper, lower = tree.ends()
    if base is not None and base[0] <= upper:
        upper, root = base
    else:
        root = Writer(tree.places, tree.backing).node(tree.places.root, model.start)
    lower = min(lower, upper)
    near = "within_gap" if upper - lower <= gap * lower else "stopped"
    return SearchResult(upper, lower, "optimal" if upper - lower <= 1e-9 * upper else near, root, tree.opened)


class _Search:
    def __init__(self, model: Model) -> None:
        self.places = Places(model)
        self.backing = Backing(self.places)
        self.reach = Reach(self.places, self.backing)
        self.opened = 0
        sets = len(self.places.bound.known.walks.sets)
        widest = max(1, len(model.prior) * max(len(model.minutes), len(model.fixes)) * max(sets, 2 * len(model.ways)))
        self.most = int(np.clip(MOST_NUMBERS // widest, 1, MOST_LEAVES))

    def ends(self) -> tuple[float, float]:
        """U and L at the root."""
        at, start = self.places.at, self.places.model.start
        return float(at["upper"][self.places.root, start]), float(at["lower"][self.places.root, start])

    def within(self, gap: float) -> bool:
        """Whether the ends are near enough."""
        upper, lower = self.ends()
        return upper - lower <= max(gap * lower, 1e-10 * upper)

    def round(self, most: int | None) -> bool:
        """Touch or open leaves, at most so many, and back up; whether there was any leaf."""
        reached = self.reach.down(self.most if most is None else min(self.most, most))
        known = self.places.at["known"][reached.leaves]
        made, touched = reached.leaves[known < TOUCHED], reached.leaves[known == TOUCHED]
        if len(made):
            self.places.touch(made, reached.states[known < TOUCHED])
        if len(touched):
            open_places(self.places, touched)
            self.backing.up(touched)
            self.opened += len(touched)
        for level in reversed(reached.levels):
            self.backing.up(level)
        return len(reached.leaves) > 0
