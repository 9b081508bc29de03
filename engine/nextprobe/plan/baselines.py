"""What a planner must beat: a fixed order, information a minute, repairs by chance over cost."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.identify import LEAST_BITS, information
from nextprobe.plan.order import best_orders
from nextprobe.plan.policy import Action

if TYPE_CHECKING:
    from numpy.typing import NDArray

#: As LEAST_BITS, for beliefs that are looked at in single precision.
LEAST_BITS_OF_MANY = 1e-5


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

    def ask(self, model: Model, weights: Floats, state: Ints, open_: Bools) -> Ints:
        """(N,) the first of the list that is open."""
        order = np.arange(open_.shape[1]) if self.order is None else self.order
        if not len(order):
            return np.full(len(weights), -1)
        return np.where(open_[:, order].any(axis=1), order[open_[:, order].argmax(axis=1)], -1)


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
        score = np.where(measured | (bits < LEAST_BITS) | (minutes > 1e6), -1.0, bits / minutes)
        best = int(score.argmax()) if len(score) else -1
        if best < 0 or score[best] <= 0:
            return repair_or_refer(model, belief, state, tried)
        return Action("measure", best)

    def ask(self, model: Model, weights: Floats, state: Ints, open_: Bools) -> Ints:
        """(N,) the open measurement with the most bits a minute, for many beliefs at once."""
        if not open_.shape[1]:
            return np.full(len(weights), -1)
        minutes = np.maximum(model.nearest_measurement[0][state] + model.minutes, 1e-3)
        bits = information_of_many(model, weights)
        score = np.where(open_ & (bits >= LEAST_BITS), bits / minutes, -1.0)
        return np.where(score.max(axis=1) > 0, score.argmax(axis=1), -1)


def information_of_many(model: Model, weights: Floats) -> Floats:
    """(N, T) expected bits that each measurement tells about the class of repairs, from beliefs (N, H)."""
    belief = weights / np.maximum(weights.sum(axis=1, keepdims=True), 1e-300)
    label = model.fold.argmax(axis=1)
    order = np.argsort(label, kind="stable")
    begins = np.searchsorted(label[order], np.arange(int(label.max()) + 2))
    # Single precision: logarithms are most of the work, and the bits need no more digits than LEAST_BITS_OF_MANY.
    columns = np.ascontiguousarray(model.stacked[0].T[order].astype(np.float32))  # (H, outcomes), class after class
    belief = belief[:, order].astype(np.float32)
    total = np.zeros((len(belief), columns.shape[1]), dtype=np.float32)
    after = np.zeros_like(total)
    now = np.zeros(len(belief), dtype=np.float32)
    for begin, end in pairwise(begins.tolist()):
        part = belief[:, begin:end]
        share = part.sum(axis=1)
        joint = part @ columns[begin:end]
        total += joint
        after += _plogp(joint)
        now += _plogp(share)
    gained = after - _plogp(total)
    bits = np.add.reduceat(gained, model.first_row[:-1], axis=1) - now[:, None]
    return np.asarray(bits, dtype=np.float64)


def _plogp(p: NDArray[np.float32]) -> NDArray[np.float32]:
    return np.asarray(p * np.log2(np.maximum(p, np.float32(1e-30))), dtype=np.float32)


@dataclass(frozen=True, slots=True)
class RepairsOnly:
    """No measurement at all: repairs by chance over cost, or quoting."""

    name: str = "repairs by chance over cost"

    def choose(self, model: Model, belief: Floats, state: int, measured: Bools, tried: Bools) -> Action:
        """The first repair of the best order."""
        return repair_or_refer(model, belief, state, tried)
