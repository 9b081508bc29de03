"""The known-cause problem with changed costs: the least cost of a job whose hypothesis is known, from every state.

Each step costs its minutes less rho times the nats it is credited with. A job passes a set of bench states,
collects there what costs less than nothing (prizes: measurements, and repairs that do nothing for its hypothesis) and
ends by quoting or by a repair of use. After a useful repair that fails, what follows costs at least
min(quote, own / fixes + tail of any other) by induction over the repairs, and collects at most the prizes that
are left, without ways; the chance of that is at most the largest 1 - fixes. All of this only lowers the cost.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.bounds.entropic.rates import Rates, Usage
from nextprobe.plan.bounds.entropic.walks import make_walks


@dataclass(frozen=True)
class Known:
    """Solved for N rates. minutes (N, S, H), and what it is made of.

    prizes (N, T + R, H); passed (N, X, H): all prizes in each set of states; fails (N, H): the largest chance that the
    first useful repair fails; repaired, quoted (N, S, H): the cost of ending there, without ways; pick (N, S, H): the
    repair that ends.
    """

    minutes: Floats
    prizes: Floats
    passed: Floats
    fails: Floats
    repaired: Floats
    quoted: Floats
    pick: Ints


class KnownCause:
    """Solves the problem for one model."""

    def __init__(self, model: Model) -> None:
        self.model = model
        self.tests = len(model.minutes)
        self.walks = make_walks(model)
        places = np.concatenate([model.at_measurement, model.at_repair]).astype(np.float64)
        # (X, T + R) whether a set of states holds one that serves.
        self.within = (self.walks.sets.astype(np.float64) @ places.T > 0).astype(np.float64)
        proof = np.where(model.at_repair, model.proof, np.inf)
        tail = np.take_along_axis(model.tail, model.proof_state, axis=1)
        least = proof.min(axis=1, initial=np.inf)
        self.open = np.isfinite(least)
        self.proof = np.where(self.open, least, 0.0)
        self.tail = np.where(self.open, np.where(model.at_repair, tail, np.inf).min(axis=1, initial=np.inf), 0.0)
        self.useful = (model.fixes > 0) & self.open[:, None]
        self.idle = (model.fixes <= 0) & self.open[:, None]
        self.fixes = np.where(model.fixes > 0, model.fixes, 1.0)
        self.cost = np.concatenate([model.minutes, model.repair_minutes])
        self.quote = float((model.ways + model.refer[None, :]).min())
        self.ends = [np.nonzero(model.at_repair[:, state])[0] for state in range(len(model.ways))]
        self.after = [
            proof[serving, state, None] + model.fixes[serving] * tail[serving, state, None]
            for state, serving in enumerate(self.ends)
        ]

    def solve(self, rates: Rates, measured: Bools, tried: Bools) -> Known:
        """For N rates; measured (N, T) and tried (N, R) are not open any more."""
        tests = self.tests
        own = self.cost[:, None] - rates.rho[:, None, None] * rates.nats[:, :-1]
        quoted = -rates.rho[:, None] * rates.nats[:, -1]
        prizes = np.minimum(own, 0.0)
        prizes[:, :tests] *= ~measured[:, :, None]
        least = np.minimum(own[:, tests:] + self.proof[:, None], 0.0)
        prizes[:, tests:] = np.where(self.idle & ~tried[:, :, None], least, 0.0)
        useful = self.useful & ~tried[:, :, None]
        repaired, pick = self._ending(own[:, tests:], useful, self.quote + quoted)
        quoted = self.model.refer[:, None] + quoted[:, None, :]
        fails = np.where(useful, 1.0 - self.model.fixes, 0.0).max(axis=1, initial=0.0)
        passed = self.within @ prizes
        minutes = np.empty_like(repaired)
        spared = self._spared(fails[:, None], prizes.sum(axis=1)[:, None], passed)
        for state in range(len(self.ends)):
            sets, end = self.walks.passes[state], self.walks.end[state]
            ending = np.minimum(quoted[:, end], repaired[:, end] + spared[:, sets])
            walk = self.walks.minutes[state][:, None]
            minutes[:, state] = (ending + passed[:, sets] + walk).min(axis=1)
        return Known(minutes, prizes, passed, fails, repaired, quoted, pick)

    def without_each(self, known: Known) -> Floats:
        """(N, T, S, H) the minutes where one of the measurements is not open any more."""
        gone = known.prizes[:, : self.tests]
        passed = known.passed[:, None] - self.within.T[: self.tests, :, None] * gone[:, :, None, :]
        whole = known.prizes.sum(axis=1)[:, None] - gone
        spared = self._spared(known.fails[:, None, None], whole[:, :, None], passed)
        minutes = np.empty((*gone.shape[:2], len(self.ends), gone.shape[2]))
        for state in range(len(self.ends)):
            sets, end = self.walks.passes[state], self.walks.end[state]
            ending = np.minimum(known.quoted[:, None, end], known.repaired[:, None, end] + spared[:, :, sets])
            walk = self.walks.minutes[state][:, None]
            minutes[:, :, state] = (ending + passed[:, :, sets] + walk).min(axis=2)
        return minutes

    def response(self, known: Known, state: Ints) -> Usage:
        """What each hypothesis uses on its cheapest way from `state` (N,)."""
        rows = np.arange(len(state))[:, None]
        sets, end = self.walks.passes[state], self.walks.end[state]
        ending = np.minimum(known.repaired[rows, end], known.quoted[rows, end])
        total = ending + known.passed[rows, sets] + self.walks.minutes[state][:, :, None]
        at = total.argmin(axis=1)
        sets, end = sets[rows, at], end[rows, at]
        used = np.zeros((len(state), len(self.cost) + 1, known.prizes.shape[2]))
        used[:, :-1] = (known.prizes < 0) & (self.within.T[:, sets].transpose(1, 0, 2) > 0)
        each = np.arange(used.shape[2])[None, :]
        repaired = known.repaired[rows, end, each] < known.quoted[rows, end, each]
        row, hypothesis = np.nonzero(repaired)
        last = known.pick[row, end[row, hypothesis], hypothesis]
        used[row, self.tests + last, hypothesis] = 1.0
        used[:, -1] = ~repaired
        return Usage(used)

    def _spared(self, fails: Floats, whole: Floats, passed: Floats) -> Floats:
        """The prizes outside each set, as far as they may be collected after a failure."""
        return fails * (whole - passed)

    def _ending(self, own: Floats, useful: Bools, quote: Floats) -> tuple[Floats, Ints]:
        """(N, S, H) the least cost of ending by a repair in each state, and (N, S, H) which repair."""
        shape = (len(own), len(self.ends), own.shape[2])
        cost, pick = np.full(shape, np.inf), np.zeros(shape, dtype=np.int64)
        if not len(self.fixes):
            return cost, pick
        each = np.where(useful, (own + self.proof[:, None]) / self.fixes + self.tail[:, None], np.inf)
        best = each.min(axis=1)[:, None]
        first = each <= best
        second = np.where(first, np.inf, each).min(axis=1)[:, None]
        follows = np.minimum(quote[:, None], np.where(first, second, best))
        done = np.where(useful, own + (1.0 - self.model.fixes) * follows, np.inf)
        for state, (serving, after) in enumerate(zip(self.ends, self.after, strict=True)):
            if len(serving):
                there = done[:, serving] + after
                pick[:, state] = serving[there.argmin(axis=1)]
                cost[:, state] = there.min(axis=1)
        return cost, pick
