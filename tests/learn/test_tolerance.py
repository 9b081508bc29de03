"""Tolerance factors against a general-purpose reference (scipy) and against the standard's table."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import integrate, optimize, stats  # type: ignore[import-untyped]

from nextprobe.learn.tolerance import tolerance_factor


@pytest.mark.parametrize(
    ("n", "content", "factor"),
    # ISO 16269-6:2014, both ends, mean and spread unknown, confidence 95 %: from memory.
    [(2, 0.95, 36.519), (10, 0.90, 2.856), (10, 0.95, 3.393), (30, 0.95, 2.555)],
)
def test_the_table(n: int, content: float, factor: float) -> None:
    assert tolerance_factor(n, content, 0.95) == pytest.approx(factor, abs=1.5e-3)


@pytest.mark.parametrize(
    ("n", "content", "confidence"), [(3, 0.9, 0.9), (8, 0.95, 0.95), (17, 0.99, 0.95), (60, 0.9, 0.99)]
)
def test_the_reference(n: int, content: float, confidence: float) -> None:
    """Half-widths from the noncentral chi-squared, the mean over the sample's mean by Simpson's rule."""
    x = np.linspace(-8, 8, 801) / n**0.5
    half = np.sqrt(stats.ncx2.ppf(content, 1, x**2))

    def missing(factor: float) -> float:
        above = stats.chi2.sf((n - 1) * (half / factor) ** 2, n - 1)
        return float(integrate.simpson(above * stats.norm.pdf(x, scale=n**-0.5), x=x)) - confidence

    assert tolerance_factor(n, content, confidence) == pytest.approx(optimize.brentq(missing, 0.5, 60), rel=1e-4)


def test_many_readings() -> None:
    """Howe's approximation (JASA 64, 1969, from memory) is good to a thousandth there; chi-squared from scipy."""
    n = 1000
    howe = stats.norm.ppf(0.975) * ((n - 1) * (1 + 1 / n) / stats.chi2.ppf(0.05, n - 1)) ** 0.5
    assert tolerance_factor(n) == pytest.approx(howe, rel=1e-3)


def test_it_holds_what_it_says() -> None:
    """By drawing: 95 % of the intervals hold 95 % of the population or more."""
    rng = np.random.default_rng(1)
    n = 12
    drawn = rng.standard_normal((20_000, n))
    middle, reach = drawn.mean(axis=1), tolerance_factor(n) * drawn.std(axis=1, ddof=1)
    held = stats.norm.cdf(middle + reach) - stats.norm.cdf(middle - reach)
    assert (held >= 0.95).mean() == pytest.approx(0.95, abs=0.006)


@pytest.mark.parametrize(("n", "content", "confidence"), [(1, 0.9, 0.9), (5, 1.0, 0.9), (5, 0.9, 0.0)])
def test_refused(n: int, content: float, confidence: float) -> None:
    with pytest.raises(ValueError, match="n = "):
        tolerance_factor(n, content, confidence)
