"""Simulated jobs: the same for any number of processes, an unbroken beginning where stopped, near the exact figure."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from nextprobe.errors import ModelError
from nextprobe.model.merge import merged
from nextprobe.pack.load import load_pack
from nextprobe.study.figures import policy_figures
from nextprobe.study.spread import cores, spread
from nextprobe.study.subject import Subject, subject_of
from nextprobe.study.walking import TAKEN, Simulated, simulated
from tests.study.small import LAMP, ONLY_FINDS, written


@pytest.fixture
def lamp(tmp_path: Path) -> Subject:
    return subject_of(load_pack(written(tmp_path / "lamp", LAMP)))


def played(subject: Subject, jobs: int, **more: object) -> Simulated:
    lean, group = merged(subject.model)
    told = simulated(subject, lean, group, jobs, **more)  # type: ignore[arg-type]
    assert told is not None
    return told


def test_the_mean_is_near_the_exact_minutes(lamp: Subject) -> None:
    """The pack is so small that the walk's planner finds the optimum; four standard errors."""
    told = played(lamp, 3000, seed=3)
    exact = policy_figures(lamp.model)
    assert told.minutes.standard_error is not None
    assert told.repaired.standard_error is not None
    assert abs(told.minutes.mean - exact.upper) < 4 * told.minutes.standard_error
    assert abs(told.repaired.mean - exact.mean(exact.repaired)) < 4 * told.repaired.standard_error
    assert sum(one.jobs for one in told.by_cause.values()) == 3000


def test_processes_change_no_figure(lamp: Subject) -> None:
    one, two = played(lamp, 60, seed=7, workers=1), played(lamp, 60, seed=7, workers=2)
    assert one == two
    assert played(lamp, 60, seed=8) != one


def test_more_jobs_begin_with_the_same_jobs(lamp: Subject) -> None:
    few = played(lamp, TAKEN, seed=1)
    calls = iter([False] + [True] * 1000)
    stopped = played(lamp, 50 * TAKEN, seed=1, cancel=lambda: next(calls))
    assert (stopped.jobs, stopped.wanted) == (TAKEN, 50 * TAKEN)
    assert stopped.minutes == few.minutes


def test_it_tells_how_far_it_is(lamp: Subject) -> None:
    told: list[tuple[int, float]] = []
    played(lamp, 5 * TAKEN, say=lambda count, left: told.append((count, left)))
    assert [count for count, _ in told] == [TAKEN * n for n in range(1, 6)]
    assert told[-1][1] == 0.0


def test_without_repairs_there_is_nothing_to_simulate(tmp_path: Path) -> None:
    subject = subject_of(load_pack(written(tmp_path / "colour", ONLY_FINDS)))
    with pytest.raises(ModelError, match="no repairs"):
        played(subject, 10)


def test_work_that_kills_its_process_is_done_in_this_one() -> None:
    """A process that dies takes its work with it; the rest is not lost."""
    results = dict(spread(_dies_elsewhere(), [1, 2, 3, 4], 2))
    assert results == {0: 1, 1: 4, 2: 9, 3: 16}
    assert cores() >= 1


class _dies_elsewhere:  # noqa: N801 - reads as a function
    def __init__(self) -> None:
        import os

        self.home = os.getpid()

    def __call__(self, number: int) -> int:
        import os

        if os.getpid() != self.home:
            os._exit(3)
        return int(np.square(number))
