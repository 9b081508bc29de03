"""How much each doubtful number of a pack matters: which one to go and measure.

A number with a doubt of 2 may be twice or half of what is written. For each: what the plan as it is would then cost a
job more or less, exactly; for those that move it most, what a plan made for the other number would save, and whether
its first steps would be others. A number may move the minutes much and no step: then the figure is wrong, not the plan.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest
from time import monotonic
from typing import Any

from nextprobe.pack.numbers import Number, numbers
from nextprobe.study.doubts_anew import lost_by
from nextprobe.study.doubts_changes import UNREAD
from nextprobe.study.doubts_same import Machine, Same
from nextprobe.study.doubts_written import written
from nextprobe.study.figures import PolicyFigures
from nextprobe.study.spread import cores
from nextprobe.study.subject import Subject

#: For so many numbers plans are made anew, those that move the minutes most.
PLANNED = 8
#: A plan made for another number must save so many minutes to be worth a word.
SAVES = 0.05
#: So many numbers are asked about between two words of progress.
STRIDE = 64
#: So many are listed, in lines of this width.
LISTED, WIDTH = 20, 80


@dataclass(frozen=True)
class Doubt:
    """A number, and the minutes that a job takes more if it is really `number.doubt` times, or one part in that, of
    what is written: times, over; the plan stays as it is.

    lost: minutes that the best plan known for such a number saves against the best known for what is written, the worse
    of the two ways; None where no plan was made. now, steps: the first steps of the plan for what is written and of the
    other, where they differ; else empty.
    """

    number: Number
    times: float
    over: float
    lost: float | None = None
    now: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()

    @property
    def moves(self) -> float:
        """Minutes by which the number moves a job at most."""
        return max(abs(self.times), abs(self.over))

    def as_dict(self) -> dict[str, Any]:
        """Plain data for a program."""
        found = self.number.as_dict()
        found |= {"minutes_times": self.times, "minutes_over": self.over, "moves": self.moves}
        return found | {"lost_minutes": self.lost, "first_steps": list(self.now), "other_steps": list(self.steps)}


def doubts(
    subject: Subject,
    figures: PolicyFigures,
    *,
    lacks: Collection[str] = (),
    seconds: float = 60.0,
    workers: int | None = None,
    cancel: Callable[[], bool] = lambda: False,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[Doubt, ...]:
    """Every doubtful number that a plan reads, those that move a job's minutes most first.

    figures: of the policy of `subject`. What a shop sets for itself (`economics`) is not in doubt here. seconds: after
    which no more plans are made anew. workers: processes for these. cancel: asked now and then; True ends it with
    what there is, nothing where not all minutes are told. progress: told how many are done, and of how many.
    """
    begun = monotonic()
    say = progress or (lambda done, of: None)
    asked = [one for one in numbers(subject.pack) if one.doubt > 1 and one.kind not in {*UNREAD, "economics"}]
    whole = len(asked) + PLANNED
    machine = Machine(subject.pack, subject.symptom, lacks)
    same = Same(machine, written(figures.lean, figures.root), cancel)
    both = [(one, factor) for one in asked for factor in (one.doubt, 1.0 / one.doubt)]

    def counted(done: int) -> None:
        if done % STRIDE == 0:
            say(done // 2, whole)

    moved = same.all(both, counted)
    if moved is None:
        return ()
    found = [Doubt(one, moved[2 * n], moved[2 * n + 1]) for n, one in enumerate(asked)]
    found.sort(key=lambda one: -one.moves)
    say(len(asked), whole)
    if not cancel():
        _plan_anew(found, machine, workers, lambda: cancel() or monotonic() - begun > seconds)
    say(whole, whole)
    return tuple(found)


def _plan_anew(found: list[Doubt], machine: Machine, workers: int | None, over: Callable[[], bool]) -> None:
    """Plan with the numbers that move most as they may be."""
    first = found[:PLANNED]
    items = [(one.number, factor) for one in first for factor in (one.number.doubt, 1.0 / one.number.doubt)]
    told = lost_by(machine, items, cores() if workers is None else workers, over)
    for place, one in enumerate(first):
        both = [lost for lost in told[2 * place : 2 * place + 2] if lost is not None]
        if both:
            worst = max(both, key=lambda lost: lost.minutes)
            others = worst.steps != worst.now
            now, steps = (worst.now, worst.steps) if others else ((), ())
            found[place] = replace(one, lost=worst.minutes, now=now, steps=steps)


def lines(found: Sequence[Doubt], title: Callable[[str], str] = str) -> list[str]:
    """The doubts in words, at most WIDTH columns. title: what an id is called."""
    from textwrap import wrap

    if not found:
        return ["WHICH NUMBER TO MEASURE: no number of this pack states a doubt that a plan reads."]
    said = [
        f"WHICH NUMBER TO MEASURE, of {len(found)} doubtful ones: the minutes that a job takes",
        "more (+) or less (-) if the number is really its doubt times what is written, or",
        "so divided, the plan as it is; and what is saved by the best plan known for the",
        "right number against the best known for what is written (- : not planned)",
        f"{'times':>8} {'divided':>8} {'saves':>6}  number",
    ]
    for one in found[:LISTED]:
        saves = "-" if one.lost is None else f"{one.lost:.1f}" if one.lost >= SAVES else "0"
        head = f"{one.times:>+8.1f} {one.over:>+8.1f} {saves:>6}  "
        number = one.number
        place = f" ({number.file.rpartition('/')[2]}:{number.line})" if number.line else ""
        text = f"{number.shown} {number.value}, doubt {number.doubt:g}{place}"
        indent = " " * len(head)
        said += wrap(text, WIDTH, initial_indent=head, subsequent_indent=indent, break_on_hyphens=False)
        if one.lost is not None and one.lost >= SAVES:
            said += wrap(_other(one, title), WIDTH, initial_indent=indent, subsequent_indent=indent + "  ")
    rest = len(found) - LISTED
    if rest > 0:
        said.append(f"  The other {rest} move a job by at most {found[LISTED].moves:.1f} minutes each.")
    return said


def _other(one: Doubt, title: Callable[[str], str]) -> str:
    """The first step in which the plan made for the right number is another; "" where none of the first is."""
    for step, (now, then) in enumerate(zip_longest(one.now, one.steps), 1):
        if now != then:
            instead = f", not: {title(now)}" if now is not None else ""
            return f"then step {step} is: {title(then) if then is not None else 'the end'}{instead}"
    return ""


def as_json(found: Sequence[Doubt]) -> list[dict[str, Any]]:
    """The doubts for a program, in the same order."""
    return [one.as_dict() for one in found]
