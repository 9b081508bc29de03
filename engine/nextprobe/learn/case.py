"""One job as the numbers of a pack see it: what was told of the machine, and what the steps took."""

from __future__ import annotations

from dataclasses import dataclass

from nextprobe.walk.state import Evidence


@dataclass(frozen=True, slots=True)
class Timing:
    """One step by the clock: what was asked, minutes of its moves by the pack, minutes that it took with them."""

    ask: str
    moves: float
    took: float


@dataclass(frozen=True, slots=True)
class GoodReading:
    """A figure, in its base unit, read on a board that was proven good on the same job; after: behind the repair.

    One read before it is of a good board only where what was wrong has no bearing on it: see bands.py.
    """

    measurement: str
    value: float
    after: bool = True


@dataclass(frozen=True, slots=True)
class Case:
    """One ended job.

    options: all that are known of the machine. evidence: readings, what the owner told, results of repairs; only what
    the pack that learns still knows. dropped: how much it does not know any more. day: ISO 8601, when the job was
    opened. board: the sheet's id, "" for none. proven: a repair made the symptom go.
    """

    job: str
    symptom: str
    options: tuple[tuple[str, str], ...]
    evidence: tuple[Evidence, ...]
    ending: str = "repaired"
    day: str = ""
    board: str = ""
    timings: tuple[Timing, ...] = ()
    good: tuple[GoodReading, ...] = ()
    dropped: int = 0

    @property
    def proven(self) -> bool:
        """Whether a repair made the symptom go and the job ended so."""
        return self.ending == "repaired" and any(one.kind == "repair" and one.told == "gone" for one in self.evidence)
