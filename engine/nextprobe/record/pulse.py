"""A call again and again in the background, for as long as its owner is there."""

from __future__ import annotations

from collections.abc import Callable
from threading import Event, Thread
from weakref import WeakMethod


class Pulse:
    """Calls a method every so many seconds, once it was started; never keeps the method's owner alive."""

    def __init__(self, call: Callable[[], None], seconds: float) -> None:
        self._call = WeakMethod(call)
        self._seconds = seconds
        self._over: Event | None = None

    def start(self) -> None:
        """Begin; a second start changes nothing."""
        if self._over is None:
            self._over = Event()
            Thread(target=_beat, args=(self._call, self._over, self._seconds), name="store-pulse", daemon=True).start()

    def stop(self) -> None:
        """No further call begins."""
        if self._over is not None:
            self._over.set()
            self._over = None


def _beat(call: WeakMethod[Callable[[], None]], over: Event, seconds: float) -> None:
    while not over.wait(seconds):
        method = call()
        if method is None:
            return
        method()
        del method
