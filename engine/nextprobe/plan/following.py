"""A plan kept while it is followed: after each answer the part of the tree that was meant for it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nextprobe.model.arrays import Bools, Floats
from nextprobe.model.model import Model
from nextprobe.plan.follow import where
from nextprobe.plan.grown import Node

#: Beliefs that differ by no more than this in any hypothesis are the same: the pairs of causes that a plan leaves out
#: shift the unlisted cause by some ten-thousandths. A reading near a limit is another one.
SAME = 2e-3


@dataclass(frozen=True)
class Followed:
    """A plan and where it stands: weights (H,) that sum to 1, the bench state, what is closed, and the node to do.

    minutes: expected from here by the plan.
    """

    model: Model
    weights: Floats
    state: int
    measured: Bools
    tried: Bools
    node: Node
    minutes: float

    def at(self, weights: Floats, state: int, measured: Bools, tried: Bools) -> Followed | None:
        """The plan from the belief `weights` (H,) on, if it is one the next step leads to; else None, to plan anew.

        So an answer out of the ordinary, a skip, another bench state or an undo is never taken for one foreseen.
        """
        weights = weights / weights.sum()
        for node, ahead, there, told, gone in self._following():
            mass = float(ahead.sum())
            if (
                there == state
                and mass > 0
                and (told == measured).all()
                and (gone == tried).all()
                and np.abs(ahead / mass - weights).max() <= SAME
            ):
                return Followed(self.model, weights, state, measured, tried, node, node.minutes / self._mass(mass))
        same = np.abs(self.weights - weights).max() <= SAME
        if same and state == self.state and (measured == self.measured).all() and (tried == self.tried).all():
            return self
        return None

    def _mass(self, ahead: float) -> float:
        """The minutes of a node are times the chance to get there from the plan's own root."""
        return ahead * self.node.minutes / self.minutes if self.minutes > 0 else ahead

    def _following(self) -> list[tuple[Node, Floats, int, Bools, Bools]]:
        """Each node that follows: the weights there, the bench state, what is closed."""
        model, action = self.model, self.node.action
        if action.kind == "measure":
            there = where(model, self.node, self.state)
            told = model.told_after(self.measured[None, :], np.array([action.index]))[0]
            table = model.likelihoods[action.index]
            return [
                (child, self.weights * table[:, outcome], there, told, self.tried)
                for outcome, child in self.node.children.items()
            ]
        if action.kind == "repair" and self.node.failed is not None:
            at = where(model, self.node, self.state)
            gone = self.tried.copy()
            gone[action.index] = True
            left = model.after_failure(self.weights[None, :], action.index)[0]
            return [(self.node.failed, left, int(model.proof_state[action.index, at]), self.measured, gone)]
        return []
