"""Meter accuracy and the decision at a limit, against figures from outside the engine."""

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nextprobe.errors import QuantityError
from nextprobe.quantity import (
    Accuracy,
    Band,
    Reading,
    meter_step,
    normal_share,
    outcome_weights,
    parse_accuracy,
    parse_reading,
    rectangular,
    standard_uncertainty,
    statement,
    uncertainty_share,
)

METER = parse_accuracy("0.5 % + 3 counts")
INF = math.inf

# A meter of 0.5 % + 3 counts with a 6 V and a 60 V range, decided with w = U = 2a/√3.
# Sources: the limits u = a/√3 from JCGM 100, 4.3.7 (clause from memory); the four-way statement
# from ILAC-G8:09/2019, 4.2.3; the figures were recomputed by independent code. Nominal values:
# JESD79-4 (DDR4), JESD79-5 and JESD301 (DDR5), the rest design practice (common practice, no source).
VECTORS = [
    ("DDR4 main", "1.203", 1.140, 1.260, 0.001, 0.0090, 0.0052, 0.0104, "pass"),
    ("DDR4 main", "1.148", 1.140, 1.260, 0.001, 0.0087, 0.0050, 0.0101, "conditional pass"),
    ("DDR4 main", "1.136", 1.140, 1.260, 0.001, 0.0087, 0.0050, 0.0100, "conditional fail"),
    ("DDR4 main", "1.121", 1.140, 1.260, 0.001, 0.0086, 0.0050, 0.0099, "fail"),
    ("DDR4 main", "1.255", 1.140, 1.260, 0.001, 0.0093, 0.0054, 0.0107, "conditional pass"),
    ("DDR4 main, 60 V range", "1.20", 1.14, 1.26, 0.01, 0.0360, 0.0208, 0.0416, "pass"),
    ("always-on 3.3 V", "3.301", 3.135, 3.465, 0.001, 0.0195, 0.0113, 0.0225, "pass"),
    ("always-on 3.3 V", "3.139", 3.135, 3.465, 0.001, 0.0187, 0.0108, 0.0216, "conditional pass"),
    ("always-on 5 V", "4.720", 4.750, 5.250, 0.001, 0.0266, 0.0154, 0.0307, "conditional fail"),
    ("adapter, 20 V label", "19.06", 19.00, 21.00, 0.01, 0.1253, 0.0723, 0.1447, "conditional pass"),
    ("USB 20 V contract", "20.90", 19.00, 21.00, 0.01, 0.1345, 0.0777, 0.1553, "conditional pass"),
    ("coin cell", "2.790", 2.800, 3.300, 0.001, 0.0169, 0.0098, 0.0196, "conditional fail"),
    ("HDMI 5 V source", "4.790", 4.800, 5.300, 0.001, 0.0269, 0.0156, 0.0311, "conditional fail"),
    ("DDR5 module feed", "4.310", 4.250, 5.500, 0.001, 0.0245, 0.0142, 0.0283, "pass"),
    ("DDR5 VPP", "1.752", 1.746, 1.908, 0.001, 0.0118, 0.0068, 0.0136, "conditional pass"),
]


@pytest.mark.parametrize(("name", "typed", "low", "high", "step", "a", "u", "expanded", "said"), VECTORS)
def test_the_decision_at_a_limit(
    name: str, typed: str, low: float, high: float, step: float, a: float, u: float, expanded: float, said: str
) -> None:
    reading = parse_reading(typed, "voltage")
    got = standard_uncertainty(reading, METER, 6000, step)
    assert METER.limit(reading.value, step) == pytest.approx(a, abs=6e-5), name
    assert got == pytest.approx(u, abs=6e-5), name
    assert 2 * got == pytest.approx(expanded, abs=6e-5), name
    assert statement(reading.value, Band(low, high), 2 * got) == said, name
    if "60 V" not in name:  # there the range was chosen too great by hand
        assert meter_step(reading.value, 6000) == step


def test_a_range_too_great_is_seen_in_the_uncertainty() -> None:
    # The same source: "pass by rule, but U is 69 % of the half band: warn".
    u = standard_uncertainty(parse_reading("1.20", "voltage"), METER, 6000, 0.01)
    assert uncertainty_share(Band(1.14, 1.26), 2 * u) == pytest.approx(0.69, abs=0.005)


def test_the_guard_band_could_be_the_limit_itself() -> None:
    # The same source: 4.720 against 4.750 "would be fail with w = a".
    assert statement(4.720, Band(4.75, 5.25), METER.limit(4.72, 0.001)) == "fail"


