"""Planning ahead while a step is done: what will be asked after each of its answers, and a deeper plan for it.

It works on a copy of the walk with a planner of its own, so that the walk may be told at any moment. What it finds is
handed over as beliefs and decisions, by the state that they are for; an answer not foreseen is planned as ever.
"""

from __future__ import annotations

from collections.abc import Callable
from threading import Lock
from time import monotonic
from typing import TYPE_CHECKING

from nextprobe.errors import ToldError
from nextprobe.walk.decide import Decider

if TYPE_CHECKING:
    from nextprobe.walk.walk import Walk

#: Seconds after which what was thought by then is made ready for every answer; each time the plan is deeper.
ROUNDS = (2.0, 6.0, 20.0)


class Beside:
    """The planner that all foresight of one walk shares, one thread at a time."""

    def __init__(self, walk: Walk) -> None:
        self.lock = Lock()
        self.decider = Decider(walk.pack, walk.situation.symptom, foreseen=walk.decider.foreseen, foresees=True)


class Foresight:
    """Thinks ahead from the step that `walk` asks now. Made where the walk is told; `run` wherever there is time."""

    def __init__(self, walk: Walk, beside: Beside) -> None:
        self._beside = beside
        self._here = walk.forked(beside.decider)

    def run(self, cancel: Callable[[], bool], seconds: float = ROUNDS[-1]) -> int:
        """Think until `cancel` says so or `seconds` are over; how often every answer was made ready."""
        with self._beside.lock:
            begun, ready = monotonic(), 0
            if cancel():
                return 0
            self._here.ask()
            ready += self._prepare(cancel)
            for until in ROUNDS:
                left = min(until, seconds) - (monotonic() - begun)
                if left <= 0 or cancel() or self._here.think(left, cancel) is None:
                    continue
                ready += self._prepare(cancel)
            return ready

    def _prepare(self, cancel: Callable[[], bool]) -> int:
        """Ask after every answer; 1 where none was left out."""
        ask = self._here.ask()
        planning = self._beside.decider.planning
        at_hand = planning.mark()
        for choice in ask.choices:
            if cancel():
                return 0
            planning.back_to(at_hand)
            after = self._here.forked(self._beside.decider)
            try:
                after.tell(ask.id, choice.id)
            except ToldError:
                continue
            after.ask()
        planning.back_to(at_hand)
        return 1
