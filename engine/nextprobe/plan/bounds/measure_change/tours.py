"""The least moves that take the bench through places: what using a set of steps costs in ways at least.

Steps that are served by the same bench states share one need. For every set of needs that can be met, the
shortest walk from here through states that serve them all is found by dynamic programming over (needs met, state),
as in Held & Karp 1962. A repair that fails leaves the bench elsewhere; that leap is a way too, at what its
proof costs beyond the least proof of that repair, which each use pays by itself.

Where a bench has so many places that the sets are too many, the needs that lie nearest to each other become one, which
is met where either is: that only makes ways shorter, so the bound holds.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model

#: Sets of needs that are gone through; FEWEST needs never make more of them.
MOST_SETS, FEWEST = 128, 7
#: Needs that fit into the bits of a number.
BITS = 62


@dataclass(frozen=True)
class Needs:
    """Which steps share a need.

    measurement (T,), repair (R,): the need of each step. serves (S, N): the states that serve each need.
    leaps (S, S): minutes of the shortest ways, leaps by failed repairs among them. proof (R,): the least proof.
    """

    measurement: Ints
    repair: Ints
    serves: Bools
    leaps: Floats
    proof: Floats


@dataclass(frozen=True)
class Tours:
    """member (V, N): sets of needs, those worth having. ending (V, R + 1): minutes of ways through each set until a
    repair made from there has been proven, and last until a quote from there, beyond the least price of quoting."""

    member: Floats
    ending: Floats


def needs_of(model: Model) -> Needs:
    """The needs of a model's steps."""
    masks = np.concatenate([model.at_measurement, model.at_repair])
    kinds, which = np.unique(masks, axis=0, return_inverse=True)
    which = which.ravel()
    repairs = range(len(model.fixes))
    proof = np.array([model.proof[r][model.at_repair[r]].min() for r in repairs])
    leaps = model.ways.copy()
    for r in repairs:
        for state in np.nonzero(model.at_repair[r])[0].tolist():
            after = int(model.proof_state[r, state])
            leaps[state, after] = min(leaps[state, after], max(0.0, model.proof[r, state] - proof[r]))
    for middle in range(len(leaps)):  # Floyd & Warshall 1962
        leaps = np.minimum(leaps, leaps[:, middle, None] + leaps[None, middle, :])
    serves, one = _few(np.ascontiguousarray(kinds.T), leaps)
    which = one[which]
    count = len(model.minutes)
    return Needs(which[:count], which[count:], serves, leaps, proof)


def _few(serves: Bools, leaps: Floats) -> tuple[Bools, Ints]:
    """Few enough of the needs in `serves` (S, N) for MOST_SETS, and (N,) which of them each is now."""
    one = np.arange(serves.shape[1])
    to = np.array([leaps[served].min(axis=0, initial=np.inf) for served in serves.T]).reshape(len(one), len(leaps))
    apart = np.array([to[:, served].min(axis=1, initial=np.inf) for served in serves.T]).reshape(len(one), len(one))
    while serves.shape[1] > FEWEST and not _fits(serves):
        for _ in range(max(1, serves.shape[1] // 8)):
            pairs = np.minimum(apart, apart.T)
            np.fill_diagonal(pairs, np.inf)
            kept, gone = sorted(divmod(int(pairs.argmin()), len(pairs)))
            serves[:, kept] |= serves[:, gone]
            apart[kept] = np.minimum(apart[kept], apart[gone])
            apart[:, kept] = np.minimum(apart[:, kept], apart[:, gone])
            left = np.arange(len(pairs)) != gone
            serves, apart = serves[:, left], apart[left][:, left]
            one = np.where(one == gone, kept, np.where(one > gone, one - 1, one))
    return serves, one


def _fits(serves: Bools) -> bool:
    """Whether no more than MOST_SETS sets of needs can be met, wherever one begins."""
    if serves.shape[1] > BITS:
        return False
    sets = {0}
    for state in np.unique(_bits(serves)).tolist():
        sets |= {one | state for one in sets}
        if len(sets) > MOST_SETS:
            return False
    return True


def _bits(serves: Bools) -> Ints:
    """(S,) the needs that each state serves, a bit each."""
    return np.asarray(serves.astype(np.int64) @ (1 << np.arange(serves.shape[1], dtype=np.int64)))


def tours(model: Model, needs: Needs, start: int) -> Tours:
    """The tours from bench state `start`."""
    walks = _walks(needs.leaps, _bits(needs.serves), start)
    sets = np.array(sorted(walks), dtype=np.int64)
    arrive = np.array([walks[one] for one in sets.tolist()])  # (V, S)
    ending = np.full((len(sets), len(model.fixes) + 1), np.inf)
    for r in range(len(model.fixes)):
        at = np.nonzero(model.at_repair[r])[0]
        ending[:, r] = (arrive[:, at] + model.proof[r, at]).min(axis=1)
    ending[:, -1] = (arrive + model.refer).min(axis=1) - model.refer.min()
    kept = _worth_having(sets, ending)
    member = (sets[kept, None] >> np.arange(needs.serves.shape[1]) & 1).astype(np.float64)
    return Tours(member, ending[kept])


def _walks(ways: Floats, bits: Ints, start: int) -> dict[int, Floats]:
    """For each set of needs that can be met: (S,) minutes of the shortest walk that meets just these and ends there."""
    kinds = [(int(one), np.nonzero(bits == one)[0]) for one in np.unique(bits)]
    begin = np.full(len(ways), np.inf)
    begin[start] = 0.0
    open_, done = {int(bits[start]): begin}, {}
    while open_:
        met = min(open_)  # needs are only ever added, so a set is finished once no smaller one is open
        arrive = (open_.pop(met)[:, None] + ways).min(axis=0)
        done[met] = np.where(bits & ~met, np.inf, arrive)
        for one, states in kinds:
            if one & ~met:
                more = open_.setdefault(met | one, np.full(len(ways), np.inf))
                more[states] = np.minimum(more[states], arrive[states])
    return done


def _worth_having(sets: Ints, ending: Floats) -> Ints:
    """The sets that no larger set makes needless at no more minutes."""
    kept = []
    for place, one in enumerate(sets.tolist()):
        wider = (sets & one == one) & (sets != one)
        if not (ending[wider] <= ending[place] + 1e-9).all(axis=1).any():
            kept.append(place)
    return np.array(kept, dtype=np.int64)
