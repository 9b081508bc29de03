"""What a job costs without a measurement: as if the model never had it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from nextprobe import Model
from nextprobe.model.merge import merged
from nextprobe.pack.load import load_pack
from nextprobe.study.figures import policy_figures
from nextprobe.study.readings import quick_minutes, uses
from nextprobe.study.subject import subject_of
from tests.plan.draw import draw_model
from tests.study.small import LAMP, written


@pytest.mark.parametrize("seed", range(5))
def test_closed_is_the_same_as_not_there(seed: int) -> None:
    rng = np.random.default_rng(seed)
    arguments = draw_model(rng, 8, 6, 5, 3, 0.1)
    moves, at_test, *rest = arguments["setup"]
    for left_out in range(6):
        kept = [t for t in range(6) if t != left_out]
        fewer = {
            **arguments,
            "likelihoods": [arguments["likelihoods"][t] for t in kept],
            "minutes": [arguments["minutes"][t] for t in kept],
            "setup": (moves, [at_test[t] for t in kept], *rest),
        }
        closed = quick_minutes(Model.from_arrays(**arguments), left_out)
        assert closed == pytest.approx(quick_minutes(Model.from_arrays(**fewer)), rel=1e-6)


def test_what_tells_nothing_is_never_asked_and_not_missed(tmp_path: Path) -> None:
    subject = subject_of(load_pack(written(tmp_path / "lamp", LAMP)))
    figures = policy_figures(subject.model, cause_of=subject.cause_of)
    busy = {use.id: use for use in uses(subject, figures)}
    assert busy["smell"].asked == 0.0
    assert busy["current"].asked == pytest.approx(1.0)
    assert figures.asked_of.sum(axis=1) == pytest.approx(figures.asked)
    # A job of each cause comes to the first step of every job.
    assert figures.asked_of[busy["current"].index] == pytest.approx(subject.shares)
    lean, _ = merged(subject.model)
    assert quick_minutes(lean, busy["smell"].index) == pytest.approx(quick_minutes(lean))
    assert quick_minutes(lean, busy["current"].index) > quick_minutes(lean)
