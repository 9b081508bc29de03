"""A model without quoting must be repaired to the end, moves and all."""

from __future__ import annotations

import pytest

from nextprobe import Model, make_plan


@pytest.mark.parametrize("effort", ["fast", "deep", "exact"])
def test_the_way_to_the_only_repair_is_paid(effort: str) -> None:
    """By hand: 5 minutes to open, 10 to repair, 2 to close."""
    setup = ([[0.0, 5.0], [2.0, 0.0]], None, [1], 0, 0)
    model = Model.from_arrays([1.0], [], [], ([[1.0]], [10.0]), None, setup)
    plan = make_plan(model, effort)
    assert plan.expected_cost == pytest.approx(17.0)
    assert plan.first.kind == "repair"
