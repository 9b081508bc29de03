"""The bench meter on the bench screen: shown while it is read, taken when somebody presses Enter."""

from __future__ import annotations

from abc import abstractmethod
from typing import TYPE_CHECKING, ClassVar

from nextprobe.errors import NextprobeError
from nextprobe.walk.ask import Ask
from nextprobe_tui.screens.bench_acts import BenchActs
from nextprobe_tui.widgets.feedback import Feedback
from nextprobe_tui.widgets.meter_line import MeterLine

if TYPE_CHECKING:
    from nextprobe.meter.live import LiveMeter

OFTEN = 0.2
"""Seconds from look to look at what the meter shows."""

NONE_HERE = "No meter was named: start with --meter RESOURCE; `nextprobe meter` lists them."


class BenchMeter(BenchActs):
    """Between the actions and the screen: only the screen's own loop touches widgets, the meter has a thread."""

    simulated: ClassVar[bool] = False
    """Whether the machine is: no meter reads it then."""

    @abstractmethod
    def tell(self, ask: Ask, text: str, by: str = "") -> str:
        """Tell the walk; the sentence about it. by: ``meter`` where nobody typed it."""

    @property
    def meter(self) -> LiveMeter | None:
        """The program's meter; None where none was named, or none can read this machine."""
        found: LiveMeter | None = getattr(self.app, "meter", None)
        return None if self.simulated else found

    @property
    def meter_serves(self) -> bool:
        """Whether the step that stands wants a figure of the meter."""
        return self.meter is not None and self.meter.view is not None

    def watch_meter(self) -> None:
        """Look at the meter from now on, where there is one."""
        if self.meter is not None:
            self.set_interval(OFTEN, self.look_at_meter)

    def look_at_meter(self) -> None:
        """Show what the meter shows."""
        if self.meter is not None:
            self.query_one(MeterLine).show(self.meter.view)

    def want_reading(self, ask: Ask | None) -> None:
        """Have the meter read for the step `ask`, or for none."""
        if self.meter is None:
            return
        if ask is None:
            self.meter.want(None)
        else:
            self.meter.want_for(self.walk, ask)
            self.look_at_meter()

    def action_act_meter(self) -> None:
        """Take the steady reading."""
        step, meter = self.step, self.meter
        if step is None:
            return
        if meter is None:
            self.query_one(Feedback).say(NONE_HERE, "error")
            return
        try:
            text = meter.take()
        except NextprobeError as error:
            self.query_one(Feedback).say(str(error), "error")
            return
        if self.attempt(lambda: self.tell(step, text, "meter")):
            meter.told()
