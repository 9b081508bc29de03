"""Backing up: both ends of a place from those of the places that follow it."""

from __future__ import annotations

import numpy as np

from nextprobe.model.arrays import Floats, Ints
from nextprobe.plan.bounds.entropic.rates import sum_outcomes
from nextprobe.plan.search.places import Places


class Backing:
    """What a step costs in each bench state, and what follows it."""

    def __init__(self, places: Places) -> None:
        model = places.model
        self.places = places
        self.rows = len(model.stacked[0])
        self.repair = model.repair_minutes[:, None] + np.where(model.at_repair, model.proof, np.inf)
        self.tail = np.take_along_axis(model.tail, model.proof_state, axis=1)
        self.quote = (model.ways + model.refer[None, :]).min(axis=1)

    def steps(self, which: Ints, ends: Floats) -> Floats:
        """(n, T + R, S) minutes times mass of each step made in each state, `ends` (places, S) after it."""
        places, model = self.places, self.places.model
        more, tests = places.more, places.tests
        slots = places.at["slot"][which]
        mass = places.at["mass"][which][:, None, None]
        children = more["children"][slots]
        total = np.empty((len(which), places.steps, len(model.ways)))
        if tests:
            after = sum_outcomes(ends[children[:, : self.rows]], model.first_row, 1)
            after = after + mass * model.minutes[:, None] + more["stopped"][slots][:, :, None] * model.refer
            able = more["askable"][slots][:, :, None] & model.at_measurement
            total[:, :tests] = np.where(able, after, np.inf)
        if places.repairs:
            cured = more["cured"][slots][:, :, None]
            after = ends[children[:, self.rows :, None], model.proof_state]
            after = after + mass * self.repair + cured * self.tail
            total[:, tests:] = np.where((cured > 0) & model.at_repair, after, np.inf)
        return total

    def up(self, which: Ints) -> None:
        """Both ends of the opened places `which` (n,), which must not follow one another."""
        places, model = self.places, self.places.model
        upper, lower = places.at["upper"], places.at["lower"]
        mass = places.at["mass"][which]
        ways = mass[:, None, None] * model.ways
        low = self.steps(which, lower)
        places.more["steps"][places.at["slot"][which]] = low
        best = (ways + low.min(axis=1, initial=np.inf)[:, None, :]).min(axis=2)
        best = np.minimum(best, mass[:, None] * self.quote)
        high = self.steps(which, upper).min(axis=1, initial=np.inf)
        upper[which] = np.minimum(upper[which], (ways + high[:, None, :]).min(axis=2))
        lower[which] = np.minimum(np.maximum(lower[which], best), upper[which])
