"""When a reading counts as steady: against drawn noise and against voltages that settle exponentially.

The settling curve is the text-book charge of a capacitor, V(t) = V∞ (1 − exp(−t/T)); the promise that a steady value is
near V∞ is the house's own, checked by drawing.
"""

from __future__ import annotations

import math
import random

import pytest

from nextprobe.meter.stable import AHEAD, FEWEST, LONGEST, SHORTEST, Settling, half_band, shown_step, steady

COUNTS, DIGIT, EVERY = 6000.0, 1e-4, 0.15
"""A usual hand-held meter's display (common practice, no source), and seconds from reading to reading."""


def first_steady(values: list[float]) -> tuple[float, float] | None:
    """When (seconds) the first steady value came, and which."""
    settling = Settling(COUNTS, DIGIT)
    for n, value in enumerate(values):
        found = settling.add(EVERY * n, value)
        if found is not None:
            return EVERY * n, found
    return None


def test_a_constant_is_steady_as_soon_as_the_shortest_stretch_is_there() -> None:
    found = first_steady([1.148] * 40)
    assert found is not None
    at, value = found
    assert SHORTEST <= at < SHORTEST + EVERY + 1e-9
    assert value == pytest.approx(1.148, abs=1e-12)


def test_fewer_than_the_fewest_readings_are_never_steady() -> None:
    slow = [(10.0 * n, 1.148) for n in range(FEWEST - 1)]
    assert steady(slow, COUNTS, DIGIT) is None


@pytest.mark.parametrize("relative", [0.0002, 0.0005])
def test_small_noise_is_steady_and_the_value_is_the_mean(relative: float) -> None:
    draw = random.Random(7)
    times = []
    for _ in range(100):
        found = first_steady([3.3 * (1 + draw.gauss(0, relative)) for _ in range(60)])
        assert found is not None
        times.append(found[0])
        # Five readings or more: their mean lies within 4 standard errors of the truth in all but 1 of 10,000 draws.
        assert abs(found[1] / 3.3 - 1) < 4 * relative / math.sqrt(FEWEST)
    assert sorted(times)[len(times) // 2] <= LONGEST


def test_noise_of_two_percent_is_not_steady() -> None:
    draw = random.Random(8)
    found = [first_steady([3.3 * (1 + draw.gauss(0, 0.02)) for _ in range(60)]) for _ in range(100)]
    # Five in a row within a tenth of a standard deviation of their mean: a rare chance, never the rule.
    assert sum(one is not None for one in found) <= 2


@pytest.mark.parametrize("constant", [0.3, 1.0, AHEAD])
@pytest.mark.parametrize(("noise", "bands"), [(0.0, 1.0), (0.0002, 1.5)])
def test_what_settles_is_called_steady_only_near_its_end(constant: float, noise: float, bands: float) -> None:
    # Noise may hide a slope for once, and there is a new look at every reading: half a band more, in 99 of 100.
    draw = random.Random(9)
    far = 0
    for _ in range(100):
        curve = [
            5.0 * (1 - math.exp(-EVERY * n / constant)) * (1 + draw.gauss(0, noise)) for n in range(int(60 / EVERY))
        ]
        found = first_steady(curve)
        assert found is not None
        far += abs(found[1] - 5.0) > bands * half_band(5.0, COUNTS, DIGIT)
    assert far <= 1


def test_a_slow_drift_within_the_band_is_not_steady() -> None:
    # 0.1 % a second stays within ± 0.2 % for seconds, and goes on for ever.
    assert first_steady([2.0 * (1 + 0.001 * EVERY * n) for n in range(200)]) is None


def test_moved_leads_begin_anew() -> None:
    settling = Settling(COUNTS, DIGIT)
    for n in range(20):
        settling.add(EVERY * n, 3.3)
    assert settling.add(EVERY * 20, 3.3) == pytest.approx(3.3)
    assert settling.add(EVERY * 21, 1.2) is None
    assert settling.add(EVERY * 22, 1.2) is None


@pytest.mark.parametrize("nothing", [math.inf, -math.inf, math.nan])
def test_overload_and_no_reading_are_never_steady_and_begin_anew(nothing: float) -> None:
    settling = Settling(COUNTS, DIGIT)
    for n in range(20):
        settling.add(EVERY * n, 3.3)
    assert settling.add(EVERY * 20, nothing) is None
    assert settling.add(EVERY * 21, 3.3) is None
    assert first_steady([nothing] * 60) is None


def test_the_band_is_a_part_of_the_reading_or_two_digits() -> None:
    assert half_band(12.0, COUNTS, DIGIT) == pytest.approx(0.024)
    assert half_band(0.0, COUNTS, DIGIT) == pytest.approx(2e-4)
    # 0.7 V stands in the range of 6 V, which 6000 counts divide into 1 mV: two of them are more than 0.2 % of it.
    assert half_band(0.7, COUNTS, DIGIT) == pytest.approx(0.002)
    assert half_band(0.61, 600, DIGIT) == pytest.approx(0.02)
    assert shown_step(1.203, COUNTS, DIGIT) == pytest.approx(0.001)
    assert shown_step(0.0, COUNTS, DIGIT) == DIGIT
