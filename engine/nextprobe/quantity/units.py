"""Quantities and their units as a pack writes them, brought to base units."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from nextprobe.errors import QuantityError
from nextprobe.quantity.figure import Figure, split_figure, tidy

QUANTITIES: dict[str, str] = {
    "voltage": "V",
    "current": "A",
    "resistance": "ohm",
    "time": "s",
    "frequency": "Hz",
    "temperature": "degC",
    "power": "W",
    "capacitance": "F",
    "force": "N",
    "length": "m",
    "share": "1",
    "count": "1",
}
"""Each quantity that a measurement may name, with its base unit."""

EXAMPLES: dict[str, str] = {
    "voltage": "1.2 V",
    "current": "35 mA",
    "resistance": "4.7 kohm",
    "time": "15 min",
    "frequency": "32.768 kHz",
    "temperature": "45 degC",
    "power": "12 W",
    "capacitance": "10 uF",
    "force": "2 N",
    "length": "0.5 mm",
    "share": "45 %",
    "count": "3",
}
"""How one figure of each quantity is written."""

PREFIXES: dict[str, int] = {"p": -12, "n": -9, "u": -6, "m": -3, "k": 3, "K": 3, "M": 6, "G": 9}
UNITLESS = frozenset({"share", "count"})

# Base unit: how it may be spelled, and which prefixes may stand before it. A small v or hz is
# how it is typed in a hurry; a small n is not newton, since it is the prefix.
_SPELLED: dict[str, tuple[tuple[str, ...], str]] = {
    "V": (("V", "v", "volt", "volts", "Volt"), "numkKMG"),
    "A": (("A", "a", "amp", "amps", "ampere"), "pnumkK"),
    "ohm": (("ohm", "Ohm", "OHM", "ohms", "Ohms", "\u03a9"), "numkKMG"),
    "s": (("s", "sec", "second", "seconds"), "pnum"),
    "Hz": (("Hz", "hz", "HZ"), "mkKMG"),
    "degC": (("degC", "deg C", "\u00b0C", "\u00b0 C", "C"), ""),
    "W": (("W", "w", "watt", "watts"), "numkKMG"),
    "F": (("F", "f", "farad"), "pnum"),
    "N": (("N", "newton"), "mkK"),
    "m": (("m", "metre", "metres", "meter", "meters"), "num"),
}
_OTHERS: dict[str, tuple[str, Decimal]] = {
    "R": ("ohm", Decimal(1)),
    "min": ("s", Decimal(60)),
    "minute": ("s", Decimal(60)),
    "minutes": ("s", Decimal(60)),
    "h": ("s", Decimal(3600)),
    "hour": ("s", Decimal(3600)),
    "hours": ("s", Decimal(3600)),
    "d": ("s", Decimal(86400)),
    "day": ("s", Decimal(86400)),
    "days": ("s", Decimal(86400)),
    "cm": ("m", Decimal("0.01")),
    "%": ("1", Decimal("0.01")),
}
_CODES = {"V": "V", "A": "A", "R": "ohm", "W": "W", "F": "F"}


@dataclass(frozen=True, slots=True)
class Quantity:
    """A figure in its base unit; ``unit`` is '' when none was written (a share or a count).

    ``half_digit`` is half of the last written digit in the base unit, ``text`` what was written.
    """

    value: float
    unit: str
    half_digit: float
    text: str


@cache
def unit_table() -> dict[str, tuple[str, Decimal]]:
    """Every way to spell a unit, with its base unit and the factor that leads there."""
    table = dict(_OTHERS)
    for base, (names, prefixes) in _SPELLED.items():
        for name in names:
            table[name] = (base, Decimal(1))
            for prefix in prefixes:
                table.setdefault(prefix + name, (base, Decimal(1).scaleb(PREFIXES[prefix])))
    return table


def base_unit(quantity: str) -> str:
    """The base unit of `quantity`. Raises QuantityError when there is no such quantity."""
    if quantity not in QUANTITIES:
        raise QuantityError(f"There is no quantity {quantity!r}.", f"Write one of {', '.join(QUANTITIES)}.")
    return QUANTITIES[quantity]


def quantity_of(unit: str) -> str:
    """The quantity that a base unit belongs to, for messages."""
    return next(name for name, base in QUANTITIES.items() if base == unit)


def wrong_unit(text: str, unit: str, quantity: str) -> QuantityError:
    """The refusal of a figure whose unit belongs to another quantity."""
    return QuantityError(
        f"'{text}' is a {quantity_of(unit)}, but a {quantity} is wanted.",
        f"Write it as in {EXAMPLES[quantity]}.",
    )


def to_base(figure: Figure, text: str, base: str, factor: Decimal) -> Quantity:
    """The figure times `factor`. Raises QuantityError beyond what a float holds."""
    value = float(figure.number * factor)
    if not math.isfinite(value):
        raise QuantityError(f"'{text}' is too great for a figure.", "Write it with a prefix, as in 2.2 Mohm.")
    return Quantity(value, base, float(figure.half * factor), text)


def parse_quantity(text: str, quantity: str | None = None) -> Quantity:
    """A quantity as a pack writes it: ``1.2 V``, ``470 mohm``, ``4k7``, ``15 min``, ``5 %``.

    The unit must stand there, save for a share or a count. RKM codes follow IEC 60062: ``4R7``,
    ``4k7``, ``2M2`` are ohms, ``4n7`` farads, and ``1V2`` volts as on drawings.

    Raises QuantityError when the text cannot be read or the unit is not one of `quantity`.
    """
    shown = tidy(text)
    base = None if quantity is None else base_unit(quantity)
    example = EXAMPLES[quantity or "voltage"]
    figure = split_figure(text)
    if figure is None:
        raise QuantityError(f"'{shown}' is not a figure with a unit.", f"Write it as in {example}.")
    if figure.comma:
        raise QuantityError(f"'{shown}' has a comma.", f"A pack writes a decimal point, as in {example}.")
    if figure.coded:
        found, factor = _coded(figure, shown, quantity)
    elif figure.unit:
        found, factor = known_unit(figure.unit, shown, example)
    elif quantity in UNITLESS:
        return to_base(figure, shown, "", Decimal(1))
    else:
        raise QuantityError(f"'{shown}' has no unit.", f"Write it with its unit, as in {example}.")
    if quantity is not None and found != base:
        raise wrong_unit(shown, found, quantity)
    return to_base(figure, shown, found, factor)


def known_unit(unit: str, shown: str, example: str) -> tuple[str, Decimal]:
    """The base unit and factor of `unit`. Raises QuantityError when it is not known."""
    entry = unit_table().get(unit)
    if entry is None:
        raise QuantityError(f"'{shown}': '{unit}' is not a unit that is known here.", f"Write it as in {example}.")
    return entry


def _coded(figure: Figure, shown: str, quantity: str | None) -> tuple[str, Decimal]:
    if figure.unit in _CODES:
        return _CODES[figure.unit], Decimal(1)
    factor = Decimal(1).scaleb(PREFIXES[figure.unit])
    if figure.unit == "m":
        if quantity in ("resistance", "capacitance"):
            return QUANTITIES[quantity], factor
        raise QuantityError(f"'{shown}' may be milliohm or millifarad.", "Write the unit, as in 4.7 mohm.")
    return ("F" if figure.unit in "pnu" else "ohm"), factor


def parse_minutes(value: str | float) -> float:
    """Minutes, 0 or more: a bare number is minutes; ``15 min``, ``24 h`` and ``90 s`` are times.

    Raises QuantityError for anything else.
    """
    example = "Write minutes as a number, or a time as in 15 min or 24 h."
    if isinstance(value, bool) or not isinstance(value, (str, int, float)):
        raise QuantityError(f"{value!r} is not a time.", example)
    if isinstance(value, str):
        figure = split_figure(value)
        bare = figure is not None and not figure.unit
        number = float(figure.number) if figure is not None and bare else parse_quantity(value, "time").value / 60
    else:
        number = float(value)
    if not math.isfinite(number) or number < 0:
        raise QuantityError(f"'{value}' is not a time of 0 minutes or more.", example)
    return number
