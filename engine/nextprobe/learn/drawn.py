"""How sure the numbers are: draws from their joint posterior, the causes of all cases drawn with them.

Gibbs sampling with the missing causes as data (Tanner & Wong, "The calculation of posterior distributions by data
augmentation", JASA 82, 1987), so that an interval is as wide as the causes that nobody proved make it. Weights of
machines that differ in what they can have: with a gamma variable for each kind of machine, by Caron & Doucet,
"Efficient Bayesian inference for generalized Bradley-Terry models", J. Comp. Graph. Stat. 21, 2012. Chances of a
misread are held at their best value meanwhile, and have their own interval from their likelihood.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from nextprobe.learn.counted import Counted, Prior, posterior
from nextprobe.learn.tables import Block, Parameters
from nextprobe.model.arrays import Floats

#: Sweeps, of which the first share is thrown away; fewer where a sweep has many rows.
SWEEPS, LEAST, BURNT, WORK = 2000, 300, 0.15, 6e8
#: Points of the grid on which a chance of a misread is weighed.
GRID = 400


@dataclass(frozen=True)
class Draws:
    """Draws (D, ...) of the posterior: share (D, C) of the listed causes, sums to 1; unlisted (D,); fixes (D, F)."""

    share: Floats
    unlisted: Floats
    fixes: Floats


def draws(blocks: Sequence[Block], counted: Counted, known: Parameters, prior: Prior, seed: int = 0) -> Draws:
    """Draws from the posterior; the same for the same cases and seed."""
    rng = np.random.default_rng(seed)
    at, size = counted.found, len(known.causes)
    readings = [_of_causes(block, at.slip, size) for block in blocks]
    cells = sum(one.size for one in readings)
    sweeps = int(np.clip(WORK / max(cells, 1), LEAST, SWEEPS))
    burnt = int(BURNT * sweeps)
    weight, unlisted, fixed = at.weight / at.weight.sum(), at.unlisted, at.fixed
    kept: list[tuple[Floats, float, Floats]] = []
    for sweep in range(sweeps):
        causes, tried, gone = np.zeros(size + 1), np.zeros(len(fixed) + 1), np.zeros(len(fixed) + 1)
        rate = np.ones(size)
        for block, log_reading in zip(blocks, readings, strict=True):
            of_cause = _draw_causes(block, log_reading, weight, unlisted, fixed, rng)
            causes += of_cause.sum(axis=0)
            np.add.at(gone, block.fix_at, block.gone.T @ of_cause)
            np.add.at(tried, block.fix_at, (block.gone + block.still).T @ of_cause)
            jobs = float(of_cause[:, :-1].sum())
            if jobs:
                rate += block.open * rng.gamma(jobs) / float(weight @ block.open)
        weight = np.maximum(rng.gamma(prior.weight + causes[:-1]) / rate, 1e-300)
        unlisted = _chance(rng, prior.unlisted + causes[-1], prior.jobs - prior.unlisted + causes[:-1].sum())
        hits, trials = prior.fixes * known.fixed + gone[:-1], prior.fixes + tried[:-1]
        fixed = _chances(rng, hits, trials - hits)
        if sweep >= burnt:
            kept.append((weight / weight.sum(), unlisted, fixed))
    return Draws(
        np.array([one[0] for one in kept]), np.array([one[1] for one in kept]), np.array([one[2] for one in kept])
    )


def slip_interval(
    blocks: Sequence[Block], counted: Counted, known: Parameters, prior: Prior, which: int, share: float
) -> tuple[float, float]:
    """The interval that holds a chance of a misread with the chance `share`, from its likelihood on a grid."""
    top = min(0.5, max(20.0 * float(counted.found.slip[which]), 0.02))
    grid = np.geomspace(1e-6, top, GRID)
    hits, trials = prior.slips[which] * known.slip[which], prior.slips[which]
    # The beta's density of the logarithm of the chance, so that equal steps of the grid weigh the same.
    log_mass = hits * np.log(grid) + (trials - hits - 1.0) * np.log1p(-grid)
    weights = [posterior(block, counted.found)[0] for block in blocks]
    for block, weight in zip(blocks, weights, strict=True):
        mine = np.nonzero(block.slip_of == which)[0]
        here = ((weight * block.count[:, None]).T @ block.readings[:, mine])[:-1].T
        clean, slipped = block.clean[mine, :-1], block.slipped[mine, :-1]
        used = here > 1e-9
        mixed = np.log(np.maximum((1.0 - grid) * clean[used][:, None] + grid * slipped[used][:, None], 1e-300))
        log_mass = log_mass + here[used] @ mixed
    mass = np.exp(log_mass - log_mass.max())
    total = np.cumsum(mass) / mass.sum()
    tail = (1.0 - share) / 2.0
    return float(np.interp(tail, total, grid)), float(np.interp(1.0 - tail, total, grid))


def _of_causes(block: Block, slip: Floats, size: int) -> Floats:
    """(n, C + 1) log P(all readings | cause); what cannot be there is far below."""
    log_reading = block.log_readings(slip)
    found = np.full((len(log_reading), size + 1), -1e6)
    for cause in range(size + 1):
        mine = block.cause_of == cause
        if mine.any():
            found[:, cause] = np.logaddexp.reduce(log_reading[:, mine], axis=1)
    return np.asarray(np.maximum(found, -1e6))


def _draw_causes(
    block: Block, log_reading: Floats, weight: Floats, unlisted: float, fixed: Floats, rng: np.random.Generator
) -> Floats:
    """(n, C + 1) cases of each row by cause, drawn."""
    open_ = weight * block.open
    share = np.append(open_ / open_.sum() * (1.0 - unlisted), unlisted)
    joint = log_reading + block.log_repairs(fixed) + np.log(np.maximum(share, 1e-300))
    mass = np.exp(joint - joint.max(axis=1, keepdims=True))
    mass /= mass.sum(axis=1, keepdims=True)
    return np.asarray(rng.multinomial(block.count.astype(np.int64), mass), dtype=np.float64)


def _chance(rng: np.random.Generator, hits: float, misses: float) -> float:
    if hits <= 0 or misses <= 0:
        return 0.0 if hits <= 0 else 1.0
    return float(np.clip(rng.beta(hits, misses), 1e-12, 1.0 - 1e-12))


def _chances(rng: np.random.Generator, hits: Floats, misses: Floats) -> Floats:
    """Beta draws; a chance of 0 or 1 that nothing spoke against stays."""
    drawn = rng.beta(np.maximum(hits, 1e-9), np.maximum(misses, 1e-9))
    return np.asarray(np.where(misses <= 1e-9, 1.0, np.clip(drawn, 1e-12, 1.0 - 1e-12)))
