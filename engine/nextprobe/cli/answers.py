"""Reading an answers file, and the result of a walk for a program."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from nextprobe.errors import PackError, UsageError
from nextprobe.pack.cache import load_source
from nextprobe.pack.pack import Pack
from nextprobe.resources import is_file
from nextprobe.walk import Walk
from nextprobe.walk.situation import near


def load_answers(path: Path, pack: Pack) -> dict[str, str]:
    """The answers in the file at `path`. Raises PackError with findings, UsageError for unknown ids."""
    if not is_file(path):
        raise UsageError(f"There is no answers file {str(path)!r}.", "Give the path of a YAML map from id to answer.")
    source = load_source(path)
    if any(finding.severity == "error" for finding in source.findings):
        raise PackError(
            f"The answers file {path.name!r} cannot be used.", source.findings, "Mend what is named, then try again."
        )
    answers = {str(key): str(value) for key, value in (source.data or {}).items()}
    known = [*pack.options, *pack.history, *pack.measurements, *pack.repairs, *pack.remarks, "cause", "refer"]
    for id_ in answers:
        if id_ not in known:
            seen = id_ in ("seen", *pack.symptoms)
            raise UsageError(
                f"{path.name}: the pack {pack.id!r} has nothing called {id_!r}.{near(id_, known)}",
                "Whether the symptom is gone is the answer of the repair: `gone` or `still`."
                if seen
                else "Check the id.",
            )
    cause = answers.get("cause")
    if cause is not None and cause not in pack.causes:
        raise UsageError(
            f"{path.name}: the pack {pack.id!r} has no cause {cause!r}.{near(cause, pack.causes)}", "Check the id."
        )
    return answers


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
