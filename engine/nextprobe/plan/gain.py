"""The walk's first planner: the step that saves most for each minute it takes.

Every open measurement is priced one step ahead: its cost, and repairing in the best order after it. What
that is less than repairing or quoting now is its gain. Measuring goes on while any gain is above 0; which
measurement is asked is decided by gain a minute, the moves counted in, because one step ahead alone cannot
see that a cheap look now leaves the dear trial for later.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nextprobe.model.arrays import Bools, Floats
from nextprobe.model.model import Model
from nextprobe.plan.myopic import Values, step_values
from nextprobe.plan.policy import Action
from nextprobe.plan.prices import Prices

#: Minutes at and above this stand for "cannot be reached".
OUT_OF_REACH = 1e6
#: Every step takes this many minutes of attention beside its own: to read it, to type the answer.
ATTENTION = 0.5


def choose_step(model: Model, state: int, values: Values, first: Prices | None = None) -> Action:
    """The next step, from one-step `values` of a belief in bench `state`; `first`: what must be told first."""
    kind, _ = values.best
    stop = min(values.refer, float(values.repair.min(initial=np.inf)))
    gain = np.where(values.measure < OUT_OF_REACH, stop - values.measure, -np.inf)
    if kind != "measure" or gain.max(initial=-np.inf) <= 0:
        return (
            Action("refer")
            if values.refer < values.repair.min(initial=np.inf)
            else Action("repair", int(values.repair.argmin()))
        )
    way, _ = model.nearest_measurement
    minutes = way[state] + model.minutes + (0.0 if first is None else first.measure)
    score = np.where(gain > 0, gain / (minutes + ATTENTION), -1.0)
    return Action("measure", int(score.argmax()))


@dataclass(frozen=True, slots=True)
class GainPerMinute:
    """`choose_step` as a policy."""

    name: str = "gain per minute"

    def choose(self, model: Model, belief: Floats, state: int, measured: Bools, tried: Bools) -> Action:
        """The next step."""
        return choose_step(model, state, step_values(model, belief, state, measured=measured, tried=tried))


@dataclass(frozen=True, slots=True)
class OneStepAhead:
    """The cheapest step one step ahead: the myopic value of information."""

    name: str = "one step ahead"

    def choose(self, model: Model, belief: Floats, state: int, measured: Bools, tried: Bools) -> Action:
        """The next step."""
        return Action(*step_values(model, belief, state, measured=measured, tried=tried).best)
