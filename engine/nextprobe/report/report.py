"""What a report says: values only. How they come about is in ``make``, how they look in ``lines`` and ``page``."""

from __future__ import annotations

from dataclasses import dataclass

from nextprobe.pack.pack import BoardSheet
from nextprobe.report.conformity import Conformity


@dataclass(frozen=True, slots=True)
class Measured:
    """One figure.

    point: its number in the sketch, 0 where it has none; at: that place on the board, in millimetres. shown: the
    figure with its unit; expanded: its U, "" where the meter's accuracy is not known. meter: the instrument; accuracy:
    in words. conformity: None where the pack states no limits for a healthy machine here, and why_none says so.
    behind: the repair that it was taken behind, "" before any.
    """

    point: int
    title: str
    where: str
    shown: str
    expanded: str
    meter: str
    accuracy: str
    conformity: Conformity | None
    why_none: str
    behind: str
    at: tuple[float, float] | None
    say: str


@dataclass(frozen=True, slots=True)
class Looked:
    """Something seen, tried, asked of the owner, checked or skipped: what, and what was told of it."""

    title: str
    say: str
    behind: str = ""


@dataclass(frozen=True, slots=True)
class Done:
    """A repair: what came of it (in words), the steps that were ticked off, and all there are."""

    title: str
    result: str
    ticked: tuple[str, ...] = ()
    steps: int = 0


@dataclass(frozen=True, slots=True)
class Times:
    """Minutes: hands_on and wait by the pack's reckoning, clock by the clock over `clocked` of `steps` steps."""

    hands_on: float
    wait: float
    clock: float
    clocked: int
    steps: int


@dataclass(frozen=True)
class Report:
    """Everything the report of a job says, in its order.

    ending: its word, "" while the job is open. cause: in words, with `odds`; "" for none. broken: what is wrong with
    the record; empty when it is sound. sketch: the board to draw, with the points of `measured`.
    """

    job: str
    opened: str
    ended: str
    packs: tuple[str, ...]
    machine: str
    symptom: str
    people: tuple[tuple[str, str], ...]
    options: tuple[Looked, ...]
    history: tuple[Looked, ...]
    ending: str
    why: str
    cause: str
    odds: str
    looked: tuple[Looked, ...]
    measured: tuple[Measured, ...]
    done: tuple[Done, ...]
    proven: tuple[str, ...]
    not_proved: tuple[str, ...]
    skipped: tuple[Looked, ...]
    remarks: tuple[str, ...]
    notes: tuple[str, ...]
    temporary: tuple[str, ...]
    times: Times
    parts: float
    currency: str
    events: int
    head: str
    broken: tuple[str, ...] = ()
    sketch: BoardSheet | None = None

    @property
    def points(self) -> list[tuple[str, tuple[float, float]]]:
        """The points of the sketch in the order of their numbers: what was measured there, and where."""
        found = {one.point: (one.title, one.at) for one in self.measured if one.at is not None and one.point}
        return [found[number] for number in sorted(found)]
