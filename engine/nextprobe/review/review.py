"""What a review says: values only. How they come about is in ``judge``, how they look in ``lines`` and ``page``."""

from __future__ import annotations

from dataclasses import dataclass

#: The words of a verdict; COST stands before its minutes.
PAID, COST, CLOSE, TAKEN_BACK, SKIPPED = "paid", "cost", "too close to say", "taken back", "left out"
UNPRICED = "no time to price it"
#: Minutes below this are nothing.
HARDLY = 0.05


@dataclass(frozen=True, slots=True)
class Note:
    """What a trainer wrote beside a step, when (ISO 8601, UTC), and under which role the name is kept."""

    text: str
    at: str
    by: str


@dataclass(frozen=True, slots=True)
class StepReview:
    """One step beside what the engine would have asked.

    number: from 1; seq: of its event. asked: what the engine asked or would have asked, "" for nothing. All figures in
    minutes: difference is the expected minutes of the step and all that follows, less those of the best one (below 0:
    better than what was asked); doubt: what that may be off; expected and best: the two figures, 0 where none was
    planned. turned: how much more the rest was expected to take after the outcome than before it; None where nothing
    could be expected. minutes and wait by the pack, took by the clock. solved: priced to the end, with no doubt.
    flags: what else is to be said of the step, in words.
    """

    number: int
    seq: int
    at: str
    pack: str
    ask: str
    kind: str
    title: str
    say: str
    asked: str
    asked_title: str
    difference: float
    doubt: float
    expected: float
    best: float
    solved: bool
    turned: float | None
    minutes: float
    wait: float
    took: float | None
    skipped: bool = False
    taken_back: bool = False
    priced: bool = True
    flags: tuple[str, ...] = ()
    notes: tuple[Note, ...] = ()

    @property
    def as_asked(self) -> bool:
        """Whether the step is the one that was asked."""
        return self.ask == self.asked

    @property
    def counts(self) -> bool:
        """Whether its minutes are judged: what was taken back is not."""
        return not self.taken_back

    @property
    def regret(self) -> float:
        """The minutes that the step cost more than the best one; never below 0."""
        return max(0.0, self.difference) if self.counts else 0.0

    @property
    def close(self) -> bool:
        """Whether the planner is too much in doubt to tell the two apart."""
        return abs(self.difference) < self.doubt

    @property
    def verdict(self) -> str:
        """In words: paid, cost so many minutes, too close to say; taken back; left out."""
        if self.taken_back:
            return TAKEN_BACK
        if not self.priced:
            return UNPRICED
        if self.close:
            return CLOSE
        if self.regret < HARDLY:
            return SKIPPED if self.skipped else PAID
        return f"{COST} {minutes_words(self.regret)}"


@dataclass(frozen=True, slots=True)
class Clash:
    """Readings that fought: at which step it showed, the reading that is likeliest wrong, and how likely (0..1).

    bits: the conflict of all readings by then. again: the number of the step that took the reading again, 0 for none.
    """

    number: int
    reading: str
    title: str
    bits: float
    wrong: float
    again: int = 0


@dataclass(frozen=True)
class Review:
    """A job's review. packs: titles; ending: its word, "" while open; left: steps that there was no time to price.

    gap: the most minutes by which the plan itself may be dearer than the best possible, at any step.
    broken: what is wrong with the record; empty when it is sound. people: role and name.
    """

    job: str
    opened: str
    packs: tuple[str, ...]
    pack_ids: tuple[str, ...]
    machine: str
    symptom: str
    ending: str
    why: str
    people: tuple[tuple[str, str], ...]
    steps: tuple[StepReview, ...]
    clashes: tuple[Clash, ...]
    gap: float
    left: int = 0
    broken: tuple[str, ...] = ()
    notes: tuple[Note, ...] = ()

    @property
    def costly(self) -> tuple[StepReview, ...]:
        """The steps that cost more than the best one, the dearest first."""
        found = [one for one in self.steps if one.verdict.startswith(COST)]
        return tuple(sorted(found, key=lambda one: -one.regret))

    @property
    def regret(self) -> float:
        """Minutes lost by steps of which it can be said."""
        return sum(one.regret for one in self.costly)

    @property
    def doubt(self) -> float:
        """What `regret` may be off at most, by the same steps."""
        return sum(one.doubt for one in self.costly)

    @property
    def turned(self) -> float:
        """Minutes by which the job turned out worse than could be expected; below 0: better."""
        return sum(one.turned for one in self.steps if one.turned is not None and one.counts)

    @property
    def clocked(self) -> tuple[StepReview, ...]:
        """The steps beside which a clock ran."""
        return tuple(one for one in self.steps if one.took is not None and one.counts)


def minutes_words(value: float) -> str:
    """Minutes as a person says them: 0.4, 1, 14, 2 h 05."""
    if value >= 119.5:
        hours, left = divmod(round(value), 60)
        return f"{hours} h {left:02d} min"
    shown = f"{value:.1f}".removesuffix(".0") if value < 9.95 else f"{value:.0f}"
    return f"{shown} minute" if shown == "1" else f"{shown} minutes"
