"""A bench meter of our own invention, played by the simulated backend of the library that reads real ones."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

DEFINITION = Path(__file__).parent / "bench_meter.yaml"


class Bench:
    """The simulated bench: what the leads are on, and which function the dial stands on."""

    def __init__(self, manager: Any) -> None:
        # Held here: the library forgets its devices as soon as nobody holds it.
        self._manager = manager
        self._devices: Any = manager.visalib.devices

    def _device(self, address: str) -> Any:
        return self._devices[address]

    def show(self, value: str, address: str = "ASRL1::INSTR") -> None:
        """What the next readings say, as the meter writes it."""
        self._device(address)._properties["shown"].set_value(value)

    def turn(self, function: str, address: str = "ASRL1::INSTR") -> None:
        """Turn the dial by hand."""
        self._device(address)._properties["function"].set_value(function)

    def dial(self, address: str = "ASRL1::INSTR") -> str:
        """What the dial stands on."""
        return str(self._device(address)._properties["function"].get_value())


@pytest.fixture
def bench(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[Bench]:
    """A fresh simulated bench: the library keeps what a definition file led to, so each test has a copy of its own."""
    pyvisa = pytest.importorskip("pyvisa")
    pytest.importorskip("pyvisa_sim")
    copy = tmp_path / "bench_meter.yaml"
    copy.write_text(DEFINITION.read_text(encoding="utf-8"), encoding="utf-8")
    monkeypatch.setenv("PYVISA_LIBRARY", f"{copy}@sim")
    manager = pyvisa.ResourceManager()
    yield Bench(manager)
    manager.close()


def until(true: Callable[[], object], seconds: float = 8.0) -> None:
    """Wait until `true`; fails after so long."""
    end = time.monotonic() + seconds
    while not true():
        if time.monotonic() > end:
            pytest.fail("it did not come about")
        time.sleep(0.01)
