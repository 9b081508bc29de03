"""What is lost by planning with a wrong number: the best plan known for what is written, told with what may be.

No plan of a large pack is the best there is, and two plans made alike differ by chance by more than many a number
matters. So a plan is made for each number that may be, all equally quick, and each is told with each number: what is
lost is the difference between the plan that is best with the numbers as written and the one that is best with the
other number.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np

from nextprobe.model.compile import Compiled
from nextprobe.model.merge import merged
from nextprobe.model.model import Model
from nextprobe.pack.numbers import Number
from nextprobe.plan.deepen import Deepening
from nextprobe.plan.exact import can_solve
from nextprobe.plan.grown import Node
from nextprobe.study.doubts_changes import changed
from nextprobe.study.doubts_rows import CURED, MEASURE, QUOTE, STOPPED, TRY
from nextprobe.study.doubts_same import Machine, Same
from nextprobe.study.doubts_written import Written, written
from nextprobe.study.figures import plan_of
from nextprobe.study.spread import spread

#: Places at which the plans are deep enough to compare: a second each on the bundled packs.
PLACES = 6_000
#: So many steps of the likeliest path are compared.
STEPS = 5
#: A plan is better than another by more than rounding.
BETTER = 1e-9


class Row(NamedTuple):
    """One plan: its minutes with the numbers as written, with each number that may be, and its first steps."""

    written: float
    may_be: tuple[float, ...]
    steps: tuple[str, ...]


class Lost(NamedTuple):
    """Minutes lost, the first steps of the plan for what is written, those of the plan for what may be."""

    minutes: float
    now: tuple[str, ...]
    steps: tuple[str, ...]


def planned(model: Model) -> tuple[Node, Model]:
    """A plan that is quick to make, and the model it is for, whose like hypotheses are one."""
    lean, _ = merged(model)
    if lean.identify or can_solve(lean):
        return plan_of(lean).root, lean
    policy = Deepening(lean)
    policy.run(lambda _: policy.size >= PLACES)
    return policy.policy(), lean


def first_steps(policy: Written, visits: Sequence[float], compiled: Compiled) -> tuple[str, ...]:
    """The ids of the first steps of the likeliest path: after each step the likeliest that goes on. visits: of rows."""
    steps: list[str] = []
    share, row = np.asarray(visits), 0
    while len(steps) < STEPS:
        kind, index = int(policy.kind[row]), int(policy.index[row])
        if kind == MEASURE:
            steps.append(compiled.measurements[index])
        elif kind == TRY:
            steps.append(compiled.repairs[index])
        else:
            steps += ["refer"] if kind == QUOTE else []
            break
        below = 1 + np.nonzero(policy.parent[1:] == row)[0]
        below = below[~np.isin(policy.kind[below], (CURED, STOPPED))]
        if not len(below):
            break
        row = int(below[share[below].argmax()])
    return tuple(steps)


@dataclass
class _Anew:
    """Plans anew, for the numbers as written or for one that may be; sent to each process that helps."""

    machine: tuple[Any, str, tuple[str, ...]]
    asked: tuple[tuple[Number, float], ...]
    _built: list[Machine] = field(default_factory=list)

    def __call__(self, which: int) -> Row | None:
        """which: of `asked`, -1 for the numbers as written. None where no plan reads that number."""
        if not self._built:
            self._built.append(Machine(*self.machine))
        machine = self._built[0]
        pack = machine.pack if which < 0 else changed(machine.pack, *self.asked[which])
        if pack is None:
            return None
        root, lean = planned(machine.compile(pack).model)
        policy = written(lean, root)
        same = Same(machine, policy)
        moved = same.all(self.asked)
        if moved is None or same.told is None:
            return None
        steps = first_steps(policy, same.told.visits.tolist(), machine.compiled)
        return Row(same.minutes, tuple(same.minutes + one for one in moved), steps)

    def __getstate__(self) -> Mapping[str, Any]:
        return {"machine": self.machine, "asked": self.asked, "_built": []}


def lost_by(
    machine: Machine, asked: Sequence[tuple[Number, float]], workers: int, over: Callable[[], bool]
) -> list[Lost | None]:
    """What is lost with each number times its factor, each by itself; None where there was no time to plan for it."""
    work = _Anew((machine.pack, machine.symptom, machine.lacks), tuple(asked))
    # The plan for what is written first: without it nothing can be told.
    rows = dict(spread(work, list(range(-1, len(asked))), workers, over))
    known = [row for _, row in sorted(rows.items()) if row is not None]
    if rows.get(0) is None:
        return [None] * len(asked)
    now = known[0]
    for row in known[1:]:
        if row.written < now.written - BETTER:
            now = row
    return [_lost(known, now, which) if rows.get(which + 1) is not None else None for which in range(len(asked))]


def _lost(known: Sequence[Row], now: Row, which: int) -> Lost:
    best = now
    for row in known:
        if row.may_be[which] < best.may_be[which] - BETTER:
            best = row
    return Lost(now.may_be[which] - best.may_be[which], now.steps, best.steps)
