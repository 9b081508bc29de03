"""A median and how sure it is, from few jobs and without assuming how minutes are spread."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import comb
from statistics import median

#: Nothing is said of fewer jobs than this.
FEWEST = 5
#: An interval holds the median with at least this chance.
SURE = 0.9


@dataclass(frozen=True, slots=True)
class Spread:
    """The median of so many jobs, and two of their figures that hold the true median with the chance `sure`."""

    jobs: int
    median: float
    low: float
    high: float
    sure: float


def spread(figures: Sequence[float]) -> Spread | None:
    """The spread of one figure a job; None where there are too few jobs to say.

    Between the k-th smallest and the k-th largest of n lies the median with the chance 1 - 2 P(B < k), B binomial
    (n, 1/2) (David & Nagaraja, Order Statistics, 3rd ed., section 7.1; from memory).
    """
    count = len(figures)
    if count < FEWEST:
        return None
    held = sorted(figures)
    rank, sure = 1, _holds(count, 1)
    while rank + 1 <= (count + 1) // 2 and _holds(count, rank + 1) >= SURE:
        rank, sure = rank + 1, _holds(count, rank + 1)
    return Spread(count, float(median(held)), held[rank - 1], held[count - rank], sure)


def _holds(count: int, rank: int) -> float:
    return 1.0 - 2.0 * float(sum(comb(count, below) for below in range(rank))) / 2.0**count
