"""Carries the lines to an instrument through pyvisa, an extra; every fault becomes a sentence."""

from __future__ import annotations

import warnings
from contextlib import suppress
from importlib import import_module
from typing import Any

from nextprobe.meter.meter import LostError, MeterError
from nextprobe.meter.scpi import ScpiMeter

EXTRA = 'Install it with: pip install "nextprobe[meter]"'
# Status codes of VPP-4.3, annex B.
_TIMEOUT, _NO_NAME, _BUSY, _LOCKED = -0x4000FFEB, -0x4000FFEE, -0x4000FF8E, -0x4000FFF1

LIST = "`nextprobe meter` lists what is plugged in."
_MEANWHILE = "It is tried again; type the figure meanwhile."
_FORMS = "Write it as ASRL/dev/ttyUSB0::INSTR, ASRL3::INSTR (COM3), USB0::…::INSTR or TCPIP::192.168.0.20::INSTR."


def open_meter(resource: str) -> ScpiMeter:
    """The meter at `resource`, a VISA address. Raises MeterError for what stays wrong, LostError for what may come."""
    return ScpiMeter(VisaLine(resource))


def resources() -> tuple[str, ...]:
    """The addresses of what is plugged in and can be found by itself. Raises MeterError without pyvisa."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it tells of interfaces that nobody asked for
        try:
            return tuple(_manager().list_resources("?*"))
        except MeterError:
            raise
        except Exception:  # what cannot be looked through holds nothing that could be listed
            return ()


class VisaLine:
    """One open instrument."""

    def __init__(self, resource: str) -> None:
        """Open it. Raises MeterError or LostError."""
        self._resource = resource
        manager = _manager()
        try:
            self._io: Any = manager.open_resource(resource)
        except Exception as error:
            raise _refusal(resource, error) from None
        if not hasattr(self._io, "query"):
            self.close()
            raise _no_address(resource)
        self._io.read_termination = self._io.write_termination = "\n"
        self.serial = resource.strip().upper().startswith("ASRL")

    def write(self, text: str) -> None:
        """Send one line. Raises LostError."""
        try:
            self._io.write(text)
        except Exception as error:
            raise self._lost(error) from None

    def query(self, text: str, seconds: float) -> str:
        """Send one line and wait for its answer. Raises LostError."""
        try:
            self._io.timeout = 1000 * seconds
            answer = str(self._io.query(text))
        except Exception as error:
            raise self._lost(error) from None
        if not answer.strip():
            raise self._silent()
        return answer

    def close(self) -> None:
        """Let go of it; never raises."""
        with suppress(Exception):
            self._io.close()

    def _lost(self, error: Exception) -> LostError:
        if _code(error) == _TIMEOUT:
            return self._silent()
        return LostError(f"The meter at {self._resource} was lost.", f"Look at plug and supply. {_MEANWHILE}")

    def _silent(self) -> LostError:
        return LostError(
            f"The meter at {self._resource} does not answer.", f"Is it on and set to this interface? {_MEANWHILE}"
        )


def _manager() -> Any:
    try:
        # Loaded here: it is an extra, and nobody without a meter waits for it.
        return import_module("pyvisa").ResourceManager()
    except ImportError:
        raise MeterError("A meter needs pyvisa, which is not installed.", EXTRA) from None
    except Exception as error:
        raise MeterError(f"pyvisa cannot start: {_plain(error)}.", EXTRA) from None


def _code(error: Exception) -> int:
    code = getattr(error, "error_code", 0)
    return int(code) if isinstance(code, int) else 0


def _refusal(resource: str, error: Exception) -> MeterError:
    """What an instrument that cannot be opened means for the person."""
    code = _code(error)
    if code == _NO_NAME or type(error).__name__ == "InvalidResourceName":
        return _no_address(resource)
    if isinstance(error, PermissionError) or "ermission" in str(error):
        return MeterError(f"This user may not open {resource}.", "Let the user into the group that owns the port.")
    if code in (_BUSY, _LOCKED):
        return LostError(f"{resource} is held by another program.", "Close that one.")
    if isinstance(error, (ImportError, ValueError)) and "install" in str(error):
        needs = "USB also needs libusb, GPIB its driver, both from the system's own packages."
        return MeterError(f"{resource} needs a part that is not installed.", f"{EXTRA}; {needs}")
    return LostError(f"There is no meter at {resource}.", f"Look at plug and supply. {LIST} It is tried again.")


def _no_address(resource: str) -> MeterError:
    return MeterError(f"{resource!r} is no address of an instrument.", f"{_FORMS} {LIST}")


def _plain(error: Exception) -> str:
    return " ".join(str(error).split())[:120].rstrip(".")
