"""Quantities, readings, ranges and meters; everything in base units, without a heavy import.

Sources: RKM codes IEC 60062; uncertainty JCGM 100; shares on both sides of a limit JCGM 106;
the four-way statement ILAC-G8:09/2019.
"""

from nextprobe.quantity.bands import Band, parse_band, resolve_bands
from nextprobe.quantity.meter import (
    Accuracy,
    meter_step,
    normal_share,
    outcome_weights,
    parse_accuracy,
    rectangular,
    standard_uncertainty,
    statement,
    uncertainty_share,
)
from nextprobe.quantity.reading import Reading, parse_reading
from nextprobe.quantity.show import format_quantity
from nextprobe.quantity.units import EXAMPLES, QUANTITIES, Quantity, parse_minutes, parse_quantity

__all__ = [
    "EXAMPLES",
    "QUANTITIES",
    "Accuracy",
    "Band",
    "Quantity",
    "Reading",
    "format_quantity",
    "meter_step",
    "normal_share",
    "outcome_weights",
    "parse_accuracy",
    "parse_band",
    "parse_minutes",
    "parse_quantity",
    "parse_reading",
    "rectangular",
    "resolve_bands",
    "standard_uncertainty",
    "statement",
    "uncertainty_share",
]
