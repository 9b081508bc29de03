"""What a planner must beat: a fixed order, information a minute, repairs by chance over cost."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.identify import information
from nextprobe.plan.order import best_orders
from nextprobe.plan.policy import Action


def repair_or_refer(model: Model, belief: Floats, state: int, tried: Bools) -> Action:
    """The first step of repairing in the best order, or quoting."""
    first = int(best_orders(model, belief[None, :], np.array([state]), tried).first[0])
    return Action("repair", first) if first >= 0 else Action("refer")


def isolated(model: Model, belief: Floats, confidence: float) -> bool:
    """Whether one class of hypotheses with the same repairs holds at least `confidence`."""
    classes = belief @ model.fold
    return bool(classes.max() >= confidence * classes.sum())


@dataclass(frozen=True, slots=True)
class FixedOrder:
    """The measurements in the order given, until one class is isolated; then repairs in the best order.

    `order` (T,) defaults to the order of the pack.
    """

    confidence: float = 0.95
    order: Ints | None = None
    name: str = "fixed order"

    def choose(self, model: Model, belief: Floats, state: int, measured: Bools, tried: Bools) -> Action:
        """The next measurement of the list that can be reached."""
        if tried.any() or isolated(model, belief, self.confidence):
            return repair_or_refer(model, belief, state, tried)
        way, _ = model.nearest_measurement
        order = np.arange(len(measured)) if self.order is None else self.order
        for index in order.tolist():
            if not measured[index] and way[state, index] < 1e6:
                return Action("measure", index)
        return repair_or_refer(model, belief, state, tried)


@dataclass(frozen=True, slots=True)
class InformationPerMinute:
    """Most information about the class of repairs a minute, until one class is isolated; then repairs."""

    confidence: float = 0.95
    name: str = "information per minute"

    def choose(self, model: Model, belief: Floats, state: int, measured: Bools, tried: Bools) -> Action:
        """The measurement with the most bits a minute, its moves counted in."""
        if tried.any() or isolated(model, belief, self.confidence):
            return repair_or_refer(model, belief, state, tried)
        way, _ = model.nearest_measurement
        minutes = np.maximum(way[state] + model.minutes, 1e-3)
        bits = information(model, belief, model.fold.argmax(axis=1))
        score = np.where(measured | (bits < 1e-6) | (minutes > 1e6), -1.0, bits / minutes)
        best = int(score.argmax()) if len(score) else -1
        if best < 0 or score[best] <= 0:
            return repair_or_refer(model, belief, state, tried)
        return Action("measure", best)


@dataclass(frozen=True, slots=True)
class RepairsOnly:
    """No measurement at all: repairs by chance over cost, or quoting."""

    name: str = "repairs by chance over cost"

    def choose(self, model: Model, belief: Floats, state: int, measured: Bools, tried: Bools) -> Action:
        """The first repair of the best order."""
        return repair_or_refer(model, belief, state, tried)
