"""What each cause costs, and why some are found so dear: what they are taken for, and which reading is missing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from nextprobe.model.arrays import Floats, Ints
from nextprobe.model.model import Model
from nextprobe.plan.order import best_orders
from nextprobe.study.apart import best_apart
from nextprobe.study.figures import PolicyFigures
from nextprobe.study.subject import Subject

#: Two causes that no measurement tells apart by more than this are told apart badly.
WELL = 0.6
#: Causes that a dear one is taken for: how many are named, and the least share of the belief to be named.
NAMED, LEAST = 3, 0.02


@dataclass(frozen=True, slots=True)
class CauseFigures:
    """One cause: share of jobs; for a job of it, expected: minutes, of which looking (measurements) and in_vain
    (repairs that left the symptom), steps, and how it ends. known: minutes if the cause were known at once."""

    id: str
    title: str
    share: float
    minutes: float
    known: float
    looking: float
    in_vain: float
    steps: float
    repaired: float
    quoted: float
    stopped: float
    found: float

    @property
    def more(self) -> float:
        """Minutes of all jobs that not knowing this cause costs."""
        return self.share * (self.minutes - self.known)

    def as_dict(self) -> dict[str, Any]:
        """Plain data for a program."""
        return {
            "title": self.title, "share": self.share, "minutes": self.minutes, "known_minutes": self.known,
            "measuring_minutes": self.looking, "in_vain_minutes": self.in_vain, "steps": self.steps,
            "repaired": self.repaired, "quoted": self.quoted, "stopped": self.stopped, "found": self.found,
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class Rival:
    """What a cause is taken for where repairs and quotes are chosen: its share of the belief there, by their minutes.

    apart: how well the best measurement tells the two apart (total variation, 0 to 1); best: which one, "" where none
    does; its minutes from the bench as a machine arrives; asked: the chance that a job of the dear cause comes
    to it; same_repair: what would be done first is the same for both.
    """

    id: str
    title: str
    belief: float
    apart: float
    best: str
    best_minutes: float
    asked: float
    same_repair: bool


@dataclass(frozen=True, slots=True)
class Dear:
    """A cause that is found too dear; rivals: what it is taken for, most believed first; own: belief in itself then.

    repairable: a repair would be made first if it were known, not the quote.
    """

    cause: CauseFigures
    own: float
    rivals: tuple[Rival, ...]
    repairable: bool

    @property
    def missing(self) -> tuple[Rival, ...]:
        """The rivals of another repair that no measurement of the pack tells apart well."""
        return tuple(r for r in self.rivals if not r.same_repair and r.apart < WELL)

    def as_dict(self) -> dict[str, Any]:
        """Plain data for a program."""
        return {
            "cause": self.cause.id,
            "more_minutes": self.cause.minutes - self.cause.known,
            "more_minutes_of_all_jobs": self.cause.more,
            "believed": self.own,
            "repairable": self.repairable,
            "taken_for": [
                {
                    "cause": r.id, "believed": r.belief, "apart": r.apart, "best_measurement": r.best or None,
                    "best_minutes": r.best_minutes, "asked": r.asked, "same_repair": r.same_repair,
                }
                for r in self.rivals
            ],
            "no_measurement_tells_it_from": [r.id for r in self.missing],
        }  # fmt: skip


def cause_figures(subject: Subject, figures: PolicyFigures) -> tuple[CauseFigures, ...]:
    """Each cause that can lead to the symptom, the commonest first; `unlisted` among them."""
    known = _known(subject.model)
    of = {
        name: subject.by_cause(getattr(figures, name)[figures.group])
        for name in ("minutes", "looking", "in_vain", "steps", "repaired", "quoted", "stopped", "found")
    }
    of["known"] = subject.by_cause(known)
    rows = [
        CauseFigures(
            id=subject.causes[c],
            title=subject.title(c),
            share=float(subject.shares[c]),
            **{name: float(values[c]) for name, values in of.items()},
        )
        for c in np.argsort(-subject.shares, kind="stable").tolist()
    ]
    return tuple(row for row in rows if row.share > 0)


def _known(model: Model) -> Floats:
    """(H,) minutes of the best order of repairs where the hypothesis is known at once, what they want told first in it.

    Not the planner's lower bound, which takes any repair that may help for one that does.
    """
    count = len(model.prior)
    if model.identify:
        return np.zeros(count)
    untold = np.zeros((count, len(model.likelihoods)), dtype=bool)
    tried = np.zeros((count, len(model.fixes)), dtype=bool)
    return best_orders(model, np.eye(count), np.full(count, model.start), tried, measured=untold).minutes


def dear_causes(
    subject: Subject, figures: PolicyFigures, causes: tuple[CauseFigures, ...], most: int = 5
) -> tuple[Dear, ...]:
    """The causes that cost all jobs most beside what they would if they were known, `unlisted` left out.

    Where a pack only finds the cause: those least sure when measuring is over, below the pack's confidence.
    """
    apart, which = best_apart(subject.tables)
    first = _first_repair(subject)
    minutes = subject.model.nearest_measurement[0][subject.model.start] + subject.model.minutes
    place = {id_: number for number, id_ in enumerate(subject.causes)}
    beliefs = figures.believed / np.maximum(figures.believed.sum(axis=1, keepdims=True), 1e-300)
    own = {id_: float(beliefs[number, number]) for id_, number in place.items()}
    identify = subject.model.identify
    found: list[Dear] = []
    for cause in sorted(causes, key=lambda c: -c.share * (1.0 - own[c.id]) if identify else -c.more):
        good = own[cause.id] >= subject.pack.confidence if identify else cause.more <= 0
        if cause.id == "unlisted" or good or len(found) == most:
            continue
        c = place[cause.id]
        believed = beliefs[c]
        order = [int(o) for o in np.argsort(-believed, kind="stable") if o != c and believed[o] >= LEAST]
        rivals = []
        for other in [o for o in order if subject.causes[o] != "unlisted"][:NAMED]:
            best = int(which[c, other])
            rivals.append(
                Rival(
                    id=subject.causes[other],
                    title=subject.title(other),
                    belief=float(believed[other]),
                    apart=float(apart[c, other]),
                    best=subject.compiled.measurements[best] if best >= 0 else "",
                    best_minutes=float(minutes[best]) if best >= 0 else 0.0,
                    asked=float(figures.asked_of[best, c] / subject.shares[c]) if best >= 0 else 0.0,
                    same_repair=bool(first[c] == first[other]),
                )
            )
        found.append(Dear(cause, own[cause.id], tuple(rivals), bool(first[c] >= 0)))
    return tuple(found)


def _first_repair(subject: Subject) -> Ints:
    """(C,) what would be done first if the cause were known: a repair, or -1 for quoting at once.

    Chosen by the minutes of that repair and a quote where it fails.
    """
    model = subject.model
    if not len(model.fixes):
        return np.full(len(subject.causes), -1)
    cost, after, tail = (part[model.start] for part in model.repair_from)
    fixes: Floats = subject.compiled.of_cause
    value = cost[:, None] + fixes * tail[:, None] + (1.0 - fixes) * model.refer[after.astype(np.int64)][:, None]
    value = np.where(fixes > 0, value, np.inf)
    return np.where(value.min(axis=0) < model.refer[model.start], value.argmin(axis=0), -1)
