"""What a walk shows a person: the ask, what was taken from an answer, the ending. Values, no rules."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from nextprobe.pack.pack import Hazard, Remark


@dataclass(frozen=True, slots=True)
class MoveStep:
    """One move to make before the step: what to do, minutes, cautions, and the bench after it."""

    id: str
    do: str
    minutes: float
    hazards: tuple[Hazard, ...]
    bench: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing that can be told: its id, what it says, and its band in words where it has one."""

    id: str
    say: str
    band: str = ""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A step that might be next. `minutes`: expected to the end of the job; `more`: above the best one."""

    kind: str
    id: str
    title: str
    minutes: float
    more: float


@dataclass(frozen=True, slots=True)
class Lead:
    """Where one outcome of a step would lead: its id and words, its chance, and the step that would follow.

    kind refer: a quote, as also where such a reading stops the work. likeliest, sure: the id of the cause that would be
    likeliest then, and how likely. ruled_out: the causes that would fall below 1 in 100, the likeliest now first. Both
    with one fault at a time; empty for a repair.
    """

    outcome: str
    say: str
    chance: float
    kind: str
    id: str
    title: str
    likeliest: str = ""
    sure: float = 0.0
    ruled_out: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Ask:
    """The one step to do next.

    kind: option, history, measure, check, repair, refer or done. minutes: moves and hands-on; wait:
    unattended; money: parts, in the pack's currency. choices: what may be told beside a figure.
    quantity: "" where no figure is wanted, and unit is its base unit. normal: the band of a healthy
    reading in words; good_board: what a good board of this kind read. steps: to tick off; ticked: the numbers of
    those that are done, from 1. look_for: remarks
    that can be seen now for the first time. notices: cautions that a reading left behind, shown first.
    most_likely: one plain sentence. skill: what lacks, where that is why the job is handed over. retake: the
    id of a told reading that is worth taking again, "" if none. expected: minutes to the end of the job by the plan,
    and at_least: what no plan goes below; both 0 where nothing was planned. leads: where each outcome of `id` would
    lead, the likeliest first; for a step that only leads to the planned one, of that.
    ending: set when kind is done.
    """

    kind: str
    id: str
    title: str
    how: str = ""
    where: str = ""
    at: tuple[float, float] | None = None
    tools: str = ""
    moves: tuple[MoveStep, ...] = ()
    hazards: tuple[Hazard, ...] = ()
    minutes: float = 0.0
    wait: float = 0.0
    money: float = 0.0
    choices: tuple[Choice, ...] = ()
    quantity: str = ""
    unit: str = ""
    normal: str = ""
    good_board: str = ""
    steps: tuple[str, ...] = ()
    ticked: frozenset[int] = frozenset()
    why: str = ""
    ranking: tuple[Candidate, ...] = ()
    expected: float = 0.0
    at_least: float = 0.0
    leads: tuple[Lead, ...] = ()
    most_likely: str = ""
    look_for: tuple[Remark, ...] = ()
    notices: tuple[str, ...] = ()
    retake: str = ""
    retake_why: str = ""
    skill: str = ""
    bench: Mapping[str, str] = field(default_factory=dict)
    ending: Ending | None = None

    @property
    def at_sight(self) -> Ask:
        """What of it can be said before anything is weighed."""
        return replace(
            self, why="", ranking=(), expected=0.0, at_least=0.0, leads=(), most_likely="", retake="", retake_why="",
            skill="",
        )  # fmt: skip

    @property
    def next_step(self) -> int:
        """The number of the first step that is not ticked off; 0 where there is none."""
        return next((n for n in range(1, len(self.steps) + 1) if n not in self.ticked), 0)


@dataclass(frozen=True, slots=True)
class Taken:
    """How an answer was understood, before or after it counts.

    outcomes: weight of each outcome (one of 1 for a plain answer). say: in words, as "1.148 V: normal,
    inside the limit by less than the meter can tell".
    """

    id: str
    kind: str
    told: str
    outcomes: Mapping[str, float]
    say: str
    value: float | None = None

    @property
    def outcome(self) -> str:
        """The outcome with the most weight."""
        return max(self.outcomes, key=lambda outcome: self.outcomes[outcome]) if self.outcomes else self.told


@dataclass(frozen=True, slots=True)
class Step:
    """One line of the path: what was asked, what was told, minutes with moves, the bench after it.

    took: minutes by the clock, where one ran.
    """

    ask: str
    kind: str
    title: str
    told: str
    say: str
    minutes: float
    wait: float
    money: float
    bench: Mapping[str, str]
    skipped: bool = False
    took: float | None = None


@dataclass(frozen=True, slots=True)
class Ending:
    """How a walk ended.

    what: repaired, referred, handed_over, stopped, found, unknown or left. cause: the id that is held
    for it, "" if none; sure: its probability. proven: the readings that prove the repair; not_proved:
    the checks that were skipped. moves: the way to hand back. minutes: hands-on with moves; wait and money
    apart. remarks: for the owner. ruled_out: causes that are no longer believed.
    """

    what: str
    why: str
    cause: str = ""
    sure: float = 0.0
    repair: str = ""
    skill: str = ""
    proven: tuple[str, ...] = ()
    not_proved: tuple[str, ...] = ()
    moves: tuple[MoveStep, ...] = ()
    minutes: float = 0.0
    wait: float = 0.0
    money: float = 0.0
    remarks: tuple[str, ...] = ()
    ruled_out: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
