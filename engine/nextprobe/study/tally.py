"""What is told of a policy for each hypothesis by itself: the columns that all parts of a study add up."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nextprobe.model.arrays import Floats
from nextprobe.model.model import Model

#: Rows of a tally. MINUTES in all, of which LOOKING for measurements and VAIN for repairs that left the symptom; STEPS:
#: measurements and repairs; the rest are shares of jobs by how they end.
MINUTES, LOOKING, VAIN, STEPS, REPAIRED, QUOTED, STOPPED, FOUND = range(8)
ROWS = 8


@dataclass
class Tally:
    """Sums while a policy is followed: sums (8, H) for one job of each hypothesis, each ROWS entry a row.

    asked (T, C): chance that a job is of each cause and comes to each measurement; tried (R,): that it comes to each
    repair. believed (C, C): the belief in each other cause where repairs and quotes are chosen for jobs of a cause,
    weighted by the minutes that these take (by 1 where a pack only finds); rows are not scaled.
    """

    sums: Floats
    asked: Floats
    tried: Floats
    believed: Floats

    @classmethod
    def empty(cls, model: Model, causes: int) -> Tally:
        """Nothing told yet."""
        return cls(
            np.zeros((ROWS, len(model.prior))),
            np.zeros((len(model.likelihoods), causes)),
            np.zeros(len(model.fixes)),
            np.zeros((causes, causes)),
        )
