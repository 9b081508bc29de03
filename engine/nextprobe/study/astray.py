"""At which step a failed case went astray: where to look first."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import pairwise
from typing import Any

from nextprobe.walk import Step, Walk
from nextprobe.walk.ask import Taken
from nextprobe.walk.words import leading

#: Asks that are named where something was not asked.
NAMED = 8


class NotingWalk(Walk):
    """A walk that notes the belief before the first step and after each: `noted`, by the steps told then."""

    def __init__(self, *args: Any, **more: Any) -> None:
        self.noted: dict[int, dict[str, float]] = {}
        super().__init__(*args, **more)

    def tell(
        self, id: str, text: str, minutes: float | None = None, took: float | None = None, *, by: str = ""
    ) -> Taken:
        """As `Walk.tell`; the beliefs are kept in `noted`, by the number of steps told then."""
        self.noted.setdefault(len(self.path), self.belief())
        taken = super().tell(id, text, minutes, took, by=by)
        self.noted[len(self.path)] = self.belief()
        return taken


def astray(walk: Walk, expect: Mapping[str, Any], again: Callable[[type[Walk]], Walk]) -> str:
    """One line: the step at which the first wish that fails was lost, and what came instead.

    again: the same case played once more by a walk of the kind given; only asked for where beliefs are wanted.
    """
    told = [(number, step) for number, step in enumerate(walk.path, 1) if not step.skipped]
    if not told:
        return "before the first step"
    if "first" in expect or "cause" in expect:
        return _belief_lost(expect, again(NotingWalk)) or _after(*told[-1])
    if "within_minutes" in expect:
        return _too_long(float(expect["within_minutes"]), walk)
    if "asked" in expect:
        asked = ", ".join(step.ask for _, step in told[:NAMED])
        more = f" and {len(told) - NAMED} more" if len(told) > NAMED else ""
        return f"asked instead: {asked}{more}"
    return _after(*told[-1])


def _after(number: int, step: Step) -> str:
    return f"after step {number}: {step.ask} = {step.told}"


def _belief_lost(expect: Mapping[str, Any], walk: Walk) -> str:
    """The step that moved the belief furthest from what is expected."""
    noted = walk.noted if isinstance(walk, NotingWalk) else {}
    wanted = [expect["first"]] if "first" in expect else _listed(expect["cause"])
    down = "at_most" not in expect
    numbers = sorted(noted)
    worst, at = 1.0, 0
    for before, after in pairwise(numbers):
        was, now = _odds(noted[before], wanted), _odds(noted[after], wanted)
        ratio = was / now if down else now / was
        if ratio > worst * (1 + 1e-9):
            worst, at = ratio, after
    if not at:
        # No step took anything away: what was told is too little.
        return f"no step speaks {'against' if down else 'for'} it; what was told is too little" if noted else ""
    was = sum(noted[max(n for n in numbers if n < at)].get(one, 0.0) for one in wanted)
    now = sum(noted[at].get(one, 0.0) for one in wanted)
    step = walk.path[at - 1]
    first, chance = leading(noted[at])[0]
    return (
        f"step {at}: {step.ask} = {step.told} took {' or '.join(wanted)} from {was:.3f} to {now:.3f}; "
        f"first then: {first} {chance:.3f}"
    )


def _odds(belief: Mapping[str, float], wanted: list[str]) -> float:
    chance = min(max(sum(belief.get(one, 0.0) for one in wanted), 1e-12), 1 - 1e-12)
    return chance / (1 - chance)


def _listed(cause: Any) -> list[str]:
    return [cause] if isinstance(cause, str) else list(cause)


def _too_long(limit: float, walk: Walk) -> str:
    """The step that went over the limit, and the longest one."""
    spent = 0.0
    longest = max(walk.path, key=lambda step: step.minutes)
    for number, step in enumerate(walk.path, 1):
        spent += step.minutes
        if spent > limit:
            return (
                f"step {number}: {step.ask} went over it, at {spent:.1f} minutes; "
                f"the longest was {longest.ask}, {longest.minutes:.1f}"
            )
    return f"the moves to hand it back went over it; the longest step was {longest.ask}, {longest.minutes:.1f}"
