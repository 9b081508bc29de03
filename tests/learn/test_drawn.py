"""Intervals against scipy's own distributions, where every cause is proven and they are known exactly."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy import stats  # type: ignore[import-untyped]

from nextprobe.learn.gather import Gathered
from nextprobe.learn.learn import learn
from nextprobe.pack.build import build_pack
from nextprobe.walk.state import Evidence
from tests.learn.small import drawn_data, drawn_pack
from tests.learn.test_counted import case, gone, still


def test_shares_and_chances_of_proven_jobs_are_beta() -> None:
    pack = drawn_pack(0)
    cases = [case(gone("repair_2")) for _ in range(20)] + [case(still("repair_2"), gone("repair_3")) for _ in range(10)]
    learned = learn(pack, Gathered(tuple(cases), {}))
    found: dict[str, Any] = {".".join(map(str, one.path)): one for one in learned.changes}
    total = sum(cause.weight for cause in pack.causes.values())
    own = 50 * pack.causes["cause_2"].weight / total
    one = found["causes.cause_2.weight"]
    exact = stats.beta(own + 20, 50 - own + 10)
    assert one.low / total == pytest.approx(exact.ppf(0.05), abs=0.012)
    assert one.high / total == pytest.approx(exact.ppf(0.95), abs=0.012)
    trials = max(5.0, 50 * pack.causes["cause_3"].weight / total * 0.98)
    before = pack.repairs["repair_3"].fixes["cause_3"]
    one = found["repairs.repair_3.fixes.cause_3"]
    exact = stats.beta(trials * before + 10, trials * (1 - before))
    assert one.low == pytest.approx(exact.ppf(0.05), abs=0.015)
    assert one.high == pytest.approx(exact.ppf(0.95), abs=0.015)


def test_a_misread_that_shows_is_beta() -> None:
    """Readings that are certain but for misreads, on causes that are proven: each wrong one is a slip."""
    data = drawn_data(np.random.default_rng(9))
    data["measurements"] = {
        "look": {
            "title": "Look", "minutes": 1, "outcomes": {"odd": {"say": "Odd"}, "normal": {"say": "Normal"}},
            "reads": [{"when": "cause_0", "gives": {"odd": 1}}, {"otherwise": {"normal": 1}}],
        }
    }  # fmt: skip
    pack = build_pack(data, files={}, content_hash="m")

    def told(outcome: str) -> Evidence:
        return Evidence("look", "measure", outcome, ((outcome, 1.0),))

    cases = [case(told("normal"), gone("repair_1")) for _ in range(94)]
    cases += [case(told("odd"), gone("repair_1")) for _ in range(6)]
    learned = learn(pack, Gathered(tuple(cases), {}))
    one = learned.of_kind("misread")[0]
    exact = stats.beta(50 * 0.01 + 6, 50 * 0.99 + 94)
    assert one.after == pytest.approx((0.5 + 6) / 150, rel=1e-6)
    assert one.low == pytest.approx(exact.ppf(0.05), rel=0.02)
    assert one.high == pytest.approx(exact.ppf(0.95), rel=0.02)


def test_what_nobody_proved_makes_an_interval_wider() -> None:
    """The same number of jobs, quoted after a look, says less of a cause than jobs that a repair proved."""
    pack = drawn_pack(0)
    odd = Evidence("look_3", "measure", "odd", (("odd", 1.0),))
    proven = learn(pack, Gathered(tuple(case(odd, gone("repair_5")) for _ in range(40)), {}))
    quoted = learn(pack, Gathered(tuple(case(odd, ending="referred") for _ in range(40)), {}))
    width = [
        next(one.high - one.low for one in learned.changes if one.path == ("causes", "cause_5", "weight"))
        for learned in (proven, quoted)
    ]
    assert width[1] > 1.3 * width[0]
    assert quoted.proven == 0
    assert quoted.open == {"referred": 40}
