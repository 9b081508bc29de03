"""The oracle itself against figures worked out by hand, so that it cannot be wrong in the engine's way."""

from __future__ import annotations

from typing import Any

import pytest

from tests.oracle.worlds import Told, Worlds, figure_weights

# Cause a always switches the effect on, b half the time; b also shows the symptom by itself, always.
PACK: dict[str, Any] = {
    "unlisted": 0.1,
    "misread": 0.0,
    "symptoms": {"dark": {}},
    "effects": {"rail": {"leads_to": {"dark": 0.5}}, "idle": {"leads_to": {}}},
    "causes": {
        "a": {"weight": 2, "leads_to": {"rail": 1}},
        "b": {"weight": 1, "leads_to": {"rail": 0.5, "dark": 1}},
        "c": {"weight": 9, "leads_to": {"idle": 1}},
    },
    "history": {"drop": {"base": 0.2, "raises": {"b": 3}}},
    "measurements": {
        "volts": {
            "outcomes": {"bad": {}, "good": {}},
            "reads": [{"when": "rail", "gives": {"bad": 0.9, "good": 0.1}}, {"otherwise": {"good": 1}}],
        }
    },
    "repairs": {"fix_a": {"fixes": {"a": 0.5}}, "fix_both": {"fixes": {"a": 0.5, "b": 1.0}}},
}


def belief(*told: Told, **changes: Any) -> dict[str, float]:
    return Worlds({**PACK, **changes}, "dark", {}).posterior(told).present()


def test_the_symptom_conditions_effects_never_shares() -> None:
    # c cannot produce the symptom and is left out; a and b share .9 as 2 to 1 though a shows it half as often.
    assert belief() == pytest.approx({"a": 0.6, "b": 0.3, "unlisted": 0.1})


def test_a_reading_by_hand() -> None:
    # a: the rail is bad for certain, .9. b: half the time, .45. On its own: (.6 × .9 + .3 × .45) / .9 = .75.
    total = 0.6 * 0.9 + 0.3 * 0.45 + 0.1 * 0.75
    wanted = {"a": 0.54 / total, "b": 0.135 / total, "unlisted": 0.075 / total}
    assert belief(Told("measure", "volts", "bad", {"bad": 1.0})) == pytest.approx(wanted)


def test_a_misread_by_hand() -> None:
    # With 10 % misread of two outcomes: .9 × .9 + .1 × .1 = .82 where the rail is bad, else .1.
    a, b = 0.6 * 0.82, 0.3 * (0.82 + 0.1) / 2
    total = a + b + 0.1 * (a + b) / 0.9
    found = belief(Told("measure", "volts", "bad", {"bad": 1.0}), misread=0.1)
    assert found["a"] == pytest.approx(a / total)


def test_history_by_hand() -> None:
    # base .2, times 3 for b: .6.
    total = 0.6 * 0.2 + 0.3 * 0.6 + 0.1 * (0.6 * 0.2 + 0.3 * 0.6) / 0.9
    assert belief(Told("history", "drop", "reported"))["b"] == pytest.approx(0.18 / total)


def test_two_causes_and_a_repair_that_removes_one_of_them() -> None:
    # pairs .3: a .4, b .2 alone, both .3. After fix_a (a goes half the time) and still dark:
    # a alone .2; b alone .2 and, from the pair, .15; both .15; unlisted stays.
    found = belief(Told("repair", "fix_a", "still"), pairs=0.3)
    total = 0.2 + 0.2 + 0.15 + 0.15 + 0.1
    assert found == pytest.approx({"a": 0.35 / total, "b": 0.5 / total, "unlisted": 0.1 / total})


def test_what_is_left_of_two_causes_keeps_what_it_switched_on_itself() -> None:
    # Both present, b surely repaired. a is left half the time, and shows the symptom where its rail's coin
    # fell so: P(coin | dark, both) = 1/2, b alone shows it always. So .3 × 1/2 × 1/2 stays, as a alone.
    found = belief(Told("repair", "fix_both", "still"), pairs=0.3)
    a = 0.4 * 0.5 + 0.3 * 0.25
    assert found == pytest.approx({"a": a / (a + 0.1), "b": 0.0, "unlisted": 0.1 / (a + 0.1)})


def test_a_figure_on_a_limit_counts_half() -> None:
    ends = {"low": (float("-inf"), 1.0), "high": (1.0, float("inf"))}
    assert figure_weights("1.00", 1.0, 3, 6000, ends) == pytest.approx({"low": 0.5, "high": 0.5})