# 0.9 % + 3 counts, leads of 0.31 ohm nulled, the null's spread rectangular. Figures recomputed
# by independent code; the spread of a null is common practice, no source.
@pytest.mark.parametrize(
    ("shown", "step", "spread", "ohms", "expanded"),
    [(0.42, 0.01, 0.05, 0.11, 0.070), (0.35, 0.01, 0.05, 0.04, 0.069), (2.40, 0.01, 0.02, 2.09, 0.064),
     (2.4, 0.1, 0.05, 2.09, 0.376)],
)  # fmt: skip
def test_low_ohms_with_nulled_leads(shown: float, step: float, spread: float, ohms: float, expanded: float) -> None:
    u = rectangular(parse_accuracy("0.9 % + 3 counts").limit(shown, step), spread)
    assert shown - 0.31 == pytest.approx(ohms)
    assert 2 * u == pytest.approx(expanded, abs=6e-4)


def test_a_short_cannot_be_told_from_what_leads_show() -> None:
    # The same source: 0.35 ohm less 0.31 is "not distinguishable from zero".
    u = rectangular(parse_accuracy("0.9 % + 3 counts").limit(0.35, 0.01), 0.05)
    assert 2 * u > 0.35 - 0.31


def test_an_accuracy_statement_as_meter_guides_give_it() -> None:
    # Meter guides: 1 % + 2 counts at 100.0 V is 98.8 to 101.2 V.
    step = meter_step(100.0, 6000)
    assert step == 0.1
    assert Accuracy(1, 2).limit(100.0, step) == pytest.approx(1.2)


def test_expanded_uncertainty_of_one_rectangular_term() -> None:
    # JCGM 100 (from memory): U = 2u = 1.155 a.
    assert 2 * rectangular(1.0) == pytest.approx(1.155, abs=5e-4)


def test_conformance_probability_one_sided() -> None:
    # JCGM 106:2012, inputs from memory: T_U -5.40, y -5.47, u 0.05.
    reading = Reading(-5.47, "V", 0.0, "-5.47")
    weights = outcome_weights(reading, {"good": Band(-INF, -5.40), "bad": Band(-5.40, INF)}, 0.05)
    assert weights["good"] == pytest.approx(0.9192, abs=5e-5)


def test_a_lot_of_resistors() -> None:
    # JCGM 106:2012 example, inputs from memory: N(1500, 0.12), u_m 0.04, tolerance ±0.2,
    # acceptance ±0.18. The joint risks by the trapezoidal rule over the true value.
    tolerance, accept = Band(1499.8, 1500.2), Band(1499.82, 1500.18)
    assert normal_share(1500, 0.12, tolerance) == pytest.approx(0.904419, abs=1e-6)
    width, consumer, producer = 0.0005, 0.0, 0.0
    for i in range(-2000, 2000):
        x = 1500 + (i + 0.5) * width
        density = math.exp(-0.5 * ((x - 1500) / 0.12) ** 2) / (0.12 * math.sqrt(2 * math.pi)) * width
        accepted = outcome_weights(Reading(x, "ohm", 0, ""), {"taken": accept}, 0.04, "refused")["taken"]
        if tolerance.contains(x):
            producer += density * (1 - accepted)
        else:
            consumer += density * accepted
    assert consumer == pytest.approx(0.00988, abs=1e-5)
    assert producer == pytest.approx(0.06903, abs=1e-5)


def test_risk_at_and_inside_a_limit() -> None:
    # JCGM 106 and ILAC-G8:09/2019, 4.2: up to 50 % at the limit, under 2.5 % a guard band U inside.
    above = Band(1.26, INF)
    assert normal_share(1.26, 0.005, above) == pytest.approx(0.5)
    assert normal_share(1.26 - 2 * 0.005, 0.005, above) < 0.025


@pytest.mark.parametrize(
    ("value", "counts", "step"),
    [(1.203, 6000, 0.001), (12, 6000, 0.01), (0.35, 6000, 0.0001), (6, 6000, 0.001), (6.001, 6000, 0.01),
     (-1.2, 6000, 0.001), (19.5, 2000, 0.01), (20.5, 2000, 0.1), (47e3, 6000, 10.0), (0, 6000, 0.0)],
)  # fmt: skip
def test_the_step_of_the_smallest_range_that_holds_the_figure(value: float, counts: float, step: float) -> None:
    # Own rule of the pack format: decade ranges of `counts` steps.
    assert meter_step(value, counts) == pytest.approx(step)


