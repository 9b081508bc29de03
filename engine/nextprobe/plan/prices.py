"""What a step wants told first, in minutes: paid with the step that needs it, once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nextprobe.model.arrays import Bools, Floats
from nextprobe.model.model import Model


@dataclass(frozen=True, slots=True)
class Prices:
    """Minutes before each measurement (T,) and before each repair (R,).

    credit (T, R): how much of a repair's price a measurement saves, where it is what the repair wants told.
    """

    measure: Floats
    repair: Floats
    credit: Floats

    @classmethod
    def none(cls, model: Model) -> Prices:
        """Nothing must be told first."""
        measurements, repairs = len(model.likelihoods), len(model.fixes)
        return cls(np.zeros(measurements), np.zeros(repairs), np.zeros((measurements, repairs)))

    def repair_after(self, told: Bools) -> Floats:
        """(N, R) the price of each repair once `told` (N, T) have been told, beside those at the start."""
        return np.asarray(np.maximum(self.repair - told @ self.credit, 0.0))
