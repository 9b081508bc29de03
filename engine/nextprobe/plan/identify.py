"""Without repairs the aim is identification: the reading that tells most of the causes a minute."""

from __future__ import annotations

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints, sum_by
from nextprobe.model.model import Model

#: Less than this many bits is no information: what is left is one ambiguity group.
LEAST_BITS = 1e-6


def best_question(model: Model, belief: Floats, state: int, owner: Ints, measured: Bools) -> int | None:
    """The measurement with the most information about the causes a minute; None where none tells anything.

    belief (H,); owner (H,): the cause of each hypothesis; measured (T,): not open.
    """
    bits = information(model, belief, owner)
    way, _ = model.nearest_measurement
    minutes = np.maximum(way[state] + model.minutes, 1e-3)
    score = np.where(measured | (bits < LEAST_BITS) | (minutes > 1e6), -1.0, bits / minutes)
    best = int(score.argmax()) if len(score) else -1
    return best if best >= 0 and score[best] > 0 else None


def information(model: Model, belief: Floats, owner: Ints) -> Floats:
    """(T,) expected bits that each measurement tells about the cause."""
    belief = belief / belief.sum()
    rows, of = model.stacked
    joint, share = rows * belief, belief[None, :]
    causes = int(owner.max()) + 1
    if causes < len(belief):
        fold = np.zeros((len(belief), causes))
        fold[np.arange(len(belief)), owner] = 1.0
        joint, share = joint @ fold, share @ fold  # (outcomes, causes), (1, causes)
    marginal = joint.sum(axis=1)
    now = _sum_plogp(share)[0]
    after: Floats = _sum_plogp(joint) - _plogp(marginal)
    return np.asarray(sum_by(of, after, len(model.likelihoods)) - now, dtype=np.float64)


def _plogp(p: Floats) -> Floats:
    result: Floats = np.where(p > 0, p * np.log2(np.where(p > 0, p, 1.0)), 0.0)
    return result


def _sum_plogp(p: Floats) -> Floats:
    return np.asarray(_plogp(p).sum(axis=1), dtype=np.float64)
