"""A meter on the network through pyvisa-py, the backend that reads real ones: a socket answers here, and is cut.

The lines are those of IEEE 488.2 and SCPI-99 (from memory); the meter is of our own invention.
"""

from __future__ import annotations

import socket
import threading
from collections.abc import Iterator
from contextlib import suppress

import pytest

from nextprobe.meter.functions import FUNCTIONS, Need
from nextprobe.meter.live import RETRY, LiveMeter
from nextprobe.meter.visa import open_meter
from tests.meter.conftest import until

VOLTS = Need(FUNCTIONS["voltage"], 6000)


class NetworkMeter:
    """Answers at a port of this machine until it is cut."""

    def __init__(self, port: int = 0) -> None:
        self.heard: list[str] = []
        self._server = socket.create_server(("127.0.0.1", port))
        self._open: list[socket.socket] = []
        self.port: int = self._server.getsockname()[1]
        self._thread = threading.Thread(target=self._serve, daemon=True)
        self._thread.start()

    def _serve(self) -> None:
        while True:
            try:
                link, _ = self._server.accept()
            except OSError:
                return
            self._open.append(link)
            with link, link.makefile("rwb", buffering=0) as lines:
                try:
                    for line in lines:
                        self._answer(line.decode().strip(), lines)
                except (OSError, ValueError):
                    pass

    def _answer(self, asked: str, lines: socket.SocketIO) -> None:
        self.heard.append(asked)
        answers = {"*IDN?": "House of Invention,Network meter,0004,1.0", "FUNC?": '"VOLT"', "READ?": "+3.30121E+00"}
        if asked in answers:
            lines.write(f"{answers[asked]}\n".encode())

    def cut(self) -> None:
        """As a pulled plug."""
        # Woken first: a thread that waits for a caller holds the port otherwise.
        for one in (self._server, *self._open):
            with suppress(OSError):  # the other end was quicker
                one.shutdown(socket.SHUT_RDWR)
        self._server.close()
        self._thread.join(2)


@pytest.fixture
def network(monkeypatch: pytest.MonkeyPatch) -> Iterator[NetworkMeter]:
    pytest.importorskip("pyvisa_py")
    monkeypatch.setenv("PYVISA_LIBRARY", "@py")
    meter = NetworkMeter()
    yield meter
    meter.cut()


def test_it_is_read_and_nothing_is_reset(network: NetworkMeter) -> None:
    meter = open_meter(f"TCPIP::127.0.0.1::{network.port}::SOCKET")
    assert meter.identify() == "House of Invention,Network meter,0004,1.0"
    assert meter.turn_to(FUNCTIONS["voltage"]) is False
    assert meter.read() == 3.30121
    meter.close()
    assert network.heard == ["*CLS", "*IDN?", "FUNC?", "READ?"]


def test_a_plug_that_is_pulled_and_put_back(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("pyvisa_py")
    monkeypatch.setenv("PYVISA_LIBRARY", "@py")
    first = NetworkMeter()
    live = LiveMeter(lambda: open_meter(f"TCPIP::127.0.0.1::{first.port}::SOCKET"), pause=0.02)
    live.want(VOLTS)
    until(lambda: live.view is not None and live.view.text)
    assert live.take() == "3.301 V"
    first.cut()
    until(lambda: live.view is not None and live.view.fault)
    assert live.view is not None
    assert "It is tried again" in live.view.cure
    second = NetworkMeter(first.port)
    until(lambda: live.view is not None and live.view.text, 2 * RETRY + 6)
    live.stop(3)
    second.cut()
