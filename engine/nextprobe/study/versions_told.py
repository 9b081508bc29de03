"""What two versions of a pack do: the expected minutes of each, and the cases of both on both."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from nextprobe.errors import NextprobeError
from nextprobe.pack.load import load_pack
from nextprobe.study.cases import Runner, load_cases
from nextprobe.study.causes import CauseFigures, cause_figures
from nextprobe.study.figures import policy_figures
from nextprobe.study.spread import spread
from nextprobe.study.subject import subject_of
from nextprobe.study.versions_renamed import with_ids

Cancel = Callable[[], bool]


@dataclass(frozen=True, slots=True)
class Side:
    """One version: what it is called, the minutes of a job by its plan, how jobs end, and each cause."""

    ref: str
    pack: str
    version: str
    date: str
    minutes: float
    optimal: bool
    repaired: float
    quoted: float
    causes: tuple[CauseFigures, ...]

    def as_dict(self) -> dict[str, Any]:
        """Plain data for a program."""
        named = {"ref": self.ref, "pack": self.pack, "version": self.version, "date": self.date or None}
        figures = {"expected_minutes": self.minutes, "optimal": self.optimal}
        ends = {"repaired": self.repaired, "quoted": self.quoted}
        return {**named, **figures, **ends, "by_cause": {cause.id: cause.as_dict() for cause in self.causes}}


@dataclass(frozen=True, slots=True)
class BothCase:
    """A case of either version on both: whether it holds, None where it did not run, and why it does not.

    of: old, new or both, whose case it is.
    """

    name: str
    of: str
    old: bool | None
    new: bool | None
    why_old: str = ""
    why_new: str = ""

    def as_dict(self) -> dict[str, Any]:
        """Plain data for a program."""
        return {
            "name": self.name, "of": self.of, "old": self.old, "new": self.new,
            "why_old": self.why_old or None, "why_new": self.why_new or None,
        }  # fmt: skip


@dataclass(frozen=True)
class _Plans:
    """Plans a version; sent to each process that helps."""

    board: str | None
    symptom: str | None
    lacks: tuple[str, ...]
    seconds: float | None

    def __call__(self, ref: str) -> Side:
        pack = load_pack(ref, self.board)
        subject = subject_of(pack, self.symptom, self.lacks)
        figures = policy_figures(subject.model, self.seconds, cause_of=subject.cause_of)
        repaired, quoted = figures.mean(figures.repaired), figures.mean(figures.quoted)
        causes = tuple(cause_figures(subject, figures))
        date = str(pack.data.get("date", ""))
        return Side(
            ref, pack.id, pack.version, date, figures.upper, figures.optimal, repaired, quoted, causes
        )  # fmt: skip


def plan_both(
    refs: Sequence[str],
    board: str | None,
    symptom: str | None,
    lacks: Collection[str],
    seconds: float | None,
    workers: int,
    cancel: Cancel,
) -> dict[int, Side]:
    """Each version planned as deeply as the other; what is cancelled is left out."""
    return dict(spread(_Plans(board, symptom, tuple(lacks), seconds), list(refs), workers, cancel))


@dataclass
class _Cases:
    """Runs a case on one version: whether it holds, and if not the first thing that was wrong."""

    refs: tuple[str, str]
    _runners: dict[str, Runner] = field(default_factory=dict)

    def __call__(self, item: tuple[int, Mapping[str, Any]]) -> tuple[bool, str]:
        ref = self.refs[item[0]]
        if ref not in self._runners:
            self._runners[ref] = Runner(ref)
        try:
            result = self._runners[ref](item[1])
        except NextprobeError as error:  # a board sheet that only the other version serves
            return False, str(error)
        wrong = next((f"{one.wish}; found {one.found}" for one in result.wishes if not one.holds), result.astray)
        return result.passed, "" if result.passed else wrong

    def __getstate__(self) -> dict[str, Any]:
        return {"refs": self.refs, "_runners": {}}


def cases_on_both(old: str, new: str, names: Mapping[str, str], workers: int, cancel: Cancel) -> tuple[BothCase, ...]:
    """The cases of both versions, each on both; a case that both have is one. names: old ids and what they are now."""
    olds, news = with_ids(load_cases(old), names), load_cases(new)
    listed = [(case, "both" if case in news else "old") for case in olds]
    listed += [(case, "new") for case in news if case not in olds]
    back = {now: was for was, now in names.items()}
    items = [item for case, _ in listed for item in ((0, with_ids(case, back)), (1, case))]
    results = dict(spread(_Cases((old, new)), items, workers, cancel))
    found = []
    for number, (case, of) in enumerate(listed):
        before, after = results.get(2 * number), results.get(2 * number + 1)
        found.append(
            BothCase(
                str(case["name"]),
                of,
                before[0] if before is not None else None,
                after[0] if after is not None else None,
                before[1] if before is not None else "",
                after[1] if after is not None else "",
            )
        )
    return tuple(found)
