"""The search against the planning oracle, which shares no code with the engine."""

from __future__ import annotations

import numpy as np
import pytest

from nextprobe import Model, ModelError
from nextprobe.plan.exact import solve
from nextprobe.plan.search import search
from nextprobe.plan.search.anytime import _Search
from tests.oracle.exact_plan import optimum
from tests.plan.draw import draw_model, extended, model_of
from tests.plan.search.followed import minutes_of

TOGETHER = [(), ("wants",), ("excludes",), ("stops",), ("proof",), ("wants", "excludes", "stops", "proof")]


@pytest.mark.parametrize("features", TOGETHER, ids="-".join)
@pytest.mark.parametrize("seed", range(40))
def test_both_ends_hold_the_optimum_between_them(seed: int, features: tuple[str, ...]) -> None:
    rng = np.random.default_rng(seed)
    shape = [int(rng.integers(low, high)) for low, high in ((2, 6), (0, 5), (1, 4), (1, 6))]
    drawn = draw_model(rng, shape[0], shape[1], shape[2], shape[3], float(rng.choice([0.0, 0.1, 0.3])), ternary=True)
    arguments = extended(rng, drawn, features)
    best = optimum(arguments)
    model = model_of(arguments)
    for expansions in (0, 3, 30):
        found = search(model, expansions=expansions, gap=0.0)
        assert found.lower <= best + 1e-9
        assert found.upper >= best - 1e-9
        assert found.expansions <= expansions
        assert minutes_of(model, found.root) == pytest.approx(found.upper, abs=1e-7)
    whole = search(model, gap=0.0)
    assert whole.upper == pytest.approx(best, abs=1e-7)
    assert whole.lower == pytest.approx(best, abs=1e-7)
    assert minutes_of(model, whole.root) == pytest.approx(best, abs=1e-7)


@pytest.mark.parametrize("seed", range(25))
def test_both_ends_hold_at_every_place_visited(seed: int) -> None:
    """The optimum from each place: dynamic programming of the exact effort, itself held against the oracle."""
    rng = np.random.default_rng(300 + seed)
    arguments = draw_model(rng, 5, 4, 3, 3, 0.15, ternary=True)
    model = model_of(arguments)
    tree = _Search(model)
    for _ in range(6):
        tree.round(4)
    places = tree.places
    for place in rng.choice(np.arange(1, places.at.count), 12).tolist():
        measured, tried = (flag[0] for flag in places.flags(np.array([place])))
        weights, state = places.at["weights"][place], int(rng.integers(3))
        left = {
            "prior": (weights / weights.sum()).tolist(),
            "likelihoods": [table for table, gone in zip(arguments["likelihoods"], measured, strict=True) if not gone],
            "minutes": np.array(arguments["minutes"])[~measured].tolist(),
            "repairs": tuple(np.array(part)[~tried].tolist() for part in arguments["repairs"]),
            "refer": arguments["refer"],
        }
        moves, at_test, at_repair, _, end = arguments["setup"]
        left["setup"] = (moves, np.array(at_test)[~measured], np.array(at_repair)[~tried], state, end)
        if tried.all():
            left["repairs"] = (np.zeros((0, 5)), [])
        solved = solve(Model.from_arrays(**left))
        assert solved is not None
        best = solved.minutes * weights.sum()
        assert places.at["lower"][place, state] <= best + 1e-9
        assert places.at["upper"][place, state] >= best - 1e-9


def test_a_middle_size_is_solved_to_the_end() -> None:
    """Two independent runs with other numbers of expansions a round would meet at the same optimum."""
    model = model_of(draw_model(np.random.default_rng(2), 9, 8, 6, 3, 0.15))
    found = search(model, gap=0.0)
    solved = solve(model)
    assert solved is not None
    assert found.status == "optimal"
    assert found.upper == pytest.approx(solved.minutes, abs=1e-7)


def test_the_same_number_of_expansions_gives_the_same_answer() -> None:
    model = model_of(draw_model(np.random.default_rng(2), 10, 9, 6, 3, 0.15))
    one, two = search(model, expansions=40, gap=0.0), search(model, expansions=40, gap=0.0)
    assert (one.upper, one.lower, one.root) == (two.upper, two.lower, two.root)


def test_cancelled_at_once_it_is_no_worse_than_its_base() -> None:
    model = model_of(draw_model(np.random.default_rng(2), 6, 5, 4, 3, 0.15))
    best = search(model, gap=0.0)
    found = search(model, (best.upper, best.root), cancel=lambda: True)
    assert found.upper == best.upper
    assert found.lower <= found.upper


def test_what_has_no_search_is_refused() -> None:
    with pytest.raises(ModelError):
        search(Model.from_arrays([0.5, 0.5], [np.eye(2)], [1.0]))
    rng = np.random.default_rng(1)
    pairs = model_of(extended(rng, draw_model(rng, 3, 2, 2, 1, 0.1), ("pairs",)))
    with pytest.raises(ModelError):
        search(pairs)
