"""Fractions detected and isolated and ambiguity groups, in the terms of IEEE 1522 (formulas from memory).

FFD = sum of detected weights / sum of weights; FFI(L) = sum of detected weights in a group of at most L / sum of
detected weights; mean ambiguity = sum of weight x size of group / sum of weights, over detected causes only. By
weight the causes count as often as they come in, by count each counts once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.study.apart import variation

#: Jobs drawn to see how far all readings together isolate a cause.
JOBS = 1500


@dataclass(frozen=True)
class Fractions:
    """detected: FFD; isolated: FFI(L) by L, up to 1; mean_ambiguity: the mean size of the group of a detected cause."""

    detected: float
    isolated: dict[int, float]
    mean_ambiguity: float

    def as_dict(self) -> dict[str, Any]:
        """Plain data for a program."""
        isolated = {str(size): share for size, share in self.isolated.items()}
        return {"detected": self.detected, "isolated": isolated, "mean_ambiguity": self.mean_ambiguity}


def fractions(weights: Floats, detected: Bools, group: Ints) -> Fractions:
    """Of causes with these weights (C,), whether each is detected (C,), and its ambiguity group (C,)."""
    sizes = np.bincount(group[detected], minlength=int(group.max(initial=0)) + 1)[group]
    total, seen = float(weights.sum()), float(weights[detected].sum())
    if total <= 0 or seen <= 0:
        return Fractions(0.0, {}, 0.0)
    isolated = {}
    for size in sorted(set(sizes[detected].tolist())):
        isolated[int(size)] = float(weights[detected & (sizes <= size)].sum()) / seen
    return Fractions(seen / total, isolated, float((weights * sizes)[detected].sum()) / seen)


def detected_by(tables: Sequence[Floats], healthy: Sequence[Floats]) -> Floats:
    """(C,) the most that one measurement differs from the healthy machine's, as total variation.

    tables: for each measurement (C, O); healthy: (O,) each. 0 where every measurement reads as on a healthy machine.
    """
    best = np.zeros(len(tables[0]) if tables else 0)
    for table, sound in zip(tables, healthy, strict=True):
        best = np.maximum(best, variation(table, sound))
    return best


def isolated_at(
    likelihoods: Sequence[Floats], prior: Floats, cause_of: Ints, causes: int, confidence: float, seed: int = 0
) -> tuple[Floats, Floats]:
    """Once every measurement is told: how many causes it takes to hold `confidence` of the belief.

    Returns (C,) the share of jobs in which it is at most so many causes, from 1 on, and (C,) the chance of each cause
    to be isolated alone; drawn, with a standard error of about 1 % for the shares. likelihoods: (H, O) each.
    """
    rng = np.random.default_rng(seed)
    weights = prior / prior.sum()
    hidden = rng.choice(len(weights), size=JOBS, p=weights)
    with np.errstate(divide="ignore"):
        told = np.repeat(np.log(weights)[None, :], JOBS, axis=0)
        for table in likelihoods:
            steps = np.cumsum(table, axis=1)[hidden]
            outcome = np.minimum((steps <= rng.random(JOBS)[:, None]).sum(axis=1), table.shape[1] - 1)
            told += np.log(table.T)[outcome]
    belief = np.exp(told - told.max(axis=1, keepdims=True))
    fold = np.zeros((len(weights), causes))
    fold[np.arange(len(weights)), cause_of] = 1.0
    shares = belief @ fold
    shares /= shares.sum(axis=1, keepdims=True)
    held = np.cumsum(-np.sort(-shares, axis=1), axis=1)
    size = (held < confidence - 1e-12).sum(axis=1) + 1
    by_size = np.cumsum(np.bincount(size, minlength=causes + 1)[1 : causes + 1]) / JOBS
    alone = np.bincount(cause_of[hidden], weights=(size == 1).astype(float), minlength=causes)
    return by_size, alone / np.maximum(np.bincount(cause_of[hidden], minlength=causes), 1)
