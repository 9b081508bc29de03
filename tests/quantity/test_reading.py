"""Figures as technicians type them. What is accepted is the project's own rule; RKM codes follow IEC 60062."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nextprobe.errors import QuantityError
from nextprobe.quantity import parse_reading

TYPED = [
    ("1.19", "voltage", 1.19, 0.005),
    ("1.19V", "voltage", 1.19, 0.005),
    ("1.19 v", "voltage", 1.19, 0.005),
    (" 1.19  V ", "voltage", 1.19, 0.005),
    ("1190 mV", "voltage", 1.19, 0.0005),
    ("1190mv", "voltage", 1.19, 0.0005),
    ("1V2", "voltage", 1.2, 0.05),
    ("0,6", "voltage", 0.6, 0.05),
    ("0,6 V", "voltage", 0.6, 0.05),
    ("1,190", "voltage", 1.19, 0.0005),
    ("-0.02", "voltage", -0.02, 0.005),
    ("\u22120.02 V", "voltage", -0.02, 0.005),
    ("+5", "voltage", 5, 0.5),
    (".5", "voltage", 0.5, 0.05),
    ("1.200", "voltage", 1.2, 0.0005),
    ("1.2e1", "voltage", 12, 0.5),
    ("4R7", "resistance", 4.7, 0.05),
    ("R47", "resistance", 0.47, 0.005),
    ("4k7", "resistance", 4700, 50),
    ("2M2", "resistance", 2.2e6, 5e4),
    ("12k", "resistance", 12000, 500),
    ("12 K", "resistance", 12000, 500),
    ("10R", "resistance", 10, 0.5),
    ("470 m\u03a9", "resistance", 0.47, 0.0005),
    ("470 m\u2126", "resistance", 0.47, 0.0005),
    ("4.7 kOhm", "resistance", 4700, 50),
    ("12 µA", "current", 12e-6, 0.5e-6),
    ("12 \u03bcA", "current", 12e-6, 0.5e-6),
    ("35m", "current", 0.035, 0.0005),
    ("32.768 kHz", "frequency", 32768, 0.5),
    ("45", "temperature", 45, 0.5),
    ("45 °C", "temperature", 45, 0.5),
    ("45 \u2103", "temperature", 45, 0.5),
    ("2 min", "time", 120, 30),
    ("90", "time", 90, 0.5),
    ("10u", "capacitance", 1e-5, 5e-7),
    ("4n7", "capacitance", 4.7e-9, 5e-11),
    ("0.5 mm", "length", 0.0005, 0.00005),
    ("2 m", "length", 2, 0.5),
    ("45 %", "share", 0.45, 0.005),
    ("0.45", "share", 0.45, 0.005),
    ("3", "count", 3, 0),
    ("2.5", "count", 2.5, 0.05),
    ("2 N", "force", 2, 0.5),
    ("12 W", "power", 12, 0.5),
]


@pytest.mark.parametrize(("text", "quantity", "value", "half"), TYPED)
def test_typed_figures(text: str, quantity: str, value: float, half: float) -> None:
    reading = parse_reading(text, quantity)
    assert reading.value == pytest.approx(value, rel=1e-12)
    assert reading.half_digit == pytest.approx(half, rel=1e-12)


@pytest.mark.parametrize(
    "text", ["OL", "ol", "0L", "0l", "O.L", "0.L", ".OL", "over", "overload", "Over limit", "∞", "OL Mohm"]
)
def test_over_limit(text: str) -> None:
    reading = parse_reading(text, "resistance")
    assert reading.value == math.inf
    assert reading.unit == "ohm"


REFUSED = [
    ("", "voltage", "Nothing was typed"),
    ("   ", "voltage", "Nothing was typed"),
    ("~1.2", "voltage", "not one figure. Type the figure"),
    (">1", "voltage", "not one figure. Type the figure"),
    ("< 0.2 V", "voltage", "not one figure"),
    ("about 1.2", "voltage", "not one figure"),
    ("1.1-1.3", "voltage", "not one figure"),
    ("1.1 .. 1.3", "voltage", "not one figure"),
    ("1.2?", "voltage", "not one figure"),
    ("1.2 ± 0.1", "voltage", "not one figure"),
    ("open", "resistance", "not a figure"),
    ("-OL", "voltage", "not a figure"),
    ("nan", "voltage", "not a figure"),
    ("inf", "voltage", "not a figure"),
    ("1.2.3", "voltage", "not a figure"),
    ("1.234,5", "voltage", "not a figure"),
    ("1,234,567", "voltage", "not a figure"),
    ("1 190 mV", "voltage", "not a figure"),
    ("1_000", "voltage", "not a unit"),
    ("10²", "voltage", "not a unit"),
    ("١٢", "voltage", "not a figure"),
    ("1e400", "voltage", "too great"),
    ("1" * 65, "voltage", "too long"),
    ("1.2 A", "voltage", "is a current, but a voltage is wanted"),
    ("4R7", "voltage", "is a resistance, but a voltage is wanted"),
    ("1V2", "resistance", "is a voltage, but a resistance is wanted"),
    ("1.2 m", "temperature", "is a length"),
    ("OL V", "resistance", "is a voltage"),
    ("113 °F", "temperature", "not a unit"),
    ("5 foo", "voltage", "not a unit"),
    ("5m", "time", "may be minutes or milliseconds"),
    ("45", "share", "may be a share or percent"),
    ("3 k", "count", "not a unit"),
    ("3", "weight", "no quantity 'weight'"),
]


@pytest.mark.parametrize(("text", "quantity", "said"), REFUSED)
def test_what_is_refused(text: str, quantity: str, said: str) -> None:
    with pytest.raises(QuantityError) as refused:
        parse_reading(text, quantity)
    assert said in str(refused.value)
    assert refused.value.cure


@given(
    text=st.text(max_size=30),
    quantity=st.sampled_from(["voltage", "resistance", "time", "share", "count", "temperature"]),
)
def test_any_text_is_a_reading_or_refused(text: str, quantity: str) -> None:
    try:
        reading = parse_reading(text, quantity)
    except QuantityError:
        return
    assert not math.isnan(reading.value)
    assert reading.half_digit >= 0
