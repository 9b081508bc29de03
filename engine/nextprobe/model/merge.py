"""Hypotheses that no reading and no repair tells apart, as one: a smaller model with the same policies and costs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from nextprobe.model.arrays import Ints, sum_by
from nextprobe.model.model import Model

#: Chances that agree to so many decimals are the same.
DECIMALS = 12


def merged(model: Model) -> tuple[Model, Ints]:
    """The model with each group of like hypotheses as one, and (H,) the group of each hypothesis.

    Exact: the weights of a group are only ever multiplied by the same figures. With two faults (`still`) nothing is
    merged, for there what a hypothesis becomes would have to be alike too.
    """
    if model.still is not None:
        return model, np.arange(len(model.prior))
    rows = np.hstack([*model.likelihoods, model.fixes.T]).round(DECIMALS)
    _, first, group = np.unique(rows, axis=0, return_index=True, return_inverse=True)
    group = group.ravel()
    if len(first) == len(model.prior):
        return model, np.arange(len(model.prior))
    return replace(model.narrowed(first), prior=sum_by(group, model.prior, len(first))), group
