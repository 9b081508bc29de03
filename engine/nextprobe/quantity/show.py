"""A figure as text, short and with a sensible prefix."""

from __future__ import annotations

import math
from decimal import Decimal

# Below a volt a drop is still spoken of in volts; ohms and amperes go to milli at once.
_STEPS: dict[str, tuple[tuple[float, str, int], ...]] = {
    "V": ((1e3, "k", 3), (0.1, "", 0), (1e-3, "m", -3), (0, "u", -6)),
    "A": ((1, "", 0), (1e-3, "m", -3), (1e-6, "u", -6), (0, "n", -9)),
    "ohm": ((1e6, "M", 6), (1e3, "k", 3), (1, "", 0), (0, "m", -3)),
    "s": ((1, "", 0), (1e-3, "m", -3), (1e-6, "u", -6), (0, "n", -9)),
    "Hz": ((1e9, "G", 9), (1e6, "M", 6), (1e3, "k", 3), (0, "", 0)),
    "W": ((1e3, "k", 3), (1, "", 0), (1e-3, "m", -3), (0, "u", -6)),
    "F": ((1, "", 0), (1e-3, "m", -3), (1e-6, "u", -6), (1e-9, "n", -9), (0, "p", -12)),
    "N": ((1e3, "k", 3), (0.1, "", 0), (0, "m", -3)),
    "m": ((1, "", 0), (1e-3, "m", -3), (0, "u", -6)),
}
_DIGITS = 6


def format_quantity(value: float, unit: str, half_digit: float | None = None) -> str:
    """`value` in the base unit `unit` as text: ``1.2 V``, ``470 mohm``, ``35 mA``, ``24 h``.

    `half_digit` says how far the digits go (0.0005: ``1.200 V``); without it there are at most
    six that matter. ``1`` and '' show no unit, ``%`` shows a share in percent. Over-limit is
    ``OL``. No exponent is ever shown, and parse_quantity reads it back.
    """
    if math.isinf(value):
        return "OL" if value > 0 else "-OL"
    if unit in ("", "1"):
        return _digits(value, 0, half_digit)
    if unit == "%":
        return f"{_digits(value, -2, half_digit)} %"
    if unit == "degC":
        return f"{_digits(value, 0, half_digit)} °C"
    if unit == "s" and (span := _span(value)):
        return span
    prefix, power = _prefix(abs(value), unit)
    return f"{_digits(value, power, half_digit)} {prefix}{unit}"


def _prefix(size: float, unit: str) -> tuple[str, int]:
    if size == 0:
        return "", 0
    # The figure that is shown decides: 0.9999999 ohm is 1 ohm, not 1000 mohm.
    shown = float(f"{size:.{_DIGITS}g}")
    return next(((name, power) for least, name, power in _STEPS.get(unit, ()) if shown >= least), ("", 0))


def _digits(value: float, power: int, half_digit: float | None) -> str:
    number = Decimal(repr(float(value))).scaleb(-power)
    if half_digit:
        last = Decimal(repr(2 * half_digit)).scaleb(-power).adjusted()
        return f"{number:.{min(max(0, -last), 12)}f}"
    if number == 0:
        return "0"
    places = _DIGITS - 1 - number.adjusted()
    text = f"{number:.{places}f}" if places > 0 else f"{round(number, places):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _span(value: float) -> str:
    """Whole minutes and hours read better as such."""
    for unit, seconds, least in (("h", 3600, 2), ("min", 60, 2)):
        if value % seconds == 0 and value >= least * seconds:
            return f"{value / seconds:.0f} {unit}"
    return ""
