"""Which places matter: those that follow the steps whose L is least, or near it.

A step whose L is below the optimum must be opened before anything is proven, so steps within a window above the least
are followed too: a share of U - L of the place. The share is kept where there is about as much to
open as is opened at once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nextprobe.model.arrays import Floats, Ints
from nextprobe.plan.search.backing import Backing
from nextprobe.plan.search.places import OPENED, Places

#: The window at first, its ends, and how fast it follows.
WINDOW, NARROW, WIDE, PACE = 0.02, 1e-4, 0.5, 1.25
#: Leaves with less than this share of the widest U - L are left for later.
SHARE = 0.05
#: Minutes times mass below which two ends count as one.
CLOSED = 1e-10


@dataclass(frozen=True)
class Reached:
    """levels: the opened places, from the root down. leaves (n,) and the bench states (n,) they are reached in."""

    levels: list[Ints]
    leaves: Ints
    states: Ints


class Reach:
    """Follows the steps that matter down to the leaves."""

    def __init__(self, places: Places, backing: Backing) -> None:
        self.places, self.backing = places, backing
        self.window = WINDOW
        model = places.model
        self.sizes = np.diff(model.first_row)

    def down(self, most: int) -> Reached:
        """The places reached now, at most `most` leaves, the widest U - L first."""
        at = self.places.at
        states = len(self.places.model.ways)
        pairs = np.array([self.places.root * states + self.places.model.start])
        levels: list[Ints] = []
        leaves = [np.zeros(0, dtype=np.int64)]
        while len(pairs):
            place, state = pairs // states, pairs % states
            wide = at["upper"][place, state] - at["lower"][place, state] > CLOSED * at["mass"][place]
            inner = at["known"][place] == OPENED
            leaves.append(pairs[wide & ~inner])
            place, state = place[wide & inner], state[wide & inner]
            if not len(place):
                break
            levels.append(np.unique(place))
            pairs = self._follow(place, state)
        return self._chosen(levels, np.concatenate(leaves), most)

    def _follow(self, place: Ints, state: Ints) -> Ints:
        """Place and state in one number of all that follows the steps within the window."""
        places, model = self.places, self.places.model
        at, tests = places.at, places.tests
        slots, mass = at["slot"][place], at["mass"][place]
        upper, lower = at["upper"][place, state], at["lower"][place, state]
        total = places.more["steps"][slots] + (mass[:, None] * model.ways[state])[:, None, :]
        edge = np.maximum(total.min(axis=(1, 2), initial=np.inf), lower) + self.window * (upper - lower)
        edge = np.minimum(edge, np.minimum(upper, mass * self.backing.quote[state]))
        row, step, there = np.nonzero(total <= edge[:, None, None])
        asked = step < tests
        found = [self._outcomes(slots[row[asked]], step[asked], there[asked])]
        slot, repair, there = slots[row[~asked]], step[~asked] - tests, there[~asked]
        child = places.more["children"][slot, self.backing.rows + repair].astype(np.int64)
        if len(child):
            found.append(child * len(model.ways) + model.proof_state[repair, there])
        pairs = np.unique(np.concatenate(found))
        return np.asarray(pairs[pairs >= len(model.ways)])  # place 0 is none

    def _outcomes(self, slot: Ints, test: Ints, there: Ints) -> Ints:
        model = self.places.model
        if not len(test):
            return np.zeros(0, dtype=np.int64)
        count = self.sizes[test]
        each = np.repeat(np.arange(len(test)), count)
        place = np.arange(len(each)) - np.repeat(np.cumsum(count) - count, count)
        child = self.places.more["children"][slot[each], model.first_row[test[each]] + place]
        return np.asarray(child.astype(np.int64) * len(model.ways) + there[each])

    def _chosen(self, levels: list[Ints], pairs: Ints, most: int) -> Reached:
        """The leaves with the widest ends, each place once, in the state where it matters most."""
        states = len(self.places.model.ways)
        place, state = pairs // states, pairs % states
        gap: Floats = self.places.at["upper"][place, state] - self.places.at["lower"][place, state]
        order = np.argsort(-gap, kind="stable")
        worth = int((gap >= SHARE * gap.max(initial=0.0)).sum())
        if worth < 0.7 * most:
            self.window = min(WIDE, self.window * PACE)
        elif worth > 1.5 * most:
            self.window = max(NARROW, self.window / PACE)
        order = order[: min(most, worth)]
        leaves, first = np.unique(place[order], return_index=True)
        return Reached(levels, leaves, state[order][first])
