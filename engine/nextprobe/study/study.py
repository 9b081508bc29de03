"""A pack studied: what it can and cannot find, in figures."""

from __future__ import annotations

from collections.abc import Callable, Collection
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from itertools import count
from typing import TYPE_CHECKING, Any

import numpy as np

from nextprobe.model.merge import merged
from nextprobe.pack.load import load_pack
from nextprobe.study.apart import ambiguity_groups
from nextprobe.study.cases import CaseResult, load_cases, run_cases
from nextprobe.study.causes import CauseFigures, Dear, cause_figures, dear_causes
from nextprobe.study.figures import PolicyFigures, fold_of, plan_of, told_of
from nextprobe.study.readings import BUSIEST, NEVER, Use, quick_minutes, uses
from nextprobe.study.spread import cores
from nextprobe.study.subject import Subject, subject_of
from nextprobe.study.testability import Fractions, detected_by, fractions, isolated_at
from nextprobe.study.walking import Simulated, simulated

if TYPE_CHECKING:
    from nextprobe.study.doubts import Doubt

#: A cause is detected where a measurement reads for it otherwise than on a healthy machine by more than rounding.
DIFFERS = 1e-9


@dataclass(frozen=True)
class Testability:
    """by_weight, by_count: the terms of IEEE 1522 for causes that no measurement tells apart at all; groups: these.

    at_confidence: once every measurement is told, the share of jobs in which at most so many causes, from 1 on, hold
    `confidence` of the belief. alone: that share for each cause, for one.
    """

    by_weight: Fractions
    by_count: Fractions
    groups: tuple[tuple[str, ...], ...]
    confidence: float
    at_confidence: tuple[float, ...]
    alone: dict[str, float]

    def as_dict(self) -> dict[str, Any]:
        """Plain data for a program."""
        return {
            "by_weight": self.by_weight.as_dict(),
            "by_count": self.by_count.as_dict(),
            "confidence": self.confidence,
            "isolated_at_confidence": {str(size): share for size, share in enumerate(self.at_confidence, 1)},
            "alone_at_confidence": self.alone,
        }


@dataclass(frozen=True)
class Study:
    """All that is told of a pack. figures: of its policy, by hypothesis; cases: those that ran, of `cases_of`.

    stopped_early: Ctrl-C came, and these are the figures so far. doubts: how much each doubtful number matters, where
    that was asked.
    """

    subject: Subject = field(repr=False)
    figures: PolicyFigures = field(repr=False)
    causes: tuple[CauseFigures, ...]
    dear: tuple[Dear, ...]
    uses: tuple[Use, ...]
    testability: Testability
    cases: tuple[CaseResult, ...]
    cases_of: int
    simulated: Simulated | None = None
    stopped_early: bool = False
    doubts: tuple[Doubt, ...] | None = None

    def mean(self, name: str) -> float:
        """A figure of `CauseFigures` over all jobs."""
        return sum(cause.share * float(getattr(cause, name)) for cause in self.causes)

    @property
    def failed(self) -> tuple[CaseResult, ...]:
        """The cases that do not hold."""
        return tuple(case for case in self.cases if not case.passed)

    @property
    def never(self) -> tuple[Use, ...]:
        """The measurements that never pay; those that every job begins with are not among them."""
        always, _ = self.subject.always
        return tuple(use for use in self.uses if use.asked < NEVER and use.id not in always)

    def as_dict(self) -> dict[str, Any]:
        """Plain data for a program."""
        pack = self.subject.pack
        return {
            "pack": pack.id,
            "version": pack.version,
            "board": pack.board.id if pack.board is not None else None,
            "symptom": self.subject.symptom,
            "expected_minutes": self.figures.upper,
            "optimal": self.figures.optimal,
            "known_minutes": self.mean("known"),
            "measuring_minutes": self.mean("looking"),
            "in_vain_minutes": self.mean("in_vain"),
            "always_first_minutes": self.subject.always[1],
            "steps": self.mean("steps"),
            **{name: self.mean(name) for name in ("repaired", "quoted", "stopped", "found")},
            "by_cause": {cause.id: cause.as_dict() for cause in self.causes},
            "cases": [case.as_dict() for case in self.cases],
            "cases_not_run": self.cases_of - len(self.cases),
            "dear_causes": [dear.as_dict() for dear in self.dear],
            "measurements": [use.as_dict() for use in self.uses],
            "never_pay": [use.id for use in self.never],
            "detected": self.testability.by_weight.detected,
            "isolated": {str(size): share for size, share in self.testability.by_weight.isolated.items()},
            "ambiguity_groups": [list(group) for group in self.testability.groups],
            "testability": self.testability.as_dict(),
            "simulated": self.simulated.as_dict() if self.simulated is not None else None,
            "doubts": None if self.doubts is None else [doubt.as_dict() for doubt in self.doubts],
            "stopped_early": self.stopped_early,
        }


