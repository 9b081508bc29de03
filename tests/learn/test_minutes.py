"""Minutes from the clock, by hand."""

from __future__ import annotations

from math import exp, log

import numpy as np
import pytest

from nextprobe.learn.case import Timing
from nextprobe.learn.minutes import SCATTER, SCATTER_WORTH, minutes_of


def test_the_mean_is_drawn_towards_the_pack() -> None:
    """Two timings of 6 minutes on a step of 4: n / (n + k) of the way, plus half the scatter's square (by hand)."""
    found = minutes_of([Timing("look", 0.0, 6.0)] * 2, {"look": 4.0}, jobs=2, worth=2.0, share=0.9)
    square = SCATTER_WORTH * SCATTER**2 / (SCATTER_WORTH + 1)
    pull = 2 / (2 + 3)
    one = found.steps[0]
    assert one.after == pytest.approx(4.0 * exp(pull * (log(1.5) + square / 2)), rel=1e-9)
    assert one.low < one.after < one.high
    assert one.timings == 2


def test_moves_are_taken_off() -> None:
    """A step of 4 minutes with moves of 2 that took 9 took half as long again (by hand)."""
    with_moves = minutes_of([Timing("look", 2.0, 9.0)], {"look": 4.0}, 1, 50.0, 0.9)
    without = minutes_of([Timing("look", 0.0, 6.0)], {"look": 4.0}, 1, 50.0, 0.9)
    assert with_moves.steps[0].after == pytest.approx(without.steps[0].after)


def test_what_is_not_used_is_counted() -> None:
    timings = [Timing("look", 0.0, 400.0), Timing("look", 5.0, 9.0), Timing("gone", 0.0, 3.0)]
    found = minutes_of(timings, {"look": 4.0}, 3, 50.0, 0.9)
    assert (found.left_running, found.mostly_moves, found.steps) == (1, 1, ())


def test_many_timings_find_the_true_mean() -> None:
    """Drawn with a known mean and scatter; the interval holds 90 % of the time, over 200 steps."""
    rng = np.random.default_rng(3)
    true = np.exp(rng.normal(0.0, 0.2, 200))
    timings = [
        Timing(f"step_{n}", 0.0, float(5.0 * mean * np.exp(0.3 * z - 0.045)))
        for n, mean in enumerate(true)
        for z in rng.standard_normal(30)
    ]
    found = minutes_of(timings, {f"step_{n}": 5.0 for n in range(200)}, 300, 30.0, 0.9)
    held = [one.low <= 5.0 * mean <= one.high for one, mean in zip(found.steps, true, strict=True)]
    assert found.scatter == pytest.approx(0.3, abs=0.02)
    assert 0.85 <= np.mean(held) <= 0.95
