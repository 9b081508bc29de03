"""The clairvoyant bound: what a job would cost if the cause were known at once.

Proof. Whatever a policy does, a job whose hypothesis is h makes some of the repairs that may cure h, each once at most,
in some order, until one has cured it or it is quoted. For what it has paid by then (ways are shortest ways, so no
detour is shorter), the dynamic program over the repairs tried and the bench state takes the least: `KnownCause`. The
expectation over h bounds the policy. (Perfect information: Raiffa & Schlaifer, Applied Statistical Decision Theory,
1961; the dynamic program: Held & Karp 1962.) A hypothesis that very many repairs may cure has too many orders. There
each may be made again and again, which only adds policies, and the bound is put into itself from 0 on: every such step
stays below the cost. What must be told first or is closed only takes policies away.
Two faults: `two_faults.py`.
"""

from __future__ import annotations

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.bounds.two_faults import quote_from, two_faults_minutes

#: Orders of more useful repairs than this are not gone through, each more doubles the work; nor of so many that there
#: would be more numbers than ROOM in the table.
MOST_IN_ORDER, ROOM = 7, 20_000_000
#: How often the bound is put into itself where there are more.
AGAIN = 12


class KnownCause:
    """Minutes with the hypothesis known, once some repairs have been tried; for models of one fault.

    Of each class of hypotheses the useful repairs that have been tried are a set, in bits: bits (R, K), so a set is the
    sum of its bits. table (K, sets, S): minutes from each state; failed (K, sets, R): once a useful repair has failed
    too, from the best of the states it may lead to, 0 for other repairs. Where there are too many, the only set is 0.
    """

    def __init__(self, model: Model) -> None:
        self.model = model
        self.quote = quote_from(model)
        serving = [np.nonzero(serves)[0] for serves in model.at_repair]
        self.after = [model.proof_state[r, at] for r, at in enumerate(serving)]
        self.price = [model.ways[:, at] + model.repair_minutes[r] + model.proof[r, at] for r, at in enumerate(serving)]
        chance = model.class_fixes.T  # (K, R)
        kinds, kind = np.unique(chance > 0, axis=0, return_inverse=True)
        useful = [np.nonzero(row)[0].tolist() for row in kinds]
        fits = max(0, ROOM // max(1, len(chance) * len(self.quote))).bit_length() - 1
        self.in_order = min(MOST_IN_ORDER, fits)
        most = max((len(one) for one in useful if len(one) <= self.in_order), default=0)
        self.bits: Ints = np.zeros(chance.T.shape, dtype=np.int64)
        self.table = np.empty((len(chance), 1 << most, len(self.quote)))
        self.failed = np.zeros((len(chance), 1 << most, chance.shape[1]))
        sets = np.arange(1 << most)
        for number, repairs in enumerate(useful):
            of = np.nonzero(kind.ravel() == number)[0]
            table = self._table(repairs, chance[of])
            self.table[of] = table[:, sets % table.shape[1]]
            for place, r in enumerate(repairs):
                bit = 1 << place if len(repairs) <= self.in_order else 0
                self.bits[r, of] = bit
                left = self.table[of][:, :, self.after[r]].min(axis=2, initial=np.inf)
                self.failed[of, :, r] = left[:, sets | bit]

    def minutes(self, tried: Bools | None = None) -> Floats:
        """(S, H) the bound for each hypothesis from each bench state, with `tried` (R,) used up."""
        return np.asarray(self.table[self._each, self._sets(tried)].T[:, self.model.classes])

    def after_failure(self, tried: Bools) -> Floats:
        """(..., H, R) the bound once a useful repair has failed too, for `tried` (..., R); 0 where it is of no use."""
        return np.asarray(self.failed[self._each, self._sets(tried)][..., self.model.classes, :])

    @property
    def _each(self) -> Ints:
        return np.arange(len(self.table))

    def _sets(self, tried: Bools | None) -> Ints:
        return np.zeros(len(self.table), dtype=np.int64) if tried is None else tried @ self.bits

    def _table(self, repairs: list[int], chance: Floats) -> Floats:
        """(n, sets, S) of n classes (n, R) with the same useful repairs; one set where those are too many."""
        if len(repairs) > self.in_order:
            least = np.zeros((len(chance), len(self.quote)))
            for _ in range(AGAIN):
                least = self._least(repairs, chance, [least] * len(repairs))
            return least[:, None]
        table = np.empty((len(chance), 1 << len(repairs), len(self.quote)))
        for tried in range((1 << len(repairs)) - 1, -1, -1):
            left = [place for place in range(len(repairs)) if not tried >> place & 1]
            then = [table[:, tried | 1 << place] for place in left]
            table[:, tried] = self._least([repairs[place] for place in left], chance, then)
        return table

    def _least(self, repairs: list[int], chance: Floats, then: list[Floats]) -> Floats:
        """(n, S) a quote, or one of `repairs` and `then` (each (n, S)) what follows its failure."""
        least = np.broadcast_to(self.quote, (len(chance), len(self.quote)))
        for r, failed in zip(repairs, then, strict=True):
            cures = chance[:, r, None]
            follows = cures * self.model.tail[r, self.after[r]] + (1.0 - cures) * failed[:, self.after[r]]
            least = np.minimum(least, (self.price[r] + follows[:, None, :]).min(axis=2, initial=np.inf))
        return least


def known_cause_minutes(model: Model, tried: Bools | None = None) -> Floats:
    """(S, H) the bound for each hypothesis from each bench state, with `tried` (R,) used up."""
    return KnownCause(model).minutes(tried) if model.still is None else two_faults_minutes(model, model.still, tried)


def known_cause_bound(model: Model) -> float:
    """The bound from the model's start."""
    return float(known_cause_minutes(model)[model.start] @ model.prior)
