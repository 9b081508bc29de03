"""What a pair of hypotheses owes at its prices: the least of l kl(alpha, 1 - beta) + a alpha + b beta.

For a given chance q = 1 - beta the least over alpha is -l log(1 - q k) with k = 1 - exp(-a / l) (the Gibbs
variational principle), which is convex in q; its least is at q = 1 / k - l / b, cut to 0..1.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from nextprobe.model.arrays import Floats

TINY = 1e-300


class Owed(NamedTuple):
    """minutes of each pair, and the slopes against its three prices: kl, alpha and beta at the least."""

    minutes: Floats
    nat: Floats
    wrong_repair: Floats
    wrong_end: Floats


def owed_minutes(nat: Floats, wrong_repair: Floats, wrong_end: Floats) -> Floats:
    """The minutes alone, for prices of any one shape; prices of 0 owe nothing."""
    return _least(nat, wrong_repair, wrong_end)[0]


def owed(nat: Floats, wrong_repair: Floats, wrong_end: Floats) -> Owed:
    """The minutes and their slopes."""
    minutes, chance, steep, left = _least(nat, wrong_repair, wrong_end)
    alpha = np.clip(chance * np.exp(-steep) / left, 0.0, 1.0)
    return Owed(minutes, _relative(alpha, chance), alpha, 1.0 - chance)


def _least(nat: Floats, wrong_repair: Floats, wrong_end: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """The minutes, and at the least: the chance q, a / l, and 1 - q k."""
    price = np.maximum(nat, TINY)
    steep = np.minimum(wrong_repair / price, 700.0)
    kept = -np.expm1(-steep)
    with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
        free = 1.0 / np.maximum(kept, TINY) - price / np.maximum(wrong_end, TINY)
    chance = np.clip(np.nan_to_num(free, nan=0.0), 0.0, 1.0)
    left = np.maximum(1.0 - chance * kept, TINY)
    return wrong_end * (1.0 - chance) - nat * np.log(left), chance, steep, left


def _relative(alpha: Floats, chance: Floats) -> Floats:
    """kl(alpha, chance) in nats."""
    with np.errstate(divide="ignore", invalid="ignore"):
        one = np.where(alpha > 0, alpha * np.log(np.maximum(alpha, TINY) / np.maximum(chance, TINY)), 0.0)
        two = np.where(
            alpha < 1, (1.0 - alpha) * np.log(np.maximum(1.0 - alpha, TINY) / np.maximum(1.0 - chance, TINY)), 0.0
        )
    return np.asarray(np.maximum(one + two, 0.0))
