"""Simulated jobs led as a walk leads them: planned anew at every step, from what was told so far. One fault only.

Every job has luck of its own from the seed and its number, so that the same seed gives the same jobs however many
processes share them; and what to do next depends on what was told alone, so that it is planned once.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from time import monotonic
from typing import Any

import numpy as np

from nextprobe.errors import ModelError
from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.fast import FastPlanner
from nextprobe.plan.policy import Action
from nextprobe.plan.prices import Prices
from nextprobe.plan.simulate import Jobs, simulate
from nextprobe.study.spread import spread
from nextprobe.study.subject import Subject
from nextprobe.walk.planning import NEGLIGIBLE

#: Jobs that a process takes at a time: few, so that Ctrl-C is answered soon.
TAKEN = 8
#: Choices kept in one process; beyond it those made so far are forgotten.
KEPT = 200_000


@dataclass
class Replanning:
    """The policy of a walk: the fast planner at every step, over the hypotheses that are still likely."""

    name: str = "planned anew at every step"
    _chosen: dict[bytes, Action] = field(default_factory=dict)

    def choose(self, model: Model, belief: Floats, state: int, measured: Bools, tried: Bools) -> Action:
        """The next step from `belief` (H,) in bench `state`; what was asked about once is remembered."""
        key = b"".join((belief.tobytes(), bytes([state % 256]), measured.tobytes(), tried.tobytes()))
        found = self._chosen.get(key)
        if found is None:
            share = belief / belief.sum()
            kept = np.nonzero(share > NEGLIGIBLE)[0]
            lean = model.narrowed(kept)
            found = FastPlanner(lean, Prices.none(lean), measured).choose(lean, share[kept], state, measured, tried)
            if len(self._chosen) >= KEPT:
                self._chosen.clear()
            self._chosen[key] = found
        return found


@dataclass
class _Player:
    """Plays the jobs of these numbers; sent to each process once. group (H of the pack's model,): see merge.py."""

    lean: Model
    prior: Floats
    group: Ints
    seed: int
    policy: Replanning = field(default_factory=Replanning)

    def __call__(self, numbers: tuple[int, ...]) -> tuple[Ints, Floats, Bools, Ints]:
        """The hidden hypothesis, the minutes, whether repaired and the steps of each job."""
        hidden, readings, repairs = [], [], []
        for number in numbers:
            rng = np.random.default_rng([self.seed, number])
            hidden.append(int(rng.choice(len(self.prior), p=self.prior)))
            readings.append(rng.random(len(self.lean.likelihoods)))
            repairs.append(rng.random(len(self.lean.fixes)))
        of = np.array(hidden, dtype=np.int64)
        costs = simulate(self.lean, self.policy, Jobs(self.group[of], np.array(readings), np.array(repairs)))
        return of, costs.minutes, costs.repaired, costs.steps


@dataclass(frozen=True, slots=True)
class Mean:
    """A mean over jobs and its standard error, None for a single job."""

    mean: float
    standard_error: float | None
    jobs: int

    def as_dict(self) -> dict[str, Any]:
        """Plain data for a program."""
        return {"mean": self.mean, "standard_error": self.standard_error, "jobs": self.jobs}


@dataclass(frozen=True)
class Simulated:
    """Simulated jobs. wanted: how many were asked for; jobs: how many were played, the first of them where fewer.

    minutes, repaired, steps: over all; by_cause: the minutes of the jobs of each cause that came up.
    """

    wanted: int
    jobs: int
    seed: int
    minutes: Mean
    repaired: Mean
    steps: Mean
    by_cause: dict[str, Mean]

    def as_dict(self) -> dict[str, Any]:
        """Plain data for a program."""
        return {
            "jobs": self.jobs, "wanted": self.wanted, "seed": self.seed, "minutes": self.minutes.as_dict(),
            "repaired": self.repaired.as_dict(), "steps": self.steps.as_dict(),
            "by_cause": {cause: mean.as_dict() for cause, mean in self.by_cause.items()},
        }  # fmt: skip


def simulated(
    subject: Subject,
    lean: Model,
    group: Ints,
    jobs: int,
    *,
    seed: int = 0,
    workers: int = 1,
    cancel: Callable[[], bool] = lambda: False,
    say: Callable[[int, float], None] = lambda count, left: None,
) -> Simulated | None:
    """Play `jobs` jobs; None where it was cancelled before any was done.

    lean, group: the subject's model with like hypotheses as one (`merged`). say: told the jobs done that would count
    if it ended here, and the seconds left. Raises ModelError for a pack without repairs, whose figures are exact
    already.
    """
    if lean.identify:
        raise ModelError("This pack has no repairs, so there is no job to simulate.", "Leave --jobs out.")
    player = _Player(lean, subject.model.prior / subject.model.prior.sum(), group, seed)
    takings = [tuple(range(begin, min(begin + TAKEN, jobs))) for begin in range(0, jobs, TAKEN)]
    played: dict[int, tuple[Ints, Floats, Bools, Ints]] = {}
    begun, count, whole, fair = monotonic(), 0, 0, 0
    for place, part in spread(player, takings, workers, cancel):
        played[place] = part
        count += len(part[0])
        # Short jobs are done first: where it is stopped only an unbroken beginning is a fair sample.
        while whole in played:
            fair += len(played[whole][0])
            whole += 1
        say(fair, (monotonic() - begun) * (jobs - count) / count)
    if not whole:
        return None
    hidden, minutes, repaired, steps = (
        np.concatenate(column) for column in zip(*(played[place] for place in range(whole)), strict=True)
    )
    cause = subject.cause_of[hidden]
    return Simulated(
        jobs, len(minutes), seed, _mean(minutes), _mean(repaired.astype(float)), _mean(steps.astype(float)),
        {subject.causes[c]: _mean(minutes[cause == c]) for c in np.unique(cause).tolist()},
    )  # fmt: skip


def _mean(values: Floats) -> Mean:
    error = float(values.std(ddof=1) / np.sqrt(len(values))) if len(values) > 1 else None
    return Mean(float(values.mean()), error, len(values))
