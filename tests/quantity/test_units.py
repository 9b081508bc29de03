"""Quantities as packs write them (SI prefixes; RKM codes of IEC 60062), and back to text."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nextprobe.errors import QuantityError
from nextprobe.quantity import EXAMPLES, QUANTITIES, format_quantity, parse_minutes, parse_quantity

WRITTEN = [
    ("1.2 V", "voltage", 1.2, "V", 0.05),
    ("1V2", "voltage", 1.2, "V", 0.05),
    ("470 mΩ", "resistance", 0.47, "ohm", 0.0005),
    ("470 mohm", None, 0.47, "ohm", 0.0005),
    ("4.7 kohm", "resistance", 4700, "ohm", 50),
    ("4k7", None, 4700, "ohm", 50),
    ("4R7", None, 4.7, "ohm", 0.05),
    ("2M2", "resistance", 2.2e6, "ohm", 5e4),
    ("4m7", "resistance", 0.0047, "ohm", 5e-5),
    ("4n7", None, 4.7e-9, "F", 5e-11),
    ("32.768 kHz", "frequency", 32768, "Hz", 0.5),
    ("15 min", "time", 900, "s", 30),
    ("24 h", "time", 86400, "s", 1800),
    ("2 d", "time", 172800, "s", 43200),
    ("210 ms", "time", 0.21, "s", 0.0005),
    ("217 degC", "temperature", 217, "degC", 0.5),
    ("217 °C", "temperature", 217, "degC", 0.5),
    ("5 %", "share", 0.05, "1", 0.005),
    ("0.467", "share", 0.467, "", 0.0005),
    ("3", "count", 3, "", 0.5),
    ("0.25 mm", "length", 0.00025, "m", 5e-6),
    ("3 cm", "length", 0.03, "m", 0.005),
    ("-0.3 V", "voltage", -0.3, "V", 0.05),
]


@pytest.mark.parametrize(("text", "quantity", "value", "unit", "half"), WRITTEN)
def test_written_quantities(text: str, quantity: str | None, value: float, unit: str, half: float) -> None:
    got = parse_quantity(text, quantity)
    assert got.value == pytest.approx(value, rel=1e-12)
    assert got.half_digit == pytest.approx(half, rel=1e-12)
    assert (got.unit, got.text) == (unit, text)


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_every_example_reads_as_its_quantity(quantity: str) -> None:
    assert parse_quantity(EXAMPLES[quantity], quantity).unit in (QUANTITIES[quantity], "")


@pytest.mark.parametrize(
    ("text", "quantity", "said"),
    [
        ("1.2", "voltage", "has no unit"),
        ("1.2", None, "has no unit"),
        ("12k", "resistance", "'k' is not a unit"),
        ("4k7", "voltage", "is a resistance, but a voltage is wanted"),
        ("1.2 V", "resistance", "is a voltage, but a resistance is wanted"),
        ("1,2 V", "voltage", "has a comma"),
        ("4m7", None, "milliohm or millifarad"),
        ("volts", "voltage", "not a figure with a unit"),
        ("", None, "not a figure with a unit"),
        ("1.2 Q", "voltage", "'Q' is not a unit"),
        ("5 kmin", "time", "'kmin' is not a unit"),
        ("1.2 V", "colour", "no quantity 'colour'"),
    ],
)
def test_written_quantities_that_are_refused(text: str, quantity: str | None, said: str) -> None:
    with pytest.raises(QuantityError) as refused:
        parse_quantity(text, quantity)
    assert said in str(refused.value)
    assert refused.value.cure


@pytest.mark.parametrize(
    ("value", "minutes"), [(2, 2), (0.5, 0.5), ("7", 7), ("15 min", 15), ("24 h", 1440), ("90 s", 1.5), (0, 0)]
)
def test_minutes(value: str | float, minutes: float) -> None:
    assert parse_minutes(value) == minutes


@pytest.mark.parametrize("value", [-1, "-1 min", "5 V", "soon", math.inf, math.nan, True, None, ["5"]])
def test_minutes_that_are_refused(value: object) -> None:
    with pytest.raises(QuantityError):
        parse_minutes(value)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("value", "unit", "half", "text"),
    [
        (1.2, "V", None, "1.2 V"),
        (1.2, "V", 0.0005, "1.200 V"),
        (0.64, "V", None, "0.64 V"),
        (0.02, "V", None, "20 mV"),
        (0.47, "ohm", None, "470 mohm"),
        (4700, "ohm", None, "4.7 kohm"),
        (12000, "ohm", 500, "12 kohm"),
        (0.035, "A", None, "35 mA"),
        (86400, "s", None, "24 h"),
        (5400, "s", None, "90 min"),
        (90, "s", None, "90 s"),
        (0.21, "s", None, "210 ms"),
        (32768, "Hz", None, "32.768 kHz"),
        (1e-5, "F", None, "10 uF"),
        (45, "degC", None, "45 °C"),
        (0.05, "%", None, "5 %"),
        (0.5, "1", None, "0.5"),
        (3, "", None, "3"),
        (0, "V", None, "0 V"),
        (-0.3, "V", None, "-0.3 V"),
        (math.inf, "ohm", None, "OL"),
        (0.00025, "m", None, "250 um"),
        (1e15, "ohm", None, "1000000000 Mohm"),
    ],
)
def test_figures_as_text(value: float, unit: str, half: float | None, text: str) -> None:
    assert format_quantity(value, unit, half) == text


UNITS = sorted(set(QUANTITIES.values()) - {"1"})


@given(value=st.floats(1e-9, 1e9), negative=st.booleans(), unit=st.sampled_from(UNITS))
def test_text_reads_back(value: float, negative: bool, unit: str) -> None:
    value = -value if negative else value
    back = parse_quantity(format_quantity(value, unit))
    assert back.unit == unit
    assert back.value == pytest.approx(value, rel=6e-6)


@given(value=st.floats(-1e6, 1e6), places=st.integers(-2, 5), unit=st.sampled_from(UNITS))
def test_text_with_a_last_digit_reads_back_within_half_of_it(value: float, places: int, unit: str) -> None:
    half = 0.5 * 10.0**-places
    back = parse_quantity(format_quantity(value, unit, half))
    assert abs(back.value - value) <= half * (1 + 1e-9) + 1e-12
