"""Which bench this process is, and whether the process of another one is still there."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

VARIABLE = "NEXTPROBE_BENCH"
_PROC = Path("/proc")


@dataclass(frozen=True, slots=True)
class Bench:
    """``name`` is what people call it; ``machine`` and ``process`` tell it from every other one."""

    name: str
    machine: str
    process: str


def this_bench(name: str | None = None) -> Bench:
    """The bench of this process; `name`, else $NEXTPROBE_BENCH, stands beside the host's name."""
    host = _host()
    chosen = (name or os.environ.get(VARIABLE, "")).strip()
    shown = f"{chosen} ({host})" if chosen and chosen != host else host
    return Bench(" ".join(shown.split())[:80], _machine(host), _process(os.getpid()))


def is_gone(machine: str, process: str) -> bool:
    """Whether the process is known to be gone; False where that cannot be seen from here."""
    if machine != _machine(_host()) or os.name != "posix":
        return False
    number = process.partition("-")[0]
    if not number.isdigit() or int(number) == 0:
        return False
    try:
        os.kill(int(number), 0)
    except ProcessLookupError:
        return True
    except (OSError, OverflowError):
        return False
    return _process(int(number)) != process or _state(int(number)) == "Z"


def _host() -> str:
    # As socket.gethostname() has it; that module alone would add a tenth to the time in which a store opens.
    named = os.uname().nodename if hasattr(os, "uname") else os.environ.get("COMPUTERNAME", "")
    return named or "this machine"


def _machine(host: str) -> str:
    """The host, its start, and the room its processes are counted in: containers may share a host's name."""
    parts = [host]
    try:
        parts.append((_PROC / "sys/kernel/random/boot_id").read_text(encoding="ascii").strip())
        parts.append(str((_PROC / "self/ns/pid").stat().st_ino))
    except (OSError, ValueError):
        pass
    return "/".join(parts)


def _process(number: int) -> str:
    """The process and when it began: its number alone may belong to another one later."""
    fields = _stat(number)
    return f"{number}-{fields[19]}" if len(fields) > 19 else str(number)


def _state(number: int) -> str:
    fields = _stat(number)
    return fields[0] if fields else ""


def _stat(number: int) -> list[str]:
    # Fields from the third on, behind the name in brackets: state first, start time twentieth (proc(5)).
    try:
        return (_PROC / str(number) / "stat").read_text(encoding="utf-8", errors="replace").rpartition(")")[2].split()
    except OSError:
        return []
