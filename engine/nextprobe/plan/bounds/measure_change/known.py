"""The least cost of ending with the hypothesis known, when some steps are worth more than they cost.

Proof that it is a lower bound of every policy that knows h and pays these prices. Let V be the needs of all it uses
before its first useful repair e, or its quote. It pays the ways (`tours.py`), and no less than the sum of all
prices below 0 in V. No step is made twice, so if e fails, with chance 1 - f, what follows costs at least the sum of the
prices below 0 that are not in V (those in V that were left for then are counted in full), and an
ending of at least m = min(quote, min over the other useful repairs of price / chance + tail): for after a repair with
that price and chance f comes price + f tail + (1 - f) m >= m.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from nextprobe.model.arrays import Floats, Ints
from nextprobe.plan.bounds.measure_change.tours import Needs, Tours


class Problem(NamedTuple):
    """n hypotheses, all minutes times their weights (n,).

    measure (n, T); idle (n, R): repairs that are not useful, inf where closed; useful (n, R): repairs that may cure,
    without their proof, inf where there is none; proof (R,), tail (R,); chance (n, R) to cure; quote (n,).
    """

    weights: Floats
    measure: Floats
    idle: Floats
    useful: Floats
    proof: Floats
    tail: Floats
    chance: Floats
    quote: Floats


class Least(NamedTuple):
    """minutes (n,) and what is used at the least: measure (n, T), idle (n, R), useful (n, R), quote (n,)."""

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
    tail = p.tail * p.weights[:, None]
    again = (p.useful + p.proof * p.weights[:, None]) / np.where(p.chance > 0, p.chance, 1.0) + tail
    again = np.where(np.isfinite(p.useful), again, np.inf)
    rest, other = _others(again, p.quote)  # (n, R) after each has failed
    within_reach = trips.member.any(axis=0)  # (N,)
    anywhere = gain[within_reach].sum(axis=0)
    failing = 1.0 - p.chance
    spare = failing * (rest + anywhere[:, None])
    done = np.where(np.isfinite(p.useful), p.useful + p.chance * tail + spare, np.inf)
    ends = np.concatenate([done, p.quote[:, None]], axis=1)  # (n, R + 1)
    once = np.concatenate([p.chance, np.ones((count, 1))], axis=1)  # what was in the set is no more to be had after it
    total = prize[:, :, None] * once[:, None, :] + trips.ending * p.weights[:, None, None] + ends[:, None, :]
    place = total.reshape(count, -1).argmin(axis=1)
    tour, end = np.divmod(place, repairs + 1)
    minutes = total.reshape(count, -1)[rows, place]

    quoted = (end == repairs).astype(np.float64)
    useful = np.zeros((count, repairs))
    left = np.zeros(count)
    cured = np.nonzero(end < repairs)[0]
    useful[cured, end[cured]] = 1.0
    left[cured] = failing[cured, end[cured]]
    following = np.full(count, -1)
    following[cured] = other[cured, end[cured]]
    quoted += np.where(following < 0, left, 0.0)
    second = np.nonzero(following >= 0)[0]
    chance = np.maximum(p.chance[second, following[second]], 1e-12)
    useful[second, following[second]] += left[second] / chance
    member = trips.member[tour]
    member = member + left[:, None] * np.maximum(within_reach - member, 0.0)
    return Least(
        minutes,
        np.where(p.measure < 0, member[:, needs.measurement], 0.0),
        np.where(p.idle < 0, member[:, needs.repair], 0.0),
        useful,
        quoted,
    )


def _others(again: Floats, quote: Floats) -> tuple[Floats, Ints]:
    """(n, R) the least ending once each repair has failed, and the repair of it, -1 for a quote."""
    count, repairs = again.shape
    if not repairs:
        return np.zeros((count, 0)), np.zeros((count, 0), dtype=np.int64)
    rows = np.arange(count)
    first = again.argmin(axis=1)
    without = again.copy()
    without[rows, first] = np.inf
    second = without.argmin(axis=1)
    own = np.arange(repairs)[None, :] == first[:, None]
    other = np.where(own, second[:, None], first[:, None])
    minutes = np.where(own, without[rows, second][:, None], again[rows, first][:, None])
    dear = minutes >= quote[:, None]
    return np.where(dear, quote[:, None], minutes), np.where(dear, -1, other)
