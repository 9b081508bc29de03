"""A meter over SCPI, played by the simulated backend of the general-purpose library pyvisa (pyvisa-sim).

What is sent and how answers read: IEEE 488.2 (common commands) and SCPI-99 (CONFigure, READ?, FUNCtion?,
SYSTem:ERRor?, 9.9E37 for infinity, 9.91E37 for not a number), both from memory.
"""

from __future__ import annotations

import math

import pytest

from nextprobe.meter.functions import FUNCTIONS, function_of
from nextprobe.meter.meter import LostError, MeterError
from nextprobe.meter.scpi import number_of
from nextprobe.meter.visa import open_meter, resources
from tests.meter.conftest import Bench

ADDRESSES = ["ASRL1::INSTR", "TCPIP::bench::INSTR"]


@pytest.mark.parametrize(
    ("answer", "value"),
    [
        ("+1.14800000E+00\n", 1.148),
        ("-4.7e3", -4700.0),
        ("1.5,+2.5", 1.5),
        ("9.9E37", math.inf),
        ("+9.90000000E+37", math.inf),
        ("-9.9E37", -math.inf),
    ],
)
def test_answers_are_numbers(answer: str, value: float) -> None:
    assert number_of(answer) == value


def test_the_number_for_no_number_is_none() -> None:
    assert math.isnan(number_of("9.91E37"))
    assert math.isnan(number_of("+9.91000000E+37"))


@pytest.mark.parametrize("answer", ["", "VOLT", "O.L", "1,2V"[2:]])
def test_what_is_no_number_is_said(answer: str) -> None:
    with pytest.raises(MeterError, match="no reading"):
        number_of(answer)


@pytest.mark.parametrize(
    ("answer", "id_"),
    [
        ('"VOLT"', "voltage"),
        ('"VOLT:DC"', "voltage"),
        ('"SENS:VOLTAGE:DC"', "voltage"),
        ('"VOLT:AC"', "voltage_ac"),
        ("RES", "resistance"),
        ('"FRES"', "four_wire"),
        ('"CURR"', "current"),
        ('"FREQ "', "frequency"),
        ('"DIOD"', "diode"),
        ('"CAPACITANCE"', "capacitance"),
        ('"TEMP"', "temperature"),
    ],
)
def test_functions_are_known_by_their_short_and_long_names(answer: str, id_: str) -> None:
    assert function_of(answer) == FUNCTIONS[id_]


@pytest.mark.parametrize("answer", ["", '""', "LIGHT", ":::"])
def test_a_function_that_is_not_known_is_none(answer: str) -> None:
    assert function_of(answer) is None


@pytest.mark.parametrize("address", ADDRESSES)
def test_it_says_who_it_is_and_what_it_reads(bench: Bench, address: str) -> None:
    meter = open_meter(address)
    assert meter.identify() == "House of Invention,Bench meter,0001,1.0"
    assert meter.turn_to(FUNCTIONS["voltage"]) is False
    assert meter.read() == 1.148
    meter.close()
    meter.close()


def test_what_is_plugged_in_is_listed(bench: Bench) -> None:
    assert "ASRL1::INSTR" in resources()


def test_volts_are_set_where_the_dial_stands_on_ohms(bench: Bench) -> None:
    bench.turn("RES")
    meter = open_meter("ASRL1::INSTR")
    assert not meter.measures(FUNCTIONS["voltage"])
    assert meter.turn_to(FUNCTIONS["voltage"]) is True
    assert bench.dial() == "VOLT:DC"


@pytest.mark.parametrize("shown", ["1.95E+01", "-1.95E+01", "9.9E37", "9.91E37"])
def test_ohms_are_not_set_while_there_may_be_volts_on_the_leads(bench: Bench, shown: str) -> None:
    bench.show(shown)
    meter = open_meter("ASRL1::INSTR")
    with pytest.raises(MeterError, match=r"on the leads, and this step wants ohms\. Take the leads off"):
        meter.turn_to(FUNCTIONS["resistance"])
    assert bench.dial() in ("VOLT:DC", "VOLT:AC")
    bench.show("3.0E-02")
    assert meter.turn_to(FUNCTIONS["resistance"]) is True
    assert bench.dial() == "RES"


@pytest.mark.parametrize(
    ("dial", "wanted"), [("VOLT:DC", "current"), ("CURR:DC", "voltage"), ("CURR:DC", "resistance")]
)
def test_amps_are_neither_set_nor_left(bench: Bench, dial: str, wanted: str) -> None:
    bench.turn(dial)
    meter = open_meter("ASRL1::INSTR")
    with pytest.raises(MeterError, match="move the leads and turn it by hand"):
        meter.turn_to(FUNCTIONS[wanted])
    assert bench.dial() == dial


def test_a_function_that_the_meter_lacks_is_said_in_its_own_words(bench: Bench) -> None:
    bench.show("0.0")
    meter = open_meter("ASRL1::INSTR")
    with pytest.raises(MeterError, match='cannot be set to farads: it says -113,"Undefined header"'):
        meter.turn_to(FUNCTIONS["capacitance"])
    assert meter.errors() == []


def test_errors_are_told_the_oldest_first_and_are_gone_then(bench: Bench) -> None:
    meter = open_meter("TCPIP::bench::INSTR")
    meter._line.write("NONSENSE")
    meter._line.write("MORE:NONSENSE")
    assert meter.errors() == ['-113,"Undefined header"'] * 2
    assert meter.errors() == []


def test_a_meter_that_does_not_obey_is_said(bench: Bench) -> None:
    meter = open_meter("TCPIP::stubborn::INSTR")
    with pytest.raises(MeterError, match="stays on ohms, this step wants volts"):
        meter.turn_to(FUNCTIONS["voltage"])


def test_no_answer_is_said_with_what_to_look_at(bench: Bench) -> None:
    meter = open_meter("TCPIP::mute::INSTR")
    with pytest.raises(LostError, match=r"does not answer\. Is it on"):
        meter.identify()


def test_no_address_is_said_and_no_meter_is_another_thing(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("pyvisa_py")
    monkeypatch.setenv("PYVISA_LIBRARY", "@py")
    with pytest.raises(MeterError, match="'nonsense' is no address of an instrument") as wrong:
        open_meter("nonsense")
    assert not isinstance(wrong.value, LostError)
    with pytest.raises(LostError, match="There is no meter at ASRL/dev/no-such-port::INSTR"):
        open_meter("ASRL/dev/no-such-port::INSTR")


def test_without_the_extra_its_name_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    import sys

    monkeypatch.setitem(sys.modules, "pyvisa", None)
    with pytest.raises(MeterError, match=r'pip install "nextprobe\[meter\]"'):
        open_meter("ASRL1::INSTR")
