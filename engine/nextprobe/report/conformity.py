"""Whether a figure lies within its limits, in the terms of ILAC-G8:09/2019, and by which rule that is said."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass
from math import inf, isinf

from nextprobe.pack.pack import Measurement, Pack
from nextprobe.quantity import Accuracy, Band, Reading, format_quantity, standard_uncertainty, statement
from nextprobe.quantity.meter import normal_share, uncertainty_share
from nextprobe.walk.reading import band_words, meter_of

#: Guard band w = U: pass, conditional pass, conditional fail, fail (4.2.3).
GUARDED = "guard band"
#: No guard band, w = 0: pass or fail (4.2.1).
SIMPLE = "simple acceptance"
#: U = k u (JCGM 100, 6.2). With u = a/√3 of one meter's limit a, U = 1.15 a is more than all that the meter may be off.
COVERAGE = 2


@dataclass(frozen=True, slots=True)
class Conformity:
    """What is said of a figure and its limits.

    limits: in words. statement: pass, conditional pass, conditional fail or fail. rule: GUARDED or SIMPLE. expanded:
    U in the base unit, 0 where nothing is known of it. inside: the chance that what was measured lies within the
    limits (JCGM 106:2012, 7), None where the meter's accuracy is not known. share: U as a part of half the width
    between the limits, 0 where one is open; a meter with much more than half of it says little.
    """

    limits: str
    statement: str
    rule: str
    expanded: float
    inside: float | None
    share: float = 0.0


def conformity(reading: Reading, band: Band, accuracy: Accuracy | None, counts: int) -> Conformity:
    """The statement for `reading`, by a guard band where the meter's accuracy is known, else by simple acceptance.

    An over-limit reading has no figure to guard: it passes where the limits are open above, and fails otherwise.
    """
    limits = band_words(band, reading.unit)
    if isinf(reading.value):
        said = "pass" if reading.value > 0 and band.high == inf else "fail"
        return Conformity(limits, said, SIMPLE, 0.0, None)
    if accuracy is None:
        # The upper limit itself is within: limits are inclusive here, whatever class comes next.
        return Conformity(limits, "pass" if band.low <= reading.value <= band.high else "fail", SIMPLE, 0.0, None)
    u = standard_uncertainty(reading, accuracy, counts)
    expanded = COVERAGE * u
    inside = normal_share(reading.value, u, band) if u > 0 else float(band.low <= reading.value <= band.high)
    share = uncertainty_share(band, expanded)
    return Conformity(limits, statement(reading.value, band, expanded), GUARDED, expanded, inside, share)


def instrument_of(pack: Pack, measurement: Measurement, lacks: Collection[str]) -> tuple[str, Accuracy | None, int]:
    """The instrument at hand that reads this quantity: its name, its accuracy, its counts.

    Where none states an accuracy, all that the first way of measuring uses are named.
    """
    counts, accuracy = meter_of(pack, measurement, lacks)
    ways = [way for way in measurement.instrument if not set(way) & set(lacks)]
    used = [pack.instruments[name] for way in ways[:1] for name in way if name in pack.instruments]
    if accuracy is not None:
        known = [pack.instruments[name] for way in ways for name in way if name in pack.instruments]
        used = [one for one in known if measurement.quantity in one.accuracy][:1]
    # A title says behind its first comma or bracket what the shop should look for when it buys one.
    return ", ".join(re.split(r",| \(", one.title)[0] for one in used), accuracy, counts


def accuracy_words(accuracy: Accuracy | None) -> str:
    """``± (0.5 % + 3 counts)``; "" for none."""
    if accuracy is None:
        return ""
    parts = [
        f"{accuracy.percent:g} %" if accuracy.percent else "",
        f"{accuracy.counts:g} counts" if accuracy.counts else "",
    ]
    said = " + ".join(part for part in parts if part)
    return f"± ({said})" if " + " in said else f"± {said}"


def expanded_words(found: Conformity, unit: str) -> str:
    """U with two figures that matter, as ``0.014 V``; "" where it is not known."""
    return format_quantity(float(f"{found.expanded:.2g}"), unit) if found.expanded > 0 else ""


def healthy_outcome(measurement: Measurement) -> str:
    """The outcome whose band are the limits: of a healthy machine; of a check the first, which is the good one."""
    return measurement.healthy or next(iter(measurement.outcomes), "")
