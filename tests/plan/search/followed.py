"""What a policy costs when it is followed, step by step; shares nothing with the search."""

from __future__ import annotations

import numpy as np

from nextprobe.model.arrays import Bools, Floats
from nextprobe.model.model import Model
from nextprobe.plan.grown import Node
from nextprobe.plan.order import best_orders


def minutes_of(model: Model, root: Node) -> float:
    """The expected minutes of the policy from the model's start; an illegal step raises ValueError."""
    none = np.zeros(len(model.minutes), dtype=bool), np.zeros(len(model.fixes), dtype=bool)
    return _minutes(model, root, model.prior, model.start, *none)


def _minutes(model: Model, node: Node, weights: Floats, here: int, measured: Bools, tried: Bools) -> float:
    kind, index = node.action.kind, node.action.index
    mass = float(weights.sum())
    if kind == "refer":
        return mass * float(model.refer[here])
    if kind == "measure":
        if not model.askable(measured[None, :])[0, index]:
            raise ValueError(f"measurement {index} is not open")
        there = node.state if node.state >= 0 else int(model.nearest_measurement[1][here, index])
        if not model.at_measurement[index, there]:
            raise ValueError(f"state {there} does not serve measurement {index}")
        told = model.told_after(measured[None, :], np.array([index]))[0]
        total = mass * float(model.ways[here, there] + model.minutes[index])
        for outcome, stop in enumerate(model.stops[index].tolist()):
            after = weights * model.likelihoods[index][:, outcome]
            if stop:
                total += float(after.sum() * model.refer[there])
            elif after.sum() > 0:
                total += _minutes(model, node.children[outcome], after, there, told, tried)
        return total
    if not model.repairable(measured[None, :], tried[None, :])[0, index]:
        raise ValueError(f"repair {index} is not open")
    if node.failed is None and node.state < 0:
        # The best order to its end, as a node without what follows says.
        return float(
            best_orders(model, weights[None, :], np.array([here]), tried, measured=measured[None, :]).minutes[0]
        )
    there = node.state if node.state >= 0 else int(model.nearest_repair[1][here, index])
    after_state = int(model.proof_state[index, there])
    left = weights * (1.0 - model.fixes[index])
    total = mass * float(model.ways[here, there] + model.repair_minutes[index] + model.proof[index, there])
    total += float((weights - left).sum() * model.tail[index, after_state])
    gone = tried.copy()
    gone[index] = True
    if node.failed is not None:
        return total + _minutes(model, node.failed, left, after_state, measured, gone)
    if left.sum() > 1e-12:
        raise ValueError("a repair may fail and nothing follows")
    return total
