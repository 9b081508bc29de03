"""What is lost by planning with a wrong number: the policy planned with it against one planned with the right one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from nextprobe.model.compile import Compiled
from nextprobe.model.merge import merged
from nextprobe.model.model import Model
from nextprobe.pack.numbers import Number
from nextprobe.pack.pack import Pack
from nextprobe.plan.deepen import Deepening
from nextprobe.plan.exact import can_solve
from nextprobe.study.doubts_changes import changed
from nextprobe.study.doubts_rows import CURED, MEASURE, QUOTE, STOPPED, TRY, factor_table
from nextprobe.study.doubts_told import minutes_of, told
from nextprobe.study.doubts_written import Written, written
from nextprobe.study.figures import Policy, plan_of
from nextprobe.walk import Walk

#: Places at which both plans are deep enough to compare: a second each on the bundled packs.
PLACES = 6_000
#: So many steps of the likeliest path are compared.
STEPS = 5


class Planned(NamedTuple):
    """lost: minutes a job that a plan made for the other number saves against `base`; steps: ids of its first ones."""

    lost: float
    steps: tuple[str, ...]


def planned(model: Model) -> tuple[Policy, Model]:
    """A plan that is quick to make, and the model it is for, whose like hypotheses are one."""
    lean, _ = merged(model)
    if lean.identify or can_solve(lean):
        return plan_of(lean), lean
    policy = Deepening(lean)
    policy.run(lambda _: policy.size >= PLACES)
    return Policy(policy.policy(), policy.upper, False), lean


def first_steps(policy: Written, model: Model, compiled: Compiled) -> tuple[str, ...]:
    """The ids of the first steps of the likeliest path: after each step the likeliest that goes on."""
    stacked, _ = model.stacked
    found = told(policy, factor_table(model, stacked, model.fixes), policy.minutes(model), model.prior)
    if found is None:
        return ()
    steps: list[str] = []
    row = 0
    while len(steps) < STEPS:
        kind, index = int(policy.kind[row]), int(policy.index[row])
        if kind == MEASURE:
            steps.append(compiled.measurements[index])
        elif kind == TRY:
            steps.append(compiled.repairs[index])
        else:
            if kind == QUOTE:
                steps.append("refer")
            break
        below = 1 + np.nonzero(policy.parent[1:] == row)[0]
        below = below[~np.isin(policy.kind[below], (CURED, STOPPED))]
        if not len(below):
            break
        row = int(below[found.visits[below].argmax()])
    return tuple(steps)


@dataclass(frozen=True)
class Anew:
    """Plans anew with a number changed; sent to each process that helps. base: planned with the numbers as they are."""

    pack: Pack
    symptom: str
    lacks: tuple[str, ...]
    base: Written

    def __call__(self, asked: tuple[Number, float]) -> Planned:
        """Plan with a number times its factor, and tell both plans with it."""
        pack = changed(self.pack, *asked)
        if pack is None:
            return Planned(0.0, ())
        compiled = Walk(pack, self.symptom, lacks=self.lacks).planning_model()
        policy, lean = planned(compiled.model)
        lost = minutes_of(self.base, compiled.model) - policy.upper
        return Planned(max(0.0, lost), first_steps(written(lean, policy.root), lean, compiled))


def based(pack: Pack, symptom: str, lacks: Sequence[str], compiled: Compiled) -> tuple[Anew, tuple[str, ...]]:
    """What plans anew beside the plan with the numbers as they are, and the first steps of that plan."""
    policy, lean = planned(compiled.model)
    base = written(lean, policy.root)
    return Anew(pack, symptom, tuple(lacks), base), first_steps(base, lean, compiled)
