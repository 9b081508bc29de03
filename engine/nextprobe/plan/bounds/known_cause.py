"""The clairvoyant bound: what a job would cost if the cause were known at once.

Proof. Whatever a policy does, a job whose hypothesis is h ends by quoting from some state or by a repair
that has a chance on h. Until then it has paid at least the way to that state and the step itself (ways
are shortest ways, so no detour is shorter), and after it the tail. The minimum of these over all endings
bounds the cost given h; the expectation over h bounds the policy. (Perfect information: Raiffa & Schlaifer,
Applied Statistical Decision Theory, 1961.)
"""

from __future__ import annotations

import numpy as np

from nextprobe.model.arrays import Floats
from nextprobe.model.model import Model


def known_cause_minutes(model: Model) -> Floats:
    """(S, H) the bound for each hypothesis from each bench state."""
    repairs = np.arange(len(model.fixes))
    best = np.repeat(model.refer[:, None], len(model.prior), axis=1)
    for repair in repairs.tolist():
        serving = np.nonzero(model.at_repair[repair])[0]
        end = model.proof_state[repair, serving]
        there = model.proof[repair, serving] + model.tail[repair, end]
        minutes = (model.ways[:, serving] + there).min(axis=1, initial=np.inf) + model.repair_minutes[repair]
        helped = model.fixes[repair] > 0
        best[:, helped] = np.minimum(best[:, helped], minutes[:, None])
    # Quoting may be cheaper from another state than from here, and the way there may be made first.
    quote = (model.ways + model.refer[None, :]).min(axis=1)
    return np.asarray(np.minimum(best, quote[:, None]))


def known_cause_bound(model: Model) -> float:
    """The bound from the model's start."""
    return float(known_cause_minutes(model)[model.start] @ model.prior)
