"""Ranges of readings and ends that are other outcomes' ends (the pack format's own rule)."""

import math

import pytest

from nextprobe.errors import QuantityError
from nextprobe.quantity import Band, parse_band, resolve_bands

INF = math.inf


@pytest.mark.parametrize(
    ("text", "quantity", "low", "high"),
    [
        ("below 0.2 V", "voltage", -INF, 0.2),
        ("above 10 kohm", "resistance", 10_000, INF),
        ("1.14 V .. 1.26 V", "voltage", 1.14, 1.26),
        ("1.14 V..1.26 V", "voltage", 1.14, 1.26),
        ("-0.3 V .. 300 mV", "voltage", -0.3, 0.3),
        ("1.2 V ± 5 %", "voltage", 1.14, 1.26),
        ("1.2 V +/- 5 %", "voltage", 1.14, 1.26),
        ("1V2 ± 60 mV", "voltage", 1.14, 1.26),
        ("-12 V ± 5 %", "voltage", -12.6, -11.4),
        ("0.467 .. 0.533", "share", 0.467, 0.533),
        ("below 80 %", "share", -INF, 0.8),
        ("2 .. 4", "count", 2, 4),
    ],
)
def test_ranges(text: str, quantity: str, low: float, high: float) -> None:
    assert parse_band(text, quantity, {}) == Band(low, high)


def test_ranges_meet_by_construction() -> None:
    raw = {"absent": "below 0.2 V", "low": "absent .. normal", "normal": "1.14 V .. 1.26 V", "high": "above normal"}
    assert resolve_bands(raw, "voltage") == {
        "absent": Band(-INF, 0.2), "low": Band(0.2, 1.14), "normal": Band(1.14, 1.26), "high": Band(1.26, INF),
    }  # fmt: skip
    assert list(resolve_bands(raw, "voltage")) == list(raw)
    chained = {"low": "below ok", "ok": "0.3 V .. odd", "odd": "1 V .. 2 V"}
    assert resolve_bands(chained, "voltage")["low"] == Band(-INF, 0.3)


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        ({"a": "1.26 V .. 1.14 V"}, "is empty"),
        ({"a": "1 V .. 1 V"}, "is empty"),
        ({"a": "1.14 .. 1.26 V"}, "'1.14' has no unit"),
        ({"a": "1 ohm .. 2 ohm"}, "is a resistance, but a voltage is wanted"),
        ({"a": "below nomal", "normal": "1 V .. 2 V"}, "names 'nomal'"),
        ({"a": "above high", "high": "above 2 V"}, "'high' is open above"),
        ({"a": "below low", "low": "below 2 V"}, "'low' is open below"),
        ({"a": "below b", "b": "above a"}, "in a circle: a -> b -> a"),
        ({"a": "above a"}, "in a circle: a -> a"),
        ({"a": "1.2 V"}, "is not a range"),
        ({"a": ""}, "is not a range"),
        ({"a": "below"}, "lacks an end"),
        ({"a": "1 V .."}, "lacks an end"),
        ({"a": "1.2 V ± 0 %"}, "leaves no width"),
        ({"a": "1.2 V ± 5"}, "'5' has no unit"),
        ({"a": "1.2 V ± 5 ohm"}, "is a resistance"),
    ],
)
def test_ranges_that_are_refused(raw: dict[str, str], said: str) -> None:
    with pytest.raises(QuantityError) as refused:
        resolve_bands(raw, "voltage")
    assert said in str(refused.value)
    assert refused.value.cure


def test_a_band_holds_its_lower_end_and_over_limit_where_it_is_open() -> None:
    band = Band(1.0, 2.0)
    assert band.contains(1.0)
    assert not band.contains(2.0)
    assert not band.contains(INF)
    assert Band(2.0, INF).contains(INF)
    assert not Band(-INF, 2.0).contains(INF)
