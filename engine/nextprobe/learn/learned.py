"""What was learnt: each number as before, after, and how sure; and of which jobs it was learnt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import exp
from typing import Any

from nextprobe.learn.bands import GoodBand
from nextprobe.pack.marks import Path, shown_path

#: A number that may be wrong by more than this factor is known as little as one that may be wrong by this.
MOST_DOUBT = 10.0


@dataclass(frozen=True, slots=True)
class Change:
    """One number of the pack. kind: weight, unlisted, fixes, misread or minutes; path: where it stands in the pack.

    low, high: hold it with the chance `sure` of Learned. seen: jobs of a cause, trials of a repair, readings, or
    timings that bear on it, as expected where no repair proved them.
    """

    kind: str
    path: Path
    title: str
    before: float
    after: float
    low: float
    high: float
    seen: float

    @property
    def clear(self) -> bool:
        """Whether the records rule the pack's number out: it lies outside of the interval."""
        return not self.low <= self.before <= self.high

    @property
    def doubt(self) -> float:
        """The factor by which the number may be wrong, 1 to MOST_DOUBT: the farther end of the interval."""
        floor = 1e-9
        far = max(self.high / max(self.after, floor), self.after / max(self.low, floor))
        return min(max(1.0, far), MOST_DOUBT)

    def as_dict(self) -> dict[str, Any]:
        """Plain data for a program."""
        return {
            "kind": self.kind, "path": shown_path(self.path), "title": self.title, "before": self.before,
            "after": self.after, "low": self.low, "high": self.high, "seen": self.seen, "clear": self.clear,
        }  # fmt: skip


@dataclass(frozen=True)
class Learned:
    """All of it. jobs: used; proven: of those a repair proved; open: those that no repair proved, by how they ended.

    since, until: days of the first and the last job, ISO 8601. left_out: jobs that were not used, by reason. older:
    jobs of another version of the pack; dropped: readings of theirs that the pack does not know any more. worth: jobs
    that the pack's numbers count for; trusted: of those, what its weights count for, fewer where the records contradict
    them. rounds: of expectation and maximisation. scatter: of minutes, as the standard
    deviation of the logarithm. left_running, mostly_moves: timings that were not used.
    """

    pack: str
    version: str
    worth: float
    trusted: float
    sure: float
    jobs: int
    proven: int
    open: Mapping[str, int]
    since: str
    until: str
    left_out: Mapping[str, int]
    older: int
    dropped: int
    changes: tuple[Change, ...]
    bands: tuple[GoodBand, ...]
    rounds: int
    likelihood: tuple[float, ...]
    scatter: float
    left_running: int
    mostly_moves: int
    two_faults: bool

    @property
    def minutes_told(self) -> str:
        """A sentence on the timings, "" where there were none."""
        timed = bool(self.of_kind("minutes")) or self.left_running or self.mostly_moves
        if not timed:
            return ""
        said = f"A step scatters by a factor of {exp(self.scatter):.1f} from job to job." if self.scatter else ""
        if self.left_running:
            said += f" Not used: {self.left_running} timings ten times off, where the clock was left running."
        if self.mostly_moves:
            said += f" Not used: {self.mostly_moves} timings with longer moves than the step itself."
        return said.strip()

    def of_kind(self, kind: str) -> list[Change]:
        """The changes of one kind, in the order of the pack."""
        return [one for one in self.changes if one.kind == kind]

    def as_dict(self) -> dict[str, Any]:
        """Plain data for a program."""
        return {
            "pack": self.pack, "version": self.version, "worth": self.worth,
            "worth_of_weights": self.trusted, "sure": self.sure, "jobs": self.jobs,
            "proven": self.proven, "not_proven": dict(self.open), "from": self.since, "to": self.until,
            "left_out": dict(self.left_out), "older_version": self.older, "dropped_readings": self.dropped,
            "rounds": self.rounds, "numbers": [one.as_dict() for one in self.changes],
            "minutes": {"scatter": self.scatter, "left_running": self.left_running, "mostly_moves": self.mostly_moves},
            "bands": [
                {
                    "board": one.board, "measurement": one.measurement, "quantity": one.quantity,
                    "before": one.before, "middle": one.middle, "low": one.low, "high": one.high, "boards": one.boards,
                }
                for one in self.bands
            ],
        }  # fmt: skip
