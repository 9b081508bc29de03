"""Belief: the probability of every hypothesis given all readings. Pure functions on arrays.

A belief is the listed hypotheses' weights (n,) and one number for "something this pack does not know";
together they sum to 1. An update multiplies by the likelihood of what was told and scales again.

The unlisted hypothesis takes each reading as likely as it is over all causes given the symptom, each
reading on its own. So its odds rise by exactly the conflict measure of the readings: Jensen,
Chamberlain, Nordahl & Jensen, "Analysis in HUGIN of data conflict", UAI 1990.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from math import log2

import numpy as np

from nextprobe.model.arrays import Floats, sum_by
from nextprobe.model.hypotheses import Hypotheses


@dataclass(frozen=True, slots=True)
class Belief:
    """`weights` (n,) over the listed hypotheses and `unlisted`, summing to 1.

    log2_listed: log2 P(all that was told | a listed hypothesis). log2_own: the sum of log2 P(each told,
    on its own). impossible: nothing listed can have given what was told.
    """

    weights: Floats
    unlisted: float
    log2_listed: float = 0.0
    log2_own: float = 0.0
    impossible: bool = False

    @property
    def conflict(self) -> float:
        """Jensen's conflict measure in bits: above 0 the readings disagree, below they support each other."""
        # Nothing listed explains it: the disagreement is beyond measure.
        return np.inf if self.impossible else self.log2_own - self.log2_listed


def start(hypotheses: Hypotheses) -> Belief:
    """The belief given the symptom alone."""
    total = float(hypotheses.prior.sum()) + hypotheses.unlisted
    return Belief(hypotheses.prior / total, hypotheses.unlisted / total)


def own_chance(hypotheses: Hypotheses, likelihood: Floats) -> float:
    """P(reading) over all causes given the symptom: the reading on its own."""
    return float(hypotheses.prior @ likelihood / hypotheses.prior.sum())


def read(belief: Belief, likelihood: Floats, own: float) -> Belief:
    """The belief after one reading: `likelihood` (n,) is P(reading | hypothesis), `own` its `own_chance`."""
    return _scaled(belief, belief.weights * likelihood, belief.unlisted * own, own)


def _scaled(belief: Belief, weights: Floats, unlisted: float, own: float) -> Belief:
    listed_before, listed = float(belief.weights.sum()), float(weights.sum())
    total = listed + unlisted
    log2_own = belief.log2_own + (log2(own) if own > 0 else -np.inf)
    if total <= 0.0:
        # Nothing, not even the unlisted hypothesis, gives this: keep the shape and say so.
        return Belief(np.zeros_like(weights), 1.0, belief.log2_listed, log2_own, impossible=True)
    gained = log2(listed / listed_before) if listed > 0 and listed_before > 0 else -np.inf
    return Belief(
        weights / total, unlisted / total, belief.log2_listed + gained, log2_own, belief.impossible or listed <= 0
    )


def still_after(belief: Belief, hypotheses: Hypotheses, fixes: Floats) -> Belief:
    """The belief after a repair that left the symptom. `fixes` (C,): chance to remove each cause.

    A cause that was present stays with chance 1 - fixes. Of two causes one alone may have gone: that
    weight moves to the hypothesis of the cause left, with the effects it switched on itself, where
    these reach the symptom. No repair cures the unlisted cause.
    """
    fail = np.append(1.0 - fixes, 1.0)
    stays = belief.weights * fail[hypotheses.first] * fail[hypotheses.second]
    singles = hypotheses.singles
    if singles < len(stays):
        pairs = slice(singles, None)
        gone = np.append(fixes, 0.0)
        first, second = hypotheses.first[pairs], hypotheses.second[pairs]
        weight = belief.weights[pairs]
        after_first, after_second = hypotheses.left_alone
        for target, moved in (
            (after_first, weight * gone[first] * fail[second]),
            (after_second, weight * gone[second] * fail[first]),
        ):
            kept = target >= 0
            stays[:singles] += sum_by(target[kept], moved[kept], singles)
    own = own_chance(hypotheses, 1.0 - gone_chance(hypotheses, fixes))
    return _scaled(belief, stays, belief.unlisted, own)


def gone_chance(hypotheses: Hypotheses, fixes: Floats) -> Floats:
    """(n,) the chance that the symptom is gone after a repair, for each hypothesis."""
    gone = np.append(fixes, 0.0)
    chance = gone[hypotheses.first].copy()
    singles = hypotheses.singles
    if singles < len(chance):
        pairs = slice(singles, None)
        one, two = gone[hypotheses.first[pairs]], gone[hypotheses.second[pairs]]
        after_first, after_second = hypotheses.left_alone
        chance[pairs] = one * two + one * (1.0 - two) * (after_first < 0) + two * (1.0 - one) * (after_second < 0)
    return chance


def gone_after(belief: Belief, hypotheses: Hypotheses, fixes: Floats) -> Belief:
    """The belief about what *was* wrong, after a repair that removed the symptom."""
    chance = gone_chance(hypotheses, fixes)
    return _scaled(belief, belief.weights * chance, 0.0, own_chance(hypotheses, chance))


def present(belief: Belief, hypotheses: Hypotheses) -> dict[str, float]:
    """The probability that each cause is present, and ``unlisted``."""
    shares = hypotheses.present(belief.weights)
    return {**dict(zip(hypotheses.causes, shares.tolist(), strict=True)), "unlisted": belief.unlisted}


def any_present(belief: Belief, hypotheses: Hypotheses, causes: Collection[str]) -> float:
    """The probability that at least one of `causes` is present; ``unlisted`` counts as one."""
    wanted = np.array([cause in causes for cause in hypotheses.causes] + [False])
    hit = wanted[hypotheses.first] | wanted[hypotheses.second]
    return float(belief.weights[hit].sum()) + (belief.unlisted if "unlisted" in causes else 0.0)


def entropy(weights: Floats) -> float:
    """Entropy in bits of `weights`, which need not sum to 1."""
    total = float(weights.sum())
    if total <= 0:
        return 0.0
    share = weights[weights > 0] / total
    return float(-(share * np.log2(share)).sum())


def wrong_chance(belief: Belief, likelihood: Floats, slipped: Floats, own: float, own_slipped: float) -> float:
    """P(this reading was taken or typed wrong | everything told).

    likelihood (n,): P(reading | h); slipped (n,): the part of it that comes from a misread. The `own` pair
    is the same for the unlisted hypothesis.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(likelihood > 0, slipped / likelihood, 0.0)
    unlisted = belief.unlisted * (own_slipped / own if own > 0 else 0.0)
    return float(belief.weights @ share + unlisted)


def explains(conflict: float, before: float, after: float) -> bool:
    """Whether a rare hypothesis explains a conflict (bits): conf - log2(P(h|e) / P(h)) <= 0."""
    return after > 0 and before > 0 and conflict - log2(after / before) <= 0
