"""The policy with the least U, written out as nodes."""

from __future__ import annotations

import numpy as np

from nextprobe.plan.grown import Node
from nextprobe.plan.order import order_steps
from nextprobe.plan.policy import Action
from nextprobe.plan.search.backing import Backing
from nextprobe.plan.search.places import OPENED, Places


class Writer:
    """Writes each place once."""

    def __init__(self, places: Places, backing: Backing) -> None:
        self.places, self.backing = places, backing
        self._written: dict[tuple[int, int], Node] = {}

    def node(self, place: int, state: int) -> Node:
        """What to do at a place in a bench state; where no step is better, the best order of repairs."""
        found = self._written.get((place, state))
        if found is None:
            found = self._written[place, state] = self._node(place, state)
        return found

    def _node(self, place: int, state: int) -> Node:
        places, model = self.places, self.places.model
        minutes = float(places.at["upper"][place, state])
        if places.at["known"][place] != OPENED:
            return self._order(place, state, minutes)
        which = np.array([place])
        total = self.backing.steps(which, places.at["upper"])[0]
        total = total + places.at["mass"][place] * model.ways[state]
        if not total.size or total.min() > minutes + 1e-9:
            return self._order(place, state, minutes)
        step, there = divmod(int(total.argmin()), total.shape[1])
        children = places.more["children"][int(places.at["slot"][place])].tolist()
        if step >= places.tests:
            repair = step - places.tests
            failed = children[self.backing.rows + repair]
            after = int(model.proof_state[repair, there])
            return Node(Action("repair", repair), {}, self.node(failed, after) if failed else None, minutes, there)
        begin, end = int(model.first_row[step]), int(model.first_row[step + 1])
        follows = {row - begin: self.node(children[row], there) for row in range(begin, end) if children[row]}
        return Node(Action("measure", step), follows, None, minutes, there)

    def _order(self, place: int, state: int, minutes: float) -> Node:
        model = self.places.model
        first = int(self.places.at["first"][place, state])
        if first < 0:
            return Node(Action("refer"), {}, None, minutes)
        if model.wants is None:
            return Node(Action("repair", first), {}, None, minutes)
        # Where repairs want measurements nobody could follow the order from its first: every step is written.
        weights = self.places.at["weights"][place]
        measured, tried = self.places.flags(np.array([place]))
        done, after = [], weights
        here, left = state, minutes
        for kind, which, there in order_steps(model, weights, state, tried[0], measured[0]):
            done.append((kind, which, there, left))
            mass = float(after.sum())
            left -= mass * float(model.ways[here, there])
            if kind == "measure":
                on = after * model.goes_on[which]
                left -= mass * float(model.minutes[which]) + float((after - on).sum() * model.refer[there])
                after, here = on, there
            else:
                on, here = after * (1.0 - model.fixes[which]), int(model.proof_state[which, there])
                left -= mass * float(model.repair_minutes[which] + model.proof[which, there])
                left -= float((after - on).sum() * model.tail[which, here])
                after = on
        node = Node(Action("refer"), {}, None, left, here)
        for kind, which, there, cost in reversed(done):
            if kind == "repair":
                node = Node(Action("repair", which), {}, node, cost, there)
            else:
                outcomes = [outcome for outcome, stop in enumerate(model.stops[which].tolist()) if not stop]
                node = Node(Action("measure", which), dict.fromkeys(outcomes, node), None, cost, there)
        return node
