"""Fractions detected and isolated: the values of the terms of IEEE 1522 (formulas from memory), by hand."""

from __future__ import annotations

import numpy as np
import pytest

from nextprobe.model.arrays import Floats
from nextprobe.study.apart import ambiguity_groups, best_apart, variation
from nextprobe.study.testability import detected_by, fractions, isolated_at

#: Six states, the first healthy; failing tests of each (Pattipati & Alexandridis, IEEE Trans. SMC 1990; from memory).
SIGNS = np.array([[0, 0, 0, 0, 0], [0, 1, 0, 0, 1], [0, 0, 1, 1, 0], [1, 0, 0, 1, 1], [1, 1, 0, 0, 0], [1, 1, 1, 1, 1]])
PRIOR = np.array([0.70, 0.01, 0.02, 0.10, 0.05, 0.12])


def tables(tests: list[int]) -> tuple[list[Floats], list[Floats]]:
    """Of the five faulty states, and of the healthy one; tests count from 1."""
    both = [np.column_stack([1.0 - SIGNS[:, t - 1], SIGNS[:, t - 1]]) for t in tests]
    return [table[1:] for table in both], [table[0] for table in both]


@pytest.mark.parametrize(
    ("tests", "detected", "isolated", "by_count", "ambiguity"),
    [
        ([1, 2], 14 / 15, {1: 11 / 28, 2: 1.0}, 1 / 2, 45 / 28),
        ([2, 4], 1.0, {1: 2 / 5, 2: 1.0}, None, 8 / 5),
    ],
)
def test_six_states(
    tests: list[int], detected: float, isolated: dict[int, float], by_count: float | None, ambiguity: float
) -> None:
    """FFD 14/15, FFI(1) 11/28 (by count 1/2), FFI(2) 1, mean ambiguity 45/28; and 1, 2/5, 8/5. Recomputed by hand."""
    faults, healthy = tables(tests)
    weights = PRIOR[1:]
    group = ambiguity_groups(faults, weights, np.arange(5), 5)
    seen = detected_by(faults, healthy) > 1e-9
    told = fractions(weights, seen, group)
    assert told.detected == pytest.approx(detected)
    assert told.isolated == pytest.approx(isolated)
    assert told.mean_ambiguity == pytest.approx(ambiguity)
    if by_count is not None:
        assert fractions(np.ones(5), seen, group).isolated[1] == pytest.approx(by_count)


def test_without_noise_the_looser_kind_is_the_same() -> None:
    """Every test told: all five states are told apart, so at any confidence one cause holds it."""
    faults, _ = tables([1, 2, 3, 4, 5])
    by_size, alone = isolated_at(faults, PRIOR[1:], np.arange(5), 5, 0.99)
    assert by_size.tolist() == [1.0] * 5
    assert alone.tolist() == [1.0] * 5


def test_without_any_test_the_belief_stays_the_prior() -> None:
    by_size, _ = isolated_at([], np.array([0.5, 0.3, 0.2]), np.arange(3), 3, 0.75)
    assert by_size.tolist() == [0.0, 1.0, 1.0]


def test_a_group_at_a_confidence_against_all_outcomes_counted() -> None:
    """Two causes and two noisy tests: the four outcomes by hand; the drawn share within four standard errors."""
    table = np.array([[0.9, 0.1], [0.2, 0.8]])
    exact = 0.0
    for a in (0, 1):
        for b in (0, 1):
            joint = 0.5 * table[:, a] * table[:, b]
            exact += float(joint.sum()) if joint.max() >= 0.9 * joint.sum() else 0.0
    by_size, _ = isolated_at([table, table], np.array([0.5, 0.5]), np.arange(2), 2, 0.9)
    assert abs(by_size[0] - exact) < 4 * np.sqrt(0.25 / 1500)
    assert by_size[1] == 1.0


def test_causes_that_mix_the_same_rows_alike_are_one_group() -> None:
    """Two causes, each of two hypotheses; only where the shares are the same too is nothing to tell them apart."""
    rows = np.array([[0.9, 0.1], [0.2, 0.8], [0.9, 0.1], [0.2, 0.8], [0.9, 0.1], [0.2, 0.8]])
    prior = np.array([0.1, 0.3, 0.05, 0.15, 0.3, 0.1])
    group = ambiguity_groups([rows], prior, np.array([0, 0, 1, 1, 2, 2]), 3)
    assert group[0] == group[1] != group[2]


def test_nothing_detected_is_no_division_by_nothing() -> None:
    told = fractions(np.array([0.5, 0.5]), np.array([False, False]), np.array([0, 1]))
    assert told.detected == 0.0
    assert told.isolated == {}


def test_total_variation_names_the_best_measurement() -> None:
    """Half the sum of the differences; 0 for the same chances, 1 for none in common (textbook)."""
    one, two = np.array([[0.5, 0.5], [0.4, 0.6]]), np.array([[1.0, 0.0], [0.0, 1.0]])
    best, which = best_apart([one, two])
    assert best[0, 1] == 1.0
    assert which.tolist() == [[-1, 1], [1, -1]]
    assert variation(one[0], one[1]) == pytest.approx(0.1)
    assert best_apart([one, two], skipped=[1])[1][0, 1] == 0
