"""A written policy told for any hypotheses: its minutes, how these follow each factor, how often a row is come to.

No row is on a way twice with the same measurement or repair, so a hypothesis' minutes are a sum of products in which
each factor stands at most once: exactly linear in the chances of one measurement, or of one repair.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from nextprobe.model.arrays import Floats
from nextprobe.model.model import Model
from nextprobe.study.doubts_rows import factor_table
from nextprobe.study.doubts_written import Written

#: Bytes that one array of rows x hypotheses may take.
MEMORY = 64_000_000


@dataclass(frozen=True)
class Told:
    """minutes (H,): for one job of each hypothesis; slopes (F, H): how they change with each factor, {} rows where not
    asked for; visits (N,): chance that a job comes to each row."""

    minutes: Floats
    slopes: Floats
    visits: Floats

    def mean(self, prior: Floats) -> float:
        """The minutes over all jobs, prior (H,)."""
        return float(self.minutes @ prior / prior.sum())


def told(
    policy: Written,
    factors: Floats,
    minutes: Floats,
    prior: Floats,
    *,
    slopes: bool = False,
    cancel: Callable[[], bool] = lambda: False,
) -> Told | None:
    """Tell `policy` with the chances `factors` (F, H) and the rows' `minutes` (N,); None where it was cancelled."""
    rows, count = len(policy.parent), factors.shape[1]
    step = max(1, MEMORY // (8 * rows))
    result = Told(np.zeros(count), np.zeros(factors.shape if slopes else (0, count)), np.zeros(rows))
    share = prior / prior.sum()
    for begin in range(0, count, step):
        if cancel():
            return None
        part = slice(begin, min(begin + step, count))
        own = np.ascontiguousarray(factors[:, part])
        reach = np.ones((rows, own.shape[1]))
        for layer in policy.layers:
            here = slice(layer.begin, layer.end)
            np.multiply(reach[policy.parent[here]], own[policy.factor[here]], out=reach[here])
        result.visits[:] += reach @ share[part]
        ahead = np.repeat(minutes[:, None], own.shape[1], axis=1)
        for layer in reversed(policy.layers):
            here = slice(layer.begin, layer.end)
            if slopes:
                product = (reach[policy.parent[here]] * ahead[here])[layer.by_factor]
                result.slopes[layer.factors, part] += np.add.reduceat(product, layer.factor_starts, axis=0)
            back = own[policy.factor[here]] * ahead[here]
            ahead[layer.parents] += np.add.reduceat(back, layer.parent_starts, axis=0)
        result.minutes[part] = ahead[0]
    return result


def minutes_of(policy: Written, model: Model) -> float:
    """The expected minutes of a written policy if the numbers are those of `model`, which has the same steps."""
    stacked, _ = model.stacked
    found = told(policy, factor_table(model, stacked, model.fixes), policy.minutes(model), model.prior)
    return 0.0 if found is None else found.mean(model.prior)
