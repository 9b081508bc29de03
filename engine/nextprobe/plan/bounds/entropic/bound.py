"""The entropic bound: what must be told is paid for at a price for each nat, what need not be is paid in full.

Proof. For weights w (not normalised) let H(w) be mass times entropy of the classes of hypotheses with equal repair
columns, rho >= 0. Whatever a policy does, each step takes at most so much off rho H, up to the end, where none is left:
- measurement t: H(w) - sum_o H(w_o) <= sum_h w_h KL(L_t(.|h) || q_t) for any q_t (Topsoe 1967);
- repair r: H(w) - H(w (1 - f)) is the entropy of "fails, or cures k" and a linear term, so concave and homogeneous,
  and below its tangent at any v: sum_k w_k gamma_k, gamma_k = -f log v_k + (1 - f) log((1 - f) / m), m = sum v (1 - f);
- quoting: H(w) <= sum_h w_h log 1 / u_k for any u (Gibbs).
So the policy costs at least rho H(w) + sum_h w_h a_h, where a_h is the least cost with h known if every step costs its
minutes less rho times its nats above: known.py. That holds for any q, v, u and rho; the best are looked for by letting
the hypotheses answer the rates, and the rates follow the answers (fictitious play: Brown 1951, Robinson 1951; the
bound is concave in the rates, the answers linear), with rho going where its derivative points. What must be told
first, and readings closed by others, only take steps away from a policy. A failed repair must leave the hypothesis what
it was (no `still`). Relative entropy along adaptive measuring: Burnashev 1976; Naghshvar & Javidi 2013.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.bounds.entropic.known import Known, KnownCause
from nextprobe.plan.bounds.entropic.rates import TINY, Rates, RateTable, Usage

#: How far the usage goes towards the first answer, and the logarithm of rho by its derivative; both shrink.
ANSWER, STEP, SHRINKS = 0.2, 0.4, 0.7
#: Rounds from a belief about which nothing is known yet, and their first share.
FROM_NOTHING, BOLD = 40, 0.5
#: rho at first, as a share of quoting.
FIRST = 0.2


@dataclass(frozen=True)
class Tuned:
    """For N beliefs: lower (N, S), minutes times mass, and the usage and rho (N,) that were best."""

    lower: Floats
    usage: Usage
    rho: Floats


class EntropicBound:
    """Lower bounds of one model for many weights at once."""

    def __init__(self, model: Model) -> None:
        self.model = model
        self.table = RateTable(model)
        self.known = KnownCause(model)

    def lower(self, weights: Floats, measured: Bools, tried: Bools, state: int | None = None) -> Floats:
        """(N, S) for weights (N, H), measured (N, T), tried (N, R); `state`: for which it is made best."""
        at = np.full(len(weights), self.model.start if state is None else state)
        return self.from_nothing(weights, measured, tried, at).lower

    def from_nothing(self, weights: Floats, measured: Bools, tried: Bools, state: Ints) -> Tuned:
        """Tuned for states (N,) without a usage to begin from."""
        rho = np.full(len(weights), FIRST * self.known.quote)
        usage = Usage.all(self.model, len(weights))
        return self.tune(weights, measured, tried, state, usage, rho, FROM_NOTHING, BOLD)

    def tune(
        self,
        weights: Floats,
        measured: Bools,
        tried: Bools,
        state: Ints,
        usage: Usage,
        rho: Floats,
        rounds: int,
        share: float = ANSWER,
    ) -> Tuned:
        """Evaluate, let the hypotheses answer, follow: `rounds` times; the best of all, best for states (N,)."""
        rows = np.arange(len(weights))
        entropy = self.table.entropy(weights)
        lower = np.full((len(weights), len(self.model.ways)), -np.inf)
        top, best = np.full(len(weights), -np.inf), (usage.of.copy(), rho.copy())
        for number in range(rounds):
            rates = self.table.rates(weights, usage, rho)
            known = self.known.solve(rates, measured, tried)
            value = self.value(weights, entropy, known, rho)
            lower = np.maximum(lower, value)
            better = value[rows, state] > top
            top = np.where(better, value[rows, state], top)
            best[0][better], best[1][better] = usage.of[better], rho[better]
            if number + 1 < rounds:
                shrink = (number + 1.0) ** -SHRINKS
                answer = self.known.response(known, state)
                slope = entropy - (weights * (answer.of * rates.nats).sum(axis=1)).sum(axis=1)
                usage = usage.towards(answer, share * shrink)
                rho = rho * np.exp(STEP * shrink * np.clip(slope / np.maximum(entropy, TINY), -1.0, 1.0))
        return Tuned(np.maximum(lower, 0.0), Usage(best[0]), best[1])

    def rates(self, weights: Floats, usage: Usage, rho: Floats) -> Rates:
        """The rates of a usage, to be kept for other weights."""
        return self.table.rates(weights, usage, rho)

    def value(self, weights: Floats, entropy: Floats, known: Known, rho: Floats) -> Floats:
        """(N, S) of weights (N, H) with the known-cause problem solved at these rates."""
        return np.asarray((known.minutes @ weights[:, :, None])[:, :, 0] + (rho * entropy)[:, None])
