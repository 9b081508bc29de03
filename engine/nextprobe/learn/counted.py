"""The numbers that explain all cases best, by expectation and maximisation over the causes that nobody proved.

Dempster, Laird & Rubin, "Maximum likelihood from incomplete data via the EM algorithm", JRSS B 39, 1977: a job counts
for each cause by its posterior, so that one whose board was quoted counts for all that its readings left open, and one
that a repair cured for the causes that this repair can cure. What was asked hangs on what was told before and on
nothing else, so it need not be modelled (missing at random: Rubin, "Inference and missing data", Biometrika 63, 1976).
The pack's numbers enter as earlier jobs: Dirichlet for weights, beta for chances, with means at the pack's numbers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import lgamma

import numpy as np

from nextprobe.learn.tables import NO_SLIP, Block, Parameters
from nextprobe.model.arrays import Floats

#: A round that gains less than this, in nats, is the last; and no more rounds than these.
ENOUGH, ROUNDS = 1e-7, 500
#: Trials that a chance of the pack is worth at the least, however rare its cause.
LEAST = 5.0
#: Rounds of the weights' own step within one round; each raises the likelihood.
INNER = 4
#: Steps, each by the square root of 2, by which the worth of weights that the records contradict may go down.
STEPS = 7
#: Log chances below this come from what cannot be, not from what is rare.
IMPOSSIBLE = -600.0


@dataclass(frozen=True)
class Prior:
    """What the pack's numbers are worth: weight (C,) jobs of each cause, unlisted jobs; trials of each chance."""

    jobs: float
    weight: Floats
    unlisted: float
    fixes: Floats
    slips: Floats


@dataclass(frozen=True)
class Counted:
    """The numbers found. causes (C + 1,): jobs of each cause as expected, unlisted last; tried, gone (F,): trials of
    each repair on each cause and how many worked; read, slipped (S,): readings and misreads; likelihood: log of what is
    maximised, after each round, never falling. listed: jobs of a listed cause of each block, as expected.
    """

    found: Parameters
    causes: Floats
    tried: Floats
    gone: Floats
    read: Floats
    slipped: Floats
    likelihood: tuple[float, ...]
    listed: tuple[float, ...] = ()


def worth(known: Parameters, jobs: float, blocks: Sequence[Block], weights: float | None = None) -> Prior:
    """The pack's numbers as if they came from `jobs` earlier jobs like those of the records; weights: of its weights.

    A repair's chance is worth as many trials as there would be jobs of its cause among them; a misread as many readings
    as were taken in so many jobs. Both at least LEAST.
    """
    share = known.weight / known.weight.sum() * (1.0 - known.unlisted)
    of_cause = dict(zip(known.causes, share, strict=True))
    total = max(1.0, float(sum(block.count.sum() for block in blocks)))
    read = _read(blocks, len(known.slips))
    return Prior(
        jobs=jobs,
        weight=(jobs if weights is None else weights) * known.weight / known.weight.sum(),
        unlisted=jobs * known.unlisted,
        fixes=np.maximum(LEAST, np.array([jobs * of_cause[cause] for _, cause in known.fixes])),
        slips=np.maximum(LEAST, jobs * read / total),
    )


def count(blocks: Sequence[Block], known: Parameters, prior: Prior, rounds: int = ROUNDS) -> Counted:
    """Expectation and maximisation from the pack's numbers on, until nothing is gained."""
    now, told = known, []
    result = _expect(blocks, now)
    for _ in range(rounds):
        told.append(result.likelihood[0] + _log_prior(now, known, prior))
        if len(told) > 1 and told[-1] - told[-2] < ENOUGH:
            break
        now = _maximise(blocks, now, known, prior, result)
        result = _expect(blocks, now)
    return replace(result, found=now, likelihood=tuple(told))


def believed_worth(blocks: Sequence[Block], known: Parameters, counted: Counted, prior: Prior) -> float:
    """How many of the jobs that the pack's weights are said to be worth the records can be squared with, at most all.

    The value that makes the counts likeliest (Dirichlet-multinomial; an empirical prior: Good, The Estimation of
    Probabilities, MIT Press, 1965). Weights far off are so worth less, and their intervals get as wide as they ought.
    Fewer records than the pack is worth are too few to judge it.
    """
    share = np.zeros(len(known.causes))
    for block, jobs in zip(blocks, counted.listed, strict=True):
        open_ = known.weight * block.open
        share += jobs * open_ / open_.sum()
    seen, jobs = counted.causes[:-1], float(counted.causes[:-1].sum())
    used = share > 0
    share = share[used] / max(float(share.sum()), 1e-300)
    said = []
    for step in range(STEPS + 1):
        worth_ = prior.jobs * 2.0 ** (-step / 2.0)
        each = sum(
            lgamma(worth_ * mean + count_) - lgamma(worth_ * mean)
            for mean, count_ in zip(share, seen[used], strict=True)
        )
        said.append((lgamma(worth_) - lgamma(worth_ + jobs) + each, worth_))
    return max(said)[1] if jobs >= prior.jobs else prior.jobs


def log_joint(block: Block, now: Parameters) -> Floats:
    """(n, H + 1) log P(hypothesis, all that was told) of each row."""
    return np.asarray(
        block.log_readings(now.slip) + (block.log_repairs(now.fixed) + log_share(block, now))[:, block.cause_of]
    )


