"""Medians of few jobs, and the figures that hold them."""

from __future__ import annotations

import numpy as np
import pytest

from nextprobe.review.spread import spread


def test_nothing_is_said_of_fewer_than_five() -> None:
    assert spread([1.0, 2.0, 3.0, 4.0]) is None
    assert spread([]) is None


@pytest.mark.parametrize(("count", "low", "high", "sure"), [(5, 1, 5, 0.9375), (8, 2, 7, 0.9297), (10, 2, 9, 0.9785)])
def test_ranks_are_those_of_the_binomial(count: int, low: int, high: int, sure: float) -> None:
    """1 - 2 P(B < k), B binomial (n, 1/2): n = 10, k = 2: 1 - 22/1024 (David & Nagaraja 2003, 7.1; from memory)."""
    found = spread([float(one) for one in range(1, count + 1)])
    assert found is not None
    assert (found.low, found.high) == (low, high)
    assert found.sure == pytest.approx(sure, abs=1e-4)
    assert found.median == (count + 1) / 2


def test_the_interval_holds_the_median_as_often_as_it_says() -> None:
    rng = np.random.default_rng(7)
    held, sure = [], 0.0
    for _ in range(2000):
        found = spread(rng.exponential(10.0, 9).tolist())
        assert found is not None
        sure = found.sure
        held.append(found.low <= 10.0 * np.log(2.0) <= found.high)
    # 2,000 draws: standard error 0.005.
    assert sure - 0.02 < np.mean(held) < sure + 0.02
