"""The meter beside everything else: steady, moved, lost, found again. The house's own promises, no outside source."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from typing import cast

import pytest

from nextprobe.meter.functions import FUNCTIONS, Need
from nextprobe.meter.live import AGAIN, RETRY, LiveMeter
from nextprobe.meter.meter import MeterError
from nextprobe.meter.visa import VisaLine, open_meter
from tests.meter.conftest import Bench, until

VOLTS = Need(FUNCTIONS["voltage"], 6000)
OHMS = Need(FUNCTIONS["resistance"], 6000)


@pytest.fixture
def live(bench: Bench) -> Iterator[LiveMeter]:
    meter = LiveMeter(lambda: open_meter("ASRL1::INSTR"), pause=0.02)
    yield meter
    meter.stop()


def say(live: LiveMeter) -> str:
    view = live.view
    return view.line if view is not None else ""


def test_a_steady_reading_is_rounded_to_the_counts_and_taken_when_asked(bench: Bench, live: LiveMeter) -> None:
    bench.show("1.14812345E+00")
    live.want(VOLTS)
    with pytest.raises(MeterError, match="no steady reading"):
        live.take()
    until(lambda: "steady: Enter takes it" in say(live))
    assert say(live) == "meter: 1.148 V, steady: Enter takes it"
    assert live.take() == "1.148 V"
    assert live.name == "House of Invention,Bench meter,0001,1.0"


def test_a_reading_that_moves_is_not_taken(bench: Bench, live: LiveMeter) -> None:
    live.want(VOLTS)
    until(lambda: live.view is not None and live.view.text)
    bench.show("3.3")
    until(lambda: "not steady yet" in say(live))
    with pytest.raises(MeterError, match="not steady yet"):
        live.take()


@pytest.mark.parametrize(("shown", "said"), [("9.9E37", "out of range: leads open?"), ("9.91E37", "no reading")])
def test_overload_and_no_reading_are_said_and_not_taken(bench: Bench, live: LiveMeter, shown: str, said: str) -> None:
    bench.show(shown)
    live.want(VOLTS)
    until(lambda: said in say(live))
    time.sleep(1.2)
    with pytest.raises(MeterError, match="no steady reading"):
        live.take()


def test_the_dial_is_turned_back_and_that_is_said(bench: Bench, live: LiveMeter) -> None:
    bench.turn("RES")
    live.want(VOLTS)
    until(lambda: "set to volts for this step" in say(live))
    assert bench.dial() == "VOLT:DC"


def test_ohms_wait_until_the_leads_are_off(bench: Bench, live: LiveMeter) -> None:
    bench.show("1.95E+01")
    live.want(OHMS)
    until(lambda: "There is 19.5 V on the leads" in say(live))
    with pytest.raises(MeterError, match="Take the leads off"):
        live.take()
    bench.show("0.0")
    until(lambda: bench.dial() == "RES")


def test_what_was_told_does_not_answer_the_next_step_by_a_slip(bench: Bench, live: LiveMeter) -> None:
    live.want(VOLTS)
    until(lambda: live.view is not None and live.view.text)
    assert live.take() == "1.148 V"
    live.told()
    live.want(VOLTS)
    with pytest.raises(MeterError):
        live.take()
    until(lambda: live.view is not None and live.view.text)
    for _ in range(2):  # a foot that slips presses twice
        with pytest.raises(MeterError, match="as for the step before: move the leads"):
            live.take()
    time.sleep(AGAIN)
    assert live.take() == "1.148 V"


def test_leads_that_were_moved_answer_at_once(bench: Bench, live: LiveMeter) -> None:
    live.want(VOLTS)
    until(lambda: live.view is not None and live.view.text)
    live.told()
    live.want(VOLTS)
    bench.show("0.0")
    until(lambda: "0.0 mV" in say(live) or "0 V" in say(live) or "0.000" in say(live))
    bench.show("1.148")
    until(lambda: live.view is not None and live.view.text == "1.148 V")
    assert live.take() == "1.148 V"


def test_a_pulled_plug_is_said_and_the_meter_found_again(bench: Bench) -> None:
    working = threading.Event()
    working.set()

    class Cut:
        """A line that can be cut, around the real one."""

        def __init__(self) -> None:
            if not working.is_set():
                open_meter("TCPIP::none::INSTR").identify()
            self._meter = open_meter("ASRL1::INSTR")

        def __getattr__(self, name: str) -> object:
            if not working.is_set() and name != "close":
                cast(VisaLine, self._meter._line)._io.close()  # the library then refuses, as it does for a pulled plug
            return getattr(self._meter, name)

    live = LiveMeter(Cut, pause=0.02)  # type: ignore[arg-type]
    live.want(VOLTS)
    until(lambda: live.view is not None and live.view.text)
    working.clear()
    until(lambda: live.view is not None and live.view.fault)
    assert "was lost. Look at plug and supply" in say(live)
    with pytest.raises(MeterError, match="Look at plug"):
        live.take()
    working.set()
    until(lambda: live.view is not None and bool(live.view.text), RETRY + 4)
    live.stop()


def test_a_fault_of_the_reading_itself_is_said_and_reading_goes_on() -> None:
    def broken() -> None:
        raise RuntimeError("odd")

    live = LiveMeter(broken)  # type: ignore[arg-type]
    live.want(VOLTS)
    until(lambda: live.view is not None and live.view.fault)
    assert "Reading the meter has failed: RuntimeError: odd" in say(live)
    live.stop()


def test_stopping_never_waits_even_where_the_meter_does_not_answer(bench: Bench) -> None:
    live = LiveMeter(lambda: open_meter("TCPIP::mute::INSTR"))
    live.want(VOLTS)
    time.sleep(0.2)
    begun = time.monotonic()
    live.stop()
    assert time.monotonic() - begun < 0.05
    assert live._thread is not None
    assert live._thread.daemon
    live._thread.join(5)


def test_no_figure_wanted_is_no_line(live: LiveMeter) -> None:
    assert live.view is None
    live.want(VOLTS)
    live.want(None)
    assert live.view is None
    with pytest.raises(MeterError, match="wants no figure"):
        live.take()
