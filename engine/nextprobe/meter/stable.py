"""When a reading is steady: computed from the readings themselves, so that nobody has to judge a dancing figure."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass, field

from nextprobe.quantity import meter_step

FEWEST = 5
"""Readings that a steady one rests on at least."""

SHORTEST, LONGEST = 0.8, 3.0
"""Seconds that they span at least and at most."""

AHEAD = 3.0
"""Seconds: the slowest settling that is seen through."""

PART = 0.002
"""Half of the band as a part of the reading."""

At = tuple[float, float]
"""When (seconds) and what (base unit)."""


def half_band(value: float, counts: float, digit: float) -> float:
    """How far readings may lie from a steady `value`: 0.2 % of it, or two of the digits shown if that is more."""
    return max(PART * abs(value), 2 * shown_step(value, counts, digit))


def shown_step(value: float, counts: float, digit: float) -> float:
    """The last digit that is shown of `value`: one count of its range, `digit` at least."""
    return max(meter_step(value, counts), digit)


def steady(readings: Sequence[At], counts: float, digit: float) -> float | None:
    """The mean of the last readings where they are steady, None where they are not.

    They are when FEWEST or more, over SHORTEST seconds or more, all lie in a band around their mean, and the straight
    line through them (least squares), two of its standard errors steeper, would not leave the band within AHEAD seconds
    from their end. Where a voltage settles as exp(-t/T) the rest of its way is T times the slope, so with T up to AHEAD
    the mean is within the band of where it settles. Of the stretches that end now the shortest that serves is taken.
    """
    for count in range(FEWEST, len(readings) + 1):
        last = readings[-count:]
        if last[-1][0] - last[0][0] < SHORTEST:
            continue
        mean = math.fsum(value for _, value in last) / count
        half = half_band(mean, counts, digit)
        if any(abs(value - mean) > half for _, value in last):
            return None  # a longer stretch has the same readings in it, and its mean hardly another place
        if _steepest(last, mean) * (AHEAD + (last[-1][0] - last[0][0]) / 2) <= half:
            return mean
    return None


def _steepest(readings: Sequence[At], mean: float) -> float:
    """How steep their straight line is at most: the slope's size and two of its standard errors."""
    count = len(readings)
    middle = math.fsum(at for at, _ in readings) / count
    spread = math.fsum((at - middle) ** 2 for at, _ in readings)
    slope = math.fsum((at - middle) * (value - mean) for at, value in readings) / spread
    left = math.fsum((value - mean - slope * (at - middle)) ** 2 for at, value in readings)
    return abs(slope) + 2 * math.sqrt(left / (count - 2) / spread)


@dataclass
class Settling:
    """Takes readings in as they come and says whether they are steady."""

    counts: float
    digit: float
    _readings: deque[At] = field(default_factory=deque)

    def add(self, at: float, value: float) -> float | None:
        """Take in a reading of the moment `at` (seconds); the steady value, None where there is none.

        Overload and no reading begin it anew, as a reading far from the last one does: the leads were moved.
        """
        if not math.isfinite(value):
            self._readings.clear()
            return None
        if self._readings:
            last = self._readings[-1][1]
            if abs(value - last) > 2 * half_band(last, self.counts, self.digit):
                self._readings.clear()
        self._readings.append((at, value))
        while at - self._readings[0][0] > LONGEST:
            self._readings.popleft()
        return steady(tuple(self._readings), self.counts, self.digit)
