"""Readings of a meter in line mode and by the command line. The house's own promises, no outside source."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from nextprobe import Walk, load_pack
from nextprobe.cli.line_mode import LineMode
from nextprobe.cli.main import main
from nextprobe.errors import PackError
from nextprobe.meter.functions import FUNCTIONS, need_of
from nextprobe.meter.given import given_meter
from nextprobe.meter.live import LiveMeter
from nextprobe.meter.visa import open_meter
from nextprobe.pack.load import load_shop
from tests.meter.conftest import Bench
from tests.meter.test_bench import at_the_voltage
from tests.tui.conftest import LAMP


def sat(walk: Walk, meter: LiveMeter | None, *typed: str) -> str:
    """What a sitting printed."""
    lines: Iterator[str] = iter(typed)
    out: list[str] = []

    def read(prompt: str) -> str:
        try:
            return next(lines)
        except StopIteration:
            raise EOFError from None

    LineMode(walk, read, out.append, None, meter).run()
    if meter is not None:
        meter.stop()
    return "\n".join(out)


@pytest.mark.parametrize("typed", ["meter", ""])
def test_the_word_or_an_empty_line_waits_for_the_steady_reading_and_takes_it(bench: Bench, typed: str) -> None:
    bench.show("1.2031E+01")
    walk = at_the_voltage(load_pack(LAMP))
    text = sat(walk, LiveMeter(lambda: open_meter("ASRL1::INSTR"), pause=0.02), typed)
    assert walk.path[-1].told == "12.03 V"
    assert "Taken as: 12.03 V: normal" in text


def test_a_fault_is_said_and_typing_goes_on(bench: Bench) -> None:
    walk = at_the_voltage(load_pack(LAMP))
    text = sat(walk, LiveMeter(lambda: open_meter("TCPIP::mute::INSTR")), "meter", "12 V")
    assert "does not answer" in " ".join(text.split())
    assert walk.path[-1].told == "12 V"


def test_without_a_meter_an_empty_line_does_nothing_and_the_word_says_how_to_have_one() -> None:
    walk = at_the_voltage(load_pack(LAMP))
    before = len(walk.path)
    text = sat(walk, None, "", "meter")
    assert len(walk.path) == before
    assert "start with `--meter RESOURCE`" in text


def test_a_whole_command_line_takes_a_reading(
    bench: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    bench.show("1.2031E+01")
    monkeypatch.setenv("NEXTPROBE_STORE", f"sqlite:///{tmp_path / 'jobs.db'}")
    walk, typed = Walk(load_pack(LAMP), options={"driver_type": "plain"}), []
    while (ask := walk.ask()).id != "drive_voltage":
        typed.append(ask.choices[0].id)
        walk.tell(ask.id, ask.choices[0].id)
    lines = iter([*typed, "meter", "leave"])
    monkeypatch.setattr("builtins.input", lambda prompt: next(lines))
    given = ["--option", "driver_type=plain", "--plain", "--meter", "ASRL1::INSTR"]
    assert main(["walk", str(LAMP), *given]) == 0
    assert "Taken as: 12.03 V" in capsys.readouterr().out
    assert main(["jobs", "list"]) == 0


def test_the_meters_are_listed_and_one_is_tried(bench: Bench, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["meter"]) == 0
    assert "ASRL1::INSTR" in capsys.readouterr().out.splitlines()
    assert main(["meter", "ASRL1::INSTR"]) == 0
    assert capsys.readouterr().out.splitlines() == ["House of Invention,Bench meter,0001,1.0", "volts: 1.148 V"]
    bench.show("9.9E37")
    assert main(["meter", "ASRL1::INSTR"]) == 0
    assert "volts: OL" in capsys.readouterr().out
    bench.show("9.91E37")
    assert main(["meter", "ASRL1::INSTR"]) == 0
    assert "volts: no reading" in capsys.readouterr().out
    assert main(["meter", "TCPIP::mute::INSTR"]) == 2
    assert "does not answer" in capsys.readouterr().err


def test_the_shop_file_may_name_the_meter(tmp_path: Path) -> None:
    file = tmp_path / "shop.yaml"
    file.write_text("format: 1\nmeter: ASRL1::INSTR\n", encoding="utf-8")
    shop = load_shop(file)
    assert shop.meter == "ASRL1::INSTR"
    with given_meter(None, shop) as meter:
        assert meter is not None
    with given_meter(None, None) as meter:
        assert meter is None
    file.write_text("format: 1\nmeter: 7\n", encoding="utf-8")
    with pytest.raises(PackError, match="meter"):
        load_shop(file)


def test_which_steps_want_the_meter() -> None:
    pack = load_pack("no-picture", "brindle-14")
    walk = Walk(pack)
    served = {}
    for id_, measurement in pack.measurements.items():
        need = need_of(pack, type(walk.ask())("measure", id_, ""))
        served[id_] = need.function if need is not None else None
        if need is not None:
            assert need.function.quantity == measurement.quantity
            assert need.counts == 6000
            assert not measurement.instrument or any("multimeter" in way for way in measurement.instrument)
    assert FUNCTIONS["voltage"] in served.values()
    assert FUNCTIONS["resistance"] in served.values()
    assert served["caps_lock"] is None if "caps_lock" in served else True
