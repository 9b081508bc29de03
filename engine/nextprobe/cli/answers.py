"""Walking by an answers file: a map from what may be asked to what would be told."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from nextprobe.errors import PackError, ToldError, UsageError
from nextprobe.pack.cache import load_source
from nextprobe.pack.pack import Pack
from nextprobe.walk import Ask, Walk
from nextprobe.walk.situation import near

NOT_THERE = "not in the answers"
#: A walk that asks more often than this is going round in circles.
LONGEST = 1000


def load_answers(path: Path, pack: Pack) -> dict[str, str]:
    """The answers in the file at `path`. Raises PackError with findings, UsageError for unknown ids."""
    if not path.is_file():
        raise UsageError(f"There is no answers file {str(path)!r}.", "Give the path of a YAML map from id to answer.")
    source = load_source(path)
    if any(finding.severity == "error" for finding in source.findings):
        raise PackError(f"The answers file {path.name!r} cannot be used.", source.findings, "Mend what is named here:")
    answers = {str(key): str(value) for key, value in (source.data or {}).items()}
    known = [*pack.options, *pack.history, *pack.measurements, *pack.repairs, *pack.remarks, "cause", "refer"]
    for id_ in answers:
        if id_ not in known:
            raise UsageError(
                f"{path.name}: the pack {pack.id!r} has nothing called {id_!r}.{near(id_, known)}", "Check the id."
            )
    cause = answers.get("cause")
    if cause is not None and cause not in pack.causes:
        raise UsageError(
            f"{path.name}: the pack {pack.id!r} has no cause {cause!r}.{near(cause, pack.causes)}", "Check the id."
        )
    return answers


def play(walk: Walk, answers: Mapping[str, str], on_step: Any = None) -> None:
    """Answer every ask until the walk is done; `on_step(ask, answer)` is called before each answer.

    An id that is not in the answers is skipped. With `cause` among them repairs answer by themselves and
    checks pass. Raises UsageError that names the id whose answer cannot be taken.
    """
    for _ in range(LONGEST):
        ask = walk.ask()
        if ask.kind == "done":
            return
        answer = answer_to(walk, ask, answers)
        if on_step is not None:
            on_step(ask, answer)
        for remark in ask.look_for:
            if remark.id in answers and remark.id not in walk.remarks:
                walk.remark(remark.id)
        if answer is None:
            walk.skip(ask.id, NOT_THERE)
            continue
        try:
            walk.tell(ask.id, answer)
        except ToldError as error:
            raise UsageError(
                f"The answer {answer!r} to {ask.id!r} cannot be taken: {error.message}", error.cure
            ) from None
    raise UsageError("The walk does not come to an end with these answers.", "Please report it with the answers file.")


def answer_to(walk: Walk, ask: Ask, answers: Mapping[str, str]) -> str | None:
    """What the answers say to `ask`; None where they say nothing."""
    cause = answers.get("cause")
    if ask.id == "seen":
        return _result(walk, walk.proving, answers)
    if ask.kind == "repair":
        told = answers.get(ask.id)
        if told in ("gone", "still", "not_gone") or (told is None and cause is not None):
            return "done"
        return told
    if ask.id in answers:
        return answers[ask.id]
    if ask.kind == "refer":
        return "done"
    if ask.kind == "check" and cause is not None:
        return ask.choices[0].id
    return None


def _result(walk: Walk, repair: str, answers: Mapping[str, str]) -> str | None:
    told = answers.get(repair)
    if told in ("gone", "still", "not_gone"):
        return told
    cause = answers.get("cause")
    if cause is None:
        return None
    return "gone" if walk.pack.repairs[repair].fixes.get(cause, 0.0) > 0 else "still"


def outcome_of(walk: Walk) -> dict[str, Any]:
    """What ``--json`` prints: ending, cause, belief, minutes, steps."""
    ending = walk.close()
    return {
        "ending": ending.what if ending else None,
        "cause": (ending.cause if ending else "") or None,
        "why": ending.why if ending else "",
        "repair": (ending.repair if ending else "") or None,
        "skill": (ending.skill if ending else "") or None,
        "belief": walk.belief(),
        "conflict": walk.conflict(),
        "minutes": ending.minutes if ending else walk.minutes,
        "wait": walk.wait,
        "money": walk.money,
        "proven": list(ending.proven) if ending else [],
        "not_proved": list(ending.not_proved) if ending else [],
        "remarks": list(walk.remarks),
        "see_also": walk.see_also or None,
        "steps": [
            {
                "ask": step.ask,
                "kind": step.kind,
                "told": None if step.skipped else step.told,
                "skipped": step.say if step.skipped else None,
                "minutes": step.minutes,
                "wait": step.wait,
                "money": step.money,
                "bench": dict(step.bench),
            }
            for step in walk.path
        ],
    }
