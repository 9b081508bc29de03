"""The nats that each step is credited with, hypothesis by hypothesis, and the use of steps they are taken from.

Any expected outcomes q, any shares v and u are valid (see bound.py). The best ones for a given use of the steps are
the mixtures of those who use them: each follows from minimising a sum of -log over a simplex, as in Blahut 1972. So the
rates are taken from a usage, and a usage may be kept for beliefs that follow.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nextprobe.model.arrays import Floats, Ints
from nextprobe.model.model import Model

TINY = 1e-300
#: Everybody's share in the use of each step, so that no rate is without limit.
FLOOR = 0.02


@dataclass(frozen=True)
class Usage:
    """(N, T + R + 1, H): how far each hypothesis uses each measurement, each repair and, last, quoting; 0 to 1."""

    of: Floats

    @classmethod
    def all(cls, model: Model, count: int = 1) -> Usage:
        """Everything is used by everybody."""
        return cls(np.ones((count, len(model.minutes) + len(model.fixes) + 1, len(model.prior))))

    def towards(self, other: Usage, share: float) -> Usage:
        """This usage and a `share` of the other."""
        return Usage(self.of + share * (other.of - self.of))


@dataclass(frozen=True)
class Rates:
    """rho (N,): minutes for each nat. nats (N, T + R + 1, H) of each measurement, each repair and, last, quoting."""

    rho: Floats
    nats: Floats


def sum_outcomes(rows: Floats, first_row: Ints, axis: int) -> Floats:
    """Sums over the outcomes of each measurement: `axis`, 0 or 1, has a row for each outcome."""
    sizes = np.diff(first_row)
    if not len(sizes):
        return rows
    if (sizes == sizes[0]).all():  # slices are several times as fast
        parts = [rows[place :: sizes[0]] if axis == 0 else rows[:, place :: sizes[0]] for place in range(sizes[0])]
        return np.asarray(sum(parts[1:], start=parts[0]))
    return np.asarray(np.add.reduceat(rows, first_row[:-1], axis=axis))


class RateTable:
    """Rates of one model."""

    def __init__(self, model: Model) -> None:
        self.model = model
        self.rows, self.owner = model.stacked
        self.begin = model.first_row[:-1]
        self.told = self._by_measurement(self.rows * np.log(np.maximum(self.rows, TINY)), 0)
        self.class_of: Ints = model.fold.argmax(axis=1)
        left = 1.0 - model.class_fixes
        self.left, self.left_logs = left, left * np.log(np.maximum(left, TINY))

    def _by_measurement(self, rows: Floats, axis: int) -> Floats:
        """Sums over the outcomes of each measurement."""
        return sum_outcomes(rows, self.model.first_row, axis)

    def rates(self, weights: Floats, usage: Usage, rho: Floats) -> Rates:
        """The best rates for weights (N, H) that use the steps so, at rho (N,)."""
        tests = len(self.begin)
        belief = weights / np.maximum(weights.sum(axis=1, keepdims=True), TINY)
        used = (usage.of + FLOOR) * belief[:, None, :]
        nats = np.empty_like(usage.of)
        nats[:, :tests] = self._measured(used[:, :tests])
        classes = used[:, tests:] @ self.model.fold + 1e-9
        classes /= classes.sum(axis=2, keepdims=True)
        logs = np.log(classes)
        # What a repair takes off the entropy is below its tangent at the shares v.
        still = np.maximum((classes[:, :-1] * self.left).sum(axis=2), TINY)
        tangent = self.left_logs - self.model.class_fixes * logs[:, :-1] - self.left * np.log(still)[:, :, None]
        nats[:, tests:-1] = tangent[:, :, self.class_of]
        nats[:, -1] = -logs[:, -1, self.class_of]
        return Rates(rho, nats)

    def _measured(self, used: Floats) -> Floats:
        """(N, T, H) the divergence of each hypothesis's outcomes from those that are expected."""
        if not len(self.begin):
            return used
        expected = (used[:, self.owner] * self.rows).sum(axis=2) + 1e-9
        logs = np.log(expected / self._by_measurement(expected, 1)[:, self.owner])
        return np.maximum(self.told - self._by_measurement(logs[:, :, None] * self.rows, 1), 0.0)

    def entropy(self, weights: Floats) -> Floats:
        """(N,) mass times entropy, in nats, of the classes of hypotheses with equal repairs; weights (N, H)."""
        classes = weights @ self.model.fold
        mass = np.maximum(classes.sum(axis=1, keepdims=True), TINY)
        return np.asarray(-(classes * np.log(np.maximum(classes, TINY) / mass)).sum(axis=1))
