"""The prices of all pairs, kept so that they fit any later belief."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nextprobe.model.arrays import Floats, Ints

#: Minutes of the first prices, a pair: for a nat, a wrong repair, a wrong end, and for a share told apart.
FIRST = (5.0, 10.0, 10.0, 1.0)
NAT, REPAIR, END, SHARE = range(4)


@dataclass(frozen=True)
class PairPrices:
    """logs (4, n, n): logarithms of the minutes of each pair (first, second), per unit of `shared`; kept (n,): of
    which hypotheses of the model."""

    logs: Floats
    kept: Ints

    @classmethod
    def first(cls, kept: Ints, weights: Floats) -> PairPrices:
        """Where an ascent begins: minutes times both of the weights (n,)."""
        both = np.log(np.maximum(weights[:, None] + weights[None, :], 1e-12))
        return cls(np.log(np.array(FIRST))[:, None, None] + both, kept)

    def narrowed(self, kept: Ints) -> PairPrices:
        """The prices of the hypotheses `kept`, which must all be among those priced."""
        place = np.searchsorted(self.kept, kept)
        return PairPrices(self.logs[:, place[:, None], place[None, :]], kept)


def shared(weights: Floats) -> Floats:
    """(n, n) what two weights have in common: w v / (w + v), which scales with both and is below each."""
    total = weights[:, None] + weights[None, :]
    return np.asarray(weights[:, None] * weights[None, :] / np.maximum(total, 1e-300))
