"""The planning oracle against stormpy 2, a probabilistic model checker (belief unfolding of a goal problem), to 1e-6.

stormpy is in no extra and no lock (GPL, 161 MB); where it cannot be imported only the text of the program is looked at.
"""

from __future__ import annotations

from importlib.util import find_spec
from typing import Any

import numpy as np
import pytest

from tests.oracle.exact_plan import optimum
from tests.oracle.goal_program import outside_value, program
from tests.oracle.plan_values import DEPENDENT, SINGLE, SIX
from tests.plan.draw import draw_model

needs_outside_solver = pytest.mark.skipif(find_spec("stormpy") is None, reason="stormpy is not installed")


@needs_outside_solver
@pytest.mark.parametrize("seed", range(10))
def test_drawn_models(seed: int) -> None:
    rng = np.random.default_rng(seed)
    arguments = draw_model(rng, 5, 4, 3, int(rng.integers(1, 4)), float(rng.choice([0.0, 0.15])), ternary=True)
    assert outside_value(arguments) == pytest.approx(optimum(arguments), abs=1e-6)


@needs_outside_solver
@pytest.mark.parametrize(("arguments", "cost"), [(SIX, 2.18), (DEPENDENT, 4.5), (SINGLE, 7.6)])
def test_values_that_others_stated(arguments: dict[str, Any], cost: float) -> None:
    """The sources stand beside each model in plan_values.py."""
    assert outside_value(arguments) == pytest.approx(cost, abs=1e-6)


def test_the_program_names_every_step_and_sees_all_but_the_cause() -> None:
    text = program(draw_model(np.random.default_rng(1), 3, 2, 2, 1, 0.1))
    assert "observables phase, s, last, t0, t1, r0, r1 endobservables" in text
    for step in ("[draw]", "[t0_0]", "[t1_0]", "[r0_0]", "[r1_0]", "[quote]"):
        assert step in text