def log_share(block: Block, now: Parameters) -> Floats:
    """(C + 1,) the log of the share of jobs of each cause on this kind of machine; unlisted last."""
    open_ = now.weight * block.open
    with np.errstate(divide="ignore"):
        return np.append(np.log(open_ / open_.sum() * (1.0 - now.unlisted)), np.log(now.unlisted))


def posterior(block: Block, now: Parameters) -> tuple[Floats, Floats]:
    """(n, H + 1) the chance of each hypothesis given all that was told, and (n,) the log likelihood of each row."""
    joint = log_joint(block, now)
    top = joint.max(axis=1, keepdims=True)
    top = np.where(np.isfinite(top), top, 0.0)
    mass = np.exp(joint - top)
    total = mass.sum(axis=1, keepdims=True)
    return np.asarray(mass / np.maximum(total, 1e-300)), np.asarray((top + np.log(np.maximum(total, 1e-300)))[:, 0])


def explained(block: Block, now: Parameters) -> tuple[Block, tuple[int, ...]]:
    """The rows that some hypothesis can have given, and the places of the cases that none can."""
    can = log_joint(block, now).max(axis=1) > IMPOSSIBLE
    if can.all():
        return block, ()
    kept = np.nonzero(can)[0]
    out = tuple(place for row in np.nonzero(~can)[0] for place in block.members[row])
    return replace(
        block, readings=block.readings[kept], still=block.still[kept], gone=block.gone[kept], count=block.count[kept],
        members=tuple(block.members[row] for row in kept),
    ), out  # fmt: skip


def _expect(blocks: Sequence[Block], now: Parameters) -> Counted:
    """What the cases count for, given the numbers as they are now."""
    size = len(now.causes)
    causes, tried, gone = np.zeros(size + 1), np.zeros(len(now.fixes) + 1), np.zeros(len(now.fixes) + 1)
    read, slipped, likelihood = np.zeros(len(now.slips)), np.zeros(len(now.slips)), 0.0
    listed = []
    for block in blocks:
        weight, log_likelihood = posterior(block, now)
        weight = weight * block.count[:, None]
        likelihood += float(log_likelihood @ block.count)
        of_cause = _by_cause(weight, block, size)
        causes += of_cause.sum(axis=0)
        np.add.at(gone, block.fix_at, block.gone.T @ of_cause)
        np.add.at(tried, block.fix_at, (block.gone + block.still).T @ of_cause)
        wrong = np.where(block.slip_of == NO_SLIP, 0.0, now.slip[block.slip_of])[:, None] * block.slipped
        share = wrong / np.maximum(block.mixed(now.slip), 1e-300)
        share[:, -1] = 0.0  # of a machine that the pack does not know nobody can say what it should have read
        each = ((block.readings.T @ weight) * share).sum(axis=1)
        slips = block.slip_of != NO_SLIP
        np.add.at(slipped, block.slip_of[slips], each[slips])
        known = block.count - weight[:, -1]
        np.add.at(read, block.slip_of[slips], (known @ block.readings)[slips])
        listed.append(float(known.sum()))
    return Counted(now, causes, tried[:-1], gone[:-1], read, slipped, (likelihood,), tuple(listed))


def _by_cause(weight: Floats, block: Block, size: int) -> Floats:
    found = np.zeros((size + 1, len(weight)))
    np.add.at(found, block.cause_of, weight.T)
    return np.asarray(found.T)


def _maximise(blocks: Sequence[Block], now: Parameters, known: Parameters, prior: Prior, seen: Counted) -> Parameters:
    """The numbers that explain the counts best; each is the mean of its posterior, save where machines differ."""
    total = float(seen.causes.sum())
    unlisted = (prior.unlisted + float(seen.causes[-1])) / (prior.jobs + total)
    fixed = (prior.fixes * known.fixed + seen.gone) / (prior.fixes + seen.tried)
    slip = (prior.slips * known.slip + seen.slipped) / (prior.slips + seen.read)
    weight = now.weight / now.weight.sum()
    for _ in range(INNER):
        # Which causes can be there differs from machine to machine: Hunter, "MM algorithms for generalized
        # Bradley-Terry models", Annals of Statistics 32, 2004, equation 30. Alike machines need one step.
        per = np.full(len(weight), prior.weight.sum() / weight.sum())
        for block, jobs in zip(blocks, seen.listed, strict=True):
            per += block.open * jobs / (weight @ block.open)
        weight = (prior.weight + seen.causes[:-1]) / per
    return replace(now, weight=weight / weight.sum() * known.weight.sum(), unlisted=unlisted, fixed=fixed, slip=slip)


def _read(blocks: Sequence[Block], size: int) -> Floats:
    """(S,) readings whose chances hang on each chance of a misread."""
    found = np.zeros(size)
    for block in blocks:
        slips = block.slip_of != NO_SLIP
        np.add.at(found, block.slip_of[slips], (block.count @ block.readings)[slips])
    return found


def _log_prior(now: Parameters, known: Parameters, prior: Prior) -> float:
    """The log of the prior, up to a constant, in the form whose greatest value is at its mean."""
    share = now.weight / now.weight.sum()
    said = float(prior.weight @ np.log(share))
    said += _beta(now.unlisted, prior.unlisted, prior.jobs)
    said += sum(map(_beta, now.fixed, prior.fixes * known.fixed, prior.fixes))
    return said + sum(map(_beta, now.slip, prior.slips * known.slip, prior.slips))


def _beta(chance: float, hits: float, trials: float) -> float:
    floor = 1e-300
    return float(hits * np.log(max(chance, floor)) + (trials - hits) * np.log(max(1.0 - chance, floor)))
