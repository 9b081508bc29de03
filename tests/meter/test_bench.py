"""Readings of a meter on the bench screen, driven as a person does. The house's own promises, no outside source."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

import pytest

from nextprobe import Walk, load_pack
from nextprobe.meter.live import LiveMeter
from nextprobe.meter.visa import open_meter
from nextprobe.pack.pack import Pack
from nextprobe_tui.app import BenchApp
from nextprobe_tui.screens.bench import BenchScreen
from tests.meter.conftest import Bench
from tests.tui.conftest import LAMP, Sitting


@pytest.fixture(scope="module")
def lamp() -> Pack:
    return load_pack(LAMP)


def at_the_voltage(pack: Pack) -> Walk:
    """A walk at its first step that wants a figure."""
    walk = Walk(pack, options={"driver_type": "plain"})
    while (ask := walk.ask()).id != "drive_voltage":
        walk.tell(ask.id, ask.choices[0].id)
    return walk


@asynccontextmanager
async def bench_of(walk: Walk, meter: LiveMeter | None, size: tuple[int, int] = (80, 24)) -> AsyncIterator[Sitting]:
    app = BenchApp(lambda: BenchScreen(walk, "2026-03-09-dk4t"), meter=meter)
    async with app.run_test(size=size) as pilot:
        at = Sitting(app, pilot, walk)
        await at.settle()
        yield at
    if meter is not None:
        meter.stop()


async def see(at: Sitting, words: str, seconds: float = 8.0) -> None:
    """Wait until `words` stand on the screen."""
    for _ in range(int(seconds / 0.05)):
        if words in at.text():
            return
        await at.pilot.pause(0.05)
    raise AssertionError(f"{words!r} did not come; there is: {at.text()}")


def live() -> LiveMeter:
    return LiveMeter(lambda: open_meter("ASRL1::INSTR"), pause=0.02)


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60)])
async def test_enter_on_the_empty_line_takes_the_steady_reading(
    bench: Bench, lamp: Pack, size: tuple[int, int]
) -> None:
    bench.show("1.2031E+01")
    walk = at_the_voltage(lamp)
    told: list[dict[str, object]] = []
    walk.record_into(lambda kind, data: told.append(data) if kind == "told" else None, fresh=False)
    async with bench_of(walk, live(), size) as at:
        before = len(walk.path)
        await see(at, "● meter: 12.03 V, steady: Enter takes it")
        assert len(walk.path) == before  # nothing is told by itself
        await at.press("enter")
        assert walk.path[-1].told == "12.03 V"
        assert walk.path[-1].ask == "drive_voltage"
    assert [one["by"] for one in told] == ["meter"]


async def test_a_typed_figure_goes_before_the_meter_and_is_not_recorded_as_its_own(bench: Bench, lamp: Pack) -> None:
    walk = at_the_voltage(lamp)
    told: list[dict[str, object]] = []
    walk.record_into(lambda kind, data: told.append(data) if kind == "told" else None, fresh=False)
    async with bench_of(walk, live()) as at:
        await see(at, "● meter")
        await at.type("0.2 V")
        assert walk.path[-1].told == "0.2 V"
    assert "by" not in told[0]


async def test_what_is_not_steady_is_not_taken_and_that_is_said(bench: Bench, lamp: Pack) -> None:
    bench.show("9.9E37")
    walk = at_the_voltage(lamp)
    async with bench_of(walk, live()) as at:
        await see(at, "○ meter: out of range: leads open?")
        before = len(walk.path)
        await at.press("enter")
        assert len(walk.path) == before
        assert "no steady reading: out of range" in at.text()


async def test_the_word_takes_it_too(bench: Bench, lamp: Pack) -> None:
    walk = at_the_voltage(lamp)
    async with bench_of(walk, live()) as at:
        await see(at, "● meter")
        await at.type("meter")
        assert walk.path[-1].told == "1.148 V"


async def test_a_fault_stands_whole_on_the_smallest_screen_and_the_keyboard_goes_on(bench: Bench, lamp: Pack) -> None:
    walk = at_the_voltage(lamp)
    meter = LiveMeter(lambda: open_meter("TCPIP::mute::INSTR"))
    async with bench_of(walk, meter) as at:
        await see(at, "type the figure meanwhile.")
        assert "✗ meter: The meter at TCPIP::mute::INSTR does not answer. Is it on and set to this" in at.text()
        await at.type("12 V")
        assert walk.path[-1].told == "12 V"


async def test_a_step_without_a_figure_has_no_line_of_the_meter(bench: Bench, lamp: Pack) -> None:
    walk = Walk(lamp)
    async with bench_of(walk, live()) as at:
        await at.pilot.pause(0.5)
        assert walk.ask().quantity == ""
        assert "meter:" not in at.text()
        await at.press("enter")
        assert "Type a reading, a number of the list or a word" in at.text()


async def test_without_a_meter_the_word_says_how_to_have_one(lamp: Pack) -> None:
    async with bench_of(at_the_voltage(lamp), None) as at:
        await at.type("meter")
        assert "start with --meter RESOURCE" in at.text()
