"""The clairvoyant bound of two faults: a failed repair may leave another hypothesis.

There are too many sets of repairs tried to go through (as `known_cause.py` does for one fault). So what a job costs at
least is put into itself from 0 on: a quote, or a repair that can cure or change what it is, and the mean of what
follows its outcomes, but never the same repair twice in a row. Every such step stays below the cost (induction on the
number of repairs that are still to be made). What must be told first or is closed only takes policies away.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints, sum_by
from nextprobe.model.model import Model
from nextprobe.model.still import Moves, Still

#: How often the bound is put into itself: the repairs that are made in a row at most before it may end.
ROUNDS = 4


def quote_from(model: Model) -> Floats:
    """(S,) quoting may be cheaper from another state than from here, and the way there may be made first."""
    return np.asarray((model.ways + model.refer[None, :]).min(axis=1))


def two_faults_minutes(model: Model, still: Still, tried: Bools | None = None) -> Floats:
    """(S, H) the bound for each hypothesis from each bench state, with `tried` (R,) used up."""
    quote = quote_from(model)
    steps = [_Step.of(model, still, r) for r in range(len(model.fixes)) if tried is None or not tried[r]]
    # After a repair the bench stands in few states; only the last round is for all of them.
    inner = np.unique(np.concatenate([np.zeros(0, dtype=np.int64), *(step.after for step in steps)]))
    found = _Found.none(len(inner), len(model.prior))
    for number in range(ROUNDS):
        states = inner if number < ROUNDS - 1 else np.arange(len(quote))
        found = _put_in(found, steps, inner, states, quote[states])
    return found.best


class _Found(NamedTuple):
    """(states, H) each: the least minutes, the least if the step that gives them may not be made, and which step."""

    best: Floats
    other: Floats
    which: Ints

    @classmethod
    def none(cls, states: int, hypotheses: int) -> _Found:
        zero = np.zeros((states, hypotheses))
        return cls(zero, zero, np.full(zero.shape, -1))


def _put_in(found: _Found, steps: list[_Step], inner: Ints, states: Ints, quote: Floats) -> _Found:
    """The bound from `states`, with `found` in the states `inner` for what follows a failed repair."""
    best = np.repeat(quote[:, None], found.best.shape[1], axis=1)
    other, which = best.copy(), np.full(best.shape, -1)
    for number, step in enumerate(steps):
        after = np.searchsorted(inner, step.after)
        then = np.where(found.which[after] == number, found.other[after], found.best[after])
        minutes = step.minutes[states, None] + step.following(then)
        of = step.of_use
        least, second = best[:, of], other[:, of]
        first = minutes < least
        other[:, of] = np.where(first, least, np.minimum(second, minutes))
        best[:, of] = np.where(first, minutes, least)
        which[:, of] = np.where(first, number, which[:, of])
    return _Found(best, other, which)


@dataclass(frozen=True)
class _Step:
    """A repair where it may change the hypothesis.

    minutes (S,): from each state until the symptom has been looked for. after (A,): the states it may lead to; tail
    (A,): from there, once cured. of_use (n,): the hypotheses that it may cure or change, with the chances cures and
    stays (n,); moves: of those, by place in of_use.
    """

    minutes: Floats
    after: Ints
    tail: Floats
    of_use: Ints
    cures: Floats
    stays: Floats
    moves: Moves
    place: Ints

    @classmethod
    def of(cls, model: Model, still: Still, repair: int) -> _Step:
        """The repair of a model."""
        at = np.nonzero(model.at_repair[repair])[0]
        way = model.ways[:, at] + model.repair_minutes[repair] + model.proof[repair, at]
        after = np.unique(model.proof_state[repair, at])
        moves = still.moves[repair]
        touched = model.fixes[repair] > 0
        touched[moves.source] = True
        of_use = np.nonzero(touched)[0]
        return cls(
            way.min(axis=1, initial=np.inf),
            after,
            model.tail[repair, after],
            of_use,
            model.fixes[repair, of_use],
            still.stays[repair, of_use],
            moves,
            np.searchsorted(of_use, moves.source),
        )

    def following(self, then: Floats) -> Floats:
        """(n,) the mean of what follows, from the best state it may lead to; then (A, H): what each costs there."""
        mean = self.tail[:, None] * self.cures + self.stays * then[:, self.of_use]
        moved = then[:, self.moves.target] * self.moves.chance
        for row, more in zip(mean, moved, strict=True):
            row += sum_by(self.place, more, len(self.of_use))
        return np.asarray(mean.min(axis=0, initial=np.inf))
