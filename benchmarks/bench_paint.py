"""How soon the first step is on the screen, against the first paint of a bare Textual app: both through a pty, in turn.

    python benchmarks/bench_paint.py [ROUNDS]

Unix only (a pty). The store is a new one in a temporary folder.
"""

from __future__ import annotations

import os
import pty
import select
import signal
import statistics
import sys
import tempfile
import time
from pathlib import Path

BARE = """
from textual.app import App, ComposeResult
from textual.widgets import Footer, Input, Static


class Bare(App[None]):
    def compose(self) -> ComposeResult:
        yield Static("PAINTED")
        yield Input()
        yield Footer()


Bare().run()
"""


def until(arguments: list[str], wanted: bytes, environment: dict[str, str]) -> float:
    """Seconds until `wanted` has come out of the program, which is then ended."""
    begun = time.perf_counter()
    child, master = pty.fork()
    if child == 0:
        os.execvpe(arguments[0], arguments, environment)
    seen = b""
    try:
        while wanted not in seen:
            ready, _, _ = select.select([master], [], [], 30)
            if not ready:
                raise TimeoutError(f"{wanted!r} did not come")
            seen += os.read(master, 65536)
        return time.perf_counter() - begun
    finally:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        os.close(master)


def main() -> None:
    """Print the medians and their ratio."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 7
    bare, walk = [], []
    with tempfile.TemporaryDirectory() as folder:
        script = Path(folder) / "bare.py"
        script.write_text(BARE, encoding="utf-8")
        store = f"sqlite:///{folder}/store.db"
        kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
        environment = {
            **kept,
            "PYTHONPYCACHEPREFIX": f"{folder}/bytecode",
            "TERM": "xterm-256color",
            "COLUMNS": "80",
            "LINES": "24",
            "NEXTPROBE_STORE": store,
        }
        command = [sys.executable, "-m", "nextprobe", "walk", "no-picture", "--board", "tansy-12"]
        until(command, b"Outside look", environment)  # the caches of packs and byte code are there from now on
        for _ in range(rounds):
            bare.append(until([sys.executable, str(script)], b"PAINTED", environment))
            walk.append(until(command, b"Outside look", environment))
    low, high = statistics.median(bare), statistics.median(walk)
    print(f"bare app {low:.2f} s, first step {high:.2f} s: {high / low:.2f} times (medians of {rounds})")


if __name__ == "__main__":
    main()
