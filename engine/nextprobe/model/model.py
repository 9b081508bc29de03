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

from nextprobe.model.arrays import Bools, Floats, Ints
from nextprobe.model.check_arrays import chances, indices_or_masks, minutes_array, parts, shortest_ways, state_index


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

    @classmethod
    def from_arrays(
        cls,
        prior: Any,
        likelihoods: Sequence[Any],
        minutes: Any,
        repairs: tuple[Any, Any] | None = None,
        refer: float | None = None,
        setup: tuple[Any, ...] | None = None,
    ) -> Model:
        """A model of plain arrays.

        prior (H,); likelihoods: T arrays (H, O_t), rows sum to 1; minutes (T,); repairs: (fixes (R, H) in
        0..1, minutes (R,)); refer: minutes; setup: (moves (S, S), at_measurement, at_repair, start[, end]),
        moves in minutes (shortest ways are taken over it), the middle two as state indices (T,), (R,) or as
        masks (T, S), (R, S). Raises ModelError that names the entry which is wrong, and why.
        """
        p = chances("prior", prior, (None,))
        p = p / p.sum()
        tables = tuple(
            chances(f"likelihoods[{t}]", table, (len(p), None), rows=True)
            for t, table in enumerate(parts("likelihoods", likelihoods))
        )
        cost = minutes_array("minutes", minutes, (len(tables),))
        fixes, repair_cost = parts("repairs", repairs, 2, 2) if repairs is not None else (np.zeros((0, len(p))), [])
        fixes = chances("repairs[0]", fixes, (None, len(p)), total=False)
        repair_cost = minutes_array("repairs[1]", repair_cost, (len(fixes),))
        moves, at_m, at_r, first, *end = (
            parts("setup", setup, 4, 5) if setup is not None else (np.zeros((1, 1)), None, None, 0)
        )
        ways = shortest_ways("setup[0]", moves)
        states = len(ways)
        at_measurement = indices_or_masks("setup[1]", at_m, len(tables), states)
        at_repair = indices_or_masks("setup[2]", at_r, len(fixes), states)
        start = state_index("setup[3]", first, states)
        back = ways[:, state_index("setup[4]", end[0], states)] if end else np.zeros(states)
        if refer is not None:
            price = float(minutes_array("refer", [refer], (1,))[0])
        else:
            price = _dearer_than_everything(ways, at_repair, repair_cost, back)
        shape = (len(fixes), states)
        return cls(
            prior=p,
            likelihoods=tables,
            minutes=cost,
            ways=ways,
            at_measurement=at_measurement,
            fixes=fixes,
            repair_minutes=repair_cost,
            at_repair=at_repair,
            proof=np.zeros(shape),
            proof_state=np.broadcast_to(np.arange(states), shape),
            tail=np.broadcast_to(back, shape),
            refer=price + back,
            start=start,
            stops=tuple(np.zeros(table.shape[1], dtype=bool) for table in tables),
            identify=repairs is None and refer is None,
            can_refer=refer is not None,
        )

    @cached_property
    def sorting(self) -> Ints | None:
        """(T, H) the outcome of each measurement for each hypothesis, where none of them is noisy; else None."""
        if not all(((table == 0.0) | (table == 1.0)).all() for table in self.likelihoods):
            return None
        outcomes = [table.argmax(axis=1) for table in self.likelihoods]
        return np.array(outcomes, dtype=np.int64).reshape(len(outcomes), len(self.prior))

    def narrowed(self, kept: Ints) -> Model:
        """The same problem with the hypotheses `kept` only."""
        return replace(
            self,
            prior=self.prior[kept],
            likelihoods=tuple(table[kept] for table in self.likelihoods),
            fixes=self.fixes[:, kept],
        )

    @cached_property
    def fold(self) -> Floats:
        """(H, K) sums hypotheses with the same repair column into one class."""
        _, classes = np.unique(self.fixes, axis=1, return_inverse=True)
        folded = np.zeros((len(self.prior), int(classes.max(initial=0)) + 1))
        folded[np.arange(len(self.prior)), classes.ravel()] = 1.0
        return folded

    @cached_property
    def class_fixes(self) -> Floats:
        """(R, K) `fixes` by class of `fold`."""
        size = self.fold.sum(axis=0)
        return (self.fixes @ self.fold) / np.where(size > 0, size, 1.0)

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


def _dearer_than_everything(ways: Floats, at_repair: Bools, repair_cost: Floats, back: Floats) -> float:
    """Minutes that no policy needs which tries every repair: what stands for quoting where there is none."""
    nearest = np.where(at_repair[None, :, :], ways[:, None, :], np.inf).min(axis=2, initial=np.inf)
    farthest = np.where(np.isfinite(nearest), nearest, 0.0).max(axis=0, initial=0.0)
    most = float(repair_cost.sum() + farthest.sum() + np.where(np.isfinite(back), back, 0.0).max(initial=0.0))
    return most * 1.001 + 0.001  # a hair more, so that a tie is never a quote that does not exist


def _nearest(ways: Floats, serves: Bools) -> tuple[Floats, Ints]:
    # (S, 1, S) + (1, n, S): the way to each state, closed where it does not serve.
    minutes = np.where(serves[None, :, :], ways[:, None, :], np.inf)
    state = minutes.argmin(axis=2)
    return np.take_along_axis(minutes, state[:, :, None], axis=2)[:, :, 0], state
