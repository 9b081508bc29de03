"""Identification with noise, or with a bench to move: most bits a minute, followed as a tree."""

from __future__ import annotations

import numpy as np

from nextprobe.model.arrays import Bools, Floats
from nextprobe.model.model import Model
from nextprobe.plan.grown import Node
from nextprobe.plan.identify import best_question
from nextprobe.plan.policy import Action

#: A branch below this share is not followed on: what is likeliest there is taken.
CUT = 1e-4


def identify_noisy(model: Model) -> tuple[float, Node]:
    """The expected minutes of the measurements asked, and the tree."""
    owner = np.arange(len(model.prior))

    def follow(weights: Floats, state: int, measured: Bools) -> tuple[float, Node]:
        mass = float(weights.sum())
        index = None
        if mass > CUT and weights.max() < model.confidence * mass * (1 - 1e-12):
            index = best_question(model, weights, state, owner, measured)
        if index is None:
            return 0.0, Node(Action("found"))
        way, near = model.nearest_measurement
        minutes = mass * float(way[state, index] + model.minutes[index])
        told = measured.copy()
        told[index] = True
        children = {}
        for outcome in range(model.likelihoods[index].shape[1]):
            after = weights * model.likelihoods[index][:, outcome]
            if after.sum() > 0:
                more, children[outcome] = follow(after, int(near[state, index]), told)
                minutes += more
        return minutes, Node(Action("measure", index), children, None, minutes)

    return follow(model.prior, model.start, np.zeros(len(model.likelihoods), dtype=bool))
