"""The clock beside a step: how long it takes at this bench, to be put right where somebody was called away."""

from __future__ import annotations

from collections.abc import Callable
from time import monotonic

from nextprobe.errors import UnreadableError

#: Minutes in a day: more is a slip of the finger.
DAY = 1440.0


class StepClock:
    """Runs from the moment a step is shown. now: seconds of a clock that never goes back."""

    def __init__(self, now: Callable[[], float] = monotonic) -> None:
        self._now = now
        self._since = now()

    def begin(self) -> None:
        """Another step is shown."""
        self._since = self._now()

    def correct(self, minutes: float) -> None:
        """It has been so many minutes up to now."""
        self._since = self._now() - 60.0 * minutes

    @property
    def minutes(self) -> float:
        """Minutes since the step was shown."""
        return max(0.0, (self._now() - self._since) / 60.0)


def typed_minutes(text: str) -> float:
    """Minutes as typed: "7", "7.5", "7,5", "7 min". Raises UnreadableError."""
    word = text.strip().lower().removesuffix("minutes").removesuffix("min").strip().replace(",", ".")
    try:
        minutes = float(word)
    except ValueError:
        minutes = -1.0
    if not 0.0 <= minutes <= DAY:
        raise UnreadableError(f"{text.strip()!r} is no number of minutes.", "Type it as in `took 7`.")
    return minutes
