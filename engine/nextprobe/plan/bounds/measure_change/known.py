"""The least cost of ending with the hypothesis known, when some steps are worth more than they cost.

Only what is done before the first useful repair e, or the quote, is credited (see the package). Proof that this is a
lower bound of every policy that knows h and pays these prices: let V be the needs of all it uses until then. It
pays the ways (`tours.py`), and no less than the sum of all prices below 0 in V, for no step is made twice; then e or
the quote; and if e fails, with chance 1 - f, no less than the best order of what is left (`known_cause.py`).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from nextprobe.model.arrays import Floats
from nextprobe.plan.bounds.measure_change.tours import Needs, Tours


class Problem(NamedTuple):
    """n hypotheses, all minutes times their weights (n,).

    measure (n, T); idle (n, R): repairs that are not useful, inf where closed; useful (n, R): the first repair that may
    cure and all that follows, but its proof, inf where there is none; quote (n,): quoting before any of them.
    """

    weights: Floats
    measure: Floats
    idle: Floats
    useful: Floats
    quote: Floats


class Least(NamedTuple):
    """minutes (n,) and what is used at the least until the first useful repair or quote: measure (n, T), idle (n, R),
    useful (n, R), quote (n,)."""

    minutes: Floats
    measure: Floats
    idle: Floats
    useful: Floats
    quote: Floats


def least(problem: Problem, needs: Needs, trips: Tours) -> Least:
    """Solve it for every hypothesis side by side."""
    p = problem
    count, repairs = p.useful.shape
    rows = np.arange(count)
    gain = np.zeros((needs.serves.shape[1], count))
    np.add.at(gain, needs.measurement, np.minimum(p.measure, 0.0).T)
    np.add.at(gain, needs.repair, np.minimum(p.idle, 0.0).T)
    prize = gain.T @ trips.member.T  # (n, V)
    ends = np.concatenate([p.useful, p.quote[:, None]], axis=1)  # (n, R + 1)
    total = prize[:, :, None] + trips.ending * p.weights[:, None, None] + ends[:, None, :]
    place = total.reshape(count, -1).argmin(axis=1)
    tour, end = np.divmod(place, repairs + 1)
    cured = np.nonzero(end < repairs)[0]
    useful = np.zeros((count, repairs))
    useful[cured, end[cured]] = 1.0
    member = trips.member[tour]
    return Least(
        total.reshape(count, -1)[rows, place],
        np.where(p.measure < 0, member[:, needs.measurement], 0.0),
        np.where(p.idle < 0, member[:, needs.repair], 0.0),
        useful,
        (end == repairs).astype(np.float64),
    )
