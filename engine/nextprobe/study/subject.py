"""What is studied: a pack on one machine, its planner's model, and what each row of it means."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from nextprobe.model.arrays import Floats, Ints, sum_by
from nextprobe.model.compile import Compiled
from nextprobe.model.hypotheses import make_hypotheses, rule_table
from nextprobe.model.model import Model
from nextprobe.pack.pack import Fact, Pack
from nextprobe.walk import Walk


@dataclass(frozen=True)
class Subject:
    """One pack from one symptom, one fault.

    causes: ids, and `unlisted` last. cause_of (H,): the cause of each hypothesis of the model. lacks: instruments and
    skills that are not here.
    """

    pack: Pack
    symptom: str
    compiled: Compiled
    causes: tuple[str, ...]
    cause_of: Ints
    lacks: tuple[str, ...] = ()

    @property
    def model(self) -> Model:
        """The planner's arrays."""
        return self.compiled.model

    @cached_property
    def shares(self) -> Floats:
        """(C,) the share of jobs of each cause; 0 where it cannot lead to the symptom on this machine."""
        share = sum_by(self.cause_of, self.model.prior, len(self.causes))
        return np.asarray(share / share.sum())

    @cached_property
    def tables(self) -> tuple[Floats, ...]:
        """For each measurement (C, O): the chance of each outcome, if the cause is that one."""
        weight = (
            self.model.prior
            / np.maximum(sum_by(self.cause_of, self.model.prior, len(self.causes)), 1e-300)[self.cause_of]
        )
        fold = np.zeros((len(self.causes), len(weight)))
        fold[self.cause_of, np.arange(len(weight))] = weight
        return tuple(fold @ table for table in self.model.likelihoods)

    @cached_property
    def healthy(self) -> tuple[Floats, ...]:
        """For each measurement (O,): what a healthy machine reads."""
        found = []
        for act in self.compiled.acts:
            row = np.ones(1)
            for one in act:
                own = np.array([one.base, 1.0 - one.base]) if isinstance(one, Fact) else rule_table(one)[-1]
                row = (row[:, None] * own[None, :]).ravel()
            found.append(row)
        return tuple(found)

    def by_cause(self, figure: Floats) -> Floats:
        """(C,) the mean of a figure of each hypothesis (H,), for a job of each cause."""
        mass = sum_by(self.cause_of, self.model.prior, len(self.causes))
        return np.asarray(sum_by(self.cause_of, self.model.prior * figure, len(self.causes)) / np.maximum(mass, 1e-300))

    @cached_property
    def always(self) -> tuple[tuple[str, ...], float]:
        """What a walk asks on every job before the planner is asked, with what is read beside it; and its minutes."""
        model, state, minutes = self.model, self.model.start, 0.0
        ids: list[str] = []
        for id_ in self.pack.always_first:
            index = self.compiled.wanted(id_)
            if index >= 0:
                way, near = model.nearest_measurement
                minutes += float(way[state, index] + model.minutes[index])
                state = int(near[state, index])
                ids += [one.id for one in self.compiled.acts[index]]
        return tuple(ids), minutes

    def title(self, cause: int) -> str:
        """What a cause is called."""
        return self.pack.title_of(self.causes[cause])

    def measurement(self, index: int) -> str:
        """What a measurement, or a question to the owner, is called."""
        return self.pack.title_of(self.compiled.measurements[index])


def subject_of(pack: Pack, symptom: str | None = None, lacks: Collection[str] = ()) -> Subject:
    """The pack as a machine arrives, from `symptom` (the pack's first where none is given), without what `lacks` names.

    Raises SituationError where the pack has no such symptom, instrument or skill.
    """
    chosen = next(iter(pack.symptoms), None) if symptom is None else symptom
    walk = Walk(pack, chosen, lacks=lacks)
    held = {key: option.default for key, option in pack.options.items() if option.default is not None}
    options = {**held, **walk.options}
    one_fault = make_hypotheses(replace(pack, pairs=0.0), walk.situation.symptom, options)
    cause_of = np.append(one_fault.first[: one_fault.singles], len(one_fault.causes))
    return Subject(
        pack=pack,
        symptom=walk.situation.symptom,
        compiled=walk.planning_model(),
        causes=(*one_fault.causes, "unlisted"),
        cause_of=cause_of.astype(np.int64),
        lacks=tuple(lacks),
    )
