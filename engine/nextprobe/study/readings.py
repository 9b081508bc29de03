"""How often each measurement is asked, which never pay, and what a job costs without each of the busiest."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from nextprobe.model.model import Model
from nextprobe.plan.deepen import Deepening
from nextprobe.plan.tree import Start
from nextprobe.study.figures import PolicyFigures
from nextprobe.study.subject import Subject

#: A measurement that a smaller share of jobs comes to never pays.
NEVER = 1e-4
#: Places that the plans with and without a measurement have: the same for all, so that they are compared fairly.
PLACES = 2_000
#: Measurements that are left out one at a time.
BUSIEST = 10


@dataclass(frozen=True, slots=True)
class Use:
    """One measurement or question to the owner: the chance that a job comes to it.

    wanted: how many measurements and repairs want it told first; it is for these, whatever it tells of causes.
    without: minutes that a job costs more where it cannot be asked, by a quick plan for both; None where not told.
    Below 0 the quick plan does better without it, so that this measurement is worth little here.
    """

    id: str
    title: str
    index: int
    asked: float
    wanted: int = 0
    without: float | None = None

    def as_dict(self) -> dict[str, Any]:
        """Plain data for a program."""
        return {
            "id": self.id,
            "title": self.title,
            "asked": self.asked,
            "wanted_first_by": self.wanted,
            "more_minutes_without": self.without,
        }


def uses(subject: Subject, figures: PolicyFigures) -> tuple[Use, ...]:
    """Every measurement, the busiest first."""
    order = np.argsort(-figures.asked, kind="stable").tolist()
    wants = subject.model.wants
    wanted = np.zeros(len(order), dtype=int) if wants is None else wants.measure.sum(axis=0) + wants.repair.sum(axis=0)
    return tuple(
        Use(subject.compiled.measurements[t], subject.measurement(t), t, float(figures.asked[t]), int(wanted[t]))
        for t in order
    )


def quick_minutes(model: Model, without: int | None = None) -> float:
    """The expected minutes of a quick plan, with one measurement closed from the start where `without` names it.

    What wants that measurement told first does not want it then. The same model gives the same figure.
    """
    measured = np.zeros((1, len(model.likelihoods)), dtype=bool)
    if without is not None:
        measured[0, without] = True
    tried = np.zeros((1, len(model.fixes)), dtype=bool)
    plan = Deepening(model, Start(model.prior[None, :], np.array([model.start]), measured, tried))
    plan.run(lambda _: plan.size >= PLACES)
    return plan.upper
