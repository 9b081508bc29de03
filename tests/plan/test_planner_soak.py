"""What takes long: the memory of a deep plan, and the bound on many more models."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest

from nextprobe import Model
from nextprobe.plan.bounds.measure_change import MeasureChange
from nextprobe.plan.exact import solve
from tests.plan.draw import draw_model

pytestmark = pytest.mark.soak

DEEP = """
import resource
from nextprobe import Walk, load_pack, make_plan
plan = make_plan(Walk(load_pack("no-picture", "brindle-14")).planning_model().model, "deep", 60.0)
print(plan.expected_cost, plan.lower_bound, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="the unit of the peak is that of Linux")
def test_a_minute_of_deep_planning_stays_under_a_gigabyte() -> None:
    done = subprocess.run([sys.executable, "-c", DEEP], capture_output=True, text=True, check=True)
    upper, lower, kilobytes = (float(part) for part in done.stdout.split())
    assert lower < upper
    assert kilobytes < 1_000_000


@pytest.mark.parametrize("seed", range(400))
def test_the_bound_by_change_of_measure_never_passes_the_optimum(seed: int) -> None:
    """Against exact dynamic programming, which the oracle holds to."""
    rng = np.random.default_rng(10_000 + seed)
    shape = [int(rng.integers(low, high)) for low, high in ((3, 9), (2, 7), (2, 6), (1, 5))]
    drawn = draw_model(rng, shape[0], shape[1], shape[2], shape[3], float(rng.uniform(0, 0.3)), ternary=bool(seed % 2))
    model = Model.from_arrays(**drawn)
    solved = solve(model)
    assert solved is not None
    nothing = np.zeros(len(model.minutes), dtype=bool), np.zeros(len(model.fixes), dtype=bool)
    for rounds in (1, 8, 150):
        found, _ = MeasureChange(model).improve(model.prior, model.start, *nothing, rounds=rounds)
        assert found <= solved.minutes + 1e-9
