"""A meter read beside everything else: the latest value wins, and leaving never waits for it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from time import monotonic, sleep
from typing import TYPE_CHECKING

from nextprobe.meter.functions import Need, need_of
from nextprobe.meter.meter import LostError, Meter, MeterError
from nextprobe.meter.stable import Settling, half_band
from nextprobe.meter.view import View, steady_text, view_of

if TYPE_CHECKING:
    from nextprobe.walk import Ask, Walk

RETRY = 2.0
"""Seconds before a meter that was lost is looked for again."""

SETTLED = 12.0
"""Seconds that line mode waits for a steady reading."""

STALE = 3.0
"""Seconds after which a reading is no longer what is on the leads now."""

AGAIN = 0.7
"""Seconds within which a second Enter is a foot that slipped."""


@dataclass(slots=True)
class _Want:
    """What is wanted, and what has come of it. One for each step: the thread writes, whoever shows it reads."""

    need: Need
    settling: Settling
    view: View
    at: float = 0.0
    note: str = ""


class LiveMeter:
    """Reads a meter in a thread of its own and hands over what it shows.

    open_: opens the meter; raises MeterError. now: seconds of a clock that never goes back. Nothing is ever told by
    itself: `take` is for the moment somebody presses Enter.
    """

    def __init__(self, open_: Callable[[], Meter], now: Callable[[], float] = monotonic, pause: float = 0.05) -> None:
        self._open, self._now, self._pause = open_, now, pause
        self._want: _Want | None = None
        self._over, self._stirred = threading.Event(), threading.Event()
        self._thread: threading.Thread | None = None
        self._told: float | None = None  # what was told last and is still on the leads
        self._asked_twice = 0.0
        self.name = ""

    def want(self, need: Need | None) -> None:
        """From now on read for this step (None: for none); earlier readings answer it no more."""
        old = self._want
        if old is None or need is None or old.need.function != need.function:
            self._told = None
        self._asked_twice = 0.0
        self._want = None if need is None else _Want(
            need, Settling(need.counts, need.function.digit), View(f"waiting for {need.function.word}")
        )  # fmt: skip
        if need is not None and self._thread is None:
            self._thread = threading.Thread(target=self._run, name="meter", daemon=True)
            self._thread.start()
        self._stirred.set()

    def want_for(self, walk: Walk, ask: Ask) -> None:
        """From now on read for the step `ask` of `walk`."""
        self.want(need_of(walk.pack, ask, walk.situation.lacks))

    @property
    def view(self) -> View | None:
        """What there is to show; None where the step wants no figure of the meter."""
        want = self._want
        if want is None:
            return None
        view = want.view
        if not view.fault and want.at and self._now() - want.at > STALE:
            return View("no reading for some seconds")
        return view

    def take(self) -> str:
        """The steady reading as text to be told: ``1.148 V``. Raises MeterError where there is none, with what to do.

        A reading that was told for the step before and has not moved since is given at the second call only: the leads
        may still be where they were.
        """
        want = self._want
        if want is None:
            raise MeterError("This step wants no figure of the meter.", "Answer by the list.")
        view = self.view or want.view
        if not view.text:
            raise MeterError(f"The meter has no steady reading: {view.say}.", view.cure or "Wait, or type the figure.")
        if self._told is not None:
            now, before = self._now(), self._asked_twice
            self._asked_twice = before or now
            if not before or now - before < AGAIN:
                raise MeterError(
                    f"The meter shows {view.text} as for the step before: move the leads.",
                    "If they are where they belong, press Enter once more.",
                )
        return view.text

    def settled(self, seconds: float = SETTLED) -> str:
        """As `take`, after waiting until there is a steady reading, at most so long. Raises MeterError."""
        until = self._now() + seconds
        while (view := self.view) is not None and not view.text and not view.fault and self._now() < until:
            sleep(0.05)
        return self.take()

    def told(self) -> None:
        """What `take` gave was told: it answers no other step by itself."""
        want = self._want
        if want is not None and want.view.steady is not None:
            self._told = want.view.steady

    def stop(self, patience: float = 0.0) -> None:
        """Read no more; the thread lets go of the meter by itself, and is waited for `patience` seconds at most."""
        self._over.set()
        self._stirred.set()
        if self._thread is not None:
            self._thread.join(patience)

    # -- in the thread -----------------------------------------------------------------------------

    def _run(self) -> None:
        meter: Meter | None = None
        while not self._over.is_set():
            want = self._want
            if want is None:
                self._stirred.wait()
                self._stirred.clear()
                continue
            wait = self._pause
            try:
                if meter is None:
                    meter = self._open()
                    self.name = meter.identify()
                self._one(meter, want)
            except LostError as error:
                if meter is not None:
                    meter.close()
                meter, wait = None, RETRY
                self._fault(want, error)
            except MeterError as error:
                wait = RETRY if meter is None else 10 * self._pause
                self._fault(want, error)
            except Exception as error:  # whatever it is, the keyboard goes on
                wait = RETRY
                self._fault(want, MeterError(f"Reading the meter has failed: {type(error).__name__}: {error}."))
            self._over.wait(wait)
        if meter is not None:
            meter.close()

    def _one(self, meter: Meter, want: _Want) -> None:
        function = want.need.function
        if meter.turn_to(function):
            want.note = f"set to {function.word} for this step"
            want.settling = Settling(want.need.counts, function.digit)
        value = meter.read()
        if not meter.measures(function):
            return  # it was turned by hand meanwhile: nobody knows whose figure that was
        if self._told is not None and not abs(value - self._told) <= 2 * half_band(
            self._told, want.need.counts, function.digit
        ):
            self._told = None
        want.at = self._now()
        steady = want.settling.add(want.at, value)
        want.view = view_of(want.need, value, steady, want.note)

    def _fault(self, want: _Want, error: MeterError) -> None:
        want.settling = Settling(want.need.counts, want.need.function.digit)
        want.view = View(error.message.rstrip("."), error.cure, fault=True)


__all__ = ["LiveMeter", "View", "steady_text"]
