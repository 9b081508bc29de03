"""What must have been told before a step, and what is closed once a fact is told by another way.

One mask a state of knowledge, `measured` (T,): told, or closed. A measurement that is closed because the same fact was
told by another way counts as told for whatever wants it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from nextprobe.model.arrays import Bools, Floats, Ints


@dataclass(frozen=True)
class Wants:
    """measure (T, T), repair (R, T): the measurements that must have been told first. No circles."""

    measure: Bools
    repair: Bools

    @cached_property
    def before_measure(self) -> Bools:
        """(T, T) what each measurement wants, and what that wants, and so on."""
        reach = self.measure
        while True:
            more = reach | ((reach.astype(np.int64) @ reach.astype(np.int64)) > 0)
            if (more == reach).all():
                return np.asarray(reach)
            reach = more

    @cached_property
    def before_repair(self) -> Bools:
        """(R, T) the same of each repair."""
        return np.asarray(self.repair | ((self.repair.astype(np.int64) @ self.before_measure.astype(np.int64)) > 0))

    @cached_property
    def for_measure(self) -> tuple[Ints, Floats]:
        """The measurements that some measurement wants (W,), and (W, T) what each is wanted by; few of all."""
        return _few(self.before_measure)

    @cached_property
    def for_repair(self) -> tuple[Ints, Floats]:
        """The measurements that some repair wants (W,), and (W, R) what each is wanted by."""
        return _few(self.before_repair)

    @cached_property
    def order(self) -> Ints:
        """(T,) the measurements so that what is wanted stands before what wants it."""
        return np.argsort(self.before_measure.sum(axis=1), kind="stable")

    def met_measure(self, measured: Bools) -> Bools:
        """(N, T) whether nothing is missing before each measurement, with `measured` (N, T)."""
        return np.asarray((~measured).astype(np.float32) @ self.measure.T.astype(np.float32) == 0)

    def met_repair(self, measured: Bools) -> Bools:
        """(N, R) the same of each repair."""
        return np.asarray((~measured).astype(np.float32) @ self.repair.T.astype(np.float32) == 0)

    def next(self, before: Bools, measured: Bools) -> Ints:
        """(N,) the first of `before` (N, T) that is not in `measured` (N, T) and wants nothing; -1 where none is."""
        missing = (before & ~measured)[:, self.order]
        if not missing.shape[1]:
            return np.full(len(missing), -1)
        return np.where(missing.any(axis=1), self.order[missing.argmax(axis=1)], -1)


def _few(before: Bools) -> tuple[Ints, Floats]:
    wanted = np.nonzero(before.any(axis=0))[0]
    return wanted, before[:, wanted].T.astype(np.float64)
