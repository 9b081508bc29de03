"""The clairvoyant bound: what a job would cost if the cause were known at once.

Proof. Whatever a policy does, a job whose hypothesis is h ends by quoting from some state or by a repair
that has a chance on h. Until then it has paid at least the way to that state and the step itself (ways
are shortest ways, so no detour is shorter), and after it the tail. The minimum of these over all endings
bounds the cost given h; the expectation over h bounds the policy. (Perfect information: Raiffa & Schlaifer,
Applied Statistical Decision Theory, 1961.)

Where a failed repair changes the hypothesis (two faults), the last repair or quote may be made as another one. Then a
job that is h either quotes, or makes a repair that can cure h and pays the tail, or makes one that can change h and
pays at least the least of what the bound says of any hypothesis it may be then, from whatever state. Put into itself
from 0 on, this only rises towards the least that satisfies it, and every such step is below the cost (induction on
the number of repairs that are still to be made). What must be told first or is closed only takes policies away.
"""

from __future__ import annotations

import numpy as np

from nextprobe.model.arrays import Floats
from nextprobe.model.model import Model

#: How often the bound of a hypothesis is put into that of what becomes it; twice is all that pairs of causes need.
ROUNDS = 3


def known_cause_minutes(model: Model) -> Floats:
    """(S, H) the bound for each hypothesis from each bench state."""
    # Quoting may be cheaper from another state than from here, and the way there may be made first.
    quote = (model.ways + model.refer[None, :]).min(axis=1)
    ending = np.repeat(quote[:, None], len(model.prior), axis=1)
    own = []  # of each repair, by state: the way, its minutes and its look at the symptom; then with the tail too
    for repair in range(len(model.fixes)):
        serving = np.nonzero(model.at_repair[repair])[0]
        there = model.ways[:, serving] + model.repair_minutes[repair] + model.proof[repair, serving]
        own.append(there.min(axis=1, initial=np.inf))
        done = (there + model.tail[repair, model.proof_state[repair, serving]]).min(axis=1, initial=np.inf)
        helped = model.fixes[repair] > 0
        ending[:, helped] = np.minimum(ending[:, helped], done[:, None])
    if model.still is None:
        return ending
    best = np.zeros_like(ending)
    for _ in range(ROUNDS):
        least = best.min(axis=0)
        best = ending.copy()
        for repair, moves in enumerate(model.still.moves):
            after = own[repair][:, None] + least[moves.target][None, :]
            np.minimum.at(best.T, moves.source, after.T)
    return best


def known_cause_bound(model: Model) -> float:
    """The bound from the model's start."""
    return float(known_cause_minutes(model)[model.start] @ model.prior)
