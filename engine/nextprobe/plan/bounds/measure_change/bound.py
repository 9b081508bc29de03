"""The bound for a model: prices looked for once, and used again for the beliefs that follow."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.bounds.known_cause import KnownCause
from nextprobe.plan.bounds.measure_change.dual import Dual, Question
from nextprobe.plan.bounds.measure_change.evidence import Evidence
from nextprobe.plan.bounds.measure_change.prices import PairPrices
from nextprobe.plan.bounds.measure_change.tours import Needs, Tours, needs_of, tours

#: The step of the ascent on logarithms, how soon it shrinks, and the two memories of Kingma & Ba.
STEP, SHRINKS, MOMENTUM, SCALE = 0.5, 20.0, 0.9, 0.9
#: Pairs of no more than this many hypotheses, the likeliest, are priced; the others count as known causes.
PRICED = 600
#: Where prices are used again, in a step of a walk.
PRICED_AGAIN = 120
#: Products of a round at most, by pairs of hypotheses and kinds of row; all of the bundled packs take a third of it.
PRODUCTS = 6e8
#: What rounding may do to a sum, as a share of it.
ROUNDING = 1e-9


class MeasureChange:
    """Lower bounds of one model, from any belief, bench state and what is closed."""

    def __init__(self, model: Model) -> None:
        self.model = model
        self._tours: dict[int, Tours] = {}

    @cached_property
    def cause(self) -> KnownCause:
        """What a job costs with its hypothesis known."""
        return KnownCause(self.model)

    @cached_property
    def among(self) -> Ints:
        """The hypotheses that can be priced, ascending: the likeliest at the start where all would take too long."""
        count = len(self.model.prior)
        kinds = np.array([len(np.unique(table, axis=0)) for table in self.model.likelihoods], dtype=np.float64)
        while count > 1 and count * count * np.minimum(kinds, count).sum() > PRODUCTS:
            count = int(0.9 * count)
        return np.sort(np.argsort(-self.model.prior, kind="stable")[:count])

    @cached_property
    def evidence(self) -> Evidence:
        """What each measurement tells of each pair of those."""
        return Evidence.of(self.model.likelihoods, self.among)

    @cached_property
    def needs(self) -> Needs:
        """Which steps share a need of the bench."""
        return needs_of(self.model)

    def improve(
        self,
        weights: Floats,
        state: int,
        measured: Bools,
        tried: Bools,
        *,
        begin: PairPrices | None = None,
        most: int = PRICED,
        rounds: int | None = None,
        stop: Callable[[float], bool] = lambda _: False,
    ) -> tuple[float, PairPrices]:
        """Look for good prices from `weights` (H,): minutes (times the mass of `weights`), and the prices.

        begin: prices to begin from. most: of the hypotheses, the likeliest, that are priced. rounds: how many steps at
        most. stop: asked after each step with the best so far.
        """
        mass = float(weights.sum())
        dual, rest = self._dual(weights / mass, state, measured, tried, most, begin)
        kept = dual.question.kept
        prices = PairPrices.first(kept, dual.question.weights) if begin is None else begin.narrowed(kept)
        logs = prices.logs.copy()
        best, best_logs = -np.inf, logs
        memory, scale, number = np.zeros_like(logs), np.zeros_like(logs), 0
        while rounds is None or number < rounds:
            number += 1
            value, slope = dual.slopes(logs)
            if value > best:
                best, best_logs = value, logs.copy()
            if stop(mass * self._safe(best + rest)):
                break
            memory = MOMENTUM * memory + (1.0 - MOMENTUM) * slope
            scale = SCALE * scale + (1.0 - SCALE) * slope * slope
            ahead = memory / (1.0 - MOMENTUM**number)
            spread = np.sqrt(scale / (1.0 - SCALE**number)) + 1e-12
            logs = logs + STEP / (1.0 + number / SHRINKS) * ahead / spread
        return mass * self._safe(best + rest), PairPrices(best_logs, kept)

    def lower(self, prices: PairPrices, weights: Floats, state: int, measured: Bools, tried: Bools) -> float:
        """The bound from `weights` (H,) at prices found before, in minutes times the mass of `weights`."""
        mass = float(weights.sum())
        dual, rest = self._dual(weights / mass, state, measured, tried, PRICED_AGAIN, prices)
        return mass * self._safe(dual.value(prices.narrowed(dual.question.kept).logs) + rest)

    def _dual(
        self, share: Floats, state: int, measured: Bools, tried: Bools, most: int, prices: PairPrices | None
    ) -> tuple[Dual, float]:
        """The dual of the likeliest hypotheses, and the minutes of the others with their cause known."""
        able: Ints = self.among if prices is None else prices.kept
        able = able[share[able] > 0]
        if len(able) > most:
            able = np.sort(able[np.argsort(-share[able], kind="stable")[:most]])
        others = share.copy()
        others[able] = 0.0
        if state not in self._tours:
            self._tours[state] = tours(self.model, self.needs, state)
        question = Question(share[able], able, measured, tried, self._tours[state])
        dual = Dual(self.model, self._told(able, measured), self.needs, self.cause, question)
        return dual, float(others @ self.cause.minutes(tried)[state])

    def _told(self, kept: Ints, measured: Bools) -> Evidence:
        return self.evidence.narrowed(np.searchsorted(self.among, kept), measured)

    @staticmethod
    def _safe(minutes: float) -> float:
        return max(0.0, minutes - ROUNDING * abs(minutes))
