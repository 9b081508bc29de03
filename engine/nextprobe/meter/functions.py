"""The functions of a meter: what SCPI calls them, and which step wants which."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nextprobe.quantity import QUANTITIES, format_quantity

if TYPE_CHECKING:
    from nextprobe.pack.pack import Pack
    from nextprobe.walk.ask import Ask

INSTRUMENT = "multimeter"
"""The instrument of a pack that the bench meter stands for."""

DIODE = "diode_range"
"""The caution of a step whose volts are a junction's, so that the diode function is wanted."""


@dataclass(frozen=True, slots=True)
class Function:
    """One function of a meter.

    scpi: as CONFigure takes it, in the short form (SCPI-99, volume 2, CONFigure, from memory; DIODe and CAPacitance are
    common practice). word: as on the dial. digit: the least digit that is worth showing, in the base unit
    (the smallest range of a usual 6000-count meter: common practice, no source). drives: whether the meter sends a
    current of its own through the leads.
    """

    id: str
    quantity: str
    scpi: str
    word: str
    digit: float
    drives: bool = False

    @property
    def unit(self) -> str:
        """The base unit of its readings."""
        return QUANTITIES[self.quantity]

    def show(self, value: float) -> str:
        """A reading in words, with at most six digits."""
        return "no reading" if math.isnan(value) else format_quantity(value, self.unit)


FUNCTIONS: dict[str, Function] = {
    one.id: one
    for one in (
        Function("voltage", "voltage", "VOLT:DC", "volts", 1e-4),
        Function("voltage_ac", "voltage", "VOLT:AC", "volts AC", 1e-4),
        Function("current", "current", "CURR:DC", "amps", 1e-6),
        Function("current_ac", "current", "CURR:AC", "amps AC", 1e-6),
        Function("resistance", "resistance", "RES", "ohms", 0.1, drives=True),
        Function("four_wire", "resistance", "FRES", "four-wire ohms", 1e-3, drives=True),
        Function("diode", "voltage", "DIOD", "diode test", 1e-3, drives=True),
        Function("continuity", "resistance", "CONT", "continuity", 0.1, drives=True),
        Function("capacitance", "capacitance", "CAP", "farads", 1e-11, drives=True),
        Function("frequency", "frequency", "FREQ", "hertz", 1e-2),
        Function("period", "time", "PER", "period", 1e-6),
        Function("temperature", "temperature", "TEMP", "temperature", 0.1),
    )
}
"""Every function that is known by name, those that no step wants among them."""

_WANTED = {name: FUNCTIONS[name] for name in FUNCTIONS if name in QUANTITIES}
_SHORT = {
    "VOLTAGE": "VOLT", "CURRENT": "CURR", "RESISTANCE": "RES", "FRESISTANCE": "FRES", "FREQUENCY": "FREQ",
    "PERIOD": "PER", "CAPACITANCE": "CAP", "TEMPERATURE": "TEMP", "DIODE": "DIOD", "CONTINUITY": "CONT",
}  # fmt: skip


def function_of(answer: str) -> Function | None:
    """The function that a meter's answer to ``FUNCtion?`` names, as ``"VOLT"`` or ``"SENS:VOLT:DC"``; None if unknown.

    SCPI-99, volume 2, SENSe:FUNCtion, from memory: a string in quotes; direct current where nothing else is said.
    """
    words = answer.strip().strip("\"'").upper().split(",")[0].split()
    parts = [_SHORT.get(part, part) for part in (words[0] if words else "").lstrip(":").split(":")]
    if parts[0] in ("SENS", "SENSE", "SENS1", "SENSE1"):
        parts = parts[1:]
    name = ":".join(parts)
    whole = f"{name}:DC" if name in ("VOLT", "CURR") else name
    return next((one for one in FUNCTIONS.values() if one.scpi == whole), None)


@dataclass(frozen=True, slots=True)
class Need:
    """What a step wants of the meter: a function, and of how many counts its figure is to be."""

    function: Function
    counts: int


def need_of(pack: Pack, ask: Ask, lacks: Collection[str] = ()) -> Need | None:
    """What the step `ask` wants of the bench meter; None where it wants no figure of it.

    A step that names instruments wants the meter where one of them is the pack's ``multimeter``.
    """
    from nextprobe.walk.reading import meter_of

    measurement = pack.measurements.get(ask.id)
    if measurement is None or measurement.quantity not in _WANTED:
        return None
    named = measurement.instrument
    if named and not any(INSTRUMENT in alternative for alternative in named):
        return None
    junction = measurement.quantity == "voltage" and any(hazard.id == DIODE for hazard in ask.hazards)
    function = FUNCTIONS["diode"] if junction else _WANTED[measurement.quantity]
    return Need(function, meter_of(pack, measurement, lacks)[0])
