"""Which causes the measurements of a pack tell apart, and how well the best of them does.

Two causes differ in a measurement by the total variation of what it reads: 0 where it reads alike for both, 1 where
no reading can be of both. Half of one plus that is the chance to name the right one of the two, equally likely, from
that reading alone (Le Cam 1986).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from nextprobe.model.arrays import Floats, Ints

#: Chances that agree to so many decimals are the same.
DECIMALS = 12


def variation(one: Floats, other: Floats) -> Floats:
    """Total variation (...,) of chances (..., O) over the last axis."""
    return np.asarray(0.5 * np.abs(one - other).sum(axis=-1))


def best_apart(tables: Sequence[Floats], skipped: Sequence[int] = ()) -> tuple[Floats, Ints]:
    """(C, C) the most that one measurement tells two causes apart, and which one; -1 where none does.

    tables: for each measurement (C, O); skipped: measurements that do not count.
    """
    count = len(tables[0]) if tables else 0
    best, which = np.zeros((count, count)), np.full((count, count), -1, dtype=np.int64)
    for index, table in enumerate(tables):
        if index in skipped:
            continue
        apart = variation(table[:, None, :], table[None, :, :])
        better = apart > best + 1e-12
        best[better], which[better] = apart[better], index
    return best, which


def ambiguity_groups(likelihoods: Sequence[Floats], prior: Floats, cause_of: Ints, causes: int) -> Ints:
    """(C,) the group of each cause; causes of one group read alike in every measurement.

    likelihoods: (H, O) each; prior (H,); cause_of (H,). A cause is a mixture of hypotheses: two causes are of one group
    where they mix the same rows in the same shares. A cause without prior is in a group of its own.
    """
    rows = np.hstack([np.zeros((len(prior), 1)), *likelihoods]).round(DECIMALS)
    _, row = np.unique(rows, axis=0, return_inverse=True)
    row = row.ravel()
    mixture = np.zeros((causes, int(row.max(initial=0)) + 1))
    np.add.at(mixture, (cause_of, row), prior)
    mass = mixture.sum(axis=1)
    mixture /= np.maximum(mass, 1e-300)[:, None]
    # One number beside the mixture keeps apart what has no mass at all.
    alone = np.where(mass > 0, 0.0, np.arange(1, causes + 1))
    _, group = np.unique(np.column_stack([mixture.round(DECIMALS), alone]), axis=0, return_inverse=True)
    return np.asarray(group.ravel(), dtype=np.int64)
