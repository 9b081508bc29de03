"""The bound at given prices of pairs, and its slopes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.bounds.known_cause import KnownCause
from nextprobe.plan.bounds.measure_change.evidence import Evidence
from nextprobe.plan.bounds.measure_change.known import Least, Problem, least
from nextprobe.plan.bounds.measure_change.pairs import owed, owed_minutes
from nextprobe.plan.bounds.measure_change.prices import END, NAT, REPAIR, SHARE, shared
from nextprobe.plan.bounds.measure_change.tours import Needs, Tours


@dataclass(frozen=True)
class Question:
    """A belief on a bench: weights (n,) that sum to 1 of the hypotheses `kept` (n,), and what is closed."""

    weights: Floats
    kept: Ints
    measured: Bools
    tried: Bools
    trips: Tours


class Dual:
    """The bound of one question. `value` for prices, `slopes` beside it."""

    def __init__(self, model: Model, evidence: Evidence, needs: Needs, known: KnownCause, question: Question) -> None:
        self.model = model
        self.needs = needs
        self.question = question
        self.evidence = evidence
        chance = np.where(question.tried[:, None], 0.0, model.fixes[:, question.kept]).T  # (n, R)
        self.useful = (chance > 0).astype(np.float64)
        repairs = range(len(model.fixes))
        tail = np.array([model.tail[r, model.proof_state[r, model.at_repair[r]]].min() for r in repairs])
        failed = known.after_failure(question.tried)[question.kept]
        #: (n, R) minutes of a useful repair before its proof, and what follows.
        self.done = model.repair_minutes + chance * tail + (1.0 - chance) * failed
        # Only hypotheses that want other repairs are told apart, and by nats only where these are finite.
        same = self.useful @ self.useful.T
        size = self.useful.sum(axis=1)
        differ = (same < size[:, None]) | (same < size[None, :])
        self.common = shared(question.weights) * differ
        self.by_nats = self.common * self.evidence.bounded

    def value(self, logs: Floats) -> float:
        """Minutes that no policy goes below, for prices `logs` (4, n, n)."""
        prices = self._prices(logs)
        owe = owed_minutes(prices[NAT], prices[REPAIR], prices[END])
        return float(self._found(prices).minutes.sum() + owe.sum() + prices[SHARE].sum())

    def slopes(self, logs: Floats) -> tuple[float, Floats]:
        """The value, and a supergradient against `logs` (4, n, n)."""
        prices = self._prices(logs)
        found, debt = self._found(prices), owed(prices[NAT], prices[REPAIR], prices[END])
        value = float(found.minutes.sum() + debt.minutes.sum() + prices[SHARE].sum())
        nats, variation = self.evidence.told(found.measure)
        wrong_repair = found.idle @ self.useful.T
        # A wrong end under the second: a repair that is useful for the first, or a quote.
        wrong_end = self.useful @ (found.useful + found.idle).T + found.quote[None, :]
        slope = np.empty_like(prices)
        slope[NAT] = debt.nat - nats
        slope[REPAIR] = debt.wrong_repair - wrong_repair
        slope[END] = debt.wrong_end - wrong_end
        slope[SHARE] = 1.0 - variation - wrong_repair - wrong_end
        return value, slope * prices

    def _prices(self, logs: Floats) -> Floats:
        prices = np.exp(logs)
        prices[:SHARE] *= self.by_nats
        prices[SHARE] *= self.common
        return np.asarray(prices)

    def _found(self, prices: Floats) -> Least:
        """What each hypothesis does at the least, with its credits."""
        model, weights = self.model, self.question.weights[:, None]
        credit = self.evidence.credit(prices[NAT], prices[SHARE])
        wrong_repair = (prices[REPAIR] + prices[SHARE]) @ self.useful  # (n, R) under the first
        end = prices[END] + prices[SHARE]
        wrong_end = end.T @ self.useful  # (n, R) under the second
        open_ = ~self.question.tried[None, :]
        idle = np.where(
            open_ & (self.useful == 0),
            (model.repair_minutes + self.needs.proof) * weights - wrong_repair - wrong_end,
            np.inf,
        )
        useful = np.where(self.useful > 0, self.done * weights - wrong_end, np.inf)
        quote = model.refer.min() * self.question.weights - end.sum(axis=0)
        measure = np.where(self.question.measured[None, :], 0.0, model.minutes * weights - credit)
        return least(
            Problem(self.question.weights, measure, idle, useful, quote),
            self.needs,
            self.question.trips,
        )
