"""The array types of the engine, and the one sum that numpy's own types describe wrongly."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Bits = NDArray[np.uint8]


def sum_by(place: Ints, weights: Floats, count: int = 0) -> Floats:
    """(count,) the sum of `weights` (n,) at each index of `place` (n,); as long as needed without `count`."""
    return np.asarray(np.bincount(place, weights=weights, minlength=count), dtype=np.float64)
