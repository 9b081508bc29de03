"""A meter that speaks SCPI, over whatever carries the lines."""

from __future__ import annotations

import math
from contextlib import suppress
from typing import Protocol

from nextprobe.meter.functions import FUNCTIONS, Function, function_of
from nextprobe.meter.meter import LostError, MeterError
from nextprobe.quantity import format_quantity

QUICK, SLOW = 2.0, 8.0
"""Seconds to wait for an answer, and for a reading: large capacitances take some (common practice, no source)."""

HARMLESS = (("voltage", 1.0), ("voltage_ac", 30.0))
"""Volts on the leads, steady and alternating, below which a function that drives a current may be set.

Leads in the air pick up some volts of hum, so the second is not near 0 (common practice, no source).
"""

_OVERLOAD, _NAN = 9.9e37, 9.91e37
_MOST_ERRORS = 20
_BY_HAND = "Turn it by hand, or type the figure."


class Line(Protocol):
    """What carries the lines; raises LostError."""

    serial: bool

    def write(self, text: str) -> None:
        """Send one line."""

    def query(self, text: str, seconds: float) -> str:
        """Send one line and wait for its answer."""

    def close(self) -> None:
        """Let go of it; never raises."""


class ScpiMeter:
    """A meter of IEEE 488.2 and SCPI-99: only what every such meter has is used, and nothing is reset."""

    def __init__(self, line: Line) -> None:
        self._line = line
        if line.serial:
            # Over a serial line most meters take commands only when they are told that these will come.
            line.write("SYST:REM")
        line.write("*CLS")  # errors of an earlier user are not ours: IEEE 488.2, *CLS

    def identify(self) -> str:
        """Maker, model, serial number and version, as the meter says them (IEEE 488.2, *IDN?)."""
        return " ".join(self._line.query("*IDN?", QUICK).split())

    def function(self) -> Function | None:
        """What it measures now; None where that is not known here."""
        return function_of(self._line.query("FUNC?", QUICK))

    def measures(self, wanted: Function) -> bool:
        """Whether it measures `wanted` now."""
        return self.function() == wanted

    def turn_to(self, wanted: Function) -> bool:
        """See to it that the meter measures `wanted`; True where it had to be set.

        Amps are never set, nor left: the leads must be moved for them. What drives a current is set only where the
        meter itself has seen that hardly any voltage is on the leads. Raises MeterError where it is not so or the
        meter does not obey, LostError where it does not answer.
        """
        answer = self._line.query("FUNC?", QUICK)
        now = function_of(answer)
        if now == wanted:
            return False
        word = now.word if now is not None else answer.strip().strip('"') or "an unknown function"
        if wanted.quantity == "current" or (now is not None and now.quantity == "current"):
            raise MeterError(
                f"The meter is on {word}, this step wants {wanted.word}.",
                "Make the circuit dead, move the leads and turn it by hand: amps are never set from here.",
            )
        if wanted.drives:
            self._look_for_volts(wanted)
        self._configure(wanted)
        if not self.measures(wanted):
            raise MeterError(f"The meter stays on {word}, this step wants {wanted.word}.", _BY_HAND)
        return True

    def read(self) -> float:
        """One reading in the base unit; ±inf for overload, nan for none. Raises LostError, MeterError."""
        return number_of(self._line.query("READ?", SLOW))

    def errors(self) -> list[str]:
        """What stands in the error queue, the oldest first; it is empty then (SCPI-99, volume 2, SYSTem:ERRor)."""
        found: list[str] = []
        for _ in range(_MOST_ERRORS):
            answer = self._line.query("SYST:ERR?", QUICK).strip()
            number = answer.partition(",")[0].strip()
            if number in ("0", "+0", "-0"):
                break
            found.append(answer)
        return found

    def close(self) -> None:
        """Let go of the meter, its own keys obeyed again; never raises."""
        if self._line.serial:
            with suppress(MeterError):
                self._line.write("SYST:LOC")
        self._line.close()

    def _configure(self, function: Function) -> None:
        self._line.write(f"CONF:{function.scpi}")
        refused = self.errors()
        if refused:
            raise MeterError(f"The meter cannot be set to {function.word}: it says {refused[0]}.", _BY_HAND)

    def _look_for_volts(self, wanted: Function) -> None:
        for name, most in HARMLESS:
            self._configure(FUNCTIONS[name])
            seen = self.read()
            if not abs(seen) <= most:  # so that no reading counts as one that is too high
                shown = "no known voltage" if math.isnan(seen) else format_quantity(float(f"{seen:.3g}"), "V")
                raise MeterError(
                    f"There is {shown} on the leads, and this step wants {wanted.word}.",
                    "Take the leads off; the meter is then set for you.",
                )


def number_of(answer: str) -> float:
    """The reading in a meter's answer: the first, where there are several.

    ±9.9E37 is infinity and 9.91E37 not a number (SCPI-99, volume 1, 7.2.1, from memory). Raises MeterError where it is
    no number.
    """
    text = answer.strip().split(",")[0].strip()
    try:
        value = float(text)
    except ValueError:
        raise MeterError(f"The meter answered {text[:30]!r}, which is no reading.", _BY_HAND) from None
    if math.isclose(abs(value), _NAN, rel_tol=1e-4):
        return math.nan
    return math.copysign(math.inf, value) if abs(value) >= _OVERLOAD * (1 - 1e-6) else value


__all__ = ["Line", "LostError", "ScpiMeter", "number_of"]
