"""A reading as a technician types it."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from decimal import Decimal

from nextprobe.errors import QuantityError
from nextprobe.quantity.figure import Figure, split_figure, tidy
from nextprobe.quantity.units import (
    EXAMPLES,
    PREFIXES,
    UNITLESS,
    base_unit,
    known_unit,
    to_base,
    unit_table,
    wrong_unit,
)

# "open" is no over-limit: it is what a person concludes, and often an outcome's own id.
_OVER = re.compile(r"(?:[o0]\.?l|\.[o0]l|over limit|overload|over|\u221e)(?:\s+(\S.*))?", re.IGNORECASE)
_VAGUE = re.compile(r"[~<>≈≤≥±?]|\b(?:about|around|approx|ca)\b|\.\.|[0-9]\s*-\s*[0-9]", re.IGNORECASE)
_NO_PREFIX = UNITLESS | {"temperature"}
_CODED_UNITS = {"V": "V", "A": "A", "R": "ohm", "W": "W", "F": "F"}


@dataclass(frozen=True, slots=True)
class Reading:
    """A reading in its base unit; ``value`` is ``math.inf`` where the meter showed over-limit.

    ``half_digit`` is half of the last typed digit in the base unit, ``text`` what was typed.
    """

    value: float
    unit: str
    half_digit: float
    text: str


def parse_reading(text: str, quantity: str) -> Reading:
    """The reading that `text` means for a measurement of `quantity`.

    Without a unit the base unit is taken (``1.19``), with a prefix alone the prefix of it
    (``12k``). A comma is a decimal comma, also in ``1,190``: a meter shows no thousands
    separator. ``OL`` is over-limit. A bare share above 1 is refused, since percent may be meant;
    so is ``5m`` for a time, since minutes may be meant. A bare whole count is exact.

    Raises QuantityError when it cannot be read or has the unit of another quantity.
    """
    base = base_unit(quantity)
    shown = tidy(text)
    example = EXAMPLES[quantity]
    if over := _OVER.fullmatch(shown):
        if over[1]:
            _check(known_unit(over[1], shown, example)[0], base, shown, quantity)
        return Reading(math.inf, base, 0.0, shown)
    figure = split_figure(text)
    if figure is None or (figure.unit and figure.unit not in unit_table() and _VAGUE.search(shown)):
        raise _refusal(shown, example)
    found, factor = _unit(figure, shown, quantity)
    _check(found, base, shown, quantity)
    if quantity == "share" and not figure.unit and abs(figure.number) > 1:
        raise QuantityError(f"'{shown}' may be a share or percent.", f"Type {shown} %, or a share of 0 to 1.")
    taken = to_base(figure, shown, base, factor)
    counted = quantity == "count" and taken.half_digit == 0.5
    return Reading(taken.value, base, 0.0 if counted else taken.half_digit, shown)


def _unit(figure: Figure, shown: str, quantity: str) -> tuple[str, Decimal]:
    """The base unit and factor of the unit that was typed, or of none."""
    base = base_unit(quantity)
    unit = figure.unit
    if not unit:
        return base, Decimal(1)
    if figure.coded and unit in _CODED_UNITS:
        return _CODED_UNITS[unit], Decimal(1)
    if quantity == "time" and unit == "m":
        raise QuantityError(f"'{shown}' may be minutes or milliseconds.", "Type min or ms.")
    means_unit = unit in unit_table() and not figure.coded
    if unit in PREFIXES and quantity not in _NO_PREFIX and not (means_unit and unit == base):
        return base, Decimal(1).scaleb(PREFIXES[unit])
    return known_unit(unit, shown, EXAMPLES[quantity])


def _check(found: str, base: str, shown: str, quantity: str) -> None:
    if found != base:
        raise wrong_unit(shown, found, quantity)


def _refusal(shown: str, example: str) -> QuantityError:
    if not shown:
        return QuantityError("Nothing was typed.", f"Type the figure on the meter, as in {example}.")
    if _VAGUE.search(shown):
        return QuantityError(f"'{shown}' is not one figure.", f"Type the figure on the meter, as in {example}.")
    return QuantityError(f"'{shown}' is not a figure.", f"Type the figure on the meter, as in {example}, or OL.")
