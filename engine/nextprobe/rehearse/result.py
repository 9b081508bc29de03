"""What came of rehearsals, from their records alone: one, and those of each trainee."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from nextprobe.rehearse.sealed import unseal

if TYPE_CHECKING:
    from nextprobe.record import Event, Job
    from nextprobe.record.store import Store

#: Marks of a rehearsal without a hint whose goal was met; each hint costs one.
MARKS = 10


@dataclass(frozen=True, slots=True)
class Result:
    """One ended rehearsal.

    causes: the hidden ones, and named: the cause that the ending holds for it. cured: whether the symptom is gone from
    the machine, None where that was not recorded. slipped: readings that were taken wrong. minutes: hands-on, and
    engine_minutes: what the engine would have taken on the same machine, None where that was not recorded. passed:
    whether the goal was met. marks: 0 to 10.
    """

    lesson: str
    title: str
    pack: str
    seed: int
    mode: str
    causes: tuple[str, ...]
    ending: str
    named: str
    cured: bool | None
    slipped: tuple[str, ...]
    steps: int
    minutes: float
    engine_minutes: float | None
    hints: int
    passed: bool
    marks: int

    def as_dict(self) -> dict[str, Any]:
        """Plain data for a program."""
        return asdict(self)


@dataclass(frozen=True, slots=True)
class Kept:
    """A rehearsal in the store: its job, who did it ("" where nobody said), when, and its result; None while open."""

    job: str
    technician: str
    opened: str
    lesson: str
    result: Result | None


def result_of(events: Sequence[Event]) -> Result:
    """The result of an ended rehearsal."""
    first = {event.kind: event.data for event in reversed(events)}
    set_, started, revealed = first["rehearsal"], first["started"], first.get("revealed", {})
    ended = next(event.data for event in reversed(events) if event.kind == "ended")
    causes = tuple(unseal(set_["sealed"])["fault"])
    hints = sum(event.kind == "hinted" for event in events)
    told = [event.data for event in events if event.kind == "told"]
    # Killed before it was revealed: what was told counts, also where it was taken back.
    minutes = float(revealed.get("minutes", sum(float(data.get("minutes", 0.0)) for data in told)))
    cured = revealed.get("cured")
    passed = _passed(str(ended["ending"]), cured, minutes, set_["goal"], revealed.get("engine_ending"))
    return Result(
        lesson=set_["lesson"],
        title=set_["title"],
        pack=started["pack"],
        seed=int(set_["seed"]),
        mode=set_["mode"],
        causes=causes,
        ending=str(ended["ending"]),
        named=str(ended.get("cause", "")),
        cured=cured,
        slipped=tuple(revealed.get("slipped", ())),
        steps=int(revealed.get("steps", len(told))),
        minutes=minutes,
        engine_minutes=revealed.get("engine_minutes"),
        hints=hints,
        passed=passed,
        marks=max(0, MARKS - hints) if passed else 0,
    )


def _passed(ending: str, cured: bool | None, minutes: float, goal: dict[str, Any], engine: str | None) -> bool:
    # Where no ending is set: the fault gone, or what the engine ends with on the same machine, as a quote.
    wanted = [goal["ending"]] if goal.get("ending") else ["repaired", engine]
    if ending == "repaired" and cured is False:
        return False  # told gone, and it is still there
    if ending not in wanted:
        return False
    most = goal.get("within_minutes")
    return most is None or minutes <= most


def results(store: Store, technician: str | None = None) -> list[Kept]:
    """All rehearsals in the store, the newest first; of one trainee where `technician` is given."""
    ended: list[tuple[Job, str, Result | None]] = []
    for job, events in store.records():
        set_ = next((event.data for event in events if event.kind == "rehearsal"), None)
        if set_ is not None:
            over = any(event.kind == "ended" for event in events)
            ended.append((job, str(set_["lesson"]) or job.pack_id, result_of(events) if over else None))
    found = [
        Kept(job.id, store.people(job.id).get("technician", ""), job.opened, lesson, result)
        for job, lesson, result in sorted(ended, key=lambda one: (one[0].opened, one[0].id), reverse=True)
    ]
    wanted = None if technician is None else technician.strip().casefold()
    return [one for one in found if wanted is None or one.technician.casefold() == wanted]


def by_trainee(kept: Iterable[Kept]) -> dict[str, list[Kept]]:
    """Rehearsals by who did them, in alphabetical order; "" for those without a name."""
    found: dict[str, list[Kept]] = {}
    for one in sorted(kept, key=lambda one: (one.technician.casefold(), one.opened)):
        found.setdefault(one.technician, []).append(one)
    return found


def next_seed(kept: Iterable[Kept], lesson: str, seeds: Sequence[int]) -> int:
    """The seed of a lesson that comes next for whoever did `kept`: they are taken in turn."""
    return seeds[sum(one.lesson == lesson for one in kept) % len(seeds)]
