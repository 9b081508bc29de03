"""What each measurement tells of each pair of hypotheses, kept by the few kinds of rows that a measurement has.

Many hypotheses have the same chances in one measurement. So the divergence of a pair is that of their kinds of
row, and the sums over pairs become matrix products.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints


@dataclass(frozen=True)
class Evidence:
    """Kinds of row side by side, those of measurement t from `begin[t]` on: Q in all.

    kind (H, Q): 1 where the hypothesis has that kind. nats, variation (H, Q): relative entropy and total variation of
    the hypothesis's row from each kind. endless (H, Q): that relative entropy is infinite (and nats is 0 there).
    """

    begin: Ints
    owner: Ints
    kind: Floats
    nats: Floats
    variation: Floats
    endless: Bools

    @classmethod
    def of(cls, likelihoods: tuple[Floats, ...], among: Ints) -> Evidence:
        """The evidence of measurements (all hypotheses, O_t) on the hypotheses `among` (H,)."""
        kinds, nats, variation, endless = [], [], [], []
        for table in likelihoods:
            rows, which = np.unique(table[among], axis=0, return_inverse=True)
            which = which.ravel()
            logs = np.log(np.where(rows > 0, rows, 1.0))
            apart = np.maximum((rows[:, None, :] * (logs[:, None, :] - logs[None, :, :])).sum(axis=2), 0.0)
            never: Bools = np.any((rows[:, None, :] > 0) & (rows[None, :, :] <= 0), axis=2)
            kinds.append(np.eye(len(rows))[which])
            nats.append(np.where(never, 0.0, apart)[which])
            variation.append(0.5 * np.abs(rows[:, None, :] - rows[None, :, :]).sum(axis=2)[which])
            endless.append(never[which])
        sizes = [part.shape[1] for part in kinds]
        empty = np.zeros((len(among), 0))
        return cls(
            np.cumsum([0, *sizes])[:-1].astype(np.int64),
            np.repeat(np.arange(len(sizes)), sizes).astype(np.int64),
            np.concatenate([empty, *kinds], axis=1),
            np.concatenate([empty, *nats], axis=1),
            np.concatenate([empty, *variation], axis=1),
            np.concatenate([empty.astype(bool), *endless], axis=1),
        )

    def narrowed(self, kept: Ints, measured: Bools) -> Evidence:
        """The same for the hypotheses `kept` (n,); what is `measured` (T,) tells nothing any more."""
        open_ = ~measured[self.owner]
        return Evidence(
            self.begin,
            self.owner,
            self.kind[kept],
            self.nats[kept] * open_,
            self.variation[kept] * open_,
            self.endless[kept] & open_,
        )

    @cached_property
    def bounded(self) -> Bools:
        """(n, n) the pairs whose relative entropy is finite in every open measurement."""
        if not self.endless.any():
            return np.ones((len(self.kind), len(self.kind)), dtype=bool)
        return np.asarray(self.endless.astype(np.float64) @ self.kind.T == 0.0)

    def credit(self, nat: Floats, share: Floats) -> Floats:
        """(n, T) minutes that each measurement is credited, for prices `nat` and `share` (n, n) of each pair."""
        if not len(self.begin):
            return np.zeros((len(self.kind), 0))
        total = (nat @ self.kind) * self.nats + (share @ self.kind) * self.variation
        return np.asarray(np.add.reduceat(total, self.begin, axis=1))

    def told(self, use: Floats) -> tuple[Floats, Floats]:
        """(n, n) nats and total variation that each pair is told by `use` (n, T)."""
        spread = use[:, self.owner]
        return (spread * self.nats) @ self.kind.T, (spread * self.variation) @ self.kind.T
