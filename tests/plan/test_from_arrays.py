"""Arrays that make no model are refused by the name of the entry, with why and what to do."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from nextprobe import Model, ModelError, NextprobeError

GOOD: dict[str, Any] = {
    "prior": [0.5, 0.5],
    "likelihoods": [[[0.9, 0.1], [0.2, 0.8]]],
    "minutes": [2.0],
    "repairs": ([[1.0, 0.0]], [10.0]),
    "refer": 50.0,
    "setup": ([[0, 1], [1, 0]], [0], [1], 0),
}

BAD: list[tuple[dict[str, Any], str]] = [
    ({"prior": []}, "prior"),
    ({"prior": [0.5, -0.5]}, "prior[1]"),
    ({"prior": [0.0, 0.0]}, "prior"),
    ({"prior": [0.5, float("nan")]}, "prior[1]"),
    ({"prior": [[0.5, 0.5]]}, "prior"),
    ({"prior": ["a", "b"]}, "prior"),
    ({"likelihoods": [[[0.9, 0.1]]]}, "likelihoods[0]"),
    ({"likelihoods": [[[0.9, 0.2], [0.2, 0.8]]]}, "likelihoods[0]: row 0"),
    ({"likelihoods": [[[0.9, 0.1], [1.2, -0.2]]]}, "likelihoods[0][1, 1]"),
    ({"likelihoods": [[[0.9, 0.1], [0.2, float("inf")]]]}, "likelihoods[0][1, 1]"),
    ({"likelihoods": [[0.9, 0.1]]}, "likelihoods[0]"),
    ({"minutes": [2.0, 3.0]}, "minutes"),
    ({"minutes": [-2.0]}, "minutes[0]"),
    ({"minutes": [float("nan")]}, "minutes[0]"),
    ({"repairs": ([[1.0, 1.5]], [10.0])}, "repairs[0][0, 1]"),
    ({"repairs": ([[1.0, 0.0, 0.0]], [10.0])}, "repairs[0]"),
    ({"repairs": ([[1.0, 0.0]], [10.0, 1.0])}, "repairs[1]"),
    ({"repairs": ([[1.0, 0.0]], [-1.0])}, "repairs[1][0]"),
    ({"refer": -1.0}, "refer"),
    ({"refer": float("inf")}, "refer"),
    ({"setup": ([[0, 1]], [0], [1], 0)}, "setup[0]"),
    ({"setup": ([[0, -1], [1, 0]], [0], [1], 0)}, "setup[0][0, 1]"),
    ({"setup": ([[0, float("nan")], [1, 0]], [0], [1], 0)}, "setup[0][0, 1]"),
    ({"setup": ([[0, 1], [1, 0]], [2], [1], 0)}, "setup[1][0]"),
    ({"setup": ([[0, 1], [1, 0]], [0], [-1], 0)}, "setup[2][0]"),
    ({"setup": ([[0, 1], [1, 0]], [0, 1], [1], 0)}, "setup[1]"),
    ({"setup": ([[0, 1], [1, 0]], np.zeros((1, 2), dtype=bool), [1], 0)}, "setup[1]: row 0"),
    ({"setup": ([[0, 1], [1, 0]], [0], [1], 5)}, "setup[3]"),
    ({"setup": ([[0, 1], [1, 0]], [0], [1], 0, 9)}, "setup[4]"),
    ({"setup": ([[0, 1], [1, 0]], [0], [1], 0, -1)}, "setup[4]"),
    ({"setup": ([[0, 1], [1, 0]], [0])}, "setup"),
    ({"repairs": ([[1.0, 0.0]],)}, "repairs"),
    ({"repairs": 5}, "repairs"),
    ({"likelihoods": 3}, "likelihoods"),
    ({"confidence": 0.0}, "confidence"),
    ({"confidence": 1.5}, "confidence[0]"),
    ({"stops": [[True]]}, "stops[0]"),
    ({"stops": []}, "stops"),
    ({"wants": ([[1]], [[0]])}, "wants[0][0, 0]"),
    ({"wants": ([[0, 1]], None)}, "wants[0]"),
    ({"wants": (None, [[0.5]])}, "wants[1][0, 0]"),
    ({"wants": (None,)}, "wants"),
    ({"excludes": [[2]]}, "excludes[0, 0]"),
    ({"excludes": [[[0], [1, 2]]]}, "excludes"),
    ({"proof": ([[1.0, 2.0]], [[0, 2]], [[0.0, 0.0]])}, "proof[1][0, 1]"),
    ({"proof": ([[1.0, 2.0]], [[0, 1, 0]], [[0.0, 0.0]])}, "proof[1]"),
    ({"proof": ([[1.0, -2.0]], [[0, 1]], [[0.0, 0.0]])}, "proof[0][0, 1]"),
    ({"proof": ([[1.0, 2.0]], [[0, 1]])}, "proof"),
    ({"repairs": ([[1.0, 0.0]], [10.0], [[[0, 0], [0, 0.5]]])}, "repairs[2]: repair 0 and hypothesis 1"),
    ({"repairs": ([[1.0, 0.0]], [10.0], [[[0, 0]]])}, "repairs[2]"),
    ({"repairs": ([[1.0, 0.0]], [10.0], [[[0, 0], [0.5, float("nan")]]])}, "repairs[2][0, 1, 1]"),
    ({"repairs": ([[1.0, 0.0]], [10.0], [([1], [2], [1.0])])}, "repairs[2][0][1][0]"),
    ({"repairs": ([[1.0, 0.0]], [10.0], [([1, 1], [1], [1.0])])}, "repairs[2][0][0]"),
    ({"repairs": ([[1.0, 0.0]], [10.0], [([1], [1])])}, "repairs[2][0]"),
    ({"repairs": ([[1.0, 0.0]], [10.0], [([1], [1], [1.0]), ([], [], [])])}, "repairs[2]"),
    ({"repairs": ([[1.0, 0.0]], [10.0], [([1], [0], [0.4])])}, "repairs[2]: repair 0 and hypothesis 1"),
]


def test_the_good_arrays_are_taken() -> None:
    model = Model.from_arrays(**GOOD)
    assert model.prior.sum() == pytest.approx(1.0)
    assert model.refer == pytest.approx([50.0, 50.0])


@pytest.mark.parametrize(("change", "entry"), BAD, ids=[f"{n}-{entry}" for n, (_, entry) in enumerate(BAD)])
def test_a_bad_entry_is_named(change: dict[str, Any], entry: str) -> None:
    with pytest.raises(ModelError) as raised:
        Model.from_arrays(**{**GOOD, **change})
    assert isinstance(raised.value, NextprobeError)
    assert raised.value.message.startswith(entry)
    assert raised.value.cure


def test_a_circle_of_wants_is_named() -> None:
    """0 wants 1, 1 wants 2, 2 wants 1; 3 wants 0 and lies on no circle."""
    wants = np.zeros((4, 4), dtype=bool)
    wants[[0, 1, 2, 3], [1, 2, 1, 0]] = True
    with pytest.raises(ModelError) as raised:
        Model.from_arrays([1.0], [[[1.0]]] * 4, [1.0] * 4, refer=5.0, wants=(wants, None))
    assert raised.value.message.startswith("wants[0][1, 2]")


def test_what_was_given_is_not_changed() -> None:
    prior = np.array([2.0, 2.0])
    moves = np.array([[5.0, 1.0], [1.0, 5.0]])
    model = Model.from_arrays(prior, [], [], setup=(moves, None, None, 0))
    assert prior.tolist() == [2.0, 2.0]
    assert moves.tolist() == [[5.0, 1.0], [1.0, 5.0]]
    assert model.prior.tolist() == [0.5, 0.5]


def test_shortest_ways_are_taken_over_the_moves() -> None:
    """By hand: 0 to 2 directly costs 9, over 1 it costs 3; there is no move back to 0."""
    inf = float("inf")
    model = Model.from_arrays([1.0], [], [], setup=([[0, 1, 9], [inf, 0, 2], [inf, 1, 0]], None, None, 0))
    assert model.ways.tolist() == [[0, 1, 3], [inf, 0, 2], [inf, 1, 0]]