def make_study(
    ref: str,
    *,
    board: str | None = None,
    symptom: str | None = None,
    lacks: Collection[str] = (),
    seconds: float | None = None,
    jobs: int = 0,
    seed: int = 0,
    workers: int | None = None,
    doubted: bool = False,
    cancel: Callable[[], bool] = lambda: False,
    say: Callable[[int, float], None] = lambda count, left: None,
    say_doubts: Callable[[int, int], None] = lambda done, of: None,
    say_stage: Callable[[str, int, int], None] = lambda stage, done, of: None,
) -> Study:
    """Study the pack that `ref` means, its cases among it.

    seconds: as in `policy_figures`. jobs: how many to simulate. workers: processes to share cases and jobs; the cores
    of this machine where it is not given. doubted: tell how much each doubtful number matters too. cancel: asked now
    and then; True ends it with what there is. say: told the simulated jobs done and the seconds left. say_doubts: told
    how many numbers are done, and of how many. say_stage: told "planning" or "cases", how much of it is done, of how
    much; also from another thread.
    Raises PackError, SituationError and ModelError where there is nothing to study.
    """
    subject = subject_of(load_pack(ref, board), symptom, lacks)
    cases_of = len(load_cases(ref))  # refused before any time is spent
    hands = cores() if workers is None else workers
    ran = count(1)

    def on_case(_: CaseResult) -> None:
        say_stage("cases", next(ran), cases_of)

    # The cases run beside the planning, in processes of their own; with one worker one after the other.
    with ThreadPoolExecutor(1) as beside:
        running = beside.submit(run_cases, ref, on_case, workers=hands, cancel=cancel) if hands > 1 else None
        study = _planned(subject, seconds, cancel, say_stage)
        cases = running.result() if running is not None else run_cases(ref, on_case, cancel=cancel)
    study = replace(study, cases=tuple(cases), cases_of=cases_of)
    if jobs and not cancel():
        played = simulated(
            subject, study.figures.lean, study.figures.group, jobs, seed=seed, workers=hands, cancel=cancel, say=say
        )
        study = replace(study, simulated=played)
    if doubted and not cancel():
        from nextprobe.study.doubts import doubts

        found = doubts(subject, study.figures, lacks=lacks, workers=hands, cancel=cancel, progress=say_doubts)
        study = replace(study, doubts=found)
    return replace(study, stopped_early=cancel())


def _planned(
    subject: Subject, seconds: float | None, cancel: Callable[[], bool], say: Callable[[str, int, int], None]
) -> Study:
    """All that follows from the plan."""
    lean, group = merged(subject.model)
    policy = plan_of(lean, seconds, cancel, lambda done, of: say("planning", done, of))
    figures = told_of(lean, group, policy, fold_of(subject.model, lean, group, subject.cause_of))
    causes = cause_figures(subject, figures)
    used = uses(subject, figures)
    if not subject.model.identify:
        used = _without_each(figures, used, cancel)
    return Study(subject, figures, causes, dear_causes(subject, figures, causes), used, _testability(subject), (), 0)


def _without_each(figures: PolicyFigures, used: tuple[Use, ...], cancel: Callable[[], bool]) -> tuple[Use, ...]:
    """What a job costs more without each of the busiest, and without those that never pay: nothing."""
    told = [replace(use, without=0.0) if use.asked == 0.0 else use for use in used]
    whole = None
    busiest = [place for place, use in enumerate(told) if not use.wanted and use.asked >= NEVER][:BUSIEST]
    for place in busiest:
        use = told[place]
        if cancel():
            break
        whole = quick_minutes(figures.lean) if whole is None else whole
        told[place] = replace(use, without=quick_minutes(figures.lean, use.index) - whole)
    return tuple(told)


def _testability(subject: Subject) -> Testability:
    """Of the listed causes that can lead to the symptom."""
    count = len(subject.causes) - 1
    shares = subject.shares[:count]
    can = shares > 0
    model = subject.model
    tables = [table[:count] for table in subject.tables]
    detected = detected_by(tables, subject.healthy) > DIFFERS if tables else np.zeros(count, dtype=bool)
    listed = subject.cause_of < count
    likelihoods = [table[listed] for table in model.likelihoods]
    prior, cause_of = model.prior[listed], subject.cause_of[listed]
    group = ambiguity_groups(likelihoods, prior, cause_of, count)
    groups = [tuple(subject.causes[c] for c in np.nonzero((group == g) & can)[0]) for g in range(int(group.max()) + 1)]
    confidence = subject.pack.confidence
    by_size, alone = isolated_at(likelihoods, prior, cause_of, count, confidence)
    return Testability(
        fractions(shares[can], detected[can], group[can]),
        fractions(np.ones(int(can.sum())), detected[can], group[can]),
        tuple(group for group in groups if len(group) > 1),
        confidence,
        tuple(by_size.tolist()),
        {subject.causes[c]: float(alone[c]) for c in np.nonzero(can)[0].tolist()},
    )
