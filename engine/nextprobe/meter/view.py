"""What the meter shows, in words, and a steady reading as the text that is told."""

from __future__ import annotations

import math
from dataclasses import dataclass

from nextprobe.meter.functions import Need
from nextprobe.meter.stable import shown_step
from nextprobe.quantity import format_quantity


@dataclass(frozen=True, slots=True)
class View:
    """One moment of the meter.

    say: what it shows, as "1.148 V, steady". cure: what to do where something is wrong. steady: the steady value in
    the base unit, and text as it would be told; None and "" where there is none. fault: whether the meter is at fault.
    """

    say: str
    cure: str = ""
    steady: float | None = None
    text: str = ""
    fault: bool = False

    @property
    def line(self) -> str:
        """In one line, as the screens and line mode show it."""
        return f"meter: {self.say}{'. ' + self.cure if self.cure else ''}"


def steady_text(value: float, need: Need) -> str:
    """`value` rounded to the counts of the meter, with its unit: ``1.148 V``."""
    step = shown_step(value, need.counts, need.function.digit)
    rounded = round(value / step) * step or 0.0  # no minus before a nought
    return format_quantity(rounded, need.function.unit, step / 2)


def view_of(need: Need, value: float, steady: float | None, note: str = "") -> View:
    """What to show of a reading (±inf: overload, nan: none) and of the steady value, if there is one."""
    after = f" ({note})" if note else ""
    if math.isnan(value):
        return View(f"no reading{after}")
    if math.isinf(value):
        return View(f"out of range: leads open?{after}", "Where the point itself is open, type OL.")
    if steady is None:
        return View(f"{steady_text(value, need)}, not steady yet{after}")
    text = steady_text(steady, need)
    return View(f"{text}, steady: Enter takes it{after}", steady=steady, text=text)
