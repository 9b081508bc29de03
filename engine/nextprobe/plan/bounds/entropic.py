"""The entropic bound: what must be told is paid for at a price for each nat, what need not be is paid in full.

Proof. For weights w (not normalised) let H(w) be the entropy of the classes of hypotheses with equal repair
columns, and Phi(w, s) = sum_h w_h a_h(s) + rho H(w). Phi is below the optimum if it is no more than each
step and Phi after it:
- measurement t: H(w) - sum_o H(w_o) <= sum_h w_h KL(L_t(.|h) || q_t) for any q_t (Topsoe 1967), so a_h may
  count it at c_t - rho KL, once;
- repair r: H(w) - H(w (1 - f)) is concave and homogeneous, so below its tangent at any v: gamma = -f log v_k +
  (1 - f) log((1 - f) / m), m = sum v (1 - f); a_h counts it at c_r - rho gamma;
- quoting: H(w) <= -sum_h w_h log u_k, so a_h counts it at refer - rho log(1 / u_k).
a_h is then the least cost with h known. Prizes (costs below 0) of measurements and of repairs that do nothing
for h are added whole, not weighted by survival and without ways, which only lowers it. The useful repairs:
after r fails, what follows costs at least min(quote, min_{r' != r} (c_r' / f_r' + tail)), by induction.
q, v and u are those of the belief itself; the best rho of a grid is taken, 0 (the known cause) among them.
"""

from __future__ import annotations

import numpy as np

from nextprobe.model.arrays import Bools, Floats
from nextprobe.model.model import Model

TINY = 1e-300


class EntropicBound:
    """Evaluates many weights at once; everything that depends on the model alone is kept."""

    def __init__(self, model: Model, prices: int = 9) -> None:
        self.model = model
        self.rows, self.owner = model.stacked
        self.tests = len(model.minutes)
        logs = self.rows * np.log(np.maximum(self.rows, TINY))
        self.told = np.zeros((self.tests, len(model.prior)))
        np.add.at(self.told, self.owner, logs)
        top = float(model.refer.max())
        self.prices = np.concatenate([[0.0], top * 2.0 ** -np.arange(prices)])
        self.reach = self._reach()
        self.tail = model.tail.min(axis=1)
        self.quote = (model.ways + model.refer[None, :]).min(axis=1)

    def _reach(self) -> Floats:
        """(R, S) the least minutes from each state until a repair has been looked at, without its own."""
        model = self.model
        there = np.where(model.at_repair, model.proof, np.inf)
        return np.asarray((model.ways[None, :, :] + there[:, None, :]).min(axis=2))

    def lower(self, weights: Floats, measured: Bools, tried: Bools) -> Floats:
        """(N, S) for weights (N, H), measured (N, T), tried (N, R): minutes weighted by each belief's mass."""
        model = self.model
        mass = np.maximum(weights.sum(axis=1), TINY)
        classes = weights @ model.fold
        share = np.maximum(classes / mass[:, None], 1e-12)
        share /= share.sum(axis=1, keepdims=True)
        log_share = np.log(share)
        # The entropy is that of the true shares; only the logarithms that price endings are lifted off 0.
        true = classes / mass[:, None]
        nats = -(classes * np.log(np.maximum(true, TINY))).sum(axis=1)
        best = np.full((len(weights), len(model.ways)), -np.inf)
        divergence = self._divergence(weights / mass[:, None])
        gamma = self._gamma(share, log_share)
        fixes = model.fixes[None]
        useful = (fixes > 0) & ~tried[:, :, None]
        idle = (fixes <= 0) & ~tried[:, :, None]
        from_class = log_share @ model.fold.T
        for price in self.prices:
            prize = np.minimum(0.0, model.minutes[None, :, None] - price * divergence)
            known = np.where(measured[:, :, None], 0.0, prize).sum(axis=1)
            own = model.repair_minutes[None, :, None] - price * gamma
            known += np.where(idle, np.minimum(0.0, own), 0.0).sum(axis=1)
            known = known[:, None, :] + self._ending(own, useful, price * from_class)
            best = np.maximum(best, np.einsum("nsh,nh->ns", known, weights) + (price * nats)[:, None])
        return np.asarray(np.maximum(best, 0.0))

    def _divergence(self, belief: Floats) -> Floats:
        """(N, T, H) nats by which each measurement's outcome given h differs from what is expected."""
        mix = np.maximum(belief @ self.rows.T, 1e-12)
        total = np.zeros((len(belief), self.tests))
        for test in range(self.tests):
            total[:, test] = mix[:, self.owner == test].sum(axis=1)
        logs = np.log(mix / total[:, self.owner]) if self.tests else mix
        cross = np.zeros((len(belief), self.tests, self.rows.shape[1]))
        for test in range(self.tests):
            of = self.owner == test
            cross[:, test] = logs[:, of] @ self.rows[of]
        return np.asarray(np.maximum(self.told[None] - cross, 0.0))

    def _gamma(self, share: Floats, log_share: Floats) -> Floats:
        """(N, R, H) nats that a repair takes off, to be paid by each hypothesis."""
        fixes = self.model.class_fixes
        left = 1.0 - fixes
        most = np.maximum(share @ left.T, TINY)
        logs = np.log(np.maximum(left, TINY))[None] - np.log(most)[:, :, None]
        gamma = -fixes[None] * log_share[:, None, :] + left[None] * np.where(left > 0, logs, 0.0)
        return np.asarray(gamma @ self.model.fold.T)

    def _ending(self, own: Floats, useful: Bools, off: Floats) -> Floats:
        """(N, S, H) the least cost of ending with h known."""
        fixes = self.model.fixes
        quote = self.quote[None, :, None] + off[:, None, :]
        if not len(fixes):
            return np.asarray(quote)
        last = self.quote.min() + off
        safe = np.where(fixes > 0, fixes, 1.0)
        repeat = np.where(useful, own / safe[None] + self.tail[None, :, None], np.inf)
        order = np.sort(repeat, axis=1)
        second = order[:, 1] if order.shape[1] > 1 else np.full_like(last, np.inf)
        others = np.where(repeat <= order[:, :1], second[:, None, :], order[:, :1])
        after = np.minimum(last[:, None, :], others)
        tail = fixes * self.tail[:, None]
        done = np.where(useful, own + tail[None] + (1.0 - fixes)[None] * after, np.inf)
        by_state = (self.reach[None, :, :, None] + done[:, :, None, :]).min(axis=1)
        return np.asarray(np.minimum(quote, by_state))
