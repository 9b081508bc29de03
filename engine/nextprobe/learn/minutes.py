"""Minutes of steps from the clock: log-normal about the pack's own, each drawn towards it the more the fewer it has.

A step that is said to take m minutes takes m exp(d) in this shop on average, and each time that times a log-normal
scatter whose mean is 1 and which all steps share. The pack's m is worth some earlier timings, so d is the mean of the
logarithms, drawn towards 0 (a normal prior on d: Gelman et al., Bayesian Data Analysis, section 5.4).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import log

import numpy as np

from nextprobe.learn.case import Timing

#: Timings that the pack's minutes of a step are worth at the least.
LEAST = 3.0
#: Scatter of a step about its own mean, as a standard deviation of the logarithm, and timings it is worth: common
#: practice, no source.
SCATTER, SCATTER_WORTH = 0.4, 5.0
#: A step that takes more than so many times what is expected, or less than that part, was not timed but left running.
FAR = 10.0
DRAWS = 4000


@dataclass(frozen=True, slots=True)
class Took:
    """Minutes of one step: the pack's, as learnt, the 90 % interval, and timings that bear on it."""

    ask: str
    before: float
    after: float
    low: float
    high: float
    timings: int


@dataclass(frozen=True, slots=True)
class Minutes:
    """All steps with timings; scatter: of the logarithm; left_running, mostly_moves: timings that were not used."""

    steps: tuple[Took, ...]
    scatter: float
    left_running: int
    mostly_moves: int


def minutes_of(
    timings: Iterable[Timing], planned: Mapping[str, float], jobs: int, worth: float, share: float, seed: int = 0
) -> Minutes:
    """What the timings of `jobs` jobs say of the minutes `planned` by step; steps that are not planned are left out.

    worth: jobs that the pack's minutes count for; share: of the interval. A timing whose moves take longer than the
    step itself says more of the moves and is not used.
    """
    logs: dict[str, list[float]] = {}
    running = moving = 0
    for one in timings:
        own = planned.get(one.ask, 0.0)
        if own <= 0.0:
            continue
        if one.moves > own:
            moving += 1
            continue
        far = log(one.took / (one.moves + own))
        if abs(far) > log(FAR):
            running += 1
        else:
            logs.setdefault(one.ask, []).append(far)
    degrees, squares = SCATTER_WORTH, SCATTER_WORTH * SCATTER**2
    for found in logs.values():
        degrees += len(found) - 1
        squares += float(np.var(found)) * len(found)
    rng = np.random.default_rng(seed)
    spread = squares / rng.chisquare(degrees, DRAWS)
    at = squares / degrees
    steps = []
    for ask, found in logs.items():
        count = len(found)
        own_worth = max(LEAST, worth * count / max(jobs, 1))
        pull = count / (count + own_worth)
        middle = pull * (float(np.mean(found)) + at / 2.0)
        drawn = pull * (float(np.mean(found)) + spread / 2.0) + np.sqrt(
            spread / (count + own_worth)
        ) * rng.standard_normal(DRAWS)
        bottom, top = np.quantile(drawn, [(1.0 - share) / 2.0, (1.0 + share) / 2.0])
        before = planned[ask]
        after, low, high = (before * float(np.exp(one)) for one in (middle, bottom, top))
        steps.append(Took(ask, before, after, low, high, count))
    return Minutes(tuple(steps), float(np.sqrt(at)), running, moving)
