"""Statistical tolerance intervals of a normal distribution, mean and spread unknown, with both ends: ISO 16269-6.

The interval mean ± k s of `n` readings holds at least the share `content` of the whole population with the confidence
`confidence`. k is found exactly: with x the distance of the sample's mean from the true one in true standard
deviations, the half-width that holds `content` is r(x), and k is where the mean over x of P(s k >= r(x)) is the
confidence (Wald & Wolfowitz, "Tolerance limits for a normal distribution", Ann. Math. Stat. 17, 1946; exact as in
ISO 16269-6:2014, from memory).
"""

from __future__ import annotations

from math import erf, exp, log, pi, sqrt
from statistics import NormalDist

#: Points of the mean over x, and how far it goes in its own standard deviations.
POINTS, FAR = 121, 6.0
_NORMAL = NormalDist()


def tolerance_factor(n: int, content: float = 0.95, confidence: float = 0.95) -> float:
    """k for `n` readings, 2 or more; content and confidence in 0..1, both ends excluded.

    Raises ValueError for anything else.
    """
    if n < 2 or not 0.0 < content < 1.0 or not 0.0 < confidence < 1.0:
        raise ValueError(f"n = {n}, content = {content}, confidence = {confidence}")
    step = 2.0 * FAR / (POINTS - 1)
    places = [-FAR + step * number for number in range(POINTS)]
    half = [_half_width(place / sqrt(n), content) for place in places]
    mass = [step * exp(-place * place / 2.0) / sqrt(2.0 * pi) for place in places]
    low, high = 0.0, 1.0

    def reached(factor: float) -> float:
        return sum(m * _above((n - 1) * (r / factor) ** 2, n - 1) for m, r in zip(mass, half, strict=True))

    while reached(high) < confidence:
        low, high = high, high * 2.0
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if reached(middle) < confidence else (low, middle)
    return (low + high) / 2.0


def _half_width(x: float, content: float) -> float:
    """r with P(x - r < Z < x + r) = content."""
    low, high = 0.0, abs(x) + 10.0
    for _ in range(60):
        middle = (low + high) / 2.0
        inside = (erf((x + middle) / sqrt(2.0)) - erf((x - middle) / sqrt(2.0))) / 2.0
        low, high = (middle, high) if inside < content else (low, middle)
    return (low + high) / 2.0


def _above(value: float, degrees: int) -> float:
    """P(chi-squared of so many degrees of freedom > value): Abramowitz & Stegun, 26.4.4 and 26.4.5."""
    if value <= 0.0:
        return 1.0
    if degrees > 400:
        # Wilson & Hilferty, PNAS 17, 1931: better than 1e-4 from here on.
        scale = 2.0 / (9.0 * degrees)
        return 1.0 - _NORMAL.cdf(((value / degrees) ** (1.0 / 3.0) - (1.0 - scale)) / sqrt(scale))
    half = value / 2.0
    if degrees % 2:
        total = 1.0 - erf(sqrt(half))
        log_term, first = log(sqrt(half)) - half - log(sqrt(pi) / 2.0), 3
    else:
        total, log_term, first = 0.0, -half, 2
    for number in range(first, degrees + 1, 2):
        total += exp(log_term)
        log_term += log(half) - log(number / 2.0)
    return min(1.0, total)
