"""The array types of the engine, and the one sum that numpy's own types describe wrongly."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]
    Bits = NDArray[np.uint8]
else:
    # numpy's typing module costs a tenth of what a walk takes to start, and says nothing at run time.
    Floats = Ints = Bools = Bits = np.ndarray


def sum_by(place: Ints, weights: Floats, count: int = 0) -> Floats:
    """(count,) the sum of `weights` (n,) at each index of `place` (n,); as long as needed without `count`."""
    return np.asarray(np.bincount(place, weights=weights, minlength=count), dtype=np.float64)