def test_typed_rounding_adds_half_a_digit() -> None:
    # JCGM 100, 4.3.7: both terms rectangular.
    u = standard_uncertainty(parse_reading("1.2", "voltage"), METER, 6000)
    assert u == pytest.approx(math.hypot(0.009, 0.05) / math.sqrt(3))
    assert standard_uncertainty(parse_reading("1.2", "voltage"), None, 6000) == pytest.approx(0.05 / math.sqrt(3))
    assert standard_uncertainty(parse_reading("OL", "voltage"), METER, 6000) == 0


def test_a_reading_of_zero_takes_its_step_from_what_was_typed() -> None:
    assert standard_uncertainty(parse_reading("0.000", "voltage"), METER, 6000) == pytest.approx(0.003 / math.sqrt(3))


BANDS = {"absent": Band(-INF, 0.2), "low": Band(0.2, 1.14), "normal": Band(1.14, 1.26), "high": Band(1.26, INF)}


def test_without_uncertainty_a_figure_lies_in_one_band() -> None:
    for value, name in [(0.2, "low"), (1.14, "normal"), (1.26, "high"), (INF, "high"), (-3, "absent")]:
        weights = outcome_weights(Reading(value, "V", 0, ""), BANDS, 0.0)
        assert weights == {key: float(key == name) for key in BANDS}


def test_an_upper_end_where_nothing_goes_on_belongs_to_its_band() -> None:
    assert outcome_weights(Reading(5.0, "V", 0, ""), {"good": Band(4, 5)}, 0, "bad") == {"good": 1, "bad": 0}


def test_over_limit_without_an_open_band_goes_to_otherwise_or_is_refused() -> None:
    over = parse_reading("OL", "voltage")
    bands = {"normal": Band(1.14, 1.26)}
    assert outcome_weights(over, bands, 0.1, "odd") == {"normal": 0, "odd": 1}
    with pytest.raises(QuantityError, match="'OL' lies in none of the ranges normal"):
        outcome_weights(over, bands, 0.1)


def test_tails_keep_their_digits() -> None:
    # Q(8) of the normal distribution, from memory: 6.22e-16.
    assert normal_share(0, 1, Band(8, INF)) == pytest.approx(6.22e-16, rel=1e-3)
    assert normal_share(0, 1, Band(-INF, -8)) == pytest.approx(6.22e-16, rel=1e-3)


@given(
    value=st.one_of(st.floats(-1e6, 1e6), st.just(INF)),
    u=st.floats(0, 1e6),
    cuts=st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=6, unique=True),
    rest=st.booleans(),
)
def test_weights_sum_to_one(value: float, u: float, cuts: list[float], rest: bool) -> None:
    ends = [-INF, *sorted(cuts), INF]
    bands = {f"o{i}": Band(low, high) for i, (low, high) in enumerate(itertools.pairwise(ends))}
    if rest:
        del bands["o0"]
    weights = outcome_weights(Reading(value, "V", 0.0, ""), bands, u, "rest" if rest else None)
    assert math.fsum(weights.values()) == pytest.approx(1, abs=1e-9)
    assert all(weight >= 0 for weight in weights.values())


@pytest.mark.parametrize(
    ("text", "percent", "counts"),
    [
        ("0.5 % + 3 counts", 0.5, 3),
        ("0.5%+3counts", 0.5, 3),
        ("1 %", 1, 0),
        ("3 counts", 0, 3),
        ("± 1 % + 1 count", 1, 1),
    ],
)
def test_accuracy_as_a_pack_writes_it(text: str, percent: float, counts: float) -> None:
    assert parse_accuracy(text) == Accuracy(percent, counts)


@pytest.mark.parametrize(
    "text", ["", "%", "0.5", "0.5 % 3 counts", "+ 3 counts", "0.5 % + 3", "half a percent", "-1 %"]
)
def test_accuracy_that_cannot_be_read(text: str) -> None:
    with pytest.raises(QuantityError, match=r"Write it as in 0\.5 % \+ 3 counts"):
        parse_accuracy(text)


@pytest.mark.parametrize(("value", "counts"), [(1.0, 0), (1.0, -1), (1.0, INF), (INF, 6000)])
def test_no_range_for_that(value: float, counts: float) -> None:
    with pytest.raises(QuantityError):
        meter_step(value, counts)
