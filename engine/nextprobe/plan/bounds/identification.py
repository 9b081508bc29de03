"""The source-coding bound of identification: so many bits must be told, and no measurement tells more than its share.

Proof. At the end the group of the hypothesis is known, so by the chain rule the measurements used have told
H(group) bits in all (Shannon 1948; Huffman 1952 reaches H + 1 with every binary test). One use of measurement
t tells at most log2 of the number of its outcomes and costs c_t, so each bit costs at least
min_t c_t / log2 O_t. Where measurements are noisy a group is never known for certain; the bound is then 0,
which is all that is claimed.
"""

from __future__ import annotations

import numpy as np

from nextprobe.model.model import Model


def identification_bound(model: Model) -> float:
    """The bound from the model's start, in minutes."""
    table = model.sorting
    if table is None or model.confidence < 1.0 or not len(table):
        return 0.0
    _, group = np.unique(table, axis=1, return_inverse=True)
    share = np.bincount(group.ravel(), weights=model.prior)
    share = share[share > 0]
    bits = float(-(share * np.log2(share)).sum())
    told = np.array([np.log2(len(np.unique(row))) for row in table])
    telling = told > 0
    if not telling.any():
        return 0.0
    least = float((model.minutes[telling] / told[telling]).min())
    # With one outcome a time at least one measurement is used wherever there is more than one group.
    return max(bits * least, float(model.minutes[telling].min()) if len(share) > 1 else 0.0)
