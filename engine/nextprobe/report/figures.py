"""One told reading as the report has it: a figure with its limits and its statement, or something seen."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from nextprobe.errors import QuantityError
from nextprobe.pack.pack import Measurement
from nextprobe.quantity import Reading, format_quantity, parse_reading
from nextprobe.report.conformity import accuracy_words, conformity, expanded_words, healthy_outcome, instrument_of
from nextprobe.report.report import Measured
from nextprobe.walk import Walk


def measured(walk: Walk, data: Mapping[str, Any], behind: str) -> Measured | None:
    """The figure that `data` tells, judged as `walk` stood before it; None where it tells none. It has no point yet."""
    measurement = walk.pack.measurements.get(str(data["ask"]))
    if measurement is None or not measurement.quantity:
        return None
    reading = _reading(measurement, str(data["told"]))
    if reading is None:
        return None
    meter, accuracy, counts = instrument_of(walk.pack, measurement, walk.situation.lacks)
    found, why_none = None, ""
    try:
        bands = walk.bands(measurement.id)
    except QuantityError as error:
        bands, why_none = None, error.message
    band = (bands or {}).get(healthy_outcome(measurement))
    if band is not None:
        found = conformity(reading, band, accuracy, counts)
    elif not why_none:
        why_none = "no limits are stated for this machine"
    return Measured(
        0,
        str(data["title"]),
        measurement.where,
        format_quantity(reading.value, reading.unit, reading.half_digit or None),
        expanded_words(found, reading.unit) if found is not None else "",
        meter,
        accuracy_words(accuracy),
        found,
        why_none,
        behind,
        measurement.at,
        str(data.get("say", "")),
    )


def _reading(measurement: Measurement, told: str) -> Reading | None:
    """The figure that was typed; None where an outcome was told by its name."""
    if told in measurement.outcomes:
        return None
    try:
        return parse_reading(told, measurement.quantity)
    except QuantityError:
        return None
