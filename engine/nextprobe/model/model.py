"""The planner's model: plain arrays, in minutes, that know nothing of packs.

H hypotheses, T measurements with O_t outcomes, R repairs, S bench states. Every cost is in bench
minutes. A model is immutable; a planner is handed a model, a belief and a bench state.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from nextprobe.model.arguments import fields
from nextprobe.model.arrays import Bools, Floats, Ints, sum_by
from nextprobe.model.still import Still
from nextprobe.model.wants import Wants

#: Up to so many classes a product with `fold` is the quickest sum.
FEW_CLASSES = 64


@dataclass(frozen=True)
class Model:
    """Arrays of one planning problem.

    prior (H,); likelihoods: T arrays (H, O_t), rows sum to 1; minutes (T,): hands-on and weighted wait.
    ways (S, S): minutes of the shortest way between bench states; at_measurement (T, S) and at_repair
    (R, S): the states that serve. stops: for each measurement the outcomes (O_t,) that end the work.
    fixes (R, H); repair_minutes (R,): work, weighted wait, parts and risk.
    proof (R, S) and proof_state (R, S): from a repair done in state s, the minutes until the symptom has
    been looked for, and the state then. tail (R, S): what a cured job still costs from there: the rest of
    the proof, the closing checks, the way to hand back. refer (S,): ending by quoting, all told;
    can_refer: whether quoting is possible at all (else it stands for trying everything). identify: the aim
    is only to know the hypothesis, until one group is left or one holds `confidence`.
    wants: what must have been told first; excludes (T, T): what is closed once a measurement is told; still: what a
    hypothesis is after a repair that left the symptom. Each is None where there is none of it; without `still` a
    hypothesis stays what it is with chance 1 - fixes.
    """

    prior: Floats
    likelihoods: tuple[Floats, ...]
    minutes: Floats
    ways: Floats
    at_measurement: Bools
    fixes: Floats
    repair_minutes: Floats
    at_repair: Bools
    proof: Floats
    proof_state: Ints
    tail: Floats
    refer: Floats
    start: int
    stops: tuple[Bools, ...]
    identify: bool = False
    can_refer: bool = True
    confidence: float = 1.0

    wants: Wants | None = None
    excludes: Bools | None = None
    still: Still | None = None

    @classmethod
    def from_arrays(
        cls,
        prior: Any,
        likelihoods: Sequence[Any],
        minutes: Any,
        repairs: tuple[Any, ...] | None = None,
        refer: float | None = None,
        setup: tuple[Any, ...] | None = None,
        *,
        wants: tuple[Any, Any] | None = None,
        excludes: Any = None,
        stops: Sequence[Any] | None = None,
        proof: tuple[Any, Any, Any] | None = None,
        confidence: float = 1.0,
    ) -> Model:
        """A model of plain arrays.

        prior (H,); likelihoods: T arrays (H, O_t), rows sum to 1; minutes (T,); repairs: (fixes (R, H) in
        0..1, minutes (R,)[, still]); refer: minutes; setup: (moves (S, S), at_measurement, at_repair, start[, end]),
        moves in minutes (shortest ways are taken over it), the middle two as state indices (T,), (R,) or as
        masks (T, S), (R, S).

        still: what a hypothesis is after a repair that left the symptom, dense (R, H, H) or for each repair a tuple
        (source, target, chance) of three equally long arrays; with fixes its rows sum to 1. Without it each
        hypothesis stays what it is with chance 1 - fixes.
        wants: (for_measure (T, T), for_repair (R, T)), either may be None: what must have been told first; no circles.
        excludes (T, T): [t, u] once t is told u is closed, and counts as told for what wants it.
        stops: for each measurement which of its outcomes (O_t,) end the work, which then costs what quoting costs.
        proof: (minutes (R, S), state (R, S), tail (R, S)) as in the fields, in place of the way to the end state.
        confidence: identification ends once one hypothesis holds this share.
        Raises ModelError that names the entry which is wrong, and why.
        """
        return cls(
            **fields(prior, likelihoods, minutes, repairs, refer, setup, wants, excludes, stops, proof, confidence)
        )

    @property
    def plain(self) -> bool:
        """Whether every step is open until it is done and every repair leaves each hypothesis what it is."""
        return self.wants is None and self.excludes is None and self.still is None

    def after_failure(self, weights: Floats, repair: int | Ints) -> Floats:
        """(N, H) what is left of the weights (N, H) after a repair that left the symptom.

        repair: an index, or one for each row (N,).
        """
        if self.still is None:
            return np.asarray(weights * (1.0 - self.fixes[repair]))
        return self.still.after(weights, repair)

    def class_after_failure(self, folded: Floats, repair: int | Ints) -> Floats:
        """(N, K) the same for weights by class of `fold` (N, K)."""
        if self.class_still is None:
            return np.asarray(folded * (1.0 - self.class_fixes[repair]))
        return self.class_still.after(folded, repair)

    def told_after(self, measured: Bools, test: Ints) -> Bools:
        """(N, T) what is not open any more once `test` (N,) is told, beside `measured` (N, T)."""
        after = measured.copy()
        after[np.arange(len(after)), test] = True
        if self.excludes is not None:
            after |= self.excludes[test]
        return after

    def askable(self, measured: Bools) -> Bools:
        """(N, T) the measurements that may be made next, with `measured` (N, T) told or closed."""
        open_ = ~measured
        if self.wants is not None:
            open_ &= self.wants.met_measure(measured)
        return open_

    def repairable(self, measured: Bools, tried: Bools) -> Bools:
        """(N, R) the repairs that may be made next, with `tried` (N, R) used up."""
        return ~tried if self.wants is None else ~tried & self.wants.met_repair(measured)

    @cached_property
    def sorting(self) -> Ints | None:
        """(T, H) the outcome of each measurement for each hypothesis, where none of them is noisy; else None."""
        if not all(((table == 0.0) | (table == 1.0)).all() for table in self.likelihoods):
            return None
        outcomes = [table.argmax(axis=1) for table in self.likelihoods]
        return np.array(outcomes, dtype=np.int64).reshape(len(outcomes), len(self.prior))

    def narrowed(self, kept: Ints) -> Model:
        """The same problem with the hypotheses `kept` only, ascending; see `closed` for what must be among them."""
        narrow = replace(
            self,
            prior=self.prior[kept],
            likelihoods=tuple(table[kept] for table in self.likelihoods),
            fixes=self.fixes[:, kept],
            still=None if self.still is None else self.still.narrowed(kept),
        )
        if self.still is not None:
            # Classes stay classes when some members go; finding them anew takes longer than all the rest.
            _, narrow.__dict__["classes"] = np.unique(self.classes[kept], return_inverse=True)
        return narrow

    def closed(self, kept: Bools) -> Bools:
        """(H,) `kept` (H,) and the hypotheses that these can become after a failed repair."""
        return kept if self.still is None else self.still.reached(kept)

    @cached_property
    def classes(self) -> Ints:
        """(H,) the class of each hypothesis: members are told apart by no repair, tried or yet to be tried.

        The same repair column; with two faults also the same classes that they become with the same chances (an
        ordinary lumping of a Markov chain: Kemeny & Snell 1960); and, where a repair wants readings that may end
        the work, the same chance that they do.
        """
        _, labels = np.unique(self._columns, axis=1, return_inverse=True)
        labels = labels.ravel()
        if self.still is None:
            return labels
        numbers = np.random.default_rng(0).random(len(self.prior))
        while True:
            # One random number a class: two hypotheses have the same sums only where they become the same classes.
            rows = [labels.astype(np.float64)]
            for moves in self.still.moves:
                rows.append(sum_by(moves.source, moves.chance * numbers[labels[moves.target]], len(labels)))
            _, finer = np.unique(np.round(np.array(rows), 12), axis=1, return_inverse=True)
            if finer.max() == labels.max():
                return labels
            labels = finer.ravel()

    @property
    def _columns(self) -> Floats:
        columns = [self.fixes]
        if self.still is not None:
            columns.append(self.still.stays)
        if self.wants is not None:
            columns.append(self.goes_on[self.wants.before_repair.any(axis=0)])
        return self.fixes if len(columns) == 1 else np.concatenate(columns)

    @cached_property
    def goes_on(self) -> Floats:
        """(T, H) the chance that a reading does not end the work."""
        rows = [table @ ~stop for table, stop in zip(self.likelihoods, self.stops, strict=True)]
        return np.array(rows, dtype=np.float64).reshape(len(rows), len(self.prior))

    @cached_property
    def members(self) -> Ints:
        """(K,) one hypothesis of each class."""
        _, first = np.unique(self.classes, return_index=True)
        return first

    @cached_property
    def fold(self) -> Floats:
        """(H, K) sums hypotheses of the same class."""
        folded = np.zeros((len(self.prior), int(self.classes.max(initial=0)) + 1))
        folded[np.arange(len(self.prior)), self.classes] = 1.0
        return folded

    def folded(self, weights: Floats) -> Floats:
        """(N, K) the weights (N, H) by class; as `weights @ fold`, quicker where there are many classes."""
        if self.fold.shape[1] <= FEW_CLASSES:
            return np.asarray(weights @ self.fold)
        order, starts = self._by_class
        return np.asarray(np.add.reduceat(weights[:, order], starts, axis=1))

    @cached_property
    def _by_class(self) -> tuple[Ints, Ints]:
        """The hypotheses class by class, and where each class begins."""
        order = np.argsort(self.classes, kind="stable")
        return order, np.searchsorted(self.classes[order], np.arange(self.fold.shape[1]))

    @cached_property
    def class_still(self) -> Still | None:
        """Transitions between classes; None where every hypothesis stays what it is."""
        return None if self.still is None else self.still.lumped(self.classes, self.members)

    @cached_property
    def class_fixes(self) -> Floats:
        """(R, K) `fixes` by class of `fold`."""
        size = self.fold.sum(axis=0)
        return (self.fixes @ self.fold) / np.where(size > 0, size, 1.0)

    @cached_property
    def class_goes_on(self) -> Floats:
        """(T, K) `goes_on` by class, of the measurements that some repair wants told first."""
        return np.asarray((self.goes_on @ self.fold) / np.maximum(self.fold.sum(axis=0), 1.0))

    @cached_property
    def class_progress(self) -> Floats | None:
        """(R, K) how far each repair brings each class without curing it, as a share of a cure; None without `still`.

        What it then is would still cost about its cheapest repair, or the quote, where the quote was to be paid.
        """
        if self.class_still is None:
            return None
        quote = float(self.refer.min())
        done = np.where(self.at_repair, self.proof + np.take_along_axis(self.tail, self.proof_state, axis=1), np.inf)
        own = self.repair_minutes + done.min(axis=1, initial=np.inf)
        cost = np.where(self.class_fixes > 0, own[:, None] + (1.0 - self.class_fixes) * quote, np.inf)
        saved = 1.0 - np.minimum(cost.min(axis=0, initial=np.inf), quote) / max(quote, 1e-9)
        progress = [sum_by(m.source, m.chance * saved[m.target], len(saved)) for m in self.class_still.moves]
        return np.array(progress).reshape(self.class_fixes.shape)

    @cached_property
    def stacked(self) -> tuple[Floats, Ints]:
        """All outcomes of all measurements as (sum of O_t, H), and the measurement of each row."""
        if not self.likelihoods:
            return np.zeros((0, len(self.prior))), np.zeros(0, dtype=np.int64)
        rows = np.concatenate([table.T for table in self.likelihoods])
        owner = np.repeat(np.arange(len(self.likelihoods)), [table.shape[1] for table in self.likelihoods])
        return rows, owner

    @cached_property
    def first_row(self) -> Ints:
        """(T + 1,) the row of `stacked` at which each measurement begins, and the number of rows."""
        sizes = [table.shape[1] for table in self.likelihoods]
        return np.concatenate([[0], np.cumsum(sizes, dtype=np.int64)]).astype(np.int64)

    @cached_property
    def nearest_measurement(self) -> tuple[Floats, Ints]:
        """(S, T) minutes to the nearest state that serves each measurement, and that state."""
        return _nearest(self.ways, self.at_measurement)

    @cached_property
    def nearest_repair(self) -> tuple[Floats, Ints]:
        """(S, R) minutes to the nearest state that serves each repair, and that state."""
        return _nearest(self.ways, self.at_repair)

    @cached_property
    def repair_from(self) -> tuple[Floats, Ints, Floats]:
        """(S, R) each: minutes of a repair from each state, made in the nearest that serves, until the symptom has been
        looked for; the state then; and the tail from there."""
        way, near = self.nearest_repair
        repairs = np.arange(len(self.fixes))
        after = self.proof_state[repairs, near]
        cost = way + self.repair_minutes + self.proof[repairs, near]
        return cost, np.asarray(after, dtype=np.int64), np.asarray(self.tail[repairs, after])


def _nearest(ways: Floats, serves: Bools) -> tuple[Floats, Ints]:
    # (S, 1, S) + (1, n, S): the way to each state, closed where it does not serve.
    minutes = np.where(serves[None, :, :], ways[:, None, :], np.inf)
    state = minutes.argmin(axis=2)
    return np.take_along_axis(minutes, state[:, :, None], axis=2)[:, :, 0], state
