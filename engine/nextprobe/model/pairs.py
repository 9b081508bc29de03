"""The likeliest hypotheses of two causes in the planner's model, for one belief.

A repair removes each present cause independently; where one alone goes, the pair becomes the one-cause hypothesis of
the other, with the effects that it switched on itself, as the belief has it (pack format, "A hypothesis").
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from nextprobe.model.arrays import Floats, Ints, sum_by
from nextprobe.model.compile import Compiled, act_table
from nextprobe.model.hypotheses import Hypotheses
from nextprobe.model.still import make_still

#: So many pairs of causes with their effects are planned for; the others stay folded and their mass is stated.
MOST_PAIRS = 600
#: Pairs below this share of the belief are not taken in.
TOO_RARE = 1e-5


def with_pairs(
    compiled: Compiled, hypotheses: Hypotheses, weights: Floats, unlisted: float, most: int = MOST_PAIRS
) -> tuple[Compiled, Floats]:
    """The model with the likeliest pairs after its own rows, and the weights of all its rows.

    compiled: the model of the one-cause hypotheses and the unlisted one. weights (n,) of all hypotheses and `unlisted`:
    the belief, which need not sum to 1. Of two causes the likeliest effects stand for the rarer ones, so that each two
    causes weigh what they do in the belief; those of which nothing is taken are `folded`, as a share of the belief.
    """
    singles, model = hypotheses.singles, compiled.model
    total = float(weights.sum()) + unlisted
    pairs = weights[singles:]
    taken = np.nonzero(pairs > TOO_RARE * total)[0]
    if len(taken) > most:
        taken = taken[np.argsort(-pairs[taken], kind="stable")[:most]]
    taken = np.sort(taken)
    rows = taken + singles
    stands = _of_each_pair(hypotheses, weights, rows)
    folded = max(0.0, float(pairs.sum() - stands.sum())) / total if total > 0 else 0.0
    own = np.append(weights[:singles], unlisted)
    if not len(rows):
        return replace(compiled, folded=folded), own
    of_two = hypotheses.taken(rows)
    tables = tuple(
        np.vstack([table, act_table(of_two, act)[0]])
        for table, act in zip(model.likelihoods, compiled.acts, strict=True)
    )
    count = singles + 1
    first, second = (compiled.of_cause[:, of_two.first], compiled.of_cause[:, of_two.second])
    after_first, after_second = (after[taken] for after in hypotheses.left_alone)
    alone_first, alone_second = first * (1.0 - second), second * (1.0 - first)
    gone = first * second + alone_first * (after_first < 0) + alone_second * (after_second < 0)
    source = np.arange(count, count + len(rows))
    prior = np.concatenate([hypotheses.prior[:singles], [hypotheses.unlisted], hypotheses.prior[rows]])
    extended = replace(
        model,
        prior=prior / prior.sum(),
        likelihoods=tables,
        fixes=np.concatenate([model.fixes, gone], axis=1),
        still=make_still(
            np.concatenate([1.0 - model.fixes, (1.0 - first) * (1.0 - second)], axis=1),
            [
                _moves(source, after_first, after_second, one, two)
                for one, two in zip(alone_first, alone_second, strict=True)
            ],
        ),
    )
    return replace(compiled, model=extended, folded=folded), np.concatenate([own, stands])


def _of_each_pair(hypotheses: Hypotheses, weights: Floats, rows: Ints) -> Floats:
    """The weights of `rows`, scaled so that those of the same two causes hold all the weight of these two."""
    place = hypotheses.first * len(hypotheses.causes) + hypotheses.second
    both, singles = len(hypotheses.causes) ** 2, hypotheses.singles
    whole = sum_by(place[singles:], weights[singles:], both)
    held = sum_by(place[rows], weights[rows], both)
    return np.asarray(weights[rows] * (whole / np.where(held > 0, held, 1.0))[place[rows]])


def _moves(
    source: Ints, after_first: Ints, after_second: Ints, first: Floats, second: Floats
) -> tuple[Ints, Ints, Floats]:
    """first, second (P,): the chance that only the one or only the other cause of each pair goes."""
    one, two = (first > 0) & (after_first >= 0), (second > 0) & (after_second >= 0)
    return (
        np.concatenate([source[one], source[two]]),
        np.concatenate([after_first[one], after_second[two]]),
        np.concatenate([first[one], second[two]]),
    )
