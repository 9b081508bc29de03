"""What a bench meter is to the rest of the house, and what can go wrong with it."""

from __future__ import annotations

from typing import Protocol

from nextprobe.errors import NextprobeError
from nextprobe.meter.functions import Function


class MeterError(NextprobeError):
    """The meter cannot give this reading; the keyboard goes on."""


class LostError(MeterError):
    """There is no meter at the other end, or it no longer answers; it may be tried again."""


class Meter(Protocol):
    """An open meter. Every method raises MeterError, and LostError where the line itself has gone."""

    def identify(self) -> str:
        """What the meter calls itself, in one line."""

    def turn_to(self, wanted: Function) -> bool:
        """See to it that the meter measures `wanted`; True where it had to be set."""

    def measures(self, wanted: Function) -> bool:
        """Whether it measures `wanted` now."""

    def read(self) -> float:
        """One reading in the base unit; ±inf for overload, nan for none."""

    def close(self) -> None:
        """Let go of the meter; never raises."""
