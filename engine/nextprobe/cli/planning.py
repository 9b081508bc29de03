"""While a plan is made: Ctrl-C asks for the best so far, and a terminal shows how it goes."""

from __future__ import annotations

import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from time import monotonic
from types import FrameType

#: Seconds between two looks at the clock.
TICK = 0.25
WIDTH = 79


class Interrupt:
    """Whether Ctrl-C was pressed; a second press ends the program as usual."""

    def __init__(self) -> None:
        self.pressed = False

    def __call__(self) -> bool:
        """What a planner asks now and then."""
        return self.pressed

    def _press(self, number: int, frame: FrameType | None) -> None:
        if self.pressed:
            raise KeyboardInterrupt
        self.pressed = True


@contextmanager
def interruptible() -> Iterator[Interrupt]:
    """While it holds, the first Ctrl-C does not end the program: it is answered by what is given."""
    interrupt = Interrupt()
    if threading.current_thread() is not threading.main_thread():
        yield interrupt  # Ctrl-C is the main thread's
        return
    before = signal.signal(signal.SIGINT, interrupt._press)
    try:
        yield interrupt
    finally:
        signal.signal(signal.SIGINT, before)


class Progress:
    """One line on a terminal, written anew four times a second by a thread of its own; silent elsewhere."""

    def __init__(self, seconds: float | None, clock: Callable[[], float] = monotonic) -> None:
        self._end = None if seconds is None else clock() + seconds
        self._clock = clock
        self._said = ""
        self._over = threading.Event()
        self._thread: threading.Thread | None = None

    def ends(self, upper: float, lower: float) -> None:
        """The expected minutes of the best plan so far, and what no plan can go below."""
        self._said = f"best so far {upper:.1f} min, no plan below {lower:.1f} min"

    def jobs(self, count: int, left: float) -> None:
        """How many jobs are simulated, and the seconds left."""
        self._said = f"{count} simulated jobs"
        self._end = self._clock() + left

    def say(self, text: str) -> None:
        """How it goes, in words."""
        self._said = text

    def line(self) -> str:
        """What is shown now."""
        parts = [self._said or "planning"]
        if self._end is not None:
            parts.insert(0, f"{max(0.0, self._end - self._clock()):.0f} s left")
        return f"{': '.join(parts)} (Ctrl-C: stop here)"[:WIDTH]

    def __enter__(self) -> Progress:
        if sys.stderr is not None and sys.stderr.isatty():
            self._thread = threading.Thread(target=self._show, daemon=True)
            self._thread.start()
        return self

    def __exit__(self, *exc: object) -> None:
        self._over.set()
        if self._thread is not None:
            self._thread.join()
            print(" " * WIDTH, file=sys.stderr, end="\r", flush=True)

    def _show(self) -> None:
        while not self._over.wait(TICK):
            print(f"{self.line():<{WIDTH}}", file=sys.stderr, end="\r", flush=True)
