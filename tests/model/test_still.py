"""Transitions of failed repairs against dense matrices: matrix algebra by numpy, no outside source needed."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from nextprobe import Model

Dense = np.ndarray[Any, np.dtype[np.float64]]


def drawn(seed: int) -> tuple[np.random.Generator, Dense, Dense]:
    """fixes (R, H) and still (R, H, H): the last hypotheses are pairs of the first, as two faults are."""
    rng = np.random.default_rng(seed)
    causes, repairs = 4, 3
    pairs = [(a, b) for a in range(causes) for b in range(a)]
    of_cause = np.where(rng.random((repairs, causes)) < 0.5, rng.choice([0.5, 1.0], (repairs, causes)), 0.0)
    count = causes + len(pairs)
    fixes, still = np.zeros((repairs, count)), np.zeros((repairs, count, count))
    for repair, chance in enumerate(of_cause):
        fixes[repair, :causes] = chance
        still[repair, range(causes), range(causes)] = 1 - chance
        for place, (a, b) in enumerate(pairs, causes):
            fixes[repair, place] = chance[a] * chance[b]
            still[repair, place, place] = (1 - chance[a]) * (1 - chance[b])
            still[repair, place, a] = chance[b] * (1 - chance[a])
            still[repair, place, b] = chance[a] * (1 - chance[b])
    return rng, fixes, still


def model_of(fixes: Dense, still: Any) -> Model:
    count = fixes.shape[1]
    return Model.from_arrays(np.ones(count), [], [], (fixes, np.ones(len(fixes)), still), 100.0)


@pytest.mark.parametrize("seed", range(20))
def test_what_is_left_is_the_product_with_the_matrix(seed: int) -> None:
    rng, fixes, still = drawn(seed)
    model = model_of(fixes, still)
    weights = rng.random((7, fixes.shape[1]))
    which = rng.integers(0, len(fixes), 7)
    for repair in range(len(fixes)):
        assert model.after_failure(weights, repair) == pytest.approx(weights @ still[repair])
    each = np.array([row @ still[repair] for row, repair in zip(weights, which, strict=True)])
    assert model.after_failure(weights, which) == pytest.approx(each)


@pytest.mark.parametrize("seed", range(20))
def test_classes_are_closed_under_the_transitions(seed: int) -> None:
    """Folding and then failing is failing and then folding."""
    rng, fixes, still = drawn(seed)
    model = model_of(fixes, still)
    weights = rng.random((7, fixes.shape[1]))
    for repair in range(len(fixes)):
        one_way = model.class_after_failure(weights @ model.fold, repair)
        assert one_way == pytest.approx(model.after_failure(weights, repair) @ model.fold)
        assert (weights @ model.fold) @ model.class_fixes[repair] == pytest.approx(weights @ fixes[repair])


def test_hypotheses_that_no_repair_tells_apart_are_one_class() -> None:
    """By hand: 0 and 1 have the same repair, 2 another; 3 is 0 with 2, 4 is 1 with 2. Classes {0, 1}, {2}, {3, 4}."""
    fixes = np.array([[1.0, 1, 0, 0, 0], [0, 0, 1, 0, 0]])
    triples = [([2, 3, 4], [2, 2, 2], [1.0] * 3), ([0, 1, 3, 4], [0, 1, 0, 1], [1.0] * 4)]
    classes = model_of(fixes, triples).classes
    assert classes[0] == classes[1]
    assert classes[3] == classes[4]
    assert len(set(classes.tolist())) == 3


@pytest.mark.parametrize("seed", range(10))
def test_triples_say_the_same_as_the_dense_form(seed: int) -> None:
    rng, fixes, still = drawn(seed)
    triples = []
    for one in still:
        source, target = np.nonzero(one)
        mixed = rng.permutation(len(source))
        triples.append((source[mixed], target[mixed], one[source, target][mixed]))
    dense, sparse = model_of(fixes, still), model_of(fixes, triples)
    weights = rng.random((3, fixes.shape[1]))
    for repair in range(len(fixes)):
        assert sparse.after_failure(weights, repair) == pytest.approx(dense.after_failure(weights, repair))


@pytest.mark.parametrize("seed", range(10))
def test_a_narrowed_model_keeps_what_its_hypotheses_become(seed: int) -> None:
    rng, fixes, still = drawn(seed)
    model = model_of(fixes, still)
    some = rng.random(fixes.shape[1]) < 0.3
    some[rng.integers(fixes.shape[1])] = True
    kept = np.nonzero(model.closed(some))[0]
    narrow = model.narrowed(kept)
    weights = rng.random((4, len(kept)))
    whole = np.zeros((4, fixes.shape[1]))
    whole[:, kept] = weights
    for repair in range(len(fixes)):
        assert narrow.after_failure(weights, repair) == pytest.approx(model.after_failure(whole, repair)[:, kept])
        folded = narrow.class_after_failure(weights @ narrow.fold, repair)
        assert folded == pytest.approx(narrow.after_failure(weights, repair) @ narrow.fold)


def test_a_form_that_moves_nothing_is_the_plain_one() -> None:
    fixes = np.array([[0.5, 1.0]])
    assert model_of(fixes, [np.diag([0.5, 0.0])]).plain
