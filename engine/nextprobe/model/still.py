"""Where the weight goes that a repair leaves failing: what stays, and what is then another hypothesis.

With two faults a repair may remove one of them: the symptom is still there, and the hypothesis is now that of the
other cause alone. So a failed repair is a transition (as the actions of a partially observable decision process:
Smallwood & Sondik 1973), of which nearly all is "stays", kept as a column, and the rest as triples.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints, sum_by


@dataclass(frozen=True)
class Moves:
    """Of one repair: `chance` (M,) that hypothesis `source` (M,) is `target` (M,) after it, by target; never itself."""

    source: Ints
    target: Ints
    chance: Floats

    @cached_property
    def starts(self) -> Ints:
        """(U,) where each target begins."""
        return np.concatenate([[0], np.nonzero(np.diff(self.target))[0] + 1]).astype(np.int64)

    @cached_property
    def targets(self) -> Ints:
        """(U,) each target once."""
        return np.asarray(self.target[self.starts])

    def add(self, into: Floats, rows: Ints | slice, weights: Floats) -> None:
        """Add what moves of `weights` (n, H) to the `rows` of `into` (N, H)."""
        gained = np.add.reduceat(weights[:, self.source] * self.chance, self.starts, axis=1)
        if isinstance(rows, slice):
            into[rows, self.targets] += gained
        else:
            into[rows[:, None], self.targets[None, :]] += gained


@dataclass(frozen=True)
class Still:
    """stays (R, H): the chance that the symptom is still there and the hypothesis the same; moves: one a repair."""

    stays: Floats
    moves: tuple[Moves, ...]

    def after(self, weights: Floats, repair: int | Ints) -> Floats:
        """(N, H) the weights (N, H) that are left, still failing, after a repair: one, or one for each row (N,)."""
        left = weights * self.stays[repair]
        if isinstance(repair, (int, np.integer)):
            if len(self.moves[repair].source):
                self.moves[repair].add(left, slice(None), weights)
            return left
        for one in np.unique(repair).tolist():
            if len(self.moves[one].source):
                rows = np.nonzero(repair == one)[0]
                self.moves[one].add(left, rows, weights[rows])
        return left

    def chances(self, repair: int, hypothesis: int) -> tuple[Ints, Floats]:
        """What a hypothesis is after a failed repair, itself first, and the chance of each."""
        moves = self.moves[repair]
        own = np.nonzero(moves.source == hypothesis)[0]
        return (
            np.concatenate([[hypothesis], moves.target[own]]).astype(np.int64),
            np.concatenate([[self.stays[repair, hypothesis]], moves.chance[own]]),
        )

    def reached(self, kept: Bools) -> Bools:
        """(H,) `kept` (H,) and all that its hypotheses can become."""
        reached = kept.copy()
        while True:
            before = int(reached.sum())
            for moves in self.moves:
                reached[moves.target[reached[moves.source]]] = True
            if int(reached.sum()) == before:
                return reached

    def narrowed(self, kept: Ints) -> Still:
        """The same for the hypotheses `kept` only, which must hold all that they can become."""
        place = np.full(self.stays.shape[1], -1)
        place[kept] = np.arange(len(kept))
        narrow = []
        for moves in self.moves:
            of = np.nonzero(place[moves.source] >= 0)[0]
            narrow.append(sorted_moves(place[moves.source[of]], place[moves.target[of]], moves.chance[of]))
        return Still(self.stays[:, kept], tuple(narrow))

    def lumped(self, labels: Ints, members: Ints) -> Still:
        """The same between classes: labels (H,); members (K,): one hypothesis of each, which stands for all."""
        stands = np.zeros(len(labels), dtype=bool)
        stands[members] = True
        lumps = []
        for moves in self.moves:
            of = np.nonzero(stands[moves.source])[0]
            lumps.append(sorted_moves(labels[moves.source[of]], labels[moves.target[of]], moves.chance[of]))
        return _with_own_moves_as_stays(self.stays[:, members], lumps)


def sorted_moves(source: Ints, target: Ints, chance: Floats) -> Moves:
    """Moves by target, the same source and target added up, chances of 0 left out."""
    span = int(max(source.max(initial=0), target.max(initial=0))) + 1
    key, place = np.unique(target * span + source, return_inverse=True)
    total = sum_by(place.ravel(), chance, len(key))
    key, total = key[total > 0], total[total > 0]
    return Moves((key % span).astype(np.int64), (key // span).astype(np.int64), total)


def make_still(stays: Floats, moves: Sequence[tuple[Ints, Ints, Floats]]) -> Still:
    """From what stays (R, H) and triples (source, target, chance) of each repair; a source that is its target stays."""
    return _with_own_moves_as_stays(stays, [sorted_moves(*one) for one in moves])


def _with_own_moves_as_stays(stays: Floats, moves: Sequence[Moves]) -> Still:
    stays, others = stays.copy(), []
    for repair, one in enumerate(moves):
        own = one.source == one.target
        stays[repair, one.source[own]] += one.chance[own]
        others.append(Moves(one.source[~own], one.target[~own], one.chance[~own]))
    return Still(stays, tuple(others))
