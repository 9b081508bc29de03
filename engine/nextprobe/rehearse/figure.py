"""A figure as a meter would show it: a value of the machine inside an outcome's band, read with the meter's doubt."""

from __future__ import annotations

import math
from random import Random

from nextprobe.errors import QuantityError
from nextprobe.quantity import Accuracy, Band, format_quantity, meter_step
from nextprobe.quantity.units import base_unit

#: A meter shows over-limit on an open path that often; else a leak of some size is read.
OVER = 0.5


def true_value(band: Band, quantity: str, luck: Random) -> float:
    """What the machine has, in the base unit, somewhere inside `band`: of a closed one more often in the middle.

    inf where an open path is beyond what a meter shows. How far an open band goes is common practice, no source.
    """
    low, high = band.low, band.high
    if math.isinf(low) and math.isinf(high):
        return 1.0
    if math.isinf(low):
        return luck.uniform(0.0, high) if high > 0 else high - luck.uniform(0.02, 0.5) * max(abs(high), 1.0)
    if math.isinf(high):
        if quantity == "resistance":
            # Leaks differ by decades.
            return math.inf if luck.random() < OVER else max(low, 1e-3) * 10 ** luck.uniform(0.1, 2.0)
        return low + luck.uniform(0.02, 0.3) * (abs(low) or 1.0)
    return luck.triangular(low, high)


def shown(value: float, quantity: str, accuracy: Accuracy | None, counts: float, luck: Random) -> str:
    """`value` as the meter shows it this time: off by up to its accuracy (JCGM 100, 4.3.7), in steps of its last digit.

    Without an accuracy the figure has three digits and no scatter. Raises QuantityError as meter_step does.
    """
    unit = base_unit(quantity)
    if math.isinf(value):
        return "OL"
    if quantity == "count":
        return format_quantity(float(round(value)), unit)
    step = meter_step(value, 1000 if accuracy is None else counts)
    limit = 0.0 if accuracy is None else accuracy.limit(value, step)
    read = value + luck.uniform(-limit, limit)
    step = meter_step(read, 1000 if accuracy is None else counts) or step
    if not step:
        return format_quantity(0.0, unit)
    return format_quantity(round(read / step) * step, unit, step / 2)


def figure(
    band: Band, quantity: str, accuracy: Accuracy | None, counts: float, machine: Random, meter: Random
) -> str | None:
    """A figure of this outcome; `machine` draws what is there, `meter` the scatter. None where none can be shown."""
    try:
        return shown(true_value(band, quantity, machine), quantity, accuracy, counts, meter)
    except QuantityError:
        return None
