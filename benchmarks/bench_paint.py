"""How soon the first step is on the screen, against the first paint of a bare Textual app: all through a pty, in turn.

    python benchmarks/bench_paint.py [ROUNDS]

A walk newly begun, with and without a board sheet, and one taken up again at a step that was planned. Each round has
a ratio of its own, so that a machine that others use too slows both sides of it. Unix only (a pty). The store, the
cache of packs and the byte code are new ones in a temporary folder, and warm.
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

from nextprobe.job import start_job
from nextprobe.pack.load import load_pack
from nextprobe.record.store import open_store

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

PACKS, BOARD = ("no-picture", "no-reaction"), "tansy-12"
FIRST = "Outside look"

Case = tuple[list[str], str]
"""A command line, and the words on the screen that say that its first step is there."""


def until(case: Case, environment: dict[str, str]) -> tuple[float, float]:
    """Seconds until the words of `case` have come out of the program, which is then ended: by the clock, of the CPU."""
    (arguments, wanted), begun = case, time.perf_counter()
    child, master = pty.fork()
    if child == 0:
        os.execvpe(arguments[0], arguments, environment)
    seen = b""
    try:
        while wanted.encode() not in seen:
            ready, _, _ = select.select([master], [], [], 30)
            if not ready:
                raise TimeoutError(f"{wanted!r} did not come")
            seen += os.read(master, 65536)
        took = time.perf_counter() - begun
    finally:
        os.kill(child, signal.SIGKILL)
        used = os.wait4(child, 0)[2]
        os.close(master)
    return took, used.ru_utime + used.ru_stime


def planned_job(store: str, ref: str) -> Case:
    """A job left at the first step that is planned, to be taken up."""
    with open_store(store) as held:
        opened = start_job(held, load_pack(ref, BOARD))
        walk = opened.walk
        while not walk.ask().ranking:
            walk.tell(walk.ask().id, walk.ask().choices[0].id)
        opened.let_go()
    # As much of the title as stands on one line of a narrow screen.
    return walking("--job", opened.job.id, wanted=walk.ask().title[:24])


def walking(*arguments: str, wanted: str = FIRST) -> Case:
    """A walk on the screens."""
    return [sys.executable, "-m", "nextprobe", "walk", *arguments], wanted


def main() -> None:
    """Print the medians, and the median ratio to the bare app in the same round."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 7
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
            "NEXTPROBE_CACHE": f"{folder}/cache",
        }
        cases: dict[str, Case] = {"bare app": ([sys.executable, str(script)], "PAINTED")}
        for ref in PACKS:
            cases[ref] = walking(ref)
            cases[f"{ref}, {BOARD}"] = walking(ref, "--board", BOARD)
            cases[f"{ref}, taken up"] = planned_job(store, ref)
        for case in cases.values():
            until(case, environment)  # the caches of packs and byte code are there from now on
        found = [{name: until(case, environment) for name, case in cases.items()} for _ in range(rounds)]
    for name in cases:
        took, used = (statistics.median(one[name][which] for one in found) for which in (0, 1))
        by_clock, of_cpu = (
            statistics.median(one[name][which] / one["bare app"][which] for one in found) for which in (0, 1)
        )
        print(f"{name:24} {took:.2f} s: {by_clock:.2f} times; of the CPU {used:.2f} s: {of_cpu:.2f} times")
    print(f"(medians of {rounds})")


if __name__ == "__main__":
    main()
